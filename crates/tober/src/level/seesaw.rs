//! Few acts of a frame that rocks on its diagonals, made up directly instead of searched for.
//!
//! # Picture
//!
//! A quarter turn at a corner moves the rack by a fixed step, up at the ends of one diagonal and
//! down at the ends of the other. So the rack goes to and fro between the two ends of the room
//! that its limit leaves, on a grid of such steps, and from one end to the other it is `room`
//! steps, whole ones:
//!
//! ```text
//!   highest  ── ╱╲    ╱╲    ╱╲
//!              ╱  ╲  ╱  ╲  ╱  ╲──  end        ╱  front left, back right
//!   start   ──╱    ╲╱    ╲╱                   ╲  front right, back left
//!   lowest
//! ```
//!
//! # How few
//!
//! The first act of all goes no farther than from the start to an end of the room, the last no
//! farther than back to the end, every other one no farther than the whole room. A corner with `d`
//! steps to go that is turned `n` times, neither first nor last, needs `d ≤ n · room`. Added up
//! over the corners, for the cheapest choice of the first and the last, that is how few acts any
//! order takes at least. It holds of every reading on such a grid: along and across too.
//!
//! # Which ones
//!
//! Corners are put in an order in which the rack goes to and fro. Each act goes all the way at
//! first, so that a corner gets some steps too many. Those are taken away at the turning points,
//! where a step less up is a step less down for the next corner: what the corners of one diagonal
//! have too many is given to those of the other as in a table with two rows and two columns,
//! which whole numbers fill. Where a diagonal needs two acts more than the other, two acts follow
//! each other the same way once, and share their way. What comes out is held to every limit, so
//! that it may be found or not, but is never wrong.
//!
//! # Source
//!
//! None: worked out here. Held to a search of every state in the tests, and, outside them, to an
//! integer-programming solver.

use super::passes::{Corner, Holds, Measure, Turned, room};

/// So many orders are tried for each way to share out the acts, from the front and from the back.
/// Ten times as many find hardly more.
const MOST_ORDERS: usize = 20;

/// No order with more acts than this above what the room alone asks for is tried.
const MOST_SPARE: i64 = 3;

/// A reading of the frame, in steps of which a quarter turn at any corner makes one, counted from
/// where the frame starts.
pub(super) struct Seesaw<'a> {
    corners: &'a [Corner],
    measures: &'a [Measure],
    lowest: i64,
    highest: i64,
    /// Where the frame ends.
    end: i64,
    /// Whether a corner on its way moves the reading up (1) or down (-1); 0 where it stays.
    sides: Vec<i64>,
    /// Steps that each corner has to go, the reading's own sign left out.
    to_go: Vec<i64>,
}

/// How few acts any order takes at least, as far as readings on a grid can tell.
pub(super) fn at_least(corners: &[Corner], measures: &[Measure]) -> usize {
    let told = measures.iter().filter_map(|measure| {
        let seesaw = Seesaw::of(measure, corners, measures)?;
        Some(seesaw.at_least())
    });
    told.max().unwrap_or(0)
}

