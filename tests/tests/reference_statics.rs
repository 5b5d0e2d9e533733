//! Frames on feet that only push, against a second solver and a handbook formula in the same run.
//!
//! The loads of the feet are the minimum of a convex quadratic programme: of all loads that push
//! and balance the weight, those that take the least energy to press the feet in and twist the
//! frame. `clarabel` solves that by an interior-point method; nothing of it is shared with the
//! active set of `statics`, which looks for the frame's place instead.

use std::cell::Cell;
use std::time::{Duration, Instant};

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT,
};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use tober::statics::{Load, NoRest, Rest, Support, edges, settle};
use tober::{Point, Step};

/// Loads as shares of the weight and the least energy, in units of weight squared over a stiffness
/// of one newton a metre; by clarabel. `None` where it stops short of an answer.
fn reference(load: &Load, supports: &[Support]) -> Option<(Vec<f64>, f64)> {
    let count = supports.len();
    let twists = load.twist_stiffness.is_finite();
    // Unknowns: the share of every foot, then the moment that twists the frame.
    let unknowns = count + usize::from(twists);
    // In units of the middle stiffness, so that the numbers are near one.
    let unit = supports.iter().map(|it| it.stiffness).sum::<f64>() / count as f64;
    let mut bend = vec![vec![0.0; unknowns]; unknowns];
    let mut slope = vec![0.0; unknowns];
    let rows = if twists { 4 } else { 3 };
    let mut balance = vec![vec![0.0; unknowns]; rows + count];
    for (index, support) in supports.iter().enumerate() {
        bend[index][index] = unit / support.stiffness;
        slope[index] = -support.top * unit / load.weight;
        let at = support.at;
        for (row, part) in [1.0, at.x, at.y, at.x * at.y]
            .into_iter()
            .take(rows)
            .enumerate()
        {
            balance[row][index] = part;
        }
        balance[rows + index][index] = -1.0;
    }
    if twists {
        bend[count][count] = unit / load.twist_stiffness;
        balance[3][count] = 1.0;
    }
    let (centre, tipping) = (load.centre, load.tipping / load.weight);
    let mut asked: Vec<f64> = [
        1.0,
        centre.x + tipping.x,
        centre.y + tipping.y,
        centre.x * centre.y,
    ][..rows]
        .to_vec();
    asked.extend(vec![0.0; count]);
    // As close as it comes: asked for too much, it stops short and says so.
    for tolerance in [1e-13, 1e-12, 1e-11, 1e-10] {
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .tol_gap_abs(tolerance)
            .tol_gap_rel(tolerance)
            .tol_feas(tolerance)
            .build()
            .expect("sound settings");
        let mut solver = DefaultSolver::new(
            &CscMatrix::from(&bend),
            &slope,
            &CscMatrix::from(&balance),
            &asked,
            &[
                SupportedConeT::ZeroConeT(rows),
                SupportedConeT::NonnegativeConeT(count),
            ],
            settings,
        )
        .expect("a sound programme");
        solver.solve();
        if solver.solution.status == SolverStatus::Solved {
            let shares = solver.solution.x[..count].to_vec();
            return Some((shares, solver.solution.obj_val / unit));
        }
    }
    None
}

/// The same energy from the loads that were found.
fn energy(load: &Load, supports: &[Support], rest: &Rest) -> f64 {
    let weight = load.weight;
    let feet = supports.iter().zip(&rest.loads).map(|(support, carries)| {
        let share = carries / weight;
        share * share / support.stiffness / 2.0 - share * support.top / weight
    });
    let twists = load.twist_stiffness.is_finite();
    let moment = load.twist_stiffness * rest.twist / weight;
    let frame = if twists {
        moment * moment / load.twist_stiffness / 2.0
    } else {
        0.0
    };
    feet.sum::<f64>() + frame
}

/// The same to either side of the hub, the weight on it: many of these balance on two feet.
fn balanced((load, mut supports): (Load, Vec<Support>)) -> (Load, Vec<Support>) {
    let others: Vec<Support> = supports
        .iter()
        .map(|it| Support { at: -it.at, ..*it })
        .collect();
    supports.extend(others);
    let load = Load {
        centre: Point::origin(),
        tipping: Step::zeros(),
        ..load
    };
    (load, supports)
}

fn systems() -> impl Strategy<Value = (Load, Vec<Support>)> {
    let foot = ((-4.0..4.0, -2.5..2.5), -0.03..0.03, 5.5..7.5).prop_map(
        |((x, y), top, stiffness): ((f64, f64), f64, f64)| Support {
            at: Point::new(x, y),
            top,
            stiffness: libm::pow(10.0, stiffness),
        },
    );
    let twist = prop_oneof![
        4 => (5.0..9.0_f64).prop_map(|it| libm::pow(10.0, it)),
        1 => Just(f64::INFINITY),
    ];
    let load = (
        2e4..4e5,
        (-1.0..1.0, -0.6..0.6),
        (-2e4..2e4, -2e4..2e4),
        twist,
    )
        .prop_map(
            |(weight, (x, y), (along, across), twist_stiffness): (
                f64,
                (f64, f64),
                (f64, f64),
                f64,
            )| {
                Load {
                    weight,
                    centre: Point::new(x, y),
                    tipping: Step::new(along, across),
                    twist_stiffness,
                }
            },
        );
    let any = (load, prop::collection::vec(foot, 3..=12));
    prop_oneof![4 => any.clone(), 1 => any.prop_map(balanced)]
}

