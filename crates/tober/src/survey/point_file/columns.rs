//! Which field is what.

use super::super::book_titles::is_sight;
use super::number::feet_and_inches;
use super::{CoordinateOrder, FileUnit, is_comment};

/// What stands between fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::survey) enum Separator {
    Tab,
    Semicolon,
    Comma,
    Bar,
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
            let looked_at = || lines.iter().take(LOOKED_AT);
            let points = |separator: Separator| {
                let lines = looked_at().filter(|(_, line)| numbers(separator, line) > 0);
                lines.count()
            };
            // Where tabs part the fields, blanks are of the numbers: 4 512 345.
            let hard = [Separator::Tab, Separator::Semicolon, Separator::Bar];
            let is_split =
                || (hard.into_iter().map(points).max()) >= Some(looked_at().count().div_ceil(2));
            if separator == Separator::Blanks && is_split() {
                return 0;
            }
            looked_at().map(|(_, line)| numbers(separator, line)).sum()
        })
    }

    /// The first separator that scores best.
    pub(in crate::survey) fn most(score: impl Fn(Separator) -> usize) -> Separator {
        let mut best = (0, Separator::Comma);
        for separator in [
            Separator::Tab,
            Separator::Semicolon,
            Separator::Comma,
            Separator::Bar,
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
            Separator::Bar => "bars",
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
            Separator::Bar => '|',
            Separator::Blanks => return line.split_whitespace().map(str::to_owned).collect(),
        };
        if !line.contains('"') {
            return line
                .split(delimiter)
                .map(|field| field.trim().to_owned())
                .collect();
        }
        unquoted(line, delimiter)
    }
}

/// The fields of a line that has quotes in it. A quote opens a field only at its start, blanks or
/// not before it: anywhere else it is one, as in `pipe 12"`.
fn unquoted(line: &str, delimiter: char) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut is_quoted = false;
    let mut rest = line.chars().peekable();
    while let Some(next) = rest.next() {
        let Some(field) = fields.last_mut() else {
            break;
        };
        match next {
            '"' if is_quoted && rest.peek() == Some(&'"') => {
                field.push('"');
                rest.next();
            }
            '"' if is_quoted => is_quoted = false,
            '"' if field.trim().is_empty() => {
                field.clear();
                is_quoted = true;
            }
            _ if next == delimiter && !is_quoted => fields.push(String::new()),
            _ => field.push(next),
        }
    }
    fields.iter().map(|field| field.trim().to_owned()).collect()
}

/// Whether a field stands for nothing.
pub(super) fn is_blank(field: &str) -> bool {
    let nothing = [
        "", "-", "--", "–", "—", "?", "n/a", "na", "nan", "null", "none",
    ];
    let field = field.trim();
    nothing.iter().any(|it| field.eq_ignore_ascii_case(it))
}

/// Whether a field looks like a number: digits and marks, blanks only between groups of three.
pub(in crate::survey) fn is_numeric(field: &str) -> bool {
    let mut groups = field.split([' ', '\u{a0}', '\u{202f}', '\'', '’']);
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
    pub(super) error: Option<usize>,
    description: Option<usize>,
    /// Whether everything behind is part of the description.
    description_is_last: bool,
    /// The unit that the header names.
    pub(super) unit: Option<FileUnit>,
    /// The unit that it names for the elevations, where that is another.
    pub(super) elevation_unit: Option<FileUnit>,
    /// Whether the header leaves no doubt which coordinate is which: x and y do not, for in many
    /// countries x points north.
    pub(super) order_is_sure: bool,
    /// Columns whose titles say nothing that is known here, each with its title.
    pub(super) untold: Vec<(usize, String)>,
}

