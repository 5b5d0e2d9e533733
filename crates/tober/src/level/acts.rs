//! The order of the acts: pin, touch, lift in passes, block, lower in passes, snug.
//!
//! Front pair first, then the back; low side first within a pair. Common practice, no published
//! source; the ride maker's manual wins.
//!
//! Parked, the frame is a plane; lifted, it is a plane. In between, every jack goes the same
//! share of its own way in each pass, so that after each pass the corners lie in a plane again
//! to the quarter turn, and within a pass no corner is ahead of the others by more than its
//! share: the ride's rack limit, or a quarter turn where that is more.

use super::{Act, ActKind, JackSetting, Stack, Stand};

const QUARTER: f64 = 0.25;

/// No crew lifts in more passes than this; a ride whose rack limit asks for more gets this many.
const MOST_PASSES: f64 = 60.0;

pub(super) fn in_order(stand: &Stand, jacks: &[JackSetting], stacks: &[Stack]) -> Vec<Act> {
    let levelling = &stand.profile.levelling;
    let order = cranking_order(stand);
    let settings: Vec<&JackSetting> = order.iter().filter_map(|&i| jacks.get(i)).collect();
    // Turns that one corner may be ahead: the same for every jack, by the coarsest screw.
    let lift = stand.profile.jacks.iter().map(|jack| jack.lift_per_turn);
    let ahead = levelling.rack_limit / lift.fold(f64::MIN_POSITIVE, f64::max);

    let mut acts: Vec<Act> = settings
        .iter()
        .map(|setting| Act {
            hole: setting.hole,
            ..act(ActKind::Pin, &setting.id)
        })
        .collect();
    acts.extend(in_passes(
        ActKind::Touch,
        &settings,
        |jack| jack.turns_free,
        f64::INFINITY,
    ));
    acts.extend(in_passes(
        ActKind::Lift,
        &settings,
        |jack| jack.turns_loaded,
        ahead,
    ));
    if stacks.is_empty() {
        return acts;
    }
    acts.extend(stacks.iter().map(|stack| act(ActKind::Block, &stack.id)));
    acts.extend(in_passes(
        ActKind::Lower,
        &settings,
        |jack| jack.turns_down,
        ahead,
    ));
    acts.extend(settings.iter().map(|setting| Act {
        turns: levelling.snug_turns,
        ..act(ActKind::Snug, &setting.id)
    }));
    acts
}

fn act(kind: ActKind, support: &str) -> Act {
    Act {
        kind,
        support: support.to_owned(),
        hole: 0,
        turns: 0.0,
    }
}

/// Cranks every jack its `turns`, none more than `ahead` turns in one go.
fn in_passes(
    kind: ActKind,
    settings: &[&JackSetting],
    turns: impl Fn(&JackSetting) -> f64,
    ahead: f64,
) -> Vec<Act> {
    let most = settings.iter().map(|jack| turns(jack)).fold(0.0, f64::max);
    let passes = (most / ahead.max(QUARTER)).ceil().clamp(1.0, MOST_PASSES) as u32;
    let mut acts = Vec::new();
    for pass in 1..=passes {
        for jack in settings {
            let due = |pass: u32| {
                let share = f64::from(pass) / f64::from(passes);
                (turns(jack) * share / QUARTER).round() * QUARTER
            };
            let now = due(pass) - due(pass - 1);
            if now > 0.0 {
                acts.push(Act {
                    turns: now,
                    ..act(kind, &jack.id)
                });
            }
        }
    }
    acts
}

/// The jacks by index: front before back, low side first.
fn cranking_order(stand: &Stand) -> Vec<usize> {
    let jacks = &stand.profile.jacks;
    let middle = jacks.iter().map(|jack| jack.at.x).sum::<f64>() / jacks.len().max(1) as f64;
    let mut order: Vec<(bool, f64, usize)> = jacks
        .iter()
        .zip(&stand.jack_ground)
        .enumerate()
        .map(|(index, (jack, &ground))| (jack.at.x < middle, ground, index))
        .collect();
    order.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.cmp(&b.2)));
    order.into_iter().map(|(_, _, index)| index).collect()
}
