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
mod as_built;
mod attitude;
mod binds;
mod blocking;
mod chance;
mod fewest;
mod jacks;
mod passes;
mod remedies;
mod seesaw;
mod settling;
mod sinking;
mod stacks;
mod stages;
mod stand;
mod sunk;
mod under;
mod within;
mod words;

pub use as_built::{Corrected, Correction, LevelRound, Mark, Reading, correct};
pub use binds::{Bind, BindKind};
pub use blocking::{Preference, preferences};
pub use chance::{Lean, out_of_level};
pub(crate) use remedies::remedies;
pub use remedies::{AddedBlock, Change, Remedy};
pub use settling::{Forecast, Settling, settling};
pub(crate) use sinking::slopes_of_sinking;
pub use stacks::{MOST_PIECES, TALLEST_TO_BASE};
pub use stages::{Check, CheckKind, FootState, JackState, Stage, StageKind, WheelState};
pub use stand::{
    FOOT_PLATE, JACK_STIFFNESS, MASS, OUTRIGGER_STIFFNESS, TRAVEL_TILT_DEG, TWIST_STIFFNESS,
};
pub(crate) use stand::{twist_stiffness, tyres};
pub use sunk::{FootSinks, Settled};
pub use within::{FootWithin, Within, times_in_a_hundred};

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::assess::Verdict;
use crate::ground::Elevation;
use crate::ride::RideProfile;
use crate::site::{Block, Site, Surface};
use attitude::Attitude;
use stacks::Built;
use stand::{Blocked, Stand};

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
    /// Standard error of the height, metres; absent outside the survey.
    #[serde(default)]
    pub error: Option<f64>,
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
    /// How the errors of the heights go together, square metres: for each of the points its
    /// covariance with those up to and with itself. Empty when any height is unknown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub error_covariance: Vec<Vec<f64>>,
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
    /// What to do to build it up, one act after the other.
    pub acts: Vec<Act>,
    /// What to do to tear it down again, one act after the other.
    #[serde(default)]
    pub tear_down: Vec<Act>,
    /// How many acts the cranking under load takes, and how few it could.
    #[serde(default)]
    pub passes: Vec<Passes>,
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
    /// What makes one way to block the frame better than another, the weightiest first.
    #[serde(default)]
    pub preferences: Vec<Preference>,
    /// What keeps it from being lower, leveller or blocked with less.
    #[serde(default)]
    pub binds: Vec<Bind>,
    /// How it stands at each stage, building up and then tearing down. Empty when it cannot be
    /// levelled.
    #[serde(default)]
    pub stages: Vec<Stage>,
    /// How steep the frame is before it is levelled, against what is allowed at work.
    #[serde(default)]
    pub before: Lean,
    /// How steep it is at work.
    #[serde(default)]
    pub after: Lean,
    /// How steep it is once the ground has settled; absent where no modulus of the ground is
    /// given under every foot that carries.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settled: Option<Settled>,
    /// How likely it stays within stroke and blocking, for the survey's own errors; absent when
    /// those are not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub within: Option<Within>,
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
    /// Turns from there until the frame is lifted, to a quarter; below 0 where the frame is let
    /// down.
    pub turns_loaded: f64,
    /// Turns back down from lifted until the outriggers carry and the jack hangs free, the turns
    /// that snugging then gives back among them, to a quarter; 0 for a ride that works on its
    /// jacks.
    pub turns_down: f64,
    /// Screw left before it is wound right out, with the frame lifted, metres.
    pub stroke_left: f64,
    /// Thickness of the pad under the foot, metres; 0 for none.
    pub pad: f64,
    /// Blocks under the pad, from the ground up: none, unless the jack could not reach without.
    #[serde(default)]
    pub packing: Vec<Piece>,
    /// Hole and screw together at work, metres: what is needed below the datum plane, less the
    /// leg's own drop, pad and packing.
    pub extension: f64,
    /// From the datum plane down to the top of the pad at work, metres: what a tape shows.
    #[serde(default)]
    pub to_pad: f64,
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
    /// To tear down: crank up until the jacks carry again.
    TakeUp,
    /// To tear down: take the blocks out, swing the outrigger up.
    Unblock,
    /// To tear down: crank down until the tyres carry.
    LetDown,
    /// To tear down: wind the jack in and pin its leg in the highest hole.
    Stow,
}

