//! The fewest acts of all orders, made up or found by searching, and proven by a bound.
//!
//! # Picture
//!
//! Most frames rock on their diagonals: [`super::seesaw`] makes up their acts, and tells how few
//! they may be. Where it finds none, and for other frames, orders are searched. However the others
//! stand, one act takes a corner no farther than from one end of the room that a limit `L` leaves
//! to the other, `2 L / w` for a weight `w`. So a corner with `d` to go needs `⌈d w / 2 L⌉` acts at
//! least, and all corners together the sum of that. One corner is the last to be turned, and told
//! backwards from the end that act is no longer than the limits leave there, which may cost another
//! act. No corner is turned past where it is going and back. The search allows that many acts,
//! looks through every order and every number of quarter turns that the bound does not rule out,
//! and allows one more when there is none:
//!
//! ```text
//!   allowed 21:  a 12 ── b 24 ── a 24 ── … bound says 22: turn back
//!                   └─── c 24 ── …
//!                a 11 ── …
//! ```
//!
//! Corners are tried in the order of cranking and with the most turns first, so that among orders
//! with as few acts the front pair still comes first.
//!
//! # Source
//!
//! Iterative deepening with a bound that is never too high and a table of states already seen:
//! Korf, *Depth-first iterative-deepening*, Artificial Intelligence 27 (1985), from memory.

use std::collections::HashMap;

use super::passes::{Corner, Holds, Measure, Turned, room};
use super::seesaw::{self, Seesaw};

/// So many states are looked at. On ordinary ground 98 frames in 100 are settled by then; the
/// others keep the best order that was found, and the plan says so, with the least that is proven.
const MOST_STATES: usize = 1_000;

/// The same where the frame is simulated at every turn, which takes longer.
const MOST_SIMULATED: usize = 200;

/// So many numbers of acts are given up before the others are too.
const MOST_GIVEN_UP: usize = 3;

/// No crew makes more acts than this, and the search is as deep.
const MOST_ACTS: usize = 200;

/// What a search came to.
pub(super) struct Searched {
    /// The fewest acts, where they are fewer than what was asked.
    pub(super) acts: Option<Vec<Turned>>,
    /// No order takes fewer acts than this.
    pub(super) at_least: usize,
}

/// How many acts any order takes at least, told without a search.
pub(super) fn at_least(corners: &[Corner], measures: &[Measure]) -> usize {
    let told = Search::new(corners, &[], measures, None).least();
    told.max(seesaw::at_least(corners, measures))
}

/// The fewest acts, when they are fewer than `fewer_than`. None when none are, or when the search
/// is not settled in time. `holds` says of the corners' heights whether the frame may stand so.
pub(super) fn search(
    corners: &[Corner],
    order: &[usize],
    measures: &[Measure],
    holds: Option<&Holds<'_>>,
    fewer_than: usize,
) -> Searched {
    let heights: Vec<f64> = corners.iter().map(|corner| corner.from).collect();
    let values: Vec<f64> = measures.iter().map(|it| it.of(&heights)).collect();
    let seesaw = Seesaw::tightest(corners, measures);
    let most = fewer_than.min(MOST_ACTS);
    let least = at_least(corners, measures);
    let (mut proven, mut out_of_time) = (least, 0);
    for allowed in least..most {
        if out_of_time == MOST_GIVEN_UP {
            break;
        }
        let made_up = seesaw
            .as_ref()
            .and_then(|it| it.acts(allowed, order, holds));
        let mut search = Search::new(corners, order, measures, holds);
        let acts = match made_up {
            Some(acts) => Some(acts),
            None => match search.dig(&values, allowed) {
                // Written down on the way back.
                Ended::Found => Some(search.acts.into_iter().rev().collect()),
                Ended::NotThisWay if proven == allowed => {
                    proven += 1;
                    None
                }
                Ended::NotThisWay => None,
                Ended::OutOfTime => {
                    out_of_time += 1;
                    None
                }
            },
        };
        if acts.is_some() {
            return Searched {
                acts,
                at_least: proven,
            };
        }
    }
    Searched {
        acts: None,
        at_least: proven,
    }
}

enum Ended {
    Found,
    NotThisWay,
    OutOfTime,
}

struct Search<'a> {
    corners: &'a [Corner],
    order: &'a [usize],
    measures: &'a [Measure],
    holds: Option<&'a Holds<'a>>,
    heights: Vec<f64>,
    /// Quarter turns that one act can take each corner, however the others stand.
    widest: Vec<f64>,
    /// Quarter turns that the very last act can take each corner, told from the end backwards.
    last_of_all: Vec<f64>,
    to_go: Vec<i64>,
    last: Option<usize>,
    acts: Vec<Turned>,
    /// With how many acts left a state led nowhere.
    seen: HashMap<(Vec<i64>, Option<usize>), usize>,
    looked_at: usize,
}

