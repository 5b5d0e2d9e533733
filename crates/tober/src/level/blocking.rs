//! Blocking: which blocks from the truck go under which outrigger, chosen exactly.
//!
//! # The choice
//!
//! Foot `i` with a stack of height `s` wants the datum at `base + s`, where `base` is its ground
//! plus the foot's drop. The frame is level when all feet want the same datum `H`. Of all ways
//! to build the stacks from the blocks that are really on the truck, the best is the one that,
//! in this order,
//!
//! 1. strays least: no foot is more than `k` steps from `H`, `k` as small as can be. One step
//!    tilts the frame by [`LEVEL_STEP_DEG`], the least that a crew's level shows, so that nobody
//!    stacks five pieces to win a hair;
//! 2. stands lowest, in steps of [`HEIGHT_STEP`] above the lowest datum that frees the tyres;
//! 3. takes the fewest pieces;
//! 4. stands lowest to the last hair.
//!
//! # The proof
//!
//! For each `k` in turn, and for each height step in turn, every datum is tried at which the set
//! of stacks within reach changes (a foot's stack comes into reach at `base + s − k·step`);
//! between two of these nothing changes. At each, branch and bound over the feet, fewest choices
//! first, finds the fewest pieces, or shows that the blocks do not go round. The first height
//! step with an answer is the best. The search counts its branches; one cut short is reported as
//! not proven.
//!
//! # Stacks
//!
//! Pieces lie widest first from the ground up, each crossed over the one below (Rhode Island Gen.
//! Laws § 23-34.1-9(a): crossed when two or more are stacked), no taller than three times the
//! least base width (Cal Fire *Rescue Systems 1*, ch. 30, for box cribs).

use super::{ShortOf, Shortfall};
use crate::Point;
use crate::site::Block;

/// The least tilt that a crew's level shows, degrees. Common practice, no published source.
pub const LEVEL_STEP_DEG: f64 = 0.05;

/// Heights of the frame that a crew does not tell apart, metres. Common practice, no published
/// source.
pub const HEIGHT_STEP: f64 = 0.02;

/// Most pieces in one stack that the search looks at.
pub const MOST_PIECES: usize = 8;

/// A stack is no taller than so many times the least width of its base.
const TALLEST_TO_BASE: f64 = 3.0;

/// Stacks listed before longer ones are no longer tried.
const MOST_STACKS: usize = 30_000;

/// Branches taken and stacks looked over before the search gives up proving: some hundredths of
/// a second.
const MOST_BRANCHES: u32 = 500_000;

/// Tilt beyond which nothing is looked for, degrees.
const STEEPEST_DEG: f64 = 3.0;

/// An outrigger on its ground.
pub(super) struct Foot {
    pub(super) id: String,
    /// Where, ride frame.
    pub(super) at: Point,
    /// The datum that it wants with nothing under it: elevation in metres.
    pub(super) base: f64,
    /// Whether the ground asks for at least one block.
    pub(super) wants_a_block: bool,
}

/// What is searched for.
pub(super) struct Search<'a> {
    pub(super) feet: &'a [Foot],
    pub(super) blocks: &'a [Block],
    /// The lowest datum that frees the tyres.
    pub(super) lowest: f64,
    /// The highest datum that the jacks reach.
    pub(super) highest: f64,
    /// Tilt that the ride allows, degrees.
    pub(super) tolerance_deg: f64,
}

/// The best stacks, or the nearest to them that the truck allows.
pub(super) struct Found {
    /// For every foot, in order.
    pub(super) stacks: Vec<Built>,
    pub(super) proven: bool,
    pub(super) shortfalls: Vec<Shortfall>,
}

/// One stack: block kinds by index from the ground up, and its height.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Built {
    pub(super) pieces: Vec<usize>,
    pub(super) height: f64,
}

/// A choice found for all feet.
struct Choice {
    pieces: usize,
    stacks: Vec<usize>,
}

