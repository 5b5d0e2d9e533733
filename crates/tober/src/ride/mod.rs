//! Ride profiles: what a ride stands on and what it swings, in its own frame.
//!
//! A profile carries any base with feet and any moving space. The ride frame has its origin at
//! the hub on the frame's *datum plane* (the flat underside of the main frame, level when the
//! ride is level), x towards the tongue, y to the left, z up.
//!
//! ```text
//!         left (+y)
//!    BL ┌───────────┐ FL
//!       │    hub    │════ tongue (+x)
//!    BR └───────────┘ FR
//! ```

mod builtin;
mod loading;
mod steps;

pub use builtin::builtin;
pub(crate) use loading::angular_speed;
pub use loading::{Loading, SeatRing, Silhouette};
pub use steps::{HEIGHT_STEP, LEVEL_STEP_DEG, Steps, TURN_STEP};

use serde::{Deserialize, Serialize};

use crate::site::Placement;
use crate::units::Slope;
use crate::{Point, Step};

/// A kind of ride: feet, moving space, fence and tolerances.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RideProfile {
    /// Unique among the profiles.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Which spacing rule it falls under.
    pub class: RideClass,
    /// Outline of everything that stands still once built up (frame, deck, steps), ride frame.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub body: Vec<Point>,
    /// Height of the standing parts above the datum plane, metres.
    pub body_height: f64,
    /// Levelling jacks.
    pub jacks: Vec<Jack>,
    /// Outriggers that carry the ride at work; a ride without them works on its jacks.
    #[serde(default)]
    pub outriggers: Vec<Outrigger>,
    /// Tyres.
    #[serde(default)]
    pub wheels: Vec<Wheel>,
    /// How the frame is levelled, and how level is level enough.
    pub levelling: Levelling,
    /// What the frame weighs while it is levelled, and how far it and its feet give.
    #[serde(default, skip_serializing_if = "Frame::is_default")]
    pub frame: Frame,
    /// What it weighs at work, who sits in it, and what the wind and its drive do to it.
    #[serde(default, skip_serializing_if = "Loading::is_default")]
    pub loads: Loading,
    /// What moves.
    pub swing: Swing,
    /// What else takes up room: moving parts that are not round, steps and consoles, and what is
    /// only there while building up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spaces: Vec<Space>,
    /// Where the operator stands, ride frame; must come to lie inside the fence.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub console: Option<Point>,
    /// Radius that covers the console and the operator at it, metres; 0.5 when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub console_radius: Option<f64>,
    /// Stakes that hold it down, ride frame.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stakes: Vec<Stake>,
    /// The fence that goes round it.
    pub fence: FenceStock,
}

/// A stake, a peg or a ground screw, driven upright.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Stake {
    /// Where: in the ride frame for a ride's own, in the lot frame for a tent's.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// How deep it is driven, metres. Left out when nobody knows: then it may go to any depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<f64>,
}

/// Which spacing rule a ride falls under.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum RideClass {
    /// For grown people or for both.
    Major,
    /// For children only.
    Kiddie,
}

/// A levelling jack: a drop leg pinned in one of several holes, then a screw.
///
/// The leg reaches `drop + hole + screw` below the datum plane, and stands on its pad.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Jack {
    /// Unique among the supports of the profile (`FL`, `FR`, `BL`, `BR`).
    pub id: String,
    /// Middle of its foot, ride frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// From the datum plane down to the foot's sole, leg in the highest hole and the screw
    /// counted from zero, metres.
    pub drop: f64,
    /// How much lower each hole pins the leg than the highest, metres, rising from 0.
    pub holes: Vec<f64>,
    /// The screw's length when wound right in, metres.
    pub screw_retracted: f64,
    /// The screw's length when wound right out, metres.
    pub screw_extended: f64,
    /// Lift for one turn of the crank, metres.
    pub lift_per_turn: f64,
    /// Thickness of the pad under the foot, metres; 0 for none.
    #[serde(default)]
    pub pad_thickness: f64,
    /// Side of the square that its pad covers, metres: packing under it is no narrower. 0.15 when
    /// left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_plate: Option<f64>,
}

/// An outrigger: folds down and stands on blocking.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Outrigger {
    /// Unique among the supports of the profile.
    pub id: String,
    /// Middle of its foot, ride frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// From the datum plane down to the foot's sole, folded out and braced, metres.
    pub foot_drop: f64,
    /// Side of the square that its foot covers, metres: no block under it is narrower. 0.15 when
    /// left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_plate: Option<f64>,
}

/// A tyre of the trailer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Unique among the supports of the profile.
    pub id: String,
    /// Middle of its print, ride frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// From the datum plane down to the ground while the tyre carries, metres.
    pub drop: f64,
    /// How much lower the tyre hangs when the frame is lifted off it, metres.
    pub droop: f64,
}

