//! Checks against published values, each with its source beside it. *Read* means that the figure
//! was read in the named publication or a copy of it; *memory* that it was recalled.

use std::ops::RangeInclusive;

use nalgebra::{DMatrix, DVector};
use tober::Point;
use tober::clearance::{Against, Measure, Part, Rule, Standing, rulebook};
use tober::envelope::{hang_angle, turn_rate};
use tober::fence::GUARD_HEIGHT;
use tober::ground::Elevation;
use tober::site::Site;
use tober::survey::{LevelRun, Setup, fit_plane, least_squares, third_order_allowance};
use tober_tests::samples;

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

/// Digits in which a number agrees with its reference.
fn digits(found: f64, reference: f64) -> f64 {
    -((found - reference) / reference).abs().max(1e-17).log10()
}

#[track_caller]
fn assert_feet(found: f64, published: f64) {
    let found = found / FOOT;
    assert!(
        (found - published).abs() < 1e-9,
        "{found} ft, not {published} ft"
    );
}

// Survey

/// FE exam study guide, *Differential Leveling, Height of Instrument, and Closure*
/// (open-exam-prep); read.
#[test]
fn level_run_over_two_turning_points() {
    let readings = [(4.20, 2.50), (5.15, 3.50), (3.05, 4.10)];
    let run = LevelRun {
        start: Elevation(100.00 * FOOT),
        setups: readings
            .map(|(backsight, foresight)| Setup {
                backsight: backsight * FOOT,
                intermediate: Vec::new(),
                foresight: foresight * FOOT,
            })
            .to_vec(),
        close_on: Some(Elevation(102.30 * FOOT)),
    };
    let reduced = run.reduce();
    // TP1, TP2 and BM2, and the heights of instrument of the second and third setup.
    assert_feet(reduced.setups[0].turning_point.0, 101.70);
    assert_feet(reduced.setups[1].instrument.0, 106.85);
    assert_feet(reduced.setups[1].turning_point.0, 103.35);
    assert_feet(reduced.setups[2].instrument.0, 106.40);
    assert_feet(reduced.last.0, 102.30);
    assert_feet(reduced.backsights, 12.40);
    assert_feet(reduced.foresights, 10.10);
    assert_feet(reduced.arithmetic_check, 0.0);
    assert_feet(reduced.misclosure.unwrap(), 0.0);
}

/// Ghilani & Wolf, *Elementary Surveying*, differential levelling figure; read in a copy.
#[test]
fn level_run_of_one_setup() {
    let run = LevelRun {
        start: Elevation(820.00 * FOOT),
        setups: vec![Setup {
            backsight: 8.42 * FOOT,
            intermediate: Vec::new(),
            foresight: 1.20 * FOOT,
        }],
        close_on: None,
    };
    let reduced = run.reduce();
    assert_feet(reduced.setups[0].instrument.0, 828.42);
    assert_feet(reduced.last.0, 827.22);
}

/// FGCS, *Specifications and Procedures … Leveling Systems*: third order 12 mm × √K, K in
/// kilometres one way; memory.
#[test]
fn third_order_levelling_allows_12_mm_a_root_kilometre() {
    assert!((third_order_allowance(1_000.0) - 0.012).abs() < 1e-15);
    assert!((third_order_allowance(250.0) - 0.006).abs() < 1e-15);
}

/// NIST Statistical Reference Datasets, *Pontius* (a load cell's deflection against load;
/// Pontius, NIST): <https://www.itl.nist.gov/div898/strd/lls/data/Pontius.shtml>. The loads run
/// twice from 150,000 in steps of 150,000.
mod pontius {
    pub(crate) const DEFLECTIONS: [f64; 40] = [
        0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
        1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
        0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
        1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ];

    pub(crate) fn load(i: usize) -> f64 {
        150_000.0 * (i % 20 + 1) as f64
    }

    // Certified values of y = B0 + B1 x + B2 x²; read, and reproduced from the data in exact
    // rational arithmetic, as were the standard errors.
    pub(crate) const B: [f64; 3] = [
        6.735_657_894_736_84E-04,
        7.320_591_604_010_03E-07,
        -3.160_818_713_450_29E-15,
    ];
    pub(crate) const STANDARD_ERRORS: [f64; 3] = [
        1.079_386_120_330_77E-04,
        1.578_173_999_816_59E-10,
        4.866_528_499_920_36E-17,
    ];
    pub(crate) const RESIDUAL_SD: f64 = 2.051_774_240_761_85E-04;
}

