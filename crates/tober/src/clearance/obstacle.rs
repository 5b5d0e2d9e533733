//! What clearances are measured to: every feature of a site as solids in the lot frame.

use super::{Against, Shape};
use crate::Point;
use crate::envelope::Heights;
use crate::ground::Ground;
use crate::site::{Building, OverheadLine, Site, Tree};

/// A feature, ready to be measured to.
pub(super) struct Obstacle {
    pub(super) against: Against,
    pub(super) id: String,
    pub(super) name: String,
    pub(super) solids: Vec<Solid>,
    /// Volts of an overhead line, where known.
    pub(super) volts: Option<f64>,
    /// What had to be assumed of its heights, in plain words.
    pub(super) assumed: Option<&'static str>,
}

/// One solid of a feature. Heights are elevations.
pub(super) enum Solid {
    /// The same shape at every height of a range.
    Upright(Shape, Heights),
    /// A wire, or the curtain that it hangs in, straight from one end to the other.
    Run((Point, Heights), (Point, Heights)),
}

impl Solid {
    /// The solid's shape in plan.
    pub(super) fn in_plan(&self) -> Shape {
        match self {
            Solid::Upright(shape, _) => shape.clone(),
            Solid::Run((from, _), (to, _)) => Shape::band(&[*from, *to], 0.0),
        }
    }
}

const NO_GROUND: &str = "height not known, for the ground there is not surveyed: measured in plan";
const NO_SAG: &str = "sag not known: the wire may hang at any height below its points";

/// Every feature that clearances are measured to.
pub(super) fn obstacles(site: &Site) -> Vec<Obstacle> {
    let features = &site.file().features;
    let ground = site.ground();
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
    let services = features.buried_services.iter().map(|service| {
        let line = Shape::band(&service.path, 0.0);
        flat(Against::BuriedService, &service.id, &service.name, line)
    });
    let sources = features.power_sources.iter().map(|source| {
        let disc = Shape::disc(source.at, source.radius);
        flat(Against::PowerSource, &source.id, &source.name, disc)
    });
    let gates = features.gates.iter().map(|gate| {
        let line = Shape::band(&[gate.from, gate.to], 0.0);
        flat(Against::Gate, &gate.id, &gate.name, line)
    });
    walkways
        .chain(lanes)
        .chain(services)
        .chain(sources)
        .chain(gates)
        .chain(features.buildings.iter().map(|it| building(it, ground)))
        .chain(features.trees.iter().map(|it| tree(it, ground)))
        .chain(
            features
                .overhead_lines
                .iter()
                .map(|it| overhead_line(it, ground)),
        )
        .collect()
}

/// A feature that is there at every height.
fn flat(against: Against, id: &str, name: &str, shape: Shape) -> Obstacle {
    Obstacle {
        against,
        id: id.to_owned(),
        name: if name.is_empty() { id } else { name }.to_owned(),
        solids: vec![Solid::Upright(shape, Heights::ALL)],
        volts: None,
        assumed: None,
    }
}

fn building(building: &Building, ground: &Ground) -> Obstacle {
    let area = Shape::area(&building.outline);
    let mut obstacle = flat(
        Against::Building,
        &building.id,
        &building.name,
        area.clone(),
    );
    let surveyed = building
        .outline
        .iter()
        .all(|&at| ground.height(at).is_some());
    // The highest ground of the whole survey stands in for the highest beneath the building,
    // which errs upwards.
    match ground.highest().filter(|_| surveyed) {
        Some(highest) => {
            let heights = Heights {
                low: f64::NEG_INFINITY,
                high: highest.0 + building.height,
            };
            obstacle.solids = vec![Solid::Upright(area, heights)];
        }
        None => obstacle.assumed = Some(NO_GROUND),
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
            obstacle.solids = vec![Solid::Upright(trunk, below), Solid::Upright(canopy, above)];
        }
        None => obstacle.assumed = Some(NO_GROUND),
    }
    obstacle
}

fn overhead_line(line: &OverheadLine, ground: &Ground) -> Obstacle {
    let mut obstacle = flat(
        Against::OverheadLine,
        &line.id,
        &line.name,
        Shape::band(&[], 0.0),
    );
    obstacle.volts = line.volts;
    if line.sag.is_none() {
        obstacle.assumed = Some(NO_SAG);
    }
    let mut ends = Vec::with_capacity(line.points.len());
    for point in &line.points {
        let at = Point::new(point.x, point.y);
        let heights = match ground.height(at) {
            Some(foot) => {
                let high = foot.0 + point.height;
                Heights {
                    low: line.sag.map_or(f64::NEG_INFINITY, |sag| high - sag),
                    high,
                }
            }
            None => {
                obstacle.assumed = Some(NO_GROUND);
                Heights::ALL
            }
        };
        ends.push((at, heights));
    }
    obstacle.solids = ends
        .windows(2)
        .map(|pair| {
            let (mut from, mut to) = (pair[0], pair[1]);
            // One end at an unknown height leaves the whole span unknown.
            if from.1 == Heights::ALL || to.1 == Heights::ALL {
                (from.1, to.1) = (Heights::ALL, Heights::ALL);
            }
            Solid::Run(from, to)
        })
        .collect();
    obstacle
}
