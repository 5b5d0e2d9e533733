//! From the rows of a table to the rows of a field book, where tables differ from a page of the
//! book.
//!
//! ```text
//!   setup  point  reading     a new setup begins where its number changes
//!   point  reading  sight     R, Z, V or BS, IS, FS beside the reading
//!   Sta   +    HI    −        minus sights one after the other: all but the last are in between
//!   upper  middle  lower BS   three wires: the middle one is read, the outer two check it
//!   Σ     5.61      5.62      the sums at the foot of the page: compared, and no row of it
//! ```

use super::book::{BookRow, FieldBook};
use super::book_text::FieldBookText;
use super::book_titles::{Header, Title, sight_kind, unit, unit_word};
use super::place::{Place, PointPlace};
use super::point_file::{BadLine, Kind, is_numeric, is_row_of_units, kind};
use super::reading::parse_reading;
use crate::Point;
use crate::units::{LengthStyle, parse_length};

/// The middle wire lies midway between the outer two within this, metres. Common practice.
const WIRES_HALVE: f64 = 0.003;

/// A rod is so many times further away than the outer wires are apart on it. Common practice: what
/// instruments are made to.
const STADIA: f64 = 100.0;

/// Reads the rows of a table.
pub(super) struct Reader {
    pub(super) read: FieldBookText,
    pub(super) header: Header,
    /// Points that are known already, in small letters.
    known: Vec<String>,
    /// Rows below the first whose known elevation stands in a column of elevations.
    from_elevations: Vec<usize>,
    /// For every column, whether a number stands in it.
    has_numbers: Vec<bool>,
    /// The setup of the row before, where a column names it.
    setup: String,
    /// The first row below the last sums: of this page.
    page: usize,
    /// What the outer wires of the last backsight are apart, metres.
    wires_behind: Option<f64>,
    /// Whether a distance was made of wires.
    has_wires: bool,
}

impl Reader {
    /// Nothing read yet; `units` is how a bare number is read where neither text nor titles say.
    pub(super) fn new(header: Header, units: Option<LengthStyle>) -> Reader {
        let bare = units.or(header.units);
        let columns = header.columns.iter().zip(&header.column_units);
        let in_centimetres = columns
            .filter(|(title, _)| title.is_some_and(Title::is_reading))
            .all(|(_, unit)| *unit == Some("cm"));
        let mut header = header;
        if units.is_some() {
            // The user's word holds for every column.
            header.column_units.fill(None);
        }
        Reader {
            read: FieldBookText {
                book: FieldBook::new("book", bare.unwrap_or_default(), Vec::new()),
                lines: Vec::new(),
                units_were_stated: bare.is_some() || in_centimetres,
                bad_lines: Vec::new(),
                passed_over: Vec::new(),
                unread_columns: Vec::new(),
                carried: Vec::new(),
                computed_benchmarks: Vec::new(),
                notes: Vec::new(),
            },
            header,
            known: Vec::new(),
            from_elevations: Vec::new(),
            has_numbers: Vec::new(),
            setup: String::new(),
            page: 0,
            wires_behind: None,
            has_wires: false,
        }
    }

    pub(super) fn bad(&mut self, line: usize, words: String) {
        self.read.bad_lines.push(BadLine { line, words });
    }

    pub(super) fn note(&mut self, sentence: String) {
        self.read.notes.push(sentence);
    }

    /// Reads the rows, each with its line.
    pub(super) fn table(mut self, rows: &[(usize, Vec<String>)]) -> FieldBookText {
        let rows = match rows.split_first() {
            Some(((_, first), below)) if self.header.go_on(first) => below,
            _ => rows,
        };
        let rows = self.units_below_the_titles(rows);
        self.name_points(rows);
        let stacked = self.stacked_wires(rows);
        for (line, fields) in stacked.as_deref().unwrap_or(rows) {
            self.row(*line, fields);
        }
        self.millimetres_on_the_rod();
        self.sights_in_between();
        self.elevations_in_remarks();
        self.tell_computed_benchmarks();
        if self.has_wires {
            self.note(
                "Three wires: the middle one was read, and distances are 100 times what the outer \
                 two are apart."
                    .to_owned(),
            );
        }
        self.tell_other_units();
        // Columns that hold numbers and were not read.
        let columns = self.header.columns.iter().zip(&self.header.written);
        let unread = (columns.zip(&self.has_numbers))
            .filter(|((title, _), has_number)| title.is_none() && **has_number)
            .map(|((_, written), _)| written.clone());
        self.read.unread_columns = unread.collect();
        self.read
    }