impl Columns {
    /// The usual columns of a file that names none.
    pub(super) fn without_header(rows: &[(usize, Vec<String>)], order: CoordinateOrder) -> Columns {
        // Where the fourth field is a number, three numbers stand behind a name; where it is words,
        // those describe the three numbers before it.
        let of_points = rows.iter().filter(|(_, fields)| is_a_point(fields));
        let fourths = of_points
            .take(LOOKED_AT)
            .filter_map(|(_, fields)| fields.get(3));
        let (numbers, words): (Vec<&String>, Vec<&String>) = (fourths
            .filter(|field| !is_blank(field)))
        .partition(|field| is_numeric(field) || feet_and_inches(field).is_some());
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
            error: None,
            description: Some(first + 3),
            description_is_last: true,
            unit: None,
            elevation_unit: None,
            order_is_sure: false,
            untold: Vec::new(),
        }
    }

    /// The titles of columns that hold numbers, and of which nobody knows what they are.
    pub(super) fn unread(&self, rows: &[(usize, Vec<String>)]) -> Vec<String> {
        let has_numbers = |column: usize| {
            let fields = rows.iter().filter_map(|(_, fields)| fields.get(column));
            fields.take(LOOKED_AT).any(|field| is_numeric(field))
        };
        let untold = self
            .untold
            .iter()
            .filter(|(column, _)| has_numbers(*column));
        untold.map(|(_, title)| title.clone()).collect()
    }

    /// The same with the coordinates in the order that the user says, where the header leaves that
    /// open.
    pub(super) fn in_order(mut self, order: Option<CoordinateOrder>) -> Columns {
        if !self.order_is_sure && order.is_some_and(|order| order != self.order()) {
            std::mem::swap(&mut self.easting, &mut self.northing);
        }
        self
    }

    /// Takes the units from a row of their own below the titles, where these name none.
    fn take_units(&mut self, row: &[String]) {
        let of = |column: usize| {
            row.get(column)
                .and_then(|field| unit(&words(&field.to_lowercase())))
        };
        let elevation_unit = self.elevation.and_then(of);
        self.unit = (self.unit)
            .or_else(|| of(self.easting))
            .or_else(|| of(self.northing))
            .or(elevation_unit);
        self.elevation_unit =
            (self.elevation_unit).or(elevation_unit.filter(|it| Some(*it) != self.unit));
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

    /// Whether one of its numbers is written in feet and inches.
    pub(super) fn has_feet_and_inches(&self, fields: &[String]) -> bool {
        [Some(self.easting), Some(self.northing), self.elevation]
            .into_iter()
            .filter_map(|column| fields.get(column?))
            .any(|field| feet_and_inches(field).is_some())
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

/// Whether a row has a place in it.
fn is_a_point(fields: &[String]) -> bool {
    fields.iter().filter(|field| is_numeric(field)).count() >= 2
}

/// The line of the first point; the largest number when there is none.
pub(super) fn first_point(rows: &[(usize, Vec<String>)]) -> usize {
    let first = rows.iter().find(|(_, fields)| is_a_point(fields));
    first.map_or(usize::MAX, |(number, _)| *number)
}

/// What stands above the points.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Heading {
    /// The columns, where a header names them.
    pub(super) columns: Option<Columns>,
    /// What is to be said of lines that look like a header and do not tell the columns.
    pub(super) unread: Option<(usize, &'static str)>,
}

/// Finds the header, as one of the rows above the first point or else in a comment above them,
/// and takes its row out.
pub(super) fn heading(
    lines: &[(usize, &str)],
    rows: &mut Vec<(usize, Vec<String>)>,
    separator: Separator,
) -> Heading {
    // The spreadsheets' own word for what separates fields.
    rows.retain(|(number, fields)| {
        let says_separator = fields
            .first()
            .is_some_and(|it| it.to_lowercase().starts_with("sep="));
        *number != 1 || !says_separator
    });
    let above = rows.iter().position(|(_, fields)| is_a_point(fields));
    let above = above.unwrap_or(rows.len());
    let named_row = rows
        .iter()
        .take(above)
        .rposition(|(_, fields)| named(fields).is_some());
    if let Some(row) = named_row {
        // What stands above it is the title of the list.
        let below = rows.get(row + 1..above).unwrap_or_default();
        let units = below.first().map(|(_, fields)| fields.clone());
        let units = units.filter(|fields| is_row_of_units(fields));
        let fields = rows.drain(..=row + usize::from(units.is_some()));
        let fields = fields.take(row + 1).next_back();
        let mut columns = fields.and_then(|(_, fields)| named(&fields));
        if let (Some(columns), Some(units)) = (&mut columns, units) {
            columns.take_units(&units);
        }
        return Heading {
            columns,
            unread: None,
        };
    }
    let first = rows.get(above).map_or(usize::MAX, |(number, _)| *number);
    let comments = (lines.iter().take_while(|(number, _)| *number < first))
        .map(|(_, line)| line.trim())
        .filter(|line| is_comment(line));
    let in_comment = comments
        .filter_map(|line| named(&separator.split(line.trim_start_matches(['#', '/']))))
        .last();
    let is_header = |fields: &[String]| fields.len() > 2 && !fields.iter().any(|it| is_numeric(it));
    let unread = rows
        .iter()
        .take(above)
        .rposition(|(_, fields)| is_header(fields));
    let unread = unread.filter(|_| in_comment.is_none()).and_then(|row| {
        let (number, fields) = rows.get(row)?;
        let number = *number;
        if is_of_levelling(fields) {
            // Rod readings taken for coordinates would make a survey of nothing.
            rows.retain(|(other, _)| *other == number);
            let why = "the titles are those of a field book, of which the names of the points or \
                       the readings were not found";
            return Some((number, why));
        }
        if fields.iter().any(|field| Title::of(field).is_degrees) {
            // Degrees read as metres would be a survey of a hand's breadth.
            rows.retain(|(other, _)| *other == number);
            let why =
                "latitude and longitude are no places on a plan: ask for northing and easting";
            return Some((number, why));
        }
        let why = "a header that does not tell easting and northing; the columns are taken in the \
                   usual order";
        Some((number, why))
    });
    Heading {
        columns: in_comment,
        unread,
    }
}

/// Whether titles speak of levelling, two sights or more.
fn is_of_levelling(fields: &[String]) -> bool {
    fields.iter().filter(|field| is_sight(field)).count() > 1
}

/// Whether fields are the titles of a point file.
pub(in crate::survey) fn are_titles(fields: &[String]) -> bool {
    named(fields).is_some()
}

/// The columns by their names; absent when the names are not those of a header.
fn named(fields: &[String]) -> Option<Columns> {
    if fields.iter().any(|field| is_numeric(field)) {
        return None;
    }
    let titles: Vec<Title> = fields.iter().map(|field| Title::of(field)).collect();
    // The first that says it in full, or else by a letter.
    let find = |kind: Kind| {
        let says = |by_letter: bool| {
            let is = |title: &Title| title.kind == Some(kind) && title.by_letter == by_letter;
            titles.iter().position(is)
        };
        says(false).or_else(|| says(true))
    };
    let (easting, northing) = (find(Kind::Easting)?, find(Kind::Northing)?);
    let elevation = find(Kind::Elevation);
    let description = find(Kind::Description);
    let unit_of = |column: usize| titles.get(column)?.unit;
    let any_unit = || titles.iter().find_map(|title| title.unit);
    let unit = unit_of(easting)
        .or_else(|| unit_of(northing))
        .or_else(any_unit);
    let is_sure = |column: usize| titles.get(column).is_some_and(|title| !title.is_x_or_y);
    Some(Columns {
        name: find(Kind::Name),
        easting,
        northing,
        elevation,
        error: find(Kind::Error),
        description,
        description_is_last: description.is_some_and(|column| column + 1 == fields.len()),
        unit,
        elevation_unit: elevation.and_then(unit_of).filter(|it| Some(*it) != unit),
        order_is_sure: is_sure(easting) && is_sure(northing),
        untold: (titles.iter().zip(fields).enumerate())
            .filter(|(_, (title, field))| title.kind.is_none() && !field.is_empty())
            .map(|(column, (_, field))| (column, field.clone()))
            .collect(),
    })
}

/// What a column of a point file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::survey) enum Kind {
    Name,
    Easting,
    Northing,
    Elevation,
    /// Standard error of the elevation.
    Error,
    Description,
}

struct Title {
    kind: Option<Kind>,
    /// Whether a single letter says it.
    by_letter: bool,
    /// Whether that letter is x or y.
    is_x_or_y: bool,
    unit: Option<FileUnit>,
    is_degrees: bool,
}

impl Title {
    /// `Northing (US ft)`, `elev_m`, `Hochwert [m]`, `Point_X`, `N° point`: what it is, and in
    /// which unit.
    ///
    /// Coordinates before names, for `Point_X` is one; whole words before letters, for
    /// `Y (Easting)` is an easting.
    fn of(field: &str) -> Title {
        let field = field
            .to_lowercase()
            .replace("n°", "no ")
            .replace("nº", "no ")
            .replace('№', "no ");
        let words = words(&field);
        let has = |any: &[&str]| words.iter().any(|word| any.contains(word));
        let unit = unit(&words);
        let kinds = || words.iter().filter_map(|word| Some((kind(word)?, *word)));
        let is_place =
            |kind: Kind| matches!(kind, Kind::Easting | Kind::Northing | Kind::Elevation);
        let ranks = [(true, false), (true, true), (false, false), (false, true)];
        let said = ranks.into_iter().find_map(|(place, letter)| {
            kinds().find(|(kind, word)| is_place(*kind) == place && (word.len() == 1) == letter)
        });
        let word = said.map_or("", |(_, word)| word);
        Title {
            kind: said.map(|(kind, _)| kind),
            by_letter: word.len() == 1,
            is_x_or_y: matches!(word, "x" | "y"),
            unit,
            is_degrees: has(&["lat", "latitude", "lon", "long", "lng", "longitude"]),
        }
    }
}

/// The words of a text.
fn words(text: &str) -> Vec<&str> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect()
}