/// Digits that the solver must agree in with NIST's certified values.
const ENOUGH_DIGITS: f64 = 11.0;

#[test]
fn least_squares_returns_nist_pontius() {
    let design = DMatrix::from_fn(40, 3, |row, power| pontius::load(row).powi(power as i32));
    let observed = DVector::from_column_slice(&pontius::DEFLECTIONS);
    let fit = least_squares(&design, &observed).unwrap();
    let spread = fit.spread.unwrap();
    for i in 0..3 {
        let agree = digits(fit.coefficients[i], pontius::B[i]);
        assert!(agree > ENOUGH_DIGITS, "B{i}: {agree} digits");
        let agree = digits(spread.standard_errors[i], pontius::STANDARD_ERRORS[i]);
        assert!(
            agree > ENOUGH_DIGITS,
            "standard error of B{i}: {agree} digits"
        );
    }
    assert!(digits(spread.residual_sd, pontius::RESIDUAL_SD) > ENOUGH_DIGITS);
}

#[test]
fn a_plane_through_x_and_x_squared_returns_nist_pontius() {
    let heights: Vec<(Point, Elevation)> = (pontius::DEFLECTIONS.iter().enumerate())
        .map(|(i, deflection)| {
            let load = pontius::load(i);
            (Point::new(load, load * load), Elevation(*deflection))
        })
        .collect();
    let plane = fit_plane(&heights).unwrap();
    let spread = plane.spread.unwrap();
    let at_origin = plane.height(Point::origin()).0;
    for (found, certified) in [
        (at_origin, pontius::B[0]),
        (plane.slope_x, pontius::B[1]),
        (plane.slope_y, pontius::B[2]),
        (spread.slope_x, pontius::STANDARD_ERRORS[1]),
        (spread.slope_y, pontius::STANDARD_ERRORS[2]),
        (spread.residual_sd, pontius::RESIDUAL_SD),
    ] {
        let agree = digits(found, certified);
        assert!(agree > ENOUGH_DIGITS, "{found}: {agree} digits");
    }
}

// Supports and ground

/// PS 20, *American Softwood Lumber Standard*: a nominal 2× is 1.5 in thick, a 4× 3.5 in, a 6×
/// 5.5 in; memory. The samples write metres to the millimetre.
#[test]
fn blocks_named_by_nominal_lumber_have_its_actual_thickness() {
    let mut found = 0;
    for sample in samples().unwrap() {
        let Ok(site) = Site::read(&sample.json) else {
            continue; // a schema, not a site
        };
        for block in &site.file().blocks {
            let actual = match block.id.split_once('x') {
                Some(("2", _)) => 1.5 * INCH,
                Some(("4", _)) => 3.5 * INCH,
                Some(("6", _)) => 5.5 * INCH,
                _ => continue,
            };
            let off = (block.thickness - actual).abs();
            assert!(
                off <= 0.000_5,
                "{}: {} is off by {off} m",
                sample.name,
                block.id
            );
            found += 1;
        }
    }
    assert!(
        found >= 3,
        "only {found} blocks are named by nominal lumber"
    );
}

// Envelope

/// Speed at which riders on a hanger fly at an angle from the vertical, metres a second: where
/// [`hang_angle`], which rises with the turn rate, reaches the angle.
fn speed_at(angle_deg: f64, pivot_radius: f64, hanger: f64) -> f64 {
    let angle = angle_deg.to_radians();
    let (mut low, mut high) = (0.0, 100.0);
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if hang_angle(middle, pivot_radius, hanger) < angle {
            low = middle;
        } else {
            high = middle;
        }
    }
    low * (pivot_radius + hanger * libm::sin(angle))
}

/// What a figure that is printed to so many decimals may stand for.
fn printed(figure: f64, decimals: i32) -> RangeInclusive<f64> {
    let half = 0.5 * 10f64.powi(-decimals);
    figure - half..=figure + half
}

