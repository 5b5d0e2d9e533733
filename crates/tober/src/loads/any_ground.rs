//! The least and the greatest that a foot carries on whatever ground there is within its range,
//! for any number of feet.
//!
//! # Picture
//!
//! ```text
//!     load │ firm
//!          │  /      . soft
//!          │ /   . ·           what a foot carries, and how far it and its ground give
//!          │/. ·               together, lies in the fan between the two
//!  hangs ──┼───────────
//!   a gap  0   gives
//! ```
//!
//! As the ground under every foot is anything between firm and soft, a foot's load and how far it
//! gives are any point of its fan; or it hangs, and carries nothing over any gap. Once it is
//! settled which feet hang, all that holds is linear: the loads balance the weight and what tips
//! the frame, and what the feet give lies on the frame's plane, or on the saddle of one that
//! twists. So the most that a foot carries is a linear program ([`super::amounts`]). First every
//! foot may be anything between pushing and hanging, which is never too little. Where the answer
//! leaves a foot there, both are tried in turn, pushing and hanging, and so on (branch and bound).
//!
//! What is told is what the prices of the programs prove, for the whole circle of what may tip the
//! frame and not only for the polygon round it that a program looks at: never too little, and too
//! much by a few thousandths of the weight where feet lift off. Prices that prove a bound under one
//! load prove one under every other, since a load is only in the sums of the balance; most cases
//! are settled by the prices found for another.
//!
//! # Source
//!
//! Equilibrium and compatibility; Land and Doig, *Econometrica* 28, 1960 (memory) for the search.

use super::amounts::{Answer, NoAnswer, Program};
use super::on_ground::Upon;
use super::{Extreme, extremes};
use crate::statics::{Load, Support, settle};
use crate::{Point, Step};

/// A foot on ground of which a range is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fan {
    /// Where, ride frame.
    pub at: Point,
    /// Height of the datum above it at which it just touches, metres.
    pub top: f64,
    /// What a newton shortens it and its ground by where that is firm, metres.
    pub firm: f64,
    /// The same where it is soft.
    pub soft: f64,
}

impl Fan {
    /// On ground that gives half of the least and the most that it may.
    pub fn halfway(&self) -> Support {
        Support {
            at: self.at,
            top: self.top,
            stiffness: 2.0 / (self.firm + self.soft),
        }
    }
}

/// What comes upon the frame.
#[derive(Clone, Debug)]
pub(super) struct Comes {
    pub(super) upon: Upon,
    /// At which each foot just touches, metres, in place of what the fans say.
    pub(super) tops: Vec<f64>,
    /// A foot that is wound, and how far up and down of its top it may be on the way, metres.
    pub(super) wound: Option<(usize, f64)>,
}

/// The least or the greatest of a foot's load, and what it comes from.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Found {
    /// Newtons.
    pub(super) load: f64,
    /// Which of what may come.
    pub(super) which: usize,
    /// Which way the frame is tipped then, newton metres.
    pub(super) at: Step,
}

/// Which end of what a foot carries is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum End {
    Least,
    Greatest,
}

/// How much more may be told than is, as a share of the weight.
const NEAR: f64 = 3e-4;

/// A load or a gap that is rounding, as a share of the weight and of what it makes feet give.
const NOTHING: f64 = 1e-8;

/// Corners of the polygon round the circle of what may tip the frame.
const WAYS: usize = 24;

/// Most programs for a foot under one load; what is left then is bounded.
const MOST_PROGRAMS: usize = 200;

