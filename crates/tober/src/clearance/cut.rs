//! An upright cut through a lot: what a side view shows of a ride and of what is beside it.
//!
//! # Picture
//!
//! ```text
//!   z ^      ╱▔▔▔▔╲            │ wire, seen along the ground and laid onto the cut
//!     │     ╱ ride ╲           ·
//!     │     ╲______╱      ▒▒▒▒▒▒▒ canopy: what the cut runs through
//!     └───────────────────────────────> s, from a place, along a direction
//! ```
//!
//! It shows the very solids that clearances are measured between.

use super::obstacle::Obstacle;
use super::parts::Body as RideBody;
use super::solid::Body;
use super::{Against, Part, Parts, Shape, Solid};
use crate::envelope::{Envelope, Heights};
use crate::site::Site;
use crate::{Point, Step};

/// Straight pieces of a wire as it is drawn.
const PIECES: u32 = 48;

/// An upright plane: it stands on a line through a place, along a unit step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upright {
    /// Where `s` is 0.
    pub at: Point,
    /// Where `s` grows.
    pub along: Step,
}

/// Something in a cut: `s` along the cut and elevation, metres.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// A block from one `s` to another; its heights may be infinite, which is not known.
    Block {
        /// From and to, metres along the cut.
        span: (f64, f64),
        /// Lowest and highest elevation.
        heights: Heights,
    },
    /// What a ride sweeps: an outline. Counted from the datum plane where its elevation is not
    /// known.
    Swept(Vec<(f64, f64)>),
    /// A wire, laid onto the cut.
    Wire(Vec<(f64, f64)>),
    /// Where a wire may hang: anywhere below these two places, laid onto the cut.
    Curtain([(f64, f64); 2]),
}

/// One part of a ride in a cut.
#[derive(Clone, Debug, PartialEq)]
pub struct PartInCut {
    /// Which part.
    pub part: Part,
    /// Which of its spaces while building up; empty for what is there at work.
    pub space: String,
    /// What shows of it.
    pub pieces: Vec<Piece>,
}

/// Every part of a ride in a cut.
pub fn cut_ride(parts: &Parts, cut: &Upright) -> Vec<PartInCut> {
    let body = RideBody::of(parts);
    body.bodies
        .iter()
        .map(|it| PartInCut {
            part: it.part,
            space: it.space.clone(),
            pieces: it.solids.iter().flat_map(|solid| cut.of(solid)).collect(),
        })
        .collect()
}

/// A feature in a cut; nothing when there is no such feature or it lies beside the cut.
pub fn cut_feature(site: &Site, against: Against, id: &str, cut: &Upright) -> Vec<Piece> {
    let here = |it: &&Obstacle| it.against == against && it.id == id;
    let found = site.surroundings().all().find(here);
    let solids = found.into_iter().flat_map(|it| &it.solids);
    solids.flat_map(|solid| cut.of(solid)).collect()
}

/// Every feature that comes within a distance of a stretch of the cut, by its kind.
pub fn cut_near(
    site: &Site,
    cut: &Upright,
    (from, to): (Point, Point),
    distance: f64,
) -> Vec<(Against, Vec<Piece>)> {
    let stretch = Shape::band(&[from, to], 2.0 * distance);
    let near = |solid: &&Solid| {
        let found = solid.plan.separation(&stretch);
        found.is_some_and(|found| found.distance <= 0.0)
    };
    let all = site.surroundings().all();
    all.map(|it| {
        let pieces = it.solids.iter().filter(near).flat_map(|it| cut.of(it));
        (it.against, pieces.collect())
    })
    .collect()
}

/// A walkway or a fire lane that a route runs through.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossed {
    /// Which kind of way.
    pub against: Against,
    /// What people call it.
    pub name: String,
    /// From and to, metres along the route.
    pub spans: Vec<(f64, f64)>,
}

/// The walkways and fire lanes that a route runs through, and where along it: its bends are laid
/// straight.
pub fn cut_route(site: &Site, route: &[Point]) -> Vec<Crossed> {
    /// What runs along an edge is not crossed: as for cords, metres.
    const TOUCH: f64 = 1e-6;
    let ways = site.surroundings().all();
    let ways = ways.filter(|it| matches!(it.against, Against::Walkway | Against::FireLane));
    let crossed = ways.map(|way| {
        let mut start = 0.0;
        let mut spans: Vec<(f64, f64)> = Vec::new();
        for piece in route.windows(2) {
            let &[from, to] = piece else { continue };
            let length = (to - from).norm();
            let along = (to - from).try_normalize(0.0);
            let stretches = along.into_iter().flat_map(|along| {
                let solids = way.solids.iter();
                solids.flat_map(move |solid| solid.plan.along_line(from, along))
            });
            for (enters, leaves) in stretches {
                let span = (start + enters.max(0.0), start + leaves.min(length));
                match spans.last_mut() {
                    // It goes on round a bend.
                    Some(last) if (span.0 - last.1).abs() <= TOUCH && span.1 > span.0 => {
                        last.1 = span.1;
                    }
                    _ if span.1 - span.0 > TOUCH => spans.push(span),
                    _ => {}
                }
            }
            start += length;
        }
        Crossed {
            against: way.against,
            name: way.name.clone(),
            spans,
        }
    });
    crossed.filter(|it| !it.spans.is_empty()).collect()
}