impl<'a> Seesaw<'a> {
    /// The reading with the least room. `None` where no reading moves by one step for all corners.
    pub(super) fn tightest(corners: &'a [Corner], measures: &'a [Measure]) -> Option<Seesaw<'a>> {
        measures
            .iter()
            .filter_map(|measure| Seesaw::of(measure, corners, measures))
            .min_by_key(Seesaw::room)
    }

    fn of(measure: &Measure, corners: &'a [Corner], measures: &'a [Measure]) -> Option<Seesaw<'a>> {
        // How far a quarter turn at each corner moves it, on the way that the corner goes.
        let moves: Vec<f64> = measure
            .weights
            .iter()
            .zip(corners)
            .map(|(weight, corner)| weight * corner.quarter * corner.quarters.signum() as f64)
            .collect();
        let step = moves.iter().map(|by| by.abs()).fold(0.0, f64::max);
        let alike = |(by, corner): (&f64, &Corner)| {
            corner.quarters == 0 || (by.abs() / step - 1.0).abs() < 1e-9
        };
        if step == 0.0 || !moves.iter().zip(corners).all(alike) {
            return None;
        }
        let start: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
        let start = measure.of(&start);
        // A millionth of a step is arithmetic, and more room is never too few acts.
        let steps = |way: f64| ((way / step + 1e-6).floor() as i64).max(0);
        let side = |by: &f64| if *by == 0.0 { 0 } else { by.signum() as i64 };
        let sides: Vec<i64> = moves.iter().map(side).collect();
        let to_go: Vec<i64> = corners.iter().map(|corner| corner.quarters.abs()).collect();
        let end: i64 = sides
            .iter()
            .zip(&to_go)
            .map(|(side, to_go)| side * to_go)
            .sum();
        let seesaw = Seesaw {
            corners,
            measures,
            lowest: -steps(measure.limit + start),
            highest: steps(measure.limit - start),
            end,
            sides,
            to_go,
        };
        let inside = (seesaw.lowest..=seesaw.highest).contains(&end);
        (inside && seesaw.room() > 0).then_some(seesaw)
    }

    fn room(&self) -> i64 {
        self.highest - self.lowest
    }

    /// Which corners move, with the side that they move the reading to and the steps to go.
    fn moving(&self) -> impl Iterator<Item = (usize, i64, i64)> {
        let corners = self.sides.iter().zip(&self.to_go).enumerate();
        let corners = corners.map(|(corner, (&side, &to_go))| (corner, side, to_go));
        corners.filter(|&(_, side, _)| side != 0)
    }

    /// Where the reading is at the end of an act that goes all the way.
    fn far_end(&self, side: i64) -> i64 {
        if side > 0 { self.highest } else { self.lowest }
    }

    /// How few acts any order takes at least: see the module.
    fn at_least(&self) -> usize {
        let pairs = self
            .moving()
            .flat_map(|first| self.moving().map(move |last| (first, last)));
        let dearer = pairs.map(|((first, side, to_go), (last, last_side, last_to_go))| {
            let out = (self.far_end(side)) * side;
            let back = (self.end - self.far_end(-last_side)) * last_side;
            if first != last {
                let at_first = 1 + self.whole_acts(to_go - out) - self.whole_acts(to_go);
                let at_last = 1 + self.whole_acts(last_to_go - back) - self.whole_acts(last_to_go);
                at_first + at_last
            } else if to_go <= out.min(back) {
                1 - self.whole_acts(to_go)
            } else {
                2 + self.whole_acts(to_go - out - back) - self.whole_acts(to_go)
            }
        });
        let all: i64 = self.moving().map(|it| self.whole_acts(it.2)).sum();
        usize::try_from(all + dearer.min().unwrap_or(0)).unwrap_or(0)
    }

    /// Acts that go so many steps when each goes the whole room.
    fn whole_acts(&self, steps: i64) -> i64 {
        let (steps, room) = (steps.max(0).unsigned_abs(), self.room().unsigned_abs());
        i64::try_from(steps.div_ceil(room)).unwrap_or(i64::MAX)
    }

    /// So many acts that keep every limit, with the corners tried in this order. `None` where none
    /// are found, which does not say that there are none.
    pub(super) fn acts(
        &self,
        acts: usize,
        order: &[usize],
        holds: Option<&Holds<'_>>,
    ) -> Option<Vec<Turned>> {
        let least: Vec<i64> = self.to_go.iter().map(|&it| self.whole_acts(it)).collect();
        let spare = i64::try_from(acts).ok()? - least.iter().sum::<i64>();
        let backwards: Vec<usize> = order.iter().rev().copied().collect();
        for more in shared_out(spare, least.len()) {
            let left: Vec<i64> = least.iter().zip(&more).map(|(a, b)| a + b).collect();
            for order in [order, &backwards] {
                let mut orders = Orders {
                    seesaw: self,
                    order,
                    holds,
                    left: left.clone(),
                    most_same_way: 0,
                    turned: Vec::with_capacity(acts),
                    tries: MOST_ORDERS,
                    steps: MOST_ORDERS * acts,
                };
                orders.most_same_way = orders.same_way();
                if orders.most_same_way > 1 {
                    continue;
                }
                if let Some(found) = orders.dig() {
                    return Some(found);
                }
            }
        }
        None
    }

    fn side(&self, corner: usize) -> i64 {
        self.sides.get(corner).copied().unwrap_or(0)
    }

    /// Acts in this order that keep every limit; `None` where no lengths of them are found.
    fn cranked(&self, turned: &[usize], holds: Option<&Holds<'_>>) -> Option<Vec<Turned>> {
        let mut lengths = Vec::with_capacity(turned.len());
        let (mut at, mut shared) = (0, None);
        let mut runs = turned
            .chunk_by(|&a, &b| self.side(a) == self.side(b))
            .peekable();
        while let Some(run) = runs.next() {
            let side = run.first().map_or(0, |&corner| self.side(corner));
            let last = runs.peek().is_none();
            let to = if last { self.end } else { self.far_end(side) };
            let steps = (to - at) * side;
            at = to;
            match run {
                [_] if steps >= 1 => lengths.push(steps),
                [_, _] if steps >= 2 && shared.is_none() => {
                    shared = Some((lengths.len(), steps));
                    lengths.extend([0, steps]);
                }
                _ => return None,
            }
        }
        let Some((first, steps)) = shared else {
            return self.shortened(turned, &lengths, holds);
        };
        // Where two acts share a way, one takes what the other leaves of it.
        let over = self.over(turned, &lengths);
        let over = |act: usize| over.get(*turned.get(act)?).copied();
        let (least, most) = (1.max(-over(first)?), (steps - 1).min(over(first + 1)?));
        [least, most, least.midpoint(most)]
            .into_iter()
            .find_map(|share| {
                let mut lengths = lengths.clone();
                *lengths.get_mut(first)? += share;
                *lengths.get_mut(first + 1)? -= share;
                let sound = (1..steps).contains(&share);
                self.shortened(turned, &lengths, holds).filter(|_| sound)
            })
    }

    /// How many steps too many each corner makes.
    fn over(&self, turned: &[usize], lengths: &[i64]) -> Vec<i64> {
        let mut over: Vec<i64> = self.to_go.iter().map(|to_go| -to_go).collect();
        for (&corner, length) in turned.iter().zip(lengths) {
            if let Some(over) = over.get_mut(corner) {
                *over += length;
            }
        }
        over
    }

    /// Acts that go all the way, shortened at the turning points until no corner makes a step too
    /// many.
    fn shortened(
        &self,
        turned: &[usize],
        lengths: &[i64],
        holds: Option<&Holds<'_>>,
    ) -> Option<Vec<Turned>> {
        let over = self.over(turned, lengths);
        let of = |side: i64| {
            let mut corners = self.moving().filter(move |it| it.1 == side);
            let mut next = || {
                let corner = corners.next().map(|it| it.0);
                let over = corner.and_then(|it| over.get(it)).copied();
                (corner, over.unwrap_or(0))
            };
            let two = [next(), next()];
            corners.next().is_none().then_some(two)
        };
        let [[up, other_up], [down, other_down]] = [of(1)?, of(-1)?];
        let balanced = up.1 + other_up.1 == down.1 + other_down.1;
        if !balanced || over.iter().any(|&steps| steps < 0) {
            return None;
        }
        let (least, most) = (0.max(up.1 - other_down.1), up.1.min(down.1));
        [least, most, least.midpoint(most)]
            .into_iter()
            .find_map(|both| {
                let table = [
                    (up.0, down.0, both),
                    (up.0, other_down.0, up.1 - both),
                    (other_up.0, down.0, down.1 - both),
                    (other_up.0, other_down.0, other_up.1 - (down.1 - both)),
                ];
                let mut lengths = lengths.to_vec();
                for (one, other, steps) in table {
                    take_away(steps, (one, other), turned, &mut lengths)?;
                }
                self.keeping(turned, &lengths, holds)
            })
    }

    /// The acts, if they keep every limit.
    fn keeping(
        &self,
        turned: &[usize],
        lengths: &[i64],
        holds: Option<&Holds<'_>>,
    ) -> Option<Vec<Turned>> {
        let mut heights: Vec<f64> = self.corners.iter().map(|corner| corner.from).collect();
        let mut acts = Vec::with_capacity(turned.len());
        for (&corner, &length) in turned.iter().zip(lengths) {
            let turning = self.corners.get(corner)?;
            let raise = turning.quarter * turning.quarters.signum() as f64;
            let values: Vec<f64> = self.measures.iter().map(|it| it.of(&heights)).collect();
            if room(self.measures, &values, corner, raise) < length as f64 {
                return None;
            }
            *heights.get_mut(corner)? += raise * length as f64;
            if holds.is_some_and(|holds| !holds(&heights)) {
                return None;
            }
            acts.push(Turned {
                corner,
                quarters: length * turning.quarters.signum(),
            });
        }
        Some(acts)
    }
}

