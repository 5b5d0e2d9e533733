//! Level nets against a second solver in the same run.
//!
//! The heights that leave the least sum of weighted squares are the minimum of a convex quadratic
//! programme, with the benchmarks as its constraints. `clarabel` solves that by an interior-point
//! method over sparse matrices; nothing of it is shared with the QR of the level net.

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, SolverStatus, SupportedConeT,
};
use proptest::prelude::*;
use tober::ground::Elevation;
use tober::survey::{Adjustment, BookRow, FieldBook, Rise};
use tober::units::LengthStyle;

/// Heights by clarabel: min ½ zᵀ(AᵀA)z − (Aᵀb)ᵀz subject to the known heights, A and b the rises
/// over their standard deviations.
fn reference(points: usize, known: &[(usize, Elevation)], rises: &[Rise]) -> Vec<f64> {
    let mut normal = vec![vec![0.0; points]; points];
    let mut linear = vec![0.0; points];
    for rise in rises {
        let weight = 1.0 / (rise.sd * rise.sd);
        let ends = [(rise.to, 1.0), (rise.from, -1.0)];
        for (one, sign) in ends {
            linear[one] -= weight * sign * rise.rise;
            for (other, other_sign) in ends {
                normal[one][other] += weight * sign * other_sign;
            }
        }
    }
    // The solver wants the upper triangle.
    let upper: Vec<Vec<f64>> = (0..points)
        .map(|row| {
            (0..points)
                .map(|column| {
                    if column >= row {
                        normal[row][column]
                    } else {
                        0.0
                    }
                })
                .collect()
        })
        .collect();
    let held: Vec<Vec<f64>> = (known.iter())
        .map(|(point, _)| {
            (0..points)
                .map(|column| f64::from(u8::from(column == *point)))
                .collect()
        })
        .collect();
    let heights: Vec<f64> = known.iter().map(|(_, elevation)| elevation.0).collect();
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .tol_gap_abs(1e-12)
        .tol_gap_rel(1e-12)
        .tol_feas(1e-12)
        .build()
        .expect("sound settings");
    let mut solver = DefaultSolver::new(
        &CscMatrix::from(&upper),
        &linear,
        &CscMatrix::from(&held),
        &heights,
        &[SupportedConeT::ZeroConeT(known.len())],
        settings,
    )
    .expect("a sound programme");
    solver.solve();
    assert!(
        matches!(
            solver.solution.status,
            SolverStatus::Solved | SolverStatus::AlmostSolved
        ),
        "{:?}",
        solver.solution.status
    );
    solver.solution.x.clone()
}

/// Nets in which every point hangs together with the first.
fn nets() -> impl Strategy<Value = (usize, Vec<Rise>)> {
    (3..14_usize).prop_flat_map(|points| {
        let tree = prop::collection::vec(
            (any::<prop::sample::Index>(), -2.0..2.0, 0.5..3.0),
            points - 1,
        );
        let more = prop::collection::vec((0..points, 1..points, -2.0..2.0, 0.5..3.0), 1..20);
        (tree, more).prop_map(move |(tree, more)| {
            let tree = tree
                .into_iter()
                .enumerate()
                .map(|(point, (to, rise, sd))| Rise {
                    from: point + 1,
                    to: to.index(point + 1),
                    rise,
                    sd,
                });
            let more = more.into_iter().map(|(from, step, rise, sd)| Rise {
                from,
                to: (from + step) % points,
                rise,
                sd,
            });
            (points, tree.chain(more).collect())
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn nets_agree_with_clarabel((points, rises) in nets(), second in 1..14_usize, height in -3.0..3.0f64) {
        let mut known = vec![(0, Elevation(0.0))];
        if second < points {
            known.push((second, Elevation(height)));
        }
        let net = Adjustment::new(points, &known, &rises);
        for (found, reference) in net.heights.iter().zip(reference(points, &known, &rises)) {
            let found = found.expect("every point is reached").elevation.0;
            prop_assert!((found - reference).abs() < 1e-6, "{found} and {reference}");
        }
    }
}

/// A whole field book: two loops over a common point, as rises from the instruments.
#[test]
fn a_book_of_two_loops_agrees_with_clarabel() {
    let sights = [
        // Setup by setup: point, reading.
        [("BM", 1.412), ("A", 1.105)],
        [("A", 1.377), ("B", 1.508)],
        [("B", 1.290), ("BM", 1.462)],
        [("A", 1.633), ("C", 1.201)],
        [("C", 1.118), ("B", 1.687)],
    ];
    let mut rows = Vec::new();
    for [(behind, back), (ahead, fore)] in sights {
        rows.push(BookRow {
            point: behind.to_owned(),
            backsight: back.to_string(),
            ..BookRow::default()
        });
        rows.push(BookRow {
            point: ahead.to_owned(),
            foresight: fore.to_string(),
            ..BookRow::default()
        });
    }
    rows[0].known = "20".to_owned();
    let reduced = FieldBook::new("loops", LengthStyle::Metres, rows).reduce();
    assert_eq!(reduced.redundancy, 2);

    let names = ["BM", "A", "B", "C"];
    let number = |name: &str| names.iter().position(|it| *it == name).expect("a name");
    let rises: Vec<Rise> = (sights.iter().enumerate())
        .flat_map(|(setup, sights)| {
            sights.map(|(point, reading)| Rise {
                from: names.len() + setup,
                to: number(point),
                rise: -reading,
                sd: 1.0,
            })
        })
        .collect();
    let heights = reference(names.len() + sights.len(), &[(0, Elevation(20.0))], &rises);
    for (point, height) in reduced.points.iter().zip(heights) {
        let found = point.elevation.expect("reduced").0;
        assert!(
            (found - height).abs() < 1e-6,
            "{}: {found} and {height}",
            point.name
        );
    }
}
