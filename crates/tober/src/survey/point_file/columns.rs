//! Which field is what.

use super::{CoordinateOrder, FileUnit, is_comment};

/// What stands between fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::survey) enum Separator {
    Tab,
    Semicolon,
    Comma,
    Blanks,
}

/// Lines that are looked at to find out how a file is laid out.
const LOOKED_AT: usize = 200;

impl Separator {
    /// The separator that makes most numbers. A comma may be part of a number, a blank of a
    /// description, a semicolon or a tab of neither.
    pub(super) fn of(lines: &[(usize, &str)]) -> Separator {
        let numbers = |separator: Separator, line: &str| {
            let fields = separator.split(line);
            let numbers = fields.iter().filter(|field| is_numeric(field)).count();
            if fields.len() >= 3 && numbers >= 2 {
                numbers
            } else {
                0
            }
        };
        Separator::most(|separator| {
            let looked_at = lines.iter().take(LOOKED_AT);
            looked_at.map(|(_, line)| numbers(separator, line)).sum()
        })
    }

    /// The first separator that scores best.
    pub(in crate::survey) fn most(score: impl Fn(Separator) -> usize) -> Separator {
        let mut best = (0, Separator::Comma);
        for separator in [
            Separator::Tab,
            Separator::Semicolon,
            Separator::Comma,
            Separator::Blanks,
        ] {
            let score = score(separator);
            if score > best.0 {
                best = (score, separator);
            }
        }
        best.1
    }

    pub(super) fn word(self) -> &'static str {
        match self {
            Separator::Tab => "tabs",
            Separator::Semicolon => "semicolons",
            Separator::Comma => "commas",
            Separator::Blanks => "blanks",
        }
    }

    /// The fields of one line, quotes taken off. Lines are split one by one, so that a quote that
    /// is never closed spoils its own line and no other.
    pub(in crate::survey) fn split(self, line: &str) -> Vec<String> {
        let delimiter = match self {
            Separator::Tab => '\t',
            Separator::Semicolon => ';',
            Separator::Comma => ',',
            Separator::Blanks => return line.split_whitespace().map(str::to_owned).collect(),
        };
        if !line.contains('"') {
            return line
                .split(delimiter)
                .map(|field| field.trim().to_owned())
                .collect();
        }
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter as u8)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(line.as_bytes());
        let mut record = csv::StringRecord::new();
        // Text cannot fail: it is UTF-8, and one record cannot be of another length than others.
        let _ = reader.read_record(&mut record);
        record.iter().map(str::to_owned).collect()
    }
}

/// Whether a field looks like a number: digits and marks, blanks only between groups of three.
fn is_numeric(field: &str) -> bool {
    let mut groups = field.split([' ', '\u{a0}', '\u{202f}']);
    let is_part = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−');
    let is_number =
        |group: &str| group.contains(|c: char| c.is_ascii_digit()) && group.chars().all(is_part);
    let is_group = |group: &str| {
        is_number(group)
            && group
                .find(|c: char| !c.is_ascii_digit())
                .unwrap_or(group.len())
                == 3
    };
    groups.next().is_some_and(is_number) && groups.all(is_group)
}

/// Whether commas between fields seem to cut numbers in two: no decimal mark anywhere, and about
/// three fields too many.
pub(super) fn splits_numbers(rows: &[(usize, Vec<String>)]) -> bool {
    let is_cut = |fields: &Vec<String>| {
        let whole = |field: &String| {
            field
                .bytes()
                .all(|byte| byte.is_ascii_digit() || byte == b'-')
        };
        fields.len() >= 7
            && fields
                .iter()
                .skip(1)
                .take(6)
                .all(|field| !field.is_empty() && whole(field))
    };
    let cut = rows.iter().filter(|(_, fields)| is_cut(fields)).count();
    cut > 0 && cut * 2 > rows.len()
}

/// Which field is what.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Columns {
    pub(super) name: Option<usize>,
    pub(super) easting: usize,
    pub(super) northing: usize,
    pub(super) elevation: Option<usize>,
    description: Option<usize>,
    /// Whether everything behind is part of the description.
    description_is_last: bool,
    /// The unit that the header names.
    pub(super) unit: Option<FileUnit>,
}

impl Columns {
    /// The usual columns of a file that names none.
    pub(super) fn without_header(rows: &[(usize, Vec<String>)], order: CoordinateOrder) -> Columns {
        // Where the fourth field is a number, three numbers stand behind a name; where it is words,
        // those describe the three numbers before it.
        let fourths = rows
            .iter()
            .take(LOOKED_AT)
            .filter_map(|(_, fields)| fields.get(3));
        let (numbers, words): (Vec<&String>, Vec<&String>) =
            (fourths.filter(|field| !field.is_empty())).partition(|field| is_numeric(field));
        let has_name = numbers.len() > words.len();
        let first = usize::from(has_name);
        let (northing, easting) = match order {
            CoordinateOrder::NorthingFirst => (first, first + 1),
            CoordinateOrder::EastingFirst => (first + 1, first),
        };
        Columns {
            name: has_name.then_some(0),
            easting,
            northing,
            elevation: Some(first + 2),
            description: Some(first + 3),
            description_is_last: true,
            unit: None,
        }
    }