    /// Takes the units that stand in a row of their own, below the titles.
    fn units_below_the_titles<'a>(
        &mut self,
        rows: &'a [(usize, Vec<String>)],
    ) -> &'a [(usize, Vec<String>)] {
        let Some(((_, first), rest)) = rows
            .split_first()
            .filter(|((_, it), _)| is_row_of_units(it))
        else {
            return rows;
        };
        let columns = self
            .header
            .columns
            .iter()
            .zip(&mut self.header.column_units);
        let mut of_readings = None;
        for ((title, own), field) in columns.zip(first) {
            *own = own.or_else(|| unit_word(field));
            if title.is_some_and(Title::is_reading) {
                of_readings = of_readings.or_else(|| unit(own.unwrap_or_default()));
            }
        }
        if let Some(units) = of_readings.filter(|_| !self.read.units_were_stated) {
            self.read.book.units = units;
            self.read.units_were_stated = true;
        }
        rest
    }

    /// Puts three wires that stand one below the other beside each other: absent unless all
    /// readings stand in threes, of one point each, and most middle ones halve the outer two.
    ///
    /// ```text
    ///   BM   1.700              upper wire
    ///        1.500              middle
    ///        1.300              lower
    /// ```
    fn stacked_wires(
        &mut self,
        rows: &[(usize, Vec<String>)],
    ) -> Option<Vec<(usize, Vec<String>)>> {
        let (behind, ahead) = (
            self.header.column(Title::Backsight)?,
            self.header.column(Title::Foresight)?,
        );
        let names = self.header.column(Title::Point)?;
        let units = self.read.book.units;
        let text = |row: &(usize, Vec<String>), column: usize| -> String {
            row.1
                .get(column)
                .map_or_else(String::new, |it| it.trim().to_owned())
        };
        let has_reading = |row: &&(usize, Vec<String>)| {
            let is_sums = row.1.iter().any(|field| is_word_for_a_sum(field));
            let is_blank = text(row, behind).is_empty() && text(row, ahead).is_empty();
            !(is_sums || is_blank)
        };
        let readings: Vec<&(usize, Vec<String>)> = rows.iter().filter(has_reading).collect();
        if readings.len() < 6 || !readings.len().is_multiple_of(3) {
            return None;
        }
        let titles = self.header.columns.len();
        let mut beside = Vec::new();
        let mut halved = 0;
        for stack in readings.chunks(3) {
            let [upper, middle, lower] = *stack else {
                return None;
            };
            let called: Vec<String> = (stack.iter().map(|row| text(row, names)))
                .filter(|name| !name.is_empty())
                .collect();
            if called.len() != 1 {
                return None;
            }
            let mut outer = Vec::new();
            for column in [behind, ahead] {
                let three = [upper, middle, lower].map(|row| text(row, column));
                if three.iter().any(String::is_empty) && !three.iter().all(String::is_empty) {
                    return None;
                }
                let read = |text: &String| parse_reading(text, units).ok();
                let [one, half, other] = &three;
                if let (Some(one), Some(mid), Some(other)) = (read(one), read(half), read(other)) {
                    let room = WIRES_HALVE.max(last_digit(half, units).unwrap_or(0.0));
                    let is_halved = (f64::midpoint(one, other) - mid).abs() <= room;
                    halved += usize::from(is_halved && one != other);
                }
                let [one, _, other] = three;
                outer.extend([one, other]);
            }
            let mut fields: Vec<String> = (0..titles)
                .map(|column| {
                    let stands = stack.iter().map(|row| text(row, column));
                    if column == behind || column == ahead {
                        text(middle, column)
                    } else {
                        stands
                            .into_iter()
                            .find(|it| !it.is_empty())
                            .unwrap_or_default()
                    }
                })
                .collect();
            fields.extend(outer);
            beside.push((middle.0, fields));
        }
        if halved < beside.len() {
            return None;
        }
        for (title, column) in [(Title::OuterBack, behind), (Title::OuterFore, ahead)] {
            let unit = self.header.column_units.get(column).copied().flatten();
            self.header.columns.extend([Some(title); 2]);
            self.header
                .written
                .extend(["wire".to_owned(), "wire".to_owned()]);
            self.header.column_units.extend([unit; 2]);
        }
        Some(beside)
    }

    /// Where no title names the points, takes the first column in front of the readings whose
    /// title says nothing, and in which most rows have something.
    fn name_points(&mut self, rows: &[(usize, Vec<String>)]) {
        if self.header.column(Title::Point).is_some() {
            return;
        }
        let columns = &self.header.columns;
        let readings = columns
            .iter()
            .position(|it| it.is_some_and(Title::is_reading));
        let is_filled = |column: usize| {
            let fields = rows.iter().filter_map(|(_, fields)| fields.get(column));
            fields.filter(|field| is_name(field)).count() * 2 > rows.len()
        };
        let says_nothing = |column: &usize| columns.get(*column) == Some(&None);
        let Some(names) = (0..readings.unwrap_or(0))
            .filter(says_nothing)
            .find(|column| is_filled(*column))
        else {
            return;
        };
        if let Some(title) = self.header.columns.get_mut(names) {
            *title = Some(Title::Point);
        }
        let written = self.header.written.get(names).cloned().unwrap_or_default();
        self.note(if written.is_empty() {
            "The column without a title was taken for the names of the points.".to_owned()
        } else {
            format!("The column {written} was taken for the names of the points.")
        });
    }

    fn row(&mut self, line: usize, fields: &[String]) {
        // The titles again, at the head of the next page.
        if fields == self.header.written {
            self.page = self.read.book.rows.len();
            return;
        }
        // Where no column names the points, the remarks do.
        let names = if self.header.column(Title::Point).is_some() {
            Title::Point
        } else {
            Title::Note
        };
        let field = |title: Title| self.header.field(title, fields, self.read.book.units);
        let mut row = BookRow {
            point: field(names),
            backsight: field(Title::Backsight),
            intermediate: field(Title::Between),
            foresight: field(Title::Foresight),
            known: field(Title::Known),
            distance: field(Title::Distance),
            note: if names == Title::Note {
                String::new()
            } else {
                field(Title::Note)
            },
        };
        let (elevation, place) = (field(Title::Elevation), (field(Title::X), field(Title::Y)));
        if self.is_of_sums(line, &row, fields) {
            return;
        }
        self.only_reading(line, &mut row, fields);
        self.wires(line, &mut row, fields);
        let known = self.known_in(&row, &elevation);
        if row == BookRow::default() && known.is_empty() {
            return;
        }
        if let Some(at) = self.place(line, &place.0, &place.1) {
            let point = row.point.clone();
            let at = Place::Coordinates(at);
            self.read.book.places.push(PointPlace { point, at });
        }
        let named = self.header.columns.len();
        if fields.iter().skip(named).any(|field| !field.is_empty()) {
            let found = fields.len();
            self.bad(line, format!("{found} fields under {named} titles"));
        }
        self.has_numbers.resize(named, false);
        for (has_number, field) in self.has_numbers.iter_mut().zip(fields) {
            *has_number |= field.contains(|c: char| c.is_ascii_digit());
        }
        self.read.carried.push(if known.is_empty() {
            elevation
        } else {
            String::new()
        });
        self.read.book.rows.push(BookRow { known, ..row });
        self.read.lines.push(line);
    }

    /// Whether a row is that of the sums: it says so, or its backsights and foresights are the sums
    /// of those above. A sum that its page does not give is told.
    fn is_of_sums(&mut self, line: usize, row: &BookRow, fields: &[String]) -> bool {
        let says_so = fields.iter().any(|field| is_word_for_a_sum(field));
        let has_both = !(row.backsight.is_empty() || row.foresight.is_empty());
        let is_nameless = row.point.is_empty() && has_both;
        if !(says_so || is_nameless) {
            return false;
        }
        let units = self.read.book.units;
        // Of the whole book, and of this page.
        let sums = |text: fn(&BookRow) -> &String| -> [f64; 2] {
            [0, self.page].map(|first| {
                let rows = self.read.book.rows.iter().skip(first);
                let readings = rows.filter_map(|row| parse_reading(text(row), units).ok());
                readings.sum()
            })
        };
        let sums = [
            ("backsights", &row.backsight, sums(|row| &row.backsight)),
            ("foresights", &row.foresight, sums(|row| &row.foresight)),
        ];
        let mut slips = Vec::new();
        for (what, written, own) in sums {
            let (Ok(read), Some(step)) = (parse_length(written, units), last_digit(written, units))
            else {
                continue;
            };
            if own.iter().all(|own| (read - own).abs() > step) {
                let [_, own] = own.map(|own| units.format(own));
                slips.push(format!(
                    "the sum of the {what} is written {written}, and those above come to {own}"
                ));
            }
        }
        if !says_so && !slips.is_empty() {
            return false;
        }
        for slip in slips {
            self.bad(line, slip);
        }
        self.page = self.read.book.rows.len();
        true
    }

    /// Puts a reading that stands in the one column of all readings where it belongs: as its own
    /// column says, or behind where a new setup begins, or else in between.
    fn only_reading(&mut self, line: usize, row: &mut BookRow, fields: &[String]) {
        let field = |title: Title| self.header.field(title, fields, self.read.book.units);
        let reading = field(Title::Reading);
        if reading.is_empty() || row.has_reading() {
            return;
        }
        let (sight, setup) = (field(Title::Sight), field(Title::Setup));
        if !sight.is_empty() {
            match sight_kind(&sight) {
                Some(Title::Backsight) => row.backsight = reading,
                Some(Title::Foresight) => row.foresight = reading,
                Some(_) => row.intermediate = reading,
                None => self.bad(
                    line,
                    format!("{sight:?} is no kind of sight: backsight, between or foresight"),
                ),
            }
        } else if !setup.is_empty() && setup != self.setup {
            row.backsight = reading;
            self.setup = setup;
        } else {
            row.intermediate = reading;
        }
    }

    /// Compares the middle of three wires with the outer two, and takes the distance from these.
    fn wires(&mut self, line: usize, row: &mut BookRow, fields: &[String]) {
        let units = self.read.book.units;
        let wires = |title: Title, middle: &str| {
            let columns = (self.header.columns.iter().zip(fields)).zip(&self.header.column_units);
            let outer = columns.filter(|((it, _), _)| **it == Some(title));
            let outer: Vec<f64> = outer
                .filter_map(|((_, text), unit)| {
                    parse_reading(&with_unit(text, *unit, units), units).ok()
                })
                .collect();
            let middle = parse_reading(middle, units).ok()?;
            match outer[..] {
                [one, other] => Some((middle, one, other)),
                _ => None,
            }
        };
        let (behind, ahead) = (
            wires(Title::OuterBack, &row.backsight),
            wires(Title::OuterFore, &row.foresight),
        );
        if let (Some((_, one, other)), Some(behind), "") =
            (ahead, self.wires_behind, row.distance.as_str())
        {
            let distance = STADIA * ((one - other).abs() + behind);
            row.distance = format!("{distance:.1} m");
            self.has_wires = true;
        }
        for (what, written, wires) in [
            ("backsight", &row.backsight, behind),
            ("foresight", &row.foresight, ahead),
        ] {
            let Some((middle, one, other)) = wires else {
                continue;
            };
            let off = f64::midpoint(one, other) - middle;
            if off.abs() > WIRES_HALVE.max(last_digit(written, units).unwrap_or(0.0)) {
                let (middle, off) = (units.format(middle), units.format_fine(off.abs()));
                self.bad(
                    line,
                    format!(
                        "the middle wire of the {what}, {middle}, is {off} off the middle of the \
                         outer two: one of the three is misread; the middle one was used"
                    ),
                );
            }
        }
        if !row.backsight.is_empty() {
            self.wires_behind = behind.map(|(_, one, other)| (one - other).abs());
        }
    }

    /// Where nothing says what a bare reading is, and as metres every one is longer than any rod
    /// and as millimetres none: these it is. Elevations and distances stay metres.
    fn millimetres_on_the_rod(&mut self) {
        let fits = |text: &String, units: LengthStyle| parse_reading(text, units).is_ok();
        let book = &mut self.read.book;
        let readings = || {
            let rows = book.rows.iter();
            let three = rows.flat_map(|row| [&row.backsight, &row.intermediate, &row.foresight]);
            three.filter(|text| !text.is_empty())
        };
        let is_so = readings().count() > 1
            && readings()
                .all(|it| !fits(it, LengthStyle::Metres) && fits(it, LengthStyle::Millimetres));
        if self.read.units_were_stated || !is_so {
            return;
        }
        let longest = readings().next().cloned().unwrap_or_default();
        let metres =
            |text: &mut String| *text = with_unit(text, Some("m"), LengthStyle::Millimetres);
        for row in &mut book.rows {
            metres(&mut row.known);
            metres(&mut row.distance);
        }
        self.read.carried.iter_mut().for_each(metres);
        book.units = LengthStyle::Millimetres;
        self.read.units_were_stated = true;
        self.note(format!(
            "Readings were taken for millimetres, since no rod shows {longest} m; elevations and \
             distances for metres."
        ));
    }

    /// On pages without a column for sights in between they stand with the foresights: a foresight
    /// that another follows before the next backsight ends no setup.
    fn sights_in_between(&mut self) {
        let has = |title| self.header.column(title).is_some();
        if has(Title::Between) || has(Title::Reading) {
            return;
        }
        let rows = &mut self.read.book.rows;
        let mut is_followed = false;
        let mut moved = Vec::new();
        for (row, line) in rows.iter_mut().zip(&self.read.lines).rev() {
            let ends_none =
                is_followed && row.backsight.is_empty() && !is_turning_point(&row.point);
            if !row.foresight.is_empty() && ends_none {
                row.intermediate = std::mem::take(&mut row.foresight);
                moved.push(line.to_string());
            } else if row.has_reading() {
                // What is ahead of a backsight belongs to the setup before it.
                is_followed = !row.foresight.is_empty();
            }
        }
        if !moved.is_empty() {
            moved.reverse();
            let lines = moved.join(", ");
            self.note(format!(
                "Taken for sights in between, since another of the same setup follows: lines {lines}."
            ));
        }
    }

    /// Takes a benchmark's elevation from its remark, where no column has elevations: `elev
    /// 215.60 ft, brass cap`.
    fn elevations_in_remarks(&mut self) {
        let has = |title| self.header.column(title).is_some();
        if has(Title::Known) || has(Title::Elevation) {
            return;
        }
        let rows = self.read.book.rows.iter_mut().zip(&self.read.lines);
        let mut notes = Vec::new();
        for (index, (row, line)) in rows.enumerate() {
            let is_known_point = index == 0 || is_benchmark(&row.point.to_lowercase());
            if let Some(elevation) = elevation_in(&row.note).filter(|_| is_known_point) {
                notes.push(format!(
                    "The elevation in the remark of line {line}, {elevation}, was taken for known."
                ));
                row.known = elevation;
            }
        }
        self.read.notes.extend(notes);
    }

    /// Where nothing says what a bare number is, and another has the marks of feet.
    fn tell_other_units(&mut self) {
        if self.read.units_were_stated {
            return;
        }
        let is_of_feet = |text: &str| {
            let (bare, other) = (LengthStyle::Metres, LengthStyle::DecimalFeet);
            let says_unit = parse_length(text, bare)
                .ok()
                .zip(parse_length(text, other).ok());
            says_unit.is_some_and(|(one, other)| one == other)
                && (text.contains(['\'', '’', '′', '"', '”', '″'])
                    || text.to_lowercase().contains('f'))
        };
        let mut rows = self.read.book.rows.iter().zip(&self.read.lines);
        let line = rows.find_map(|(row, line)| {
            let texts = [
                &row.backsight,
                &row.intermediate,
                &row.foresight,
                &row.known,
            ];
            texts
                .into_iter()
                .any(|text| is_of_feet(text))
                .then_some(*line)
        });
        if let Some(line) = line {
            self.note(format!(
                "Line {line} has a length in feet, and bare numbers were taken for metres: if they \
                 are feet too, write \"units: feet\" above the table."
            ));
        }
    }

    /// On a page that carries its elevations down, that of a benchmark in a later row may be what
    /// is known of it or what the readings gave. Where it is just that, it is no check.
    fn tell_computed_benchmarks(&mut self) {
        let is_carried = self.read.carried.iter().any(|text| !text.is_empty());
        if !is_carried || self.from_elevations.is_empty() {
            return;
        }
        let mut unknown = self.read.book.clone();
        for row in &self.from_elevations {
            if let Some(row) = unknown.rows.get_mut(*row) {
                row.known.clear();
            }
        }
        let (units, reduced) = (unknown.units, unknown.reduce());
        for row in &self.from_elevations {
            let (Some(written), Some(carried), Some(own), Some(line)) = (
                self.read.book.rows.get_mut(*row),
                self.read.carried.get_mut(*row),
                reduced.rows.get(*row).and_then(|row| row.elevation),
                self.read.lines.get(*row),
            ) else {
                continue;
            };
            let is_own = parse_length(&written.known, units)
                .ok()
                .zip(last_digit(&written.known, units))
                .is_some_and(|(known, step)| (known - own.0).abs() <= step);
            if is_own {
                *carried = std::mem::take(&mut written.known);
                self.read.computed_benchmarks.push(*line);
            }
        }
    }

    /// What stands in the column of known elevations. A column of elevations may be a computed
    /// one: it is taken as known where the book begins and on points that are called benchmarks,
    /// the first time.
    fn known_in(&mut self, row: &BookRow, elevation: &str) -> String {
        if self.header.column(Title::Known).is_some() || elevation.is_empty() {
            return row.known.clone();
        }
        let name = row.point.to_lowercase();
        let is_first = self.read.book.rows.is_empty();
        if (is_benchmark(&name) || is_first) && !self.known.contains(&name) {
            self.known.push(name);
            if !is_first {
                self.from_elevations.push(self.read.book.rows.len());
            }
            return elevation.to_owned();
        }
        String::new()
    }

    fn place(&mut self, line: usize, x: &str, y: &str) -> Option<Point> {
        if x.is_empty() && y.is_empty() {
            return None;
        }
        let units = self.read.book.units;
        match (parse_length(x, units), parse_length(y, units)) {
            (Ok(x), Ok(y)) => Some(Point::new(x, y)),
            (Err(error), _) | (_, Err(error)) => {
                self.bad(line, format!("the point has no place: {error}"));
                None
            }
        }
    }
}

