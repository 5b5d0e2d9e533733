//! Setting off panel after panel along a band around what is fenced in.
//!
//! All posts stand on the hull spread outwards by some distance, each a panel's length from the
//! one before, so the panels are chords of a convex band and the fence is convex. The wider the
//! band, the less far round it a number of panels reaches; the spread is found at which the last
//! panel ends where the first began.
//!
//! ```text
//!        ●───────●
//!      ╱  ╭─────╮  ╲      ●  posts, on the band
//!     ●  │  hull │  ●     ─  panels, chords of the band
//!      ╲  ╰─────╯  ╱
//!        ●───────●
//! ```

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::hull::{Arc, Disc, perimeter};
use crate::Step;

/// How near the last panel comes to a whole one, as a share of its length.
const CLOSED: f64 = 1e-11;

/// Far more steps than the search for the spread takes; a bound, not a tuning.
const MOST_STEPS: u32 = 100;

/// The band, from a starting place once round.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pieces: Vec<Piece>,
    perimeter: f64,
}

/// A piece of the band: an arc that turns by a quarter at most, or a straight piece. Its ends
/// move out along their normals as the band is spread.
#[derive(Clone, Copy, Debug)]
struct Piece {
    start: Step,
    start_normal: Step,
    end: Step,
    end_normal: Step,
    /// Centre and radius of an arc; none for a straight piece.
    arc: Option<(Step, f64)>,
}

impl Band {
    /// The band around a hull, starting where its outward normal points in a direction, radians.
    pub(super) fn starting_at(arcs: &[Arc], direction: f64) -> Band {
        let direction = direction.rem_euclid(TAU);
        let (before, mut order): (Vec<Arc>, Vec<Arc>) =
            arcs.iter().partition(|arc| arc.to <= direction);
        order.extend(before);
        // The arc that holds the starting place is walked from there, and last up to there.
        if let Some(first) = order.first_mut().filter(|first| first.from < direction) {
            let rest = Arc {
                to: direction,
                ..*first
            };
            first.from = direction;
            order.push(rest);
        }
        let pieces = (order.iter().zip(order.iter().cycle().skip(1)))
            .flat_map(|(arc, next)| quarters(*arc).chain(straight(arc, next)))
            .collect();
        Band {
            pieces,
            perimeter: perimeter(arcs),
        }
    }

    /// The posts of a closed run of so many panels, counter-clockwise, the first at the starting
    /// place; `None` when so many do not go round.
    pub(super) fn posts(&self, panels: u32, length: f64) -> Option<Vec<Step>> {
        let mut posts = Vec::with_capacity(panels as usize);
        let spread = self.closing_spread(panels, length, &mut posts)?;
        self.set_off(spread, panels, length, &mut posts);
        Some(posts)
    }

    /// The spread at which the last panel is a whole one.
    fn closing_spread(&self, panels: u32, length: f64, posts: &mut Vec<Step>) -> Option<f64> {
        let mut gap = |spread| self.set_off(spread, panels, length, posts);
        let (mut near, mut near_gap) = (0.0, gap(0.0));
        if near_gap > 0.0 {
            return None;
        }
        // As wide as if it were a circle, and wider until the panels do not reach round.
        let turn = PI / f64::from(panels);
        let round = f64::from(panels) * length * turn / libm::sin(turn);
        let mut far = ((round - self.perimeter) / TAU).max(0.0) + length / 16.0;
        let mut far_gap = gap(far);
        while far_gap <= 0.0 {
            (near, near_gap) = (far, far_gap);
            far *= 2.0;
            if !far.is_finite() {
                return None;
            }
            far_gap = gap(far);
        }
        // Regula falsi; an end that stays put twice counts for half (the Illinois variant).
        let mut last_side = 0.0;
        for _ in 0..MOST_STEPS {
            let spread = near + (far - near) * near_gap / (near_gap - far_gap);
            let this_gap = gap(spread);
            if this_gap.abs() <= CLOSED * length {
                return Some(spread);
            }
            if this_gap < 0.0 {
                (near, near_gap) = (spread, this_gap);
                if last_side < 0.0 {
                    far_gap *= 0.5;
                }
            } else {
                (far, far_gap) = (spread, this_gap);
                if last_side > 0.0 {
                    near_gap *= 0.5;
                }
            }
            last_side = this_gap;
        }
        None
    }

