//! Ways that are kept free: what is left of the width of a walkway or a fire lane ([`squeeze`]),
//! the height over it ([`overhead`]), how steep it is, and whether a lane leads anywhere.
//!
//! # Picture
//!
//! ```text
//!   ─────────────────────────── edge
//!        ┌──┐         ╱╲                what stands together in the band is a cluster; how wide
//!   ─ ─ ─│  │─ ─ ─ ─ ╱  ╲ ─ ─ ─ middle  somebody may be who gets past it is its pinch; the least
//!        └──┘ ▲              ▲          of all pinches is the clear width
//!   ──────────│──────────────│─ edge
//!             pinches
//! ```
//!
//! Nothing errs to the wide side: round things are drawn round from outside.
//!
//! Slopes are those of the triangulated ground: along the middle line from one edge of a triangle
//! to the next, and across from edge to edge.

use serde::{Deserialize, Serialize};

use super::bends::{Bend, bends};
use super::headroom::overhead;
use super::squeeze;
use super::standing::{Thing, things};
use super::{Parts, RuleInForce, Shape, contains};
use crate::assess::Verdict;
use crate::ground::SectionPoint;
use crate::site::{Site, Surface};
use crate::{Point, Step};

/// A dead end longer than this, metres, needs a place to turn: International Fire Code 503.2.5,
/// 150 ft; memory.
const DEAD_END: f64 = 150.0 * 0.3048;

/// How near a lane's end must come to what it leads to, metres.
const MEETS: f64 = 1.0;

/// Length over which a slope is taken, metres: a 24 in level; common practice, no published
/// source.
const LEVEL: f64 = 0.61;

/// A stretch shorter than this outside the survey, metres, is taken to go on as the ground beside
/// it.
const NO_GAP: f64 = 0.1;

/// Which kind of way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum WayKind {
    /// For people on foot or in a wheelchair.
    Walkway,
    /// For fire appliances.
    FireLane,
}

/// What is left of a way.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct WayCheck {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Which kind.
    pub kind: WayKind,
    /// Width as drawn, metres.
    pub width: f64,
    /// Least width left, metres; never overstated.
    pub clear_width: f64,
    /// Least width asked for, metres.
    pub width_required: f64,
    /// Where something stands in it, the narrowest place of each stretch.
    pub pinches: Vec<Pinch>,
    /// Least height left under wires and canopies, metres; absent when nothing hangs over it.
    pub clear_height: Option<f64>,
    /// Least height asked for, metres.
    pub height_required: f64,
    /// Steepest along, metres in a metre; absent for fire lanes and where the ground is unknown.
    pub steepest_along: Option<SteepPlace>,
    /// Steepest across.
    pub steepest_across: Option<SteepPlace>,
    /// Where a fire lane turns.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub bends: Vec<Bend>,
    /// Length of it of which the survey does not tell, metres.
    pub unsurveyed: f64,
    /// How it came out.
    pub verdict: Verdict,
    /// What fails, and what had to be assumed, in plain words.
    pub notes: Vec<String>,
}

/// A place where a way is narrowed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Pinch {
    /// On the middle line, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Width left there, metres.
    pub clear: f64,
    /// The two places between which it is left: of what stands there, or on an edge of the way.
    #[cfg_attr(feature = "schema", schemars(with = "[[f64; 2]; 2]"))]
    pub between: (Point, Point),
    /// What stands there.
    pub by: Vec<String>,
}

/// A steep place of a way.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct SteepPlace {
    /// On the middle line, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
    /// Slope without its sign, metres in a metre.
    pub slope: f64,
    /// The most that is accessible there.
    pub limit: f64,
}

