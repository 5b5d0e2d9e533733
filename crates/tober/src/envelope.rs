//! The envelope: the space that a ride sweeps, as radius against height.
//!
//! # Picture
//!
//! Cut the ride by a half-plane through the hub's axis and look at what passes through the cut:
//! a region of radius `r` and height `z`. A hung chair swings from its pivot between straight
//! down and the hang angle at full speed, so its hanger sweeps a sector of a circle; arms sweep
//! a rectangle. Both are widened all round by the rider's reach and by what the frame's tilt
//! can add, joined with the turning top, and filled inwards to the axis:
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
//! more than half a millimetre, another tangent is laid between. Nothing is sampled and hoped
//! for.
//!
//! # Source
//!
//! The hang angle is the conical pendulum with an offset pivot, derived at [`hang_angle`].

use serde::{Deserialize, Serialize};

use crate::Step;
use crate::ground::Elevation;
use crate::ride::{HungChairs, Swing};

/// Standard acceleration of free fall, metres a second squared (exact by convention: 3rd CGPM,
/// 1901).
pub const GRAVITY: f64 = 9.806_65;

/// Tangents laid round the outline to begin with, from straight down to straight up: 15° apart.
const COARSE_TANGENTS: u32 = 12;

/// How far a corner of the outline may stand off the region before a tangent is laid between,
/// metres.
const TIGHTNESS: f64 = 0.5e-3;

/// Tangents are never laid closer than this, radians.
const FINEST_STEP: f64 = 1e-4;

