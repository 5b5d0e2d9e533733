//! How steep a frame may come to lie when its feet sink, each by something in its own range.
//!
//! The frame lies as the plane through its feet, so its slopes are sums of their heights, each
//! with its own weight: the steepest comes of every foot at the end of its range that makes it
//! steeper.

use super::attitude::Attitude;
use crate::Point;

/// The least and the greatest rise towards the tongue, and the same to the left, metres in a
/// metre, when the feet sink by something in their ranges of metres.
pub(crate) fn slopes_of_sinking(
    places: &[Point],
    sinks: &[(f64, f64)],
) -> ((f64, f64), (f64, f64)) {
    let answers = Attitude::answers(places);
    let range = |of: fn(&Attitude) -> f64| {
        let each = answers.iter().zip(sinks).map(|(answer, &(least, most))| {
            let (one, other) = (-of(answer) * least, -of(answer) * most);
            (one.min(other), one.max(other))
        });
        each.fold((0.0, 0.0), |sum, it| (sum.0 + it.0, sum.1 + it.1))
    };
    (range(|it| it.along), range(|it| it.across))
}
