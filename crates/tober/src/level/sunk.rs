//! How the frame will lie once the ground has settled under what its feet carry.
//!
//! # Picture
//!
//! ```text
//!   now          ══════════════      after the most that the ground may sink
//!               █              █                ══════════════
//!   ~~~~~~~~~~~~█~~~~~~~~~~~~~~█~~~~      ~~~~~~█~~~~~~~~~~~~~~█~~~~
//!                                        firm   ▒              ▒ soft: sinks farther
//! ```
//!
//! The frame lies as the plane through its feet, so that its slopes after settling are those of
//! now less those of what each foot sinks. Nothing sinks at once: the ride passes through all from
//! level now to as far as it may sink, and is held to its tolerance over the whole of it. Where
//! that leaves less, feet on soft ground are set higher from the start: see [`crate::loads`].
//!
//! # Source
//!
//! Sinking is load over area over the modulus of subgrade reaction (Winkler), a range as the
//! modulus is.

use serde::{Deserialize, Serialize};

use super::attitude::Attitude;
use super::{Lean, LevelPlan};
use crate::Point;
use crate::assess::Verdict;
use crate::ride::RideProfile;
use crate::units::LengthStyle;

/// How the frame lies once the ground has settled.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Settled {
    /// How far each foot that carries at work may sink, in the order of the profile.
    pub feet: Vec<FootSinks>,
    /// After every foot has sunk as little as it may.
    pub least: Lean,
    /// After every foot has sunk as far as it may.
    pub most: Lean,
    /// Where feet are set higher than level asks for now, so that the frame lies better after it
    /// has settled: the steepest that it would come to lie, along or across, without, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub otherwise_deg: Option<f64>,
    /// Pass when the frame is within tolerance after either.
    pub verdict: Verdict,
}

/// How far one foot may sink.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FootSinks {
    /// The support's id.
    pub id: String,
    /// At least, metres.
    pub least: f64,
    /// At most, metres.
    pub most: f64,
}

impl LevelPlan {
    /// Whether it can be built up: nothing is short, at no stage.
    pub(crate) fn stands(&self) -> bool {
        let stages = self.stages.iter();
        let stages = stages.fold(Verdict::Pass, |all, stage| all.and(stage.verdict));
        self.datum.is_some() && self.shortfalls.is_empty() && stages == Verdict::Pass
    }

    /// Tells how the frame lies after its feet have sunk, and judges the plan by it too.
    pub(crate) fn sink(&mut self, profile: &RideProfile, feet: Vec<FootSinks>) {
        let places: Vec<Point> = if profile.outriggers.is_empty() {
            profile.jacks.iter().map(|jack| jack.at).collect()
        } else {
            profile.outriggers.iter().map(|foot| foot.at).collect()
        };
        let answers = Attitude::answers(&places);
        let after = |sinks: fn(&FootSinks) -> f64| -> Option<Lean> {
            let slope = |degrees: Option<f64>| degrees.map(|it| libm::tan(it.to_radians()));
            let mut lies = Attitude::level(0.0);
            lies.along = slope(self.tilt_along_deg)?;
            lies.across = slope(self.tilt_across_deg)?;
            for (answer, foot) in answers.iter().zip(&feet) {
                lies.along -= answer.along * sinks(foot);
                lies.across -= answer.across * sinks(foot);
            }
            let levelling = &profile.levelling;
            let within = lies.along.abs() <= levelling.along().ratio() + 1e-12
                && lies.across.abs() <= levelling.across().ratio() + 1e-12;
            Some(Lean {
                verdict: if within { Verdict::Pass } else { Verdict::Fail },
                along_deg: Some(lies.along_deg()),
                across_deg: Some(lies.across_deg()),
                out_probability: None,
            })
        };
        let (Some(least), Some(most)) = (after(|it| it.least), after(|it| it.most)) else {
            return;
        };
        let verdict = least.verdict.and(most.verdict);
        self.verdict = self.verdict.and(verdict);
        self.settled = Some(Settled {
            feet,
            least,
            most,
            otherwise_deg: None,
            verdict,
        });
    }

