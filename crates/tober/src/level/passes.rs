//! The fewest acts that take a frame from one attitude to another, one jack at a time, with every
//! limit kept after each.
//!
//! # Picture
//!
//! Each limit is on a number that is linear in the heights of the jacks: how far a corner is
//! ahead of the plane of the others (its rack), the tilt along, the tilt across. So the states
//! that keep every limit form a convex set, and what holds at both ends of an act holds all the
//! way through it.
//!
//! ```text
//!   rack of a pair cranked in turns:   +R   ╱╲    ╱╲
//!                                       0  ╱  ╲  ╱  ╲──
//!                                      −R ╱    ╲╱
//! ```
//!
//! # Order
//!
//! Groups of jacks come one after the other (the front pair, then the back), and in a group one
//! jack after the other, each as far as the limits let it go. Of the sequences that start each
//! pair at the same jack and finish one pair before the next, that one has the fewest acts. For a
//! pair is held by its rack and its two tilts, which are linear in the two heights: an act that
//! goes as far as it can leaves the other jack the widest range, and by induction no sequence is
//! ahead of it at either jack after as many acts. Held to a search of every state in the tests.
//!
//! Where the travelling tilt lets no pair be finished before the next, a group is left when it is
//! stuck and taken up again after the others, and [`super::fewest`] searches every order for one
//! with fewer acts.
//!
//! Should all that get stuck, the frame goes a quarter turn at a time near the straight way
//! between the two states, which in a convex set stays inside it.

use super::attitude::Attitude;
use super::fewest;
use crate::Point;

/// A jack on its way. Lengths in metres, positive is up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    pub(super) at: Point,
    /// Height of the datum above it that it holds at first.
    pub(super) from: f64,
    /// Lift for a quarter turn.
    pub(super) quarter: f64,
    /// Quarter turns to go.
    pub(super) quarters: i64,
}

/// What every state must keep.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// How far a corner may be ahead of, or behind, the plane of the others, metres.
    pub(super) rack: f64,
    /// Most slope along and across, metres in a metre.
    pub(super) slope: f64,
}

/// One act: which corner, and how many quarter turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Turned {
    pub(super) corner: usize,
    pub(super) quarters: i64,
}

/// A number that is linear in the heights of the corners, and how large it may get.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub(super) weights: Vec<f64>,
    pub(super) limit: f64,
}

impl Measure {
    pub(super) fn of(&self, heights: &[f64]) -> f64 {
        self.weights
            .iter()
            .zip(heights)
            .map(|(weight, height)| weight * height)
            .sum()
    }
}

/// For every corner, how far it is ahead of the plane that best fits the others: weights of the
/// heights. Nothing for corners whose others lie on one line, or for three corners and fewer.
pub(super) fn racks(places: &[Point]) -> Vec<Vec<f64>> {
    if places.len() < 4 {
        return Vec::new();
    }
    (0..places.len())
        .filter_map(|corner| {
            let at = *places.get(corner)?;
            let others: Vec<Point> = places
                .iter()
                .enumerate()
                .filter(|(index, _)| *index != corner)
                .map(|(_, &place)| place)
                .collect();
            let mut shares = Attitude::answers(&others)
                .into_iter()
                .map(|answer| -answer.at(at));
            Some(
                (0..places.len())
                    .map(|index| {
                        if index == corner {
                            1.0
                        } else {
                            shares.next().unwrap_or(0.0)
                        }
                    })
                    .collect(),
            )
        })
        .collect()
}

/// What must hold between two states. A limit that either end breaks already is held at that.
pub(super) fn measures(corners: &[Corner], limits: &Limits) -> Vec<Measure> {
    let places: Vec<Point> = corners.iter().map(|corner| corner.at).collect();
    let answers = Attitude::answers(&places);
    let along = answers.iter().map(|answer| answer.along).collect();
    let across = answers.iter().map(|answer| answer.across).collect();
    let start: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
    let end: Vec<f64> = corners.iter().map(|corner| corner.to()).collect();
    let racks = racks(&places)
        .into_iter()
        .map(|weights| (weights, limits.rack));
    racks
        .chain([(along, limits.slope), (across, limits.slope)])
        .map(|(weights, limit)| {
            let mut measure = Measure { weights, limit };
            let ends = measure.of(&start).abs().max(measure.of(&end).abs());
            measure.limit = limit.max(ends);
            measure
        })
        .collect()
}

