//! The envelope: the space that a ride sweeps, as radius against height.
//!
//! # Picture
//!
//! Cut the ride by a half-plane through the hub's axis and look at what passes through the cut:
//! a region of radius `r` and height `z`. A hung chair swings from its pivot between straight
//! down and the hang angle at full speed, so its hanger sweeps a sector of a circle; arms sweep
//! a rectangle. Both are widened all round by the rider's reach, joined with the turning top,
//! leant whichever way the frame may lean, and filled inwards to the axis:
//!
//! ```text
//!   z ^   ┌────────────┐ top
//!     │   │            │\
//!     │   │      pivot o--\         the outline is a polygon drawn round the region,
//!     │   │             \  \        never through it: every side is a tangent
//!     │   │              \  |
//!     │   │               o-┘ rider, with reach
//!     └───────────────────────> r
//! ```
//!
//! # Method
//!
//! The region is convex, so it is the intersection of half-planes: in each direction, ask how
//! far the region reaches (its *support*) and lay a tangent there. Neighbouring tangents meet in
//! the corners of a polygon that contains the region. Where a corner stands off the region by
//! more than half a millimetre, another tangent is laid between (`outline`). Nothing is sampled
//! and hoped for. Which way a frame will lean within its tolerance nobody knows beforehand: the
//! envelope holds it leaning every way, so that it is round again, and distances are exact
//! (`distance`); a hanging wire (`wire`) is searched with a bound.
//!
//! # Source
//!
//! The hang angle is the conical pendulum with an offset pivot, derived at [`hang_angle`].

mod distance;
mod outline;
mod over_ground;
mod wire;

pub use distance::{CLOSE_ENOUGH, Nearest};

pub use over_ground::OverGround;
pub(crate) use over_ground::over_ground;
pub(crate) use wire::Facing;
pub use wire::Wire;

use serde::{Deserialize, Serialize};

use crate::ground::Elevation;
use crate::ride::Swing;
use crate::statics::GRAVITY;
use outline::Moving;

/// The space that a ride sweeps at any speed up to full: a solid of revolution about the hub's
/// axis, filled inwards. Never smaller than what moves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Envelope {
    /// Radius against height above the datum plane, from the bottom up; straight between rows.
    /// A rider's reach, oscillation and the frame's tilt whichever way are in it.
    pub rows: Vec<EnvelopeRow>,
    /// Largest radius, metres.
    pub radius: f64,
    /// Hang angle of the chairs at full speed, degrees from the vertical; absent for arms.
    pub hang_angle_deg: Option<f64>,
    /// Speed of the riders at full speed, metres a second; absent where the profile does not tell.
    pub rider_speed: Option<f64>,
    /// How much of the radius is for tilt, metres.
    pub tilt_widening: f64,
    /// The most that the frame leans, whichever way, degrees.
    pub tilt_deg: f64,
    /// Elevation of the datum plane; absent when the ground is not known.
    pub datum: Option<Elevation>,
}

/// One row of an [`Envelope`].
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct EnvelopeRow {
    /// Height above the datum plane, metres.
    pub height: f64,
    /// Outermost radius at that height, metres.
    pub radius: f64,
}

/// A range of heights above the datum plane, metres; infinite where nothing bounds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heights {
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

impl Heights {
    /// Every height: what holds when nobody knows.
    pub const ALL: Heights = Heights {
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
    };
}

