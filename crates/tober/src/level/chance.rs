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
use crate::ride::RideProfile;
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
    let errors = slope_errors(stand.profile, ground, carries);
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
    /// Even. Where one slope all but follows from the other, what is summed is nearly a step, and
    /// the sum is off by up to a part: two hundredths of all, sixteen errors wide.
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
        (
            shared,
            libm::sqrt((errors.across - shared * shared).max(0.0)),
        )
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
    profile: &RideProfile,
    ground: &GroundUnderRide,
    carries: impl Fn(SupportKind) -> bool,
) -> Option<SlopeErrors> {
    if ground.error_covariance.len() != ground.points.len() {
        return None;
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::RngExt;
    use proptest::test_runner::{RngAlgorithm, TestRng};

    use crate::fixtures::trailer;
    use crate::ground::{Elevation, Ground};
    use crate::level::GroundPoint;
    use crate::site::{Placement, SpotLevel};

    /// A number that is normal with variance 1 (Box and Muller 1958).
    fn normal(rng: &mut TestRng) -> f64 {
        let (u, v): (f64, f64) = (rng.random(), rng.random());
        let turn = std::f64::consts::TAU * v;
        libm::sqrt(-2.0 * libm::log(1.0 - u)) * libm::cos(turn)
    }

    fn rng() -> TestRng {
        TestRng::deterministic_rng(RngAlgorithm::ChaCha)
    }

    /// The rectangle against drawing pairs of slopes that go together by a known share.
    #[test]
    fn both_ways_together_are_out_as_often_as_drawn() {
        let mut rng = rng();
        for (share, along, across) in [(0.0, 0.2, -0.4), (0.7, 0.5, 0.1), (-0.95, 0.0, 0.9)] {
            let errors = SlopeErrors {
                along: 0.25,
                across: 0.64,
                both: share * 0.5 * 0.8,
            };
            const DRAWN: u32 = 200_000;
            let out = (0..DRAWN).filter(|_| {
                let (u, v) = (normal(&mut rng), normal(&mut rng));
                let left = libm::sqrt(1.0 - share * share);
                let drawn_along: f64 = along + 0.5 * u;
                let drawn_across: f64 = across + 0.8 * (share * u + left * v);
                drawn_along.abs() > 0.9 || drawn_across.abs() > 1.1
            });
            let drawn = f64::from(out.count() as u32) / f64::from(DRAWN);
            let told = out_either_way((along, 0.9), (across, 1.1), &errors);
            // Four standard errors of what is drawn.
            let room = 4.0 * libm::sqrt(told * (1.0 - told) / f64::from(DRAWN));
            assert!((told - drawn).abs() < room, "{share}: {told} {drawn}");
        }
    }

    /// The survey's own shots, each read anew with its error, the ground and the plane through
    /// the feet made anew. The roughness of the ground between them is told but not drawn: never
    /// is less told than drawn, and the same where the shots are off so far that the ground
    /// between counts for nothing beside them.
    #[test]
    fn shots_read_anew_leave_it_out_of_level_as_often_as_told() {
        let profile = trailer();
        let placement = Placement {
            x: 0.0,
            y: 0.0,
            heading: 0.0,
        };
        let wheels_and_jacks: Vec<Point> = {
            let jacks = profile.jacks.iter().map(|it| it.at);
            let outriggers = profile.outriggers.iter().map(|it| it.at);
            let wheels = profile.wheels.iter().map(|it| it.at);
            jacks.chain(outriggers).chain(wheels).collect()
        };
        let corners = [(-30.0, -30.0), (30.0, -31.0), (-31.0, 30.0), (32.0, 33.0)];
        let survey = |heights: [f64; 4], error: f64| {
            let shots = corners.iter().zip(heights);
            let shots = shots.map(|(&(x, y), height)| {
                let mut shot = SpotLevel::new(x, y, Elevation(height));
                shot.error = Some(error);
                shot
            });
            Ground::new(&shots.collect::<Vec<_>>())
        };
        let under = |survey: &Ground| -> Vec<(Point, f64)> {
            let feet = wheels_and_jacks.iter();
            let feet = feet.filter_map(|&at| {
                let lot = placement.to_lot(at);
                Some((at, survey.height(lot)?.0))
            });
            feet.collect()
        };
        let places: Vec<Point> = wheels_and_jacks
            .iter()
            .map(|&at| placement.to_lot(at))
            .collect();
        // As many are out of level each time, were it the shots alone.
        let told_and_drawn = [0.4, 4.0, 40.0].map(|error| {
            let most = 0.03 * error;
            let found = survey([10.0, 10.2, 10.1, 10.3], error);
            let lies = Attitude::fit(&under(&found));
            let points = places.iter().map(|&at| GroundPoint {
                id: String::new(),
                kind: SupportKind::Jack,
                at,
                elevation: found.height(at),
                below_high: None,
                surface: None,
                error: None,
            });
            let ground = GroundUnderRide {
                points: points.collect(),
                high_corner: None,
                fall_along: None,
                fall_across: None,
                error_covariance: found.error_covariances(&places).unwrap_or_default(),
            };
            let errors = slope_errors(&profile, &ground, |_| true).expect("all on the survey");
            let told = out_either_way((lies.along, most), (lies.across, most), &errors);
            let mut rng = rng();
            let out = (0..DRAWN).filter(|_| {
                let heights = [10.0, 10.2, 10.1, 10.3].map(|it| it + error * normal(&mut rng));
                let lies = Attitude::fit(&under(&survey(heights, error)));
                lies.along.abs() > most || lies.across.abs() > most
            });
            (told, f64::from(out.count() as u32) / f64::from(DRAWN))
        });
        const DRAWN: u32 = 20_000;
        // Four standard errors of what is drawn.
        let room = |told: f64| 4.0 * libm::sqrt(told * (1.0 - told) / f64::from(DRAWN));
        for (told, drawn) in told_and_drawn {
            assert!(told > 0.1 && told < 0.9, "{told}");
            assert!(drawn < told + room(told), "{told_and_drawn:?}");
        }
        let [.., (told, drawn)] = told_and_drawn;
        assert!((told - drawn).abs() < room(told), "{told_and_drawn:?}");
    }
}
