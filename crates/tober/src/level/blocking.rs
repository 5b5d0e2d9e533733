//! Blocking: which blocks from the truck go under which foot, chosen exactly.
//!
//! # The choice
//!
//! An outrigger with a stack of height `s` wants the datum at `base + s`, where `base` is its
//! ground plus the foot's drop. The frame is level when all of them want the same datum `H`. Of
//! all ways to build the stacks from the blocks that are really on the truck, the best is the
//! one that, in this order (see [`preferences`]),
//!
//! 1. strays least: no foot is more than `k` steps from `H`, `k` as small as can be. One step
//!    tilts the frame by [`Steps::level_deg`], the least that a crew's level shows, so that nobody
//!    stacks five pieces to win a hair;
//! 2. stands lowest, in steps of [`Steps::height`] above the lowest datum that frees the tyres;
//! 3. takes the fewest pieces;
//! 4. takes the fewest turns under load, all jacks together, in steps of [`Steps::turns`]: up from
//!    parked to lifted, and down again to work;
//! 5. stands lowest to the last hair.
//!
//! Tyres hang free, and jacks keep their reserves, however the frame leans within the `k` steps.
//! Where the ground under a foot is weak, only stacks that spread on the area that it needs are
//! looked at ([`Foot::least_area`]; who asks: `loads::wide_enough`).
//!
//! # Packing under jacks
//!
//! A jack stands on its pad, unless the frame could not be levelled so. Only then is it a foot
//! as well: with packing of height `s` under it, hole and screw serve an interval of datums, and
//! `s = 0` is best, as it takes no piece.
//!
//! # The proof
//!
//! For each `k` in turn, and for each height step in turn, every datum is tried at which the set
//! of stacks within reach grows (a foot's stack comes into reach at `base + s − k·step`); between
//! two of these it only shrinks. At each, branch and bound over the feet finds the fewest pieces
//! and then the fewest turns, or shows that the blocks do not go round. Turns are linear in the
//! heights of the stacks, so that what the feet still to come cost at least is a sum; and where
//! the thickest pieces that are left, in as many pieces as may still be taken, are not as high as
//! what these feet need together, there is no use in going on. The first height step with an
//! answer is the best. The search counts its branches; one cut short is reported as not proven.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use serde::{Deserialize, Serialize};

use super::jacks::Packed;
use super::stacks::{Built, MOST_PIECES, base, stacks};
use super::{ShortOf, Shortfall};
use crate::Point;
use crate::loads::spread;
use crate::ride::Steps;
use crate::site::Block;

/// Most pieces of packing under one jack.
const MOST_UNDER_A_JACK: usize = 3;

/// Branches taken and stacks looked over before the search gives up proving: some hundredths of
/// a second.
const MOST_BRANCHES: u32 = 1_500_000;

/// Branches taken where nothing within tolerance can be had: any way to stand will do.
const BRANCHES_PAST_TOLERANCE: u32 = 20_000;

/// Tilt beyond which nothing is looked for, degrees.
const STEEPEST_DEG: f64 = 3.0;

/// What is compared when two ways to block a frame are, and in which steps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "by", rename_all = "snake_case")]
pub enum Preference {
    /// Less tilt and rack is better.
    LeastTilt {
        /// Differences smaller than this are not told apart, degrees.
        step_deg: f64,
    },
    /// Lower is better.
    Lowest {
        /// Differences smaller than this are not told apart, metres; 0 for none.
        step: f64,
    },
    /// Fewer pieces are better.
    FewestPieces,
    /// Fewer turns under load, all jacks together, are better.
    FewestTurns {
        /// Differences smaller than this are not told apart, turns.
        step: f64,
    },
}

/// What makes one way to block a frame better than another, the weightiest first, told apart in
/// such steps.
pub fn preferences(steps: &Steps) -> Vec<Preference> {
    vec![
        Preference::LeastTilt {
            step_deg: steps.level_deg,
        },
        Preference::Lowest { step: steps.height },
        Preference::FewestPieces,
        Preference::FewestTurns { step: steps.turns },
        Preference::Lowest { step: 0.0 },
    ]
}

