//! Printing lengths: to the nearest step, or to the safe side.

use super::LengthStyle;

/// How far past a step a length may lie and still count as being on it, metres.
///
/// Twelve feet computed in floating point may be a hair under twelve feet; rounding that down by
/// a whole step would print a length that nobody measured. A nanometre is far below anything
/// printed, and far above the noise of doubles at the size of a fairground.
const ON_A_STEP: f64 = 1e-9;

/// Which way a length between two steps goes.
#[derive(Clone, Copy)]
enum Rounding {
    Nearest,
    Down,
    Up,
}

impl LengthStyle {
    /// A length in this style, to the nearest step.
    ///
    /// ```
    /// use tober::units::LengthStyle;
    /// assert_eq!(LengthStyle::FeetInches8.format(1.606), r#"5' 3-1/4""#);
    /// assert_eq!(LengthStyle::Millimetres.format(1.606), "1606 mm");
    /// ```
    pub fn format(self, metres: f64) -> String {
        self.print(metres, Rounding::Nearest)
    }

    /// A length in this style, rounded towards less: for distances that must not be overstated.
    /// A length within a nanometre of a step is on it.
    pub fn format_down(self, metres: f64) -> String {
        self.print(metres, Rounding::Down)
    }

    /// A length in this style, rounded towards more: for requirements, which must not be
    /// understated. A length within a nanometre of a step is on it.
    pub fn format_up(self, metres: f64) -> String {
        self.print(metres, Rounding::Up)
    }

    /// How far off something is, to a finer step than lengths are printed to: tenths of a
    /// millimetre, thousandths of a foot, hundredths of an inch.
    ///
    /// ```
    /// use tober::units::LengthStyle;
    /// assert_eq!(LengthStyle::Metres.format_fine(-0.0017), "-1.7 mm");
    /// assert_eq!(LengthStyle::DecimalFeet.format_fine(0.003), "0.010 ft");
    /// assert_eq!(LengthStyle::FeetInches8.format_fine(0.003), "0.12 in");
    /// ```
    pub fn format_fine(self, metres: f64) -> String {
        format!("{} {}", self.fine(metres), self.fine_unit())
    }

    /// The number of [`LengthStyle::format_fine`], for a column that names the unit once.
    pub fn fine(self, metres: f64) -> String {
        let (count, decimals) = match self.fine_unit() {
            "mm" => (metres * 1000.0, 1),
            "ft" => (metres / 0.3048, 3),
            _ => (metres / 0.0254, 2),
        };
        let text = format!("{count:.decimals$}");
        // Nothing is not below nothing.
        match text.strip_prefix('-') {
            Some(size) if size.bytes().all(|byte| matches!(byte, b'0' | b'.')) => size.to_owned(),
            _ => text,
        }
    }

    /// The unit of [`LengthStyle::format_fine`].
    pub fn fine_unit(self) -> &'static str {
        match self {
            LengthStyle::FeetInches8 | LengthStyle::FeetInches16 => "in",
            LengthStyle::DecimalFeet => "ft",
            LengthStyle::Metres | LengthStyle::Millimetres => "mm",
        }
    }

    fn print(self, metres: f64, rounding: Rounding) -> String {
        let step = self.resolution();
        let steps = match rounding {
            Rounding::Nearest => (metres / step).round(),
            Rounding::Down => ((metres + ON_A_STEP) / step).floor(),
            Rounding::Up => ((metres - ON_A_STEP) / step).ceil(),
        };
        if !steps.is_finite() {
            return "not a number".to_owned();
        }
        let sign = if steps < 0.0 { "-" } else { "" };
        let steps = steps.abs();
        match self {
            LengthStyle::FeetInches8 => sign.to_owned() + &feet_inches(steps, 8.0, sign),
            LengthStyle::FeetInches16 => sign.to_owned() + &feet_inches(steps, 16.0, sign),
            LengthStyle::DecimalFeet => {
                format!("{sign}{}.{:02} ft", (steps / 100.0).trunc(), steps % 100.0)
            }
            LengthStyle::Metres => {
                format!("{sign}{}.{:03} m", (steps / 1000.0).trunc(), steps % 1000.0)
            }
            LengthStyle::Millimetres => format!("{sign}{steps} mm"),
        }
    }
}

