//! As built: what the crew reads on the frame, and the fewest acts that bring it within tolerance.
//!
//! # Picture
//!
//! The frame lies as the plane through its feet, so raising one of them by `d` changes the tilts
//! by fixed shares of `d`. A ride that works on its jacks is trimmed by quarter turns; one that
//! works on outriggers by what is left on the truck, slid in while the jacks carry, or by its top
//! pieces, taken out or changed for others. No corner is let down so far that a tyre touches.
//! Sets of one foot, then of two, then of three are tried, every step of each; the first that
//! works is the fewest. Among equals the more level wins, in steps of what a level shows, and
//! then the least cranking.

use serde::{Deserialize, Serialize};

use super::attitude::Attitude;
use super::chance::Lean;
use super::stacks::{MOST_PIECES, TALLEST_TO_BASE, base};
use super::stand::FOOT_PLATE;
use super::{LevelPlan, Piece, StageKind, Way, passes};
use crate::Point;
use crate::assess::Verdict;
use crate::ride::RideProfile;
use crate::site::Block;
use crate::units::Slope;

/// Readings taken on one ride at one time. Kept in the site file.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct LevelRound {
    /// The placed ride's id.
    pub ride: String,
    /// When, in seconds since the beginning of 1970, UTC.
    pub unix_seconds: i64,
    /// What was read.
    pub readings: Vec<Reading>,
}

/// One reading at one station.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// What the crew calls the place; for a rod reading, the id of the support beside it.
    pub station: String,
    /// What was read there.
    pub mark: Mark,
}

/// What a level or a rod shows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// A level along the frame: positive when the tongue end is high.
    Along(Slope),
    /// A level across it: positive when the left side is high.
    Across(Slope),
    /// A rod held on the frame above a support, metres: a greater reading is a lower corner.
    Rod(f64),
}

/// What brings a frame within tolerance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Correction {
    /// As it was read.
    pub before: Lean,
    /// What to do, fewest acts. Empty when it is level enough, or when nothing helps.
    pub acts: Vec<Corrected>,
    /// As it then stands.
    pub after: Lean,
}

/// One act of a correction.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Corrected {
    /// At which jack or outrigger.
    pub support: String,
    /// How far its corner rises, metres; below 0 where it is let down.
    pub raise: f64,
    /// Turns of the crank, to a quarter; 0 where shims go in.
    pub turns: f64,
    /// Which way the screw goes; absent where shims go in.
    pub way: Option<Way>,
    /// Pieces to take out from under the foot first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub removed: Vec<Piece>,
    /// Pieces to slide in under the foot.
    pub pieces: Vec<Piece>,
}

/// Farthest that a correction raises or lowers a foot, metres: more is levelling anew.
const FARTHEST: f64 = 0.1;

/// Most shims under one foot.
const MOST_SHIMS: usize = 2;

/// Most feet that a correction touches.
const MOST_FEET: usize = 3;

/// Combinations looked at.
const MOST_LOOKS: u32 = 2_000_000;

/// Slopes along and across, metres in a metre, as readings tell them: levels and rods count
/// alike. `None` while either is not known.
pub(super) fn slopes(profile: &RideProfile, readings: &[Reading]) -> Option<(f64, f64)> {
    let (mut along, mut across) = (Vec::new(), Vec::new());
    let mut corners: Vec<(Point, f64)> = Vec::new();
    for reading in readings {
        match reading.mark {
            Mark::Along(slope) => along.push(slope.ratio()),
            Mark::Across(slope) => across.push(slope.ratio()),
            Mark::Rod(metres) => {
                let at = place(profile, &reading.station);
                corners.extend(at.map(|at| (at, -metres)));
            }
        }
    }
    if corners.len() >= 3 {
        let plane = Attitude::fit(&corners);
        along.push(plane.along);
        across.push(plane.across);
    }
    let mean = |slopes: &[f64]| {
        let sum: f64 = slopes.iter().sum();
        (!slopes.is_empty() && sum.is_finite()).then(|| sum / slopes.len() as f64)
    };
    Some((mean(&along)?, mean(&across)?))
}

