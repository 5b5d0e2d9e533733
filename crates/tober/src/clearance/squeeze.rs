//! How wide somebody may be who still gets along a way, round its corners and past whatever
//! stands in it.
//!
//! # Picture
//!
//! ```text
//!   ─────────────────────────╮ left edge, round the outside of the corner
//!      ┌─┐ gap   ╱▔╲         │
//!      └─┘<────>▕   ▏<─>     │     who is wider than every gap of a chain from edge to edge
//!   ──────────────╲_╱──╮     │     is stopped by it; the chain whose widest gap is the least
//!   right edge         │     │     says how wide one may be
//! ```
//!
//! A disc of a width passes if and only if no chain of things from the left edge to the right
//! holds it up: one in which each keeps less than that width from the next. So the clear width
//! is the least, over all chains, of the widest gap in the chain: a way with two things one
//! after the other, each of which leaves half of it, is as narrow as the slip between them.
//!
//! Corners count as they are: the outer edge is drawn as chords within the round corner, the
//! inner edge meets in its corner. Both err to the narrow side.

use super::Shape;
use crate::{Point, Step};

/// The outer edge of a corner is drawn in steps of no more than this, radians: 5°.
const CHORD: f64 = 0.087;

/// The narrowest place of a way.
pub(super) struct Squeeze {
    /// Who is no wider than this gets through, metres.
    pub(super) clear: f64,
    /// The two places that leave the gap.
    pub(super) places: (Point, Point),
    /// The things that leave it, by their places in the list; one where the other side is an edge.
    pub(super) by: Vec<usize>,
}

/// Things that stand together: each within a width of another of its cluster, so that no chain
/// across a band of that width takes things of two.
pub(super) fn clusters(things: &[Shape], width: f64) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..things.len()).collect();
    let mut clusters = Vec::new();
    while let Some(first) = (!left.is_empty()).then(|| left.remove(0)) {
        let mut cluster = vec![first];
        let mut next = 0;
        while let Some(here) = cluster.get(next).and_then(|&at| things.get(at)) {
            let near = |&at: &usize| things.get(at).is_some_and(|its| here.is_nearer(its, width));
            let (joins, stays) = left.into_iter().partition(near);
            let joins: Vec<usize> = joins;
            cluster.extend(joins);
            left = stays;
            next += 1;
        }
        cluster.sort_unstable();
        clusters.push(cluster);
    }
    clusters
}

/// The narrowest place between the things of a cluster, or between one of them and an edge, of a
/// band along a path. `None` where what stands leaves all of the width.
pub(super) fn narrowest(
    path: &[Point],
    width: f64,
    things: &[Shape],
    cluster: &[usize],
) -> Option<Squeeze> {
    let edges = edges(path, width / 2.0);
    // The least of the widest gap on the way from the left edge, for each thing not yet settled.
    let mut open: Vec<(usize, Gap)> = Vec::new();
    for &index in cluster {
        let gap = things.get(index)?;
        open.push((index, Gap::between(&edges.left, gap, &[index])?));
    }
    let mut best: Option<Gap> = None;
    let least = |best: &Option<Gap>| best.as_ref().map_or(width, |it| it.clear);
    while let Some((index, so_far)) = take_least(&mut open) {
        if so_far.clear >= least(&best) {
            break;
        }
        let Some(thing) = things.get(index) else {
            continue;
        };
        let over = Gap::between(thing, &edges.right, &[index]).map(|gap| so_far.clone().or(gap));
        if let Some(over) = over.filter(|over| over.clear < least(&best)) {
            best = Some(over);
        }
        for (other, known) in &mut open {
            let its = things.get(*other);
            let gap = its.and_then(|its| Gap::between(thing, its, &[index, *other]));
            if let Some(gap) = gap.map(|gap| so_far.clone().or(gap))
                && gap.clear < known.clear
            {
                *known = gap;
            }
        }
    }
    best.map(|gap| {
        let Gap {
            clear,
            places,
            mut by,
        } = gap;
        by.sort_unstable();
        by.dedup();
        Squeeze { clear, places, by }
    })
}

/// Takes the thing that is reached by the least gap.
fn take_least(open: &mut Vec<(usize, Gap)>) -> Option<(usize, Gap)> {
    let clear = open.iter().map(|(_, gap)| gap.clear).enumerate();
    let (at, _) = clear.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(open.swap_remove(at))
}

/// A gap between two things.
#[derive(Clone)]
struct Gap {
    clear: f64,
    places: (Point, Point),
    by: Vec<usize>,
}