/// Angle from the vertical, radians in `[0, π/2]`, at which a hung chair flies.
///
/// `turn_rate` in radians a second, `pivot_radius` from the axis to the pivot and `hanger` from
/// the pivot to the rider's middle, metres.
///
/// The chair goes round at radius `R + L sin θ`. Its hanger pulls along its own line, so its
/// level part gives the pull to the centre and its upright part carries the weight:
///
/// ```text
/// tan θ = ω² (R + L sin θ) / g
/// ```
///
/// On `[0, π/2)` the right side less the left, `A + B sin θ − tan θ`, is concave and not
/// negative at 0, so it has one positive root (none when the pivot is on the axis and the ride
/// is slow: the chair then hangs straight). Halving the bracket finds it; the upper end is
/// returned, so that the envelope is never too small.
///
/// ```
/// use tober::envelope::hang_angle;
/// // Knight, Physics for Scientists and Engineers, 4th ed., ch. 8 problem 42: 20°.
/// let turn_rate = 4.03 / 4.55;
/// assert!((hang_angle(turn_rate, 2.5, 6.0).to_degrees() - 20.0).abs() < 0.1);
/// ```
pub fn hang_angle(turn_rate: f64, pivot_radius: f64, hanger: f64) -> f64 {
    let (mut low, mut high) = (0.0, std::f64::consts::FRAC_PI_2);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        let (sin, cos) = libm::sincos(middle);
        // Both sides times cos θ, so that nothing is infinite at 90°.
        let excess = turn_rate * turn_rate * (pivot_radius + hanger * sin) * cos - GRAVITY * sin;
        if excess > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// Speed of the turning wheel, radians a second, from turns a minute.
pub fn turn_rate(rpm: f64) -> f64 {
    rpm * std::f64::consts::TAU / 60.0
}

impl Envelope {
    /// The envelope of `swing`, on a frame whose datum plane stands at `datum` at the hub and
    /// leans by at most `tilt` radians, whichever way.
    pub fn new(swing: &Swing, tilt: f64, datum: Option<Elevation>) -> Envelope {
        let moving = Moving::of(swing);
        let rows = moving.outline(tilt.abs());
        let radius = rows.iter().map(|row| row.radius).fold(0.0, f64::max);
        let quarter = std::f64::consts::FRAC_PI_2;
        let level = moving.support(quarter, 0.0);
        Envelope {
            rows,
            radius,
            hang_angle_deg: moving.hang.map(|(angle, _)| angle.to_degrees()),
            rider_speed: moving.hang.map(|(_, speed)| speed),
            tilt_widening: moving.support(quarter, tilt.abs()) - level,
            tilt_deg: tilt.abs().to_degrees(),
            datum,
        }
    }

    /// Lowest and highest point above the datum plane, metres.
    pub fn heights(&self) -> Heights {
        let low = self.rows.first().map_or(0.0, |row| row.height);
        let high = self.rows.last().map_or(0.0, |row| row.height);
        Heights { low, high }
    }

    /// `heights` given as elevations, measured from the datum plane instead; every height when
    /// the datum is not known.
    pub fn above_datum(&self, heights: Heights) -> Heights {
        match self.datum {
            Some(datum) => Heights {
                low: heights.low - datum.0,
                high: heights.high - datum.0,
            },
            None => Heights::ALL,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Step;
    use crate::ride::{HungChairs, RigidArms};
    use proptest::prelude::*;

    fn chairs() -> HungChairs {
        HungChairs {
            pivot_radius: 2.6,
            pivot_height: 5.0,
            hanger: 2.9,
            reach: 0.9,
            full_speed_rpm: 11.0,
            allowance_deg: 5.0,
            top_radius: 3.0,
            top_height: 5.8,
        }
    }

    fn distance(envelope: &Envelope, radius: f64, heights: Heights) -> f64 {
        envelope.nearest(radius, heights).distance
    }

    fn tall(radius: f64) -> Envelope {
        let arms = RigidArms {
            radius,
            low: 1.0,
            high: 4.0,
            reach: 0.0,
        };
        Envelope::new(&Swing::RigidArms(arms), 0.0, None)
    }

    #[test]
    fn arms_without_reach_are_a_cylinder() {
        let envelope = tall(3.0);
        assert!((envelope.radius - 3.0).abs() < 1e-9);
        assert!((envelope.heights().low - 1.0).abs() < 1e-9);
        assert!((envelope.heights().high - 4.0).abs() < 1e-9);
        // A wire 2 m outside and 1.5 m above the rim.
        let wire = Heights {
            low: 5.5,
            high: 6.0,
        };
        assert!((distance(&envelope, 5.0, wire) - 2.5).abs() < 1e-9);
        // Right over the hub.
        assert!((distance(&envelope, 0.0, wire) - 1.5).abs() < 1e-9);
        // Beside it, and into it.
        assert!((distance(&envelope, 5.0, Heights::ALL) - 2.0).abs() < 1e-9);
        assert!((distance(&envelope, 2.5, Heights::ALL) + 0.5).abs() < 1e-9);
    }

    #[test]
    fn a_level_wire_is_as_far_as_pythagoras_says() {
        let envelope = tall(3.0);
        let wire = Heights {
            low: 7.0,
            high: 7.0,
        };
        let ends = (Step::new(7.0, -20.0), Step::new(7.0, 30.0));
        let (nearest, place) = envelope.nearest_curtain((ends.0, wire), (ends.1, wire));
        let distance = nearest.distance;
        assert!(distance <= 5.0 && distance > 5.0 - 2e-3, "{distance}");
        assert!((place - 0.4).abs() < 0.01, "{place}");
    }

    #[test]
    fn a_wire_that_all_but_touches_does_not_overlap() {
        let envelope = tall(3.0);
        for gap in [1e-6, 0.4e-3, 0.9e-3] {
            let along = 3.0 + gap;
            let ends = [-20.0, 30.0].map(|y| (crate::Point::new(along, y), 2.0));
            let wire = Wire::with_sag(ends[0], ends[1], 0.3);
            let found = envelope.nearest_wire(crate::Point::origin(), 0.0, &wire).0;
            assert!(
                found.distance > 0.0 && found.distance <= gap + 1e-9,
                "{found:?}"
            );
        }
    }

    #[test]
    fn chairs_hang_straight_when_still() {
        assert!(hang_angle(0.0, 2.6, 2.9) < 1e-12);
        assert!(hang_angle(0.0, 0.0, 2.9) < 1e-12);
    }

    proptest! {
        #[test]
        fn hang_angle_solves_its_equation(
            rate in 0.01..8.0_f64, pivot in 0.0..10.0_f64, hanger in 0.1..15.0_f64,
        ) {
            let angle = hang_angle(rate, pivot, hanger);
            let (sin, cos) = libm::sincos(angle);
            let excess = rate * rate * (pivot + hanger * sin) * cos - GRAVITY * sin;
            let scale = GRAVITY + rate * rate * (pivot + hanger);
            prop_assert!(excess.abs() < 1e-12 * scale, "{excess}");
        }

        #[test]
        fn no_chair_leaves_the_envelope(
            share in 0.0..=1.0_f64, along in 0.0..=1.0_f64, around in 0.0..std::f64::consts::TAU,
        ) {
            let chairs = chairs();
            let steady = hang_angle(
                turn_rate(chairs.full_speed_rpm), chairs.pivot_radius, chairs.hanger);
            let angle = share * (steady + chairs.allowance_deg.to_radians());
            let (sin, cos) = libm::sincos(angle);
            let (reach_sin, reach_cos) = libm::sincos(around);
            let r = chairs.pivot_radius + along * chairs.hanger * sin + chairs.reach * reach_sin;
            let z = chairs.pivot_height - along * chairs.hanger * cos + chairs.reach * reach_cos;
            let envelope = Envelope::new(&Swing::HungChairs(chairs), 0.0, None);
            prop_assume!(r >= 0.0);
            let distance = distance(&envelope, r, Heights { low: z, high: z });
            prop_assert!(distance <= 1e-9, "a rider {distance} m outside at r {r}, z {z}");
        }

        #[test]
        fn a_run_is_never_overstated(
            x0 in -15.0..15.0_f64, y0 in -15.0..15.0_f64, z0 in 0.0..12.0_f64,
            x1 in -15.0..15.0_f64, y1 in -15.0..15.0_f64, z1 in 0.0..12.0_f64,
        ) {
            let envelope = Envelope::new(&Swing::HungChairs(chairs()), 0.002, None);
            let (from, to) = (Step::new(x0, y0), Step::new(x1, y1));
            let wire = |z: f64| Heights { low: z, high: z };
            let (found, _) = envelope.nearest_curtain((from, wire(z0)), (to, wire(z1)));
            let bound = found.distance;
            let sampled = (0..=4000)
                .map(|k| f64::from(k) / 4000.0)
                .map(|t| distance(&envelope,
                    (from + (to - from) * t).norm(), wire(z0 + (z1 - z0) * t)))
                .fold(f64::INFINITY, f64::min);
            prop_assert!(bound <= sampled + 1e-9, "{bound} > {sampled}");
            prop_assert!(
                sampled <= 0.0 || bound >= sampled - 1.1e-3, "{bound} far below {sampled}");
        }

        #[test]
        fn leaning_only_widens(tilt in 0.0..0.05_f64, around in 0.0..std::f64::consts::TAU) {
            let swing = Swing::HungChairs(chairs());
            let (level, leaning) =
                (Envelope::new(&swing, 0.0, None), Envelope::new(&swing, tilt, None));
            prop_assert!(leaning.radius >= level.radius);
            // The level outline, leant towards some bearing, is still inside.
            let (sin, cos) = libm::sincos(tilt);
            for row in &level.rows {
                let (out, aside) = (row.radius * libm::cos(around), row.radius * libm::sin(around));
                let (along, z) = (out * cos + row.height * sin, row.height * cos - out * sin);
                let r = libm::hypot(along, aside);
                let distance = distance(&leaning, r, Heights { low: z, high: z });
                // The level outline stands off what moves by up to half a millimetre itself.
                prop_assert!(distance <= 0.6e-3, "{distance}");
            }
        }

        #[test]
        fn a_wire_is_never_overstated(
            x0 in -15.0..15.0_f64, y0 in -15.0..15.0_f64, z0 in 0.0..12.0_f64,
            x1 in -15.0..15.0_f64, y1 in -15.0..15.0_f64, z1 in 0.0..12.0_f64, sag in 0.0..6.0_f64,
        ) {
            let envelope = Envelope::new(&Swing::HungChairs(chairs()), 0.002, None);
            let hub = crate::Point::origin();
            let ends = (crate::Point::new(x0, y0), crate::Point::new(x1, y1));
            let wire = Wire::with_sag((ends.0, z0), (ends.1, z1), sag);
            let bound = envelope.nearest_wire(hub, 0.0, &wire).0.distance;
            let sampled = (0..=4000)
                .map(|k| wire.at(f64::from(k) / 4000.0))
                .map(|(at, z)| distance(&envelope, at.coords.norm(), Heights { low: z, high: z }))
                .fold(f64::INFINITY, f64::min);
            prop_assert!(bound <= sampled + 1e-9, "{bound} > {sampled}");
            prop_assert!(
                sampled <= 0.0 || bound >= sampled - 3e-3, "{bound} far below {sampled}");
        }

        /// Another envelope is as near as the nearest of its own places.
        #[test]
        fn envelopes_are_as_near_as_their_places(apart in 0.0..20.0_f64, lift in -9.0..9.0_f64) {
            let envelope = Envelope::new(&Swing::HungChairs(chairs()), 0.002, None);
            let other = tall(3.0);
            let found = envelope.nearest_envelope(&other, apart, lift).distance;
            let sides = other.rows.windows(2).flat_map(|pair| {
                let (from, to) = (pair[0], pair[1]);
                (0..=500).map(move |k| {
                    let t = f64::from(k) / 500.0;
                    (
                        from.radius + (to.radius - from.radius) * t,
                        from.height + (to.height - from.height) * t + lift,
                    )
                })
            });
            let sampled = sides
                .map(|(radius, z)| {
                    distance(&envelope, (apart - radius).max(0.0), Heights { low: z, high: z })
                })
                .fold(f64::INFINITY, f64::min);
            prop_assert!(found <= sampled + 1e-9, "{found} > {sampled}");
            let back = other.nearest_envelope(&envelope, apart, -lift).distance;
            prop_assert!((found - back).abs() < 1e-9, "{found} {back}");
        }
    }
}
