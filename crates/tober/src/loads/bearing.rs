//! What the ground feels under a foot, and what it bears.
//!
//! # Picture
//!
//! ```text
//!        ▼ load
//!       ┌─┐        plate of the foot
//!     ┌─┴─┴─┐      spreads one across for one down through every piece,
//!     └─┬─┬─┘      but never beyond the piece itself;
//!   ┌───┴─┴───┐    the next piece lies crossed
//!   └─────────┘
//!   ↑↑↑↑↑↑↑↑↑↑↑    pressure on the ground: load over the area that is left
//! ```
//!
//! # Source
//!
//! Spread at 45° through timber: common practice, no published source. What kinds of ground bear:
//! International Building Code Table 1806.2, which has no value for mud, organic soil and
//! unprepared fill: then there is none here either. Timber across the grain: 500 psi on the area
//! in contact, from the box cribs of Cal Fire *Rescue Systems 1*, ch. 30. Sinking: pressure over
//! the modulus of subgrade reaction (Winkler).

use serde::{Deserialize, Serialize};

use super::rulebook::{Values, bearing_rule};
use super::standing::{Foot, PAD};
use crate::assess::Verdict;
use crate::clearance::Standing as Known;
use crate::site::{Block, Surface};

/// What the ground feels under a foot, and what it bears.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FootGround {
    /// The zone's name, or its id; empty where no zone covers the foot.
    pub zone: String,
    /// What the ground is; absent where no zone covers the foot.
    pub surface: Option<Surface>,
    /// Area of the ground that carries, metres squared.
    pub area: f64,
    /// Pressure under the greatest load, pascals.
    pub pressure: f64,
    /// What the ground bears, pascals; absent where nobody has said and the code gives none.
    pub bears: Option<f64>,
    /// Where that value comes from; what to do, where there is none.
    pub source: String,
    /// How well that source is known; absent where there is none.
    pub standing: Option<Known>,
    /// Area of ground that the greatest load needs, metres squared.
    pub area_needed: Option<f64>,
    /// The block left on the truck that does, laid under the stack as a pad: its id. The smallest
    /// that does, as far as they go round (no block is promised to two feet). Absent where the
    /// stack does without, where none is left that does, where it is not known what is needed, and
    /// for a jack beside outriggers.
    pub pad: Option<String>,
    /// Greatest pressure on timber across its grain, pascals; absent where there is no timber.
    pub crushing: Option<f64>,
    /// Most that timber takes, pascals.
    pub timber_bears: f64,
    /// The least that the foot may sink under its usual load, metres.
    pub sinks_least: Option<f64>,
    /// The most that it may sink, metres.
    pub sinks_most: Option<f64>,
    /// Clay or silt: it bears less when it is wet.
    pub soft_when_wet: bool,
    /// Pass when ground and timber bear; unknown where nobody has said what the ground bears.
    pub verdict: Verdict,
}

/// How far a load has spread, across and along: metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Sides of the rectangle that carries on the ground, metres.
    pub sides: (f64, f64),
    /// Least area in contact on timber, metres squared; absent without timber.
    pub contact: Option<f64>,
}

impl Spread {
    /// The area that carries on the ground, metres squared.
    pub fn area(&self) -> f64 {
        self.sides.0 * self.sides.1
    }
}

/// How the load of a foot with a square plate spreads through pieces from the ground up: one
/// across for one down, never beyond a piece, each crossed over the one below.
///
/// ```
/// use tober::{loads::spread, site::Block};
/// let board = Block { id: "board".into(), thickness: 0.1, length: 0.6, width: 0.3, count: 1 };
/// // 0.15 and 0.1 either side, no wider than the board.
/// let spread = spread(0.15, &[&board]);
/// assert!((spread.sides.0 - 0.35).abs() < 1e-12 && (spread.sides.1 - 0.3).abs() < 1e-12);
/// ```
pub fn spread(plate: f64, pieces: &[&Block]) -> Spread {
    let mut sides = (plate, plate);
    let mut contact: Option<f64> = None;
    for (place, piece) in pieces.iter().enumerate().rev() {
        // The bottom piece lies along, the next across it, and so on.
        let (long, wide) = (piece.length.max(piece.width), piece.length.min(piece.width));
        let own = if place % 2 == 0 {
            (long, wide)
        } else {
            (wide, long)
        };
        let touching = (sides.0.min(own.0), sides.1.min(own.1));
        let area = touching.0 * touching.1;
        contact = Some(contact.map_or(area, |least| least.min(area)));
        sides = (
            (touching.0 + 2.0 * piece.thickness).min(own.0),
            (touching.1 + 2.0 * piece.thickness).min(own.1),
        );
    }
    Spread { sides, contact }
}

