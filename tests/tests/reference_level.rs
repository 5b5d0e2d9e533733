//! Level plans against an integer-programming solver: on thousands of random rides, grounds and
//! trucks, `microlp` is asked for the same optimum, one preference after the other, from a model
//! that shares nothing with the search but the wording of the rules.
//!
//! The time that both took in the same run is printed: `cargo test --release -p tober-tests
//! --test reference_level -- --nocapture`.

use std::cell::RefCell;
use std::fmt;
use std::time::{Duration, Instant};

use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, Variable};
use nalgebra::{Matrix3, Vector3};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use tober::Point;
use tober::ground::Elevation;
use tober::level::{GroundPoint, GroundUnderRide, LevelPlan, SupportKind};
use tober::ride::{RideProfile, builtin};
use tober::site::{Block, Surface};

/// Random rides that are compared; the issue asks for 2000.
const CASES: u32 = 2_000;

/// One step of the crew's level, degrees, and one of heights, millimetres (stated defaults).
const LEVEL_STEP_DEG: f64 = 0.05;
const HEIGHT_STEP: f64 = 20.0;

/// Half the length and half the width of the outriggers' rectangle, metres.
const HALF: (f64, f64) = (2.5, 2.0);

/// Narrowest block under a foot, metres.
const PLATE: f64 = 0.18;

#[derive(Clone, Debug)]
struct Case {
    profile: RideProfile,
    ground: GroundUnderRide,
    blocks: Vec<Block>,
}

fn case() -> impl Strategy<Value = Case> {
    let block = (0.03..0.15_f64, 0.17..0.4_f64, 0.17..0.6_f64, 4..13_u32);
    let shim = (0.004..0.02_f64, 0.17..0.3_f64, 0.2..0.4_f64, 2..21_u32);
    (
        (prop::collection::vec(block, 1..3), shim)
            .prop_map(|(blocks, shim)| blocks.into_iter().chain([shim]).collect::<Vec<_>>()),
        prop::collection::vec(-0.03..0.03_f64, 12),
        (-0.01..0.01_f64, -0.01..0.01_f64, -50.0..50.0_f64),
        prop::collection::vec(any::<bool>(), 4),
        0.1..0.6_f64,
        0.25..0.6_f64,
    )
        .prop_map(|(blocks, bumps, plane, soft, tolerance, screw)| {
            let mut profile = builtin()[0].clone();
            profile.levelling.tolerance_along_deg = Some(tolerance);
            profile.levelling.tolerance_across_deg = Some(tolerance);
            let corners = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
            for (outrigger, (x, y)) in profile.outriggers.iter_mut().zip(corners) {
                outrigger.at = Point::new(x * HALF.0, y * HALF.1);
                outrigger.foot_plate = Some(PLATE);
            }
            for jack in &mut profile.jacks {
                jack.screw_extended = screw;
            }
            let mut bumps = bumps.into_iter();
            let mut soft = soft.into_iter();
            let mut point = |kind, id: &str, at: Point| {
                let bump = bumps.next().unwrap_or(0.0);
                let paved = kind == SupportKind::Outrigger && soft.next() == Some(false);
                GroundPoint {
                    id: id.to_owned(),
                    kind,
                    at,
                    elevation: Some(Elevation(plane.2 + plane.0 * at.x + plane.1 * at.y + bump)),
                    below_high: None,
                    surface: Some(if paved {
                        Surface::Pavement
                    } else {
                        Surface::Grass
                    }),
                    error: None,
                }
            };
            let mut points = Vec::new();
            for jack in &profile.jacks {
                points.push(point(SupportKind::Jack, &jack.id, jack.at));
            }
            for outrigger in &profile.outriggers {
                points.push(point(SupportKind::Outrigger, &outrigger.id, outrigger.at));
            }
            for wheel in &profile.wheels {
                points.push(point(SupportKind::Wheel, &wheel.id, wheel.at));
            }
            let blocks = blocks
                .into_iter()
                .zip(0..)
                .map(|((thickness, width, length, count), index)| Block {
                    id: format!("kind {index}"),
                    thickness,
                    length,
                    width,
                    count,
                })
                .collect();
            let ground = GroundUnderRide {
                points,
                high_corner: None,
                fall_along: None,
                fall_across: None,
                error_covariance: Vec::new(),
            };
            Case {
                profile,
                ground,
                blocks,
            }
        })
}

