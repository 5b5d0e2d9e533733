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

/// A line from one foot to another.
struct Line {
    feet: (usize, usize),
    from: Point,
    along: Step,
    /// Of its length.
    square: f64,
}

impl Line {
    /// Whether every foot lies on it or to its left.
    fn is_edge(&self, supports: &[Support]) -> bool {
        let mut feet = supports.iter();
        feet.all(|foot| self.along.perp(&(foot.at - self.from)) >= -HAIR * self.square)
    }

    fn edge(&self) -> Edge {
        Edge {
            feet: self.feet,
            at: self.from,
            out: Step::new(self.along.y, -self.along.x) / self.square.sqrt(),
        }
    }
}

/// Every line from one foot to another, either way.
fn lines(supports: &[Support]) -> impl Iterator<Item = Line> {
    let places = || supports.iter().map(|support| support.at).enumerate();
    let pairs = places().flat_map(move |from| places().map(move |to| (from, to)));
    pairs.filter_map(|((a, from), (b, to))| {
        let along = to - from;
        let square = along.norm_squared();
        (square > 0.0).then_some(Line {
            feet: (a, b),
            from,
            along,
            square,
        })
    })
}

/// The edges of the polygon round the feet: for every two of them with no other foot outside.
pub fn edges(supports: &[Support]) -> impl Iterator<Item = Edge> {
    let edges = lines(supports).filter(|line| line.is_edge(supports));
    edges.map(|line| line.edge())
}

/// Over which edge a frame tips whose weight acts at `place`; `None` when it stands.
pub fn tipping(place: Point, supports: &[Support]) -> Option<Tipping> {
    let mut lines = lines(supports).peekable();
    if lines.peek().is_none() {
        return Some(Tipping {
            over: None,
            outside: supports
                .first()
                .map_or(0.0, |only| (place - only.at).norm()),
        });
    }
    // Feet on one line have an edge either way, so that no place is inside both. Whether a line
    // is an edge takes longest, and most lines have the weight well to their left.
    let beyond = lines.filter(|line| line.edge().inside(place) <= ON_THE_EDGE);
    let edges = beyond.filter(|line| line.is_edge(supports));
    let worst = edges.map(|line| (line.feet, line.edge().inside(place)));
    let (feet, inside) = worst.min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Tipping {
        over: Some(feet),
        outside: (-inside).max(0.0),
    })
}
