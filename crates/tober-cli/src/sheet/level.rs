//! Jacks, blocking, the order of cranking and the tilt that is left.

use tober::ground::Elevation;
use tober::level::{Act, ActKind, GroundUnderRide, LevelPlan, Stack, Way};
use tober::units::LengthStyle;

use super::layout::{Column, bound, item, table};
use super::words;

/// How the frame stands: heights, tilt, what is short, jacks and stacks.
pub(crate) fn section(plan: &LevelPlan, ground: &GroundUnderRide, units: LengthStyle) -> String {
    let mut text = match plan.datum {
        Some(datum) => {
            item("  ", &heights(datum, plan, ground, units))
                + &item("  ", &tilt(plan, units))
                + &settled(plan, units)
                + &how_sure(plan)
        }
        None => item(
            "  ",
            "Not known: the ground under the ride is not surveyed.",
        ),
    };
    if !plan.proven {
        text += &item(
            "  ",
            "The search for the best blocking was cut short: there may be a better choice.",
        );
    }
    for shortfall in &plan.shortfalls {
        text += &item("  SHORT: ", &words::shortfall(shortfall, units));
    }
    for failing in plan.failing_in_words(units) {
        text += &item("  FAILS: ", &format!("{failing}."));
    }
    if !plan.jacks.is_empty() {
        text += "\n";
        text += &jacks(plan, units);
    }
    if !plan.outriggers.is_empty() {
        text += "\n";
        text += &stacks(plan, units);
    }
    text
}

/// How it lies once the ground has settled; nothing where that is not known.
fn settled(plan: &LevelPlan, units: LengthStyle) -> String {
    let settled = plan.settled.as_ref().map(|it| it.in_words(units));
    settled.map_or_else(String::new, |words| item("  ", &words))
}

/// How likely it stays within stroke and blocking; nothing where the survey's errors are not known.
fn how_sure(plan: &LevelPlan) -> String {
    let within = plan.within.as_ref().map(|it| item("  ", &it.in_words()));
    within.unwrap_or_default()
}

fn heights(
    datum: Elevation,
    plan: &LevelPlan,
    ground: &GroundUnderRide,
    units: LengthStyle,
) -> String {
    let high_ground = ground
        .points
        .iter()
        .find(|point| Some(&point.id) == ground.high_corner.as_ref())
        .and_then(|point| point.elevation);
    let above = |height: Elevation| match high_ground {
        Some(high) => format!(
            "{} above the high corner (elevation {})",
            units.format(height - high),
            units.format(height.0)
        ),
        None => format!("at elevation {}", units.format(height.0)),
    };
    let mut text = format!(
        "The datum plane (underside of the main frame) at work, at the hub: {}.",
        above(datum)
    );
    let blocked = !plan.outriggers.is_empty();
    if let Some(lifted) = plan.lifted.filter(|_| blocked) {
        text += &format!(" Lifted for blocking: {}.", above(lifted));
    }
    text
}

fn tilt(plan: &LevelPlan, units: LengthStyle) -> String {
    let one = |tilt: Option<f64>, positive: &str, negative: &str, allowed: f64| {
        let side = match tilt {
            None => return words::NOT_KNOWN.to_owned(),
            Some(0.0) => "",
            Some(tilt) if tilt > 0.0 => positive,
            Some(_) => negative,
        };
        let left = words::degrees_up(tilt.unwrap_or_default());
        format!("{left}{side} (up to {allowed}° is allowed)")
    };
    let mut text = format!(
        "Tilt left along the frame: {}; across: {}.",
        one(
            plan.tilt_along_deg,
            ", tongue end high",
            ", tongue end low",
            plan.tolerance_along_deg
        ),
        one(
            plan.tilt_across_deg,
            ", left side high",
            ", left side low",
            plan.tolerance_across_deg
        ),
    );
    text += &words::out_of_tolerance(&plan.after);
    if let Some(gap) = plan.fourth_foot_gap {
        text += &format!(
            " Down on any three feet, the widest gap under a fourth is {}.",
            units.format_up(gap)
        );
    }
    text
}

