//! What every support carries while the ride is built up and torn down: at each stage, after each
//! act, and what a quarter turn of a jack does.
//!
//! The acts are simulated by the level plan ([`crate::level::After::loads`]) on ground that does not
//! give, and where a modulus of it is given, on that ground ([`super::cranking`]); here their loads
//! are held against what a jack may carry and what the ground under it bears. Parked, the frame
//! stands on its tyres and its tongue, and its jacks carry nothing.

use serde::{Deserialize, Serialize};

use super::bearing::{self, FootGround};
use super::cranking::{Cranking, InActs};
use super::rulebook::Values;
use super::standing::{PAD, elevation, gives_unsaid, jack_foot, jack_top};
use super::{RideLoads, passes};
use crate::assess::Verdict;
use crate::level::{
    Act, ActKind, After, FOOT_PLATE, GroundUnderRide, JACK_STIFFNESS, LevelPlan, MASS, StageKind,
    SupportKind, twist_stiffness,
};
use crate::ride::RideProfile;
use crate::site::Site;
use crate::statics::{GRAVITY, Load, Rest, Support, settle, tipping};
use crate::units::LengthStyle;
use crate::{Point, Step};

/// What one support carries.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SupportLoad {
    /// The support's id.
    pub id: String,
    /// Newtons.
    pub load: f64,
}

/// What every support carries at a stage of building up or tearing down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct StageLoads {
    /// Which stage.
    pub kind: StageKind,
    /// Jacks, outriggers, then tyres, in the order of the profile; the tyres are left out where
    /// nobody knows what of it they carry.
    pub loads: Vec<SupportLoad>,
    /// What the tongue jack or the hitch carries, newtons; absent where it carries nothing, or that
    /// is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tongue: Option<f64>,
    /// Of the feet that should carry at this stage, the one that carries least.
    pub light: Option<String>,
}

/// What every support carries after an act, on ground that gives.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ActLoads {
    /// Whether it is an act of tearing down.
    pub tear_down: bool,
    /// Its place in the list of building up or of tearing down.
    pub act: usize,
    /// Newtons, with the ground halfway within its range: jacks, outriggers, tyres, in the order of
    /// the profile.
    pub loads: Vec<f64>,
}

impl RideLoads {
    /// What every jack, outrigger and tyre carries after an act of the level plan, newtons; empty
    /// where that is not foretold.
    pub fn after_act<'a>(&'a self, level: &'a LevelPlan, tear_down: bool, act: usize) -> &'a [f64] {
        let mut giving = self.acts.iter();
        if let Some(own) = giving.find(|it| (it.tear_down, it.act) == (tear_down, act)) {
            return &own.loads;
        }
        let list = if tear_down {
            &level.tear_down
        } else {
            &level.acts
        };
        let after = list.get(act).and_then(|act| act.after.as_ref());
        after.map_or(&[], |after| &after.loads)
    }
}

/// A stage of building up or tearing down at which the ride goes over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct GoesOver {
    /// Which stage.
    pub kind: StageKind,
    /// The two feet that it goes over; empty where it has fewer than three.
    pub over: Vec<String>,
    /// How far outside the line through them its weight acts, metres.
    pub outside: f64,
    /// How many times as far it leans for that as is foretold; absent where it goes over upright.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leaning: Option<f64>,
}