/// A foot that blocks go under.
#[derive(Clone, Debug)]
pub(super) struct Foot<'a> {
    pub(super) id: &'a str,
    /// Where, ride frame.
    pub(super) at: Point,
    /// No piece under it is narrower, metres.
    pub(super) plate: f64,
    /// Whether the ground asks for at least one block.
    pub(super) wants_a_block: bool,
    /// Least area of ground that must carry, for what the ground bears, metres squared; 0 where
    /// any will do.
    pub(super) least_area: f64,
    pub(super) role: Role<'a>,
}

#[derive(Clone, Debug)]
pub(super) enum Role<'a> {
    /// An outrigger, and the datum that it wants with nothing under it: elevation in metres.
    Outrigger { base: f64 },
    /// A jack on packing, and how much farther the frame may lean above it than at the feet.
    Jack { jack: Packed<'a>, lean: f64 },
}

/// A height that the datum keeps clear of.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bound {
    /// Elevation of the level datum, metres.
    pub(super) height: f64,
    /// How much the frame may lean there for each metre that a foot strays.
    pub(super) lean: f64,
}

/// Turns under load as a function of the stacks.
#[derive(Clone, Debug, Default)]
pub(super) struct Turns {
    pub(super) constant: f64,
    /// For each foot, turns for each metre that its top is higher.
    pub(super) per_metre: Vec<f64>,
}

/// What is searched for.
pub(super) struct Search<'a> {
    pub(super) feet: &'a [Foot<'a>],
    pub(super) blocks: &'a [Block],
    /// What the datum stands above: hanging tyres, shortest legs.
    pub(super) floors: &'a [Bound],
    /// What the datum stands below: longest legs.
    pub(super) ceilings: &'a [Bound],
    /// Tilt that the ride allows, degrees.
    pub(super) tolerance_deg: f64,
    /// Whether to show how near it comes when nothing is within tolerance.
    pub(super) however_steep: bool,
    pub(super) turns: &'a Turns,
    pub(super) steps: Steps,
}

/// The best stacks.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// For every foot, in order.
    pub(super) stacks: Vec<Built>,
    /// The datum that they were chosen for, metres.
    pub(super) datum: f64,
    /// How far a foot may stray from it, metres.
    pub(super) reach: f64,
}

/// What a search came to.
#[derive(Debug)]
pub(super) struct Outcome {
    pub(super) found: Option<Found>,
    /// Whether every stack and every branch was looked at.
    pub(super) proven: bool,
}

/// A choice found for all feet.
#[derive(Debug)]
struct Choice {
    pieces: usize,
    turn_steps: i64,
    stacks: Vec<Built>,
}

