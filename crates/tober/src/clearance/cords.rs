//! Power cords: how long the cord from the nearest supply to a ride must be, and which ways that
//! people or appliances use it has to cross.
//!
//! # Picture
//!
//! ```text
//!     supply o─────────.              the cord lies on the ground, round buildings, trees and
//!             ▒ tent ▒  ╲             other rides' fences, to the operator's console
//!                        ╲══ walkway ══  crossed only under a cover, or flown over it
//!                         o console
//! ```
//!
//! A cord between two places of the lot stays on the lot. First a way is sought that crosses no
//! walkway and no fire lane; if there is none, or the cord is too short for it, the shortest way is
//! told with what it crosses. A tenth is added for slack and slopes: common practice, no published
//! source. That ropes, braces and cords keep off ways that people walk, or are marked: COMAR
//! 09.12.62.16 B(2); read.

use serde::{Deserialize, Serialize};

use super::route::{Wall, length, shortest};
use super::standing::{bounds, meets, things};
use super::{Parts, Shape, WayKind, contains};
use crate::assess::Verdict;
use crate::site::{PowerSource, Site};
use crate::{Point, Step};

/// What is added for slack and slopes, as a share of the length on the plan.
const SLACK: f64 = 0.1;

/// Width of the lot line where no cord goes over it, metres.
const LINE: f64 = 0.01;

/// A cord that reaches into a band by less than this, metres, runs along its edge.
const TOUCH: f64 = 1e-6;

/// The cord of one ride.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct CordCheck {
    /// The placed ride's id.
    pub ride: String,
    /// What people call it.
    pub ride_name: String,
    /// The id of the supply that is nearest along the ground.
    pub source: String,
    /// What people call it.
    pub source_name: String,
    /// Where the cord lies, from the supply to the ride, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Vec<[f64; 2]>"))]
    pub route: Vec<Point>,
    /// How long it must be along that way, metres, slack in it; never understated.
    pub needed: f64,
    /// The walkways and fire lanes that it crosses there.
    pub crossings: Vec<Crossing>,
    /// How long it must be to cross none, metres; absent when there is no such way.
    pub needed_without_crossing: Option<f64>,
    /// How long the cord is, metres, where the site says so.
    pub has: Option<f64>,
    /// How it came out; absent when nobody has told how long the cord is and it crosses nothing
    /// unprotected.
    pub verdict: Option<Verdict>,
    /// What has to be done or was assumed, in plain words.
    pub notes: Vec<String>,
}

/// A walkway or a fire lane that a cord crosses.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Crossing {
    /// Which kind of way.
    pub kind: WayKind,
    /// What people call it.
    pub name: String,
    /// A place of the crossing, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub at: Point,
}

/// A walkway or a fire lane.
struct Band {
    kind: WayKind,
    name: String,
    shape: Shape,
    bounds: (Point, Point),
}

/// The cord of every ride, where the lot has a supply. `ends` says where each ride's cord ends.
pub fn cords(site: &Site, rides: &[Parts], ends: &[Point]) -> Vec<CordCheck> {
    let sources = &site.file().features.power_sources;
    if sources.is_empty() {
        return Vec::new();
    }
    let lot = Lot::new(site, rides);
    rides
        .iter()
        .zip(ends)
        .enumerate()
        .filter_map(|(index, (ride, &end))| {
            let found = lot.nearest(index, end, sources)?;
            Some(lot.judged(index, ride, end, found))
        })
        .collect()
}

/// What a cord has to go round, and what it should not cross.
struct Lot {
    /// Whose each wall is, by the ride's place in the list.
    walls: Vec<(Option<usize>, Wall)>,
    bands: Vec<Band>,
    /// The bands as walls.
    kept_off: Vec<Wall>,
    /// The lot line, and its sides as walls: what is inside stays inside.
    boundary: Vec<Point>,
    sides: Vec<Wall>,
}

impl Lot {
    fn new(site: &Site, rides: &[Parts]) -> Lot {
        let features = &site.file().features;
        let walls = things(site, rides, 0.0).into_iter();
        let walls = walls.filter_map(|thing| Some((thing.ride, Wall::new(&thing.corners)?)));
        let walkways = features.walkways.iter();
        let walkways = walkways.map(|it| (WayKind::Walkway, &it.id, &it.name, &it.path, it.width));
        let lanes = features.fire_lanes.iter();
        let lanes = lanes.map(|it| (WayKind::FireLane, &it.id, &it.name, &it.path, it.width));
        let ways: Vec<_> = walkways.chain(lanes).collect();
        let kept_off = ways
            .iter()
            .flat_map(|&(.., path, width)| outlines(path, width));
        let kept_off = kept_off.filter_map(|outline| Wall::new(&outline)).collect();
        let bands = ways
            .into_iter()
            .filter_map(|(kind, id, name, path, width)| {
                let shape = Shape::band(path, width);
                Some(Band {
                    kind,
                    name: if name.is_empty() { id } else { name }.clone(),
                    bounds: shape.extent()?,
                    shape,
                })
            });
        let boundary = site.file().lot.boundary.clone();
        let first = boundary.first().copied();
        let ring: Vec<Point> = boundary.iter().copied().chain(first).collect();
        let sides = outlines(&ring, LINE).into_iter();
        Lot {
            walls: walls.collect(),
            bands: bands.collect(),
            kept_off,
            sides: sides.filter_map(|side| Wall::new(&side)).collect(),
            boundary,
        }
    }

