//! What clearances are measured to: every feature of a site as solids in the lot frame, indexed
//! by where it lies. Made once for a site and shared while rides are moved.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{PointDistance, RTree};

use super::ropes::Strung;
use super::{Against, Shape, Solid};
use crate::Point;
use crate::envelope::{Heights, Wire};
use crate::ground::Ground;
use crate::site::{
    Building, BuriedService, Features, LinePoint, OverheadLine, PowerKind, Rope, Tree,
};

/// A feature, ready to be measured to.
#[derive(Clone, Debug)]
pub(crate) struct Obstacle {
    pub(crate) against: Against,
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) solids: Vec<Solid>,
    /// Volts of an overhead line, where known.
    pub(crate) volts: Option<f64>,
    /// Ids of the rides that an overhead line supplies.
    pub(crate) supplies: Vec<String>,
    /// What a power source is, where somebody has told.
    pub(crate) power: Option<PowerKind>,
    /// What had to be assumed of its heights, in plain words.
    pub(crate) assumed: Option<&'static str>,
}

/// A box in plan, with the place of what it holds in a list.
type Boxed = GeomWithData<Rectangle<[f64; 2]>, usize>;

/// Every feature that clearances are measured to, and where each of them lies.
#[derive(Clone, Debug)]
pub(crate) struct Surroundings {
    obstacles: Vec<Obstacle>,
    /// The box round each obstacle in plan, with its place in the list.
    boxes: RTree<Boxed>,
}

impl Surroundings {
    pub(crate) fn new(features: &Features, ground: &Ground) -> Surroundings {
        let obstacles = obstacles(features, ground);
        let boxes = obstacles
            .iter()
            .enumerate()
            .filter_map(|(index, obstacle)| {
                let (low, high) = obstacle
                    .solids
                    .iter()
                    .filter_map(|solid| solid.plan.extent())
                    .reduce(|a, b| (a.0.inf(&b.0), a.1.sup(&b.1)))?;
                let around = Rectangle::from_corners([low.x, low.y], [high.x, high.y]);
                Some(GeomWithData::new(around, index))
            })
            .collect();
        Surroundings {
            obstacles,
            boxes: RTree::bulk_load(boxes),
        }
    }

    /// How many there are.
    pub(crate) fn len(&self) -> usize {
        self.obstacles.len()
    }

    /// All of them, in the order of the file.
    pub(crate) fn all(&self) -> impl Iterator<Item = &Obstacle> {
        self.obstacles.iter()
    }

    /// Those that may come within a distance of a place, in the order of the file, each with a
    /// distance that it is not nearer than.
    pub(crate) fn within(
        &self,
        place: Point,
        distance: f64,
    ) -> impl Iterator<Item = (&Obstacle, f64)> {
        let at = [place.x, place.y];
        let near = self.boxes.locate_within_distance(at, distance * distance);
        let gap = |found: &Boxed| found.distance_2(&at).sqrt();
        let mut near: Vec<(usize, f64)> = near.map(|found| (found.data, gap(found))).collect();
        near.sort_unstable_by_key(|&(index, _)| index);
        near.into_iter()
            .filter_map(|(index, gap)| Some((self.obstacles.get(index)?, gap)))
    }

    /// Those of some kinds, the nearest to a place first, each with a distance that it is not
    /// nearer than.
    pub(crate) fn nearest_first(
        &self,
        place: Point,
        kinds: &[Against],
    ) -> impl Iterator<Item = (&Obstacle, f64)> {
        let at = [place.x, place.y];
        let some = self.boxes.iter().filter_map(|boxed| {
            let obstacle = self.obstacles.get(boxed.data)?;
            let asked = kinds.contains(&obstacle.against);
            asked.then(|| (obstacle, boxed.distance_2(&at).sqrt(), boxed.data))
        });
        let mut some: Vec<_> = some.collect();
        some.sort_unstable_by(|a, b| a.1.total_cmp(&b.1).then(a.2.cmp(&b.2)));
        some.into_iter().map(|(obstacle, gap, _)| (obstacle, gap))
    }
}

const NO_GROUND: &str = "height not known, for the ground there is not surveyed: measured in plan";
const NO_SAG: &str = "sag not known: the wire may hang at any height below its points";
const SLACK: &str =
    "sag not known: the rope may hang at any height below its ends; measured in plan";

