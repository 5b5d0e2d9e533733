//! Distances in plan between shapes: discs, bands along a path, and areas, with the two nearest
//! places; and, when two shapes overlap, how far one must be pushed to come clear.
//!
//! A shape is a *core* of straight sides, widened all round by a radius: a disc is one point
//! with a radius, a walkway is its middle line with half its width. Round shapes are therefore
//! exact, never a polygon that cuts corners. The ends of a band are rounded, which reaches past
//! a square end: it errs towards less clearance.
//!
//! The distance of two cores that are apart is that of their nearest pair of sides. Where the
//! cores overlap, the push is the least overlap along any direction square to a side of their
//! hulls (the separating-axis theorem, exact for convex shapes and never too small for others).

use geo::coordinate_position::{CoordPos, coord_pos_relative_to_ring};
use geo::{ConvexHull, Coord, LineString, MultiPoint};

use crate::{Point, Step};

/// A shape in plan, lot frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    core: Vec<Point>,
    filled: bool,
    radius: f64,
}

/// How two shapes lie to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separation {
    /// Distance, metres; negative when they overlap: the push that would part them.
    pub distance: f64,
    /// Nearest place of the first shape.
    pub from: Point,
    /// Nearest place of the second shape.
    pub to: Point,
}

/// How the cores of two shapes lie to each other.
struct Cores {
    /// Square of the least distance between their sides.
    squared: f64,
    from: Point,
    to: Point,
    /// Whether one lies inside the other.
    inside: bool,
}

impl Cores {
    /// How far they are apart, metres; `None` where they overlap or touch.
    fn apart(&self) -> Option<f64> {
        (self.squared > 0.0 && !self.inside).then(|| self.squared.sqrt())
    }
}

impl Shape {
    /// A disc.
    pub fn disc(centre: Point, radius: f64) -> Shape {
        Shape {
            core: vec![centre],
            filled: false,
            radius,
        }
    }

    /// A band of a full `width` along a path.
    pub fn band(path: &[Point], width: f64) -> Shape {
        Shape {
            core: path.to_vec(),
            filled: false,
            radius: width / 2.0,
        }
    }

    /// A filled area, its corners in order.
    pub fn area(corners: &[Point]) -> Shape {
        Shape {
            core: corners.to_vec(),
            filled: true,
            radius: 0.0,
        }
    }

    /// A closed line, nothing inside.
    pub fn ring(corners: &[Point]) -> Shape {
        Shape {
            core: corners.iter().chain(corners.first()).copied().collect(),
            filled: false,
            radius: 0.0,
        }
    }

    /// The same shape, wider all round.
    pub(crate) fn widened(self, by: f64) -> Shape {
        Shape {
            radius: self.radius + by,
            ..self
        }
    }

    /// The corners of the core.
    pub(super) fn corners(&self) -> &[Point] {
        &self.core
    }

    /// The smallest convex shape that holds it.
    pub(crate) fn convex(&self) -> Shape {
        match self.core.len() {
            0 | 1 => self.clone(),
            _ => Shape {
                core: hull(&self.core),
                filled: true,
                radius: self.radius,
            },
        }
    }

    /// Whether it is convex: a disc, a straight band, or an area that turns one way all along.
    pub(crate) fn is_convex(&self) -> bool {
        if self.core.len() <= 2 {
            return true;
        }
        let next = |k: usize| self.core.iter().cycle().skip(k);
        let turns = self.core.iter().zip(next(1)).zip(next(2));
        let turns = turns.map(|((a, b), c)| (b - a).perp(&(c - b)));
        let (low, high) = turns.fold((0.0_f64, 0.0_f64), |(low, high), it| {
            (low.min(it), high.max(it))
        });
        // One that turns one way all along may still go round twice; its hull then has fewer
        // corners.
        self.filled && (low == 0.0 || high == 0.0) && hull(&self.core).len() == self.core.len()
    }

