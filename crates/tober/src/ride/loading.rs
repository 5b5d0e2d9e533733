//! What a ride weighs at work, who sits in it, and what the wind and its drive do to it.
//!
//! Everything here is the ride maker's to state. What is left out is either taken at a stated
//! default, which every output names, or is not known: then what hangs on it is not computed and
//! the output says so.

use serde::{Deserialize, Serialize};

use super::{RideProfile, Swing};
use crate::Point;
use crate::envelope::hang_angle;

/// What a ride weighs at work, who sits in it, and what the wind and its drive do to it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(default, deny_unknown_fields)]
pub struct Loading {
    /// Mass of the empty ride at work, kilograms. Without it no load is computed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mass: Option<f64>,
    /// Where that mass has its centre in plan, ride frame; the hub when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub centre: Option<Point>,
    /// Height of that centre above the datum plane, metres: a frame that leans carries its weight
    /// so far off. Left out, the lean is not counted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub centre_height: Option<f64>,
    /// The seats, a ring each. Without any, riders are not counted, and the output says so.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub seats: Vec<SeatRing>,
    /// Most cars of a ring in a row that the maker lets go empty while all others are full. Left
    /// out, any number and any pattern may be empty: the worst is taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub empty_in_row: Option<u32>,
    /// Full speed, turns a minute. Left out: that of the hung chairs; without them, not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub full_speed_rpm: Option<f64>,
    /// Greatest torque of the drive and the brakes about the upright axis, newton metres. Left
    /// out, starting and stopping are not counted, and the output says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub torque: Option<f64>,
    /// What the wind pushes against. Left out, the wind is not counted, and the output says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<Silhouette>,
    /// Most that one jack may carry, newtons. Left out, it is not held to any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jack_capacity: Option<f64>,
    /// Most that one outrigger may carry, newtons. Left out, it is not held to any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outrigger_capacity: Option<f64>,
    /// Side of the square pad under a jack that spreads its whole load on the ground, metres. Left
    /// out, the load spreads from the foot through the thickness of the pad.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub jack_pad: Option<f64>,
    /// Where the tongue jack, or the truck's hitch, holds the frame while it is parked, ride frame.
    /// Left out, what the tyres carry while it is parked is not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[cfg_attr(feature = "schema", schemars(with = "Option<[f64; 2]>"))]
    pub tongue: Option<Point>,
    /// Friction of the feet on what they stand on; the rulebook's when left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub friction: Option<f64>,
}

/// Cars or chairs in a ring about the axis, evenly spaced.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SeatRing {
    /// How many cars, or chairs, hang or stand in the ring.
    pub cars: u32,
    /// Seats in a car; 1 when left out.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub seats_in_car: u32,
    /// Mass of one rider, kilograms; the rulebook's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rider_mass: Option<f64>,
    /// From the axis to a rider's middle at full speed, metres. Left out: where the chairs hang
    /// out to, or the end of the arms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radius: Option<f64>,
    /// Height of a rider's middle above the datum plane at full speed, metres. Left out: where
    /// the chairs hang, or the highest part of the arms. For a wheel on a level axle, the height
    /// of the axle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<f64>,
    /// The axis lies level: a wheel that stands up.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub level_axis: bool,
}

fn one() -> u32 {
    1
}

fn is_one(count: &u32) -> bool {
    *count == 1
}

/// What the wind pushes against.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Silhouette {
    /// Solid area seen from the side where it is greatest, metres squared.
    pub area: f64,
    /// Height of its middle above the datum plane, metres.
    pub height: f64,
    /// What the pressure of the wind is multiplied by for the shape; the rulebook's when left
    /// out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shape_factor: Option<f64>,
    /// Fastest wind that the ride may work in, metres a second, gusts and all.
    pub in_service: f64,
    /// Fastest wind that it may stand in, built up, empty and at rest, metres a second. Left out,
    /// it is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub out_of_service: Option<f64>,
}

impl Loading {
    pub(super) fn is_default(&self) -> bool {
        *self == Loading::default()
    }

    /// Full speed, turns a minute, where it is known.
    pub fn rpm(&self, swing: &Swing) -> Option<f64> {
        self.full_speed_rpm.or(match swing {
            Swing::HungChairs(chairs) => Some(chairs.full_speed_rpm),
            Swing::RigidArms(_) | Swing::RisingArms(_) | Swing::Table(_) => None,
        })
    }
}

impl SeatRing {
    /// Where the riders of the ring are at a speed: from the axis, and above the datum plane,
    /// metres. `None` where the profile does not tell.
    ///
    /// Chairs hang out with speed; what the file states is taken at full speed and at any other.
    pub fn place(&self, profile: &RideProfile, rpm: f64) -> Option<(f64, f64)> {
        let told = match &profile.swing {
            Swing::HungChairs(chairs) => {
                let turning = angular_speed(rpm);
                let angle = hang_angle(turning, chairs.pivot_radius, chairs.hanger);
                let (sin, cos) = libm::sincos(angle);
                Some((
                    chairs.pivot_radius + chairs.hanger * sin,
                    chairs.pivot_height - chairs.hanger * cos,
                ))
            }
            Swing::RigidArms(arms) => Some((arms.radius, arms.high)),
            // Nobody sits farther out than with the arm as level as it gets, nor higher than at
            // its highest.
            Swing::RisingArms(arms) => {
                let level = arms.lowest_deg.max(0.0).min(arms.highest_deg);
                Some((
                    arms.hinge_radius + arms.arm * libm::cos(level.to_radians()),
                    arms.hinge_height + arms.arm * libm::sin(arms.highest_deg.to_radians()),
                ))
            }
            Swing::Table(_) => None,
        };
        Some((
            self.radius.or(told.map(|told| told.0))?,
            self.height.or(told.map(|told| told.1))?,
        ))
    }
}

/// Radians a second from turns a minute.
pub(crate) fn angular_speed(rpm: f64) -> f64 {
    rpm * std::f64::consts::TAU / 60.0
}
