//! How high what moves keeps above the ground, bearing by bearing round the hub.
//!
//! # Picture
//!
//! ```text
//!      hub                         along one bearing, the underside of the envelope and the
//!       │▔▔▔▔▔▔▔▔▔▔╲               ground are both made of straight pieces: they come nearest
//!       │ envelope  ▏              where one of them breaks
//!       │__________╱
//!       │        ↕ least
//!     ▁▁▁▁▁▁▁▁▁▁▁▁▁╱▔▔▔ ground
//! ```
//!
//! Along each bearing the least height is exact. What lies between two bearings is not looked at:
//! it is told and drawn, and a place that is struck is a fault, but no clearance is promised.

use serde::{Deserialize, Serialize};

use super::Envelope;
use crate::ground::Ground;
use crate::units::LengthStyle;
use crate::{Point, Step};

/// Bearings that are looked along.
const BEARINGS: u32 = 24;

/// How high what moves keeps above the ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OverGround {
    /// The least of all bearings, metres; negative where the ground is struck.
    pub least: f64,
    /// Where, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Along which bearing, degrees clockwise from grid north.
    pub bearing_deg: f64,
    /// The least along each bearing, from north clockwise, metres; absent where no ground is
    /// surveyed along it.
    pub by_bearing: Vec<Option<f64>>,
    /// Whether the survey tells of the ground all along every bearing.
    pub surveyed: bool,
}

impl OverGround {
    /// In one sentence, rounded to the safe side.
    pub fn in_words(&self, style: LengthStyle) -> String {
        let least = if self.least < 0.0 {
            format!("strike the ground by {}", style.format_up(-self.least))
        } else {
            let least = style.format_down(self.least);
            format!("keep {least} above the ground at the least")
        };
        let part = if self.surveyed {
            ""
        } else {
            "; part of the ground is not surveyed"
        };
        format!(
            "Moving parts {least}, along {:.0}° from north; {BEARINGS} bearings are looked \
             along{part}.",
            self.bearing_deg
        )
    }
}

/// Looks along every bearing from the hub; `None` where the ride's own height or all of the
/// ground is not known.
pub(crate) fn over_ground(envelope: &Envelope, hub: Point, ground: &Ground) -> Option<OverGround> {
    let datum = envelope.datum?.0;
    let mut found: Option<OverGround> = None;
    let mut by_bearing = Vec::new();
    let mut surveyed = true;
    for k in 0..BEARINGS {
        let bearing_deg = 360.0 * f64::from(k) / f64::from(BEARINGS);
        let (sin, cos) = libm::sincos(bearing_deg.to_radians());
        let along = Step::new(sin, cos);
        let section = ground.section(hub, hub + along * envelope.radius);
        surveyed &= section.gaps().is_empty();
        let mut nearest: Option<(f64, f64)> = None;
        let mut look = |distance: f64, ground: f64| {
            let height = datum + envelope.underside(distance) - ground;
            if nearest.is_none_or(|(least, _)| height < least) {
                nearest = Some((height, distance));
            }
        };
        for stretch in &section.stretches {
            for point in stretch {
                look(point.distance, point.elevation.0);
            }
            for pair in stretch.windows(2) {
                let [a, b] = pair else { continue };
                let within =
                    |row: &&super::EnvelopeRow| row.radius > a.distance && row.radius < b.distance;
                for row in envelope.rows.iter().filter(within) {
                    let share = (row.radius - a.distance) / (b.distance - a.distance);
                    let rise = b.elevation.0 - a.elevation.0;
                    look(row.radius, a.elevation.0 + rise * share);
                }
            }
        }
        by_bearing.push(nearest.map(|(least, _)| least));
        if let Some((least, distance)) = nearest
            && found.as_ref().is_none_or(|found| least < found.least)
        {
            found = Some(OverGround {
                least,
                at: hub + along * distance,
                bearing_deg,
                by_bearing: Vec::new(),
                surveyed: false,
            });
        }
    }
    found.map(|found| OverGround {
        by_bearing,
        surveyed,
        ..found
    })
}

