//! Joining shots into triangles, with breaklines as their sides.
//!
//! Of all ways to join the shots, the one with the fewest slivers that lays no triangle across
//! a breakline: the constrained Delaunay triangulation. Source: B. Delaunay, *Sur la sphère
//! vide*, 1934; L. P. Chew, *Constrained Delaunay triangulations*, 1989; built by `spade`.

use spade::Triangulation;

use super::Surface;
use super::breakline::Piece;
use super::shot::Shot;

/// Joins shots, each at a place of its own; the pieces run from shot to shot. Gives the pieces
/// that are sides of no triangle, too.
///
/// A piece that would cross another is left out: pieces are cut where they cross, so that takes
/// crossings less than a thousandth of a millimetre apart.
pub(super) fn join(shots: Vec<Shot>, pieces: &[Piece]) -> (Surface, Vec<Piece>) {
    // Every coordinate is finite and of an ordinary size: nothing is left to be refused.
    let mut surface = Surface::bulk_load(shots).unwrap_or_default();
    let mut left_out = Vec::new();
    for piece in pieces {
        let ends = piece.map(|end| surface.locate_vertex(end).map(|shot| shot.fix()));
        let is_a_side = match ends {
            [Some(from), Some(to)] => !surface.try_add_constraint(from, to).is_empty(),
            _ => false,
        };
        if !is_a_side {
            left_out.push(*piece);
        }
    }
    (surface, left_out)
}

/// The same surface through one shot in so many, chosen without any pattern but always alike.
/// The breaklines stay whole.
pub(super) fn thinned(surface: &Surface, pieces: &[Piece], one_in: u64) -> Surface {
    let kept = surface
        .vertices()
        .filter(|shot| {
            let on_breakline = || shot.out_edges().any(|edge| edge.is_constraint_edge());
            scatter(shot.index() as u64).is_multiple_of(one_in) || on_breakline()
        })
        .map(|shot| *shot.data())
        .collect();
    join(kept, pieces).0
}

/// A number that looks like chance, the same for the same number everywhere: the mix of
/// `SplitMix64` (G. Steele, D. Lea, C. Flood, *Fast splittable pseudorandom number generators*, 2014).
fn scatter(number: u64) -> u64 {
    let mixed = number.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}
