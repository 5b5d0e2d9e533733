//! Reading lengths as people write them.
//!
//! A text is first put into plain characters (typographic quotes, minus signs and fractions), then
//! cut into numbers, fractions and units, then matched against the few shapes that a length has:
//!
//! ```text
//! number [unit]                 5.27    5.27 ft   1.606 m   63.25"
//! [whole] fraction inch         3/4"    63 1/4"   63-1/4 in
//! whole foot inches [inch]      5' 3"   5'-3 1/4" 5 ft 3-1/4
//! ```
//!
//! A sign may stand in front and holds for the whole. What could mean two things is refused.

use thiserror::Error;

use super::{LengthStyle, Unit};

/// No length on a fairground is longer, metres.
const LONGEST: f64 = 1e6;

/// How much of an unreadable text an error repeats, characters.
const QUOTED: usize = 40;

/// A text that is not a length.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("“{input}” is not a length: {problem}. {}", examples(*.bare))]
pub struct LengthError {
    /// The text, cut short when it is long.
    pub input: String,
    /// What is wrong with it.
    pub problem: LengthProblem,
    /// How a bare number would have been read.
    pub bare: LengthStyle,
}

/// What is wrong with a text that should be a length.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LengthProblem {
    /// Nothing is written.
    #[error("it is empty")]
    Empty,
    /// A word or a character that has no place in a length.
    #[error("“{0}” has no place in it")]
    Stray(String),
    /// Numbers and units that do not make up one length.
    #[error("its parts do not make up one length")]
    Shape,
    /// A fraction whose unit is not written.
    #[error("a fraction needs its inch mark, as in 3/4\"")]
    BareFraction,
    /// A fraction of a unit other than the inch.
    #[error("only inches take fractions; write a decimal")]
    FractionOfOtherUnit,
    /// A fraction over zero.
    #[error("a fraction cannot be over 0")]
    OverZero,
    /// A fraction of one or more behind a whole number.
    #[error("a fraction behind whole inches is less than 1")]
    TopHeavy,
    /// A decimal in front of inches or a fraction.
    #[error("what stands before inches or a fraction must be a whole number")]
    BrokenWhole,
    /// Twelve inches or more behind feet.
    #[error("inches behind feet are less than 12; that would be {0}")]
    InchesPastTwelve(String),
    /// A minus that is not in front.
    #[error("a minus sign stands in front of the whole length or nowhere")]
    InnerMinus,
    /// A comma that may be a decimal comma or may group thousands.
    #[error("the comma could be a decimal point or a thousands mark; write {0} or {1}")]
    Comma(String, String),
    /// Longer than anything on a fairground.
    #[error("it is longer than 1000 km")]
    TooLong,
}

/// What would have worked.
fn examples(bare: LengthStyle) -> &'static str {
    match bare {
        LengthStyle::FeetInches8 | LengthStyle::FeetInches16 => {
            "Write for example 5' 3-1/4\", 63.25 in or 1.606 m; a bare number is feet"
        }
        LengthStyle::DecimalFeet => {
            "Write for example 5.27 ft, 5' 3-1/4\" or 1.606 m; a bare number is feet"
        }
        LengthStyle::Metres => {
            "Write for example 1.606 m, 1606 mm or 5' 3-1/4\"; a bare number is metres"
        }
        LengthStyle::Millimetres => {
            "Write for example 1606 mm, 1.606 m or 5' 3-1/4\"; a bare number is millimetres"
        }
    }
}

/// Reads a length, in metres; a bare number is in the unit of `bare`.
///
/// # Errors
///
/// A [`LengthError`] that repeats the text, says what is wrong and shows what would have worked.
///
/// ```
/// use tober::units::{LengthStyle, parse_length};
/// let feet = LengthStyle::FeetInches8;
/// assert_eq!(parse_length(r#"5' 3-1/4""#, feet), Ok(1.60655));
/// assert_eq!(parse_length("1606 mm", feet), Ok(1.606));
/// assert_eq!(parse_length("-10", feet), Ok(-3.048));
/// assert!(parse_length("1,606", feet).is_err()); // 1.606 or 1606?
/// ```
pub fn parse_length(text: &str, bare: LengthStyle) -> Result<f64, LengthError> {
    read(text, bare).map_err(|problem| LengthError {
        input: quoted(text.trim()),
        problem,
        bare,
    })
}

