//! Clearances: how near everything that moves or stands comes to everything else.
//!
//! Each part of a ride is measured to each feature, each other ride and the lot line that some
//! rule of the [`rulebook`] speaks of. Of several rules that measure the same thing the same way,
//! the one that asks for most governs and the others are named beside it.
//!
//! A distance is *horizontal* (in plan, whatever the heights) or *true* (the shortest way through
//! the air). What is not known is taken at its worst: a height that hangs on ground nobody has
//! surveyed becomes every height, which turns the true distance into the horizontal one; an
//! unknown voltage meets every rule for lines. The row's note says so.
//!
//! Beside the distances stand the ways that are kept free ([`ways`]), the way from gate to gate
//! ([`passages`]), the power cords ([`cords`]), ropes across ways ([`ropes()`]), the [`bonding`] of
//! separate supplies, and what every operator must have at hand
//! ([`at_hand`]).
//!
//! Fuel, generators and the stakes of tents keep their distances whatever the rides do
//! ([`lot_clearances`]).
//!
//! Features are found by a spatial index, and each pair of rides is measured once. A lot of up to
//! [`LISTED_WHOLE`] things is listed whole; on a larger one what keeps [`FAR`] more than any rule
//! asks has no row.

mod at_hand;
mod bends;
mod bonding;
mod cords;
mod cut;
mod headroom;
mod measure;
mod obstacle;
mod parts;
mod passages;
mod plane;
mod ropes;
mod route;
mod rulebook;
mod sight;
mod solid;
mod squeeze;
mod standing;
mod ways;

pub use at_hand::{AtHand, HandyKind, at_hand};
pub use bends::Bend;
pub use bonding::{Beside, BondCheck, bonding};
pub use cords::{CordCheck, Crossing, cords};
pub use cut::{Crossed, PartInCut, Piece, Upright, cut_feature, cut_near, cut_ride, cut_route};
pub use measure::{
    Clearances, FAR, FAR_LINE, LISTED_WHOLE, clearances, clearances_of, lot_clearances,
};
pub(crate) use obstacle::Surroundings;
pub use parts::{Parts, PlacedConsole, PlacedSpace, PlacedStake};
pub use passages::{Passage, passages};
pub use plane::{Separation, Shape, contains, within};
pub use ropes::{RopeCheck, RopeCrossing, RopeOver, ropes};
pub use rulebook::{Asks, NotChecked, Rule, When, in_force, not_checked, rulebook};
pub(crate) use solid::Solid;
pub use ways::{Pinch, SteepPlace, WayCheck, WayKind, ways};

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::assess::Verdict;
use crate::units::LengthStyle;

/// What kind of thing a clearance is measured to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Against {
    /// Another ride's moving parts.
    Ride,
    /// The lot line.
    LotLine,
    /// A walkway.
    Walkway,
    /// A fire lane.
    FireLane,
    /// A building.
    Building,
    /// A tree.
    Tree,
    /// An overhead line.
    OverheadLine,
    /// A buried service.
    BuriedService,
    /// A cover in the ground.
    Cover,
    /// A generator or supply pillar.
    PowerSource,
    /// Fuel that is kept on the lot.
    FuelStore,
    /// A gate of the lot.
    Gate,
    /// A fire extinguisher.
    Extinguisher,
    /// A switch that cuts a ride off from its power.
    Disconnect,
    /// What gets through a ride's fence.
    FenceOpening,
    /// A rope or a brace.
    Rope,
}

/// Which part of the ride a clearance is measured from; or what else on the lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// The envelope of everything that moves.
    Moving,
    /// Frame, deck, steps and feet.
    Standing,
    /// The feet: jacks' pads and outriggers' blocking.
    Feet,
    /// The fence.
    Fence,
    /// What only takes up room while building up or taking down.
    BuildUp,
    /// Stakes: the ride's own, its fence's, or a tent's.
    Stakes,
    /// Fuel that is kept on the lot.
    Fuel,
    /// A generator or supply pillar.
    Power,
}

impl Part {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Part::Moving => "moving parts",
            Part::Standing => "standing parts",
            Part::Feet => "feet",
            Part::Fence => "fence",
            Part::BuildUp => "building up",
            Part::Stakes => "stakes",
            Part::Fuel => "stored fuel",
            Part::Power => "power source",
        }
    }
}