/// What one jack carries while the ride is built up and torn down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct JackLoads {
    /// The jack's id.
    pub id: String,
    /// Greatest load in any act, newtons.
    pub greatest: f64,
    /// In which act, by its place in the list of building up or of tearing down.
    pub act: usize,
    /// Whether that is an act of tearing down.
    #[serde(default)]
    pub tear_down: bool,
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
    (at_work, cranking): (&[f64], Option<&Cranking<'_>>),
) {
    if !level.acts.is_empty() || profile.loads.mass.is_some() {
        let taken = plates_and_pads(profile, site.file().units);
        loads.assumed.extend(taken);
    }
    if level.acts.is_empty() {
        return;
    }
    let weighed = profile.frame.mass.or(profile.loads.mass).is_some();
    if !weighed {
        loads.assumed.push(format!(
            "While it is levelled the frame has {MASS} kg: its mass is not stated."
        ));
    }
    loads.goes_over = goes_over(profile, level);
    let leaning = Leaning {
        profile,
        level,
        above_ground: centre_above_ground(site, profile, ground, level),
        times: values.value("overturning-factor"),
    };
    for over in leaning.goes_over() {
        if loads.goes_over.iter().all(|it| it.kind != over.kind) {
            loads.goes_over.push(over);
        }
    }
    loads.assumed.push(
        "While it is built up and torn down it is taken to stand in still air and to lean no farther \
         than is foretold: wind is not checked then."
            .to_owned(),
    );
    loads.acts = cranking.map_or(Vec::new(), Cranking::all_carry);
    // Of outriggers beside others of which it is known, the loads at work tell.
    let jacks = profile.jacks.len();
    let unsaid: Vec<usize> = cranking.map_or(Vec::new(), |it| it.unsaid().collect());
    let all_outriggers =
        unsaid.iter().filter(|it| **it >= jacks).count() == profile.outriggers.len();
    let untold = unsaid.iter().filter(|it| **it < jacks || all_outriggers);
    let names: Vec<&str> = untold
        .filter_map(|&place| Some(profile.supports().nth(place)?.0))
        .collect();
    if !names.is_empty() && !profile.outriggers.is_empty() {
        loads.not_known.push(gives_unsaid(&names));
    }
    if !loads.acts.is_empty() {
        loads.assumed.push(
            "While it is built up and torn down, the ground under jacks and outriggers is taken \
             halfway within its range for what a step leaves on each foot and what a quarter turn \
             does, and anywhere within it for the most that a foot carries; under tyres it does not \
             give."
                .to_owned(),
        );
    }
    let lifted = on_jacks(site, profile, ground, level);
    loads.stages = Stages {
        profile,
        level,
        loads,
        lifted: lifted.as_ref(),
    }
    .all();
    loads.quarter_turns = lifted
        .and_then(|lifted| quarter_turns(profile, &lifted))
        .unwrap_or_default();
    let foretold = acts(level).all(|(_, _, act)| !act.under_load || act.after.is_some());
    loads.jacks = profile
        .jacks
        .iter()
        .enumerate()
        .filter_map(|(index, jack)| {
            let InActs {
                greatest,
                act,
                tear_down,
            } = in_acts(level, cranking, index)?;
            let foot = jack_foot(site, profile, ground, level, jack);
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
                tear_down,
                greatest_at_work,
                capacity: foot.capacity,
                ground: felt,
                verdict: if foretold && weighed {
                    own.and(ground_verdict)
                } else {
                    // Somewhere the frame would go over, and nobody knows what it does then; or
                    // nobody knows what it weighs.
                    own.and(ground_verdict).and(Verdict::Unknown)
                },
            })
        })
        .collect();
}

/// The most that a foot carries in any act, by its place among jacks and outriggers: on any ground
/// where that gives, else as the level plan foretells.
pub(super) fn in_acts(
    level: &LevelPlan,
    cranking: Option<&Cranking<'_>>,
    foot: usize,
) -> Option<InActs> {
    if let Some(cranking) = cranking {
        return cranking.greatest(foot);
    }
    let after = acts(level).filter_map(|(tear_down, act, done)| {
        let greatest = done.after.as_ref()?.most(foot)?;
        Some(InActs {
            greatest,
            act,
            tear_down,
        })
    });
    // Of several as great, the first.
    after.reduce(|most, next| {
        if next.greatest > most.greatest {
            next
        } else {
            most
        }
    })
}

