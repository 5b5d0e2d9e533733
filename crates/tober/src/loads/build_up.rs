//! What every support carries while the ride is built up: at each stage, after each act, and what
//! a quarter turn of a jack does.
//!
//! The acts are simulated by the level plan ([`crate::level::After::loads`]); here their loads
//! are held against what a jack may carry and what the ground under it bears.

use serde::{Deserialize, Serialize};

use super::bearing::{self, FootGround};
use super::rulebook::Values;
use super::standing::{elevation, jack_foot, jack_top};
use super::{RideLoads, passes};
use crate::Step;
use crate::assess::Verdict;
use crate::level::{
    Act, ActKind, GroundUnderRide, JACK_STIFFNESS, LevelPlan, MASS, StageKind, SupportKind,
    twist_stiffness,
};
use crate::ride::RideProfile;
use crate::site::Site;
use crate::statics::{GRAVITY, Load, Support, settle};

/// What one support carries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupportLoad {
    /// The support's id.
    pub id: String,
    /// Newtons.
    pub load: f64,
}

/// What every support carries at a stage of building up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StageLoads {
    /// Which stage.
    pub kind: StageKind,
    /// Jacks, outriggers, then tyres, in the order of the profile.
    pub loads: Vec<SupportLoad>,
    /// Of the feet that should carry at this stage, the one that carries least.
    pub light: Option<String>,
}

/// What one jack carries while the ride is built up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JackLoads {
    /// The jack's id.
    pub id: String,
    /// Greatest load after any act, newtons.
    pub greatest: f64,
    /// After which act, by its place in the crank list.
    pub act: usize,
    /// Greatest load at work, snugged beside outriggers, over every case, newtons; absent for a
    /// ride that works on its jacks, whose feet they are.
    pub greatest_at_work: Option<f64>,
    /// Most that it may carry, newtons; absent where the profile does not say.
    pub capacity: Option<f64>,
    /// What the ground feels under it at its greatest.
    pub ground: FootGround,
    /// Pass when the jack and the ground bear; unknown where something is not known.
    pub verdict: Verdict,
}

/// What a quarter turn out of one jack does, with the frame lifted on its jacks.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct QuarterTurn {
    /// The jack that is turned.
    pub jack: String,
    /// How much more each jack then carries, newtons, in the order of the profile.
    pub changes: Vec<f64>,
}

pub(super) fn fill(
    loads: &mut RideLoads,
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
    values: Values<'_>,
    at_work: &[f64],
) {
    if level.acts.is_empty() {
        return;
    }
    if profile.frame.mass.or(profile.loads.mass).is_none() {
        loads.assumed.push(format!(
            "While it is levelled the frame has {MASS} kg: its mass is not stated."
        ));
    }
    loads.stages = stages(profile, level);
    loads.quarter_turns = quarter_turns(profile, ground, level).unwrap_or_default();
    loads.jacks = profile
        .jacks
        .iter()
        .enumerate()
        .filter_map(|(index, jack)| {
            let after = level.acts.iter().enumerate().filter_map(|(place, act)| {
                let load = act.after.as_ref()?.loads.get(index).copied()?;
                Some((load, place))
            });
            let (greatest, act) = after.max_by(|a, b| a.0.total_cmp(&b.0))?;
            let foot = jack_foot(site, profile, ground, Some(level), jack);
            let greatest_at_work = at_work.get(index).copied();
            let most = greatest_at_work.map_or(greatest, |at_work| at_work.max(greatest));
            let felt = bearing::under(&foot, most, most, values);
            // The foot bears for the hour of building up: the ground is told, and does not fail
            // the ride, where nobody has stated the pad that the maker sends with it.
            let ground_verdict = match felt.verdict {
                Verdict::Fail if profile.loads.jack_pad.is_none() => Verdict::Unknown,
                verdict => verdict,
            };
            let own = foot
                .capacity
                .map_or(Verdict::Unknown, |capacity| passes(most <= capacity));
            Some(JackLoads {
                id: jack.id.clone(),
                greatest,
                act,
                greatest_at_work,
                capacity: foot.capacity,
                ground: felt,
                verdict: own.and(ground_verdict),
            })
        })
        .collect();
}

/// The loads at each stage: those after its last act.
fn stages(profile: &RideProfile, level: &LevelPlan) -> Vec<StageLoads> {
    let after = |kind: ActKind| {
        let last = level.acts.iter().rev().find(|act: &&Act| act.kind == kind);
        let after = last?.after.as_ref()?;
        (!after.loads.is_empty()).then_some(&after.loads)
    };
    let told = [
        (StageKind::Lifted, ActKind::Lift, SupportKind::Jack),
        (
            StageKind::OnOutriggers,
            ActKind::Lower,
            SupportKind::Outrigger,
        ),
        (StageKind::Snugged, ActKind::Snug, SupportKind::Outrigger),
        // To tear down, the jacks take up what they carried lifted.
        (StageKind::TakenUp, ActKind::Lift, SupportKind::Jack),
    ];
    let stages = told
        .into_iter()
        .filter(|(kind, ..)| *kind != StageKind::TakenUp || !profile.outriggers.is_empty());
    stages
        .filter_map(|(kind, act, carrying)| {
            let found = after(act)?;
            let loads: Vec<SupportLoad> = profile
                .supports()
                .zip(found)
                .map(|((id, _), &load)| SupportLoad {
                    id: id.to_owned(),
                    load,
                })
                .collect();
            let (skip, take) = match carrying {
                SupportKind::Jack => (0, profile.jacks.len()),
                _ => (profile.jacks.len(), profile.outriggers.len()),
            };
            let feet = loads.iter().skip(skip).take(take);
            let light = feet.min_by(|a, b| a.load.total_cmp(&b.load));
            Some(StageLoads {
                kind,
                light: light.map(|it| it.id.clone()),
                loads,
            })
        })
        .collect()
}

/// With the frame lifted on its jacks, what a quarter turn of each does to all.
fn quarter_turns(
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
) -> Option<Vec<QuarterTurn>> {
    let frame = &profile.frame;
    let mass = frame.mass.or(profile.loads.mass).unwrap_or(MASS);
    let centre = frame.centre.or(profile.loads.centre).unwrap_or_default();
    let load = Load {
        weight: mass * GRAVITY,
        centre,
        tipping: Step::zeros(),
        twist_stiffness: twist_stiffness(profile),
    };
    let jacks = profile.jacks.iter().zip(&level.jacks);
    let supports: Vec<Support> = jacks
        .map(|(jack, setting)| {
            let ground = elevation(ground, SupportKind::Jack, &jack.id)?;
            let top = jack_top(jack, setting, ground, setting.screw_lifted);
            Some(Support {
                at: jack.at,
                top,
                stiffness: frame.jack_stiffness.unwrap_or(JACK_STIFFNESS),
            })
        })
        .collect::<Option<_>>()?;
    let before = settle(&load, &supports).ok()?;
    profile
        .jacks
        .iter()
        .enumerate()
        .map(|(index, jack)| {
            let mut turned = supports.clone();
            turned.get_mut(index)?.top += jack.lift_per_turn / 4.0;
            let after = settle(&load, &turned).ok()?;
            let each = after.loads.iter().zip(&before.loads);
            Some(QuarterTurn {
                jack: jack.id.clone(),
                changes: each.map(|(after, before)| after - before).collect(),
            })
        })
        .collect()
}
