//! The result in words, for those who do not see the drawing.

use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::site::Surface;
use tober::units::LengthStyle;

/// The drawing's title: the site, and how it came out.
pub fn title(assessment: &Assessment) -> String {
    format!(
        "Plan of {}: {}",
        assessment.site,
        sentence(assessment.verdict)
    )
}

/// The drawing in a paragraph: every ride, its verdict and its tightest clearance.
pub fn describe(assessment: &Assessment) -> String {
    assessment
        .rides
        .iter()
        .map(|ride| describe_ride(ride, assessment.units))
        .collect::<Vec<_>>()
        .join(" ")
}

fn describe_ride(ride: &RideAssessment, style: LengthStyle) -> String {
    let tightest = match ride.clearances.first() {
        None => "no clearances to keep".to_owned(),
        Some(row) => {
            let to = match row.against_name.as_str() {
                "" => "the lot line",
                name => name,
            };
            let required = style.format_up(row.required);
            match row.value {
                Some(value) => format!(
                    "the tightest clearance is {} to {to}, of {required} needed",
                    style.format_down(value)
                ),
                None => format!("the clearance to {to} is not known, {required} needed"),
            }
        }
    };
    format!(
        "{}: {}; heading {:.0} degrees; {tightest}.",
        ride.name,
        sentence(ride.verdict),
        ride.placement.heading
    )
}

fn sentence(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "every check passes",
        Verdict::Unknown => "something is not known",
        Verdict::Fail => "a check fails",
    }
}

/// What a surface is called on a drawing.
pub fn surface_word(surface: Surface) -> &'static str {
    match surface {
        Surface::Pavement => "pavement",
        Surface::Gravel => "gravel",
        Surface::Sand => "sand",
        Surface::Clay => "clay or silt",
        Surface::Grass => "grass",
        Surface::SoftOrFill => "soft ground or fill",
    }
}

/// A voltage as it is painted on a pole.
pub(crate) fn volts_text(volts: Option<f64>) -> String {
    match volts {
        None => "voltage not known".to_owned(),
        Some(volts) if volts >= 1000.0 => format!("{} kV", round_to(volts / 1000.0, 10.0)),
        Some(volts) => format!("{volts:.0} V"),
    }
}

fn round_to(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn voltages_read_as_painted() {
        assert_eq!(volts_text(Some(240.0)), "240 V");
        assert_eq!(volts_text(Some(7_200.0)), "7.2 kV");
        assert_eq!(volts_text(Some(11_000.0)), "11 kV");
        assert_eq!(volts_text(None), "voltage not known");
    }
}
