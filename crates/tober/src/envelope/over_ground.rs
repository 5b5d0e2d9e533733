//! How high what moves keeps above the ground, all the way round the hub.
//!
//! # Picture
//!
//! ```text
//!      hub                         the underside of the envelope and the ground are both made of
//!       │▔▔▔▔▔▔▔▔▔▔╲               flat and straight pieces: where they come nearest can be
//!       │ envelope  ▏              worked out, piece by piece
//!       │__________╱
//!       │        ↕ least
//!     ▁▁▁▁▁▁▁▁▁▁▁▁▁╱▔▔▔ ground
//! ```
//!
//! # Method
//!
//! Over one triangle of the ground the height `u(r) − g(p)` between underside and ground is
//! convex, for the underside of a convex space is. Its least lies at a corner of the triangle; on
//! a side, where the side crosses a circle on which the underside breaks, or where the side's own
//! fall is as steep as the underside rises along it; or within, straight up the triangle's slope
//! from the hub, on such a circle. All of these places are looked at, so that the answer is exact
//! and nothing hides between two bearings. The bearings only divide the circle into wedges, for
//! the table: each is bounded by two rays from the hub, along which both are straight again.

use serde::{Deserialize, Serialize};

use super::Envelope;
use crate::ground::{Facet, Ground};
use crate::units::LengthStyle;
use crate::{Point, Step};

/// Wedges that the circle is told by.
const BEARINGS: u32 = 24;

/// A place a rounding outside a triangle counts as on it, as a share of its size.
const ON_IT: f64 = 1e-9;

/// How high what moves keeps above the ground.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct OverGround {
    /// The least of all, metres; negative where the ground is struck. Never overstated.
    pub least: f64,
    /// Where, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Along which bearing that is, degrees clockwise from grid north.
    pub bearing_deg: f64,
    /// The least in each wedge of 15°, the first about north and on clockwise, metres; absent
    /// where no ground is surveyed in it.
    pub by_bearing: Vec<Option<f64>>,
    /// Whether the survey tells of all of the ground beneath.
    pub surveyed: bool,
}

impl OverGround {
    /// Taking in something else that moves and keeps so high, metres, over the place about the
    /// hub where the ground is; `None` where that is not known.
    pub(crate) fn and(self, height: Option<f64>, at: Point, hub: Point) -> OverGround {
        match height {
            Some(height) if height < self.least => OverGround {
                least: height,
                at,
                bearing_deg: bearing(at - hub),
                ..self
            },
            Some(_) => self,
            None => OverGround {
                surveyed: false,
                ..self
            },
        }
    }

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
            "Moving parts {least}, at {:.0}° from north{part}.",
            self.bearing_deg
        )
    }
}

/// Looks all round the hub; `None` where the ride's own height or all of the ground is not known.
pub(crate) fn over_ground(envelope: &Envelope, hub: Point, ground: &Ground) -> Option<OverGround> {
    let mut search = Search {
        datum: envelope.datum?.0,
        hub,
        envelope,
        breaks: envelope.underside_breaks(),
        wedges: vec![None; BEARINGS as usize],
    };
    let mut surveyed = true;
    for wedge in 0..BEARINGS {
        surveyed &= search.ray(ground, wedge);
    }
    let facets = ground.facets_within(hub, envelope.radius);
    for (at, elevation) in facets.iter().flatten() {
        search.look(at - hub, elevation.0, None);
    }
    for facet in &facets {
        if search.may_hold_lower(facet) {
            search.facet(facet);
        }
    }
    surveyed &= holds(ground.outline(), hub, envelope.radius);
    let wedges = search.wedges.iter().flatten();
    let least = *wedges.min_by(|a, b| a.height.total_cmp(&b.height))?;
    let out = least.at - hub;
    Some(OverGround {
        least: least.height,
        at: least.at,
        bearing_deg: bearing(out),
        by_bearing: search
            .wedges
            .iter()
            .map(|it| it.map(|it| it.height))
            .collect(),
        surveyed,
    })
}

