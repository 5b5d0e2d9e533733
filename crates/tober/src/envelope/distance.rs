//! How far the envelope is from other things.
//!
//! The envelope is round and filled inwards to its axis, so that the nearest part of an upright
//! thing is where it comes nearest to the axis: the answer in the half-plane of radius and height
//! is the answer in space, in closed form. A hanging wire is bent: a search with a bound finds
//! its nearest place to within a millimetre, never too far.

use super::wire::Facing;
use super::{Envelope, EnvelopeRow, Heights, Wire};
use crate::{Point, Step};

/// How much too small a searched distance may be, metres.
pub const CLOSE_ENOUGH: f64 = 1e-3;

/// The nearest places of an envelope and of another thing. Heights are above the envelope's datum
/// plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Distance, metres; negative when they overlap, by how far in plan.
    pub distance: f64,
    /// Radius of the envelope's nearest place, metres.
    pub radius: f64,
    /// Height of the envelope's nearest place.
    pub height: f64,
    /// Height of the other thing's nearest place.
    pub other: f64,
}

impl Nearest {
    fn nearer(self, other: Nearest) -> Nearest {
        if other.distance < self.distance {
            other
        } else {
            self
        }
    }
}

/// A corner of the half-plane: radius and height.
type Corner = (f64, f64);

impl Envelope {
    /// The nearest places to something that comes within `radius` of the hub's axis at every
    /// height in `heights`.
    pub fn nearest(&self, radius: f64, heights: Heights) -> Nearest {
        let own = self.heights();
        let (low, high) = (heights.low.max(own.low), heights.high.min(own.high));
        if low <= high {
            let widest = self.widest(low, high);
            if radius <= widest.radius {
                return Nearest {
                    distance: radius - widest.radius,
                    radius: widest.radius,
                    height: widest.height,
                    other: widest.height,
                };
            }
        }
        // Between two polygons the shortest way starts or ends at a corner of one of them. A thing
        // of one height is one corner.
        let tall = heights.high > heights.low;
        let mut found = Nearest {
            distance: f64::INFINITY,
            radius: 0.0,
            height: own.low,
            other: own.low,
        };
        let mut previous = (0.0, own.low);
        for corner in self.section() {
            if tall {
                let level = corner.1.max(heights.low).min(heights.high);
                found = found.nearer(between(corner, (radius, level)));
            }
            if heights.low.is_finite() {
                let end = (radius, heights.low);
                found = found.nearer(between(foot(end, previous, corner), end));
            }
            if tall && heights.high.is_finite() {
                let end = (radius, heights.high);
                found = found.nearer(between(foot(end, previous, corner), end));
            }
            previous = corner;
        }
        found.distance = found.distance.sqrt();
        found
    }

    /// The nearest places to another envelope whose axis stands `apart` from this one's, and its
    /// datum plane `lift` higher, metres. The nearest places lie in the plane of both axes, for
    /// both spaces are round and convex.
    pub fn nearest_envelope(&self, other: &Envelope, apart: f64, lift: f64) -> Nearest {
        let (own, its) = (self.heights(), other.heights());
        let (low, high) = (own.low.max(its.low + lift), own.high.min(its.high + lift));
        if low <= high {
            // The sum of two concave profiles is greatest where one of them has a corner.
            let mut tightest = Nearest {
                distance: f64::INFINITY,
                radius: 0.0,
                height: low,
                other: low,
            };
            let corners = self.rows.iter().map(|row| row.height);
            let others = other.rows.iter().map(|row| row.height + lift);
            for height in corners.chain(others).chain([low, high]) {
                if (low..=high).contains(&height) {
                    let radius = self.radius_at(height);
                    tightest = tightest.nearer(Nearest {
                        distance: apart - radius - other.radius_at(height - lift),
                        radius,
                        height,
                        other: height,
                    });
                }
            }
            if tightest.distance <= 0.0 {
                return tightest;
            }
        }
        let facing: Vec<Corner> = other
            .section()
            .map(|(radius, height)| (apart - radius, height + lift))
            .collect();
        let mut found = Nearest {
            distance: f64::INFINITY,
            radius: 0.0,
            height: own.low,
            other: own.low,
        };
        let mut previous = (0.0, own.low);
        for corner in self.section() {
            let mut opposite = (apart, its.low + lift);
            for &its in &facing {
                found = found
                    .nearer(between(corner, foot(corner, opposite, its)))
                    .nearer(between(foot(its, previous, corner), its));
                opposite = its;
            }
            previous = corner;
        }
        found.distance = found.distance.sqrt();
        found
    }

    /// The nearest places to a wire, the hub standing at `hub` and the datum plane at elevation
    /// `datum`; and where along the wire, from 0 to 1. At most [`CLOSE_ENOUGH`] too small and
    /// never too large.
    pub fn nearest_wire(&self, hub: Point, datum: f64, wire: &Wire) -> (Nearest, f64) {
        let level = |height: f64| Heights {
            low: height,
            high: height,
        };
        let at =
            |place: Point, height: f64| self.nearest((place - hub).norm(), level(height - datum));
        let (bound, share) = wire.approach(|place, height| {
            let nearest = at(place, height);
            let out = (place - hub).try_normalize(0.0).unwrap_or_default();
            let off = (place - hub).norm() - nearest.radius;
            Facing {
                distance: nearest.distance,
                away: (out * off, height - datum - nearest.height),
            }
        });
        let (place, height) = wire.at(share);
        let mut nearest = at(place, height);
        nearest.distance = bound;
        if bound <= 0.0 {
            nearest.distance = bound.min(self.depth(wire.from - hub, wire.run));
        }
        (nearest, share)
    }

