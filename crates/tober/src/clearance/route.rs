//! The shortest way on the ground from one place to another round things that stand there.
//!
//! # Picture
//!
//! A taut string round posts and walls: it bends only at corners of what stands in its way.
//!
//! ```text
//!     from o───────.        each corner is taken a finger's breadth off the wall, so that the
//!           ▒▒▒▒▒▒▒▒╲       string touches nothing
//!           ▒▒▒▒▒▒▒▒ ╲
//!                     o to
//! ```
//!
//! # Method
//!
//! A* (Hart, Nilsson & Raphael, 1968) over the corners, from each to every other that it sees.
//! It begins with nothing in the way; whatever the string then crosses is added, and it is drawn
//! anew. A string that is shortest past some of the things and crosses none of the others is
//! shortest past all of them.

use geo::{Coord, Intersects, LineString, Polygon};

use super::standing::{bounds, meets};
use crate::{Point, Step};

/// How far off a corner the string passes, metres: more than rounding, less than a cord.
const OFF: f64 = 0.01;

/// A search that has not ended after so many rounds is given up.
const ROUNDS: u32 = 100;

/// Something that a string goes round.
pub(super) struct Wall {
    corners: Vec<Point>,
    area: Polygon,
    bounds: (Point, Point),
}

impl Wall {
    /// A wall by its corners in order; `None` where they enclose nothing.
    pub(super) fn new(corners: &[Point]) -> Option<Wall> {
        (corners.len() > 2).then(|| Wall {
            corners: corners.to_vec(),
            area: Polygon::new(LineString::from_iter(corners.iter().map(coord)), Vec::new()),
            bounds: bounds(corners),
        })
    }

    fn holds(&self, place: Point) -> bool {
        meets(self.bounds, (place, place)) && self.area.intersects(&coord(&place))
    }

    /// Whether a stretch meets the wall or runs inside it.
    fn crosses(&self, from: Point, to: Point) -> bool {
        if !meets(self.bounds, (from.inf(&to), from.sup(&to))) {
            return false;
        }
        self.area
            .intersects(&geo::Line::new(coord(&from), coord(&to)))
    }
}

fn coord(place: &Point) -> Coord {
    Coord {
        x: place.x,
        y: place.y,
    }
}

/// The shortest way round walls; `None` when there is none, or it was not found. A wall in which
/// either end lies is left aside.
pub(super) fn shortest(from: Point, to: Point, walls: &[&Wall]) -> Option<Vec<Point>> {
    let holds_an_end = |wall: &&&Wall| wall.holds(from) || wall.holds(to);
    let walls: Vec<&Wall> = walls
        .iter()
        .filter(|wall| !holds_an_end(wall))
        .copied()
        .collect();
    let mut met = vec![false; walls.len()];
    for _ in 0..ROUNDS {
        let known = walls.iter().zip(&met).filter(|(_, met)| **met);
        let known: Vec<&Wall> = known.map(|(wall, _)| *wall).collect();
        let way = taut(from, to, &known)?;
        let mut free = true;
        for (wall, met) in walls.iter().zip(&mut met).filter(|(_, met)| !**met) {
            let crossed = way.windows(2).any(|leg| {
                let &[a, b] = leg else { return false };
                wall.crosses(a, b)
            });
            if crossed {
                (*met, free) = (true, false);
            }
        }
        if free {
            return Some(way);
        }
    }
    None
}

/// The length of a way, metres.
pub(super) fn length(way: &[Point]) -> f64 {
    let legs = way.windows(2).filter_map(|leg| match leg {
        [a, b] => Some((b - a).norm()),
        _ => None,
    });
    legs.sum()
}

/// The shortest way past a few walls.
fn taut(from: Point, to: Point, walls: &[&Wall]) -> Option<Vec<Point>> {
    let open = |at: &Point| walls.iter().all(|wall| !wall.holds(*at));
    let corners = walls
        .iter()
        .flat_map(|wall| corners_of(&wall.corners))
        .filter(open);
    let places: Vec<Point> = [from, to].into_iter().chain(corners).collect();
    let mut so_far = vec![f64::INFINITY; places.len()];
    let mut before = vec![0_usize; places.len()];
    let mut done = vec![false; places.len()];
    *so_far.first_mut()? = 0.0;
    loop {
        let ahead = |index: &usize| {
            let (walked, at) = (so_far.get(*index)?, places.get(*index)?);
            walked.is_finite().then(|| walked + (to - at).norm())
        };
        let waiting = (0..places.len()).filter(|index| done.get(*index) == Some(&false));
        let next = waiting.filter_map(|index| Some((ahead(&index)?, index)));
        let (_, here) = next.min_by(|a, b| a.0.total_cmp(&b.0))?;
        if here == 1 {
            break;
        }
        *done.get_mut(here)? = true;
        let (walked, at) = (*so_far.get(here)?, *places.get(here)?);
        for (index, &there) in places.iter().enumerate() {
            let longer = walked + (there - at).norm();
            let worth = done.get(index) == Some(&false) && so_far.get(index) > Some(&longer);
            if worth && !walls.iter().any(|wall| wall.crosses(at, there)) {
                *so_far.get_mut(index)? = longer;
                *before.get_mut(index)? = here;
            }
        }
    }
    let mut way = vec![to];
    let mut here = 1;
    while here != 0 {
        here = *before.get(here)?;
        way.push(*places.get(here)?);
    }
    way.reverse();
    Some(way)
}

