//! Clearances through the air against closed forms of a handbook, against another collision
//! library, and against dense sampling.

use std::f64::consts::{PI, TAU};

use parry3d_f64::math::{Pose, Vector};
use parry3d_f64::query::distance;
use parry3d_f64::shape::{ConvexPolyhedron, Cuboid, Segment};
use proptest::prelude::*;
use tober::Point;
use tober::clearance::{not_checked, rulebook};
use tober::envelope::{CLOSE_ENOUGH, Envelope, Heights, Wire, hang_angle, turn_rate};
use tober::ride::{HungChairs, RigidArms, RisingArms, Swing, SwingRow, SwingTable};
use tober::site::{Extinguisher, Site, SiteFile};
use tober::units::LengthStyle;
use tober_tests::Random;

/// Rounding, metres.
const ROUNDING: f64 = 1e-9;

/// The most that an outline stands off what it is drawn round, metres.
const STAND_OFF: f64 = 1e-3;

/// The most that a reported distance may fall short of what dense sampling finds, metres.
const MOST_SHORT: f64 = 10e-3;

fn cylinder(radius: f64, low: f64, high: f64) -> Envelope {
    let arms = RigidArms {
        radius,
        low,
        high,
        reach: 0.0,
    };
    Envelope::new(&Swing::RigidArms(arms), 0.0, None)
}

fn table(rows: &[(f64, f64)], reach: f64) -> Envelope {
    let rows = rows
        .iter()
        .map(|&(height, radius)| SwingRow { height, radius })
        .collect();
    Envelope::new(&Swing::Table(SwingTable { rows, reach }), 0.0, None)
}

