//! How large a misclosure may be before somebody must go out again.
//!
//! Errors of reading add up like steps of a random walk: with the root of how many there are, or
//! of how far the run goes.

use serde::{Deserialize, Serialize};

/// What a misclosure is judged against.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Allowance {
    /// So many metres × √K, K the length of the run in kilometres, one way.
    PerRootKm(f64),
    /// So many metres × √n, n the number of setups.
    PerRootSetup(f64),
}

impl Allowance {
    /// Third-order levelling: 12 mm × √K.
    ///
    /// Source (from memory): FGCS, *Specifications and Procedures to Incorporate Electronic
    /// Digital / Bar-Code Leveling Systems*.
    pub const THIRD_ORDER: Allowance = Allowance::PerRootKm(0.012);

    /// Levelling on a construction site: 5 mm × √n. What holds where nobody measured how far the
    /// run went.
    ///
    /// Source (from memory): J. Uren and W. F. Price, *Surveying for Engineers*, levelling.
    pub const CONSTRUCTION: Allowance = Allowance::PerRootSetup(0.005);

    /// The allowance, metres, for a run of so many setups and so many metres; absent where its
    /// length counts and is not known.
    ///
    /// ```
    /// use tober::survey::Allowance;
    /// assert_eq!(Allowance::THIRD_ORDER.over(3, Some(4000.0)), Some(0.024));
    /// assert_eq!(Allowance::CONSTRUCTION.over(4, None), Some(0.010));
    /// assert_eq!(Allowance::THIRD_ORDER.over(3, None), None);
    /// ```
    pub fn over(self, setups: usize, length: Option<f64>) -> Option<f64> {
        match self {
            Allowance::PerRootKm(each) => length.map(|length| each * (length / 1000.0).sqrt()),
            Allowance::PerRootSetup(each) => Some(each * (setups as f64).sqrt()),
        }
    }

    /// Where the figure comes from, in words; a figure of the user's own has no source here.
    pub fn source(self) -> &'static str {
        if self == Allowance::THIRD_ORDER {
            "third order, FGCS specifications, from memory"
        } else if self == Allowance::CONSTRUCTION {
            "construction levelling, Uren and Price, Surveying for Engineers, from memory"
        } else {
            "as set in the field book"
        }
    }
}

impl std::fmt::Display for Allowance {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Allowance::PerRootKm(each) => write!(out, "{} mm × √km", millimetres(*each)),
            Allowance::PerRootSetup(each) => write!(out, "{} mm × √setups", millimetres(*each)),
        }
    }
}

/// To a thousandth, so that a figure is shown as it was written.
fn millimetres(metres: f64) -> f64 {
    (metres * 1e6).round() / 1e3
}
