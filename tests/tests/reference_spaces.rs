//! Polygons that move, over a range of heights, level and leaning, against dense sampling: no
//! distance through the air that is reported exceeds what the samples find.

use std::f64::consts::{FRAC_PI_2, TAU};

use tober::clearance::{Against, Part, Parts, PlacedSpace, clearances_of, in_force};
use tober::envelope::{Envelope, Heights};
use tober::ground::Elevation;
use tober::ride::{RideClass, RigidArms, SpaceKind, Swing};
use tober::site::{Features, Site, SiteFile};
use tober::{Point, Step};
use tober_tests::Random;

/// Scenes in an ordinary run; `SCENES=100000` measures the whole.
const SCENES: u32 = 3_000;

/// Rounding, metres.
const ROUNDING: f64 = 1e-9;

/// A place of space: x, y and elevation.
type Place = (f64, f64, f64);

/// A prism that stands on a frame and leans with it about the hub on the datum plane. No part of
/// it is known to the library.
struct Prism {
    hub: Point,
    datum: f64,
    /// From the hub, counter-clockwise; it may have bays.
    corners: Vec<Step>,
    low: f64,
    high: f64,
    tilt: f64,
}

/// Leans towards a bearing, radians.
#[derive(Clone, Copy)]
struct Lean {
    towards: f64,
    by: f64,
}

impl Lean {
    /// Turns a step from the hub about the level line across the bearing; `sign` -1 turns back.
    fn turn(self, (x, y, z): Place, sign: f64) -> Place {
        let (bs, bc) = libm::sincos(self.towards);
        let (s, c) = libm::sincos(self.by * sign);
        let (along, across) = (x * bc + y * bs, y * bc - x * bs);
        let (along, z) = (along * c + z * s, z * c - along * s);
        (along * bc - across * bs, along * bs + across * bc, z)
    }
}

impl Prism {
    fn random(rng: &mut Random, hub: Point, tilt: f64) -> Prism {
        let count = 3 + rng.between(0.0, 5.0) as usize;
        let first = rng.between(0.0, TAU);
        let corners = (0..count).map(|k| {
            let (sin, cos) = libm::sincos(first + TAU * k as f64 / count as f64);
            Step::new(cos, sin) * rng.between(0.5, 5.0)
        });
        let corners = corners.collect();
        let low = rng.between(0.0, 5.0);
        Prism {
            hub,
            datum: rng.between(0.0, 2.0),
            corners,
            low,
            high: low + rng.between(0.2, 4.0),
            tilt,
        }
    }

    /// Level, and leant by the whole tilt along the bearing to the other and across it.
    fn leans(&self, other: &Prism) -> Vec<Lean> {
        let to = other.hub - self.hub;
        let bearing = libm::atan2(to.y, to.x);
        let leant = (0..4).map(|k| Lean {
            towards: bearing + FRAC_PI_2 * f64::from(k),
            by: self.tilt,
        });
        let level = Lean {
            towards: 0.0,
            by: 0.0,
        };
        let leant = leant.filter(|lean| lean.by > 0.0);
        std::iter::once(level).chain(leant).collect()
    }

    /// Places of its upright sides, and where its outline crosses the other's, seen from above.
    fn places(&self, other: &Prism) -> Vec<Place> {
        const ALONG: u32 = 6;
        let count = self.corners.len();
        let mut plan = Vec::new();
        for k in 0..count {
            let (a, b) = (self.corners[k], self.corners[(k + 1) % count]);
            plan.extend((0..ALONG).map(|i| a + (b - a) * (f64::from(i) / f64::from(ALONG))));
            for j in 0..other.corners.len() {
                let off = other.hub - self.hub;
                let c = other.corners[j] + off;
                let d = other.corners[(j + 1) % other.corners.len()] + off;
                let turn = (b - a).perp(&(d - c));
                let share = (c - a).perp(&(d - c)) / turn;
                let its = (c - a).perp(&(b - a)) / turn;
                if (0.0..=1.0).contains(&share) && (0.0..=1.0).contains(&its) {
                    plan.push(a + (b - a) * share);
                }
            }
        }
        // Where the other begins and ends as well, or a low one is missed beside a tall one.
        let shared = |z: f64| (z + other.datum - self.datum).clamp(self.low, self.high);
        let heights = [self.low, shared(other.low), shared(other.high), self.high];
        let at = |p: &Step| heights.map(|z| (p.x, p.y, z));
        plan.iter().flat_map(at).collect()
    }

