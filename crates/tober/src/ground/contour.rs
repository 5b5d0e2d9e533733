//! Contour lines of the triangulated surface.
//!
//! Within a triangle the ground is flat, so a level meets it in one straight piece, in over one
//! edge and out over another. The pieces are followed from triangle to triangle: an open line
//! starts and ends on the outline, every other line closes.
//!
//! ```text
//!            ● 12.3                 going along a line,
//!          ╱   ╲                    the higher ground is on the left
//!   12.0 ─o─────o─▶ 12.0
//!       ╱         ╲
//! 11.8 ●───────────● 11.6
//! ```
//!
//! A shot exactly at a level counts as above it, so that every line passes between shots and
//! none forks; a plateau at a level is drawn along its lower rim.

use spade::handles::{FixedFaceHandle, InnerTag, VertexHandle};
use spade::{CdtEdge, Triangulation};

use super::{Edge, Elevation, Shot, Surface, Triangle, step, to_lot};
use crate::Point;

/// The lines of one level.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// The level.
    pub elevation: Elevation,
    /// Its lines, lot frame, with the higher ground on the left. A closed line repeats its first
    /// point at the end.
    pub lines: Vec<Vec<Point>>,
}

/// More levels than anyone can tell apart on a plan.
const MOST_LEVELS: f64 = 200.0;

/// More pieces of line than a plan can show; a bound on time and memory.
const MOST_PIECES: usize = 2_000_000;

/// About as many levels as a plan reads well with.
const READABLE_LEVELS: f64 = 12.0;

const FOOT: f64 = 0.3048;

/// A round contour interval in metres for ground that rises by `range` metres in all: 1, 2 or 5
/// times a power of ten of metres, or the customary 0.1, 0.25, 0.5, 1, 2, 5, 10 ... feet.
///
/// ```
/// use tober::ground::sensible_interval;
/// assert_eq!(sensible_interval(0.9, true), 0.1);
/// assert_eq!(sensible_interval(0.9, false), 0.25 * 0.3048);
/// ```
pub fn sensible_interval(range: f64, metric: bool) -> f64 {
    const METRES: [f64; 15] = [
        0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0,
    ];
    const FEET: [f64; 13] = [
        0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0,
    ];
    const COARSEST: f64 = 1000.0;
    let (series, unit): (&[f64], f64) = if metric {
        (&METRES, 1.0)
    } else {
        (&FEET, FOOT)
    };
    let readable = |step: &&f64| range <= READABLE_LEVELS * unit * **step;
    series.iter().find(readable).unwrap_or(&COARSEST) * unit
}

/// Traces the lines of every level; see [`super::Ground::contours`].
pub(super) fn trace(
    surface: &Surface,
    origin: Point,
    lowest: Elevation,
    highest: Elevation,
    interval: f64,
) -> Vec<Contour> {
    let levels = levels(lowest, highest, interval);
    let Some(crossed) = crossed_triangles(surface, &levels) else {
        return Vec::new();
    };
    let mut tracer = Tracer {
        surface,
        origin,
        done: vec![0; surface.num_all_faces()],
        round: 0,
    };
    (levels.into_iter().zip(crossed))
        .map(|(elevation, triangles)| Contour {
            elevation,
            lines: tracer.lines(elevation, &triangles),
        })
        .filter(|contour| !contour.lines.is_empty())
        .collect()
}

/// Every whole multiple of the interval from the lowest to the highest ground; none when there
/// would be too many.
fn levels(lowest: Elevation, highest: Elevation, interval: f64) -> Vec<Elevation> {
    let first = (lowest.0 / interval).ceil();
    let last = (highest.0 / interval).floor();
    let count = last - first + 1.0;
    if !(interval > 0.0 && (1.0..=MOST_LEVELS).contains(&count)) {
        return Vec::new();
    }
    (0..count as u32)
        .map(|i| Elevation((first + f64::from(i)) * interval))
        .collect()
}

/// For every level the triangles that it crosses, or `None` when there are too many to draw.
fn crossed_triangles(
    surface: &Surface,
    levels: &[Elevation],
) -> Option<Vec<Vec<FixedFaceHandle<InnerTag>>>> {
    let mut crossed = vec![Vec::new(); levels.len()];
    let mut pieces = 0;
    for triangle in surface.inner_faces() {
        let heights = triangle.vertices().map(|shot| shot.data().elevation);
        // A level is crossed when some corner is at or above it, and some corner below.
        let some_below = |level: &Elevation| heights.iter().any(|height| height < level);
        let all_below = |level: &Elevation| heights.iter().all(|height| height < level);
        let from = levels.partition_point(|level| !some_below(level));
        let to = levels.partition_point(|level| !all_below(level));
        pieces += to.saturating_sub(from);
        if pieces > MOST_PIECES {
            return None;
        }
        for triangles in crossed.get_mut(from..to).into_iter().flatten() {
            triangles.push(triangle.fix());
        }
    }
    Some(crossed)
}