/// Every walkway and fire lane of a site, with its rides standing as they do.
pub fn ways(site: &Site, rules: &[RuleInForce], rides: &[Parts]) -> Vec<WayCheck> {
    let features = &site.file().features;
    let required = |id: &str| {
        let rule = rules.iter().find(|rule| rule.id == id);
        rule.map_or(0.0, |rule| rule.required)
    };
    let limits = Limits {
        along: required("walkway-slope-along"),
        across_paved: required("walkway-slope-across-paved"),
        across_soft: required("walkway-slope-across-soft"),
        inside_radius: required("fire-lane-inside-radius"),
        outside_radius: required("fire-lane-outside-radius"),
    };
    let walkways = features.walkways.iter().map(|it| Way {
        id: &it.id,
        name: &it.name,
        kind: WayKind::Walkway,
        path: &it.path,
        width: it.width,
        width_required: required("walkway-width"),
        height_required: required("walkway-height"),
    });
    let lanes = features.fire_lanes.iter().map(|it| Way {
        id: &it.id,
        name: &it.name,
        kind: WayKind::FireLane,
        path: &it.path,
        width: it.width,
        width_required: required("fire-lane-width"),
        height_required: required("fire-lane-height"),
    });
    let ways: Vec<Way<'_>> = walkways.chain(lanes).collect();
    let reached = reached(site);
    // What is in the way of heads is not what is in the way of appliances.
    let mut standing: Vec<(f64, Vec<Thing>)> = Vec::new();
    for way in &ways {
        let head = way.height_required;
        if standing.iter().all(|(known, _)| *known != head) {
            standing.push((head, things(site, rides, head)));
        }
    }
    let checks = ways.iter().map(|way| {
        let mut known = standing.iter();
        let found = known.find(|(head, _)| *head == way.height_required);
        way.check(site, found.map_or(&[], |(_, things)| things), &limits)
    });
    let mut checks: Vec<WayCheck> = checks.collect();
    for (check, way) in checks.iter_mut().zip(&ways) {
        if way.kind == WayKind::FireLane {
            way.leads_on(site, &reached, check);
        }
    }
    checks
}

/// Values of rules that are asked of a way besides its width and height.
struct Limits {
    along: f64,
    across_paved: f64,
    across_soft: f64,
    inside_radius: f64,
    outside_radius: f64,
}

/// A way as it is drawn.
struct Way<'a> {
    id: &'a str,
    name: &'a str,
    kind: WayKind,
    path: &'a [Point],
    width: f64,
    width_required: f64,
    height_required: f64,
}

