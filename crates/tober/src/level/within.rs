//! How likely the plan is to stay within the strokes of the jacks and the blocks on the truck,
//! for the survey's own errors.
//!
//! # Picture
//!
//! The frame is brought level at its height over the high corner, whatever the survey said: the
//! level in the crew's hand sees to that. What the survey is off then shows at every other foot,
//! as more or less to be made up between frame and ground.
//!
//! ```text
//!   ════╤══════════════════╤════   level
//!       │                  │            more or less by  error(high corner) − error(foot)
//!     screw              stack
//!   ~~~~▀~~~             █         ±    normal; its variance from the joint covariance of the
//!   high corner   ~~~~~~~█~~~~~~~       heights, as feet in one triangle share shots
//! ```
//!
//! A jack serves as long as there is a hole, the one in the plan or a higher one, in which the
//! leg can be pinned and the screw ends neither wound out nor wound in. An outrigger is served as
//! long as its own pieces and its share of those left on the truck make some stack so near to what
//! is needed that the frame stays within tolerance.
//!
//! The chances of the feet are added: one or more of them failing is never likelier than that
//! (Boole's inequality). Of the blocks left on the truck each outrigger is given an even share, so
//! that what serves one never lacks at another.
//!
//! How likely the stacks of the plan leave the frame out of tolerance, so that there is anything
//! to make up, is told by [`super::chance`].

use serde::{Deserialize, Serialize};

use super::blocking::{Foot, half_spread};
use super::chance::above;
use super::jacks::Packed;
use super::stacks::{Built, stacks};
use super::stand::{Blocked, Stand};
use super::{GroundUnderRide, JackSetting, SupportKind};
use crate::Point;
use crate::site::Block;

/// How likely the plan stays within stroke and blocking, for the survey's own errors.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Within {
    /// Jacks and then outriggers, in the order of the profile.
    pub feet: Vec<FootWithin>,
    /// The probability that any jack runs out of screw or of holes is no more than this.
    pub stroke_out: f64,
    /// The probability that at any outrigger the blocks on the truck do not make up for it is no
    /// more than this; absent for a ride without outriggers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub blocking_out: Option<f64>,
}

/// One foot of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FootWithin {
    /// The support's id.
    pub id: String,
    /// Its kind.
    pub kind: SupportKind,
    /// Standard error of its height against the high corner, metres.
    pub error: f64,
    /// The probability that it cannot be made up for is no more than this.
    pub out_probability: f64,
}

/// `None` when the error of any height is not known.
pub(super) fn within(
    stand: &Stand,
    blocked: &Blocked,
    ground: &GroundUnderRide,
    settings: &[JackSetting],
    blocks: &[Block],
) -> Option<Within> {
    let errors = Errors::new(stand, ground)?;
    let jacks = stand.jacks.iter().zip(settings).enumerate();
    let jacks = jacks.map(|(index, (jack, setting))| {
        let error = errors.against_high_corner(index);
        let touching = errors.parked(stand, index);
        FootWithin {
            id: jack.jack.id.clone(),
            kind: SupportKind::Jack,
            error,
            out_probability: no_hole_serves(jack, setting, error, touching),
        }
    });
    let mut feet: Vec<FootWithin> = jacks.collect();
    let stroke_out = any(&feet);
    let share = share_of_what_is_left(blocked, blocks, stand.feet.len());
    let levelling = &stand.profile.levelling;
    let steepest = levelling.along().ratio().min(levelling.across().ratio());
    let room = steepest * half_spread(&stand.feet);
    let outriggers = stand.feet.iter().zip(&blocked.stacks).enumerate();
    let outriggers: Vec<FootWithin> = outriggers
        .map(|(index, (foot, stack))| {
            let error = errors.against_high_corner(stand.jacks.len() + index);
            let needed = blocked.attitude.at_hub - foot.base().unwrap_or(0.0);
            FootWithin {
                id: foot.id.to_owned(),
                kind: SupportKind::Outrigger,
                error,
                out_probability: no_stack_serves(foot, needed, error, room, &with(&share, stack)),
            }
        })
        .collect();
    let blocking_out = (!outriggers.is_empty()).then(|| any(&outriggers));
    feet.extend(outriggers);
    Some(Within {
        feet,
        stroke_out,
        blocking_out,
    })
}

