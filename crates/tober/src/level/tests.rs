//! Tests of the level plan: a case by hand, the search against brute force, and what must hold
//! on any ground.

use proptest::prelude::*;

use super::blocking::{Bound, Foot, Role, Search, Turns};
use super::*;
use crate::fixtures::trailer;
use crate::ride::Steps;

/// Ground as a plane: height at the hub, rise along, rise across.
fn ground(profile: &RideProfile, at_hub: f64, along: f64, across: f64) -> GroundUnderRide {
    let point = |kind, id: &str, at: Point| GroundPoint {
        id: id.to_owned(),
        kind,
        at,
        elevation: Some(Elevation(at_hub + along * at.x + across * at.y)),
        below_high: None,
        surface: Some(Surface::Grass),
        error: None,
    };
    let jacks = profile
        .jacks
        .iter()
        .map(|it| point(SupportKind::Jack, &it.id, it.at));
    let outriggers = profile
        .outriggers
        .iter()
        .map(|it| point(SupportKind::Outrigger, &it.id, it.at));
    let wheels = profile
        .wheels
        .iter()
        .map(|it| point(SupportKind::Wheel, &it.id, it.at));
    GroundUnderRide {
        points: jacks.chain(outriggers).chain(wheels).collect(),
        high_corner: None,
        fall_along: None,
        fall_across: None,
        error_covariance: Vec::new(),
    }
}

/// The same with bumps under its first points.
pub(super) fn bumpy(
    profile: &RideProfile,
    along: f64,
    across: f64,
    bumps: &[f64],
) -> GroundUnderRide {
    let mut under = ground(profile, 2.0, along, across);
    for (point, more) in under.points.iter_mut().zip(bumps) {
        point.elevation = point.elevation.map(|at| Elevation(at.0 + more));
    }
    under
}

fn block(id: &str, thickness: f64, width: f64, count: u32) -> Block {
    Block {
        id: id.to_owned(),
        thickness,
        length: 0.6,
        width,
        count,
    }
}

pub(super) fn truck() -> Vec<Block> {
    vec![
        block("6x", 0.140, 0.30, 12),
        block("4x", 0.089, 0.30, 12),
        block("2x", 0.038, 0.30, 16),
        block("ply", 0.018, 0.30, 16),
        block("packing", 0.006, 0.20, 24),
    ]
}

/// Flat ground, by hand. The tyres hang free at 0.5 + 0.06 + 0.02 = 0.580 m, so the stacks are
/// 0.180 m or a little more: 140 + 38 = 178 mm is 2 mm too low for a step of
/// tan 0.05° · 1.5 m = 1.31 mm to bridge from 0.5813 m on; 89 + 89 = 178 likewise; three pieces
/// make 140 + 38 + 6 = 184 mm: datum 0.584 m.
#[test]
fn flat_ground_by_hand() {
    let profile = trailer();
    let plan = LevelPlan::new(&profile, &ground(&profile, 10.0, 0.0, 0.0), &truck());
    assert_eq!(plan.verdict, Verdict::Pass, "{:?}", plan.shortfalls);
    assert!(
        (plan.datum.unwrap().0 - 10.584).abs() < 1e-9,
        "{:?}",
        plan.datum
    );
    for stack in &plan.outriggers {
        assert!((stack.height - 0.184).abs() < 1e-12);
        assert_eq!(stack.pieces.len(), 3);
    }
    for jack in &plan.jacks {
        // Parked at 0.500 m: leg 0.2 + hole + 0.05 + pad 0.04 fits to hole 0.2, the third.
        assert_eq!((jack.hole, jack.holes), (3, 4));
        // 0.584 − 0.04 − 0.2 = 0.344 below the datum; 0.144 of it screw; 0.030 more when lifted.
        assert!((jack.extension - 0.344).abs() < 1e-9);
        // With the leg's own drop a tape shows 0.544 from the datum to the pad.
        assert!((jack.to_pad - 0.544).abs() < 1e-9);
        assert!((jack.screw_at_work - 0.144).abs() < 1e-9);
        assert!((jack.screw_lifted - 0.174).abs() < 1e-9);
        // 0.010 of air to the ground is a turn; 0.124 in all is 12.4, so 12.5 turns.
        assert!((jack.turns_free - 1.0).abs() < 1e-9);
        assert!((jack.turns_free + jack.turns_loaded - 12.5).abs() < 1e-9);
        // 3 turns down; 0.2 for the 2 mm that an outrigger gives under a quarter of 8 t, on 10 kN
        // for each millimetre: 3.25; and the 1.5 that snugging gives back.
        assert!((jack.turns_down - 4.75).abs() < 1e-9);
    }
    assert!(plan.tilt_along_deg.unwrap().abs() < 1e-9);
    assert!(plan.fourth_foot_gap.unwrap() < 1e-9);
}