impl Upright {
    /// How far along the cut a place lies.
    pub fn s(&self, at: Point) -> f64 {
        (at - self.at).dot(&self.along)
    }

    /// The place of the lot at a distance along the cut.
    pub fn place(&self, s: f64) -> Point {
        self.at + self.along * s
    }

    fn of(&self, solid: &Solid) -> Vec<Piece> {
        match &solid.body {
            Body::Upright(heights) => {
                let spans = solid.plan.along_line(self.at, self.along).into_iter();
                spans
                    .map(|span| Piece::Block {
                        span,
                        heights: *heights,
                    })
                    .collect()
            }
            Body::Swept(swept) => vec![self.swept(swept.0, &swept.1)],
            Body::Wire(wire) => {
                let places = (0..=PIECES).map(|k| {
                    let (at, height) = wire.at(f64::from(k) / f64::from(PIECES));
                    (self.s(at), height)
                });
                vec![Piece::Wire(places.collect())]
            }
            Body::Curtain((from, below), (to, its_below)) => vec![Piece::Curtain([
                (self.s(*from), below.high),
                (self.s(*to), its_below.high),
            ])],
        }
    }

    /// A solid of revolution, cut beside its axis.
    fn swept(&self, hub: Point, envelope: &Envelope) -> Piece {
        let middle = self.s(hub);
        let beside = (hub - self.place(middle)).norm();
        let datum = envelope.datum.map_or(0.0, |datum| datum.0);
        let half: Vec<(f64, f64)> = envelope
            .rows
            .iter()
            .filter(|row| row.radius >= beside)
            .map(|row| {
                let out = (row.radius * row.radius - beside * beside).max(0.0);
                (out.sqrt(), datum + row.height)
            })
            .collect();
        let right = half.iter().map(|&(out, z)| (middle + out, z));
        let left = half.iter().rev().map(|&(out, z)| (middle - out, z));
        Piece::Swept(right.chain(left).collect())
    }
}

impl Shape {
    /// Where a line runs in the shape: stretches along it, in order.
    fn along_line(&self, at: Point, along: Step) -> Vec<(f64, f64)> {
        let mut spans = self.pieces_along(at, along);
        spans.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut joined: Vec<(f64, f64)> = Vec::new();
        for span in spans {
            match joined.last_mut() {
                Some(last) if span.0 <= last.1 => last.1 = last.1.max(span.1),
                _ => joined.push(span),
            }
        }
        joined
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    /// A route with a bend in a walkway: it runs in it from 2 m before the bend to where it has gone 2 m aside.
    #[test]
    fn a_route_runs_through_a_walkway_round_a_bend() {
        let mut file = crate::fixtures::flat_lot();
        let walk = |id: &str, path: [Point; 2], width| crate::site::Walkway {
            id: id.to_owned(),
            name: String::new(),
            path: path.to_vec(),
            width,
        };
        file.features.walkways = vec![
            walk("through", [p(10.0, -30.0), p(10.0, 30.0)], 4.0),
            walk("beside", [p(-20.0, -30.0), p(-20.0, 30.0)], 4.0),
        ];
        let site = Site::new(file).expect("a sound site");
        let found = cut_route(&site, &[p(0.0, 0.0), p(10.0, 0.0), p(16.0, 8.0)]);
        let [crossed] = found.as_slice() else {
            panic!("{found:?}")
        };
        let [(from, to)] = crossed.spans.as_slice() else {
            panic!("{found:?}")
        };
        // 2 m aside on a slope of 3 in 5 is 10/3 m along.
        assert_eq!(crossed.name, "through");
        assert!((from - 8.0).abs() < 1e-9 && (to - (10.0 + 10.0 / 3.0)).abs() < 1e-9);
    }

    #[test]
    fn a_line_runs_through_shapes_where_it_does() {
        let along = Step::new(1.0, 0.0);
        let at = p(0.0, 1.0);
        // A disc of 2 m, 1 m beside its middle: √3 to either side.
        let disc = Shape::disc(p(5.0, 0.0), 2.0).along_line(at, along);
        let half = 3.0_f64.sqrt();
        assert!((disc[0].0 - 5.0 + half).abs() < 1e-12 && (disc[0].1 - 5.0 - half).abs() < 1e-12);
        // A square that is 3 m wide.
        let square = [p(2.0, 0.0), p(5.0, 0.0), p(5.0, 3.0), p(2.0, 3.0)];
        assert_eq!(Shape::area(&square).along_line(at, along), [(2.0, 5.0)]);
        // A walkway across, 2 m wide.
        let band = Shape::band(&[p(4.0, -9.0), p(4.0, 9.0)], 2.0).along_line(at, along);
        assert_eq!(band.len(), 1);
        assert!((band[0].0 - 3.0).abs() < 1e-12 && (band[0].1 - 5.0).abs() < 1e-12);
        assert!(
            Shape::disc(p(5.0, 9.0), 2.0)
                .along_line(at, along)
                .is_empty()
        );
    }
}
