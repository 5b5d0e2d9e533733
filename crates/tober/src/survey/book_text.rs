//! A field book as a text file: what a crew types on a phone, or saves from a spreadsheet.
//!
//! ```text
//! # Anything behind a # is a remark.
//! name: Arrival day
//! units: feet                          metres, millimetres, feet, feet and inches
//! allowance: 12 mm per root km         or: 5 mm per root setup
//! spread by: distance                  or: setups
//! reading error: 1.5 mm
//!
//! point, backsight, between, foresight, known, distance, note
//! BM1,   4.20,      ,        ,          100.00,        , on the step
//! gate,  ,          3.11,    ,          ,              ,
//! TP1,   5.15,      ,        2.50,      ,      40 m,
//! BM1,   ,          ,        3.85,      ,      40 m,
//! ```
//!
//! Settings are optional and come first. The header names the columns, in any order: `point`;
//! `backsight` or `bs`; `between`, `intermediate` or `is`; `foresight` or `fs`; `known`,
//! `elevation` or `rl`; `distance`; `x` and `y`, or `easting` and `northing`; `note`; and in other
//! words (`book_titles`). Fields are separated by commas, semicolons, tabs, bars or blanks; a dash
//! is an empty field. A column that this program computes (`hi`, `rise`, `adjusted`) may stand
//! there; elevations that were computed by hand are compared with its own
//! ([`FieldBookText::wrong_elevations`]).

use serde::Serialize;

use super::Allowance;
use super::aligned::with_tabs;
use super::book::{FieldBook, SpreadBy};
use super::book_rows::{Reader, last_digit};
use super::book_titles::{Header, unit};
use super::point_file::{BadLine, unit_above};
use super::reading::parse_reading;
use super::reduce::Reduction;
use crate::units::{LengthStyle, parse_length};

/// A field book read from text.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FieldBookText {
    /// The book.
    pub book: FieldBook,
    /// For each row of the book its line in the text, counted from 1.
    pub lines: Vec<usize>,
    /// Whether the text or the user said how a bare number is read; else it is metres.
    pub units_were_stated: bool,
    /// Lines that could not be read, and fields that could not.
    pub bad_lines: Vec<BadLine>,
    /// Lines above the table that are no setting, and were passed over.
    pub passed_over: Vec<usize>,
    /// The titles of columns that hold numbers and that no title known here names.
    pub unread_columns: Vec<String>,
    /// For each row of the book the elevation that whoever wrote it computed; empty where none
    /// stands.
    pub carried: Vec<String>,
    /// Lines of benchmarks whose elevation was taken for a computed one, that checks nothing: the
    /// page carries its elevations from row to row, and this one is what the readings give.
    pub computed_benchmarks: Vec<usize>,
    /// What was understood that the text does not say outright, a sentence each.
    pub notes: Vec<String>,
}

/// How a field book begins, a line each: what to show to somebody whose file is none.
pub const FIELD_BOOK_EXAMPLE: [&str; 5] = [
    "units: feet",
    "point, backsight, between, foresight, known",
    "BM1, 4.20, , , 100.00",
    "gate, , 3.11, ,",
    "TP1, 5.15, , 2.50,",
];

/// Reads a field book from text; `units` is how a bare number is read where the text does not
/// say. Absent when the text has no header of a field book.
///
/// ```
/// use tober::survey::read_field_book;
/// let text = "units: feet\npoint,bs,fs,known\nBM1,4.20,,100.00\nTP1,,2.50,\n";
/// let read = read_field_book(text, None).unwrap();
/// let reduced = read.book.reduce();
/// assert!((reduced.rows[1].elevation.unwrap().0 - 101.70 * 0.3048).abs() < 1e-9);
/// assert_eq!(read_field_book("1,100.0,200.0,5.0", None), None);
/// ```
pub fn read_field_book(text: &str, units: Option<LengthStyle>) -> Option<FieldBookText> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let is_header = |titles: &[String]| Header::of(&titles.join("\t")).is_some();
    let text = with_tabs(&text, is_header).unwrap_or(text);
    read_table(&text, units).or_else(|| read_one_setup(&text, units))
}