/// What one in the last digit of a decimal number is, metres: as exactly as it was written down.
pub(super) fn last_digit(written: &str, units: LengthStyle) -> Option<f64> {
    let written = written.trim();
    let unit = written.trim_start_matches(|c: char| !c.is_alphabetic());
    let decimals = written.split(['.', ',']).nth(1).unwrap_or_default();
    let decimals = decimals.bytes().take_while(u8::is_ascii_digit).count();
    let one = parse_length(&format!("1 {unit}"), units).ok()?;
    Some(one / libm::pow(10.0, decimals as f64) + 1e-9)
}

/// A field with the unit of its column behind it, where that is another than the book's.
fn with_unit(field: &str, unit: Option<&'static str>, units: LengthStyle) -> String {
    match unit.filter(|_| is_numeric(field)) {
        Some(unit) if parse_length(&format!("1 {unit}"), units) != parse_length("1", units) => {
            format!("{field} {unit}")
        }
        _ => field.to_owned(),
    }
}

impl Header {
    /// What stands in the column of a title; empty for a dash, and for the rule under the titles.
    fn field(&self, title: Title, fields: &[String], units: LengthStyle) -> String {
        let column = self.column(title);
        let field = column.and_then(|column| fields.get(column));
        let field = field.map_or("", |field| field.trim());
        let is_rule = |c: char| matches!(c, '-' | '–' | '—' | '=' | ':');
        if field.chars().all(is_rule) {
            return String::new();
        }
        let is_length = !matches!(
            title,
            Title::Point | Title::Note | Title::Setup | Title::Sight
        );
        let unit = column.and_then(|column| *self.column_units.get(column)?);
        with_unit(field, unit.filter(|_| is_length), units)
    }
}