    /// Distance of a step from its hub, its frame level; 0 inside.
    fn distance(&self, (x, y, z): Place) -> f64 {
        let count = self.corners.len();
        let (mut inside, mut near) = (false, f64::INFINITY);
        for k in 0..count {
            let (a, b) = (self.corners[k], self.corners[(k + 1) % count]);
            if (a.y > y) != (b.y > y) && x < a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y) {
                inside = !inside;
            }
            let way = b - a;
            let share = ((Step::new(x, y) - a).dot(&way) / way.norm_squared()).clamp(0.0, 1.0);
            near = near.min((Step::new(x, y) - a - way * share).norm());
        }
        let near = if inside { 0.0 } else { near };
        libm::hypot(near, (self.low - z).max(z - self.high).max(0.0))
    }

    /// The least distance from its places to the other, both leaning in every way that is tried.
    fn sampled(&self, other: &Prism) -> f64 {
        let places = self.places(other);
        let off = self.hub - other.hub;
        let mut least = f64::INFINITY;
        for own in self.leans(other) {
            for its in other.leans(self) {
                for &place in &places {
                    let (x, y, z) = own.turn(place, 1.0);
                    let seen = (x + off.x, y + off.y, z + self.datum - other.datum);
                    least = least.min(other.distance(its.turn(seen, -1.0)));
                }
            }
        }
        least
    }

    /// A ride of which nothing but the prism matters: its arms turn within it.
    fn ride(&self, id: &str, kind: SpaceKind) -> Parts {
        let middle = f64::midpoint(self.low, self.high);
        let arms = RigidArms {
            radius: 1e-3,
            low: middle - 1e-3,
            high: middle + 1e-3,
            reach: 0.0,
        };
        let outline = self.corners.iter().map(|step| self.hub + step).collect();
        let space = PlacedSpace {
            name: "car".to_owned(),
            kind,
            outline,
            heights: Heights {
                low: self.low,
                high: self.high,
            },
        };
        let datum = Some(Elevation(self.datum));
        Parts {
            id: id.to_owned(),
            name: id.to_owned(),
            class: RideClass::Major,
            hub: self.hub,
            envelope: Envelope::new(&Swing::RigidArms(arms), self.tilt, datum),
            body: Vec::new(),
            body_height: 0.0,
            feet: Vec::new(),
            console: None,
            stakes: Vec::new(),
            fence: Vec::new(),
            fence_height: 1.1,
            fence_top: self.datum,
            spaces: vec![space],
        }
    }
}

/// One polygon that moves against another that moves or stands, on frames that are level or lean
/// whichever way.
#[test]
fn polygons_are_never_farther_than_sampled() {
    let scenes = std::env::var("SCENES").map_or(SCENES, |told| told.parse().unwrap());
    let sample = include_str!("../../sample-sites/paved-yard.json");
    let mut file: SiteFile = serde_json::from_str(sample).unwrap();
    file.features = Features::default();
    let site = Site::new(file).unwrap();
    let rules = in_force(&[]);
    let mut rng = Random(11);
    let (mut shortfalls, mut beyond, mut overlaps) = ([0.0_f64; 2], f64::NEG_INFINITY, 0);
    for number in 0..scenes {
        let leaning = number % 2 == 1;
        let tilt = |rng: &mut Random| rng.between(-0.5, 2.0).max(0.0).to_radians();
        let tilts = if leaning {
            [tilt(&mut rng), tilt(&mut rng)]
        } else {
            [0.0; 2]
        };
        let one = Prism::random(&mut rng, Point::origin(), tilts[0]);
        let away = rng.between(0.0, 14.0);
        let (sin, cos) = libm::sincos(rng.between(0.0, TAU));
        let other = Prism::random(&mut rng, Point::new(cos, sin) * away, tilts[1]);
        let kind = if number % 4 < 2 {
            SpaceKind::Moving
        } else {
            SpaceKind::Standing
        };
        let rides = [
            one.ride("one", SpaceKind::Moving),
            other.ride("other", kind),
        ];
        let rows = clearances_of(&site, &rules, &rides, 0).rows;
        let row = rows
            .iter()
            .find(|row| row.part == Part::Moving && row.against == Against::Ride)
            .expect("a row between the rides");
        let found = row.through_air.expect("heights are known");
        let sampled = one.sampled(&other).min(other.sampled(&one));
        if sampled <= 0.0 {
            overlaps += 1;
            assert!(
                found <= ROUNDING,
                "scene {number}: {found} but they overlap"
            );
            continue;
        }
        assert!(
            found <= sampled + ROUNDING,
            "scene {number}: {found} > {sampled}"
        );
        let shortfall = sampled - found.max(0.0);
        let at = &mut shortfalls[usize::from(leaning)];
        *at = at.max(shortfall);
        // A leaning polygon is widened by what its farthest corner may move, up and sideways.
        let may = |prism: &Prism| {
            let out = prism.corners.iter().map(|step| step.norm());
            let far = libm::hypot(out.fold(0.0, f64::max), prism.high);
            2.0 * far * libm::sin(prism.tilt / 2.0)
        };
        beyond = beyond.max(shortfall - 2.0 * 2.0_f64.sqrt() * (may(&one) + may(&other)));
    }
    println!(
        "{scenes} scenes, {overlaps} overlap; largest shortfalls in metres, level and leaning, \
         {shortfalls:.6?}; beyond what leaning widens {beyond:.6}"
    );
    assert!(shortfalls[0] < 1e-3, "{shortfalls:?}");
    assert!(beyond < 1e-3, "{beyond}");
}
