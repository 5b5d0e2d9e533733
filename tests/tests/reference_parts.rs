//! Every part of a ride against everything on a lot that has a height, on frames that are level
//! and that lean: no distance that is reported exceeds what dense sampling finds.
//!
//! What moves is a polygon over a range of heights; what stands is frame, feet, console, steps,
//! fence and stakes; what builds up is a polygon again. They are measured to canopies and walls,
//! trees, sagging wires, buried services, and to the parts of a neighbour that turns on arms.

use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, TAU};

use tober::Point;
use tober::clearance::{
    Against, Part, Parts, PlacedConsole, PlacedSpace, PlacedStake, clearances_of, in_force,
};
use tober::envelope::{Envelope, Heights, Wire};
use tober::ground::Elevation;
use tober::ride::{RideClass, RigidArms, SpaceKind, Swing};
use tober::site::{
    Building, BuriedService, Features, LinePoint, Lot, OverheadLine, Site, SiteFile, SpotLevel,
    Tree,
};
use tober_tests::Random;

/// Scenes in an ordinary run; `SCENES=100000` measures the whole.
const SCENES: u32 = 120;

/// Rounding, metres.
const ROUNDING: f64 = 1e-9;

/// The most that a distance on a level frame may fall short of what is sampled, metres: a wire is
/// searched to a millimetre, and sampled as finely.
const MOST_SHORT: f64 = 2e-3;

/// How deep and how high what has no end is sampled, metres.
const DEEP: f64 = -50.0;

/// Radius of a stake with its head, metres, as the library states it.
const STAKE: f64 = 0.05;

/// East and north, metres.
type Plan = [f64; 2];
/// East, north and elevation, metres.
type Place = [f64; 3];

/// A piece of a scene. No part of it is known to the library.
#[derive(Clone, Debug)]
struct Piece {
    shape: Shape,
    /// Lowest and highest elevation, its frame level.
    heights: (f64, f64),
    /// About which place it leans, and by how much at most, radians.
    lean: Option<(Place, f64)>,
}

#[derive(Clone, Debug)]
enum Shape {
    /// Corners in order; it may have bays. A stretch where it has two.
    Corners(Vec<Plan>),
    /// An upright cylinder, a ball rolled round it.
    Round { at: Plan, radius: f64, reach: f64 },
    /// A wire.
    Wire(Wire),
}

/// Leans towards a bearing about a place, radians.
#[derive(Clone, Copy)]
struct Lean {
    about: Place,
    towards: f64,
    by: f64,
}

impl Lean {
    /// `sign` -1 stands it up again.
    fn turn(self, place: Place, sign: f64) -> Place {
        if self.by == 0.0 {
            return place;
        }
        let [x, y, z] = [0, 1, 2].map(|k| place[k] - self.about[k]);
        let (bs, bc) = libm::sincos(self.towards);
        let (s, c) = libm::sincos(self.by * sign);
        let (along, across) = (x * bc + y * bs, y * bc - x * bs);
        let (along, z) = (along * c + z * s, z * c - along * s);
        let turned = [along * bc - across * bs, along * bs + across * bc, z];
        [0, 1, 2].map(|k| turned[k] + self.about[k])
    }
}

fn gap(a: Plan, b: Plan) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

/// The place of a stretch nearest to another place.
fn foot(at: Plan, [a, b]: [Plan; 2]) -> Plan {
    let way = [b[0] - a[0], b[1] - a[1]];
    let long = way[0] * way[0] + way[1] * way[1];
    let share = ((at[0] - a[0]) * way[0] + (at[1] - a[1]) * way[1]) / long;
    along([a, b], share.clamp(0.0, 1.0))
}

fn along([a, b]: [Plan; 2], share: f64) -> Plan {
    [0, 1].map(|k| a[k] + (b[k] - a[k]) * share)
}