/// Makes acts on either side of the turning points between two corners shorter, evenly, by so many
/// steps each in all. `None` where they are not as long, or the two never follow each other.
fn take_away(
    mut steps: i64,
    (one, other): (Option<usize>, Option<usize>),
    turned: &[usize],
    lengths: &mut [i64],
) -> Option<()> {
    let meet = |pair: &[usize]| match pair {
        [a, b] => (one, other) == (Some(*a), Some(*b)) || (other, one) == (Some(*a), Some(*b)),
        _ => false,
    };
    let mut meetings = turned.windows(2).filter(|pair| meet(pair)).count() as i64;
    for (index, _) in turned.windows(2).enumerate().filter(|(_, pair)| meet(pair)) {
        let [before, after] = lengths.get_mut(index..index + 2)? else {
            return None;
        };
        let even = (steps + meetings - 1) / meetings;
        let take = even.min(*before - 1).min(*after - 1).max(0);
        *before -= take;
        *after -= take;
        steps -= take;
        meetings -= 1;
    }
    (steps == 0).then_some(())
}

/// Every way to share so many out among so many; none where there are more than is worth trying.
fn shared_out(many: i64, among: usize) -> Vec<Vec<i64>> {
    if !(0..=MOST_SPARE).contains(&many) || among == 0 {
        return Vec::new();
    }
    if among == 1 {
        return vec![vec![many]];
    }
    let rest = |first: i64| {
        let rests = shared_out(many - first, among - 1).into_iter();
        rests.map(move |rest| [vec![first], rest].concat())
    };
    (0..=many).flat_map(rest).collect()
}

