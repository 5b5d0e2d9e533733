//! The setup sheet: an [`Assessment`] as a page of plain text for the crew, to be read on a
//! screen or printed. No calculation of its own.

pub(crate) mod clearance;
pub(crate) mod ground;
pub(crate) mod layout;
pub(crate) mod level;
pub(crate) mod loads;
pub(crate) mod words;

use tober::assess::{Assessment, RideAssessment};
use tober::envelope::Envelope;
use tober::fence::FencePlan;
use tober::loads::load_rules_told;
use tober::units::LengthStyle;

use clearance::Rules;
use layout::{heading, item, numbered};

/// The whole sheet, lines of at most 100 columns. `cures` says of each ride, in the order of the
/// assessment, where else it would keep what it does not keep.
pub(crate) fn sheet(assessment: &Assessment, cures: &[Vec<String>]) -> String {
    let rules = Rules::of_rides(assessment);
    let mut sections = vec![head(assessment)];
    for (ride, number) in assessment.rides.iter().zip(1..) {
        let title = format!(
            "Ride {number} of {}: {}: {}",
            assessment.rides.len(),
            ride.name,
            ride.verdict.word()
        );
        sections.push(heading(&title, "=") + &item("", &stands(ride, assessment.units)));
        let cures = cures.get(number - 1).map_or(&[][..], Vec::as_slice);
        sections.extend(ride_sections(ride, cures, &rules, assessment.units));
    }
    let told = rules.section();
    if !told.is_empty() {
        sections.push(heading("Clearance rules that apply here", "=") + &told);
    }
    let values = load_rules_told(&assessment.load_rules);
    let values: Vec<String> = values.map(|rule| rule.in_words(assessment.units)).collect();
    if !values.is_empty() {
        sections.push(heading("Load values that apply here", "=") + &numbered(&values));
    }
    if !assessment.cautions.is_empty() {
        sections.push(heading("Cautions", "=") + &numbered(&assessment.cautions));
    }
    sections.join("\n")
}

fn head(assessment: &Assessment) -> String {
    let mut text = heading(&format!("Setup sheet: {}", assessment.site), "=");
    text += &item(
        "",
        &format!("All checks together: {}", assessment.verdict.word()),
    );
    text += &item(
        "",
        &format!(
            "Lengths in {}. Distances and what is left are rounded down, requirements up.",
            assessment.units.label()
        ),
    );
    if !assessment.survey.is_empty() {
        text += &item("", &format!("Survey: {}", assessment.survey));
    }
    text += &ground::unclosed("", assessment);
    for warning in &assessment.warnings {
        text += &item("", &warning.to_string());
    }
    text
}

fn ride_sections(
    ride: &RideAssessment,
    cures: &[String],
    rules: &Rules<'_>,
    units: LengthStyle,
) -> Vec<String> {
    let verdict = |title: &str, word: &str| heading(&format!("{title}: {word}"), "-");
    let mut sections = Vec::new();
    if !ride.next.is_empty() {
        let next = ride.next.iter().chain(cures);
        sections.push(heading("Do next", "-") + &numbered(next));
    }
    let over_ground = ride
        .over_ground
        .as_ref()
        .map_or_else(String::new, |it| item("  ", &it.in_words(units)));
    sections.extend([
        heading("Ground", "-") + &ground::section(&ride.ground, units),
        verdict("Level", ride.level.verdict.word())
            + &level::section(&ride.level, &ride.ground, units),
        heading("Crank list", "-") + &level::steps(&ride.level),
        verdict("Loads", ride.loads.verdict.word()) + &loads::section(&ride.loads, units),
        heading("Swing", "-") + &item("  ", &swing(&ride.envelope, units)) + &over_ground,
        heading("Clearances, tightest first", "-") + &clearance::section(&ride.clearances, rules),
        verdict("Fence", ride.fence.verdict.word()) + &fence(&ride.fence, units),
        heading("Tear-down list", "-") + &level::tear_down(&ride.level),
    ]);
    sections
}

fn stands(ride: &RideAssessment, units: LengthStyle) -> String {
    let placement = &ride.placement;
    format!(
        "Hub {}, {} of the lot's origin. The tongue points {}. Profile {}.",
        words::sided(placement.x, units, "east", "west"),
        words::sided(placement.y, units, "north", "south"),
        words::heading(placement.heading),
        ride.profile
    )
}

fn swing(envelope: &Envelope, units: LengthStyle) -> String {
    let mut text = format!(
        "Everything that moves stays within {} of the hub",
        units.format_up(envelope.radius)
    );
    if let (Some(bottom), Some(top)) = (envelope.rows.first(), envelope.rows.last()) {
        let side = |height: f64, printed: String| {
            if height < 0.0 {
                format!("{} below", printed.trim_start_matches('-'))
            } else {
                format!("{printed} above")
            }
        };
        text += &format!(
            ", from {} to {} the datum plane",
            side(bottom.height, units.format_down(bottom.height)),
            side(top.height, units.format_up(top.height))
        );
    }
    text += &format!(
        "; {} of that is for tilt.",
        units.format_up(envelope.tilt_widening)
    );
    if let Some(angle) = envelope.hang_angle_deg {
        text += &format!(" At full speed the chairs hang at {angle:.1}° from the vertical.");
    }
    if let Some(rider_speed) = envelope.rider_speed {
        text += &format!(" Riders go at {}.", words::speed(rider_speed, units));
    }
    text
}

fn fence(fence: &FencePlan, units: LengthStyle) -> String {
    let mut text = item(
        "  ",
        &format!(
            "{} panels, {} of them gates ({} on the truck), {} high; {} posts; {} round.",
            fence.panels,
            fence.gates.len(),
            fence.panels_on_truck,
            units.format_down(fence.height),
            fence.posts.len(),
            units.format(fence.perimeter),
        ),
    );
    text += &item(
        "  ",
        &format!(
            "Nearest to what moves: {}; at least {} is required.",
            units.format_down(fence.clear),
            units.format_up(fence.standoff),
        ),
    );
    for note in &fence.notes {
        text += &item("  ", note);
    }
    text
}

#[cfg(test)]
mod tests;