impl Corner {
    pub(super) fn to(&self) -> f64 {
        self.from + self.quarters as f64 * self.quarter
    }
}

/// Acts one after the other, and how few there could be.
#[derive(Clone, Debug)]
pub(super) struct Sequence {
    pub(super) acts: Vec<Turned>,
    /// No order of the kind takes fewer acts than this.
    pub(super) at_least: usize,
    /// Whether that is said only of orders that begin each group at the same jack and finish it
    /// before the next; else of any order.
    pub(super) group_after_group: bool,
}

/// The acts, group after group.
pub(super) fn sequence(
    corners: &[Corner],
    groups: &[Vec<usize>],
    measures: &[Measure],
) -> Sequence {
    if let Some(acts) = Way::new(corners, measures).group_after_group(groups) {
        let pairs = groups.iter().all(|group| group.len() <= 2);
        return Sequence {
            at_least: if pairs {
                acts.len()
            } else {
                fewest::at_least(corners, measures)
            },
            acts,
            group_after_group: pairs,
        };
    }
    let everyone: Vec<usize> = groups.iter().flatten().copied().collect();
    let at_will = Way::new(corners, measures).in_groups(groups);
    let in_turn = Way::new(corners, measures).in_groups(std::slice::from_ref(&everyone));
    let found = [at_will, in_turn]
        .into_iter()
        .flatten()
        .min_by_key(Vec::len);
    let fewer_than = found.as_ref().map_or(usize::MAX, Vec::len);
    let searched = fewest::search(corners, &everyone, measures, None, fewer_than);
    let acts = searched.acts.or(found);
    Sequence {
        acts: acts.unwrap_or_else(|| step_by_step(corners, &everyone, measures)),
        at_least: searched.at_least,
        group_after_group: false,
    }
}

/// Whether a frame may stand with its corners at some heights.
pub(super) type Holds<'a> = dyn Fn(&[f64]) -> bool + 'a;

/// The acts of a frame that has more to keep than its measures: `holds` says whether it may stand
/// with its corners at some heights. Group after group where that goes, else in turn; each jack as
/// far as it goes. `None` when it gets stuck. As it has more to keep, `without` tells how few acts
/// it could be at least.
pub(super) fn held(
    corners: &[Corner],
    groups: &[Vec<usize>],
    measures: &[Measure],
    holds: &Holds<'_>,
    without: &Sequence,
) -> Option<Sequence> {
    let way = || Way {
        holds: Some(holds),
        ..Way::new(corners, measures)
    };
    let everyone: Vec<usize> = groups.iter().flatten().copied().collect();
    if let Some(acts) = way().group_after_group(groups) {
        return Some(Sequence {
            acts,
            at_least: without.at_least,
            group_after_group: without.group_after_group,
        });
    }
    let at_will = way().in_groups(groups);
    let in_turn = || way().in_groups(std::slice::from_ref(&everyone));
    let found = at_will.or_else(in_turn);
    let fewer_than = found.as_ref().map_or(usize::MAX, Vec::len);
    let searched = fewest::search(corners, &everyone, measures, Some(holds), fewer_than);
    let others = if without.group_after_group {
        0
    } else {
        without.at_least
    };
    Some(Sequence {
        acts: searched.acts.or(found)?,
        at_least: searched.at_least.max(others),
        group_after_group: false,
    })
}

/// How many quarter turns a corner may go at once, each raising it by so much, before a measure
/// is at its limit. Infinite where nothing holds it.
pub(super) fn room(measures: &[Measure], values: &[f64], corner: usize, raise: f64) -> f64 {
    measures
        .iter()
        .zip(values)
        .filter_map(|(measure, value)| {
            let faster = measure.weights.get(corner)? * raise;
            // Where it is over the limit already, it may come back.
            let left = (measure.limit - value * faster.signum()).max(0.0);
            (faster != 0.0).then(|| (left / faster.abs() + 1e-9).floor())
        })
        .fold(f64::INFINITY, f64::min)
}

/// A frame on its way.
struct Way<'a> {
    corners: &'a [Corner],
    measures: &'a [Measure],
    /// Of the measures, as it stands.
    values: Vec<f64>,
    heights: Vec<f64>,
    /// What else must hold at every height of the corners.
    holds: Option<&'a Holds<'a>>,
    to_go: Vec<i64>,
    acts: Vec<Turned>,
}

