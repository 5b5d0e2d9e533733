//! Slopes as makers state tolerances and as levels show them: degrees, per cent, millimetres in
//! a metre, inches in a foot.
//!
//! All but degrees say the same thing, rise over run, in other words; a degree is an angle:
//! `slope = tan(angle)`.

use serde::{Deserialize, Serialize};

/// A slope in the form that somebody stated or read it in; in files `{ "per_cent": 0.5 }`.
///
/// ```
/// use tober::units::Slope;
/// // A quarter inch in a foot is 2.08 in a hundred.
/// assert!((Slope::InPerFt(0.25).ratio() - 0.25 / 12.0).abs() < 1e-15);
/// assert!((Slope::PerCent(100.0).degrees() - 45.0).abs() < 1e-12);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Slope {
    /// Degrees from the horizontal.
    Deg(f64),
    /// Rise in a hundred.
    PerCent(f64),
    /// Millimetres in a metre.
    MmPerM(f64),
    /// Inches in a foot.
    InPerFt(f64),
}

/// Where the forms of [`Slope`] are used, without a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SlopeForm {
    /// Degrees.
    Deg,
    /// Per cent.
    PerCent,
    /// Millimetres in a metre.
    MmPerM,
    /// Inches in a foot.
    InPerFt,
}

impl SlopeForm {
    /// Every form.
    pub const ALL: [SlopeForm; 4] = [
        SlopeForm::Deg,
        SlopeForm::PerCent,
        SlopeForm::MmPerM,
        SlopeForm::InPerFt,
    ];

    /// What stands behind the number: `°`, `%`, `mm/m`, `in/ft`.
    pub fn label(self) -> &'static str {
        match self {
            SlopeForm::Deg => "°",
            SlopeForm::PerCent => "%",
            SlopeForm::MmPerM => "mm/m",
            SlopeForm::InPerFt => "in/ft",
        }
    }

    /// A slope of that many degrees, percents, millimetres or inches.
    pub fn of(self, number: f64) -> Slope {
        match self {
            SlopeForm::Deg => Slope::Deg(number),
            SlopeForm::PerCent => Slope::PerCent(number),
            SlopeForm::MmPerM => Slope::MmPerM(number),
            SlopeForm::InPerFt => Slope::InPerFt(number),
        }
    }
}

impl Slope {
    /// A slope of metres in a metre, in a form.
    pub fn from_ratio(ratio: f64, form: SlopeForm) -> Slope {
        match form {
            SlopeForm::Deg => Slope::Deg(libm::atan(ratio).to_degrees()),
            SlopeForm::PerCent => Slope::PerCent(ratio * 100.0),
            SlopeForm::MmPerM => Slope::MmPerM(ratio * 1000.0),
            SlopeForm::InPerFt => Slope::InPerFt(ratio * 12.0),
        }
    }

    /// Metres in a metre.
    pub fn ratio(self) -> f64 {
        match self {
            Slope::Deg(degrees) => libm::tan(degrees.to_radians()),
            Slope::PerCent(percent) => percent / 100.0,
            Slope::MmPerM(millimetres) => millimetres / 1000.0,
            Slope::InPerFt(inches) => inches / 12.0,
        }
    }

    /// Degrees from the horizontal.
    pub fn degrees(self) -> f64 {
        match self {
            // As stated, to the last digit.
            Slope::Deg(degrees) => degrees,
            _ => libm::atan(self.ratio()).to_degrees(),
        }
    }

    /// The form that it is in.
    pub fn form(self) -> SlopeForm {
        match self {
            Slope::Deg(_) => SlopeForm::Deg,
            Slope::PerCent(_) => SlopeForm::PerCent,
            Slope::MmPerM(_) => SlopeForm::MmPerM,
            Slope::InPerFt(_) => SlopeForm::InPerFt,
        }
    }

    /// The number in that form.
    pub fn number(self) -> f64 {
        match self {
            Slope::Deg(it) | Slope::PerCent(it) | Slope::MmPerM(it) | Slope::InPerFt(it) => it,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_form_there_and_back(ratio in -0.5..0.5_f64) {
            for form in SlopeForm::ALL {
                let slope = Slope::from_ratio(ratio, form);
                prop_assert!((slope.ratio() - ratio).abs() < 1e-15);
                prop_assert_eq!(slope.form(), form);
                prop_assert_eq!(form.of(slope.number()), slope);
                let degrees = Slope::Deg(slope.degrees());
                prop_assert!((degrees.ratio() - ratio).abs() < 1e-14);
            }
        }
    }
}