/// What is taken for the plates and pads that nobody has measured.
fn plates_and_pads(profile: &RideProfile, units: LengthStyle) -> Vec<String> {
    let jacks = || profile.jacks.iter();
    let pads = profile.loads.jack_pad.is_none() && jacks().any(|jack| jack.pad_thickness > 0.0);
    let pads = pads.then(|| {
        format!(
            "The pads under the jacks are taken to spread a load by their thickness each way, to \
             {} square at the most: their size is not stated.",
            units.format_down(PAD)
        )
    });
    let outriggers = profile.outriggers.iter().map(|foot| foot.foot_plate);
    let mut plates = jacks().map(|jack| jack.foot_plate).chain(outriggers);
    let plates = plates.any(|plate| plate.is_none()).then(|| {
        format!(
            "A foot is taken to stand on a plate of {} square where its plate is not stated.",
            units.format_down(FOOT_PLATE)
        )
    });
    pads.into_iter().chain(plates).collect()
}

/// The acts of building up, then those of tearing down: whether it is one of those, its place in
/// its list, and itself.
pub(super) fn acts(level: &LevelPlan) -> impl Iterator<Item = (bool, usize, &Act)> {
    let build_up = level
        .acts
        .iter()
        .enumerate()
        .map(|(at, act)| (false, at, act));
    let tear_down = level.tear_down.iter().enumerate();
    build_up.chain(tear_down.map(|(at, act)| (true, at, act)))
}

/// What the stages are told from.
struct Stages<'a> {
    profile: &'a RideProfile,
    level: &'a LevelPlan,
    loads: &'a RideLoads,
    lifted: Option<&'a OnJacks>,
}

impl Stages<'_> {
    /// The loads at each stage of the plan: those after its last act.
    fn all(&self) -> Vec<StageLoads> {
        let stages = self.level.stages.iter().map(|stage| stage.kind);
        stages.filter_map(|kind| self.at(kind)).collect()
    }

    fn at(&self, kind: StageKind) -> Option<StageLoads> {
        let (act, carrying) = match kind {
            StageKind::Parked | StageKind::Lowered => return Some(self.parked(kind)),
            StageKind::Lifted => (ActKind::Lift, SupportKind::Jack),
            StageKind::Blocked => (ActKind::Block, SupportKind::Jack),
            StageKind::OnOutriggers => (ActKind::Lower, SupportKind::Outrigger),
            StageKind::Snugged => (ActKind::Snug, SupportKind::Outrigger),
            StageKind::TakenUp => (ActKind::TakeUp, SupportKind::Jack),
            StageKind::BlocksOut => (ActKind::Unblock, SupportKind::Jack),
        };
        let loads = self.after(act).or_else(|| match kind {
            // Nothing is snugged: as it was let down.
            StageKind::Snugged => self.after(ActKind::Lower),
            // Nothing is lifted: it was set down on jacks wound to their height.
            StageKind::Lifted => self.set_down(),
            _ => None,
        })?;
        let loads = self.named(&loads);
        let (skip, take) = match carrying {
            SupportKind::Jack => (0, self.profile.jacks.len()),
            _ => (self.profile.jacks.len(), self.profile.outriggers.len()),
        };
        let feet = loads.iter().skip(skip).take(take);
        let light = feet.min_by(|a, b| a.load.total_cmp(&b.load));
        Some(StageLoads {
            kind,
            tongue: None,
            light: light.map(|it| it.id.clone()),
            loads,
        })
    }

    /// The loads after the last act of a kind.
    fn after(&self, kind: ActKind) -> Option<Vec<f64>> {
        let of_kind = acts(self.level).filter(|(_, _, act)| act.kind == kind);
        let (tear_down, act, _) = of_kind.last()?;
        let loads = self.loads.after_act(self.level, tear_down, act);
        (!loads.is_empty()).then(|| loads.to_vec())
    }

    fn set_down(&self) -> Option<Vec<f64>> {
        let lifted = self.lifted?;
        let mut loads = lifted.rest.loads.clone();
        loads.resize(self.profile.supports().count(), 0.0);
        Some(loads)
    }

    /// On its tyres and its tongue, the springs of the tyres sharing alike; jacks and outriggers
    /// carry nothing.
    fn parked(&self, kind: StageKind) -> StageLoads {
        let profile = self.profile;
        let feet = profile.jacks.len() + profile.outriggers.len();
        let mut loads = vec![0.0; feet];
        let tyres = profile.wheels.iter().map(|wheel| wheel.at);
        let supports: Vec<Support> = tyres
            .chain(profile.loads.tongue)
            .map(|at| Support {
                at,
                top: 0.0,
                stiffness: JACK_STIFFNESS,
            })
            .collect();
        let rigid = Load {
            twist_stiffness: f64::INFINITY,
            ..levelled(profile)
        };
        let rest = settle(&rigid, &supports).ok();
        let mut tongue = None;
        if let Some(rest) = rest {
            let (tyres, held) = rest
                .loads
                .split_at(profile.wheels.len().min(rest.loads.len()));
            loads.extend_from_slice(tyres);
            tongue = held.first().copied();
        }
        StageLoads {
            kind,
            tongue,
            light: None,
            loads: self.named(&loads),
        }
    }

    fn named(&self, loads: &[f64]) -> Vec<SupportLoad> {
        let each = self.profile.supports().zip(loads);
        each.map(|((id, _), &load)| SupportLoad {
            id: id.to_owned(),
            load,
        })
        .collect()
    }
}