fn at(height: f64) -> Heights {
    Heights {
        low: height,
        high: height,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// Point and cylinder: in its height the radius less, else Pythagoras to the rim or straight
    /// to the lid (Eberly, *Geometric Tools for Computer Graphics*; memory).
    #[test]
    fn a_point_and_a_cylinder(
        radius in 0.5..8.0_f64, low in 0.0..3.0_f64, rise in 0.2..6.0_f64,
        out in 0.0..15.0_f64, height in -5.0..15.0_f64,
    ) {
        let high = low + rise;
        let (beyond, off) = (out - radius, (low - height).max(height - high).max(0.0));
        prop_assume!(beyond > 0.0 || off > 0.0);
        let by_hand = libm::hypot(beyond.max(0.0), off);
        let found = cylinder(radius, low, high).nearest(out, at(height)).distance;
        prop_assert!((found - by_hand).abs() < ROUNDING, "{found} {by_hand}");
    }

    /// Point and cone: with the cone's half-angle `a` at its tip, the distance from the slant is
    /// `(out − radius there) cos a`, while the foot lies on the slant.
    #[test]
    fn a_point_and_a_cone(
        radius in 0.5..6.0_f64, tall in 0.5..6.0_f64, out in 0.0..15.0_f64, height in -3.0..12.0_f64,
    ) {
        let cone = table(&[(0.0, radius), (tall, 0.0)], 0.0);
        let slant = libm::hypot(radius, tall);
        // Along the slant from the rim to the tip, and square to it.
        let along = ((radius - out) * radius + height * tall) / slant;
        let square = ((out - radius) * tall + height * radius) / slant;
        let by_hand = if square <= 0.0 {
            prop_assume!(height < 0.0);
            libm::hypot((out - radius).max(0.0), height)
        } else if along < 0.0 {
            // Beyond the rim: the rim itself, or the base from below.
            libm::hypot((out - radius).max(0.0), height)
        } else if along > slant {
            libm::hypot(out, height - tall)
        } else {
            square
        };
        let found = cone.nearest(out, at(height)).distance;
        prop_assert!((found - by_hand).abs() < STAND_OFF, "{found} {by_hand}");
        prop_assert!(found <= by_hand + ROUNDING);
    }

    /// Point, segment and box to a sphere: the distance of its centre less its radius.
    #[test]
    fn a_sphere(
        reach in 0.3..3.0_f64, x in -12.0..12.0_f64, y in -12.0..12.0_f64, z in -4.0..12.0_f64,
        dx in -12.0..12.0_f64, dy in -12.0..12.0_f64, dz in -4.0..4.0_f64, tall in 0.0..4.0_f64,
    ) {
        let (middle, stub) = (4.0, 1e-6);
        let sphere = table(&[(middle, 0.0), (middle + stub, 0.0)], reach);
        let origin = nalgebra::Vector3::new(0.0, 0.0, middle);
        let near = |by_hand: f64, found: f64, slack: f64| {
            by_hand <= 0.0 || (found <= by_hand + 1e-5 && found >= by_hand - slack)
        };
        let point = nalgebra::Vector3::new(x, y, z);
        let by_hand = (point - origin).norm() - reach;
        let found = sphere.nearest(libm::hypot(x, y), at(z)).distance;
        prop_assert!(near(by_hand, found, STAND_OFF), "point: {found} {by_hand}");

        let along = nalgebra::Vector3::new(dx, dy, dz);
        prop_assume!(libm::hypot(dx, dy) > 0.1);
        let share = ((origin - point).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        let by_hand = (point + along * share - origin).norm() - reach;
        let ends = ((Point::new(x, y), z), (Point::new(x + dx, y + dy), z + dz));
        let wire = Wire::with_sag(ends.0, ends.1, 0.0);
        let found = sphere.nearest_wire(Point::origin(), 0.0, &wire).0.distance;
        prop_assert!(near(by_hand, found, STAND_OFF + CLOSE_ENOUGH), "segment: {found} {by_hand}");

        // A box that stands upright, its sides along x and y, 2 m by 4 m.
        let clamp = |low: f64, high: f64, value: f64| value.max(low).min(high);
        let closest = nalgebra::Vector3::new(
            clamp(x - 1.0, x + 1.0, 0.0),
            clamp(y - 2.0, y + 2.0, 0.0),
            clamp(z, z + tall, middle),
        );
        let by_hand = (closest - origin).norm() - reach;
        let heights = Heights { low: z, high: z + tall };
        let found = sphere.nearest(libm::hypot(closest.x, closest.y), heights).distance;
        prop_assert!(near(by_hand, found, STAND_OFF), "box: {found} {by_hand}");
    }

    /// The swept space as a solid of parry3d: a polyhedron inside it is no nearer to a turned box
    /// or to a straight wire than was found, and one round it is no farther.
    #[test]
    fn another_library(
        radius in 1.0..7.0_f64, low in 0.5..3.0_f64, rise in 0.5..5.0_f64, flare in 0.2..1.0_f64,
        x in -14.0..14.0_f64, y in -14.0..14.0_f64, z in -3.0..12.0_f64, turn in 0.0..TAU,
        half in 0.2..3.0_f64, other in 0.2..3.0_f64, tall in 0.1..3.0_f64,
        dx in -12.0..12.0_f64, dy in -12.0..12.0_f64, dz in -4.0..4.0_f64,
    ) {
        const CORNERS: usize = 48;
        let envelope = table(&[(low, radius * flare), (low + rise, radius)], 0.0);
        let solid = |grown: f64| {
            let corners = envelope.rows.iter().flat_map(|row| {
                (0..CORNERS).map(move |k| {
                    let (sin, cos) = libm::sincos(TAU * k as f64 / CORNERS as f64);
                    let out = row.radius * grown;
                    Vector::new(out * cos, out * sin, row.height)
                })
            });
            ConvexPolyhedron::from_convex_hull(&corners.collect::<Vec<_>>()).unwrap()
        };
        let (inside, around) = (solid(1.0), solid(1.0 / libm::cos(PI / CORNERS as f64)));
        let here = Pose::identity();
        let pose = Pose::new(Vector::new(x, y, z), Vector::new(0.0, 0.0, turn));
        let block = Cuboid::new(Vector::new(half, other, tall));
        let farthest = distance(&here, &inside, &pose, &block).unwrap().distance;
        let nearest = distance(&here, &around, &pose, &block).unwrap().distance;
        // From the hub's axis to the box in plan.
        let (sin, cos) = libm::sincos(turn);
        let (along, across) = (-(x * cos + y * sin), x * sin - y * cos);
        let out = libm::hypot((along.abs() - half).max(0.0), (across.abs() - other).max(0.0));
        let found = envelope.nearest(out, Heights { low: z - tall, high: z + tall }).distance;
        if nearest > 1e-6 {
            prop_assert!(found <= farthest + 1e-6, "box: {found} > {farthest}");
            prop_assert!(found >= nearest - 1e-6, "box: {found} < {nearest}");
        }

        prop_assume!(libm::hypot(dx, dy) > 0.1);
        let segment = Segment::new(Vector::new(x, y, z), Vector::new(x + dx, y + dy, z + dz));
        let farthest = distance(&here, &inside, &here, &segment).unwrap().distance;
        let nearest = distance(&here, &around, &here, &segment).unwrap().distance;
        let ends = ((Point::new(x, y), z), (Point::new(x + dx, y + dy), z + dz));
        let wire = Wire::with_sag(ends.0, ends.1, 0.0);
        let found = envelope.nearest_wire(Point::origin(), 0.0, &wire).0.distance;
        if nearest > 1e-6 {
            prop_assert!(found <= farthest + 1e-6, "wire: {found} > {farthest}");
            prop_assert!(found >= nearest - CLOSE_ENOUGH - 1e-6, "wire: {found} < {nearest}");
        }
    }
}

/// International Fire Code 503.2.1: a fire lane is 20 ft wide and 13 ft 6 in high; ADA 2010 § 403.5.1
/// and 307.4: a walk is 36 in wide and has 80 in of headroom; memory.
#[test]
fn ways_kept_free() {
    for (id, inches) in [
        ("fire-lane-width", 240.0),
        ("fire-lane-height", 162.0),
        ("walkway-width", 36.0),
        ("walkway-height", 80.0),
    ] {
        let rule = rulebook().iter().find(|rule| rule.id == id).unwrap();
        let found = rule.required / 0.0254;
        assert!((found - inches).abs() < 1e-9, "{id}: {found} in");
    }
}

/// US Access Board, outdoor developed areas: no steeper than 1:20 along, 1:48 across when paved,
/// 1:20 across on soft surfaces; read.
#[test]
fn accessible_slopes() {
    for (id, run) in [
        ("walkway-slope-along", 20.0),
        ("walkway-slope-across-paved", 48.0),
        ("walkway-slope-across-soft", 20.0),
    ] {
        let rule = rulebook().iter().find(|rule| rule.id == id).unwrap();
        assert!((rule.required * run - 1.0).abs() < 1e-12, "{id}");
        assert_eq!(
            rule.measure.in_words(rule.required, LengthStyle::Metres),
            format!("1:{run}")
        );
    }
}

/// International Building Code 1028.4.1: an egress court is 44 in wide; memory. Fire appliances
/// turn within 25 ft inside and 50 ft outside; practice, for International Fire Code 503.2.4
/// leaves it to the fire code official.
#[test]
fn ways_out_and_turns() {
    for (id, inches) in [
        ("gate-to-gate", 44.0),
        ("fire-lane-inside-radius", 300.0),
        ("fire-lane-outside-radius", 600.0),
    ] {
        let rule = rulebook().iter().find(|rule| rule.id == id).unwrap();
        assert!((rule.required / 0.0254 - inches).abs() < 1e-9, "{id}");
    }
}

/// What the sources ask for and is not checked is said on every record, of a site that has none of
/// it drawn: extinguisher within 15 ft of each operator (Rhode Island Gen. Laws § 23-34.1-9(g)), disconnect within 6 ft and in
/// sight (NEC 525.21), separate supplies bonded under 12 ft (NEC 525.11), a 4 in ball (Wisconsin
/// SPS 334.24(3)), ropes across ways (COMAR 09.12.62.16 B(2)); read.
#[test]
fn what_is_not_checked_is_named() {
    let mut file = paved_yard();
    let named = not_checked(&file);
    for (what, source) in [
        ("within 15 ft", "23-34.1-9(g)"),
        ("within 6 ft and in sight", "525.21"),
        ("under 12 ft apart", "525.11"),
        ("4 in ball", "334.24(3)"),
        ("Ropes and braces", "09.12.62.16 B(2)"),
    ] {
        let mut named = named.iter();
        let found = named.any(|it| it.what.contains(what) && it.source.contains(source));
        assert!(found, "{what}, {source}");
    }
    // Once one is drawn it is checked.
    file.features.extinguishers.push(Extinguisher {
        id: "extinguisher".to_owned(),
        name: String::new(),
        at: Point::origin(),
    });
    let mut named = not_checked(&file).into_iter();
    assert!(!named.any(|it| it.what.contains("extinguisher")));
}

fn paved_yard() -> SiteFile {
    let json = include_str!("../../sample-sites/paved-yard.json");
    Site::read(json).expect("a sound site").file().clone()
}

/// Beer & Johnston, *Vector Mechanics for Engineers: Statics*, sample problem 7.10: a span of
/// 500 ft with a sag of 100 ft; the parameter is 328 ft, the cable 550 ft long; memory.
#[test]
fn a_cable_of_500_feet() {
    let wire = Wire::with_sag((Point::origin(), 0.0), (Point::new(500.0, 0.0), 0.0), 100.0);
    assert!((wire.length() - 550.0).abs() < 0.5, "{}", wire.length());
    assert!((wire.lowest().1 + 100.0).abs() < 1e-9);
    // A quarter of the way: c cosh(125 / c) − c above the lowest place, c = 328.
    let above = 328.0 * (libm::cosh(125.0 / 328.0) - 1.0);
    assert!((wire.at(0.25).1 + 100.0 - above).abs() < 0.05);
}

/// Meriam & Kraige, *Engineering Mechanics: Statics*, sample problem 5/16: 300 m span, 60 m sag,
/// 330 m of cable; memory.
#[test]
fn a_cable_of_300_metres() {
    let wire = Wire::with_sag((Point::origin(), 0.0), (Point::new(300.0, 0.0), 0.0), 60.0);
    assert!((wire.length() - 330.0).abs() < 0.5, "{}", wire.length());
}

/// A random ride: the level region that it sweeps, filled to its axis, as corners of a convex
/// polygon in a plane through the axis, and how far a rider reaches beyond.
struct Scene {
    envelope: Envelope,
    polygon: Vec<(f64, f64)>,
    reach: f64,
    tilt: f64,
}

/// The kinds of ride, one after the other.
#[derive(Clone, Copy)]
enum Kind {
    Chairs,
    Arms,
    Rising,
    Table,
}

const KINDS: [Kind; 4] = [Kind::Chairs, Kind::Arms, Kind::Rising, Kind::Table];

fn scene(rng: &mut Random, kind: Kind) -> Scene {
    // Every fourth or so stands level.
    let tilt = rng.between(-0.7, 2.0).max(0.0).to_radians();
    let reach = rng.between(0.0, 1.0);
    // Places that it reaches, on one side of the axis. What goes round is drawn within.
    let around = |pivot: (f64, f64), long: f64, (from, to): (f64, f64)| {
        (0..=12).map(move |k| {
            let (sin, cos) = libm::sincos(from + (to - from) * f64::from(k) / 12.0);
            (pivot.0 + long * sin, pivot.1 - long * cos)
        })
    };
    let (swing, places): (Swing, Vec<(f64, f64)>) = match kind {
        Kind::Chairs => {
            let pivot = (rng.between(0.5, 3.0), rng.between(3.0, 7.0));
            let hanger = rng.between(0.5, 3.0);
            let rpm = rng.between(0.0, 16.0);
            let allowance = rng.between(0.0, 10.0);
            let top = (rng.between(0.5, 3.5), pivot.1 + rng.between(-0.5, 1.0));
            // Any speed up to full, and beyond it by what wind and oscillation do.
            let steady = hang_angle(turn_rate(rpm), pivot.0, hanger);
            let widest = (steady + allowance.to_radians()).min(PI / 2.0);
            let swung = around(pivot, hanger, (0.0, widest));
            let places = swung.chain([pivot, top]).collect();
            let chairs = HungChairs {
                pivot_radius: pivot.0,
                pivot_height: pivot.1,
                hanger,
                reach,
                full_speed_rpm: rpm,
                allowance_deg: allowance,
                top_radius: top.0,
                top_height: top.1,
            };
            (Swing::HungChairs(chairs), places)
        }
        Kind::Arms => {
            let (radius, low) = (rng.between(0.5, 7.0), rng.between(0.2, 2.0));
            let high = low + rng.between(0.5, 6.0);
            let arms = RigidArms {
                radius,
                low,
                high,
                reach,
            };
            (Swing::RigidArms(arms), vec![(radius, low), (radius, high)])
        }
        Kind::Rising => {
            let hinge = (rng.between(0.0, 2.0), rng.between(1.5, 4.0));
            let arm = rng.between(0.5, 4.0);
            let lowest_deg = rng.between(-40.0, 40.0);
            let highest_deg = lowest_deg + rng.between(0.0, 50.0);
            let from_down = |degrees: f64| (90.0 + degrees).to_radians();
            let turned = (from_down(lowest_deg), from_down(highest_deg));
            let places = around(hinge, arm, turned).chain([hinge]).collect();
            let arms = RisingArms {
                hinge_radius: hinge.0,
                hinge_height: hinge.1,
                arm,
                lowest_deg,
                highest_deg,
                reach,
                top_radius: hinge.0,
                top_height: hinge.1,
            };
            (Swing::RisingArms(arms), places)
        }
        Kind::Table => {
            let low = rng.between(0.2, 2.0);
            let rows = [
                (low, rng.between(0.5, 7.0)),
                (low + rng.between(0.5, 6.0), rng.between(0.5, 7.0)),
            ];
            let places = rows.iter().map(|&(height, radius)| (radius, height));
            let places = places.collect();
            let rows = rows.map(|(height, radius)| SwingRow { height, radius });
            let table = SwingTable {
                rows: rows.to_vec(),
                reach,
            };
            (Swing::Table(table), places)
        }
    };
    Scene {
        envelope: Envelope::new(&swing, tilt, None),
        polygon: hull(
            places
                .iter()
                .flat_map(|&(r, z)| [(r, z), (-r, z)])
                .collect(),
        ),
        reach,
        tilt,
    }
}

/// The convex hull of places, counter-clockwise (Andrew's monotone chain, 1979).
fn hull(mut places: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    places.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    places.dedup();
    let half = |places: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut chain: Vec<(f64, f64)> = Vec::new();
        for p in places {
            while let [.., a, b] = chain.as_slice()
                && (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) <= 0.0
            {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut whole = half(&mut places.iter().copied());
    whole.extend(half(&mut places.iter().rev().copied()));
    whole
}

impl Scene {
    /// Distance from what moves to a place, the frame leaning by `lean` in the plane through the
    /// place and the axis; 0 inside. No part of it is known to [`Envelope`].
    fn leaning(&self, out: f64, height: f64, lean: f64) -> f64 {
        let (sin, cos) = libm::sincos(lean);
        let (x, z) = (out * cos - height * sin, out * sin + height * cos);
        let count = self.polygon.len();
        let (mut inside, mut nearest) = (true, f64::INFINITY);
        for k in 0..count {
            let (a, b) = (self.polygon[k], self.polygon[(k + 1) % count]);
            let (dx, dz) = (b.0 - a.0, b.1 - a.1);
            inside &= dx * (z - a.1) - dz * (x - a.0) >= 0.0;
            let share = ((x - a.0) * dx + (z - a.1) * dz) / (dx * dx + dz * dz);
            let share = share.clamp(0.0, 1.0);
            nearest = nearest.min(libm::hypot(x - a.0 - dx * share, z - a.1 - dz * share));
        }
        if inside {
            -self.reach
        } else {
            nearest - self.reach
        }
    }

    /// The nearest while it leans whichever way: a place is nearest with the lean in its plane.
    fn nearest(&self, out: f64, height: f64, rounds: u32) -> f64 {
        const STEPS: i32 = 4;
        let (mut middle, mut wide, mut least) = (0.0, self.tilt, f64::INFINITY);
        for _ in 0..rounds {
            let step = wide / f64::from(STEPS);
            let (lean, found) = (-STEPS..=STEPS)
                .map(|k| (middle + step * f64::from(k)).clamp(-self.tilt, self.tilt))
                .map(|lean| (lean, self.leaning(out, height, lean)))
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .unwrap();
            least = least.min(found);
            (middle, wide) = (lean, step);
        }
        least
    }
}

/// On 100 000 random scenes nothing that is reported exceeds what dense sampling finds, and it
/// falls short of it by little.
#[test]
fn never_overstated() {
    const SCENES: u32 = 100_000;
    const ALONG: u32 = 32;
    let mut rng = Random(7);
    let hub = Point::origin();
    // On a level frame; on one that leans.
    let (mut shortfalls, mut overlaps) = ([0.0_f64; 2], 0);
    for number in 0..SCENES {
        let scene = &scene(&mut rng, KINDS[number as usize / 3 % KINDS.len()]);
        let mut place = || Point::new(rng.between(-16.0, 16.0), rng.between(-16.0, 16.0));
        let (from, to) = (place(), place());
        let (z0, z1) = (rng.between(0.0, 14.0), rng.between(0.0, 14.0));
        let out = (from - hub).norm();
        let kind = number % 3;
        // What was found, and the distance of every place along one or two lines of the feature.
        let (found, lines): (f64, Vec<Line<'_>>) = match kind {
            // A wire that sags.
            0 => {
                let sag = rng.between(0.0, 3.0);
                let wire = Wire::with_sag((from, z0), (to, z1), sag);
                let found = scene.envelope.nearest_wire(hub, 0.0, &wire).0.distance;
                let at = move |share: f64, rounds| {
                    let (place, height) = wire.at(share);
                    scene.nearest((place - hub).norm(), height, rounds)
                };
                (found, vec![Box::new(at)])
            }
            // Something that stands on the ground.
            1 => {
                let heights = Heights {
                    low: -2.0,
                    high: z0,
                };
                let found = scene.envelope.nearest(out, heights).distance;
                let at =
                    move |share: f64, rounds| scene.nearest(out, -2.0 + (z0 + 2.0) * share, rounds);
                (found, vec![Box::new(at)])
            }
            // A canopy with room beneath: its underside, from where it is nearest to the axis.
            _ => {
                let radius = rng.between(0.5, 6.0);
                let near = (out - radius).max(0.0);
                let heights = Heights {
                    low: z0,
                    high: z0 + 3.0,
                };
                let found = scene.envelope.nearest(near, heights).distance;
                let wide = out + radius - near;
                let underside =
                    move |share: f64, rounds| scene.nearest(near + wide * share, z0, rounds);
                let side = move |share: f64, rounds| scene.nearest(near, z0 + 3.0 * share, rounds);
                (found, vec![Box::new(underside), Box::new(side)])
            }
        };
        let sample = |along| {
            let least = lines.iter().map(|line| refined(line, along));
            least.fold(f64::INFINITY, f64::min)
        };
        let mut sampled = sample(ALONG);
        if sampled > 0.0 && sampled - found.max(0.0) > MOST_SHORT / 2.0 && scene.tilt == 0.0 {
            // A line that passes twice may be nearest where few samples are.
            sampled = sample(32 * ALONG);
        }
        if sampled <= 0.0 {
            overlaps += 1;
            assert!(
                found <= ROUNDING,
                "scene {number}: {found} although they overlap"
            );
            continue;
        }
        assert!(
            found <= sampled + ROUNDING,
            "scene {number}: {found} > {sampled}"
        );
        let shortfall = &mut shortfalls[usize::from(scene.tilt > 0.0)];
        *shortfall = shortfall.max(sampled - found.max(0.0));
    }
    println!("{SCENES} scenes, {overlaps} overlap; largest shortfalls in metres {shortfalls:.6?}");
    // What leans every way sweeps a bowl above and below, and hollows along a slanting side; they
    // are taken as filled. Nowhere are they deeper than the rim rises.
    let rises = 7.0 * libm::sin(2.0_f64.to_radians());
    assert!(
        shortfalls[0] < MOST_SHORT && shortfalls[1] < rises,
        "{shortfalls:?}"
    );
}

/// The distance of a place along a line, from 0 to 1; the lean is looked for in so many rounds.
type Line<'a> = Box<dyn Fn(f64, u32) -> f64 + 'a>;

/// The least of a function on `[0, 1]` by sampling, and sampling again round the least. The last
/// rounds lean finely as well.
fn refined(at: &Line<'_>, along: u32) -> f64 {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let mut least = f64::INFINITY;
    for (along, rounds) in [(along, 1), (8, 4), (8, 4), (8, 5)] {
        let step = (high - low) / f64::from(along);
        let (share, found) = (0..=along)
            .map(|k| low + step * f64::from(k))
            .map(|share| (share, at(share, rounds)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap();
        least = least.min(found);
        if least <= 0.0 {
            return least;
        }
        (low, high) = ((share - step).max(0.0), (share + step).min(1.0));
    }
    least
}