    /// Each side of the core, with the radius of the shape.
    pub(crate) fn side_shapes(&self) -> impl Iterator<Item = Shape> + '_ {
        self.sides().map(|(from, to)| Shape {
            core: vec![from, to],
            filled: false,
            radius: self.radius,
        })
    }

    /// The corners, lowest and highest, of the box round it, sides along x and y. `None` when it
    /// is empty.
    pub(crate) fn extent(&self) -> Option<(Point, Point)> {
        let (low, high) = around(&self.core)?;
        let wider = Step::repeat(self.radius);
        Some((low - wider, high + wider))
    }

    /// Whether it keeps less than a distance, metres, from another; below zero: whether it reaches
    /// so far into it.
    pub(crate) fn is_nearer(&self, other: &Shape, than: f64) -> bool {
        // Shapes are no nearer than the boxes round them.
        let apart = |(one, other): ((Point, Point), (Point, Point))| {
            (other.0 - one.1).sup(&(one.0 - other.1)).max() >= than
        };
        if self.extent().zip(other.extent()).is_some_and(apart) {
            return false;
        }
        let radii = self.radius + other.radius;
        self.cores(other).is_some_and(|cores| {
            // How far cores that overlap must be pushed need not always be asked.
            let overlaps = || -radii < than || -self.push(other) - radii < than;
            cores
                .apart()
                .map_or_else(overlaps, |apart| apart - radii < than)
        })
    }

    /// The sides of the core: one of no length for a lone point.
    fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        let lone = (self.core.len() == 1)
            .then(|| self.core.first().map(|&p| (p, p)))
            .flatten();
        let closing = match (self.filled, self.core.last(), self.core.first()) {
            (true, Some(&last), Some(&first)) if self.core.len() > 2 => Some((last, first)),
            _ => None,
        };
        self.core
            .windows(2)
            .map(|pair| (pair[0], pair[1]))
            .chain(closing)
            .chain(lone)
    }

    /// Where a line runs in the shape, piece by piece: in discs round the corners, in rectangles
    /// round the sides, and in the filled core.
    pub(super) fn pieces_along(&self, at: Point, along: Step) -> Vec<(f64, f64)> {
        let mut spans = Vec::new();
        for &corner in &self.core {
            let s = (corner - at).dot(&along);
            let beside = (at + along * s - corner).norm();
            if beside < self.radius {
                let half = (self.radius * self.radius - beside * beside).sqrt();
                spans.push((s - half, s + half));
            }
        }
        for (from, to) in self.sides().filter(|_| self.radius > 0.0) {
            let Some(ahead) = (to - from).try_normalize(0.0) else {
                continue;
            };
            let left = Step::new(-ahead.y, ahead.x) * self.radius;
            let around = [from - left, to - left, to + left, from + left];
            spans.extend(runs_inside(&around, at, along));
        }
        if self.filled {
            spans.extend(runs_inside(&self.core, at, along));
        }
        spans
    }

    /// Whether a place lies in the filled core.
    fn holds(&self, place: Point) -> bool {
        // A box is asked before the outline.
        let near = |(low, high): Bounds| gap_squared((low, high), (place, place)) <= 0.0;
        self.filled && around(&self.core).is_some_and(near) && contains(&self.core, place)
    }

    /// How the other shape lies to this one. `None` when either is empty.
    pub fn separation(&self, other: &Shape) -> Option<Separation> {
        let radii = self.radius + other.radius;
        let cores = self.cores(other)?;
        let (from, to) = (cores.from, cores.to);
        if let Some(apart) = cores.apart() {
            let along = (to - from) / apart;
            return Some(Separation {
                distance: apart - radii,
                from: from + along * self.radius,
                to: to - along * other.radius,
            });
        }
        Some(Separation {
            distance: -self.push(other) - radii,
            from,
            to,
        })
    }

    /// How the cores lie to each other.
    fn cores(&self, other: &Shape) -> Option<Cores> {
        let whole = around(&other.core)?;
        let mut nearest: Option<(f64, Point, Point)> = None;
        // What a box keeps away, nothing in it comes nearer.
        let farther = |nearest: &Option<(f64, Point, Point)>, a: Bounds, b: Bounds| {
            nearest.is_some_and(|(least, ..)| gap_squared(a, b) >= least)
        };
        for own in self.sides() {
            let here = bounds(own);
            if farther(&nearest, here, whole) {
                continue;
            }
            for its in other.sides() {
                if farther(&nearest, here, bounds(its)) {
                    continue;
                }
                let pair = nearest_places(own, its);
                let squared = (pair.1 - pair.0).norm_squared();
                if nearest.is_none_or(|(least, ..)| squared < least) {
                    nearest = Some((squared, pair.0, pair.1));
                }
            }
        }
        let (squared, from, to) = nearest?;
        let inside = self.holds(*other.core.first()?) || other.holds(*self.core.first()?);
        Some(Cores {
            squared,
            from,
            to,
            inside,
        })
    }

    /// How far the cores must be pushed to come apart, given that they overlap. A core that is
    /// not filled is taken side by side, so that a bent path is not mistaken for the area that
    /// it goes round.
    fn push(&self, other: &Shape) -> f64 {
        let mut deepest = 0.0_f64;
        for own in self.pieces() {
            for its in other.pieces() {
                deepest = deepest.max(overlap(&own, &its));
            }
        }
        deepest
    }

    fn pieces(&self) -> Vec<Vec<Point>> {
        if self.filled {
            vec![hull(&self.core)]
        } else {
            self.sides().map(|(a, b)| vec![a, b]).collect()
        }
    }
}