/// How a distance is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// In plan, whatever the heights.
    Horizontal,
    /// The shortest way through the air.
    True,
    /// How far the ground rises in a metre, at most: asked of a way itself.
    Slope,
    /// No farther off than this: asked of what an operator must have at hand.
    AtMost,
    /// A ball of this size must not get through: asked of a fence.
    Ball,
}

impl Measure {
    /// A required value as people write it, rounded to the strict side: a length, or a slope as
    /// one in so many.
    pub fn in_words(self, value: f64, style: LengthStyle) -> String {
        match self {
            Measure::Horizontal | Measure::True => style.format_up(value),
            Measure::Slope if value <= 0.0 => "level".to_owned(),
            Measure::AtMost | Measure::Ball => style.format_down(value),
            // To a tenth; gentler when it does not come out even.
            Measure::Slope => format!("1:{}", (10.0 / value - 1e-6).ceil() / 10.0),
        }
    }
}

/// How well the source of a value is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// The value was read in the source.
    Read,
    /// The value was recalled and not re-read.
    Memory,
    /// Common practice: there is no published source.
    Practice,
    /// Set for this site.
    Local,
}

/// A rule of the rulebook as it stands on this site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct RuleInForce {
    /// The rule's id, as [`crate::site::ClearanceValue::rule`] names it.
    pub id: String,
    /// The rule in one line.
    pub title: String,
    /// Measured from these parts of the ride; none for what is asked of a way itself.
    pub parts: Vec<Part>,
    /// Measured to.
    pub against: Against,
    /// How it is measured.
    pub measure: Measure,
    /// Required distance, metres; for a slope, the most metres of rise in a metre; for what is to
    /// be at hand, the most metres that it may be off.
    pub required: f64,
    /// Where the value comes from.
    pub source: String,
    /// How well that source is known.
    pub standing: Standing,
    /// Who asks for it.
    pub asks: Asks,
    /// Who must confirm it.
    pub confirm: String,
    /// The rulebook's value, in the same unit, where the site has put another in its place.
    pub replaces: Option<f64>,
}

/// One distance, judged.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct ClearanceRow {
    /// Measured from this part of the ride.
    pub part: Part,
    /// Which of its spaces while building up; empty for what is there at work.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub space: String,
    /// Measured to this kind of thing.
    pub against: Against,
    /// Its id; empty for the lot line.
    pub against_id: String,
    /// What people call it.
    pub against_name: String,
    /// How it is measured.
    pub measure: Measure,
    /// The distance, metres; negative when they overlap, by how far. Never overstated. Absent
    /// when it cannot be told.
    pub value: Option<f64>,
    /// Required distance, metres.
    pub required: f64,
    /// `value - required`.
    pub margin: Option<f64>,
    /// The governing rule's id.
    pub rule: String,
    /// Rules that also apply and ask for less.
    pub also: Vec<String>,
    /// Who asks for it.
    pub asks: Asks,
    /// The distance in plan, metres, whatever the heights.
    pub horizontal: Option<f64>,
    /// The shortest way through the air, metres; absent where no heights are known.
    pub through_air: Option<f64>,
    /// Nearest place on the ride's side, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub from: Point,
    /// Nearest place on the other side, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub to: Point,
    /// Elevation of the nearest place on the ride's side, metres; absent where it is not known or
    /// does not matter.
    pub from_height: Option<f64>,
    /// Elevation of the nearest place on the other side, metres.
    pub to_height: Option<f64>,
    /// How it came out.
    pub verdict: Verdict,
    /// What had to be assumed, in plain words; empty when nothing.
    pub note: String,
}

impl ClearanceRow {
    /// The part that it is measured from, or which of a ride's spaces while building up.
    pub fn from_words(&self) -> String {
        match self.space.as_str() {
            "" => self.part.words().to_owned(),
            space => format!("{}: {space}", self.part.words()),
        }
    }
}

/// One distance between two things of the lot, whatever the rides.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LotClearance {
    /// Measured from this feature: its id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// The distance, judged.
    pub row: ClearanceRow,
}

#[cfg(test)]
mod judged_by;
#[cfg(test)]
mod tests;
