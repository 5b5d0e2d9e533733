//! A rod reading as it was called and written down.
//!
//! ```text
//!   upright: 1.606 m, 5' 3-1/4"          inverted: -2.310, 2.310 inv
//!        │ ▲                             ▀▀▀▀▀▀▀ underside
//!   ─────┼─┼─ line of sight                 │ ▼
//!   ▄▄▄▄▄│▄▄▄ ground                   ─────┼─── line of sight
//! ```
//!
//! An inverted rod stands with its foot against the underside of something and counts down, so
//! that its reading is the negative of an upright one: elevation = height of instrument − reading
//! holds for both.

use thiserror::Error;

use crate::units::{LengthError, LengthStyle, parse_length};

/// No levelling rod is longer, metres.
pub const LONGEST_ROD: f64 = 10.0;

/// A text that is not a rod reading.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ReadingError {
    /// It is no length.
    #[error(transparent)]
    Length(#[from] LengthError),
    /// It is longer than any rod; perhaps it was meant in another unit.
    #[error("{shown} is longer than any rod{}", meant(.other))]
    TooLong {
        /// The reading as it was understood.
        shown: String,
        /// What it would be in a unit in which it fits a rod.
        other: Option<String>,
    },
}

fn meant(other: &Option<String>) -> String {
    match other {
        Some(other) => format!("; {other} would fit one"),
        None => String::new(),
    }
}

/// Reads a rod reading, in metres; a bare number is in the unit of `bare`. A reading on an
/// inverted rod is negative: it has a minus sign, or `inv` before or behind it.
///
/// # Errors
///
/// A [`ReadingError`] that says what would have worked.
///
/// ```
/// use tober::survey::parse_reading;
/// use tober::units::LengthStyle::Metres;
/// assert_eq!(parse_reading("1.606", Metres), Ok(1.606));
/// assert_eq!(parse_reading("2,31 inv", Metres), Ok(-2.31));
/// assert!(parse_reading("1606", Metres).unwrap_err().to_string().ends_with("1606 mm would fit one"));
/// ```
pub fn parse_reading(text: &str, bare: LengthStyle) -> Result<f64, ReadingError> {
    let (length, is_inverted) = without_inverted(text);
    let metres = parse_length(length, bare)?;
    let reading = if is_inverted { -metres.abs() } else { metres };
    if reading.abs() <= LONGEST_ROD {
        return Ok(reading);
    }
    let other = (LengthStyle::ALL
        .into_iter()
        .map(|style| (style, parse_length(length, style))))
    .find(|(_, other)| matches!(other, Ok(other) if (0.1..=LONGEST_ROD).contains(&other.abs())))
    .and_then(|(style, other)| Some(style.format(other.ok()?)));
    Err(ReadingError::TooLong {
        shown: bare.format(reading),
        other,
    })
}

/// The text without its word for an inverted rod, and whether it had one.
pub(super) fn without_inverted(text: &str) -> (&str, bool) {
    let text = text.trim();
    for word in ["inverted", "inv.", "inv"] {
        let has_word = |part: Option<&str>| part.is_some_and(|it| it.eq_ignore_ascii_case(word));
        if has_word(text.get(..word.len())) {
            return (text.get(word.len()..).unwrap_or_default(), true);
        }
        if let Some(start) = text.len().checked_sub(word.len())
            && has_word(text.get(start..))
        {
            return (text.get(..start).unwrap_or_default(), true);
        }
    }
    (text, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    #[test]
    fn inverted_rods_count_down() {
        for text in [
            "-2.31",
            "2.31 inv",
            "INV 2.31",
            "inv. 2.31 m",
            "2310 mm inverted",
            "-2.31 inv",
        ] {
            assert_eq!(
                parse_reading(text, LengthStyle::Metres),
                Ok(-2.31),
                "{text}"
            );
        }
    }

    #[test]
    fn what_no_rod_shows_is_refused_with_a_guess() {
        let message = |text: &str, bare| parse_reading(text, bare).unwrap_err().to_string();
        assert_eq!(
            message("5270", LengthStyle::DecimalFeet),
            "5270.00 ft is longer than any rod; 5270 mm would fit one"
        );
        assert_eq!(
            message("99", LengthStyle::Metres),
            "99.000 m is longer than any rod"
        );
        assert!(message("12 yd", LengthStyle::Metres).contains("“yd” has no place in it"));
        assert!(message("inv", LengthStyle::Metres).contains("it is empty"));
    }

    proptest! {
        #[test]
        fn no_text_panics(text in ".{0,12}", word in "(inv|INV\\.|inverted|)", before in any::<bool>()) {
            let text = if before { format!("{word}{text}") } else { format!("{text}{word}") };
            for style in LengthStyle::ALL {
                if let Ok(reading) = parse_reading(&text, style) {
                    prop_assert!(reading.abs() <= LONGEST_ROD);
                }
            }
        }
    }
}