/// What the ground bears, pascals, where it comes from, and how well that is known.
fn bears(foot: &Foot<'_>, values: Values<'_>) -> (Option<f64>, String, Option<Known>) {
    let Some(zone) = foot.zone else {
        return (
            None,
            "Nobody has said what the ground is here: draw a ground zone, or have it tested"
                .to_owned(),
            None,
        );
    };
    if foot.built_up {
        return (
            None,
            "The ground was built up here, and the code gives no value for fill: have it \
             compacted and tested by a qualified person, or set blocks instead"
                .to_owned(),
            None,
        );
    }
    if let Some(given) = &zone.bearing {
        return (
            Some(given.pressure),
            given.reason.clone(),
            Some(Known::Local),
        );
    }
    let rule = bearing_rule(zone.surface).and_then(|id| values.0.iter().find(|rule| rule.id == id));
    match (rule, zone.surface) {
        (Some(rule), _) => (Some(rule.value), rule.source.clone(), Some(rule.standing)),
        (None, Surface::Grass) => (
            None,
            "What lies under the turf is not known: find out, or have it tested, and give its \
             value in the zone"
                .to_owned(),
            None,
        ),
        (None, _) => (
            None,
            "The code gives no value for mud, organic soil and unprepared fill: have a qualified \
             person test the ground, lay mats that they design, or move the ride"
                .to_owned(),
            None,
        ),
    }
}

impl Foot<'_> {
    /// How its load spreads.
    pub(super) fn spread(&self) -> Spread {
        if self.stack.is_empty()
            && let Some(pad) = self.pad
        {
            return Spread {
                sides: (pad, pad),
                contact: None,
            };
        }
        spread(self.sole(), &self.stack)
    }

    /// Side of what lies on top of the stack, metres: a pad is wider than the plate, and lies on
    /// whatever packing there is.
    pub(super) fn sole(&self) -> f64 {
        let pad = (self.plate + 2.0 * self.pad_thickness).min(PAD);
        self.pad.unwrap_or(pad).max(self.plate)
    }

    /// Whether ground and timber bear a load; `None` when the ground's value is not known.
    pub(super) fn bears(&self, load: f64, values: Values<'_>) -> Option<bool> {
        let spread = self.spread();
        let timber = values.value("timber-crushing");
        if spread.contact.is_some_and(|area| load > timber * area) {
            return Some(false);
        }
        bears(self, values)
            .0
            .map(|bears| load <= bears * spread.area())
    }
}

/// What the ground feels under a foot that carries up to `greatest`, and `usual` as a rule.
pub(super) fn under(foot: &Foot<'_>, greatest: f64, usual: f64, values: Values<'_>) -> FootGround {
    let spread = foot.spread();
    let area = spread.area();
    let (bears, source, standing) = bears(foot, values);
    let verdict = match foot.bears(greatest, values) {
        Some(true) => Verdict::Pass,
        Some(false) => Verdict::Fail,
        None => Verdict::Unknown,
    };
    let subgrade = foot.subgrade();
    let sinks = |modulus: f64| usual / area / modulus;
    FootGround {
        zone: foot.zone.map_or_else(String::new, |zone| {
            let named = !zone.name.is_empty();
            if named { &zone.name } else { &zone.id }.clone()
        }),
        surface: foot.zone.map(|zone| zone.surface),
        area,
        pressure: greatest / area,
        bears,
        source,
        standing,
        area_needed: bears.map(|bears| greatest / bears),
        pad: None,
        crushing: spread.contact.map(|contact| greatest / contact),
        timber_bears: values.value("timber-crushing"),
        sinks_least: subgrade.map(|it| sinks(it.highest)),
        sinks_most: subgrade.map(|it| sinks(it.lowest)),
        soft_when_wet: foot.zone.is_some_and(|zone| zone.surface == Surface::Clay),
        verdict,
    }
}
