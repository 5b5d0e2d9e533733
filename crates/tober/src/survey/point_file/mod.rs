//! Point files: somebody's survey as a list of points, one a line.
//!
//! ```text
//!   point, northing, easting, elevation, description
//!   101, 4512345.678, 512345.678, 31.205, EOP
//!   102; 4512350,001; 512346,420; 31,190; tree 0.4
//! ```
//!
//! Such files come in either order of the coordinates, with a header or without, separated by
//! commas, semicolons, tabs or blanks, with decimal points or commas, in metres or in one of two
//! kinds of feet. What can be told from the file is; what cannot (the order and the unit of a file
//! without a header) is a choice, which is stated and kept. A line that cannot be read is named by
//! its number, and the rest is kept.
//!
//! Coordinates as large as a national grid's are counted from a round place near the points.

mod columns;
mod decode;
mod number;
mod stray;
mod suggest;

pub use decode::{Encoding, decode};
pub use stray::{FarPlace, Stray};
pub use suggest::{PoleSize, SuggestedFeature, Suggestion, TreeSize};

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use super::aligned::with_tabs;
use super::place::key;
use super::twins::twins;
use crate::Point;
use crate::ground::Elevation;
use crate::site::{SpotLevel, limits};
use crate::slices::{Progress, in_one_go, no_pause};
use crate::units::LengthStyle;
use columns::{Columns, is_blank};
pub(super) use columns::{Kind, Separator, is_numeric, is_row_of_units, kind, unit_above};
use number::{DecimalMark, feet_and_inches};

/// What has to be known of a point file, as far as the file does not say.
#[derive(Clone, Copy, Debug, Default, PartialEq, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct PointFileChoice {
    /// Which coordinate stands first in a file without a header; left open, the northing.
    pub order: Option<CoordinateOrder>,
    /// The unit of every number; left open, what the header says, or else metres.
    pub unit: Option<FileUnit>,
    /// Where to count coordinates from; left open, the file's own coordinates when they are small,
    /// or else a round place near the points.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub origin: Option<Point>,
}

/// Which coordinate stands first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum CoordinateOrder {
    /// Point, northing, easting, elevation, description (PNEZD).
    #[default]
    NorthingFirst,
    /// Point, easting, northing, elevation, description (PENZD).
    EastingFirst,
}

/// The unit of a point file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum FileUnit {
    /// Metres.
    #[default]
    Metres,
    /// International feet, 0.3048 m.
    Feet,
    /// US survey feet, 1200/3937 m: two parts in a million longer, which is 1.2 m in the
    /// coordinates of a state.
    UsSurveyFeet,
    /// Millimetres, as drawings of machines and stages have them.
    Millimetres,
}

impl FileUnit {
    /// So many of this unit, in metres.
    ///
    /// ```
    /// use tober::survey::FileUnit;
    /// assert_eq!(FileUnit::UsSurveyFeet.to_metres(3937.0), 1200.0);
    /// assert_eq!(FileUnit::Feet.to_metres(10_000.0), 3048.0);
    /// ```
    pub fn to_metres(self, count: f64) -> f64 {
        match self {
            FileUnit::Metres => count,
            FileUnit::Feet => count * 3048.0 / 10_000.0,
            FileUnit::UsSurveyFeet => count * 1200.0 / 3937.0,
            FileUnit::Millimetres => count / 1000.0,
        }
    }

    /// How a bare rod reading is read in a file of this unit. On a rod the two kinds of feet are the
    /// same to a hundredth of a millimetre.
    pub fn of_readings(self) -> LengthStyle {
        match self {
            FileUnit::Metres => LengthStyle::Metres,
            FileUnit::Feet | FileUnit::UsSurveyFeet => LengthStyle::DecimalFeet,
            FileUnit::Millimetres => LengthStyle::Millimetres,
        }
    }

    /// What people call it.
    pub fn word(self) -> &'static str {
        match self {
            FileUnit::Metres => "metres",
            FileUnit::Feet => "international feet",
            FileUnit::UsSurveyFeet => "US survey feet",
            FileUnit::Millimetres => "millimetres",
        }
    }
}

