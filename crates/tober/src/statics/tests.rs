//! Tests of the statics: cases by hand, equilibrium, and that no foot pulls.

use proptest::prelude::*;

use super::*;

fn foot(x: f64, y: f64, top: f64) -> Support {
    Support {
        at: Point::new(x, y),
        top,
        stiffness: 1e7,
    }
}

/// Four piers at the corners of 6 ft × 4 ft, 100 t at (2, 1) ft from the centre, feet that only
/// push: 58.33, 25.00, 16.67, 0 t. By hand from the pile-group formula, whose linear answer is
/// 54, 29, −4, 21 t: the foot that would pull carries nothing, and the other three are
/// determinate. (Four stiff feet under a rigid frame.)
#[test]
fn four_piers_that_only_push() {
    let piers = [(3.0, 2.0), (3.0, -2.0), (-3.0, -2.0), (-3.0, 2.0)];
    let supports = piers.map(|(x, y)| foot(x, y, 0.0));
    let load = Load {
        weight: 100.0,
        centre: Point::new(2.0, 1.0),
        tipping: Step::zeros(),
        twist_stiffness: 1e15,
    };
    let rest = settle(&load, &supports).unwrap();
    let expected = [58.333_33, 25.0, 0.0, 16.666_67];
    for (load, expected) in rest.loads.iter().zip(expected) {
        assert!((load - expected).abs() < 1e-3, "{:?}", rest.loads);
    }
}

#[test]
fn a_weight_outside_the_feet_overturns() {
    let supports = [
        foot(1.0, 1.0, 0.0),
        foot(1.0, -1.0, 0.0),
        foot(-1.0, 0.0, 0.0),
    ];
    let at = |x, y| {
        let load = Load {
            weight: 1e4,
            centre: Point::new(x, y),
            tipping: Step::zeros(),
            twist_stiffness: 1e7,
        };
        settle(&load, &supports)
    };
    assert!(at(0.0, 0.0).is_ok());
    // Half a metre out over the front edge, feet 0 and 1.
    let Err(NoRest::Overturns(front)) = at(1.5, 0.0) else {
        panic!("it stands");
    };
    assert_eq!(front.over, Some((1, 0)));
    assert!((front.outside - 0.5).abs() < 1e-12);
    // The edge from (1, 1) to (-1, 0): 2 along, 1 across; by hand (0.05 - 0.5)·2/√5 m.
    let Err(NoRest::Overturns(left)) = at(-0.9, 0.5) else {
        panic!("it stands");
    };
    assert_eq!(left.over, Some((0, 2)));
    assert!((left.outside - 0.9 / 5.0_f64.sqrt()).abs() < 1e-12);
    let load = Load {
        weight: 1e4,
        centre: Point::origin(),
        tipping: Step::zeros(),
        twist_stiffness: 1e7,
    };
    let in_line = [
        foot(1.0, 0.0, 0.0),
        foot(-1.0, 0.0, 0.0),
        foot(0.5, 0.0, 0.0),
    ];
    assert!(matches!(settle(&load, &in_line), Err(NoRest::Overturns(_))));
    let nothing = Tipping {
        over: None,
        outside: 0.0,
    };
    assert_eq!(settle(&load, &[]), Err(NoRest::Overturns(nothing)));
}

/// A soft frame follows its feet, a stiff one bridges over the low foot.
#[test]
fn a_stiff_frame_lifts_off_its_low_foot() {
    let supports = [
        foot(2.0, 1.0, 0.0),
        foot(2.0, -1.0, 0.0),
        foot(-2.0, 1.0, 0.0),
        foot(-2.0, -1.0, -0.05),
    ];
    let on = |twist_stiffness| {
        let load = Load {
            weight: 5e4,
            centre: Point::origin(),
            tipping: Step::zeros(),
            twist_stiffness,
        };
        settle(&load, &supports).unwrap()
    };
    assert!(on(1e12).loads[3] == 0.0 || on(1e12).loads[0] == 0.0);
    assert!(on(1e3).loads[3] > 0.0);
    assert!((on(1e3).at(supports[3].at) + 0.05).abs() < 0.01);
}

