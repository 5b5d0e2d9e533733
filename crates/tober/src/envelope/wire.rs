//! A wire that hangs between two points: the catenary.
//!
//! # Picture
//!
//! ```text
//!   o ─ ─ ─ ─ ─ ─ straight line ─ ─ ─ ─ o
//!    ╲               ↕ sag             ╱
//!      ╲ _                         _ ╱         sag: at mid-span, plumb down from the
//!          ‾ ─ ─ ─ ─ ─ ─ ─ ─ ─ ─ ‾             straight line to the wire
//! ```
//!
//! # Method
//!
//! With `x` from mid-span and `a` the horizontal pull over the weight of a metre, the wire is
//! `z = a cosh(x/a + φ) + c`. Half the span over `a` is `h`; the rise from end to end gives
//! `sinh φ = rise / (2 a sinh h)`, and at mid-span the wire hangs by
//!
//! ```text
//! sag = a cosh φ (cosh h − 1) = (span / h) sinh²(h / 2) cosh φ
//! ```
//!
//! which grows with `h`: halving a bracket finds it. Heights are told as what hangs below the
//! straight line, so that a taut wire, for which `a` is huge, loses no digits.
//!
//! # Source
//!
//! The common catenary, as in any handbook of mechanics; worked examples are checked in
//! `tests/tests/reference_clearance.rs`.

use super::CLOSE_ENOUGH;
use crate::{Point, Step};

/// A wire between two points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wire {
    /// Its first point in plan, lot frame.
    pub from: Point,
    /// From the first point to the last, in plan, metres.
    pub run: Step,
    /// Elevation of its first point, metres.
    pub start: f64,
    /// How much higher its last point is, metres.
    pub rise: f64,
    /// Length of `run`.
    span: f64,
    /// Half the span over the catenary's parameter; 0 when the wire is straight.
    half: f64,
    /// Sine and cosine, hyperbolic, of how far mid-span is from the lowest place.
    sinh: f64,
    cosh: f64,
}

/// Brackets halve as often as a number has digits.
const HALVINGS: u32 = 100;

/// Secants to find a wire's nearest place with.
const SETTLING: u32 = 8;

/// Pieces of a wire are not cut further than this share of its run.
const FINEST_PIECE: f64 = 1e-9;

/// A wire that hangs deeper than this many spans is taken to hang so deep.
const DEEPEST_HALF: f64 = 100.0;

impl Wire {
    /// The wire from one point, by its place and elevation, to another, that hangs by `sag`
    /// metres at mid-span.
    pub fn with_sag(from: (Point, f64), to: (Point, f64), sag: f64) -> Wire {
        let straight = Wire::straight(from, to);
        if sag <= 0.0 || straight.span <= 0.0 {
            return straight;
        }
        let mut high = 1.0;
        while high < DEEPEST_HALF && straight.hung(high).sag() < sag {
            high *= 2.0;
        }
        let half = halve(0.0, high, |half| straight.hung(half).sag() < sag);
        straight.hung(half)
    }

    /// The wire from one point to another whose lowest place is `above` metres above what
    /// `ground` gives for the place beneath; the straight line when even that is lower. `None`
    /// where the ground is not known beneath the lowest place.
    pub fn with_lowest(
        from: (Point, f64),
        to: (Point, f64),
        above: f64,
        ground: impl Fn(Point) -> Option<f64>,
    ) -> Option<Wire> {
        let straight = Wire::straight(from, to);
        if straight.span <= 0.0 {
            return Some(straight);
        }
        let clear = |wire: &Wire| {
            let (share, low) = wire.lowest();
            Some(low - ground(wire.at(share).0)?)
        };
        if clear(&straight)? <= above {
            return Some(straight);
        }
        let mut high = 1.0;
        while high < DEEPEST_HALF && clear(&straight.hung(high))? > above {
            high *= 2.0;
        }
        let half = halve(0.0, high, |half| {
            clear(&straight.hung(half)).is_some_and(|clear| clear > above)
        });
        let wire = straight.hung(half);
        clear(&wire).map(|_| wire)
    }

    fn straight(from: (Point, f64), to: (Point, f64)) -> Wire {
        let (run, rise) = (to.0 - from.0, to.1 - from.1);
        let span = run.norm();
        let slope = if span > 0.0 { rise / span } else { 0.0 };
        Wire {
            from: from.0,
            run,
            start: from.1,
            rise,
            span,
            half: 0.0,
            sinh: slope,
            cosh: libm::hypot(1.0, slope),
        }
    }

