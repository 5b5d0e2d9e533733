//! From gate to gate: whether people can go from one gate of the lot to the next past everything
//! that stands there, and where the way is narrowest.
//!
//! # Picture
//!
//! Two gates cut the lot line into a left and a right shore. Everything that stands on the lot is
//! an island. Somebody `w` wide gets through unless a chain of stepping stones, no two farther
//! apart than `w`, leads from one shore to the other:
//!
//! ```text
//!     gate ┌──────────────────┐
//!          .   ▒ ← gap →      │      the chain  shore · island · shore  that is closed by the
//!     ─────┘   ▒     ▒▒▒▒     │      smallest largest gap: that gap is the narrowest place of
//!              ↕              .      the best way, exactly
//!     ──────────────────────── gate
//! ```
//!
//! # Method
//!
//! Every gap between two islands, or an island and a shore, is a link as long as the gap. Links
//! are laid from the shortest on, until both shores hang together (Kruskal's spanning tree, 1956;
//! that a disc passes just when no chain closes is the theorem of Jordan): the last link is the
//! answer. It is exact for straight-sided things; round things are drawn round from outside. What
//! moves is an island as wide as its envelope. Other gates count as closed.
//!
//! What is assumed: the way is as wide as the gap wherever else one walks. Kerbs, steps, ditches,
//! slopes, parked vehicles and whatever the site file does not hold are not looked at.

use serde::{Deserialize, Serialize};

use super::standing::{round, things};
use super::{Parts, RuleInForce, Shape, contains};
use crate::Point;
use crate::assess::Verdict;
use crate::site::{Gate, Site};

/// How near to the lot line both posts of a gate must stand, metres.
const ON_THE_LINE: f64 = 1.0;

/// The way from one gate to another.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Passage {
    /// From this gate, by its id.
    pub from: String,
    /// To this gate, by its id.
    pub to: String,
    /// What people call both.
    pub names: (String, String),
    /// The width that the best way between them keeps everywhere, metres; never overstated.
    /// Absent when it cannot be told.
    pub width: Option<f64>,
    /// Width asked for, metres.
    pub required: f64,
    /// The two sides of its narrowest place, lot frame.
    #[cfg_attr(feature = "schema", schemars(with = "Option<[[f64; 2]; 2]>"))]
    pub narrowest: Option<(Point, Point)>,
    /// What stands on both sides there.
    pub between: Vec<String>,
    /// How it came out.
    pub verdict: Verdict,
    /// Why it cannot be told, in plain words; empty otherwise.
    pub note: String,
}

/// From every gate of the lot to the next in the list.
pub fn passages(site: &Site, rules: &[RuleInForce], rides: &[Parts]) -> Vec<Passage> {
    let gates = &site.file().features.gates;
    if gates.len() < 2 {
        return Vec::new();
    }
    let value = |id: &str| {
        let rule = rules.iter().find(|rule| rule.id == id);
        rule.map_or(0.0, |rule| rule.required)
    };
    let required = value("gate-to-gate");
    let boundary = &site.file().lot.boundary;
    let line = Line::new(boundary);
    let openings: Vec<Option<(f64, f64)>> = gates.iter().map(|gate| line.opening(gate)).collect();
    let widest = openings.iter().flatten().map(|(from, to)| to - from);
    let links = Links::new(
        site,
        rides,
        value("walkway-height"),
        widest.fold(0.0, f64::max),
    );
    let pairs = gates.iter().zip(&openings);
    let next = pairs.clone().skip(1);
    pairs
        .zip(next)
        .map(|((from, from_open), (to, to_open))| {
            let named = |gate: &Gate| {
                if gate.name.is_empty() {
                    gate.id.clone()
                } else {
                    gate.name.clone()
                }
            };
            let mut passage = Passage {
                from: from.id.clone(),
                to: to.id.clone(),
                names: (named(from), named(to)),
                width: None,
                required,
                narrowest: None,
                between: Vec::new(),
                verdict: Verdict::Unknown,
                note: String::new(),
            };
            let shores = match (from_open, to_open) {
                (Some(from), Some(to)) => line.shores(*from, *to),
                _ => None,
            };
            let Some(shores) = shores else {
                passage.note =
                    "both posts of both gates must stand on the lot line, apart from each other"
                        .to_owned();
                return passage;
            };
            if let Some(link) = links.last(&shores) {
                passage.width = Some(link.gap);
                passage.narrowest = Some(link.places);
                passage.between = links.sides(&link, &passage.names, [from, to]);
                passage.verdict = if link.gap >= required - 1e-9 {
                    Verdict::Pass
                } else {
                    Verdict::Fail
                };
            }
            passage
        })
        .collect()
}

