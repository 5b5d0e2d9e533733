//! The words and numbers that a crew reads, for the types of the assessment.

use tober::clearance::{Against, Measure, RuleInForce, Standing};
use tober::compass::Wind;
use tober::level::{Lean, ShortOf, Shortfall, SupportKind, times_in_a_hundred};
use tober::units::LengthStyle;

/// What stands where a value is absent.
pub(crate) const NOT_KNOWN: &str = "not known";

/// A length that may be absent, printed by one of the ways of [`LengthStyle`].
pub(crate) fn or_not_known(length: Option<f64>, print: impl FnOnce(f64) -> String) -> String {
    length.map_or_else(|| NOT_KNOWN.to_owned(), print)
}

/// Turns of a crank, to a quarter: `6-1/4`.
pub(crate) fn turns(turns: f64) -> String {
    let quarters = (turns * 4.0).round();
    let whole = (quarters / 4.0).trunc();
    let fraction = match quarters.abs() % 4.0 {
        1.0 => "1/4",
        2.0 => "1/2",
        3.0 => "3/4",
        _ => return format!("{whole}"),
    };
    if whole == 0.0 {
        fraction.to_owned()
    } else {
        format!("{whole}-{fraction}")
    }
}

/// Turns of a crank with their noun: `6-1/4 turns`, `1 turn`, `1/2 turn`.
pub(crate) fn turns_noun(count: f64) -> String {
    let one = count > 0.0 && count <= 1.0;
    let noun = if one { "turn" } else { "turns" };
    format!("{} {noun}", turns(count))
}

/// An angle without its sign, degrees to a hundredth, rounded away from zero: a tilt is never
/// understated.
pub(crate) fn degrees_up(degrees: f64) -> String {
    // Noise of the last digits does not cost a hundredth.
    format!(
        "{:.2}°",
        (degrees.abs() * 100.0 - 1e-6).ceil().abs() / 100.0
    )
}

/// How likely a frame is out of tolerance, as a sentence to follow another; nothing where the
/// survey's errors are not known.
pub(crate) fn out_of_tolerance(lean: &Lean) -> String {
    lean.out_probability
        .map_or_else(String::new, |probability| {
            format!(
                " With the survey's errors, out of tolerance {}.",
                times_in_a_hundred(probability)
            )
        })
}

/// A slope in percent: `1.8 % up towards the tongue`.
pub(crate) fn slope(slope: f64, rising: &str, falling: &str) -> String {
    let percent = format!("{:.1}", slope.abs() * 100.0);
    match (percent.as_str(), slope > 0.0) {
        ("0.0", _) => "none".to_owned(),
        (_, true) => format!("{percent} % {rising}"),
        (_, false) => format!("{percent} % {falling}"),
    }
}

/// A heading: `75.0° clockwise from north (east)`.
pub(crate) fn heading(heading_deg: f64) -> String {
    // Rounded first, so that 359.96° is north and not 360°.
    let tenths = (heading_deg * 10.0).round().rem_euclid(3600.0);
    format!(
        "{:.1}° clockwise from north ({})",
        tenths / 10.0,
        Wind::nearest(heading_deg).words()
    )
}

/// A length with the side of zero that it lies on: `5-1/4" below`.
pub(crate) fn sided(length: f64, units: LengthStyle, positive: &str, negative: &str) -> String {
    let side = if length < 0.0 { negative } else { positive };
    format!("{} {side}", units.format(length.abs()))
}

/// A speed, in feet or metres a second.
pub(crate) fn speed(metres_per_second: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{metres_per_second:.1} m/s")
    } else {
        format!("{:.1} ft/s", metres_per_second / 0.3048)
    }
}

/// `A`, `A and B`, `A, B and C`.
pub(crate) fn listed<T: AsRef<str>>(items: &[T]) -> String {
    match items {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", first.join(", "), last.as_ref())
        }
    }
}

