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
    /// Height of a panel of the fence, metres.
    pub fence_height: f64,
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
        let leaning = parts.body_leaning();
        let own_top = envelope.datum.map_or(f64::INFINITY, |datum| {
            datum.0 + parts.body_height + leaning.up
        });
        let feet = parts.feet.iter().map(|outline| Shape::area(outline));
        let console = parts.console.iter().map(|console| {
            let shape = Shape::disc(console.at, console.radius);
            Solid::upright(shape, below(console.top))
        });
        // What stands leans out at its top, and one side of it rises.
        let frame = Shape::area(&parts.body).widened(leaning.aside);
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
    /// The same ride elsewhere in plan, every height as it is.
    pub(crate) fn moved(&self, by: Step) -> Parts {
        let all = |places: &[Point]| places.iter().map(|&at| at + by).collect();
        let mut parts = self.clone();
        parts.hub += by;
        parts.body = all(&self.body);
        parts.fence = all(&self.fence);
        parts.feet = self.feet.iter().map(|outline| all(outline)).collect();
        if let Some(console) = &mut parts.console {
            console.at += by;
        }
        for stake in &mut parts.stakes {
            stake.at += by;
        }
        for space in &mut parts.spaces {
            space.outline = all(&space.outline);
        }
        parts
    }

    /// Everything keeps within this of the hub in plan, metres.
    pub(super) fn reach(&self) -> f64 {
        let out = |at: &Point| (at - self.hub).norm();
        let aside = self.body_leaning().aside;
        let body = self.body.iter().map(|at| out(at) + aside);
        let feet = self.feet.iter().flatten().map(out);
        let console = self.console.iter().map(|it| out(&it.at) + it.radius);
        let stakes = self.stakes.iter().map(|it| out(&it.at) + STAKE_RADIUS);
        let spaces = self.spaces.iter().flat_map(|space| {
            let aside = space.leaning(self.hub, self.envelope.tilt_deg).aside;
            space.outline.iter().map(move |at| out(at) + aside)
        });
        body.chain(feet)
            .chain(self.fence.iter().map(out))
            .chain(console)
            .chain(stakes)
            .chain(spaces)
            .fold(self.envelope.radius, f64::max)
    }

    /// How far its lean may move a place of the standing parts.
    fn body_leaning(&self) -> Leaning {
        let heights = Heights {
            low: 0.0,
            high: self.body_height,
        };
        Leaning::of(&self.body, heights, self.hub, self.envelope.tilt_deg)
    }
}

/// How far a frame that leans whichever way may move what stands on it, metres.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leaning {
    /// In plan.
    pub(crate) aside: f64,
    /// Up or down.
    pub(crate) up: f64,
}

impl Leaning {
    /// A place at radius `r` from the hub and height `z` over the datum plane, leant by `τ`, goes
    /// aside by no more than `|z| sin τ + r (1 − cos τ)` and up or down by no more than
    /// `r sin τ + |z| (1 − cos τ)`: that, for the farthest corner and the tallest height.
    fn of(outline: &[Point], heights: Heights, hub: Point, tilt_deg: f64) -> Leaning {
        let tall = heights.low.abs().max(heights.high.abs());
        let out = outline.iter().map(|&at| (at - hub).norm());
        let far = out.fold(0.0, f64::max);
        let (sin, cos) = libm::sincos(tilt_deg.to_radians());
        Leaning {
            aside: tall * sin + far * (1.0 - cos),
            up: far * sin + tall * (1.0 - cos),
        }
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
    /// How far the frame's lean may move a place of it.
    pub(crate) fn leaning(&self, hub: Point, tilt_deg: f64) -> Leaning {
        Leaning::of(&self.outline, self.heights, hub, tilt_deg)
    }

    /// The smallest convex outline of wherever the frame's lean may put it, and a little more: a
    /// box round each corner.
    pub(crate) fn wherever(&self, hub: Point, tilt_deg: f64) -> Vec<Point> {
        let aside = self.leaning(hub, tilt_deg).aside;
        let boxes = self.outline.iter().flat_map(|&at| {
            [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
                .map(|(x, y)| at + Step::new(x, y) * aside)
        });
        let corners: Vec<Point> = boxes.collect();
        Shape::area(&corners).convex().corners().to_vec()
    }

    /// As it is measured, leaning whichever way.
    fn solid(&self, parts: &Parts) -> Solid {
        let Heights { low, high } = self.heights;
        let Leaning { aside, up } = self.leaning(parts.hub, parts.envelope.tilt_deg);
        let heights = match parts.envelope.datum {
            Some(datum) => Heights {
                low: datum.0 + low - up,
                high: datum.0 + high + up,
            },
            None => Heights::ALL,
        };
        Solid::upright(Shape::area(&self.outline).widened(aside), heights)
    }
}
