//! Settling: what moved between rounds of readings, which foot sinks, how fast, and when the
//! tolerance is reached if it goes on.
//!
//! # Picture
//!
//! Each round gives the tilts along and across; a straight line through each against time, by
//! least squares, gives a rate with its standard error:
//!
//! ```text
//!   rate = Σ (t − t̄)(y − ȳ) / Σ (t − t̄)²      s² = Σ residual² / (n − 2) / Σ (t − t̄)²
//! ```
//!
//! A level shows tilts in steps, so that the standard error is never taken to be less than such
//! steps make it. Two rounds have nothing that checks them: they give a movement and no forecast.
//! Nor is there one when the rate may well be none at all.
//!
//! Levels say nothing of how high the frame stands: a foot's sinking is told against the foot
//! that held best.
//!
//! # Source
//!
//! Simple linear regression; two-sided 95 % points of Student's t (a published table; memory).

use serde::{Deserialize, Serialize};

use super::as_built::{LevelRound, slopes};
use crate::Point;
use crate::ride::RideProfile;

/// What several rounds of readings tell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Settling {
    /// Rounds that tell both tilts.
    pub rounds: usize,
    /// From the first of them to the last, hours.
    pub hours: f64,
    /// How far every foot sank from the first to the last, against the foot that held best,
    /// metres; in the order of the profile.
    pub sunk: Vec<(String, f64)>,
    /// The foot that sank most; absent when no level shows it.
    pub sinking: Option<String>,
    /// How fast that foot sinks, metres an hour; absent when none does.
    pub sinking_per_hour: Option<f64>,
    /// When a tilt reaches its tolerance; absent when nothing can be said.
    pub forecast: Option<Forecast>,
}

/// When a tilt reaches its tolerance, if it goes on, in hours after the last round: between the
/// earliest and the latest nineteen times in twenty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Forecast {
    /// Whether it is the tilt along the frame; else across.
    pub along: bool,
    /// Earliest.
    pub earliest_hours: f64,
    /// Likeliest.
    pub likely_hours: f64,
    /// Latest.
    pub latest_hours: f64,
}

const SECONDS_PER_HOUR: f64 = 3600.0;

/// What the rounds of one ride tell, in any order; those of other rides are left out. `None`
/// with fewer than two that tell both tilts.
pub fn settling(profile: &RideProfile, ride: &str, rounds: &[LevelRound]) -> Option<Settling> {
    let mut told: Vec<(i64, (f64, f64))> = rounds
        .iter()
        .filter(|round| round.ride == ride)
        .filter_map(|round| Some((round.unix_seconds, slopes(profile, &round.readings)?)))
        .collect();
    told.sort_by_key(|(seconds, _)| *seconds);
    let (&(start, first), &(end, last)) = (told.first()?, told.last()?);
    if end <= start {
        return None;
    }
    let hours = |seconds: i64| seconds.saturating_sub(start) as f64 / SECONDS_PER_HOUR;
    let feet = feet(profile);
    let rise = |at: Point| (last.0 - first.0) * at.x + (last.1 - first.1) * at.y;
    let best = feet
        .iter()
        .map(|&(_, at)| rise(at))
        .fold(f64::NEG_INFINITY, f64::max);
    let sunk: Vec<(String, f64)> = feet
        .iter()
        .map(|&(id, at)| (id.to_owned(), best - rise(at)))
        .collect();
    let step_deg = profile.levelling.steps.level_deg;
    let moved = (last.0 - first.0).abs().max((last.1 - first.1).abs());
    let shown = libm::atan(moved).to_degrees() >= step_deg;
    let most = sunk.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let most = most.filter(|_| shown);
    let line = |of: fn(&(f64, f64)) -> f64| {
        let points: Vec<(f64, f64)> = told
            .iter()
            .map(|(seconds, slopes)| (hours(*seconds), of(slopes)))
            .collect();
        Line::fit(&points, step_deg)
    };
    let along = forecast(true, line(|it| it.0), profile.levelling.along().ratio());
    let across = forecast(false, line(|it| it.1), profile.levelling.across().ratio());
    Some(Settling {
        rounds: told.len(),
        hours: hours(end),
        sinking: most.map(|(id, _)| id.clone()),
        sinking_per_hour: most.map(|(_, by)| by / hours(end)),
        sunk,
        forecast: along
            .into_iter()
            .chain(across)
            .min_by(|a, b| a.likely_hours.total_cmp(&b.likely_hours)),
    })
}

/// The feet that carry at work.
fn feet(profile: &RideProfile) -> Vec<(&str, Point)> {
    if profile.outriggers.is_empty() {
        let jacks = profile.jacks.iter();
        jacks.map(|it| (it.id.as_str(), it.at)).collect()
    } else {
        let outriggers = profile.outriggers.iter();
        outriggers.map(|it| (it.id.as_str(), it.at)).collect()
    }
}

/// A straight line through points of time and slope.
struct Line {
    /// At the last point.
    now: f64,
    /// For each hour.
    rate: f64,
    /// How far off the rate may be, nineteen times in twenty.
    rate_off: f64,
}

