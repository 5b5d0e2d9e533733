//! The level plan: how high the frame stands, which hole and how many turns for each jack,
//! which blocks under each outrigger, and in which order to crank.
//!
//! # Picture
//!
//! With the frame level at datum height `H`, each jack must reach
//! `e = H − drop − pad − ground`, with its hole and its screw together, both lifted and at work;
//! each outrigger needs a stack of `s = H − foot drop − ground`. `H` must hang the tyres free.
//!
//! ```text
//!   H ═══════╤═══════════════╤═══════════  datum plane, level
//!            │ foot drop     │ drop + hole + screw
//!          ▄▄▄▄▄             │
//!          █stack            ▀ pad
//!   ~~~~~~~~~~~~~\___________~~~~~~~~~~~~  ground
//! ```
//!
//! Stacks come in stock thicknesses, so the choice is discrete: [`blocking`] makes it exactly.
//!
//! # Source
//!
//! The build-up (legs as low as they pin, front pair first, low side first, one or two turns
//! back) is common practice without a published source; the ride maker's manual wins.

mod acts;
mod blocking;
mod jacks;
mod under;

pub use blocking::{HEIGHT_STEP, LEVEL_STEP_DEG, MOST_PIECES};

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::assess::Verdict;
use crate::ground::Elevation;
use crate::ride::RideProfile;
use crate::site::{Block, Site, Surface};
use crate::survey::fit_plane;

/// What kind of support touches the ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SupportKind {
    /// A levelling jack.
    Jack,
    /// An outrigger.
    Outrigger,
    /// A tyre.
    Wheel,
}

/// The ground under one support.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GroundPoint {
    /// The support's id.
    pub id: String,
    /// Its kind.
    pub kind: SupportKind,
    /// Where, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Height of the ground; absent outside the survey.
    pub elevation: Option<Elevation>,
    /// How far below the high corner, metres (0 at the high corner); absent outside the survey.
    pub below_high: Option<f64>,
    /// What the ground is; absent where no zone covers it.
    pub surface: Option<Surface>,
}

/// The ground under a ride.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GroundUnderRide {
    /// Jacks, outriggers, then wheels, in the order of the profile.
    pub points: Vec<GroundPoint>,
    /// The foot on the highest ground (jacks and outriggers); absent when any height is unknown.
    pub high_corner: Option<String>,
    /// Fall along the frame, metres in a metre: positive when the ground rises towards the
    /// tongue. From the plane that best fits the feet; absent when any height is unknown.
    pub fall_along: Option<f64>,
    /// Fall across the frame, metres in a metre: positive when the ground rises to the left.
    pub fall_across: Option<f64>,
}

/// The level plan of one ride.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LevelPlan {
    /// Pass when it can be levelled within tolerance; unknown outside the survey.
    pub verdict: Verdict,
    /// Elevation of the datum plane at the hub, at work.
    pub datum: Option<Elevation>,
    /// Elevation of the datum plane while lifted to slide the blocks in.
    pub lifted: Option<Elevation>,
    /// The jacks, in the order of the profile. Empty when the ground is not known.
    pub jacks: Vec<JackSetting>,
    /// The outriggers, in the order of the profile. Empty when the ground is not known.
    pub outriggers: Vec<Stack>,
    /// What to do, one act after the other.
    pub acts: Vec<Act>,
    /// Tilt along the frame left over after rounding, degrees: positive when the tongue end is
    /// high.
    pub tilt_along_deg: Option<f64>,
    /// Tilt across the frame left over, degrees: positive when the left side is high.
    pub tilt_across_deg: Option<f64>,
    /// Most tilt allowed along, degrees.
    pub tolerance_along_deg: f64,
    /// Most tilt allowed across, degrees.
    pub tolerance_across_deg: f64,
    /// With the frame down on any three of its feet, the widest gap under a fourth, metres.
    pub fourth_foot_gap: Option<f64>,
    /// Whether the blocking is proven to be the best there is: false only when the search was cut
    /// short.
    pub proven: bool,
    /// What is short, where and by how much. Empty when the ride can be levelled.
    pub shortfalls: Vec<Shortfall>,
}

