//! The stages of building up and tearing down: how the frame lies at each, what carries it, and
//! what is checked.
//!
//! ```text
//!   parked ─► lifted ─► blocked ─► on outriggers ─► snugged ─► (work)
//!   parked ◄─ lifted ◄─ taken up ◄─────────────────────────────┘
//! ```
//!
//! Tear-down is the reverse: the jacks take the weight before any brace comes out, the blocks
//! come out, the jacks are raised and pinned in the highest hole. Common practice, no published
//! source; the ride maker's manual wins.
//!
//! A ride without outriggers is lifted and works on its jacks: parked, lifted, parked.

use serde::{Deserialize, Serialize};

use super::attitude::Attitude;
use super::stacks::{TALLEST_TO_BASE, base};
use super::stand::{Blocked, Stand, TRAVEL_TILT_DEG};
use super::{Act, ActKind, After, JackSetting, LevelPlan};
use crate::Point;
use crate::assess::Verdict;
use crate::ground::Elevation;
use crate::site::Block;

/// A stage of building up or tearing down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StageKind {
    /// Parked on its tyres, legs dropped and pinned.
    Parked,
    /// On its jacks, lifted and level, tyres hanging.
    Lifted,
    /// Still on its jacks, blocks under the outriggers.
    Blocked,
    /// Let down on its outriggers, jacks hanging.
    OnOutriggers,
    /// At work: the outriggers carry, the jacks just bear.
    Snugged,
    /// To tear down: the jacks carry again, before any brace comes out.
    TakenUp,
    /// To tear down: blocks out, legs up.
    BlocksOut,
    /// Back on its tyres, jacks raised and pinned in the highest hole.
    Lowered,
}

/// How the ride stands at one stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stage {
    /// Which one.
    pub kind: StageKind,
    /// Pass when every check of the stage does.
    pub verdict: Verdict,
    /// Elevation of the datum plane at the hub.
    pub datum: Elevation,
    /// Tilt along, degrees: positive when the tongue end is high.
    pub along_deg: f64,
    /// Tilt across, degrees: positive when the left side is high.
    pub across_deg: f64,
    /// The tyres, in the order of the profile.
    pub wheels: Vec<WheelState>,
    /// The jacks, in the order of the profile.
    pub jacks: Vec<JackState>,
    /// The outriggers, in the order of the profile; empty while they are folded up.
    pub outriggers: Vec<FootState>,
    /// What is checked.
    pub checks: Vec<Check>,
}

/// A tyre at one stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WheelState {
    /// The wheel's id.
    pub id: String,
    /// Air under the tyre, drooping, metres; below 0 while it carries.
    pub clearance: f64,
}

/// A jack at one stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JackState {
    /// The jack's id.
    pub id: String,
    /// Which hole the leg is pinned in, counted from 1 at the highest.
    pub hole: usize,
    /// From the datum plane down to the sole of the foot, metres.
    pub extension: f64,
    /// The screw's length, metres.
    pub screw: f64,
    /// Screw left before it is wound right out, metres.
    pub stroke_left: f64,
    /// Air under the foot, metres; 0 while it bears.
    pub gap: f64,
}

/// An outrigger at one stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FootState {
    /// The outrigger's id.
    pub id: String,
    /// Air between foot and stack, metres; 0 while it bears.
    pub gap: f64,
}

/// A check of a stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Check {
    /// What is checked.
    pub kind: CheckKind,
    /// Where it is tightest; empty when it holds for the whole ride.
    pub support: String,
    /// What was found: metres or degrees.
    pub value: f64,
    /// What it is held against.
    pub limit: f64,
    /// How it came out.
    pub verdict: Verdict,
}

/// What is checked at a stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum CheckKind {
    /// The legs go in under the parked frame: air under a foot, at least 0 metres.
    LegsFit,
    /// How steep the frame gets on the way to this stage, at most so many degrees.
    TravelTilt,
    /// How far a corner is ahead of the others on the way to this stage, at most so many metres.
    Rack,
    /// Air under the tyres, at least so many metres.
    TyresHang,
    /// Screw left at the outer end, at least so many metres.
    ScrewLeft,
    /// Screw left at the inner end, at least so many metres.
    ScrewIn,
    /// Height of a stack, at most three times the least width of its base, metres.
    StackHeight,
    /// Tilt along at work, at most so many degrees.
    TiltAlong,
    /// Tilt across at work, at most so many degrees.
    TiltAcross,
    /// Air under a jack that must hang free, at least 0 metres.
    JacksHang,
    /// Air under a foot that must bear, at most 0 metres.
    Bears,
}