/// The lot line, by how far along it a place lies from the first corner.
struct Line {
    corners: Vec<Point>,
    /// How far along each corner lies; the whole length at the end.
    along: Vec<f64>,
}

impl Line {
    fn new(boundary: &[Point]) -> Line {
        let corners: Vec<Point> = boundary.iter().chain(boundary.first()).copied().collect();
        let mut along = vec![0.0];
        let mut length = 0.0;
        for side in corners.windows(2) {
            if let [from, to] = side {
                length += (to - from).norm();
                along.push(length);
            }
        }
        Line { corners, along }
    }

    fn length(&self) -> f64 {
        self.along.last().copied().unwrap_or(0.0)
    }

    /// Where along the line a place stands, if it stands on it.
    fn place(&self, at: Point) -> Option<f64> {
        let here = Shape::disc(at, 0.0);
        let sides = self.corners.windows(2).zip(&self.along);
        let found = sides.filter_map(|(side, start)| {
            let found = here.separation(&Shape::band(side, 0.0))?;
            let along = (found.to - side.first()?).norm();
            Some((found.distance, start + along))
        });
        let (distance, along) = found.min_by(|a, b| a.0.total_cmp(&b.0))?;
        (distance <= ON_THE_LINE).then_some(along)
    }

    /// The stretch that a gate opens: it begins within the length, and may run over its end.
    fn opening(&self, gate: &Gate) -> Option<(f64, f64)> {
        let (a, b) = (self.place(gate.from)?, self.place(gate.to)?);
        let (low, high) = (a.min(b), a.max(b));
        let length = self.length();
        // The shorter way round.
        Some(if high - low <= length / 2.0 {
            (low, high)
        } else {
            (high, low + length)
        })
    }

    /// The two shores that two openings leave; `None` when they run into each other.
    fn shores(&self, one: (f64, f64), other: (f64, f64)) -> Option<[Vec<Point>; 2]> {
        let length = self.length();
        let ahead = |from: f64, to: f64| (to - from).rem_euclid(length);
        let (first, second) = (ahead(one.1, other.0), ahead(other.1, one.0));
        let openings = (one.1 - one.0) + (other.1 - other.0);
        // All four stretches go round once, or they overlap.
        if (first + second + openings - length).abs() > 1e-6 * length {
            return None;
        }
        Some([
            self.stretch(one.1, one.1 + first),
            self.stretch(other.1, other.1 + second),
        ])
    }

    /// The line from one place on it to another ahead.
    fn stretch(&self, from: f64, to: f64) -> Vec<Point> {
        let length = self.length();
        let mut run = vec![self.at(from)];
        for round in 0..3 {
            let lap = length * f64::from(round);
            let corners = self.corners.iter().zip(&self.along);
            // The last corner is the first again.
            let laps = corners.take(self.corners.len().saturating_sub(1));
            run.extend(laps.filter_map(|(&corner, along)| {
                (along + lap > from && along + lap < to).then_some(corner)
            }));
        }
        run.push(self.at(to));
        run
    }

    fn at(&self, along: f64) -> Point {
        let along = along.rem_euclid(self.length().max(f64::MIN_POSITIVE));
        let index = self.along.partition_point(|&start| start <= along);
        let index = index.clamp(1, self.corners.len().saturating_sub(1).max(1));
        let (Some(&from), Some(&to), Some(&start)) = (
            self.corners.get(index - 1),
            self.corners.get(index),
            self.along.get(index - 1),
        ) else {
            return Point::origin();
        };
        let step = (to - from).try_normalize(0.0).unwrap_or_default();
        from + step * (along - start)
    }
}