/// Reads a table that has a header.
fn read_table(text: &str, units: Option<LengthStyle>) -> Option<FieldBookText> {
    let mut lines = (1..).zip(text.split('\n')).filter(|(_, line)| {
        let line = line.trim();
        !line.is_empty() && !line.starts_with('#')
    });

    let mut settings = Vec::new();
    let mut above = Vec::new();
    let mut header = loop {
        let (number, line) = lines.next()?;
        if let Some(header) = Header::of(line) {
            break header;
        }
        if above.len() + settings.len() == LINES_ABOVE {
            return None;
        }
        match setting(line) {
            Some((key, value)) => settings.push((number, key, value)),
            None => above.push((number, line.trim_end())),
        }
    };
    if above.last().is_some_and(|(_, line)| header.complete(line)) {
        above.pop();
    }
    let mut reader = Reader::new(header, units);
    for (line, key, value) in settings {
        if let Err(words) = reader.set(line, &key, &value) {
            reader.bad(line, words);
        }
    }
    if !reader.read.units_were_stated
        && let Some(units) = unit_above(&above, usize::MAX)
    {
        reader.read.book.units = units.of_readings();
        reader.read.units_were_stated = true;
    }
    for (line, text) in above {
        if reader.read.book.name.is_empty() {
            let name = text.trim_end_matches([',', ';', '\t', '|']);
            name.trim().clone_into(&mut reader.read.book.name);
        } else {
            reader.read.passed_over.push(line);
        }
    }
    let separator = reader.header.separator;
    let table = lines.map(|(line, text)| {
        let text = text.split('#').next().unwrap_or_default();
        (line, separator.split(text))
    });
    Some(reader.table(&table.collect::<Vec<_>>()))
}

/// Reads a list without a header, as it is jotted down at the feet of a ride: a name and a rod
/// reading in every line, all of one setup. Absent when a line is anything else.
///
/// ```text
/// front left   4.32
/// front right  4.41
/// ```
fn read_one_setup(text: &str, units: Option<LengthStyle>) -> Option<FieldBookText> {
    let mut reader = Reader::new(Header::of_one_setup(), units);
    let mut table = Vec::new();
    for (number, line) in (1..).zip(text.split('\n')) {
        let line = line.split('#').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        if table.is_empty()
            && let Some((key, value)) = setting(line)
            && SETTING_WORDS.iter().any(|word| key.contains(word))
        {
            if let Err(words) = reader.set(number, &key, &value) {
                reader.bad(number, words);
            }
            continue;
        }
        let (name, reading) = named_reading(line, reader.read.book.units)?;
        table.push((number, vec![name.to_owned(), reading.to_owned()]));
    }
    if table.len() < 2 {
        return None;
    }
    reader.note(
        "No titles: every line was taken for the name of a point and a rod reading on it, all of \
         one setup."
            .to_owned(),
    );
    Some(reader.table(&table))
}

/// A name with a letter in it and a rod reading behind it.
fn named_reading(line: &str, units: LengthStyle) -> Option<(&str, &str)> {
    let begins = line.char_indices().filter(|(place, letter)| {
        let before = line.get(..*place).unwrap_or_default();
        let is_new = before.ends_with([' ', ',', ';', '\t', '|', ':', '=']);
        is_new && (letter.is_ascii_digit() || matches!(letter, '-' | '.'))
    });
    let split = begins.filter_map(|(place, _)| line.split_at_checked(place));
    split
        .map(|(name, reading)| {
            let is_mark = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | '|' | ':' | '=');
            (
                name.trim_end_matches(is_mark),
                reading.trim_end_matches(is_mark),
            )
        })
        .find(|(name, reading)| {
            // Both fields and decimals by commas: which is which?
            let behind = line.get(name.len()..).unwrap_or_default();
            let is_cut = behind.starts_with(',') && reading.contains(',');
            // "jack 1 4" is a jack 1, and no reading of a foot and four.
            let is_one = !reading.contains(' ')
                || reading.contains(['\'', '"'])
                || reading.contains(char::is_alphabetic);
            name.contains(char::is_alphabetic)
                && !name.contains([',', ';', '\t', '|'])
                && is_one
                && !is_cut
                && parse_reading(reading, units).is_ok()
        })
}

/// Lines above the table, beyond which the text is taken to have none.
const LINES_ABOVE: usize = 100;