/// A point file as it was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PointFile {
    /// The points, in the order of the file, in metres, counted from the origin.
    pub points: Vec<FilePoint>,
    /// How the file was read.
    pub layout: Layout,
    /// What has been taken off every coordinate, metres: add it to come back to the file's own.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub origin: Point,
    /// Lines that could not be read.
    pub bad_lines: Vec<BadLine>,
    /// Points that are there more than once.
    pub repeats: Vec<Repeat>,
    /// Lines with a number in feet and inches.
    pub feet_and_inches: usize,
    /// Elevations that lie far from all the others.
    pub strays: Vec<Stray>,
    /// Places that lie far from all the others.
    pub far_places: Vec<FarPlace>,
    /// The titles of columns that hold numbers, and of which nobody knows what they are.
    pub unread_columns: Vec<String>,
}

/// What is kept in a site file of a point file that was taken in, so that its points can be led
/// back to the surveyor's own numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ImportedPoints {
    /// The name of the file.
    pub file: String,
    /// The unit that its numbers were taken to be in.
    pub unit: FileUnit,
    /// Which coordinate was taken to stand first.
    pub order: CoordinateOrder,
    /// What has been taken off every coordinate, metres.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub origin: Point,
}

/// How a point file was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Layout {
    /// What stands between the fields, in a word.
    pub separator: &'static str,
    /// Whether decimals come behind a comma.
    pub decimal_comma: bool,
    /// Whether a header named the columns.
    pub has_header: bool,
    /// Which coordinate stands first.
    pub order: CoordinateOrder,
    /// Whether a header tells the order beyond doubt, so that a choice of the user is not asked for.
    /// x and y do not: in many countries x points north.
    pub order_is_sure: bool,
    /// Whether the order was told by the header or by the user, and not taken for granted.
    pub order_was_stated: bool,
    /// The unit.
    pub unit: FileUnit,
    /// Whether the unit was told by the header or by the user, and not taken for granted.
    pub unit_was_stated: bool,
    /// The unit of the elevations: that of the coordinates, unless the header names another.
    pub elevation_unit: FileUnit,
}

/// A point of a point file.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FilePoint {
    /// Its line, counted from 1.
    pub line: usize,
    /// Its number or name; may be empty.
    pub name: String,
    /// Where it lies, metres, counted from the origin.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Its elevation; absent where the field is empty.
    pub elevation: Option<Elevation>,
    /// Standard error of the elevation, metres, where the file has a column of them.
    pub error: Option<f64>,
    /// Its description; may be empty.
    pub description: String,
}

/// A line that could not be read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct BadLine {
    /// Its number, counted from 1.
    pub line: usize,
    /// What is wrong with it.
    pub words: String,
}

/// A point that is there more than once: the lines of both.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Repeat {
    /// Two points have one name.
    Name {
        /// The first.
        first: usize,
        /// The other.
        line: usize,
    },
    /// Two points have one place and one height.
    Same {
        /// The first.
        first: usize,
        /// The other.
        line: usize,
    },
    /// Two points have all but one place, and different heights.
    Heights {
        /// The first.
        first: usize,
        /// The other.
        line: usize,
        /// Their distance in plan, metres.
        apart: f64,
        /// How much higher the other is, metres.
        rise: f64,
    },
}

/// Points this near to each other in plan, metres, are the same spot: the foot of a rod.
const SAME_SPOT: f64 = 0.03;

/// Heights of one spot that differ by more than this, metres, cannot both be right.
const SAME_HEIGHT: f64 = 0.005;

/// Coordinates beyond this, metres, are counted from an origin of their own.
const LARGE: f64 = 10_000.0;

/// An origin is a multiple of this, metres.
const ROUND: f64 = 1_000.0;

/// Lines to a slice.
const SLICE: usize = 2_000;

/// Reads a point file.
///
/// ```
/// use tober::survey::{PointFileChoice, read_point_file};
/// let text = "Punkt;Rechtswert;Hochwert;Höhe;Code\r\n7;512345,678;4512345,678;31,205;Baum\r\n";
/// let file = read_point_file(text, PointFileChoice::default());
/// let point = &file.points[0];
/// assert!((file.origin.x + point.at.x - 512_345.678).abs() < 1e-9);
/// assert_eq!(point.elevation.unwrap().0, 31.205);
/// assert!(file.bad_lines.is_empty() && file.layout.decimal_comma);
/// ```
pub fn read_point_file(text: &str, choice: PointFileChoice) -> PointFile {
    in_one_go(read_point_file_in_slices(text, choice, &no_pause))
}