    /// Which coordinate stands first.
    pub(super) fn order(&self) -> CoordinateOrder {
        if self.northing < self.easting {
            CoordinateOrder::NorthingFirst
        } else {
            CoordinateOrder::EastingFirst
        }
    }

    /// How many fields a line must have.
    pub(super) fn needed(&self) -> usize {
        self.easting
            .max(self.northing)
            .max(self.elevation.unwrap_or(0))
            + 1
    }

    /// The fields that hold numbers.
    pub(super) fn numbers<'a>(&self, fields: &'a [String]) -> impl Iterator<Item = &'a str> {
        [Some(self.easting), Some(self.northing), self.elevation]
            .into_iter()
            .filter_map(|column| fields.get(column?))
            .map(String::as_str)
            .filter(|field| is_numeric(field))
    }

    pub(super) fn description_of(&self, fields: &[String]) -> String {
        let Some(first) = self.description else {
            return String::new();
        };
        let last = if self.description_is_last {
            fields.len()
        } else {
            first + 1
        };
        let words: Vec<&str> = (fields.get(first..last).unwrap_or_default().iter())
            .map(|field| field.trim())
            .filter(|field| !field.is_empty())
            .collect();
        words.join(" ")
    }
}

/// Finds the header, as the first row or else in a comment above it, and takes its row out.
pub(super) fn header(
    lines: &[(usize, &str)],
    rows: &mut Vec<(usize, Vec<String>)>,
    separator: Separator,
) -> Option<Columns> {
    let (first, fields) = rows.first()?;
    if let Some(columns) = named(fields) {
        rows.remove(0);
        return Some(columns);
    }
    let above = lines.iter().take_while(|(number, _)| number < first);
    let comments = above
        .map(|(_, line)| line.trim())
        .filter(|line| is_comment(line));
    comments
        .filter_map(|line| named(&separator.split(line.trim_start_matches(['#', '/']))))
        .last()
}

/// The columns by their names; absent when the names are not those of a header.
fn named(fields: &[String]) -> Option<Columns> {
    if fields.iter().any(|field| is_numeric(field)) {
        return None;
    }
    let titles: Vec<Title> = fields.iter().map(|field| Title::of(field)).collect();
    let find = |kind: Kind| titles.iter().position(|title| title.kind == Some(kind));
    let description = find(Kind::Description);
    Some(Columns {
        name: find(Kind::Name),
        easting: find(Kind::Easting)?,
        northing: find(Kind::Northing)?,
        elevation: find(Kind::Elevation),
        description,
        description_is_last: description.is_some_and(|column| column + 1 == fields.len()),
        unit: titles.iter().find_map(|title| title.unit),
    })
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Name,
    Easting,
    Northing,
    Elevation,
    Description,
}

struct Title {
    kind: Option<Kind>,
    unit: Option<FileUnit>,
}

impl Title {
    /// `Northing (US ft)`, `elev_m`, `Hochwert [m]`: what it is, and in which unit.
    fn of(field: &str) -> Title {
        let field = field.to_lowercase();
        let words: Vec<&str> = field
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .collect();
        let has = |any: &[&str]| words.iter().any(|word| any.contains(word));
        let is_feet = has(&["ft", "feet", "foot", "usft", "ftus", "sft"]);
        let is_us = has(&["us", "usft", "ftus", "sft", "survey"]);
        let unit = match (is_feet, is_us) {
            (true, true) => Some(FileUnit::UsSurveyFeet),
            (true, false) => Some(FileUnit::Feet),
            _ if has(&["m", "metres", "meters", "metre", "meter"]) => Some(FileUnit::Metres),
            _ => None,
        };
        Title {
            kind: words.iter().find_map(|word| kind(word)),
            unit,
        }
    }
}

/// What a word in a header names, in the languages whose files come along.
fn kind(word: &str) -> Option<Kind> {
    Some(match word {
        "point" | "points" | "pt" | "pnt" | "p" | "no" | "nr" | "num" | "number" | "name"
        | "id" | "pointid" | "pointname" | "pointno" | "punkt" | "punktnummer" | "punktnr"
        | "nummer" | "punto" | "matricule" | "numéro" | "nom" => Kind::Name,
        "easting" | "eastings" | "east" | "e" | "x" | "rechtswert" | "ost" | "est" | "este" => {
            Kind::Easting
        }
        "northing" | "northings" | "north" | "n" | "y" | "hochwert" | "nord" | "norte" => {
            Kind::Northing
        }
        "elevation" | "elev" | "el" | "z" | "height" | "h" | "rl" | "level" | "höhe" | "hoehe"
        | "altitude" | "alt" | "quota" | "cota" | "elevación" => Kind::Elevation,
        "description" | "desc" | "d" | "code" | "note" | "notes" | "remark" | "remarks"
        | "comment" | "bemerkung" | "beschreibung" | "descripción" | "descrizione" => {
            Kind::Description
        }
        _ => return None,
    })
}