    /// The same ends, hung by a `half` of the span over the catenary's parameter.
    fn hung(self, half: f64) -> Wire {
        if half <= 0.0 {
            return self;
        }
        let sinh = self.rise * half / (self.span * libm::sinh(half));
        Wire {
            half,
            sinh,
            cosh: libm::hypot(1.0, sinh),
            ..self
        }
    }

    /// How far it hangs at mid-span, metres.
    pub fn sag(&self) -> f64 {
        self.below(0.5)
    }

    /// Length of the wire, metres.
    pub fn length(&self) -> f64 {
        let level = if self.half > 0.0 {
            self.span * libm::sinh(self.half) / self.half
        } else {
            self.span
        };
        libm::hypot(level, self.rise)
    }

    /// How far it hangs below the straight line at a share of its run, metres.
    fn below(&self, share: f64) -> f64 {
        let half = self.half;
        if half <= 0.0 {
            return 0.0;
        }
        let (before, after) = (half * share, half * (1.0 - share));
        let out = 2.0 * share - 1.0;
        let even = 2.0 * self.cosh * libm::sinh(before) * libm::sinh(after);
        let skew = if self.sinh == 0.0 {
            0.0
        } else {
            self.sinh * (out * libm::sinh(half) - libm::sinh(out * half))
        };
        (even + skew) * self.span / (2.0 * half)
    }

    /// Place in plan and elevation at a share of the run, from 0 to 1.
    pub fn at(&self, share: f64) -> (Point, f64) {
        (self.from + self.run * share, self.height(share))
    }

    /// Elevation at a share of the run, from 0 to 1.
    fn height(&self, share: f64) -> f64 {
        self.start + self.rise * share - self.below(share)
    }

    /// Share of the run at its lowest place, and the elevation there.
    pub fn lowest(&self) -> (f64, f64) {
        let share = if self.half > 0.0 {
            let out = -libm::asinh(self.sinh) / self.half;
            (f64::midpoint(out, 1.0)).clamp(0.0, 1.0)
        } else if self.rise < 0.0 {
            1.0
        } else {
            0.0
        };
        (share, self.at(share).1)
    }

    /// How high a piece of the wire, between two shares of its run, keeps above ground that is
    /// straight between two elevations, at the least, metres; negative where it is lower.
    pub(crate) fn least_above(&self, (from, to): (f64, f64), (start, end): (f64, f64)) -> f64 {
        let run = (to - from) * self.span;
        let (slope, foot) = if run > 0.0 {
            ((end - start) / run, start)
        } else {
            (0.0, start.max(end))
        };
        self.beyond((from, to), (-slope, 1.0), (from, foot))
    }

    /// How far a piece of the wire, between two shares, lies beyond a place in a direction, at
    /// least. The direction is given along the run and upwards, the place by its share of the run
    /// and its elevation.
    fn beyond(&self, (from, to): (f64, f64), (along, up): (f64, f64), place: (f64, f64)) -> f64 {
        let at = |share: f64| {
            let off = (share - place.0) * self.span;
            along * off + up * (self.height(share) - place.1)
        };
        let mut least = at(from).min(at(to));
        if up > 0.0 && self.half > 0.0 && self.span > 0.0 {
            // The wire sinks farthest where it runs square to the direction.
            let slope = libm::asinh(-along / up) - libm::asinh(self.sinh);
            let share = f64::midpoint(slope / self.half, 1.0);
            if from < share && share < to {
                least = least.min(at(share));
            }
        }
        least
    }
}

/// How a convex body lies to a place outside it.
pub(crate) struct Facing {
    /// Distance, metres; 0 or less when the place is inside.
    pub(crate) distance: f64,
    /// From the body's nearest place to the place, in plan and upwards, of any length.
    pub(crate) away: (Step, f64),
}