impl Search<'_> {
    pub(super) fn run(&self) -> Found {
        let (stacks, all_listed) = self.stacks();
        let step = libm::tan(LEVEL_STEP_DEG.to_radians()) * self.half_spread();
        let within_tolerance = (self.tolerance_deg / LEVEL_STEP_DEG)
            .ceil()
            .clamp(1.0, 60.0) as u32;
        let steepest = (STEEPEST_DEG / LEVEL_STEP_DEG) as u32;
        let mut branches = MOST_BRANCHES;
        // Past the tolerance nothing is good, but the crew should see how near it comes.
        for k in (1..=within_tolerance).chain([2 * within_tolerance, steepest]) {
            let reach = f64::from(k) * step;
            if let Some(choice) = self.lowest_choice(&stacks, reach, &mut branches) {
                return Found {
                    stacks: choice
                        .stacks
                        .iter()
                        .filter_map(|&index| stacks.get(index).cloned())
                        .collect(),
                    proven: all_listed && branches > 0,
                    shortfalls: Vec::new(),
                };
            }
        }
        let mut found = self.as_far_as_it_goes(&stacks);
        found.proven = all_listed && branches > 0;
        found
    }

    /// Half the least spread of the feet along or across, metres: a foot that strays by one step
    /// at one side and by one at the other tilts the frame by [`LEVEL_STEP_DEG`].
    fn half_spread(&self) -> f64 {
        let spread = |of: fn(&Point) -> f64| {
            let along = self.feet.iter().map(|foot| of(&foot.at));
            let (low, high) = along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            });
            high - low
        };
        spread(|at| at.x).min(spread(|at| at.y)).max(0.1) / 2.0
    }

    /// Every stack that can be built from the blocks under one foot, from the lowest up; and
    /// whether all of them are listed.
    fn stacks(&self) -> (Vec<Built>, bool) {
        let mut kinds: Vec<usize> = (0..self.blocks.len()).collect();
        // Widest first: that is the order they lie in.
        kinds.sort_by(|&a, &b| {
            let (a, b) = (&self.blocks[a], &self.blocks[b]);
            let base = |block: &Block| block.length.min(block.width);
            base(b)
                .total_cmp(&base(a))
                .then(b.thickness.total_cmp(&a.thickness))
        });
        let tallest = self
            .feet
            .iter()
            .map(|foot| self.highest.max(self.lowest + 1.0) - foot.base)
            .fold(0.0, f64::max);
        let mut stacks = vec![Built::default()];
        // Stacks of one piece more than the last round, each a stack of the last round with one
        // piece of the same or a later kind on top.
        let mut round = 0..1;
        for _ in 0..MOST_PIECES {
            let start = stacks.len();
            for index in round {
                let below = stacks[index].clone();
                let first = below.pieces.last().map_or(0, |&top| {
                    kinds.iter().position(|&kind| kind == top).unwrap_or(0)
                });
                for &kind in kinds.iter().skip(first) {
                    let used = below.pieces.iter().filter(|&&piece| piece == kind).count();
                    let block = &self.blocks[kind];
                    let base = &self.blocks[below.pieces.first().copied().unwrap_or(kind)];
                    let height = below.height + block.thickness;
                    if used >= block.count as usize
                        || height > TALLEST_TO_BASE * base.length.min(base.width)
                        || height > tallest
                    {
                        continue;
                    }
                    let mut pieces = below.pieces.clone();
                    pieces.push(kind);
                    stacks.push(Built { pieces, height });
                    if stacks.len() >= MOST_STACKS {
                        stacks.sort_by(|a, b| a.height.total_cmp(&b.height));
                        return (stacks, false);
                    }
                }
            }
            round = start..stacks.len();
        }
        stacks.sort_by(|a, b| a.height.total_cmp(&b.height));
        (stacks, true)
    }

    /// The lowest choice in which every foot is within `reach` of the datum.
    fn lowest_choice(&self, stacks: &[Built], reach: f64, branches: &mut u32) -> Option<Choice> {
        // The frame may lean by `reach`: the tyres must hang free all the same.
        let lowest = self.lowest + reach;
        let mut datum = lowest;
        let mut best: Option<Choice> = None;
        // The highest datum still of interest.
        let mut last = self.highest;
        loop {
            // Step up to the first datum at which every foot has a stack within reach.
            loop {
                let needed = self
                    .feet
                    .iter()
                    .filter_map(|foot| {
                        let from = stacks.partition_point(|s| foot.base + s.height < datum - reach);
                        stacks[from..]
                            .iter()
                            .find(|stack| !foot.wants_a_block || !stack.pieces.is_empty())
                            .map(|stack| foot.base + stack.height - reach)
                            .or(Some(f64::INFINITY))
                    })
                    .fold(datum, f64::max);
                if needed <= datum {
                    break;
                }
                datum = needed;
            }
            if datum > last || *branches == 0 {
                return best;
            }
            let most = best.as_ref().map_or(usize::MAX, |choice| choice.pieces);
            if let Some(choice) = self.fewest_pieces(stacks, datum, reach, most, branches) {
                // Nothing above this height step is of interest any more.
                let step = ((datum - lowest) / HEIGHT_STEP).floor();
                last = last.min(lowest + (step + 1.0) * HEIGHT_STEP);
                best = Some(choice);
            }
            // On to the next datum at which a stack comes into reach.
            let next = self
                .feet
                .iter()
                .filter_map(|foot| {
                    let from = stacks.partition_point(|s| foot.base + s.height - reach <= datum);
                    stacks.get(from).map(|s| foot.base + s.height - reach)
                })
                .fold(f64::INFINITY, f64::min);
            if !next.is_finite() {
                return best;
            }
            datum = next;
        }
    }

    /// The choice of fewest pieces, fewer than `most`, with every foot within `reach` of `datum`.
    fn fewest_pieces(
        &self,
        stacks: &[Built],
        datum: f64,
        reach: f64,
        most: usize,
        branches: &mut u32,
    ) -> Option<Choice> {
        let mut within: Vec<(usize, Vec<usize>)> = self
            .feet
            .iter()
            .enumerate()
            .map(|(index, foot)| {
                let from = stacks.partition_point(|s| foot.base + s.height < datum - reach);
                let to = stacks.partition_point(|s| foot.base + s.height <= datum + reach);
                let mut choices: Vec<usize> = (from..to.max(from))
                    .filter(|&i| !foot.wants_a_block || !stacks[i].pieces.is_empty())
                    .collect();
                choices.sort_by_key(|&i| stacks[i].pieces.len());
                (index, choices)
            })
            .collect();
        let looked_over: usize = within.iter().map(|(_, choices)| 2 + choices.len()).sum();
        *branches = branches.saturating_sub(u32::try_from(looked_over).unwrap_or(u32::MAX));
        within.sort_by_key(|(_, choices)| choices.len());
        let mut branch = Branch {
            stacks,
            fewest_after: fewest_after(stacks, &within)?,
            within,
            left: self.blocks.iter().map(|block| block.count).collect(),
            chosen: vec![0; self.feet.len()],
            pieces: 0,
            best: None,
            most,
            branches,
        };
        branch.descend(0);
        branch.best
    }

    /// What the crew can see when the blocks do not go round: the deepest foot served first, each
    /// as near as the blocks that are left allow.
    fn as_far_as_it_goes(&self, stacks: &[Built]) -> Found {
        let mut left: Vec<u32> = self.blocks.iter().map(|block| block.count).collect();
        let mut order: Vec<usize> = (0..self.feet.len()).collect();
        order.sort_by(|&a, &b| self.feet[a].base.total_cmp(&self.feet[b].base));
        let highest_bare = self
            .feet
            .iter()
            .map(|foot| foot.base)
            .fold(f64::NEG_INFINITY, f64::max);
        let datum = self.lowest.max(highest_bare);
        let mut built = vec![Built::default(); self.feet.len()];
        let mut shortfalls = Vec::new();
        for index in order {
            let needed = datum - self.feet[index].base;
            let can = |stack: &&Built| {
                (0..left.len()).all(|kind| {
                    let used = stack.pieces.iter().filter(|&&piece| piece == kind).count();
                    used <= left[kind] as usize
                })
            };
            let nearest = stacks.iter().filter(can).min_by(|a, b| {
                let off = |stack: &Built| (stack.height - needed).abs();
                off(a).total_cmp(&off(b))
            });
            let Some(stack) = nearest else { continue };
            for &piece in &stack.pieces {
                left[piece] = left[piece].saturating_sub(1);
            }
            let by = needed - stack.height;
            let bare = self.feet[index].wants_a_block && stack.pieces.is_empty();
            if by > HEIGHT_STEP || bare {
                shortfalls.push(Shortfall {
                    support: self.feet[index].id.clone(),
                    what: ShortOf::Blocking,
                    by: by.max(0.0),
                });
            }
            built[index] = stack.clone();
        }
        Found {
            stacks: built,
            proven: true,
            shortfalls,
        }
    }
}