fn jacks(plan: &LevelPlan, units: LengthStyle) -> String {
    let rows = plan.jacks.iter().map(|jack| {
        vec![
            jack.id.clone(),
            format!("{} of {}", jack.hole, jack.holes),
            words::turns(jack.turns_free),
            words::turns(jack.turns_loaded),
            words::turns(jack.turns_down),
            units.format(jack.screw_lifted),
            units.format(jack.screw_at_work),
            units.format_down(jack.stroke_left),
            if jack.pad > 0.0 {
                units.format(jack.pad)
            } else {
                "none".to_owned()
            },
            units.format(jack.to_pad),
        ]
    });
    table(
        2,
        &[
            ("Jack", Column::Words),
            ("Hole", Column::Words),
            ("Turns to\nground", Column::Number),
            ("Turns\nto lift", Column::Number),
            ("Turns\nback", Column::Number),
            ("Screw\nlifted", Column::Number),
            ("Screw\nat work", Column::Number),
            ("Screw\nleft", Column::Number),
            ("Pad", Column::Number),
            ("Datum\nto pad", Column::Number),
        ],
        rows.collect(),
    ) + &item(
        "  ",
        "Hole 1 is the highest. Turns are full turns of the crank. Screw left is with the frame \
         lifted; datum to pad, by tape, is at work.",
    )
}

fn stacks(plan: &LevelPlan, units: LengthStyle) -> String {
    let rows = plan.outriggers.iter().map(|stack| {
        vec![
            stack.id.clone(),
            units.format(stack.needed),
            units.format(stack.height),
            pieces(stack),
        ]
    });
    table(
        2,
        &[
            ("Outrigger", Column::Words),
            ("Exact", Column::Number),
            ("Stack", Column::Number),
            ("Blocks, from the ground up", Column::Words),
        ],
        rows.collect(),
    ) + &item("  ", "Each block lies across the one below.")
}

/// The pieces of a stack from the ground up.
fn pieces(stack: &Stack) -> String {
    if stack.pieces.is_empty() {
        return "no blocks; the foot stands on the ground".to_owned();
    }
    let blocks: Vec<&str> = stack.pieces.iter().map(|it| it.block.as_str()).collect();
    blocks.join(" + ")
}

/// What to do, step after step.
pub(crate) fn steps(plan: &LevelPlan) -> String {
    if plan.acts.is_empty() {
        return item("  ", "None until the ride can be levelled.");
    }
    item(
        "  ",
        "In the order written, jacks from left to right. Winding out makes a leg longer, winding \
         in makes it shorter. Two people to a heavy leg; nobody under the frame.",
    ) + &in_steps(&plan.acts, plan)
}

/// What to do to tear it down again, step after step.
pub(crate) fn tear_down(plan: &LevelPlan) -> String {
    if plan.tear_down.is_empty() {
        return item("  ", "None until the ride can be levelled.");
    }
    item(
        "  ",
        "Back the way it went up: the jacks take the weight before any brace or block comes out. \
         Read the level before: what has settled since changes the turns.",
    ) + &in_steps(&plan.tear_down, plan)
}

fn in_steps(acts: &[Act], plan: &LevelPlan) -> String {
    let runs = acts.chunk_by(|one, next| one.kind == next.kind);
    runs.zip(1..)
        .map(|(run, number)| step(&format!("{number:>4}. "), run, plan))
        .collect()
}

