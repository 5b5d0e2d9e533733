//! How a rod reading goes wrong between the eye and the paper, and what it should then have been.
//!
//! The kinds and their weights are common practice; no source has figures.

use serde::Serialize;

use super::reading::{LONGEST_ROD, feet_and_inches_called, parse_reading, without_inverted};
use crate::units::LengthStyle;

/// A way in which a reading goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Slip {
    /// Read off the next mark of the rod.
    Mark(Mark),
    /// Two neighbouring digits changed places.
    Transposed,
    /// Written in feet where metres were read, or in metres where feet were read.
    Unit,
    /// Feet and inches written as decimal feet (5.3 for 5' 3"), or the other way.
    FeetAndInches,
    /// The rod stood the other way up.
    Inverted,
}

/// A distance between marks of a rod that people miscount by one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// A whole foot.
    Foot,
    /// A tenth of a foot.
    TenthOfAFoot,
    /// An inch.
    Inch,
    /// A whole metre.
    Metre,
    /// 100 mm.
    Decimetre,
    /// 10 mm.
    Centimetre,
}

impl Mark {
    fn metres(self) -> f64 {
        match self {
            Mark::Foot => 0.3048,
            Mark::TenthOfAFoot => 0.03048,
            Mark::Inch => 0.0254,
            Mark::Metre => 1.0,
            Mark::Decimetre => 0.1,
            Mark::Centimetre => 0.01,
        }
    }

    /// How readily it is miscounted, against the other slips.
    fn weight(self) -> f64 {
        match self {
            Mark::Foot | Mark::Metre | Mark::Decimetre => 1.0,
            Mark::TenthOfAFoot | Mark::Inch => 0.5,
            Mark::Centimetre => 0.2,
        }
    }
}

impl std::fmt::Display for Slip {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str(match self {
            Slip::Mark(Mark::Foot) => "off by a whole foot",
            Slip::Mark(Mark::TenthOfAFoot) => "off by a tenth of a foot",
            Slip::Mark(Mark::Inch) => "off by an inch",
            Slip::Mark(Mark::Metre) => "off by a whole metre",
            Slip::Mark(Mark::Decimetre) => "off by 100 mm",
            Slip::Mark(Mark::Centimetre) => "off by 10 mm",
            Slip::Transposed => "two digits changed places",
            Slip::Unit => "written in the wrong unit",
            Slip::FeetAndInches => "inches and decimals of a foot mixed up",
            Slip::Inverted => "the rod stood the other way up",
        })
    }
}

/// What a reading may have been.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Alternative {
    pub(super) slip: Slip,
    /// Metres.
    pub(super) reading: f64,
    /// As it would have been written.
    pub(super) written: String,
    /// How readily one slips like this, against the other kinds.
    pub(super) weight: f64,
}

/// Everything that a reading may have been, had one slip been made.
pub(super) fn alternatives(text: &str, reading: f64, units: LengthStyle) -> Vec<Alternative> {
    let style = style_of(text, units);
    let mut found = Vec::new();
    let mut add = |slip, other: f64, written: String, weight| {
        if (other - reading).abs() > 1e-9 && other.abs() <= LONGEST_ROD {
            found.push(Alternative {
                slip,
                reading: other,
                written,
                weight,
            });
        }
    };

    let marks: &[Mark] = match style {
        LengthStyle::DecimalFeet => &[Mark::Foot, Mark::TenthOfAFoot],
        LengthStyle::FeetInches8 | LengthStyle::FeetInches16 => &[Mark::Foot, Mark::Inch],
        LengthStyle::Metres | LengthStyle::Millimetres => {
            &[Mark::Metre, Mark::Decimetre, Mark::Centimetre]
        }
    };
    for mark in marks {
        for other in [reading + mark.metres(), reading - mark.metres()] {
            // Past zero the rod would have stood the other way up as well.
            if (other < 0.0) == (reading < 0.0) {
                add(Slip::Mark(*mark), other, style.format(other), mark.weight());
            }
        }
    }
    for swapped in swapped_digits(text) {
        if let Ok(other) = parse_reading(&swapped, units) {
            add(Slip::Transposed, other, swapped, 0.5);
        }
    }
    match style {
        LengthStyle::Metres => {
            let other = reading * 0.3048;
            add(
                Slip::Unit,
                other,
                LengthStyle::DecimalFeet.format(other),
                1.0,
            );
        }
        LengthStyle::DecimalFeet => {
            let other = reading / 0.3048;
            add(Slip::Unit, other, LengthStyle::Metres.format(other), 1.0);
        }
        _ => {}
    }
    if let Some(other) = feet_mixed_up(reading, style) {
        let written = match style {
            LengthStyle::DecimalFeet => LengthStyle::FeetInches16.format(other),
            _ => LengthStyle::DecimalFeet.format(other),
        };
        add(Slip::FeetAndInches, other, written, 0.5);
    }
    add(Slip::Inverted, -reading, style.format(-reading), 0.3);
    found
}

