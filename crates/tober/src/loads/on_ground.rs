//! What the ground under the feet does to what they carry.
//!
//! # Picture
//!
//! ```text
//!        firm            soft: gives way, and its load goes to its neighbours
//!   ══════════════════════════
//!     ▲                   ▲
//!     █ foot and blocks   █      two springs, one on the other:
//!     ▒ ground            ▒      1/k = 1/k_foot + 1/(modulus · area)
//! ```
//!
//! Nobody knows the modulus of the ground but as a range, and it may lie elsewhere in it under
//! every foot. Three feet carry what they carry, whatever they stand on. Of four, let `n` be what
//! can be added to their loads without any force or moment. While all four push, a foot `j` whose
//! neighbour `i` gives more carries `dF_j/dc_i = −n_j n_i F_i / (Σ n² c + …)` more, of one sign
//! whatever the ground is; while three push, nothing changes. So the least and the greatest of
//! every foot are found on two grounds: firm under the feet where `n` is above zero and soft under
//! the others, and the other way round. With more feet a foot that just touches may be worst on
//! ground in between: then the greatest is bounded ([`super::any_ground`]).
//!
//! # Source
//!
//! Winkler's subgrade; springs in series; statics.

use nalgebra::Matrix3;

use super::any_ground::{AnyGround, Comes, End, Fan, Found};
use super::{Extreme, astray, extremes};
use crate::Point;
use crate::site::Subgrade;
use crate::statics::{Load, Support};

/// A foot on ground that gives.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnGround {
    /// The foot with its blocks, on ground that does not give.
    pub(super) foot: Support,
    /// What the ground under it is; absent where nobody has said.
    pub(super) ground: Option<Subgrade>,
    /// Area of the ground that carries, metres squared.
    pub(super) area: f64,
}

impl OnGround {
    /// On ground of such a modulus.
    fn on(&self, modulus: f64) -> Support {
        let gives = 1.0 / self.foot.stiffness + 1.0 / (modulus * self.area);
        Support {
            stiffness: 1.0 / gives,
            ..self.foot
        }
    }

    fn at(&self, soft: bool) -> Support {
        self.ground.map_or(self.foot, |ground| {
            self.on(if soft { ground.lowest } else { ground.highest })
        })
    }

    /// On ground anywhere within its range.
    pub(super) fn fan(&self) -> Fan {
        Fan {
            at: self.foot.at,
            top: self.foot.top,
            firm: 1.0 / self.at(false).stiffness,
            soft: 1.0 / self.at(true).stiffness,
        }
    }

    /// On ground that gives half of the least and the most that it may.
    pub(super) fn usual(&self) -> Support {
        self.ground.map_or(self.foot, |ground| {
            self.on(2.0 / (1.0 / ground.lowest + 1.0 / ground.highest))
        })
    }

    fn is_known(&self) -> bool {
        self.ground.is_none_or(|it| it.lowest >= it.highest)
    }
}

/// What comes upon a frame: its load, what tips it whichever way (newton metres), and how much
/// heavier or lighter it may be at the hub (newtons).
#[derive(Clone, Copy, Debug)]
pub(super) struct Upon {
    pub(super) load: Load,
    pub(super) tips: f64,
    pub(super) astray: f64,
}

/// What the feet of a frame stand on, as far as it is known.
pub(super) enum Footing {
    /// The grounds on which feet carry the least and the most.
    Grounds(Vec<Vec<Support>>),
    /// Ranges, of more feet than have such grounds; and the ground halfway.
    Ranges(AnyGround, Vec<Support>),
}

impl Footing {
    /// Feet under loads about as heavy as this one.
    pub(super) fn under(feet: &[OnGround], load: &Load) -> Footing {
        let halfway = || feet.iter().map(OnGround::usual).collect();
        if feet.len() <= 3 || feet.iter().all(OnGround::is_known) {
            return Footing::Grounds(vec![halfway()]);
        }
        if let [a, b, c, d] = feet {
            return Footing::Grounds(two_grounds([a, b, c, d]).into());
        }
        let fans: Vec<Fan> = feet.iter().map(OnGround::fan).collect();
        Footing::Ranges(AnyGround::new(&fans, load), halfway())
    }

