//! Survey reductions: from readings to heights, and from heights to the plane that fits them.
//!
//! [`LevelRun`] turns rod readings into elevations by the height of instrument. [`fit_plane`]
//! finds the plane nearest to a handful of heights, and [`least_squares`] does the sums under it
//! for any linear problem.

mod least_squares;
mod level_run;
mod net;
mod plane;

pub use least_squares::{Fit, Spread, least_squares};
pub use level_run::{LevelRun, ReducedSetup, Reduction, Setup, third_order_allowance};
pub use net::{Adjustment, Height, Residual, Rise};
pub use plane::{PlaneFit, PlaneSpread, fit_plane};
