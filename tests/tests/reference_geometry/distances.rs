//! Every distance in plan that an assessment reports, on random scenes.
//!
//! Bodies, fences, buildings, paths and the lot line are GEOS geometries. What is round keeps its
//! radius beside its GEOS core (a point or a path), so that the reference is exact. Then the
//! moving circle is drawn as a polygon as well, as a plan drawn with GEOS would have it: one
//! drawn inside the circle is too far from everything and one drawn around it too near, so that
//! the reported distance lies between the two.

use std::collections::HashSet;
use std::f64::consts::PI;

use geos::{Geom, Geometry};
use proptest::prelude::*;
use tober::Point;
use tober::assess::{Assessment, RideAssessment, assess};
use tober::clearance::{Against, ClearanceRow, LotClearance, Measure, Part};
use tober::ground::Elevation;
use tober::ride::{RideProfile, Stake, builtin};
use tober::site::{
    Block, Building, BuriedService, Cover, Features, FireLane, FuelStore, Gate, LinePoint, Lot,
    OverheadLine, PlacedRide, Placement, PowerSource, SITE_FORMAT, SITE_VERSION, Site, SiteFile,
    SpotLevel, Tree, Walkway,
};
use tober::units::LengthStyle;

use crate::shapes::{line, point, polygon, ring};

/// A 12-inch pad, metres: what covers a foot of which nobody tells more.
const PAD: f64 = 0.3048;

/// What covers a console and the operator at it, metres.
const CONSOLE: f64 = 0.5;

/// What covers a stake with its head, metres.
const STAKE: f64 = 0.05;

/// Corners in a quarter of a circle drawn as a polygon.
const QUARTER: i32 = 64;

/// How much too small the search along a wire may leave a distance through the air, metres.
const SEARCHED: f64 = 1e-3;

/// Rounding, metres.
const ROUNDING: f64 = 1e-9;

fn place() -> impl Strategy<Value = Point> {
    (1.0..59.0f64, 1.0..49.0f64).prop_map(|(x, y)| Point::new(x, y))
}

fn path() -> impl Strategy<Value = Vec<Point>> {
    prop::collection::vec(place(), 2..5)
}

/// An area of any shape, convex or not, that does not cross itself: corners in the order of
/// their direction from a middle.
fn outline() -> impl Strategy<Value = Vec<Point>> {
    let corner = (0.0..0.9f64, 1.0..6.0f64);
    (place(), prop::collection::vec(corner, 3..8)).prop_map(|(middle, corners)| {
        let count = corners.len() as f64;
        (corners.into_iter().enumerate())
            .map(|(i, (turn, radius))| {
                let angle = 2.0 * PI * (i as f64 + turn) / count;
                middle + tober::Step::new(libm::cos(angle), libm::sin(angle)) * radius
            })
            .collect()
    })
}

/// The built-in rides, held down by stakes, their fences by one at each post.
fn staked() -> Vec<RideProfile> {
    let stakes = [(4.0, 3.5), (-4.0, 3.5), (-4.0, -3.5), (4.0, -3.5)];
    let staked = builtin().iter().cloned().map(|mut profile| {
        profile.id += "-staked";
        profile.stakes = stakes
            .map(|(x, y)| Stake {
                at: Point::new(x, y),
                depth: Some(0.9),
            })
            .to_vec();
        profile.fence.stake_depth = Some(0.4);
        profile
    });
    staked.collect()
}

fn ride(id: &'static str) -> impl Strategy<Value = PlacedRide> {
    let profile = prop::sample::select(staked()).prop_map(|profile| profile.id);
    (profile, place(), 0.0..360.0f64).prop_map(move |(profile, at, heading)| PlacedRide {
        fence_gaps: Default::default(),
        id: id.to_owned(),
        name: String::new(),
        profile,
        placement: Placement {
            x: at.x,
            y: at.y,
            heading,
        },
    })
}