/// Whether a circle lies within a convex outline.
fn holds(outline: &[Point], middle: Point, radius: f64) -> bool {
    let next = outline.iter().cycle().skip(1);
    let mut sides = outline.iter().zip(next);
    outline.len() > 2
        && sides.all(|(from, to)| {
            let along = to - from;
            along.perp(&(middle - from)) >= (radius - 1e-6) * along.norm()
        })
}

/// Degrees clockwise from grid north.
fn bearing(out: Step) -> f64 {
    libm::atan2(out.x, out.y).to_degrees().rem_euclid(360.0)
}

/// A place, and how high what moves keeps above it, metres.
#[derive(Clone, Copy)]
struct Low {
    height: f64,
    at: Point,
}

/// The lowest places found so far.
struct Search<'a> {
    datum: f64,
    hub: Point,
    envelope: &'a Envelope,
    /// Radii at which the underside breaks, from the axis to the rim.
    breaks: Vec<f64>,
    /// Of each wedge.
    wedges: Vec<Option<Low>>,
}

impl Search<'_> {
    /// Looks at a place of the ground, by how far it lies from the hub.
    fn look(&mut self, out: Step, ground: f64, wedge: Option<usize>) {
        let distance = out.norm();
        // The rim itself is reached by rounding only.
        if distance > self.envelope.radius * (1.0 + ON_IT) {
            return;
        }
        let height = self.datum + self.envelope.underside(distance) - ground;
        let wedge = wedge.unwrap_or_else(|| {
            let wedge = bearing(out) * f64::from(BEARINGS) / 360.0;
            wedge.round() as usize % BEARINGS as usize
        });
        let found = Low {
            height,
            at: self.hub + out,
        };
        if let Some(kept) = self.wedges.get_mut(wedge)
            && kept.is_none_or(|kept| height < kept.height)
        {
            *kept = Some(found);
        }
    }

    /// Whether a triangle may hold a place lower than what is known of its wedges. Most of a dense
    /// survey does not.
    fn may_hold_lower(&self, facet: &Facet) -> bool {
        let [a, b, c] = facet.map(|(at, _)| at - self.hub);
        let size = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        let nearest = (a.norm().min(b.norm()).min(c.norm()) - size).max(0.0);
        let highest = facet.iter().map(|(_, elevation)| elevation.0);
        let highest = highest.fold(f64::NEG_INFINITY, f64::max);
        let bound = self.datum + self.envelope.underside(nearest) - highest;
        let lower = |wedge: &Option<Low>| wedge.is_none_or(|kept| bound < kept.height);
        let middle = (a + b + c) / 3.0;
        // Seen from the hub it spreads by so much to either side of its middle.
        let spread = size / middle.norm();
        if spread >= 1.0 || !spread.is_finite() {
            return self.wedges.iter().any(lower);
        }
        let wide = f64::from(BEARINGS) / 360.0;
        let (here, half) = (
            bearing(middle) * wide,
            libm::asin(spread).to_degrees() * wide,
        );
        let range = (here - half).round() as i64..=(here + half).round() as i64;
        let of_range = range.filter_map(|wedge| {
            let wedge = wedge.rem_euclid(i64::from(BEARINGS)) as usize;
            self.wedges.get(wedge)
        });
        of_range.into_iter().any(lower)
    }

    /// One triangle of the ground.
    fn facet(&mut self, facet: &Facet) {
        let [a, b, c] = facet.map(|(at, elevation)| (at - self.hub, elevation.0));
        for (from, to) in [(a, b), (b, c), (c, a)] {
            self.side(from, to);
        }
        // Within: straight up the slope from the hub.
        let (to_b, to_c) = (b.0 - a.0, c.0 - a.0);
        let area = to_b.perp(&to_c);
        if area == 0.0 {
            return;
        }
        let (up_b, up_c) = (b.1 - a.1, c.1 - a.1);
        let slope = Step::new(up_b * to_c.y - up_c * to_b.y, up_c * to_b.x - up_b * to_c.x) / area;
        let up = slope.try_normalize(0.0).unwrap_or_default();
        let radii = std::mem::take(&mut self.breaks);
        for &radius in [0.0].iter().chain(&radii) {
            let out = up * radius;
            let off = out - a.0;
            let (share_b, share_c) = (off.perp(&to_c) / area, to_b.perp(&off) / area);
            if share_b >= -ON_IT && share_c >= -ON_IT && share_b + share_c <= 1.0 + ON_IT {
                self.look(out, a.1 + share_b * up_b + share_c * up_c, None);
            }
        }
        self.breaks = radii;
    }

    /// One side of a triangle.
    fn side(&mut self, from: (Step, f64), to: (Step, f64)) {
        let run = to.0 - from.0;
        let length = run.norm();
        if length == 0.0 {
            return;
        }
        let along = run / length;
        let fall = (to.1 - from.1) / length;
        // Where the line of the side passes nearest to the hub, from its start.
        let foot = -from.0.dot(&along);
        let aside = along.perp(&from.0).abs();
        let mut places = vec![foot];
        let radii = std::mem::take(&mut self.breaks);
        for &radius in &radii {
            let half = (radius * radius - aside * aside).max(0.0).sqrt();
            places.extend([foot - half, foot + half]);
        }
        // Where the underside rises along the side as the ground does.
        let rises = self.envelope.underside_rises();
        for rise in rises.filter(|rise| *rise > fall.abs()) {
            places.push(foot + fall * aside / (rise * rise - fall * fall).sqrt());
        }
        for place in places.into_iter().filter(|it| (0.0..=length).contains(it)) {
            self.look(from.0 + along * place, from.1 + fall * place, None);
        }
        self.breaks = radii;
    }

    /// The ray from the hub between a wedge and the next; whether all of it is surveyed.
    fn ray(&mut self, ground: &Ground, wedge: u32) -> bool {
        let turn = (f64::from(wedge) + 0.5) * std::f64::consts::TAU / f64::from(BEARINGS);
        let (sin, cos) = libm::sincos(turn);
        let along = Step::new(sin, cos);
        let section = ground.section(self.hub, self.hub + along * self.envelope.radius);
        let wedges = [wedge, (wedge + 1) % BEARINGS].map(|it| it as usize);
        let radii = std::mem::take(&mut self.breaks);
        for stretch in &section.stretches {
            for point in stretch {
                for wedge in wedges {
                    self.look(along * point.distance, point.elevation.0, Some(wedge));
                }
            }
            for pair in stretch.windows(2) {
                let [a, b] = pair else { continue };
                let within = |radius: &&f64| **radius > a.distance && **radius < b.distance;
                for &radius in radii.iter().filter(within) {
                    let share = (radius - a.distance) / (b.distance - a.distance);
                    let rise = b.elevation.0 - a.elevation.0;
                    for wedge in wedges {
                        self.look(along * radius, a.elevation.0 + rise * share, Some(wedge));
                    }
                }
            }
        }
        self.breaks = radii;
        section.gaps().is_empty()
    }
}

