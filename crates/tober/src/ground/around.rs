//! The ground in and about an area: which triangles come into a circle, and how high the ground
//! gets within an outline.
//!
//! The surface is made of flat triangles, so that within an outline it is highest at a shot or
//! somewhere on the outline itself, where that crosses from one triangle to the next. Both are
//! looked at: the answer is exact.

use std::collections::BTreeSet;

use spade::{FloatTriangulation, Triangulation};

use super::{Elevation, Ground, to_local, to_lot};
use crate::Point;

/// A triangle of the surface: its shots, in the lot frame.
pub(crate) type Facet = [(Point, Elevation); 3];

impl Ground {
    /// The triangles that come within a distance of a place, metres.
    pub(crate) fn facets_within(&self, place: Point, distance: f64) -> Vec<Facet> {
        let here = to_local(self.origin, place);
        if self.surface.num_inner_faces() == 0 || !distance.is_finite() {
            return Vec::new();
        }
        let edges = self.surface.get_edges_in_circle(here, distance * distance);
        let sides = edges.flat_map(|edge| {
            let edge = edge.as_directed();
            [edge.face(), edge.rev().face()]
        });
        let mut faces: BTreeSet<_> = sides
            .filter_map(|face| face.as_inner())
            .map(|face| face.fix())
            .collect();
        // The circle may lie within one triangle.
        if let super::Located::OnFace(face) = self.surface.locate(here) {
            faces.insert(face);
        }
        let facet = |face| {
            let shots = self.surface.face(face).vertices();
            shots.map(|shot| (to_lot(self.origin, shot.position()), shot.data().elevation))
        };
        faces.into_iter().map(facet).collect()
    }

    /// The highest ground within a convex outline, its corners in order; `None` where any of it
    /// is not surveyed.
    pub(crate) fn highest_within(&self, outline: &[Point]) -> Option<f64> {
        let mut highest = f64::NEG_INFINITY;
        let next = outline.iter().cycle().skip(1);
        for (&from, &to) in outline.iter().zip(next) {
            if from == to {
                highest = highest.max(self.height(from)?.0);
                continue;
            }
            let section = self.section(from, to);
            if !section.gaps().is_empty() {
                return None;
            }
            let places = section.stretches.iter().flatten();
            highest = places.fold(highest, |highest, at| highest.max(at.elevation.0));
        }
        let (low, high) = outline
            .iter()
            .map(|&at| (at, at))
            .reduce(|a, b| (a.0.inf(&b.0), a.1.sup(&b.1)))?;
        let middle = low + (high - low) / 2.0;
        let reach = (high - low).norm() / 2.0;
        for (at, elevation) in self.facets_within(middle, reach).into_iter().flatten() {
            if elevation.0 > highest && is_within(outline, at) {
                highest = elevation.0;
            }
        }
        highest.is_finite().then_some(highest)
    }
}

/// Whether a place lies on the same side of every side of a convex outline.
fn is_within(outline: &[Point], place: Point) -> bool {
    let next = outline.iter().cycle().skip(1);
    let sides = outline.iter().zip(next);
    let mut turns = sides.map(|(from, to)| (to - from).perp(&(place - from)));
    let first = turns.next().unwrap_or(0.0);
    turns.all(|turn| turn * first >= 0.0)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Step;
    use crate::site::SpotLevel;

    fn shots() -> impl Strategy<Value = Vec<SpotLevel>> {
        let shot = (-20.0..20.0_f64, -20.0..20.0_f64, 0.0..3.0_f64)
            .prop_map(|(x, y, z)| SpotLevel::new(x, y, Elevation(z)));
        let frame = [(-30.0, -30.0), (30.0, -30.0), (30.0, 30.0), (-30.0, 30.0)]
            .map(|(x, y)| SpotLevel::new(x, y, Elevation(1.0)));
        prop::collection::vec(shot, 1..25).prop_map(move |shots| {
            let all = frame.iter().cloned().chain(shots);
            all.collect()
        })
    }

    proptest! {
        /// Nothing within is higher, and something within is as high.
        #[test]
        fn the_highest_within_is_the_highest(
            shots in shots(), x in -10.0..10.0_f64, y in -10.0..10.0_f64,
            wide in 0.1..12.0_f64, deep in 0.1..12.0_f64, turn in 0.0..1.5_f64,
        ) {
            let ground = Ground::new(&shots);
            let (sin, cos) = libm::sincos(turn);
            let at = |a: f64, b: f64| {
                Point::new(x, y) + Step::new(a * cos - b * sin, a * sin + b * cos)
            };
            let outline = [at(-wide, -deep), at(wide, -deep), at(wide, deep), at(-wide, deep)];
            let found = ground.highest_within(&outline).unwrap();
            let mut sampled = f64::NEG_INFINITY;
            for i in 0..=60 {
                for j in 0..=60 {
                    let place = at(
                        wide * (f64::from(i) / 30.0 - 1.0), deep * (f64::from(j) / 30.0 - 1.0));
                    sampled = sampled.max(ground.height(place).unwrap().0);
                }
            }
            prop_assert!(found >= sampled - 1e-9, "{found} < {sampled}");
            let shots = shots.iter().filter(|shot| {
                let off = Point::new(shot.x, shot.y) - Point::new(x, y);
                let (a, b) = (off.x * cos + off.y * sin, off.y * cos - off.x * sin);
                a.abs() <= wide && b.abs() <= deep
            });
            let on_sides = outline.iter().zip(outline.iter().cycle().skip(1)).flat_map(|(a, b)| {
                (0..=2000).map(move |k| a + (b - a) * (f64::from(k) / 2000.0))
            });
            let heights = on_sides.map(|at| ground.height(at).unwrap().0);
            let exact = shots.map(|it| it.elevation.0).chain(heights)
                .fold(f64::NEG_INFINITY, f64::max);
            // A side of 24 m is looked at every 12 mm; a slope may be steep.
            prop_assert!(found <= exact + 0.2, "{found} > {exact}");
        }

        #[test]
        fn the_triangles_of_a_circle_cover_it(
            shots in shots(), x in -12.0..12.0_f64, y in -12.0..12.0_f64, radius in 0.01..12.0_f64,
            turn in 0.0..6.3_f64, share in 0.0..=1.0_f64,
        ) {
            let ground = Ground::new(&shots);
            let here = Point::new(x, y);
            let (sin, cos) = libm::sincos(turn);
            let place = here + Step::new(cos, sin) * (radius * share);
            let facets = ground.facets_within(here, radius);
            let side = |a: Point, b: Point| (b - a).perp(&(place - a));
            let holds = |it: &Facet| {
                let [a, b, c] = it.map(|(at, _)| at);
                side(a, b) >= -1e-9 && side(b, c) >= -1e-9 && side(c, a) >= -1e-9
            };
            prop_assert!(facets.iter().any(holds));
        }
    }
}