/// Where a support is.
pub(super) fn place(profile: &RideProfile, id: &str) -> Option<Point> {
    let jacks = profile.jacks.iter().map(|it| (&it.id, it.at));
    let outriggers = profile.outriggers.iter().map(|it| (&it.id, it.at));
    let wheels = profile.wheels.iter().map(|it| (&it.id, it.at));
    let mut all = jacks.chain(outriggers).chain(wheels);
    all.find(|(own, _)| *own == id).map(|(_, at)| at)
}

/// The fewest acts that bring a frame, standing as `plan` says and reading as it does, within
/// tolerance. `None` while the readings do not tell both tilts.
pub fn correct(
    profile: &RideProfile,
    plan: &LevelPlan,
    blocks: &[Block],
    readings: &[Reading],
) -> Option<Correction> {
    let (along, across) = slopes(profile, readings)?;
    let feet = feet(profile, plan, blocks, (along, across));
    let places: Vec<Point> = feet.iter().map(|foot| foot.at).collect();
    let search = Search {
        answers: Attitude::answers(&places),
        racks: passes::racks(&places),
        most: (
            profile.levelling.along().ratio(),
            profile.levelling.across().ratio(),
        ),
        rack_limit: profile.levelling.rack_limit,
        level_step_deg: profile.levelling.steps.level_deg,
        left: left(plan, blocks),
        feet,
    };
    let before = search.lean(along, across);
    let mut correction = Correction {
        after: before.clone(),
        before,
        acts: Vec::new(),
    };
    if correction.before.verdict == Verdict::Pass {
        return Some(correction);
    }
    let Some(best) = search.fewest(along, across) else {
        return Some(correction);
    };
    let (along, across) = search.moved((along, across), &best);
    correction.after = search.lean(along, across);
    correction.acts = best
        .iter()
        .filter_map(|&(foot, step)| {
            let foot = search.feet.get(foot)?;
            let step = foot.steps.get(step)?;
            Some(Corrected {
                support: foot.id.clone(),
                raise: step.raise,
                turns: step.turns.abs(),
                way: (step.turns != 0.0).then_some(if step.turns > 0.0 {
                    Way::Out
                } else {
                    Way::In
                }),
                removed: foot.top.iter().filter(|_| step.top_out).cloned().collect(),
                pieces: step
                    .shims
                    .iter()
                    .filter_map(|&kind| blocks.get(kind))
                    .map(|block| Piece {
                        block: block.id.clone(),
                        thickness: block.thickness,
                    })
                    .collect(),
            })
        })
        .collect();
    Some(correction)
}

/// A foot that can be trimmed.
struct Foot {
    id: String,
    at: Point,
    /// The piece right under it.
    top: Option<Piece>,
    steps: Vec<Trim>,
}

/// One way to trim a foot.
#[derive(Clone)]
struct Trim {
    raise: f64,
    /// Signed; 0 for shims.
    turns: f64,
    /// Whether the piece right under the foot comes out first.
    top_out: bool,
    /// Kinds of block by index.
    shims: Vec<usize>,
}

/// Blocks of each kind that the plan leaves on the truck.
fn left(plan: &LevelPlan, blocks: &[Block]) -> Vec<usize> {
    let used = |id: &str| {
        let stacks = plan.outriggers.iter().flat_map(|it| &it.pieces);
        let packing = plan.jacks.iter().flat_map(|it| &it.packing);
        stacks.chain(packing).filter(|it| it.block == id).count()
    };
    blocks
        .iter()
        .map(|block| (block.count as usize).saturating_sub(used(&block.id)))
        .collect()
}

