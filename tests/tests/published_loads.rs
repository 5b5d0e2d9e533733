//! Loads and ground against published values, each with its source beside it. *Read* means that
//! the figure was read in the named publication or a copy of it; *memory* that it was recalled;
//! *derived* that it follows from a read figure by hand.

use tober::clearance::Standing;
use tober::loads::{
    POUND, PSF, PSI, bearing_rule, load_rulebook, resultant, run_resultant, spread, wind_pressure,
};
use tober::site::{Block, Surface};
use tober::statics::{Load, Support, settle};
use tober::{Point, Step};

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;

fn foot(x: f64, y: f64) -> Support {
    Support {
        at: Point::new(x, y),
        top: 0.0,
        stiffness: 1e4,
    }
}

fn weight(weight: f64, x: f64, y: f64) -> Load {
    Load {
        weight,
        centre: Point::new(x, y),
        tipping: Step::zeros(),
        twist_stiffness: f64::INFINITY,
    }
}

fn assert_near(found: &[f64], expected: &[f64], to_within: f64) {
    assert_eq!(found.len(), expected.len());
    for (a, b) in found.iter().zip(expected) {
        assert!((a - b).abs() <= to_within, "{found:?} is not {expected:?}");
    }
}

const PIERS: [(f64, f64); 4] = [(3.0, 2.0), (3.0, -2.0), (-3.0, -2.0), (-3.0, 2.0)];

/// Four piers at the corners of 6 ft × 4 ft, 100 t at (2, 1) ft: 54, 29, −4, 21 t by the
/// pile-group formula; eng-tips thread 400254 (read). Feet that could pull are feet that something
/// else holds down: 1000 t more in the middle, taken off again.
#[test]
fn four_piers_linear() {
    let piers = PIERS.map(|(x, y)| foot(x, y));
    let held = weight(1100.0, 200.0 / 1100.0, 100.0 / 1100.0);
    let rest = settle(&held, &piers).unwrap();
    let own: Vec<f64> = rest.loads.iter().map(|load| load - 250.0).collect();
    assert_near(&own, &[54.0, 29.0, -4.0, 21.0], 0.5);
    assert_near(&own, &[54.1667, 29.1667, -4.1667, 20.8333], 1e-3);
}

/// The same on feet that only push: 58.33, 25.00, 0, 16.67 t (derived: the third hangs, the other
/// three are determinate).
#[test]
fn four_piers_that_only_push() {
    let piers = PIERS.map(|(x, y)| foot(x, y));
    let rest = settle(&weight(100.0, 2.0, 1.0), &piers).unwrap();
    assert_near(&rest.loads, &[58.3333, 25.0, 0.0, 16.6667], 1e-3);
    assert!(rest.loads[2] == 0.0);
}

/// Three legs are determinate, whatever their heights and stiffness: legs at (0, 0), (4, 0) and
/// (0, 3), 12 t at (1, 1): moments about the axes give 3 t and 4 t, and 5 t is left (by hand).
#[test]
fn three_legs_by_hand() {
    for (top, stiffness, twist) in [
        (0.0, 1e4, f64::INFINITY),
        (0.2, 3e3, 1e9),
        (-0.1, 1e7, 50.0),
    ] {
        let legs = [
            foot(0.0, 0.0),
            Support {
                top,
                ..foot(4.0, 0.0)
            },
            Support {
                stiffness,
                ..foot(0.0, 3.0)
            },
        ];
        // (1, 1) has a share x·y of twist; put it where the legs have it too: at the legs only.
        let load = Load {
            centre: Point::origin(),
            tipping: Step::new(12.0, 12.0),
            twist_stiffness: twist,
            ..weight(12.0, 0.0, 0.0)
        };
        let rest = settle(&load, &legs).unwrap();
        assert_near(&rest.loads, &[5.0, 3.0, 4.0], 1e-7);
    }
}