/// A gap between two islands, or an island and a shore.
#[derive(Clone, Copy)]
struct Link {
    gap: f64,
    ends: (usize, usize),
    places: (Point, Point),
}

/// The islands of a lot, and the gaps between those that may matter.
struct Links {
    islands: Vec<(String, Shape)>,
    gaps: Vec<Link>,
}

impl Links {
    /// Gaps wider than `widest` cannot be the narrowest place: a gate is narrower.
    fn new(site: &Site, rides: &[Parts], head: f64, widest: f64) -> Links {
        let boundary = &site.file().lot.boundary;
        let lot = Shape::area(boundary);
        // What stands or moves within its own fence is no island of its own.
        let fenced = |ride: Option<usize>, corners: &[Point]| {
            let fence = ride
                .and_then(|ride| rides.get(ride))
                .map(|ride| &ride.fence);
            let within = |fence: &Vec<Point>| corners.iter().all(|&at| contains(fence, at));
            fence.is_some_and(|fence| fence != corners && within(fence))
        };
        let standing = things(site, rides, head).into_iter();
        let standing = standing.map(|thing| (thing.name, thing.ride, thing.corners));
        let moving = rides.iter().enumerate().map(|(index, ride)| {
            let name = format!("moving parts of {}", ride.name);
            (name, Some(index), round(ride.hub, ride.envelope.radius))
        });
        let inside = |corners: &[Point]| {
            let meets = || {
                let found = Shape::area(corners).separation(&lot);
                found.is_some_and(|found| found.distance < 0.0)
            };
            corners.iter().any(|&at| contains(boundary, at)) || meets()
        };
        let islands: Vec<(String, Shape)> = standing
            .chain(moving)
            .filter(|(_, ride, corners)| !fenced(*ride, corners) && inside(corners))
            .map(|(name, _, corners)| (name, Shape::area(&corners)))
            .collect();
        // From west to east: what begins too far east of one does so of all before it.
        let mut order: Vec<(usize, Point, Point)> = islands
            .iter()
            .enumerate()
            .filter_map(|(index, (_, shape))| {
                let (low, high) = shape.extent()?;
                Some((index, low, high))
            })
            .collect();
        order.sort_by(|a, b| a.1.x.total_cmp(&b.1.x));
        let mut gaps = Vec::new();
        for (place, &(one, low, high)) in order.iter().enumerate() {
            let eastwards = order.iter().skip(place + 1);
            for &(other, its_low, its_high) in
                eastwards.take_while(|(_, its_low, _)| its_low.x - high.x <= widest)
            {
                if its_low.y - high.y > widest || low.y - its_high.y > widest {
                    continue;
                }
                let (Some(a), Some(b)) = (islands.get(one), islands.get(other)) else {
                    continue;
                };
                gaps.extend(link(&a.1, &b.1, (one, other)));
            }
        }
        Links { islands, gaps }
    }

    /// The link that joins the two shores when all are laid from the shortest on.
    fn last(&self, shores: &[Vec<Point>; 2]) -> Option<Link> {
        let count = self.islands.len();
        let [left, right] = shores.each_ref().map(|shore| Shape::band(shore, 0.0));
        let straight = link(&left, &right, (count, count + 1))?;
        let mut links = vec![straight];
        links.extend(self.gaps.iter().filter(|it| it.gap <= straight.gap));
        for (index, (_, shape)) in self.islands.iter().enumerate() {
            for (shore, end) in [(&left, count), (&right, count + 1)] {
                let found = link(shape, shore, (index, end));
                links.extend(found.filter(|it| it.gap <= straight.gap));
            }
        }
        links.sort_by(|a, b| a.gap.total_cmp(&b.gap));
        let mut joined = Joined((0..count + 2).collect());
        links.into_iter().find(|it| {
            joined.join(it.ends.0, it.ends.1);
            joined.root(count) == joined.root(count + 1)
        })
    }