proptest! {
    #[test]
    fn forces_and_moments_balance_and_nothing_pulls(
        tops in prop::collection::vec(-0.2..0.2_f64, 3..12),
        places in prop::collection::vec((-4.0..4.0_f64, -2.0..2.0_f64), 12),
        stiff in prop::collection::vec(4.0..8.0_f64, 12),
        weight in 1e3..1e6_f64,
        twist in 3.0..10.0_f64,
        centre in (-3.0..3.0_f64, -1.5..1.5_f64),
    ) {
        let supports: Vec<Support> = tops.iter().zip(&places).zip(&stiff)
            .map(|((&top, &(x, y)), &stiff)| Support {
                at: Point::new(x, y), top, stiffness: libm::pow(10.0, stiff),
            })
            .collect();
        let load = Load {
            weight, centre: Point::new(centre.0, centre.1), tipping: Step::zeros(),
            twist_stiffness: libm::pow(10.0, twist),
        };
        match settle(&load, &supports) {
            Err(no_rest) => prop_assert!(matches!(no_rest, NoRest::Overturns(_)), "{no_rest:?}"),
            Ok(rest) => {
                prop_assert!(rest.residual <= 1e-9, "{}", rest.residual);
                prop_assert!(rest.complementarity <= 1e-12);
                prop_assert!(rest.loads.iter().all(|&load| load >= 0.0));
                let sum: f64 = rest.loads.iter().sum();
                prop_assert!((sum - weight).abs() < 1e-6 * weight);
                let moment = |of: fn(&Point) -> f64| {
                    let feet = supports.iter().zip(&rest.loads).map(|(it, load)| of(&it.at) * load);
                    feet.sum::<f64>() - weight * of(&load.centre)
                };
                prop_assert!(moment(|at| at.x).abs() < 1e-5 * weight);
                prop_assert!(moment(|at| at.y).abs() < 1e-5 * weight);
            }
        }
    }
}

/// A frame on two high feet (or three on a line) and some low ones, its weight over the line
/// between the high ones: exactly, or beside it by ever less. Places are eighths of a metre, so
/// that exactly means exactly.
fn balanced() -> impl Strategy<Value = (Load, Vec<Support>)> {
    let eighths = |most: i32| (-most..=most).prop_map(|it| f64::from(it) / 8.0);
    let place = move || (eighths(32), eighths(20)).prop_map(|(x, y)| Step::new(x, y));
    let stiffness = || (4.0..8.5_f64).prop_map(|it| libm::pow(10.0, it));
    let low = (place(), -0.05..0.0_f64, stiffness());
    let twist = prop_oneof![
        3 => (4.0..9.0_f64).prop_map(|it| libm::pow(10.0, it)),
        1 => Just(f64::INFINITY),
    ];
    let beside = prop_oneof![
        2 => Just(0.0),
        3 => (0..18, any::<bool>()).prop_map(|(digits, left): (i32, bool)| {
            libm::pow(10.0, f64::from(-digits)) * if left { 0.1 } else { -0.1 }
        }),
    ];
    (
        (place(), place(), any::<bool>(), stiffness(), stiffness()),
        prop::collection::vec(low, 1..8),
        (1..8, beside, 1e3..1e6_f64, twist),
    )
        .prop_map(
            |((hub, arm, third, one, other), low, (share, beside, weight, twist_stiffness))| {
                let foot = |at: Step, top, stiffness| Support {
                    at: Point::from(at),
                    top,
                    stiffness,
                };
                let mut feet = vec![foot(hub + arm, 0.1, one), foot(hub - arm, 0.1, other)];
                if third {
                    feet.push(foot(hub, 0.1, other));
                }
                let low = low.into_iter();
                feet.extend(low.map(|(at, top, stiffness)| foot(at, top, stiffness)));
                let along = arm * (f64::from(share) / 4.0 - 1.0);
                let aside = Step::new(-arm.y, arm.x) * beside;
                let load = Load {
                    weight,
                    centre: Point::from(hub + along + aside),
                    tipping: Step::zeros(),
                    twist_stiffness,
                };
                (load, feet)
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 5_000, max_global_rejects: 200_000, ..ProptestConfig::default() })]

    /// A balanced frame rests, with every foot's load as statics has it; or is named unstable.
    #[test]
    fn a_balanced_frame_comes_to_rest((load, supports) in balanced()) {
        match settle(&load, &supports) {
            Err(no_rest) => {
                let inside = edges(&supports).map(|edge| edge.inside(load.resultant()));
                prop_assert!(matches!(no_rest, NoRest::Overturns(_)), "{no_rest:?}");
                prop_assert!(!inside.fold(f64::INFINITY, f64::min).is_finite()
                    || edges(&supports).any(|edge| edge.inside(load.resultant()) <= ON_THE_EDGE));
            }
            Ok(rest) => {
                prop_assert!(rest.residual <= 1e-9, "{}", rest.residual);
                prop_assert!(rest.complementarity <= 1e-12);
                prop_assert!(rest.loads.iter().all(|&load| load >= 0.0));
                // No foot is left pressed in, or the frame above it: shortened by what it carries.
                for (support, carries) in supports.iter().zip(&rest.loads) {
                    let short = support.top - rest.at(support.at);
                    let asked = support.stiffness * short.max(0.0);
                    // A height is rounded as its parts are, and a frame may lean metres.
                    let (x, y) = (support.at.x, support.at.y);
                    let parts = [rest.at_hub, rest.along * x, rest.across * y, rest.twist * x * y];
                    let height = parts.iter().fold(1.0, |sum, part| sum + part.abs());
                    let told = 1e-9 * load.weight + support.stiffness * 1e-13 * height;
                    prop_assert!((asked - carries).abs() <= told, "{asked}, {carries}");
                }
            }
        }
    }
}