impl Search<'_> {
    pub(super) fn run(&self) -> Outcome {
        let step = libm::tan(self.steps.level_deg.to_radians()) * half_spread(self.feet);
        let within_tolerance = self.tolerance_deg.min(STEEPEST_DEG) / self.steps.level_deg;
        let within_tolerance = within_tolerance.ceil().max(1.0) as u32;
        let steepest = (STEEPEST_DEG / self.steps.level_deg) as u32;
        let (lists, all_listed) = self.lists(f64::from(steepest) * step);
        let mut branches = MOST_BRANCHES;
        let within =
            |k: u32, branches: &mut u32| self.lowest_choice(&lists, f64::from(k) * step, branches);
        let found = (1..=within_tolerance).find_map(|k| within(k, &mut branches));
        let proven = all_listed && branches > 0;
        if found.is_some() || !self.however_steep {
            return Outcome { found, proven };
        }
        // Past the tolerance nothing is good, but the crew should see how near it comes.
        let mut branches = BRANCHES_PAST_TOLERANCE;
        let mut widths = [2 * within_tolerance, steepest].into_iter();
        Outcome {
            found: widths.find_map(|k| within(k, &mut branches)),
            proven,
        }
    }

    /// The lowest datum that keeps clear of every floor.
    pub(super) fn lowest(&self, reach: f64) -> f64 {
        self.floors
            .iter()
            .map(|floor| floor.height + floor.lean * reach)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The highest datum that keeps clear of every ceiling.
    pub(super) fn highest(&self, reach: f64) -> f64 {
        self.ceilings
            .iter()
            .map(|ceiling| ceiling.height - ceiling.lean * reach)
            .fold(f64::INFINITY, f64::min)
    }

    /// The stacks for outriggers and those for jacks; and whether they are all there are.
    fn lists(&self, most_reach: f64) -> (Lists, bool) {
        let bases = || self.feet.iter().filter_map(Foot::base);
        let (low, high) = bases().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), base| {
            (low.min(base), high.max(base))
        });
        let lowest = self.lowest(0.0);
        // Without ceilings the jacks' packing decides; a metre of it is more than there ever is.
        let highest = self.highest(0.0).min(lowest + 1.0) + most_reach;
        let (outriggers, all) = stacks(self.blocks, lowest - high - 1e-9, highest - low);
        let has_jacks = self.feet.iter().any(|foot| foot.base().is_none());
        let (mut jacks, all_jacks) = if has_jacks {
            stacks(self.blocks, 0.0, 1.0)
        } else {
            (Vec::new(), true)
        };
        jacks.retain(|stack| stack.len() <= MOST_UNDER_A_JACK);
        (Lists { outriggers, jacks }, all && all_jacks)
    }

    /// The lowest choice in which every foot is within `reach` of the datum.
    fn lowest_choice(&self, lists: &Lists, reach: f64, branches: &mut u32) -> Option<Found> {
        let lowest = self.lowest(reach);
        let mut datum = lowest;
        let mut best: Option<(Choice, f64)> = None;
        // The highest datum still of interest, and the most pieces under each foot.
        let mut last = self
            .highest(reach)
            .min(self.as_high_as_blocks(lists, reach));
        let mut most = vec![usize::MAX; self.feet.len()];
        loop {
            datum = self.first_with_choices(lists, datum, reach);
            if datum > last || !datum.is_finite() || *branches == 0 {
                break;
            }
            let to_beat = best
                .as_ref()
                .map(|(choice, _)| (choice.pieces, choice.turn_steps));
            if let Some(choice) = self.best_at(lists, datum, reach, (to_beat, &most), branches) {
                // Nothing above this height step is of interest any more.
                let step = ((datum - lowest) / self.steps.height).floor();
                last = last.min(lowest + (step + 1.0) * self.steps.height);
                most = self.most_pieces(lists, (datum, last), reach, choice.pieces);
                best = Some((choice, datum));
            }
            // On to the next datum at which a stack comes into reach that may be of use.
            datum = self
                .feet
                .iter()
                .zip(&most)
                .filter_map(|(foot, &most)| {
                    let list = lists.of(foot);
                    let from = list.partition_point(|s| foot.opens(s.height, reach) <= datum);
                    let mut later = list.iter().skip(from);
                    let next = later.find(|stack| stack.len() <= most)?;
                    Some(foot.opens(next.height, reach))
                })
                .fold(f64::INFINITY, f64::min);
        }
        best.map(|(choice, datum)| Found {
            stacks: choice.stacks,
            datum,
            reach,
        })
    }

    /// Kinds of block that some foot can take and their thickness in metres, the thickest first.
    fn thickest_first(&self) -> Vec<(usize, f64)> {
        let plates = self.feet.iter().map(|foot| foot.plate);
        let plate = plates.fold(f64::INFINITY, f64::min);
        let kinds = self.blocks.iter().enumerate();
        let mut wide: Vec<(usize, f64)> = kinds
            .filter(|(_, block)| base(block) >= plate)
            .map(|(kind, block)| (kind, block.thickness))
            .collect();
        wide.sort_by(|a, b| b.1.total_cmp(&a.1));
        wide
    }

    /// A datum above which the blocks do not reach: those that outriggers can take are not high
    /// enough together, or no packing brings some jack so high.
    fn as_high_as_blocks(&self, lists: &Lists, reach: f64) -> f64 {
        let mut bases: Vec<f64> = self.feet.iter().filter_map(Foot::base).collect();
        bases.sort_by(f64::total_cmp);
        let counts: Vec<u32> = self.blocks.iter().map(|block| block.count).collect();
        let all = as_tall(&self.thickest_first(), &counts, bases.len() * MOST_PIECES);
        // Filled like a vessel from the lowest foot up: so high do the blocks bring some of
        // the feet, and the others stand above.
        let mut sum = 0.0;
        let mut filled = f64::INFINITY;
        for (count, &base) in (1..).zip(&bases) {
            if filled <= base {
                break;
            }
            sum += base;
            filled = (all + sum) / f64::from(count);
        }
        let jacks = self.feet.iter().filter(|foot| foot.base().is_none());
        let packed = jacks.map(|foot| {
            let datums = lists.jacks.iter().filter(|it| foot.takes(it, self.blocks));
            datums
                .map(|stack| foot.closes(stack.height, reach))
                .fold(f64::NEG_INFINITY, f64::max)
        });
        // A hair more, for arithmetic.
        packed.fold(filled + reach + 1e-9, f64::min)
    }

    /// The most pieces that each foot may take, for all together to take no more than `pieces`
    /// with the datum somewhere from `low` to `high`: the others take at least what they must.
    fn most_pieces(
        &self,
        lists: &Lists,
        (low, high): (f64, f64),
        reach: f64,
        pieces: usize,
    ) -> Vec<usize> {
        let least: Vec<usize> = self
            .feet
            .iter()
            .map(|foot| {
                let list = lists.of(foot);
                let to = list.partition_point(|s| foot.opens(s.height, reach) <= high);
                list.iter()
                    .take(to)
                    .rev()
                    // Outriggers' stacks close in the order of their heights.
                    .take_while(|s| foot.base().is_none() || foot.closes(s.height, reach) >= low)
                    .filter(|stack| foot.takes(stack, self.blocks))
                    .map(Built::len)
                    .min()
                    .unwrap_or(0)
            })
            .collect();
        let all: usize = least.iter().sum();
        least
            .iter()
            .map(|own| (pieces + own).saturating_sub(all))
            .collect()
    }

    /// The first datum from `datum` on at which every outrigger has a stack within reach;
    /// infinite for none.
    fn first_with_choices(&self, lists: &Lists, mut datum: f64, reach: f64) -> f64 {
        loop {
            let needed = self
                .feet
                .iter()
                .filter_map(|foot| {
                    let base = foot.base()?;
                    let list = &lists.outriggers;
                    let from = list.partition_point(|s| base + s.height + reach < datum);
                    let first = list
                        .iter()
                        .skip(from)
                        .find(|stack| foot.takes(stack, self.blocks));
                    Some(first.map_or(f64::INFINITY, |stack| foot.opens(stack.height, reach)))
                })
                .fold(datum, f64::max);
            if needed <= datum {
                return datum;
            }
            datum = needed;
        }
    }

    /// The choice of fewest pieces, and then of fewest turns, better than `to_beat`, with every
    /// foot within `reach` of `datum`.
    fn best_at(
        &self,
        lists: &Lists,
        datum: f64,
        reach: f64,
        (to_beat, most): (Option<(usize, i64)>, &[usize]),
        branches: &mut u32,
    ) -> Option<Choice> {
        let mut within: Vec<Within> = self
            .feet
            .iter()
            .enumerate()
            .map(|(index, foot)| {
                let list = lists.of(foot);
                let from = match foot.base() {
                    Some(base) => list.partition_point(|s| base + s.height + reach < datum),
                    None => 0,
                };
                let to = list.partition_point(|s| foot.opens(s.height, reach) <= datum);
                let most = most.get(index).copied().unwrap_or(usize::MAX);
                let per_metre = self.turns.per_metre.get(index).copied().unwrap_or(0.0);
                let mut choices: Vec<Built> = list
                    .get(from..to.max(from))
                    .unwrap_or_default()
                    .iter()
                    .filter(|stack| stack.len() <= most && foot.takes(stack, self.blocks))
                    .filter(|stack| foot.closes(stack.height, reach) >= datum)
                    .filter(|stack| !self.has_a_needless_piece(foot, stack, datum, reach))
                    .copied()
                    .collect();
                choices.sort_by(|a, b| {
                    let turns = |stack: &Built| per_metre * stack.height;
                    a.len().cmp(&b.len()).then(turns(a).total_cmp(&turns(b)))
                });
                Within {
                    foot: index,
                    is_jack: foot.base().is_none(),
                    base: foot.base().unwrap_or(0.0),
                    per_metre,
                    choices,
                }
            })
            .collect();
        let looked_over: usize = within.iter().map(|it| 2 + it.choices.len()).sum();
        *branches = branches.saturating_sub(u32::try_from(looked_over).unwrap_or(u32::MAX));
        // Outriggers before jacks, which mostly have a choice without a piece.
        within.sort_by_key(|it| (it.is_jack, it.choices.len()));
        let after = Least::after(&within)?;
        let mut branch = Branch {
            after,
            within: &within,
            left: self.blocks.iter().map(|block| block.count).collect(),
            thickest_first: self.thickest_first(),
            chosen: vec![Built::NONE; self.feet.len()],
            to_beat: to_beat.unwrap_or((usize::MAX, i64::MAX)),
            best: None,
            seen: HashMap::new(),
            branches,
            steps: self.steps,
        };
        branch.descend(0, 0, self.turns.constant);
        branch.best
    }

    /// Whether a stack that serves a datum would still do so without one of its pieces: then it
    /// is never the best.
    fn has_a_needless_piece(&self, foot: &Foot, stack: &Built, datum: f64, reach: f64) -> bool {
        let reaches = |height: f64| foot.closes(height, reach) >= datum;
        stack.pieces().enumerate().any(|(place, kind)| {
            let thickness = self.blocks.get(kind).map_or(0.0, |block| block.thickness);
            // Most pieces are needed for the height alone, which is quickly told.
            reaches(stack.height - thickness)
                && stack
                    .without(place, self.blocks)
                    .is_some_and(|less| reaches(less.height) && foot.takes(&less, self.blocks))
        })
    }

    /// What the crew can see when the blocks do not go round: the deepest foot served first, each
    /// as near as the blocks that are left allow; and what is short.
    pub(super) fn as_far_as_it_goes(&self) -> (Found, Vec<Shortfall>) {
        let feet = || {
            self.feet
                .iter()
                .filter_map(|foot| Some((foot, foot.base()?)))
        };
        let highest_bare = feet().map(|(_, base)| base).fold(f64::MIN, f64::max);
        let datum = self.lowest(0.0).max(highest_bare);
        let (stacks, _) = stacks(self.blocks, 0.0, f64::INFINITY);
        let mut left: Vec<u32> = self.blocks.iter().map(|block| block.count).collect();
        let mut order: Vec<(usize, &Foot, f64)> = feet()
            .enumerate()
            .map(|(index, (foot, base))| (index, foot, base))
            .collect();
        order.sort_by(|a, b| a.2.total_cmp(&b.2));
        let mut built = vec![Built::NONE; order.len()];
        let mut shortfalls = Vec::new();
        for (index, foot, base) in order {
            let needed = datum - base;
            let can = |stack: &&Built| foot.carries(stack) && take(&mut left.clone(), stack);
            let nearest = stacks.iter().filter(can).min_by(|a, b| {
                let off = |stack: &Built| (stack.height - needed).abs();
                off(a).total_cmp(&off(b))
            });
            let Some(stack) = nearest else { continue };
            take(&mut left, stack);
            let by = needed - stack.height;
            let bare = foot.wants_a_block && stack.len() == 0;
            if by > self.steps.height || bare {
                shortfalls.push(Shortfall {
                    support: foot.id.to_owned(),
                    what: ShortOf::Blocking,
                    by: by.max(0.0),
                });
            }
            if let Some(place) = built.get_mut(index) {
                *place = *stack;
            }
        }
        let found = Found {
            stacks: built,
            datum,
            reach: 0.0,
        };
        (found, shortfalls)
    }
}