/// The least and the greatest load of every foot while a step of up to `tips` newton metres tips
/// the frame, on whatever ground there is. `None` where some such step overturns it.
///
/// ```
/// use tober::{Point, Step, loads::{Fan, extremes_on_any_ground}, statics::Load};
/// let foot = |x, y| Fan { at: Point::new(x, y), top: 0.0, firm: 1e-7, soft: 1.9e-6 };
/// let load = Load {
///     weight: 52e3,
///     centre: Point::origin(),
///     tipping: Step::zeros(),
///     twist_stiffness: f64::INFINITY,
/// };
/// let feet = [foot(2., 1.5), foot(2., -1.5), foot(-2., 1.5), foot(-2., -1.5)];
/// let found = extremes_on_any_ground(&load, 0.0, &feet).unwrap();
/// // Two feet across on ground nineteen times as firm: 26 kN · 19/20, and what is left for the others.
/// assert!((found[0].greatest - 24.7e3).abs() < 20.0 && (found[1].least - 1.3e3).abs() < 20.0);
/// ```
pub fn extremes_on_any_ground(load: &Load, tips: f64, fans: &[Fan]) -> Option<Vec<Extreme>> {
    let halfway: Vec<Support> = fans.iter().map(Fan::halfway).collect();
    let known = extremes(load, tips, &halfway)?;
    let ground = AnyGround::new(fans, load);
    let upon = Upon {
        load: *load,
        tips,
        astray: 0.0,
    };
    Some(ground.extremes(&ground.comes(&upon), &known))
}

/// Feet on ground of which ranges are known.
#[derive(Clone, Debug)]
pub(super) struct AnyGround {
    fans: Vec<Fan>,
    twist_stiffness: f64,
    /// What loads, lengths and what feet give are measured by: newtons and metres.
    weight: f64,
    length: f64,
    gives: f64,
}

impl AnyGround {
    /// Feet under loads about as heavy as this one, of the same frame.
    pub(super) fn new(fans: &[Fan], load: &Load) -> AnyGround {
        let count = fans.len().max(1) as f64;
        let far = fans.iter().map(|fan| fan.at.coords.norm());
        AnyGround {
            twist_stiffness: load.twist_stiffness,
            weight: load.weight,
            length: far.fold(0.0, f64::max).max(f64::MIN_POSITIVE),
            gives: fans.iter().map(|fan| fan.soft).sum::<f64>() / count * load.weight,
            fans: fans.to_vec(),
        }
    }

    /// A load as it comes upon these feet.
    pub(super) fn comes(&self, upon: &Upon) -> Comes {
        Comes {
            upon: *upon,
            tops: self.fans.iter().map(|fan| fan.top).collect(),
            wound: None,
        }
    }

    /// Both ends of every foot under one load. `known` are both on some ground: what is found is
    /// no less wide.
    pub(super) fn extremes(&self, comes: &Comes, known: &[Extreme]) -> Vec<Extreme> {
        let feet = known.iter().enumerate().map(|(foot, known)| {
            let at = |load: f64, at: Step| [Found { load, which: 0, at }];
            let comes = std::slice::from_ref(comes);
            let least = at(known.least, known.least_at);
            let greatest = at(known.greatest, known.greatest_at);
            let least = self.worst(foot, End::Least, comes, &least);
            let greatest = self.worst(foot, End::Greatest, comes, &greatest);
            Extreme {
                least: least.map_or(known.least, |it| it.load),
                least_at: least.map_or(known.least_at, |it| it.at),
                greatest: greatest.map_or(known.greatest, |it| it.load),
                greatest_at: greatest.map_or(known.greatest_at, |it| it.at),
            }
        });
        feet.collect()
    }

