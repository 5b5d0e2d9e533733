//! Lot-frame places as GEOS geometries.

use geos::{CoordSeq, Geometry};
use tober::Point;

fn sequence(places: impl IntoIterator<Item = Point>) -> CoordSeq {
    let coordinates: Vec<[f64; 2]> = places.into_iter().map(|at| [at.x, at.y]).collect();
    CoordSeq::new_from_vec(&coordinates).unwrap()
}

pub(crate) fn point(at: Point) -> Geometry {
    Geometry::create_point(sequence([at])).unwrap()
}

pub(crate) fn line(path: &[Point]) -> Geometry {
    Geometry::create_line_string(sequence(path.iter().copied())).unwrap()
}

/// A closed line through corners that do not repeat the first.
pub(crate) fn ring(corners: &[Point]) -> Geometry {
    let closed = corners.iter().chain(corners.first()).copied();
    Geometry::create_linear_ring(sequence(closed)).unwrap()
}

pub(crate) fn polygon(corners: &[Point]) -> Geometry {
    Geometry::create_polygon(ring(corners), Vec::new()).unwrap()
}
