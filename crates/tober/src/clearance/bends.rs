//! Bends of a fire lane: whether an appliance can turn in them.
//!
//! # Picture
//!
//! A lane is drawn as straight bands that meet at an angle. An appliance does not turn on the
//! spot: the inner edge must be rounded off by a circle, which cuts the corner.
//!
//! ```text
//!      ───────────────┐  outer edge
//!                     │
//!      ────────.      │      the cut, between the inner corner and the circle, must be free;
//!            P ╲`.    │      and the two straight legs must be long enough for the circle
//!               `·    │      to touch both
//!                │    │
//! ```
//!
//! With a bend of `δ` and an inside radius `R`, the circle touches each inner edge at
//! `R tan(δ / 2)` from the inner corner; the middle line of a lane `W` wide then needs
//! `(R + W / 2) tan(δ / 2)` of each leg. Where two bends share a leg, each has half of it.
//!
//! A larger radius always cuts off more, so that the largest which is free is found by halving.
//! The cut is drawn with chords of the circle, a little larger than it is: the radius that is
//! found is never too large.

use serde::{Deserialize, Serialize};

use super::plane::within;
use super::standing::{Thing, bounds};
use super::{Shape, contains};
use crate::{Point, Step};

/// Bends of less than this, degrees, are told of only when they are too tight.
const SLIGHT_DEG: f64 = 10.0;

/// A radius beyond this, metres, is as good as a straight lane.
const WIDE: f64 = 60.0;

/// A lane that turns back on itself by more than this, degrees, has no inside to go round.
const BACK_DEG: f64 = 170.0;

/// How finely the radius that fits is sought, metres; told is what is known to fit.
const FINE: f64 = 1e-4;

/// Two outlines that reach into each other by less than this, metres, touch.
const TOUCH: f64 = 1e-6;

/// A bend of a fire lane.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Bend {
    /// Where, on the middle line, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// By how much it turns, degrees, without its sign.
    pub turn_deg: f64,
    /// The largest inside radius that is free, metres; never overstated.
    pub inside_radius: f64,
    /// The inside radius that is asked for, metres.
    pub required: f64,
    /// What stands in the way of a larger one; empty when the straight legs are too short for it.
    pub by: Vec<String>,
}

impl Bend {
    /// Whether it is tighter than is asked for.
    pub(super) fn too_tight(&self) -> bool {
        self.inside_radius < self.required - TOUCH
    }
}

/// The bends of a lane of a full `width` along a path, with everything that stands on the lot.
pub(super) fn bends(
    path: &[Point],
    width: f64,
    required: f64,
    things: &[Thing],
    boundary: &[Point],
) -> Vec<Bend> {
    let last = path.len().saturating_sub(2);
    let corners = path.windows(3).enumerate();
    corners
        .filter_map(|(index, three)| {
            let &[before, at, after] = three else {
                return None;
            };
            let corner = Corner::new(before, at, after, width)?;
            // A leg that another bend needs as well is shared.
            let share = |length: f64, shared: bool| if shared { length / 2.0 } else { length };
            let legs = share((at - before).norm(), index > 0)
                .min(share((after - at).norm(), index + 1 < last));
            let bend = corner.judged(legs, required, things, boundary);
            (bend.turn_deg >= SLIGHT_DEG || bend.too_tight()).then_some(bend)
        })
        .collect()
}

/// Where two straight legs of a lane meet.
struct Corner {
    at: Point,
    /// Along each leg, in the way the lane is drawn.
    along: (Step, Step),
    /// Square to each, to the inner side.
    inwards: (Step, Step),
    /// By how much it turns, radians, without its sign.
    turn: f64,
    width: f64,
}

impl Corner {
    fn new(before: Point, at: Point, after: Point, width: f64) -> Option<Corner> {
        let first = (at - before).try_normalize(0.0)?;
        let second = (after - at).try_normalize(0.0)?;
        let turn = libm::atan2(first.perp(&second), first.dot(&second));
        let side = if turn < 0.0 { -1.0 } else { 1.0 };
        let left = |along: Step| Step::new(-along.y, along.x) * side;
        Some(Corner {
            at,
            along: (first, second),
            inwards: (left(first), left(second)),
            turn: turn.abs(),
            width,
        })
    }