/// Reads a point file in slices, for those whom a person waits for: comes to a `pause` after each.
pub async fn read_point_file_in_slices(
    text: &str,
    choice: PointFileChoice,
    pause: &impl AsyncFn(Progress),
) -> PointFile {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let in_columns = with_tabs(&text, columns::are_titles);
    let is_in_columns = in_columns.is_some();
    let text = in_columns.unwrap_or(text);
    let lines: Vec<(usize, &str)> = (1..).zip(text.split('\n')).collect();
    let written: Vec<(usize, &str)> = (lines.iter().copied())
        .filter(|(_, line)| !line.trim().is_empty() && !is_comment(line) && !is_rule(line))
        .collect();
    // Every line is split, and then read.
    let of = 2 * written.len();
    let at = async |done: usize| {
        pause(Progress {
            doing: "Reading lines",
            done,
            of,
        })
        .await;
    };
    at(0).await;

    let separator = Separator::of(&written);
    let mut rows: Vec<(usize, Vec<String>)> = Vec::with_capacity(written.len());
    for slice in written.chunks(SLICE) {
        rows.extend((slice.iter()).map(|(number, line)| (*number, separator.split(line))));
        at(rows.len()).await;
    }
    let heading = columns::heading(&lines, &mut rows, separator);
    if heading.columns.is_some() {
        // The titles again, where the table goes on.
        rows.retain(|(_, fields)| !columns::are_titles(fields));
    }
    let first = columns::first_point(&rows);
    let unit_above = unit_above(&lines, first);
    let has_header = heading.columns.is_some();
    let columns = match heading.columns {
        Some(columns) => columns.in_order(choice.order),
        None => Columns::without_header(&rows, choice.order.unwrap_or_default()),
    };
    let mark = DecimalMark::of(rows.iter().flat_map(|(_, fields)| columns.numbers(fields)));
    // Where nothing else says it, the marks of feet do.
    let feet_marks = (rows.iter())
        .filter(|(_, fields)| columns.has_feet_and_inches(fields))
        .count();
    let unit = (choice.unit.or(columns.unit).or(unit_above))
        .or((feet_marks > 0).then_some(FileUnit::Feet));
    let reader = Reader {
        splits_numbers: separator == Separator::Comma && columns::splits_numbers(&rows),
        columns: &columns,
        mark,
        unit: unit.unwrap_or_default(),
        elevation_unit: (columns.elevation_unit.filter(|_| choice.unit.is_none()))
            .or(unit)
            .unwrap_or_default(),
        unread: heading.unread,
    };

    let mut points = Vec::new();
    let mut bad_lines = Vec::new();
    for slice in rows.chunks(SLICE) {
        for (line, fields) in slice {
            match reader.point(*line, fields) {
                Ok(point) => points.push(point),
                Err(words) => bad_lines.push(BadLine { line: *line, words }),
            }
        }
        at(of / 2 + points.len() + bad_lines.len()).await;
    }
    let far_places = stray::far_places(&points);
    let origin = (choice.origin).unwrap_or_else(|| origin(&points, &far_places));
    for point in &mut points {
        point.at -= origin.coords;
    }
    let repeats = repeats(&points, &at).await;
    PointFile {
        repeats,
        feet_and_inches: feet_marks,
        strays: stray::strays(&points),
        far_places,
        unread_columns: columns.unread(&rows),
        points,
        layout: Layout {
            separator: if is_in_columns {
                Separator::Blanks.word()
            } else {
                separator.word()
            },
            decimal_comma: mark == DecimalMark::Comma,
            has_header,
            order: columns.order(),
            order_is_sure: columns.order_is_sure,
            order_was_stated: columns.order_is_sure || choice.order.is_some(),
            unit: unit.unwrap_or_default(),
            unit_was_stated: unit.is_some(),
            elevation_unit: reader.elevation_unit,
        },
        origin,
        bad_lines,
    }
}

impl PointFile {
    /// What is to be kept of the file in the site that its points go to.
    pub fn record(&self, file: &str) -> ImportedPoints {
        ImportedPoints {
            file: file.to_owned(),
            unit: self.layout.unit,
            order: self.layout.order,
            origin: self.origin,
        }
    }