impl<'a> Way<'a> {
    fn new(corners: &'a [Corner], measures: &'a [Measure]) -> Way<'a> {
        let heights: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
        Way {
            corners,
            measures,
            values: measures.iter().map(|it| it.of(&heights)).collect(),
            heights,
            holds: None,
            to_go: corners.iter().map(|corner| corner.quarters).collect(),
            acts: Vec::new(),
        }
    }

    /// Every group finished before the next; `None` when one gets stuck.
    fn group_after_group(mut self, groups: &[Vec<usize>]) -> Option<Vec<Turned>> {
        for group in groups {
            self.crank_while_it_goes(group, 1);
            let finished = |&corner: &usize| self.to_go.get(corner) == Some(&0);
            if !group.iter().all(finished) {
                return None;
            }
        }
        Some(self.acts)
    }

    fn crank_while_it_goes(&mut self, group: &[usize], least: i64) {
        loop {
            let before = self.acts.len();
            for &corner in group {
                self.crank(corner, least);
            }
            if self.acts.len() == before {
                return;
            }
        }
    }

    /// `None` when it gets stuck.
    fn in_groups(mut self, groups: &[Vec<usize>]) -> Option<Vec<Turned>> {
        // A crew does not walk round for a quarter turn while there is more to do elsewhere.
        let mut least = self.least_worth_it();
        while self.to_go.iter().any(|&quarters| quarters != 0) {
            let before = self.acts.len();
            for group in groups {
                self.crank_while_it_goes(group, least);
            }
            if self.acts.len() == before {
                if least == 1 {
                    return None;
                }
                least = 1;
            }
        }
        Some(self.acts)
    }

    /// Half of what the rack limit allows in one go, quarter turns.
    fn least_worth_it(&self) -> i64 {
        let finest = self
            .measures
            .iter()
            .flat_map(|measure| {
                measure
                    .weights
                    .iter()
                    .zip(self.corners)
                    .map(|(weight, corner)| measure.limit / (weight.abs() * corner.quarter))
            })
            .fold(f64::INFINITY, f64::min);
        ((finest / 2.0) as i64).max(1)
    }

    /// Cranks a corner as far as the limits let it go, if that is at least so many quarter turns
    /// or all that there is to do.
    fn crank(&mut self, corner: usize, least: i64) {
        let (Some(&to_go), Some(quarter)) = (
            self.to_go.get(corner),
            self.corners.get(corner).map(|corner| corner.quarter),
        ) else {
            return;
        };
        let room = room(
            self.measures,
            &self.values,
            corner,
            quarter * to_go.signum() as f64,
        );
        let quarters = if room >= to_go.abs() as f64 {
            to_go
        } else {
            room as i64 * to_go.signum()
        };
        let quarters = self.while_it_holds(corner, quarters, quarter);
        if quarters == 0 || (quarters != to_go && quarters.abs() < least) {
            return;
        }
        if let Some(height) = self.heights.get_mut(corner) {
            *height += quarter * quarters as f64;
        }
        for (measure, value) in self.measures.iter().zip(&mut self.values) {
            let weight = measure.weights.get(corner).copied().unwrap_or(0.0);
            *value += weight * quarter * quarters as f64;
        }
        if let Some(to_go) = self.to_go.get_mut(corner) {
            *to_go -= quarters;
        }
        self.acts.push(Turned { corner, quarters });
    }

    /// As many of these quarter turns as leave the frame where it may stand.
    fn while_it_holds(&self, corner: usize, quarters: i64, quarter: f64) -> i64 {
        let Some(holds) = self.holds else {
            return quarters;
        };
        let mut heights = self.heights.clone();
        let from = heights.get(corner).copied().unwrap_or(0.0);
        let mut may = |turns: i64| {
            if let Some(height) = heights.get_mut(corner) {
                *height = from + quarter * turns as f64;
            }
            holds(&heights)
        };
        if may(quarters) {
            return quarters;
        }
        // Only what was seen to hold is taken, be it all there is or not.
        let (mut enough, mut too_many) = (0, quarters);
        while (too_many - enough).abs() > 1 {
            let middle = (enough + too_many) / 2;
            if may(middle) {
                enough = middle;
            } else {
                too_many = middle;
            }
        }
        enough
    }
}