fn obstacles(features: &Features, ground: &Ground) -> Vec<Obstacle> {
    let walkways = features.walkways.iter().map(|walk| {
        flat(
            Against::Walkway,
            &walk.id,
            &walk.name,
            Shape::band(&walk.path, walk.width),
        )
    });
    let lanes = features.fire_lanes.iter().map(|lane| {
        flat(
            Against::FireLane,
            &lane.id,
            &lane.name,
            Shape::band(&lane.path, lane.width),
        )
    });
    let services = features.buried_services.iter();
    let covers = features.covers.iter().map(|cover| {
        let disc = Shape::disc(cover.at, cover.radius);
        flat(Against::Cover, &cover.id, &cover.name, disc)
    });
    let sources = features.power_sources.iter().map(|source| {
        let disc = Shape::disc(source.at, source.radius);
        Obstacle {
            power: source.kind,
            ..flat(Against::PowerSource, &source.id, &source.name, disc)
        }
    });
    let fuel = features.fuel_stores.iter().map(|fuel| {
        let disc = Shape::disc(fuel.at, fuel.radius);
        flat(Against::FuelStore, &fuel.id, &fuel.name, disc)
    });
    let gates = features.gates.iter().map(|gate| {
        let line = Shape::band(&[gate.from, gate.to], 0.0);
        flat(Against::Gate, &gate.id, &gate.name, line)
    });
    walkways
        .chain(lanes)
        .chain(services.map(|it| buried_service(it, ground)))
        .chain(covers)
        .chain(sources)
        .chain(fuel)
        .chain(gates)
        .chain(features.buildings.iter().map(|it| building(it, ground)))
        .chain(features.trees.iter().map(|it| tree(it, ground)))
        .chain(
            features
                .overhead_lines
                .iter()
                .map(|it| overhead_line(it, ground)),
        )
        .chain(features.ropes.iter().map(|it| rope(it, ground)))
        .collect()
}

/// A feature that is there at every height.
fn flat(against: Against, id: &str, name: &str, shape: Shape) -> Obstacle {
    Obstacle {
        against,
        id: id.to_owned(),
        name: if name.is_empty() { id } else { name }.to_owned(),
        solids: vec![Solid::upright(shape, Heights::ALL)],
        volts: None,
        supplies: Vec::new(),
        power: None,
        assumed: None,
    }
}

/// A service, in the ground from its top downwards where its depth is known.
fn buried_service(service: &BuriedService, ground: &Ground) -> Obstacle {
    let line = Shape::band(&service.path, 0.0);
    let mut obstacle = flat(Against::BuriedService, &service.id, &service.name, line);
    let Some(depth) = service.depth else {
        return obstacle;
    };
    let sides = service.path.windows(2).filter_map(|side| match side {
        [from, to] => Some((*from, *to)),
        _ => None,
    });
    obstacle.solids = sides
        .flat_map(|(from, to)| under_ground(ground, from, to, depth))
        .collect();
    obstacle
}

/// A straight piece of a service, in parts over which the ground rises little: the highest ground
/// of a part stands in for all of it, which errs upwards.
fn under_ground(ground: &Ground, from: Point, to: Point, depth: f64) -> Vec<Solid> {
    /// Most rise of the ground over a part, metres.
    const RISE: f64 = 0.1;
    /// Parts between two breaks of the ground, at most.
    const PARTS: f64 = 100.0;
    let piece = |from, to, heights| Solid::upright(Shape::band(&[from, to], 0.0), heights);
    let section = ground.section(from, to);
    let [stretch] = section.stretches.as_slice() else {
        return vec![piece(from, to, Heights::ALL)];
    };
    if !section.gaps().is_empty() || stretch.len() < 2 {
        return vec![piece(from, to, Heights::ALL)];
    }
    let pairs = stretch.windows(2).filter_map(|pair| match pair {
        [a, b] => Some((a, b)),
        _ => None,
    });
    pairs
        .flat_map(|(a, b)| {
            let rise = b.elevation.0 - a.elevation.0;
            let parts = (rise.abs() / RISE).ceil().clamp(1.0, PARTS);
            (0..parts as u32).map(move |part| {
                let share = |part: u32| f64::from(part) / parts;
                let (near, far) = (share(part), share(part + 1));
                let high = a.elevation.0 + rise * if rise > 0.0 { far } else { near };
                let at = |share: f64| a.at + (b.at - a.at) * share;
                let heights = Heights {
                    low: f64::NEG_INFINITY,
                    high: high - depth,
                };
                (at(near), at(far), heights)
            })
        })
        .map(|(near, far, heights)| piece(near, far, heights))
        .collect()
}

