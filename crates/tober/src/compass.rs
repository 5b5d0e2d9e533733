//! The points of the compass, in words.

use serde::Serialize;

use crate::Step;

/// One of eight points of the compass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(into = "&'static str")]
pub struct Wind(usize);

impl Wind {
    const NAMES: [&'static str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];

    /// All of them, clockwise from north.
    pub fn all() -> impl Iterator<Item = Wind> {
        (0..Wind::NAMES.len()).map(Wind)
    }

    /// The nearest to a bearing, degrees clockwise from north; north where that is no number.
    pub fn nearest(bearing_deg: f64) -> Wind {
        let eighth = (bearing_deg.rem_euclid(360.0) / 45.0).round() as usize;
        Wind(eighth % Wind::NAMES.len())
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        Wind::NAMES.get(self.0).copied().unwrap_or("north")
    }

    /// A step of 1 m that way, lot frame.
    pub fn step(self) -> Step {
        let (east, north) = libm::sincos(core::f64::consts::FRAC_PI_4 * self.0 as f64);
        Step::new(east, north)
    }
}

impl From<Wind> for &'static str {
    fn from(wind: Wind) -> &'static str {
        wind.words()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_have_names() {
        for (bearing, name) in [(0.0, "north"), (22.6, "north-east"), (-90.0, "west")] {
            assert_eq!(Wind::nearest(bearing).words(), name);
        }
        assert_eq!(Wind::nearest(359.0).words(), "north");
        assert_eq!(Wind::nearest(f64::NAN).words(), "north");
        for wind in Wind::all() {
            let step = wind.step();
            let bearing = libm::atan2(step.x, step.y).to_degrees();
            assert_eq!(Wind::nearest(bearing), wind);
            assert!((step.norm() - 1.0).abs() < 1e-12);
        }
    }
}