    /// The worst of a foot over all that may come, of which each has `known` of it on some ground.
    /// The feet must hold the frame in all of it. `None` where nothing comes.
    pub(super) fn worst(
        &self,
        foot: usize,
        end: End,
        comes: &[Comes],
        known: &[Found],
    ) -> Option<Found> {
        let sign = match end {
            End::Least => -1.0,
            End::Greatest => 1.0,
        };
        let mut order: Vec<(&Comes, &Found)> = comes.iter().zip(known).collect();
        // The worst first, so that what it proves settles the others; of several, the first.
        order.sort_by(|a, b| (sign * b.1.load).total_cmp(&(sign * a.1.load)));
        let mut worst = order.first().map(|(_, found)| **found)?;
        // What was seen, and what is not exceeded.
        let mut best = sign * worst.load / self.weight;
        let mut bound = best;
        let mut covers: Vec<Vec<Leaf>> = Vec::new();
        for (comes, known) in order {
            // Nothing carries less than nothing.
            if end == End::Least && best >= 0.0 {
                break;
            }
            let sums = self.sums(comes);
            let proven = covers.iter().map(|cover| self.covered(cover, comes, &sums));
            let proven = proven.fold(f64::INFINITY, f64::min);
            if proven <= best + NEAR {
                bound = bound.max(proven);
                continue;
            }
            let mut search = Search {
                ground: self,
                comes,
                foot,
                sign,
                states: vec![State::Any; self.fans.len()],
                best,
                at: None,
                sums,
                cover: Vec::new(),
            };
            let program = self.program(comes, &search.sums, (foot, sign));
            bound = bound.max(search.bound(program));
            if let Some(at) = search.at {
                best = search.best;
                worst = Found { at, ..*known };
            }
            covers.push(search.cover);
        }
        let most = comes.iter().map(|it| it.upon.load.weight + it.upon.astray);
        // No minus zero.
        worst.load = (sign * bound * self.weight).clamp(0.0, most.fold(0.0, f64::max)) + 0.0;
        Some(worst)
    }

    /// What the prices of a whole search prove under another load.
    fn covered(&self, cover: &[Leaf], comes: &Comes, sums: &[f64]) -> f64 {
        let leaves = cover.iter().map(|leaf| {
            let least_or_most = self.proven(&leaf.prices, comes, sums);
            match leaf.proves {
                Proves::Bound => least_or_most,
                Proves::CannotBalance if least_or_most < -NOTHING => f64::NEG_INFINITY,
                Proves::CannotBalance => f64::INFINITY,
            }
        });
        leaves.fold(f64::NEG_INFINITY, f64::max)
    }

    fn twists(&self) -> bool {
        self.twist_stiffness.is_finite()
    }

    /// Rows that balance the weight: upwards, along, across, and the twist.
    fn held(&self) -> usize {
        if self.twists() { 4 } else { 3 }
    }

    fn shape(&self, at: Point) -> [f64; 4] {
        let (x, y) = (at.x / self.length, at.y / self.length);
        [1.0, x, y, x * y]
    }

    /// What a load comes to in the rows of the balance; one is the sum of what lies between ends.
    fn sums(&self, comes: &Comes) -> Vec<f64> {
        let Load {
            weight,
            centre,
            tipping,
            ..
        } = comes.upon.load;
        let share = weight / self.weight;
        let [up, x, y, crossed] = self.shape(centre);
        let tipping = tipping / (self.weight * self.length);
        let load = [
            share * up,
            share * x + tipping.x,
            share * y + tipping.y,
            share * crossed,
        ];
        let count = comes.tops.len().max(1) as f64;
        let mean = comes.tops.iter().sum::<f64>() / count;
        let tops = comes.tops.iter().map(|top| (top - mean) / self.gives);
        let ends = std::iter::repeat_n(1.0, 1 + self.varies(comes).count());
        let held = load.into_iter().take(self.held());
        held.chain(tops).chain(ends).collect()
    }

    /// What is let vary beside the circle: a row, and by how much up and down.
    fn varies(&self, comes: &Comes) -> impl Iterator<Item = (usize, f64)> {
        let astray = (comes.upon.astray > 0.0).then_some((0, comes.upon.astray / self.weight));
        let wound = comes
            .wound
            .map(|(foot, by)| (self.held() + foot, by / self.gives));
        astray.into_iter().chain(wound)
    }