/// Stacks for outriggers, and for packing under jacks, each from the lowest up.
struct Lists {
    outriggers: Vec<Built>,
    jacks: Vec<Built>,
}

impl Lists {
    fn of(&self, foot: &Foot) -> &[Built] {
        match foot.role {
            Role::Outrigger { .. } => &self.outriggers,
            Role::Jack { .. } => &self.jacks,
        }
    }
}

/// Half the least spread of the outriggers along or across, metres: a foot that strays by one
/// step at one side and by one at the other tilts the frame by [`Steps::level_deg`]. 0 without
/// outriggers.
pub(super) fn half_spread(feet: &[Foot]) -> f64 {
    let spread = |of: fn(&Point) -> f64| {
        let outriggers = feet.iter().filter(|foot| foot.base().is_some());
        let (low, high) = outriggers
            .map(|foot| of(&foot.at))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                (low.min(x), high.max(x))
            });
        high - low
    };
    let least = spread(|at| at.x).min(spread(|at| at.y));
    if least.is_finite() {
        least.max(0.1) / 2.0
    } else {
        0.0
    }
}

impl Foot<'_> {
    /// The datum that it wants with nothing under it, for an outrigger.
    pub(super) fn base(&self) -> Option<f64> {
        match self.role {
            Role::Outrigger { base } => Some(base),
            Role::Jack { .. } => None,
        }
    }

    /// The lowest datum that a stack of `height` serves.
    fn opens(&self, height: f64, reach: f64) -> f64 {
        match &self.role {
            Role::Outrigger { base } => base + height - reach,
            Role::Jack { jack, lean } => jack.lowest(height) + lean * reach,
        }
    }

    /// The highest datum that a stack of `height` serves.
    fn closes(&self, height: f64, reach: f64) -> f64 {
        match &self.role {
            Role::Outrigger { base } => base + height + reach,
            Role::Jack { jack, lean } => jack.highest(height) - lean * reach,
        }
    }

    /// Whether a stack is wide enough all the way up.
    fn carries(&self, stack: &Built) -> bool {
        stack.narrowest >= self.plate
    }

    /// Whether a stack is wide enough for the foot and for the ground.
    pub(super) fn takes(&self, stack: &Built, blocks: &[Block]) -> bool {
        self.carries(stack)
            && (!self.wants_a_block || stack.len() > 0)
            && (self.least_area <= 0.0 || self.spreads(stack, blocks) >= self.least_area)
    }

    /// Area of ground that carries under a stack, metres squared.
    fn spreads(&self, stack: &Built, blocks: &[Block]) -> f64 {
        let pieces: Vec<&Block> = stack.pieces().filter_map(|kind| blocks.get(kind)).collect();
        spread(self.plate, &pieces).area()
    }
}