/// How the frame is levelled, and how level is level enough.
///
/// Each of the two tolerances is given once: in degrees, or in whichever form the maker states.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Levelling {
    /// Most tilt at work along the frame, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_along_deg: Option<f64>,
    /// Most tilt at work across the frame, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_across_deg: Option<f64>,
    /// Most tilt at work along the frame, as the maker states it; in place of
    /// `tolerance_along_deg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_along: Option<Slope>,
    /// Most tilt at work across the frame, as the maker states it; in place of
    /// `tolerance_across_deg`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tolerance_across: Option<Slope>,
    /// How far one corner may be ahead of the plane of the others while cranking, metres.
    pub rack_limit: f64,
    /// Most tilt either way while cranking, degrees; 3 when left out (common practice, no
    /// published source). A frame that is parked steeper may be no steeper than parked.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub travel_tilt_deg: Option<f64>,
    /// How far a hanging tyre must be off the ground, metres.
    pub tyre_clearance: f64,
    /// How far above the working height the frame is lifted to slide the blocks in, metres.
    pub lift_over: f64,
    /// Screw that must be left at either end of the stroke, metres.
    pub stroke_reserve: f64,
    /// Turns given back to each jack once the outriggers carry.
    pub snug_turns: f64,
    /// The maker's order of cranking, as groups of jack ids: a group is cranked before the next
    /// one, in the order written. Left out, the front pair comes first and the low side first in
    /// a pair (common practice).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crank_order: Vec<Vec<String>>,
    /// What is not told apart when the best blocking is chosen.
    #[serde(default, skip_serializing_if = "Steps::are_usual")]
    pub steps: Steps,
}

impl Levelling {
    /// Most tilt at work along the frame, as it was stated. None is allowed where none is stated.
    pub fn along(&self) -> Slope {
        stated(self.tolerance_along, self.tolerance_along_deg)
    }

    /// Most tilt at work across the frame, as it was stated. None is allowed where none is stated.
    pub fn across(&self) -> Slope {
        stated(self.tolerance_across, self.tolerance_across_deg)
    }
}

fn stated(form: Option<Slope>, degrees: Option<f64>) -> Slope {
    form.unwrap_or(Slope::Deg(degrees.unwrap_or(0.0)))
}

/// What the frame weighs while it is levelled, and how far it and its feet give.
///
/// Used to foretell what the level shows while cranking. The defaults are common practice
/// without a published source; they are told beside whatever hangs on them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Frame {
    /// Mass while it is levelled, kilograms; 8000 when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Where that mass has its centre, ride frame; the hub when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub centre: Option<Point>,
    /// Moment that twists the frame's front against its back by one radian, newton metres;
    /// 600 000 (some 10 kN m a degree) when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub twist_stiffness: Option<f64>,
    /// Load that shortens a jack with its pad and the ground under it by one metre, newtons;
    /// 20 000 000 (2 t a millimetre) when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jack_stiffness: Option<f64>,
    /// The same for an outrigger with its blocks and the ground under them; 10 000 000 (1 t a
    /// millimetre) when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outrigger_stiffness: Option<f64>,
}

impl Frame {
    fn is_default(&self) -> bool {
        *self == Frame::default()
    }
}

/// What moves, and how far out it gets.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Swing {
    /// Chairs on hangers that swing out with speed.
    HungChairs(HungChairs),
    /// Arms that go round at one radius.
    RigidArms(RigidArms),
    /// Arms that rise and sink while they go round.
    RisingArms(RisingArms),
    /// Any other moving space, as a table.
    Table(SwingTable),
}

/// Chairs hung from a turning wheel; see [`crate::envelope::hang_angle`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HungChairs {
    /// From the axis to the point that a hanger swings from, metres.
    pub pivot_radius: f64,
    /// Height of that point above the datum plane, metres.
    pub pivot_height: f64,
    /// From that point down to the rider's middle, metres.
    pub hanger: f64,
    /// How far chair, limbs and belongings reach from the rider's middle, metres.
    pub reach: f64,
    /// Full speed, turns a minute.
    pub full_speed_rpm: f64,
    /// Allowance for oscillation and wind beyond the steady angle, degrees.
    pub allowance_deg: f64,
    /// Radius of the turning top, metres.
    pub top_radius: f64,
    /// Height of the turning top above the datum plane, metres.
    pub top_height: f64,
}

/// Rigid arms that go round at one radius.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RigidArms {
    /// From the axis to the outermost hard part, metres.
    pub radius: f64,
    /// Lowest height of arms and cars above the datum plane, metres.
    pub low: f64,
    /// Highest height of arms and cars above the datum plane, metres.
    pub high: f64,
    /// How far a rider reaches beyond the car, metres.
    pub reach: f64,
}