/// Whether a field may be the name of a point, and no time or date.
fn is_name(field: &str) -> bool {
    let field = field.trim();
    !field.is_empty() && !field.contains([':', '/']) && field.matches(['.', '-']).count() < 2
}

/// Whether a point is called a benchmark; `name` in small letters.
fn is_benchmark(name: &str) -> bool {
    ["bm", "tbm", "bench", "bn", "rn", "rp", "rep"]
        .iter()
        .any(|word| name.starts_with(word))
}

/// Whether a point is called a turning point.
fn is_turning_point(name: &str) -> bool {
    let name = name.trim().to_lowercase();
    let behind = ["tp", "cp", "wp", "pc"]
        .iter()
        .find_map(|word| name.strip_prefix(word));
    behind.is_some_and(|behind| !behind.starts_with(char::is_alphabetic))
}

/// Whether a field says that its row is one of sums: `Σ`, `Total`, `Page total`.
fn is_word_for_a_sum(field: &str) -> bool {
    const WORDS: [&str; 20] = [
        "sum",
        "sums",
        "total",
        "totals",
        "summe",
        "summen",
        "suma",
        "sumas",
        "somme",
        "sommes",
        "somma",
        "soma",
        "som",
        "totaal",
        "razem",
        "součet",
        "сумма",
        "итого",
        "toplam",
        "合计",
    ];
    let field = field.to_lowercase();
    let words = || {
        field
            .split(|c: char| !c.is_alphabetic())
            .filter(|word| !word.is_empty())
    };
    field.starts_with(['σ', '∑'])
        || (words().count() <= 3 && words().any(|word| WORDS.contains(&word)))
}