    /// What stands in the way of the cord of one ride: its own fence and feet do not; the lot line
    /// does where both ends lie inside it.
    fn walls(&self, ride: usize, ends: [Point; 2]) -> Vec<&Wall> {
        let others = self.walls.iter().filter(|(whose, _)| *whose != Some(ride));
        let inside = ends.iter().all(|&end| contains(&self.boundary, end));
        let sides = self.sides.iter().filter(|_| inside);
        others.map(|(_, wall)| wall).chain(sides).collect()
    }

    /// The supply from which the cord is shortest, and how it lies.
    fn nearest<'s>(
        &self,
        ride: usize,
        end: Point,
        sources: &'s [PowerSource],
    ) -> Option<(&'s PowerSource, Vec<Point>)> {
        let mut by_air: Vec<&PowerSource> = sources.iter().collect();
        let air = |source: &PowerSource| (source.at - end).norm();
        by_air.sort_by(|a, b| air(a).total_cmp(&air(b)));
        let mut best: Option<(f64, &PowerSource, Vec<Point>)> = None;
        for source in by_air {
            if best
                .as_ref()
                .is_some_and(|(least, ..)| air(source) >= *least)
            {
                break;
            }
            let walls = self.walls(ride, [source.at, end]);
            let Some(way) = shortest(source.at, end, &walls) else {
                continue;
            };
            let along = length(&way);
            if best.as_ref().is_none_or(|(least, ..)| along < *least) {
                best = Some((along, source, way));
            }
        }
        best.map(|(_, source, way)| (source, way))
    }

    fn judged(
        &self,
        index: usize,
        ride: &Parts,
        end: Point,
        (source, way): (&PowerSource, Vec<Point>),
    ) -> CordCheck {
        let needed = |way: &[Point]| length(way) * (1.0 + SLACK);
        let crossings = self.crossings(&way);
        let free = if crossings.is_empty() {
            Some(way.clone())
        } else {
            self.free(index, source.at, end)
        };
        let has = source.cord;
        let reaches = |way: &[Point]| has.is_none_or(|has| needed(way) <= has);
        let needed_without_crossing = free.as_deref().map(needed);
        let (route, crossings) = match free {
            Some(free) if reaches(&free) => (free, Vec::new()),
            _ => (way, crossings),
        };
        let mut check = CordCheck {
            ride: ride.id.clone(),
            ride_name: ride.name.clone(),
            source: source.id.clone(),
            source_name: if source.name.is_empty() {
                source.id.clone()
            } else {
                source.name.clone()
            },
            needed: needed(&route),
            crossings,
            needed_without_crossing,
            has,
            verdict: None,
            notes: Vec::new(),
            route,
        };
        check.judge(source.crossings_protected);
        check
    }

    /// The shortest way that crosses nothing people or appliances use.
    fn free(&self, ride: usize, from: Point, to: Point) -> Option<Vec<Point>> {
        let mut walls = self.walls(ride, [from, to]);
        walls.extend(&self.kept_off);
        let way = shortest(from, to, &walls)?;
        self.crossings(&way).is_empty().then_some(way)
    }

    fn crossings(&self, way: &[Point]) -> Vec<Crossing> {
        let (cord, around) = (Shape::band(way, 0.0), bounds(way));
        let near = self.bands.iter().filter(|band| meets(band.bounds, around));
        let crossed = near.filter_map(|band| {
            let found = band.shape.separation(&cord)?;
            (found.distance < -TOUCH).then(|| Crossing {
                kind: band.kind,
                name: band.name.clone(),
                at: found.to,
            })
        });
        crossed.collect()
    }
}

/// A rectangle round each straight stretch of a band, with its rounded ends.
fn outlines(path: &[Point], width: f64) -> Vec<Vec<Point>> {
    let half = width / 2.0;
    path.windows(2)
        .filter_map(|side| {
            let &[from, to] = side else { return None };
            let along = (to - from).try_normalize(0.0)?;
            let left = Step::new(-along.y, along.x) * half;
            let (from, to) = (from - along * half, to + along * half);
            Some(vec![from - left, to - left, to + left, from + left])
        })
        .collect()
}

