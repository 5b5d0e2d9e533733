//! What stands on the ground and is in people's way, each thing as an outline in plan.
//!
//! Round things are drawn round from outside, so that nothing is ever taken for smaller than it
//! is.

use super::ropes::Strung;
use super::{Parts, Shape};
use crate::ride::SpaceKind;
use crate::site::{Building, Site};
use crate::{Point, Step};

/// Sides of the polygon that is drawn round a round thing.
const SIDES: u32 = 24;

/// Something that stands on the ground.
#[derive(Clone, Debug)]
pub(super) struct Thing {
    /// What people call it.
    pub(super) name: String,
    /// Whose it is, by the ride's place in the list; none for a feature of the lot.
    pub(super) ride: Option<usize>,
    /// Its outline.
    pub(super) corners: Vec<Point>,
    /// The box round it.
    bounds: (Point, Point),
}

impl Thing {
    pub(super) fn new(name: String, ride: Option<usize>, corners: Vec<Point>) -> Thing {
        Thing {
            bounds: bounds(&corners),
            name,
            ride,
            corners,
        }
    }

    pub(super) fn shape(&self) -> Shape {
        Shape::area(&self.corners)
    }

    /// Whether it comes into a box, sides along x and y.
    pub(super) fn is_in(&self, (low, high): (Point, Point)) -> bool {
        meets(self.bounds, (low, high))
    }
}

/// Whether two boxes, each by its lowest and its highest corner, meet.
pub(super) fn meets(one: (Point, Point), other: (Point, Point)) -> bool {
    let apart = |at: fn(Point) -> f64| at(one.1) < at(other.0) || at(other.1) < at(one.0);
    !(apart(|p| p.x) || apart(|p| p.y))
}

/// The box round some places; upside down, so that it meets nothing, where there are none.
pub(super) fn bounds(places: &[Point]) -> (Point, Point) {
    let (most, least) = (f64::INFINITY, f64::NEG_INFINITY);
    let none = (Point::new(most, most), Point::new(least, least));
    places
        .iter()
        .fold(none, |(low, high), p| (low.inf(p), high.sup(p)))
}

/// Everything that stands on a lot. What hangs lower than `head` above the ground, metres, is in
/// the way as well; so is a rope, where it is not marked.
pub(super) fn things(site: &Site, rides: &[Parts], head: f64) -> Vec<Thing> {
    let features = &site.file().features;
    let named = |id: &str, name: &str| if name.is_empty() { id } else { name }.to_owned();
    let mut things = Vec::new();
    for (index, ride) in rides.iter().enumerate() {
        let mut add = |what: &str, corners: Vec<Point>| {
            let name = format!("{what} of {}", ride.name);
            things.push(Thing::new(name, Some(index), corners));
        };
        add("fence", ride.fence.clone());
        add("frame", ride.body.clone());
        for outline in &ride.feet {
            add("foot", outline.clone());
        }
        if let Some(console) = ride.console {
            add("console", round(console.at, console.radius));
        }
        let stays = ride
            .spaces
            .iter()
            .filter(|it| it.kind != SpaceKind::BuildUp);
        for space in stays {
            let outline = space.wherever(ride.hub, ride.envelope.tilt_deg);
            add(&space.name, outline);
        }
    }
    let feature = |id: &str, name: &str, corners| Thing::new(named(id, name), None, corners);
    // Nobody bumps into what they walk under.
    let low = |it: &&Building| it.underside.is_none_or(|underside| underside < head);
    let buildings = features.buildings.iter().filter(low);
    things.extend(buildings.map(|it| feature(&it.id, &it.name, it.outline.clone())));
    let sources = features.power_sources.iter();
    things.extend(sources.map(|it| feature(&it.id, &it.name, round(it.at, it.radius))));
    let fuel = features.fuel_stores.iter();
    things.extend(fuel.map(|it| feature(&it.id, &it.name, round(it.at, it.radius))));
    // A low rope trips people; one that is marked they see.
    let ropes = features.ropes.iter().filter(|it| !it.marked && head > 0.0);
    things.extend(ropes.flat_map(|it| {
        let low = Strung::new(it, site.ground()).lower_than(head, site.ground());
        low.into_iter()
            .map(|outline| feature(&it.id, &it.name, outline))
    }));
    things.extend(features.trees.iter().map(|it| {
        let low = it.canopy_underside < head;
        let radius = if low {
            it.canopy_radius
        } else {
            it.trunk_radius
        };
        feature(&it.id, &it.name, round(it.at, radius))
    }));
    things
}

/// A polygon round a disc, its sides touching the disc.
pub(super) fn round(at: Point, radius: f64) -> Vec<Point> {
    let turn = std::f64::consts::TAU / f64::from(SIDES);
    let out = radius / libm::cos(turn / 2.0);
    (0..SIDES)
        .map(|k| {
            let (sin, cos) = libm::sincos(turn * f64::from(k));
            at + Step::new(cos, sin) * out
        })
        .collect()
}