    /// What stands on both sides of a link.
    fn sides(&self, link: &Link, names: &(String, String), gates: [&Gate; 2]) -> Vec<String> {
        let count = self.islands.len();
        if link.ends.0 >= count && link.ends.1 >= count {
            // From shore to shore: mostly a gate itself.
            let middle = link.places.0 + (link.places.1 - link.places.0) / 2.0;
            let off = |gate: &Gate| {
                let gate = Shape::band(&[gate.from, gate.to], 0.0);
                let found = Shape::disc(middle, 0.0).separation(&gate);
                found.map_or(f64::INFINITY, |found| found.distance)
            };
            let [from, to] = gates.map(off);
            if from.min(to) <= 2.0 * ON_THE_LINE {
                let gate = if from <= to { &names.0 } else { &names.1 };
                return vec![gate.clone()];
            }
            return vec!["lot line".to_owned()];
        }
        let name = |end: usize| match self.islands.get(end) {
            Some((name, _)) => name.clone(),
            None => "lot line".to_owned(),
        };
        let mut sides = vec![name(link.ends.0), name(link.ends.1)];
        sides.dedup();
        sides
    }
}

fn link(one: &Shape, other: &Shape, ends: (usize, usize)) -> Option<Link> {
    let found = one.separation(other)?;
    Some(Link {
        gap: found.distance.max(0.0),
        ends,
        places: (found.from, found.to),
    })
}

/// Which islands hang together: each points to another of its group, the last to itself.
struct Joined(Vec<usize>);

impl Joined {
    fn root(&self, mut at: usize) -> usize {
        while let Some(&next) = self.0.get(at) {
            if next == at {
                break;
            }
            at = next;
        }
        at
    }

