//! What each foot carries, what the ground feels, and whether the ride could tip.
//!
//! # Picture
//!
//! ```text
//!            wind ──►  ┌─────┐
//!                      │  ◄──┼── pull of riders who sit unevenly, at their height
//!                      │     │
//!         weight       │  ▼  │   riders, shifted to the side they sit on
//!      ════════════════╧═════╧════════════════  frame: stands, leans, twists
//!        ▲                                 ▲
//!        █ a foot only pushes              █
//!   ~~~~~█~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~█~~~  ground: pressure under the stack
//! ```
//!
//! At work the feet that carry are the outriggers, held to the whole load as if the snugged jacks
//! carried nothing (and the jacks to what they carry beside them), or the jacks of a ride without
//! any. Each case of riders and wind is a weight and
//! something that tips the frame by up to so much, whichever way: the riders go round, and the
//! wind blows from anywhere. Over all ways the least and the greatest load of each foot are exact
//! ([`extremes`]). A case says what it is; a foot says which case is its worst.
//!
//! What the profile does not state is not known: then what hangs on it is not computed, and
//! [`RideLoads::not_known`] says so. No unknown turns into a zero that looks like safety.
//!
//! # Source
//!
//! Equilibrium; the pull of a rider on a circle `m ω² r`; wind pressure `½ ρ v²` (EN 1991-1-4
//! 4.5, memory). Values and what is asked for: [`load_rulebook`].

mod amounts;
mod any_ground;
mod astray;
mod bearing;
mod build_up;
mod cases;
mod cranking;
mod extremes;
mod on_ground;
mod pads;
mod rulebook;
mod settled;
mod standing;
mod trial;
mod unbalance;
mod wide_enough;
mod words;
mod worst;

pub use any_ground::{Fan, extremes_on_any_ground};
pub use bearing::{FootGround, Spread, spread};
pub use build_up::{ActLoads, GoesOver, JackLoads, QuarterTurn, StageLoads, SupportLoad};
pub use cases::{CaseKind, LoadCase, wind_pressure};
pub use cranking::InActs;
pub use extremes::{Extreme, extremes};
pub use rulebook::{
    LoadRule, LoadRuleInForce, LoadUnit, POUND, PSF, PSI, bearing_rule, load_rulebook,
    load_rules_in_force,
};
pub(crate) use settled::level_and_loads;
pub use trial::{Trial, TrialFoot, TrialLoads, try_riders};
pub use unbalance::{resultant, run_resultant};
pub use words::{
    area_down, area_up, change_in_words, crushing_down, crushing_up, factor_down, force_down,
    force_up, load_rules_told, pressure_down, pressure_up,
};

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::assess::Verdict;
use crate::level::{GroundUnderRide, LevelPlan, SupportKind};
use crate::ride::RideProfile;
use crate::site::Site;
use cases::Case;
use cranking::Cranking;
use rulebook::Values;
use standing::Standing;
use worst::{Worst, toward_deg};

/// What a ride's feet carry, and what follows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RideLoads {
    /// The worst of what was checked; unknown where something could not be.
    pub verdict: Verdict,
    /// The feet that carry at work, in the order of the profile. Empty where the profile states
    /// no mass.
    pub feet: Vec<FootLoads>,
    /// The cases that are the worst for something, and the plain ones.
    pub cases: Vec<LoadCase>,
    /// What holds down against what tips, in the worst case.
    pub overturning: Option<Factor>,
    /// Friction against what pushes sideways, in the worst case.
    pub sliding: Option<Factor>,
    /// How many cars in a row may go empty; absent where no seats are stated.
    pub empty_in_row: Option<EmptyInRow>,
    /// The stages of building up and tearing down at which it goes over, its weight outside the feet
    /// that carry then.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub goes_over: Vec<GoesOver>,
    /// What each jack carries while the ride is built up. Empty where that is not known.
    pub jacks: Vec<JackLoads>,
    /// What every support carries after each act, where a modulus of the ground is given; else it is
    /// as the level plan foretells: [`RideLoads::after_act`].
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub acts: Vec<ActLoads>,
    /// What every support carries at each stage of building up. Empty where that is not known.
    pub stages: Vec<StageLoads>,
    /// What a quarter turn out of each jack does to the loads of all of them, lifted.
    pub quarter_turns: Vec<QuarterTurn>,
    /// How the ride may settle under its usual load; absent where no modulus of the ground is
    /// given under every foot.
    pub settling: Option<ExpectedSettling>,
    /// What is not known and what is therefore not computed, in plain words.
    pub not_known: Vec<String>,
    /// What was taken where the profile states nothing, in plain words.
    pub assumed: Vec<String>,
    /// What to do where something fails or is not known, in plain words.
    pub to_do: Vec<String>,
    /// What else is good to know: how many seats may go empty, what rain does.
    pub advice: Vec<String>,
}