impl Way<'_> {
    fn check(&self, site: &Site, standing: &[Thing], limits: &Limits) -> WayCheck {
        let mut check = WayCheck {
            id: self.id.to_owned(),
            name: if self.name.is_empty() {
                self.id
            } else {
                self.name
            }
            .to_owned(),
            kind: self.kind,
            width: self.width,
            clear_width: self.width,
            width_required: self.width_required,
            pinches: Vec::new(),
            clear_height: None,
            height_required: self.height_required,
            steepest_along: None,
            steepest_across: None,
            bends: Vec::new(),
            unsurveyed: 0.0,
            verdict: Verdict::Pass,
            notes: Vec::new(),
        };
        if self.kind == WayKind::FireLane {
            self.turns(site, limits, standing, &mut check);
        }
        // Only what stands in it narrows it.
        let band = Shape::band(self.path, self.width);
        let around = band.extent();
        let in_it = |thing: &&Thing| {
            around.is_some_and(|around| thing.is_in(around))
                && touches_inside(&band, &thing.shape())
        };
        let things: Vec<&Thing> = standing.iter().filter(in_it).collect();
        self.narrow(&things, &mut check);
        self.height(site, &mut check);
        if self.kind == WayKind::Walkway {
            self.slopes(site, limits, &mut check);
        }
        if check.clear_width < self.width_required {
            check.fail("narrower than is asked for");
        }
        if check
            .clear_height
            .is_some_and(|height| height < self.height_required)
        {
            check.fail("lower overhead than is asked for");
        }
        check
    }

    /// What is left of the width, for each cluster of things that stand together in it.
    fn narrow(&self, things: &[&Thing], check: &mut WayCheck) {
        let shapes: Vec<Shape> = things.iter().map(|thing| thing.shape()).collect();
        let middle = Shape::band(self.path, 0.0);
        for cluster in squeeze::clusters(&shapes, self.width) {
            let Some(found) = squeeze::narrowest(self.path, self.width, &shapes, &cluster) else {
                continue;
            };
            check.clear_width = check.clear_width.min(found.clear);
            let (one, other) = found.places;
            let between = one + (other - one) / 2.0;
            let nearest = middle.separation(&Shape::disc(between, 0.0));
            let mut by: Vec<String> = Vec::new();
            // A rope counts piece by piece.
            for thing in found.by.iter().filter_map(|&at| things.get(at)) {
                if !by.contains(&thing.name) {
                    by.push(thing.name.clone());
                }
            }
            check.pinches.push(Pinch {
                at: nearest.map_or(between, |nearest| nearest.from),
                clear: found.clear,
                between: found.places,
                by,
            });
        }
    }

    /// Height left under wires, canopies and roofs.
    fn height(&self, site: &Site, check: &mut WayCheck) {
        let found = overhead(site, self.path, self.width, self.height_required);
        for what in found.unknown {
            check.unknown(what);
        }
        check.clear_height = found.least;
    }

    /// How steep it is, along and across.
    fn slopes(&self, site: &Site, limits: &Limits, check: &mut WayCheck) {
        let ground = site.ground();
        let steeper = |kept: Option<SteepPlace>, found: SteepPlace| {
            let over = |place: &SteepPlace| place.slope / place.limit;
            match kept {
                Some(kept) if over(&kept) >= over(&found) => Some(kept),
                _ => Some(found),
            }
        };
        let mut untold = false;
        for side in self.path.windows(2) {
            let &[from, to] = side else { continue };
            let Some(along) = (to - from).try_normalize(0.0) else {
                continue;
            };
            let left = Step::new(-along.y, along.x) * (self.width / 2.0);
            let section = ground.section(from, to);
            let gaps = section.gaps().into_iter().map(|(a, b)| b - a);
            check.unsurveyed += gaps.filter(|&gap| gap > NO_GAP).sum::<f64>();
            for stretch in &section.stretches {
                for (at, slope) in over_a_level(stretch) {
                    check.steepest_along = steeper(
                        check.steepest_along,
                        SteepPlace {
                            at,
                            slope,
                            limit: limits.along,
                        },
                    );
                }
                for point in stretch {
                    let limit = match site.zone_at(point.at).map(|zone| zone.surface) {
                        Some(Surface::Pavement) => limits.across_paved,
                        Some(_) => limits.across_soft,
                        None => {
                            untold = true;
                            limits.across_paved.min(limits.across_soft)
                        }
                    };
                    for aside in [left, -left] {
                        if let Some(edge) = ground.height(point.at + aside) {
                            let rise = edge.0 - point.elevation.0;
                            check.steepest_across = steeper(
                                check.steepest_across,
                                SteepPlace {
                                    at: point.at,
                                    slope: (rise / (self.width / 2.0)).abs(),
                                    limit,
                                },
                            );
                        }
                    }
                }
            }
        }
        if untold {
            check
                .notes
                .push("surface not known in places: the stricter limit across is taken".to_owned());
        }
        if check.unsurveyed > 0.0 {
            check.unknown("part of it is not surveyed: how steep it is there is not known");
        }
        let too_steep =
            |place: Option<SteepPlace>| place.is_some_and(|place| place.slope > place.limit + 1e-9);
        if too_steep(check.steepest_along) {
            check.fail("steeper along than is accessible");
        }
        if too_steep(check.steepest_across) {
            check.fail("steeper across than is accessible");
        }
    }

    /// Whether appliances can turn at its bends.
    fn turns(&self, site: &Site, limits: &Limits, things: &[Thing], check: &mut WayCheck) {
        // Both radii are those of the lane's edges.
        let inside = limits.inside_radius.max(limits.outside_radius - self.width);
        let boundary = &site.file().lot.boundary;
        check.bends = bends(self.path, self.width, inside, things, boundary);
        if check.bends.iter().any(Bend::too_tight) {
            check.fail("a bend is tighter than appliances turn");
        }
    }

    /// Whether a fire lane leads from somewhere to somewhere. `reached` are the lanes that an
    /// appliance gets to from outside the lot.
    fn leads_on(&self, site: &Site, reached: &[String], check: &mut WayCheck) {
        let lanes = &site.file().features.fire_lanes;
        let ends = [self.path.first(), self.path.last()];
        let met = ends.into_iter().flatten().filter(|&&end| {
            let here = Shape::disc(end, self.width / 2.0 + MEETS);
            let mut others = lanes.iter();
            leads_out(site, end, &here)
                || others
                    .any(|it| it.id != self.id && touches(&here, &Shape::band(&it.path, it.width)))
        });
        let length: f64 = self.path.windows(2).map(|it| (it[1] - it[0]).norm()).sum();
        if !reached.iter().any(|id| id == self.id) {
            check.fail("no end of it, nor any lane that it meets, comes to a gate or the lot line");
        } else if met.count() < 2 && length > DEAD_END {
            check.fail(
                "a dead end of more than 150 ft: appliances need a place to turn (International \
                 Fire Code 503.2.5, from memory)",
            );
        }
    }
}

