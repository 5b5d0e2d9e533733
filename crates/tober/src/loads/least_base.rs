//! How much ground each foot needs at least, before it is known what it will stand on.
//!
//! # Picture
//!
//! Blocks are chosen so that the frame lies level, and what a foot carries hangs, a little, on
//! what is chosen: a stack that is a finger too high takes load from its neighbours, and a frame
//! that stands higher has a longer lever for wind and riders. So the load is bounded from above:
//!
//! ```text
//!            ▼ greatest of all cases on feet that all just touch,
//!            + r · Lᵢ      the frame as high as it may come to stand;
//!    ────────┬───          every top may stray by r, and a metre of straying
//!           ▒▒▒ ± r        moves at most Lᵢ newtons onto this foot
//!           ███
//! ```
//!
//! - Where the same feet `S` push, loads are linear in the heights of the tops:
//!   `∂R/∂top = D − D B (Bᵀ D B + K)⁻¹ Bᵀ D`, with `D` the stiffnesses of `S` and a row of `B`
//!   for each of its feet. `Lᵢ` is the greatest sum of sizes in the row of foot `i`, over every
//!   set `S`; on the way from all tops even to where they are, the load changes no faster.
//! - And whatever the heights and the stiffnesses, feet that only push balance the weight: a line
//!   through two other feet with none beyond it leaves foot `i` at most the weight times
//!   `its distance of the weight / its distance of the foot` (moments about the line).
//!
//! The lower of the two divided by what the ground bears is the least area that must carry.
//!
//! # Source
//!
//! Statics; a piecewise linear function changes no faster than its steepest piece.

use nalgebra::{Matrix4, Vector4};

use super::bearing;
use super::cases::Case;
use super::rulebook::{LoadRuleInForce, Values};
use super::standing::{On, Standing};
use crate::level::GroundUnderRide;
use crate::ride::RideProfile;
use crate::site::Site;
use crate::statics::edges;

/// How the frame may come to stand, at most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Astray {
    /// From the datum plane down to the lowest ground under a foot that carries, metres.
    pub(crate) deepest: f64,
    /// How far the top of a foot may stray up or down from a level plane, metres.
    pub(crate) reach: f64,
}

/// More feet than these have too many sets that may push: then statics alone bounds the load.
const MOST_FEET: usize = 10;

/// The least area of ground, metres squared, that must carry under each foot that carries at work,
/// in the order of the profile: outriggers, or the jacks of a ride without any. `None` where the
/// ride's mass or what the ground bears is not known.
///
/// Never less than what [`super::ride_loads`] then asks for
/// ([`FootGround::area_needed`](super::FootGround::area_needed)), as long as the frame stands
/// within `astray`. A stack carries on the area that [`super::spread`] gives, which is never more
/// than its bottom piece.
pub(crate) fn least_bases(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    rules: &[LoadRuleInForce],
    astray: Astray,
) -> Vec<Option<f64>> {
    let feet = if profile.outriggers.is_empty() {
        profile.jacks.len()
    } else {
        profile.outriggers.len()
    };
    let values = Values(rules);
    let on = On::AtMost(astray.deepest);
    let Some(standing) = Standing::new(site, profile, ground, on, values) else {
        return vec![None; feet];
    };
    let greatest = standing.greatest_of_any(astray.reach);
    standing
        .feet
        .iter()
        .zip(greatest)
        .map(|(foot, greatest)| Some(greatest / bearing::bears(foot, values).0?))
        .collect()
}

