//! Ride profiles.

use super::features::{DEPTH, stakes};
use super::limits;
use super::loading;
use super::outline::{self, IN_RIDE};
use super::report::{At, Ids, Number, Quantity, Report, listed};
use crate::Point;
use crate::ride::{
    FenceGaps, FenceStock, Frame, HungChairs, Jack, Levelling, RideProfile, RigidArms, RisingArms,
    Space, Swing, SwingTable,
};
use crate::units::Slope;

const LENGTH: Quantity = Quantity::above_zero("a length in metres", limits::RIDE);
const LENGTH_OR_NONE: Quantity = Quantity::from_to("a length in metres", 0.0, limits::RIDE);
const HEIGHT: Quantity = Quantity::from_to("a height in metres", -limits::DROP, limits::RIDE);
const DROP: Quantity = Quantity::from_to("a drop in metres", -limits::DROP, limits::DROP);
const DOWN: Quantity = Quantity::from_to("a length in metres", 0.0, limits::DROP);
const LIFT: Quantity = Quantity::above_zero("a lift in metres a turn", limits::LIFT_PER_TURN);
const PAD: Quantity = Quantity::from_to("a thickness in metres", 0.0, limits::BLOCK_THICKEST);
const TOLERANCE: Quantity = Quantity::above_zero("a tilt in degrees", limits::TOLERANCE_DEG);
const RACK: Quantity = Quantity::above_zero("a length in metres", limits::LEVELLING);
const SPARE: Quantity = Quantity::from_to("a length in metres", 0.0, limits::LEVELLING);
const LEVEL_STEP: Quantity = Quantity::from_to("a tilt in degrees", 0.01, 1.0);
const HEIGHT_STEP: Quantity = Quantity::from_to("a length in metres", 0.001, 0.5);
const TURN_STEP: Quantity = Quantity::from_to("turns of the crank", 0.25, 100.0);
const TURNS: Quantity = Quantity::from_to("turns of the crank", 0.0, limits::SNUG_TURNS);
const PLATE: Quantity = Quantity::above_zero("a length in metres", limits::FOOT_PLATE);
const MASS: Quantity = Quantity::above_zero("a mass in kilograms", limits::MASS);
const TWIST: Quantity = Quantity::from_to(
    "a stiffness in newton metres a radian",
    limits::STIFFNESS_LEAST,
    limits::STIFFNESS,
);
const STIFFNESS: Quantity = Quantity::from_to(
    "a stiffness in newtons a metre",
    limits::STIFFNESS_LEAST,
    limits::STIFFNESS,
);
const SPEED: Quantity = Quantity::from_to("a speed in turns a minute", 0.0, limits::RPM);
const ALLOWANCE: Quantity = Quantity::from_to("an angle in degrees", 0.0, limits::ALLOWANCE_DEG);
/// Angle of an arm from the level.
pub(super) const RAISED: Quantity = Quantity::from_to("an angle in degrees", -90.0, 90.0);
const PANEL: Quantity = Quantity::from_to(
    "a length in metres",
    limits::PANEL_SHORTEST,
    limits::PANEL_LONGEST,
);
const PANEL_HEIGHT: Quantity = Quantity::above_zero("a height in metres", limits::PANEL_HEIGHT);

/// Feet that lie within this of one line, metres, hold nothing upright across it.
const ONE_LINE: f64 = 0.1;

/// Checks everything of a profile but whether its id is taken.
pub(super) fn check(report: &mut Report, at: &At<'_>, profile: &RideProfile) {
    report.text(&at.key("name"), &profile.name);
    outline::closed(report, &at.key("body"), &profile.body, &IN_RIDE);
    report.number(&at.key("body_height"), profile.body_height, &LENGTH_OR_NONE);
    supports(report, at, profile);
    levelling(
        report,
        &at.key("levelling"),
        &profile.levelling,
        &profile.jacks,
    );
    frame(report, &at.key("frame"), &profile.frame);
    loading::check(report, &at.key("loads"), profile);
    swing(report, &at.key("swing"), &profile.swing);
    spaces(report, &at.key("spaces"), &profile.spaces);
    if let Some(console) = profile.console {
        outline::place(report, &at.key("console"), console, &IN_RIDE);
    }
    if let Some(radius) = profile.console_radius {
        report.number(&at.key("console_radius"), radius, &LENGTH);
    }
    stakes(report, &at.key("stakes"), &profile.stakes, &IN_RIDE);
    fence(report, &at.key("fence"), &profile.fence);
}