fn feet(
    profile: &RideProfile,
    plan: &LevelPlan,
    blocks: &[Block],
    (along, across): (f64, f64),
) -> Vec<Foot> {
    let levelling = &profile.levelling;
    let may_sink = may_sink(profile, plan);
    if profile.outriggers.is_empty() {
        let spread = profile.jacks.iter().fold(0.0_f64, |spread, jack| {
            spread.max(jack.at.x.abs() * along.abs() + jack.at.y.abs() * across.abs())
        });
        return profile
            .jacks
            .iter()
            .zip(&plan.jacks)
            .map(|(jack, setting)| {
                let quarter = jack.lift_per_turn / 4.0;
                let most = (4.0 * spread + 4.0 * quarter).min(FARTHEST);
                let up = (setting.stroke_left - levelling.stroke_reserve).clamp(0.0, most);
                let spare = setting.screw_at_work - jack.screw_retracted;
                let down = (spare - levelling.stroke_reserve).clamp(0.0, most.min(may_sink));
                let quarters = -((down / quarter) as i32)..=((up / quarter) as i32);
                Foot {
                    id: jack.id.clone(),
                    at: jack.at,
                    top: None,
                    steps: quarters
                        .filter(|quarters| *quarters != 0)
                        .map(|quarters| Trim {
                            raise: f64::from(quarters) * quarter,
                            turns: f64::from(quarters) / 4.0,
                            top_out: false,
                            shims: Vec::new(),
                        })
                        .collect(),
                }
            })
            .collect();
    }
    let left = left(plan, blocks);
    profile
        .outriggers
        .iter()
        .zip(&plan.outriggers)
        .map(|(outrigger, stack)| {
            let bottom = stack.pieces.first();
            let bottom = bottom.and_then(|piece| blocks.iter().find(|it| it.id == piece.block));
            let tallest = TALLEST_TO_BASE * bottom.map_or(f64::INFINITY, base);
            let room = tallest - stack.height;
            let pieces = MOST_PIECES.saturating_sub(stack.pieces.len());
            let plate = outrigger.foot_plate.unwrap_or(FOOT_PLATE);
            let mut steps = shims(
                blocks,
                &left,
                plate,
                room.min(FARTHEST),
                pieces.min(MOST_SHIMS),
            );
            // The bottom piece stays: it is what the ground carries.
            let top = stack.pieces.last().filter(|_| stack.pieces.len() > 1);
            if let Some(top) = top {
                let out = top.thickness;
                let others = shims(blocks, &left, plate, (room + out).min(out + FARTHEST), 1);
                let nothing = Trim {
                    raise: 0.0,
                    turns: 0.0,
                    top_out: true,
                    shims: Vec::new(),
                };
                let changed = others.into_iter().chain([nothing]).map(|other| Trim {
                    raise: other.raise - out,
                    top_out: true,
                    ..other
                });
                steps.extend(changed.filter(|it| it.raise != 0.0 && -it.raise <= may_sink));
            }
            Foot {
                id: outrigger.id.clone(),
                at: outrigger.at,
                top: top.cloned(),
                steps,
            }
        })
        .collect()
}

/// How far a corner may be let down before a tyre that must hang free touches, metres. A tyre
/// within the feet sinks no farther than the lowest corner does.
fn may_sink(profile: &RideProfile, plan: &LevelPlan) -> f64 {
    let at_work = match profile.outriggers.is_empty() {
        true => StageKind::Lifted,
        false => StageKind::Snugged,
    };
    let stage = plan.stages.iter().find(|stage| stage.kind == at_work);
    let clearances = stage.iter().flat_map(|stage| &stage.wheels);
    clearances
        .map(|wheel| wheel.clearance)
        .fold(FARTHEST, f64::min)
        .max(0.0)
}

/// Ways to raise a foot by up to `pieces` shims and by at most `room`, the lowest first.
fn shims(blocks: &[Block], left: &[usize], plate: f64, room: f64, pieces: usize) -> Vec<Trim> {
    let mut round = vec![Trim {
        raise: 0.0,
        turns: 0.0,
        top_out: false,
        shims: Vec::new(),
    }];
    let mut all: Vec<Trim> = Vec::new();
    for _ in 0..pieces {
        let mut next = Vec::new();
        for below in &round {
            let first = below.shims.last().copied().unwrap_or(0);
            for (kind, block) in blocks.iter().enumerate().skip(first) {
                let used = below.shims.iter().filter(|&&it| it == kind).count();
                let raise = below.raise + block.thickness;
                if left.get(kind).is_some_and(|&left| used < left)
                    && base(block) >= plate
                    && raise <= room
                {
                    let mut shims = below.shims.clone();
                    shims.push(kind);
                    next.push(Trim {
                        raise,
                        turns: 0.0,
                        top_out: false,
                        shims,
                    });
                }
            }
        }
        all.extend(next.iter().cloned());
        round = next;
    }
    all.sort_by(|a, b| a.raise.total_cmp(&b.raise));
    all
}

