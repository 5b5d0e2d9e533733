//! What an operator sees from the station: whether anything that stands may cut a straight line
//! from anywhere on the station to a place.
//!
//! # Picture
//!
//! ```text
//!     station ╭──╮·.._               all the straight lines fill, in plan, the smallest convex
//!             │  │  ▒  ```··▫ place  outline round both: what reaches into that outline may cut
//!             ╰──╯.··```             one of them, and is named
//! ```
//!
//! Round things are drawn round from outside, so that nothing is ever taken to be out of the way
//! that is in it. How high the place is nobody says, and a thing may hide it whatever its own
//! height: only a fence that is lower than any eye is looked over, for it is open below, and what
//! hangs higher than any head is looked under. What moves does not stand, and is left out. Whether
//! somebody could look past a thing from another place of the station is for people to see on the
//! lot.

use super::standing::{bounds, meets, round};
use super::{Parts, PlacedConsole, Shape};
use crate::Point;
use crate::ride::SpaceKind;
use crate::site::Site;

/// An operator's eye is no lower than this, metres: seated. Common practice, no published source.
const EYE: f64 = 1.2;

/// What hangs higher than this over the ground, metres, no such line reaches, on any slope that a
/// fair stands on. Common practice, no published source.
const OVER_HEADS: f64 = 2.5;

/// A thing that reaches into the outline by less than this, metres, only touches it.
const TOUCH: f64 = 1e-6;

/// Everything that stands on a lot and may be in the way of eyes.
pub(super) struct Sight {
    standing: Vec<Hides>,
}

/// One of them.
struct Hides {
    name: String,
    shape: Shape,
    bounds: (Point, Point),
    /// The station that it is: nobody stands in their own way.
    station: Option<Point>,
}

impl Sight {
    pub(super) fn new(site: &Site, rides: &[Parts]) -> Sight {
        let features = &site.file().features;
        let mut standing = Vec::new();
        let mut add = |name: String, shape: Shape, station: Option<Point>| {
            if let Some(bounds) = shape.extent() {
                standing.push(Hides {
                    name,
                    shape,
                    bounds,
                    station,
                });
            }
        };
        for ride in rides {
            let of = |what: &str| format!("{what} of {}", ride.name);
            add(of("frame"), Shape::area(&ride.body), None);
            if ride.fence_height > EYE {
                add(of("fence"), Shape::ring(&ride.fence), None);
            }
            if let Some(console) = ride.console {
                let disc = Shape::disc(console.at, console.radius);
                add(of("console"), disc, Some(console.at));
            }
            let standing = |it: &&super::PlacedSpace| it.kind == SpaceKind::Standing;
            for space in ride.spaces.iter().filter(standing) {
                let outline = space.wherever(ride.hub, ride.envelope.tilt_deg);
                add(of(&space.name), Shape::area(&outline), None);
            }
        }
        let named = |id: &str, name: &str| if name.is_empty() { id } else { name }.to_owned();
        for it in &features.buildings {
            if it.underside.is_none_or(|underside| underside < OVER_HEADS) {
                add(named(&it.id, &it.name), Shape::area(&it.outline), None);
            }
        }
        for it in &features.trees {
            let hangs_low = it.canopy_underside < OVER_HEADS;
            let radius = if hangs_low {
                it.canopy_radius
            } else {
                it.trunk_radius
            };
            add(named(&it.id, &it.name), Shape::disc(it.at, radius), None);
        }
        for it in &features.power_sources {
            add(named(&it.id, &it.name), Shape::disc(it.at, it.radius), None);
        }
        for it in &features.fuel_stores {
            add(named(&it.id, &it.name), Shape::disc(it.at, it.radius), None);
        }
        Sight { standing }
    }

    /// What may cut a straight line from the station to a place.
    pub(super) fn cut_by(&self, console: &PlacedConsole, place: Point) -> Vec<String> {
        let mut corners = round(console.at, console.radius);
        corners.push(place);
        let lines = Shape::area(&corners).convex();
        let around = bounds(&corners);
        let near = self.standing.iter().filter(|it| meets(it.bounds, around));
        let cuts = near.filter(|it| {
            let found = it.shape.separation(&lines);
            it.station != Some(console.at) && found.is_some_and(|it| it.distance < -TOUCH)
        });
        cuts.map(|it| it.name.clone()).collect()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Step;
    use crate::fixtures::flat_lot;
    use crate::site::Building;

    proptest! {
        /// Whatever cuts any straight line from any place of the station is named; what keeps clear
        /// of a station drawn a little larger is not.
        #[test]
        fn what_cuts_a_line_is_named(
            radius in 0.1..1.5_f64, to in (-4.0..4.0_f64, -4.0..4.0_f64),
            at in (-4.0..4.0_f64, -4.0..4.0_f64), turn in 0.0..6.3_f64,
            wide in 0.05..1.5_f64, deep in 0.05..1.5_f64,
        ) {
            let (sin, cos) = libm::sincos(turn);
            let corner = |a: f64, b: f64| {
                Point::new(at.0 + a * cos - b * sin, at.1 + a * sin + b * cos)
            };
            let outline =
                vec![corner(-wide, -deep), corner(wide, -deep), corner(wide, deep), corner(-wide, deep)];
            let mut file = flat_lot();
            file.features.buildings.push(Building {
                id: "tent".to_owned(),
                name: String::new(),
                outline,
                height: 3.0,
                underside: None,
                stakes: Vec::new(),
            });
            let site = Site::new(file).unwrap();
            let console = PlacedConsole { at: Point::origin(), radius, top: 2.0 };
            let to = Point::new(to.0, to.1);
            let found = Sight::new(&site, &[]).cut_by(&console, to);
            // How far inside the tent a place lies: more than nothing inside.
            let inside = |place: Point| {
                let off = place - Point::new(at.0, at.1);
                let (a, b) = (off.x * cos + off.y * sin, off.y * cos - off.x * sin);
                (wide - a.abs()).min(deep - b.abs())
            };
            let mut deepest = f64::NEG_INFINITY;
            for k in 0..48 {
                let (sin, cos) = libm::sincos(f64::from(k) * std::f64::consts::TAU / 48.0);
                let from = Point::origin() + Step::new(cos, sin) * radius;
                for part in 0..=60 {
                    deepest = deepest.max(inside(from + (to - from) * (f64::from(part) / 60.0)));
                }
            }
            if deepest > 2.0 * TOUCH {
                prop_assert_eq!(&found, &["tent"]);
            }
            // A polygon of 24 sides reaches out by less than a hundredth of the radius. Lines are
            // looked at every 0.16 m of the widest station, and along them every 0.1 m.
            if deepest < -0.3 {
                prop_assert!(found.is_empty(), "{:?}, {}", found, deepest);
            }
        }
    }
}