fn supports(report: &mut Report, at: &At<'_>, profile: &RideProfile) {
    let RideProfile {
        jacks,
        outriggers,
        wheels,
        ..
    } = profile;
    let count = jacks.len() + outriggers.len() + wheels.len();
    if !report.list(
        at,
        count,
        0,
        limits::SUPPORTS,
        "jacks, outriggers and wheels together",
    ) {
        return;
    }
    let mut ids = Ids::new("support of the profile");
    let list = at.key("jacks");
    let mut sound = report.list(&list, jacks.len(), 3, limits::SUPPORTS, "jacks");
    for (index, support) in jacks.iter().enumerate() {
        let at = list.item(index);
        ids.check(report, &at.key("id"), &support.id);
        sound &= outline::place(report, &at.key("at"), support.at, &IN_RIDE);
        jack(report, &at, support);
    }
    if sound {
        stands(report, &list, jacks.iter().map(|jack| jack.at));
    }
    let list = at.key("outriggers");
    let least = if outriggers.is_empty() { 0 } else { 3 };
    let mut sound = report.list(
        &list,
        outriggers.len(),
        least,
        limits::SUPPORTS,
        "outriggers",
    );
    for (index, outrigger) in outriggers.iter().enumerate() {
        let at = list.item(index);
        ids.check(report, &at.key("id"), &outrigger.id);
        sound &= outline::place(report, &at.key("at"), outrigger.at, &IN_RIDE);
        report.number(&at.key("foot_drop"), outrigger.foot_drop, &DROP);
        plate(report, &at, outrigger.foot_plate);
    }
    if sound && !outriggers.is_empty() {
        stands(
            report,
            &list,
            outriggers.iter().map(|outrigger| outrigger.at),
        );
    }
    let list = at.key("wheels");
    for (index, wheel) in wheels.iter().enumerate() {
        let at = list.item(index);
        ids.check(report, &at.key("id"), &wheel.id);
        outline::place(report, &at.key("at"), wheel.at, &IN_RIDE);
        report.number(&at.key("drop"), wheel.drop, &DROP);
        report.number(&at.key("droop"), wheel.droop, &SPARE);
    }
}

/// Whether feet that carry the ride do not all lie on one line.
fn stands(report: &mut Report, at: &At<'_>, feet: impl Iterator<Item = Point>) {
    let feet: Vec<Point> = feet.collect();
    if breadth(&feet) < ONE_LINE {
        report.error(at, "feet on one line", "feet that the ride can stand on");
    }
}

/// How far feet spread across the line through the two that are farthest apart, metres.
fn breadth(feet: &[Point]) -> f64 {
    let pairs = feet
        .iter()
        .flat_map(|a| feet.iter().map(move |b| (a, b - a)));
    let longest = pairs.max_by(|(_, a), (_, b)| a.norm_squared().total_cmp(&b.norm_squared()));
    let Some((from, along)) = longest else {
        return 0.0;
    };
    let length = along.norm();
    if length == 0.0 {
        return 0.0;
    }
    let offsets = feet.iter().map(|foot| along.perp(&(foot - from)) / length);
    let (low, high) = offsets.fold((0.0_f64, 0.0_f64), |(low, high), offset| {
        (low.min(offset), high.max(offset))
    });
    high - low
}

/// Cranks are turned a quarter at a time: no order of them keeps a finer limit than that lifts.
fn rack_limit(report: &mut Report, at: &At<'_>, limit: f64, jacks: &[Jack]) {
    let coarsest = jacks
        .iter()
        .max_by(|a, b| a.lift_per_turn.total_cmp(&b.lift_per_turn));
    let Some(coarsest) = coarsest.filter(|_| jacks.len() > 3) else {
        return;
    };
    let quarter = coarsest.lift_per_turn / 4.0;
    if limit < quarter {
        report.warn(
            at,
            Number(limit),
            format_args!(
                "at least {quarter}, which a quarter turn of jack {} lifts; no crank order keeps \
                 less",
                coarsest.id
            ),
        );
    }
}