/// Distance from a shape to a lot line that it must stay within: negative when it reaches out,
/// by how far. Both places lie on the line and on the shape.
pub fn within(shape: &Shape, boundary: &[Point]) -> Option<Separation> {
    let line = Shape::ring(boundary);
    let core = Shape {
        radius: 0.0,
        ..shape.clone()
    };
    let nearest = core.separation(&line)?;
    let outside = |p: &&Point| !contains(boundary, **p);
    let crosses = core
        .sides()
        .any(|side| line.sides().any(|wall| cross(side, wall)));
    let strays = core.core.iter().any(|p| outside(&p));
    let swallows = boundary.iter().any(|&p| core.holds(p));
    if !crosses && !strays && !swallows {
        let along = (nearest.to - nearest.from)
            .try_normalize(0.0)
            .unwrap_or_default();
        // A ring has no inside, so the core's own separation is its distance when apart.
        return Some(Separation {
            distance: nearest.distance - shape.radius,
            from: nearest.from + along * shape.radius,
            to: nearest.to,
        });
    }
    // The farthest stray corner, or the deepest corner of the line inside the shape.
    let mut worst = Separation {
        distance: -shape.radius,
        from: nearest.from,
        to: nearest.to,
    };
    let mut deepen = |place: Point, against: &Shape| {
        if let Some(found) = Shape::disc(place, 0.0).separation(against) {
            let distance = -found.distance.max(0.0) - shape.radius;
            if distance < worst.distance {
                worst = Separation {
                    distance,
                    from: found.from,
                    to: found.to,
                };
            }
        }
    };
    for &corner in core.core.iter().filter(outside) {
        deepen(corner, &line);
    }
    let rim = Shape::ring(&core.core);
    for &corner in boundary.iter().filter(|&&p| core.holds(p)) {
        deepen(corner, &rim);
    }
    Some(worst)
}

/// Whether a place lies inside a closed line of corners, or on it.
pub fn contains(corners: &[Point], place: Point) -> bool {
    let coord = |p: Point| Coord { x: p.x, y: p.y };
    let closing = corners.first();
    let ring: LineString<f64> = corners.iter().chain(closing).map(|&p| coord(p)).collect();
    coord_pos_relative_to_ring(coord(place), &ring) != CoordPos::Outside
}

/// Where a line runs inside a closed line of corners: between each first and second crossing.
fn runs_inside(corners: &[Point], at: Point, along: Step) -> Vec<(f64, f64)> {
    let next = corners.iter().cycle().skip(1);
    let mut crossings: Vec<f64> = corners
        .iter()
        .zip(next)
        .filter_map(|(from, to)| {
            let (a, b) = (along.perp(&(from - at)), along.perp(&(to - at)));
            // One end counts to each side, so that a corner is passed once.
            ((a < 0.0) != (b < 0.0)).then(|| {
                let share = a / (a - b);
                (from + (to - from) * share - at).dot(&along)
            })
        })
        .collect();
    crossings.sort_by(f64::total_cmp);
    let pairs = crossings.chunks_exact(2);
    pairs.map(|pair| (pair[0], pair[1])).collect()
}

/// A box, sides along x and y: its lowest and its highest corner.
type Bounds = (Point, Point);

/// The box round some places.
fn around(places: &[Point]) -> Option<Bounds> {
    let first = *places.first()?;
    Some(
        places
            .iter()
            .fold((first, first), |(low, high), p| (low.inf(p), high.sup(p))),
    )
}