impl Default for RideLoads {
    fn default() -> RideLoads {
        RideLoads {
            verdict: Verdict::Unknown,
            feet: Vec::new(),
            cases: Vec::new(),
            overturning: None,
            sliding: None,
            empty_in_row: None,
            goes_over: Vec::new(),
            jacks: Vec::new(),
            acts: Vec::new(),
            stages: Vec::new(),
            quarter_turns: Vec::new(),
            settling: None,
            not_known: Vec::new(),
            assumed: Vec::new(),
            to_do: Vec::new(),
            advice: Vec::new(),
        }
    }
}

/// What one foot carries at work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FootLoads {
    /// The support's id.
    pub id: String,
    /// Its kind.
    pub kind: SupportKind,
    /// Where, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Least load of any case, out of service too, newtons.
    pub least: f64,
    /// The case that it comes from, by its place in [`RideLoads::cases`].
    pub least_case: usize,
    /// Which way the frame is tipped then: degrees from the tongue to the left.
    pub least_toward_deg: f64,
    /// Load with every seat full, nothing turning and no wind, newtons.
    pub usual: f64,
    /// Greatest load of any case, out of service too, newtons.
    pub greatest: f64,
    /// The case that it comes from, by its place in [`RideLoads::cases`].
    pub greatest_case: usize,
    /// Which way the frame is tipped then: degrees from the tongue to the left.
    pub greatest_toward_deg: f64,
    /// The most that it carries while the ride is built up and torn down; absent for the jacks of a
    /// ride that works on them, which are told by themselves, and where it is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_acts: Option<InActs>,
    /// Whether it lifts off in service.
    pub lifts: bool,
    /// Whether it lifts off in the wind that the ride may stand in at rest.
    pub lifts_out_of_service: bool,
    /// Most that it may carry, newtons; absent where the profile does not say.
    pub capacity: Option<f64>,
    /// What the ground feels under it.
    pub ground: FootGround,
    /// The worst of lifting, capacity and ground.
    pub verdict: Verdict,
}

/// A factor of safety against what is asked for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Factor {
    /// What was found. Below 1 the ride goes.
    pub value: f64,
    /// How far outside the line through the two feet its weight comes to act at the worst, metres;
    /// 0 where it stays inside, and for sliding.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub outside: f64,
    /// What is asked for at least.
    pub required: f64,
    /// The case that it comes from, by its place in [`RideLoads::cases`].
    pub case: usize,
    /// The two feet that it would tip over; empty for sliding.
    pub over: Vec<String>,
    /// How it came out.
    pub verdict: Verdict,
}

fn is_nothing(value: &f64) -> bool {
    *value == 0.0
}

/// How many cars in a row may go empty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EmptyInRow {
    /// Most cars in a row that may be empty while all others are full, for every foot to bear and
    /// every factor and capacity to hold; absent where it does not hold with all of them full.
    pub most: Option<u32>,
    /// The cars in the smallest ring.
    pub of: u32,
    /// What the maker allows, where it is stated.
    pub stated: Option<u32>,
}