fn jack(report: &mut Report, at: &At<'_>, jack: &Jack) {
    report.number(&at.key("drop"), jack.drop, &DROP);
    holes(report, &at.key("holes"), &jack.holes);
    let retracted = report.number(&at.key("screw_retracted"), jack.screw_retracted, &DOWN);
    let extended = report.number(&at.key("screw_extended"), jack.screw_extended, &DOWN);
    if retracted && extended && jack.screw_extended <= jack.screw_retracted {
        report.error(
            &at.key("screw_extended"),
            Number(jack.screw_extended),
            format_args!("more than screw_retracted ({})", jack.screw_retracted),
        );
    }
    report.number(&at.key("lift_per_turn"), jack.lift_per_turn, &LIFT);
    report.number(&at.key("pad_thickness"), jack.pad_thickness, &PAD);
    plate(report, at, jack.foot_plate);
}

fn plate(report: &mut Report, at: &At<'_>, side: Option<f64>) {
    if let Some(side) = side {
        report.number(&at.key("foot_plate"), side, &PLATE);
    }
}

fn holes(report: &mut Report, at: &At<'_>, holes: &[f64]) {
    if !report.list(at, holes.len(), 1, limits::HOLES, "holes") {
        return;
    }
    let mut above = None;
    for (index, hole) in holes.iter().enumerate() {
        let at = at.item(index);
        if !report.number(&at, *hole, &DOWN) {
            continue;
        }
        match above {
            None if index == 0 && *hole != 0.0 => {
                report.error(&at, Number(*hole), "0, the highest hole");
            }
            Some(above) if *hole <= above => {
                report.error(
                    &at,
                    Number(*hole),
                    format_args!("more than the hole before ({above})"),
                );
            }
            _ => {}
        }
        above = Some(*hole);
    }
}

fn levelling(report: &mut Report, at: &At<'_>, levelling: &Levelling, jacks: &[Jack]) {
    tolerance(
        report,
        (
            &at.key("tolerance_along_deg"),
            levelling.tolerance_along_deg,
        ),
        (&at.key("tolerance_along"), levelling.tolerance_along),
    );
    tolerance(
        report,
        (
            &at.key("tolerance_across_deg"),
            levelling.tolerance_across_deg,
        ),
        (&at.key("tolerance_across"), levelling.tolerance_across),
    );
    if report.number(&at.key("rack_limit"), levelling.rack_limit, &RACK) {
        rack_limit(report, &at.key("rack_limit"), levelling.rack_limit, jacks);
    }
    if let Some(tilt) = levelling.travel_tilt_deg {
        report.number(&at.key("travel_tilt_deg"), tilt, &TOLERANCE);
    }
    crank_order(
        report,
        &at.key("crank_order"),
        &levelling.crank_order,
        jacks,
    );
    report.number(&at.key("tyre_clearance"), levelling.tyre_clearance, &SPARE);
    report.number(&at.key("lift_over"), levelling.lift_over, &SPARE);
    let steps_at = at.key("steps");
    let steps = levelling.steps;
    report.number(&steps_at.key("level_deg"), steps.level_deg, &LEVEL_STEP);
    report.number(&steps_at.key("height"), steps.height, &HEIGHT_STEP);
    report.number(&steps_at.key("turns"), steps.turns, &TURN_STEP);
    report.number(&at.key("snug_turns"), levelling.snug_turns, &TURNS);
    let reserve_at = at.key("stroke_reserve");
    let reserve = levelling.stroke_reserve;
    if !report.number(&reserve_at, reserve, &SPARE) {
        return;
    }
    let strokes = jacks
        .iter()
        .map(|jack| (jack, jack.screw_extended - jack.screw_retracted));
    let shortest = strokes
        .filter(|(_, stroke)| *stroke > 0.0)
        .min_by(|(_, a), (_, b)| a.total_cmp(b));
    if let Some((jack, stroke)) = shortest
        && reserve > stroke / 2.0
    {
        report.error(
            &reserve_at,
            Number(reserve),
            format_args!(
                "at most half the stroke of jack {} ({})",
                jack.id,
                Number(stroke)
            ),
        );
    }
}