    /// The least and the greatest load of every foot; `None` where it may go over.
    pub(super) fn extremes(&self, upon: &Upon) -> Option<Vec<Extreme>> {
        let seen = self.seen(upon)?;
        Some(match self {
            Footing::Grounds(_) => seen,
            Footing::Ranges(any, _) => any.extremes(&any.comes(upon), &seen),
        })
    }

    /// The same, of ranges on the ground halfway alone.
    pub(super) fn seen(&self, upon: &Upon) -> Option<Vec<Extreme>> {
        let on = |supports: &Vec<Support>| {
            if upon.astray > 0.0 {
                astray::extremes(&upon.load, upon.tips, upon.astray, supports)
            } else {
                extremes(&upon.load, upon.tips, supports)
            }
        };
        match self {
            Footing::Ranges(_, halfway) => on(halfway),
            Footing::Grounds(grounds) => {
                let mut grounds = grounds.iter().map(on);
                let first = grounds.next().flatten()?;
                grounds.try_fold(first, |mut worst, found| {
                    for (worst, found) in worst.iter_mut().zip(&found?) {
                        worst.take(found.least_at, found.least);
                        worst.take(found.greatest_at, found.greatest);
                    }
                    Some(worst)
                })
            }
        }
    }

    /// The least or the greatest of a foot over all that may come, of which each is told with what
    /// was seen. `None` where nothing comes.
    pub(super) fn worst(&self, foot: usize, end: End, all: &[(Upon, Found)]) -> Option<Found> {
        match self {
            Footing::Grounds(_) => {
                let seen = all.iter().map(|(_, found)| *found);
                // Of several as bad, the first.
                seen.reduce(|worst, next| match end {
                    End::Least if next.load < worst.load => next,
                    End::Greatest if next.load > worst.load => next,
                    _ => worst,
                })
            }
            Footing::Ranges(any, _) => {
                let comes: Vec<Comes> = all.iter().map(|(upon, _)| any.comes(upon)).collect();
                let seen: Vec<Found> = all.iter().map(|(_, found)| *found).collect();
                any.worst(foot, end, &comes, &seen)
            }
        }
    }
}

/// The two grounds on which four feet carry the least and the most.
fn two_grounds(feet: [&OnGround; 4]) -> [Vec<Support>; 2] {
    let moved = moved_without_force(feet.map(|it| it.foot.at));
    [true, false].map(|above| {
        let each = feet.iter().zip(moved);
        let each = each.map(|(foot, moved)| foot.at((moved > 0.0) == above));
        each.collect()
    })
}