/// Where two stretches cross.
fn crossing(a: [Plan; 2], b: [Plan; 2]) -> Option<Plan> {
    let way = |[from, to]: [Plan; 2]| [to[0] - from[0], to[1] - from[1]];
    let perp = |a: Plan, b: Plan| a[0] * b[1] - a[1] * b[0];
    let turn = perp(way(a), way(b));
    let off = way([a[0], b[0]]);
    let (own, its) = (perp(off, way(b)) / turn, perp(off, way(a)) / turn);
    let on = 0.0..=1.0;
    (on.contains(&own) && on.contains(&its)).then(|| along(a, own))
}

fn sides(corners: &[Plan]) -> impl Iterator<Item = [Plan; 2]> + '_ {
    let count = corners.len();
    (0..count).map(move |k| [corners[k], corners[(k + 1) % count]])
}

impl Piece {
    fn still(shape: Shape, low: f64, high: f64) -> Piece {
        Piece {
            shape,
            heights: (low, high),
            lean: None,
        }
    }

    /// Level, and leant by the whole tilt towards the other, across it and away from it.
    fn leans(&self, other: Plan) -> Vec<Lean> {
        let level = Lean {
            about: [0.0; 3],
            towards: 0.0,
            by: 0.0,
        };
        let leant = self.lean.filter(|(_, by)| *by > 0.0).map(|(about, by)| {
            let bearing = libm::atan2(other[1] - about[1], other[0] - about[0]);
            (0..4).map(move |k| Lean {
                about,
                towards: bearing + FRAC_PI_2 * f64::from(k),
                by,
            })
        });
        std::iter::once(level)
            .chain(leant.into_iter().flatten())
            .collect()
    }

    fn middle(&self) -> Plan {
        match &self.shape {
            Shape::Corners(corners) => corners[0],
            Shape::Round { at, .. } => *at,
            Shape::Wire(wire) => {
                let at = wire.at(0.5).0;
                [at.x, at.y]
            }
        }
    }

    /// Places of its skin, chosen with the other in mind; of a wire, between two shares.
    fn places(&self, other: &Piece, (from, to): (f64, f64)) -> Vec<(f64, Place)> {
        const ALONG: u32 = 4;
        const WIRE: u32 = 60;
        let mut plan: Vec<Plan> = Vec::new();
        match &self.shape {
            Shape::Wire(wire) => {
                let at = |k| from + (to - from) * f64::from(k) / f64::from(WIRE);
                let place = |share| {
                    let (at, z) = wire.at(share);
                    (share, [at.x, at.y, z])
                };
                return (0..=WIRE).map(at).map(place).collect();
            }
            Shape::Corners(corners) => {
                for side in sides(corners) {
                    let shares = (0..ALONG).map(|k| f64::from(k) / f64::from(ALONG));
                    plan.extend(shares.map(|share| along(side, share)));
                    match &other.shape {
                        Shape::Corners(its) => {
                            plan.extend(sides(its).filter_map(|it| crossing(side, it)));
                            plan.extend(its.iter().map(|&at| foot(at, side)));
                        }
                        Shape::Round { at, .. } => plan.push(foot(*at, side)),
                        Shape::Wire(_) => {}
                    }
                }
            }
            &Shape::Round { at, radius, .. } => {
                let towards = other.middle();
                let first = libm::atan2(towards[1] - at[1], towards[0] - at[0]);
                plan.push(at);
                plan.extend((0..24).map(|k| {
                    let (sin, cos) = libm::sincos(first + TAU * f64::from(k) / 24.0);
                    [at[0] + radius * cos, at[1] + radius * sin]
                }));
            }
        }
        let (low, high) = self.heights;
        // Where the other begins and ends as well, or a low one is missed beside a tall one.
        let shared = |z: f64| z.clamp(low, high);
        let heights = [low, shared(other.heights.0), shared(other.heights.1), high];
        let at = |p: Plan| heights.map(|z| (0.0, [p[0], p[1], z]));
        plan.into_iter().flat_map(at).collect()
    }