pub(crate) fn support(kind: SupportKind) -> &'static str {
    match kind {
        SupportKind::Jack => "jack",
        SupportKind::Outrigger => "outrigger",
        SupportKind::Wheel => "wheel",
    }
}

pub(crate) fn against(against: Against) -> &'static str {
    match against {
        Against::Ride => "ride",
        Against::LotLine => "lot line",
        Against::Walkway => "walkway",
        Against::FireLane => "fire lane",
        Against::Building => "building",
        Against::Tree => "tree",
        Against::OverheadLine => "overhead line",
        Against::BuriedService => "buried service",
        Against::Cover => "cover",
        Against::PowerSource => "power source",
        Against::FuelStore => "fuel",
        Against::Gate => "gate",
        Against::Extinguisher => "extinguisher",
        Against::Disconnect => "disconnect",
        Against::FenceOpening => "opening of a fence",
        Against::Rope => "rope",
    }
}

pub(crate) fn measure(measure: Measure) -> &'static str {
    match measure {
        Measure::Horizontal => "in plan",
        Measure::True => "through the air",
        Measure::Slope => "rise over run",
        Measure::AtMost => "at most",
        Measure::Ball => "across, and gets not through",
    }
}

/// Where a rule's value comes from, and how well that is known.
pub(crate) fn source(rule: &RuleInForce) -> String {
    match rule.standing {
        Standing::Read => format!("{}, read there", rule.source),
        Standing::Memory => format!("{}, from memory and not read again", rule.source),
        Standing::Practice => rule.source.clone(),
        Standing::Local => format!("set for this site: {}", rule.source),
    }
}

/// What is short, where and by how much.
pub(crate) fn shortfall(shortfall: &Shortfall, units: LengthStyle) -> String {
    let by = units.format_up(shortfall.by);
    let what = match shortfall.what {
        ShortOf::Stroke => {
            format!("wound right out in its lowest hole, the jack is {by} too short")
        }
        ShortOf::JackTooLong => {
            format!("wound right in in its highest hole, the jack is {by} too long")
        }
        ShortOf::Blocking => format!(
            "{by} of blocking is missing: no stack of the blocks on the truck, up to three times \
             its base, is high enough"
        ),
        ShortOf::Tolerance => format!(
            "the best that the blocks on the truck allow is {} more tilt than the ride permits",
            degrees_up(shortfall.by)
        ),
    };
    if shortfall.support.is_empty() {
        format!("The whole ride: {what}.")
    } else {
        format!("{}: {what}.", shortfall.support)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_come_in_quarters() {
        for (count, printed) in [
            (0.0, "0 turns"),
            (0.5, "1/2 turn"),
            (1.0, "1 turn"),
            (1.25, "1-1/4 turns"),
            (12.75, "12-3/4 turns"),
        ] {
            assert_eq!(turns_noun(count), printed);
        }
    }

    #[test]
    fn a_tilt_is_never_understated() {
        assert_eq!(degrees_up(0.0), "0.00°");
        assert_eq!(degrees_up(0.101), "0.11°");
        assert_eq!(degrees_up(-0.101), "0.11°");
        assert_eq!(degrees_up(0.1 + 0.2), "0.30°");
    }

    #[test]
    fn headings_have_names() {
        assert_eq!(heading(0.0), "0.0° clockwise from north (north)");
        assert_eq!(heading(338.0), "338.0° clockwise from north (north)");
        assert_eq!(heading(359.96), "0.0° clockwise from north (north)");
        assert_eq!(heading(-90.0), "270.0° clockwise from north (west)");
        assert_eq!(heading(475.0), "115.0° clockwise from north (south-east)");
    }

    #[test]
    fn slopes_say_which_way_they_rise() {
        assert_eq!(slope(0.018, "up", "down"), "1.8 % up");
        assert_eq!(slope(-0.018, "up", "down"), "1.8 % down");
        assert_eq!(slope(-0.0001, "up", "down"), "none");
    }
}