/// Two high feet on the frame's own axis leave it nothing but its weight to say how far it leans
/// until it touches the low one: statics then gives 1, 74, 25 of 100 by hand.
#[test]
fn a_frame_on_two_feet_of_its_axis_leans_onto_a_third() {
    let supports = [
        foot(-1.0, 0.0, 0.1),
        foot(1.0, 0.0, 0.1),
        foot(0.0, -1.0, 0.0),
        foot(0.0, 1.625, 0.0),
    ];
    let load = Load {
        weight: 100.0,
        centre: Point::new(0.73, -0.25),
        tipping: Step::zeros(),
        twist_stiffness: 1e4,
    };
    let rest = settle(&load, &supports).unwrap();
    for (load, expected) in rest.loads.iter().zip([1.0, 74.0, 25.0, 0.0]) {
        assert!((load - expected).abs() < 1e-9, "{:?}", rest.loads);
    }
}

/// With the load over the line between two feet, and the others low, the frame rocks freely on
/// the two until a third touches: nothing but a hair of moment says which way.
#[test]
fn a_frame_that_rocks_on_two_feet_comes_to_rest() {
    let feet = [
        (2.86, 1.67, -0.016_6, 1.43e7),
        (-1.68, 0.03, 0.017_4, 1.2e7),
        (0.51, 1.47, 0.0, 2.3e6),
        (-2.08, 0.0, 0.0, 1e6),
        (-0.92, -0.4, 0.0, 1e6),
    ];
    let supports = feet.map(|(x, y, top, stiffness)| Support {
        at: Point::new(x, y),
        top,
        stiffness,
    });
    // Between the third foot and the last, and beside it by ever less.
    let (one, other) = (supports[2].at, supports[4].at);
    for (share, aside) in (1..10).flat_map(|it| (0..16).map(move |aside| (it, aside))) {
        let on = one + (other - one) * (f64::from(share) / 10.0);
        let away = Step::new(1e-2, -1e-2) * libm::pow(10.0, -f64::from(aside));
        for twist_stiffness in [3e5, 1e8, f64::INFINITY] {
            let load = Load {
                weight: 43_861.0,
                centre: on + away,
                tipping: Step::zeros(),
                twist_stiffness,
            };
            let rest = settle(&load, &supports).unwrap();
            assert!(rest.residual <= 1e-9, "{share}, {aside}: {rest:?}");
        }
    }
}