    /// Distance of a place from it, standing level: in plan and through the air; 0 or less inside.
    /// Nothing for a wire, which is sampled itself.
    fn distance(&self, [x, y, z]: Place) -> (f64, f64) {
        let up = (self.heights.0 - z).max(z - self.heights.1).max(0.0);
        match &self.shape {
            Shape::Corners(corners) => {
                let (mut inside, mut near) = (false, f64::INFINITY);
                for [a, b] in sides(corners) {
                    if (a[1] > y) != (b[1] > y)
                        && x < a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
                    {
                        inside = !inside;
                    }
                    near = near.min(gap([x, y], foot([x, y], [a, b])));
                }
                let near = if inside { 0.0 } else { near };
                (near, libm::hypot(near, up))
            }
            Shape::Round { at, radius, reach } => {
                let near = (gap([x, y], *at) - radius).max(0.0);
                (near - reach, libm::hypot(near, up) - reach)
            }
            Shape::Wire(_) => (f64::INFINITY, f64::INFINITY),
        }
    }

    /// What it keeps from another in plan at the least, by a disc round each.
    fn apart(&self, other: &Piece) -> f64 {
        let disc = |piece: &Piece| {
            let out = match &piece.shape {
                Shape::Corners(corners) => corners
                    .iter()
                    .map(|&at| gap(at, corners[0]))
                    .fold(0.0, f64::max),
                Shape::Round { radius, reach, .. } => radius + reach,
                Shape::Wire(wire) => wire.run.norm() / 2.0,
            };
            let lean = piece.lean.map_or(0.0, |(about, by)| {
                let far = gap(piece.middle(), [about[0], about[1]]) + out;
                (far + (piece.heights.1 - about[2]).abs()) * by
            });
            out + lean
        };
        gap(self.middle(), other.middle()) - disc(self) - disc(other)
    }

    /// How far a ball that is rolled round it reaches.
    fn reach(&self) -> f64 {
        match self.shape {
            Shape::Round { reach, .. } => reach,
            _ => 0.0,
        }
    }
}

/// The least that is sampled between two pieces, in plan and through the air.
fn sampled(one: &Piece, other: &Piece) -> (f64, f64) {
    let mut least = (f64::INFINITY, f64::INFINITY);
    for (own, its) in [(one, other), (other, one)] {
        let rounds = if matches!(own.shape, Shape::Wire(_)) {
            4
        } else {
            1
        };
        // A wire is sampled again round the nearest place in plan and through the air.
        let mut windows = [(0.0, 1.0); 2];
        for _ in 0..rounds {
            let mut best = [(f64::INFINITY, 0.0); 2];
            for window in windows {
                for (share, place) in own.places(its, window) {
                    for lean in own.leans(its.middle()) {
                        let place = lean.turn(place, 1.0);
                        for back in its.leans(own.middle()) {
                            let (plan, air) = its.distance(back.turn(place, -1.0));
                            // Seen from above only what stands level is as its outline tells.
                            let plan = if back.by == 0.0 { plan } else { f64::INFINITY };
                            for (best, found) in best.iter_mut().zip([plan, air]) {
                                if found < best.0 {
                                    *best = (found, share);
                                }
                            }
                        }
                    }
                }
            }
            let reach = own.reach();
            least = (
                least.0.min(best[0].0 - reach),
                least.1.min(best[1].0 - reach),
            );
            let wide = (windows[0].1 - windows[0].0) / 12.0;
            windows = best.map(|(_, share)| ((share - wide).max(0.0), (share + wide).min(1.0)));
        }
    }
    least
}