    /// What prices prove of a load: the most that its sums are worth, whichever way the frame is
    /// tipped, however heavy it is and however far a foot is wound.
    fn proven(&self, prices: &[f64], comes: &Comes, sums: &[f64]) -> f64 {
        let price = |row: usize| prices.get(row).copied().unwrap_or(0.0);
        let own = sums.iter().zip(prices).take(self.held() + self.fans.len());
        let sums: f64 = own.map(|(sum, price)| sum * price).sum();
        let tips =
            Step::new(price(1), price(2)).norm() * comes.upon.tips / (self.weight * self.length);
        let varies = self.varies(comes).map(|(row, by)| price(row).abs() * by);
        sums + tips + varies.sum::<f64>()
    }

    /// The corners of a polygon round the circle of what may tip the frame.
    fn ways(comes: &Comes) -> impl Iterator<Item = Step> {
        let ways = if comes.upon.tips > 0.0 { WAYS } else { 1 };
        let turn = std::f64::consts::TAU / ways as f64;
        let far = comes.upon.tips / libm::cos(turn / 2.0);
        (0..ways).map(move |way| {
            let (sin, cos) = libm::sincos(way as f64 * turn);
            Step::new(cos, sin) * far
        })
    }

    /// The balance of a load. Its first amounts are the rays of each foot in turn ([`RAYS`]); then
    /// come the ways that it may be tipped, and either end of what varies. What a foot carries gains
    /// as much times `sign`.
    fn program(&self, comes: &Comes, sums: &[f64], (foot, sign): (usize, f64)) -> Program {
        let held = self.held();
        // Then a row for the circle, and one for each that varies: somewhere between its ends.
        let ends = held + self.fans.len();
        let mut program = Program::new(sums.len());
        for axis in 0..held {
            let feet = self.fans.iter().enumerate().map(|(foot, fan)| {
                let own = self.shape(fan.at).get(axis).copied();
                (held + foot, own.unwrap_or(0.0))
            });
            // A twist of the frame is held by the frame itself.
            let twist = self.twist_stiffness * self.gives / (self.weight * self.length.powi(4));
            let own = (axis == 3).then_some((axis, -twist));
            program.free(feet.chain(own));
        }
        for (own, fan) in self.fans.iter().enumerate() {
            for ray in self.rays(fan) {
                let gain = if own == foot { sign * ray.carries } else { 0.0 };
                let shape = self.shape(fan.at).into_iter().take(held).enumerate();
                let carries = shape.map(|(row, shape)| (row, ray.carries * shape));
                program.amount(gain, carries.chain([(held + own, ray.gives)]));
            }
        }
        let by = self.weight * self.length;
        for way in Self::ways(comes) {
            program.amount(0.0, [(1, -way.x / by), (2, -way.y / by), (ends, 1.0)]);
        }
        for (place, (row, by)) in self.varies(comes).enumerate() {
            for by in [by, -by] {
                program.amount(0.0, [(row, -by), (ends + 1 + place, 1.0)]);
            }
        }
        for own in 0..self.fans.len() {
            State::Any.of(own, &mut program);
        }
        program.sums(sums);
        program
    }

    /// What a foot's load and its giving are made of.
    fn rays(&self, fan: &Fan) -> [Ray; RAYS] {
        let [firm, soft] = [fan.firm, fan.soft].map(|newton| Ray {
            carries: 1.0,
            gives: newton * self.weight / self.gives,
        });
        let hangs = Ray {
            carries: 0.0,
            gives: -1.0,
        };
        [firm, soft, hangs]
    }
}

/// Rays of a foot: firm ground, soft ground, hanging.
const RAYS: usize = 3;

/// What is known of a foot. That it pushes or hangs includes that it just touches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Any,
    Pushes,
    Hangs,
}

impl State {
    /// Lets in what a foot of which so much is known is made of. Firm ground lies between soft and
    /// hanging.
    fn of(self, foot: usize, program: &mut Program) {
        let rays: [bool; RAYS] = match self {
            State::Any => [false, true, true],
            State::Pushes => [true, true, false],
            State::Hangs => [false, false, true],
        };
        for (ray, let_in) in rays.into_iter().enumerate() {
            program.let_in(RAYS * foot + ray, let_in);
        }
    }
}