/// Arms on hinges that rise and sink while they go round.
///
/// The hinges stand round the axis; from each an arm reaches outwards, at its lowest when riders
/// get in. Angles are counted from the level, upwards.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct RisingArms {
    /// From the axis to the hinge, metres.
    pub hinge_radius: f64,
    /// Height of the hinge above the datum plane, metres.
    pub hinge_height: f64,
    /// From the hinge to the rider's middle, metres.
    pub arm: f64,
    /// Lowest angle of an arm, degrees from the level; negative below it.
    pub lowest_deg: f64,
    /// Highest angle of an arm, degrees from the level.
    pub highest_deg: f64,
    /// How far car, limbs and belongings reach from the rider's middle, metres.
    pub reach: f64,
    /// Radius of the turning middle, metres.
    pub top_radius: f64,
    /// Height of the turning middle above the datum plane, metres.
    pub top_height: f64,
}

/// A moving space as a table of radius against height.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SwingTable {
    /// Rows from the bottom up; straight between rows.
    pub rows: Vec<SwingRow>,
    /// How far a rider reaches beyond the table, metres.
    pub reach: f64,
}

/// One row of a [`SwingTable`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SwingRow {
    /// Height above the datum plane, metres.
    pub height: f64,
    /// Outermost radius at that height, metres.
    pub radius: f64,
}

/// A space that a ride takes up beside its body and what it swings: the same outline over a range
/// of heights, filled.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Space {
    /// Unique among the spaces of the profile.
    pub id: String,
    /// What people call it: *steps*, *outriggers swinging down*, *tongue drawn out*.
    pub name: String,
    /// When it takes up room.
    pub kind: SpaceKind,
    /// Corners in order, ride frame: everything that the part passes through.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub outline: Vec<Point>,
    /// Lowest height above the datum plane, metres.
    pub low: f64,
    /// Highest height above the datum plane, metres.
    pub high: f64,
}

/// When a [`Space`] takes up room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum SpaceKind {
    /// At work, by something that moves.
    Moving,
    /// At work, by something that stands: steps, console, platform.
    Standing,
    /// Only while building up or taking down.
    BuildUp,
}

/// The fence panels that come with the ride.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FenceStock {
    /// Least distance from everything that moves to the fence, metres.
    pub standoff: f64,
    /// Length of a panel from post to post, metres. A gate takes the place of one panel.
    pub panel: f64,
    /// Height of a panel, metres.
    pub height: f64,
    /// How deep the stake at each post is driven, metres; left out for a fence that stands on
    /// feet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stake_depth: Option<f64>,
    /// Panels on the truck, gates included.
    pub panels: u32,
    /// How many of them are gates.
    pub gates: u32,
    /// What gets through them, as made.
    #[serde(default, skip_serializing_if = "FenceGaps::is_untold")]
    pub gaps: FenceGaps,
}

/// What gets through the panels of a fence.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct FenceGaps {
    /// The largest ball that gets through a panel or between two, metres across. Left out when
    /// nobody has told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opening: Option<f64>,
    /// The gap below a panel on level ground, metres. Left out when nobody has told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub below: Option<f64>,
}

impl FenceGaps {
    /// Whether nobody has told anything.
    pub fn is_untold(&self) -> bool {
        *self == FenceGaps::default()
    }

    /// What was measured, and of the rest what another tells.
    pub fn or(self, other: FenceGaps) -> FenceGaps {
        FenceGaps {
            opening: self.opening.or(other.opening),
            below: self.below.or(other.below),
        }
    }
}

impl RideProfile {
    /// Every jack, outrigger and tyre: its id, and its place in the ride frame.
    pub fn supports(&self) -> impl Iterator<Item = (&str, Point)> {
        let jacks = self.jacks.iter().map(|jack| (jack.id.as_str(), jack.at));
        let outriggers = self
            .outriggers
            .iter()
            .map(|foot| (foot.id.as_str(), foot.at));
        let wheels = self
            .wheels
            .iter()
            .map(|wheel| (wheel.id.as_str(), wheel.at));
        jacks.chain(outriggers).chain(wheels)
    }
}

impl Placement {
    /// The hub in the lot frame.
    pub fn hub(&self) -> Point {
        Point::new(self.x, self.y)
    }

    /// Unit steps in the lot frame: towards the tongue, and to the left of it.
    pub fn axes(&self) -> (Step, Step) {
        let (sin, cos) = libm::sincos(self.heading.to_radians());
        (Step::new(sin, cos), Step::new(-cos, sin))
    }

    /// A place of the ride frame in the lot frame.
    ///
    /// ```
    /// use tober::{Point, site::Placement};
    /// // Heading east: the tongue points along +x, the left side is north.
    /// let placement = Placement { x: 10.0, y: 5.0, heading: 90.0 };
    /// let tongue = placement.to_lot(Point::new(2.0, 0.0));
    /// assert!((tongue - Point::new(12.0, 5.0)).norm() < 1e-12);
    /// ```
    pub fn to_lot(&self, at: Point) -> Point {
        let (ahead, left) = self.axes();
        self.hub() + ahead * at.x + left * at.y
    }
}