    fn judged(&self, legs: f64, required: f64, things: &[Thing], boundary: &[Point]) -> Bend {
        let turn_deg = self.turn.to_degrees();
        let fits = if turn_deg > BACK_DEG {
            0.0
        } else {
            let across = libm::tan(self.turn / 2.0);
            // Straight on, any radius fits.
            let radius = legs / across.max(1e-9) - self.width / 2.0;
            radius.clamp(0.0, WIDE)
        };
        // Of a smaller cut, which the widest holds, nothing else can be in the way.
        let in_the_way = self.in_the_cut(fits, things, boundary);
        let inside_radius = if in_the_way.is_empty() {
            fits
        } else {
            let near = things.iter().filter(|it| in_the_way.contains(&it.name));
            let near: Vec<Thing> = near.cloned().collect();
            let free = |radius: f64| self.in_the_cut(radius, &near, boundary).is_empty();
            let (mut low, mut high) = (0.0, fits);
            while high - low > FINE {
                let middle = f64::midpoint(low, high);
                if free(middle) {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            low
        };
        let by = if fits + TOUCH < required {
            Vec::new()
        } else {
            self.in_the_cut(required, things, boundary)
        };
        Bend {
            at: self.at,
            turn_deg,
            inside_radius,
            required,
            by,
        }
    }

    /// What stands between the inner corner and a circle of a radius.
    fn in_the_cut(&self, radius: f64, things: &[Thing], boundary: &[Point]) -> Vec<String> {
        let cut = self.cut(radius);
        if radius <= 0.0 || cut.is_empty() {
            return Vec::new();
        }
        let (area, around) = (Shape::area(&cut), bounds(&cut));
        let meets = |thing: &&Thing| thing.is_in(around) && area.is_nearer(&thing.shape(), -TOUCH);
        let mut names: Vec<String> = things
            .iter()
            .filter(meets)
            .map(|thing| thing.name.clone())
            .collect();
        let out = within(&area, boundary).is_some_and(|found| found.distance < -TOUCH);
        if out && contains(boundary, self.at) {
            names.push("lot line".to_owned());
        }
        names.dedup();
        names
    }

    /// The outline of the cut: the inner corner, then along the circle.
    fn cut(&self, radius: f64) -> Vec<Point> {
        const CHORDS: u32 = 8;
        let both = self.inwards.0 + self.inwards.1;
        // Twice the cosine of half the turn, squared; 0 for a lane that turns back on itself.
        let open = both.norm_squared() / 2.0;
        if open < 1e-6 {
            return Vec::new();
        }
        let inner = self.at + both * (self.width / 2.0 / open);
        let reach = radius * libm::tan(self.turn / 2.0);
        let first = inner - self.along.0 * reach;
        let middle = first + self.inwards.0 * radius;
        let arc = (0..=CHORDS).map(|k| {
            let angle = self.turn * f64::from(k) / f64::from(CHORDS);
            let (sin, cos) = libm::sincos(angle);
            // From the middle outwards, turning as the lane turns.
            middle - self.inwards.0 * (radius * cos) + self.along.0 * (radius * sin)
        });
        std::iter::once(inner).chain(arc).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn lot() -> Vec<Point> {
        vec![
            p(-50.0, -50.0),
            p(50.0, -50.0),
            p(50.0, 50.0),
            p(-50.0, 50.0),
        ]
    }

    fn one(path: &[Point], things: &[Thing]) -> Bend {
        let found = bends(path, 6.0, 9.0, things, &lot());
        assert_eq!(found.len(), 1, "{found:?}");
        found[0].clone()
    }

    #[test]
    fn legs_are_long_enough_or_not() {
        // A right angle: the middle line needs R + W / 2 of each leg.
        let with = |leg: f64| one(&[p(-leg, 0.0), p(0.0, 0.0), p(0.0, 40.0)], &[]);
        assert!((with(12.0).inside_radius - 9.0).abs() < 1e-9);
        assert!(!with(12.0).too_tight());
        let short = with(11.0);
        assert!((short.inside_radius - 8.0).abs() < 1e-9);
        assert!(short.too_tight() && short.by.is_empty());
        // Sixty degrees: tan 30°.
        let (sin, cos) = libm::sincos(60.0_f64.to_radians());
        let bend = one(
            &[p(-30.0, 0.0), p(0.0, 0.0), p(12.0 * cos, 12.0 * sin)],
            &[],
        );
        let by_hand = 12.0 / libm::tan(30.0_f64.to_radians()) - 3.0;
        assert!((bend.inside_radius - by_hand).abs() < 1e-9, "{bend:?}");
        assert!((bend.turn_deg - 60.0).abs() < 1e-9);
    }

    #[test]
    fn what_stands_in_the_cut_keeps_the_radius_small() {
        // The lane goes east, then north: its inner corner lies at (-3, 3). A post on the
        // diagonal, `d` beyond the corner, is met by the circle of R with R (√2 − 1) = d.
        let d = 2.0;
        let out = 3.0 + d / std::f64::consts::SQRT_2;
        let tip = p(-out, out);
        let corners = vec![tip, tip + Step::new(-1.0, 0.0), tip + Step::new(0.0, 1.0)];
        let post = Thing::new("post".to_owned(), None, corners);
        let bend = one(&[p(-40.0, 0.0), p(0.0, 0.0), p(0.0, 40.0)], &[post]);
        let by_hand = d / (std::f64::consts::SQRT_2 - 1.0);
        assert!(bend.inside_radius <= by_hand + 1e-6, "{bend:?}");
        assert!(bend.inside_radius > 0.97 * by_hand, "{bend:?} {by_hand}");
        assert_eq!(bend.by, ["post"]);
    }

    #[test]
    fn a_lane_that_turns_back_cannot_be_driven() {
        let back = one(&[p(-30.0, 0.0), p(0.0, 0.0), p(-30.0, 0.5)], &[]);
        assert_eq!(back.inside_radius, 0.0);
        assert!(
            bends(
                &[p(-30.0, 0.0), p(0.0, 0.0), p(30.0, 1.0)],
                6.0,
                9.0,
                &[],
                &lot()
            )
            .is_empty()
        );
    }
}
