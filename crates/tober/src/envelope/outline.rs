//! The outline of what moves: the polygon of tangents round a region of the half-plane, for a
//! frame that may lean.
//!
//! # Picture
//!
//! Ask in a direction `ψ` from straight down how far the region reaches: its *support*. A frame
//! that leans by up to `τ`, whichever way, turns each direction by up to `τ` against the ride, so
//! that the space it may sweep reaches as far as the region does in the best of the directions
//! from `ψ − τ` to `ψ + τ`. That is the support of the smallest convex space that holds every
//! leaning position: nothing is added for safety, and nothing is left out.

use std::f64::consts::PI;

use super::{EnvelopeRow, hang_angle, turn_rate};
use crate::ride::{HungChairs, RisingArms, Swing};

/// Tangents laid round the outline to begin with, from straight down to straight up: 15° apart.
const COARSE_TANGENTS: u32 = 12;

/// How far a corner of the outline may stand off the region before a tangent is laid between,
/// metres.
const TIGHTNESS: f64 = 0.5e-3;

/// Tangents are never laid closer than this, radians.
const FINEST_STEP: f64 = 1e-4;

/// What moves, as a convex region of the half-plane, on a level frame.
pub(super) struct Moving {
    /// Places that it reaches; the region is their hull, joined with the hanger's sector.
    points: Vec<Place>,
    /// The sweep of a hanger or of an arm that rises.
    sector: Option<Sector>,
    /// How far a rider reaches beyond.
    reach: f64,
    /// Steady hang angle, radians, and the rider's speed, metres a second.
    pub(super) hang: Option<(f64, f64)>,
}

/// A place of the half-plane.
#[derive(Clone, Copy)]
struct Place {
    radius: f64,
    height: f64,
}

impl Place {
    /// How far it lies in the direction `angle` from straight down.
    fn along(self, angle: f64) -> f64 {
        let (sin, cos) = libm::sincos(angle);
        self.radius * sin - self.height * cos
    }

    /// How far it lies in the best direction of a range within `[0, π]`.
    fn along_best(self, (low, high): (f64, f64)) -> f64 {
        let own = libm::atan2(self.radius, -self.height);
        self.along(own.max(low).min(high))
    }
}

/// What swings about a pivot sweeps, from one angle to another; angles from straight down.
#[derive(Clone, Copy)]
struct Sector {
    pivot: Place,
    hanger: f64,
    narrowest: f64,
    widest: f64,
}

impl Sector {
    /// How far it reaches in the best direction of a range.
    fn along_best(self, (low, high): (f64, f64)) -> f64 {
        // Towards the rim it reaches along its own radius, beyond that with its first or last
        // edge.
        let mut best = self.pivot.along_best((low, high));
        let edge = |angle: f64| {
            let (sin, cos) = libm::sincos(angle);
            Place {
                radius: self.pivot.radius + self.hanger * sin,
                height: self.pivot.height - self.hanger * cos,
            }
        };
        let rim = (low.max(self.narrowest), high.min(self.widest));
        if rim.0 <= rim.1 {
            best = best.max(self.pivot.along_best(rim) + self.hanger);
        }
        if high > self.widest {
            let beyond = (low.max(self.widest), high);
            best = best.max(edge(self.widest).along_best(beyond));
        }
        if low < self.narrowest {
            let before = (low, high.min(self.narrowest));
            best = best.max(edge(self.narrowest).along_best(before));
        }
        best
    }
}

impl Moving {
    pub(super) fn of(swing: &Swing) -> Moving {
        match swing {
            Swing::HungChairs(chairs) => Moving::of_chairs(chairs),
            Swing::RigidArms(arms) => Moving {
                points: [arms.low, arms.high]
                    .map(|height| Place {
                        radius: arms.radius,
                        height,
                    })
                    .to_vec(),
                sector: None,
                reach: arms.reach,
                hang: None,
            },
            Swing::RisingArms(arms) => Moving::of_rising(arms),
            Swing::Table(table) => Moving {
                points: table
                    .rows
                    .iter()
                    .map(|row| Place {
                        radius: row.radius,
                        height: row.height,
                    })
                    .collect(),
                sector: None,
                reach: table.reach,
                hang: None,
            },
        }
    }