/// What the rules ask of one case, in millimetres above the lowest ground.
struct Rules {
    /// For each outrigger: the datum that it wants with nothing under it; whether it wants a
    /// block.
    feet: Vec<(f64, bool)>,
    /// What the datum stands above, and how much more for each millimetre that feet may stray.
    floors: Vec<(f64, f64)>,
    ceilings: Vec<(f64, f64)>,
    /// Turns under load: with every foot's top at 0, and for each millimetre of each foot's top.
    turns: (f64, Vec<f64>),
}

/// How much a foot's top counts in the height of the plane over a place: for feet at the corners
/// of a rectangle, a mean and two leverages.
fn share(foot: usize, at: Point) -> f64 {
    let (x, y) = ([1.0, 1.0, -1.0, -1.0][foot], [1.0, -1.0, 1.0, -1.0][foot]);
    (1.0 + x * at.x / HALF.0 + y * at.y / HALF.1) / 4.0
}

/// How far the plane may stray over a place for each millimetre that feet may.
fn lean(at: Point) -> f64 {
    (0..4).map(|foot| share(foot, at).abs()).sum()
}

impl Rules {
    fn of(case: &Case) -> Rules {
        let profile = &case.profile;
        let levelling = &profile.levelling;
        let heights: Vec<f64> = case
            .ground
            .points
            .iter()
            .map(|point| point.elevation.unwrap().0)
            .collect();
        let least = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let under: Vec<f64> = heights.iter().map(|height| height - least).collect();
        let (jacks, rest) = under.split_at(4);
        let (feet, wheels) = rest.split_at(4);
        let mm = |metres: f64| metres * 1000.0;

        let parked = parked(profile, jacks, wheels);
        let mut floors: Vec<(f64, f64)> = profile
            .wheels
            .iter()
            .zip(wheels)
            .map(|(wheel, ground)| {
                let free = ground + wheel.drop + wheel.droop + levelling.tyre_clearance;
                (mm(free), lean(wheel.at))
            })
            .collect();
        let mut ceilings = Vec::new();
        let mut constant = 0.0;
        let mut per_mm = vec![0.0; 4];
        for (jack, ground) in profile.jacks.iter().zip(jacks) {
            let leg = ground + jack.pad_thickness + jack.drop;
            let shortest = leg + jack.screw_retracted + levelling.stroke_reserve;
            floors.push((mm(shortest), lean(jack.at)));
            let over = parked(jack.at);
            let pinned = jack.holes.iter().rev();
            let pinned = pinned
                .copied()
                .find(|hole| leg + hole + jack.screw_retracted <= over)
                .unwrap_or(0.0);
            let longest = leg + pinned + jack.screw_extended - levelling.stroke_reserve;
            ceilings.push((mm(longest - levelling.lift_over), lean(Point::origin())));
            // Up from parked to the lifted level, and down from there to work.
            constant += (2.0 * levelling.lift_over - over) / jack.lift_per_turn;
            for (foot, turns) in per_mm.iter_mut().enumerate() {
                let metres = 2.0 * share(foot, Point::origin()) - share(foot, jack.at);
                *turns += metres / jack.lift_per_turn / 1000.0;
            }
        }
        // The program counts heights from the site's benchmark: a floor of turns needs the same.
        for turns in &per_mm {
            constant += turns * mm(least);
        }
        constant -= profile
            .jacks
            .iter()
            .map(|jack| least / jack.lift_per_turn)
            .sum::<f64>();
        let outriggers = profile.outriggers.iter().zip(feet);
        Rules {
            feet: outriggers
                .zip(&case.ground.points[4..8])
                .map(|((outrigger, ground), point)| {
                    let soft = point.surface != Some(Surface::Pavement);
                    (mm(ground + outrigger.foot_drop), soft)
                })
                .collect(),
            floors,
            ceilings,
            turns: (constant, per_mm),
        }
    }