#[test]
fn front_before_back_and_low_side_first() {
    let profile = trailer();
    // Rises to the left: the right side is low.
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.005, 0.01), &truck());
    assert_eq!(plan.verdict, Verdict::Pass, "{:?}", plan.shortfalls);
    let pins: Vec<&str> = plan
        .acts
        .iter()
        .filter(|act| act.kind == ActKind::Pin)
        .map(|act| act.support.as_str())
        .collect();
    assert_eq!(pins, ["FR", "FL", "BR", "BL"]);
    for jack in &plan.jacks {
        let cranked = |kind| {
            let acts = plan
                .acts
                .iter()
                .filter(|act| act.kind == kind && act.support == jack.id);
            acts.map(|act| act.turns).sum::<f64>()
        };
        assert!((cranked(ActKind::Lift) - jack.turns_loaded).abs() < 1e-9);
        assert!((cranked(ActKind::Lower) - jack.turns_down).abs() < 1e-9);
    }
}

#[test]
fn too_steep_says_what_is_short() {
    let profile = trailer();
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.12, 0.0), &truck());
    assert_eq!(plan.verdict, Verdict::Fail);
    assert!(
        plan.shortfalls
            .iter()
            .any(|short| short.support.starts_with('B') && short.by > 0.0),
        "{:?}",
        plan.shortfalls
    );
    assert!(plan.acts.is_empty());
}

#[test]
fn without_blocks_every_foot_lacks_some() {
    let profile = trailer();
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.0, 0.0), &[]);
    let short: Vec<&Shortfall> = plan
        .shortfalls
        .iter()
        .filter(|short| short.what == ShortOf::Blocking)
        .collect();
    assert_eq!(short.len(), 4);
    // 0.580 − 0.4.
    assert!(
        short.iter().all(|short| (short.by - 0.18).abs() < 1e-9),
        "{short:?}"
    );
}

#[test]
fn unknown_ground_is_not_invented() {
    let profile = trailer();
    let mut under = ground(&profile, 0.0, 0.0, 0.0);
    under.points[2].elevation = None;
    let plan = LevelPlan::new(&profile, &under, &truck());
    assert_eq!(plan.verdict, Verdict::Unknown);
    assert!(plan.jacks.is_empty() && plan.outriggers.is_empty() && plan.datum.is_none());
}

#[test]
fn a_ride_on_its_jacks_is_level_to_a_quarter_turn() {
    let mut profile = trailer();
    profile.outriggers.clear();
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.01, 0.007), &[]);
    assert_eq!(plan.verdict, Verdict::Pass, "{:?}", plan.shortfalls);
    // A quarter turn is 2.5 mm, over 3 m: 0.05°.
    assert!(plan.tilt_across_deg.unwrap().abs() <= 0.05);
    assert!(plan.acts.iter().all(|act| act.kind != ActKind::Lower));
}