impl FieldBookText {
    /// What is to be looked at before the book is relied on, a sentence or two each.
    pub fn cautions(&self, reduction: &Reduction) -> Vec<String> {
        let wrong = self.wrong_elevations(reduction).into_iter();
        let mut cautions: Vec<String> = wrong
            .map(|BadLine { line, words }| format!("SLIP OF THE SUMS? Line {line}: {words}."))
            .collect();
        let computed = self.computed_benchmarks.iter();
        cautions.extend(computed.map(|line| {
            format!(
                "The elevation in line {line} is what the readings give, as on every row of this \
                 page: taken for computed, it checks nothing. If it is known, write it in a column \
                 of its own, known."
            )
        }));
        cautions.extend(self.notes.iter().cloned());
        if !self.unread_columns.is_empty() {
            let columns = self.unread_columns.join(", ");
            cautions.push(format!("Columns of numbers not read: {columns}."));
        }
        cautions
    }

    /// The elevations in the book that its own readings do not give, neither before the adjustment
    /// nor after it, each with its line: a slip of the sums, or of the typing.
    pub fn wrong_elevations(&self, reduction: &Reduction) -> Vec<BadLine> {
        let units = self.book.units;
        let rows = (self.carried.iter().zip(&self.lines)).zip(&reduction.rows);
        rows.filter_map(|((written, line), row)| {
            let carried = parse_length(written, units).ok()?;
            let own = [row.elevation, row.adjusted].map(|own| Some(own?.0));
            let off = (own.into_iter().flatten())
                .map(|own| (own - carried).abs())
                .reduce(f64::min)?;
            (off > last_digit(written, units)?).then(|| BadLine {
                line: *line,
                words: format!(
                    "the book says {written}, and its readings give {}",
                    units.format(row.elevation.map_or(carried, |own| own.0))
                ),
            })
        })
        .collect()
    }
}

/// A setting: a key, a colon or an equals sign, a value.
fn setting(line: &str) -> Option<(String, String)> {
    let (key, value) = line.split('#').next()?.split_once([':', '='])?;
    // A spreadsheet fills its rows up with separators.
    let value = value.trim().trim_end_matches([',', ';', '\t']).trim();
    Some((key.trim().to_lowercase(), value.to_owned()))
}

/// What a line above the table has in it when it is meant for a setting.
const SETTING_WORDS: [&str; 4] = ["unit", "allow", "spread", "error"];

impl Reader {
    /// Applies a setting. What is none is a remark, as a date is, unless it looks like one
    /// misspelt.
    fn set(&mut self, line: usize, key: &str, value: &str) -> Result<(), String> {
        let book = &mut self.read.book;
        match key {
            "name" => book.name = value.to_owned(),
            "units" | "unit" => {
                book.units = units(value).ok_or_else(|| {
                    format!("{value:?} is no unit: metres, millimetres, feet, feet and inches")
                })?;
                self.read.units_were_stated = true;
            }
            "allowance" => {
                book.allowance = Some(Allowance::parse(value, book.units).ok_or_else(|| {
                    format!(
                        "{value:?} is no allowance: 12 mm per root km, 0.05 ft per root mile, 5 mm \
                         per root setup"
                    )
                })?);
            }
            "spread by" | "spread" => {
                book.spread_by = match value.to_lowercase().as_str() {
                    "distance" => SpreadBy::Distance,
                    "setups" => SpreadBy::Setups,
                    _ => return Err(format!("{value:?}: spread by distance or by setups")),
                };
            }
            "reading error" => {
                let error = parse_length(value, LengthStyle::Millimetres);
                let error = error.map_err(|error| error.to_string())?;
                if error <= 0.0 {
                    return Err("a reading error is more than 0".to_owned());
                }
                book.reading_error = Some(error);
            }
            _ if SETTING_WORDS.iter().any(|word| key.contains(word)) => {
                return Err(format!(
                    "{key:?} is no setting: name, units, allowance, spread by, reading error"
                ));
            }
            _ => self.read.passed_over.push(line),
        }
        Ok(())
    }
}