/// How a ride may settle under its usual load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ExpectedSettling {
    /// The least that any foot sinks, metres.
    pub least: f64,
    /// The most that any foot sinks, metres.
    pub most: f64,
    /// The steepest that the frame may then lie along, degrees: what is left after levelling, and
    /// the feet each anywhere in their ranges.
    pub along_deg: f64,
    /// The same across, degrees.
    pub across_deg: f64,
    /// Pass when both stay within the ride's tolerance.
    pub verdict: Verdict,
}

/// What a ride's feet carry on its ground, as it was levelled.
pub fn ride_loads(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
    rules: &[LoadRuleInForce],
) -> RideLoads {
    let values = Values(rules);
    let mut loads = RideLoads::default();
    let standing = Standing::new(site, profile, ground, level, values);
    let at_work = standing
        .as_ref()
        .map(|it| it.jacks_at_work(site, ground, level));
    let at_work = at_work.unwrap_or_default();
    let cranking = Cranking::new(site, profile, ground, level).filter(Cranking::gives);
    let built = (&at_work[..], cranking.as_ref());
    build_up::fill(&mut loads, site, profile, ground, level, values, built);
    let Some(standing) = standing else {
        loads.not_known.push(format!(
            "The profile {} states no mass: what each foot carries, what the ground bears, wind \
             and overturning are not checked.",
            profile.id
        ));
        if !loads.goes_over.is_empty() {
            loads.verdict = Verdict::Fail;
            loads.to_do = words::goes_over(&loads, site.file().units).collect();
        }
        return loads;
    };
    Judging {
        site,
        profile,
        level,
        values,
        standing: &standing,
        cranking: cranking.as_ref(),
    }
    .fill(&mut loads);
    loads
}

/// What each foot carries at work, as the ride was levelled; nothing where the profile states no
/// mass.
fn feet_at_work(
    site: &Site,
    profile: &RideProfile,
    ground: &GroundUnderRide,
    level: &LevelPlan,
    rules: &[LoadRuleInForce],
) -> Vec<FootLoads> {
    let values = Values(rules);
    let standing = Standing::new(site, profile, ground, level, values);
    standing.map_or(Vec::new(), |standing| {
        let judging = Judging {
            site,
            profile,
            level,
            values,
            standing: &standing,
            // To choose blocks by, what the level plan foretells is near enough.
            cranking: None,
        };
        judging.feet(&standing.cases())
    })
}

/// Everything that judging the loads at work needs.
struct Judging<'a> {
    site: &'a Site,
    profile: &'a RideProfile,
    level: &'a LevelPlan,
    values: Values<'a>,
    standing: &'a Standing<'a>,
    cranking: Option<&'a Cranking<'a>>,
}

