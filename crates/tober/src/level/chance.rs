//! How steep the frame is against what is allowed, and how likely it is out of tolerance.
//!
//! # Picture
//!
//! The frame lies as the plane through its feet, so its tilts are sums of the heights of the
//! ground under them, each with its own weight. Heights that are off by chance make the tilts
//! normal; their variances and how they go together come of the joint covariance of the heights,
//! since feet in one triangle share shots, and are too high or too low together:
//!
//! ```text
//!   cov(along, across) = Σ Σ (weight of i along) · (weight of j across) · cov(height i, height j)
//! ```
//!
//! Out of tolerance is what lies outside of a rectangle in the plane of the two tilts: all of it
//! beyond the limit along, and of each slope along that is within, what lies beyond the limit
//! across (Simpson's rule).

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
    let beyond = |margin: f64| above(margin, standard_error);
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
        out_probability: errors.map(|errors| {
            let along = (attitude.along, most_along.ratio());
            let across = (attitude.across, most_across.ratio());
            out_either_way(along, across, &errors)
        }),
    }
}

/// How likely a height that is as likely too high as too low is too high by more than `margin`.
pub(super) fn above(margin: f64, standard_error: f64) -> f64 {
    if standard_error <= 0.0 {
        // What just holds, to the last digit, holds.
        return if margin < -1e-9 { 1.0 } else { 0.0 };
    }
    0.5 * libm::erfc(margin / (standard_error * std::f64::consts::SQRT_2))
}

/// Variances of the slopes along and across, and their covariance.
struct SlopeErrors {
    along: f64,
    across: f64,
    both: f64,
}

/// How likely a slope along or one across, each `(found, most)`, is out of its limits.
fn out_either_way(along: (f64, f64), across: (f64, f64), errors: &SlopeErrors) -> f64 {
    /// Even. So fine that the sum is right to a millionth, however much the two go together.
    const PARTS: u32 = 400;
    /// Slopes that are farther off, in standard errors, do not occur.
    const FARTHEST: f64 = 8.0;
    let error_along = libm::sqrt(errors.along);
    if error_along <= 0.0 {
        let out_across = out_of_level(across.0, libm::sqrt(errors.across), across.1);
        return out_of_level(along.0, 0.0, along.1).max(out_across);
    }
    let (per_error, left) = {
        let shared = errors.both / error_along;
        (shared, libm::sqrt((errors.across - shared * shared).max(0.0)))
    };
    let in_errors = |slope: f64| ((slope - along.0) / error_along).clamp(-FARTHEST, FARTHEST);
    let (from, to) = (in_errors(-along.1), in_errors(along.1));
    let part = (to - from) / f64::from(PARTS);
    let within_along: f64 = (0..=PARTS)
        .map(|index| {
            let weight = match index {
                0 | PARTS => 1.0,
                _ if index % 2 == 1 => 4.0,
                _ => 2.0,
            };
            let at = from + f64::from(index) * part;
            let density = libm::exp(-at * at / 2.0) / libm::sqrt(std::f64::consts::TAU);
            weight * density * out_of_level(across.0 + per_error * at, left, across.1)
        })
        .sum();
    (out_of_level(along.0, error_along, along.1) + within_along * part / 3.0).min(1.0)
}

/// `None` when the error of any height is not known.
fn slope_errors(
    stand: &Stand,
    ground: &GroundUnderRide,
    carries: impl Fn(SupportKind) -> bool,
) -> Option<SlopeErrors> {
    if ground.error_covariance.len() != ground.points.len() {
        return None;
    }
    let profile = stand.profile;
    let jacks = profile.jacks.iter().map(|it| it.at);
    let outriggers = profile.outriggers.iter().map(|it| it.at);
    let wheels = profile.wheels.iter().map(|it| it.at);
    let (places, points): (Vec<Point>, Vec<usize>) = jacks
        .chain(outriggers)
        .chain(wheels)
        .zip(ground.points.iter().enumerate())
        .filter(|(_, (_, point))| carries(point.kind))
        .map(|(at, (index, _))| (at, index))
        .unzip();
    let answers = Attitude::answers(&places);
    let mut errors = SlopeErrors {
        along: 0.0,
        across: 0.0,
        both: 0.0,
    };
    for (one, &point) in answers.iter().zip(&points) {
        for (other, &other_point) in answers.iter().zip(&points) {
            let together = ground.covariance(point, other_point);
            errors.along += one.along * other.along * together;
            errors.across += one.across * other.across * together;
            errors.both += one.along * other.across * together;
        }
    }
    // Nothing but rounding can bring a variance below nothing.
    errors.along = errors.along.max(0.0);
    errors.across = errors.across.max(0.0);
    Some(errors)
}
