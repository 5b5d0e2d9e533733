//! What the height of a place hangs on: the shots around it, and how much each one counts.
//!
//! ```text
//!        ● b, counts w_b           height = w_a·a + w_b·b + w_c·c,   w_a + w_b + w_c = 1
//!       ╱ ╲
//!      ╱ x ╲                       inside a triangle three shots count, on an edge two,
//!     ╱     ╲                      on a shot that one
//!  a ●───────● c
//! ```
//!
//! The same counts tell how sure the height is. It is off by what the shots are off, and by what
//! the ground does between them ([`super::roughness`]):
//!
//! ```text
//!   error² = Σ (w_i · error of shot i)²  +  variance of [ground at x − Σ w_i · ground at shot i]
//! ```

use spade::{Point2, Triangulation};

use super::roughness::{Contrast, Roughness};
use super::shot::Shot;
use super::{Edge, Elevation, Located, ON_THE_OUTLINE, Surface, Triangle, step};

/// A place, and the shots that its height hangs on with their counts, which add up to 1.
/// What is not needed of the three counts nothing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Footing {
    at: Point2<f64>,
    shots: [Shot; 3],
    counts: [f64; 3],
}

impl Footing {
    /// `None` where the survey does not tell. A place up to a millimetre off the surface is
    /// moved to the nearest place on it.
    pub(super) fn find(surface: &Surface, at: Point2<f64>) -> Option<Footing> {
        match surface.locate(at) {
            Located::OnVertex(shot) => Some(Footing::shot(*surface.vertex(shot).data())),
            Located::OnEdge(edge) => {
                let edge = surface.directed_edge(edge);
                let mut shortest = shortest_way(edge, at);
                if shortest == edge {
                    shortest = shortest_way(edge.rev(), at);
                }
                Some(Footing::beside_edge(shortest, at))
            }
            Located::OnFace(face) => Some(Footing::in_triangle(surface.face(face), at)),
            Located::OutsideOfConvexHull(edge) => {
                Footing::beside_outline(surface, surface.directed_edge(edge), at)
            }
            Located::NoTriangulation => {
                let shot = *surface.vertices().next()?.data();
                let room = shot.at.distance_2(at);
                (room <= ON_THE_OUTLINE * ON_THE_OUTLINE).then(|| Footing::shot(shot))
            }
        }
    }

    /// Counted from one shot, so that level ground comes out level to the last digit; always
    /// between the lowest and the highest of the shots.
    pub(super) fn elevation(&self) -> Elevation {
        let [a, b, c] = self.shots;
        let [_, count_b, count_c] = self.counts;
        a.elevation + count_b * (b.elevation - a.elevation) + count_c * (c.elevation - a.elevation)
    }

    /// The roughness of the ground hereabouts, as a multiple of the survey's own.
    pub(super) fn rough(&self) -> f64 {
        let weighed = self.shots.iter().zip(self.counts);
        weighed.map(|(shot, count)| count * shot.rough).sum()
    }

    /// How far the nearest shot that counts is from a place, metres.
    pub(super) fn nearest_shot(&self, at: Point2<f64>) -> f64 {
        let distances = self.shots.iter().map(|shot| shot.at.distance_2(at));
        distances.fold(f64::INFINITY, f64::min).sqrt()
    }

    /// Variance of the height, square metres.
    pub(super) fn variance(&self, roughness: &Roughness) -> f64 {
        let of_shots: f64 = (self.shots.iter().zip(self.counts))
            .map(|(shot, count)| (count * shot.error) * (count * shot.error))
            .sum();
        of_shots + self.rough() * roughness.variance(&self.contrast())
    }

    /// How the errors of two heights go together, square metres: shots that both hang on, and
    /// ground that both lie on.
    pub(super) fn covariance(&self, other: &Footing, roughness: &Roughness) -> f64 {
        let counted = |footing: &Footing| {
            let [a, b, c] = footing.shots;
            let [count_a, count_b, count_c] = footing.counts;
            [(a, count_a), (b, count_b), (c, count_c)]
        };
        let of_shots: f64 = counted(self)
            .iter()
            .flat_map(|a| counted(other).map(|b| (*a, b)))
            .filter(|(a, b)| a.0.at == b.0.at)
            .map(|(a, b)| (a.1 * a.0.error) * (b.1 * b.0.error))
            .sum();
        let rough = (self.rough() * other.rough()).sqrt();
        of_shots + rough * roughness.covariance(&self.contrast(), &other.contrast())
    }

