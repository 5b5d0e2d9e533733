//! Solids of the lot and the distance between any two of them.
//!
//! Every solid has a shape in plan and a way of taking up height: the same shape over a range of
//! heights, the swept space of a ride, a hanging wire, or the curtain in which a wire may hang.
//! Distances in plan are those of the shapes. Through the air they are exact in closed form, but
//! for wires, which are searched to a millimetre, never too far; see [`crate::envelope`].

use super::plane::{Separation, Shape};
use crate::envelope::{Envelope, Facing, Heights, Nearest, Wire};
use crate::{Point, Step};

/// A solid of the lot. Heights are elevations.
#[derive(Clone, Debug)]
pub(crate) struct Solid {
    /// Its shape in plan.
    pub(crate) plan: Shape,
    pub(crate) body: Body,
}

/// How a solid takes up height.
#[derive(Clone, Debug)]
pub(crate) enum Body {
    /// The same shape at every height of a range.
    Upright(Heights),
    /// What a ride sweeps round its hub.
    Swept(Box<(Point, Envelope)>),
    /// A hanging wire.
    Wire(Box<Wire>),
    /// The curtain in which a wire may hang, straight from one end to the other.
    Curtain((Point, Heights), (Point, Heights)),
}

/// The nearest places of two solids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Found {
    /// Distance, metres; negative when they overlap, by how far in plan.
    pub(crate) distance: f64,
    /// Nearest place of the first, and its elevation where it is known.
    pub(crate) from: (Point, Option<f64>),
    /// Nearest place of the second, and its elevation where it is known.
    pub(crate) to: (Point, Option<f64>),
}

impl Found {
    /// As seen from the second solid.
    pub(crate) fn flipped(self) -> Found {
        Found {
            from: self.to,
            to: self.from,
            ..self
        }
    }

    /// In plan, whatever the heights.
    pub(crate) fn level(separation: Separation) -> Found {
        Found {
            distance: separation.distance,
            from: (separation.from, None),
            to: (separation.to, None),
        }
    }
}

/// The nearest of several.
pub(crate) fn nearest(found: impl Iterator<Item = Option<Found>>) -> Option<Found> {
    found
        .flatten()
        .min_by(|a, b| a.distance.total_cmp(&b.distance))
}

impl Solid {
    pub(crate) fn upright(plan: Shape, heights: Heights) -> Solid {
        Solid {
            plan,
            body: Body::Upright(heights),
        }
    }

    pub(crate) fn swept(hub: Point, envelope: Envelope) -> Solid {
        Solid {
            plan: Shape::disc(hub, envelope.radius),
            body: Body::Swept(Box::new((hub, envelope))),
        }
    }

    pub(crate) fn wire(wire: Wire) -> Solid {
        Solid {
            plan: Shape::band(&[wire.from, wire.from + wire.run], 0.0),
            body: Body::Wire(Box::new(wire)),
        }
    }

    pub(crate) fn curtain(from: (Point, Heights), to: (Point, Heights)) -> Solid {
        Solid {
            plan: Shape::band(&[from.0, to.0], 0.0),
            body: Body::Curtain(from, to),
        }
    }

    /// The elevations that it takes up.
    fn elevations(&self) -> Heights {
        match &self.body {
            Body::Upright(heights) => *heights,
            Body::Swept(swept) => match swept.1.datum {
                Some(datum) => Heights {
                    low: datum.0 + swept.1.heights().low,
                    high: datum.0 + swept.1.heights().high,
                },
                None => Heights::ALL,
            },
            Body::Wire(wire) => Heights {
                low: wire.lowest().1,
                high: wire.start.max(wire.start + wire.rise),
            },
            Body::Curtain((_, from), (_, to)) => Heights {
                low: from.low.min(to.low),
                high: from.high.max(to.high),
            },
        }
    }

    /// What the shortest way through the air is no shorter than, by the way in plan.
    pub(crate) fn no_nearer(&self, other: &Solid, in_plan: f64) -> f64 {
        let gap = above(self.elevations(), other.elevations());
        if gap == 0.0 {
            in_plan
        } else {
            libm::hypot(in_plan.max(0.0), gap)
        }
    }

    /// Whether any height of it is known.
    pub(crate) fn has_heights(&self) -> bool {
        match &self.body {
            Body::Upright(heights) => *heights != Heights::ALL,
            Body::Swept(swept) => swept.1.datum.is_some(),
            Body::Wire(_) => true,
            Body::Curtain((_, from), _) => *from != Heights::ALL,
        }
    }