impl Standing<'_> {
    /// The most that each foot carries in any case, with the tops up to `reach` astray, newtons.
    fn greatest_of_any(&self, reach: f64) -> Vec<f64> {
        let moves = self.moves_at_most();
        let mut greatest = vec![0.0_f64; self.feet.len()];
        for case in self.cases() {
            let even = self.extremes(&case);
            for (index, greatest) in greatest.iter_mut().enumerate() {
                // Where it may go over, one foot may be left with everything.
                let Some(even) = even.as_ref().and_then(|even| even.get(index)) else {
                    *greatest = greatest.max(case.weight);
                    continue;
                };
                let moves = moves.as_ref().and_then(|moves| moves.get(index));
                let by_straying =
                    moves.map_or(f64::INFINITY, |moves| even.greatest + reach * moves);
                *greatest = greatest.max(by_straying.min(self.at_most(&case, index)));
            }
        }
        // A hair for arithmetic.
        greatest.iter().map(|it| it * (1.0 + 1e-9)).collect()
    }

    /// The most of a case that one foot carries whatever the heights and the stiffnesses.
    fn at_most(&self, case: &Case, foot: usize) -> f64 {
        let Some(at) = self.supports.get(foot).map(|it| it.at) else {
            return case.weight;
        };
        let mut others = self.supports.clone();
        others.remove(foot);
        let centre = self.load(case).centre;
        let shares = edges(&others).filter_map(|edge| {
            let own = edge.inside(at);
            let share = (edge.inside(centre) + case.tips() / case.weight) / own;
            // Seen from the line the foot lies on the side of all the others.
            (own > 1e-6).then_some(share)
        });
        let share = shares.fold(1.0, f64::min).max(0.0);
        case.weight * share
    }

    /// For each foot, the most that its load grows for each metre that every top may stray,
    /// newtons a metre. `None` where there are too many feet to look at every set.
    fn moves_at_most(&self) -> Option<Vec<f64>> {
        let count = self.supports.len();
        if count > MOST_FEET {
            return None;
        }
        let rigid = self.twist_stiffness.is_infinite();
        let shape = |foot: usize| {
            let at = self.supports.get(foot).map(|it| it.at).unwrap_or_default();
            Vector4::new(1.0, at.x, at.y, if rigid { 0.0 } else { at.x * at.y })
        };
        let stiffness = |foot: usize| self.supports.get(foot).map_or(0.0, |it| it.stiffness);
        let mut most = vec![0.0_f64; count];
        for set in 0_u32..1 << count {
            let pushing = || (0..count).filter(move |foot| set >> foot & 1 == 1);
            let mut bend = Matrix4::zeros();
            bend[(3, 3)] = if rigid { 1.0 } else { self.twist_stiffness };
            for foot in pushing() {
                bend += shape(foot) * shape(foot).transpose() * stiffness(foot);
            }
            let scale = bend.diagonal().map(|it| 1.0 / it.sqrt());
            let scaled = bend.component_mul(&(scale * scale.transpose()));
            // Too few feet, or all on a line: no frame rests on them for longer than it takes to
            // pass over.
            let Some(solved) = scaled.cholesky() else {
                continue;
            };
            for foot in pushing() {
                let own = shape(foot).component_mul(&scale) * stiffness(foot);
                let answer = solved.solve(&own).component_mul(&scale);
                let row = pushing().map(|other| {
                    let itself = if other == foot { stiffness(foot) } else { 0.0 };
                    (itself - stiffness(other) * shape(other).dot(&answer)).abs()
                });
                let row: f64 = row.sum();
                if let Some(most) = most.get_mut(foot) {
                    *most = most.max(row);
                }
            }
        }
        Some(most)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::Point;
    use crate::assess::{Verdict, assess};
    use crate::loads::load_rules_in_force;
    use crate::loads::tests::loaded;
    use crate::site::SiteFile;

    /// The loaded trailer on other feet, heavier or lighter, softer or stiffer.
    fn some_ride() -> impl Strategy<Value = SiteFile> {
        let feet = prop::collection::vec((-3.0..3.0_f64, -2.5..2.5_f64), 0..=3);
        let twist = prop_oneof![
            3 => (4.0..7.0_f64).prop_map(|it| Some(libm::pow(10.0, it))),
            1 => Just(None),
        ];
        let centre = (-0.4..0.4_f64, -0.3..0.3_f64);
        (feet, twist, centre, 2_000.0..12_000.0_f64, 0.0..12.0_f64).prop_map(
            |(more, twist, centre, mass, rpm)| {
                let mut file = loaded();
                let profile = &mut file.profiles[0];
                let first = profile.outriggers[0].clone();
                for (index, (x, y)) in more.into_iter().enumerate() {
                    let mut foot = first.clone();
                    foot.id = format!("M{index}");
                    foot.at = Point::new(x, y);
                    profile.outriggers.push(foot);
                }
                profile.frame.twist_stiffness = twist;
                profile.loads.mass = Some(mass);
                profile.loads.centre = Some(Point::new(centre.0, centre.1));
                profile.loads.full_speed_rpm = Some(rpm);
                file
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]

        /// However the tops stray, no foot carries more than was said.
        #[test]
        fn no_foot_ever_carries_more(
            file in some_ride(),
            reach in 0.0..0.05_f64,
            strays in prop::collection::vec(prop::collection::vec(-1.0..=1.0_f64, 7), 12),
            corners in any::<bool>(),
        ) {
            let site = Site::new(file).expect("a sound site");
            let profile = site.profile(0).unwrap();
            let ground = GroundUnderRide::of(&site, 0).unwrap();
            let rules = load_rules_in_force(&[]);
            let standing = |deepest| {
                Standing::new(&site, profile, &ground, On::AtMost(deepest), Values(&rules)).unwrap()
            };
            let most = standing(0.7).greatest_of_any(reach);
            let mut lower = standing(0.6);
            for stray in &strays {
                for (support, stray) in lower.supports.iter_mut().zip(stray) {
                    let stray = if corners { stray.signum() } else { *stray };
                    support.top = stray * reach;
                }
                for case in lower.cases() {
                    let found = lower.extremes(&case);
                    for (index, most) in most.iter().enumerate() {
                        let greatest = found.as_ref().map_or(case.weight, |it| it[index].greatest);
                        prop_assert!(greatest <= *most, "{index}: {greatest} over {most}");
                    }
                }
            }
        }
    }

    /// What the whole assessment then asks for is never more, and not far from it.
    #[test]
    fn the_assessment_asks_for_no_more() {
        for tilt in [0.0, 0.004, 0.008, -0.006] {
            let mut file = loaded();
            for thickness in [0.04, 0.018] {
                let mut board = file.blocks[0].clone();
                board.id = format!("board {thickness}");
                board.thickness = thickness;
                file.blocks.push(board);
            }
            for shot in &mut file.spot_levels {
                let rise = tilt * shot.x + 0.3 * tilt * shot.y;
                shot.elevation = shot.elevation + rise;
            }
            let site = Site::new(file).expect("a sound site");
            let assessment = assess(&site);
            let ride = &assessment.rides[0];
            assert_eq!(ride.level.verdict, Verdict::Pass, "{tilt}");
            let datum = ride.level.datum.unwrap().0;
            let feet = ride.level.outriggers.iter().zip(&ride.ground.points[4..]);
            let heights = feet.map(|(stack, point)| {
                let ground = point.elevation.unwrap().0;
                (datum - ground, stack.height + 0.4 + ground - datum)
            });
            let (depths, strays): (Vec<f64>, Vec<f64>) = heights.unzip();
            let astray = Astray {
                deepest: depths.into_iter().fold(0.0, f64::max) + 0.02,
                reach: strays.into_iter().map(f64::abs).fold(0.0, f64::max),
            };
            let profile = site.profile(0).unwrap();
            let rules = &assessment.load_rules;
            let bases = least_bases(&site, profile, &ride.ground, rules, astray);
            assert_eq!(bases.len(), 4);
            for (base, foot) in bases.iter().zip(&ride.loads.feet) {
                let (base, needed) = (base.unwrap(), foot.ground.area_needed.unwrap());
                assert!(needed <= base && base < 1.4 * needed, "{needed}, {base}");
            }
        }
    }

    /// Where nobody has said what the ride weighs, or what the ground bears, nothing is asked for.
    #[test]
    fn what_is_not_known_asks_for_nothing() {
        let of = |file: SiteFile| {
            let site = Site::new(file).expect("a sound site");
            let ground = GroundUnderRide::of(&site, 0).unwrap();
            let astray = Astray {
                deepest: 0.6,
                reach: 0.01,
            };
            let profile = site.profile(0).unwrap();
            least_bases(&site, profile, &ground, &load_rules_in_force(&[]), astray)
        };
        assert!(of(loaded()).iter().all(Option::is_some));
        let mut light = loaded();
        light.profiles[0].loads.mass = None;
        let mut soft = loaded();
        soft.features.ground_zones[0].bearing = None;
        soft.features.ground_zones[0].surface = crate::site::Surface::SoftOrFill;
        for file in [light, soft] {
            assert_eq!(of(file), vec![None; 4]);
        }
    }
}