/// One act, for one person (two to a heavy leg) at one support.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Act {
    /// What is done.
    pub kind: ActKind,
    /// At which support.
    pub support: String,
    /// Which hole, counted from 1 at the highest, for [`ActKind::Pin`] and [`ActKind::Stow`];
    /// else 0.
    pub hole: usize,
    /// Turns of the crank, to a quarter; 0 where nothing is cranked.
    pub turns: f64,
    /// Which way the screw goes; absent where nothing is cranked.
    #[serde(default)]
    pub way: Option<Way>,
    /// Whether the jack may carry while it is cranked.
    #[serde(default)]
    pub under_load: bool,
    /// How the frame then stands, simulated; absent when it is not known.
    #[serde(default)]
    pub after: Option<After>,
}

/// How many acts the passes of one kind take, and how few they could.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Passes {
    /// What the acts do.
    pub kind: ActKind,
    /// How many there are.
    pub acts: usize,
    /// No order that keeps the limits takes fewer: proven. As many as there are acts where these
    /// are proven to be the fewest.
    pub at_least: usize,
    /// Whether that is proven only of the orders that begin each pair at the same jack and finish
    /// it before the next (for letting down, of those read backwards); else of any order.
    pub group_after_group: bool,
    /// Whether the acts are shorter than the frame asks, so that no jack carries more than it may.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub spares_jacks: bool,
}

/// Which way a screw goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Out: the leg gets longer.
    Out,
    /// In: the leg gets shorter.
    In,
}

/// How the frame stands after an act.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct After {
    /// What a level along the frame shows, degrees: positive when the tongue end is high.
    pub along_deg: f64,
    /// What a level across it shows, degrees: positive when the left side is high.
    pub across_deg: f64,
    /// How far a corner is ahead of the plane of the others, metres.
    pub rack: f64,
    /// Jacks, outriggers and tyres that touch nothing or carry nothing.
    pub hanging: Vec<String>,
    /// What every jack, outrigger and tyre carries, in the order of the profile, newtons. Empty
    /// while the ride is parked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<f64>,
    /// The most that every jack, and every outrigger on its blocks, carries in the act, newtons, where
    /// one of them carries more on the way than both before and after it; else empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub peaks: Vec<f64>,
}

impl After {
    /// The most that a jack or an outrigger carries in the act, on the way and in the end, newtons.
    pub fn most(&self, foot: usize) -> Option<f64> {
        let load = self.loads.get(foot).copied()?;
        Some(self.peaks.get(foot).map_or(load, |peak| peak.max(load)))
    }
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

/// What the loads ask of the feet that carry at work, in the order of the profile. Nothing for a
/// foot that is not in a list.
#[derive(Clone, Debug, Default)]
pub(crate) struct Asked {
    /// How much higher than level asks for now, metres: the ground will sink under it.
    pub(crate) higher: Vec<f64>,
    /// Least area of ground that must carry under an outrigger, metres squared.
    pub(crate) areas: Vec<f64>,
}

impl GroundUnderRide {
    /// The ground under ride `index` of a site.
    pub fn of(site: &Site, index: usize) -> Option<GroundUnderRide> {
        let profile = site.profile(index)?;
        let placement = site.file().rides.get(index)?.placement;
        Some(under::ground_under(site, profile, &placement))
    }

    /// How the errors of two of the heights go together, square metres.
    fn covariance(&self, one: usize, other: usize) -> f64 {
        let row = self.error_covariance.get(one.max(other));
        let found = row.and_then(|row| row.get(one.min(other)));
        found.copied().unwrap_or(0.0)
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
        LevelPlan::solve(profile, ground, blocks, &Asked::default(), true)
    }

    /// The same, with what the loads ask of the feet that carry at work.
    pub(crate) fn asked(
        profile: &RideProfile,
        ground: &GroundUnderRide,
        blocks: &[Block],
        asked: &Asked,
    ) -> LevelPlan {
        LevelPlan::solve(profile, ground, blocks, asked, true)
    }

    /// The same without the order of the acts and the stages: for trying what would help.
    fn without_acts(
        profile: &RideProfile,
        ground: &GroundUnderRide,
        blocks: &[Block],
    ) -> LevelPlan {
        LevelPlan::solve(profile, ground, blocks, &Asked::default(), false)
    }

