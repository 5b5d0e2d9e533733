//! Over which edge a frame tips.
//!
//! # Picture
//!
//! A frame on feet that only push stands while its weight lies inside the polygon round them.
//! Outside it tips over the edge that the weight is farthest beyond: the line through two feet
//! with all the others on its one side.

use crate::{Point, Step};

use super::Support;

/// Where and by how much a frame tips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tipping {
    /// The two feet it tips over, by their place in the list; absent where there are not two.
    pub over: Option<(usize, usize)>,
    /// How far the weight lies outside the line through them, metres; 0 on the line.
    pub outside: f64,
}

/// An edge of the polygon round the feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Its two feet, by their place in the list; the others lie to the left of the line.
    pub feet: (usize, usize),
    /// A place on it.
    pub at: Point,
    /// The unit step out of the polygon.
    pub out: Step,
}

impl Edge {
    /// How far a place lies inside, metres; below zero outside.
    pub fn inside(&self, place: Point) -> f64 {
        (self.at - place).dot(&self.out)
    }
}

/// Feet nearer to one line than this share of its length lie on it.
const HAIR: f64 = 1e-9;

/// A weight nearer to an edge than this lies on it, metres: a thousandth of a millimetre.
pub(crate) const ON_THE_EDGE: f64 = 1e-6;

/// The edges of the polygon round the feet: for every two of them with no other foot outside.
pub fn edges(supports: &[Support]) -> impl Iterator<Item = Edge> {
    let places = || supports.iter().map(|support| support.at).enumerate();
    places()
        .flat_map(move |from| places().map(move |to| (from, to)))
        .filter_map(move |((a, from), (b, to))| {
            let along = to - from;
            let length = along.norm();
            let nothing_right = length > 0.0
                && supports
                    .iter()
                    .all(|foot| along.perp(&(foot.at - from)) >= -HAIR * length * length);
            nothing_right.then(|| Edge {
                feet: (a, b),
                at: from,
                out: Step::new(along.y, -along.x) / length,
            })
        })
}

/// Over which edge a frame tips whose weight acts at `place`; `None` when it stands.
pub fn tipping(place: Point, supports: &[Support]) -> Option<Tipping> {
    let worst = edges(supports).min_by(|a, b| a.inside(place).total_cmp(&b.inside(place)));
    let Some(edge) = worst else {
        return Some(Tipping {
            over: None,
            outside: supports
                .first()
                .map_or(0.0, |only| (place - only.at).norm()),
        });
    };
    let inside = edge.inside(place);
    // Feet on one line have an edge either way, so that no place is inside both.
    (inside <= ON_THE_EDGE).then_some(Tipping {
        over: Some(edge.feet),
        outside: (-inside).max(0.0),
    })
}
