//! A section: the ground along the straight line between two points of a survey, as a table.

use anyhow::{Result, anyhow};
use tober::Point;
use tober::assess::Verdict;
use tober::ground::{Elevation, Ground};
use tober::survey::{PointFile, Reduction};
use tober::units::{LengthStyle, parse_length};

use super::Choice;
use crate::sheet::layout::{Column, heading, item, table};
use crate::sheet::words;

/// A section with more places than this is printed at even steps instead.
const MOST_ROWS: usize = 60;

/// Even steps of a long section.
const STEPS: usize = 40;

/// Points that a section may begin and end at.
pub(super) struct Named(Vec<(String, Point)>);

impl Named {
    pub(super) fn of_file(file: &PointFile) -> Named {
        let points = file.points.iter().filter(|point| !point.name.is_empty());
        Named(points.map(|point| (point.name.clone(), point.at)).collect())
    }

    pub(super) fn of_books<'a>(reductions: impl IntoIterator<Item = &'a Reduction>) -> Named {
        let points = reductions
            .into_iter()
            .flat_map(|reduction| &reduction.points);
        let placed = points.filter_map(|point| Some((point.name.clone(), point.at?)));
        Named(placed.collect())
    }

    /// A point by its name, or a place by its coordinates: `12.5,40` is east and north.
    fn place(&self, text: &str, units: LengthStyle) -> Result<Point> {
        let is_it = |name: &str| name.trim().to_lowercase() == text.trim().to_lowercase();
        if let Some((_, at)) = self.0.iter().find(|(name, _)| is_it(name)) {
            return Ok(*at);
        }
        let coordinates = text.split_once([',', ';', '/']).and_then(|(east, north)| {
            let length = |text: &str| parse_length(text, units).ok();
            Some(Point::new(length(east)?, length(north)?))
        });
        coordinates.ok_or_else(|| {
            let names: Vec<&str> = self
                .0
                .iter()
                .take(8)
                .map(|(name, _)| name.as_str())
                .collect();
            let known = match names.as_slice() {
                [] => "no point here has a name and a place".to_owned(),
                names => format!("points are called for example {}", names.join(", ")),
            };
            anyhow!("{text:?} is no point of this survey; {known}; east,north is a place too")
        })
    }
}

/// One place of the table.
struct Row {
    distance: f64,
    at: Point,
    height: Option<(Elevation, f64)>,
}

/// The section between two points, as a page or as CSV.
pub(super) fn section(
    ground: &Ground,
    points: &Named,
    choice: &Choice,
    own: LengthStyle,
) -> Result<(String, Verdict)> {
    let units = choice.shown_in.map_or(own, |units| units.or_own(own));
    let [from_name, to_name] = choice.section.as_slice() else {
        return Err(anyhow!("a section runs from one point to another"));
    };
    let (from, to) = (
        points.place(from_name, units)?,
        points.place(to_name, units)?,
    );
    let along = to - from;
    let section = ground.section(from, to);
    let places: usize = section.stretches.iter().map(Vec::len).sum();
    let is_thinned = places > MOST_ROWS;
    let rows: Vec<Row> = if is_thinned && !choice.csv {
        (0..=STEPS)
            .map(|step| {
                let share = step as f64 / STEPS as f64;
                let at = from + along * share;
                Row {
                    distance: share * section.length,
                    at,
                    height: ground.height_and_error(at),
                }
            })
            .collect()
    } else {
        let places = section.stretches.iter().flatten();
        places
            .map(|place| Row {
                distance: place.distance,
                at: place.at,
                height: Some((place.elevation, place.error)),
            })
            .collect()
    };
    let gaps = section.gaps();
    let verdict = if gaps.is_empty() {
        Verdict::Pass
    } else {
        Verdict::Unknown
    };
    if choice.csv {
        return Ok((as_csv(&rows), verdict));
    }

    let mut text = heading(&format!("Section: {from_name} to {to_name}"), "=");
    text += &item(
        "",
        &format!(
            "From {} east, {} north to {} east, {} north: {}.",
            units.format(from.x),
            units.format(from.y),
            units.format(to.x),
            units.format(to.y),
            units.format(section.length)
        ),
    );
    if is_thinned {
        text += &item(
            "",
            &format!(
                "The slope breaks at more places than a page holds: {STEPS} even steps; --csv has \
                 all {places}."
            ),
        );
    }
    text += "\n";
    text += &printed(&rows, units);
    text += "\n";
    for (start, end) in &gaps {
        let (start, end) = (units.format(*start), units.format(*end));
        text += &item(
            "",
            &format!("NOT KNOWN from {start} to {end}: beyond the shots."),
        );
    }
    let ends = [from, to].map(|end| ground.height(end));
    if let [Some(first), Some(last)] = ends {
        let rise = words::sided(last - first, units, "higher", "lower");
        text += &item("", &format!("{to_name} lies {rise} than {from_name}."));
    }
    let heights = || section.stretches.iter().flatten();
    let lower = |a: &&tober::ground::SectionPoint, b: &&tober::ground::SectionPoint| {
        a.elevation.0.total_cmp(&b.elevation.0)
    };
    if let (Some(lowest), Some(highest)) = (heights().min_by(lower), heights().max_by(lower)) {
        text += &item(
            "",
            &format!(
                "Lowest {} at {}, highest {} at {}.",
                units.format(lowest.elevation.0),
                units.format(lowest.distance),
                units.format(highest.elevation.0),
                units.format(highest.distance)
            ),
        );
    }
    text += &item("", &ground.quality().words(units));
    Ok((text, verdict))
}

fn printed(rows: &[Row], units: LengthStyle) -> String {
    let rows = rows.iter().map(|row| {
        let height = row.height.map(|(height, _)| height.0);
        let error = row.height.map(|(_, error)| error);
        vec![
            units.format(row.distance),
            units.format(row.at.x),
            units.format(row.at.y),
            words::or_not_known(height, |height| units.format(height)),
            words::or_not_known(error, |error| format!("± {}", units.format_up(error))),
        ]
    });
    table(
        0,
        &[
            ("Distance", Column::Number),
            ("East", Column::Number),
            ("North", Column::Number),
            ("Height", Column::Number),
            ("Sure to", Column::Number),
        ],
        rows.collect(),
    )
}

/// Metres.
fn as_csv(rows: &[Row]) -> String {
    let mut text = "distance,easting,northing,elevation,standard_error\r\n".to_owned();
    for row in rows {
        if let Some((height, error)) = row.height {
            text += &format!(
                "{:.4},{:.4},{:.4},{:.4},{:.4}\r\n",
                row.distance, row.at.x, row.at.y, height.0, error
            );
        }
    }
    text
}