/// Follows lines over the surface, one level after the other.
struct Tracer<'a> {
    surface: &'a Surface,
    origin: Point,
    /// By triangle, the round in which a line last went through it.
    done: Vec<u32>,
    /// Counts the levels, from 1.
    round: u32,
}

impl<'a> Tracer<'a> {
    fn lines(
        &mut self,
        level: Elevation,
        crossed: &[FixedFaceHandle<InnerTag>],
    ) -> Vec<Vec<Point>> {
        self.round += 1;
        let triangles = || crossed.iter().map(|&handle| self.surface.face(handle));
        // Open lines first, each from its own end; what they leave over is closed.
        let comes_in_over_the_outline = |triangle: &Triangle<'a>| {
            entry(triangle, level).is_some_and(|edge| edge.rev().is_outer_edge())
        };
        let starts: Vec<Triangle<'a>> = triangles()
            .filter(comes_in_over_the_outline)
            .chain(triangles())
            .collect();
        (starts.into_iter())
            .filter_map(|start| self.line(level, start))
            .collect()
    }

    /// The line through a triangle, from there on; `None` when it has been drawn, or when it is
    /// but a point.
    fn line(&mut self, level: Elevation, start: Triangle<'a>) -> Option<Vec<Point>> {
        let mut line = Vec::new();
        let mut next = Some(start);
        while let Some(triangle) = next.filter(|triangle| self.first_time(triangle)) {
            let (entry, exit) = (entry(&triangle, level)?, exit(&triangle, level)?);
            if line.is_empty() {
                line.push(self.crossing(entry, level));
            }
            let point = self.crossing(exit, level);
            if line.last() != Some(&point) {
                line.push(point);
            }
            next = exit.rev().face().as_inner();
        }
        (line.len() > 1).then_some(line)
    }

    fn first_time(&mut self, triangle: &Triangle<'a>) -> bool {
        match self.done.get_mut(triangle.fix().index()) {
            Some(round) if *round < self.round => {
                *round = self.round;
                true
            }
            _ => false,
        }
    }

    /// Where a level crosses an edge: the same point from either side of it.
    fn crossing(&self, edge: Edge<'_>, level: Elevation) -> Point {
        let ends: [Shot; 2] = edge.vertices().map(|shot| *shot.data());
        let [below, above] = match ends {
            [a, b] if a.elevation < b.elevation => [a, b],
            [a, b] => [b, a],
        };
        if above.elevation == level {
            return to_lot(self.origin, above.at);
        }
        let share = (level - below.elevation) / (above.elevation - below.elevation);
        to_lot(self.origin, below.at) + step(below.at, above.at) * share
    }
}

/// The edge over which the line comes into a triangle, higher ground on its left: going round
/// counter-clockwise, the one that goes down through the level.
fn entry<'a>(triangle: &Triangle<'a>, level: Elevation) -> Option<Edge<'a>> {
    let goes_down = |edge: &Edge<'a>| is_above(edge.from(), level) && !is_above(edge.to(), level);
    triangle.adjacent_edges().into_iter().find(goes_down)
}

/// The edge over which the line leaves: the one that goes up through the level.
fn exit<'a>(triangle: &Triangle<'a>, level: Elevation) -> Option<Edge<'a>> {
    let goes_up = |edge: &Edge<'a>| !is_above(edge.from(), level) && is_above(edge.to(), level);
    triangle.adjacent_edges().into_iter().find(goes_up)
}

