//! Lengths as people write them, in and out.
//!
//! Inside, a length is metres. At the edges it is what the crew has on the tape: feet and inches
//! with fractions, decimal feet, metres or millimetres. [`parse_length`] reads all of them,
//! [`LengthStyle::format`] and its two one-sided kin print them, and what is printed reads back
//! as the same length to the printed step.
//!
//! One foot is 0.3048 m and one inch 0.0254 m, exactly (the international foot of 1959).

mod parse;
mod print;
mod slope;

pub use parse::{LengthError, LengthProblem, parse_length};
pub use slope::{Slope, SlopeForm};

use serde::{Deserialize, Serialize};

/// How lengths are shown, and how a bare number is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LengthStyle {
    /// Feet, inches and eighths: `5' 3-1/4"`.
    #[serde(rename = "feet_inches_8")]
    FeetInches8,
    /// Feet, inches and sixteenths.
    #[serde(rename = "feet_inches_16")]
    FeetInches16,
    /// Feet and hundredths: `5.27 ft`.
    DecimalFeet,
    /// Metres and millimetres as decimals: `1.606 m`.
    #[default]
    Metres,
    /// Whole millimetres: `1606 mm`.
    Millimetres,
}

impl LengthStyle {
    /// Every style, in the order in which a list of them is shown.
    pub const ALL: [LengthStyle; 5] = [
        LengthStyle::FeetInches8,
        LengthStyle::FeetInches16,
        LengthStyle::DecimalFeet,
        LengthStyle::Metres,
        LengthStyle::Millimetres,
    ];

    /// Whether it is metres or millimetres, and not feet.
    pub fn is_metric(self) -> bool {
        matches!(self, LengthStyle::Metres | LengthStyle::Millimetres)
    }

    /// What a list of styles calls it.
    pub fn label(self) -> &'static str {
        match self {
            LengthStyle::FeetInches8 => "feet and inches, to 1/8\"",
            LengthStyle::FeetInches16 => "feet and inches, to 1/16\"",
            LengthStyle::DecimalFeet => "decimal feet",
            LengthStyle::Metres => "metres",
            LengthStyle::Millimetres => "millimetres",
        }
    }

    /// The smallest step that it prints, metres.
    pub fn resolution(self) -> f64 {
        match self {
            LengthStyle::FeetInches8 => 0.0254 / 8.0,
            LengthStyle::FeetInches16 => 0.0254 / 16.0,
            LengthStyle::DecimalFeet => 0.3048 / 100.0,
            LengthStyle::Metres | LengthStyle::Millimetres => 0.001,
        }
    }

    /// The unit that a bare number is in.
    fn bare_unit(self) -> Unit {
        match self {
            LengthStyle::FeetInches8 | LengthStyle::FeetInches16 | LengthStyle::DecimalFeet => {
                Unit::Foot
            }
            LengthStyle::Metres => Unit::Metre,
            LengthStyle::Millimetres => Unit::Millimetre,
        }
    }
}

/// A unit that a number can be written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unit {
    Foot,
    Inch,
    Metre,
    Centimetre,
    Millimetre,
}

impl Unit {
    /// So many of this unit, in metres.
    ///
    /// Multiplies by a whole number and divides by a whole number: feet, inches and their binary
    /// fractions come out as the nearest double to the exact length.
    fn to_metres(self, count: f64) -> f64 {
        match self {
            Unit::Foot => count * 3048.0 / 10_000.0,
            Unit::Inch => count * 254.0 / 10_000.0,
            Unit::Metre => count,
            Unit::Centimetre => count / 100.0,
            Unit::Millimetre => count / 1000.0,
        }
    }

    /// Whether it is a metric unit.
    fn is_metric(self) -> bool {
        !matches!(self, Unit::Foot | Unit::Inch)
    }

    /// The unit that a word or a mark stands for.
    fn named(word: &str) -> Option<Unit> {
        match word.to_ascii_lowercase().as_str() {
            "'" | "ft" | "foot" | "feet" => Some(Unit::Foot),
            "\"" | "in" | "inch" | "inches" => Some(Unit::Inch),
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Unit::Metre),
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => {
                Some(Unit::Centimetre)
            }
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => {
                Some(Unit::Millimetre)
            }
            _ => None,
        }
    }
}