/// Fewest pieces that the feet from each one on can take; `None` when a foot has no choice.
fn fewest_after(stacks: &[Built], within: &[(usize, Vec<usize>)]) -> Option<Vec<usize>> {
    let mut fewest = vec![0; within.len() + 1];
    for (k, (_, choices)) in within.iter().enumerate().rev() {
        fewest[k] = fewest[k + 1] + stacks[*choices.first()?].pieces.len();
    }
    Some(fewest)
}

/// Branch and bound over the feet.
struct Branch<'a> {
    stacks: &'a [Built],
    /// Feet with their choices, fewest pieces first.
    within: Vec<(usize, Vec<usize>)>,
    fewest_after: Vec<usize>,
    /// Blocks of each kind still on the truck.
    left: Vec<u32>,
    /// The stack chosen for each foot so far.
    chosen: Vec<usize>,
    pieces: usize,
    best: Option<Choice>,
    /// Only fewer pieces than this are of interest.
    most: usize,
    branches: &'a mut u32,
}

impl Branch<'_> {
    fn descend(&mut self, k: usize) {
        if k == self.within.len() {
            self.most = self.pieces;
            self.best = Some(Choice {
                pieces: self.pieces,
                stacks: self.chosen.clone(),
            });
            return;
        }
        let foot = self.within[k].0;
        for c in 0..self.within[k].1.len() {
            let index = self.within[k].1[c];
            let stack = &self.stacks[index];
            // Choices come fewest pieces first: past the bound, the rest is no better.
            if self.pieces + stack.pieces.len() + self.fewest_after[k + 1] >= self.most
                || *self.branches == 0
            {
                return;
            }
            *self.branches -= 1;
            if !self.take(stack) {
                continue;
            }
            self.pieces += stack.pieces.len();
            self.chosen[foot] = index;
            self.descend(k + 1);
            self.pieces -= stack.pieces.len();
            self.put_back(stack);
        }
    }

    /// Takes a stack's pieces off the truck, or nothing when one of them is missing.
    fn take(&mut self, stack: &Built) -> bool {
        for (taken, &kind) in stack.pieces.iter().enumerate() {
            if self.left[kind] == 0 {
                for &back in &stack.pieces[..taken] {
                    self.left[back] += 1;
                }
                return false;
            }
            self.left[kind] -= 1;
        }
        true
    }

    fn put_back(&mut self, stack: &Built) {
        for &kind in &stack.pieces {
            self.left[kind] += 1;
        }
    }
}
