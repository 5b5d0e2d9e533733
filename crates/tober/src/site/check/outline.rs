//! Outlines and paths: corners in order that enclose something, points in order that lead
//! somewhere.
//!
//! The sides of an outline may meet only where one follows the other. Which two meet elsewhere
//! is found by trying each pair, with the predicates of `geo` that no rounding deceives; at
//! [`limits::POINTS`] corners that is half a million cheap tests.

use geo::line_intersection::{LineIntersection, line_intersection};

use super::report::{At, Quantity, Report};
use super::{limits, report};
use crate::Point;

/// A coordinate in the lot frame.
pub(super) const IN_LOT: Quantity = Quantity::from_to(
    "a coordinate in metres",
    -limits::COORDINATE,
    limits::COORDINATE,
);

/// A coordinate in the ride frame.
pub(super) const IN_RIDE: Quantity = Quantity::from_to(
    "a coordinate in metres from the hub",
    -limits::RIDE,
    limits::RIDE,
);

/// Less than this is no area, square metres: an outline of a hand's breadth has more.
const NO_AREA: f64 = 1e-3;

/// Checks both coordinates of a place.
pub(super) fn place(report: &mut Report, at: &At<'_>, place: Point, frame: &Quantity) -> bool {
    let x = report.number(&at.item(0), place.x, frame);
    let y = report.number(&at.item(1), place.y, frame);
    x && y
}

/// Checks an outline: three corners or more that enclose something, no side across another.
pub(super) fn closed(
    report: &mut Report,
    at: &At<'_>,
    corners: &[Point],
    frame: &Quantity,
) -> bool {
    report.list(at, corners.len(), 3, limits::POINTS, "corners")
        && places(report, at, corners, frame)
        && distinct(report, at, corners)
        && uncrossed(report, at, corners)
        && encloses(report, at, corners)
}

/// Checks a path: two points or more, each at another place than the one before.
pub(super) fn path(report: &mut Report, at: &At<'_>, points: &[Point]) -> bool {
    report.list(at, points.len(), 2, limits::POINTS, "points")
        && places(report, at, points, &IN_LOT)
        && steps(report, at, points)
}

fn places(report: &mut Report, at: &At<'_>, points: &[Point], frame: &Quantity) -> bool {
    let mut sound = true;
    for (index, point) in points.iter().enumerate() {
        sound &= place(report, &at.item(index), *point, frame);
    }
    sound
}

/// Whether every point lies at another place than the one before.
pub(super) fn steps(report: &mut Report, at: &At<'_>, points: &[Point]) -> bool {
    let mut sound = true;
    for (index, pair) in points.windows(2).enumerate() {
        if let [before, after] = pair
            && before == after
        {
            let value = format_args!("the same place as [{index}]");
            report.error(&at.item(index + 1), value, "each place once");
            sound = false;
        }
    }
    sound
}

/// Whether no corner is repeated by the next, the last by the first.
fn distinct(report: &mut Report, at: &At<'_>, corners: &[Point]) -> bool {
    let closed_again = corners.first() == corners.last();
    if closed_again {
        report.error(
            &at.item(corners.len().saturating_sub(1)),
            "the same place as [0]",
            "each corner once: the line closes by itself",
        );
    }
    steps(report, at, corners) && !closed_again
}

fn encloses(report: &mut Report, at: &At<'_>, corners: &[Point]) -> bool {
    let area = area(corners);
    let sound = area >= NO_AREA;
    if !sound {
        let value = format_args!("an outline of {} m²", report::Number(area));
        report.error(at, value, "corners that enclose an area");
    }
    sound
}

/// Area within an outline that does not cross itself, square metres.
fn area(corners: &[Point]) -> f64 {
    let Some((first, rest)) = corners.split_first() else {
        return 0.0;
    };
    let twice: f64 = rest
        .windows(2)
        .map(|pair| match pair {
            // From the first corner, so that a national grid's offsets do not drown it.
            [a, b] => (a - first).perp(&(b - first)),
            _ => 0.0,
        })
        .sum();
    twice.abs() / 2.0
}

fn uncrossed(report: &mut Report, at: &At<'_>, corners: &[Point]) -> bool {
    let Some((a, b)) = crossing(corners) else {
        return true;
    };
    let next = |side: usize| (side + 1) % corners.len();
    report.error(
        at,
        format_args!(
            "a line that meets itself: the side from [{a}] to [{}] and the side from [{b}] to [{}]",
            next(a),
            next(b)
        ),
        "corners in order round the outline",
    );
    false
}