/// The least between two lists of pieces. Pairs that discs round them keep apart are left out.
fn least(own: &[Piece], its: &[Piece]) -> (f64, f64) {
    let pairs = own.iter().flat_map(|a| its.iter().map(move |b| (a, b)));
    let mut pairs: Vec<(f64, &Piece, &Piece)> = pairs.map(|(a, b)| (a.apart(b), a, b)).collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut least = (f64::INFINITY, f64::INFINITY);
    for (apart, a, b) in pairs {
        if apart > least.1 {
            break;
        }
        let found = sampled(a, b);
        least = (least.0.min(found.0), least.1.min(found.1));
    }
    least
}

/// Corners round a place, at random distances: with bays, or none where it is to be convex.
fn corners(rng: &mut Random, at: Plan, (near, far): (f64, f64), bays: bool) -> Vec<Plan> {
    let count = 3 + rng.between(0.0, 5.0) as u32;
    let first = rng.between(0.0, TAU);
    let even = rng.between(near, far);
    (0..count)
        .map(|k| {
            let (sin, cos) = libm::sincos(first + TAU * f64::from(k) / f64::from(count));
            let out = if bays { rng.between(near, far) } else { even };
            [at[0] + out * cos, at[1] + out * sin]
        })
        .collect()
}

fn points(corners: &[Plan]) -> Vec<Point> {
    corners.iter().map(|&[x, y]| Point::new(x, y)).collect()
}

/// A ride, and the pieces of each of its parts.
struct Ride {
    parts: Parts,
    pieces: BTreeMap<Part, Vec<Piece>>,
}

impl Ride {
    /// With polygons that move or with turning arms.
    fn random(rng: &mut Random, id: &str, hub: Plan, tilt: f64, arms: bool) -> Ride {
        let datum = rng.between(0.4, 1.2);
        let about = [hub[0], hub[1], datum];
        let mut pieces: BTreeMap<Part, Vec<Piece>> = BTreeMap::new();
        let prism = |outline: &[Plan], low: f64, high: f64| Piece {
            shape: Shape::Corners(outline.to_vec()),
            heights: (datum + low, datum + high),
            lean: Some((about, tilt)),
        };
        let swing = if arms {
            let low = rng.between(0.5, 3.0);
            RigidArms {
                radius: rng.between(1.0, 6.0),
                low,
                high: low + rng.between(0.3, 5.0),
                reach: rng.between(0.0, 0.8),
            }
        } else {
            // Nothing that turns matters: it keeps within the polygon.
            RigidArms {
                radius: 1e-3,
                low: 2.0,
                high: 2.001,
                reach: 0.0,
            }
        };
        let turning = Piece {
            shape: Shape::Round {
                at: hub,
                radius: swing.radius,
                reach: swing.reach,
            },
            heights: (datum + swing.low, datum + swing.high),
            lean: Some((about, tilt)),
        };
        pieces.entry(Part::Moving).or_default().push(turning);
        let mut spaces = Vec::new();
        for (kind, part, far) in [
            (SpaceKind::Moving, Part::Moving, 5.0),
            (SpaceKind::Standing, Part::Standing, 3.0),
            (SpaceKind::BuildUp, Part::BuildUp, 6.0),
        ] {
            if arms && kind == SpaceKind::Moving {
                continue;
            }
            let outline = corners(rng, hub, (0.5, far), true);
            let low = if kind == SpaceKind::Moving {
                // So that it holds what turns.
                rng.between(0.2, 1.9)
            } else {
                rng.between(0.0, 3.0)
            };
            let high = low + rng.between(2.0, 5.0);
            pieces
                .entry(part)
                .or_default()
                .push(prism(&outline, low, high));
            spaces.push(PlacedSpace {
                name: "space".to_owned(),
                kind,
                outline: points(&outline),
                heights: Heights { low, high },
            });
        }
        let body = corners(rng, hub, (0.5, 4.0), true);
        let body_height = rng.between(0.0, 3.0);
        // What is below the datum plane stands still.
        let standing = pieces.entry(Part::Standing).or_default();
        standing.push(prism(&body, 0.0, body_height));
        standing.push(Piece::still(Shape::Corners(body.clone()), DEEP, datum));
        let feet: Vec<Vec<Plan>> = (0..2)
            .map(|_| {
                let at = [0, 1].map(|k| hub[k] + rng.between(-4.0, 4.0));
                corners(rng, at, (0.2, 0.5), false)
            })
            .collect();
        // Outriggers and jacks reach up to the frame.
        let of_feet = feet.iter();
        let of_feet =
            of_feet.map(|it| Piece::still(Shape::Corners(it.clone()), DEEP, datum + body_height));
        let of_feet: Vec<Piece> = of_feet.collect();
        standing.extend(of_feet.iter().cloned());
        let console = PlacedConsole {
            at: Point::new(
                hub[0] + rng.between(-6.0, 6.0),
                hub[1] + rng.between(-6.0, 6.0),
            ),
            radius: rng.between(0.3, 1.2),
            top: rng.between(1.0, 2.5),
        };
        let booth = Shape::Round {
            at: [console.at.x, console.at.y],
            radius: console.radius,
            reach: 0.0,
        };
        standing.push(Piece::still(booth, DEEP, console.top));
        pieces.insert(Part::Feet, of_feet);
        let stake = PlacedStake {
            at: Point::new(
                hub[0] + rng.between(-7.0, 7.0),
                hub[1] + rng.between(-7.0, 7.0),
            ),
            heights: Heights {
                low: -rng.between(0.2, 1.0),
                high: 0.0,
            },
        };
        let driven = Shape::Round {
            at: [stake.at.x, stake.at.y],
            radius: STAKE,
            reach: 0.0,
        };
        let driven = Piece::still(driven, stake.heights.low, stake.heights.high);
        pieces.insert(Part::Stakes, vec![driven]);
        let fence = corners(rng, hub, (6.0, 8.0), true);
        let fence_top = rng.between(1.0, 2.0);
        let fenced = Piece::still(Shape::Corners(fence.clone()), DEEP, fence_top);
        pieces.insert(Part::Fence, vec![fenced]);
        let parts = Parts {
            id: id.to_owned(),
            name: id.to_owned(),
            class: RideClass::Major,
            hub: Point::new(hub[0], hub[1]),
            envelope: Envelope::new(&Swing::RigidArms(swing), tilt, Some(Elevation(datum))),
            body: points(&body),
            body_height,
            feet: feet.iter().map(|it| points(it)).collect(),
            console: Some(console),
            stakes: vec![stake],
            fence: points(&fence),
            fence_height: 1.1,
            fence_top,
            spaces,
        };
        Ride { parts, pieces }
    }
}