fn features() -> impl Strategy<Value = Features> {
    let paths = (path(), 0.5..4.0f64, path(), 3.0..6.0f64, path(), path());
    let places = (place(), 0.2..4.0f64, place(), 0.3..1.5f64, place(), place());
    let more = (place(), 0.2..0.6f64, place(), 0.3..2.0f64);
    (paths, places, more, outline()).prop_map(|(paths, places, more, outline)| {
        let (cover, cover_radius, fuel, fuel_radius) = more;
        let (walk, walk_width, lane, lane_width, service, wire) = paths;
        let (tree, canopy_radius, power, power_radius, gate_from, gate_to) = places;
        let named = |id: &str| (id.to_owned(), String::new());
        let (id, name) = named("walk");
        let walkways = vec![Walkway {
            id,
            name,
            path: walk,
            width: walk_width,
        }];
        let (id, name) = named("lane");
        let fire_lanes = vec![FireLane {
            id,
            name,
            path: lane,
            width: lane_width,
        }];
        let (id, name) = named("hall");
        let pegs = outline.iter().map(|&at| Stake {
            at,
            depth: Some(0.6),
        });
        let buildings = vec![Building {
            id,
            name,
            stakes: pegs.collect(),
            outline,
            height: 4.0,
            underside: None,
        }];
        let (id, name) = named("tree");
        let trees = vec![Tree {
            id,
            name,
            at: tree,
            trunk_radius: 0.2,
            canopy_radius,
            canopy_underside: 2.0,
            canopy_top: 9.0,
        }];
        let (id, name) = named("wire");
        let points = (wire.iter())
            .map(|at| LinePoint {
                x: at.x,
                y: at.y,
                height: 9.0,
            })
            .collect();
        let overhead_lines = vec![OverheadLine {
            id,
            name,
            points,
            sag: Some(0.5),
            lowest: None,
            volts: Some(11e3),
            supplies: Vec::new(),
        }];
        let (id, name) = named("drain");
        let buried_services = vec![BuriedService {
            id,
            name,
            path: service,
            depth: Some(0.8),
        }];
        let (id, name) = named("generator");
        let power_sources = vec![PowerSource {
            id,
            name,
            at: power,
            radius: power_radius,
            kind: None,
            cord: None,
            crossings_protected: false,
            supplies: Vec::new(),
        }];
        let (id, name) = named("cover");
        let covers = vec![Cover {
            id,
            name,
            at: cover,
            radius: cover_radius,
        }];
        let (id, name) = named("fuel");
        let fuel_stores = vec![FuelStore {
            id,
            name,
            at: fuel,
            radius: fuel_radius,
        }];
        let (id, name) = named("gate");
        let gates = vec![Gate {
            id,
            name,
            from: gate_from,
            to: gate_to,
        }];
        Features {
            walkways,
            fire_lanes,
            buildings,
            trees,
            overhead_lines,
            buried_services,
            covers,
            power_sources,
            fuel_stores,
            gates,
            ..Features::default()
        }
    })
}

fn scene() -> impl Strategy<Value = SiteFile> {
    // A lot with a corner taken out of it, and a survey that reaches beyond it.
    let corner = (10.0..50.0f64, 10.0..40.0f64);
    (corner, features(), ride("one"), ride("other")).prop_map(|(corner, features, one, other)| {
        let boundary = [
            (0.0, 0.0),
            (60.0, 0.0),
            (60.0, 50.0),
            (corner.0, 50.0),
            corner,
            (0.0, corner.1),
        ];
        let survey = [(-20.0, -20.0), (80.0, -20.0), (80.0, 70.0), (-20.0, 70.0)];
        SiteFile {
            format: SITE_FORMAT.to_owned(),
            version: SITE_VERSION,
            name: "Random scene".to_owned(),
            units: LengthStyle::Metres,
            lot: Lot {
                boundary: boundary.map(|(x, y)| Point::new(x, y)).to_vec(),
            },
            spot_levels: survey
                .map(|(x, y)| SpotLevel::new(x, y, Elevation(100.0 + 0.01 * x)))
                .to_vec(),
            breaklines: Vec::new(),
            field_books: Vec::new(),
            imported_points: Vec::new(),
            features,
            profiles: staked(),
            rides: vec![one, other],
            blocks: vec![Block {
                id: "board".to_owned(),
                thickness: 0.04,
                length: 0.6,
                width: 0.24,
                count: 40,
            }],
            clearance_values: Vec::new(),
            bonds: Vec::new(),
            load_values: Vec::new(),
            level_rounds: Vec::new(),
            groundwork: Vec::new(),
        }
    })
}