/// The first two sides that meet although neither follows the other, or that lie on each other.
/// Side `i` runs from corner `i` to the next.
fn crossing(corners: &[Point]) -> Option<(usize, usize)> {
    let ends = corners.iter().skip(1).chain(corners.first());
    let sides: Vec<geo::Line> = corners
        .iter()
        .zip(ends)
        .map(|(from, to)| geo::Line::new((from.x, from.y), (to.x, to.y)))
        .collect();
    sides.iter().enumerate().find_map(|(a, side)| {
        let others = sides.iter().enumerate().skip(a + 1);
        let meets = |&(b, other): &(usize, &geo::Line)| {
            let neighbours = b == a + 1 || (a == 0 && b + 1 == sides.len());
            match line_intersection(*side, *other) {
                None => false,
                Some(LineIntersection::SinglePoint { .. }) => !neighbours,
                Some(LineIntersection::Collinear { intersection }) => {
                    !neighbours || intersection.start != intersection.end
                }
            }
        };
        others.clone().find(meets).map(|(b, _)| (a, b))
    })
}

/// The box around some places, sides along x and y.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    low: Point,
    high: Point,
}

impl Extent {
    pub(super) fn of(places: &[Point]) -> Option<Extent> {
        let (first, rest) = places.split_first()?;
        let start = Extent {
            low: *first,
            high: *first,
        };
        Some(rest.iter().fold(start, |extent, place| Extent {
            low: extent.low.inf(place),
            high: extent.high.sup(place),
        }))
    }

    /// The longer side, metres.
    pub(super) fn across(&self) -> f64 {
        (self.high - self.low).max()
    }

    /// The gap between two boxes, metres; 0 when they overlap. What lies in them is at least
    /// so far apart.
    pub(super) fn gap(&self, other: &Extent) -> f64 {
        let beyond = other.low - self.high;
        let before = self.low - other.high;
        beyond.sup(&before).map(|gap| gap.max(0.0)).norm()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn points(places: &[(f64, f64)]) -> Vec<Point> {
        places.iter().map(|(x, y)| Point::new(*x, *y)).collect()
    }

    #[test]
    fn sides_that_meet_are_named() {
        let bow_tie = points(&[(0.0, 0.0), (4.0, 3.0), (4.0, 0.0), (0.0, 3.0)]);
        assert_eq!(crossing(&bow_tie), Some((0, 2)));
        // A corner that touches a side far along the outline.
        let touching = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (2.0, 0.0), (0.0, 3.0)]);
        assert_eq!(crossing(&touching), Some((0, 2)));
        // There and back: a side that lies on the one before it.
        let spike = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 5.0), (4.0, 3.0), (0.0, 3.0)]);
        assert_eq!(crossing(&spike), Some((1, 2)));
        let square = points(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)]);
        assert_eq!(crossing(&square), None);
    }

    #[test]
    fn area_is_not_drowned_by_a_national_grid() {
        let far = points(&[(9e6, 9e6), (9e6 + 4.0, 9e6), (9e6 + 4.0, 9e6 + 3.0)]);
        assert_eq!(area(&far), 6.0);
    }

    #[test]
    fn boxes_apart() {
        let extent = |places: &[(f64, f64)]| Extent::of(&points(places)).unwrap();
        let lot = extent(&[(0.0, 0.0), (10.0, 5.0)]);
        assert_eq!(lot.across(), 10.0);
        assert_eq!(lot.gap(&extent(&[(13.0, 9.0)])), 5.0);
        assert_eq!(lot.gap(&extent(&[(-3.0, 2.0)])), 3.0);
        assert_eq!(lot.gap(&extent(&[(5.0, -50.0), (5.0, 50.0)])), 0.0);
    }

    /// Corners seen from the middle one after the other: such an outline cannot cross itself.
    fn star() -> impl Strategy<Value = Vec<Point>> {
        prop::collection::vec(1.0..9.0f64, 5..40).prop_map(|radii| {
            let turn = std::f64::consts::TAU / radii.len() as f64;
            let corner = |(index, radius): (usize, &f64)| {
                let (sin, cos) = libm::sincos(turn * index as f64);
                Point::new(radius * cos, radius * sin)
            };
            radii.iter().enumerate().map(corner).collect()
        })
    }

    proptest! {
        #[test]
        fn a_star_does_not_cross_itself(corners in star()) {
            prop_assert_eq!(crossing(&corners), None);
        }

        /// Every pair of sides that meets is found, by the sides' own sign test.
        #[test]
        fn no_crossing_is_missed(corners in prop::collection::vec((0.0..9.0f64, 0.0..9.0f64), 4..9)) {
            let corners = points(&corners);
            let count = corners.len();
            let side = |i: usize| (corners[i], corners[(i + 1) % count]);
            let left = |(a, b): (Point, Point), p: Point| (b - a).perp(&(p - a)) > 0.0;
            let cross = |a: usize, b: usize| {
                let ((a1, a2), (b1, b2)) = (side(a), side(b));
                left(side(a), b1) != left(side(a), b2) && left(side(b), a1) != left(side(b), a2)
            };
            let apart = |a: usize, b: usize| b > a + 1 && !(a == 0 && b == count - 1);
            let first = (0..count)
                .flat_map(|a| (0..count).map(move |b| (a, b)))
                .find(|&(a, b)| apart(a, b) && cross(a, b));
            prop_assert_eq!(crossing(&corners), first);
        }
    }
}