    /// The place against its shots.
    fn contrast(&self) -> Contrast {
        let [a, b, c] = self.shots.map(|shot| shot.at);
        let [count_a, count_b, count_c] = self.counts.map(|count| -count);
        [(self.at, 1.0), (a, count_a), (b, count_b), (c, count_c)]
    }

    fn shot(shot: Shot) -> Footing {
        Footing {
            at: shot.at,
            shots: [shot; 3],
            counts: [1.0, 0.0, 0.0],
        }
    }

    /// At the place of an edge that is nearest to some place.
    fn beside_edge(edge: Edge<'_>, at: Point2<f64>) -> Footing {
        // Always in the same direction, so that both sides of an edge tell the same last digit.
        let [a, b] = if edge.from().index() < edge.to().index() {
            [edge.from(), edge.to()]
        } else {
            [edge.to(), edge.from()]
        };
        let (from, to) = (*a.data(), *b.data());
        let along = step(from.at, to.at);
        let share = (step(from.at, at).dot(&along) / along.norm_squared()).clamp(0.0, 1.0);
        Footing {
            at: Point2::new(from.at.x + share * along.x, from.at.y + share * along.y),
            shots: [from, to, to],
            counts: [1.0 - share, share, 0.0],
        }
    }

    /// Each corner counts as much as the part of the triangle on the far side of the place.
    fn in_triangle(triangle: Triangle<'_>, at: Point2<f64>) -> Footing {
        let shots = triangle.vertices().map(|shot| *shot.data());
        let [to_a, to_b, to_c] = shots.map(|corner| step(at, corner.at));
        let parts = [to_b.perp(&to_c), to_c.perp(&to_a), to_a.perp(&to_b)].map(|it| it.max(0.0));
        let whole: f64 = parts.iter().sum();
        if thickness(&triangle) < THINNEST {
            let longest = longest_edge(&triangle);
            return Footing::beside_edge(shortest_way(longest.rev(), at), at);
        }
        Footing {
            at,
            shots,
            counts: parts.map(|part| part / whole),
        }
    }

    /// `outside` is any edge of the outline that has the place on its outer side.
    fn beside_outline(surface: &Surface, outside: Edge<'_>, at: Point2<f64>) -> Option<Footing> {
        let room_2 = ON_THE_OUTLINE * ON_THE_OUTLINE;
        // The edge's line separates the place from the whole surface: most places end here.
        if distance_to_line_2(outside, at) > room_2 {
            return None;
        }
        surface
            .convex_hull()
            .map(|edge| Footing::beside_edge(shortest_way(edge, at), at))
            .map(|footing| (footing.at.distance_2(at), footing))
            .reduce(|a, b| if b.0 < a.0 { b } else { a })
            .filter(|(distance_2, _)| *distance_2 <= room_2)
            .map(|(_, footing)| footing)
    }
}

/// From shot to shot along an edge: where a triangle too thin to tell anything lies beyond it, as
/// three shots along one side of a survey make, by way of the shot between.
fn shortest_way<'a>(mut edge: Edge<'a>, at: Point2<f64>) -> Edge<'a> {
    while let Some(beyond) = edge.rev().face().as_inner() {
        let (ahead, back) = (edge.rev().next(), edge.rev().prev());
        let by_the_way = ahead.length_2().max(back.length_2()) < edge.length_2();
        if !by_the_way || edge.is_constraint_edge() || thickness(&beyond) >= THINNEST {
            break;
        }
        edge = nearer(ahead, back, at);
    }
    edge
}

fn nearer<'a>(one: Edge<'a>, other: Edge<'a>, at: Point2<f64>) -> Edge<'a> {
    let off = |edge| Footing::beside_edge(edge, at).at.distance_2(at);
    if off(other) < off(one) { other } else { one }
}

fn longest_edge<'a>(triangle: &Triangle<'a>) -> Edge<'a> {
    let longer = |one: Edge<'a>, other: Edge<'a>| {
        if other.length_2() > one.length_2() {
            other
        } else {
            one
        }
    };
    let [a, b, c] = triangle.adjacent_edges();
    longer(longer(a, b), c)
}

/// A triangle thinner than this, metres, has an area of little but rounding.
const THINNEST: f64 = 1e-6;

/// The least height of a triangle, metres.
pub(super) fn thickness(triangle: &Triangle<'_>) -> f64 {
    let longest_2 = longest_edge(triangle).length_2();
    2.0 * triangle.area() / longest_2.sqrt()
}

fn distance_to_line_2(edge: Edge<'_>, at: Point2<f64>) -> f64 {
    let [from, to] = edge.positions();
    let along = step(from, to);
    let area = along.perp(&step(from, at));
    area * area / along.norm_squared()
}