    /// The distance in plan, whatever the heights.
    pub(crate) fn in_plan(&self, other: &Solid) -> Option<Found> {
        self.plan.separation(&other.plan).map(Found::level)
    }

    /// The shortest way through the air. Where heights are not known it is the way in plan, which
    /// is never longer.
    pub(crate) fn through_air(&self, other: &Solid) -> Option<Found> {
        match (&self.body, &other.body) {
            (Body::Swept(own), Body::Upright(heights)) => {
                swept_to_upright(own.0, &own.1, &other.plan, *heights)
            }
            (Body::Swept(own), Body::Swept(its)) => {
                swept_to_swept(own, its).or_else(|| self.in_plan(other))
            }
            (Body::Swept(own), Body::Wire(wire)) => {
                swept_to_wire(own.0, &own.1, wire).or_else(|| self.in_plan(other))
            }
            (Body::Swept(own), Body::Curtain(from, to)) => {
                Some(swept_to_curtain(own.0, &own.1, *from, *to))
            }
            (Body::Upright(own), Body::Upright(its)) => {
                upright_to_upright(self.in_plan(other)?, *own, *its)
            }
            (Body::Upright(own), Body::Wire(wire)) => {
                upright_to_wire(&self.plan, *own, wire, self.in_plan(other)?)
            }
            // The lower end stands for the whole curtain.
            (Body::Upright(own), Body::Curtain((_, from), (_, to))) => {
                let heights = Heights {
                    low: from.low.min(to.low),
                    high: from.high.max(to.high),
                };
                upright_to_upright(self.in_plan(other)?, *own, heights)
            }
            (_, Body::Swept(_) | Body::Upright(_)) => other.through_air(self).map(Found::flipped),
            (_, Body::Wire(_) | Body::Curtain(..)) => self.in_plan(other),
        }
    }
}

/// The place of an envelope at a radius, towards a place.
fn rim(hub: Point, towards: Point, radius: f64) -> Point {
    let out = towards - hub;
    let far = out.norm();
    if far > radius {
        hub + out * (radius / far)
    } else {
        towards
    }
}

fn swept_to_upright(
    hub: Point,
    envelope: &Envelope,
    shape: &Shape,
    heights: Heights,
) -> Option<Found> {
    let from_hub = Shape::disc(hub, 0.0).separation(shape)?;
    let radius = from_hub.distance.max(0.0);
    let nearest = envelope.nearest(radius, envelope.above_datum(heights));
    // With the hub inside the shape, its own reach in plan adds to the overlap.
    let distance = if nearest.distance < 0.0 {
        nearest.distance + from_hub.distance.min(0.0)
    } else {
        nearest.distance
    };
    let known = heights != Heights::ALL;
    Some(with_heights(
        hub,
        envelope,
        Nearest {
            distance,
            ..nearest
        },
        from_hub.to,
        known,
    ))
}

fn swept_to_swept(
    (hub, envelope): &(Point, Envelope),
    (other_hub, other): &(Point, Envelope),
) -> Option<Found> {
    let (datum, its_datum) = (envelope.datum?, other.datum?);
    let apart = (other_hub - hub).norm();
    let nearest = envelope.nearest_envelope(other, apart, its_datum.0 - datum.0);
    let out = (other_hub - hub).try_normalize(0.0).unwrap_or_default();
    Some(Found {
        distance: nearest.distance,
        from: (hub + out * nearest.radius, Some(datum.0 + nearest.height)),
        to: (
            hub + out * (nearest.radius + level_way(nearest)),
            Some(datum.0 + nearest.other),
        ),
    })
}

/// The level part of the shortest way.
fn level_way(nearest: Nearest) -> f64 {
    if nearest.distance <= 0.0 {
        return nearest.distance;
    }
    let climb = nearest.other - nearest.height;
    (nearest.distance * nearest.distance - climb * climb)
        .max(0.0)
        .sqrt()
}

fn swept_to_wire(hub: Point, envelope: &Envelope, wire: &Wire) -> Option<Found> {
    let datum = envelope.datum?;
    let (nearest, share) = envelope.nearest_wire(hub, datum.0, wire);
    let (place, _) = wire.at(share);
    Some(with_heights(hub, envelope, nearest, place, true))
}

fn swept_to_curtain(
    hub: Point,
    envelope: &Envelope,
    from: (Point, Heights),
    to: (Point, Heights),
) -> Found {
    let end = |(at, heights): (Point, Heights)| (at - hub, envelope.above_datum(heights));
    let (nearest, share) = envelope.nearest_curtain(end(from), end(to));
    let place = from.0 + (to.0 - from.0) * share;
    with_heights(hub, envelope, nearest, place, from.1 != Heights::ALL)
}

