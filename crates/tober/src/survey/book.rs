//! The field book: rows as the crew wrote them.
//!
//! ```text
//!   point   backsight   between   foresight   known     distance
//!   BM1       4.20                            100.00
//!   gate                  3.11
//!   TP1       5.15                  2.50                 40 m      one row, two setups: the
//!   BM2                             3.50      102.75     35 m      foresight ends the first,
//!                                                                  the backsight begins the next
//! ```
//!
//! Readings stay as texts, in the unit that they were written in; `reduce` makes numbers of them.

use serde::{Deserialize, Serialize};

use super::{Allowance, PointPlace};
use crate::units::LengthStyle;

/// A field book of levelling.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FieldBook {
    /// Unique among the field books.
    pub id: String,
    /// What people call it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// How a bare number in it is read.
    pub units: LengthStyle,
    /// What a misclosure is judged against. Left out: third order, 12 mm × √km, where every setup
    /// has its distance, else 5 mm × √setups.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub allowance: Option<Allowance>,
    /// How misclosures are spread.
    #[serde(default)]
    pub spread_by: SpreadBy,
    /// Standard error of one rod reading, metres. Left out: 1.5 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading_error: Option<f64>,
    /// The rows from top to bottom.
    pub rows: Vec<BookRow>,
    /// Where points lie in plan, for those of which that is known.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<PointPlace>,
}

/// How misclosures are spread, and so how the readings weigh against each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SpreadBy {
    /// Evenly over the setups.
    #[default]
    Setups,
    /// In proportion to the distance of each setup.
    Distance,
}

/// A row of the field book. An empty text is an empty field.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct BookRow {
    /// What the point is called; the same name is the same point, capitals or not. A row without
    /// a name stands for a point of its own.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub point: String,
    /// Rod reading that begins a setup, on a point that is known by then.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub backsight: String,
    /// Rod reading on a point in between.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub intermediate: String,
    /// Rod reading that ends a setup.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub foresight: String,
    /// Elevation of a benchmark; `assumed` is 100, `assumed 50` is 50.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub known: String,
    /// From the rod of the backsight past the instrument to this point, in a row with a
    /// foresight; in other rows it counts for nothing.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub distance: String,
    /// Anything.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// A column of the field book that holds a length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Column {
    /// [`BookRow::backsight`]
    Backsight,
    /// [`BookRow::intermediate`]
    Intermediate,
    /// [`BookRow::foresight`]
    Foresight,
    /// [`BookRow::known`]
    Known,
    /// [`BookRow::distance`]
    Distance,
}

impl Column {
    /// Every column.
    pub const ALL: [Column; 5] = [
        Column::Backsight,
        Column::Intermediate,
        Column::Foresight,
        Column::Known,
        Column::Distance,
    ];

    /// The key of the column in a file.
    pub fn key(self) -> &'static str {
        match self {
            Column::Backsight => "backsight",
            Column::Intermediate => "intermediate",
            Column::Foresight => "foresight",
            Column::Known => "known",
            Column::Distance => "distance",
        }
    }

    /// What people call what stands in it.
    pub fn word(self) -> &'static str {
        match self {
            Column::Intermediate => "intermediate sight",
            Column::Known => "known elevation",
            other => other.key(),
        }
    }
}

impl FieldBook {
    /// What people call it, or else its id.
    pub fn called(&self) -> &str {
        if self.name.is_empty() {
            &self.id
        } else {
            &self.name
        }
    }
}

impl BookRow {
    /// What is written in a column.
    pub fn text(&self, column: Column) -> &str {
        match column {
            Column::Backsight => &self.backsight,
            Column::Intermediate => &self.intermediate,
            Column::Foresight => &self.foresight,
            Column::Known => &self.known,
            Column::Distance => &self.distance,
        }
    }

    /// Whether a rod reading is written in it.
    pub fn has_reading(&self) -> bool {
        [&self.backsight, &self.intermediate, &self.foresight]
            .iter()
            .any(|text| !text.trim().is_empty())
    }
}
