//! Every stack that the blocks on the truck can make.
//!
//! Pieces lie widest first from the ground up, each crossed over the one below (Rhode Island Gen.
//! Laws § 23-34.1-9(a): crossed when two or more are stacked). A piece no narrower than the foot
//! in both directions carries the foot whichever way it lies; a piece never lies on a narrower
//! one. A stack is no taller than three times the least width of its base (Cal Fire *Rescue
//! Systems 1*, ch. 30, for box cribs). A shim is a thin block.

use crate::site::Block;

/// Most pieces in one stack that the search looks at.
pub const MOST_PIECES: usize = 8;

/// A stack is no taller than so many times the least width of its base.
pub const TALLEST_TO_BASE: f64 = 3.0;

/// Stacks that are looked at; where there are more, those of the most pieces are left out.
const MOST_STACKS: usize = 60_000;

/// One stack: how many of which kinds, its height, its narrowest piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Built {
    pieces: [u8; MOST_PIECES],
    count: u8,
    pub(super) height: f64,
    /// Least width of its pieces, metres; infinite for none.
    pub(super) narrowest: f64,
}

impl Built {
    /// No pieces.
    pub(super) const NONE: Built = Built {
        pieces: [0; MOST_PIECES],
        count: 0,
        height: 0.0,
        narrowest: f64::INFINITY,
    };

    /// Kinds of block by index, from the ground up.
    pub(super) fn pieces(&self) -> impl Iterator<Item = usize> + '_ {
        self.pieces
            .iter()
            .take(self.len())
            .map(|&kind| usize::from(kind))
    }

    pub(super) fn len(&self) -> usize {
        usize::from(self.count)
    }

    /// The stack but for its piece at a place from the ground up; `None` where what is left is
    /// too tall for its base.
    pub(super) fn without(&self, place: usize, blocks: &[Block]) -> Option<Built> {
        let mut less = Built::NONE;
        let mut tallest = f64::INFINITY;
        for (_, kind) in self.pieces().enumerate().filter(|(at, _)| *at != place) {
            let block = blocks.get(kind)?;
            if less.len() == 0 {
                tallest = TALLEST_TO_BASE * base(block);
            }
            less = less.with(kind, block);
        }
        (less.height <= tallest).then_some(less)
    }

    fn with(mut self, kind: usize, block: &Block) -> Built {
        let next = self.len();
        if let Some(place) = self.pieces.get_mut(next) {
            *place = u8::try_from(kind).unwrap_or(u8::MAX);
            self.count += 1;
            self.height += block.thickness;
            self.narrowest = self.narrowest.min(base(block));
        }
        self
    }
}

/// Least width of a block, metres.
pub(super) fn base(block: &Block) -> f64 {
    block.length.min(block.width)
}

/// Stacks of a height from `lowest` to `tallest` (and none at all), from the lowest up; and
/// whether they are all there are.
pub(super) fn stacks(blocks: &[Block], lowest: f64, tallest: f64) -> (Vec<Built>, bool) {
    let mut kinds: Vec<(usize, &Block)> = blocks
        .iter()
        .enumerate()
        .take(usize::from(u8::MAX))
        .collect();
    // Widest first: that is the order they lie in.
    kinds.sort_by(|(_, a), (_, b)| {
        base(b)
            .total_cmp(&base(a))
            .then(b.thickness.total_cmp(&a.thickness))
    });
    for most_pieces in (1..=MOST_PIECES).rev() {
        let mut listing = Listing {
            kinds: &kinds,
            lowest,
            tallest,
            most_pieces,
            stacks: vec![Built::NONE],
        };
        if listing.grow(Built::NONE, 0, f64::INFINITY) || most_pieces == 1 {
            let mut stacks = listing.stacks;
            stacks.sort_unstable_by(|a, b| {
                a.height
                    .total_cmp(&b.height)
                    .then(a.count.cmp(&b.count))
                    .then(a.pieces.cmp(&b.pieces))
            });
            let all = most_pieces == MOST_PIECES && stacks.len() < MOST_STACKS;
            return (stacks, all);
        }
    }
    (vec![Built::NONE], false)
}

struct Listing<'a> {
    kinds: &'a [(usize, &'a Block)],
    lowest: f64,
    tallest: f64,
    most_pieces: usize,
    stacks: Vec<Built>,
}

impl Listing<'_> {
    /// Lists every stack that has `below` at the bottom and pieces from the kinds after `first`
    /// on top. False when there are too many.
    fn grow(&mut self, below: Built, first: usize, base_limit: f64) -> bool {
        for (place, &(kind, block)) in self.kinds.iter().enumerate().skip(first) {
            let limit = base_limit.min(if below.len() == 0 {
                TALLEST_TO_BASE * base(block)
            } else {
                f64::INFINITY
            });
            let mut stack = below;
            for _ in 0..block.count {
                if stack.len() >= self.most_pieces
                    || stack.height + block.thickness > limit.min(self.tallest)
                {
                    break;
                }
                stack = stack.with(kind, block);
                if stack.height >= self.lowest {
                    if self.stacks.len() >= MOST_STACKS {
                        return false;
                    }
                    self.stacks.push(stack);
                }
                if !self.grow(stack, place + 1, limit) {
                    return false;
                }
            }
        }
        true
    }
}
