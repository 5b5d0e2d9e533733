//! What the feet carry after every act of building up and tearing down, on ground that gives.
//!
//! # Picture
//!
//! ```text
//!   level plan: acts, heights ──►  jacks · outriggers once they are blocked · tyres
//!                                    each jack from its height before the act to that after it
//!                                  + the ground under each foot, within its range
//! ```
//!
//! The level plan foretells its acts on feet whose ground does not give. Where a modulus of the
//! ground is given, each foot and its ground are two springs one on the other, and the same acts
//! are put on those: with the ground halfway for what is told of every act and stage, and on any
//! ground within its range, anywhere within the act, for the most that a foot carries
//! ([`super::any_ground`]). What a parked tyre has pressed in stays so: under tyres the ground
//! does not give.

use serde::{Deserialize, Serialize};

use super::any_ground::{AnyGround, Comes, End, Found};
use super::build_up::{ActLoads, acts, levelled};
use super::on_ground::{OnGround, Upon};
use super::standing::{elevation, jack_foot, jack_top, tops, work_feet};
use crate::Step;
use crate::level::{Act, ActKind, GroundUnderRide, LevelPlan, SupportKind, Way, tyres};
use crate::ride::RideProfile;
use crate::site::Site;
use crate::statics::{Load, Support, settle};

/// The frame on its feet after an act.
struct AfterAct<'a> {
    act: &'a Act,
    tear_down: bool,
    /// Its place in its list.
    place: usize,
    /// At which its jacks just touch, metres, before and after.
    before: Vec<f64>,
    after: Vec<f64>,
    /// Whether outriggers stand on their blocks.
    blocked: bool,
}

/// The most that a foot carries in any act of building up and tearing down.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct InActs {
    /// Newtons.
    pub greatest: f64,
    /// In which act, by its place in its list.
    pub act: usize,
    /// Whether that is one of tearing down.
    pub tear_down: bool,
}

/// The acts of a plan, and the feet that they are done on.
pub(super) struct Cranking<'a> {
    load: Load,
    jacks: Vec<OnGround>,
    outriggers: Vec<OnGround>,
    tyres: Vec<OnGround>,
    acts: Vec<AfterAct<'a>>,
}

