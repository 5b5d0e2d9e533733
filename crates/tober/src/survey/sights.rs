//! From the rows of a field book to sights: which rod was seen from which setup, in numbers.
//!
//! A backsight opens a setup and a foresight closes it. A setup that opens without a backsight
//! is the commonest job of all: the level is set up once and the rod read at every foot.

use std::collections::HashMap;
use std::fmt::Display;

use serde::Serialize;

use super::book::{BookRow, Column, FieldBook};
use super::place::key;
use super::reading::parse_reading;
use crate::ground::Elevation;
use crate::site::limits;
use crate::units::{LengthStyle, parse_length};

/// Something that keeps a field of a row from being used.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RowProblem {
    /// In which column.
    pub column: Column,
    /// What is wrong, in words.
    pub words: String,
}

/// One rod reading.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sight {
    pub(super) row: usize,
    pub(super) column: Column,
    /// By number.
    pub(super) point: usize,
    /// By number.
    pub(super) setup: usize,
    /// Metres; negative on an inverted rod.
    pub(super) reading: f64,
}

/// One setup.
#[derive(Clone, Copy, Debug)]
pub(super) struct Setup {
    /// From the rod behind to the rod ahead, metres.
    pub(super) distance: Option<f64>,
    /// Whether it goes on from the turning point of the setup before.
    pub(super) goes_on: bool,
    pub(super) is_closed: bool,
}

/// A known elevation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Known {
    pub(super) elevation: Elevation,
    pub(super) assumed: bool,
}

/// The field book in numbers.
#[derive(Debug, Default)]
pub(super) struct Sights {
    pub(super) names: Vec<String>,
    pub(super) known: Vec<Option<Known>>,
    pub(super) setups: Vec<Setup>,
    pub(super) sights: Vec<Sight>,
    /// For each row its point, when anything is written in the row.
    pub(super) row_points: Vec<Option<usize>>,
    pub(super) row_problems: Vec<Vec<RowProblem>>,
    /// Whether a distance stands in the row that no setup ends on.
    pub(super) has_idle_distance: Vec<bool>,
    open: bool,
    numbers: HashMap<String, usize>,
}

impl Sights {
    pub(super) fn of(book: &FieldBook) -> Sights {
        let mut sights = Sights::default();
        for (row, written) in book.rows.iter().enumerate() {
            sights.row_problems.push(Vec::new());
            let point = sights.point(row, written);
            sights.row_points.push(point);
            // It is no part of the run, and does no harm.
            let has = |column: Column| !written.text(column).trim().is_empty();
            let is_idle = has(Column::Distance) && !has(Column::Foresight);
            sights.has_idle_distance.push(is_idle);
            if let Some(point) = point {
                sights.known(row, point, &written.known, book.units);
                sights.readings(row, point, written, book.units);
            }
        }
        sights
    }

    fn problem(&mut self, column: Column, words: &dyn Display) {
        if let Some(problems) = self.row_problems.last_mut() {
            let words = words.to_string();
            problems.push(RowProblem { column, words });
        }
    }

    fn point(&mut self, row: usize, written: &BookRow) -> Option<usize> {
        let mut name = written.point.trim().to_owned();
        if name.is_empty() {
            if !written.has_reading() {
                return None;
            }
            name = format!("row {}", row + 1);
        }
        let new = self.names.len();
        let number = *self.numbers.entry(key(&name)).or_insert(new);
        if number == new {
            self.names.push(name);
            self.known.push(None);
        }
        Some(number)
    }

    fn known(&mut self, row: usize, point: usize, text: &str, units: LengthStyle) {
        if text.trim().is_empty() {
            return;
        }
        let known = match parse_known(text, units) {
            Ok(known) => known,
            Err(words) => return self.problem(Column::Known, &words),
        };
        match self.known.get_mut(point) {
            Some(Some(before)) if before.elevation != known.elevation => {
                let before = units.format(before.elevation.0);
                self.problem(
                    Column::Known,
                    &format!(
                        "the same point is {before} in a row above; that one holds, not row {}",
                        row + 1
                    ),
                );
            }
            Some(before) => *before = before.or(Some(known)),
            None => {}
        }
    }

    fn readings(&mut self, row: usize, point: usize, written: &BookRow, units: LengthStyle) {
        let has = |column: Column| !written.text(column).trim().is_empty();
        let turns = has(Column::Foresight);
        for column in [Column::Foresight, Column::Intermediate, Column::Backsight] {
            if !has(column) {
                continue;
            }
            if column == Column::Backsight {
                // Whatever the reading turns out to be, a new setup begins here.
                let goes_on = turns && self.setups.last().is_some_and(|setup| setup.is_closed);
                self.open_setup(goes_on);
            }
            let reading = parse_reading(written.text(column), units);
            if column == Column::Intermediate && !self.open && self.setups.is_empty() {
                self.open_setup(false);
            }
            match reading {
                Err(error) => self.problem(column, &error),
                Ok(_) if !self.open => {
                    self.problem(column, &"no backsight above begins a setup for it");
                }
                Ok(reading) => self.sights.push(Sight {
                    row,
                    column,
                    point,
                    setup: self.setups.len().saturating_sub(1),
                    reading,
                }),
            }
            if column == Column::Foresight {
                self.close_setup(&written.distance, units);
            }
        }
    }

    fn open_setup(&mut self, goes_on: bool) {
        self.open = true;
        self.setups.push(Setup {
            distance: None,
            goes_on,
            is_closed: false,
        });
    }

    fn close_setup(&mut self, distance: &str, units: LengthStyle) {
        let was_open = std::mem::take(&mut self.open);
        let distance = match distance.trim() {
            "" => None,
            text => match parse_length(text, units) {
                Ok(distance) if distance > 0.0 => Some(distance),
                Ok(_) => {
                    self.problem(Column::Distance, &"a distance is more than 0");
                    None
                }
                Err(error) => {
                    self.problem(Column::Distance, &error);
                    None
                }
            },
        };
        if let Some(setup) = self.setups.last_mut()
            && was_open
        {
            setup.is_closed = true;
            setup.distance = distance;
        }
    }
}

/// What an assumed benchmark is taken to be when nothing else is said, in whatever unit the book
/// is in: high enough that nothing on a fairground comes out below zero.
const ASSUMED: &str = "100";

fn parse_known(text: &str, units: LengthStyle) -> Result<Known, String> {
    let text = text.trim();
    const WORD: &str = "assumed";
    let behind = match (text.get(..WORD.len()), text.get(WORD.len()..)) {
        (Some(word), Some(behind)) if word.eq_ignore_ascii_case(WORD) => Some(behind.trim()),
        _ => None,
    };
    let number = match behind {
        // A bare 100 in millimetres would be a hand's breadth.
        Some("") if units == LengthStyle::Millimetres => "100 m",
        Some("") => ASSUMED,
        Some(number) => number,
        None => text,
    };
    let elevation = parse_length(number, units).map_err(|error| error.to_string())?;
    let land = limits::ELEVATION_LOWEST..=limits::ELEVATION_HIGHEST;
    if !land.contains(&elevation) {
        return Err(format!(
            "{} is no elevation of land",
            units.format(elevation)
        ));
    }
    Ok(Known {
        elevation: Elevation(elevation),
        assumed: behind.is_some(),
    })
}