impl Judging<'_> {
    fn fill(&self, loads: &mut RideLoads) {
        let standing = self.standing;
        loads.not_known.extend(standing.not_known.iter().cloned());
        loads.assumed.extend(standing.assumed.iter().cloned());
        let cases = standing.cases();
        loads.feet = self.feet(&cases);
        loads.overturning = self.overturning(&cases);
        loads.sliding = self.sliding(&cases);
        loads.empty_in_row = self.empty_in_row();
        loads.settling = self.settling(&loads.feet);
        keep_what_matters(loads, &cases);
        loads.verdict = self.verdict(loads);
        words::advise(loads, self.profile, self.level, self.site);
    }

    fn feet(&self, cases: &[Case]) -> Vec<FootLoads> {
        let standing = self.standing;
        let usual = standing.usual();
        let worst = standing.worst(cases);
        let feet = standing.feet.iter().zip(&worst).zip(&usual);
        // Jacks are told of their acts by themselves.
        let jacks = self.profile.jacks.len();
        let in_acts = |place: usize, foot: &standing::Foot<'_>| {
            let own = (foot.kind == SupportKind::Outrigger).then_some(jacks + place)?;
            build_up::in_acts(self.level, self.cranking, own)
        };
        let feet = feet.enumerate().map(|(place, ((foot, worst), &usual))| {
            self.foot(foot, worst, usual, in_acts(place, foot))
        });
        let mut feet: Vec<FootLoads> = feet.collect();
        pads::lay(&mut feet, &standing.feet, self.level, self.site);
        feet
    }

    fn foot(
        &self,
        foot: &standing::Foot<'_>,
        worst: &Worst,
        usual: f64,
        in_acts: Option<InActs>,
    ) -> FootLoads {
        let greatest = in_acts
            .map_or(0.0, |it| it.greatest)
            .max(worst.greatest.load);
        let ground = bearing::under(foot, greatest, usual, self.values);
        let mut verdict = ground.verdict;
        if worst.lifts || foot.capacity.is_some_and(|most| greatest > most) {
            verdict = Verdict::Fail;
        }
        FootLoads {
            id: foot.id.to_owned(),
            kind: foot.kind,
            at: foot.lot,
            least: worst.least.load,
            least_case: worst.least.which,
            least_toward_deg: toward_deg(worst.least.at),
            usual,
            greatest: worst.greatest.load,
            greatest_case: worst.greatest.which,
            greatest_toward_deg: toward_deg(worst.greatest.at),
            in_acts,
            lifts: worst.lifts,
            lifts_out_of_service: worst.lifts_out_of_service,
            capacity: foot.capacity,
            ground,
            verdict,
        }
    }

    fn overturning(&self, cases: &[Case]) -> Option<Factor> {
        let each = cases
            .iter()
            .enumerate()
            .filter_map(|(index, case)| Some((index, self.standing.overturning(case)?)));
        // Of those that go over, the one that goes farthest.
        let (case, tips) = each.min_by(|(_, a), (_, b)| {
            let value = a.value.total_cmp(&b.value);
            value.then(b.outside.total_cmp(&a.outside))
        })?;
        let over = tips.over;
        let required = self.values.value("overturning-factor");
        let name = |index: usize| self.standing.feet.get(index).map(|foot| foot.id.to_owned());
        Some(Factor {
            value: tips.value,
            outside: tips.outside,
            required,
            case,
            over: [name(over.0), name(over.1)].into_iter().flatten().collect(),
            verdict: passes(tips.value >= required),
        })
    }

    fn sliding(&self, cases: &[Case]) -> Option<Factor> {
        let each = cases
            .iter()
            .enumerate()
            .filter_map(|(index, case)| Some((self.standing.sliding(case)?, index)));
        let (value, case) = each.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let required = self.values.value("sliding-factor");
        Some(Factor {
            value,
            outside: 0.0,
            required,
            case,
            over: Vec::new(),
            verdict: passes(value >= required),
        })
    }

    /// Tries one more empty car after the other.
    fn empty_in_row(&self) -> Option<EmptyInRow> {
        let standing = self.standing;
        let of = standing.rings.iter().map(|ring| ring.cars).min()?;
        // Nothing is promised of seats that may be anywhere.
        if standing.rings.iter().any(|ring| ring.radius <= 0.0) {
            return None;
        }
        let most = (0..=of)
            .take_while(|&empty| {
                let case = standing.run_of(empty);
                let bear = standing.extremes(&case).is_some_and(|found| {
                    found.iter().zip(&standing.feet).all(|(found, foot)| {
                        let carries = foot.capacity.is_none_or(|most| found.greatest <= most);
                        let ground = foot.bears(found.greatest, self.values);
                        found.least > 0.0 && carries && ground != Some(false)
                    })
                });
                let holds = |found: Option<f64>, required: &str| {
                    found.is_none_or(|found| found >= self.values.value(required))
                };
                let stands = standing.overturning(&case).map(|it| it.value);
                bear && holds(stands, "overturning-factor")
                    && holds(standing.sliding(&case), "sliding-factor")
            })
            .last();
        Some(EmptyInRow {
            most,
            of,
            stated: self.profile.loads.empty_in_row,
        })
    }

    fn settling(&self, feet: &[FootLoads]) -> Option<ExpectedSettling> {
        let ranges: Vec<(f64, f64)> = feet
            .iter()
            .map(|foot| Some((foot.ground.sinks_least?, foot.ground.sinks_most?)))
            .collect::<Option<_>>()?;
        let least = ranges.iter().map(|it| it.0).reduce(f64::min)?;
        let most = ranges.iter().map(|it| it.1).reduce(f64::max)?;
        let places: Vec<Point> = self.standing.feet.iter().map(|foot| foot.at).collect();
        let (along, across) = crate::level::slopes_of_sinking(&places, &ranges);
        let steepest = |left: Option<f64>, (down, up): (f64, f64)| {
            let slope = libm::tan(left.unwrap_or(0.0).to_radians());
            let worst = (slope + down).abs().max((slope + up).abs());
            libm::atan(worst).to_degrees()
        };
        let along_deg = steepest(self.level.tilt_along_deg, along);
        let across_deg = steepest(self.level.tilt_across_deg, across);
        Some(ExpectedSettling {
            least,
            most,
            along_deg,
            across_deg,
            verdict: passes(
                along_deg <= self.level.tolerance_along_deg
                    && across_deg <= self.level.tolerance_across_deg,
            ),
        })
    }

    fn verdict(&self, loads: &RideLoads) -> Verdict {
        let start = if loads.not_known.is_empty() {
            Verdict::Pass
        } else {
            Verdict::Unknown
        };
        loads.checks().fold(start, Verdict::and)
    }
}