/// Four jacks, one in each quarter and none inside the triangle of the others, in the order of
/// going round; how stiff each is, and how high.
fn four_jacks() -> impl Strategy<Value = Vec<Support>> {
    let corners = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
    let jack = move |index: usize| {
        let (x, y) = corners[index];
        (1.5..2.5_f64, 0.8..1.2_f64, -0.004..0.004_f64, 5.5..8.0_f64).prop_map(
            move |(along, across, top, stiff)| Support {
                at: Point::new(x * along, y * across),
                top,
                stiffness: libm::exp10(stiff),
            },
        )
    };
    (jack(0), jack(1), jack(2), jack(3)).prop_map(|(a, b, c, d)| vec![a, b, c, d])
}

/// What can be added to the loads of four feet without any force or moment: for each the area of
/// the triangle of the others, by turns up and down.
fn unfelt(jacks: &[Support]) -> [f64; 4] {
    let area = |skip: usize| {
        let [a, b, c] = [1, 2, 3].map(|on| jacks[(skip + on) % 4].at);
        (b - a).perp(&(c - a)).abs() / 2.0
    };
    [area(0), -area(1), area(2), -area(3)]
}

proptest! {
    /// One corner cranked up, whatever the frame: its own load and its diagonal's grow, the other
    /// two shrink, none of them by anything but one pattern, since weight and moments stay what
    /// they were and four feet leave one way only to share them anew. Feet may hang before or
    /// after. While all four bear, by how much follows from virtual work of that pattern `n`:
    ///
    /// ```text
    ///   Σ n (top − F/k) = twist · Σ n x y,  K · twist = Σ F x y − W x_c y_c
    ///   so  t = n_j · raise / (Σ n²/k + (Σ n x y)²/K)
    /// ```
    #[test]
    fn a_corner_cranked_up_loads_its_diagonal(
        jacks in four_jacks(), corner in 0_usize..4, raise in 0.000_1..0.01_f64,
        twist in 4.0..9.0_f64, rigid in prop::bool::weighted(0.1),
        centre in (-0.5..0.5_f64, -0.25..0.25_f64), weight in 2e4..2e5_f64,
    ) {
        let load = Load {
            weight,
            centre: Point::new(centre.0, centre.1),
            tipping: Step::zeros(),
            twist_stiffness: if rigid { f64::INFINITY } else { libm::exp10(twist) },
        };
        let before = settle(&load, &jacks).unwrap();
        let mut raised = jacks.clone();
        raised[corner].top += raise;
        let after = settle(&load, &raised).unwrap();
        prop_assert!(before.residual <= 1e-9 && after.residual <= 1e-9);
        let pattern = unfelt(&jacks);
        let more: Vec<f64> = after.loads.iter().zip(&before.loads).map(|(a, b)| a - b).collect();
        let hair = 1e-7 * weight;
        let (own, diagonal) = (more[corner], more[(corner + 2) % 4]);
        prop_assert!(own >= -hair && diagonal >= -hair, "{more:?}");
        prop_assert!(more[(corner + 1) % 4] <= hair && more[(corner + 3) % 4] <= hair, "{more:?}");
        let t = own / pattern[corner];
        for (more, pattern) in more.iter().zip(pattern) {
            prop_assert!((more - t * pattern).abs() <= hair, "{more} is not {t} of {pattern}");
        }
        if before.loads.iter().chain(&after.loads).all(|&load| load > 0.0) {
            let each = || pattern.iter().zip(&jacks);
            let gives: f64 = each().map(|(n, jack)| n * n / jack.stiffness).sum();
            let twists: f64 = each().map(|(n, jack)| n * jack.at.x * jack.at.y).sum();
            let by_hand = pattern[corner] * raise / (gives + twists * twists / load.twist_stiffness);
            prop_assert!((t - by_hand).abs() * pattern[corner].abs() <= hair, "{t}, {by_hand}");
            prop_assert!(own > 0.0 && diagonal > 0.0);
        }
    }

    /// Riders hang all round a mast at the hub; a row of them gets off. The rest pulls the weight's
    /// resultant straight away from the middle of that row, by what leverage says; and the frame
    /// as it lies at the hub does not sink under the middle of the row, whatever its feet are
    /// (energy is convex, so that what is taken off and how far the frame moves there go
    /// together). Of four equal feet at the corners of a rectangle, all bearing, the one on the
    /// row's quarter loses at least a fourth of what the row weighed.
    #[test]
    fn a_row_that_gets_off_lightens_its_side(
        jacks in four_jacks(), equal in prop::bool::ANY,
        cars in 3_u32..24, first in 0_u32..24, part in 0.0..0.5_f64,
        radius in 0.5..4.0_f64, rider in 200.0..2_000.0_f64,
        twist in 4.0..9.0_f64, weight in 5e4..2e5_f64,
    ) {
        let jacks: Vec<Support> = if equal {
            let (along, across) = (jacks[0].at.x, jacks[0].at.y);
            let top = |at: Point| Support { top: 0.0, at, stiffness: 1e7 };
            [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
                .map(|(x, y)| top(Point::new(along * x, across * y)))
                .to_vec()
        } else {
            jacks
        };
        let row = 1 + (f64::from(cars - 1) * part) as u32;
        let seat = |car: u32| {
            let (sin, cos) = libm::sincos(std::f64::consts::TAU * f64::from(car) / f64::from(cars));
            Step::new(cos, sin) * radius
        };
        let gone = |car: u32| (car + cars - first % cars) % cars < row;
        let with = |sits: &dyn Fn(u32) -> bool| {
            let seats: Vec<Step> = (0..cars).filter(|&car| sits(car)).map(seat).collect();
            let all = weight + rider * seats.len() as f64;
            Load {
                weight: all,
                centre: Point::origin(),
                tipping: seats.iter().sum::<Step>() * rider,
                twist_stiffness: libm::exp10(twist),
            }
        };
        let (full, fewer) = (with(&|_| true), with(&|car| !gone(car)));
        let (Ok(before), Ok(after)) = (settle(&full, &jacks), settle(&fewer, &jacks)) else {
            return Ok(());
        };
        let emptied: Vec<Step> = (0..cars).filter(|&car| gone(car)).map(seat).collect();
        let middle = emptied.iter().sum::<Step>() / f64::from(row);
        let row_weighs = rider * f64::from(row);
        let carried_at = |rest: &Rest| {
            let each = rest.loads.iter().zip(&jacks);
            each.map(|(load, jack)| jack.at.coords * *load).sum::<Step>()
        };
        let moved = carried_at(&after) - carried_at(&before);
        prop_assert!((moved + middle * row_weighs).norm() <= 1e-7 * weight);
        let resultant = carried_at(&after) / fewer.weight;
        prop_assert!(resultant.dot(&middle) <= 1e-9 && resultant.perp(&middle).abs() <= 1e-6);
        let at_hub = |it: &Rest| it.at_hub + it.along * middle.x + it.across * middle.y;
        let sinks = at_hub(&before) - at_hub(&after);
        prop_assert!(sinks <= 1e-10, "{sinks}");
        let bear = before.loads.iter().chain(&after.loads).all(|&load| load > 0.0);
        if equal && bear {
            for (jack, (before, after)) in jacks.iter().zip(before.loads.iter().zip(&after.loads)) {
                let on_its_quarter = jack.at.x * middle.x >= 0.0 && jack.at.y * middle.y >= 0.0;
                let less = before - after;
                prop_assert!(!on_its_quarter || less >= row_weighs / 4.0 - 1e-7 * weight, "{less}");
            }
        }
    }
}