/// Whether fields are units and nothing else, each for the title above it: `(m)`, `[ft]`.
pub(in crate::survey) fn is_row_of_units(fields: &[String]) -> bool {
    let is_unit = |field: &&String| {
        let field = field.to_lowercase();
        let is_marked = field.starts_with(['(', '[']) && field.ends_with([')', ']']);
        let words = words(&field);
        (words.len() == 1 || is_marked) && unit(&words).is_some()
    };
    let mut written = fields
        .iter()
        .filter(|field| !field.trim().is_empty())
        .peekable();
    written.peek().is_some() && written.all(|field| is_unit(&field))
}

/// The unit that words name.
fn unit(words: &[&str]) -> Option<FileUnit> {
    let has = |any: &[&str]| words.iter().any(|word| any.contains(word));
    let is_feet = has(&["ft", "feet", "foot", "usft", "ftus", "sft"]);
    let is_us = has(&["us", "usft", "ftus", "sft", "survey"]);
    match (is_feet, is_us) {
        (true, true) => Some(FileUnit::UsSurveyFeet),
        (true, false) => Some(FileUnit::Feet),
        _ if has(&["mm", "millimetres", "millimeters"]) => Some(FileUnit::Millimetres),
        _ if has(&[
            "m", "metres", "meters", "metre", "meter", "mètres", "metros", "metri",
        ]) =>
        {
            Some(FileUnit::Metres)
        }
        _ => None,
    }
}