/// The fire lanes that an appliance gets to from outside the lot, by their ids: those that come
/// to a gate or the lot line, and those that meet one of them.
fn reached(site: &Site) -> Vec<String> {
    let lanes = &site.file().features.fire_lanes;
    let ends = |lane: &crate::site::FireLane| {
        let ends: Vec<Point> = lane
            .path
            .first()
            .into_iter()
            .chain(lane.path.last())
            .copied()
            .collect();
        ends
    };
    let outer = |lane: &crate::site::FireLane| {
        ends(lane).into_iter().any(|end| {
            let here = Shape::disc(end, lane.width / 2.0 + MEETS);
            leads_out(site, end, &here)
        })
    };
    let (mut found, mut left): (Vec<_>, Vec<_>) = lanes.iter().partition(|lane| outer(lane));
    let mut next = 0;
    while let Some(known) = found.get(next).copied() {
        next += 1;
        let band = Shape::band(&known.path, known.width + 2.0 * MEETS);
        let (met, others): (Vec<_>, Vec<_>) = left
            .into_iter()
            .partition(|lane| touches(&band, &Shape::band(&lane.path, lane.width)));
        found.extend(met);
        left = others;
    }
    found.into_iter().map(|lane| lane.id.clone()).collect()
}

/// Whether a lane's end comes to a gate, to the lot line or out of the lot.
fn leads_out(site: &Site, end: Point, here: &Shape) -> bool {
    let boundary = &site.file().lot.boundary;
    let mut gates = site.file().features.gates.iter();
    !contains(boundary, end)
        || touches(here, &Shape::ring(boundary))
        || gates.any(|gate| touches(here, &Shape::band(&[gate.from, gate.to], 0.0)))
}

/// Whether one shape reaches into another.
fn touches_inside(one: &Shape, other: &Shape) -> bool {
    let found = one.separation(other);
    found.is_some_and(|found| found.distance < 0.0)
}

fn touches(one: &Shape, other: &Shape) -> bool {
    let found = one.separation(other);
    found.is_some_and(|found| found.distance <= 0.0)
}

impl WayCheck {
    fn fail(&mut self, note: &str) {
        self.verdict = self.verdict.and(Verdict::Fail);
        self.notes.push(note.to_owned());
    }

    fn unknown(&mut self, note: &str) {
        self.verdict = self.verdict.and(Verdict::Unknown);
        self.notes.push(note.to_owned());
    }
}