    /// The nearest places to a curtain that runs straight from one end to the other, each given
    /// by its place in plan from the hub and its range of heights; and where along it, from 0 to
    /// 1.
    ///
    /// Envelope and curtain are both convex, so the distance falls and then rises along the run:
    /// golden-section search closes in on the lowest place. Between two places the distance
    /// changes by no more than one walks in space, so what the last bracket may hide is taken
    /// off: the answer is at most [`CLOSE_ENOUGH`] too small and never too large.
    pub fn nearest_curtain(&self, from: (Step, Heights), to: (Step, Heights)) -> (Nearest, f64) {
        const GOLDEN: f64 = 0.618_033_988_749_894_8;
        let run = to.0 - from.0;
        let between = |a: f64, b: f64, t: f64| if a == b { a } else { a + (b - a) * t };
        let at = |t: f64| {
            let heights = Heights {
                low: between(from.1.low, to.1.low, t),
                high: between(from.1.high, to.1.high, t),
            };
            self.nearest((from.0 + run * t).norm(), heights)
        };
        let climb = |a: f64, b: f64| if a == b { 0.0 } else { (b - a).abs() };
        let steepest = climb(from.1.low, to.1.low).max(climb(from.1.high, to.1.high));
        let length = libm::hypot(run.norm(), steepest);

        let (mut start, mut end) = (0.0, 1.0);
        let (mut left, mut right) = (1.0 - GOLDEN, GOLDEN);
        let (mut at_left, mut at_right) = (at(left), at(right));
        while (end - start) * length > CLOSE_ENOUGH
            && at_left.distance > 0.0
            && at_right.distance > 0.0
        {
            if at_left.distance <= at_right.distance {
                (end, right, at_right) = (right, left, at_left);
                left = end - (end - start) * GOLDEN;
                at_left = at(left);
            } else {
                (start, left, at_left) = (left, right, at_right);
                right = start + (end - start) * GOLDEN;
                at_right = at(right);
            }
        }
        let (mut nearest, place) = if at_left.distance <= at_right.distance {
            (at_left, left)
        } else {
            (at_right, right)
        };
        if nearest.distance > 0.0 {
            nearest.distance -= (end - start) * length;
        } else {
            nearest.distance = nearest.distance.min(self.depth(from.0, run));
        }
        (nearest, place)
    }

    /// How deep a run passes into the whole envelope in plan, as a negative distance; given from
    /// the hub.
    fn depth(&self, from: Step, run: Step) -> f64 {
        let share = if run.norm_squared() > 0.0 {
            (-from.dot(&run) / run.norm_squared()).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (from + run * share).norm() - self.radius
    }

    /// The corners of the envelope in the half-plane, from the bottom up, and back to the axis.
    fn section(&self) -> impl Iterator<Item = Corner> + '_ {
        let top = (0.0, self.heights().high);
        let corners = self.rows.iter().map(|row| (row.radius, row.height));
        corners.chain([top])
    }

    /// The widest place at any height from `low` to `high`, both within the envelope.
    fn widest(&self, low: f64, high: f64) -> EnvelopeRow {
        let at = |height: f64| EnvelopeRow {
            height,
            radius: self.radius_at(height),
        };
        let mut widest = at(low);
        let rows = self.rows.iter().copied();
        let between = rows.filter(|row| (low..=high).contains(&row.height));
        for row in between.chain([at(high)]) {
            if row.radius > widest.radius {
                widest = row;
            }
        }
        widest
    }

    /// Outermost radius at a height within the envelope.
    fn radius_at(&self, height: f64) -> f64 {
        let above = self.rows.partition_point(|row| row.height < height);
        match (self.rows.get(above.wrapping_sub(1)), self.rows.get(above)) {
            (Some(lower), Some(upper)) if upper.height > lower.height => {
                let share = (height - lower.height) / (upper.height - lower.height);
                lower.radius + (upper.radius - lower.radius) * share
            }
            (_, Some(row)) | (Some(row), None) => row.radius,
            (None, None) => 0.0,
        }
    }
}

/// A corner of the envelope and a place of something else, their distance still squared.
fn between(own: Corner, other: Corner) -> Nearest {
    let (dr, dz) = (other.0 - own.0, other.1 - own.1);
    Nearest {
        distance: dr * dr + dz * dz,
        radius: own.0,
        height: own.1,
        other: other.1,
    }
}

/// The place of the side between two corners that is nearest to a point.
fn foot(point: Corner, from: Corner, to: Corner) -> Corner {
    let (dr, dz) = (to.0 - from.0, to.1 - from.1);
    let squared = dr * dr + dz * dz;
    if squared == 0.0 {
        return from;
    }
    let share = ((point.0 - from.0) * dr + (point.1 - from.1) * dz) / squared;
    let share = share.clamp(0.0, 1.0);
    (from.0 + dr * share, from.1 + dz * share)
}