/// What every stage is made of.
struct Stages<'a> {
    stand: &'a Stand<'a>,
    blocked: &'a Blocked,
    plan: &'a LevelPlan,
    blocks: &'a [Block],
    /// How the frame rests on its tyres with every jack just touching.
    on_tyres: Option<&'a After>,
}

pub(super) fn stages(
    stand: &Stand,
    blocked: &Blocked,
    plan: &LevelPlan,
    (blocks, on_tyres): (&[Block], Option<&After>),
) -> Vec<Stage> {
    let all = Stages {
        stand,
        blocked,
        plan,
        blocks,
        on_tyres,
    };
    let mut stages: Vec<Stage> = all.parked(StageKind::Parked).into_iter().collect();
    stages.push(all.lifted(StageKind::Lifted));
    if !stand.feet.is_empty() {
        stages.push(all.lifted(StageKind::Blocked));
        stages.push(all.lowered(StageKind::OnOutriggers));
        stages.push(all.lowered(StageKind::Snugged));
        stages.push(all.lifted(StageKind::TakenUp));
        stages.push(all.lifted(StageKind::BlocksOut));
    }
    stages.extend(all.parked(StageKind::Lowered));
    stages
}

impl Stages<'_> {
    /// On its tyres, jacks wound in.
    fn parked(&self, kind: StageKind) -> Option<Stage> {
        let parked = self.stand.parked?;
        let jacks = self.jacks(
            |at| parked.at(at),
            |setting, jack| {
                let hole = if kind == StageKind::Lowered {
                    1
                } else {
                    setting.hole
                };
                (hole, jack.screw_retracted)
            },
        );
        let legs = jacks.iter().map(|jack| (jack.id.as_str(), jack.gap));
        let mut checks = vec![at_least(CheckKind::LegsFit, 0.0, legs)];
        if kind == StageKind::Lowered {
            checks.extend(self.on_the_way(ActKind::LetDown));
        }
        Some(self.stage(kind, parked, jacks, Vec::new(), checks))
    }

    /// On its jacks.
    fn lifted(&self, kind: StageKind) -> Stage {
        let plan = self.plan;
        let levelling = &self.stand.profile.levelling;
        let mut attitude = self.blocked.attitude;
        if !self.stand.feet.is_empty() {
            attitude = Attitude::level(attitude.at_hub + self.stand.lift_over());
        }
        let jacks = self.jacks(
            |at| attitude.at(at),
            |setting, _| (setting.hole, setting.screw_lifted),
        );
        let outriggers = match kind {
            StageKind::Blocked | StageKind::TakenUp => self
                .stand
                .feet
                .iter()
                .zip(&self.blocked.tops)
                .map(|(foot, &(at, top))| FootState {
                    id: foot.id.to_owned(),
                    gap: (attitude.at(at) - top).max(0.0),
                })
                .collect(),
            _ => Vec::new(),
        };
        let mut checks = Vec::new();
        let strokes = plan
            .jacks
            .iter()
            .map(|jack| (jack.id.as_str(), jack.stroke_left));
        match kind {
            StageKind::Lifted => {
                checks.extend(self.on_the_way(ActKind::Lift));
                checks.extend(self.tyres_hang(&attitude));
                checks.push(at_least(
                    CheckKind::ScrewLeft,
                    levelling.stroke_reserve,
                    strokes,
                ));
                if self.stand.feet.is_empty() {
                    checks.extend(self.level());
                }
            }
            StageKind::Blocked => checks.extend(self.stack_height()),
            StageKind::TakenUp => checks.extend(self.on_the_way(ActKind::TakeUp)),
            _ => {}
        }
        self.stage(kind, attitude, jacks, outriggers, checks)
    }

    /// On its outriggers: simulated, since which feet bear is not to be seen from their heights.
    fn lowered(&self, kind: StageKind) -> Stage {
        let stand = self.stand;
        let planned = self.blocked.attitude;
        let rest = stand.rest_on(&self.blocked.tops);
        let outriggers: Vec<FootState> = stand
            .feet
            .iter()
            .zip(&self.blocked.tops)
            .map(|(foot, &(at, top))| FootState {
                id: foot.id.to_owned(),
                gap: rest
                    .as_ref()
                    .map_or(0.0, |rest| (rest.at(at) - top).max(0.0)),
            })
            .collect();
        let levelling = &stand.profile.levelling;
        // Where the outriggers have given a little, the jacks hang that much less.
        let lies = |at: Point| rest.as_ref().map_or(planned.at(at), |rest| rest.at(at));
        let jacks = self.jacks(lies, |setting, jack| {
            let wound_in = setting.turns_down * jack.lift_per_turn;
            let snug = if kind == StageKind::Snugged {
                levelling.snug_turns * jack.lift_per_turn
            } else {
                0.0
            };
            // Snugged, a jack bears: what it is wound past touching is the frame's to give.
            let screw = setting.screw_lifted - wound_in + snug;
            (setting.hole, screw)
        });
        let mut checks = Vec::new();
        if kind == StageKind::OnOutriggers {
            checks.extend(self.on_the_way(ActKind::Lower));
            checks.extend(self.level());
            checks.extend(self.tyres_hang(&planned));
            let gaps = jacks.iter().map(|jack| (jack.id.as_str(), jack.gap));
            checks.push(at_least(CheckKind::JacksHang, 0.0, gaps));
            // To hang free, a screw must go in so far at all.
            let screws = jacks.iter().zip(&stand.profile.jacks);
            let screws = screws.map(|(it, jack)| (it.id.as_str(), it.screw - jack.screw_retracted));
            checks.push(at_least(CheckKind::ScrewIn, 0.0, screws));
            let feet = outriggers.iter().map(|foot| (foot.id.as_str(), foot.gap));
            checks.push(at_most(CheckKind::Bears, levelling.rack_limit, feet));
        } else {
            let screws = self
                .plan
                .jacks
                .iter()
                .zip(&stand.profile.jacks)
                .map(|(setting, jack)| {
                    (
                        setting.id.as_str(),
                        setting.screw_at_work - jack.screw_retracted,
                    )
                });
            checks.push(at_least(
                CheckKind::ScrewIn,
                levelling.stroke_reserve,
                screws,
            ));
        }
        self.stage(kind, planned, jacks, outriggers, checks)
    }

    fn stage(
        &self,
        kind: StageKind,
        attitude: Attitude,
        jacks: Vec<JackState>,
        outriggers: Vec<FootState>,
        checks: Vec<Check>,
    ) -> Stage {
        let wheels = &self.stand.profile.wheels;
        Stage {
            kind,
            verdict: checks
                .iter()
                .fold(Verdict::Pass, |verdict, check| verdict.and(check.verdict)),
            datum: Elevation(attitude.at_hub),
            along_deg: attitude.along_deg(),
            across_deg: attitude.across_deg(),
            wheels: wheels
                .iter()
                .zip(&self.stand.tyres)
                .map(|(wheel, tyre)| WheelState {
                    id: wheel.id.clone(),
                    clearance: attitude.at(wheel.at) - tyre.top,
                })
                .collect(),
            jacks,
            outriggers,
            checks,
        }
    }

    /// The jacks in a hole and with a screw of some length, under the frame as it lies.
    fn jacks(
        &self,
        lies: impl Fn(Point) -> f64,
        set: impl Fn(&JackSetting, &crate::ride::Jack) -> (usize, f64),
    ) -> Vec<JackState> {
        let jacks = self.stand.jacks.iter().zip(&self.plan.jacks);
        jacks
            .map(|(packed, setting)| {
                let jack = packed.jack;
                let (hole, screw) = set(setting, jack);
                let pinned = jack.holes.get(hole.saturating_sub(1)).copied();
                let extension = jack.drop + pinned.unwrap_or(0.0) + screw;
                let under: f64 = setting.packing.iter().map(|piece| piece.thickness).sum();
                let room = lies(jack.at) - packed.ground - under - jack.pad_thickness;
                JackState {
                    id: setting.id.clone(),
                    hole,
                    extension,
                    screw,
                    stroke_left: jack.screw_extended - screw,
                    gap: if room - extension > 1e-9 {
                        room - extension
                    } else {
                        0.0
                    },
                }
            })
            .collect()
    }

    /// Tilt and rack on the way, over the acts of one kind.
    fn on_the_way(&self, kind: ActKind) -> Vec<Check> {
        let levelling = &self.stand.profile.levelling;
        let all = self.plan.acts.iter().chain(&self.plan.tear_down);
        let acts: Vec<&Act> = all.filter(|it| it.kind == kind).collect();
        let known = acts.iter().all(|act| act.after.is_some());
        let after = || {
            acts.iter()
                .filter_map(|act| Some((act, act.after.as_ref()?)))
        };
        let tilt = after().map(|(act, after)| {
            let tilt = after.along_deg.abs().max(after.across_deg.abs());
            (act.support.as_str(), tilt)
        });
        let rack = after().map(|(act, after)| (act.support.as_str(), after.rack));
        let parked = self.stand.parked.map_or(0.0, |parked| {
            parked.along_deg().abs().max(parked.across_deg().abs())
        });
        let steepest = levelling.travel_tilt_deg.unwrap_or(TRAVEL_TILT_DEG);
        // Where the ground under the tyres leaves it steeper, or twisted, it came so and goes so.
        let on_tyres = self
            .on_tyres
            .filter(|_| matches!(kind, ActKind::Lift | ActKind::LetDown));
        let (tilted, racked) = on_tyres.map_or((0.0, 0.0), |on_tyres| {
            let tilted = on_tyres.along_deg.abs().max(on_tyres.across_deg.abs());
            (tilted, on_tyres.rack)
        });
        let mut checks = vec![
            at_most(
                CheckKind::TravelTilt,
                steepest.max(parked).max(tilted),
                tilt,
            ),
            at_most(CheckKind::Rack, levelling.rack_limit.max(racked), rack),
        ];
        if !known {
            for check in &mut checks {
                check.verdict = Verdict::Unknown;
            }
        }
        checks
    }

    fn tyres_hang(&self, attitude: &Attitude) -> Option<Check> {
        let wheels = &self.stand.profile.wheels;
        let clearances = wheels
            .iter()
            .zip(&self.stand.tyres)
            .map(|(wheel, tyre)| (wheel.id.as_str(), attitude.at(wheel.at) - tyre.top));
        let least = self.stand.profile.levelling.tyre_clearance;
        (!wheels.is_empty()).then(|| at_least(CheckKind::TyresHang, least, clearances))
    }

    fn stack_height(&self) -> Option<Check> {
        let stacks = self.stand.feet.iter().zip(&self.blocked.stacks);
        let heights = stacks.filter_map(|(foot, stack)| {
            let bottom = stack.pieces().next()?;
            let tallest = TALLEST_TO_BASE * base(self.blocks.get(bottom)?);
            Some((foot.id, stack.height, tallest))
        });
        let (id, height, tallest) = heights.max_by(|a, b| (a.1 - a.2).total_cmp(&(b.1 - b.2)))?;
        Some(at_most(
            CheckKind::StackHeight,
            tallest,
            std::iter::once((id, height)),
        ))
    }

    /// Whether it is level enough at work.
    fn level(&self) -> [Check; 2] {
        let plan = self.plan;
        let check = |kind, most: f64, tilt: Option<f64>| {
            let tilt = tilt.unwrap_or(f64::INFINITY).abs();
            at_most(kind, most, std::iter::once(("", tilt)))
        };
        [
            check(
                CheckKind::TiltAlong,
                plan.tolerance_along_deg,
                plan.tilt_along_deg,
            ),
            check(
                CheckKind::TiltAcross,
                plan.tolerance_across_deg,
                plan.tilt_across_deg,
            ),
        ]
    }
}

/// Less than a micrometre is arithmetic.
const HAIR: f64 = 1e-6;

/// The least of several values, which must be at least `limit`.
fn at_least<'a>(
    kind: CheckKind,
    limit: f64,
    values: impl Iterator<Item = (&'a str, f64)>,
) -> Check {
    let (support, value) = values
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or(("", limit));
    check(kind, support, value, limit, value >= limit - HAIR)
}

/// The greatest of several values, which must be at most `limit`.
fn at_most<'a>(kind: CheckKind, limit: f64, values: impl Iterator<Item = (&'a str, f64)>) -> Check {
    let (support, value) = values
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or(("", 0.0));
    check(kind, support, value, limit, value <= limit + HAIR)
}

fn check(kind: CheckKind, support: &str, value: f64, limit: f64, holds: bool) -> Check {
    Check {
        kind,
        support: support.to_owned(),
        value,
        limit,
        verdict: if holds { Verdict::Pass } else { Verdict::Fail },
    }
}