/// Slopes along a stretch of a section, each over the length of a level, beginning or ending
/// wherever the ground breaks; over the whole stretch when it is shorter.
fn over_a_level(stretch: &[SectionPoint]) -> Vec<(Point, f64)> {
    let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else {
        return Vec::new();
    };
    let base = LEVEL.min(last.distance - first.distance);
    if base <= 0.0 {
        return Vec::new();
    }
    let height = |distance: f64| {
        let after = stretch.partition_point(|point| point.distance < distance);
        match (stretch.get(after.wrapping_sub(1)), stretch.get(after)) {
            (Some(a), Some(b)) => {
                let share = (distance - a.distance) / (b.distance - a.distance);
                a.elevation.0 + (b.elevation.0 - a.elevation.0) * share
            }
            (None, Some(only)) | (Some(only), None) => only.elevation.0,
            (None, None) => 0.0,
        }
    };
    let (low, high) = (first.distance, last.distance - base);
    stretch
        .iter()
        .flat_map(|point| [(point, point.distance), (point, point.distance - base)])
        .map(|(point, start)| {
            let start = start.clamp(low, high.max(low));
            let rise = height(start + base) - height(start);
            (point.at, (rise / base).abs())
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::assess;
    use crate::fixtures::flat_lot;
    use crate::ground::Elevation;
    use crate::site::{Building, FireLane, LinePoint, OverheadLine, SiteFile, SpotLevel, Walkway};

    fn lot_with_walk(width: f64) -> SiteFile {
        let mut file = flat_lot();
        file.features.walkways.push(Walkway {
            id: "walk".to_owned(),
            name: String::new(),
            path: vec![Point::new(20.0, -30.0), Point::new(20.0, 30.0)],
            width,
        });
        file
    }

    fn shed(corners: [(f64, f64); 4]) -> Building {
        Building {
            id: format!("shed {}", corners[0].1),
            name: String::new(),
            outline: corners.map(|(x, y)| Point::new(x, y)).to_vec(),
            height: 3.0,
            underside: None,
            stakes: Vec::new(),
        }
    }

    fn way(file: SiteFile) -> WayCheck {
        let site = Site::new(file).expect("a sound site");
        assess(&site).ways[0].clone()
    }

    #[test]
    fn what_stands_in_a_walkway_narrows_it() {
        let free = way(lot_with_walk(3.0));
        assert_eq!((free.clear_width, free.pinches.len()), (3.0, 0));
        assert_eq!(free.verdict, Verdict::Pass, "{free:?}");
        // A shed 1.2 m into it from the east, a turned one 0.9 m from the west farther on.
        let mut file = lot_with_walk(3.0);
        file.features.buildings = vec![
            shed([(20.3, 0.0), (25.0, 0.0), (25.0, 4.0), (20.3, 4.0)]),
            shed([(19.4, 12.0), (17.4, 14.0), (15.4, 12.0), (17.4, 10.0)]),
        ];
        let narrowed = way(file);
        let clears: Vec<f64> = narrowed.pinches.iter().map(|it| it.clear).collect();
        assert_eq!(clears.len(), 2, "{narrowed:?}");
        assert!((clears[0] - 1.8).abs() < 1e-9 && (clears[1] - 2.1).abs() < 1e-9);
        assert!((narrowed.clear_width - 1.8).abs() < 1e-9);
        assert_eq!(narrowed.pinches[0].by, ["shed 0"]);
    }

    #[test]
    fn a_gap_between_two_things_counts_once() {
        let mut file = lot_with_walk(3.0);
        file.features.buildings = vec![
            shed([(20.4, 0.0), (25.0, 0.0), (25.0, 4.0), (20.4, 4.0)]),
            shed([(15.0, 1.0), (19.6, 1.0), (19.6, 3.0), (15.0, 3.0)]),
        ];
        let pinched = way(file);
        assert!((pinched.clear_width - 0.8).abs() < 1e-9, "{pinched:?}");
        assert_eq!(pinched.verdict, Verdict::Fail, "36 inches are asked for");
    }

    #[test]
    fn slopes_are_those_of_the_plane() {
        let on = |along: f64, across: f64| {
            let mut file = lot_with_walk(2.0);
            file.spot_levels = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)]
                .map(|(x, y)| SpotLevel::new(x, y, Elevation(50.0 + across * x + along * y)))
                .to_vec();
            way(file)
        };
        let gentle = on(0.049, 0.02);
        assert!((gentle.steepest_along.unwrap().slope - 0.049).abs() < 1e-9);
        assert!((gentle.steepest_across.unwrap().slope - 0.02).abs() < 1e-9);
        assert_eq!(gentle.verdict, Verdict::Pass);
        assert_eq!(on(0.051, 0.0).verdict, Verdict::Fail);
        // Paved: 1:48.
        assert_eq!(on(0.0, 0.022).verdict, Verdict::Fail);
    }

    #[test]
    fn a_fire_lane_leads_somewhere_under_enough_height() {
        let with = |path: Vec<Point>, height| {
            let mut file = flat_lot();
            file.features.fire_lanes.push(FireLane {
                id: "lane".to_owned(),
                name: String::new(),
                path,
                width: 6.5,
            });
            let point = |x| LinePoint { x, y: 0.0, height };
            file.features.overhead_lines.push(OverheadLine {
                id: "wire".to_owned(),
                name: String::new(),
                points: vec![point(15.0), point(35.0)],
                sag: Some(0.5),
                lowest: None,
                volts: Some(230.0),
                supplies: Vec::new(),
            });
            way(file)
        };
        let through = vec![Point::new(25.0, -40.0), Point::new(25.0, 40.0)];
        let high = with(through.clone(), 6.0);
        assert_eq!(high.verdict, Verdict::Pass, "{high:?}");
        let clear = high.clear_height.unwrap();
        assert!(clear <= 5.5 && clear > 5.4, "{clear}");
        assert_eq!(with(through, 4.5).verdict, Verdict::Fail);
        let stub = vec![Point::new(25.0, -10.0), Point::new(25.0, 10.0)];
        assert_eq!(with(stub, 6.0).verdict, Verdict::Fail);
        let dead = vec![Point::new(25.0, -40.0), Point::new(25.0, 10.0)];
        assert_eq!(with(dead, 6.0).verdict, Verdict::Fail);
    }

    #[test]
    fn a_site_sets_its_own_slopes_and_radii() {
        let mut file = lot_with_walk(2.0);
        file.spot_levels = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)]
            .map(|(x, y)| SpotLevel::new(x, y, Elevation(50.0 + 0.06 * y)))
            .to_vec();
        assert_eq!(
            way(file.clone()).verdict,
            Verdict::Fail,
            "1:20 by the rulebook"
        );
        file.clearance_values.push(crate::site::ClearanceValue {
            rule: "walkway-slope-along".to_owned(),
            value: 1.0 / 12.0,
            reason: "a ramp with handrails, agreed".to_owned(),
        });
        let eased = way(file.clone());
        assert_eq!(eased.verdict, Verdict::Pass, "{eased:?}");
        assert!((eased.steepest_along.unwrap().limit - 1.0 / 12.0).abs() < 1e-12);
        let assessment = assess(&Site::new(file).expect("a sound site"));
        let rule = assessment
            .rules
            .iter()
            .find(|rule| rule.id == "walkway-slope-along");
        assert_eq!(
            rule.unwrap().replaces,
            Some(1.0 / 20.0),
            "shown as set here"
        );
    }

    #[test]
    fn lanes_lead_out_only_together_with_one_that_does() {
        let lane = |id: &str, path: [(f64, f64); 2]| FireLane {
            id: id.to_owned(),
            name: String::new(),
            path: path.map(|(x, y)| Point::new(x, y)).to_vec(),
            width: 6.5,
        };
        let with = |lanes: Vec<FireLane>| {
            let mut file = flat_lot();
            file.features.fire_lanes = lanes;
            let site = Site::new(file).expect("a sound site");
            assess(&site)
                .ways
                .iter()
                .map(|way| way.verdict)
                .collect::<Vec<_>>()
        };
        // Two that meet each other and nothing else.
        let (one, other) = (
            lane("one", [(20.0, -10.0), (20.0, 10.0)]),
            lane("other", [(20.0, 10.0), (30.0, 10.0)]),
        );
        assert_eq!(with(vec![one.clone(), other.clone()]), [Verdict::Fail; 2]);
        // A third leads both out.
        let out = lane("out", [(30.0, 10.0), (30.0, 60.0)]);
        assert_eq!(with(vec![one, other, out]), [Verdict::Pass; 3]);
    }

    fn post(x: f64, y: f64) -> Building {
        shed([(x, y), (x + 0.2, y), (x + 0.2, y + 0.2), (x, y + 0.2)])
    }

    #[test]
    fn what_stands_on_the_outside_of_a_corner_narrows_it() {
        let mut file = lot_with_walk(3.0);
        file.features.walkways[0].path = [(15.0, -30.0), (15.0, 20.0), (35.0, 20.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec();
        let free = way(file.clone());
        assert_eq!((free.clear_width, free.pinches.len()), (3.0, 0));
        // North-west of the corner, abreast of neither side. From its nearest corner to the inner
        // corner at (16.5, 18.5).
        file.features.buildings = vec![shed([
            (12.8, 20.2),
            (14.8, 20.2),
            (14.8, 22.0),
            (12.8, 22.0),
        ])];
        let narrowed = way(file);
        let by_hand = libm::hypot(1.7, 1.7);
        assert!(
            (narrowed.clear_width - by_hand).abs() < 1e-9,
            "{narrowed:?}"
        );
        assert_eq!(narrowed.pinches.len(), 1);
        assert!((narrowed.pinches[0].at - Point::new(15.0, 20.0)).norm() < 1.0);
    }

    #[test]
    fn a_post_in_the_corner_leaves_what_a_tape_would_show() {
        let mut file = lot_with_walk(3.0);
        file.features.walkways[0].path = [(15.0, -30.0), (15.0, 20.0), (35.0, 20.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec();
        // From the inner corner at (16.5, 18.5) to the post's nearest corner at (15.2, 19.8).
        file.features.buildings = vec![post(15.0, 19.8)];
        let narrowed = way(file);
        let by_hand = libm::hypot(1.3, 1.3);
        assert!(
            (narrowed.clear_width - by_hand).abs() < 0.01,
            "{narrowed:?}"
        );
        assert!(narrowed.clear_width <= by_hand + 1e-9);
    }

    #[test]
    fn a_slip_between_two_things_counts() {
        let mut file = lot_with_walk(3.0);
        // Each leaves 1.5 m, with 0.5 m along the walk between them.
        file.features.buildings = vec![
            shed([(20.0, 0.0), (25.0, 0.0), (25.0, 1.0), (20.0, 1.0)]),
            shed([(15.0, 1.5), (20.0, 1.5), (20.0, 2.5), (15.0, 2.5)]),
        ];
        let found = way(file);
        assert!((found.clear_width - 0.5).abs() < 1e-9, "{found:?}");
        assert_eq!(found.verdict, Verdict::Fail);
        let slip = found.pinches.last().unwrap();
        assert_eq!(slip.by, ["shed 0", "shed 1.5"]);
        assert!((slip.at - Point::new(20.0, 1.25)).norm() < 1e-9);
    }

    #[test]
    fn headroom_is_over_the_ground_where_it_is_highest() {
        let with = |ridge: f64| {
            let mut file = lot_with_walk(3.0);
            // A ridge across the walk at y = 0, a metre wide, where a level wire crosses it.
            for x in [-40.0, 40.0] {
                for (y, z) in [(-0.5, 0.0), (0.0, ridge), (0.5, 0.0)] {
                    file.spot_levels.push(SpotLevel::new(x, y, Elevation(z)));
                }
            }
            let point = |x, y| LinePoint { x, y, height: 5.0 };
            file.features.overhead_lines.push(OverheadLine {
                id: "wire".to_owned(),
                name: String::new(),
                points: vec![point(10.0, -10.0), point(30.0, 10.0)],
                sag: Some(0.0),
                lowest: None,
                volts: Some(230.0),
                supplies: Vec::new(),
            });
            way(file).clear_height.unwrap()
        };
        assert!((with(0.0) - 5.0).abs() < 1e-9);
        // Over the ridge it keeps less, however thin the ridge is.
        assert!((with(0.8) - 4.2).abs() < 1e-9);
    }

    #[test]
    fn a_roof_over_a_walk_leaves_its_underside() {
        let mut file = lot_with_walk(3.0);
        let roof = shed([(18.0, 0.0), (22.0, 0.0), (22.0, 4.0), (18.0, 4.0)]);
        file.features.buildings = vec![Building {
            underside: Some(2.6),
            ..roof
        }];
        let under = way(file.clone());
        assert!((under.clear_height.unwrap() - 2.6).abs() < 1e-9);
        assert_eq!((under.clear_width, under.verdict), (3.0, Verdict::Pass));
        // Lower than heads are, it stands in the way.
        file.features.buildings[0].underside = Some(1.9);
        assert_eq!(way(file).verdict, Verdict::Fail);
    }
}