/// What a lot has on level ground at elevation 0, and the pieces of each.
fn features(rng: &mut Random) -> (Features, Vec<(Against, Vec<Piece>)>) {
    let place = |rng: &mut Random| {
        let away = rng.between(3.0, 16.0);
        let (sin, cos) = libm::sincos(rng.between(0.0, TAU));
        [away * cos, away * sin]
    };
    let mut features = Features::default();
    let mut pieces = Vec::new();

    let at = place(rng);
    let outline = corners(rng, at, (1.0, 5.0), true);
    let height = rng.between(1.0, 10.0);
    let underside = (rng.between(0.0, 1.0) < 0.6).then(|| rng.between(0.2, 1.0) * height);
    let solid = Shape::Corners(outline.clone());
    let solid = Piece::still(solid, underside.unwrap_or(DEEP), height);
    pieces.push((Against::Building, vec![solid]));
    features.buildings.push(Building {
        id: "building".to_owned(),
        name: String::new(),
        outline: points(&outline),
        height,
        underside,
        stakes: Vec::new(),
    });

    let at = place(rng);
    let tree = Tree {
        id: "tree".to_owned(),
        name: String::new(),
        at: Point::new(at[0], at[1]),
        trunk_radius: rng.between(0.1, 0.6),
        canopy_radius: rng.between(0.6, 5.0),
        canopy_underside: rng.between(0.5, 5.0),
        canopy_top: rng.between(5.0, 12.0),
    };
    let round = |radius| Shape::Round {
        at,
        radius,
        reach: 0.0,
    };
    let trunk = Piece::still(round(tree.trunk_radius), DEEP, tree.canopy_top);
    let canopy = round(tree.canopy_radius);
    let canopy = Piece::still(canopy, tree.canopy_underside, tree.canopy_top);
    pieces.push((Against::Tree, vec![trunk, canopy]));
    features.trees.push(tree);

    let ends = [place(rng), place(rng)];
    let heights = [rng.between(3.0, 14.0), rng.between(3.0, 14.0)];
    let sag = rng.between(0.0, 2.0);
    let end = |k: usize| (Point::new(ends[k][0], ends[k][1]), heights[k]);
    let wire = Wire::with_sag(end(0), end(1), sag);
    pieces.push((
        Against::OverheadLine,
        vec![Piece::still(Shape::Wire(wire), 0.0, 0.0)],
    ));
    features.overhead_lines.push(OverheadLine {
        id: "line".to_owned(),
        name: String::new(),
        points: (0..2)
            .map(|k| LinePoint {
                x: ends[k][0],
                y: ends[k][1],
                height: heights[k],
            })
            .collect(),
        sag: Some(sag),
        lowest: None,
        volts: None,
        supplies: Vec::new(),
    });

    let ends = [place(rng), place(rng)];
    let depth = rng.between(0.1, 1.5);
    let service = Piece::still(Shape::Corners(ends.to_vec()), DEEP, -depth);
    pieces.push((Against::BuriedService, vec![service]));
    features.buried_services.push(BuriedService {
        id: "service".to_owned(),
        name: String::new(),
        path: points(&ends),
        depth: Some(depth),
    });
    (features, pieces)
}