/// What can be added to the loads of four feet without any force or moment.
fn moved_without_force([a, b, c, d]: [Point; 4]) -> [f64; 4] {
    let area = |a: Point, b: Point, c: Point| {
        Matrix3::new(1.0, a.x, a.y, 1.0, b.x, b.y, 1.0, c.x, c.y).determinant()
    };
    [area(b, c, d), -area(a, c, d), area(a, b, d), -area(a, b, c)]
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Step;
    use crate::statics::settle;

    fn four_feet() -> impl Strategy<Value = Vec<OnGround>> {
        let foot = (
            (-3.0..3.0_f64, -2.5..2.5_f64),
            -0.01..0.01_f64,
            6.0..7.5_f64,
            (6.0..8.0_f64, 0.0..1.0_f64),
        );
        let foot = foot.prop_map(|((x, y), top, stiffness, (lowest, more))| OnGround {
            foot: Support {
                at: Point::new(x, y),
                top,
                stiffness: libm::exp10(stiffness),
            },
            ground: Some(Subgrade {
                lowest: libm::exp10(lowest),
                highest: libm::exp10(lowest + more),
            }),
            area: 0.1,
        });
        prop::collection::vec(foot, 4)
    }

    /// The most that a foot on some ground in between carries beyond the least and the greatest
    /// that were found, as a share of the weight; `None` where it goes over.
    fn beyond(feet: &[OnGround], load: &Load, between: &[Vec<f64>]) -> Option<f64> {
        let Footing::Grounds(found) = Footing::under(feet, load) else {
            return None;
        };
        let found: Option<Vec<Vec<f64>>> = found
            .iter()
            .map(|it| settle(load, it).ok().map(|rest| rest.loads))
            .collect();
        let found = found?;
        let mut most = 0.0_f64;
        for shares in between {
            let supports = feet.iter().zip(shares).map(|(foot, share)| {
                let ground = foot.ground.unwrap();
                foot.on(ground.lowest * libm::pow(ground.highest / ground.lowest, *share))
            });
            let supports: Vec<Support> = supports.collect();
            let loads = settle(load, &supports).ok()?.loads;
            for (index, carries) in loads.iter().enumerate() {
                let each = || found.iter().map(|loads| loads[index]);
                let greatest = each().fold(0.0, f64::max);
                let least = each().fold(f64::INFINITY, f64::min);
                most = most.max(carries - greatest).max(least - carries);
            }
        }
        Some(most / load.weight)
    }

    fn load() -> impl Strategy<Value = Load> {
        let twist = prop_oneof![
            4 => (5.0..9.0_f64).prop_map(libm::exp10),
            1 => Just(f64::INFINITY),
        ];
        let place = (-0.8..0.8_f64, -0.5..0.5_f64);
        (2e4..2e5_f64, place, twist).prop_map(|(weight, (x, y), twist_stiffness)| Load {
            weight,
            centre: Point::new(x, y),
            tipping: Step::zeros(),
            twist_stiffness,
        })
    }

    fn between() -> impl Strategy<Value = Vec<Vec<f64>>> {
        prop::collection::vec(prop::collection::vec(0.0..=1.0_f64, 4), 12)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, max_global_rejects: 200_000, ..ProptestConfig::default() })]

        /// Whatever the ground is under each of four feet, no foot carries more or less than on the
        /// two grounds.
        #[test]
        fn no_ground_under_four_feet_is_worse(
            feet in four_feet(), load in load(), between in between(),
        ) {
            let found = beyond(&feet, &load, &between);
            prop_assume!(found.is_some());
            prop_assert!(found.unwrap() <= 1e-9, "{found:?}");
        }
    }

    /// By hand: a rigid frame on four equal feet at the corners of a rectangle, one of them on
    /// ground that makes it give ten times as much. Loads `W/4 ± t`, the energy least where
    /// `Σ c n F = 0`: `t = −W/4 · (10 − 1 − 1 + 1) / 13`, so that the soft foot and its diagonal
    /// carry a thirteenth of the weight each, and the others eleven twenty-sixths.
    #[test]
    fn a_soft_corner_unloads_its_diagonal() {
        let foot = |x, y, modulus: f64| OnGround {
            foot: Support {
                at: Point::new(x, y),
                top: 0.0,
                stiffness: 1e7,
            },
            ground: Some(Subgrade {
                lowest: modulus,
                highest: modulus,
            }),
            area: 0.25,
        };
        // 1e-7 and 1e-7 m/N; 1e-7 and 19e-7.
        let (firm, soft) = (4e7, 4e7 / 19.0);
        let feet = [
            foot(2.0, 1.5, soft),
            foot(2.0, -1.5, firm),
            foot(-2.0, 1.5, firm),
            foot(-2.0, -1.5, firm),
        ];
        let load = Load {
            weight: 52e3,
            centre: Point::origin(),
            tipping: Step::zeros(),
            twist_stiffness: f64::INFINITY,
        };
        let Footing::Grounds(found) = Footing::under(&feet, &load) else {
            panic!("ground is known");
        };
        assert_eq!(found.len(), 1);
        let loads = settle(&load, &found[0]).unwrap().loads;
        for (carries, by_hand) in loads.iter().zip([4e3, 22e3, 22e3, 4e3]) {
            assert!((carries - by_hand).abs() < 1e-3, "{loads:?}");
        }
    }
}