    fn lowest(&self, reach: f64) -> f64 {
        let floors = self
            .floors
            .iter()
            .map(|(height, lean)| height + lean * reach);
        floors.fold(f64::NEG_INFINITY, f64::max)
    }

    fn highest(&self, reach: f64) -> f64 {
        let ceilings = self
            .ceilings
            .iter()
            .map(|(height, lean)| height - lean * reach);
        ceilings.fold(f64::INFINITY, f64::min)
    }
}

/// The frame on its tyres: the plane that best fits the ground under wheels and jacks (normal
/// equations), as much higher as the tyres hold it.
fn parked(profile: &RideProfile, jacks: &[f64], wheels: &[f64]) -> impl Fn(Point) -> f64 + use<> {
    let jack_places = profile.jacks.iter().map(|jack| jack.at);
    let wheel_places = profile.wheels.iter().map(|wheel| wheel.at);
    let places = jack_places.chain(wheel_places);
    let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
    for (at, height) in places.zip(jacks.iter().chain(wheels)) {
        let row = Vector3::new(1.0, at.x, at.y);
        normal += row * row.transpose();
        right += row * *height;
    }
    let plane = normal
        .lu()
        .solve(&right)
        .expect("the supports span a plane");
    let drop = profile.wheels[0].drop;
    move |at| plane[0] + plane[1] * at.x + plane[2] * at.y + drop
}

/// How good a plan is, smallest best: steps astray, height steps, pieces, steps of turns, datum.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Merit {
    astray: u32,
    height: i64,
    pieces: i64,
    turns: i64,
    datum: f64,
}

/// Millimetres that a foot strays for one step of the level.
fn step() -> f64 {
    let half = HALF.0.min(HALF.1);
    libm::tan(LEVEL_STEP_DEG.to_radians()) * half * 1000.0
}

fn most_astray(case: &Case) -> u32 {
    (case.profile.levelling.along().degrees() / LEVEL_STEP_DEG).ceil() as u32
}

/// The integer program of one case.
struct Model<'a> {
    case: &'a Case,
    rules: &'a Rules,
    /// How far feet may stray.
    reach: f64,
}

/// What is minimized.
#[derive(Clone, Copy)]
enum Goal {
    Astray,
    Datum,
    Pieces,
    Turns,
}

/// What earlier preferences have settled.
#[derive(Clone, Copy, Default)]
struct Settled {
    highest: Option<f64>,
    pieces: Option<i64>,
    turns: Option<f64>,
}