/// The box round a stretch.
fn bounds((from, to): (Point, Point)) -> Bounds {
    (from.inf(&to), from.sup(&to))
}

/// Squared gap between two boxes; 0 when they overlap.
fn gap_squared(a: Bounds, b: Bounds) -> f64 {
    let dx = (b.0.x - a.1.x).max(a.0.x - b.1.x).max(0.0);
    let dy = (b.0.y - a.1.y).max(a.0.y - b.1.y).max(0.0);
    dx * dx + dy * dy
}

/// The nearest places of two straight stretches: the same place when they cross.
fn nearest_places(a: (Point, Point), b: (Point, Point)) -> (Point, Point) {
    if let Some(meeting) = crossing(a, b) {
        return (meeting, meeting);
    }
    // Stretches that do not cross are nearest at an end of one of them.
    let candidates = [
        (a.0, foot(a.0, b)),
        (a.1, foot(a.1, b)),
        (foot(b.0, a), b.0),
        (foot(b.1, a), b.1),
    ];
    let mut best = candidates[0];
    for pair in candidates {
        if (pair.1 - pair.0).norm_squared() < (best.1 - best.0).norm_squared() {
            best = pair;
        }
    }
    best
}

fn cross(a: (Point, Point), b: (Point, Point)) -> bool {
    crossing(a, b).is_some()
}

/// Where two stretches cross, if they are not parallel and do.
fn crossing(a: (Point, Point), b: (Point, Point)) -> Option<Point> {
    let (along_a, along_b) = (a.1 - a.0, b.1 - b.0);
    let turn = along_a.perp(&along_b);
    // Between stretches of one line, rounding alone would say where they cross. Those that are
    // all but parallel and do cross come as near at an end as rounding tells.
    if turn * turn <= 1e-24 * along_a.norm_squared() * along_b.norm_squared() {
        return None;
    }
    let between = b.0 - a.0;
    let (share_a, share_b) = (between.perp(&along_b) / turn, between.perp(&along_a) / turn);
    let on = 0.0..=1.0;
    (on.contains(&share_a) && on.contains(&share_b)).then(|| a.0 + along_a * share_a)
}

/// The place of a stretch nearest to a point.
fn foot(point: Point, (from, to): (Point, Point)) -> Point {
    let along = to - from;
    let squared = along.norm_squared();
    if squared == 0.0 {
        return from;
    }
    let share = (point - from).dot(&along) / squared;
    from + along * share.clamp(0.0, 1.0)
}

fn hull(points: &[Point]) -> Vec<Point> {
    let cloud: MultiPoint<f64> = points.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    let mut corners: Vec<Point> = cloud
        .convex_hull()
        .exterior()
        .coords()
        .map(|c| Point::new(c.x, c.y))
        .collect();
    corners.pop(); // the first again
    corners
}