/// A foot with the stacks that serve a datum: fewest pieces first, then fewest turns.
#[derive(Debug)]
struct Within {
    foot: usize,
    is_jack: bool,
    base: f64,
    per_metre: f64,
    choices: Vec<Built>,
}

impl Within {
    fn turns(&self, stack: &Built) -> f64 {
        self.per_metre * (self.base + stack.height)
    }
}

/// What the feet from one on take at least.
#[derive(Clone, Copy, Debug)]
struct Least {
    pieces: usize,
    /// Turns, when no foot takes a piece more than it must.
    turns: f64,
    /// Height of all their stacks together, metres.
    height: f64,
}

impl Least {
    /// For every foot and for none; `None` when a foot has no choice.
    fn after(within: &[Within]) -> Option<Vec<Least>> {
        let mut least = Least {
            pieces: 0,
            turns: 0.0,
            height: 0.0,
        };
        let mut after = vec![least];
        for foot in within.iter().rev() {
            let first = foot.choices.first()?;
            least.pieces += first.len();
            // Of the fewest pieces, the fewest turns come first.
            least.turns += foot.turns(first);
            let heights = foot.choices.iter().map(|stack| stack.height);
            least.height += heights.fold(f64::INFINITY, f64::min);
            after.push(least);
        }
        after.reverse();
        Some(after)
    }
}

