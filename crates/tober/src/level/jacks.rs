//! Setting one jack: the hole, the screw, the turns.

use super::{JackSetting, ShortOf, Shortfall};
use crate::ride::Jack;

/// What is asked of a jack. Heights are elevations in metres.
pub(super) struct Ask<'a> {
    pub(super) jack: &'a Jack,
    /// The ground under its pad.
    pub(super) ground: f64,
    /// The datum above it while the ride is parked on its tyres; absent without wheels.
    pub(super) parked: Option<f64>,
    /// The datum above it at work.
    pub(super) at_work: f64,
    /// The datum above it while lifted.
    pub(super) lifted: f64,
    /// Screw that must be left at either end of the stroke.
    pub(super) reserve: f64,
    /// Turns given back once the outriggers carry: the jack is first let down that much farther,
    /// so that it hangs free. `None` for a ride that works on its jacks.
    pub(super) snug_turns: Option<f64>,
}

/// Turns of the crank are read to a quarter.
const QUARTER: f64 = 0.25;

/// The lowest hole that still lets the leg be pinned while parked, by its drop: legs go down as
/// far as they will before anyone cranks. `None` when the leg is too long even in the highest.
fn lowest_pinnable(jack: &Jack, ground: f64, parked: Option<f64>) -> Option<usize> {
    let fits = |hole: f64| {
        let leg = jack.drop + hole + jack.screw_retracted + jack.pad_thickness;
        parked.is_none_or(|parked| leg <= parked - ground)
    };
    jack.holes.iter().rposition(|&hole| fits(hole))
}

/// The highest datum above a jack that it can hold, metres.
pub(super) fn highest(jack: &Jack, ground: f64, parked: Option<f64>, reserve: f64) -> f64 {
    let index = lowest_pinnable(jack, ground, parked).unwrap_or(0);
    let hole = jack.holes.get(index).copied().unwrap_or(0.0);
    ground + jack.pad_thickness + jack.drop + hole + jack.screw_extended - reserve
}

/// Sets a jack: the lowest hole that can be pinned and that leaves enough screw in at work. Where
/// the jack cannot do what is asked, says what is short.
pub(super) fn set(ask: Ask) -> (JackSetting, Vec<Shortfall>) {
    let Ask {
        jack,
        ground,
        parked,
        at_work,
        lifted,
        reserve,
        snug_turns,
    } = ask;
    let mut shortfalls = Vec::new();
    let mut short = |what, by: f64| {
        // Less than a micrometre is arithmetic.
        if by > 1e-6 {
            shortfalls.push(Shortfall {
                support: jack.id.clone(),
                what,
                by,
            });
        }
    };
    // Reach needed below the datum, less pad and the leg in its highest hole.
    let reach = |datum: f64| datum - ground - jack.pad_thickness - jack.drop;
    let shortest = jack.screw_retracted + reserve;
    let pinnable = lowest_pinnable(jack, ground, parked);
    if let (None, Some(parked)) = (pinnable, parked) {
        let highest_hole = jack.holes.first().copied().unwrap_or(0.0);
        short(
            ShortOf::JackTooLong,
            jack.screw_retracted - (reach(parked) - highest_hole),
        );
    }
    let lowest = pinnable.unwrap_or(0);
    let index = (0..=lowest)
        .rev()
        .find(|&index| {
            jack.holes
                .get(index)
                .is_some_and(|hole| reach(at_work) - hole >= shortest - 1e-9)
        })
        .unwrap_or(0);
    let hole = jack.holes.get(index).copied().unwrap_or(0.0);
    let (screw_at_work, screw_lifted) = (reach(at_work) - hole, reach(lifted) - hole);
    short(ShortOf::JackTooLong, shortest - screw_at_work);
    short(
        ShortOf::Stroke,
        screw_lifted - (jack.screw_extended - reserve),
    );

    let quarters = |travel: f64| {
        // Up to the next quarter: a quarter too many is trimmed with the level in hand, one too
        // few leaves the frame short. A hair over a quarter is arithmetic.
        let turns = travel.max(0.0) / jack.lift_per_turn / QUARTER;
        (turns - 1e-6).ceil().max(0.0) * QUARTER
    };
    let travel = screw_lifted - jack.screw_retracted;
    let gap = parked.map_or(0.0, |parked| {
        (reach(parked) - hole - jack.screw_retracted).clamp(0.0, travel.max(0.0))
    });
    let turns = quarters(travel);
    // The foot has touched within the last quarter turn counted.
    let turns_free = quarters(gap).min(turns);
    let setting = JackSetting {
        id: jack.id.clone(),
        hole: index + 1,
        holes: jack.holes.len(),
        screw_lifted,
        screw_at_work,
        turns_free,
        turns_loaded: turns - turns_free,
        turns_down: snug_turns.map_or(0.0, |snug| quarters(lifted - at_work) + snug),
        stroke_left: jack.screw_extended - screw_lifted,
        pad: jack.pad_thickness,
        extension: reach(at_work),
    };
    (setting, shortfalls)
}