impl Within {
    /// A sentence or two for the crew.
    pub fn in_words(&self) -> String {
        let likeliest = |kind: SupportKind| {
            let of_kind = self.feet.iter().filter(|foot| foot.kind == kind);
            let worst = of_kind.max_by(|a, b| a.out_probability.total_cmp(&b.out_probability));
            let worst = worst.filter(|foot| foot.out_probability >= 0.01);
            worst.map_or_else(String::new, |foot| format!(", likeliest {}", foot.id))
        };
        let mut words = format!(
            "With the survey's errors, a jack runs out of screw or holes {}{}",
            times_in_a_hundred(self.stroke_out),
            likeliest(SupportKind::Jack)
        );
        if let Some(out) = self.blocking_out {
            words += &format!(
                "; the blocks on the truck do not make up for it at an outrigger {}{}",
                times_in_a_hundred(out),
                likeliest(SupportKind::Outrigger)
            );
        }
        words + "."
    }
}

/// A probability, rounded up: `at most 3 times in a hundred`.
pub fn times_in_a_hundred(probability: f64) -> String {
    if probability < 0.01 {
        "less than once in a hundred".to_owned()
    } else {
        format!(
            "at most {} times in a hundred",
            (probability * 100.0 - 1e-9).ceil()
        )
    }
}

fn any(feet: &[FootWithin]) -> f64 {
    let each = feet.iter().map(|foot| foot.out_probability);
    each.sum::<f64>().min(1.0)
}

/// The errors of the heights under a ride, all together.
struct Errors<'a> {
    ground: &'a GroundUnderRide,
    high_corner: usize,
    /// Which of the points are wheels.
    wheels: Vec<usize>,
}