struct Search {
    feet: Vec<Foot>,
    answers: Vec<Attitude>,
    racks: Vec<Vec<f64>>,
    /// Slopes allowed along and across.
    most: (f64, f64),
    rack_limit: f64,
    level_step_deg: f64,
    left: Vec<usize>,
}

/// Feet and the step of each, by index.
type Trimmed = Vec<(usize, usize)>;

impl Search {
    fn lean(&self, along: f64, across: f64) -> Lean {
        let level = self.is_level(along, across);
        Lean {
            verdict: if level { Verdict::Pass } else { Verdict::Fail },
            along_deg: Some(libm::atan(along).to_degrees()),
            across_deg: Some(libm::atan(across).to_degrees()),
            out_probability: None,
        }
    }

    fn is_level(&self, along: f64, across: f64) -> bool {
        along.abs() <= self.most.0 + 1e-12 && across.abs() <= self.most.1 + 1e-12
    }

    fn raise(&self, (foot, step): (usize, usize)) -> f64 {
        let foot = self.feet.get(foot);
        foot.and_then(|foot| foot.steps.get(step))
            .map_or(0.0, |step| step.raise)
    }

    /// The slopes after some feet are trimmed.
    fn moved(&self, (along, across): (f64, f64), trimmed: &[(usize, usize)]) -> (f64, f64) {
        trimmed
            .iter()
            .fold((along, across), |(along, across), &trim| {
                let raise = self.raise(trim);
                match self.answers.get(trim.0) {
                    Some(answer) => (along + answer.along * raise, across + answer.across * raise),
                    None => (along, across),
                }
            })
    }

    fn fewest(&self, along: f64, across: f64) -> Option<Trimmed> {
        let mut looks = MOST_LOOKS;
        (1..=MOST_FEET.min(self.feet.len())).find_map(|feet| {
            let mut best = None;
            self.descend(
                (along, across),
                feet,
                &mut Vec::new(),
                &mut best,
                &mut looks,
            );
            best.map(|(_, trimmed)| trimmed)
        })
    }

    /// Tries every step of `more` feet after those of `trimmed`.
    fn descend(
        &self,
        from: (f64, f64),
        more: usize,
        trimmed: &mut Trimmed,
        best: &mut Option<((i64, f64), Trimmed)>,
        looks: &mut u32,
    ) {
        let first = trimmed.last().map_or(0, |(foot, _)| foot + 1);
        for (index, foot) in self.feet.iter().enumerate().skip(first) {
            for step in 0..foot.steps.len() {
                if *looks == 0 {
                    return;
                }
                *looks -= 1;
                trimmed.push((index, step));
                if more > 1 {
                    self.descend(from, more - 1, trimmed, best, looks);
                } else if let Some(merit) = self.merit(from, trimmed)
                    && best.as_ref().is_none_or(|(other, _)| merit < *other)
                {
                    *best = Some((merit, trimmed.clone()));
                }
                trimmed.pop();
            }
        }
    }

    /// Steps of tilt left, and metres raised and lowered; `None` when a limit is broken.
    fn merit(&self, from: (f64, f64), trimmed: &[(usize, usize)]) -> Option<(i64, f64)> {
        let (along, across) = self.moved(from, trimmed);
        if !self.is_level(along, across) || !self.keeps_rack(trimmed) || !self.go_round(trimmed) {
            return None;
        }
        let degrees = libm::atan(along.abs().max(across.abs())).to_degrees();
        let travel = trimmed.iter().map(|&trim| self.raise(trim).abs()).sum();
        Some(((degrees / self.level_step_deg) as i64, travel))
    }

    fn keeps_rack(&self, trimmed: &[(usize, usize)]) -> bool {
        self.racks.iter().all(|weights| {
            let ahead: f64 = trimmed
                .iter()
                .map(|&trim| weights.get(trim.0).copied().unwrap_or(0.0) * self.raise(trim))
                .sum();
            ahead.abs() <= self.rack_limit + 1e-9
        })
    }