/// What the frame weighs while it is levelled.
pub(super) fn levelled(profile: &RideProfile) -> Load {
    let frame = &profile.frame;
    let mass = frame.mass.or(profile.loads.mass).unwrap_or(MASS);
    Load {
        weight: mass * GRAVITY,
        centre: frame.centre.or(profile.loads.centre).unwrap_or_default(),
        tipping: Step::zeros(),
        twist_stiffness: twist_stiffness(profile),
    }
}

/// The stages of the plan at which the weight acts outside the feet that carry it then. What the
/// tyres carry is not known where nobody has said where the tongue is held.
fn goes_over(profile: &RideProfile, level: &LevelPlan) -> Vec<GoesOver> {
    let weight = levelled(profile).resultant();
    let stages = level.stages.iter().map(|stage| stage.kind);
    let each = stages.filter_map(|kind| {
        let feet: Vec<(String, Point)> = match kind {
            StageKind::Parked | StageKind::Lowered => {
                let tongue = profile.loads.tongue?;
                let tyres = profile.wheels.iter().map(|it| (it.id.clone(), it.at));
                tyres.chain([("the tongue".to_owned(), tongue)]).collect()
            }
            StageKind::OnOutriggers => {
                let feet = profile.outriggers.iter();
                feet.map(|it| (it.id.clone(), it.at)).collect()
            }
            // Snugged, jacks and outriggers carry together.
            StageKind::Snugged => return None,
            _ => profile
                .jacks
                .iter()
                .map(|it| (it.id.clone(), it.at))
                .collect(),
        };
        let supports: Vec<Support> = feet
            .iter()
            .map(|&(_, at)| Support {
                at,
                top: 0.0,
                stiffness: JACK_STIFFNESS,
            })
            .collect();
        let tips = tipping(weight, &supports)?;
        let over = tips.over.into_iter().flat_map(|(a, b)| [a, b]);
        let over = over.filter_map(|index| feet.get(index));
        Some(GoesOver {
            kind,
            over: over.map(|(id, _)| id.clone()).collect(),
            outside: tips.outside,
            leaning: None,
        })
    });
    each.collect()
}

/// From the ground up to the ride's own centre while it is built up, metres: as if it were as high as
/// at work. Nothing where that is not stated, which is told.
fn centre_above_ground(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
) -> f64 {
    let Some(height) = profile.loads.centre_height else {
        return 0.0;
    };
    let jacks = profile.jacks.iter();
    let depths =
        jacks.map(|jack| jack_foot(site, profile, ground, level, jack).depth(profile, level));
    (height + depths.fold(0.0, f64::max)).max(0.0)
}

/// A frame that leans while it is cranked.
struct Leaning<'a> {
    profile: &'a RideProfile,
    level: &'a LevelPlan,
    above_ground: f64,
    /// How many times as far as is foretold.
    times: f64,
}