/// An edge of a fan, or what is made of several.
#[derive(Clone, Copy, Debug)]
struct Ray {
    carries: f64,
    gives: f64,
}

/// An end of the search, and the prices that prove it.
#[derive(Clone, Debug)]
struct Leaf {
    prices: Vec<f64>,
    proves: Proves,
}

#[derive(Clone, Copy, Debug)]
enum Proves {
    /// No more is carried than the prices say.
    Bound,
    /// Where what the prices say is below nothing, there is no such balance.
    CannotBalance,
}

/// The search for the most of one foot, as a share of the weight.
struct Search<'a> {
    ground: &'a AnyGround,
    comes: &'a Comes,
    sums: Vec<f64>,
    foot: usize,
    sign: f64,
    states: Vec<State>,
    /// The most that was seen, and which way the frame was tipped then.
    best: f64,
    at: Option<Step>,
    cover: Vec<Leaf>,
}

impl Search<'_> {
    /// What is never exceeded with feet of which so much is known.
    fn bound(&mut self, mut program: Program) -> f64 {
        let answer = match program.greatest() {
            Ok(answer) => answer,
            Err(NoAnswer::CannotBalance(prices)) => {
                let proves = Proves::CannotBalance;
                self.cover.push(Leaf { prices, proves });
                return f64::NEG_INFINITY;
            }
            Err(NoAnswer::NotFound) => return f64::INFINITY,
        };
        let bound = self.ground.proven(&answer.prices, self.comes, &self.sums);
        if bound > self.best + NEAR && self.cover.len() < MOST_PROGRAMS {
            let (feet, at) = self.found(&answer);
            let seen = self.at_rest(&feet, at).filter(|seen| *seen > self.best);
            if let Some(seen) = seen {
                (self.best, self.at) = (seen, Some(at));
            }
            match self.in_between(&feet) {
                Some(foot) if bound > self.best + NEAR => return self.split(foot, &program),
                Some(_) => {}
                None => (self.best, self.at) = (bound, Some(at)),
            }
        }
        self.cover.push(Leaf {
            prices: answer.prices,
            proves: Proves::Bound,
        });
        bound
    }

    /// The same with a foot that pushes, and with it hanging.
    fn split(&mut self, foot: usize, program: &Program) -> f64 {
        let bounds = [State::Pushes, State::Hangs].map(|state| {
            self.set(foot, state);
            let mut program = program.clone();
            state.of(foot, &mut program);
            self.bound(program)
        });
        self.set(foot, State::Any);
        bounds.into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    fn set(&mut self, foot: usize, state: State) {
        if let Some(own) = self.states.get_mut(foot) {
            *own = state;
        }
    }

    /// What every foot carries in an answer and how far it gives, and which way the frame is tipped.
    fn found(&self, answer: &Answer) -> (Vec<Ray>, Step) {
        let nothing = Ray {
            carries: 0.0,
            gives: 0.0,
        };
        let each = self.ground.fans.iter().zip(answer.amounts.chunks(RAYS));
        let feet = each.map(|(fan, amounts)| {
            let rays = self.ground.rays(fan);
            let rays = rays.iter().zip(amounts);
            rays.fold(nothing, |foot, (ray, amount)| Ray {
                carries: foot.carries + ray.carries * amount,
                gives: foot.gives + ray.gives * amount,
            })
        });
        let feet: Vec<Ray> = feet.collect();
        let amounts = answer.amounts.iter().skip(RAYS * feet.len());
        let ways = AnyGround::ways(self.comes).zip(amounts);
        let at = ways.fold(Step::zeros(), |at, (way, amount)| at + way * *amount);
        // A corner of the polygon lies beyond the circle.
        (feet, at.cap_magnitude(self.comes.upon.tips))
    }

    /// What a frame at rest carries that is tipped so, on the ground that comes nearest to an answer.
    fn at_rest(&self, feet: &[Ray], at: Step) -> Option<f64> {
        let AnyGround {
            fans,
            weight,
            gives,
            ..
        } = self.ground;
        let feet = fans.iter().zip(&self.comes.tops).zip(feet);
        let supports = feet.map(|((fan, &top), foot)| {
            let newton = foot.gives * gives / (foot.carries * weight);
            let newton = if newton.is_finite() { newton } else { fan.soft };
            Support {
                at: fan.at,
                top,
                stiffness: 1.0 / newton.clamp(fan.firm, fan.soft),
            }
        });
        let supports: Vec<Support> = supports.collect();
        let load = self.comes.upon.load;
        let tipping = load.tipping + at;
        let rest = settle(&Load { tipping, ..load }, &supports).ok()?;
        let own = rest.loads.get(self.foot)?;
        Some(self.sign * own / weight)
    }

    /// The foot that is farthest from both pushing and hanging; `None` where all do either.
    fn in_between(&self, feet: &[Ray]) -> Option<usize> {
        let ground = self.ground;
        let feet = feet.iter().zip(&ground.fans).zip(&self.states);
        let off = feet.map(|((foot, fan), state)| {
            let firm = fan.firm * ground.weight / ground.gives;
            match state {
                // It carries something, and more than it would on the firmest ground.
                State::Any => foot.carries.min(foot.carries - foot.gives / firm),
                State::Pushes | State::Hangs => 0.0,
            }
        });
        let most = off.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        most.filter(|(_, off)| *off > NOTHING).map(|(foot, _)| foot)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::statics::edges;

    fn fans() -> impl Strategy<Value = Vec<Fan>> {
        let foot = (
            (-3.0..3.0_f64, -2.5..2.5_f64),
            -0.01..0.01_f64,
            -7.5..-6.0_f64,
            (-7.5..-5.5_f64, 0.0..1.0_f64),
        );
        let foot = foot.prop_map(|((x, y), top, own, (ground, more))| {
            let (own, ground) = (libm::exp10(own), libm::exp10(ground));
            Fan {
                at: Point::new(x, y),
                top,
                firm: own + ground,
                soft: own + ground * libm::exp10(more),
            }
        });
        prop::collection::vec(foot, 3..9)
    }

    fn upon() -> impl Strategy<Value = (Load, f64, f64)> {
        let twist = prop_oneof![
            4 => (5.0..9.0_f64).prop_map(libm::exp10),
            1 => Just(f64::INFINITY),
        ];
        let astray = prop_oneof![Just(0.0), 0.0..0.1_f64];
        let place = (-0.8..0.8_f64, -0.5..0.5_f64);
        (2e4..2e5_f64, place, twist, 0.0..0.9_f64, astray).prop_map(
            |(weight, (x, y), twist_stiffness, share, astray)| {
                let load = Load {
                    weight,
                    centre: Point::new(x, y),
                    tipping: Step::zeros(),
                    twist_stiffness,
                };
                (load, share, astray * weight)
            },
        )
    }

    /// A way of tipping and how far, how much heavier, how far a foot is wound, and the ground under
    /// each foot.
    type Sample = ((f64, f64), f64, f64, Vec<f64>);

    fn samples() -> impl Strategy<Value = Vec<Sample>> {
        let each = (
            (0.0..6.3_f64, 0.0..=1.0_f64),
            -1.0..=1.0_f64,
            -1.0..=1.0_f64,
            prop::collection::vec(prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0_f64], 8),
        );
        prop::collection::vec(each, 25)
    }

    proptest! {
        #![proptest_config(ProptestConfig { max_global_rejects: 200_000, ..ProptestConfig::default() })]

        /// Whatever the ground is, whichever way it is tipped, however heavy it is and however far a
        /// foot is wound.
        #[test]
        fn nothing_is_worse(
            fans in fans(),
            (load, share, astray) in upon(),
            (turned, by) in (0..3_usize, prop_oneof![Just(0.0), 0.0..0.01_f64]),
            samples in samples(),
        ) {
            let halfway: Vec<Support> = fans.iter().map(Fan::halfway).collect();
            let inside = edges(&halfway).map(|edge| edge.inside(load.centre));
            let inside = inside.fold(f64::INFINITY, f64::min);
            prop_assume!(inside.is_finite() && inside > 0.05);
            // Lighter it is moved farther by as much.
            let tips = share * inside * (load.weight - astray) - astray * load.centre.coords.norm();
            prop_assume!(tips >= 0.0);
            let ground = AnyGround::new(&fans, &load);
            let comes = Comes {
                wound: Some((turned, by)),
                ..ground.comes(&Upon { load, tips, astray })
            };
            let nothing = Extreme {
                least: load.weight,
                least_at: Step::zeros(),
                greatest: 0.0,
                greatest_at: Step::zeros(),
            };
            let found = ground.extremes(&comes, &vec![nothing; fans.len()]);
            for ((way, far), more, wound, shares) in samples {
                let (sin, cos) = libm::sincos(way);
                let weight = load.weight + more * astray;
                let mut supports: Vec<Support> = fans
                    .iter()
                    .zip(shares)
                    .map(|(fan, share)| Support {
                        at: fan.at,
                        top: fan.top,
                        stiffness: 1.0 / (fan.firm + (fan.soft - fan.firm) * share),
                    })
                    .collect();
                supports[turned].top += wound * by;
                // Heavier at the hub: its own still acts where it did, and twists the frame as much.
                let share = (load.weight / weight).sqrt();
                let tipped = Load {
                    weight,
                    centre: Point::from(load.centre.coords * share),
                    tipping: Step::new(cos, sin) * (tips * far)
                        + load.centre.coords * (load.weight - share * weight),
                    ..load
                };
                let loads = settle(&tipped, &supports).unwrap().loads;
                for (carries, bound) in loads.iter().zip(&found) {
                    let hair = 1e-8 * load.weight;
                    prop_assert!(*carries <= bound.greatest + hair, "{carries} {bound:?}");
                    prop_assert!(*carries >= bound.least - hair, "{carries} {bound:?}");
                }
            }
        }

        /// What is proven for one load settles another, and never too little.
        #[test]
        fn many_cases_are_as_bad_as_the_worst_of_them(
            fans in fans(), (load, share, _) in upon(), heavier in prop::collection::vec((0.8..1.2_f64, 0.0..1.0_f64), 1..6),
        ) {
            let halfway: Vec<Support> = fans.iter().map(Fan::halfway).collect();
            let inside = edges(&halfway).map(|edge| edge.inside(load.centre));
            let inside = inside.fold(f64::INFINITY, f64::min);
            prop_assume!(inside.is_finite() && inside > 0.05);
            let ground = AnyGround::new(&fans, &load);
            let all = heavier.iter().map(|(by, tips)| {
                let weight = load.weight * by;
                let tips = tips * share * inside * weight;
                ground.comes(&Upon { load: Load { weight, ..load }, tips, astray: 0.0 })
            });
            let all: Vec<Comes> = all.collect();
            for end in [End::Least, End::Greatest] {
                let start = if end == End::Least { 2.0 * load.weight } else { 0.0 };
                let known = (0..all.len()).map(|which| Found { load: start, which, at: Step::zeros() });
                let known: Vec<Found> = known.collect();
                let together = ground.worst(0, end, &all, &known).unwrap().load;
                let each = all.iter().zip(&known);
                let each = each.map(|(comes, known)| {
                    ground.worst(0, end, std::slice::from_ref(comes), &[*known]).unwrap().load
                });
                let alone = if end == End::Least {
                    each.fold(f64::INFINITY, f64::min)
                } else {
                    each.fold(0.0, f64::max)
                };
                let near = 3.0 * NEAR * load.weight;
                prop_assert!((together - alone).abs() <= near, "{end:?} {together} {alone}");
            }
        }
    }
}