impl CordCheck {
    fn judge(&mut self, protected: bool) {
        let reaches = self.has.is_none_or(|has| self.needed <= has);
        let open = !self.crossings.is_empty() && !protected;
        if !self.crossings.is_empty() {
            let names: Vec<&str> = self.crossings.iter().map(|it| it.name.as_str()).collect();
            let names = names.join(", ");
            self.notes.push(if protected {
                format!("crosses {names}: covered or flown there, as the site says")
            } else {
                format!("crosses {names}: it needs a cord cover there, or to be flown over it")
            });
        }
        if !reaches {
            self.notes.push("the cord is too short".to_owned());
        }
        self.verdict = match (self.has, reaches, open) {
            (Some(_), false, _) => Some(Verdict::Fail),
            (_, _, true) => Some(Verdict::Unknown),
            (Some(_), true, false) => Some(Verdict::Pass),
            (None, ..) => None,
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::assess;
    use crate::fixtures::flat_lot;
    use crate::site::{Building, SiteFile, Walkway};

    /// The plain ride's hub stands at the origin, its console where the profile says.
    fn lot(cord: Option<f64>, protected: bool) -> SiteFile {
        let mut file = flat_lot();
        file.features.power_sources.push(PowerSource {
            id: "pillar".to_owned(),
            name: String::new(),
            at: Point::new(30.0, 0.0),
            radius: 0.3,
            kind: None,
            cord,
            crossings_protected: protected,
            supplies: Vec::new(),
        });
        file
    }

    fn cord(file: SiteFile) -> CordCheck {
        let site = Site::new(file).expect("a sound site");
        assess(&site).cords[0].clone()
    }

    fn with_walk(mut file: SiteFile, path: [(f64, f64); 2]) -> SiteFile {
        file.features.walkways.push(Walkway {
            id: "walk".to_owned(),
            name: String::new(),
            path: path.map(|(x, y)| Point::new(x, y)).to_vec(),
            width: 2.0,
        });
        file
    }

    #[test]
    fn straight_to_the_ride_with_a_tenth_of_slack() {
        let found = cord(lot(None, false));
        let end = *found.route.last().unwrap();
        let by_hand = (end - Point::new(30.0, 0.0)).norm() * 1.1;
        assert!((found.needed - by_hand).abs() < 1e-9, "{found:?}");
        assert_eq!(found.verdict, None, "nobody has told how long it is");
        assert_eq!(
            cord(lot(Some(by_hand + 0.01), false)).verdict,
            Some(Verdict::Pass)
        );
        assert_eq!(
            cord(lot(Some(by_hand - 0.01), false)).verdict,
            Some(Verdict::Fail)
        );
    }

    #[test]
    fn a_building_is_gone_round() {
        let mut file = lot(None, false);
        let straight = cord(file.clone()).needed;
        let corners = [(15.0, -3.0), (18.0, -3.0), (18.0, 3.0), (15.0, 3.0)];
        file.features.buildings.push(Building {
            id: "tent".to_owned(),
            name: String::new(),
            outline: corners.map(|(x, y)| Point::new(x, y)).to_vec(),
            height: 3.0,
            underside: None,
            stakes: Vec::new(),
        });
        let round = cord(file);
        assert!(
            round.needed > straight + 0.1 && round.route.len() > 2,
            "{round:?}"
        );
    }

    #[test]
    fn a_walkway_is_gone_round_or_named() {
        // One that ends at 10 m north can be gone round; one through the whole lot cannot.
        let short = cord(with_walk(lot(None, false), [(20.0, -10.0), (20.0, 10.0)]));
        assert!(short.crossings.is_empty(), "{short:?}");
        assert_eq!(short.needed_without_crossing, Some(short.needed));
        // With a cord that only reaches straight across.
        let direct = cord(lot(None, false)).needed;
        let across = cord(with_walk(
            lot(Some(direct + 0.1), false),
            [(20.0, -10.0), (20.0, 10.0)],
        ));
        assert_eq!(across.crossings[0].name, "walk");
        assert_eq!(
            across.verdict,
            Some(Verdict::Unknown),
            "nobody said it is covered"
        );
        // One through the whole lot is crossed however long the cord is: nobody goes round its end
        // over the neighbour's ground.
        let long = |protected| {
            let file = with_walk(lot(None, protected), [(20.0, -40.0), (20.0, 40.0)]);
            cord(file).verdict
        };
        assert_eq!((long(false), long(true)), (Some(Verdict::Unknown), None));
        let covered = cord(with_walk(
            lot(Some(direct + 0.1), true),
            [(20.0, -10.0), (20.0, 10.0)],
        ));
        assert_eq!(covered.verdict, Some(Verdict::Pass));
    }
}