/// A text short enough to be repeated in a message.
fn quoted(text: &str) -> String {
    let mut short: String = text.chars().take(QUOTED).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

fn read(text: &str, bare: LengthStyle) -> Result<f64, LengthProblem> {
    let plain = plain(text);
    let plain = plain.trim();
    let (sign, unsigned) = if let Some(rest) = plain.strip_prefix('-') {
        (-1.0, rest)
    } else {
        (1.0, plain.strip_prefix('+').unwrap_or(plain))
    };
    let metres = combine(&tokens(unsigned)?, bare)?;
    if metres > LONGEST {
        return Err(LengthProblem::TooLong);
    }
    Ok(sign * metres)
}

/// The text in plain characters: straight quotes, hyphens, spaces and written-out fractions.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '’' | '‘' | '′' | '`' | '´' => plain.push('\''),
            '”' | '“' | '″' => plain.push('"'),
            '−' | '–' | '‐' | '‑' => plain.push('-'),
            '⁄' => plain.push('/'),
            _ if c.is_whitespace() => plain.push(' '),
            _ => match written_out(c) {
                Some(fraction) => {
                    plain.push(' ');
                    plain.push_str(fraction);
                }
                None => plain.push(c),
            },
        }
    }
    plain.replace("''", "\"")
}

/// A fraction in one character, written out.
fn written_out(c: char) -> Option<&'static str> {
    match c {
        '½' => Some("1/2"),
        '⅓' => Some("1/3"),
        '⅔' => Some("2/3"),
        '¼' => Some("1/4"),
        '¾' => Some("3/4"),
        '⅛' => Some("1/8"),
        '⅜' => Some("3/8"),
        '⅝' => Some("5/8"),
        '⅞' => Some("7/8"),
        _ => None,
    }
}

/// One piece of a length.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Token<'a> {
    /// A number, as written.
    Number(&'a str),
    /// Top and bottom.
    Fraction(f64, f64),
    Unit(Unit),
}

/// Cuts a plain, unsigned text into its pieces.
fn tokens(text: &str) -> Result<Vec<Token<'_>>, LengthProblem> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let (token, after) = match first {
            '0'..='9' | '.' | ',' => number_or_fraction(rest)?,
            '\'' | '"' => unit(rest.split_at(1))?,
            _ if first.is_alphabetic() => unit(split_while(rest, char::is_alphabetic))?,
            '-' => return Err(LengthProblem::InnerMinus),
            _ => return Err(LengthProblem::Stray(first.to_string())),
        };
        found.push(token);
        rest = after_dash(token, after).unwrap_or(after).trim_start();
    }
    Ok(found)
}

/// What follows the dash in `5'-3"` and `3-1/4"`. With a space on one side only, as in `5' -3"`,
/// it is a minus sign.
fn after_dash<'a>(before: Token<'_>, after: &'a str) -> Option<&'a str> {
    if !matches!(before, Token::Number(_) | Token::Unit(Unit::Foot)) {
        return None;
    }
    let (space_before, dash) = split_while(after, |c| c == ' ');
    let (space_behind, rest) = split_while(dash.strip_prefix('-')?, |c| c == ' ');
    let digit_follows = rest.starts_with(|c: char| c.is_ascii_digit());
    (digit_follows && space_before.is_empty() == space_behind.is_empty()).then_some(rest)
}

/// The text up to the first character that does not match, and the rest.
fn split_while(text: &str, matches: impl Fn(char) -> bool) -> (&str, &str) {
    let end = text.find(|c| !matches(c)).unwrap_or(text.len());
    text.split_at(end)
}

fn unit<'a>((word, rest): (&str, &'a str)) -> Result<(Token<'a>, &'a str), LengthProblem> {
    let unit = Unit::named(word).ok_or_else(|| LengthProblem::Stray(quoted(word)))?;
    // The full stop of an abbreviation, unless it begins a number.
    let rest = match rest.strip_prefix('.') {
        Some(behind) if !behind.starts_with(|c: char| c.is_ascii_digit()) => behind,
        _ => rest,
    };
    Ok((Token::Unit(unit), rest))
}