impl Wire {
    /// How near the wire comes to a convex body, and where along it. At most [`CLOSE_ENOUGH`] too
    /// small and never too large; 0 or less as soon as a place inside the body is met.
    ///
    /// Branch and bound. All of a convex body lies behind the plane that touches it square to the
    /// shortest way, so that the distance of any place is at least its distance from that plane:
    /// where a piece of the wire comes nearest to the plane, in closed form, bounds the whole
    /// piece. The plane at the wire's nearest place bounds all of the wire at once, so that place
    /// is looked for first; pieces that may still hold something nearer are cut.
    pub(crate) fn approach(&self, facing: impl Fn(Point, f64) -> Facing) -> (f64, f64) {
        let (mut nearest, mut place) = (f64::INFINITY, 0.0);
        let mut bound = f64::INFINITY;
        let mut pieces = vec![(0.0, 1.0, self.settle(&facing))];
        while let Some((from, to, share)) = pieces.pop() {
            let (at, height) = self.at(share);
            let Facing { distance, away } = facing(at, height);
            if distance <= 0.0 {
                return (distance, share);
            }
            if distance < nearest {
                (nearest, place) = (distance, share);
            }
            let least = match self.direction(away) {
                Some(direction) => distance + self.beyond((from, to), direction, (share, height)),
                None => 0.0,
            };
            // A wire that all but touches is not taken to overlap.
            let slack = CLOSE_ENOUGH.min(nearest / 2.0);
            if least >= nearest - slack || to - from < FINEST_PIECE {
                bound = bound.min(least);
                continue;
            }
            let inside = from < share && share < to;
            let cut = if inside {
                share
            } else {
                f64::midpoint(from, to)
            };
            pieces.push((from, cut, f64::midpoint(from, cut)));
            pieces.push((cut, to, f64::midpoint(cut, to)));
        }
        (bound.min(nearest), place)
    }

    /// A share near the wire's nearest place, or of one inside the body: where the distance stops
    /// falling along the wire, by a few secants within a bracket. A guess, which proves nothing.
    fn settle(&self, facing: &impl Fn(Point, f64) -> Facing) -> f64 {
        let (mut low, mut high, mut share) = (0.0, 1.0, 0.5);
        let mut before: Option<(f64, f64)> = None;
        for _ in 0..SETTLING {
            let (at, height) = self.at(share);
            let Facing { distance, away } = facing(at, height);
            let Some((along, up)) = self.direction(away).filter(|_| distance > 0.0) else {
                return share;
            };
            let climb = libm::sinh(libm::asinh(self.sinh) + (2.0 * share - 1.0) * self.half);
            let slope = along + up * climb;
            if slope > 0.0 {
                high = share;
            } else {
                low = share;
            }
            let secant = before.and_then(|(last, last_slope)| {
                let next = share - slope * (share - last) / (slope - last_slope);
                // Past an end that has not been looked at, the end itself.
                let next = match next {
                    next if low == 0.0 && next <= low => low,
                    next if high == 1.0 && next >= high => high,
                    next => next,
                };
                (low..=high).contains(&next).then_some(next)
            });
            let next = secant
                .filter(|&next| next != share)
                .unwrap_or(f64::midpoint(low, high));
            before = Some((share, slope));
            if (next - share).abs() * self.span < CLOSE_ENOUGH / 10.0 {
                return next;
            }
            share = next;
        }
        share
    }

    /// A direction of length 1 along the run and upwards; `None` for one of no length.
    fn direction(&self, away: (Step, f64)) -> Option<(f64, f64)> {
        let long = libm::hypot(away.0.norm(), away.1);
        let along = if self.span > 0.0 {
            away.0.dot(&self.run) / self.span
        } else {
            0.0
        };
        (long > 0.0).then(|| (along / long, away.1 / long))
    }
}

