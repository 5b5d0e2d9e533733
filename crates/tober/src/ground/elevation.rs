//! Heights, and the differences between them.

use serde::{Deserialize, Serialize};

/// A height above the site's benchmark level, metres.
///
/// Two elevations differ by an offset (`f64`, metres); they do not add.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Elevation(pub f64);

impl std::ops::Sub for Elevation {
    type Output = f64;
    fn sub(self, other: Elevation) -> f64 {
        self.0 - other.0
    }
}

impl std::ops::Add<f64> for Elevation {
    type Output = Elevation;
    fn add(self, offset: f64) -> Elevation {
        Elevation(self.0 + offset)
    }
}

impl std::ops::Sub<f64> for Elevation {
    type Output = Elevation;
    fn sub(self, offset: f64) -> Elevation {
        Elevation(self.0 - offset)
    }
}