impl Model<'_> {
    /// The least value; `None` when there is no plan.
    fn least(&self, goal: Goal, settled: Settled) -> Option<f64> {
        let Model { case, rules, reach } = self;
        let blocks = &case.blocks;
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let (constant, per_mm) = &rules.turns;
        let weight = |foot: usize, kind: usize| match goal {
            Goal::Astray | Goal::Datum => 0.0,
            Goal::Pieces => 1.0,
            Goal::Turns => per_mm[foot] * blocks[kind].thickness * 1000.0,
        };
        let most = settled.highest.unwrap_or(1e5);
        let width = |block: &Block| block.width.min(block.length);
        let is = |wanted: bool| if wanted { 1.0 } else { 0.0 };
        let astray_least = if matches!(goal, Goal::Astray) {
            0.0
        } else {
            *reach
        };
        let astray = problem.add_var(is(matches!(goal, Goal::Astray)), (astray_least, *reach));
        let datum = problem.add_var(is(matches!(goal, Goal::Datum)), (-1e5, most));
        for (height, lean) in &rules.floors {
            problem.add_constraint([(datum, 1.0), (astray, -lean)], ComparisonOp::Ge, *height);
        }
        for (height, lean) in &rules.ceilings {
            problem.add_constraint([(datum, 1.0), (astray, *lean)], ComparisonOp::Le, *height);
        }
        let pieces: Vec<Vec<Variable>> = (0..4)
            .map(|foot| {
                let kinds = blocks.iter().enumerate();
                kinds
                    .map(|(kind, block)| {
                        let fits = width(block) >= PLATE;
                        let most = if fits { block.count.min(8) as i32 } else { 0 };
                        problem.add_integer_var(weight(foot, kind), (0, most))
                    })
                    .collect()
            })
            .collect();
        for (kind, block) in blocks.iter().enumerate() {
            let all: LinearExpr = pieces.iter().map(|foot| (foot[kind], 1.0)).collect();
            problem.add_constraint(all, ComparisonOp::Le, f64::from(block.count));
        }
        for (foot, (base, soft)) in pieces.iter().zip(&rules.feet) {
            let height = || {
                let kinds = foot.iter().zip(blocks);
                kinds.map(|(&variable, block)| (variable, block.thickness * 1000.0))
            };
            let above =
                |more| -> LinearExpr { height().chain([(datum, -1.0), (astray, more)]).collect() };
            problem.add_constraint(above(-1.0), ComparisonOp::Le, -base);
            problem.add_constraint(above(1.0), ComparisonOp::Ge, -base);
            let count: LinearExpr = foot.iter().map(|&variable| (variable, 1.0)).collect();
            problem.add_constraint(count.clone(), ComparisonOp::Le, 8.0);
            if *soft {
                problem.add_constraint(count, ComparisonOp::Ge, 1.0);
            }
            // No taller than three times the base, where a stack could be: one of the kinds used is
            // the base.
            let narrowest = blocks.iter().map(width).filter(|it| *it >= PLATE);
            let safe = 3000.0 * narrowest.fold(f64::INFINITY, f64::min);
            if safe >= rules.highest(0.0) + reach - base {
                continue;
            }
            let bases: Vec<Variable> = foot.iter().map(|_| problem.add_binary_var(0.0)).collect();
            for (&base, &used) in bases.iter().zip(foot) {
                problem.add_constraint([(base, 1.0), (used, -1.0)], ComparisonOp::Le, 0.0);
            }
            let one: LinearExpr = bases.iter().map(|&base| (base, 1.0)).collect();
            problem.add_constraint(one, ComparisonOp::Le, 1.0);
            let allowed = bases.iter().zip(blocks);
            let allowed = allowed.map(|(&base, block)| (base, -3000.0 * width(block)));
            let taller: LinearExpr = height().chain(allowed).collect();
            problem.add_constraint(taller, ComparisonOp::Le, 0.0);
        }
        let all = || pieces.iter().enumerate();
        if let Some(most) = settled.pieces {
            let count: LinearExpr = all()
                .flat_map(|(_, foot)| foot.iter().map(|&it| (it, 1.0)))
                .collect();
            problem.add_constraint(count, ComparisonOp::Le, most as f64);
        }
        let base_turns: f64 = constant
            + per_mm
                .iter()
                .zip(&rules.feet)
                .map(|(turns, (base, _))| turns * base)
                .sum::<f64>();
        if let Some(most) = settled.turns {
            let turns: LinearExpr = all()
                .flat_map(|(foot, kinds)| {
                    kinds.iter().zip(blocks).map(move |(&variable, block)| {
                        (variable, per_mm[foot] * block.thickness * 1000.0)
                    })
                })
                .collect();
            problem.add_constraint(turns, ComparisonOp::Le, most - base_turns);
        }
        let solution = problem.solve().ok()?.into_solution().ok()?;
        let value = solution.objective();
        Some(match goal {
            Goal::Turns => value + base_turns,
            _ => value,
        })
    }
}

/// The best plan by integer programming; `None` when none stays within tolerance.
fn by_integer_programming(case: &Case, rules: &Rules) -> Option<Merit> {
    // As little astray as can be; from there on, by whole steps.
    let most = most_astray(case);
    let reach = f64::from(most) * step();
    let least = Model { case, rules, reach }.least(Goal::Astray, Settled::default())?;
    let first = ((least / step() - 1e-7).ceil() as u32).max(1);
    (first..=most).find_map(|astray| {
        let reach = f64::from(astray) * step();
        let model = Model { case, rules, reach };
        let mut settled = Settled::default();
        let lowest = model.least(Goal::Datum, settled)?;
        let floor = rules.lowest(reach);
        let height = ((lowest - floor + 1e-7) / HEIGHT_STEP).floor();
        settled.highest = Some(floor + (height + 1.0) * HEIGHT_STEP);
        let pieces = model.least(Goal::Pieces, settled)?.round() as i64;
        settled.pieces = Some(pieces);
        let turns = (model.least(Goal::Turns, settled)? + 1e-7).floor();
        settled.turns = Some(turns + 1.0 - 1e-6);
        let datum = model.least(Goal::Datum, settled)?;
        Some(Merit {
            astray,
            height: height as i64,
            pieces,
            turns: turns as i64,
            datum,
        })
    })
}