/// How one jack is set.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JackSetting {
    /// The jack's id.
    pub id: String,
    /// Which hole the leg is pinned in, counted from 1 at the highest.
    pub hole: usize,
    /// How many holes the leg has.
    pub holes: usize,
    /// The screw's length with the frame lifted, metres.
    pub screw_lifted: f64,
    /// The screw's length at work, metres.
    pub screw_at_work: f64,
    /// Turns until the foot touches, to a quarter.
    pub turns_free: f64,
    /// Turns from there until the frame is lifted, to a quarter.
    pub turns_loaded: f64,
    /// Turns back down from lifted until the outriggers carry and the jack hangs free, the turns
    /// that snugging then gives back among them, to a quarter; 0 for a ride that works on its
    /// jacks.
    pub turns_down: f64,
    /// Screw left before it is wound right out, with the frame lifted, metres.
    pub stroke_left: f64,
    /// Thickness of the pad under the foot, metres; 0 for none.
    pub pad: f64,
    /// Total reach needed below the datum plane at work, less the pad, metres: the offset that
    /// the crew reads.
    pub extension: f64,
}

/// The blocking under one outrigger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stack {
    /// The outrigger's id.
    pub id: String,
    /// Height that would be exact, metres.
    pub needed: f64,
    /// Pieces from the ground up, by block id; a second and further pieces lie crossed.
    pub pieces: Vec<Piece>,
    /// Height of the stack, metres.
    pub height: f64,
}

/// One piece of a stack.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Piece {
    /// The block's id.
    pub block: String,
    /// Its thickness, metres.
    pub thickness: f64,
}

/// What an act does to a jack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ActKind {
    /// Pin the leg in its hole.
    Pin,
    /// Crank down through the air until the foot touches.
    Touch,
    /// Crank up under load.
    Lift,
    /// Set the blocks under an outrigger.
    Block,
    /// Crank down until the outriggers carry.
    Lower,
    /// Give the jack a turn or two so that it just bears.
    Snug,
}

/// One act, for one person (two to a heavy leg) at one support.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Act {
    /// What is done.
    pub kind: ActKind,
    /// At which support.
    pub support: String,
    /// Which hole, counted from 1 at the highest, for [`ActKind::Pin`]; else 0.
    pub hole: usize,
    /// Turns of the crank, to a quarter; 0 where nothing is cranked.
    pub turns: f64,
}

/// Something that is short.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Shortfall {
    /// At which support; empty when it holds for the whole ride.
    pub support: String,
    /// What is short.
    pub what: ShortOf,
    /// By how much: metres, or degrees for [`ShortOf::Tolerance`].
    pub by: f64,
}

/// What can be short.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum ShortOf {
    /// The jack's screw and lowest usable hole do not reach far enough.
    Stroke,
    /// The jack is too long even wound in and in its highest hole.
    JackTooLong,
    /// The stack that is needed is taller than three times its base, or the blocks run out.
    Blocking,
    /// The blocks on the truck leave more tilt than the ride allows.
    Tolerance,
}

/// A plane over the ride frame: heights of the frame's datum, as it leans.
#[derive(Clone, Copy, Debug)]
struct Attitude {
    at_hub: f64,
    along: f64,
    across: f64,
}

impl Attitude {
    fn level(at_hub: f64) -> Attitude {
        Attitude {
            at_hub,
            along: 0.0,
            across: 0.0,
        }
    }

    /// The plane that best fits heights over the ride frame; level at their mean when they do
    /// not span a plane.
    fn fit(heights: &[(Point, f64)]) -> Attitude {
        let shots: Vec<(Point, Elevation)> = heights
            .iter()
            .map(|&(at, height)| (at, Elevation(height)))
            .collect();
        match fit_plane(&shots) {
            Some(plane) => Attitude {
                at_hub: plane.height(Point::origin()).0,
                along: plane.slope_x,
                across: plane.slope_y,
            },
            None => {
                let sum: f64 = heights.iter().map(|&(_, height)| height).sum();
                Attitude::level(sum / heights.len().max(1) as f64)
            }
        }
    }

    fn at(&self, place: Point) -> f64 {
        self.at_hub + self.along * place.x + self.across * place.y
    }
}

impl GroundUnderRide {
    /// The ground under ride `index` of a site.
    pub fn of(site: &Site, index: usize) -> Option<GroundUnderRide> {
        let profile = site.profile(index)?;
        let placement = site.file().rides.get(index)?.placement;
        Some(under::ground_under(site, profile, &placement))
    }