    /// What is to be looked at before the points are relied on, a sentence each.
    pub fn cautions(&self) -> Vec<String> {
        let mut cautions = Vec::new();
        if self.points.iter().all(|point| point.elevation.is_none()) {
            cautions.push(
                "No point has an elevation: the ground stays unknown. A header calls their column \
                 elevation, height or level."
                    .to_owned(),
            );
        }
        if !self.unread_columns.is_empty() {
            let columns = self.unread_columns.join(", ");
            cautions.push(format!(
                "Columns of numbers that were not read, for nothing here knows their titles: \
                 {columns}."
            ));
        }
        let is_read = |unit| matches!(unit, FileUnit::Feet | FileUnit::UsSurveyFeet);
        if self.feet_and_inches > 0 && is_read(self.layout.elevation_unit) {
            let lines = match self.feet_and_inches {
                1 => "1 line is".to_owned(),
                lines => format!("{lines} lines are"),
            };
            cautions.push(format!(
                "{lines} in feet and inches, and read so; every other number is in {}.",
                self.layout.unit.word()
            ));
        }
        // Half a turn and a mirror away from the truth, and nothing on the plan would show it.
        let is_turned = |point: &FilePoint| {
            let at = point.at + self.origin.coords;
            (1e5..1e6).contains(&at.y) && (1e6..1e7).contains(&at.x)
        };
        if !self.layout.order_was_stated
            && !self.points.is_empty()
            && self.points.iter().all(is_turned)
        {
            cautions.push(
                "Northings of six digits and eastings of seven: on most metric grids it is the \
                 other way round. Look whether the order is right; a wrong one mirrors the plan."
                    .to_owned(),
            );
        }
        cautions
    }

    /// The points that have an elevation, as spot levels.
    pub fn spot_levels(&self) -> impl Iterator<Item = SpotLevel> {
        (self.points.iter()).filter_map(|point| {
            Some(SpotLevel {
                error: point.error,
                ..SpotLevel::new(point.at.x, point.at.y, point.elevation?)
            })
        })
    }
}

pub(super) fn is_comment(line: &str) -> bool {
    let line = line.trim_start();
    line.starts_with('#') || line.starts_with("//")
}

/// Whether a line is a rule, as under the titles of a table.
fn is_rule(line: &str) -> bool {
    let is_mark = |c: char| matches!(c, '-' | '–' | '—' | '=' | '_');
    let is_between = |c: char| c.is_whitespace() || matches!(c, '|' | '+' | ':');
    line.chars().filter(|c| is_mark(*c)).count() > 2
        && line.chars().all(|c| is_mark(c) || is_between(c))
}

/// What a line is read with.
struct Reader<'a> {
    columns: &'a Columns,
    mark: DecimalMark,
    unit: FileUnit,
    elevation_unit: FileUnit,
    splits_numbers: bool,
    /// A header that does not tell the columns, and what is to be said of it.
    unread: Option<(usize, &'static str)>,
}

impl Reader<'_> {
    fn point(&self, line: usize, fields: &[String]) -> Result<FilePoint, String> {
        if self.splits_numbers {
            return Err(
                "decimal commas in a file that is separated by commas: put the numbers in quotes, \
                 or semicolons between the fields"
                    .to_owned(),
            );
        }
        if let Some((header, words)) = self.unread
            && header == line
        {
            return Err(words.to_owned());
        }
        let needed = self.columns.needed();
        if fields.len() < needed {
            let found = fields.len();
            return Err(format!("only {found} of {needed} fields"));
        }
        let text = |column: Option<usize>| {
            let field = column.and_then(|column| fields.get(column));
            field.map(|field| field.trim()).unwrap_or_default()
        };
        let metres_of = |what: &str, column: usize, unit: FileUnit| {
            let text = text(Some(column));
            let is_of_feet = matches!(unit, FileUnit::Feet | FileUnit::UsSurveyFeet);
            let number = match feet_and_inches(text).filter(|_| is_of_feet) {
                Some(feet) => Ok(feet),
                None => self.mark.parse(text),
            };
            (number.map(|number| unit.to_metres(number)))
                .map_err(|words| format!("the {what} {text:?} is no number: {words}"))
        };
        let coordinate = |what: &str, column: usize| {
            let metres = metres_of(what, column, self.unit)?;
            if metres.abs() > limits::COORDINATE {
                let most = limits::COORDINATE / 1000.0;
                return Err(format!(
                    "the {what} is {metres} m, and no map goes past {most} km"
                ));
            }
            Ok(metres)
        };
        let at = Point::new(
            coordinate("easting", self.columns.easting)?,
            coordinate("northing", self.columns.northing)?,
        );
        let elevation = match self.columns.elevation {
            Some(column) if !is_blank(text(Some(column))) => {
                let metres = metres_of("elevation", column, self.elevation_unit)?;
                let (low, high) = (limits::ELEVATION_LOWEST, limits::ELEVATION_HIGHEST);
                if !(low..=high).contains(&metres) {
                    return Err(format!(
                        "the elevation is {metres} m, and land lies from {low} to {high} m"
                    ));
                }
                Some(Elevation(metres))
            }
            _ => None,
        };
        let error = match self.columns.error {
            Some(column) if !is_blank(text(Some(column))) => {
                let metres = metres_of("standard error", column, self.elevation_unit)?;
                (metres > 0.0).then_some(metres)
            }
            _ => None,
        };
        Ok(FilePoint {
            line,
            name: text(self.columns.name).to_owned(),
            at,
            elevation,
            error,
            description: self.columns.description_of(fields),
        })
    }
}

