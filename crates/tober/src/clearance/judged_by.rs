//! Three promises on scenes drawn at random, against sums of this file's own: move the ride 100 mm
//! and the margin moves as geometry says; raise a wire by 1 m and its row answers; turn an obstacle
//! into a canopy with room beneath and the low fence no longer objects while the swing still does.
//!
//! The plain trailer's arms sweep 4 m round the hub, 1 m to 3 m above the datum, and riders reach
//! 0.5 m farther; the frame may lean whichever way by what the envelope says.

use proptest::prelude::*;

use super::*;
use crate::Step;
use crate::assess::{Assessment, RideAssessment, assess};
use crate::fixtures::flat_lot;
use crate::site::{
    Building, FuelStore, Gate, LinePoint, OverheadLine, PlacedRide, Placement, PowerSource, Site,
    SiteFile, Tree, Walkway,
};

fn assessed(file: SiteFile) -> Assessment {
    assess(&Site::new(file).expect("a sound site"))
}

fn row(ride: &RideAssessment, part: Part, measure: Measure, id: &str) -> ClearanceRow {
    let mut rows = ride.clearances.iter();
    let found = rows.find(|it| (it.part, it.measure, &*it.against_id) == (part, measure, id));
    found.unwrap_or_else(|| panic!("no row to {id}")).clone()
}

fn polar(far: f64, bearing: f64) -> Point {
    let (sin, cos) = libm::sincos(bearing);
    Point::new(far * cos, far * sin)
}

/// From a place to a straight stretch.
fn to_side(at: Point, from: Point, to: Point) -> f64 {
    let along = to - from;
    let share = (at - from).dot(&along) / along.norm_squared().max(1e-12);
    (at - (from + along * share.clamp(0.0, 1.0))).norm()
}

fn to_path(at: Point, path: &[Point]) -> f64 {
    let sides = path.windows(2).map(|side| to_side(at, side[0], side[1]));
    sides.fold(f64::INFINITY, f64::min)
}

fn closed(corners: &[Point]) -> Vec<Point> {
    corners.iter().chain(corners.first()).copied().collect()
}