impl Envelope {
    /// The rows of its underside, from the axis to the rim.
    fn underside_rows(&self) -> impl Iterator<Item = &super::EnvelopeRow> {
        let rim = self.rows.iter().position(|row| row.radius >= self.radius);
        self.rows.iter().take(rim.map_or(0, |rim| rim + 1))
    }

    /// Radii at which its underside breaks.
    fn underside_breaks(&self) -> Vec<f64> {
        self.underside_rows().map(|row| row.radius).collect()
    }

    /// How steep the pieces of its underside rise outwards.
    fn underside_rises(&self) -> impl Iterator<Item = f64> {
        let rows = self.underside_rows();
        let next = self.underside_rows().skip(1);
        let pieces = rows.zip(next).filter(|(a, b)| b.radius > a.radius);
        pieces.map(|(a, b)| (b.height - a.height) / (b.radius - a.radius))
    }

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
    use proptest::prelude::*;

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
        assert!((found.bearing_deg - 90.0).abs() < 1e-6);
        assert!((found.at - Point::new(5.0, 0.0)).norm() < 1e-6);
        // To the west the ground falls away: nearest by the hub. Abreast, the wedge reaches 7.5°
        // towards the high side.
        let at = |bearing: f64| found.by_bearing[(bearing / 15.0) as usize].unwrap();
        assert!((at(270.0) - 1.5).abs() < 1e-6);
        let abreast = 1.5 - 0.04 * 5.0 * libm::sin(7.5_f64.to_radians());
        assert!((at(0.0) - abreast).abs() < 1e-6, "{}", at(0.0));
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