    /// Every angle of an arm from its lowest to its highest: whenever it is there.
    fn of_rising(arms: &RisingArms) -> Moving {
        let from_down = |degrees: f64| PI / 2.0 + degrees.to_radians();
        Moving {
            points: vec![Place {
                radius: arms.top_radius,
                height: arms.top_height,
            }],
            sector: Some(Sector {
                pivot: Place {
                    radius: arms.hinge_radius,
                    height: arms.hinge_height,
                },
                hanger: arms.arm,
                narrowest: from_down(arms.lowest_deg),
                widest: from_down(arms.highest_deg),
            }),
            reach: arms.reach,
            hang: None,
        }
    }

    fn of_chairs(chairs: &HungChairs) -> Moving {
        let rate = turn_rate(chairs.full_speed_rpm);
        let steady = hang_angle(rate, chairs.pivot_radius, chairs.hanger);
        let widest = (steady + chairs.allowance_deg.to_radians()).min(PI / 2.0);
        let orbit = chairs.pivot_radius + chairs.hanger * libm::sin(steady);
        Moving {
            // The top turns without riders on it, but shares the reach: it errs outwards.
            points: vec![Place {
                radius: chairs.top_radius,
                height: chairs.top_height,
            }],
            sector: Some(Sector {
                pivot: Place {
                    radius: chairs.pivot_radius,
                    height: chairs.pivot_height,
                },
                hanger: chairs.hanger,
                narrowest: 0.0,
                widest,
            }),
            reach: chairs.reach,
            hang: Some((steady, rate * orbit)),
        }
    }

