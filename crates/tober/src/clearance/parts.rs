//! What a placed ride shows to clearances: its parts, and the solids that they are measured as.

use super::{Part, Shape, Solid};
use crate::envelope::{Envelope, Heights};
use crate::ground::Ground;
use crate::ride::{RideClass, SpaceKind};
use crate::{Point, Step};

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
    /// The outline of every pad and blocking, corners in order.
    pub feet: Vec<Vec<Point>>,
    /// The console, with the operator at it.
    pub console: Option<PlacedConsole>,
    /// Stakes of the ride and of its fence.
    pub stakes: Vec<PlacedStake>,
    /// The fence's posts.
    pub fence: Vec<Point>,
    /// Elevation of the fence's highest top; infinite when it hangs on unknown ground.
    pub fence_top: f64,
    /// What else takes up room.
    pub spaces: Vec<PlacedSpace>,
}

/// A console with the operator at it, placed on the lot.
#[derive(Clone, Copy, Debug)]
pub struct PlacedConsole {
    /// Its middle.
    pub at: Point,
    /// Radius that covers it, metres.
    pub radius: f64,
    /// Elevation of its top; infinite when it stands on unknown ground.
    pub top: f64,
}

/// A stake, placed on the lot.
#[derive(Clone, Copy, Debug)]
pub struct PlacedStake {
    /// Where it is driven.
    pub at: Point,
    /// The elevations that it takes up in the ground; infinite where they are not known.
    pub heights: Heights,
}

/// Radius that covers a stake with its head, metres. Common practice, no published source.
const STAKE_RADIUS: f64 = 0.05;

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
        let feet = parts.feet.iter().map(|outline| Shape::area(outline));
        let console = parts.console.iter().map(|console| {
            let shape = Shape::disc(console.at, console.radius);
            Solid::upright(shape, below(console.top))
        });
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
        let standing = standing
            .chain(console)
            .chain(spaces(SpaceKind::Standing).map(|(_, solid)| solid));
        bodies.push(body(Part::Standing, standing.collect()));
        bodies.push(body(
            Part::Feet,
            feet.map(|shape| Solid::upright(shape, below(own_top)))
                .collect(),
        ));
        if !parts.stakes.is_empty() {
            let stakes = parts.stakes.iter().map(PlacedStake::solid);
            bodies.push(body(Part::Stakes, stakes.collect()));
        }
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
        let feet = self.feet.iter().flatten().map(out);
        let console = self.console.iter().map(|it| out(&it.at) + it.radius);
        let stakes = self.stakes.iter().map(|it| out(&it.at) + STAKE_RADIUS);
        let spaces = self.spaces.iter().flat_map(|space| {
            let wider = space.widening(self.hub, self.envelope.tilt_deg);
            space.outline.iter().map(move |at| out(at) + wider)
        });
        body.chain(feet)
            .chain(self.fence.iter().map(out))
            .chain(console)
            .chain(stakes)
            .chain(spaces)
            .fold(self.envelope.radius, f64::max)
    }
}

impl PlacedStake {
    /// A stake that is driven so deep, metres; to any depth where that is not known.
    pub(crate) fn new(at: Point, depth: Option<f64>, ground: &Ground) -> PlacedStake {
        let heights = match (ground.height(at), depth) {
            (Some(top), Some(depth)) => Heights {
                low: top.0 - depth,
                high: top.0,
            },
            _ => Heights::ALL,
        };
        PlacedStake { at, heights }
    }

    pub(super) fn solid(&self) -> Solid {
        Solid::upright(Shape::disc(self.at, STAKE_RADIUS), self.heights)
    }
}

impl PlacedSpace {
    /// A frame that leans by `τ` moves a place at distance `D` from the hub by `2 D sin(τ / 2)`
    /// or less: that, for its farthest corner.
    pub(crate) fn widening(&self, hub: Point, tilt_deg: f64) -> f64 {
        let tallest = self.heights.low.abs().max(self.heights.high.abs());
        let out = self.outline.iter().map(|&at| (at - hub).norm());
        let farthest = libm::hypot(out.fold(0.0, f64::max), tallest);
        2.0 * farthest * libm::sin(tilt_deg.to_radians() / 2.0)
    }

    /// The smallest convex outline of wherever the frame's lean may put it, and a little more: a
    /// box round each corner.
    pub(crate) fn wherever(&self, hub: Point, tilt_deg: f64) -> Vec<Point> {
        let wider = self.widening(hub, tilt_deg);
        let boxes = self.outline.iter().flat_map(|&at| {
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                .map(|(x, y)| at + Step::new(x, y) * wider)
        });
        let corners: Vec<Point> = boxes.collect();
        Shape::area(&corners).convex().corners().to_vec()
    }

    /// As it is measured, leaning whichever way.
    fn solid(&self, parts: &Parts) -> Solid {
        let Heights { low, high } = self.heights;
        let wider = self.widening(parts.hub, parts.envelope.tilt_deg);
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