/// The corners that a string may bend round, each a little off the wall.
fn corners_of(wall: &[Point]) -> Vec<Point> {
    let twice_area: f64 = sides(wall).map(|(a, b)| a.coords.perp(&b.coords)).sum();
    let round = if twice_area < 0.0 { -1.0 } else { 1.0 };
    let before = wall.iter().cycle().skip(wall.len().saturating_sub(1));
    let after = wall.iter().cycle().skip(1);
    let three = wall.iter().zip(before.zip(after));
    three
        .filter_map(|(at, (before, after))| {
            let first = (at - before).try_normalize(0.0)?;
            let second = (after - at).try_normalize(0.0)?;
            // Only where the wall turns towards its inside.
            if first.perp(&second) * round <= 1e-9 {
                return None;
            }
            let outwards = |along: Step| Step::new(along.y, -along.x) * round;
            let both = outwards(first) + outwards(second);
            // A sharp tip is passed at its end, not far beyond.
            let open = (both.norm_squared() / 2.0).max(0.2);
            Some(at + both * (OFF / open))
        })
        .collect()
}

fn sides(wall: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    let next = wall.iter().cycle().skip(1);
    wall.iter().zip(next).map(|(&a, &b)| (a, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn block(x: f64, y: f64, half: f64) -> Vec<Point> {
        vec![
            p(x - half, y - half),
            p(x + half, y - half),
            p(x + half, y + half),
            p(x - half, y + half),
        ]
    }

    fn walked(from: Point, to: Point, walls: &[Vec<Point>]) -> Option<f64> {
        way(from, to, walls).map(|way| length(&way))
    }

    fn way(from: Point, to: Point, walls: &[Vec<Point>]) -> Option<Vec<Point>> {
        let walls: Vec<Wall> = walls.iter().filter_map(|wall| Wall::new(wall)).collect();
        shortest(from, to, &walls.iter().collect::<Vec<_>>())
    }

    fn crosses(from: Point, to: Point, wall: &[Point]) -> bool {
        Wall::new(wall).unwrap().crosses(from, to)
    }

    #[test]
    fn straight_on_where_nothing_stands() {
        assert_eq!(
            walked(p(0.0, 0.0), p(3.0, 4.0), &[block(9.0, 9.0, 1.0)]),
            Some(5.0)
        );
    }

    #[test]
    fn round_a_block_by_its_corner() {
        // From (-5, 0) to (5, 0) past a block of 4 m: twice to a corner and along one side.
        let by_hand = 2.0 * libm::hypot(3.0, 2.0) + 4.0;
        let found = walked(p(-5.0, 0.0), p(5.0, 0.0), &[block(0.0, 0.0, 2.0)]).unwrap();
        assert!(
            found >= by_hand && found < by_hand + 0.05,
            "{found} {by_hand}"
        );
    }

    #[test]
    fn no_way_out_of_a_closed_ring() {
        // Four walls that overlap at their ends.
        let wall =
            |x0: f64, y0: f64, x1: f64, y1: f64| vec![p(x0, y0), p(x1, y0), p(x1, y1), p(x0, y1)];
        let ring = [
            wall(-3.0, -3.0, 3.0, -2.0),
            wall(-3.0, 2.0, 3.0, 3.0),
            wall(-3.0, -3.0, -2.0, 3.0),
            wall(2.0, -3.0, 3.0, 3.0),
        ];
        assert_eq!(walked(p(0.0, 0.0), p(9.0, 0.0), &ring), None);
        assert!(walked(p(0.0, 0.0), p(9.0, 0.0), &ring[..3]).is_some());
    }

    proptest! {
        /// On a fine net of places, Dijkstra's way is never shorter by more than the corners'
        /// finger's breadth: the string is the shortest.
        #[test]
        fn no_longer_than_a_net_of_places(
            blocks in prop::collection::vec((-6.0..6.0_f64, -6.0..6.0_f64, 0.3..1.6_f64), 0..6),
        ) {
            let walls: Vec<Vec<Point>> =
                blocks.iter().map(|&(x, y, half)| block(x, y, half)).collect();
            let (from, to) = (p(-9.0, 0.0), p(9.0, 0.0));
            let found = walked(from, to, &walls).unwrap();
            let by_net = net(from, to, &walls).unwrap();
            prop_assert!(found <= by_net + 0.1, "{found} {by_net}");
            prop_assert!(found >= 18.0 - 1e-9);
            for leg in way(from, to, &walls).unwrap().windows(2) {
                for wall in &walls {
                    prop_assert!(!crosses(leg[0], leg[1], wall));
                }
            }
        }
    }

    /// The shortest way over a net of half metres, eight ways from each knot.
    fn net(from: Point, to: Point, walls: &[Vec<Point>]) -> Option<f64> {
        const SIDE: i32 = 40;
        let at = |(i, j): (i32, i32)| p(-10.0 + 0.5 * f64::from(i), -10.0 + 0.5 * f64::from(j));
        let knot = |p: Point| {
            (
                ((p.x + 10.0) / 0.5).round() as i32,
                ((p.y + 10.0) / 0.5).round() as i32,
            )
        };
        let free = |a: Point, b: Point| !walls.iter().any(|wall| crosses(a, b, wall));
        let mut best = std::collections::BTreeMap::from([(knot(from), 0.0)]);
        let mut waiting = vec![knot(from)];
        while let Some(here) = waiting.pop() {
            let walked = best[&here];
            for (di, dj) in [
                (1, 0),
                (-1, 0),
                (0, 1),
                (0, -1),
                (1, 1),
                (1, -1),
                (-1, 1),
                (-1, -1),
            ] {
                let there = (here.0 + di, here.1 + dj);
                let inside = (0..=SIDE).contains(&there.0) && (0..=SIDE).contains(&there.1);
                let length = walked + (at(there) - at(here)).norm();
                let better = best.get(&there).is_none_or(|&known| length < known - 1e-9);
                if inside && better && free(at(here), at(there)) {
                    best.insert(there, length);
                    waiting.insert(0, there);
                }
            }
        }
        best.get(&knot(to)).copied()
    }
}