    /// How far the region reaches in the direction `angle` from straight down, the frame leaning
    /// by up to `lean` whichever way, radians.
    pub(super) fn support(&self, angle: f64, lean: f64) -> f64 {
        // Past straight down, and past straight up, the far side of the ride takes over, which
        // is the same again.
        let range = ((angle - lean).max(0.0), (angle + lean).min(PI));
        let points = self.points.iter().map(|point| point.along_best(range));
        let sector = self.sector.iter().map(|sector| sector.along_best(range));
        self.reach + points.chain(sector).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The corners of the polygon of tangents, from the bottom up, the frame leaning by up to
    /// `lean` whichever way, radians.
    pub(super) fn outline(&self, lean: f64) -> Vec<EnvelopeRow> {
        let tangent = |angle: f64| {
            let (sin, cos) = libm::sincos(angle);
            Tangent {
                angle,
                sin,
                cos,
                reach: self.support(angle, lean),
            }
        };
        let mut rows = Vec::new();
        let mut lower = tangent(0.0);
        // Tangents still to be laid, the next one last.
        let mut ahead: Vec<Tangent> = (1..=COARSE_TANGENTS)
            .rev()
            .map(|k| tangent(PI * f64::from(k) / f64::from(COARSE_TANGENTS)))
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
    use proptest::prelude::*;

    use super::*;
    use crate::ride::{RigidArms, RisingArms, SwingRow, SwingTable};

    fn swings() -> impl Strategy<Value = Swing> {
        let chairs = (
            0.5..4.0_f64,
            3.0..9.0_f64,
            0.5..3.0_f64,
            0.0..1.2_f64,
            0.0..14.0_f64,
        )
            .prop_map(|(pivot_radius, pivot_height, hanger, reach, rpm)| {
                Swing::HungChairs(HungChairs {
                    pivot_radius,
                    pivot_height,
                    hanger,
                    reach,
                    full_speed_rpm: rpm,
                    allowance_deg: 6.0,
                    top_radius: pivot_radius + 0.3,
                    top_height: pivot_height + 0.8,
                })
            });
        let arms = (0.5..9.0_f64, -0.5..3.0_f64, 0.1..9.0_f64, 0.0..1.2_f64).prop_map(
            |(radius, low, rise, reach)| {
                Swing::RigidArms(RigidArms {
                    radius,
                    low,
                    high: low + rise,
                    reach,
                })
            },
        );
        let rows = prop::collection::vec((0.2..9.0_f64, 0.1..3.0_f64), 2..6);
        let table = (rows, 0.0..1.0_f64).prop_map(|(rows, reach)| {
            let mut height = 0.0;
            let rows = rows
                .into_iter()
                .map(|(radius, rise)| {
                    height += rise;
                    SwingRow { height, radius }
                })
                .collect();
            Swing::Table(SwingTable { rows, reach })
        });
        let rising = (
            (0.0..3.0_f64, 1.0..5.0_f64, 0.5..6.0_f64),
            (-60.0..60.0_f64, 0.0..80.0_f64, 0.0..1.2_f64),
        )
            .prop_map(
                |((hinge_radius, hinge_height, arm), (lowest, rise, reach))| {
                    Swing::RisingArms(RisingArms {
                        hinge_radius,
                        hinge_height,
                        arm,
                        lowest_deg: lowest,
                        highest_deg: (lowest + rise).min(90.0),
                        reach,
                        top_radius: hinge_radius,
                        top_height: hinge_height,
                    })
                },
            );
        prop_oneof![chairs, arms, rising, table]
    }

    fn reach_of(rows: &[EnvelopeRow], angle: f64) -> f64 {
        let (sin, cos) = libm::sincos(angle);
        rows.iter()
            .map(|row| row.radius * sin - row.height * cos)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    proptest! {
        #[test]
        fn the_outline_is_tight(
            swing in swings(), lean in 0.0..0.2_f64, angle in 0.0..PI,
        ) {
            let moving = Moving::of(&swing);
            let reach = reach_of(&moving.outline(lean), angle);
            let support = moving.support(angle, lean);
            prop_assert!(reach >= support - 1e-9);
            prop_assert!(reach <= support + 1e-3, "{} mm too wide", (reach - support) * 1e3);
        }

        /// No place of an arm, at any angle on its way and with any reach, is outside.
        #[test]
        fn no_arm_leaves_the_outline(
            hinge_radius in 0.0..3.0_f64, hinge_height in 1.0..5.0_f64, arm in 0.5..6.0_f64,
            lowest_deg in -60.0..60.0_f64, rise in 0.0..80.0_f64, reach in 0.0..1.2_f64,
            share in 0.0..=1.0_f64, along in 0.0..=1.0_f64, around in 0.0..(2.0 * PI),
            angle in 0.0..PI,
        ) {
            let highest_deg = (lowest_deg + rise).min(90.0);
            let moving = Moving::of(&Swing::RisingArms(RisingArms {
                hinge_radius, hinge_height, arm, lowest_deg, highest_deg, reach,
                top_radius: 0.0, top_height: 1.0,
            }));
            let raised = (lowest_deg + (highest_deg - lowest_deg) * share).to_radians();
            let radius = hinge_radius + arm * along * libm::cos(raised) + reach * libm::sin(around);
            let height = hinge_height + arm * along * libm::sin(raised) + reach * libm::cos(around);
            let (sin, cos) = libm::sincos(angle);
            let out = radius * sin - height * cos;
            prop_assert!(out <= moving.support(angle, 0.0) + 1e-9);
            let outline = moving.outline(0.0);
            prop_assert!(out <= reach_of(&outline, angle) + 1e-9);
        }

        /// The support of a leaning frame is the best of what the level one has within the lean,
        /// found by trying directions.
        #[test]
        fn leaning_turns_directions(
            swing in swings(), lean in 0.0..0.2_f64, angle in 0.0..PI,
        ) {
            let moving = Moving::of(&swing);
            let tried = (-2000..=2000)
                .map(|k| angle + lean * f64::from(k) / 2000.0)
                .map(|turned| if turned > PI { 2.0 * PI - turned } else { turned.abs() })
                .map(|turned| moving.support(turned, 0.0))
                .fold(f64::NEG_INFINITY, f64::max);
            let found = moving.support(angle, lean);
            prop_assert!(found >= tried - 1e-9, "{found} < {tried}");
            prop_assert!(found <= tried + 1e-3, "{found} > {tried}");
        }
    }
}