/// In its second hole a screw of 0.25 m reaches 0.54 m at work, and the tyres ask for 0.58: jacks
/// stand on packing, the fewest pieces that do, and nowhere else.
#[test]
fn jacks_stand_on_packing_only_when_they_must() {
    let mut profile = trailer();
    for jack in &mut profile.jacks {
        jack.holes = vec![0.0, 0.1];
        jack.screw_extended = 0.25;
    }
    let flat = ground(&profile, 0.0, 0.0, 0.0);
    let plan = LevelPlan::new(&profile, &flat, &truck());
    assert_eq!(plan.verdict, Verdict::Pass, "{:?}", plan.shortfalls);
    for (setting, jack) in plan.jacks.iter().zip(&profile.jacks) {
        assert_eq!(setting.packing.len(), 1, "{setting:?}");
        let under: f64 = setting.packing.iter().map(|piece| piece.thickness).sum();
        let reach = jack.drop + jack.holes[setting.hole - 1] + setting.screw_lifted;
        let lifted = under + jack.pad_thickness + reach;
        assert!((plan.lifted.unwrap().0 - lifted).abs() < 1e-9);
        assert!(setting.screw_lifted <= jack.screw_extended - 0.02 + 1e-9);
    }
    let bound = |plan: &LevelPlan| plan.binds.iter().any(|it| it.kind == BindKind::LongestLeg);
    assert!(bound(&plan), "{:?}", plan.binds);

    let plan = LevelPlan::new(&trailer(), &flat, &truck());
    assert!(plan.jacks.iter().all(|jack| jack.packing.is_empty()));
    assert!(!bound(&plan), "{:?}", plan.binds);
}

/// The tyres decide on flat ground, and three pieces a stack use up none of the truck.
#[test]
fn what_binds_is_said() {
    let profile = trailer();
    let flat = ground(&profile, 0.0, 0.0, 0.0);
    let kinds = |blocks: &[Block]| -> Vec<BindKind> {
        let plan = LevelPlan::new(&profile, &flat, blocks);
        plan.binds.iter().map(|bind| bind.kind).collect()
    };
    assert_eq!(kinds(&truck()), [BindKind::Tyre]);
    // Four of a kind, one a foot: all used, and 220 mm is far above what the tyres ask for.
    let four = [block("220", 0.22, 0.3, 4)];
    assert_eq!(
        kinds(&four),
        [BindKind::Thicknesses, BindKind::BlocksUsedUp]
    );
    // A base of 55 mm holds up 165 mm, and 180 mm are needed.
    let mut slim = profile.clone();
    for outrigger in &mut slim.outriggers {
        outrigger.foot_plate = Some(0.05);
    }
    let narrow = [block("narrow", 0.089, 0.055, 40)];
    let plan = LevelPlan::new(&slim, &flat, &narrow);
    assert!(plan.binds.iter().any(|it| it.kind == BindKind::BaseWidth));
}

/// A block less, and the plan is the next best, still proven and never better.
#[test]
fn a_block_less_gives_the_next_best() {
    let profile = trailer();
    let under = ground(&profile, 0.0, 0.013, -0.008);
    let mut blocks = truck();
    let mut before = LevelPlan::new(&profile, &under, &blocks);
    for _ in 0..40 {
        let used = before.outriggers.iter().flat_map(|it| &it.pieces).next();
        let Some(used) = used.map(|piece| piece.block.clone()) else {
            break;
        };
        for kind in &mut blocks {
            if kind.id == used {
                kind.count -= 1;
            }
        }
        let after = LevelPlan::new(&profile, &under, &blocks);
        assert!(after.proven);
        if after.verdict == Verdict::Fail {
            return;
        }
        assert!(stray(&after) >= stray(&before) - 0.051, "{after:?}");
        before = after;
    }
    panic!("blocks without end");
}

/// The greater of the two tilts, degrees.
fn stray(plan: &LevelPlan) -> f64 {
    let tilt = |tilt: Option<f64>| tilt.unwrap().abs();
    tilt(plan.tilt_along_deg).max(tilt(plan.tilt_across_deg))
}

/// Ten millimetres down under one jack change that jack, and nobody else's foot.
#[test]
fn one_spot_changes_what_it_should_and_nothing_else() {
    let profile = trailer();
    let under = ground(&profile, 0.0, 0.004, 0.003);
    let before = LevelPlan::new(&profile, &under, &truck());
    let mut dug = under;
    let point = dug.points.iter_mut().find(|it| it.id == "BL").unwrap();
    point.elevation = point.elevation.map(|at| Elevation(at.0 - 0.01));
    let after = LevelPlan::new(&profile, &dug, &truck());
    assert_eq!(before.outriggers, after.outriggers);
    assert_eq!(before.datum, after.datum);
    for (before, after) in before.jacks.iter().zip(&after.jacks) {
        let more = if before.id == "BL" { 0.01 } else { 0.0 };
        assert!((after.extension - before.extension - more).abs() < 1e-9);
    }
}