/// The elevation that a remark states: a word for it and one number behind, with its unit or not.
fn elevation_in(remark: &str) -> Option<String> {
    let is_mark = |c: char| c.is_whitespace() || matches!(c, '=' | ':' | ',' | ';' | '(' | ')');
    let mut words = remark
        .split(is_mark)
        .filter(|word| !word.is_empty())
        .peekable();
    words.find(|word| {
        let word = word.trim_end_matches('.').to_lowercase();
        word.len() > 1 && kind(&word) == Some(Kind::Elevation)
    })?;
    let number = words.next()?;
    let unit = words.next_if(|word| unit(&word.to_lowercase()).is_some());
    // A second number, as of another epoch or another datum, leaves a doubt.
    let is_only = !words.any(is_numeric);
    let elevation = match unit {
        Some(unit) => format!("{number} {unit}"),
        None => number.to_owned(),
    };
    let is_length = number.starts_with(|c: char| c.is_ascii_digit() || c == '-')
        && parse_length(&elevation, LengthStyle::Metres).is_ok();
    (is_only && is_length).then_some(elevation)
}

#[cfg(test)]
mod tests {
    use super::super::{Standing, read_field_book};
    use super::*;

    /// Elevations, in metres, of a book that is read from text.
    fn elevations(read: &FieldBookText) -> Vec<f64> {
        let rows = read.book.reduce().rows.into_iter();
        rows.map(|row| row.elevation.map_or(f64::NAN, |it| it.0))
            .collect()
    }