/// A round or straight shape: everything within a radius of a GEOS geometry.
struct Rounded {
    core: Geometry,
    radius: f64,
}

fn rounded(core: Geometry, radius: f64) -> Rounded {
    Rounded { core, radius }
}

/// How far a frame that leans by τ may move what stands on it aside, metres: turned about the hub,
/// a place `x` out and `z` up comes to lie at `x cos τ + z sin τ`.
fn aside(outline: &[Point], z: f64, ride: &RideAssessment) -> f64 {
    let (sin, cos) = libm::sincos(ride.envelope.tilt_deg.to_radians());
    let out = outline.iter().map(|at| at.coords.norm());
    let moved = out.map(|x| (x - (x * cos - z * sin)).abs());
    moved.fold(0.0, f64::max)
}

/// What a part of a ride is in plan; `space` names one that is there while building up.
fn part_in_plan(ride: &RideAssessment, site: &Site, part: Part, space: &str) -> Vec<Rounded> {
    let profile: &RideProfile = (site.file().profiles.iter())
        .find(|profile| profile.id == ride.profile)
        .unwrap();
    // Pads, and blocking as wide as the longest block, square to the frame.
    let pad = profile.loads.jack_pad.unwrap_or(PAD);
    let block = site.file().blocks[0].length;
    let feet = (profile.jacks.iter().map(|jack| (jack.at, pad)))
        .chain(profile.outriggers.iter().map(|it| (it.at, block)))
        .map(|(at, side)| {
            let half = side / 2.0;
            let corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
                .map(|(x, y)| ride.placement.to_lot(at + tober::Step::new(x, y)));
            rounded(polygon(&corners), 0.0)
        });
    let console = profile.console.iter();
    let console = console.map(|&at| rounded(point(ride.placement.to_lot(at)), CONSOLE));
    match part {
        Part::Moving => vec![rounded(point(ride.placement.hub()), ride.envelope.radius)],
        Part::Standing => {
            let lean = aside(&profile.body, profile.body_height, ride);
            feet.chain(console)
                .chain([rounded(polygon(&ride.body), lean)])
                .collect()
        }
        Part::Feet => feet.collect(),
        Part::Fence => vec![rounded(polygon(&ride.fence.posts), 0.0)],
        Part::Stakes => {
            let own = profile.stakes.iter().map(|it| ride.placement.to_lot(it.at));
            let all = own.chain(ride.fence.posts.iter().copied());
            all.map(|at| rounded(point(at), STAKE)).collect()
        }
        Part::Fuel | Part::Power => panic!("no part of a ride"),
        Part::BuildUp => {
            let found = profile.spaces.iter().find(|it| it.name == space).unwrap();
            let tall = found.low.abs().max(found.high.abs());
            let lean = aside(&found.outline, tall, ride);
            let places = found.outline.iter();
            let outline: Vec<Point> = places.map(|&at| ride.placement.to_lot(at)).collect();
            vec![rounded(polygon(&outline), lean)]
        }
    }
}