/// The upper end of a bracket, halved until nothing is left: `low_enough` holds below it.
fn halve(mut low: f64, mut high: f64, low_enough: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if low_enough(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn wire(span: f64, rise: f64, sag: f64) -> Wire {
        Wire::with_sag(
            (Point::new(3.0, 4.0), 10.0),
            (Point::new(3.0 + span * 0.6, 4.0 + span * 0.8), 10.0 + rise),
            sag,
        )
    }

    #[test]
    fn a_straight_wire_is_straight() {
        let wire = wire(50.0, 5.0, 0.0);
        assert_eq!(wire.at(0.5).1, 12.5);
        assert_eq!(wire.lowest(), (0.0, 10.0));
        assert!((wire.length() - libm::hypot(50.0, 5.0)).abs() < 1e-12);
    }

    #[test]
    fn the_lowest_place_gives_the_wire() {
        let (from, to) = ((Point::new(0.0, 0.0), 9.0), (Point::new(40.0, 0.0), 11.0));
        // Ground that rises towards the far pole.
        let ground = |at: Point| Some(0.02 * at.x);
        let wire = Wire::with_lowest(from, to, 6.0, ground).unwrap();
        let (share, low) = wire.lowest();
        let beneath = ground(wire.at(share).0).unwrap();
        assert!((low - beneath - 6.0).abs() < 1e-9);
        assert!(Wire::with_lowest(from, to, 6.0, |_| None).is_none());
        let taut = Wire::with_lowest(from, to, 20.0, ground).unwrap();
        assert_eq!(taut.sag(), 0.0);
    }

    proptest! {
        #[test]
        fn it_hangs_by_its_sag_between_its_ends(
            span in 0.5..200.0_f64, steep in -0.5..0.5_f64, slack in 1e-6..0.3_f64,
            share in 0.0..=1.0_f64,
        ) {
            let (rise, sag) = (steep * span, slack * span);
            let wire = wire(span, rise, sag);
            prop_assert!((wire.sag() - sag).abs() < 1e-9 * span.max(1.0));
            prop_assert!((wire.at(0.0).1 - 10.0).abs() < 1e-9);
            prop_assert!((wire.at(1.0).1 - 10.0 - rise).abs() < 1e-9);
            prop_assert!(wire.lowest().1 <= wire.at(share).1 + 1e-9);
            // A parabola of the same sag is near, while the wire is taut.
            let parabola = 10.0 + rise * share - 4.0 * sag * share * (1.0 - share);
            let off = (wire.at(share).1 - parabola).abs();
            prop_assert!(off <= sag * (slack * slack + slack * steep.abs()) * 2.0 + 1e-9, "{off}");
        }

        #[test]
        fn no_place_of_a_piece_lies_nearer_than_its_bound(
            span in 0.5..200.0_f64, steep in -0.5..0.5_f64, slack in 0.0..0.3_f64,
            a in 0.0..=1.0_f64, b in 0.0..=1.0_f64, from_level in -3.2..3.2_f64,
        ) {
            let wire = wire(span, steep * span, slack * span);
            let piece = (a.min(b), a.max(b));
            let (up, along) = libm::sincos(from_level);
            let place = (0.3, 7.0);
            let bound = wire.beyond(piece, (along, up), place);
            let sampled = (0..=500)
                .map(|k| piece.0 + (piece.1 - piece.0) * f64::from(k) / 500.0)
                .map(|share| {
                    along * (share - place.0) * span + up * (wire.at(share).1 - place.1)
                })
                .fold(f64::INFINITY, f64::min);
            prop_assert!(bound <= sampled + 1e-9, "{bound} > {sampled}");
            prop_assert!(bound >= sampled - 1e-4 * span, "{bound} far below {sampled}");
        }

        #[test]
        fn nothing_comes_nearer_to_the_ground_than_its_least(
            span in 0.5..200.0_f64, steep in -0.5..0.5_f64, slack in 0.0..0.3_f64,
            a in 0.0..=1.0_f64, b in 0.0..=1.0_f64, start in 0.0..6.0_f64, end in 0.0..6.0_f64,
        ) {
            let wire = wire(span, steep * span, slack * span);
            let (from, to) = (a.min(b), a.max(b));
            let least = wire.least_above((from, to), (start, end));
            let sampled = (0..=500)
                .map(|k| f64::from(k) / 500.0)
                .map(|t| {
                    wire.at(from + (to - from) * t).1 - (start + (end - start) * t)
                })
                .fold(f64::INFINITY, f64::min);
            prop_assert!(least <= sampled + 1e-9, "{least} > {sampled}");
            prop_assert!(least >= sampled - 1e-4 * span, "{least} far below {sampled}");
        }

        #[test]
        fn its_length_is_that_of_its_pieces(
            span in 1.0..200.0_f64, steep in -0.5..0.5_f64, slack in 0.0..0.3_f64,
        ) {
            let wire = wire(span, steep * span, slack * span);
            let places: Vec<_> = (0..=2000).map(|k| wire.at(f64::from(k) / 2000.0)).collect();
            let along: f64 = places
                .windows(2)
                .map(|pair| libm::hypot((pair[1].0 - pair[0].0).norm(), pair[1].1 - pair[0].1))
                .sum();
            prop_assert!((wire.length() - along).abs() < 1e-4 * span);
        }
    }
}