/// A quarter turn at a time, always where it leaves the frame farthest inside its limits, and
/// then nearest to the even share of every corner. Quarter turns at one corner after the other
/// are one act.
fn step_by_step(corners: &[Corner], order: &[usize], measures: &[Measure]) -> Vec<Turned> {
    let mut heights: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
    let mut done = vec![0_i64; corners.len()];
    let mut acts: Vec<Turned> = Vec::new();
    loop {
        let next = order
            .iter()
            .filter_map(|&index| {
                let corner = corners.get(index)?;
                let made = *done.get(index)?;
                let way = (corner.quarters - made).signum();
                let height = *heights.get(index)?;
                let turned = height + way as f64 * corner.quarter;
                let fullest = measures.iter().map(|measure| {
                    let weight = measure.weights.get(index).copied().unwrap_or(0.0);
                    let value = measure.of(&heights) + weight * (turned - height);
                    value.abs() / measure.limit.max(f64::MIN_POSITIVE)
                });
                let fullest = fullest.fold(0.0, f64::max);
                let share = made as f64 / corner.quarters as f64;
                (way != 0).then_some((fullest.max(0.5), share, index, way))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let Some((_, _, index, way)) = next else {
            return acts;
        };
        if let (Some(height), Some(made), Some(corner)) = (
            heights.get_mut(index),
            done.get_mut(index),
            corners.get(index),
        ) {
            *height += way as f64 * corner.quarter;
            *made += way;
        }
        match acts.last_mut() {
            Some(last) if last.corner == index => last.quarters += way,
            _ => acts.push(Turned {
                corner: index,
                quarters: way,
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::{HashMap, VecDeque};

    use proptest::prelude::*;

    use super::super::seesaw::{self, Seesaw};
    use super::*;

    /// How far over its limit any measure gets on the way; 0 when every limit is kept.
    fn excess(corners: &[Corner], measures: &[Measure], acts: &[Turned]) -> f64 {
        let mut heights: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
        let mut excess = 0.0_f64;
        for act in acts {
            if let (Some(height), Some(corner)) =
                (heights.get_mut(act.corner), corners.get(act.corner))
            {
                *height += act.quarters as f64 * corner.quarter;
            }
            for measure in measures {
                let over = measure.of(&heights).abs() - measure.limit;
                // A billionth of a metre is arithmetic.
                if over > 1e-9 {
                    excess = excess.max(over);
                }
            }
        }
        excess
    }

    fn keeps(corners: &[Corner], measures: &[Measure], acts: &[Turned]) -> bool {
        excess(corners, measures, acts) == 0.0
    }

    fn frame(quarters: [i64; 4], from: [f64; 4]) -> Vec<Corner> {
        [(2.0, 1.0), (2.0, -1.0), (-2.0, 1.0), (-2.0, -1.0)]
            .into_iter()
            .zip(quarters.into_iter().zip(from))
            .map(|((x, y), (quarters, from))| Corner {
                at: Point::new(x, y),
                from,
                quarter: 0.001,
                quarters,
            })
            .collect()
    }

    /// The fewest acts there are, whatever the order: breadth first over every state.
    fn fewest(corners: &[Corner], measures: &[Measure], movable: &[usize]) -> Option<usize> {
        fewest_from(corners, measures, movable, &vec![0; corners.len()], None)
    }

    /// The fewest from a state on, where nothing but `first` may be turned first.
    fn fewest_from(
        corners: &[Corner],
        measures: &[Measure],
        movable: &[usize],
        start: &[i64],
        first: Option<usize>,
    ) -> Option<usize> {
        let goal: Vec<i64> = corners.iter().map(|corner| corner.quarters).collect();
        let mut seen = HashMap::from([(start.to_vec(), 0)]);
        let mut queue = VecDeque::from([start.to_vec()]);
        while let Some(done) = queue.pop_front() {
            let acts = seen[&done];
            if movable.iter().all(|&corner| done[corner] == goal[corner]) {
                return Some(acts);
            }
            let may = |corner: &&usize| acts > 0 || first.is_none_or(|first| first == **corner);
            for &corner in movable.iter().filter(may) {
                let way = (goal[corner] - done[corner]).signum();
                let mut next = done.clone();
                while next[corner] != goal[corner] {
                    next[corner] += way;
                    let heights: Vec<f64> = corners
                        .iter()
                        .zip(&next)
                        .map(|(corner, &done)| corner.from + done as f64 * corner.quarter)
                        .collect();
                    let keeps = measures
                        .iter()
                        .all(|measure| measure.of(&heights).abs() <= measure.limit + 1e-9);
                    if keeps && !seen.contains_key(&next) {
                        seen.insert(next.clone(), acts + 1);
                        queue.push_back(next.clone());
                    }
                }
            }
        }
        None
    }

    /// By hand: 40 quarters of 1 mm at each front corner, rack limit 10 mm. 10, 20, 20, 20 and
    /// the last 10 take three acts on the first jack and two and a bit on the other.
    #[test]
    fn a_pair_by_hand() {
        let corners = frame([40, 40, 0, 0], [0.0; 4]);
        let limits = Limits {
            rack: 0.01,
            slope: 1.0,
        };
        let measures = measures(&corners, &limits);
        let acts = sequence(&corners, &[vec![0, 1], vec![2, 3]], &measures).acts;
        let quarters: Vec<(usize, i64)> = acts.iter().map(|it| (it.corner, it.quarters)).collect();
        assert_eq!(quarters, [(0, 10), (1, 20), (0, 20), (1, 20), (0, 10)]);
    }

    /// By hand: 40 quarters of 1 mm at every corner, and from -10 to 10 mm of rack. The first act
    /// of all goes 10, the last back to the start 10, each other one 20. A corner that is neither
    /// first nor last takes two; one that is both is turned 10, 20 and 10. So 2 + 2 + 2 + 3.
    #[test]
    fn four_corners_by_hand() {
        let corners = frame([40; 4], [0.0; 4]);
        let limits = Limits {
            rack: 0.01,
            slope: 1.0,
        };
        let measures = measures(&corners, &limits);
        assert_eq!(seesaw::at_least(&corners, &measures), 9);
        let seesaw = Seesaw::tightest(&corners, &measures).unwrap();
        assert!(seesaw.acts(8, &[0, 1, 2, 3], None).is_none());
        let acts = seesaw.acts(9, &[0, 1, 2, 3], None).unwrap();
        assert!(keeps(&corners, &measures, &acts), "{acts:?}");
    }

    proptest! {
        #[test]
        fn a_pair_takes_the_fewest_acts(
            left in 0..40_i64, right in 0..40_i64, rack in 4.0..12.0_f64,
        ) {
            let corners = frame([left, right, 0, 0], [0.0; 4]);
            let limits = Limits { rack: rack * 1e-3, slope: 1.0 };
            let measures = measures(&corners, &limits);
            let acts = sequence(&corners, &[vec![0, 1], vec![2, 3]], &measures).acts;
            prop_assert!(keeps(&corners, &measures, &acts));
            // Either jack may come first; the rule says which.
            let low_first = fewest_from(&corners, &measures, &[0, 1], &[0; 4], Some(0));
            let low_first = if left == 0 { fewest(&corners, &measures, &[0, 1]) } else { low_first };
            prop_assert_eq!(acts.len(), low_first.unwrap(), "{:?}", acts);
        }

        /// One pair finished before the other, each started at its low side: no sequence does
        /// it in fewer, whatever the state that the frame starts from.
        #[test]
        fn pair_after_pair_takes_the_fewest_acts(
            quarters in prop::array::uniform4(1..16_i64),
            from in prop::array::uniform4(-3..3_i64),
            rack in 4.0..12.0_f64,
        ) {
            let corners = frame(quarters, from.map(|it| it as f64 * 1e-3));
            let limits = Limits { rack: rack * 1e-3, slope: 1.0 };
            let measures = measures(&corners, &limits);
            let acts = sequence(&corners, &[vec![0, 1], vec![2, 3]], &measures).acts;
            let [front_left, front_right, ..] = quarters;
            let front = fewest_from(&corners, &measures, &[0, 1], &[0; 4], Some(0));
            let lifted = [front_left, front_right, 0, 0];
            let back = fewest_from(&corners, &measures, &[2, 3], &lifted, Some(2));
            if let (Some(front), Some(back)) = (front, back) {
                prop_assert!(acts.len() <= front + back, "{acts:?}, {front} + {back}");
            }
        }

        #[test]
        fn where_no_pair_can_be_finished_no_order_takes_fewer(
            quarters in prop::array::uniform4(0..6_i64),
            from in prop::array::uniform4(-3..3_i64),
            rack in 2.0..6.0_f64, slope in 0.0005..0.003_f64,
        ) {
            let corners = frame(quarters, from.map(|it| it as f64 * 1e-3));
            let limits = Limits { rack: rack * 1e-3, slope };
            let measures = measures(&corners, &limits);
            let groups = [vec![0, 1], vec![2, 3]];
            if Way::new(&corners, &measures).group_after_group(&groups).is_some() {
                return Ok(());
            }
            let Sequence { acts, at_least, .. } = sequence(&corners, &groups, &measures);
            if let Some(fewest) = fewest(&corners, &measures, &[0, 1, 2, 3]) {
                prop_assert!(at_least <= fewest, "{at_least}");
                prop_assert_eq!(acts.len(), fewest, "{:?}", acts);
            }
        }

        /// What is made up of a rack that goes to and fro keeps every limit, makes every turn in as
        /// many acts as were asked for, and never claims that more are needed than are.
        #[test]
        fn a_rack_to_and_fro_is_never_beaten_by_what_it_proves(
            quarters in prop::array::uniform4(-7..7_i64),
            from in prop::array::uniform4(-2.0..2.0_f64),
            rack in 2.0..5.0_f64, slope in 0.0005..0.004_f64,
        ) {
            let corners = frame(quarters, from.map(|it| it * 1e-3));
            let limits = Limits { rack: rack * 1e-3, slope };
            let measures = measures(&corners, &limits);
            let Some(fewest) = fewest(&corners, &measures, &[0, 1, 2, 3]) else { return Ok(()) };
            let least = seesaw::at_least(&corners, &measures);
            prop_assert!(least <= fewest, "{least} {fewest}");
            let Some(seesaw) = Seesaw::tightest(&corners, &measures) else { return Ok(()) };
            for asked in 0..=fewest {
                let Some(acts) = seesaw.acts(asked, &[0, 1, 2, 3], None) else { continue };
                prop_assert_eq!(acts.len(), asked);
                prop_assert!(asked >= fewest, "{acts:?} {fewest}");
                prop_assert!(keeps(&corners, &measures, &acts), "{acts:?}");
                for (corner, &asked) in quarters.iter().enumerate() {
                    let made = acts.iter().filter(|act| act.corner == corner);
                    prop_assert_eq!(made.map(|act| act.quarters).sum::<i64>(), asked);
                }
            }
        }

        #[test]
        fn every_state_keeps_the_limits_and_every_turn_is_made(
            quarters in prop::array::uniform4(-60..200_i64),
            from in prop::array::uniform4(-0.02..0.02_f64),
            rack in 0.0005..0.03_f64, slope in 0.0005..0.05_f64,
        ) {
            let corners = frame(quarters, from);
            let measures = measures(&corners, &Limits { rack, slope });
            let acts = sequence(&corners, &[vec![1, 0], vec![3, 2]], &measures).acts;
            let mut given = measures;
            for measure in &mut given {
                let end: Vec<f64> = corners.iter().map(Corner::to).collect();
                let ends = measure.of(&from).abs().max(measure.of(&end).abs());
                // Where a limit asks for more than quarter turns can do, they stray from the
                // straight way by up to a quarter turn at each corner.
                let sum: f64 = measure.weights.iter().map(|weight| weight.abs()).sum();
                measure.limit = measure.limit.max(ends + 0.001 * sum);
            }
            prop_assert!(keeps(&corners, &given, &acts), "{acts:?}");
            for (corner, &asked) in quarters.iter().enumerate() {
                let made: i64 = acts.iter().filter(|act| act.corner == corner)
                    .map(|act| act.quarters).sum();
                prop_assert_eq!(made, asked);
            }
        }

        #[test]
        fn four_corners_take_few_more_acts_than_the_fewest(
            quarters in prop::array::uniform4(0..7_i64), rack in 2.0..6.0_f64,
        ) {
            let corners = frame(quarters, [0.0; 4]);
            let limits = Limits { rack: rack * 1e-3, slope: 1.0 };
            let measures = measures(&corners, &limits);
            let acts = sequence(&corners, &[vec![0, 1], vec![2, 3]], &measures).acts;
            let fewest = fewest(&corners, &measures, &[0, 1, 2, 3]).unwrap();
            prop_assert!(acts.len() <= fewest + 3, "{acts:?}, {fewest}");
        }
    }
}