    /// Sets off the posts on the band spread by so much. Returns how much longer than a panel
    /// the last one would have to be: negative when it would be too long, or when the posts
    /// overrun the start.
    fn set_off(&self, spread: f64, panels: u32, length: f64, posts: &mut Vec<Step>) -> f64 {
        posts.clear();
        let mut pieces = self.pieces.iter();
        let Some(mut piece) = pieces.next() else {
            return -length;
        };
        let start = piece.start + piece.start_normal * spread;
        let mut post = start;
        posts.push(post);
        for left in (1..panels).rev() {
            post = loop {
                if let Some(next) = piece.chord(post, length, spread) {
                    break next;
                }
                match pieces.next() {
                    Some(next_piece) => piece = next_piece,
                    None => return -length * f64::from(left),
                }
            };
            posts.push(post);
        }
        (post - start).norm() - length
    }
}

impl Piece {
    /// Where on this piece, going round from a post behind, the distance from the post first
    /// reaches a length; `None` when the whole piece is nearer.
    fn chord(&self, post: Step, length: f64, spread: f64) -> Option<Step> {
        let start = self.start + self.start_normal * spread;
        let end = self.end + self.end_normal * spread;
        let reaches_end = (end - post).norm_squared() >= length * length;
        match self.arc {
            Some((centre, radius)) => {
                let radius = radius + spread;
                let to_post = post - centre;
                let distance = to_post.norm();
                // In the triangle of centre, post and chord's end, the angle at the centre; by
                // its half, which loses nothing when it is small.
                let radial = distance - radius;
                let half_sin_2 = (length * length - radial * radial) / (4.0 * distance * radius);
                let cos = 1.0 - 2.0 * half_sin_2;
                let sin = 2.0 * (half_sin_2 * (1.0 - half_sin_2)).sqrt();
                let ahead = Step::new(-to_post.y, to_post.x);
                let to_next = (to_post * cos + ahead * sin) * (radius / distance);
                let past_start = self.start_normal.perp(&to_next) >= 0.0;
                let before_end = to_next.perp(&self.end_normal) >= 0.0;
                if past_start && before_end {
                    Some(centre + to_next)
                } else {
                    // Rounding, or no such triangle.
                    reaches_end.then_some(end)
                }
            }
            None if reaches_end => {
                // The farther of the two places on the line that are a length from the post.
                let along = (end - start).normalize();
                let to_post = (post - start).dot(&along);
                let aside = (post - start).perp(&along);
                let onward = (length * length - aside * aside).max(0.0).sqrt();
                Some(start + along * (to_post + onward).max(0.0))
            }
            None => None,
        }
    }
}

/// An arc in pieces that turn by a quarter at most; none when it does not turn.
fn quarters(arc: Arc) -> impl Iterator<Item = Piece> {
    let turn = arc.to - arc.from;
    let count = (turn / FRAC_PI_2).ceil();
    let normal = move |i: u32| {
        let (sin, cos) = libm::sincos(arc.from + turn * f64::from(i) / count);
        Step::new(cos, sin)
    };
    let Disc { centre, radius } = arc.disc;
    (0..count as u32).map(move |i| {
        let (start_normal, end_normal) = (normal(i), normal(i + 1));
        Piece {
            start: centre + start_normal * radius,
            start_normal,
            end: centre + end_normal * radius,
            end_normal,
            arc: Some((centre, radius)),
        }
    })
}

/// The straight piece from the end of an arc to the next; none when they are of one disc.
fn straight(arc: &Arc, next: &Arc) -> Option<Piece> {
    let (sin, cos) = libm::sincos(arc.to);
    let normal = Step::new(cos, sin);
    (arc.disc.centre != next.disc.centre).then(|| Piece {
        start: arc.disc.centre + normal * arc.disc.radius,
        start_normal: normal,
        end: next.disc.centre + normal * next.disc.radius,
        end_normal: normal,
        arc: None,
    })
}