    fn elevation(&self, kind: SupportKind, id: &str) -> Option<f64> {
        self.points
            .iter()
            .find(|point| point.kind == kind && point.id == id)
            .and_then(|point| point.elevation)
            .map(|elevation| elevation.0)
    }
}

impl LevelPlan {
    /// How the frame of `profile` is levelled on `ground` with the `blocks` on the truck.
    pub fn new(profile: &RideProfile, ground: &GroundUnderRide, blocks: &[Block]) -> LevelPlan {
        let mut plan = LevelPlan {
            verdict: Verdict::Unknown,
            datum: None,
            lifted: None,
            jacks: Vec::new(),
            outriggers: Vec::new(),
            acts: Vec::new(),
            tilt_along_deg: None,
            tilt_across_deg: None,
            tolerance_along_deg: profile.levelling.tolerance_along_deg,
            tolerance_across_deg: profile.levelling.tolerance_across_deg,
            fourth_foot_gap: None,
            proven: true,
            shortfalls: Vec::new(),
        };
        let Some(stand) = Stand::new(profile, ground) else {
            return plan;
        };
        plan.fill(&stand, blocks);
        plan
    }

    fn fill(&mut self, stand: &Stand, blocks: &[Block]) {
        let levelling = &stand.profile.levelling;
        let lowest = stand.lowest();
        let works_on_jacks = stand.feet.is_empty();
        let (attitude, gap) = if works_on_jacks {
            let turned = stand.on_jacks(lowest);
            (turned, None)
        } else {
            let search = blocking::Search {
                feet: &stand.feet,
                blocks,
                lowest,
                highest: stand.highest(),
                tolerance_deg: levelling
                    .tolerance_along_deg
                    .min(levelling.tolerance_across_deg),
            };
            let found = search.run();
            self.proven = found.proven;
            self.shortfalls.extend(found.shortfalls);
            let tops: Vec<(Point, f64)> = stand
                .feet
                .iter()
                .zip(&found.stacks)
                .map(|(foot, stack)| (foot.at, foot.base + stack.height))
                .collect();
            let attitude = Attitude::fit(&tops);
            for (foot, stack) in stand.feet.iter().zip(&found.stacks) {
                self.outriggers.push(Stack {
                    id: foot.id.clone(),
                    needed: attitude.at_hub - foot.base,
                    pieces: stack
                        .pieces
                        .iter()
                        .filter_map(|&kind| blocks.get(kind))
                        .map(|block| Piece {
                            block: block.id.clone(),
                            thickness: block.thickness,
                        })
                        .collect(),
                    height: stack.height,
                });
            }
            (attitude, under::widest_gap(&tops))
        };
        let lift_over = if works_on_jacks {
            0.0
        } else {
            levelling.lift_over
        };
        let lifted = attitude.at_hub + lift_over;
        for (jack, &ground) in stand.profile.jacks.iter().zip(&stand.jack_ground) {
            let (setting, short) = jacks::set(jacks::Ask {
                jack,
                ground,
                parked: stand.parked.map(|parked| parked.at(jack.at)),
                at_work: attitude.at(jack.at),
                lifted: if works_on_jacks {
                    attitude.at(jack.at)
                } else {
                    lifted
                },
                reserve: levelling.stroke_reserve,
                snug_turns: (!works_on_jacks).then_some(levelling.snug_turns),
            });
            self.jacks.push(setting);
            self.shortfalls.extend(short);
        }
        let degrees = |slope: f64| libm::atan(slope).to_degrees();
        let (along, across) = (degrees(attitude.along), degrees(attitude.across));
        let over =
            (along.abs() - self.tolerance_along_deg).max(across.abs() - self.tolerance_across_deg);
        if over > 0.0 {
            self.shortfalls.push(Shortfall {
                support: String::new(),
                what: ShortOf::Tolerance,
                by: over,
            });
        }
        self.datum = Some(Elevation(attitude.at_hub));
        self.lifted = Some(Elevation(lifted));
        self.tilt_along_deg = Some(along);
        self.tilt_across_deg = Some(across);
        self.fourth_foot_gap = gap;
        self.verdict = if self.shortfalls.is_empty() {
            Verdict::Pass
        } else {
            Verdict::Fail
        };
        if self.shortfalls.is_empty() {
            self.acts = acts::in_order(stand, &self.jacks, &self.outriggers);
        }
    }
}

