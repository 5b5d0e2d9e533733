//! Plain words: what to do next, and the cautions.

use super::{RideAssessment, Verdict};
use crate::clearance::{AtHand, ClearanceRow, Part};
use crate::level::{ShortOf, Shortfall, SupportKind};
use crate::site::Site;
use crate::units::LengthStyle;

/// Failing clearances that are spelt out; the table has them all.
const MOST_CLEARANCES: usize = 3;

/// Cautions that every output carries.
pub(super) fn cautions(rides: &[RideAssessment]) -> Vec<String> {
    [
        "A planning aid. The ride maker's manual, the authority having jurisdiction and a \
         qualified person decide.",
        "Published values differ by place and edition: confirm each with whoever its rule names.",
        "Heavy parts move. Keep people clear, put two to a leg, and let nobody under a frame that \
         stands on jacks alone.",
        "Overhead lines: call the utility before anything is raised. Buried services: have them \
         located before a foot or a stake goes down.",
        "Blocks on a sound footing, crossed when two or more are stacked; no concrete, hollow or \
         hollow-core blocks. Check the level again after rain and after the first loaded hour.",
        "Not checked here: whether the ride and its anchors are strong enough, and space needed \
         while building up that the ride's profile does not give.",
    ]
    .into_iter()
    .map(str::to_owned)
    .chain(rides.iter().filter_map(loads_not_known))
    .collect()
}

/// What of the loads of a ride is not known, and therefore not checked.
fn loads_not_known(ride: &RideAssessment) -> Option<String> {
    let loads = &ride.loads;
    let mut missing = loads.not_known.clone();
    if loads.feet.iter().any(|foot| foot.ground.bears.is_none()) {
        missing.push("What the ground bears.".to_owned());
    }
    (!missing.is_empty()).then(|| {
        format!(
            "Loads not known, and so not checked, of {}: {}",
            ride.name,
            missing.join(" ")
        )
    })
}

/// Readings that are named as worth reading again.
const MOST_SUSPECTS: usize = 3;

/// The field books that feed the ground and do not close: by how much, and what to do.
pub(super) fn unclosed(site: &Site) -> impl Iterator<Item = String> {
    site.unclosed_books().filter_map(|(book, reduction)| {
        let closure = reduction.worst_closure()?;
        let units = book.units;
        let off = units.format_up(closure.misclosure.abs());
        let way = if closure.misclosure > 0.0 {
            "high"
        } else {
            "low"
        };
        let suspects = reduction.suspects.iter().take(MOST_SUSPECTS);
        let suspects: Vec<String> = suspects
            .map(|suspect| format!("row {}, {suspect}", suspect.row + 1))
            .collect();
        let read_again = match suspects.as_slice() {
            [] => "Run the loop again.".to_owned(),
            suspects => format!(
                "Read again what may be wrong ({}), or run the loop again.",
                suspects.join("; ")
            ),
        };
        Some(format!(
            "Field book {} does not close: row {} comes out {off} too {way} on {}, and {} is \
             allowed. Until it closes, no height from it counts as known. {read_again}",
            book.called(),
            closure.row + 1,
            closure.to,
            units.format_down(closure.allowed?),
        ))
    })
}