/// A quarter turn lifts the corner of a frame on four equal feet by `d`. By hand: the frame takes
/// up the height and the two tilts freely; what is left is the twist, `±d/4` at the corners, which
/// the feet and the frame share: the loads change by `±k d/4 · K / (K + 4 k a² b²)`, the turned
/// corner and its diagonal up, the others down.
#[test]
fn a_corner_cranked_up_lifts_its_diagonal() {
    let (a, b, k, d) = (2.5, 1.2, 2e7, 0.0015);
    for twist_stiffness in [1e6, 3e7, 1e9, f64::INFINITY] {
        let load = Load {
            twist_stiffness,
            ..weight(90e3, 0.0, 0.0)
        };
        let corners = [(a, b), (a, -b), (-a, -b), (-a, b)];
        let mut feet = corners.map(|(x, y)| Support {
            stiffness: k,
            ..foot(x, y)
        });
        feet[0].top += d;
        let rest = settle(&load, &feet).unwrap();
        let share = if twist_stiffness.is_finite() {
            twist_stiffness / (twist_stiffness + 4.0 * k * a * a * b * b)
        } else {
            1.0
        };
        let change = k * d / 4.0 * share;
        let even = 90e3 / 4.0;
        let expected = [even + change, even - change, even + change, even - change];
        assert_near(&rest.loads, &expected, 1e-4);
    }
}

/// Torsion of a shaft, `M = G J θ / L` (Timoshenko, *Strength of Materials* I; memory), with
/// Bredt's formula for a thin closed tube, `J = 4 A² t / s` (Roark, *Formulas for Stress and
/// Strain*; memory). A frame whose spine is a steel tube 200 × 200 × 8 mm and 5 m long, on four
/// stiff feet 2.4 m apart: one corner raised by 10 mm turns the front against the back by
/// θ = 0.01 / 2.4, and the couple `M = P · 2.4` loads the corner and its diagonal by `P` more.
#[test]
fn a_tube_twists_as_the_text_says() {
    let (length, apart, raised): (f64, f64, f64) = (5.0, 2.4, 0.010);
    let (side, wall): (f64, f64) = (0.192, 0.008);
    let j = 4.0 * side.powi(4) * wall / (4.0 * side);
    // 192 mm square to the middle of the wall: J = t·a³ = 5662 cm⁴.
    assert!((j * 1e8 - 5662.0).abs() < 1.0, "{j}");
    let stiffness = 79.3e9 * j / length;
    let couple = stiffness * raised / apart;
    let more = couple / apart;
    let corners = [(2.5, 1.2), (2.5, -1.2), (-2.5, -1.2), (-2.5, 1.2)];
    let mut feet = corners.map(|(x, y)| Support {
        stiffness: 1e12,
        ..foot(x, y)
    });
    feet[0].top += raised;
    let load = Load {
        twist_stiffness: stiffness * length * length,
        ..weight(90e3, 0.0, 0.0)
    };
    let rest = settle(&load, &feet).unwrap();
    let even = 90e3 / 4.0;
    let expected = [even + more, even - more, even + more, even - more];
    assert_near(&rest.loads, &expected, more * 1e-4);
}

/// 62,800 lb on a pad of 36 in × 36 in: 48.5 psi; outrigger pad sizing guidance, Altec (read in a
/// copy).
#[test]
fn pressure_under_a_pad() {
    let area = spread(36.0 * INCH, &[]).area();
    let pressure = 62_800.0 * POUND / area / PSI;
    assert!((pressure - 48.5).abs() < 0.05, "{pressure}");
}

/// International Building Code Table 1806.2 (2012) (read): sandy gravel and gravel 3,000 psf; sand,
/// silty and clayey sand and gravel 2,000; clay, silt 1,500; mud, organic soil and unprepared fill
/// none. Pavement and turf are not in the table: pavement is practice, turf has none.
#[test]
fn presumptive_bearing() {
    let psf = |surface| {
        let id = bearing_rule(surface)?;
        let rule = load_rulebook().iter().find(|rule| rule.id == id)?;
        Some(((rule.value / PSF).round(), rule.standing))
    };
    assert_eq!(psf(Surface::Gravel), Some((3_000.0, Standing::Read)));
    assert_eq!(psf(Surface::Sand), Some((2_000.0, Standing::Read)));
    assert_eq!(psf(Surface::Clay), Some((1_500.0, Standing::Read)));
    assert_eq!(psf(Surface::SoftOrFill), None);
    assert_eq!(psf(Surface::Grass), None);
    assert_eq!(psf(Surface::Pavement), Some((3_000.0, Standing::Practice)));
}