impl RideLoads {
    /// How every check came out: the factors, the feet, the jacks, what settling does, and whether
    /// it stands while it is built up.
    pub fn checks(&self) -> impl Iterator<Item = Verdict> {
        let factors = [&self.overturning, &self.sliding];
        let factors = factors.into_iter().flatten().map(|factor| factor.verdict);
        let feet = self.feet.iter().map(|foot| foot.verdict);
        let jacks = self.jacks.iter().map(|jack| jack.verdict);
        let settling = self.settling.iter().map(|it| it.verdict);
        let settling = settling.chain(self.goes_over.iter().map(|_| Verdict::Fail));
        factors.chain(feet).chain(jacks).chain(settling)
    }

    /// What of this counts in the verdict of the ride: what fails. What is not known is told and
    /// does not count, so that a profile without load data is judged as it was.
    pub fn counts(&self) -> Verdict {
        match self.verdict {
            Verdict::Fail => Verdict::Fail,
            Verdict::Pass | Verdict::Unknown => Verdict::Pass,
        }
    }
}

fn passes(holds: bool) -> Verdict {
    if holds { Verdict::Pass } else { Verdict::Fail }
}

/// Keeps the plain cases and those that are the worst for something, and counts anew.
fn keep_what_matters(loads: &mut RideLoads, cases: &[Case]) {
    let mut places: Vec<Option<usize>> = vec![None; cases.len()];
    let feet = loads.feet.iter();
    let of_feet = feet.flat_map(|foot| [foot.least_case, foot.greatest_case]);
    let factors = [&loads.overturning, &loads.sliding];
    let of_factors = factors.into_iter().flatten().map(|factor| factor.case);
    let worst: Vec<usize> = of_feet.chain(of_factors).collect();
    for (index, (case, place)) in cases.iter().zip(&mut places).enumerate() {
        let one_of_many = matches!(case.kind, CaseKind::Uneven | CaseKind::Boarding);
        if !one_of_many || worst.contains(&index) {
            *place = Some(loads.cases.len());
            loads.cases.push(case.told());
        }
    }
    let moved = |case: &mut usize| {
        *case = places.get(*case).copied().flatten().unwrap_or(0);
    };
    for foot in &mut loads.feet {
        moved(&mut foot.least_case);
        moved(&mut foot.greatest_case);
    }
    let factors = [&mut loads.overturning, &mut loads.sliding];
    for factor in factors.into_iter().flatten() {
        moved(&mut factor.case);
    }
}

#[cfg(test)]
mod tests;