    fn solve(
        profile: &RideProfile,
        ground: &GroundUnderRide,
        blocks: &[Block],
        asked: &Asked,
        with_acts: bool,
    ) -> LevelPlan {
        let levelling = &profile.levelling;
        let mut plan = LevelPlan {
            verdict: Verdict::Unknown,
            datum: None,
            lifted: None,
            jacks: Vec::new(),
            outriggers: Vec::new(),
            acts: Vec::new(),
            tear_down: Vec::new(),
            passes: Vec::new(),
            tilt_along_deg: None,
            tilt_across_deg: None,
            tolerance_along_deg: levelling.along().degrees(),
            tolerance_across_deg: levelling.across().degrees(),
            fourth_foot_gap: None,
            proven: true,
            shortfalls: Vec::new(),
            preferences: preferences(&levelling.steps),
            binds: Vec::new(),
            stages: Vec::new(),
            before: Lean::default(),
            after: Lean::default(),
            settled: None,
            within: None,
        };
        if let Some(stand) = Stand::new(profile, ground) {
            let stand = stand.asked(asked);
            let blocked = stand.block(blocks, with_acts);
            plan.fill(&stand, &blocked, ground, blocks);
            if with_acts && plan.verdict == Verdict::Pass {
                let acts = acts::in_order(&stand, &plan.jacks, &blocked.tops);
                (plan.acts, plan.tear_down) = (acts.build_up, acts.tear_down);
                plan.passes = acts.passes;
                let on_tyres = acts.on_tyres.as_ref();
                plan.stages = stages::stages(&stand, &blocked, &plan, (blocks, on_tyres));
                let stages = plan.stages.iter().map(|stage| stage.verdict);
                plan.verdict = stages.fold(plan.verdict, Verdict::and);
            }
        }
        plan
    }

    fn fill(
        &mut self,
        stand: &Stand,
        blocked: &Blocked,
        ground: &GroundUnderRide,
        blocks: &[Block],
    ) {
        let attitude = blocked.attitude;
        self.proven = blocked.proven;
        self.shortfalls.extend(blocked.shortfalls.iter().cloned());
        for (foot, stack) in stand.feet.iter().zip(&blocked.stacks) {
            self.outriggers.push(Stack {
                id: foot.id.to_owned(),
                needed: attitude.at_hub - foot.base().unwrap_or(0.0),
                pieces: pieces(stack, blocks),
                height: stack.height,
            });
        }
        let works_on_jacks = stand.feet.is_empty();
        let rest = stand.rest_on(&blocked.tops);
        let lifted = Attitude::level(attitude.at_hub + stand.lift_over());
        for (index, &jack) in stand.jacks.iter().enumerate() {
            let at = jack.jack.at;
            let at_work = attitude.at(at);
            let lifted = if works_on_jacks {
                at_work
            } else {
                lifted.at(at)
            };
            let (setting, short) = jacks::set(jacks::Ask {
                jack,
                packing: blocked
                    .packing
                    .get(index)
                    .map(|stack| pieces(stack, blocks))
                    .unwrap_or_default(),
                // Without tyres it is set down on jacks that are wound to height beforehand.
                touches: stand.parked.map_or(lifted, |parked| parked.at(at)),
                at_work,
                at_rest: rest.as_ref().map_or(at_work, |rest| rest.at(at)),
                lifted,
                snug_turns: (!works_on_jacks).then_some(stand.profile.levelling.snug_turns),
            });
            self.jacks.push(setting);
            self.shortfalls.extend(short);
        }
        let (along, across) = (attitude.along_deg(), attitude.across_deg());
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
        self.lifted = Some(Elevation(lifted.at_hub));
        self.tilt_along_deg = Some(along);
        self.tilt_across_deg = Some(across);
        self.fourth_foot_gap = under::widest_gap(&blocked.tops);
        self.before = chance::before(stand, ground);
        self.after = chance::after(stand, ground, &attitude);
        self.within = within::within(stand, blocked, ground, &self.jacks, blocks);
        self.binds = binds::binds(stand, blocked, self, blocks);
        self.verdict = if self.shortfalls.is_empty() {
            Verdict::Pass
        } else {
            Verdict::Fail
        };
    }
}

/// The pieces of a stack, from the ground up.
fn pieces(stack: &Built, blocks: &[Block]) -> Vec<Piece> {
    stack
        .pieces()
        .filter_map(|kind| blocks.get(kind))
        .map(|block| Piece {
            block: block.id.clone(),
            thickness: block.thickness,
        })
        .collect()
}

#[cfg(test)]
mod tests;
