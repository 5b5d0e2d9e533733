//! Places that were shot twice, with different heights.

use std::collections::HashMap;
use std::collections::hash_map::Entry;
use std::hash::{BuildHasherDefault, Hasher};

use crate::Point;

/// Every shot that stands no further than `near` from an earlier one and differs from it in
/// height by more than `differs`, with that earlier one: their places in the list. All in metres.
///
/// The lot is cut into squares of `near`; a shot is compared with the first one in its own square
/// and in the eight around it, so that the work grows only with the count.
pub(crate) fn twins(
    shots: impl Iterator<Item = (Point, f64)>,
    near: f64,
    differs: f64,
) -> Vec<(usize, usize)> {
    let mut firsts: HashMap<(i64, i64), (usize, Point, f64), Quick> = HashMap::default();
    let mut twins = Vec::new();
    for (index, (at, height)) in shots.enumerate() {
        // What is no place on a fairground ends up in the outermost squares: the casts saturate.
        let column = (at.x / near).floor() as i64;
        let row = (at.y / near).floor() as i64;
        let neighbour = |at: i64, step: i64| at.saturating_add(step);
        let around = (-1..=1).flat_map(|east| (-1..=1).map(move |north| (east, north)));
        let twin = around
            .filter_map(|(east, north)| {
                firsts.get(&(neighbour(column, east), neighbour(row, north)))
            })
            .find(|(_, first, other)| {
                (first - at).norm() <= near && (other - height).abs() > differs
            });
        if let Some((first, ..)) = twin {
            twins.push((index, *first));
        }
        if let Entry::Vacant(square) = firsts.entry((column, row)) {
            square.insert((index, at, height));
        }
    }
    twins
}

type Quick = BuildHasherDefault<Squares>;

/// Mixes the two numbers of a square. The standard mixture withstands those who choose keys to
/// make it slow; it takes longer than all else that is done with a shot, and the nine squares asked
/// for each are next to each other, not chosen.
#[derive(Default)]
struct Squares(u64);

impl Hasher for Squares {
    fn write(&mut self, bytes: &[u8]) {
        bytes
            .iter()
            .for_each(|byte| self.write_u64(u64::from(*byte)));
    }

    fn write_u64(&mut self, number: u64) {
        // The golden ratio's share of 2⁶⁴ (D. Knuth, *The Art of Computer Programming*, 6.4).
        let mixed = (self.0.rotate_left(32) ^ number).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        self.0 = mixed ^ (mixed >> 32);
    }

    fn write_i64(&mut self, number: i64) {
        self.write_u64(number as u64);
    }

    fn finish(&self) -> u64 {
        self.0
    }
}