    fn assert_reads(text: &str, metres: &[f64]) -> FieldBookText {
        let read = read_field_book(text, None).unwrap();
        let found = elevations(&read);
        assert_eq!(found.len(), metres.len(), "{found:?}");
        for (found, by_hand) in found.iter().zip(metres) {
            assert!((found - by_hand).abs() < 1e-9, "{found} {by_hand}: {text}");
        }
        assert_eq!(read.bad_lines, [], "{text}");
        read
    }

    #[test]
    fn a_column_may_have_a_unit_of_its_own() {
        let read = assert_reads(
            "Punkt;Rückblick [mm];Vorblick [mm];Höhe [m];Entfernung [m]\nMB;1456;;112,350;\nMB;;1458;;40\n",
            &[112.350, 112.348],
        );
        assert_eq!(read.book.rows[1].distance, "40 m");
        assert_reads(
            "Punto;Indietro (cm);Avanti (cm);Quota (m)\nA;145,2;;25,000\nB;;120,4;\n",
            &[25.0, 25.248],
        );
        // In a row of their own.
        let read = assert_reads(
            "pt,bs,fs,known\n,(mm),(mm),(m)\nA,1500,,10\nB,,1200,\n",
            &[10.0, 10.3],
        );
        assert!(read.units_were_stated);
        // The user's word holds.
        let text = "pt,bs (m),fs (m),known\nA,5,,10\nB,,4,\n";
        let feet = read_field_book(text, Some(LengthStyle::DecimalFeet)).unwrap();
        assert!((elevations(&feet)[1] - 11.0 * 0.3048).abs() < 1e-9);
    }

