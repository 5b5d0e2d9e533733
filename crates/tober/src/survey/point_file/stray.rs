//! Elevations that lie far from all the others of a point file: a slipped decimal, a point that
//! was never levelled and stands at zero.
//!
//! ```text
//!   101.2  101.3  101.1  1013.34  101.4      the middle of all is 101.3; the middle half of them
//!                        ───────             lies within 0.2 m; 1013.34 is 912 m above it
//! ```
//!
//! Places in plan likewise: one whose northing and easting changed places lies half a country away.
//!
//! The middle and the middle half are taken, and not the mean and the standard deviation: one
//! wrong elevation among ten moves these so far that it hides itself (J. W. Tukey, *Exploratory
//! Data Analysis*, 1977, whose fences are at 1.5 middle halves; here they are further out, since
//! fairgrounds have banks and ditches that are no mistakes; from memory).

use serde::Serialize;

use super::FilePoint;
use crate::Point;
use crate::units::LengthStyle;

/// An elevation that lies far from all the others. It is kept: perhaps there is a cliff.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Stray {
    /// The line of the point.
    pub line: usize,
    /// Its elevation, metres.
    pub elevation: f64,
    /// How far it lies above the middle of all, metres; negative below.
    pub above: f64,
}

impl Stray {
    /// What to look at, in words.
    pub fn in_words(&self, units: LengthStyle) -> String {
        format!(
            "line {}: the elevation {} is {} {} the middle of all; has a decimal slipped?",
            self.line,
            units.format(self.elevation),
            units.format(self.above.abs()),
            if self.above > 0.0 { "above" } else { "below" }
        )
    }
}

/// Fences stand this many widths of the middle half from the middle. Common practice, no published
/// source.
const WIDTHS: f64 = 10.0;

/// Nothing within this of the middle is far, metres: more than the slopes of any fairground's
/// banks, less than a decimal slipped in any elevation of more than about ten metres. Common
/// practice, no published source.
const NEAR: f64 = 10.0;

/// Fewer elevations than these have no middle half.
const FEWEST: usize = 5;

/// Every elevation that lies far from all the others, in the order of the lines.
pub(super) fn strays(points: &[FilePoint]) -> Vec<Stray> {
    let heights = || points.iter().filter_map(|point| Some(point.elevation?.0));
    let mut sorted: Vec<f64> = heights().collect();
    sorted.sort_by(f64::total_cmp);
    let count = sorted.len();
    let at = |place: usize| sorted.get(place).copied();
    let (Some(low), Some(middle), Some(high)) = (at(count / 4), at(count / 2), at(3 * count / 4))
    else {
        return Vec::new();
    };
    if count < FEWEST {
        return Vec::new();
    }
    let far = NEAR.max(WIDTHS * (high - low));
    (points.iter())
        .filter_map(|point| {
            let elevation = point.elevation?.0;
            let above = elevation - middle;
            (above.abs() > far).then_some(Stray {
                line: point.line,
                elevation,
                above,
            })
        })
        .collect()
}

/// A place that lies far from all the others. It is kept: nothing tells whether it is wrong.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct FarPlace {
    /// The line of the point.
    pub line: usize,
    /// How far it lies from the middle of all, metres.
    pub away: f64,
    /// Whether it would lie among the others with northing and easting exchanged.
    pub is_turned: bool,
}

impl FarPlace {
    /// What to look at, in words.
    pub fn in_words(&self, units: LengthStyle) -> String {
        format!(
            "line {}: the point lies {} from the middle of all; {}",
            self.line,
            units.format(self.away),
            if self.is_turned {
                "northing and easting seem to have changed places in it"
            } else {
                "has a digit slipped?"
            }
        )
    }
}

/// No fairground is wider, metres: what lies further from the middle of all is far, unless most
/// points do. Common practice, no published source.
const WIDE: f64 = 2_000.0;

/// Every place that lies far from all the others, in the order of the lines.
pub(super) fn far_places(points: &[FilePoint]) -> Vec<FarPlace> {
    // The lower of two in the middle: of four points two may be wrong, and one surely.
    let middle = |mut numbers: Vec<f64>| {
        if numbers.is_empty() {
            return None;
        }
        let half = (numbers.len() - 1) / 2;
        let (_, middle, _) = numbers.select_nth_unstable_by(half, f64::total_cmp);
        Some(*middle)
    };
    let along = |along: fn(&FilePoint) -> f64| middle(points.iter().map(along).collect());
    let (Some(x), Some(y)) = (along(|it| it.at.x), along(|it| it.at.y)) else {
        return Vec::new();
    };
    let away = |at: Point| (at - Point::new(x, y)).norm();
    let usual = middle(points.iter().map(|point| away(point.at)).collect());
    let far = WIDE.max(WIDTHS * usual.unwrap_or(0.0));
    (points.iter())
        .filter(|_| points.len() > 2)
        .filter_map(|point| {
            let distance = away(point.at);
            (distance > far).then(|| FarPlace {
                line: point.line,
                away: distance,
                is_turned: away(Point::new(point.at.y, point.at.x)) <= far,
            })
        })
        .collect()
}