/// 20,000 systems that stand: reactions to a millionth of the weight, energy to a millionth.
#[test]
fn twenty_thousand_systems_agree_with_clarabel() {
    let (own, other) = (Cell::new(Duration::ZERO), Cell::new(Duration::ZERO));
    let (count, hanging, short) = (Cell::new(0), Cell::new(0), Cell::new(0));
    let mut runner = TestRunner::new(Config {
        cases: 20_000,
        max_global_rejects: 1_000_000,
        failure_persistence: None,
        ..Config::default()
    });
    runner
        .run(&systems(), |(load, supports)| {
            // Near the edge of the polygon the interior point has nowhere to go.
            let inside = edges(&supports).all(|edge| edge.inside(load.resultant()) > 0.01);
            let begin = Instant::now();
            let found = settle(&load, &supports);
            own.set(own.get() + begin.elapsed());
            let rest = match found {
                Ok(rest) if inside => rest,
                Ok(_) => return Err(TestCaseError::reject("near the edge")),
                Err(NoRest::Overturns(_)) => return Err(TestCaseError::reject("overturns")),
                Err(NoRest::NotFound) => return Err(TestCaseError::fail("no rest")),
            };
            let begin = Instant::now();
            let answer = reference(&load, &supports);
            other.set(other.get() + begin.elapsed());
            let Some((shares, least)) = answer else {
                short.set(short.get() + 1);
                return Err(TestCaseError::reject("clarabel stops short"));
            };
            count.set(count.get() + 1);
            prop_assert!(rest.residual <= 1e-9 && rest.complementarity <= 1e-12);
            for (carries, share) in rest.loads.iter().zip(&shares) {
                prop_assert!(*carries >= 0.0);
                let off = (carries / load.weight - share).abs();
                prop_assert!(off < 1e-6, "{} against {share}", carries / load.weight);
                hanging.set(hanging.get() + usize::from(*carries == 0.0));
            }
            let own = energy(&load, &supports, &rest);
            prop_assert!(
                (own - least).abs() <= 1e-6 * least.abs().max(1e-12),
                "{own}, {least}"
            );
            Ok(())
        })
        .unwrap();
    let ratio = other.get().as_secs_f64() / own.get().as_secs_f64();
    println!(
        "{} systems, {} feet hang, clarabel stops short of {} more; clarabel {:?}, statics {:?}: {ratio:.0} times as fast",
        count.get(),
        hanging.get(),
        short.get(),
        other.get(),
        own.get()
    );
    assert_eq!(count.get(), 20_000);
    assert!(short.get() < 20, "a reference that stops short is none");
    assert!(hanging.get() > 1_000, "too few feet hang to test that");
    assert!(ratio > 1.0, "{ratio}");
}

proptest! {
    #![proptest_config(Config { cases: 2_000, max_global_rejects: 1_000_000, ..Config::default() })]

    /// The pile-group formula of the handbooks, with the product of inertia:
    /// `P = W/n + a·x + b·y` about the centroid, where `[Σx² Σxy; Σxy Σy²] (a, b) = (My, Mx)`.
    /// A rigid cap on equal piles that all push.
    #[test]
    fn rigid_frames_agree_with_the_pile_group_formula(
        places in prop::collection::vec((-4.0..4.0_f64, -2.5..2.5_f64), 3..16),
        weight in 1e4..1e6_f64,
        centre in (-1.0..1.0_f64, -0.6..0.6_f64),
        tipping in (-5e3..5e3_f64, -5e3..5e3_f64),
    ) {
        let count = places.len() as f64;
        let mean = |of: &dyn Fn(&(f64, f64)) -> f64| places.iter().map(of).sum::<f64>() / count;
        let (mx, my) = (mean(&|it| it.0), mean(&|it| it.1));
        let sum = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
            places.iter().map(|it| of(it.0 - mx, it.1 - my)).sum()
        };
        let (xx, yy, xy) = (sum(&|x, _| x * x), sum(&|_, y| y * y), sum(&|x, y| x * y));
        let (along, across) = (
            weight * (centre.0 - mx) + tipping.0,
            weight * (centre.1 - my) + tipping.1,
        );
        let turn = xx * yy - xy * xy;
        prop_assume!(turn > 1.0);
        let (a, b) = ((along * yy - across * xy) / turn, (across * xx - along * xy) / turn);
        let piles: Vec<f64> = places
            .iter()
            .map(|it| weight / count + a * (it.0 - mx) + b * (it.1 - my))
            .collect();
        prop_assume!(piles.iter().all(|&load| load > 0.0));
        let supports: Vec<Support> = places
            .iter()
            .map(|&(x, y)| Support { at: Point::new(x, y), top: 0.7, stiffness: 3e7 })
            .collect();
        let load = Load {
            weight,
            centre: Point::new(centre.0, centre.1),
            tipping: Step::new(tipping.0, tipping.1),
            twist_stiffness: f64::INFINITY,
        };
        let rest = settle(&load, &supports).unwrap();
        for (found, pile) in rest.loads.iter().zip(&piles) {
            prop_assert!((found - pile).abs() <= 1e-9 * weight, "{found} against {pile}");
        }
    }
}