fn is_above(shot: VertexHandle<'_, Shot, (), CdtEdge<()>, ()>, level: Elevation) -> bool {
    shot.data().elevation >= level
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    use crate::ground::Ground;
    use crate::site::SpotLevel;

    fn shot(x: f64, y: f64, elevation: f64) -> SpotLevel {
        SpotLevel::new(x, y, Elevation(elevation))
    }

    fn hill() -> Ground {
        let mut shots = Vec::new();
        for x in -8..=8 {
            for y in -8..=8 {
                let (x, y) = (f64::from(x), f64::from(y));
                shots.push(shot(x, y, 10.0 - 0.1 * (x * x + y * y)));
            }
        }
        Ground::new(&shots)
    }

    #[test]
    fn a_slope_is_crossed_by_straight_open_lines() {
        let slope = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(4.0, 0.0, 1.0),
            shot(0.0, 4.0, 2.0),
            shot(4.0, 4.0, 2.0),
        ]);
        let contours = slope.contours(0.25);
        let levels: Vec<f64> = contours.iter().map(|c| c.elevation.0).collect();
        assert_eq!(levels, [1.25, 1.5, 1.75, 2.0]);
        let [line] = contours[1].lines.as_slice() else {
            panic!("one line: {:?}", contours[1]);
        };
        assert!(line.iter().all(|point| point.y == 2.0));
        // Higher ground, the north, on the left: eastwards.
        assert_eq!(line.first(), Some(&Point::new(0.0, 2.0)));
        assert_eq!(line.last(), Some(&Point::new(4.0, 2.0)));
    }

    #[test]
    fn a_hill_is_ringed_by_closed_lines_counter_clockwise() {
        for contour in hill().contours(0.7) {
            for line in contour
                .lines
                .iter()
                .filter(|line| line.first() == line.last())
            {
                let doubled: f64 = line
                    .windows(2)
                    .map(|w| w[0].coords.perp(&w[1].coords))
                    .sum();
                assert!(doubled > 0.0, "{}: {doubled}", contour.elevation.0);
            }
        }
        let rings = hill().contours(5.0);
        // 10 - r²/10 = 5 at r = √50: inside the square, and close to that circle.
        let ring = &rings.iter().find(|c| c.elevation.0 == 5.0).unwrap().lines;
        assert_eq!(ring.len(), 1);
        assert!(
            ring[0]
                .iter()
                .all(|p| (p.coords.norm() - 50f64.sqrt()).abs() < 0.05)
        );
    }

    #[test]
    fn a_peak_at_a_level_draws_nothing() {
        let peak = Ground::new(&[
            shot(-1.0, -1.0, 0.5),
            shot(1.0, -1.0, 0.5),
            shot(0.0, 1.0, 0.5),
            shot(0.0, 0.0, 1.0),
        ]);
        assert!(peak.contours(1.0).is_empty());
    }

    #[test]
    fn silly_intervals_are_refused() {
        // The hill is 12.8 m high: 213 levels are too many, 182 are not.
        for interval in [0.0, -1.0, 0.06, 1e-9, 1e-320, f64::NAN, f64::INFINITY] {
            assert!(hill().contours(interval).is_empty(), "{interval}");
        }
        assert!(!hill().contours(0.07).is_empty());
        let level = Ground::new(&[
            shot(0.0, 0.0, 1.0),
            shot(1.0, 0.0, 1.0),
            shot(0.0, 1.0, 1.0),
        ]);
        assert!(level.contours(1.0).is_empty());
    }

    #[test]
    fn a_sensible_interval_is_round_and_gives_a_readable_number_of_levels() {
        assert_eq!(sensible_interval(1.3, true), 0.2);
        assert_eq!(sensible_interval(1.3, false), 0.5 * FOOT);
        for metric in [true, false] {
            for range in [0.3, 0.7, 1.0, 2.5, 8.0, 90.0] {
                let levels = range / sensible_interval(range, metric);
                assert!((4.0..=12.0).contains(&levels), "{range}: {levels}");
            }
            assert!(sensible_interval(f64::NAN, metric) > 0.0);
            assert!(sensible_interval(0.0, metric) > 0.0);
        }
    }

    proptest! {
        /// Every line lies on the surface at its level, and ends where lines may end.
        #[test]
        fn lines_lie_on_the_surface_and_do_not_break_off(
            shots in prop::collection::vec(
                (0i32..12, 0i32..12, 0i32..8)
                    .prop_map(|(x, y, z)| shot(f64::from(x), f64::from(y), f64::from(z) * 0.5)),
                3..60,
            ),
            interval in prop_oneof![Just(0.5), Just(0.3), 0.2..2.0f64],
        ) {
            let ground = Ground::new(&shots);
            let outline = ground.outline();
            let on_outline = |p: &Point| (0..outline.len()).any(|i| {
                let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
                let share = ((p - a).dot(&(b - a)) / (b - a).norm_squared()).clamp(0.0, 1.0);
                (a + (b - a) * share - p).norm() < 1e-9
            });
            for contour in ground.contours(interval) {
                for line in &contour.lines {
                    for pair in line.windows(2) {
                        let middle = nalgebra::center(&pair[0], &pair[1]);
                        let height = ground.height(middle).unwrap();
                        prop_assert!((height - contour.elevation).abs() < 1e-9);
                    }
                    let (first, last) = (line.first().unwrap(), line.last().unwrap());
                    prop_assert!(first == last || (on_outline(first) && on_outline(last)));
                }
            }
        }
    }
}