impl Envelope {
    /// Height of its underside above the datum plane at a distance from the axis, metres; that of
    /// its rim farther out.
    fn underside(&self, distance: f64) -> f64 {
        let mut before: Option<&super::EnvelopeRow> = None;
        for row in &self.rows {
            // The outline turns inwards again above the widest place.
            if before.is_some_and(|before| before.radius > row.radius) {
                break;
            }
            if row.radius >= distance {
                return match before {
                    Some(before) if row.radius > before.radius => {
                        let share = (distance - before.radius) / (row.radius - before.radius);
                        before.height + (row.height - before.height) * share
                    }
                    _ => row.height,
                };
            }
            before = Some(row);
        }
        before.map_or(0.0, |row| row.height)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::Elevation;
    use crate::ride::{RigidArms, Swing, SwingRow, SwingTable};
    use crate::site::SpotLevel;

    /// A plane through 50 m at the origin, rising so much in a metre to the east.
    fn plane(east: f64) -> Ground {
        let shots = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)]
            .map(|(x, y)| SpotLevel::new(x, y, Elevation(50.0 + east * x)));
        Ground::new(&shots)
    }

    fn arms(datum: f64) -> Envelope {
        let arms = RigidArms {
            radius: 5.0,
            low: 0.5,
            high: 3.0,
            reach: 0.0,
        };
        Envelope::new(&Swing::RigidArms(arms), 0.0, Some(Elevation(datum)))
    }

    #[test]
    fn on_a_slope_the_high_side_is_nearest() {
        let found = over_ground(&arms(51.0), Point::origin(), &plane(0.04)).unwrap();
        // 1.5 m above the hub's ground, less 0.04 of 5 m to the east.
        assert!((found.least - 1.3).abs() < 1e-6, "{found:?}");
        assert_eq!(found.bearing_deg, 90.0);
        assert!((found.at - Point::new(5.0, 0.0)).norm() < 1e-6);
        // To the west the ground falls away: nearest by the hub. Abreast it is level.
        let at = |bearing: f64| found.by_bearing[(bearing / 15.0) as usize].unwrap();
        assert!((at(270.0) - 1.5).abs() < 1e-6 && (at(0.0) - 1.5).abs() < 1e-6);
        assert!(found.surveyed);
    }

    #[test]
    fn the_underside_of_a_cone_rises_outwards() {
        let rows = [(1.0, 1.0), (3.0, 5.0)].map(|(height, radius)| SwingRow { height, radius });
        let swing = Swing::Table(SwingTable {
            rows: rows.to_vec(),
            reach: 0.0,
        });
        let cone = Envelope::new(&swing, 0.0, Some(Elevation(50.0)));
        assert!((cone.underside(0.5) - 1.0).abs() < 1e-3);
        assert!((cone.underside(3.0) - 2.0).abs() < 1e-3);
        // Ground that rises by 0.6 in a metre meets the underside, 1 in 2, at the rim first.
        let found = over_ground(&cone, Point::origin(), &plane(0.6)).unwrap();
        assert!((found.least - (3.0 - 0.6 * 5.0)).abs() < 2e-3, "{found:?}");
    }

    #[test]
    fn struck_ground_is_negative_and_unknown_ground_stays_unknown() {
        let struck = over_ground(&arms(49.4), Point::origin(), &plane(0.0)).unwrap();
        assert!((struck.least + 0.1).abs() < 1e-6, "{struck:?}");
        let edge = over_ground(&arms(51.0), Point::new(19.0, 0.0), &plane(0.0)).unwrap();
        assert!(!edge.surveyed);
        let off = over_ground(&arms(51.0), Point::new(60.0, 0.0), &plane(0.0));
        assert_eq!(off, None);
    }
}