/// One tolerance, given once: in degrees or in another form.
fn tolerance(
    report: &mut Report,
    (at_degrees, degrees): (&At<'_>, Option<f64>),
    (at_form, form): (&At<'_>, Option<Slope>),
) {
    match (degrees, form) {
        (Some(degrees), None) => {
            report.number(at_degrees, degrees, &TOLERANCE);
        }
        (None, Some(form)) if form.degrees() > 0.0 && form.degrees() <= limits::TOLERANCE_DEG => {}
        (None, Some(form)) => report.error(
            at_form,
            format_args!("{} {}", Number(form.number()), form.form().label()),
            format_args!(
                "a slope, more than 0 and at most {} degrees",
                limits::TOLERANCE_DEG
            ),
        ),
        (Some(_), Some(_)) => report.error(
            at_form,
            "given twice",
            "one tolerance: in degrees, or in the form that the maker states",
        ),
        (None, None) => report.error(at_degrees, "left out", TOLERANCE),
    }
}

/// Whether the maker's order names every jack once.
fn crank_order(report: &mut Report, at: &At<'_>, order: &[Vec<String>], jacks: &[Jack]) {
    if order.is_empty() {
        return;
    }
    let mut named: Vec<&str> = order.iter().flatten().map(String::as_str).collect();
    let mut ids: Vec<&str> = jacks.iter().map(|jack| jack.id.as_str()).collect();
    named.sort_unstable();
    ids.sort_unstable();
    if named != ids {
        report.error(
            at,
            format_args!("an order of {} jacks", named.len()),
            format_args!(
                "every jack of the profile once: {}",
                listed(jacks.iter().map(|jack| jack.id.as_str()))
            ),
        );
    }
}

fn frame(report: &mut Report, at: &At<'_>, frame: &Frame) {
    let numbers = [
        ("mass", frame.mass, &MASS),
        ("twist_stiffness", frame.twist_stiffness, &TWIST),
        ("jack_stiffness", frame.jack_stiffness, &STIFFNESS),
        ("outrigger_stiffness", frame.outrigger_stiffness, &STIFFNESS),
    ];
    for (key, number, quantity) in numbers {
        if let Some(number) = number {
            report.number(&at.key(key), number, quantity);
        }
    }
    if let Some(centre) = frame.centre {
        outline::place(report, &at.key("centre"), centre, &IN_RIDE);
    }
}

fn swing(report: &mut Report, at: &At<'_>, swing: &Swing) {
    match swing {
        Swing::HungChairs(chairs) => hung_chairs(report, &at.key("hung_chairs"), chairs),
        Swing::RigidArms(arms) => rigid_arms(report, &at.key("rigid_arms"), arms),
        Swing::RisingArms(arms) => rising_arms(report, &at.key("rising_arms"), arms),
        Swing::Table(table) => swing_table(report, &at.key("table"), table),
    }
}

fn hung_chairs(report: &mut Report, at: &At<'_>, chairs: &HungChairs) {
    report.number(&at.key("pivot_radius"), chairs.pivot_radius, &LENGTH);
    let pivot = report.number(&at.key("pivot_height"), chairs.pivot_height, &LENGTH);
    let hanger = report.number(&at.key("hanger"), chairs.hanger, &LENGTH);
    if pivot && hanger && chairs.hanger > chairs.pivot_height {
        report.warn(
            &at.key("hanger"),
            Number(chairs.hanger),
            format_args!(
                "no more than pivot_height ({}): these chairs hang below the frame",
                chairs.pivot_height
            ),
        );
    }
    report.number(&at.key("reach"), chairs.reach, &LENGTH_OR_NONE);
    report.number(&at.key("full_speed_rpm"), chairs.full_speed_rpm, &SPEED);
    report.number(&at.key("allowance_deg"), chairs.allowance_deg, &ALLOWANCE);
    report.number(&at.key("top_radius"), chairs.top_radius, &LENGTH_OR_NONE);
    report.number(&at.key("top_height"), chairs.top_height, &LENGTH_OR_NONE);
}

fn rigid_arms(report: &mut Report, at: &At<'_>, arms: &RigidArms) {
    report.number(&at.key("radius"), arms.radius, &LENGTH);
    let low = report.number(&at.key("low"), arms.low, &HEIGHT);
    let high = report.number(&at.key("high"), arms.high, &HEIGHT);
    if low && high && arms.high <= arms.low {
        report.error(
            &at.key("high"),
            Number(arms.high),
            format_args!("more than low ({})", arms.low),
        );
    }
    report.number(&at.key("reach"), arms.reach, &LENGTH_OR_NONE);
}

fn rising_arms(report: &mut Report, at: &At<'_>, arms: &RisingArms) {
    report.number(&at.key("hinge_radius"), arms.hinge_radius, &LENGTH_OR_NONE);
    report.number(&at.key("hinge_height"), arms.hinge_height, &HEIGHT);
    report.number(&at.key("arm"), arms.arm, &LENGTH);
    let lowest = report.number(&at.key("lowest_deg"), arms.lowest_deg, &RAISED);
    let highest = report.number(&at.key("highest_deg"), arms.highest_deg, &RAISED);
    if lowest && highest && arms.highest_deg < arms.lowest_deg {
        report.error(
            &at.key("highest_deg"),
            Number(arms.highest_deg),
            format_args!("no less than lowest_deg ({})", arms.lowest_deg),
        );
    }
    report.number(&at.key("reach"), arms.reach, &LENGTH_OR_NONE);
    report.number(&at.key("top_radius"), arms.top_radius, &LENGTH_OR_NONE);
    report.number(&at.key("top_height"), arms.top_height, &LENGTH_OR_NONE);
}

fn swing_table(report: &mut Report, at: &At<'_>, table: &SwingTable) {
    report.number(&at.key("reach"), table.reach, &LENGTH_OR_NONE);
    let list = at.key("rows");
    if !report.list(&list, table.rows.len(), 2, limits::TABLE_ROWS, "rows") {
        return;
    }
    let mut below = None;
    for (index, row) in table.rows.iter().enumerate() {
        let at = list.item(index);
        report.number(&at.key("radius"), row.radius, &LENGTH_OR_NONE);
        if !report.number(&at.key("height"), row.height, &HEIGHT) {
            continue;
        }
        if let Some(below) = below
            && row.height <= below
        {
            let expected = format_args!("more than the row before ({below})");
            report.error(&at.key("height"), Number(row.height), expected);
        }
        below = Some(row.height);
    }
}

fn spaces(report: &mut Report, list: &At<'_>, spaces: &[Space]) {
    if !report.list(list, spaces.len(), 0, limits::SPACES, "spaces") {
        return;
    }
    let mut ids = Ids::new("space of the profile");
    for (index, space) in spaces.iter().enumerate() {
        let at = list.item(index);
        ids.check(report, &at.key("id"), &space.id);
        report.text(&at.key("name"), &space.name);
        outline::closed(report, &at.key("outline"), &space.outline, &IN_RIDE);
        let low = report.number(&at.key("low"), space.low, &HEIGHT);
        let high = report.number(&at.key("high"), space.high, &HEIGHT);
        if low && high && space.high <= space.low {
            report.error(
                &at.key("high"),
                Number(space.high),
                format_args!("more than low ({})", space.low),
            );
        }
    }
}

/// Checks what gets through the panels of a fence.
pub(super) fn fence_gaps(report: &mut Report, at: &At<'_>, gaps: FenceGaps) {
    for (key, gap) in [("opening", gaps.opening), ("below", gaps.below)] {
        if let Some(gap) = gap {
            report.number(&at.key(key), gap, &LENGTH_OR_NONE);
        }
    }
}

fn fence(report: &mut Report, at: &At<'_>, fence: &FenceStock) {
    report.number(&at.key("standoff"), fence.standoff, &LENGTH_OR_NONE);
    report.number(&at.key("panel"), fence.panel, &PANEL);
    report.number(&at.key("height"), fence.height, &PANEL_HEIGHT);
    if let Some(depth) = fence.stake_depth {
        report.number(&at.key("stake_depth"), depth, &DEPTH);
    }
    fence_gaps(report, &at.key("gaps"), fence.gaps);
    report.count(&at.key("panels"), fence.panels, limits::PANELS, "panels");
    if fence.gates > fence.panels {
        report.error(
            &at.key("gates"),
            fence.gates,
            format_args!("no more than panels ({})", fence.panels),
        );
    }
}