/// What a row is measured to in plan; none for the lot line.
fn other_in_plan(row: &ClearanceRow, site: &Site, assessment: &Assessment) -> Vec<Rounded> {
    let features = &site.file().features;
    match row.against {
        Against::LotLine => Vec::new(),
        Against::Ride => {
            let is_other = |ride: &&RideAssessment| ride.id == row.against_id;
            let other = assessment.rides.iter().find(is_other).unwrap();
            if row.part == Part::Fence {
                part_in_plan(other, site, Part::Fence, "")
            } else {
                let mut whole = part_in_plan(other, site, Part::Moving, "");
                whole.extend(part_in_plan(other, site, Part::Standing, ""));
                whole
            }
        }
        Against::Walkway => {
            let walk = &features.walkways[0];
            vec![rounded(line(&walk.path), walk.width / 2.0)]
        }
        Against::FireLane => {
            let lane = &features.fire_lanes[0];
            vec![rounded(line(&lane.path), lane.width / 2.0)]
        }
        Against::Building => vec![rounded(polygon(&features.buildings[0].outline), 0.0)],
        Against::Tree => {
            let tree = &features.trees[0];
            vec![rounded(point(tree.at), tree.canopy_radius)]
        }
        Against::OverheadLine => {
            let points = &features.overhead_lines[0].points;
            let path: Vec<Point> = points.iter().map(|at| Point::new(at.x, at.y)).collect();
            vec![rounded(line(&path), 0.0)]
        }
        Against::BuriedService => vec![rounded(line(&features.buried_services[0].path), 0.0)],
        Against::PowerSource => {
            let source = &features.power_sources[0];
            vec![rounded(point(source.at), source.radius)]
        }
        Against::Cover => {
            let cover = &features.covers[0];
            vec![rounded(point(cover.at), cover.radius)]
        }
        Against::FuelStore => {
            let fuel = &features.fuel_stores[0];
            vec![rounded(point(fuel.at), fuel.radius)]
        }
        Against::Gate => {
            let gate = &features.gates[0];
            vec![rounded(line(&[gate.from, gate.to]), 0.0)]
        }
        Against::Extinguisher | Against::Disconnect | Against::FenceOpening | Against::Rope => {
            panic!("no distance is kept to what is at hand: {row:?}")
        }
    }
}

/// A distance by GEOS.
struct Reference {
    /// The distance, or a bound on it from above where cores overlap.
    at_most: f64,
    /// Whether any cores overlap, so that a push is asked for, which GEOS does not tell.
    overlap: bool,
}

impl Reference {
    fn between(own: &[Rounded], its: &[Rounded]) -> Reference {
        let mut reference = Reference {
            at_most: f64::INFINITY,
            overlap: false,
        };
        for one in own {
            for other in its {
                let apart = one.core.distance(&other.core).unwrap();
                reference.overlap |= apart == 0.0;
                reference.at_most = reference.at_most.min(apart - one.radius - other.radius);
            }
        }
        reference
    }

    fn inside(own: &[Rounded], boundary: &[Point]) -> Reference {
        let (lot, lot_line) = (polygon(boundary), ring(boundary));
        let mut reference = Reference {
            at_most: f64::INFINITY,
            overlap: false,
        };
        for one in own {
            let inside = lot.covers(&one.core).unwrap();
            let apart = if inside {
                one.core.distance(&lot_line).unwrap()
            } else {
                0.0
            };
            reference.overlap |= !inside;
            reference.at_most = reference.at_most.min(apart - one.radius);
        }
        reference
    }
}

/// The moving circle drawn as a polygon, inside the circle and around it.
struct DrawnCircle {
    inside: Geometry,
    around: Geometry,
}

impl DrawnCircle {
    fn new(ride: &RideAssessment) -> DrawnCircle {
        let radius = ride.envelope.radius;
        let drawn = |radius| point(ride.placement.hub()).buffer(radius, QUARTER).unwrap();
        DrawnCircle {
            inside: drawn(radius),
            // Its sides touch the circle when its corners lie so far out.
            around: drawn(radius / libm::cos(PI / f64::from(4 * QUARTER))),
        }
    }

    fn check(&self, row: &ClearanceRow, found: f64, its: &[Rounded]) {
        for other in its {
            let from_inside = self.inside.distance(&other.core).unwrap() - other.radius;
            assert!(
                found <= from_inside + ROUNDING,
                "{found} > {from_inside}: {row:?}"
            );
        }
        let from_around = |other: &Rounded| self.around.distance(&other.core).unwrap();
        if its.iter().all(|other| from_around(other) > 0.0) {
            let apart = |other: &Rounded| from_around(other) - other.radius;
            let nearest = its.iter().map(apart).fold(f64::INFINITY, f64::min);
            assert!(found >= nearest - ROUNDING, "{found} < {nearest}: {row:?}");
        }
    }
}