/// Orders of corners in which the reading goes to and fro, one after the other.
struct Orders<'a> {
    seesaw: &'a Seesaw<'a>,
    order: &'a [usize],
    holds: Option<&'a Holds<'a>>,
    /// How often each corner is yet to be turned.
    left: Vec<i64>,
    most_same_way: i64,
    turned: Vec<usize>,
    /// Whole orders that may yet be tried.
    tries: usize,
    /// Acts that may yet be put one behind the other: most orders may come to nothing before they
    /// are whole.
    steps: usize,
}

impl Orders<'_> {
    fn dig(&mut self) -> Option<Vec<Turned>> {
        if self.left.iter().all(|&acts| acts == 0) {
            self.tries = self.tries.saturating_sub(1);
            return self.seesaw.cranked(&self.turned, self.holds);
        }
        for &corner in self.order {
            let last = self.turned.last().copied();
            let left = self.left.get(corner).copied().unwrap_or(0);
            let over = self.tries == 0 || self.steps == 0;
            if over || left == 0 || last == Some(corner) {
                continue;
            }
            self.steps -= 1;
            if let Some(left) = self.left.get_mut(corner) {
                *left -= 1;
            }
            self.turned.push(corner);
            let found = if self.same_way() <= self.most_same_way {
                self.dig()
            } else {
                None
            };
            if found.is_some() {
                return found;
            }
            self.turned.pop();
            if let Some(left) = self.left.get_mut(corner) {
                *left += 1;
            }
        }
        None
    }

    /// How often two acts follow each other the same way at least: so far, and in what is left.
    fn same_way(&self) -> i64 {
        let side = |&corner: &usize| self.seesaw.side(corner);
        let left = |wanted: i64| {
            let corners = self.seesaw.moving().filter(|it| it.1 == wanted);
            corners.filter_map(|it| self.left.get(it.0)).sum::<i64>()
        };
        let so_far = self.turned.windows(2).map(|pair| match pair {
            [a, b] => i64::from(side(a) == side(b)),
            _ => 0,
        });
        let in_what_is_left = match self.turned.last().map(side) {
            // The same way as the last, or, once the others are used up, one after the other.
            Some(last) => (left(last) - left(-last)).max(left(-last) - left(last) - 1),
            None => (left(1) - left(-1)).abs() - 1,
        };
        so_far.sum::<i64>() + in_what_is_left.max(0)
    }
}
