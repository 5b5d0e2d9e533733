//! Survey reductions: from a muddy notebook to elevations that know how sure they are.
//!
//! ```text
//!   FieldBook ──► sights ──► height of instrument ──► net ──► points with ± ──► spot levels
//!   (as written)            (as by hand, closures)   (QR)        └─ suspects, when it does not close
//!   point file ─────────────────────────────────────────────────────────────────┘
//! ```
//!
//! [`FieldBook::reduce`] turns rod readings into elevations. [`Adjustment`] is the least-squares
//! net beneath it, [`least_squares`] the sums beneath that, for any linear problem; [`fit_plane`]
//! finds the plane nearest to a handful of heights. [`locate`] finds the places of points.

mod aligned;
mod allowance;
mod blunder;
mod book;
mod book_rows;
mod book_text;
mod book_titles;
mod export;
mod feet;
mod least_squares;
mod net;
mod place;
mod plane;
mod point_file;
mod reading;
mod reduce;
mod sights;
mod slips;
pub(crate) mod twins;

pub use allowance::Allowance;
pub use blunder::Suspect;
pub use book::{BookRow, Column, FieldBook, SpreadBy};
pub use book_text::{FIELD_BOOK_EXAMPLE, FieldBookText, read_field_book};
pub use least_squares::{Fit, Spread, least_squares};
pub use net::{Adjustment, Height, Residual, Rise};
pub use place::{
    Crossing, GridCorner, Offset, Place, PlaceProblem, PointPlace, Side, TAPES_MEET, Tape, Tapes,
    cross_tapes, locate,
};
pub use plane::{PlaneFit, PlaneSpread, fit_plane};
pub use point_file::{
    BadLine, CoordinateOrder, Encoding, FarPlace, FilePoint, FileUnit, ImportedPoints, Layout,
    PointFile, PointFileChoice, PoleSize, Repeat, Stray, SuggestedFeature, Suggestion, TreeSize,
    decode, read_point_file, read_point_file_in_slices,
};
pub use reading::{LONGEST_ROD, ReadingError, parse_reading};
pub use reduce::{
    Closure, Datum, OUTLIER, READING_ERROR, ReducedPoint, ReducedRow, Reduction, Sighted, Standing,
    Sums,
};
pub use sights::RowProblem;
pub use slips::{Mark, Slip};