fn units(text: &str) -> Option<LengthStyle> {
    match text.to_lowercase().as_str() {
        "decimal feet" | "us survey feet" | "survey feet" => Some(LengthStyle::DecimalFeet),
        "feet and inches" | "feet-inches" | "ft in" | "ft-in" => Some(LengthStyle::FeetInches8),
        word => unit(word),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    const FULL: &str = "\u{feff}# wet\r\nName: Arrival day\r\nunits: feet\r\nallowance: 8 mm per root setup\r\n\
        spread by: distance\r\nreading error: 2 mm\r\n\r\n\
        Point;B.S.;H.I.;between;F.S.;known;dist;x;y;note\r\n\
        BM1;4.20;104.20;;;100.00;;0;0;on the step\r\n\
        gate;;;3.11;;;;10;-;half a place\r\n\
        TP1;5.15;106.85;;2.50;;40 m;1.5 m;2;# behind a mark\r\n\
        ;;;;;;;;;\r\n\
        BM1;;;;3.85;;40 m;;;\r\n";

    #[test]
    fn every_setting_and_column_is_read() {
        let read = read_field_book(FULL, None).unwrap();
        let book = &read.book;
        assert_eq!(
            (book.name.as_str(), book.units),
            ("Arrival day", LengthStyle::DecimalFeet)
        );
        assert_eq!(book.allowance, Some(Allowance::PerRootSetup(0.008)));
        assert_eq!(
            (book.spread_by, book.reading_error),
            (SpreadBy::Distance, Some(0.002))
        );
        assert_eq!(read.lines, [9, 10, 11, 13]);
        assert_eq!(book.rows[0].note, "on the step");
        assert_eq!(
            (
                book.rows[2].backsight.as_str(),
                book.rows[2].distance.as_str()
            ),
            ("5.15", "40 m")
        );
        let places: Vec<&str> = book
            .places
            .iter()
            .map(|place| place.point.as_str())
            .collect();
        assert_eq!(places, ["BM1", "TP1"]);
        assert_eq!(read.bad_lines.len(), 1);
        assert_eq!(read.bad_lines[0].line, 10);
        assert!(read.units_were_stated);
    }

    #[test]
    fn an_elevation_carried_to_a_benchmark_checks_nothing() {
        let page = |last: &str| {
            let text = format!(
                "point bs fs elevation\nBM1 1.500 - 100.000\nTP 1.400 1.000 100.500\nBM2 - 1.300 {last}\n"
            );
            let read = read_field_book(&text, None).unwrap();
            (
                read.computed_benchmarks.clone(),
                read.book.reduce().standing(),
            )
        };
        use crate::survey::Standing;
        assert_eq!(page("100.600"), (vec![4], Standing::NotChecked));
        assert_eq!(page("100.603"), (vec![], Standing::Closes));
        assert_eq!(page("-"), (vec![], Standing::NotChecked));
        // No elevation is carried to the turning point: what stands there is known.
        let text = "point bs fs elev\nBM1 1.500 - 100.000\nTP 1.4 1.0 -\nBM2 - 1.3 100.600\n";
        let read = read_field_book(text, None).unwrap();
        assert_eq!(read.book.reduce().standing(), Standing::Closes);
    }

    #[test]
    fn a_computed_column_of_elevations_is_no_benchmark() {
        let text = "point bs is fs elevation\nA 1.500 - - 100.000\nx - 1.200 - 100.300\n\
                    TP 1.400 - 1.000 100.500\nBM2 - - 1.300 100.700\nBM2 - - - 100.600\n";
        let read = read_field_book(text, None).unwrap();
        let known: Vec<&str> = read
            .book
            .rows
            .iter()
            .map(|row| row.known.as_str())
            .collect();
        assert_eq!(known, ["100.000", "", "", "100.700", ""]);
        assert!(!read.units_were_stated);
    }

    #[test]
    fn wrong_settings_are_named_by_line() {
        let text = "units: cubits\nallowance: lots\nspread by: feel\nreading error: -1\ncolour: red\npoint,bs\nBM,1\n";
        let read = read_field_book(text, Some(LengthStyle::Metres)).unwrap();
        let lines: Vec<usize> = read.bad_lines.iter().map(|bad| bad.line).collect();
        assert_eq!(lines, [1, 2, 3, 4]);
        assert_eq!(read.passed_over, [5]);
    }

    #[test]
    fn a_page_with_a_head_and_a_rule_is_read() {
        let text = "Level run round the green,,,,\nDate: 12 May,,,,\nby us,,,,\n\
                    | Sta | + (ft) | H.I. | - (ft) | Elev. |\n|---|---|---|---|---|\n\
                    | BM 1 | 4.21 | 104.21 | | 100.00 |\n| TP 1 | 5.02 | 106.13 | 3.10 | 101.11 |\n\
                    | BM 1 | | | 6.13 | 100.00 |\n";
        let read = read_field_book(text, None).unwrap();
        assert_eq!(read.book.name, "Level run round the green");
        assert_eq!(
            (read.passed_over.as_slice(), read.book.units),
            ([2, 3].as_slice(), LengthStyle::DecimalFeet)
        );
        assert!(
            read.units_were_stated && read.bad_lines.is_empty(),
            "{read:?}"
        );
        assert_eq!(read.lines, [6, 7, 8]);
        assert_eq!(
            read.book.reduce().standing(),
            crate::survey::Standing::Closes
        );
    }

    #[test]
    fn where_no_column_names_the_points_the_remarks_do() {
        let text = "BS,IS,FS,Rise,Fall,RL,Remarks\n2.554,,,,,50.000,Datum\n,1.786,,0.768,,50.768,A\n\
                    ,,1.000,0.786,,51.554,B\n";
        let read = read_field_book(text, None).unwrap();
        let points: Vec<&str> = read
            .book
            .rows
            .iter()
            .map(|row| row.point.as_str())
            .collect();
        assert_eq!(points, ["Datum", "A", "B"]);
        assert_eq!(read.wrong_elevations(&read.book.reduce()), []);
    }

    #[test]
    fn an_elevation_that_its_readings_do_not_give_is_told() {
        let text = "point,bs,hi,fs,elev,temp\nBM1,4.21,104.21,,100.00,12\nTP1,5.02,106.13,3.10,101.11,12\n\
                    TP2,2.33,104.42,4.22,102.09,12\nBM1,,,4.24,100.1,12\n";
        let read = read_field_book(text, Some(LengthStyle::DecimalFeet)).unwrap();
        let wrong = read.wrong_elevations(&read.book.reduce());
        // The last one is within the tenth that it is given to.
        assert_eq!(wrong.len(), 1, "{wrong:?}");
        assert_eq!(
            (wrong[0].line, wrong[0].words.as_str()),
            (4, "the book says 102.09, and its readings give 101.91 ft")
        );
        assert_eq!(read.unread_columns, ["temp"]);
    }

    #[test]
    fn the_example_is_read_without_a_complaint() {
        let read = read_field_book(&FIELD_BOOK_EXAMPLE.join("\n"), None).unwrap();
        assert!(read.units_were_stated && read.bad_lines.is_empty());
        let heights = read.book.reduce().rows.into_iter();
        let heights: Vec<f64> = heights
            .map(|row| row.elevation.unwrap().0 / 0.3048)
            .collect();
        for (height, by_hand) in heights.iter().zip([100.00, 101.09, 101.70]) {
            assert!((height - by_hand).abs() < 1e-9, "{height}");
        }
    }

    #[test]
    fn other_texts_are_no_field_books() {
        for text in [
            "",
            "point,northing,easting\n1,2,3\n",
            "{}",
            "units: feet\n",
            "1,2,3,4\n",
        ] {
            assert_eq!(read_field_book(text, None), None, "{text}");
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in any::<String>(), rows in prop::collection::vec("[-0-9.,' a-c#:]{0,16}", 0..12)) {
            let _ = read_field_book(&text, None);
            let table = format!("units: feet\npoint,bs,is,fs,known,distance,x,y\n{}", rows.join("\n"));
            let read = read_field_book(&table, None).unwrap();
            let reduced = read.book.reduce();
            prop_assert_eq!(reduced.rows.len(), read.lines.len());
            let _ = (reduced.standing(), reduced.spot_levels().count(), reduced.to_csv());
        }

        /// A good file with some of its bytes overwritten, taken out or put in: whatever cannot
        /// be read is told by a line that the text has, and the rest is reduced.
        #[test]
        fn spoilt_files_are_located(
            slips in prop::collection::vec((any::<prop::sample::Index>(), 0..3u8, any::<u8>()), 1..12)
        ) {
            let mut bytes = FULL.as_bytes().to_vec();
            for (at, how, byte) in slips {
                let at = at.index(bytes.len());
                match how {
                    0 => bytes[at] = byte,
                    1 => bytes.insert(at, byte),
                    _ => { bytes.remove(at); }
                }
            }
            let (text, _) = crate::survey::decode(&bytes);
            if let Some(read) = read_field_book(&text, None) {
                let lines = text.replace("\r\n", "\n").replace('\r', "\n").split('\n').count();
                for bad in &read.bad_lines {
                    prop_assert!((1..=lines).contains(&bad.line) && !bad.words.is_empty(), "{bad:?}");
                }
                prop_assert!(read.lines.iter().all(|line| (1..=lines).contains(line)));
                let reduced = read.book.reduce();
                prop_assert_eq!(reduced.rows.len(), read.lines.len());
                let _ = (reduced.standing(), reduced.spot_levels().count(), reduced.to_csv());
            }
        }
    }
}
