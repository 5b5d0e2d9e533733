//! Where to take the next shot: the place that lowers the error of the worst foot most.
//!
//! Each place is tried on a copy of the surface: a shot is set, the feet are asked again, the shot
//! is taken away. What a shot is worth depends on where it is, not on what will be read there, so
//! nothing need be known of the ground.
//!
//! Tried are the feet, the places half-way between two of them, and a grid over the ground about
//! them; the best few are then moved about in ever smaller steps, for the ground often has more
//! than one good place.

use std::cmp::Ordering;

use spade::{Point2, Triangulation};

use super::footing::Footing;
use super::shot::{DEFAULT_ERROR, Shot};
use super::{Elevation, Ground, Located, Surface, is_near, to_local, to_lot};
use crate::Point;

/// What one more shot would be worth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NextShot {
    /// Where to take it, lot frame.
    pub at: Point,
    /// The worst foot as things stand, by its place in the list.
    pub worst: usize,
    /// The standard error of its height, metres; absent where its height is not known.
    pub error_now: Option<f64>,
    /// The standard error of whichever foot is then the worst, metres; absent when some foot's
    /// height is still not known.
    pub error_after: Option<f64>,
}

/// How ill the feet are known; the least is best.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Ignorance {
    /// Feet whose height is not known.
    unknown: usize,
    /// The largest variance of the others, square metres.
    variance: f64,
}

/// A shot nearer than this to one that there is, metres, would be that one again.
const TAKEN: f64 = 0.05;

/// Less gain than this share of the error is not worth a walk.
const WORTH_A_WALK: f64 = 0.01;

/// Squares each way of the grid over the ground about the feet.
const GRID: u32 = 16;

/// Places that are moved about.
const STARTS: usize = 6;

/// Moves about the best place: more than it ever takes, so that it always ends.
const MOST_MOVES: usize = 200;

/// The last and smallest step about the best place, metres.
const LAST_STEP: f64 = 0.05;

/// See [`Ground::next_shot`].
pub(super) fn next_shot(ground: &Ground, feet: &[Point]) -> Option<NextShot> {
    let near = feet.iter().all(|foot| is_near(foot.x) && is_near(foot.y));
    if feet.is_empty() || !near {
        return None;
    }
    let mut trial = Trial {
        ground,
        surface: ground.surface.clone(),
        feet: feet
            .iter()
            .map(|&foot| to_local(ground.origin, foot))
            .collect(),
    };
    let (now, worst) = trial.ignorance();
    let tried = trial.first_places().into_iter();
    let mut tried: Vec<Tried> = tried
        .filter_map(|place| Some((place, trial.with_shot(place)?)))
        .collect();
    tried.sort_by(|a, b| a.1.partial_cmp(&b.1).unwrap_or(Ordering::Equal));
    tried.truncate(STARTS);
    let (at, after) = tried
        .into_iter()
        .map(|start| trial.moved_about(start))
        .reduce(better)?;
    let worth_it = after.unknown < now.unknown
        || after.variance.sqrt() < (1.0 - WORTH_A_WALK) * now.variance.sqrt();
    let error =
        |ignorance: Ignorance| (ignorance.unknown == 0).then_some(ignorance.variance.sqrt());
    worth_it.then(|| NextShot {
        at: to_lot(ground.origin, at),
        worst,
        error_now: error(now),
        error_after: error(after),
    })
}

/// A place, and how ill the feet would be known with a shot there.
type Tried = (Point2<f64>, Ignorance);

fn better(one: Tried, other: Tried) -> Tried {
    if other.1 < one.1 { other } else { one }
}

/// A surface to try shots on.
struct Trial<'a> {
    ground: &'a Ground,
    surface: Surface,
    feet: Vec<Point2<f64>>,
}

