//! Stacks wide enough for what the ground bears.
//!
//! # Picture
//!
//! ```text
//!   blocks chosen ──► what each foot carries ──► area of ground that it needs
//!        ▲                                            │
//!        └── no stack there that spreads on less ◄────┘
//! ```
//!
//! What a foot carries hangs only a little on what it stands on, so that a round or two is enough.
//! A plan that comes out of it is the best of those that spread the loads so wide; where the
//! blocks on the truck allow none, the plan stays as it was, and what the ground lacks is told
//! with the loads: a pad, or another place.

use super::FootLoads;
use crate::level::{LevelPlan, SupportKind};

/// Rounds until every stack is wide enough.
const MOST_ROUNDS: usize = 4;

/// More than the last round asked for, so that arithmetic does not ask again.
const HAIR: f64 = 1e-9;

/// The plan that `choose` makes for least areas of ground under the feet, metres squared, asked
/// for more and more until the ground bears; or the plan for none.
pub(super) fn wide_enough(choose: impl Fn(&[f64]) -> (LevelPlan, Vec<FootLoads>)) -> LevelPlan {
    let (plain, feet) = choose(&[]);
    let mut areas = vec![0.0_f64; feet.len()];
    let mut now = (plain.clone(), feet);
    for _ in 0..MOST_ROUNDS {
        if !now.0.stands() {
            return plain;
        }
        let mut all_bear = true;
        for (foot, area) in now.1.iter().zip(&mut areas) {
            let needed = foot.ground.area_needed.unwrap_or(0.0);
            if foot.kind == SupportKind::Outrigger && foot.ground.area < needed {
                all_bear = false;
                *area = area.max(needed * (1.0 + HAIR));
            }
        }
        if all_bear {
            return now.0;
        }
        now = choose(&areas);
    }
    plain
}

#[cfg(test)]
mod tests {
    use crate::assess::{RideAssessment, Verdict, assess};
    use crate::level::BindKind;
    use crate::loads::tests::loaded;
    use crate::site::{Block, GivenBearing, Site, SiteFile};

    fn ride(file: &SiteFile) -> RideAssessment {
        let mut assessment = assess(&Site::new(file.clone()).unwrap());
        assessment.rides.remove(0)
    }

    /// Firm ground takes the stacks of small cribs; soft ground gets a mat under every stack, as
    /// there are some; and with too few mats the plan stays, and the ground is said to fail.
    #[test]
    fn soft_ground_gets_wider_pieces() {
        let mut file = loaded();
        file.blocks.push(Block {
            id: "mat".to_owned(),
            thickness: 0.09,
            length: 0.6,
            width: 0.6,
            count: 4,
        });
        let bearing = |file: &mut SiteFile, pressure: f64| {
            file.features.ground_zones[0].bearing = Some(GivenBearing {
                pressure,
                reason: "tested".to_owned(),
            });
        };
        bearing(&mut file, 1_000e3);
        let firm = ride(&file);
        bearing(&mut file, 120e3);
        let soft = ride(&file);
        let bearing = |it: &RideAssessment| {
            let binds = it.level.binds.iter();
            binds.filter(|bind| bind.kind == BindKind::Bearing).count()
        };
        assert_eq!((bearing(&firm), bearing(&soft)), (0, 4));
        for (stack, foot) in soft.level.outriggers.iter().zip(&soft.loads.feet) {
            assert_eq!(stack.pieces[0].block, "mat");
            assert_eq!(foot.ground.verdict, Verdict::Pass);
            assert!(foot.ground.area >= foot.ground.area_needed.unwrap());
        }
        assert_eq!(
            (soft.level.verdict, soft.level.proven),
            (Verdict::Pass, true)
        );
        file.blocks[1].count = 3;
        let short = ride(&file);
        assert_eq!(short.level.verdict, Verdict::Pass);
        assert_eq!(short.loads.verdict, Verdict::Fail);
    }
}