/// The space that a ride sweeps at any speed up to full: a solid of revolution about the hub's
/// axis, filled inwards. Never smaller than what moves.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Envelope {
    /// Radius against height above the datum plane, from the bottom up; straight between rows.
    /// The widening for a rider's reach, oscillation and the frame's tilt is in it.
    pub rows: Vec<EnvelopeRow>,
    /// Largest radius, metres.
    pub radius: f64,
    /// Hang angle of the chairs at full speed, degrees from the vertical; absent for arms.
    pub hang_angle_deg: Option<f64>,
    /// Speed of the riders at full speed, metres a second; absent where the profile does not tell.
    pub rider_speed: Option<f64>,
    /// How much of the radius and height is widening for tilt, metres.
    pub tilt_widening: f64,
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
    /// The envelope of `swing`, on a frame whose datum plane stands at `datum` and leans by at
    /// most `tilt` radians.
    ///
    /// A point of the ride at distance `D` from the hub moves by `2 D sin(tilt / 2)` or less
    /// when the frame leans: the whole envelope is widened by that for its farthest point.
    pub fn new(swing: &Swing, tilt: f64, datum: Option<Elevation>) -> Envelope {
        let moving = Moving::of(swing);
        let level = moving.outline(0.0);
        let farthest = level
            .iter()
            .map(|row| libm::hypot(row.radius, row.height))
            .fold(0.0, f64::max);
        let tilt_widening = 2.0 * farthest * libm::sin(tilt.abs() / 2.0);
        let rows = moving.outline(tilt_widening);
        let radius = rows.iter().map(|row| row.radius).fold(0.0, f64::max);
        Envelope {
            rows,
            radius,
            hang_angle_deg: moving.hang.map(|(angle, _)| angle.to_degrees()),
            rider_speed: moving.hang.map(|(_, speed)| speed),
            tilt_widening,
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

    /// Distance, metres, from the envelope to something that comes within `radius` of the hub's
    /// axis at every height in `heights`; negative when they overlap, by how far in plan.
    ///
    /// Because the envelope is filled inwards, the nearest part of an upright obstacle is where
    /// it comes nearest to the axis: the answer in the half-plane is the answer in space.
    pub fn distance(&self, radius: f64, heights: Heights) -> f64 {
        let own = self.heights();
        let (low, high) = (heights.low.max(own.low), heights.high.min(own.high));
        if low <= high {
            let gap = radius - self.widest(low, high);
            if gap <= 0.0 {
                return gap;
            }
        }
        // Between two polygons the shortest way starts or ends at a corner of one of them.
        let mut squared = f64::INFINITY;
        let mut previous = (0.0, own.low);
        let corners = self.rows.iter().map(|row| (row.radius, row.height));
        for corner in corners.chain([(0.0, own.high)]) {
            let (dr, dz) = (
                radius - corner.0,
                corner.1 - corner.1.max(heights.low).min(heights.high),
            );
            squared = squared
                .min(dr * dr + dz * dz)
                .min(squared_to_side((radius, heights.low), previous, corner))
                .min(squared_to_side((radius, heights.high), previous, corner));
            previous = corner;
        }
        squared.sqrt()
    }

    /// Distance, metres, to a wire or a curtain that runs straight from one end to the other.
    /// Each end is given by its place in plan from the hub and its range of heights. Also says
    /// where along it, from 0 to 1, the nearest place is.
    ///
    /// Envelope and curtain are both convex, so the distance falls and then rises along the run:
    /// golden-section search closes in on the lowest place. Between two places the distance
    /// changes by no more than one walks in space, so what the last bracket may hide is taken
    /// off: the answer is at most a millimetre too small and never too large. Where they
    /// overlap, the depth is that of the whole envelope in plan.
    pub fn distance_to_run(&self, from: (Step, Heights), to: (Step, Heights)) -> (f64, f64) {
        const CLOSE_ENOUGH: f64 = 1e-3;
        const GOLDEN: f64 = 0.618_033_988_749_894_8;
        let run = to.0 - from.0;
        let between = |a: f64, b: f64, t: f64| if a == b { a } else { a + (b - a) * t };
        let at = |t: f64| {
            let heights = Heights {
                low: between(from.1.low, to.1.low, t),
                high: between(from.1.high, to.1.high, t),
            };
            self.distance((from.0 + run * t).norm(), heights)
        };
        let climb = |a: f64, b: f64| if a == b { 0.0 } else { (b - a).abs() };
        let steepest = climb(from.1.low, to.1.low).max(climb(from.1.high, to.1.high));
        let length = libm::hypot(run.norm(), steepest);

        let (mut start, mut end) = (0.0, 1.0);
        let (mut left, mut right) = (1.0 - GOLDEN, GOLDEN);
        let (mut at_left, mut at_right) = (at(left), at(right));
        while (end - start) * length > CLOSE_ENOUGH && at_left > 0.0 && at_right > 0.0 {
            if at_left <= at_right {
                (end, right, at_right) = (right, left, at_left);
                left = end - (end - start) * GOLDEN;
                at_left = at(left);
            } else {
                (start, left, at_left) = (left, right, at_right);
                right = start + (end - start) * GOLDEN;
                at_right = at(right);
            }
        }
        let (nearest, place) = if at_left <= at_right {
            (at_left, left)
        } else {
            (at_right, right)
        };
        if nearest > 0.0 {
            return (nearest - (end - start) * length, place);
        }
        let share = if run.norm_squared() > 0.0 {
            (-from.0.dot(&run) / run.norm_squared()).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let depth = (from.0 + run * share).norm() - self.radius;
        (depth.min(nearest), place)
    }

    /// Largest radius at any height from `low` to `high`, both within the envelope.
    fn widest(&self, low: f64, high: f64) -> f64 {
        let mut widest = self.radius_at(low).max(self.radius_at(high));
        for row in &self.rows {
            if (low..=high).contains(&row.height) {
                widest = widest.max(row.radius);
            }
        }
        widest
    }

    /// Outermost radius at a height within the envelope.
    fn radius_at(&self, height: f64) -> f64 {
        let above = self.rows.partition_point(|row| row.height < height);
        match (self.rows.get(above.wrapping_sub(1)), self.rows.get(above)) {
            (Some(lower), Some(upper)) if upper.height > lower.height => {
                let share = (height - lower.height) / (upper.height - lower.height);
                lower.radius + (upper.radius - lower.radius) * share
            }
            (_, Some(row)) | (Some(row), None) => row.radius,
            (None, None) => 0.0,
        }
    }
}

/// Squared distance in the half-plane from a point to the side between two corners.
fn squared_to_side(point: (f64, f64), from: (f64, f64), to: (f64, f64)) -> f64 {
    if !point.1.is_finite() {
        return f64::INFINITY;
    }
    let (dr, dz) = (to.0 - from.0, to.1 - from.1);
    let squared = dr * dr + dz * dz;
    let share = if squared > 0.0 {
        (((point.0 - from.0) * dr + (point.1 - from.1) * dz) / squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let (off_r, off_z) = (
        point.0 - (from.0 + dr * share),
        point.1 - (from.1 + dz * share),
    );
    off_r * off_r + off_z * off_z
}

/// What moves, as a convex region of the half-plane, before any widening for tilt.
struct Moving {
    /// Points `(r, z)`; the region is their hull, joined with the hanger's sector.
    points: Vec<(f64, f64)>,
    /// The hanger's sweep: pivot `(r, z)`, length, largest angle from straight down.
    sector: Option<((f64, f64), f64, f64)>,
    /// How far a rider reaches beyond.
    reach: f64,
    /// Steady hang angle, radians, and the rider's speed, metres a second.
    hang: Option<(f64, f64)>,
}

impl Moving {
    fn of(swing: &Swing) -> Moving {
        match swing {
            Swing::HungChairs(chairs) => Moving::of_chairs(chairs),
            Swing::RigidArms(arms) => Moving {
                points: vec![(arms.radius, arms.low), (arms.radius, arms.high)],
                sector: None,
                reach: arms.reach,
                hang: None,
            },
            Swing::Table(table) => Moving {
                points: table
                    .rows
                    .iter()
                    .map(|row| (row.radius, row.height))
                    .collect(),
                sector: None,
                reach: table.reach,
                hang: None,
            },
        }
    }

    fn of_chairs(chairs: &HungChairs) -> Moving {
        let rate = turn_rate(chairs.full_speed_rpm);
        let steady = hang_angle(rate, chairs.pivot_radius, chairs.hanger);
        let widest = (steady + chairs.allowance_deg.to_radians()).min(std::f64::consts::FRAC_PI_2);
        let orbit = chairs.pivot_radius + chairs.hanger * libm::sin(steady);
        Moving {
            // The top turns without riders on it, but shares the reach: it errs outwards.
            points: vec![(chairs.top_radius, chairs.top_height)],
            sector: Some((
                (chairs.pivot_radius, chairs.pivot_height),
                chairs.hanger,
                widest,
            )),
            reach: chairs.reach,
            hang: Some((steady, rate * orbit)),
        }
    }

    /// How far the region reaches in the direction `angle` from straight down.
    fn support(&self, angle: f64) -> f64 {
        let (sin, cos) = libm::sincos(angle);
        let along = |(r, z): (f64, f64)| r * sin - z * cos;
        let points = self.points.iter().map(|&point| along(point));
        let sector = self.sector.iter().map(|&(pivot, hanger, widest)| {
            // The sector reaches farthest along its own radius in that direction, else along
            // its edge, else at the pivot.
            let off = (angle - widest).max(0.0);
            along(pivot) + hanger * libm::cos(off).max(0.0)
        });
        self.reach + points.chain(sector).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The corners of the polygon of tangents, from the bottom up.
    fn outline(&self, widening: f64) -> Vec<EnvelopeRow> {
        let tangent = |angle: f64| {
            let (sin, cos) = libm::sincos(angle);
            Tangent {
                angle,
                sin,
                cos,
                reach: self.support(angle) + widening,
            }
        };
        let mut rows = Vec::new();
        let mut lower = tangent(0.0);
        // Tangents still to be laid, the next one last.
        let mut ahead: Vec<Tangent> = (1..=COARSE_TANGENTS)
            .rev()
            .map(|k| tangent(std::f64::consts::PI * f64::from(k) / f64::from(COARSE_TANGENTS)))
            .collect();
        while let Some(upper) = ahead.pop() {
            let corner = lower.meet(&upper);
            let between = tangent(f64::midpoint(lower.angle, upper.angle));
            let excess = corner.radius * between.sin - corner.height * between.cos - between.reach;
            if excess > TIGHTNESS && upper.angle - lower.angle > FINEST_STEP {
                ahead.push(upper);
                ahead.push(between);
            } else {
                rows.push(corner);
                lower = upper;
            }
        }
        // Neighbouring tangents at one corner of the region meet in the same place.
        rows.dedup_by(|next, kept| {
            (next.radius - kept.radius).abs() < 1e-9 && (next.height - kept.height).abs() < 1e-9
        });
        rows
    }
}

/// A line that the region touches and does not cross: `r sin − z cos = reach`.
struct Tangent {
    angle: f64,
    sin: f64,
    cos: f64,
    reach: f64,
}

impl Tangent {
    /// Where two tangents meet.
    fn meet(&self, next: &Tangent) -> EnvelopeRow {
        let turn = libm::sin(next.angle - self.angle);
        EnvelopeRow {
            radius: ((next.reach * self.cos - self.reach * next.cos) / turn).max(0.0),
            height: (next.reach * self.sin - self.reach * next.sin) / turn,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ride::RigidArms;
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
        assert!((envelope.distance(5.0, wire) - 2.5).abs() < 1e-9);
        // Right over the hub.
        assert!((envelope.distance(0.0, wire) - 1.5).abs() < 1e-9);
        // Beside it, and into it.
        assert!((envelope.distance(5.0, Heights::ALL) - 2.0).abs() < 1e-9);
        assert!((envelope.distance(2.5, Heights::ALL) + 0.5).abs() < 1e-9);
    }

    #[test]
    fn a_level_wire_is_as_far_as_pythagoras_says() {
        let envelope = tall(3.0);
        let wire = Heights {
            low: 7.0,
            high: 7.0,
        };
        let ends = (Step::new(7.0, -20.0), Step::new(7.0, 30.0));
        let (distance, place) = envelope.distance_to_run((ends.0, wire), (ends.1, wire));
        assert!(distance <= 5.0 && distance > 5.0 - 2e-3, "{distance}");
        assert!((place - 0.4).abs() < 0.01, "{place}");
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
            let distance = envelope.distance(r, Heights { low: z, high: z });
            prop_assert!(distance <= 1e-9, "a rider {distance} m outside at r {r}, z {z}");
        }

        #[test]
        fn the_outline_is_tight(angle in 0.0..std::f64::consts::PI) {
            let swing = Swing::HungChairs(chairs());
            let moving = Moving::of(&swing);
            let (sin, cos) = libm::sincos(angle);
            let reach = moving.outline(0.0).iter()
                .map(|row| row.radius * sin - row.height * cos)
                .fold(f64::NEG_INFINITY, f64::max);
            let support = moving.support(angle);
            prop_assert!(reach >= support - 1e-9);
            prop_assert!(reach <= support + 1e-3, "{} mm too wide", (reach - support) * 1e3);
        }

        #[test]
        fn a_run_is_never_overstated(
            x0 in -15.0..15.0_f64, y0 in -15.0..15.0_f64, z0 in 0.0..12.0_f64,
            x1 in -15.0..15.0_f64, y1 in -15.0..15.0_f64, z1 in 0.0..12.0_f64,
        ) {
            let envelope = Envelope::new(&Swing::HungChairs(chairs()), 0.002, None);
            let (from, to) = (Step::new(x0, y0), Step::new(x1, y1));
            let wire = |z: f64| Heights { low: z, high: z };
            let (bound, _) = envelope.distance_to_run((from, wire(z0)), (to, wire(z1)));
            let sampled = (0..=4000)
                .map(|k| f64::from(k) / 4000.0)
                .map(|t| envelope.distance(
                    (from + (to - from) * t).norm(), wire(z0 + (z1 - z0) * t)))
                .fold(f64::INFINITY, f64::min);
            prop_assert!(bound <= sampled + 1e-9, "{bound} > {sampled}");
            prop_assert!(
                sampled <= 0.0 || bound >= sampled - 1.1e-3, "{bound} far below {sampled}");
        }

        #[test]
        fn leaning_only_widens(tilt in 0.0..0.05_f64) {
            let swing = Swing::HungChairs(chairs());
            let (level, leaning) =
                (Envelope::new(&swing, 0.0, None), Envelope::new(&swing, tilt, None));
            prop_assert!(leaning.radius >= level.radius);
            // The rim, leant outwards and down, is still inside.
            let (sin, cos) = libm::sincos(tilt);
            for row in &level.rows {
                let (r, z) = (row.radius * cos + row.height * sin, row.height * cos - row.radius * sin);
                let distance = leaning.distance(r.max(0.0), Heights { low: z, high: z });
                prop_assert!(distance <= 1e-9, "{distance}");
            }
        }
    }
}