/// A ride on known ground.
struct Stand<'a> {
    profile: &'a RideProfile,
    /// Ground under each jack, elevation in metres, in the order of the profile.
    jack_ground: Vec<f64>,
    /// Outriggers, in the order of the profile.
    feet: Vec<blocking::Foot>,
    /// Datum height at each wheel with the tyre hanging clear of the ground.
    tyres_free: Vec<f64>,
    /// The frame parked on its tyres, as steep as the ground under it; absent without wheels.
    parked: Option<Attitude>,
}

impl<'a> Stand<'a> {
    /// `None` when the ground under any support is not known.
    fn new(profile: &'a RideProfile, ground: &GroundUnderRide) -> Option<Stand<'a>> {
        let levelling = &profile.levelling;
        let jack_ground: Vec<f64> = profile
            .jacks
            .iter()
            .map(|jack| ground.elevation(SupportKind::Jack, &jack.id))
            .collect::<Option<_>>()?;
        let feet = profile
            .outriggers
            .iter()
            .map(|outrigger| {
                let point = ground
                    .points
                    .iter()
                    .find(|p| p.kind == SupportKind::Outrigger && p.id == outrigger.id)?;
                Some(blocking::Foot {
                    id: outrigger.id.clone(),
                    at: outrigger.at,
                    base: point.elevation?.0 + outrigger.foot_drop,
                    // Ground that nobody has described may be soft.
                    wants_a_block: point.surface.is_none_or(Surface::wants_a_block),
                })
            })
            .collect::<Option<_>>()?;
        let wheel_ground: Vec<f64> = profile
            .wheels
            .iter()
            .map(|wheel| ground.elevation(SupportKind::Wheel, &wheel.id))
            .collect::<Option<_>>()?;
        let tyres_free = profile
            .wheels
            .iter()
            .zip(&wheel_ground)
            .map(|(wheel, ground)| ground + wheel.drop + wheel.droop + levelling.tyre_clearance)
            .collect();
        let mut under: Vec<(Point, f64)> = profile
            .wheels
            .iter()
            .map(|wheel| wheel.at)
            .zip(wheel_ground)
            .collect();
        under.extend(
            profile
                .jacks
                .iter()
                .map(|jack| jack.at)
                .zip(jack_ground.clone()),
        );
        let parked = (!profile.wheels.is_empty()).then(|| {
            let drops: f64 = profile.wheels.iter().map(|wheel| wheel.drop).sum();
            let mut attitude = Attitude::fit(&under);
            attitude.at_hub += drops / profile.wheels.len() as f64;
            attitude
        });
        Some(Stand {
            profile,
            jack_ground,
            feet,
            tyres_free,
            parked,
        })
    }

    /// The lowest datum at which the tyres hang free and no jack is too long.
    fn lowest(&self) -> f64 {
        let shortest_legs =
            self.profile
                .jacks
                .iter()
                .zip(&self.jack_ground)
                .map(|(jack, ground)| {
                    let highest_hole = jack.holes.first().copied().unwrap_or(0.0);
                    ground
                        + jack.pad_thickness
                        + jack.drop
                        + highest_hole
                        + jack.screw_retracted
                        + self.profile.levelling.stroke_reserve
                });
        self.tyres_free
            .iter()
            .copied()
            .chain(shortest_legs)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The highest datum at work that every jack can reach, and lift over.
    fn highest(&self) -> f64 {
        let levelling = &self.profile.levelling;
        self.profile
            .jacks
            .iter()
            .zip(&self.jack_ground)
            .map(|(jack, ground)| {
                let parked = self.parked.map(|parked| parked.at(jack.at));
                jacks::highest(jack, *ground, parked, levelling.stroke_reserve)
            })
            .fold(f64::INFINITY, f64::min)
            - levelling.lift_over
    }

    /// The attitude of a ride that works on its jacks, each turned to the nearest quarter that
    /// is not too low.
    fn on_jacks(&self, datum: f64) -> Attitude {
        let tops: Vec<(Point, f64)> = self
            .profile
            .jacks
            .iter()
            .zip(&self.jack_ground)
            .map(|(jack, ground)| {
                let quarter = jack.lift_per_turn / 4.0;
                let foot = ground + jack.pad_thickness + jack.drop + jack.screw_retracted;
                let turned = ((datum - foot) / quarter).ceil() * quarter;
                (jack.at, foot + turned)
            })
            .collect();
        Attitude::fit(&tops)
    }
}

#[cfg(test)]
mod tests;
