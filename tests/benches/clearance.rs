//! Clearances of a fair of 30 rides and 400 features: every pair and rule; one ride against
//! everything, as while it is dragged; and the planar distances alone by GEOS, in the same run.

use geos::{Geom, Geometry};
use tober::Point;
use tober::assess::assess;
use tober::clearance::{
    Parts, RuleInForce, at_hand, bonding, clearances, clearances_of, cords, in_force,
    lot_clearances, passages, ropes, ways,
};
use tober::ground::Elevation;
use tober::ride::builtin;
use tober::site::{
    Building, BuriedService, Cover, Disconnect, Extinguisher, FireLane, FuelStore, Gate, LinePoint,
    OverheadLine, PlacedRide, Placement, PowerKind, PowerSource, Rope, RopeEnd, Site, SiteFile,
    SpotLevel, Tree, Walkway,
};

fn main() {
    divan::main();
}

const RIDES: usize = 30;
const FEATURES: usize = 400;

/// A fair on a lot of 240 m by 200 m: rides on a grid, features strewn between.
fn fair() -> Site {
    let sample = include_str!("../../sample-sites/paved-yard.json");
    let mut file: SiteFile = Site::read(sample).expect("a sound sample").file().clone();
    let (wide, deep) = (240.0, 200.0);
    file.lot.boundary = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)]
        .map(|(x, y)| Point::new(x, y))
        .to_vec();
    file.spot_levels = (0..13)
        .flat_map(|i| (0..11).map(move |j| (f64::from(i) * 20.0, f64::from(j) * 20.0)))
        .map(|(x, y)| SpotLevel::new(x, y, Elevation(20.0 + 0.004 * x + 0.002 * y)))
        .collect();
    file.features = tober::site::Features::default();
    let profiles = builtin();
    file.rides = (0..RIDES)
        .map(|k| PlacedRide {
            fence_gaps: Default::default(),
            id: format!("ride {k}"),
            name: String::new(),
            profile: profiles[k % profiles.len()].id.clone(),
            placement: Placement {
                x: 20.0 + 40.0 * (k % 6) as f64,
                y: 20.0 + 40.0 * (k / 6) as f64,
                heading: 12.0 * k as f64,
            },
        })
        .collect();
    let features = &mut file.features;
    for k in 0..FEATURES {
        // The golden ratio strews them evenly.
        let x = (0.618_034 * k as f64).fract() * wide;
        let y = (0.754_878 * k as f64).fract() * deep;
        let (id, name) = (format!("feature {k}"), String::new());
        let at = Point::new(x, y);
        match k % 10 {
            0 => features.walkways.push(Walkway {
                id,
                name,
                path: vec![at, Point::new(x + 15.0, y + 3.0), Point::new(x + 25.0, y)],
                width: 2.5,
            }),
            1 => features.buildings.push(Building {
                id,
                name,
                outline: [(0.0, 0.0), (5.0, 0.5), (5.0, 4.0), (0.0, 4.0)]
                    .map(|(dx, dy)| Point::new(x + dx, y + dy))
                    .to_vec(),
                height: 3.5,
                underside: None,
                stakes: Vec::new(),
            }),
            2 => features.overhead_lines.push(OverheadLine {
                id,
                name,
                points: [0.0, 30.0]
                    .map(|dx| LinePoint {
                        x: x + dx,
                        y,
                        height: 9.0,
                    })
                    .to_vec(),
                sag: Some(0.8),
                lowest: None,
                volts: Some(400.0),
                supplies: Vec::new(),
            }),
            3 => features.buried_services.push(BuriedService {
                id,
                name,
                path: vec![at, Point::new(x + 8.0, y + 20.0)],
                depth: None,
            }),
            4 => features.power_sources.push(PowerSource {
                id,
                name,
                at,
                radius: 0.6,
                kind: Some(PowerKind::Generator),
                cord: Some(60.0),
                crossings_protected: false,
                // Every second ride is supplied by one of them, or by two.
                supplies: vec![format!("ride {}", 2 * (k % 15))],
            }),
            5 => features.gates.push(Gate {
                id,
                name,
                from: at,
                to: Point::new(x + 3.0, y),
            }),
            // What was asked for last, a few of each.
            6 => match k / 10 % 6 {
                0 => features.extinguishers.push(Extinguisher { id, name, at }),
                1 => features.disconnects.push(Disconnect {
                    id,
                    name,
                    at,
                    supplies: Vec::new(),
                }),
                2 => {
                    let end = |x, height| RopeEnd {
                        at: Point::new(x, y),
                        height,
                    };
                    features.ropes.push(Rope {
                        id,
                        name,
                        from: end(x, 3.0),
                        to: end(x + 6.0, 0.0),
                        sag: Some(0.1),
                        marked: false,
                    });
                }
                3 => features.covers.push(Cover {
                    id,
                    name,
                    at,
                    radius: 0.4,
                }),
                4 => features.fuel_stores.push(FuelStore {
                    id,
                    name,
                    at,
                    radius: 0.8,
                }),
                _ => features.fire_lanes.push(FireLane {
                    id,
                    name,
                    path: vec![at, Point::new(x + 40.0, y), Point::new(x + 40.0, y + 30.0)],
                    width: 6.1,
                }),
            },
            _ => features.trees.push(Tree {
                id,
                name,
                at,
                trunk_radius: 0.3,
                canopy_radius: 3.0,
                canopy_underside: 2.5,
                canopy_top: 9.0,
            }),
        }
    }
    Site::new(file).expect("a sound fair")
}