/// Box cribs of two by two: 24,000 lb of 4×4, 60,000 lb of 6×6; Cal Fire *Rescue Systems 1* ch. 30
/// and Firehouse, *Shoring Systems* pt 1 (read): 500 psi on four contacts of the actual size, 3.5
/// and 5.5 in (PS 20; memory), rounded down to a thousand.
#[test]
fn capacity_of_cribs() {
    let rule = load_rulebook().iter().find(|it| it.id == "timber-crushing");
    let bears = rule.expect("a rule").value;
    for (actual, published) in [(3.5, 24_000.0), (5.5, 60_000.0)] {
        let timber = Block {
            id: "timber".to_owned(),
            thickness: actual * INCH,
            length: 48.0 * INCH,
            width: actual * INCH,
            count: 8,
        };
        // One timber crossed over another touches it on its width, both ways.
        let contact = spread(1.0, &[&timber, &timber]).contact.expect("timber");
        let crib = 4.0 * bears * contact / POUND;
        assert!(
            ((crib / 1000.0).floor() * 1000.0 - published).abs() < 1.0,
            "{crib}"
        );
    }
}

/// Velocity pressure `q = 0.00256 V²` psf with V in miles an hour, and 0.613 V² Pa in metres a
/// second (ASCE 7, velocity pressure at unit coefficients; memory): 90 mph 20.7 psf, 100 mph
/// 25.6 psf, 110 mph 31.0 psf. And EN 1991-1-4 at 1.25 kg/m³: 25 m/s 0.39 kN/m² (memory).
#[test]
fn wind_as_the_codes_have_it() {
    const MPH: f64 = 0.447_04;
    for (miles, psf) in [(90.0, 20.7), (100.0, 25.6), (110.0, 31.0)] {
        let found = wind_pressure(miles * MPH, 2.0 * 0.613) / PSF;
        assert!((found - psf).abs() < 0.06, "{miles}: {found}");
    }
    assert!((wind_pressure(25.0, 1.25) / 1e3 - 0.39).abs() < 0.001);
}

/// The sum of a geometric series of unit steps: `e` empty seats in a row of `n` leave
/// `sin(eπ/n) / sin(π/n)`, against the seats added up one by one; and no other choice of as many
/// pulls harder (every choice of up to twelve seats is tried).
#[test]
fn riders_out_of_balance() {
    for seats in [2_u32, 3, 7, 12, 16, 36] {
        for empty in 0..=seats {
            let weights: Vec<f64> = (0..seats)
                .map(|seat| f64::from(u8::from(seat >= empty)))
                .collect();
            let (x, y) = resultant(&weights);
            let closed = run_resultant(seats, empty);
            assert!(
                (libm::hypot(x, y) - closed).abs() < 1e-9,
                "{seats}, {empty}"
            );
        }
    }
    for seats in 3..=12_u32 {
        for full in 0..1_u32 << seats {
            let weights: Vec<f64> = (0..seats)
                .map(|seat| f64::from(u8::from(full >> seat & 1 == 1)))
                .collect();
            let (x, y) = resultant(&weights);
            let most = run_resultant(seats, seats - full.count_ones());
            assert!(libm::hypot(x, y) <= most + 1e-9, "{seats}: {full:b}");
        }
    }
}

/// A plank of 12 ft spread by one for one: a foot of 6 in on a 2×12 board (1.5 × 11.25 in) reaches
/// 9 in along it (practice; by hand).
#[test]
fn one_for_one_through_a_board() {
    let board = Block {
        id: "board".to_owned(),
        thickness: 1.5 * INCH,
        length: 12.0 * FOOT,
        width: 11.25 * INCH,
        count: 1,
    };
    let sides = spread(6.0 * INCH, &[&board]).sides;
    assert!((sides.0 / INCH - 9.0).abs() < 1e-9 && (sides.1 / INCH - 9.0).abs() < 1e-9);
}