    /// Whether the shims are on the truck.
    fn go_round(&self, trimmed: &[(usize, usize)]) -> bool {
        let shims = || {
            trimmed
                .iter()
                .filter_map(|&(foot, step)| self.feet.get(foot)?.steps.get(step))
                .flat_map(|step| &step.shims)
        };
        shims().all(|kind| {
            let used = shims().filter(|it| *it == kind).count();
            self.left.get(*kind).is_some_and(|&left| used <= left)
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::fixtures::{flat_lot, trailer};
    use crate::level::GroundUnderRide;
    use crate::site::Site;

    fn level(along_deg: f64, across_deg: f64) -> Vec<Reading> {
        let at = |mark| Reading {
            station: "front bench".to_owned(),
            mark,
        };
        vec![
            at(Mark::Along(Slope::Deg(along_deg))),
            at(Mark::Across(Slope::Deg(across_deg))),
        ]
    }

    /// The plain trailer levelled on the flat lot, on its jacks alone or on outriggers.
    fn levelled(on_jacks: bool, blocks: Vec<Block>) -> (RideProfile, LevelPlan, Vec<Block>) {
        let mut profile = trailer();
        if on_jacks {
            profile.outriggers.clear();
        }
        let mut file = flat_lot();
        file.profiles = vec![profile.clone()];
        file.blocks = blocks.clone();
        let site = Site::new(file).unwrap();
        let ground = GroundUnderRide::of(&site, 0).unwrap();
        let plan = LevelPlan::new(&profile, &ground, &blocks);
        assert_eq!(plan.verdict, Verdict::Pass, "{:?}", plan.shortfalls);
        (profile, plan, blocks)
    }

    fn shim(thickness: f64, count: u32) -> Block {
        Block {
            id: format!("{:.0} mm", thickness * 1000.0),
            thickness,
            length: 0.3,
            width: 0.3,
            count,
        }
    }

    /// Rods on four corners and a level say the same: 1° across is 52.4 mm over 3 m.
    #[test]
    fn rods_and_levels_say_the_same() {
        let profile = trailer();
        let rise = 3.0 * libm::tan(1.0_f64.to_radians());
        let rod = |id: &str, reading| Reading {
            station: id.to_owned(),
            mark: Mark::Rod(reading),
        };
        let rods = [
            rod("FL", 1.5),
            rod("BL", 1.5),
            rod("FR", 1.5 + rise),
            rod("BR", 1.5 + rise),
        ];
        let (along, across) = slopes(&profile, &rods).unwrap();
        let told = slopes(&profile, &level(0.0, 1.0)).unwrap();
        assert!((along - told.0).abs() < 1e-12 && (across - told.1).abs() < 1e-12);
        assert_eq!(slopes(&profile, &rods[..2]), None);
        assert_eq!(slopes(&profile, &level(0.0, 1.0)[..1]), None);
    }

    /// 0.8° across with 0.5° allowed, on jacks. One jack alone racks the frame by what it is
    /// turned; 3 m · tan 0.3° = 15.7 mm on one side need two jacks, or one by twice as much,
    /// which the rack limit of 30 mm just refuses: two acts, 13 or more quarter turns in all.
    #[test]
    fn two_jacks_level_a_crossfall() {
        let (profile, plan, blocks) = levelled(true, Vec::new());
        let correction = correct(&profile, &plan, &blocks, &level(0.0, 0.8)).unwrap();
        assert_eq!(correction.before.verdict, Verdict::Fail);
        assert_eq!(correction.after.verdict, Verdict::Pass);
        assert_eq!(correction.acts.len(), 2, "{correction:?}");
        let level = correct(&profile, &plan, &blocks, &level(0.1, 0.3)).unwrap();
        assert_eq!((level.acts.len(), level.before.verdict), (0, Verdict::Pass));
    }

    /// The outriggers settled by 0.7° across, and there are shims of 12 mm: one under each low
    /// foot brings it to 0.7 − 0.46 = 0.24°.
    #[test]
    fn shims_level_a_crossfall() {
        let (profile, plan, blocks) = levelled(false, vec![shim(0.09, 12), shim(0.012, 4)]);
        let correction = correct(&profile, &plan, &blocks, &level(0.0, -0.7)).unwrap();
        assert_eq!(correction.after.verdict, Verdict::Pass, "{correction:?}");
        assert!(correction.acts.iter().all(|act| act.support.ends_with('L')));
        assert!(
            correction
                .acts
                .iter()
                .all(|act| !act.pieces.is_empty() && act.turns == 0.0)
        );
        // With nothing left on the truck it says so: the 90 mm pieces are too thick to take out.
        let used_up: Vec<Block> = blocks
            .iter()
            .map(|block| Block {
                count: if block.thickness > 0.05 { 8 } else { 0 },
                ..block.clone()
            })
            .collect();
        let stuck = correct(&profile, &plan, &used_up, &level(0.0, -0.7)).unwrap();
        assert!(stuck.acts.is_empty() && stuck.after.verdict == Verdict::Fail);
    }

    /// Every shim is in use, on top of the stacks: one comes out on the high side.
    #[test]
    fn a_piece_comes_out_where_nothing_is_left_to_put_in() {
        let (profile, mut plan, blocks) = levelled(false, vec![shim(0.09, 12), shim(0.012, 4)]);
        let used_up: Vec<Block> = blocks
            .iter()
            .map(|block| Block {
                count: if block.thickness > 0.05 { 8 } else { 4 },
                ..block.clone()
            })
            .collect();
        for stack in &mut plan.outriggers {
            stack.height += 0.012;
            stack.pieces.push(Piece {
                block: "12 mm".to_owned(),
                thickness: 0.012,
            });
        }
        let correction = correct(&profile, &plan, &used_up, &level(0.0, -0.7)).unwrap();
        assert_eq!(correction.after.verdict, Verdict::Pass, "{correction:?}");
        for act in &correction.acts {
            assert!(act.support.ends_with('R') && act.raise == -0.012, "{act:?}");
            assert!(act.removed.len() == 1 && act.pieces.is_empty(), "{act:?}");
        }
        // Not where a tyre would come to the ground.
        for stage in &mut plan.stages {
            for wheel in &mut stage.wheels {
                wheel.clearance = 0.01;
            }
        }
        let stuck = correct(&profile, &plan, &used_up, &level(0.0, -0.7)).unwrap();
        assert!(stuck.acts.is_empty() && stuck.after.verdict == Verdict::Fail);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]

        /// Whatever is read, the acts keep the rack limit and, where there are any, bring it
        /// within tolerance; and no single jack would have done where two are asked for.
        #[test]
        fn corrections_hold(along in -1.0..1.0_f64, across in -1.0..1.0_f64) {
            let (profile, plan, blocks) = levelled(true, Vec::new());
            let correction = correct(&profile, &plan, &blocks, &level(along, across)).unwrap();
            let raise = |id: &str| {
                let act = correction.acts.iter().find(|act| act.support == id);
                act.map_or(0.0, |act| act.raise)
            };
            let rack = raise("FL") - raise("FR") - raise("BL") + raise("BR");
            prop_assert!(rack.abs() <= 0.03 + 1e-9);
            let tan = |degrees: f64| libm::tan(degrees.to_radians());
            let within = |fl: f64, fr: f64, bl: f64, br: f64| {
                let along = tan(along) + (fl + fr - bl - br) / 8.0;
                let across = tan(across) + (fl + bl - fr - br) / 6.0;
                along.abs() <= tan(0.5) + 1e-12 && across.abs() <= tan(0.5) + 1e-12
            };
            prop_assert!(
                within(raise("FL"), raise("FR"), raise("BL"), raise("BR"))
                    == (correction.after.verdict == Verdict::Pass)
            );
            if correction.acts.len() > 1 {
                for quarters in -12..=12 {
                    let by = f64::from(quarters) * 0.0025;
                    prop_assert!(!within(by, 0.0, 0.0, 0.0) && !within(0.0, by, 0.0, 0.0));
                    prop_assert!(!within(0.0, 0.0, by, 0.0) && !within(0.0, 0.0, 0.0, by));
                }
            }
        }
    }
}