impl Trial<'_> {
    /// How ill the feet are known, and the worst of them.
    fn ignorance(&self) -> (Ignorance, usize) {
        let mut all = Ignorance {
            unknown: 0,
            variance: 0.0,
        };
        let mut worst = 0;
        for (index, foot) in self.feet.iter().enumerate() {
            match Footing::find(&self.surface, *foot) {
                None => {
                    if all.unknown == 0 {
                        worst = index;
                    }
                    all.unknown += 1;
                }
                Some(footing) => {
                    let variance = footing.variance(&self.ground.roughness);
                    if variance > all.variance {
                        all.variance = variance;
                        if all.unknown == 0 {
                            worst = index;
                        }
                    }
                }
            }
        }
        (all, worst)
    }

    /// How ill the feet would be known with one more shot. `None` where there is one already.
    fn with_shot(&mut self, at: Point2<f64>) -> Option<Ignorance> {
        let at = spade::mitigate_underflow(at);
        let here = Footing::find(&self.surface, at);
        if here.is_some_and(|footing| footing.nearest_shot(at) < TAKEN) {
            return None;
        }
        let on_breakline = match self.surface.locate(at) {
            Located::OnEdge(edge) => self.surface.is_constraint_edge(edge.as_undirected()),
            _ => false,
        };
        let shot = Shot {
            at,
            elevation: here.map_or(Elevation(0.0), |footing| footing.elevation()),
            error: DEFAULT_ERROR,
            rough: here.map_or(1.0, |footing| footing.rough()),
        };
        let handle = self.surface.insert(shot).ok()?;
        let (ignorance, _) = self.ignorance();
        if on_breakline {
            // Taking the shot away would take the breakline along.
            self.surface.clone_from(&self.ground.surface);
        } else {
            self.surface.remove(handle);
        }
        Some(ignorance)
    }

    /// The best place that is reached by ever smaller steps from one that was tried.
    fn moved_about(&mut self, (mut at, mut after): Tried) -> Tried {
        let mut reach = self.reach() / f64::from(GRID);
        for _ in 0..MOST_MOVES {
            if reach <= LAST_STEP {
                break;
            }
            let around = [-1.0, 0.0, 1.0]
                .into_iter()
                .flat_map(|x| [-1.0, 0.0, 1.0].map(|y| (x, y)));
            let best = around
                .map(|(x, y)| Point2::new(at.x + reach * x, at.y + reach * y))
                .filter_map(|place| Some((place, self.with_shot(place)?)))
                .reduce(better)
                .filter(|best| best.1 < after);
            match best {
                Some(best) => (at, after) = best,
                None => reach /= 2.0,
            }
        }
        (at, after)
    }

    fn first_places(&self) -> Vec<Point2<f64>> {
        let middle =
            |a: &Point2<f64>, b: &Point2<f64>| Point2::new((a.x + b.x) / 2.0, (a.y + b.y) / 2.0);
        let pairs = (self.feet.iter().enumerate())
            .flat_map(|(i, a)| self.feet.iter().skip(i + 1).map(move |b| middle(a, b)));
        let start = self.feet.first().copied().unwrap_or_default();
        let corner = |pick: fn(f64, f64) -> f64| {
            let feet = self.feet.iter();
            feet.fold(start, |corner, foot| {
                Point2::new(pick(corner.x, foot.x), pick(corner.y, foot.y))
            })
        };
        let (low, high, beyond) = (corner(f64::min), corner(f64::max), self.reach() / 2.0);
        let along = |low: f64, high: f64, i: u32| {
            low - beyond + (high - low + 2.0 * beyond) * f64::from(i) / f64::from(GRID)
        };
        let grid = (0..=GRID).flat_map(|i| (0..=GRID).map(move |j| (i, j)));
        (self.feet.iter().copied())
            .chain(pairs)
            .chain(grid.map(|(i, j)| Point2::new(along(low.x, high.x, i), along(low.y, high.y, j))))
            .collect()
    }

    /// From the first foot to the farthest from it, metres.
    fn reach(&self) -> f64 {
        let from_first = |foot: &Point2<f64>| {
            let first = self.feet.first().unwrap_or(foot);
            first.distance_2(*foot).sqrt()
        };
        self.feet.iter().map(from_first).fold(0.0, f64::max)
    }
}
