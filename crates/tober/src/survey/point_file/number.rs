//! Numbers with a decimal point or a decimal comma, thousands marked or not; feet and inches, where
//! their marks leave no doubt.

use crate::units::{LengthStyle, parse_length};

/// Where the decimals of a file begin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DecimalMark {
    Point,
    Comma,
}

impl DecimalMark {
    /// The mark that the numbers of a file speak for. A number with both marks, or with one of
    /// them twice, leaves no doubt; one with a single mark speaks for that.
    pub(super) fn of<'a>(numbers: impl Iterator<Item = &'a str>) -> DecimalMark {
        let (mut certain, mut likely) = (0_i64, 0_i64);
        for number in numbers {
            let points = number.matches('.').count();
            let commas = number.matches(',').count();
            match (points, commas) {
                (0, 0) => {}
                (0, 1) => likely += 1,
                (1, 0) => likely -= 1,
                (0, _) => certain -= 1,
                (_, 0) => certain += 1,
                _ if number.rfind(',') > number.rfind('.') => certain += 1,
                _ => certain -= 1,
            }
        }
        let for_comma = if certain == 0 { likely } else { certain };
        if for_comma > 0 {
            DecimalMark::Comma
        } else {
            DecimalMark::Point
        }
    }

    /// Reads a number: a sign, digits in one piece or in groups of three, decimals.
    pub(super) fn parse(self, text: &str) -> Result<f64, &'static str> {
        let (decimal, other) = match self {
            DecimalMark::Point => ('.', ','),
            DecimalMark::Comma => (',', '.'),
        };
        let text = text.replace(['−', '–'], "-");
        let (sign, unsigned) = match text.strip_prefix('-') {
            Some(rest) => (-1.0, rest),
            None => (1.0, text.strip_prefix('+').unwrap_or(&text)),
        };
        if unsigned.is_empty() {
            return Err("it is empty");
        }
        if unsigned.contains(['"', '”', '″']) || unsigned.ends_with(['\'', '’', '′']) {
            return Err("feet and inches are read as 12' 3-1/2\", in a file of feet");
        }
        if unsigned.ends_with(['m', 't']) {
            return Err("a unit stands above the column, not behind the number");
        }
        if unsigned.contains("E+") || unsigned.contains("e+") {
            return Err("a spreadsheet has cut its digits off; save it with all of them");
        }
        let (whole, decimals) = unsigned.split_once(decimal).unwrap_or((unsigned, ""));
        let is_group_mark =
            |c: char| c == other || matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '’');
        let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
        let groups: Vec<&str> = whole.split(is_group_mark).collect();
        if let [first, later @ ..] = groups.as_slice()
            && !later.is_empty()
        {
            let in_threes = later.iter().all(|group| group.len() == 3);
            if !in_threes || first.is_empty() || first.len() > 3 {
                return Err("digits are grouped in threes or not at all");
            }
            if later.len() == 1 && decimals.is_empty() && whole.contains(other) {
                return Err("its mark could be a decimal mark or group thousands");
            }
        }
        let whole: String = groups.concat();
        let has_digits = !whole.is_empty() || !decimals.is_empty();
        if !has_digits || !digits(&whole) || !digits(decimals) {
            return Err("it has more in it than digits, a sign and a decimal mark");
        }
        let number: f64 = format!("{whole}.{decimals}0")
            .parse()
            .map_err(|_| "it is no number")?;
        Ok(sign * number)
    }
}

/// Feet of a number that is written in feet and inches, `12' 3-1/2"`: absent without the mark of
/// feet, which between digits groups thousands.
pub(super) fn feet_and_inches(text: &str) -> Option<f64> {
    let is_mark = |c: char| matches!(c, '\'' | '’' | '′');
    let (_, behind) = text.split_once(is_mark)?;
    let is_group =
        behind.starts_with(|c: char| c.is_ascii_digit()) && !text.contains(['"', '”', '″']);
    let metres = parse_length(text, LengthStyle::FeetInches8).ok()?;
    let is_once = !behind.contains(is_mark);
    // The inch is exact, and so is what it is counted in here.
    (is_once && !is_group).then(|| metres / 0.3048)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn feet_and_inches_are_told_by_their_marks() {
        for (text, feet) in [
            ("12' 3-1/2\"", Some(12.0 + 3.5 / 12.0)),
            ("12’", Some(12.0)),
            ("12'3\"", Some(12.25)),
            ("-0' 6\"", Some(-0.5)),
            ("12'-3", Some(12.25)),
            ("4'512", None),
            ("4'512'345", None),
            ("12\"", None),
            ("tree 12'", None),
            ("12' 14\"", None),
            ("12.5", None),
        ] {
            let found = feet_and_inches(text);
            assert_eq!(found.is_some(), feet.is_some(), "{text}");
            assert!(
                (found.unwrap_or(0.0) - feet.unwrap_or(0.0)).abs() < 1e-12,
                "{text}"
            );
        }
    }

    #[test]
    fn the_mark_is_told_by_the_numbers() {
        let of = |numbers: &[&str]| DecimalMark::of(numbers.iter().copied());
        assert_eq!(of(&["1.5", "2.25", "3,5"]), DecimalMark::Point);
        assert_eq!(of(&["1,5", "7"]), DecimalMark::Comma);
        assert_eq!(of(&["1.234", "4.512.345,678"]), DecimalMark::Comma);
        assert_eq!(of(&["1,234", "4,512,345"]), DecimalMark::Point);
        assert_eq!(of(&[]), DecimalMark::Point);
    }

    #[test]
    fn numbers_are_read_in_their_mark() {
        for (text, number) in [
            ("12", 12.0),
            ("-0.5", -0.5),
            ("−.5", -0.5),
            ("+7.", 7.0),
            ("4,512,345.678", 4_512_345.678),
            ("4 512 345.678", 4_512_345.678),
            ("4,512,345", 4_512_345.0),
        ] {
            assert_eq!(DecimalMark::Point.parse(text), Ok(number), "{text}");
        }
        assert_eq!(DecimalMark::Comma.parse("4.512.345,678"), Ok(4_512_345.678));
        let why = |text: &str| DecimalMark::Comma.parse(text).unwrap_err();
        assert!(
            why("10' 6\"").contains("feet and inches") && why("15'").contains("feet and inches")
        );
        assert!(why("5,12345E+05").contains("spreadsheet"));
        assert!(why("30 m").contains("a unit stands") && why("30.5 ft").contains("a unit"));
        for text in [
            "", "-", ".", "1,234", "12,34.5", "1e5", "NaN", "inf", "5' 3\"", "--1", "1.2.3", "٣",
        ] {
            assert!(DecimalMark::Point.parse(text).is_err(), "{text}");
        }
    }
}