fn square(middle: Point, half: f64) -> Vec<Point> {
    [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
        .map(|(x, y)| middle + Step::new(x, y) * half)
        .to_vec()
}

fn tree(at: Point, canopy_radius: f64, (canopy_underside, canopy_top): (f64, f64)) -> Tree {
    Tree {
        id: "tree".to_owned(),
        name: String::new(),
        at,
        trunk_radius: 0.25,
        canopy_radius,
        canopy_underside,
        canopy_top,
    }
}

/// From a place at `out` from the axis and `up` above the ground to the arms, leaning whichever
/// way: dense in the lean, so never too small.
fn to_arms(ride: &RideAssessment, out: f64, up: f64) -> f64 {
    let lean = ride.envelope.tilt_deg.to_radians();
    let z = up - ride.envelope.datum.expect("known ground").0;
    let leans = (-20..=20).map(|k| lean * f64::from(k) / 20.0);
    let gaps = leans.map(|lean| {
        let (sin, cos) = libm::sincos(lean);
        let (x, z) = (out * cos - z * sin, out * sin + z * cos);
        let gap = Step::new((x.abs() - 4.0).max(0.0), (1.0 - z).max(z - 3.0).max(0.0));
        gap.norm() - 0.5
    });
    gaps.fold(f64::INFINITY, f64::min)
}

/// Searches stop within 1 mm, and an outline stands off by half of one.
const GRAIN: f64 = 2e-3;

proptest! {
    #[test]
    fn a_ride_moved_by_100_mm_moves_the_margin_as_geometry_says(
        bearings in prop::array::uniform5(0.0..core::f64::consts::TAU),
        far in prop::array::uniform5(9.0..14.0f64),
        bend in -8.0..8.0f64,
        hub in (-9.0..9.0f64, -9.0..9.0f64),
        heading in 0.0..360.0f64,
        way in 0.0..core::f64::consts::TAU,
    ) {
        let hub = Point::new(hub.0, hub.1);
        let place = |k: usize| hub + polar(far[k], bearings[k]).coords;
        let mut file = flat_lot();
        file.rides[0].placement = Placement { x: hub.x, y: hub.y, heading };
        // Across the way to it, with a bend.
        let across = polar(1.0, bearings[0] + core::f64::consts::FRAC_PI_2).coords;
        let beyond = place(0) + polar(bend.abs(), bearings[0]).coords;
        let path = vec![place(0) - across * 9.0, place(0) + across * bend, beyond + across * 9.5];
        file.features.walkways.push(Walkway {
            id: "walk".to_owned(),
            name: String::new(),
            path: path.clone(),
            width: 2.0,
        });
        file.features.power_sources.push(PowerSource {
            id: "pillar".to_owned(),
            name: String::new(),
            at: place(1),
            radius: 0.4,
            kind: None,
            cord: None,
            crossings_protected: false,
            supplies: Vec::new(),
        });
        file.features.trees.push(tree(place(2), 1.2, (0.0, 20.0)));
        let shed = square(place(3), 1.4);
        file.features.buildings.push(Building {
            id: "shed".to_owned(),
            name: String::new(),
            outline: shed.clone(),
            height: 20.0,
            underside: None,
            stakes: Vec::new(),
        });
        let other = place(4) + polar(5.0, bearings[4]).coords;
        file.rides.push(PlacedRide {
            id: "other".to_owned(),
            placement: Placement { x: other.x, y: other.y, heading: 3.0 * heading % 360.0 },
            ..file.rides[0].clone()
        });
        let line = closed(&file.lot.boundary);
        // Each distance from the hub, less what is taken off besides the arms.
        let by_hand = |hub: Point, radius: f64| [
            ("walk", Measure::Horizontal, to_path(hub, &path) - 1.0 - radius),
            ("pillar", Measure::Horizontal, (hub - place(1)).norm() - 0.4 - radius),
            ("tree", Measure::True, (hub - place(2)).norm() - 1.2 - radius),
            ("shed", Measure::True, to_path(hub, &closed(&shed)) - radius),
            ("other", Measure::Horizontal, (hub - other).norm() - 2.0 * radius),
            ("", Measure::Horizontal, to_path(hub, &line) - radius),
        ];
        let before = assessed(file.clone());
        let moved = hub + polar(0.1, way).coords;
        (file.rides[0].placement.x, file.rides[0].placement.y) = (moved.x, moved.y);
        let after = assessed(file);
        let radius = before.rides[0].envelope.radius;
        let pairs = by_hand(hub, radius).into_iter().zip(by_hand(moved, radius));
        for ((id, measure, was), (.., is)) in pairs {
            if was.min(is) <= 0.0 {
                continue;
            }
            let [was_told, told] = [&before, &after]
                .map(|it| row(&it.rides[0], Part::Moving, measure, id));
            for (told, hand) in [(&was_told, was), (&told, is)] {
                let value = told.value.unwrap();
                prop_assert!(value <= hand + 1e-9 && value > hand - GRAIN, "{id} {value} {hand}");
                let margin = told.margin.unwrap();
                prop_assert!((margin - (value - told.required)).abs() < 1e-12);
                prop_assert_eq!(told.verdict == Verdict::Pass, margin >= -1e-9);
            }
            let went = told.margin.unwrap() - was_told.margin.unwrap();
            let grain = if measure == Measure::Horizontal { 1e-9 } else { GRAIN };
            prop_assert!((went - (is - was)).abs() <= grain, "{id} went {went}, not {}", is - was);
            prop_assert!(went.abs() <= 0.1 + grain);
        }
    }

    #[test]
    fn a_wire_raised_by_1_m_is_answered_by_its_row(
        ends in prop::array::uniform2((-30.0..30.0f64, 4.0..9.0f64)),
        near in -10.0..10.0f64,
        hub in (-9.0..9.0f64, -9.0..9.0f64),
        volts in prop::option::of(prop::sample::select(vec![230.0, 600.0, 11e3, 132e3])),
    ) {
        let hub = Point::new(hub.0, hub.1);
        let at = |up: f64| {
            let mut file = flat_lot();
            file.rides[0].placement = Placement { x: hub.x, y: hub.y, heading: 0.0 };
            let [(west, low), (east, high)] = ends;
            let points = [(west - 30.0, -near, low), (east + 30.0, near, high)];
            file.features.overhead_lines.push(OverheadLine {
                id: "wire".to_owned(),
                name: String::new(),
                points: points
                    .map(|(x, y, height)| LinePoint {
                        x: x.clamp(-39.0, 39.0),
                        y,
                        height: height + up,
                    })
                    .to_vec(),
                sag: Some(0.0),
                lowest: None,
                volts,
                supplies: Vec::new(),
            });
            let line = file.features.overhead_lines[0].points.clone();
            let assessment = assessed(file);
            let ride = assessment.rides[0].clone();
            // A taut wire is straight: dense along it, so never too small.
            const PIECES: u32 = 2000;
            let [from, to] = line.as_slice() else { unreachable!() };
            let by_hand = (0..=PIECES).map(|k| {
                let share = f64::from(k) / f64::from(PIECES);
                let on = |a: f64, b: f64| a + (b - a) * share;
                let place = Point::new(on(from.x, to.x), on(from.y, to.y));
                to_arms(&ride, (place - hub).norm(), on(from.height, to.height))
            });
            let by_hand = by_hand.fold(f64::INFINITY, f64::min);
            let tilt = ride.envelope.tilt_deg.to_radians();
            (row(&ride, Part::Moving, Measure::True, "wire"), by_hand, tilt)
        };
        let ((low, low_by_hand, tilt), (high, high_by_hand, _)) = (at(0.0), at(1.0));
        prop_assume!(low_by_hand > 0.5);
        // An envelope is filled inwards: over the arms it is as high as their leaning tips.
        let over = low.horizontal.is_some_and(|it| it < 0.0);
        let filled = if over { 4.0 * libm::sin(tilt) } else { 0.0 };
        let grain = 2.0 * GRAIN + filled;
        for (told, hand) in [(&low, low_by_hand), (&high, high_by_hand)] {
            let value = told.value.unwrap();
            prop_assert!(value <= hand + 1e-9 && value > hand - grain, "{value} {hand}");
        }
        // What is asked for stays, and so does the distance in plan.
        prop_assert_eq!((low.required, &low.rule), (high.required, &high.rule));
        prop_assert_eq!(low.horizontal, high.horizontal);
        let went = high.margin.unwrap() - low.margin.unwrap();
        let by_hand = high_by_hand - low_by_hand;
        prop_assert!((went - by_hand).abs() < grain, "went {went}, not {by_hand}");
        prop_assert!(went > -GRAIN && went < 1.0 + GRAIN);
        // Voltage that nobody knows is taken at its strictest, and the row says so.
        prop_assert_eq!(volts.is_none(), low.note.contains("voltage not known"));
        if volts.is_none() {
            prop_assert_eq!(low.required, 45.0 * 0.3048);
        }
    }

    #[test]
    fn an_obstacle_that_becomes_a_canopy_spares_the_fence_but_not_the_swing(
        far in 6.5..12.0f64,
        bearing in 0.0..core::f64::consts::TAU,
        wide in 1.0..5.0f64,
        underside in 1.2..2.6f64,
        tented in any::<bool>(),
    ) {
        let at = polar(far, bearing);
        let with = |underside: f64| {
            let mut file = flat_lot();
            if tented {
                file.features.buildings.push(Building {
                    id: "tree".to_owned(),
                    name: String::new(),
                    outline: square(at, wide),
                    height: 9.0,
                    underside: (underside > 0.0).then_some(underside),
                    stakes: Vec::new(),
                });
            } else {
                file.features.trees.push(tree(at, wide, (underside, 9.0)));
            }
            assessed(file).rides.remove(0)
        };
        let (grounded, canopy) = (with(0.0), with(underside));
        // A tree stands inside a fence so long as no panel runs through it; a tent does not.
        let posts = closed(&canopy.fence.posts);
        let to_tree = |place: Point| (place - at).norm() - wide;
        let to_tent = |place: Point| {
            let gap = (place - at).abs() - Step::new(wide, wide);
            Step::new(gap.x.max(0.0), gap.y.max(0.0)).norm() + gap.max().min(0.0)
        };
        let to_it = |place: Point| if tented { to_tent(place) } else { to_tree(place) };
        let on_fence = posts.windows(2).flat_map(|side| {
            (0..=400).map(|k| side[0] + (side[1] - side[0]) * (f64::from(k) / 400.0))
        });
        let gap = on_fence.map(to_it).fold(f64::INFINITY, f64::min);
        prop_assume!(gap.abs() > 0.02);
        let trunk_clear = tented || (to_path(at, &posts) - 0.25).abs() > 0.02;
        prop_assume!(trunk_clear);
        let trunk_met = !tented && to_path(at, &posts) < 0.25;
        let fence = |ride: &RideAssessment| row(ride, Part::Fence, Measure::True, "tree").verdict;
        // On the ground it meets the fence or does not; with room beneath only a trunk does.
        prop_assert_eq!(fence(&grounded) == Verdict::Fail, gap < 0.0);
        prop_assert_eq!(fence(&canopy) == Verdict::Fail, trunk_met);
        // The swing: from the arms to the canopy, dense in height and along its edge.
        let edge = (0..=720).map(|k| {
            let round = core::f64::consts::TAU * f64::from(k) / 720.0;
            if tented {
                let way = polar(1.0, round).coords;
                at + way * (wide / way.x.abs().max(way.y.abs()))
            } else {
                at + polar(wide, round).coords
            }
        });
        let out = edge.map(|place| place.coords.norm()).fold(f64::INFINITY, f64::min);
        let heights = (0..=800).map(|k| underside + (9.0 - underside) * f64::from(k) / 800.0);
        let by_hand = heights
            .map(|up| to_arms(&canopy, out, up))
            .fold(f64::INFINITY, f64::min);
        let covers_hub = to_it(Point::origin()) < 0.0;
        let swing = row(&canopy, Part::Moving, Measure::True, "tree");
        let trunk = if tented { f64::INFINITY } else { to_arms(&canopy, far - 0.25, 2.0) };
        let by_hand = by_hand.min(trunk);
        if !covers_hub && by_hand > 0.05 {
            let value = swing.value.unwrap();
            prop_assert!(value <= by_hand + 1e-9 && value > by_hand - 0.02, "{value} {by_hand}");
            let slack = value - by_hand;
            let short = by_hand < swing.required;
            if (by_hand - swing.required).abs() > slack.abs() {
                prop_assert_eq!(swing.verdict == Verdict::Fail, short);
            }
        } else {
            prop_assert_eq!(swing.verdict, Verdict::Fail);
        }
        // An underside below the arms' tops spares the swing nothing.
        prop_assert_eq!(
            row(&grounded, Part::Moving, Measure::True, "tree").verdict,
            swing.verdict
        );
    }

    /// On a lot too large to be listed whole, a tank is told the nearest walkway and the nearest
    /// gate, unless even that is far: of all of them, measured one by one.
    #[test]
    fn of_each_kind_the_nearest_is_told(
        ways in prop::collection::vec((-38.0..38.0f64, -38.0..38.0f64, 0.0..6.3f64), 70),
        at in (-30.0..30.0f64, -30.0..30.0f64),
        radius in 0.1..1.0f64,
    ) {
        let at = Point::new(at.0, at.1);
        let mut file = flat_lot();
        let tank = FuelStore { id: "tank".to_owned(), name: String::new(), at, radius };
        file.features.fuel_stores.push(tank);
        let mut nearest = [f64::INFINITY; 2];
        for (index, &(x, y, way)) in ways.iter().enumerate() {
            let from = Point::new(x, y);
            let to = from + polar(3.0, way).coords;
            let (id, name) = (format!("way-{index}"), String::new());
            let gap = to_side(at, from, to) - radius;
            if index % 2 == 0 {
                nearest[0] = nearest[0].min(gap - 0.75);
                file.features.walkways.push(Walkway { id, name, path: vec![from, to], width: 1.5 });
            } else {
                nearest[1] = nearest[1].min(gap);
                file.features.gates.push(Gate { id, name, from, to });
            }
        }
        prop_assume!(nearest.iter().all(|gap| *gap > 0.0));
        let found = assessed(file).lot_clearances;
        for (against, gap) in [Against::Walkway, Against::Gate].into_iter().zip(nearest) {
            let mut rows = found.iter().filter(|it| it.row.against == against);
            let value = rows.next().and_then(|it| it.row.value);
            // What is far beyond what is asked for is not told at all.
            let is_so = value.map_or(gap > FAR, |it| (it - gap).abs() < 1e-9);
            prop_assert!(is_so, "{value:?} {gap}");
            prop_assert!(rows.next().is_none());
        }
    }
}