/// Height of so many pieces, the thickest that there are, metres. Kinds come thickest first.
fn as_tall(kinds: &[(usize, f64)], counts: &[u32], mut pieces: usize) -> f64 {
    let taken = kinds.iter().map(|&(kind, thickness)| {
        let count = counts.get(kind).copied().unwrap_or(0);
        let count = pieces.min(usize::try_from(count).unwrap_or(usize::MAX));
        pieces -= count;
        thickness * count as f64
    });
    taken.sum()
}

/// Takes a stack's pieces off the truck, or nothing when one of them is missing.
fn take(left: &mut [u32], stack: &Built) -> bool {
    for (taken, kind) in stack.pieces().enumerate() {
        match left.get_mut(kind) {
            Some(count) if *count > 0 => *count -= 1,
            _ => {
                put_back(left, stack.pieces().take(taken));
                return false;
            }
        }
    }
    true
}

fn put_back(left: &mut [u32], pieces: impl Iterator<Item = usize>) {
    for kind in pieces {
        if let Some(count) = left.get_mut(kind) {
            *count += 1;
        }
    }
}

/// Branch and bound over the feet.
struct Branch<'a> {
    within: &'a [Within],
    after: Vec<Least>,
    /// Blocks of each kind still on the truck.
    left: Vec<u32>,
    /// Kinds and their thickness, metres.
    thickest_first: Vec<(usize, f64)>,
    /// The stack chosen for each foot so far.
    chosen: Vec<Built>,
    /// Only fewer pieces than this are of interest, or as many and fewer steps of turns.
    to_beat: (usize, i64),
    best: Option<Choice>,
    /// Feet that are served with these blocks left, and the pieces and turns that it took: to get
    /// there with no fewer of either is no use.
    seen: HashMap<(usize, Vec<u32>), (usize, f64)>,
    branches: &'a mut u32,
    steps: Steps,
}

