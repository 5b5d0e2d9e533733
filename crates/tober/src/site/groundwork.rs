//! Ground that was dug away or built up under a support, after it was surveyed.
//!
//! # Picture
//!
//! ```text
//!              ▀ foot                       ▀ foot
//!   ~~~~~~~~~~┐   ┌~~~~~~~        ~~~~~~~┌─────┐~~~~~~~
//!             └───┘ by < 0               │built│ by > 0
//!          ◄ radius ►                    └─────┘
//! ```
//!
//! It counts for supports that stand within it, over what was surveyed there. When the ground is
//! surveyed again, it is to be taken out of the file.

use serde::{Deserialize, Serialize};

use crate::Point;

/// A hole or a mound with a level top.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Groundwork {
    /// Its middle, metres east.
    pub x: f64,
    /// Its middle, metres north.
    pub y: f64,
    /// How far it reaches, metres.
    pub radius: f64,
    /// How far the ground is higher than surveyed, metres; below 0 where it is dug away.
    pub by: f64,
}

impl Groundwork {
    /// Its middle.
    pub fn at(&self) -> Point {
        Point::new(self.x, self.y)
    }

    /// How far all of it raises the ground at a place, metres.
    pub(crate) fn at_place(all: &[Groundwork], place: Point) -> f64 {
        all.iter()
            .filter(|work| (work.at() - place).norm() <= work.radius)
            .map(|work| work.by)
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_counts_within_its_radius_only() {
        let hole = Groundwork {
            x: 1.0,
            y: 2.0,
            radius: 0.5,
            by: -0.04,
        };
        let deeper = Groundwork { by: -0.01, ..hole };
        let all = [hole, deeper];
        assert_eq!(Groundwork::at_place(&all, Point::new(1.3, 2.4)), -0.05);
        assert_eq!(Groundwork::at_place(&all, Point::new(1.4, 2.4)), 0.0);
    }
}