    #[test]
    fn readings_in_one_column_go_where_they_belong() {
        assert_reads(
            "Punkt;Ablesung;Art;Höhe\nMB1;1,512;R;100\nA;1,333;Z;\nW1;1,644;V;\nW1;1,410;R;\nB;1,279;V;\n",
            &[100.0, 100.179, 99.868, 99.868, 99.999],
        );
        // Two pegs: the second setup begins on a point of the first.
        let read = assert_reads(
            "setup,point,reading\n1,A,1.523\n1,B,1.284\n2,A,1.611\n2,B,1.376\n",
            &[-0.237, 0.002, -0.237, -0.002],
        );
        assert_eq!(read.book.reduce().standing(), Standing::Closes);
        let text = "Punkt;Ablesung;Art\nA;1,5;R\nB;1,4;Q\n";
        let read = read_field_book(text, None).unwrap();
        assert_eq!((read.bad_lines.len(), read.bad_lines[0].line), (1, 3));
    }

    #[test]
    fn minus_sights_one_after_the_other_are_in_between() {
        let text = "Sta     +     HI     -     Elev\nBM 6  6.12  106.12         100.00\n\
                    1+00               5.4    100.7\nTP1   3.45  102.24 7.33    98.79\n\
                    BM 6               2.24   100.00\n";
        let read = assert_reads(text, &[100.0, 100.72, 98.79, 100.0]);
        assert_eq!(read.book.rows[1].intermediate, "5.4");
        assert!(read.notes.iter().any(|note| note.ends_with("lines 3.")));
        // A turning point whose backsight was forgotten stays one.
        let text = "pt,bs,fs,known\nA,1.5,,10\nTP1,,1.2,\nTP2,1.3,1.1,\n";
        let read = read_field_book(text, None).unwrap();
        assert_eq!(read.book.rows[1].foresight, "1.2");
    }

    #[test]
    fn three_wires_check_each_other() {
        let text = "units: m\npoint,upper BS,middle BS,lower BS,upper FS,middle FS,lower FS\n\
                    A,1.700,1.500,1.300,,,\nB,,,,1.450,1.300,1.150\n";
        let read = assert_reads(text, &[0.0, 0.2].map(|it| it - 0.2));
        assert_eq!(read.book.rows[1].distance, "70.0 m");
        let stacked =
            "units: m\npoint,BS,FS\nA,1.700,\n,1.500,\n,1.300,\n,,1.450\nB,,1.300\n,,1.150\n";
        let below = assert_reads(stacked, &[0.0, 0.2].map(|it| it - 0.2));
        assert_eq!(below.book.rows, read.book.rows);
        assert_eq!(below.lines, [4, 7]);
        let read = read_field_book(&text.replace("1.450", "1.550"), None).unwrap();
        assert_eq!((read.bad_lines.len(), read.bad_lines[0].line), (1, 4));
        assert!(
            read.bad_lines[0]
                .words
                .contains("1.300 m, is 50.0 mm off the middle"),
            "{:?}",
            read.bad_lines
        );
    }

    #[test]
    fn sums_are_compared_and_are_no_row() {
        let page = |foot: &str| {
            let text =
                format!("pt,bs,fs,known\nA,1.500,,10\nB,1.400,1.200,\nA,,1.700,10\n{foot}\n");
            let read = read_field_book(&text, None).unwrap();
            (read.book.rows.len(), read.bad_lines)
        };
        assert_eq!(page("Sum,2.900,2.900,"), (3, vec![]));
        assert_eq!(page(",2.900,2.900,"), (3, vec![]));
        assert_eq!(page("Σ,2.9,2.9,"), (3, vec![]));
        let (rows, bad) = page("Sum,2.900,2.800,");
        assert_eq!((rows, bad.len(), bad[0].line), (3, 1, 5));
        assert_eq!(
            bad[0].words,
            "the sum of the foresights is written 2.800, and those above come to 2.900 m"
        );
        // The sums of a page, and the titles again on the next.
        let next = "Page total,2.9,2.9,\npt,bs,fs,known\nA,1.1,,\nB,,0.9,\nPage total,1.1,0.9,";
        assert_eq!(page(next), (5, vec![]));
        // No sums: a row whose point has no name.
        assert_eq!(page(",1.000,1.100,").0, 4);
    }