fn building(building: &Building, ground: &Ground) -> Obstacle {
    let area = Shape::area(&building.outline);
    let mut obstacle = flat(
        Against::Building,
        &building.id,
        &building.name,
        area.clone(),
    );
    let corners = building.outline.iter();
    let corners: Option<Vec<f64>> = corners
        .map(|&at| ground.height(at).map(|it| it.0))
        .collect();
    // The highest ground of the whole survey stands in for the highest beneath the building,
    // which errs upwards; its highest corner does for an underside, which errs downwards.
    match (ground.highest(), corners) {
        (Some(highest), Some(corners)) => {
            let low = building.underside.map_or(f64::NEG_INFINITY, |underside| {
                corners.into_iter().fold(f64::NEG_INFINITY, f64::max) + underside
            });
            let heights = Heights {
                low,
                high: highest.0 + building.height,
            };
            obstacle.solids = vec![Solid::upright(area, heights)];
        }
        _ => obstacle.assumed = Some(NO_GROUND),
    }
    obstacle
}

fn tree(tree: &Tree, ground: &Ground) -> Obstacle {
    let trunk = Shape::disc(tree.at, tree.trunk_radius);
    let canopy = Shape::disc(tree.at, tree.canopy_radius);
    let mut obstacle = flat(Against::Tree, &tree.id, &tree.name, canopy.clone());
    match ground.height(tree.at) {
        Some(foot) => {
            let (underside, top) = (foot.0 + tree.canopy_underside, foot.0 + tree.canopy_top);
            let below = Heights {
                low: f64::NEG_INFINITY,
                high: top,
            };
            let above = Heights {
                low: underside,
                high: top,
            };
            obstacle.solids = vec![Solid::upright(trunk, below), Solid::upright(canopy, above)];
        }
        None => obstacle.assumed = Some(NO_GROUND),
    }
    obstacle
}

fn rope(rope: &Rope, ground: &Ground) -> Obstacle {
    let ends = [rope.from.at, rope.to.at];
    let line = Shape::band(&ends, 0.0);
    let mut obstacle = flat(Against::Rope, &rope.id, &rope.name, line);
    match Strung::new(rope, ground).wire {
        Some(wire) => obstacle.solids = vec![Solid::wire(wire)],
        None if rope.sag.is_none() => obstacle.assumed = Some(SLACK),
        None => obstacle.assumed = Some(NO_GROUND),
    }
    obstacle
}

fn overhead_line(line: &OverheadLine, ground: &Ground) -> Obstacle {
    let spans: Vec<Span> = line
        .points
        .windows(2)
        .filter_map(|pair| match pair {
            [from, to] => Some(span(line, from, to, ground)),
            _ => None,
        })
        .collect();
    let mut obstacle = flat(
        Against::OverheadLine,
        &line.id,
        &line.name,
        Shape::band(&[], 0.0),
    );
    obstacle.volts = line.volts;
    obstacle.supplies.clone_from(&line.supplies);
    // What is worst known of any span is told of the whole line.
    obstacle.assumed = [NO_GROUND, NO_SAG]
        .into_iter()
        .find(|&unknown| spans.iter().any(|span| span.assumed == Some(unknown)));
    obstacle.solids = spans.into_iter().map(|span| span.solid).collect();
    obstacle
}

/// One span of a line, and what had to be assumed of it.
struct Span {
    solid: Solid,
    assumed: Option<&'static str>,
}

fn span(line: &OverheadLine, from: &LinePoint, to: &LinePoint, ground: &Ground) -> Span {
    let place = |point: &LinePoint| Point::new(point.x, point.y);
    let top = |point: &LinePoint| Some(ground.height(place(point))?.0 + point.height);
    let (Some(start), Some(end)) = (top(from), top(to)) else {
        // One end at an unknown height leaves the whole span unknown.
        let ends = [from, to].map(|point| (place(point), Heights::ALL));
        return Span {
            solid: Solid::curtain(ends[0], ends[1]),
            assumed: Some(NO_GROUND),
        };
    };
    let ends = ((place(from), start), (place(to), end));
    let wire = match (line.sag, line.lowest) {
        (Some(sag), _) => Some(Wire::with_sag(ends.0, ends.1, sag)),
        (None, Some(lowest)) => Wire::with_lowest(ends.0, ends.1, lowest, |at| {
            ground.height(at).map(|ground| ground.0)
        }),
        (None, None) => None,
    };
    match wire {
        Some(wire) => Span {
            solid: Solid::wire(wire),
            assumed: None,
        },
        None => {
            let below = |high| Heights {
                low: f64::NEG_INFINITY,
                high,
            };
            Span {
                solid: Solid::curtain((ends.0.0, below(start)), (ends.1.0, below(end))),
                assumed: Some(NO_SAG),
            }
        }
    }
}