/// The merit of a plan, worked out from its stacks alone.
fn merit(case: &Case, rules: &Rules, plan: &LevelPlan) -> Option<Merit> {
    let tops: Vec<f64> = plan
        .outriggers
        .iter()
        .zip(&rules.feet)
        .map(|(stack, (base, _))| {
            let pieces = stack.pieces.iter();
            base + pieces.map(|piece| piece.thickness * 1000.0).sum::<f64>()
        })
        .collect();
    let high = tops.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let low = tops.iter().copied().fold(f64::INFINITY, f64::min);
    let pieces: usize = plan.outriggers.iter().map(|stack| stack.pieces.len()).sum();
    let (constant, per_mm) = &rules.turns;
    let turns: f64 = per_mm
        .iter()
        .zip(&tops)
        .map(|(turns, top)| turns * top)
        .sum();
    (1..=most_astray(case)).find_map(|astray| {
        let reach = f64::from(astray) * step();
        let floor = rules.lowest(reach);
        let datum = floor.max(high - reach);
        let most = (low + reach).min(rules.highest(reach));
        (datum <= most + 1e-7).then(|| Merit {
            astray,
            height: ((datum - floor + 1e-7) / HEIGHT_STEP).floor() as i64,
            pieces: pieces as i64,
            turns: (constant + turns + 1e-7).floor() as i64,
            datum,
        })
    })
}

#[test]
fn every_optimum_is_the_integer_programs() {
    let mut runner = TestRunner::new(Config {
        cases: CASES,
        failure_persistence: None,
        ..Config::default()
    });
    let tally = RefCell::new(Tally::default());
    let outcome = runner.run(&case(), |case| {
        let start = Instant::now();
        let plan = LevelPlan::new(&case.profile, &case.ground, &case.blocks);
        let own = start.elapsed();
        prop_assert!(plan.proven);
        let rules = Rules::of(&case);
        let start = Instant::now();
        let best = by_integer_programming(&case, &rules);
        let theirs = start.elapsed();
        let packed = plan.jacks.iter().any(|jack| !jack.packing.is_empty());
        // Packing under jacks comes in only when nothing else will do.
        let found = merit(&case, &rules, &plan).filter(|_| !packed);
        match (best, found) {
            (Some(best), Some(found)) => {
                let exact = |it: Merit| (it.astray, it.height, it.pieces, it.turns);
                prop_assert_eq!(exact(found), exact(best));
                prop_assert!(
                    (found.datum - best.datum).abs() < 1e-4,
                    "{found:?}, {best:?}"
                );
                tally.borrow_mut().add(own, theirs);
            }
            (best, found) => prop_assert_eq!(best, found),
        }
        Ok(())
    });
    outcome.unwrap();
    let tally = tally.into_inner();
    println!("{tally}");
    assert!(
        tally.levelled > CASES / 6,
        "too few of the cases can be levelled"
    );
}

/// Cases that both levelled, and the time they took.
#[derive(Default)]
struct Tally {
    levelled: u32,
    own: Duration,
    theirs: Duration,
}

impl Tally {
    fn add(&mut self, own: Duration, theirs: Duration) {
        self.levelled += 1;
        self.own += own;
        self.theirs += theirs;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Tally {
            levelled,
            own,
            theirs,
        } = self;
        write!(
            out,
            "{levelled} of {CASES} levelled: whole plans in {own:?}, the integer program in \
             {theirs:?}, {:.0} times as long",
            theirs.as_secs_f64() / own.as_secs_f64()
        )
    }
}
