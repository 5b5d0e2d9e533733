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
//! the others, and the other way round. With more feet the grounds are those with each foot at
//! either end of its range, and the output says so: a foot that just touches may be worst on ground
//! in between (of 2,000 frames on five and six feet 77 had such ground, the worst by a thirteenth
//! of the weight).
//!
//! # Source
//!
//! Winkler's subgrade; springs in series; statics.

use nalgebra::Matrix3;

use crate::Point;
use crate::site::Subgrade;
use crate::statics::Support;

/// More feet than these have too many grounds: then all are firm, all soft, and each alone is the
/// one or the other.
const MOST_FEET: usize = 6;

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

    /// On ground as soft as it may be.
    pub(super) fn soft(&self) -> Support {
        self.at(true)
    }

    /// On ground that gives half of the least and the most that it may.
    pub(super) fn usual(&self) -> Support {
        self.ground.map_or(self.foot, |ground| {
            self.on(2.0 / (1.0 / ground.lowest + 1.0 / ground.highest))
        })
    }

    fn is_known_to(&self) -> bool {
        self.ground.is_none_or(|it| it.lowest >= it.highest)
    }
}

/// Whether on ground in between some foot may carry less or more than on any of [`grounds`].
pub(super) fn may_be_worse_between(feet: &[OnGround]) -> bool {
    feet.len() > 4 && !feet.iter().all(OnGround::is_known_to)
}

/// The grounds on which feet carry the least and the most.
pub(super) fn grounds(feet: &[OnGround]) -> Vec<Vec<Support>> {
    let count = feet.len();
    if count <= 3 || feet.iter().all(OnGround::is_known_to) {
        return vec![feet.iter().map(OnGround::usual).collect()];
    }
    let with = |soft: &dyn Fn(usize) -> bool| -> Vec<Support> {
        let each = feet.iter().enumerate();
        each.map(|(index, foot)| foot.at(soft(index))).collect()
    };
    if let [a, b, c, d] = feet {
        let places = [a, b, c, d].map(|it| it.foot.at);
        let moved = moved_without_force(places);
        let above = |index: usize| moved.get(index).is_some_and(|it| *it > 0.0);
        return vec![with(&above), with(&|index| !above(index))];
    }
    if count <= MOST_FEET {
        let all = 0_u32..1 << count;
        return all
            .map(|set| with(&|index| set >> index & 1 == 1))
            .collect();
    }
    let alone =
        (0..count).flat_map(|one| [with(&|index| index == one), with(&|index| index != one)]);
    let alike = [with(&|_| true), with(&|_| false)];
    alike.into_iter().chain(alone).collect()
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
    use crate::statics::{Load, settle};

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
        let found = grounds(feet);
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
        let found = grounds(&feet);
        assert_eq!(found.len(), 1);
        let loads = settle(&load, &found[0]).unwrap().loads;
        for (carries, by_hand) in loads.iter().zip([4e3, 22e3, 22e3, 4e3]) {
            assert!((carries - by_hand).abs() < 1e-3, "{loads:?}");
        }
    }
}