/// A round place near the points, when they are far from zero; those far from all others aside.
fn origin(points: &[FilePoint], far_places: &[FarPlace]) -> Point {
    let is_near = |point: &&FilePoint| far_places.iter().all(|far| far.line != point.line);
    let near: Vec<&FilePoint> = points.iter().filter(is_near).collect();
    let low = |along: fn(&FilePoint) -> f64| near.iter().map(|point| along(point)).reduce(f64::min);
    let far = |along: fn(&FilePoint) -> f64| near.iter().any(|point| along(point).abs() > LARGE);
    if !far(|point| point.at.x) && !far(|point| point.at.y) {
        return Point::origin();
    }
    let round = |low: Option<f64>| (low.unwrap_or(0.0) / ROUND).floor() * ROUND;
    Point::new(
        round(low(|point| point.at.x)),
        round(low(|point| point.at.y)),
    )
}

/// Every point that is there more than once, in the order of the lines.
async fn repeats(points: &[FilePoint], pause: &impl AsyncFn(usize)) -> Vec<Repeat> {
    let mut repeats = Vec::new();
    let mut names: HashMap<String, usize> = HashMap::new();
    let mut places: HashMap<[u64; 3], usize> = HashMap::new();
    for (index, point) in points.iter().enumerate() {
        if index % SLICE == 0 {
            pause(2 * points.len()).await;
        }
        let line = point.line;
        if !point.name.is_empty() {
            let first = *names.entry(key(&point.name)).or_insert(line);
            if first != line {
                repeats.push(Repeat::Name { first, line });
            }
        }
        if let Some(elevation) = point.elevation {
            let place = [point.at.x, point.at.y, elevation.0].map(f64::to_bits);
            let first = *places.entry(place).or_insert(line);
            if first != line {
                repeats.push(Repeat::Same { first, line });
            }
        }
    }
    pause(2 * points.len()).await;
    let shots: Vec<(&FilePoint, Elevation)> = points
        .iter()
        .filter_map(|point| Some((point, point.elevation?)))
        .collect();
    let heights = shots
        .iter()
        .map(|(point, elevation)| (point.at, elevation.0));
    for (other, first) in twins(heights, SAME_SPOT, SAME_HEIGHT) {
        if let (Some((first, below)), Some((other, above))) = (shots.get(first), shots.get(other)) {
            repeats.push(Repeat::Heights {
                first: first.line,
                line: other.line,
                apart: (other.at - first.at).norm(),
                rise: *above - *below,
            });
        }
    }
    repeats.sort_by_key(Repeat::line);
    repeats
}

impl Repeat {
    /// What is there twice, in words.
    pub fn in_words(&self, units: LengthStyle) -> String {
        match self {
            Repeat::Name { first, line } => {
                format!("line {line}: a point of this name is in line {first} already")
            }
            Repeat::Same { first, line } => {
                format!("line {line}: the same place and height as line {first}")
            }
            Repeat::Heights {
                first,
                line,
                apart,
                rise,
            } => format!(
                "line {line}: {} from line {first}, but {} {}",
                units.format(*apart),
                units.format(rise.abs()),
                if *rise > 0.0 { "higher" } else { "lower" }
            ),
        }
    }

    /// The line of the later of the two.
    pub fn line(&self) -> usize {
        match self {
            Repeat::Name { line, .. }
            | Repeat::Same { line, .. }
            | Repeat::Heights { line, .. } => *line,
        }
    }
}

#[cfg(test)]
mod tests;