/// Acts of one kind, one after the other.
fn step(mark: &str, run: &[Act], plan: &LevelPlan) -> String {
    let Some(first) = run.first() else {
        return String::new();
    };
    let what = match first.kind {
        ActKind::Pin => "Drop the legs and pin them, holes counted from the top",
        ActKind::Touch => "Wind out until each foot touches",
        ActKind::Lift => "Lift the frame, winding out",
        ActKind::Block => "Set the blocks under the outriggers, from the ground up",
        ActKind::Lower => "Lower the frame onto the outriggers, winding in",
        ActKind::Snug => "Wind out again, so that each jack just bears",
        ActKind::TakeUp => "Wind out, until the jacks carry and every outrigger hangs",
        ActKind::Unblock => "Take the blocks out and swing the outriggers up",
        ActKind::LetDown => "Let the frame down onto its tyres, winding in",
        ActKind::Stow => "Wind the jacks right in and pin the legs, holes counted from the top",
    };
    let passes = passes(run);
    if first.kind == ActKind::Block {
        let stacks = run.iter().map(|act| item("      ", &set_blocks(act, plan)));
        item(mark, &format!("{what}:")) + &stacks.collect::<String>()
    } else if passes.len() > 1 {
        let contrary = if run.iter().any(contrary) {
            "; - is the other way"
        } else {
            ""
        };
        let what = format!("{what}, in {} passes (turns{contrary}):", passes.len());
        item(mark, &what) + &in_passes(mark.len(), &passes)
    } else {
        let each: Vec<String> = run.iter().map(|act| bound(&crank(act))).collect();
        item(mark, &format!("{what}: {}.", each.join(", ")))
    }
}

fn set_blocks(act: &Act, plan: &LevelPlan) -> String {
    let stack = plan.outriggers.iter().find(|it| it.id == act.support);
    let pieces = stack.map_or_else(|| words::NOT_KNOWN.to_owned(), pieces);
    format!("{}: {pieces}", act.support)
}

fn crank(act: &Act) -> String {
    let support = &act.support;
    match act.kind {
        ActKind::Pin => format!("{support} in hole {}", act.hole),
        ActKind::Unblock => support.clone(),
        ActKind::Stow if act.turns == 0.0 => format!("{support} in hole {}", act.hole),
        ActKind::Stow => {
            let turns = words::turns_noun(act.turns);
            format!("{support} {turns}, then hole {}", act.hole)
        }
        _ if contrary(act) => format!("{support} {} the other way", words::turns_noun(act.turns)),
        _ => format!("{support} {}", words::turns_noun(act.turns)),
    }
}

/// Whether a screw goes the other way than the acts of its kind do: a corner that was parked too
/// high is let down while the others are lifted.
fn contrary(act: &Act) -> bool {
    match act.kind {
        ActKind::Lower | ActKind::LetDown => act.way == Some(Way::Out),
        _ => act.way == Some(Way::In),
    }
}

/// Turns in a table of passes; a minus where the screw goes the other way.
fn turned(act: &Act) -> String {
    let turns = words::turns(act.turns);
    if contrary(act) {
        format!("-{turns}")
    } else {
        turns
    }
}

/// A run of acts of one kind, cut into passes: a support that comes round again begins the next.
fn passes(run: &[Act]) -> Vec<&[Act]> {
    let mut passes = Vec::new();
    let mut rest = run;
    while !rest.is_empty() {
        let again = (1..rest.len()).find(|&next| {
            let (pass, after) = rest.split_at(next);
            let came_before = |act: &Act| pass.iter().any(|it| it.support == act.support);
            after.first().is_some_and(came_before)
        });
        let (pass, after) = rest.split_at(again.unwrap_or(rest.len()));
        passes.push(pass);
        rest = after;
    }
    passes
}

/// A row of turns for each pass, a column for each jack.
fn in_passes(indent: usize, passes: &[&[Act]]) -> String {
    let mut jacks: Vec<&str> = Vec::new();
    for act in passes.iter().copied().flatten() {
        if !jacks.contains(&act.support.as_str()) {
            jacks.push(&act.support);
        }
    }
    let rows = passes.iter().zip(1..).map(|(pass, number)| {
        let turns = jacks.iter().map(|jack| {
            let act = pass.iter().find(|act| act.support == *jack);
            act.map_or_else(|| "-".to_owned(), turned)
        });
        std::iter::once(number.to_string()).chain(turns).collect()
    });
    let mut columns = vec![("Pass", Column::Number)];
    columns.extend(jacks.iter().map(|jack| (*jack, Column::Number)));
    table(indent, &columns, rows.collect())
}