    #[test]
    fn a_mound_between_two_bearings_is_not_missed() {
        let (sin, cos) = libm::sincos(7.5_f64.to_radians());
        // Flat, but for a heap a hand wide and 0.4 m high on the bearing of 7.5°, 3 m out.
        let heap = Point::new(3.0 * sin, 3.0 * cos);
        let foot = [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.1), (0.0, -0.1)]
            .map(|(x, y)| SpotLevel::new(heap.x + x, heap.y + y, Elevation(50.0)));
        let top = SpotLevel::new(heap.x, heap.y, Elevation(50.4));
        let frame = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)]
            .map(|(x, y)| SpotLevel::new(x, y, Elevation(50.0)));
        let shots: Vec<SpotLevel> = frame.into_iter().chain(foot).chain([top]).collect();
        let found = over_ground(&arms(51.0), Point::origin(), &Ground::new(&shots)).unwrap();
        assert!((found.least - 1.1).abs() < 1e-6, "{found:?}");
        assert!((found.at - heap).norm() < 1e-6);
    }

    proptest! {
        /// Nothing lies lower than what is found, wedge by wedge, and something lies as low.
        #[test]
        fn the_least_is_the_least(
            shots in prop::collection::vec((-9.0..9.0_f64, -9.0..9.0_f64, 49.0..51.5_f64), 3..25),
            x in -3.0..3.0_f64, y in -3.0..3.0_f64, low in 0.2..1.5_f64, inner in 0.0..3.0_f64,
            outer in 0.5..4.0_f64, rise in 0.2..3.0_f64,
        ) {
            let frame = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)]
                .map(|(x, y)| SpotLevel::new(x, y, Elevation(50.0)));
            let within = shots.iter().map(|&(x, y, z)| SpotLevel::new(x, y, Elevation(z)));
            let shots: Vec<SpotLevel> = frame.into_iter().chain(within).collect();
            let ground = Ground::new(&shots);
            let rows = [(low, inner), (low + rise, inner + outer)]
                .map(|(height, radius)| SwingRow { height, radius });
            let swing = Swing::Table(SwingTable { rows: rows.to_vec(), reach: 0.0 });
            let envelope = Envelope::new(&swing, 0.01, Some(Elevation(51.0)));
            let hub = Point::new(x, y);
            let found = over_ground(&envelope, hub, &ground).unwrap();
            prop_assert!(found.surveyed);
            let at = |out: Step| {
                let ground = ground.height(hub + out).unwrap().0;
                51.0 + envelope.underside(out.norm()) - ground
            };
            for wedge in 0..24 {
                for turn in -5..=5 {
                    let bearing = (15.0 * f64::from(wedge) + 1.5 * f64::from(turn)).to_radians();
                    let (sin, cos) = libm::sincos(bearing);
                    for k in 0..=40 {
                        let radius = envelope.radius * f64::from(k) / 40.0;
                        let sampled = at(Step::new(sin, cos) * radius);
                        let least = found.by_bearing[wedge as usize].unwrap();
                        prop_assert!(least <= sampled + 1e-6, "{least} > {sampled}");
                    }
                }
            }
            let there = at(found.at - hub);
            prop_assert!((found.least - there).abs() < 1e-6, "{} {there}", found.least);
        }
    }
}