impl<'a> Search<'a> {
    fn new(
        corners: &'a [Corner],
        order: &'a [usize],
        measures: &'a [Measure],
        holds: Option<&'a Holds<'a>>,
    ) -> Search<'a> {
        let widest = corners.iter().enumerate().map(|(index, corner)| {
            let rooms = measures.iter().filter_map(|measure| {
                let faster = measure.weights.get(index)?.abs() * corner.quarter;
                Some((2.0 * measure.limit / faster + 1e-9).floor())
            });
            rooms.fold(f64::INFINITY, f64::min)
        });
        let end: Vec<f64> = corners.iter().map(Corner::to).collect();
        let values: Vec<f64> = measures.iter().map(|it| it.of(&end)).collect();
        let last = corners.iter().enumerate().map(|(index, corner)| {
            let back = -corner.quarter * corner.quarters.signum() as f64;
            room(measures, &values, index, back)
        });
        Search {
            corners,
            order,
            measures,
            holds,
            last_of_all: last.collect(),
            heights: corners.iter().map(|corner| corner.from).collect(),
            widest: widest.collect(),
            to_go: corners.iter().map(|corner| corner.quarters).collect(),
            last: None,
            acts: Vec::new(),
            seen: HashMap::new(),
            looked_at: 0,
        }
    }

    /// Acts that are needed at least from here.
    fn least(&self) -> usize {
        let acts = |quarters: f64, widest: f64| (quarters / widest).ceil().max(0.0) as usize;
        let corners = self.to_go.iter().zip(&self.widest).zip(&self.last_of_all);
        let (mut sum, mut dearer) = (0_usize, usize::MAX);
        for ((to_go, &widest), &last) in corners.filter(|((to_go, _), _)| **to_go != 0) {
            let to_go = to_go.abs() as f64;
            let alone = acts(to_go, widest).max(1);
            sum = sum.saturating_add(alone);
            // If it is the last to be turned.
            let at_last = acts(to_go - last, widest).saturating_add(1);
            dearer = dearer.min(at_last.saturating_sub(alone));
        }
        sum.saturating_add(if sum == 0 { 0 } else { dearer })
    }

    /// Whether the rest can be done in as many acts as are left.
    fn dig(&mut self, values: &[f64], left: usize) -> Ended {
        if self.to_go.iter().all(|&quarters| quarters == 0) {
            return Ended::Found;
        }
        let here = (self.to_go.clone(), self.last);
        if self.seen.get(&here).is_some_and(|&had| had >= left) {
            return Ended::NotThisWay;
        }
        self.looked_at += 1;
        let most = self.holds.map_or(MOST_STATES, |_| MOST_SIMULATED);
        if self.looked_at > most {
            return Ended::OutOfTime;
        }
        self.seen.insert(here, left);
        for &corner in self.order {
            let ended = self.turn(corner, values, left);
            if !matches!(ended, Ended::NotThisWay) {
                return ended;
            }
        }
        Ended::NotThisWay
    }

    /// As [`Search::dig`], with this corner next.
    fn turn(&mut self, corner: usize, values: &[f64], left: usize) -> Ended {
        let (Some(&to_go), Some(quarter)) = (
            self.to_go.get(corner),
            self.corners.get(corner).map(|corner| corner.quarter),
        ) else {
            return Ended::NotThisWay;
        };
        // Two acts running at one corner are one.
        if to_go == 0 || left == 0 || self.last == Some(corner) {
            return Ended::NotThisWay;
        }
        let raise = quarter * to_go.signum() as f64;
        let most = room(self.measures, values, corner, raise).min(to_go.abs() as f64) as i64;
        let before = self.last.replace(corner);
        let mut ended = Ended::NotThisWay;
        for turns in (1..=most).rev() {
            if let Some(rest) = self.to_go.get_mut(corner) {
                *rest = to_go - turns * to_go.signum();
            }
            if self.least() > left - 1 {
                break;
            }
            if !self.holds_at(corner, raise * turns as f64) {
                continue;
            }
            let after: Vec<f64> = self
                .measures
                .iter()
                .zip(values)
                .map(|(measure, value)| {
                    let weight = measure.weights.get(corner).copied().unwrap_or(0.0);
                    value + weight * raise * turns as f64
                })
                .collect();
            let height = self.raise(corner, raise * turns as f64);
            ended = self.dig(&after, left - 1);
            self.put_back(corner, height);
            if let Ended::Found = ended {
                self.acts.push(Turned {
                    corner,
                    quarters: turns * to_go.signum(),
                });
            }
            if !matches!(ended, Ended::NotThisWay) {
                break;
            }
        }
        self.last = before;
        if let Some(rest) = self.to_go.get_mut(corner) {
            *rest = to_go;
        }
        ended
    }

    /// Whether the frame may stand with a corner so much higher.
    fn holds_at(&mut self, corner: usize, by: f64) -> bool {
        let Some(holds) = self.holds else {
            return true;
        };
        let height = self.raise(corner, by);
        let may = holds(&self.heights);
        self.put_back(corner, height);
        may
    }

    /// Raises a corner, and says how high it was.
    fn raise(&mut self, corner: usize, by: f64) -> f64 {
        let height = self.heights.get_mut(corner);
        height.map_or(0.0, |height| std::mem::replace(height, *height + by))
    }

    fn put_back(&mut self, corner: usize, at: f64) {
        if let Some(height) = self.heights.get_mut(corner) {
            *height = at;
        }
    }
}