impl<'a> Cranking<'a> {
    /// `None` where the ground under a foot is not known.
    pub(super) fn new(
        site: &Site,
        profile: &RideProfile,
        ground: &GroundUnderRide,
        level: &'a LevelPlan,
    ) -> Option<Cranking<'a>> {
        let jacks = || profile.jacks.iter().zip(&level.jacks);
        let touching = jacks().map(|(jack, setting)| {
            let ground = elevation(ground, SupportKind::Jack, &jack.id)?;
            let screw = jack.screw_retracted + setting.turns_free * jack.lift_per_turn;
            Some(jack_top(jack, setting, ground, screw))
        });
        let mut heights: Vec<f64> = touching.collect::<Option<_>>()?;
        let on_ground = heights.iter().zip(jacks());
        let on_ground = on_ground.map(|(&top, (jack, _))| {
            jack_foot(site, profile, ground, level, jack).on_ground(profile, top)
        });
        let on_ground = on_ground.collect();
        let outriggers = if profile.outriggers.is_empty() {
            Vec::new()
        } else {
            let feet = work_feet(site, profile, ground, level);
            let tops = tops(profile, ground, level)?;
            let feet = feet.iter().zip(tops);
            feet.map(|(foot, top)| foot.on_ground(profile, top))
                .collect()
        };
        let wheels = profile.wheels.iter();
        let under = wheels.map(|it| elevation(ground, SupportKind::Wheel, &it.id));
        let under: Vec<f64> = under.collect::<Option<_>>()?;
        let load = levelled(profile);
        let firm = |foot: Support| OnGround {
            foot,
            ground: None,
            area: 1.0,
        };
        let mut blocked = false;
        let walked = acts(level).map(|(tear_down, place, act)| {
            match act.kind {
                ActKind::Block => blocked = true,
                ActKind::Unblock => blocked = false,
                _ => {}
            }
            let before = heights.clone();
            let own = profile.jacks.iter().zip(&mut heights);
            if let Some((jack, height)) = own
                .filter(|_| act.under_load)
                .find(|(jack, _)| jack.id == act.support)
            {
                let up = if act.way == Some(Way::In) { -1.0 } else { 1.0 };
                *height += up * act.turns * jack.lift_per_turn;
            }
            AfterAct {
                act,
                tear_down,
                place,
                before,
                after: heights.clone(),
                blocked,
            }
        });
        Some(Cranking {
            acts: walked.collect(),
            load,
            jacks: on_ground,
            outriggers,
            tyres: tyres(profile, &under, load.weight)
                .into_iter()
                .map(firm)
                .collect(),
        })
    }

    /// Whether the ground is said to give under any foot.
    pub(super) fn gives(&self) -> bool {
        let feet = self.jacks.iter().chain(&self.outriggers);
        feet.into_iter().any(|foot| foot.ground.is_some())
    }

    /// The places among jacks and outriggers of the feet under which nobody has said how far the
    /// ground gives.
    pub(super) fn unsaid(&self) -> impl Iterator<Item = usize> + '_ {
        let feet = self.jacks.iter().chain(&self.outriggers).enumerate();
        feet.filter(|(_, foot)| foot.ground.is_none())
            .map(|(place, _)| place)
    }

    /// The feet that stand, in the order jacks, outriggers, tyres.
    fn feet(&self, blocked: bool) -> Vec<OnGround> {
        let outriggers = self.outriggers.iter().filter(|_| blocked);
        let feet = self.jacks.iter().chain(outriggers).chain(&self.tyres);
        feet.copied().collect()
    }

    /// What every jack, outrigger and tyre carries after an act, on the ground halfway, in the order
    /// of the profile; `None` where that is not foretold.
    fn carries(&self, after: &AfterAct<'_>) -> Option<Vec<f64>> {
        after.act.after.as_ref().filter(|it| !it.loads.is_empty())?;
        let mut supports: Vec<Support> = self
            .feet(after.blocked)
            .iter()
            .map(OnGround::usual)
            .collect();
        for (support, top) in supports.iter_mut().zip(&after.after) {
            support.top = *top;
        }
        let mut loads = settle(&self.load, &supports).ok()?.loads;
        if !after.blocked {
            let hanging = std::iter::repeat_n(0.0, self.outriggers.len());
            loads.splice(self.jacks.len()..self.jacks.len(), hanging);
        }
        Some(loads)
    }

    /// The same of every act that is foretold.
    pub(super) fn all_carry(&self) -> Vec<ActLoads> {
        let acts = self.acts.iter().filter_map(|after| {
            Some(ActLoads {
                tear_down: after.tear_down,
                act: after.place,
                loads: self.carries(after)?,
            })
        });
        acts.collect()
    }

    /// The most that a jack or an outrigger carries in any act, on any ground within its range.
    pub(super) fn greatest(&self, foot: usize) -> Option<InActs> {
        let both = [false, true].map(|blocked| {
            let fans: Vec<_> = self.feet(blocked).iter().map(OnGround::fan).collect();
            let ground = AnyGround::new(&fans, &self.load);
            let acts = self.acts.iter().enumerate();
            let acts = acts.filter(|(_, it)| it.act.under_load && it.blocked == blocked);
            let acts = acts.filter(|_| blocked || foot < self.jacks.len());
            let acts = acts.filter(|(_, it)| it.act.after.is_some());
            let acts = acts.map(|(which, after)| {
                // Where nothing was seen, all is left to the bound.
                let seen = self.carries(after);
                let load = seen.and_then(|loads| loads.get(foot).copied());
                let found = Found {
                    load: load.unwrap_or(0.0),
                    which,
                    at: Step::zeros(),
                };
                (self.comes(&ground, after), found)
            });
            let (comes, halfway): (Vec<Comes>, Vec<Found>) = acts.unzip();
            ground.worst(foot, End::Greatest, &comes, &halfway)
        });
        let found = both.into_iter().flatten();
        // Of several as great, the first.
        let found = found.reduce(|most, next| if next.load > most.load { next } else { most })?;
        let act = self.acts.get(found.which)?;
        Some(InActs {
            greatest: found.load,
            act: act.place,
            tear_down: act.tear_down,
        })
    }

    /// An act as it comes upon the feet.
    fn comes(&self, ground: &AnyGround, after: &AfterAct<'_>) -> Comes {
        let mut comes = ground.comes(&Upon {
            load: self.load,
            tips: 0.0,
            astray: 0.0,
        });
        let heights = after.before.iter().zip(&after.after);
        for (foot, (top, (before, after))) in comes.tops.iter_mut().zip(heights).enumerate() {
            *top = f64::midpoint(*before, *after);
            if before != after {
                comes.wound = Some((foot, (before - after).abs() / 2.0));
            }
        }
        comes
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::tests::loaded;
    use super::*;
    use crate::assess::assess;
    use crate::ground::Elevation;
    use crate::site::{Block, SiteFile, SpotLevel, Subgrade};

    /// The loaded trailer on ground that rises and falls, and gives so much.
    fn uneven(heights: &[f64], subgrade: Subgrade) -> SiteFile {
        let mut file = loaded();
        let places = [(4.0, 3.0), (4.0, -3.0), (-4.0, 3.0), (-4.0, -3.0)];
        let shots = places.iter().zip(heights);
        file.spot_levels
            .extend(shots.map(|(&(x, y), &height)| SpotLevel::new(x, y, Elevation(height))));
        file.features.ground_zones[0].subgrade = Some(subgrade);
        let thin = [("board", 0.04), ("shim", 0.01)];
        file.blocks.extend(thin.map(|(id, thickness)| Block {
            id: id.to_owned(),
            thickness,
            length: 0.3,
            width: 0.3,
            count: 20,
        }));
        file
    }

    fn heights() -> impl Strategy<Value = Vec<f64>> {
        prop::collection::vec(-0.1..0.1_f64, 4)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: ProptestConfig::default().cases / 8, ..ProptestConfig::default() })]

        /// On ground that gives next to nothing the acts leave on the feet what the level plan, which
        /// walks them itself, foretold.
        #[test]
        fn on_firm_ground_all_is_as_foretold(heights in heights(), on_jacks in any::<bool>()) {
            let mut file = uneven(&heights, Subgrade { lowest: 1e11, highest: 1e11 });
            // Under feet that give a thousand times as much themselves.
            let frame = &mut file.profiles[0].frame;
            (frame.jack_stiffness, frame.outrigger_stiffness) = (Some(1e6), Some(1e6));
            if on_jacks {
                file.profiles[0].outriggers.clear();
            }
            let site = Site::new(file).unwrap();
            let ride = assess(&site).rides.remove(0);
            prop_assume!(!ride.level.acts.is_empty());
            let weight = levelled(site.profile(0).unwrap()).weight;
            prop_assert!(!ride.loads.acts.is_empty());
            for own in &ride.loads.acts {
                let list = if own.tear_down { &ride.level.tear_down } else { &ride.level.acts };
                let foretold = &list[own.act].after.as_ref().unwrap().loads;
                prop_assert_eq!(own.loads.len(), foretold.len());
                for (own, foretold) in own.loads.iter().zip(foretold) {
                    prop_assert!((own - foretold).abs() < 1e-3 * weight, "{own} {foretold}");
                }
            }
            for (index, jack) in ride.loads.jacks.iter().enumerate() {
                let foretold = acts(&ride.level).filter_map(|(_, _, act)| act.after.as_ref()?.most(index));
                let foretold = foretold.fold(0.0, f64::max);
                let more = jack.greatest - foretold;
                prop_assert!(more.abs() < 1e-3 * weight, "{more}");
            }
        }

        /// Whatever the ground is under every foot, and anywhere within an act, no jack and no outrigger
        /// carries more than was told; and every act balances the weight.
        #[test]
        fn no_jack_carries_more_on_any_ground(
            heights in heights(), lowest in 6.5..8.0_f64, more in 0.0..1.0_f64,
            samples in prop::collection::vec(
                (0.0..=1.0_f64, prop::collection::vec(prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0_f64], 8)),
                20,
            ),
        ) {
            let (lowest, highest) = (libm::exp10(lowest), libm::exp10(lowest + more));
            let site = Site::new(uneven(&heights, Subgrade { lowest, highest })).unwrap();
            let ride = assess(&site).rides.remove(0);
            prop_assume!(!ride.level.acts.is_empty());
            let profile = site.profile(0).unwrap();
            let cranking = Cranking::new(&site, profile, &ride.ground, &ride.level).unwrap();
            let weight = cranking.load.weight;
            for own in &ride.loads.acts {
                prop_assert!((own.loads.iter().sum::<f64>() - weight).abs() < 1e-9 * weight);
            }
            for (far, shares) in samples {
                for act in cranking.acts.iter().filter(|it| it.act.under_load) {
                    let feet = cranking.feet(act.blocked);
                    let supports = feet.iter().zip(shares.iter().chain(std::iter::repeat(&0.0)));
                    let mut supports: Vec<Support> = supports
                        .map(|(foot, share)| {
                            let fan = foot.fan();
                            let gives = fan.firm + (fan.soft - fan.firm) * share;
                            Support { stiffness: 1.0 / gives, ..foot.foot }
                        })
                        .collect();
                    let heights = act.before.iter().zip(&act.after);
                    for (support, (before, after)) in supports.iter_mut().zip(heights) {
                        support.top = before + (after - before) * far;
                    }
                    let loads = settle(&cranking.load, &supports).unwrap().loads;
                    for (jack, carries) in ride.loads.jacks.iter().zip(&loads) {
                        prop_assert!(*carries <= jack.greatest + 1e-8 * weight, "{carries} {jack:?}");
                    }
                    let on_blocks = loads.iter().skip(4).take(if act.blocked { 4 } else { 0 });
                    for (foot, carries) in ride.loads.feet.iter().zip(on_blocks) {
                        let told = foot.in_acts.unwrap().greatest;
                        prop_assert!(*carries <= told + 1e-8 * weight, "{carries} {foot:?}");
                    }
                }
            }
        }
    }
}