#[test]
fn the_makers_order_wins() {
    let mut profile = trailer();
    profile.levelling.crank_order = [["BL", "BR"], ["FR", "FL"]]
        .map(|pair| pair.map(str::to_owned).to_vec())
        .to_vec();
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.0, 0.0), &truck());
    let pins = plan.acts.iter().filter(|act| act.kind == ActKind::Pin);
    let pins: Vec<&str> = pins.map(|act| act.support.as_str()).collect();
    assert_eq!(pins, ["BL", "BR", "FR", "FL"]);
}

#[test]
fn stages_say_what_carries() {
    let profile = trailer();
    let plan = LevelPlan::new(&profile, &ground(&profile, 0.0, 0.01, -0.006), &truck());
    let stage = |kind| plan.stages.iter().find(|it| it.kind == kind).unwrap();
    for stage in &plan.stages {
        assert_eq!(stage.verdict, Verdict::Pass, "{stage:#?}");
    }
    let parked = stage(StageKind::Parked);
    assert!(parked.wheels.iter().all(|wheel| wheel.clearance < 0.0));
    assert!(parked.along_deg > 0.5 && parked.outriggers.is_empty());
    let lifted = stage(StageKind::Lifted);
    assert!(lifted.wheels.iter().all(|wheel| wheel.clearance >= 0.02));
    assert!(lifted.jacks.iter().all(|jack| jack.gap == 0.0));
    let blocked = stage(StageKind::Blocked);
    assert!(blocked.outriggers.iter().all(|foot| foot.gap > 0.02));
    let lowered = stage(StageKind::OnOutriggers);
    assert!(lowered.jacks.iter().all(|jack| jack.gap > 0.01));
    assert!(lowered.outriggers.iter().any(|foot| foot.gap == 0.0));
    let snugged = stage(StageKind::Snugged);
    assert!(snugged.jacks.iter().all(|jack| jack.gap < 0.003));
    let last = plan.stages.last().unwrap();
    assert_eq!(last.kind, StageKind::Lowered);
    assert!(last.jacks.iter().all(|jack| jack.hole == 1));
}

/// How good a way to stand is, smallest best: steps astray, height steps, pieces, steps of
/// turns, datum.
type Merit = (u32, u32, usize, i64, f64);

/// The merit of standing on stacks that want the datum at `tops`, if that can be done at all.
fn merit(search: &Search, step: f64, tops: &[f64], pieces: usize) -> Option<Merit> {
    let high = tops.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = tops.iter().copied().fold(f64::INFINITY, f64::min);
    let within = (search.tolerance_deg / search.steps.level_deg).ceil() as u32;
    (1..=within).find_map(|k| {
        let reach = f64::from(k) * step;
        let lowest = search.lowest(reach);
        let datum = lowest.max(high - reach);
        (datum <= (low + reach).min(search.highest(reach))).then(|| {
            let steps = ((datum - lowest) / search.steps.height).floor() as u32;
            let turns = search.turns.per_metre.iter().zip(tops);
            let turns: f64 = turns.map(|(turns, top)| turns * top).sum();
            let turns = search.steps.of_turns(search.turns.constant + turns);
            (k, steps, pieces, turns, datum)
        })
    })
}

/// Every way to stack at most the blocks of each kind, any number of each.
fn every_stack(blocks: &[Block]) -> Vec<(Vec<u32>, f64)> {
    let mut all = vec![(Vec::new(), 0.0)];
    for block in blocks {
        all = all
            .into_iter()
            .flat_map(|(counts, height): (Vec<u32>, f64)| {
                (0..=block.count).map(move |n| {
                    let mut counts = counts.clone();
                    counts.push(n);
                    (counts, height + f64::from(n) * block.thickness)
                })
            })
            .collect();
    }
    all
}