impl Branch<'_> {
    fn was_here(&mut self, k: usize, pieces: usize, turns: f64) -> bool {
        match self.seen.entry((k, self.left.clone())) {
            Entry::Vacant(place) => {
                place.insert((pieces, turns));
                false
            }
            Entry::Occupied(mut place) => {
                let (fewest, least) = *place.get();
                if fewest <= pieces && least <= turns {
                    return true;
                }
                if pieces <= fewest && turns <= least {
                    place.insert((pieces, turns));
                }
                false
            }
        }
    }

    /// Whether the blocks that are left are not tall enough for foot `k` and those after it, in
    /// as many pieces as may still be taken.
    fn cannot_reach(&self, k: usize, pieces: usize) -> bool {
        let feet = self.within.len() - k.min(self.within.len());
        let room = self.to_beat.0.saturating_sub(pieces);
        let tallest = as_tall(
            &self.thickest_first,
            &self.left,
            room.min(feet * MOST_PIECES),
        );
        let needed = self.after.get(k).map_or(0.0, |least| least.height);
        needed > tallest + 1e-9
    }

    /// Chooses for foot `k` and those after it; those before take `pieces` and `turns`.
    fn descend(&mut self, k: usize, pieces: usize, turns: f64) {
        let Some(foot) = self.within.get(k) else {
            let merit = (pieces, self.steps.of_turns(turns));
            if merit < self.to_beat {
                self.to_beat = merit;
                self.best = Some(Choice {
                    pieces: merit.0,
                    turn_steps: merit.1,
                    stacks: self.chosen.clone(),
                });
            }
            return;
        };
        let Some(&after) = self.after.get(k + 1) else {
            return;
        };
        if self.cannot_reach(k, pieces) || (k > 1 && self.was_here(k, pieces, turns)) {
            return;
        }
        for stack in &foot.choices {
            let least = pieces + stack.len() + after.pieces;
            // Choices come fewest pieces first: past the bound, the rest is no better.
            if least > self.to_beat.0 || *self.branches == 0 {
                return;
            }
            let own = turns + foot.turns(stack);
            let no_better = self.steps.of_turns(own + after.turns) >= self.to_beat.1;
            if least == self.to_beat.0 && no_better {
                continue;
            }
            *self.branches -= 1;
            if !take(&mut self.left, stack) {
                continue;
            }
            if let Some(place) = self.chosen.get_mut(foot.foot) {
                *place = *stack;
            }
            self.descend(k + 1, pieces + stack.len(), own);
            put_back(&mut self.left, stack.pieces());
        }
    }
}