/// Knight, *Physics for Scientists and Engineers*, 4th ed., ch. 8 problem 42: a disk 5 m across,
/// chains of 6 m, at 20°; orbit radius 4.55 m, 4.03 m/s, so 8.45 rpm; read in a solution copy.
#[test]
fn hung_cars() {
    let speed = speed_at(20.0, 2.5, 6.0);
    assert!(printed(4.03, 2).contains(&speed), "{speed}");

    let angle = hang_angle(turn_rate(8.45), 2.5, 6.0);
    let orbit = 2.5 + 6.0 * libm::sin(angle);
    assert!(printed(20.0, 1).contains(&angle.to_degrees()), "{angle}");
    assert!(printed(4.55, 2).contains(&orbit), "{orbit}");
}

/// Textbook homework solution (askanewquestion 683127): 12.0 m cables, 61.0° from the vertical,
/// 13.6 m/s; read.
#[test]
fn swing_on_a_pole_with_cables() {
    let speed = speed_at(61.0, 0.0, 12.0);
    assert!(printed(13.6, 1).contains(&speed), "{speed}");
}

/// nerd-notes 29555: 8 m chain, 40° above the horizontal, 8.46 m/s; read.
#[test]
fn swing_on_a_pole_with_a_chain() {
    let speed = speed_at(90.0 - 40.0, 0.0, 8.0);
    assert!(printed(8.46, 2).contains(&speed), "{speed}");
}

// Clearances

fn rule(id: &str) -> &'static Rule {
    rulebook()
        .iter()
        .find(|rule| rule.id == id)
        .unwrap_or_else(|| panic!("no rule {id}"))
}

/// Rhode Island Gen. Laws § 23-34.1-9(h): major rides 12 ft apart between moving parts, kiddie
/// rides 6 ft, measured from any moving part; read.
#[test]
fn rides_apart() {
    for (id, feet) in [("ride-spacing-major", 12.0), ("ride-spacing-kiddie", 6.0)] {
        let rule = rule(id);
        assert_feet(rule.required, feet);
        assert_eq!(
            (rule.against, rule.parts),
            (Against::Ride, &[Part::Moving][..])
        );
        assert_eq!(rule.standing, Standing::Read);
        assert!(rule.source.contains("23-34.1-9(h)"), "{}", rule.source);
    }
}

/// NEC 525.5(B)(1): 15 ft in any direction of a line of 600 V or less; 525.5(B)(2): of more, not
/// under it nor within 15 ft horizontally; read.
#[test]
fn overhead_lines() {
    for (id, measure, clause, volts) in [
        (
            "line-up-to-600-volts",
            Measure::True,
            "525.5(B)(1)",
            [240.0, 600.0],
        ),
        (
            "line-over-600-volts",
            Measure::Horizontal,
            "525.5(B)(2)",
            [601.0, 11e3],
        ),
    ] {
        let rule = rule(id);
        assert_feet(rule.required, 15.0);
        assert_eq!(
            (rule.against, rule.measure),
            (Against::OverheadLine, measure)
        );
        assert!(rule.source.contains(clause), "{}", rule.source);
        assert!(
            volts.iter().all(|&volts| rule.when.volts(Some(volts))),
            "{id}"
        );
    }
    assert!(!rule("line-up-to-600-volts").when.volts(Some(601.0)));
    assert!(!rule("line-over-600-volts").when.volts(Some(600.0)));
}

/// 29 CFR 1926.1408 Table A: up to 50 kV 10 ft, to 200 kV 15, to 350 kV 20, to 500 kV 25, to
/// 750 kV 35, to 1000 kV 45; read.
#[test]
fn lifting_near_lines() {
    for (kilovolts, feet) in [
        (0.24, 10.0),
        (50.0, 10.0),
        (132.0, 15.0),
        (200.0, 15.0),
        (350.0, 20.0),
        (500.0, 25.0),
        (750.0, 35.0),
        (1000.0, 45.0),
    ] {
        let of_the_table = |rule: &&Rule| rule.source.contains("1926.1408");
        let mut applying = (rulebook().iter().filter(of_the_table))
            .filter(|rule| rule.when.volts(Some(kilovolts * 1e3)));
        let row = applying
            .next()
            .unwrap_or_else(|| panic!("no row for {kilovolts} kV"));
        assert_feet(row.required, feet);
        assert_eq!(row.measure, Measure::True);
        assert_eq!(applying.next(), None, "two rows for {kilovolts} kV");
    }
}

/// Wisconsin SPS 334.24(3): a guard or fence is 42 in high; read.
#[test]
fn a_fence_is_42_inches_high() {
    assert!((GUARD_HEIGHT / INCH - 42.0).abs() < 1e-9);
}