impl Errors<'_> {
    fn new<'a>(stand: &Stand, ground: &'a GroundUnderRide) -> Option<Errors<'a>> {
        let known = ground.error_covariance.len() == ground.points.len();
        let feet = stand.jacks.len() + stand.feet.len();
        let height = |index: &usize| Some(ground.points.get(*index)?.elevation?.0);
        let high_corner = (0..feet)
            .filter_map(|index| Some((index, height(&index)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        Some(Errors {
            ground,
            high_corner: high_corner.filter(|_| known)?.0,
            wheels: (feet..ground.points.len()).collect(),
        })
    }

    /// Standard error of a sum of heights, each with its own weight.
    fn of(&self, weights: &[(usize, f64)]) -> f64 {
        let mut variance = 0.0;
        for (one, weight) in weights {
            for (other, weight_too) in weights {
                variance += weight * weight_too * self.ground.covariance(*one, *other);
            }
        }
        libm::sqrt(variance.max(0.0))
    }

    fn against_high_corner(&self, foot: usize) -> f64 {
        self.of(&[(self.high_corner, 1.0), (foot, -1.0)])
    }

    /// Standard error of how far the frame, parked on its tyres, is above the ground at a jack.
    fn parked(&self, stand: &Stand, jack: usize) -> f64 {
        let places: Vec<Point> = stand.profile.wheels.iter().map(|it| it.at).collect();
        let Some(at) = stand.profile.jacks.get(jack).map(|it| it.at) else {
            return 0.0;
        };
        let answers = super::Attitude::answers(&places);
        let wheels = self.wheels.iter().zip(&answers);
        let mut weights: Vec<(usize, f64)> = wheels
            .map(|(&wheel, answer)| (wheel, answer.at(at)))
            .collect();
        weights.push((jack, -1.0));
        self.of(&weights)
    }
}

/// The chance that neither the hole of the plan nor any higher one serves a jack.
///
/// A hole fails when the screw ends wound out, for which no higher hole helps, or when it ends
/// wound in or the leg cannot be pinned while parked; all holes fail then only if the next higher
/// fails too.
fn no_hole_serves(packed: &Packed, setting: &JackSetting, error: f64, parked_error: f64) -> f64 {
    let jack = packed.jack;
    let planned = jack.holes.get(setting.hole.saturating_sub(1)).copied();
    let planned = planned.unwrap_or(0.0);
    let under: f64 = setting.packing.iter().map(|it| it.thickness).sum();
    let foot = packed.ground + under + jack.pad_thickness + jack.drop;
    let higher = jack.holes.iter().take(setting.hole);
    higher.fold(1.0, |all_higher_fail: f64, hole| {
        let higher_by = planned - hole;
        let wound_out = above(setting.stroke_left - higher_by, error);
        let screw_in = setting.screw_at_work - jack.screw_retracted;
        let wound_in = above(screw_in + higher_by, error);
        let not_pinned = packed.parked.map_or(0.0, |parked| {
            above(parked - foot - hole - jack.screw_retracted, parked_error)
        });
        (wound_out + (wound_in + not_pinned).min(all_higher_fail)).min(1.0)
    })
}

/// The chance that no stack of `blocks` comes as near as `room` to what an outrigger needs.
fn no_stack_serves(foot: &Foot, needed: f64, error: f64, room: f64, blocks: &[Block]) -> f64 {
    /// Needs that are farther off, in standard errors, do not occur.
    const FARTHEST: f64 = 6.0;
    let reach = FARTHEST * error + room + 1e-9;
    let (stacks, _) = stacks(blocks, (needed - reach).max(0.0), needed + reach);
    let serves = stacks.iter().filter(|stack| foot.takes(stack, blocks));
    // What no stack serves: below the lowest, in the gaps between two, above the tallest.
    let (mut served_up_to, mut out) = (f64::NEG_INFINITY, 0.0);
    let beyond = |height: f64| above(height - needed, error);
    for stack in serves {
        let from = stack.height - room;
        if from > served_up_to {
            out += (beyond(served_up_to) - beyond(from)).max(0.0);
        }
        served_up_to = served_up_to.max(stack.height + room);
    }
    (out + beyond(served_up_to)).min(1.0)
}

/// Of the blocks that the plan puts nowhere, as many as every one of so many feet may have.
fn share_of_what_is_left(blocked: &Blocked, blocks: &[Block], feet: usize) -> Vec<Block> {
    let mut left = blocks.to_vec();
    let used = blocked.stacks.iter().chain(&blocked.packing);
    for kind in used.flat_map(Built::pieces) {
        if let Some(block) = left.get_mut(kind) {
            block.count = block.count.saturating_sub(1);
        }
    }
    let feet = u32::try_from(feet).unwrap_or(u32::MAX).max(1);
    for block in &mut left {
        block.count /= feet;
    }
    left
}

fn with(left: &[Block], stack: &Built) -> Vec<Block> {
    let mut blocks = left.to_vec();
    for kind in stack.pieces() {
        if let Some(block) = blocks.get_mut(kind) {
            block.count += 1;
        }
    }
    blocks
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    use super::super::blocking::Role;
    use crate::fixtures::trailer;
    use crate::level::{LevelPlan, Piece};
    use crate::ride::Jack;
    use crate::site::Site;

    fn jack() -> Jack {
        let mut jack = trailer().jacks.remove(0);
        jack.drop = 0.3;
        jack.holes = vec![0.0, 0.1, 0.2];
        jack.screw_retracted = 0.05;
        jack.screw_extended = 0.25;
        jack.pad_thickness = 0.0;
        jack
    }

    /// A jack on ground at 0, with the datum at 0.7 at work and lifted: 0.1 too much for the
    /// highest hole, 0.05 to spare either way in the lowest.
    fn setting(jack: &Jack) -> JackSetting {
        JackSetting {
            id: jack.id.clone(),
            hole: 3,
            holes: 3,
            screw_lifted: 0.2,
            screw_at_work: 0.2,
            turns_free: 0.0,
            turns_loaded: 0.0,
            turns_down: 0.0,
            stroke_left: 0.05,
            pad: 0.0,
            packing: Vec::<Piece>::new(),
            extension: 0.4,
            to_pad: 0.4,
        }
    }

    fn packed(jack: &Jack, parked: f64) -> Packed<'_> {
        Packed {
            jack,
            ground: 0.0,
            parked: Some(parked),
            reserve: 0.01,
            lift_over: 0.0,
        }
    }

    #[test]
    fn a_screw_is_wound_out_as_often_as_the_normal_distribution_says() {
        let jack = jack();
        // 5 cm left and an error of 5 cm: beyond one standard error 15.87 % (published tables of
        // the normal distribution; memory). Wound in is no matter: the next hole takes 10 cm off.
        let out = no_hole_serves(&packed(&jack, 0.7), &setting(&jack), 0.05, 0.0);
        let wound_in_too = 0.5 * libm::erfc(3.0 / std::f64::consts::SQRT_2);
        assert!((out - 0.158_655 - wound_in_too).abs() < 1e-5, "{out}");
    }

    #[test]
    fn a_leg_that_may_not_be_pinned_goes_one_hole_up_if_the_screw_reaches() {
        let mut jack = jack();
        let plan = setting(&jack);
        // Pinned to the last millimetre, so that it may fail one time in two; one hole up the
        // screw is 5 cm short.
        let no_room = packed(&jack, 0.551);
        assert!(no_hole_serves(&no_room, &plan, 0.001, 0.02) > 0.45);
        // With holes 3 cm apart one hole up serves, unless it cannot be pinned there either:
        // 6.06 % lie beyond 1.55 standard errors (as above).
        jack.holes = vec![0.14, 0.17, 0.2];
        let room = packed(&jack, 0.551);
        let out = no_hole_serves(&room, &plan, 0.001, 0.02);
        assert!((out - 0.060_57).abs() < 1e-4, "{out}");
    }

    fn foot() -> Foot<'static> {
        Foot {
            id: "OL",
            at: Point::origin(),
            plate: 0.1,
            wants_a_block: false,
            least_area: 0.0,
            role: Role::Outrigger { base: 0.0 },
        }
    }

    fn block(thickness: f64, count: u32) -> Block {
        Block {
            id: format!("{thickness}"),
            thickness,
            length: 0.6,
            width: 0.3,
            count,
        }
    }

    #[test]
    fn a_need_in_the_gap_between_two_stacks_is_not_served() {
        // Stacks of 0, 0.1 and 0.2, each good for 0.02 either way; needed 0.1 with an error of
        // 0.02: 31.73 % lie beyond one standard error (as above), next to nothing of it near
        // another stack.
        let out = no_stack_serves(&foot(), 0.1, 0.02, 0.02, &[block(0.1, 2)]);
        assert!((out - 0.317_311).abs() < 1e-4, "{out}");
        // Shims close the gaps.
        let shims = [block(0.1, 2), block(0.03, 3)];
        assert!(no_stack_serves(&foot(), 0.1, 0.02, 0.02, &shims) < 0.001);
        // Nothing on the truck, and a need that is sure.
        assert_eq!(no_stack_serves(&foot(), 0.1, 0.0, 0.02, &[]), 1.0);
        assert_eq!(no_stack_serves(&foot(), 0.0, 0.0, 0.02, &[]), 0.0);
    }

    /// A plan that holds on ground that is as high as surveyed, on ground known ever worse.
    #[test]
    fn on_ground_known_ever_worse_something_is_short_in_the_end() {
        let text = include_str!("../../../../sample-sites/village-green.json");
        let Ok(site) = Site::read(text) else {
            panic!("the sample is a site");
        };
        let surveyed = GroundUnderRide::of(&site, 0).expect("a ride");
        let profile = site.profile(0).expect("a profile");
        let short = |worse: f64| {
            let mut ground = surveyed.clone();
            for covariance in ground.error_covariance.iter_mut().flatten() {
                *covariance *= worse * worse;
            }
            let plan = LevelPlan::new(profile, &ground, &site.file().blocks);
            let within = plan.within.expect("the errors are known");
            (within.stroke_out, within.blocking_out)
        };
        assert_eq!(short(0.0), (0.0, Some(0.0)));
        let (stroke_out, blocking_out) = short(1000.0);
        assert!(stroke_out > 0.9 && blocking_out > Some(0.9));
    }

    #[test]
    fn rounded_up_in_words() {
        assert_eq!(times_in_a_hundred(0.0), "less than once in a hundred");
        assert_eq!(times_in_a_hundred(0.0101), "at most 2 times in a hundred");
        assert_eq!(times_in_a_hundred(1.0), "at most 100 times in a hundred");
    }

    proptest! {
        /// Drawn needs that no stack serves are as many as told.
        #[test]
        fn as_many_needs_are_out_as_drawn(
            thick in prop::collection::vec((0.01..0.15f64, 0..3u32), 0..4),
            needed in 0.0..0.3f64,
            error in 0.001..0.08f64,
            room in 0.001..0.02f64,
        ) {
            let blocks: Vec<Block> = thick.iter().map(|&(t, n)| block(t, n)).collect();
            let told = no_stack_serves(&foot(), needed, error, room, &blocks);
            // Needs at even steps of probability, by bisection of the distribution.
            const DRAWN: u32 = 400;
            let (all, _) = stacks(&blocks, 0.0, 10.0);
            let out = (0..DRAWN).filter(|index| {
                let share = (f64::from(*index) + 0.5) / f64::from(DRAWN);
                let (mut low, mut high) = (-9.0 * error, 9.0 * error);
                for _ in 0..60 {
                    let middle = (low + high) / 2.0;
                    if 1.0 - above(middle, error) < share { low = middle } else { high = middle }
                }
                let need = needed + low;
                all.iter().all(|stack| (stack.height - need).abs() > room)
            });
            let drawn = out.count() as f64 / f64::from(DRAWN);
            // Either end of every gap may fall between two steps.
            let ends = 2.0 * all.len() as f64 + 2.0;
            prop_assert!((told - drawn).abs() <= ends / f64::from(DRAWN), "{told} {drawn}");
        }
    }
}