/// Area that carries under a square foot: the sides that are left of it, each way by itself. Told
/// from the ground up: what a piece passes on is as wide as all that lies on it lets it be.
fn carried(plate: f64, blocks: &[Block], counts: &[u32]) -> f64 {
    let mut pieces: Vec<&Block> = blocks
        .iter()
        .zip(counts)
        .flat_map(|(block, &count)| std::iter::repeat_n(block, count as usize))
        .collect();
    pieces.sort_by(|a, b| {
        let (a, b) = ((b.width, b.thickness), (a.width, a.thickness));
        a.partial_cmp(&b).unwrap()
    });
    let side = |along: bool| {
        // Down to the ground from the plate, and from each piece, the narrowest way.
        let all: f64 = pieces.iter().map(|block| block.thickness).sum();
        let mut narrowest = plate + 2.0 * all;
        let mut below = 0.0;
        for (place, block) in pieces.iter().enumerate() {
            let own = if (place % 2 == 0) == along {
                0.6
            } else {
                block.width
            };
            narrowest = narrowest.min(own + 2.0 * below);
            below += block.thickness;
        }
        narrowest
    };
    side(true) * side(false)
}

fn brute_force(search: &Search, step: f64) -> Option<Merit> {
    let stacks = every_stack(search.blocks);
    let mut best: Option<Merit> = None;
    for a in &stacks {
        for b in &stacks {
            for c in &stacks {
                let three = [a, b, c];
                let go_round = search.blocks.iter().enumerate().all(|(kind, block)| {
                    three.iter().map(|(counts, _)| counts[kind]).sum::<u32>() <= block.count
                });
                let stand = three
                    .iter()
                    .zip(search.feet)
                    .all(|((counts, height), foot)| {
                        let widths = || search.blocks.iter().zip(counts).filter(|it| *it.1 > 0);
                        let base = widths().map(|it| it.0.width).fold(0.0, f64::max);
                        (!foot.wants_a_block || counts.iter().any(|&n| n > 0))
                            && widths().all(|(block, _)| block.width >= foot.plate)
                            && carried(foot.plate, search.blocks, counts) >= foot.least_area
                            && (base == 0.0 || *height <= 3.0 * base)
                    });
                if !go_round || !stand {
                    continue;
                }
                let pieces = three.iter().flat_map(|(counts, _)| counts).sum::<u32>() as usize;
                let tops: Vec<f64> = three
                    .iter()
                    .zip(search.feet)
                    .map(|((_, height), foot)| foot.base().unwrap() + height)
                    .collect();
                if let Some(found) = merit(search, step, &tops, pieces)
                    && best.is_none_or(|best| {
                        found.partial_cmp(&best) == Some(std::cmp::Ordering::Less)
                    })
                {
                    best = Some(found);
                }
            }
        }
    }
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_search_finds_what_brute_force_finds(
        bases in prop::array::uniform3(0.0..0.12_f64),
        wants in prop::array::uniform3(any::<bool>()),
        thick in prop::array::uniform3(0.004..0.1_f64),
        counts in prop::array::uniform3(1..3_u32),
        lowest in 0.1..0.3_f64,
        lean in 1.0..2.0_f64,
        per_metre in prop::array::uniform3(-200.0..400.0_f64),
        plates in prop::array::uniform3(0.1..0.3_f64),
        widths in prop::array::uniform3(0.2..0.5_f64),
        areas in prop::array::uniform3(prop_oneof![Just(0.0), 0.01..0.2_f64]),
        (level_deg, height, step_turns) in (0.02..0.2_f64, 0.005..0.05_f64, 0.25..8.0_f64),
    ) {
        let at = [Point::new(2.0, 1.0), Point::new(-2.0, 1.0), Point::new(0.0, -1.0)];
        let feet: Vec<Foot> = (0..3)
            .map(|i| Foot {
                id: "", at: at[i], plate: plates[i], wants_a_block: wants[i],
                least_area: areas[i],
                role: Role::Outrigger { base: bases[i] },
            })
            .collect();
        let blocks: Vec<Block> =
            (0..3).map(|i| block("", thick[i], widths[i], counts[i])).collect();
        let steps = Steps { level_deg, height, turns: step_turns };
        let turns = Turns { constant: 50.0, per_metre: per_metre.to_vec() };
        let search = Search {
            feet: &feet, blocks: &blocks,
            floors: &[Bound { height: lowest, lean }],
            ceilings: &[Bound { height: lowest + 0.3, lean: 1.0 }],
            tolerance_deg: 1.0, however_steep: true, turns: &turns, steps,
        };
        let step = libm::tan(steps.level_deg.to_radians()) * 1.0;
        let outcome = search.run();
        prop_assert!(outcome.proven);
        let own = outcome.found.and_then(|found| {
            let tops: Vec<f64> = feet.iter().zip(&found.stacks)
                .map(|(foot, stack)| foot.base().unwrap() + stack.height)
                .collect();
            let pieces = found.stacks.iter().map(|stack| stack.len()).sum();
            merit(&search, step, &tops, pieces)
        });
        match (brute_force(&search, step), own) {
            (Some(best), Some(own)) => {
                prop_assert_eq!((own.0, own.1, own.2, own.3), (best.0, best.1, best.2, best.3));
                prop_assert!((own.4 - best.4).abs() < 1e-9);
            }
            // Brute force looks no farther than the ride's tolerance.
            (best, own) => prop_assert_eq!(best, own),
        }
    }

    /// Whatever the ground, no act leaves a corner farther ahead of the others than the rack
    /// limit, or the frame steeper than the travelling limit (or than it was parked); told from
    /// the acts alone, jack by jack, and from what is simulated.
    #[test]
    fn torn_down_every_screw_is_back_in_and_no_block_comes_out_under_load(
        along in -0.03..0.03_f64, across in -0.03..0.03_f64,
    ) {
        let profile = trailer();
        let plan = LevelPlan::new(&profile, &ground(&profile, 2.0, along, across), &truck());
        prop_assume!(plan.verdict == Verdict::Pass);
        for jack in &plan.jacks {
            let turned = |acts: &[Act]| -> f64 {
                let own = acts.iter().filter(|act| act.support == jack.id);
                own.map(|act| if act.way == Some(Way::In) { -act.turns } else { act.turns }).sum()
            };
            prop_assert!((turned(&plan.acts) + turned(&plan.tear_down)).abs() < 1e-9);
        }
        let first_out = plan.tear_down.iter().position(|act| act.kind == ActKind::Unblock).unwrap();
        let last_up = plan.tear_down.iter().rposition(|act| act.kind == ActKind::TakeUp).unwrap();
        prop_assert!(last_up < first_out);
        // The jacks carry it all, so every outrigger hangs.
        let after = plan.tear_down[last_up].after.as_ref().unwrap();
        for outrigger in &profile.outriggers {
            prop_assert!(after.hanging.contains(&outrigger.id));
        }
        let stowed = plan.tear_down.iter().filter(|act| act.kind == ActKind::Stow);
        prop_assert!(stowed.map(|act| (&act.support, act.hole)).eq(
            plan.acts.iter().filter(|act| act.kind == ActKind::Pin).map(|act| &act.support)
                .rev().map(|support| (support, 1))
        ));
    }

    #[test]
    fn no_act_breaks_a_limit(
        heights in prop::collection::vec(-0.06..0.06_f64, 10),
        along in -0.04..0.04_f64, across in -0.03..0.03_f64,
        rack in 0.016..0.05_f64, travel in 0.6..3.0_f64,
    ) {
        let mut profile = trailer();
        profile.levelling.rack_limit = rack;
        profile.levelling.travel_tilt_deg = Some(travel);
            let under = bumpy(&profile, along, across, &heights);
        let plan = LevelPlan::new(&profile, &under, &truck());
        prop_assume!(plan.verdict == Verdict::Pass);
        let parked = &plan.stages[0];
        let steepest = travel.max(parked.along_deg.abs()).max(parked.across_deg.abs());
        // Heights that the jacks hold, from the acts.
        let mut heights: Vec<f64> = profile.jacks.iter().zip(&plan.jacks).zip(&under.points)
            .map(|((jack, setting), point)| {
                let packing: f64 = setting.packing.iter().map(|it| it.thickness).sum();
                point.elevation.unwrap().0 + packing + jack.pad_thickness + jack.drop
                    + jack.holes[setting.hole - 1] + jack.screw_retracted
            })
            .collect();
        for act in plan.acts.iter().chain(&plan.tear_down) {
            let jack = profile.jacks.iter().position(|jack| jack.id == act.support);
            if let Some(jack) = jack {
                let turned = match act.way {
                    Some(Way::Out) => act.turns,
                    Some(Way::In) => -act.turns,
                    None => 0.0,
                };
                heights[jack] += turned * profile.jacks[jack].lift_per_turn;
            }
            use ActKind::{LetDown, Lift, Lower, TakeUp};
            if !matches!(act.kind, Lift | Lower | TakeUp | LetDown) {
                continue;
            }
            let [fl, fr, bl, br] = heights[..] else { unreachable!() };
            prop_assert!((fl - fr - bl + br).abs() <= rack + 1e-9, "{act:?}");
            // A leg touches within a quarter turn: over 3 m, a twentieth of a degree.
            let steepest = steepest + 0.06;
            let degrees = |rise: f64, over: f64| libm::atan(rise / over).to_degrees().abs();
            prop_assert!(degrees((fl + fr - bl - br) / 2.0, 4.0) <= steepest, "{act:?}");
            prop_assert!(degrees((fl + bl - fr - br) / 2.0, 3.0) <= steepest, "{act:?}");
            let after = act.after.as_ref().unwrap();
            // It is told to a micrometre.
            prop_assert!(after.rack <= rack + 1e-6, "{act:?}");
            // Where a jack hangs, tyres or outriggers still have their say.
            if profile.jacks.iter().all(|jack| !after.hanging.contains(&jack.id)) {
                prop_assert!(after.along_deg.abs() <= steepest + 0.05, "{act:?}");
                prop_assert!(after.across_deg.abs() <= steepest + 0.05, "{act:?}");
            }
        }
        for stage in &plan.stages {
            for check in &stage.checks {
                prop_assert!(check.kind != CheckKind::Rack || check.verdict == Verdict::Pass);
            }
        }
    }

    #[test]
    fn a_plan_that_passes_keeps_every_limit(
        at_hub in -50.0..50.0_f64, along in -0.03..0.03_f64, across in -0.03..0.03_f64,
    ) {
        let profile = trailer();
        let under = ground(&profile, at_hub, along, across);
        let blocks = truck();
        let plan = LevelPlan::new(&profile, &under, &blocks);
        prop_assume!(plan.verdict == Verdict::Pass);
        prop_assert!(plan.proven);
        for kind in &blocks {
            let used = plan.outriggers.iter().flat_map(|stack| &stack.pieces)
                .filter(|piece| piece.block == kind.id).count();
            prop_assert!(used <= kind.count as usize);
        }
        for stack in &plan.outriggers {
            prop_assert!(!stack.pieces.is_empty(), "grass asks for a block");
            let base = blocks.iter().find(|it| it.id == stack.pieces[0].block).unwrap();
            prop_assert!(stack.height <= 3.0 * base.width + 1e-9);
            let sum: f64 = stack.pieces.iter().map(|piece| piece.thickness).sum();
            prop_assert!((sum - stack.height).abs() < 1e-9);
        }
        let datum = plan.datum.unwrap().0;
        for wheel in &profile.wheels {
            let frame = datum
                + libm::tan(plan.tilt_along_deg.unwrap().to_radians()) * wheel.at.x
                + libm::tan(plan.tilt_across_deg.unwrap().to_radians()) * wheel.at.y;
            let ground = at_hub + along * wheel.at.x + across * wheel.at.y;
            prop_assert!(frame - wheel.drop - wheel.droop - ground >= 0.02 - 1e-6);
        }
        for (setting, jack) in plan.jacks.iter().zip(&profile.jacks) {
            prop_assert!(setting.screw_at_work >= jack.screw_retracted + 0.02 - 1e-6);
            prop_assert!(setting.screw_lifted <= jack.screw_extended - 0.02 + 1e-6);
            prop_assert!(setting.turns_free >= 0.0 && setting.turns_loaded >= 0.0);
            let reach = setting.screw_lifted + jack.holes[setting.hole - 1] + jack.drop + 0.04;
            let ground = at_hub + along * jack.at.x + across * jack.at.y;
            prop_assert!((plan.lifted.unwrap().0 - ground - reach).abs() < 1e-9);
        }
    }
}