    #[test]
    fn points_are_named_by_the_first_column_that_may() {
        let read = assert_reads(
            "Fundort,BS,FS,known,Remarks\nP1,1.5,,10,\nP2,,1.4,,wet\n",
            &[10.0, 10.1],
        );
        assert_eq!(read.book.rows[1].point, "P2");
        assert!(read.notes[0].contains("Fundort"));
        let read = assert_reads(
            "Datum,BS,FS,Remarks\n2024-05-01,1.5,,P1\n2024-05-01,,1.4,P2\n",
            &[0.0, 0.1].map(|it| it - 0.1),
        );
        assert_eq!(read.book.rows[1].point, "P2");
    }

    #[test]
    fn readings_that_no_rod_shows_in_metres_are_millimetres() {
        let text = "pt;bs;fs;known;dist\nA;1456;;100,000;\nB;;1466;;40\n";
        let read = assert_reads(text, &[100.0, 99.990]);
        assert_eq!(read.book.rows[1].distance, "40 m");
        assert!(
            read.notes[0].contains("no rod shows 1456 m"),
            "{:?}",
            read.notes
        );
        // Not where one would fit, nor where the book says otherwise.
        for text in [
            "pt;bs;fs\nA;1456;\nB;;1.466\n",
            "units: m\npt;bs;fs\nA;1456;\nB;;1466\n",
        ] {
            let read = read_field_book(text, None).unwrap();
            assert_eq!(read.book.reduce().standing(), Standing::NotAllUsed);
        }
    }

    #[test]
    fn a_head_may_have_two_rows() {
        let text = |readings: &str| {
            format!(
                "Level book,,,,\nStation,{readings},,,Elevation\n,BS,IS,FS,\nP1,1.5,,,10\n\
                 P2,,1.4,,\n"
            )
        };
        assert_reads(&text("On the rod"), &[10.0, 10.1]);
        let feet = read_field_book(&text("On the rod (ft)"), None).unwrap();
        assert_eq!(
            (feet.book.units, feet.units_were_stated),
            (LengthStyle::DecimalFeet, true)
        );
        let read = assert_reads(&text("Readings"), &[10.0, 10.1]);
        assert_eq!(
            (read.book.rows[1].point.as_str(), read.book.name.as_str()),
            ("P2", "Level book")
        );
        assert_eq!(read.notes, Vec::<String>::new());
    }

    #[test]
    fn an_elevation_in_a_remark_is_known_where_that_is_sure() {
        let text = "units: feet\nSta,BS,FS,Remarks\nBM 7,3.42,,Elev 215.60 ft brass cap\n\
                    TP,2.88,4.11,El. 3 on the plan\n";
        let read = assert_reads(text, &[215.60, 214.91].map(|feet| feet * 0.3048));
        assert!(read.notes[0].contains("line 3"), "{:?}", read.notes);
        for (remark, elevation) in [
            ("RL=12.5", Some("12.5")),
            ("height: 31.205 m (kerb)", Some("31.205 m")),
            ("El 100.00", Some("100.00")),
            ("elev 100.00 or 100.20", None),
            ("12.5", None),
            ("level with the road", None),
            ("e 12", None),
        ] {
            assert_eq!(elevation_in(remark).as_deref(), elevation, "{remark}");
        }
    }

    #[test]
    fn lists_of_one_setup_need_no_titles() {
        let read = assert_reads(
            "# arrival\nunits: feet\nfront left 4.32\njack 2, 4.41\nrear: 4' 9\"\n",
            &[0.0, -0.09, 4.32 - 4.75].map(|feet| feet * 0.3048),
        );
        let names: Vec<&str> = (read.book.rows.iter())
            .map(|row| row.point.as_str())
            .collect();
        assert_eq!(names, ["front left", "jack 2", "rear"]);
        for text in [
            "a 1.5",
            "a 1.5\nwet\n",
            "1 2 3\n4 5 6\n",
            "a,1,2\nb,3,4\n",
            "a 99\nb 98\n",
        ] {
            assert_eq!(read_field_book(text, None), None, "{text}");
        }
    }

    #[test]
    fn a_length_in_feet_among_metres_is_pointed_at() {
        let notes = |known: &str| {
            let text = format!("pt,bs,fs,known\nA,1.5,,{known}\nB,,1.4,\n");
            read_field_book(&text, None).unwrap().notes.len()
        };
        assert_eq!((notes("100 ft"), notes("100 m"), notes("100")), (1, 0, 0));
    }
}
