//! A section: the ground along a straight line between two places.
//!
//! ```text
//!   height  ╱╲___╱                 ╲____       known where the line passes over the survey,
//!          ╱      ·  ·  ·  ·  ·  ·             a gap where it does not
//!        └──────────────────────────────► distance
//! ```

use spade::{Intersection, LineIntersectionIterator, Point2, Triangulation};

use super::{Elevation, Ground, Located, Surface, step};
use crate::{Point, Step};

/// The ground along a straight line.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Length of the whole line, metres.
    pub length: f64,
    /// What the survey tells, in stretches without a gap, each with its places in order: wherever
    /// the slope breaks, and half-way between, where the height is least sure.
    pub stretches: Vec<Vec<SectionPoint>>,
}

/// One place of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionPoint {
    /// From the start of the line, metres.
    pub distance: f64,
    /// Where, lot frame.
    pub at: Point,
    /// Height of the ground.
    pub elevation: Elevation,
    /// Its standard error, metres.
    pub error: f64,
}

/// Gaps shorter than this, metres, are rounding.
const NO_GAP: f64 = 1e-6;

impl Section {
    /// The parts of the line, from and to in metres from its start, of which the survey does not
    /// tell.
    pub fn gaps(&self) -> Vec<(f64, f64)> {
        let ends = |stretch: &Vec<SectionPoint>| {
            Some((stretch.first()?.distance, stretch.last()?.distance))
        };
        let known = self.stretches.iter().filter_map(ends);
        let mut gaps = Vec::new();
        let mut reached = 0.0;
        for (from, to) in known.chain([(self.length, self.length)]) {
            if from - reached > NO_GAP {
                gaps.push((reached, from));
            }
            reached = to;
        }
        gaps
    }
}

/// See [`Ground::section`].
pub(super) fn section(ground: &Ground, from: Point, to: Point) -> Section {
    let along = to - from;
    let mut shares = breaks(
        &ground.surface,
        super::to_local(ground.origin, from),
        super::to_local(ground.origin, to),
    );
    shares.extend([0.0, 1.0]);
    shares.sort_by(f64::total_cmp);
    shares.dedup();
    let halves: Vec<f64> = shares
        .windows(2)
        .filter_map(|pair| Some((pair.first()? + pair.last()?) / 2.0))
        .collect();
    shares.extend(halves);
    shares.sort_by(f64::total_cmp);

    let length = along.norm();
    let mut stretches: Vec<Vec<SectionPoint>> = Vec::new();
    let mut known_before = false;
    for share in shares {
        let at = from + share * along;
        let known = ground.height_and_error(at);
        if let Some((elevation, error)) = known {
            if !known_before {
                stretches.push(Vec::new());
            }
            if let Some(stretch) = stretches.last_mut() {
                stretch.push(SectionPoint {
                    distance: share * length,
                    at,
                    elevation,
                    error,
                });
            }
        }
        known_before = known.is_some();
    }
    Section { length, stretches }
}

/// Where a line crosses the sides of triangles, as shares of its length.
fn breaks(surface: &Surface, from: Point2<f64>, to: Point2<f64>) -> Vec<f64> {
    let along = step(from, to);
    let share_of = |place: Point2<f64>| step(from, place).dot(&along) / along.norm_squared();
    let on_line = |share: &f64| (0.0..=1.0).contains(share);
    if surface.num_inner_faces() == 0 {
        // A line of shots, or one: each by itself.
        let shares = surface.vertices().map(|shot| share_of(shot.position()));
        return shares.filter(on_line).collect();
    }
    let Some((enters, leaves)) = within_outline(surface, from, along) else {
        return Vec::new();
    };
    let mut shares = vec![enters, leaves];
    // From the middle out, so that the walk over the triangles always starts on the surface.
    let middle = (enters + leaves) / 2.0;
    let place = |share: f64| Point2::new(from.x + share * along.x, from.y + share * along.y);
    if !matches!(
        surface.locate(place(middle)),
        Located::OutsideOfConvexHull(_)
    ) {
        for end in [enters, leaves] {
            let walk = LineIntersectionIterator::new(surface, place(middle), place(end));
            shares.extend(walk.filter_map(|met| match met {
                Intersection::EdgeIntersection(edge) => {
                    let [a, b] = edge.positions();
                    let side = step(a, b);
                    let share = step(from, a).perp(&side) / along.perp(&side);
                    share.is_finite().then_some(share)
                }
                Intersection::VertexIntersection(shot) => Some(share_of(shot.position())),
                Intersection::EdgeOverlap(_) => None,
            }));
        }
    }
    shares.retain(on_line);
    shares
}

/// From where to where a line lies within the outline, as shares of its length. (Cyrus and Beck,
/// *Generalized two- and three-dimensional clipping*, 1978.)
fn within_outline(surface: &Surface, from: Point2<f64>, along: Step) -> Option<(f64, f64)> {
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for edge in surface.convex_hull() {
        // The outer side is on the left.
        let [a, b] = edge.positions();
        let side = step(a, b);
        let (outside, outward) = (side.perp(&step(a, from)), side.perp(&along));
        if outward == 0.0 {
            if outside > super::ON_THE_OUTLINE * side.norm() {
                return None;
            }
        } else if outward < 0.0 {
            enters = enters.max(-outside / outward);
        } else {
            leaves = leaves.min(-outside / outward);
        }
    }
    (enters <= leaves).then_some((enters, leaves))
}