fn with_heights(
    hub: Point,
    envelope: &Envelope,
    nearest: Nearest,
    place: Point,
    known: bool,
) -> Found {
    let elevation = |height: f64| {
        let datum = envelope.datum.filter(|_| known && height.is_finite())?;
        Some(datum.0 + height)
    };
    Found {
        distance: nearest.distance,
        from: (rim(hub, place, nearest.radius), elevation(nearest.height)),
        to: (place, elevation(nearest.other)),
    }
}

/// How far one range of heights lies above another (positive) or below it (negative).
fn above(own: Heights, its: Heights) -> f64 {
    (its.low - own.high).max(0.0) - (own.low - its.high).max(0.0)
}

fn upright_to_upright(flat: Found, own: Heights, its: Heights) -> Option<Found> {
    let gap = above(own, its);
    let distance = if gap == 0.0 {
        flat.distance
    } else {
        libm::hypot(flat.distance.max(0.0), gap)
    };
    let finite = |height: f64| height.is_finite().then_some(height);
    let (from, to) = if gap > 0.0 {
        (finite(own.high), finite(its.low))
    } else if gap < 0.0 {
        (finite(own.low), finite(its.high))
    } else {
        let shared = finite(own.high.min(its.high));
        (shared, shared)
    };
    Some(Found {
        distance,
        from: (flat.from.0, from),
        to: (flat.to.0, to),
    })
}

/// A convex shape, or the hull under a wire that hangs plumb, as a whole. Any other side by side,
/// each side with the radius of the shape as a convex shape of its own, and what of the wire runs
/// over or under the filled core.
fn upright_to_wire(shape: &Shape, heights: Heights, wire: &Wire, flat: Found) -> Option<Found> {
    if shape.is_convex() || wire.run == Step::zeros() {
        return convex_to_wire(&shape.convex(), heights, wire, flat);
    }
    let sides = shape.side_shapes();
    let beside = sides.map(|side| convex_to_wire(&side, heights, wire, flat));
    nearest(beside.chain([over_or_under(shape, heights, wire, flat)]))
}

/// How far a wire passes over or under a shape, where it is above or below it in plan.
fn over_or_under(shape: &Shape, heights: Heights, wire: &Wire, flat: Found) -> Option<Found> {
    let span = wire.run.norm();
    let along = wire.run.try_normalize(0.0)?;
    let runs = shape.pieces_along(wire.from, along).into_iter();
    let passes = runs.filter_map(|(from, to)| {
        let (from, to) = (from.max(0.0) / span, (to / span).min(1.0));
        (from <= to).then(|| {
            let low = wire.lowest().0.clamp(from, to);
            let ends = [from, to].map(|share| (share, wire.at(share).1));
            let high = if ends[0].1 > ends[1].1 {
                ends[0]
            } else {
                ends[1]
            };
            let (place, height) = wire.at(low);
            if height >= heights.high {
                at_plumb(place, heights.high, height)
            } else if high.1 <= heights.low {
                at_plumb(wire.at(high.0).0, heights.low, high.1)
            } else {
                Found {
                    distance: flat.distance.min(0.0),
                    ..flat
                }
            }
        })
    });
    nearest(passes.map(Some))
}

/// Two places above each other.
fn at_plumb(place: Point, own: f64, its: f64) -> Found {
    Found {
        distance: (its - own).abs(),
        from: (place, Some(own)),
        to: (place, Some(its)),
    }
}

/// A wire and a convex shape over a range of heights.
fn convex_to_wire(shape: &Shape, heights: Heights, wire: &Wire, flat: Found) -> Option<Found> {
    let facing = |place: Point, height: f64| {
        let level = Heights {
            low: height,
            high: height,
        };
        let gap = above(heights, level);
        match shape.separation(&Shape::disc(place, 0.0)) {
            Some(found) if found.distance > 0.0 => Facing {
                distance: libm::hypot(found.distance, gap),
                away: (place - found.from, gap),
            },
            _ => Facing {
                distance: gap.abs(),
                away: (Step::zeros(), gap),
            },
        }
    };
    let (bound, share) = wire.approach(facing);
    if bound <= 0.0 {
        return Some(Found {
            distance: bound.min(flat.distance),
            ..flat
        });
    }
    let (place, height) = wire.at(share);
    let near = shape.separation(&Shape::disc(place, 0.0))?;
    let own = height.min(heights.high).max(heights.low);
    let from = if near.distance > 0.0 {
        near.from
    } else {
        place
    };
    Some(Found {
        distance: bound,
        from: (from, Some(own)),
        to: (place, Some(height)),
    })
}