/// The unit of all coordinates as a line above the points may say it, a comment or none:
/// `# Units: US survey feet`.
pub(in crate::survey) fn unit_above(lines: &[(usize, &str)], first: usize) -> Option<FileUnit> {
    let above = lines
        .iter()
        .take_while(|(number, _)| *number < first)
        .take(LOOKED_AT);
    let said = above.filter_map(|(_, line)| {
        let line = line.to_lowercase();
        let words = words(&line);
        let speaks_of_units = words.iter().any(|word| {
            matches!(
                *word,
                "unit"
                    | "units"
                    | "einheit"
                    | "einheiten"
                    | "unité"
                    | "unités"
                    | "unidad"
                    | "unidades"
                    | "unità"
            )
        });
        // "All dimensions in US survey feet".
        let in_units = || {
            let places =
                (0..words.len()).filter(|at| matches!(words.get(*at), Some(&"in" | &"en")));
            places
                .filter_map(|at| words.get(at + 1..))
                .find_map(|behind| {
                    let first = behind.get(..1)?;
                    let is_unit =
                        unit(first).is_some() || matches!(first, ["us" | "international"]);
                    unit(behind).filter(|_| is_unit)
                })
        };
        unit(&words).filter(|_| speaks_of_units).or_else(in_units)
    });
    said.last()
}

