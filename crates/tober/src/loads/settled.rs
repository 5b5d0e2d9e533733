//! The level plan and the loads, each made with what the other says of settling.
//!
//! # Picture
//!
//! ```text
//!   level plan ──► what each foot carries ──► how far it sinks ──► how the frame then lies
//!        ▲                                            │
//!        └────── feet that sink farther set higher ◄──┘
//! ```
//!
//! What a foot carries hardly hangs on how high it is set, so that a round or two is enough for
//! the stacks to come out the same. Half of what the ground may sink is made up for at first, then
//! less and more: the frame passes through all from now to as far as it may sink, and the best
//! plan is the one that is the least steep at its worst. The plan for now alone is always one of
//! those compared, and kept where the gain is less than a crew's level shows.

use super::wide_enough::wide_enough;
use super::{FootLoads, LoadRuleInForce, RideLoads, feet_at_work, ride_loads};
use crate::level::{Asked, FootSinks, GroundUnderRide, LevelPlan, Preference};
use crate::ride::RideProfile;
use crate::site::Site;

/// Shares of the most that a foot may sink by which it is set higher.
const SHARES: [f64; 4] = [0.5, 0.25, 0.75, 1.0];

/// Rounds until the stacks come out the same.
const MOST_ROUNDS: usize = 3;

/// How a ride is levelled on its ground, and what its feet then carry.
pub(crate) fn level_and_loads(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    rules: &[LoadRuleInForce],
) -> (LevelPlan, RideLoads) {
    let blocks = &site.file().blocks;
    let loaded = |mut level: LevelPlan| {
        let feet = feet_at_work(site, profile, ground, &level, rules);
        if let Some(sinks) = sinks(&feet) {
            level.sink(profile, sinks);
        }
        (level, feet)
    };
    let set_higher = |higher: &[f64]| {
        wide_enough(|areas| {
            let asked = Asked {
                higher: higher.to_vec(),
                areas: areas.to_vec(),
            };
            loaded(LevelPlan::asked(profile, ground, blocks, &asked))
        })
    };
    let plain = set_higher(&[]);
    let best = least_steep(&plain, set_higher);
    let loads = ride_loads(site, profile, ground, &best, rules);
    (best, loads)
}

/// The plan that is the least steep at its worst, of those with its feet set higher by some share of
/// what they may sink.
fn least_steep(plain: &LevelPlan, set_higher: impl Fn(&[f64]) -> LevelPlan) -> LevelPlan {
    let mut best = plain.clone();
    if !plain.stands() {
        return best;
    }
    for share in SHARES {
        if !could_be_bettered(&best) {
            break;
        }
        let mut before = plain.clone();
        for _ in 0..MOST_ROUNDS {
            let feet = before.settled.iter().flat_map(|it| &it.feet);
            let higher: Vec<f64> = feet.map(|foot| foot.most * share).collect();
            let now = set_higher(&higher);
            let same = now.outriggers == before.outriggers && now.jacks == before.jacks;
            before = now;
            if same {
                break;
            }
        }
        if is_better(&before, &best) {
            best = before;
            let settled = best.settled.iter_mut();
            settled.for_each(|it| it.otherwise_deg = plain.steepest_deg());
        }
    }
    best
}

/// Whether another choice of blocks could leave less at the worst, by what a crew's level shows:
/// whatever is chosen, from now to as far as it may sink the frame turns as far, and half of that
/// is left on one side.
fn could_be_bettered(plan: &LevelPlan) -> bool {
    plan.steepest_share() - plan.turns_by_share() / 2.0 >= step(plan)
}

/// What a crew's level shows, as a share of the tightest tolerance.
fn step(plan: &LevelPlan) -> f64 {
    let tightest = plan.tolerance_along_deg.min(plan.tolerance_across_deg);
    let step_deg = plan.preferences.iter().find_map(|it| match it {
        Preference::LeastTilt { step_deg } => Some(*step_deg),
        _ => None,
    });
    step_deg.unwrap_or(0.0) / tightest.max(1e-9)
}

/// How far every foot may sink; `None` where that of any is not known.
fn sinks(feet: &[FootLoads]) -> Option<Vec<FootSinks>> {
    let each = feet.iter().map(|foot| {
        Some(FootSinks {
            id: foot.id.clone(),
            least: foot.ground.sinks_least?,
            most: foot.ground.sinks_most?,
        })
    });
    let each: Vec<FootSinks> = each.collect::<Option<_>>()?;
    (!each.is_empty()).then_some(each)
}

/// Whether a plan leaves less at its worst, by what a crew's level shows; or holds where the other
/// does not.
fn is_better(plan: &LevelPlan, other: &LevelPlan) -> bool {
    let holds = plan.stands() && plan.verdict <= other.verdict;
    let less = other.steepest_share() - plan.steepest_share();
    holds && (less >= step(plan) || (less > 0.0 && plan.verdict < other.verdict))
}
