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
/// inverted rod is negative: it has a minus sign, or `inv` or `(-)` before or behind it.
///
/// # Errors
///
/// A [`ReadingError`] that says what would have worked.
///
/// ```
/// use tober::survey::parse_reading;
/// use tober::units::LengthStyle::{FeetInches8, Metres};
/// assert_eq!(parse_reading("1.606", Metres), Ok(1.606));
/// assert_eq!(parse_reading("2,31 inv", Metres), Ok(-2.31));
/// assert_eq!(parse_reading("5-3 1/4", FeetInches8), parse_reading("5' 3-1/4\"", FeetInches8));
/// assert!(parse_reading("1606", Metres).unwrap_err().to_string().ends_with("1606 mm would fit one"));
/// ```
pub fn parse_reading(text: &str, bare: LengthStyle) -> Result<f64, ReadingError> {
    let (length, is_inverted) = without_inverted(text);
    let metres = match feet_and_inches_called(length, bare) {
        Some(marked) => parse_length(&marked, bare)?,
        None => parse_length(length, bare)?,
    };
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

/// In a book of feet and inches, five three and a quarter as it is called out and written down,
/// `5-3 1/4` or `5 3 1/4`, with its marks put in: whole feet, whole inches, and a fraction or none.
/// Three and a half, `3 1/2`, could be of feet or of inches, and stays as it is.
pub(super) fn feet_and_inches_called(text: &str, bare: LengthStyle) -> Option<String> {
    if !matches!(bare, LengthStyle::FeetInches8 | LengthStyle::FeetInches16) {
        return None;
    }
    let text = text.trim();
    let (sign, unsigned) = match text.strip_prefix(['-', '−']) {
        Some(rest) => ("-", rest),
        None => ("", text),
    };
    let is_whole = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let mut parts =
        unsigned.split(|c: char| c.is_whitespace() || matches!(c, '-' | '–' | '‐' | '‑'));
    let (feet, inches, fraction) = (parts.next()?, parts.next()?, parts.next());
    let is_fraction = |part: &str| {
        part.split_once('/')
            .is_some_and(|(top, bottom)| is_whole(top) && is_whole(bottom))
    };
    let fits = is_whole(feet) && is_whole(inches) && fraction.is_none_or(is_fraction);
    (fits && parts.next().is_none()).then(|| {
        let fraction = fraction.map_or_else(String::new, |fraction| format!("-{fraction}"));
        format!("{sign}{feet}' {inches}{fraction}\"")
    })
}

/// The text without its word for an inverted rod, and whether it had one.
pub(super) fn without_inverted(text: &str) -> (&str, bool) {
    let text = text.trim();
    for word in [
        "(inverted)",
        "inverted",
        "(inv.)",
        "(inv)",
        "inv.",
        "inv",
        "(-)",
        "(−)",
    ] {
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
            "(-)2.31",
            "2.31 (inv)",
        ] {
            assert_eq!(
                parse_reading(text, LengthStyle::Metres),
                Ok(-2.31),
                "{text}"
            );
        }
    }

    #[test]
    fn feet_and_inches_are_written_as_they_are_called() {
        let feet = LengthStyle::FeetInches8;
        for (text, marked) in [
            ("5-3", "5' 3\""),
            ("5 3", "5' 3\""),
            ("5-3 1/4", "5' 3-1/4\""),
            ("5 3-1/4", "5' 3-1/4\""),
            ("5-11-15/16", "5' 11-15/16\""),
            ("-7-0 1/2", "-7' 0-1/2\""),
            ("7 0 1/2 inv", "-7' 0-1/2\""),
        ] {
            assert_eq!(
                parse_reading(text, feet),
                parse_reading(marked, feet),
                "{text}"
            );
            assert!(parse_reading(text, feet).is_ok(), "{text}");
            assert!(
                parse_reading(text, LengthStyle::DecimalFeet).is_err(),
                "{text}"
            );
        }
        for text in ["3 1/2", "5-13", "5-3-1", "5--3", "5-3 1/0", "5 3 1/4 1"] {
            assert!(parse_reading(text, feet).is_err(), "{text}");
        }
        assert!(
            parse_reading("5-13", feet)
                .unwrap_err()
                .to_string()
                .contains("6' 1\"")
        );
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
        fn no_text_panics(text in ".{0,12}", word in "(inv|INV\\.|inverted|)", called in "[-0-9 /–é]{0,9}", before in any::<bool>()) {
            let text = if before { format!("{word}{text}") } else { format!("{text}{word}") };
            for style in LengthStyle::ALL {
                let _ = parse_reading(&called, style);
                if let Ok(reading) = parse_reading(&text, style) {
                    prop_assert!(reading.abs() <= LONGEST_ROD);
                }
            }
        }
    }
}
