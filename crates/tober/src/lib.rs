//! Site fit and levelling for travelling rides.
//!
//! A trailer-mounted ride arrives at a fairground. This library answers, from spot levels and
//! a sketch of the lot: does it fit, how does its frame stand level, what does everything that
//! swings come near, and which fence goes round it.
//!
//! Data flows one way, and every face of the product reads the same result:
//!
//! ```text
//! SiteFile --check--> Site --assess--> Assessment --> plan view, setup sheet, page, JSON
//! ```
//!
//! [`assess::assess`] is pure: no input or output, no clock, no globals; the same on a server,
//! in a terminal and in a browser.
//!
//! # Frames and units
//!
//! Everything inside is SI. The *lot frame* has x east, y north, z up. The *ride frame* has its
//! origin at the hub on the frame's datum plane, x towards the tongue, y to the left, z up. A
//! *heading* is in degrees clockwise from grid north, the direction in which the tongue points.
//!
//! # Caution
//!
//! A planning aid. The ride maker's manual, the authority having jurisdiction and a qualified
//! person decide.

#![deny(missing_docs)]

pub mod assess;
pub mod clearance;
pub mod compass;
pub mod envelope;
pub mod fence;
pub mod ground;
pub mod level;
pub mod loads;
pub mod ride;
pub mod site;
pub mod slices;
pub mod statics;
pub mod survey;
pub mod units;

#[cfg(test)]
mod fixtures;

/// A place in plan, metres: in the lot frame (x east, y north) unless a name says otherwise.
///
/// In files it is written `[x, y]`.
pub type Point = nalgebra::Point2<f64>;

/// A step in plan, metres.
pub type Step = nalgebra::Vector2<f64>;