    fn join(&mut self, one: usize, other: usize) {
        let (from, to) = (self.root(one), self.root(other));
        if let Some(place) = self.0.get_mut(from) {
            *place = to;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::assess;
    use crate::fixtures::flat_lot;
    use crate::site::{Building, SiteFile};
    use proptest::prelude::*;

    const SIDE: f64 = 12.0;

    fn p(x: f64, y: f64) -> Point {
        Point::new(x, y)
    }

    /// A square lot with a gate of 3 m in the middle of its west and of its east side.
    fn lot(blocks: &[[f64; 4]]) -> SiteFile {
        let mut file = flat_lot();
        // Off the lot, where it is in nobody's way.
        file.rides[0].placement.x = 60.0;
        file.lot.boundary = vec![p(0.0, 0.0), p(SIDE, 0.0), p(SIDE, SIDE), p(0.0, SIDE)];
        let gate = |id: &str, x: f64| Gate {
            id: id.to_owned(),
            name: String::new(),
            from: p(x, 4.5),
            to: p(x, 7.5),
        };
        file.features.gates = vec![gate("west", 0.0), gate("east", SIDE)];
        file.features.buildings = blocks
            .iter()
            .enumerate()
            .map(|(index, &[x0, y0, x1, y1])| Building {
                id: format!("block-{index}"),
                name: String::new(),
                outline: vec![p(x0, y0), p(x1, y0), p(x1, y1), p(x0, y1)],
                height: 2.0,
                underside: None,
                stakes: Vec::new(),
            })
            .collect();
        file
    }

    fn passage(file: SiteFile) -> Passage {
        let site = Site::new(file).expect("a sound site");
        assess(&site).passages[0].clone()
    }

    #[test]
    fn on_an_empty_lot_a_gate_is_the_narrowest() {
        let found = passage(lot(&[]));
        assert!((found.width.unwrap() - 3.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found.between, ["west"]);
        assert_eq!(found.verdict, Verdict::Pass);
    }

    #[test]
    fn the_widest_of_several_gaps_counts() {
        // A wall across with a gap of 1 m in the south, 2 m in the north.
        let found = passage(lot(&[[5.0, 1.0, 6.0, 10.0]]));
        assert!((found.width.unwrap() - 2.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found.between, ["block-0", "lot line"]);
        // The northern gap closed but for 0.5 m: the way is through the south.
        let found = passage(lot(&[[5.0, 1.0, 6.0, 10.0], [5.0, 10.5, 6.0, 12.0]]));
        assert!((found.width.unwrap() - 1.0).abs() < 1e-9, "{found:?}");
        assert_eq!(found.verdict, Verdict::Fail, "44 in are asked for");
        // Closed from shore to shore.
        let found = passage(lot(&[[5.0, -1.0, 6.0, 13.0]]));
        assert_eq!((found.width, found.verdict), (Some(0.0), Verdict::Fail));
    }

    #[test]
    fn a_gate_off_the_line_cannot_be_told() {
        let mut file = lot(&[]);
        file.features.gates[0].from = p(3.0, 4.5);
        let found = passage(file);
        assert_eq!((found.width, found.verdict), (None, Verdict::Unknown));
    }

    /// Whether a disc gets from gate to gate on a net of places: each of them keeps `radius` from
    /// all that stands there.
    fn gets_through(blocks: &[[f64; 4]], radius: f64) -> bool {
        const STEP: f64 = 0.1;
        let count = (SIDE / STEP).round() as i32;
        let keeps = |(i, j): (i32, i32)| {
            let (x, y) = (f64::from(i) * STEP, f64::from(j) * STEP);
            let apart = |x0: f64, y0: f64, x1: f64, y1: f64| {
                libm::hypot((x0 - x).max(x - x1).max(0.0), (y0 - y).max(y - y1).max(0.0))
            };
            let shores = [
                [0.0, 0.0, 0.0, 4.5],
                [0.0, 7.5, 0.0, SIDE],
                [SIDE, 0.0, SIDE, 4.5],
                [SIDE, 7.5, SIDE, SIDE],
                [0.0, 0.0, SIDE, 0.0],
                [0.0, SIDE, SIDE, SIDE],
            ];
            let mut all = blocks.iter().chain(&shores);
            all.all(|&[x0, y0, x1, y1]| apart(x0, y0, x1, y1) >= radius)
        };
        // In at any place of one gate, out at any of the other.
        let mut waiting: Vec<(i32, i32)> = (0..=count)
            .map(|j| (0, j))
            .filter(|&at| keeps(at))
            .collect();
        let mut seen: std::collections::BTreeSet<(i32, i32)> = waiting.iter().copied().collect();
        while let Some((i, j)) = waiting.pop() {
            for (di, dj) in [
                (1, 0),
                (-1, 0),
                (0, 1),
                (0, -1),
                (1, 1),
                (1, -1),
                (-1, 1),
                (-1, -1),
            ] {
                let next = (i + di, j + dj);
                let inside = (0..=count).contains(&next.0) && (0..=count).contains(&next.1);
                if inside && !seen.contains(&next) && keeps(next) {
                    seen.insert(next);
                    waiting.push(next);
                }
            }
        }
        (0..=count).any(|j| seen.contains(&(count, j)))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        /// Somebody a little narrower than was found gets through by trying everywhere, somebody
        /// a little wider does not.
        #[test]
        fn as_wide_as_a_flood_finds(
            blocks in prop::collection::vec(
                (1.0..11.0_f64, 0.0..12.0_f64, 0.2..2.5_f64, 0.2..5.0_f64), 1..6),
        ) {
            let blocks: Vec<[f64; 4]> = blocks
                .iter()
                .map(|&(x, y, wide, long)| [x, y, x + wide, y + long])
                .collect();
            let width = passage(lot(&blocks)).width.unwrap();
            // Nets of 0.1 m tell a radius to 0.08 m.
            prop_assert!(!gets_through(&blocks, width / 2.0 + 0.08), "wider than {width}");
            if width > 0.3 {
                prop_assert!(gets_through(&blocks, width / 2.0 - 0.1), "narrower than {width}");
            }
        }
    }
}