    /// The steepest that the frame lies now or after it has settled, as a share of what is allowed
    /// along or across. Infinite where that is not known.
    pub(crate) fn steepest_share(&self) -> f64 {
        let share = |tilt: Option<f64>, allowed: f64| {
            tilt.map_or(f64::INFINITY, |tilt| tilt.abs() / allowed.max(1e-9))
        };
        let of = |along: Option<f64>, across: Option<f64>| {
            let along = share(along, self.tolerance_along_deg);
            along.max(share(across, self.tolerance_across_deg))
        };
        let settled = self.settled.iter().flat_map(|it| [&it.least, &it.most]);
        settled
            .map(|lean| of(lean.along_deg, lean.across_deg))
            .fold(of(self.tilt_along_deg, self.tilt_across_deg), f64::max)
    }

    /// The farthest that the frame turns from now to as far as it may sink, as a share of what is
    /// allowed along or across.
    pub(crate) fn turns_by_share(&self) -> f64 {
        let by = |from: Option<f64>, to: Option<f64>, allowed: f64| {
            let by = from.zip(to).map_or(0.0, |(from, to)| (to - from).abs());
            by / allowed.max(1e-9)
        };
        let settled = self.settled.iter().flat_map(|it| [&it.least, &it.most]);
        settled
            .map(|lean| {
                let along = by(
                    self.tilt_along_deg,
                    lean.along_deg,
                    self.tolerance_along_deg,
                );
                let across = (self.tilt_across_deg, lean.across_deg);
                along.max(by(across.0, across.1, self.tolerance_across_deg))
            })
            .fold(0.0, f64::max)
    }

    /// The steepest that the frame lies now or after it has settled, along or across, degrees.
    pub fn steepest_deg(&self) -> Option<f64> {
        let settled = self.settled.iter().flat_map(|it| [&it.least, &it.most]);
        let now = [self.tilt_along_deg, self.tilt_across_deg];
        let after = settled.flat_map(|lean| [lean.along_deg, lean.across_deg]);
        let all: Option<Vec<f64>> = now.into_iter().chain(after).collect();
        all?.into_iter().map(f64::abs).reduce(f64::max)
    }
}

impl Settled {
    /// In plain words: how far it may sink, how it lies then, and whether the blocks allow for it.
    pub fn in_words(&self, units: LengthStyle) -> String {
        let least = self.feet.iter().map(|it| it.least);
        let most = self.feet.iter().map(|it| it.most);
        let lies = |lean: &Lean| {
            let degrees = |it: Option<f64>| degrees_up(it.unwrap_or(0.0));
            format!(
                "{} along and {} across",
                degrees(lean.along_deg),
                degrees(lean.across_deg)
            )
        };
        let verdict = if self.verdict == Verdict::Pass {
            "within tolerance"
        } else {
            "out of tolerance"
        };
        let mut words = format!(
            "After the ground has settled, by {} to {} under a foot, it lies at {} at the least \
             and {} at the most: {verdict}.",
            units.format_down(least.fold(f64::INFINITY, f64::min)),
            units.format_up(most.fold(0.0, f64::max)),
            lies(&self.least),
            lies(&self.most),
        );
        if let Some(otherwise) = self.otherwise_deg {
            words += &format!(
                " The feet that sink farthest are set higher for that: blocked for now alone, it \
                 would come to lie at {}.",
                degrees_up(otherwise)
            );
        }
        words
    }
}

/// Degrees of tilt, rounded up: never leveller than it may come to lie.
fn degrees_up(degrees: f64) -> String {
    format!(
        "{:.2}°",
        (degrees.abs() * 100.0 - 1e-6).ceil().abs() / 100.0
    )
}