impl Line {
    /// `None` with fewer than three points, or all at one time.
    fn fit(points: &[(f64, f64)], step_deg: f64) -> Option<Line> {
        let count = points.len() as f64;
        let freedom = points.len().checked_sub(2).filter(|it| *it > 0)?;
        let mean = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / count;
        let (time, slope) = (mean(|it| it.0), mean(|it| it.1));
        let squares: f64 = points.iter().map(|it| (it.0 - time) * (it.0 - time)).sum();
        if squares <= 0.0 {
            return None;
        }
        let products: f64 = points.iter().map(|it| (it.0 - time) * (it.1 - slope)).sum();
        let rate = products / squares;
        let at = |hours: f64| slope + rate * (hours - time);
        let residuals: f64 = points
            .iter()
            .map(|it| (it.1 - at(it.0)) * (it.1 - at(it.0)))
            .sum();
        // A step of the level, spread evenly over what it may stand for.
        let step = libm::tan(step_deg.to_radians());
        let variance = (residuals / freedom as f64).max(step * step / 12.0);
        Some(Line {
            now: at(points.last()?.0),
            rate,
            rate_off: student(freedom) * libm::sqrt(variance / squares),
        })
    }
}

fn forecast(along: bool, line: Option<Line>, tolerance: f64) -> Option<Forecast> {
    let line = line?;
    let (speed, off) = (line.rate.abs(), line.rate_off);
    if speed <= off {
        return None;
    }
    let to_go = (tolerance - line.now * line.rate.signum()).max(0.0);
    Some(Forecast {
        along,
        earliest_hours: to_go / (speed + off),
        likely_hours: to_go / speed,
        latest_hours: to_go / (speed - off),
    })
}

/// Two-sided 95 % points of Student's t for so many degrees of freedom.
fn student(freedom: usize) -> f64 {
    const POINTS: [f64; 10] = [
        12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    ];
    // Beyond ten, the value for ten is a little too cautious.
    let last = POINTS.len() - 1;
    POINTS
        .get(freedom.saturating_sub(1).min(last))
        .copied()
        .unwrap_or(f64::INFINITY)
}

#[cfg(test)]
mod tests {
    use super::super::as_built::{Mark, Reading};
    use super::*;
    use crate::fixtures::trailer;
    use crate::units::Slope;

    fn round(hours: f64, along_deg: f64, across_deg: f64) -> LevelRound {
        let at = |mark| Reading {
            station: "hub".to_owned(),
            mark,
        };
        LevelRound {
            ride: "ride".to_owned(),
            unix_seconds: 1_700_000_000 + (hours * SECONDS_PER_HOUR) as i64,
            readings: vec![
                at(Mark::Along(Slope::Deg(along_deg))),
                at(Mark::Across(Slope::Deg(across_deg))),
            ],
        }
    }

    /// The back right sinks: 0.05° an hour across to the right. From 0.2° at the fourth hour to
    /// the 0.5° allowed is 6 hours.
    #[test]
    fn a_steady_sinking_is_foretold() {
        let profile = trailer();
        let rounds: Vec<LevelRound> = (0..5)
            .map(f64::from)
            .map(|hour| round(hour, 0.02 * hour, 0.05 * hour))
            .collect();
        let told = settling(&profile, "ride", &rounds).unwrap();
        assert_eq!((told.rounds, told.hours), (5, 4.0));
        assert_eq!(told.sinking.as_deref(), Some("OBR"));
        let forecast = told.forecast.unwrap();
        assert!(!forecast.along);
        assert!((forecast.likely_hours - 6.0).abs() < 0.01, "{forecast:?}");
        assert!(forecast.earliest_hours < 6.0 && forecast.latest_hours > 6.0);
        // Another ride's rounds say nothing.
        assert_eq!(settling(&profile, "other", &rounds), None);
    }

    #[test]
    fn two_rounds_tell_a_movement_and_no_forecast() {
        let profile = trailer();
        let rounds = [round(0.0, 0.0, 0.0), round(2.0, 0.0, 0.3)];
        let told = settling(&profile, "ride", &rounds).unwrap();
        assert!(told.sinking.is_some() && told.forecast.is_none());
        // 3 m · tan 0.3° in two hours.
        assert!((told.sinking_per_hour.unwrap() - 0.00785).abs() < 1e-4);
        // Less than a level shows.
        let still = [round(0.0, 0.0, 0.0), round(2.0, 0.0, 0.04)];
        let told = settling(&profile, "ride", &still).unwrap();
        assert!(told.sinking.is_none() && told.forecast.is_none());
    }

    #[test]
    fn noise_gives_no_forecast() {
        let profile = trailer();
        let tilts = [0.1, -0.05, 0.15, 0.0, 0.1];
        let rounds: Vec<LevelRound> = tilts
            .iter()
            .zip(0..)
            .map(|(&tilt, hour)| round(f64::from(hour), 0.0, tilt))
            .collect();
        assert_eq!(settling(&profile, "ride", &rounds).unwrap().forecast, None);
    }

    /// `y = 2 + 0.5 x` off by ±0.1 in turn at 1, 2, 3, 4. By hand: slope 0.5 − 0.04, residuals
    /// ±0.04 and ±0.12, their squares 0.032 together.
    #[test]
    fn a_line_by_hand() {
        let points = [(1.0, 2.6), (2.0, 2.9), (3.0, 3.6), (4.0, 3.9)];
        let line = Line::fit(&points, 0.05).unwrap();
        assert!((line.rate - 0.46).abs() < 1e-12);
        assert!((line.now - (3.25 + 0.46 * 1.5)).abs() < 1e-12);
        let error = libm::sqrt(0.032 / 2.0 / 5.0);
        assert!((line.rate_off - 4.303 * error).abs() < 1e-9);
    }
}