/// What to do next for one ride, the most pressing first.
pub(super) fn next<'a>(
    site: &Site,
    ride: &RideAssessment,
    at_hand: impl Iterator<Item = &'a AtHand>,
) -> Vec<String> {
    let style = site.file().units;
    let mut next = Vec::new();
    let unknown: Vec<&str> = ride
        .ground
        .points
        .iter()
        .filter(|point| point.elevation.is_none())
        .map(|point| point.id.as_str())
        .collect();
    if !unknown.is_empty() {
        next.push(format!(
            "Take spot levels round {}: the ground there is not surveyed, so nothing can be said \
             of jacks and blocking. Or move the ride onto surveyed ground.",
            unknown.join(", ")
        ));
    }
    next.extend(
        ride.level
            .shortfalls
            .iter()
            .map(|short| shortfall(ride, short, style)),
    );
    // Where something is short there are no stages.
    next.extend(ride.level.failing_in_words(style).iter().map(|failing| {
        format!(
            "{failing}. Turn or move the ride to where the ground is more even, or ask the ride \
             maker."
        )
    }));
    if let Some(ground) = ride.over_ground.as_ref().filter(|it| it.least < 0.0) {
        next.push(format!(
            "Moving parts strike the ground by {} at {} east, {} north: raise the frame, or move \
             the ride to where the ground is more even.",
            style.format_up(-ground.least),
            style.format(ground.at.x),
            style.format(ground.at.y)
        ));
    }
    let failing: Vec<&ClearanceRow> = ride
        .clearances
        .iter()
        .filter(|row| row.verdict == Verdict::Fail)
        .collect();
    next.extend(
        failing
            .iter()
            .take(MOST_CLEARANCES)
            .map(|row| clearance(row, style)),
    );
    if failing.len() > MOST_CLEARANCES {
        next.push(format!(
            "{} more clearances fail: see the table.",
            failing.len() - MOST_CLEARANCES
        ));
    }
    next.extend(
        ride.fence
            .notes
            .iter()
            .map(|note| format!("Fence: {note}.")),
    );
    next.extend(at_hand.filter_map(|it| out_of_reach(it, style)));
    next.extend(ride.loads.to_do.iter().cloned());
    if ride.verdict == Verdict::Pass {
        next.push(
            "Everything that was checked holds. Confirm the clearance values with whoever they \
             name, then build up in the order of the crank list."
                .to_owned(),
        );
    }
    next
}

fn shortfall(ride: &RideAssessment, short: &Shortfall, style: LengthStyle) -> String {
    let by = style.format_up(short.by);
    let at = match ride
        .ground
        .points
        .iter()
        .find(|point| point.id == short.support)
    {
        Some(point) if point.kind == SupportKind::Outrigger => format!("Outrigger {}", point.id),
        _ => format!("Jack {}", short.support),
    };
    match short.what {
        ShortOf::Stroke => format!(
            "{at} is {by} short of reach: put a thicker pad or a block of that much under it, or \
             turn or move the ride to where that corner stands higher."
        ),
        ShortOf::JackTooLong => format!(
            "{at} is {by} too long even in its highest hole: dig its place down by that much, \
             take a thinner pad, or turn or move the ride to where that corner stands lower."
        ),
        ShortOf::Blocking if short.by > 0.0 => format!(
            "{at} lacks {by} of blocking: bring more blocks, or turn or move the ride to where \
             that corner stands higher."
        ),
        ShortOf::Blocking => format!(
            "{at} has no block left to stand on, and the ground there asks for one: bring more."
        ),
        ShortOf::Tolerance => format!(
            "The blocks on the truck leave {:.2}° more tilt than the ride allows: bring thinner \
             packing, or move the ride.",
            short.by
        ),
    }
}

/// What an operator lacks, and what to do; nothing where it is at hand.
fn out_of_reach(check: &AtHand, style: LengthStyle) -> Option<String> {
    let what = check.kind.words();
    match (check.verdict, check.distance) {
        (Verdict::Pass, _) => None,
        (Verdict::Fail, Some(distance)) => Some(format!(
            "{what}: the nearest is {} from the operator's station, and {} is the most: bring one \
             nearer.",
            style.format_up(distance),
            style.format_down(check.at_most)
        )),
        _ => Some(format!("{what}: {}.", check.notes.join("; "))),
    }
}

fn clearance(row: &ClearanceRow, style: LengthStyle) -> String {
    let (part, overlap, come) = match row.part {
        Part::Moving => ("Moving parts", "overlap", "come"),
        Part::Standing => ("Standing parts", "overlap", "come"),
        Part::Feet => ("Feet", "overlap", "come"),
        Part::Fence => ("The fence", "overlaps", "comes"),
        Part::BuildUp => ("Building up", "overlaps", "comes"),
        Part::Stakes => ("A stake", "meets", "comes"),
        Part::Fuel => ("Fuel", "overlaps", "comes"),
        Part::Power => ("The power source", "overlaps", "comes"),
    };
    let name = &row.against_name;
    let required = style.format_up(row.required);
    let Some(value) = row.value else {
        return format!("{part}: the distance to {name} cannot be told.");
    };
    let found = if value < 0.0 {
        format!("{part} {overlap} {name} by {}", style.format_up(-value))
    } else {
        format!(
            "{part} {come} within {} of {name}",
            style.format_down(value)
        )
    };
    let asked = if row.required > 0.0 {
        format!("{required} is asked for")
    } else {
        "it must stay clear".to_owned()
    };
    format!("{found}; {asked}.")
}