fn prepared() -> (Site, Vec<RuleInForce>, Vec<Parts>) {
    let site = fair();
    let rules = in_force(&[]);
    let parts = tober::assess::parts_of(&site, &assess(&site));
    (site, rules, parts)
}

#[divan::bench]
fn thirty_rides_every_pair(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    bencher.bench(|| clearances(divan::black_box(&site), &rules, &parts));
}

#[divan::bench]
fn one_ride_dragged(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    // In the middle of the lot, where most is near.
    bencher.bench(|| clearances_of(divan::black_box(&site), &rules, &parts, 14));
}

/// What is left of every walkway and fire lane.
#[divan::bench]
fn ways_kept_free(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    bencher.bench(|| ways(divan::black_box(&site), &rules, &parts));
}

#[divan::bench]
fn from_gate_to_gate(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    bencher.bench(|| passages(divan::black_box(&site), &rules, &parts));
}

#[divan::bench]
fn power_cords(bencher: divan::Bencher) {
    let (site, _, parts) = prepared();
    let hubs: Vec<Point> = parts.iter().map(|parts| parts.hub).collect();
    bencher.bench(|| cords(divan::black_box(&site), &parts, &hubs));
}

/// Every pair and every rule of clearances: distances, ways, gates, cords, what is at hand, bonding,
/// ropes, fuel and generators.
#[divan::bench]
fn everything(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    let consoles: Vec<Point> = parts.iter().map(|parts| parts.hub).collect();
    bencher.bench(|| {
        let site = divan::black_box(&site);
        let found = clearances(site, &rules, &parts);
        let bonds = bonding(site, &rules, &parts, &found);
        let kept_free = (ways(site, &rules, &parts), passages(site, &rules, &parts));
        let power = (
            cords(site, &parts, &consoles),
            at_hand(site, &rules, &parts),
        );
        let lot = (ropes(site, &rules), lot_clearances(site, &rules));
        (found, bonds, kept_free, power, lot)
    });
}

/// What fuel and generators keep from everything else.
#[divan::bench]
fn the_lot_itself(bencher: divan::Bencher) {
    let (site, rules, _) = prepared();
    bencher.bench(|| lot_clearances(divan::black_box(&site), &rules));
}

/// What operators have at hand and see.
#[divan::bench]
fn at_the_operators_hand(bencher: divan::Bencher) {
    let (site, rules, parts) = prepared();
    bencher.bench(|| at_hand(divan::black_box(&site), &rules, &parts));
}

/// Only what one number needs: the moving circle of every ride to every feature and every other
/// ride in plan, each pair once. Circles are points with a radius taken off.
#[divan::bench]
fn planar_distances_by_geos(bencher: divan::Bencher) {
    let (site, _, parts) = prepared();
    let features = &site.file().features;
    let text = |path: &[Point]| {
        let points: Vec<String> = path.iter().map(|p| format!("{} {}", p.x, p.y)).collect();
        points.join(",")
    };
    let line = |path: &[Point]| {
        Geometry::new_from_wkt(&format!("LINESTRING({})", text(path))).expect("a line")
    };
    let dot =
        |p: Point| Geometry::new_from_wkt(&format!("POINT({} {})", p.x, p.y)).expect("a point");
    let area = |ring: &[Point]| {
        let closed: Vec<Point> = ring.iter().chain(ring.first()).copied().collect();
        Geometry::new_from_wkt(&format!("POLYGON(({}))", text(&closed))).expect("an area")
    };
    let wires = features.overhead_lines.iter().map(|it| {
        let path: Vec<Point> = it.points.iter().map(|p| Point::new(p.x, p.y)).collect();
        line(&path)
    });
    let things: Vec<Geometry> = (features.walkways.iter().map(|it| line(&it.path)))
        .chain(features.buildings.iter().map(|it| area(&it.outline)))
        .chain(wires)
        .chain(features.buried_services.iter().map(|it| line(&it.path)))
        .chain(features.power_sources.iter().map(|it| dot(it.at)))
        .chain(features.gates.iter().map(|it| line(&[it.from, it.to])))
        .chain(features.trees.iter().map(|it| dot(it.at)))
        .chain(features.covers.iter().map(|it| dot(it.at)))
        .chain(features.fuel_stores.iter().map(|it| dot(it.at)))
        .chain(features.extinguishers.iter().map(|it| dot(it.at)))
        .chain(features.disconnects.iter().map(|it| dot(it.at)))
        .chain(features.fire_lanes.iter().map(|it| line(&it.path)))
        .chain(
            features
                .ropes
                .iter()
                .map(|it| line(&[it.from.at, it.to.at])),
        )
        .collect();
    let hubs: Vec<Geometry> = parts.iter().map(|it| dot(it.hub)).collect();
    bencher.bench_local(|| {
        let mut sum = 0.0;
        for (index, hub) in hubs.iter().enumerate() {
            for other in things.iter().chain(hubs.iter().skip(index + 1)) {
                sum += hub.distance(other).expect("a distance");
            }
        }
        sum
    });
}