fn check_row(
    row: &ClearanceRow,
    ride: &RideAssessment,
    circle: &DrawnCircle,
    site: &Site,
    assessment: &Assessment,
) {
    let found = row.value.expect("a distance");
    let own = part_in_plan(ride, site, row.part, &row.space);
    let its = other_in_plan(row, site, assessment);
    let reference = match (row.against, row.part) {
        (Against::LotLine, _) => Reference::inside(&own, &site.file().lot.boundary),
        // They may stand inside the fence, so long as no panel runs through them.
        (Against::PowerSource | Against::Tree, Part::Fence) => {
            Reference::between(&[rounded(ring(&ride.fence.posts), 0.0)], &its)
        }
        _ => Reference::between(&own, &its),
    };
    let Reference { at_most, overlap } = reference;
    match row.measure {
        Measure::Horizontal => {
            assert!(
                found <= at_most + ROUNDING,
                "overstated: {found}, not {at_most}: {row:?}"
            );
            assert!(
                overlap || found >= at_most - ROUNDING,
                "{found}, not {at_most}: {row:?}"
            );
        }
        // Through the air nothing is nearer than in plan.
        Measure::Slope | Measure::AtMost | Measure::Ball => {
            panic!("no distance is a slope: {row:?}")
        }
        Measure::True => {
            let is_far_enough = at_most <= 0.0 || found >= at_most - SEARCHED - ROUNDING;
            assert!(
                is_far_enough,
                "understated: {found}, not {at_most}: {row:?}"
            );
        }
    }

    let is_circle = row.part == Part::Moving && row.measure == Measure::Horizontal;
    if is_circle && row.against != Against::LotLine {
        circle.check(row, found, &its);
    }
}

fn check_lot_row(found: &LotClearance, site: &Site, assessment: &Assessment) {
    let features = &site.file().features;
    let own = match found.row.part {
        Part::Fuel => {
            let fuel = &features.fuel_stores[0];
            vec![rounded(point(fuel.at), fuel.radius)]
        }
        Part::Power => {
            let source = &features.power_sources[0];
            vec![rounded(point(source.at), source.radius)]
        }
        Part::Stakes => {
            let stakes = features.buildings[0].stakes.iter();
            stakes.map(|it| rounded(point(it.at), STAKE)).collect()
        }
        part => panic!("{part:?} is no thing of the lot"),
    };
    let its = other_in_plan(&found.row, site, assessment);
    let Reference { at_most, overlap } = Reference::between(&own, &its);
    let value = found.row.value.expect("a distance");
    assert!(
        value <= at_most + ROUNDING && (overlap || value >= at_most - ROUNDING),
        "{value}, not {at_most}: {found:?}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn every_distance_matches_geos(file in scene()) {
        let site = Site::new(file).unwrap_or_else(|faults| panic!("{faults}"));
        let assessment = assess(&site);
        prop_assert_eq!(assessment.rides.len(), 2);
        for ride in &assessment.rides {
            // Ten features and the other ride: each has a row or is counted as far.
            let ids = ride.clearances.iter().map(|row| row.against_id.as_str());
            let near: HashSet<&str> = ids.filter(|id| !id.is_empty()).collect();
            prop_assert_eq!(near.len() + ride.far, 11);
            let circle = DrawnCircle::new(ride);
            for row in &ride.clearances {
                check_row(row, ride, &circle, &site, &assessment);
            }
        }
        // Fuel to four things, the generator to two, the stakes of the hall to two.
        prop_assert_eq!(assessment.lot_clearances.len(), 8);
        for found in &assessment.lot_clearances {
            check_lot_row(found, &site, &assessment);
        }
    }
}