/// What a word in a header names, in the languages whose files come along.
pub(in crate::survey) fn kind(word: &str) -> Option<Kind> {
    Some(match word {
        "point" | "points" | "pt" | "pnt" | "pto" | "pts" | "ptno" | "ptid" | "ptnr" | "p"
        | "no" | "nr" | "num" | "number" | "name" | "id" | "station" | "sta" | "stn"
        | "pointid" | "pointname" | "pointno" | "punkt" | "punktnummer" | "punktnr" | "nummer"
        | "punto" | "matricule" | "numéro" | "nom" | "pkt" | "punktnavn" | "ponto" | "piste"
        | "punt" | "naam" | "numer" | "bodu" | "bod" | "číslo" | "cislo" | "nokta" | "točka"
        | "pont" | "pontszám" | "punct" | "номер" | "точка" | "имя" | "target" | "estación"
        | "estacion" | "stazione" | "caposaldo" | "点号" | "点名" | "测点" | "測点" => {
            Kind::Name
        }
        "easting" | "eastings" | "east" | "e" | "x" | "rechtswert" | "ost" | "est" | "este"
        | "leste" | "øst" | "öst" | "oost" | "itä" | "ostwert" | "rw" | "wschód" | "wschod"
        | "wschodnia" | "sağa" | "saga" | "východ" | "istok" | "kelet" | "восток" => {
            Kind::Easting
        }
        "northing" | "northings" | "north" | "n" | "y" | "hochwert" | "nord" | "norte" | "norr"
        | "noord" | "pohjoinen" | "nordwert" | "hw" | "północ" | "polnoc" | "północna"
        | "yukarı" | "yukari" | "sever" | "sjever" | "észak" | "север" => Kind::Northing,
        "elevation" | "elevations" | "elev" | "elv" | "ele" | "el" | "z" | "height" | "hgt"
        | "ht" | "h" | "rl" | "level" | "höhe" | "hoehe" | "altitude" | "alt" | "quota"
        | "cota" | "elevación" | "elevacion" | "høyde" | "højde" | "höjd" | "kote" | "hoogte"
        | "korkeus" | "wysokość" | "wysokosc" | "rzędna" | "altura" | "výška" | "vyska" | "kot"
        | "visina" | "magasság" | "cotă" | "высота" | "отметка" | "elevação" | "elevacao"
        | "altitud" | "高程" | "標高" | "地盤高" => Kind::Elevation,
        "description" | "desc" | "d" | "code" | "notes" | "remark" | "remarks" | "comment"
        | "bemerkung" | "beschreibung" | "descripción" | "descripcion" | "código" | "codigo"
        | "descrizione" | "libellé" | "descrição" | "kode" | "kod" | "beskrivelse"
        | "omschrijving" | "opis" | "popis" | "açıklama" | "aciklama" | "remarque"
        | "remarques" | "nature" | "note" | "leírás" | "описание" | "код" | "merkmal"
        | "observaciones" | "osservazioni" | "uwagi" | "poznámka" | "备注" | "備考" => {
            Kind::Description
        }
        "error" | "sd" | "stdev" | "sigma" | "vrms" | "vsd" | "sigmaz" | "sdz" => Kind::Error,
        _ => return None,
    })
}
