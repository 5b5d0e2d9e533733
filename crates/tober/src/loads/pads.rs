//! Which pad under which foot, where the ground asks for a wider base than the stack has.
//!
//! # Picture
//!
//! ```text
//!   feet that want a wider base      pads left on the truck, the smallest first
//!        FL ────────────────┬──────────── 0.6 m board
//!        FR ──────────┬─────┘
//!                     └────────────────── 0.9 m mat
//!        BL ── goes without
//! ```
//!
//! The smallest pads go first. One is laid wherever it does; where all the feet it does for have
//! a pad, one of those may take another instead. Sets of pads that can be laid all at once are the
//! independent sets of a matroid, so that going through them from the smallest lays as many as
//! there can be, and of all ways to do that the one with the least area.
//!
//! # Source
//!
//! The greedy algorithm on a transversal matroid (Edmonds and Fulkerson 1965), each step an
//! augmenting path (Kuhn 1955); memory.

use super::bearing::spread;
use super::standing::Foot;
use super::{FootLoads, bearing::FootGround};
use crate::level::LevelPlan;
use crate::site::{Block, Site};

/// Gives every foot on ground that does not bear the smallest pad that does, as far as the pads go
/// that the level plan leaves on the truck.
pub(super) fn lay(loads: &mut [FootLoads], feet: &[Foot<'_>], level: &LevelPlan, site: &Site) {
    let mut pads: Vec<&Block> = site.file().blocks.iter().collect();
    pads.sort_by(|a, b| area(a).total_cmp(&area(b)));
    let stacks = level.outriggers.iter().flat_map(|stack| &stack.pieces);
    let packing = level.jacks.iter().flat_map(|jack| &jack.packing);
    let used: Vec<&str> = stacks.chain(packing).map(|it| it.block.as_str()).collect();
    let left: Vec<usize> = pads
        .iter()
        .map(|pad| {
            let used = used.iter().filter(|block| **block == pad.id).count();
            usize::try_from(pad.count).unwrap_or(0).saturating_sub(used)
        })
        .collect();
    let does = |foot: usize, pad: usize| {
        let wants = loads.get(foot).map(|it| (&it.ground, it.greatest));
        let (Some((ground, greatest)), Some(foot), Some(pad)) =
            (wants, feet.get(foot), pads.get(pad))
        else {
            return false;
        };
        wants_a_pad(ground) && bears_on(foot, pad, greatest, ground.bears)
    };
    let laid = hand_out(loads.len(), &left, does);
    for (foot, pad) in loads.iter_mut().zip(laid) {
        foot.ground.pad = pad.and_then(|pad| pads.get(pad)).map(|pad| pad.id.clone());
    }
}

fn area(block: &Block) -> f64 {
    block.length * block.width
}

fn base(block: &Block) -> f64 {
    block.length.min(block.width)
}

fn wants_a_pad(ground: &FootGround) -> bool {
    ground.bears.is_some_and(|bears| ground.pressure > bears)
}

/// Whether the ground bears a load with a pad under the stack; no piece lies on a narrower one.
fn bears_on(foot: &Foot<'_>, pad: &Block, greatest: f64, bears: Option<f64>) -> bool {
    let lies = foot.stack.first().is_none_or(|it| base(it) <= base(pad));
    let mut stack = vec![pad];
    stack.extend(foot.stack.iter().copied());
    let area = spread(foot.sole(), &stack).area();
    lies && bears.is_some_and(|bears| greatest <= bears * area)
}

/// For every foot the kind of pad that it gets. Kinds come in order, the one to be spared least
/// first, each with how many there are.
fn hand_out(
    feet: usize,
    pads: &[usize],
    does: impl Fn(usize, usize) -> bool,
) -> Vec<Option<usize>> {
    let mut laid: Vec<Option<usize>> = vec![None; feet];
    for (pad, &count) in pads.iter().enumerate() {
        for _ in 0..count.min(feet) {
            let mut asked = vec![false; feet];
            if !find_place(pad, &mut laid, &mut asked, &does) {
                break;
            }
        }
    }
    laid
}

/// Lays a pad under some foot, moving others if need be. False when there is no place for it.
fn find_place(
    pad: usize,
    laid: &mut Vec<Option<usize>>,
    asked: &mut Vec<bool>,
    does: &impl Fn(usize, usize) -> bool,
) -> bool {
    for foot in 0..laid.len() {
        let again = asked.get(foot).copied().unwrap_or(true);
        if again || !does(foot, pad) {
            continue;
        }
        if let Some(asked) = asked.get_mut(foot) {
            *asked = true;
        }
        let free = match laid.get(foot).copied().flatten() {
            None => true,
            Some(other) => find_place(other, laid, asked, does),
        };
        if free {
            if let Some(laid) = laid.get_mut(foot) {
                *laid = Some(pad);
            }
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Most feet with a pad, and the least sum of what those cost, by trying everything.
    fn by_force(feet: usize, pads: &[usize], does: &[Vec<bool>]) -> (usize, usize) {
        fn from(
            foot: usize,
            feet: usize,
            left: &mut Vec<usize>,
            does: &[Vec<bool>],
        ) -> (usize, usize) {
            if foot == feet {
                return (0, 0);
            }
            let better = |a: (usize, usize), b: (usize, usize)| {
                if (b.0, usize::MAX - b.1) > (a.0, usize::MAX - a.1) {
                    b
                } else {
                    a
                }
            };
            let mut best = from(foot + 1, feet, left, does);
            for pad in 0..left.len() {
                if left[pad] > 0 && does[foot][pad] {
                    left[pad] -= 1;
                    let (count, cost) = from(foot + 1, feet, left, does);
                    left[pad] += 1;
                    best = better(best, (count + 1, cost + cost_of(pad)));
                }
            }
            best
        }
        from(0, feet, &mut pads.to_vec(), does)
    }

    fn cost_of(pad: usize) -> usize {
        [1, 2, 4, 7, 11][pad]
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]

        #[test]
        fn as_many_feet_as_can_be_and_the_smallest_pads(
            feet in 0..6_usize,
            pads in prop::collection::vec(0..4_usize, 0..=5),
            does in prop::collection::vec(prop::collection::vec(any::<bool>(), 5), 6),
        ) {
            let laid = hand_out(feet, &pads, |foot, pad| does[foot][pad]);
            for (pad, &count) in pads.iter().enumerate() {
                prop_assert!(laid.iter().filter(|it| **it == Some(pad)).count() <= count);
            }
            prop_assert!(laid.iter().enumerate().all(|(foot, pad)| pad.is_none_or(|it| does[foot][it])));
            let count = laid.iter().flatten().count();
            let cost = laid.iter().flatten().map(|&pad| cost_of(pad)).sum();
            prop_assert_eq!((count, cost), by_force(feet, &pads, &does));
        }
    }
}
