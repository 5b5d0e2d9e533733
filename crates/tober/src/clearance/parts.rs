//! What a placed ride shows to clearances: its parts, and the solids that they are measured as.

use super::{Part, Shape, Solid};
use crate::Point;
use crate::envelope::{Envelope, Heights};
use crate::ride::{RideClass, SpaceKind};

/// A placed ride, as clearances see it. Lot frame.
#[derive(Clone, Debug)]
pub struct Parts {
    /// The placed ride's id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Its class.
    pub class: RideClass,
    /// The hub.
    pub hub: Point,
    /// The space that it sweeps.
    pub envelope: Envelope,
    /// Outline of the standing parts.
    pub body: Vec<Point>,
    /// Height of the standing parts above the datum plane, metres.
    pub body_height: f64,
    /// Every foot, and the radius that covers its pad or blocking, metres.
    pub feet: Vec<(Point, f64)>,
    /// The fence's posts.
    pub fence: Vec<Point>,
    /// Elevation of the fence's highest top; infinite when it hangs on unknown ground.
    pub fence_top: f64,
    /// What else takes up room.
    pub spaces: Vec<PlacedSpace>,
}

/// A space of a ride, placed on the lot.
#[derive(Clone, Debug)]
pub struct PlacedSpace {
    /// What people call it.
    pub name: String,
    /// When it takes up room.
    pub kind: SpaceKind,
    /// Corners in order, lot frame, on a level frame.
    pub outline: Vec<Point>,
    /// Lowest and highest above the datum plane, on a level frame.
    pub heights: Heights,
}

/// One part of a ride as it is measured from.
pub(super) struct PartBody {
    pub(super) part: Part,
    /// Which space while building up; empty for what is there at work.
    pub(super) space: String,
    pub(super) solids: Vec<Solid>,
}

/// A ride, ready to be measured from.
pub(super) struct Body<'a> {
    pub(super) parts: &'a Parts,
    pub(super) bodies: Vec<PartBody>,
    /// The fence as a line with nothing inside.
    pub(super) fence_line: Vec<Solid>,
    /// Everything keeps within this of the hub in plan, metres.
    pub(super) reach: f64,
}

impl<'a> Body<'a> {
    pub(super) fn of(parts: &'a Parts) -> Body<'a> {
        let below = |high| Heights {
            low: f64::NEG_INFINITY,
            high,
        };
        let envelope = &parts.envelope;
        let lean = libm::sin(envelope.tilt_deg.to_radians());
        let own_top = envelope
            .datum
            .map_or(f64::INFINITY, |datum| datum.0 + parts.body_height);
        let feet = parts
            .feet
            .iter()
            .map(|&(at, radius)| Shape::disc(at, radius));
        // What stands leans out at its top.
        let frame = Shape::area(&parts.body).widened(parts.body_height.max(0.0) * lean);
        let spaces = |kind| {
            let of_kind = parts.spaces.iter().filter(move |space| space.kind == kind);
            of_kind.map(move |space| (space, space.solid(parts)))
        };
        let body = |part, solids: Vec<Solid>| PartBody {
            part,
            space: String::new(),
            solids,
        };

        let swept = Solid::swept(parts.hub, envelope.clone());
        let moving = spaces(SpaceKind::Moving).map(|(_, solid)| solid);
        let mut bodies = vec![body(
            Part::Moving,
            std::iter::once(swept).chain(moving).collect(),
        )];
        let standing = std::iter::once(frame)
            .chain(feet.clone())
            .map(|shape| Solid::upright(shape, below(own_top)));
        let standing = standing.chain(spaces(SpaceKind::Standing).map(|(_, solid)| solid));
        bodies.push(body(Part::Standing, standing.collect()));
        bodies.push(body(
            Part::Feet,
            feet.map(|shape| Solid::upright(shape, below(own_top)))
                .collect(),
        ));
        let fence = |shape| vec![Solid::upright(shape, below(parts.fence_top))];
        bodies.push(body(Part::Fence, fence(Shape::area(&parts.fence))));
        bodies.extend(spaces(SpaceKind::BuildUp).map(|(space, solid)| PartBody {
            part: Part::BuildUp,
            space: space.name.clone(),
            solids: vec![solid],
        }));
        Body {
            parts,
            bodies,
            fence_line: fence(Shape::ring(&parts.fence)),
            reach: parts.reach(),
        }
    }
}

impl Parts {
    /// Everything keeps within this of the hub in plan, metres.
    pub(super) fn reach(&self) -> f64 {
        let out = |at: &Point| (at - self.hub).norm();
        let lean = libm::sin(self.envelope.tilt_deg.to_radians());
        let body = self.body.iter().map(out);
        let body = body.map(|out| out + self.body_height.max(0.0) * lean);
        let feet = self.feet.iter().map(|(at, radius)| out(at) + radius);
        let spaces = self.spaces.iter().flat_map(|space| {
            let wider = space.widening(self);
            space.outline.iter().map(move |at| out(at) + wider)
        });
        body.chain(feet)
            .chain(self.fence.iter().map(out))
            .chain(spaces)
            .fold(self.envelope.radius, f64::max)
    }
}

impl PlacedSpace {
    /// A frame that leans by `τ` moves a place at distance `D` from the hub by `2 D sin(τ / 2)`
    /// or less: that, for its farthest corner.
    fn widening(&self, parts: &Parts) -> f64 {
        let tallest = self.heights.low.abs().max(self.heights.high.abs());
        let out = self.outline.iter().map(|&at| (at - parts.hub).norm());
        let farthest = libm::hypot(out.fold(0.0, f64::max), tallest);
        2.0 * farthest * libm::sin(parts.envelope.tilt_deg.to_radians() / 2.0)
    }

    /// As it is measured, leaning whichever way.
    fn solid(&self, parts: &Parts) -> Solid {
        let Heights { low, high } = self.heights;
        let wider = self.widening(parts);
        let heights = match parts.envelope.datum {
            Some(datum) => Heights {
                low: datum.0 + low - wider,
                high: datum.0 + high + wider,
            },
            None => Heights::ALL,
        };
        Solid::upright(Shape::area(&self.outline).widened(wider), heights)
    }
}
