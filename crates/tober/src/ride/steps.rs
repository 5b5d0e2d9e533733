//! The steps in which one way to block a frame is told apart from another.

use serde::{Deserialize, Serialize};

/// The least tilt that a crew's level shows, degrees. Common practice, no published source.
pub const LEVEL_STEP_DEG: f64 = 0.05;

/// Heights of the frame that a crew does not tell apart, metres. Common practice, no published
/// source.
pub const HEIGHT_STEP: f64 = 0.02;

/// Turns of the crank, all jacks together, that a crew does not count. Common practice, no
/// published source.
pub const TURN_STEP: f64 = 1.0;

/// What a crew does not tell apart: so that nobody stacks five pieces to win a hair.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Steps {
    /// The least tilt that the crew's level shows, degrees; 0.05 when left out.
    pub level_deg: f64,
    /// Heights of the frame nearer than this are alike, metres; 0.02 when left out.
    pub height: f64,
    /// Turns under load, all jacks together, fewer than this are none; 1 when left out.
    pub turns: f64,
}

impl Default for Steps {
    fn default() -> Steps {
        Steps {
            level_deg: LEVEL_STEP_DEG,
            height: HEIGHT_STEP,
            turns: TURN_STEP,
        }
    }
}

impl Steps {
    /// How many whole steps so many turns are.
    pub(crate) fn of_turns(&self, turns: f64) -> i64 {
        // A billionth of a turn is arithmetic.
        (turns / self.turns + 1e-9).floor() as i64
    }

    pub(super) fn are_usual(&self) -> bool {
        *self == Steps::default()
    }
}