impl Gap {
    fn between(one: &Shape, other: &Shape, by: &[usize]) -> Option<Gap> {
        let found = one.separation(other)?;
        Some(Gap {
            clear: found.distance.max(0.0),
            places: (found.from, found.to),
            by: by.to_vec(),
        })
    }

    /// The wider of two gaps. Where neither leaves anything, all that stands there is to blame.
    fn or(mut self, other: Gap) -> Gap {
        if other.clear > self.clear {
            return other;
        }
        if self.clear <= 0.0 {
            self.by.extend(other.by);
        }
        self
    }
}

/// Both edges of a band.
struct Edges {
    left: Shape,
    right: Shape,
}

fn edges(path: &[Point], half: f64) -> Edges {
    let edge = |side: f64| Shape::band(&edge(path, half * side), 0.0);
    Edges {
        left: edge(1.0),
        right: edge(-1.0),
    }
}

/// One edge of a band: the path, offset to the left by `out`; to the right by a negative one.
fn edge(path: &[Point], out: f64) -> Vec<Point> {
    let sides: Vec<(Point, Point, Step)> = path
        .windows(2)
        .filter_map(|side| {
            let [from, to] = side else { return None };
            let along = (to - from).try_normalize(0.0)?;
            let off = Step::new(-along.y, along.x) * out;
            Some((from + off, to + off, along))
        })
        .collect();
    let mut edge: Vec<Point> = sides.first().map(|side| side.0).into_iter().collect();
    for pair in sides.windows(2) {
        let [(from, to, along), (next_from, next_to, next_along)] = pair else {
            continue;
        };
        let turn = libm::atan2(along.perp(next_along), along.dot(next_along));
        if turn * out < 0.0 {
            // Round the outside.
            let corner = to - Step::new(-along.y, along.x) * out;
            let steps = (turn.abs() / CHORD).ceil().clamp(1.0, 100.0);
            let spoke = to - corner;
            for k in 0..=steps as u32 {
                let (sin, cos) = libm::sincos(turn * f64::from(k) / steps);
                let turned =
                    Step::new(spoke.x * cos - spoke.y * sin, spoke.x * sin + spoke.y * cos);
                edge.push(corner + turned);
            }
        } else if let Some(meeting) = meeting((*from, *to), (*next_from, *next_to)) {
            edge.push(meeting);
        } else {
            // Sides too short to meet: both, which only makes it narrower.
            edge.extend([*to, *next_from]);
        }
    }
    edge.extend(sides.last().map(|side| side.1));
    edge
}