impl Leaning<'_> {
    /// The stages on the way to which its weight comes to act outside all that stands under it.
    fn goes_over(&self) -> Vec<GoesOver> {
        let mut found: Vec<GoesOver> = Vec::new();
        let mut blocked = false;
        for (_, _, act) in acts(self.level) {
            let kind = match act.kind {
                ActKind::Block => {
                    blocked = true;
                    continue;
                }
                ActKind::Unblock => {
                    blocked = false;
                    continue;
                }
                ActKind::Lift => StageKind::Lifted,
                ActKind::Lower => StageKind::OnOutriggers,
                ActKind::Snug => StageKind::Snugged,
                ActKind::TakeUp => StageKind::TakenUp,
                ActKind::LetDown => StageKind::Lowered,
                ActKind::Pin | ActKind::Touch | ActKind::Stow => continue,
            };
            let over = act
                .after
                .as_ref()
                .and_then(|after| self.over(after, blocked));
            if let Some((over, outside)) = over {
                let worse = found.iter_mut().find(|it| it.kind == kind);
                match worse {
                    Some(worse) if worse.outside >= outside => {}
                    Some(worse) => (worse.over, worse.outside) = (over, outside),
                    None => found.push(GoesOver {
                        kind,
                        over,
                        outside,
                        leaning: Some(self.times),
                    }),
                }
            }
        }
        found
    }

    /// Over which feet it goes, and how far its weight acts outside the line through them.
    fn over(&self, after: &After, blocked: bool) -> Option<(Vec<String>, f64)> {
        let profile = self.profile;
        let jacks = profile.jacks.iter().map(|it| (&it.id, it.at));
        let outriggers = profile.outriggers.iter().map(|it| (&it.id, it.at));
        let tyres = profile.wheels.iter().map(|it| (&it.id, it.at));
        let feet: Vec<(&String, Point)> = jacks
            .chain(outriggers.filter(|_| blocked))
            .chain(tyres)
            .collect();
        let supports = feet.iter().map(|&(_, at)| Support {
            at,
            top: 0.0,
            stiffness: JACK_STIFFNESS,
        });
        // Towards the low end and the low side.
        let moved = |deg: f64| -libm::tan(deg.to_radians()) * self.above_ground * self.times;
        let leans = Step::new(moved(after.along_deg), moved(after.across_deg));
        let weight = levelled(profile).resultant() + leans;
        let tips = tipping(weight, &supports.collect::<Vec<_>>())?;
        let over = tips.over.into_iter().flat_map(|(a, b)| [a, b]);
        let over = over.filter_map(|index| feet.get(index));
        Some((over.map(|(id, _)| (*id).clone()).collect(), tips.outside))
    }
}

/// The frame lifted on its jacks.
struct OnJacks {
    load: Load,
    supports: Vec<Support>,
    rest: Rest,
}

fn on_jacks(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
) -> Option<OnJacks> {
    let load = levelled(profile);
    let jacks = profile.jacks.iter().zip(&level.jacks);
    let supports: Vec<Support> = jacks
        .map(|(jack, setting)| {
            let elevation = elevation(ground, SupportKind::Jack, &jack.id)?;
            let top = jack_top(jack, setting, elevation, setting.screw_lifted);
            let foot = jack_foot(site, profile, ground, level, jack);
            Some(foot.on_ground(profile, top).usual())
        })
        .collect::<Option<_>>()?;
    let rest = settle(&load, &supports).ok()?;
    Some(OnJacks {
        load,
        supports,
        rest,
    })
}

/// With the frame lifted on its jacks, what a quarter turn of each does to all.
fn quarter_turns(profile: &RideProfile, lifted: &OnJacks) -> Option<Vec<QuarterTurn>> {
    let jacks = profile.jacks.iter().enumerate();
    jacks
        .map(|(index, jack)| {
            let mut turned = lifted.supports.clone();
            turned.get_mut(index)?.top += jack.lift_per_turn / 4.0;
            let after = settle(&lifted.load, &turned).ok()?;
            let each = after.loads.iter().zip(&lifted.rest.loads);
            Some(QuarterTurn {
                jack: jack.id.clone(),
                changes: each.map(|(after, before)| after - before).collect(),
            })
        })
        .collect()
}