/// Least overlap of two convex pieces along any direction square to one of their sides; 0 or
/// less when they are apart.
fn overlap(a: &[Point], b: &[Point]) -> f64 {
    let span = |piece: &[Point], axis: Step| {
        piece
            .iter()
            .map(|p| p.coords.dot(&axis))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), d| {
                (low.min(d), high.max(d))
            })
    };
    let mut least = f64::INFINITY;
    for piece in [a, b] {
        for (i, &from) in piece.iter().enumerate() {
            let to = piece[(i + 1) % piece.len()];
            let along = to - from;
            let Some(axis) = Step::new(-along.y, along.x).try_normalize(0.0) else {
                continue;
            };
            let (own, its) = (span(a, axis), span(b, axis));
            least = least.min((own.1 - its.0).min(its.1 - own.0));
        }
    }
    if least.is_finite() {
        least.max(0.0)
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    fn square() -> Vec<Point> {
        vec![p(0.0, 0.0), p(10.0, 0.0), p(10.0, 10.0), p(0.0, 10.0)]
    }

    #[test]
    fn a_disc_beside_a_band() {
        let walk = Shape::band(&[p(0.0, 0.0), p(20.0, 0.0)], 2.0);
        let found = Shape::disc(p(5.0, 6.0), 3.0).separation(&walk).unwrap();
        assert!((found.distance - 2.0).abs() < 1e-12);
        assert!((found.from - p(5.0, 3.0)).norm() < 1e-12);
        assert!((found.to - p(5.0, 1.0)).norm() < 1e-12);
    }

    #[test]
    fn overlap_is_the_push_that_parts() {
        let hall = Shape::area(&square());
        let disc = Shape::disc(p(9.0, 5.0), 2.0);
        // 1 m to the wall, and its own 2 m.
        assert!((disc.separation(&hall).unwrap().distance + 3.0).abs() < 1e-12);
        let deck = Shape::area(&[p(9.5, 2.0), p(12.0, 2.0), p(12.0, 4.0), p(9.5, 4.0)]);
        assert!((deck.separation(&hall).unwrap().distance + 0.5).abs() < 1e-12);
    }

    #[test]
    fn the_lot_line_keeps_things_in() {
        let lot = square();
        let at = |x, r| within(&Shape::disc(p(x, 5.0), r), &lot).unwrap().distance;
        assert!((at(5.0, 2.0) - 3.0).abs() < 1e-12);
        assert!((at(9.0, 2.0) + 1.0).abs() < 1e-12);
        assert!((at(12.0, 2.0) + 4.0).abs() < 1e-12);
        let deck = Shape::area(&[p(8.0, 4.0), p(11.0, 4.0), p(11.0, 6.0), p(8.0, 6.0)]);
        assert!((within(&deck, &lot).unwrap().distance + 1.0).abs() < 1e-12);
        let all = Shape::area(&[p(-1.0, -1.0), p(11.0, -1.0), p(11.0, 11.0), p(-1.0, 11.0)]);
        assert!(within(&all, &lot).unwrap().distance < 0.0);
    }

    #[test]
    fn stretches_of_one_line_are_apart_by_their_gap() {
        // On a line that no binary fraction lies on.
        let at = |share: f64| p(1.5 * share, 38.0 * share);
        let one = Shape::band(&[at(1.0), at(14.8 / 38.0)], 0.0);
        let other = Shape::band(&[at(12.4 / 38.0), at(0.0)], 0.0);
        let by_hand = (at(14.8 / 38.0) - at(12.4 / 38.0)).norm();
        let found = one.separation(&other).unwrap().distance;
        assert!((found - by_hand).abs() < 1e-12, "{found} {by_hand}");
    }

    #[test]
    fn empty_shapes_have_no_distance() {
        let nothing = Shape::area(&[]);
        assert_eq!(nothing.separation(&Shape::disc(p(0.0, 0.0), 1.0)), None);
        assert_eq!(within(&nothing, &square()), None);
    }

    proptest! {
        #[test]
        fn either_way_round(
            ax in -20.0..20.0_f64, ay in -20.0..20.0_f64, r in 0.0..5.0_f64, w in 0.0..4.0_f64,
        ) {
            let band = Shape::band(&[p(-3.0, 1.0), p(4.0, 2.0), p(6.0, 9.0)], w);
            let disc = Shape::disc(p(ax, ay), r);
            let (there, back) =
                (disc.separation(&band).unwrap(), band.separation(&disc).unwrap());
            prop_assert!((there.distance - back.distance).abs() < 1e-9);
            if there.distance > 0.0 {
                // The two places really are that far apart, and on their shapes.
                prop_assert!(((there.to - there.from).norm() - there.distance).abs() < 1e-9);
                prop_assert!(((there.from - p(ax, ay)).norm() - r).abs() < 1e-9);
            }
        }

        #[test]
        fn pushing_by_the_overlap_parts_convex_shapes(
            x in -2.0..12.0_f64, y in -2.0..12.0_f64, half in 0.1..3.0_f64,
        ) {
            let hall = Shape::area(&square());
            let deck = |dx: f64, dy: f64| Shape::area(&[
                p(x + dx - half, y + dy - half), p(x + dx + half, y + dy - half),
                p(x + dx + half, y + dy + half), p(x + dx - half, y + dy + half)]);
            let found = deck(0.0, 0.0).separation(&hall).unwrap().distance;
            prop_assume!(found < 0.0);
            let push = 1e-9 - found;
            let parted = [(push, 0.0), (-push, 0.0), (0.0, push), (0.0, -push)]
                .into_iter()
                .any(|(dx, dy)| deck(dx, dy).separation(&hall).unwrap().distance >= -1e-9);
            prop_assert!(parted, "a push of {push} does not part them");
        }
    }
}
