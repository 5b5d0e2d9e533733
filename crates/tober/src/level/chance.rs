//! How steep the frame is against what is allowed, and how likely it is out of tolerance.
//!
//! # Picture
//!
//! The frame lies as the plane through its feet, so its tilts are sums of the heights of the
//! ground under them, each with its own weight. Heights that are off by chance, each for itself,
//! make the tilts normal: the variance is the sum of the weights squared times the variances.
//! What comes out beyond the tolerance either way is the probability of being out.
//!
//! Along and across may be off together, in a way that depends on where the shots were taken;
//! the two probabilities are added, which is never too little.

use serde::{Deserialize, Serialize};

use super::attitude::Attitude;
use super::stand::Stand;
use super::{GroundUnderRide, SupportKind};
use crate::Point;
use crate::assess::Verdict;
use crate::units::Slope;

/// How steep a frame is against what is allowed at work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Lean {
    /// Pass when both tilts are within tolerance.
    pub verdict: Verdict,
    /// Tilt along, degrees: positive when the tongue end is high.
    pub along_deg: Option<f64>,
    /// Tilt across, degrees: positive when the left side is high.
    pub across_deg: Option<f64>,
    /// How likely either is out of tolerance, for the survey's own errors; absent when those are
    /// not known.
    pub out_probability: Option<f64>,
}

impl Default for Lean {
    fn default() -> Lean {
        Lean {
            verdict: Verdict::Unknown,
            along_deg: None,
            across_deg: None,
            out_probability: None,
        }
    }
}

/// How likely a slope is beyond `most` either way, when it is `found` with a standard error.
///
/// Slopes in metres in a metre, or all three in degrees.
///
/// ```
/// use tober::level::out_of_level;
/// // At the limit, half of it is beyond.
/// assert!((out_of_level(1.0, 0.01, 1.0) - 0.5).abs() < 1e-9);
/// // The normal distribution leaves 5 % beyond 1.96 standard errors (a published table; memory).
/// assert!((out_of_level(0.0, 1.0, 1.959_964) - 0.05).abs() < 1e-6);
/// ```
pub fn out_of_level(found: f64, standard_error: f64, most: f64) -> f64 {
    if standard_error <= 0.0 {
        return if found.abs() > most { 1.0 } else { 0.0 };
    }
    let beyond =
        |margin: f64| 0.5 * libm::erfc(margin / (standard_error * std::f64::consts::SQRT_2));
    (beyond(most - found) + beyond(most + found)).min(1.0)
}

/// Parked: as steep as the ground under wheels and jacks.
pub(super) fn before(stand: &Stand, ground: &GroundUnderRide) -> Lean {
    let Some(parked) = stand.parked else {
        return Lean::default();
    };
    lean(stand, ground, &parked, |kind| {
        kind != SupportKind::Outrigger
    })
}

/// At work: as level as blocks or turns leave it, on ground that is as high as it was surveyed.
pub(super) fn after(stand: &Stand, ground: &GroundUnderRide, attitude: &Attitude) -> Lean {
    let carries = if stand.feet.is_empty() {
        SupportKind::Jack
    } else {
        SupportKind::Outrigger
    };
    lean(stand, ground, attitude, |kind| kind == carries)
}

fn lean(
    stand: &Stand,
    ground: &GroundUnderRide,
    attitude: &Attitude,
    carries: impl Fn(SupportKind) -> bool,
) -> Lean {
    let levelling = &stand.profile.levelling;
    let (most_along, most_across) = (levelling.along(), levelling.across());
    let within = |slope: f64, most: Slope| slope.abs() <= most.ratio() + 1e-12;
    let level = within(attitude.along, most_along) && within(attitude.across, most_across);
    let errors = slope_errors(stand, ground, carries);
    Lean {
        verdict: if level { Verdict::Pass } else { Verdict::Fail },
        along_deg: Some(attitude.along_deg()),
        across_deg: Some(attitude.across_deg()),
        out_probability: errors.map(|(along, across)| {
            let out_along = out_of_level(attitude.along, along, most_along.ratio());
            let out_across = out_of_level(attitude.across, across, most_across.ratio());
            (out_along + out_across).min(1.0)
        }),
    }
}

/// Standard errors of the slopes along and across; `None` when that of any height is not known.
fn slope_errors(
    stand: &Stand,
    ground: &GroundUnderRide,
    carries: impl Fn(SupportKind) -> bool,
) -> Option<(f64, f64)> {
    let profile = stand.profile;
    let jacks = profile.jacks.iter().map(|it| it.at);
    let outriggers = profile.outriggers.iter().map(|it| it.at);
    let wheels = profile.wheels.iter().map(|it| it.at);
    let (places, errors): (Vec<Point>, Vec<Option<f64>>) = jacks
        .chain(outriggers)
        .chain(wheels)
        .zip(&ground.points)
        .filter(|(_, point)| carries(point.kind))
        .map(|(at, point)| (at, point.error))
        .unzip();
    let errors: Vec<f64> = errors.into_iter().collect::<Option<_>>()?;
    let answers = Attitude::answers(&places);
    let error = |of: fn(&Attitude) -> f64| {
        let squares = answers.iter().zip(&errors).map(|(answer, error)| {
            let share = of(answer) * error;
            share * share
        });
        libm::sqrt(squares.sum())
    };
    Some((error(|it| it.along), error(|it| it.across)))
}