/// What a neighbour shows to a part of a ride: its fence to a fence, all else to all else.
fn met(part: Part, neighbour: &Ride) -> Vec<Piece> {
    let shown: &[Part] = match part {
        Part::Fence => &[Part::Fence],
        _ => &[Part::Moving, Part::Standing],
    };
    let pieces = shown.iter().filter_map(|part| neighbour.pieces.get(part));
    pieces.flatten().cloned().collect()
}

/// A largest shortfall: in plan and through the air.
type Shortfall = (f64, f64);

#[test]
fn no_part_is_farther_than_sampled() {
    let scenes = std::env::var("SCENES").map_or(SCENES, |told| told.parse().unwrap());
    let sample = include_str!("../../sample-sites/paved-yard.json");
    let mut base: SiteFile = serde_json::from_str(sample).unwrap();
    let corners = [(-60.0, -60.0), (60.0, -60.0), (60.0, 60.0), (-60.0, 60.0)];
    base.lot = Lot {
        boundary: corners.iter().map(|&(x, y)| Point::new(x, y)).collect(),
    };
    base.spot_levels = corners
        .iter()
        .map(|&(x, y)| SpotLevel::new(x, y, Elevation(0.0)))
        .collect();
    base.breaklines = Vec::new();
    base.field_books = Vec::new();
    base.rides.truncate(1);
    let rules = in_force(&[]);
    let mut rng = Random(23);
    let (mut measured, mut overlaps, mut beyond) = (0_u64, 0_u64, f64::NEG_INFINITY);
    let mut level: BTreeMap<String, Shortfall> = BTreeMap::new();
    let mut leaning: BTreeMap<String, Shortfall> = BTreeMap::new();
    for number in 0..scenes {
        let mut tilt = || {
            if number % 2 == 0 {
                0.0
            } else {
                rng.between(0.1, 2.0).to_radians()
            }
        };
        let tilts = [tilt(), tilt()];
        let away = rng.between(2.0, 24.0);
        let (sin, cos) = libm::sincos(rng.between(0.0, TAU));
        let own = Ride::random(&mut rng, "own", [0.0; 2], tilts[0], false);
        let other = [away * cos, away * sin];
        let other = Ride::random(&mut rng, "other", other, tilts[1], number % 4 < 2);
        let (features, pieces) = features(&mut rng);
        let mut file = base.clone();
        file.features = features;
        let site = Site::new(file).unwrap_or_else(|faults| panic!("scene {number}: {faults:?}"));
        let parts = [own.parts.clone(), other.parts.clone()];
        for row in clearances_of(&site, &rules, &parts, 0).rows {
            let its = match row.against {
                Against::LotLine => continue,
                Against::Ride => met(row.part, &other),
                kind => {
                    let found = pieces.iter().find(|(it, _)| *it == kind);
                    found.expect("a feature").1.clone()
                }
            };
            let mut found = own.pieces[&row.part].clone();
            if row.part == Part::Fence && row.against == Against::Tree {
                // A tree may stand inside the fence: the line of panels counts.
                let Shape::Corners(posts) = &found[0].shape else {
                    unreachable!("a fence has posts")
                };
                let panel = |side: [Plan; 2]| Piece {
                    shape: Shape::Corners(side.to_vec()),
                    ..found[0].clone()
                };
                found = sides(posts).map(panel).collect();
            }
            let (plan, air) = least(&found, &its);
            let told = (
                row.horizontal.expect("a distance in plan"),
                row.through_air.unwrap_or_else(|| row.horizontal.unwrap()),
            );
            let name = format!("{:?} to {:?}", row.part, row.against);
            let far = |(sampled, told): (f64, f64), how: &str| {
                let place = format!("scene {number}, {name}, {how}");
                if sampled <= 0.0 {
                    assert!(told <= ROUNDING, "{place}: {told} but they overlap");
                    return 0.0;
                }
                assert!(told <= sampled + ROUNDING, "{place}: {told} > {sampled}");
                sampled - told.max(0.0)
            };
            let short = (
                far((plan, told.0), "in plan"),
                far((air, told.1), "through the air"),
            );
            measured += 1;
            overlaps += u64::from(air <= 0.0);
            let leans = tilts.iter().any(|tilt| *tilt > 0.0);
            let at = if leans { &mut leaning } else { &mut level };
            let at = at.entry(name).or_default();
            *at = (at.0.max(short.0), at.1.max(short.1));
            // What leans is widened by what its farthest corner may move, up and sideways.
            let may = |ride: &Ride, tilt: f64| {
                let spaces = ride.parts.spaces.iter();
                let spaces = spaces.map(|it| (&it.outline, it.heights.high));
                let body = (&ride.parts.body, ride.parts.body_height);
                let turning = ride.parts.envelope.heights().high + ride.parts.envelope.radius;
                let far = spaces
                    .chain([body])
                    .map(|(outline, high)| {
                        let out = outline.iter().map(|at| (at - ride.parts.hub).norm());
                        libm::hypot(out.fold(0.0, f64::max), high)
                    })
                    .fold(turning, f64::max);
                2.0 * far * libm::sin(tilt / 2.0)
            };
            let widened = may(&own, tilts[0]) + may(&other, tilts[1]);
            beyond = beyond.max(short.0.max(short.1) - 2.0 * 2.0_f64.sqrt() * widened);
        }
    }
    println!("{scenes} scenes, {measured} distances, {overlaps} overlap");
    println!("largest shortfalls in metres, in plan and through the air");
    for (how, found) in [("level", &level), ("leaning", &leaning)] {
        for (name, short) in found {
            println!("  {how:7} {name:24} {:.6} {:.6}", short.0, short.1);
        }
    }
    println!("beyond what leaning widens {beyond:.6}");
    for (name, short) in &level {
        assert!(
            short.0 < MOST_SHORT && short.1 < MOST_SHORT,
            "{name}: {short:?}"
        );
    }
    assert!(beyond < MOST_SHORT, "{beyond}");
}