fn number_or_fraction(text: &str) -> Result<(Token<'_>, &str), LengthProblem> {
    let (number, rest) = split_while(text, |c| c.is_ascii_digit() || c == '.' || c == ',');
    let Some(rest) = rest.strip_prefix('/') else {
        return Ok((Token::Number(number), rest));
    };
    let (bottom, rest) = split_while(rest, |c| c.is_ascii_digit());
    Ok((Token::Fraction(whole(number)?, whole(bottom)?), rest))
}

/// The one length that the pieces make up, metres.
fn combine(tokens: &[Token<'_>], bare: LengthStyle) -> Result<f64, LengthProblem> {
    match *tokens {
        [] => Err(LengthProblem::Empty),
        [Token::Number(number)] => quantity(number, bare.bare_unit()),
        [Token::Number(number), Token::Unit(unit)] => quantity(number, unit),
        [
            Token::Number(feet),
            Token::Unit(Unit::Foot),
            ref behind @ ..,
        ] => {
            let feet = whole(feet)?;
            let behind = match *behind {
                [ref parts @ .., Token::Unit(Unit::Inch)] => parts,
                _ => behind,
            };
            let inches = inches(behind)?;
            let metres = Unit::Inch.to_metres(feet * 12.0 + inches);
            if inches >= 12.0 {
                let carried = LengthStyle::FeetInches16.format(metres);
                return Err(LengthProblem::InchesPastTwelve(carried));
            }
            Ok(metres)
        }
        [ref parts @ .., Token::Unit(Unit::Inch)] => Ok(Unit::Inch.to_metres(inches(parts)?)),
        [.., Token::Fraction(..)] => Err(LengthProblem::BareFraction),
        [.., Token::Fraction(..), Token::Unit(_)] => Err(LengthProblem::FractionOfOtherUnit),
        _ => Err(LengthProblem::Shape),
    }
}

/// Inches without their mark: a number, a fraction, or a whole number and a fraction.
fn inches(parts: &[Token<'_>]) -> Result<f64, LengthProblem> {
    match *parts {
        [Token::Number(inches)] => decimal(inches, Unit::Inch),
        [Token::Fraction(_, 0.0)] | [_, Token::Fraction(_, 0.0)] => Err(LengthProblem::OverZero),
        [Token::Fraction(top, bottom)] => Ok(top / bottom),
        [Token::Number(_), Token::Fraction(top, bottom)] if top >= bottom => {
            Err(LengthProblem::TopHeavy)
        }
        [Token::Number(inches), Token::Fraction(top, bottom)] => Ok(whole(inches)? + top / bottom),
        _ => Err(LengthProblem::Shape),
    }
}

/// A number of a unit, metres.
fn quantity(number: &str, unit: Unit) -> Result<f64, LengthProblem> {
    Ok(unit.to_metres(decimal(number, unit)?))
}

/// A whole number in digits.
fn whole(number: &str) -> Result<f64, LengthProblem> {
    if number.contains(['.', ',']) {
        return Err(LengthProblem::BrokenWhole);
    }
    number.parse().map_err(|_| LengthProblem::Shape)
}

/// A number with a decimal point, or, in a metric unit, with a decimal comma.
///
/// A comma in front of just three digits may group thousands. Nobody measures a fairground in
/// thousands of metres, so there it is a decimal comma; anywhere else it could be either, and a
/// guess might be a thousandfold out.
fn decimal(number: &str, unit: Unit) -> Result<f64, LengthProblem> {
    let Some((before, behind)) = number.split_once(',') else {
        return number
            .parse()
            .map_err(|_| LengthProblem::Stray(quoted(number)));
    };
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if !digits(before) || !digits(behind) {
        return Err(LengthProblem::Stray(quoted(number)));
    }
    let with_point = format!("{before}.{behind}");
    let may_group = before.len() <= 3 && !before.starts_with('0') && behind.len() == 3;
    let decimal_comma = unit == Unit::Metre || (unit.is_metric() && !may_group);
    if !decimal_comma {
        let without = format!("{before}{behind}");
        return Err(LengthProblem::Comma(quoted(&with_point), quoted(&without)));
    }
    with_point.parse().map_err(|_| LengthProblem::Shape)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const FEET: LengthStyle = LengthStyle::FeetInches8;

    /// 5' 3-1/4" in metres, to the last digit: 63.25 × 0.0254.
    const SIXTY_THREE_AND_A_QUARTER: f64 = 1.60655;

    #[test]
    fn reads_what_people_write() {
        for text in [
            "5' 3-1/4\"",
            "5' 3 1/4\"",
            "5'3-1/4\"",
            "5'-3 1/4\"",
            "5' - 3 1/4\"",
            "5' 3¼\"",
            "5’ 3¼”",
            "5′ 3 1⁄4″",
            "5' 3-1/4''",
            "5' 3-1/4",
            "5 ft 3 1/4 in",
            "5 ft. 3 1/4 in.",
            "5 FT 3 1/4 IN",
            "5 feet 3.25 inches",
            "  5\u{a0}ft 3.25in ",
            "+5' 3-1/4\"",
            "63.25 in",
            "63 1/4\"",
            "63-1/4 in",
            "63 1/4 inches",
        ] {
            assert_eq!(
                parse_length(text, FEET),
                Ok(SIXTY_THREE_AND_A_QUARTER),
                "{text}"
            );
        }
        for (text, metres) in [
            ("5'", 1.524),
            ("5 ft", 1.524),
            ("5ft 3in", 1.6002),
            ("5.27 ft", 1.606_296),
            ("3/4\"", 0.01905),
            ("¾\"", 0.01905),
            ("5/4 in", 0.03175),
            ("5' 3/4\"", 1.54305),
            ("0' 3\"", 0.0762),
            ("1.606 m", 1.606),
            ("1,606 m", 1.606),
            ("1606 mm", 1.606),
            ("160.6 cm", 1.606),
            ("160,6 cm", 1.606),
            ("1606,5 mm", 1.6065),
            ("0,250 mm", 0.00025),
            (".5 m", 0.5),
            ("0", 0.0),
        ] {
            let read = parse_length(text, FEET).expect(text);
            // Decimals of feet and centimetres round twice: within a unit in the last place.
            assert!(
                (read - metres).abs() <= metres * f64::EPSILON,
                "{text}: {read}"
            );
        }
    }

    #[test]
    fn a_sign_holds_for_the_whole() {
        for text in [
            "-5' 3-1/4\"",
            "−5' 3-1/4\"",
            "–5' 3¼\"",
            "- 5 ft 3 1/4 in",
            "-63.25 in",
        ] {
            assert_eq!(
                parse_length(text, FEET),
                Ok(-SIXTY_THREE_AND_A_QUARTER),
                "{text}"
            );
        }
    }

    #[test]
    fn a_bare_number_is_in_the_style() {
        for (style, metres) in [
            (LengthStyle::FeetInches8, 3.81),
            (LengthStyle::FeetInches16, 3.81),
            (LengthStyle::DecimalFeet, 3.81),
            (LengthStyle::Metres, 12.5),
            (LengthStyle::Millimetres, 0.0125),
        ] {
            assert_eq!(parse_length("12.5", style), Ok(metres));
        }
        assert_eq!(parse_length("1,606", LengthStyle::Metres), Ok(1.606));
    }

    #[test]
    fn refuses_what_is_no_length_and_says_why() {
        use LengthProblem as P;
        let stray = |what: &str| P::Stray(what.to_owned());
        let comma = P::Comma("1.606".to_owned(), "1606".to_owned());
        for (text, problem) in [
            ("", P::Empty),
            ("  ", P::Empty),
            ("-", P::Empty),
            ("five", stray("five")),
            ("NaN", stray("NaN")),
            ("inf", stray("inf")),
            ("1e3", stray("e")),
            ("5 yd", stray("yd")),
            ("5' 3\"!", stray("!")),
            ("1.2.3", stray("1.2.3")),
            ("5, in", stray("5,")),
            (".", stray(".")),
            ("٥ m", stray("٥")),
            ("m", P::Shape),
            ("5 3", P::Shape),
            ("5, 3", P::Shape),
            ("5-3", P::Shape),
            ("1 606 mm", P::Shape),
            ("5\" 3'", P::Shape),
            ("5' 3\" 1\"", P::Shape),
            ("5 m 3 in", P::Shape),
            ("5' 3' 2\"", P::Shape),
            ("5' \"", P::Shape),
            ("1/ in", P::Shape),
            ("1/2", P::BareFraction),
            ("5 1/2", P::BareFraction),
            ("1/2 m", P::FractionOfOtherUnit),
            ("5 1/2 ft", P::FractionOfOtherUnit),
            ("3 1/0\"", P::OverZero),
            ("1/0\"", P::OverZero),
            ("3 5/4\"", P::TopHeavy),
            ("3 4/4\"", P::TopHeavy),
            ("5.5' 3\"", P::BrokenWhole),
            ("3.5 1/4\"", P::BrokenWhole),
            ("1.5/2\"", P::BrokenWhole),
            ("5' 13\"", P::InchesPastTwelve("6' 1\"".to_owned())),
            ("5' 12\"", P::InchesPastTwelve("6' 0\"".to_owned())),
            ("5' -3\"", P::InnerMinus),
            ("3 -1/4\"", P::InnerMinus),
            ("--5", P::InnerMinus),
            ("5-m", P::InnerMinus),
            ("5 m-", P::InnerMinus),
            ("1,606", comma.clone()),
            ("1,606 mm", comma.clone()),
            ("1,606 cm", comma.clone()),
            ("1,606 ft", comma.clone()),
            ("1,606\"", comma),
            ("1000001 m", P::TooLong),
            ("-99999999999 ft", P::TooLong),
        ] {
            let error = parse_length(text, FEET).expect_err(text);
            assert_eq!(error.problem, problem, "{text}");
        }
        assert!(parse_length(&"9".repeat(5000), FEET).is_err());
    }

    #[test]
    fn an_error_shows_what_would_have_worked() {
        let message = |text: &str, style| parse_length(text, style).expect_err(text).to_string();
        assert_eq!(
            message("5' 13\"", FEET),
            "“5' 13\"” is not a length: inches behind feet are less than 12; that would be 6' 1\". \
             Write for example 5' 3-1/4\", 63.25 in or 1.606 m; a bare number is feet"
        );
        assert_eq!(
            message("1,606", LengthStyle::Millimetres),
            "“1,606” is not a length: the comma could be a decimal point or a thousands mark; \
             write 1.606 or 1606. \
             Write for example 1606 mm, 1.606 m or 5' 3-1/4\"; a bare number is millimetres"
        );
        let long = message(&"wide ".repeat(1000), FEET);
        assert!(long.chars().count() < 250, "{long}");
    }

    #[test]
    fn the_examples_work() {
        for style in LengthStyle::ALL {
            let shown = examples(style)
                .trim_start_matches("Write for example ")
                .split(';')
                .next()
                .unwrap_or_default()
                .replace(" or ", ", ");
            for example in shown.split(", ") {
                assert!(parse_length(example, style).is_ok(), "{example}");
            }
        }
    }

    proptest! {
        #[test]
        fn no_text_panics(text in any::<String>()) {
            for style in LengthStyle::ALL {
                let _ = parse_length(&text, style);
            }
        }

        /// Texts made of the characters that lengths are made of get further into the parser.
        #[test]
        fn no_near_length_panics(text in "[-+ 0-9.,/'\"½⅞′″−–minchft]{0,12}") {
            for style in LengthStyle::ALL {
                if let Ok(metres) = parse_length(&text, style) {
                    prop_assert!(metres.abs() <= LONGEST, "{text}: {metres}");
                }
            }
        }

        /// Sixteenths are read as the double nearest to the exact length.
        #[test]
        fn feet_and_inches_are_exact(feet in 0..3000_u32, inches in 0..12_u32, sixteenths in 1..16_u32) {
            let text = format!("{feet}' {inches}-{sixteenths}/16\"");
            let in_sixteenths = f64::from((feet * 12 + inches) * 16 + sixteenths);
            // Whole numbers up to the one division: correctly rounded.
            prop_assert_eq!(parse_length(&text, FEET), Ok(in_sixteenths * 254.0 / 160_000.0));
        }
    }
}
