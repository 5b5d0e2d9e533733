//! Setting one jack: the hole, the screw, the turns.

use super::{JackSetting, Piece, ShortOf, Shortfall};
use crate::ride::Jack;

/// Turns of the crank are read to a quarter.
pub(super) const QUARTER: f64 = 0.25;

/// A jack that may stand on packing. Heights are elevations of the datum, metres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Packed<'a> {
    pub(super) jack: &'a Jack,
    /// The ground under it.
    pub(super) ground: f64,
    /// The datum above it while the ride is parked on its tyres; absent without wheels.
    pub(super) parked: Option<f64>,
    /// Screw that must be left at either end of the stroke.
    pub(super) reserve: f64,
    /// How far above the working height it lifts.
    pub(super) lift_over: f64,
}

impl Packed<'_> {
    /// The lowest hole that still lets the leg be pinned while parked, by its drop: legs go down
    /// as far as they will before anyone cranks. `None` when the leg is too long even in the
    /// highest.
    fn lowest_pinnable(&self, packing: f64) -> Option<usize> {
        let fits = |hole: f64| {
            let leg = self.jack.drop + hole + self.jack.screw_retracted + self.jack.pad_thickness;
            self.parked
                .is_none_or(|parked| leg <= parked - self.ground - packing)
        };
        self.jack.holes.iter().rposition(|&hole| fits(hole))
    }

    /// The lowest datum at work above it, on so much packing.
    pub(super) fn lowest(&self, packing: f64) -> f64 {
        let highest_hole = self.jack.holes.first().copied().unwrap_or(0.0);
        self.foot(packing) + highest_hole + self.jack.screw_retracted + self.reserve
    }

    /// The highest datum at work above it, on so much packing. Minus infinity when the leg
    /// cannot be pinned.
    pub(super) fn highest(&self, packing: f64) -> f64 {
        let index = match self.lowest_pinnable(packing) {
            Some(index) => index,
            // On its own ground it is told as a leg too long; packing makes it no better.
            None if packing > 0.0 => return f64::NEG_INFINITY,
            None => 0,
        };
        let hole = self.jack.holes.get(index).copied().unwrap_or(0.0);
        self.foot(packing) + hole + self.jack.screw_extended - self.reserve - self.lift_over
    }

    /// The datum with the leg in its highest hole and the screw counted from zero.
    fn foot(&self, packing: f64) -> f64 {
        self.ground + packing + self.jack.pad_thickness + self.jack.drop
    }
}

/// What is asked of a jack. Heights are elevations in metres.
pub(super) struct Ask<'a> {
    pub(super) jack: Packed<'a>,
    /// What is under its pad, from the ground up.
    pub(super) packing: Vec<Piece>,
    /// The datum above it when its foot first touches.
    pub(super) touches: f64,
    /// The datum above it at work.
    pub(super) at_work: f64,
    /// The datum above it once the outriggers carry and have given a little.
    pub(super) at_rest: f64,
    /// The datum above it while lifted.
    pub(super) lifted: f64,
    /// Turns given back once the outriggers carry: the jack is first let down that much farther,
    /// so that it hangs free. `None` for a ride that works on its jacks.
    pub(super) snug_turns: Option<f64>,
}

/// Up to the next quarter turn: a quarter too many is trimmed with the level in hand, one too
/// few leaves the frame short. A hair over a quarter is arithmetic.
fn quarters(jack: &Jack, travel: f64) -> f64 {
    let turns = travel.max(0.0) / jack.lift_per_turn / QUARTER;
    (turns - 1e-6).ceil().max(0.0) * QUARTER
}

/// Sets a jack: the lowest hole that can be pinned and that leaves enough screw in at work. Where
/// the jack cannot do what is asked, says what is short.
pub(super) fn set(ask: Ask) -> (JackSetting, Vec<Shortfall>) {
    let Ask {
        jack: packed,
        packing,
        touches,
        at_work,
        at_rest,
        lifted,
        snug_turns,
    } = ask;
    let Packed { jack, reserve, .. } = packed;
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
    let under: f64 = packing.iter().map(|piece| piece.thickness).sum();
    // Reach needed below the datum, less pad, packing and the leg in its highest hole.
    let reach = |datum: f64| datum - packed.foot(under);
    let shortest = jack.screw_retracted + reserve;
    let longest = jack.screw_extended - reserve;
    let pinnable = packed.lowest_pinnable(under);
    let highest_hole = jack.holes.first().copied().unwrap_or(0.0);
    if let (None, Some(parked)) = (pinnable, packed.parked) {
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
    let touching = reach(touches) - hole;
    short(ShortOf::Stroke, screw_lifted.max(touching) - longest);

    // The foot has touched within the last quarter turn counted.
    let turns_free = quarters(jack, touching - jack.screw_retracted);
    let turns = quarters(jack, screw_lifted - jack.screw_retracted);
    let setting = JackSetting {
        id: jack.id.clone(),
        hole: index + 1,
        holes: jack.holes.len(),
        screw_lifted,
        screw_at_work,
        turns_free,
        turns_loaded: turns - turns_free,
        // Snugged again it just bears: it is not to take back what the outriggers carry.
        turns_down: snug_turns.map_or(0.0, |snug| quarters(jack, lifted - at_rest) + snug),
        stroke_left: jack.screw_extended - screw_lifted,
        pad: jack.pad_thickness,
        packing,
        extension: reach(at_work),
        to_pad: jack.drop + reach(at_work),
    };
    (setting, shortfalls)
}