/// Where two stretches cross.
fn meeting(one: (Point, Point), other: (Point, Point)) -> Option<Point> {
    let (along, its) = (one.1 - one.0, other.1 - other.0);
    let turn = along.perp(&its);
    let between = other.0 - one.0;
    let (share, its_share) = (between.perp(&its) / turn, between.perp(&along) / turn);
    let on = 0.0..=1.0;
    (on.contains(&share) && on.contains(&its_share)).then(|| one.0 + along * share)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn block(x: f64, y: f64, wide: f64, deep: f64) -> Shape {
        let corners = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)];
        Shape::area(&corners.map(|(dx, dy)| p(x + dx, y + dy)))
    }

    fn clear(path: &[Point], width: f64, things: &[Shape]) -> f64 {
        clusters(things, width)
            .iter()
            .filter_map(|cluster| narrowest(path, width, things, cluster))
            .map(|found| found.clear)
            .fold(width, f64::min)
    }

    #[test]
    fn one_thing_leaves_its_wider_side() {
        let path = [p(0.0, 0.0), p(20.0, 0.0)];
        // 3 m wide; from 0.5 m right of the middle to 0.7 m left of it.
        let found = narrowest(&path, 3.0, &[block(5.0, -0.5, 1.0, 1.2)], &[0]).unwrap();
        assert!((found.clear - 1.0).abs() < 1e-12);
        assert_eq!(found.by, [0]);
    }

    #[test]
    fn two_one_after_the_other_leave_the_slip_between_them() {
        let path = [p(0.0, 0.0), p(20.0, 0.0)];
        // Each leaves 1.5 m; 0.6 m lies between them along the way.
        let things = [block(5.0, 0.0, 1.0, 3.0), block(6.6, -3.0, 1.0, 3.0)];
        let found = narrowest(&path, 3.0, &things, &[0, 1]).unwrap();
        assert!((found.clear - 0.6).abs() < 1e-12);
        // 0.6 m along and 0.8 m across is 1 m.
        let things = [block(5.0, 0.4, 1.0, 3.0), block(6.6, -3.4, 1.0, 3.0)];
        assert!((clear(&path, 3.0, &things) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn where_nothing_is_left_everything_in_the_chain_is_named() {
        let path = [p(0.0, 0.0), p(20.0, 0.0)];
        // A stall over the left edge, a rope from it over the right one, a bin beside both.
        let rope = Shape::band(&[p(6.0, 1.0), p(7.0, -2.0)], 0.0);
        let things = [block(5.0, 0.5, 2.0, 3.0), rope, block(9.0, -0.2, 0.4, 0.4)];
        let found = narrowest(&path, 3.0, &things, &[0, 1, 2]).unwrap();
        assert_eq!((found.clear, found.by), (0.0, vec![0, 1]));
    }

    #[test]
    fn corners_count_outside_and_inside() {
        // East, then north: the outside of the corner is to the south-east.
        let path = [p(0.0, 0.0), p(10.0, 0.0), p(10.0, 10.0)];
        let nothing: [Shape; 0] = [];
        assert_eq!(clear(&path, 2.0, &nothing), 2.0);
        // On the outside at 45°, from 0.4 m off the corner outwards: between it and the inner
        // corner at (9, 1).
        let reach = 0.4 * std::f64::consts::FRAC_1_SQRT_2;
        let outside = Shape::area(&[
            p(10.0 + reach, -reach),
            p(12.0 + reach, -reach),
            p(12.0 + reach, -2.0 - reach),
            p(10.0 + reach, -2.0 - reach),
        ]);
        let by_hand = std::f64::consts::SQRT_2 + 0.4;
        assert!((clear(&path, 2.0, std::slice::from_ref(&outside)) - by_hand).abs() < 1e-9);
        // A post in the very corner: 1 m of 2 m to the outside, less its radius and the chord.
        let post = Shape::disc(p(10.0, 0.0), 0.1);
        let found = clear(&path, 2.0, std::slice::from_ref(&post));
        // The inner corner is √2 m off, which is more.
        let inner = std::f64::consts::SQRT_2 - 0.1;
        assert!((found - inner).abs() < 1e-9, "{found}");
    }

    #[test]
    fn a_sharp_corner_is_no_wider_than_the_way() {
        for turn in [30.0_f64, 90.0, 120.0, 150.0] {
            let (sin, cos) = libm::sincos(turn.to_radians());
            let path = [p(-20.0, 0.0), p(0.0, 0.0), p(20.0 * cos, 20.0 * sin)];
            let Edges { left, right } = edges(&path, 1.0);
            let apart = left.separation(&right).unwrap().distance;
            assert!(apart <= 2.0 + 1e-9 && apart > 1.99, "{turn}: {apart}");
        }
    }

    proptest! {
        /// A disc of the clear width comes from one end of the way to the other on a fine grid
        /// of places, and one that is clearly wider does not.
        #[test]
        fn who_is_no_wider_gets_through(
            blocks in prop::collection::vec(
                (1.0..9.0_f64, -2.0..1.5_f64, 0.1..1.0_f64, 0.1..2.0_f64), 1..5),
        ) {
            let path = [p(-4.0, 0.0), p(14.0, 0.0)];
            let things: Vec<Shape> =
                blocks.iter().map(|&(x, y, wide, deep)| block(x, y, wide, deep)).collect();
            let width = clear(&path, 3.0, &things);
            const STEP: f64 = 0.05;
            let gets_through = |width: f64| {
                let half = width / 2.0;
                let rows = (3.0 / STEP) as i32 + 1;
                let columns = (13.0 / STEP) as i32;
                let free = |i: i32, j: i32| {
                    let at = p(-1.5 + f64::from(i) * STEP, -1.5 + f64::from(j) * STEP);
                    let here = Shape::disc(at, 0.0);
                    at.y.abs() + half <= 1.5
                        && things.iter().all(|thing| {
                            thing.separation(&here).is_some_and(|it| it.distance >= half)
                        })
                };
                let mut seen = vec![false; (rows * columns) as usize];
                let mut open: Vec<(i32, i32)> = (0..rows).map(|j| (0, j)).collect();
                while let Some((i, j)) = open.pop() {
                    if !(0..columns).contains(&i) || !(0..rows).contains(&j) {
                        continue;
                    }
                    let at = (i * rows + j) as usize;
                    if std::mem::replace(&mut seen[at], true) || !free(i, j) {
                        continue;
                    }
                    if i == columns - 1 {
                        return true;
                    }
                    open.extend([(i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)]);
                }
                false
            };
            // The grid may miss a slip that is as narrow as its own step.
            if width > 2.0 * STEP {
                prop_assert!(gets_through(width - 2.0 * STEP), "{width} does not get through");
            }
            if width < 3.0 {
                prop_assert!(!gets_through(width + 1e-6), "more than {width} gets through");
            }
        }
    }
}