/// The style that a reading is written in: the book's own, or that of its unit.
fn style_of(text: &str, units: LengthStyle) -> LengthStyle {
    let (text, _) = without_inverted(text);
    if feet_and_inches_called(text, units).is_some() {
        return LengthStyle::FeetInches16;
    }
    let text = text.to_lowercase();
    let has = |marks: &[&str]| marks.iter().any(|mark| text.contains(mark));
    let has_inches = has(&["\"", "”", "″", "in", "''"]);
    let has_feet = has(&["'", "’", "′", "f"]);
    if has(&["mm", "milli"]) {
        LengthStyle::Millimetres
    } else if has(&["m"]) {
        LengthStyle::Metres
    } else if has_inches || (has_feet && !text.trim_end().ends_with(['\'', '’', '′', 't'])) {
        LengthStyle::FeetInches16
    } else if has_feet || !units.is_metric() {
        LengthStyle::DecimalFeet
    } else {
        units
    }
}

/// Every text in which two neighbouring digits have changed places, a decimal mark between them
/// or not.
fn swapped_digits(text: &str) -> Vec<String> {
    let signs: Vec<char> = text.chars().collect();
    let is_digit = |index: usize| signs.get(index).is_some_and(char::is_ascii_digit);
    let is_mark = |index: usize| matches!(signs.get(index), Some('.' | ','));
    let mut swapped = Vec::new();
    for first in (0..signs.len()).filter(|first| is_digit(*first)) {
        let second = if is_mark(first + 1) {
            first + 2
        } else {
            first + 1
        };
        if is_digit(second) && signs.get(first) != signs.get(second) {
            let mut signs = signs.clone();
            signs.swap(first, second);
            swapped.push(signs.into_iter().collect());
        }
    }
    swapped
}

/// Decimal feet that were feet and inches, 5.3 for 5' 3"; or the other way. Only where the digits
/// allow it. Metres.
fn feet_mixed_up(reading: f64, style: LengthStyle) -> Option<f64> {
    const FOOT: f64 = 0.3048;
    let sign = if reading < 0.0 { -1.0 } else { 1.0 };
    let feet = reading.abs() / FOOT;
    let whole = (feet + 1e-6).floor();
    let whole_near =
        |number: f64| ((number - number.round()).abs() < 1e-3).then_some(number.round());
    let other = match style {
        LengthStyle::DecimalFeet => {
            let tenths = whole_near((feet - whole) * 10.0);
            // 5.11 can only have been 5' 11", and 5.10 is 5.1 to whoever writes decimals.
            let eleven = whole_near((feet - whole) * 100.0).filter(|behind| *behind == 11.0);
            whole + tenths.or(eleven)? / 12.0
        }
        LengthStyle::FeetInches8 | LengthStyle::FeetInches16 => {
            let inches = whole_near((feet - whole) * 12.0)?;
            whole
                + if inches < 10.0 {
                    inches / 10.0
                } else {
                    inches / 100.0
                }
        }
        LengthStyle::Metres | LengthStyle::Millimetres => return None,
    };
    Some(sign * other * FOOT)
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn written(text: &str, units: LengthStyle) -> Vec<String> {
        let reading = parse_reading(text, units).unwrap();
        let found = alternatives(text, reading, units);
        found.into_iter().map(|it| it.written).collect()
    }

    #[test]
    fn a_metric_reading_slips_like_this() {
        assert_eq!(
            written("1.606", LengthStyle::Metres),
            [
                "2.606 m", "0.606 m", "1.706 m", "1.506 m", "1.616 m", "1.596 m", "6.106", "1.066",
                "1.660", "1.61 ft", "-1.606 m",
            ]
        );
        assert!(written("1606 mm", LengthStyle::DecimalFeet).contains(&"1506 mm".to_owned()));
    }

    #[test]
    fn a_reading_in_feet_slips_like_this() {
        assert_eq!(
            written("5.3", LengthStyle::FeetInches8),
            [
                "6.30 ft", "4.30 ft", "5.40 ft", "5.20 ft", "3.5", "5.300 m", "5' 3\"", "-5.30 ft",
            ]
        );
        assert_eq!(
            written("5' 3\"", LengthStyle::FeetInches8),
            ["6' 3\"", "4' 3\"", "5' 4\"", "5' 2\"", "5.30 ft", "-5' 3\""]
        );
        assert_eq!(
            written("5-3", LengthStyle::FeetInches8),
            ["6' 3\"", "4' 3\"", "5' 4\"", "5' 2\"", "5.30 ft", "-5' 3\""]
        );
        assert!(written("4.11 ft", LengthStyle::Metres).contains(&"4' 11\"".to_owned()));
        assert!(written("2,31 inv", LengthStyle::Metres).contains(&"3,21 inv".to_owned()));
    }

    proptest! {
        #[test]
        fn alternatives_differ_and_fit_a_rod(text in "[0-9]{1,2}[.,' ]?[0-9]{0,3}( m| mm| ft|\"| inv)?") {
            for units in LengthStyle::ALL {
                if let Ok(reading) = parse_reading(&text, units) {
                    for other in alternatives(&text, reading, units) {
                        prop_assert!(other.reading != reading && other.reading.abs() <= LONGEST_ROD);
                    }
                }
            }
        }
    }
}