/// So many fractions of an inch as feet, inches and a reduced fraction; feet are left out under
/// one foot, and whole inches under one inch, as crews write it.
///
/// A fraction hangs on its inches by a dash (`3-1/4"`), except behind a minus sign, where a
/// second dash would read as another minus (`-3 1/4"`).
fn feet_inches(fractions: f64, per_inch: f64, sign: &str) -> String {
    let feet = (fractions / (12.0 * per_inch)).trunc();
    let rest = fractions % (12.0 * per_inch);
    let inches = (rest / per_inch).trunc();
    let (mut top, mut bottom) = (rest % per_inch, per_inch);
    while top > 0.0 && top % 2.0 == 0.0 {
        (top, bottom) = (top / 2.0, bottom / 2.0);
    }
    let join = if sign.is_empty() { "-" } else { " " };
    let inches = match (inches > 0.0, top > 0.0) {
        (_, false) => format!("{inches}\""),
        (false, true) => format!("{top}/{bottom}\""),
        (true, true) => format!("{inches}{join}{top}/{bottom}\""),
    };
    if feet > 0.0 {
        format!("{feet}' {inches}")
    } else {
        inches
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::parse_length;
    use super::*;

    /// A length of the given inches, metres.
    fn inches(inches: f64) -> f64 {
        inches * 0.0254
    }

    #[test]
    fn prints_what_crews_write() {
        let eighths = LengthStyle::FeetInches8;
        for (length, printed) in [
            (inches(63.25), "5' 3-1/4\""),
            (inches(60.0), "5' 0\""),
            (inches(60.125), "5' 1/8\""),
            (inches(3.0), "3\""),
            (inches(0.75), "3/4\""),
            (0.0, "0\""),
            (-0.0, "0\""),
            (inches(-2.5), "-2 1/2\""),
            (inches(-63.25), "-5' 3 1/4\""),
            // One step under a foot, and half a step under: the latter carries into the feet.
            (inches(11.875), "11-7/8\""),
            (inches(11.96), "1' 0\""),
        ] {
            assert_eq!(eighths.format(length), printed);
        }
        assert_eq!(
            LengthStyle::FeetInches16.format(inches(63.3125)),
            "5' 3-5/16\""
        );
        assert_eq!(LengthStyle::DecimalFeet.format(1.606), "5.27 ft");
        assert_eq!(LengthStyle::DecimalFeet.format(-0.01), "-0.03 ft");
        assert_eq!(LengthStyle::Metres.format(1.606), "1.606 m");
        assert_eq!(LengthStyle::Metres.format(-0.0004), "0.000 m");
        assert_eq!(LengthStyle::Metres.format(12.0), "12.000 m");
        assert_eq!(LengthStyle::Millimetres.format(1.6064), "1606 mm");
        assert_eq!(LengthStyle::Millimetres.format(-0.012), "-12 mm");
    }

    #[test]
    fn rounds_to_the_asked_side() {
        let metres = LengthStyle::Metres;
        assert_eq!(metres.format_down(1.6069), "1.606 m");
        assert_eq!(metres.format_up(1.6061), "1.607 m");
        // Down means towards less: an overlap grows.
        assert_eq!(metres.format_down(-0.0001), "-0.001 m");
        assert_eq!(metres.format_up(-0.0009), "0.000 m");
    }

    #[test]
    fn float_noise_does_not_cost_a_step() {
        let twelve_feet = 3.6576_f64;
        for noisy in [
            twelve_feet,
            twelve_feet.next_down(),
            twelve_feet.next_up(),
            0.1 + 3.5576,
        ] {
            for style in [LengthStyle::FeetInches8, LengthStyle::FeetInches16] {
                assert_eq!(style.format_down(noisy), "12' 0\"");
                assert_eq!(style.format_up(noisy), "12' 0\"");
            }
            assert_eq!(LengthStyle::DecimalFeet.format_down(noisy), "12.00 ft");
            assert_eq!(LengthStyle::DecimalFeet.format_up(noisy), "12.00 ft");
        }
        // A tenth of a millimetre is not noise.
        assert_eq!(
            LengthStyle::FeetInches16.format_down(twelve_feet - 1e-4),
            "11' 11-15/16\""
        );
    }

    #[test]
    fn what_is_not_a_number_says_so() {
        for style in LengthStyle::ALL {
            for metres in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
                assert_eq!(style.format(metres), "not a number");
                assert_eq!(style.format_down(metres), "not a number");
                assert_eq!(style.format_up(metres), "not a number");
            }
        }
    }

    fn any_style() -> impl Strategy<Value = LengthStyle> {
        prop::sample::select(LengthStyle::ALL.to_vec())
    }

    proptest! {
        #[test]
        fn what_is_printed_reads_back(style in any_style(), metres in -1e5..1e5_f64) {
            let step = style.resolution();
            let back = |text: String| parse_length(&text, style).expect("printed lengths parse");

            prop_assert!((back(style.format(metres)) - metres).abs() <= step / 2.0 + 1e-9);

            let down = back(style.format_down(metres));
            prop_assert!(down <= metres + 2e-9 && metres - step <= down);

            let up = back(style.format_up(metres));
            prop_assert!(metres - 2e-9 <= up && up <= metres + step);
        }

        #[test]
        fn printed_lengths_are_fixed_points(style in any_style(), steps in -1_000_000..1_000_000_i32) {
            let printed = style.format(f64::from(steps) * style.resolution());
            let metres = parse_length(&printed, style).expect("printed lengths parse");
            prop_assert_eq!(&style.format(metres), &printed);
            prop_assert_eq!(&style.format_down(metres), &printed);
            prop_assert_eq!(&style.format_up(metres), &printed);
        }

        #[test]
        fn no_number_panics(style in any_style(), metres in any::<f64>()) {
            prop_assert!(!style.format(metres).is_empty());
            prop_assert!(!style.format_down(metres).is_empty());
            prop_assert!(!style.format_up(metres).is_empty());
        }
    }
}
