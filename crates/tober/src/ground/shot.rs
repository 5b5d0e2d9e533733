//! Shots as the surface keeps them: one for each place, in its own frame, with its error.

use spade::{HasPosition, Point2};

use super::{Elevation, is_near, to_local};
use crate::Point;
use crate::site::SpotLevel;

/// Standard error of a shot that does not state its own, metres: a rod read to 5 mm on turf.
/// Common practice, no published source.
pub const DEFAULT_ERROR: f64 = 0.005;

/// No rod is set down and read more exactly, metres. It keeps a shot that claims to be exact
/// from outweighing every other at its place without limit.
const LEAST_ERROR: f64 = 1e-4;

/// A spot level in the surface's own frame.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shot {
    pub(super) at: Point2<f64>,
    pub(super) elevation: Elevation,
    /// Standard error, metres.
    pub(super) error: f64,
    /// The roughness of the ground about the shot, as a multiple of the survey's own.
    pub(super) rough: f64,
}

impl HasPosition for Shot {
    type Scalar = f64;
    fn position(&self) -> Point2<f64> {
        self.at
    }
}

impl Shot {
    pub(super) fn new(origin: Point, spot: &SpotLevel) -> Shot {
        let error = spot.error.filter(|error| error.is_finite());
        Shot {
            at: to_local(origin, Point::new(spot.x, spot.y)),
            elevation: spot.elevation,
            error: error.unwrap_or(DEFAULT_ERROR).max(LEAST_ERROR),
            rough: 1.0,
        }
    }
}

/// Whether a spot level can be a shot: every number finite, and none beyond any fairground.
pub(super) fn is_usable(spot: &SpotLevel) -> bool {
    is_near(spot.x) && is_near(spot.y) && is_near(spot.elevation.0)
}

/// One shot for each place, in an order that does not depend on the order of the file.
///
/// The same height twice is one shot listed twice (as where breaklines join), not two readings.
pub(super) fn merge(mut shots: Vec<Shot>) -> Vec<Shot> {
    shots.sort_by(|a, b| {
        (a.at.x.total_cmp(&b.at.x))
            .then(a.at.y.total_cmp(&b.at.y))
            .then(a.elevation.0.total_cmp(&b.elevation.0))
            .then(a.error.total_cmp(&b.error))
    });
    shots.dedup_by(|a, b| a.at == b.at && a.elevation == b.elevation);
    shots
        .chunk_by(|a, b| a.at == b.at)
        .filter_map(mean)
        .collect()
}

/// Several readings of one place: their mean, each weighed by what it claims to be worth.
///
/// Its error is what the readings claim, or what their spread shows where that is more (the
/// internal and the external error of R. T. Birge, *The Calculation of Errors by the Method of
/// Least Squares*, 1932).
fn mean(readings: &[Shot]) -> Option<Shot> {
    let first = *readings.first()?;
    if readings.len() == 1 {
        return Some(first);
    }
    // As shares of the first one's weight, so that equal readings weigh exactly one each.
    let weight = |shot: &Shot| (first.error / shot.error) * (first.error / shot.error);
    let weights: f64 = readings.iter().map(weight).sum();
    let above_first = |shot: &Shot| shot.elevation - first.elevation;
    let total: f64 = readings.iter().map(|it| weight(it) * above_first(it)).sum();
    let mean = total / weights;
    let squares: f64 = readings
        .iter()
        .map(|it| weight(it) * (above_first(it) - mean) * (above_first(it) - mean))
        .sum();
    let claimed = first.error / weights.sqrt();
    let shown = (squares / (weights * (readings.len() - 1) as f64)).sqrt();
    Some(Shot {
        elevation: first.elevation + mean,
        error: claimed.max(shown),
        ..first
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shot(elevation: f64, error: f64) -> Shot {
        Shot {
            at: Point2::new(0.0, 0.0),
            elevation: Elevation(elevation),
            error,
            rough: 1.0,
        }
    }

    #[test]
    fn readings_that_agree_share_their_error_and_those_that_do_not_show_it() {
        let both = merge(vec![shot(1.0, 0.01), shot(1.001, 0.01)]);
        assert!((both[0].error - 0.01 / 2f64.sqrt()).abs() < 1e-12);
        let listed_twice = merge(vec![shot(1.0, 0.01); 4]);
        assert_eq!((listed_twice.len(), listed_twice[0].error), (1, 0.01));
        // 0.1 m apart: ± 0.05 m about the mean, whatever the readings claim.
        let apart = mean(&[shot(1.0, 0.001), shot(1.1, 0.001)]).unwrap();
        assert!((apart.elevation.0 - 1.05).abs() < 1e-12);
        assert!((apart.error - 0.05).abs() < 1e-12);
    }

    #[test]
    fn a_better_reading_weighs_more() {
        // Weights 1 and 1/4: one fifth of the way from the better to the worse.
        let both = mean(&[shot(1.0, 0.01), shot(1.01, 0.02)]).unwrap();
        assert!((both.elevation.0 - 1.002).abs() < 1e-12);
    }

    #[test]
    fn a_shot_without_an_error_takes_the_default_and_no_shot_is_exact() {
        let error_of = |error| {
            let spot = SpotLevel {
                x: 0.0,
                y: 0.0,
                elevation: Elevation(1.0),
                error,
            };
            Shot::new(Point::origin(), &spot).error
        };
        assert_eq!(error_of(None), DEFAULT_ERROR);
        assert_eq!(error_of(Some(0.002)), 0.002);
        assert_eq!(error_of(Some(0.0)), LEAST_ERROR);
        assert_eq!(error_of(Some(f64::NAN)), DEFAULT_ERROR);
    }
}
