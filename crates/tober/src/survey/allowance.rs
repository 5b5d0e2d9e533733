//! How large a misclosure may be before somebody must go out again.
//!
//! Errors of reading add up like steps of a random walk: with the root of how many there are, or
//! of how far the run goes.

use serde::{Deserialize, Serialize};

use crate::units::{LengthStyle, parse_length};

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

    /// The allowance as somebody reads it who works in `units`: in millimetres for the root of a
    /// kilometre, or in feet for the root of a mile.
    ///
    /// ```
    /// use tober::survey::Allowance;
    /// use tober::units::LengthStyle::{DecimalFeet, Metres};
    /// assert_eq!(Allowance::THIRD_ORDER.in_words(Metres), "12 mm × √km");
    /// assert_eq!(Allowance::THIRD_ORDER.in_words(DecimalFeet), "0.0499 ft × √mile");
    /// assert_eq!(Allowance::CONSTRUCTION.in_words(DecimalFeet), "0.0164 ft × √setups");
    /// ```
    pub fn in_words(self, units: LengthStyle) -> String {
        let unit = if units.is_metric() { "mm" } else { "ft" };
        format!("{} {unit} × {}", self.figure(units), self.root(units))
    }

    /// What the root is of, as in [`Allowance::in_words`].
    pub fn root(self, units: LengthStyle) -> &'static str {
        match self {
            Allowance::PerRootKm(_) if units.is_metric() => "√km",
            Allowance::PerRootKm(_) => "√mile",
            Allowance::PerRootSetup(_) => "√setups",
        }
    }

    /// The figure in front of the root, in millimetres or feet: as it was written, to a thousandth
    /// of a millimetre or to a ten-thousandth of a foot.
    pub fn figure(self, units: LengthStyle) -> f64 {
        let each = match self {
            Allowance::PerRootKm(each) if !units.is_metric() => each * ROOT_MILE,
            Allowance::PerRootKm(each) | Allowance::PerRootSetup(each) => each,
        };
        if units.is_metric() {
            (each * 1e6).round() / 1e3
        } else {
            (each / 0.3048 * 1e4).round() / 1e4
        }
    }

    /// The same kind of allowance with another figure in front of the root, metres, where the
    /// root is that of [`Allowance::in_words`].
    pub fn with_figure(self, each: f64, units: LengthStyle) -> Allowance {
        match self {
            Allowance::PerRootKm(_) if !units.is_metric() => Allowance::PerRootKm(each / ROOT_MILE),
            Allowance::PerRootKm(_) => Allowance::PerRootKm(each),
            Allowance::PerRootSetup(_) => Allowance::PerRootSetup(each),
        }
    }

    /// Reads `12 mm per root km`, `0.05 ft × √mile`, `5 mm per root setup`; `units` is how a bare
    /// number for each setup is read. For a kilometre it is millimetres, and feet for a mile.
    ///
    /// ```
    /// use tober::survey::Allowance;
    /// use tober::units::LengthStyle::{DecimalFeet, Metres};
    /// assert_eq!(Allowance::parse("12 mm × √km", Metres), Some(Allowance::THIRD_ORDER));
    /// let feet = Allowance::parse("0.05 ft x sqrt(mi)", DecimalFeet).unwrap();
    /// assert_eq!(feet.in_words(DecimalFeet), "0.05 ft × √mile");
    /// assert_eq!(Allowance::parse("0.05 per root mile", Metres), Some(feet));
    /// assert_eq!(Allowance::parse("12 per root m", Metres), None); // metres, or miles?
    /// ```
    pub fn parse(text: &str, units: LengthStyle) -> Option<Allowance> {
        let text = (text.to_lowercase())
            .replace(['×', '*', '·', '(', ')'], " ")
            .replace('√', " root ")
            .replace("sqrt", " root ");
        let (each, of) = text.split_once("root")?;
        let each = each.trim().trim_end_matches("per").trim_end();
        // "12 mm x √km": the x is a sign.
        let each = each.strip_suffix(" x").unwrap_or(each);
        let read = |bare: LengthStyle| {
            let each = parse_length(each, bare).ok();
            each.filter(|each| *each > 0.0)
        };
        Some(match of.trim() {
            "km" | "k" | "kilometre" | "kilometer" => {
                Allowance::PerRootKm(read(LengthStyle::Millimetres)?)
            }
            "mile" | "miles" | "mi" => {
                Allowance::PerRootKm(read(LengthStyle::DecimalFeet)? / ROOT_MILE)
            }
            "setup" | "setups" | "n" => Allowance::PerRootSetup(read(if units.is_metric() {
                LengthStyle::Millimetres
            } else {
                LengthStyle::DecimalFeet
            })?),
            _ => return None,
        })
    }
}

/// The root of a mile in roots of a kilometre: a mile is 1.609344 km.
const ROOT_MILE: f64 = 1.268_599_227_494_641_2;
