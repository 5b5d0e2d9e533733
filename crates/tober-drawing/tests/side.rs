//! Side views: every row of every sample has one, and it shows what the row says.

use tober::Point;
use tober::assess::assess;
use tober::clearance::{Against, Measure, Part};
use tober::ground::Elevation;
use tober::site::{
    FuelStore, LinePoint, OverheadLine, PowerSource, Site, SiteFile, SpotLevel, Tree, Walkway,
};
use tober_drawing::{Pair, describe_side, side_svg, side_view};

const SIZE: (f64, f64) = (432.0, 300.0);

const SAMPLES: [&str; 2] = [
    include_str!("../../../sample-sites/village-green.json"),
    include_str!("../../../sample-sites/paved-yard.json"),
];

/// The green with a wire and a tree close by the ride, on a plane that falls to the south.
fn beside_a_wire() -> SiteFile {
    let mut file = Site::read(SAMPLES[0])
        .expect("a sound sample")
        .file()
        .clone();
    file.breaklines.clear();
    file.spot_levels = [(-5.0, -5.0), (65.0, -5.0), (65.0, 50.0), (-5.0, 50.0)]
        .map(|(x, y)| SpotLevel::new(x, y, Elevation(100.0 + 0.02 * y)))
        .to_vec();
    let point = |x, y| LinePoint { x, y, height: 9.0 };
    file.features.overhead_lines.push(OverheadLine {
        id: "wire".to_owned(),
        name: "Wire & pole".to_owned(),
        points: vec![point(10.0, 34.0), point(55.0, 36.0)],
        sag: Some(0.8),
        lowest: None,
        volts: Some(240.0),
        supplies: Vec::new(),
    });
    file.features.trees.push(Tree {
        id: "near".to_owned(),
        name: "Near tree".to_owned(),
        at: Point::new(41.0, 18.0),
        trunk_radius: 0.3,
        canopy_radius: 2.5,
        canopy_underside: 5.0,
        canopy_top: 11.0,
    });
    file
}

#[test]
fn every_row_has_a_side_view_that_is_always_the_same() {
    for json in SAMPLES {
        let site = Site::read(json).expect("a sound sample");
        let assessment = assess(&site);
        for (ride, found) in assessment.rides.iter().enumerate() {
            for (row, of) in found.clearances.iter().enumerate() {
                let pair = Pair::Ride { ride, row };
                let drawn = side_svg(&site, &assessment, pair, SIZE).expect("a side view");
                assert_eq!(
                    side_svg(&site, &assessment, pair, SIZE),
                    Some(drawn.clone())
                );
                assert!(drawn.contains(of.verdict.word()), "{of:?}");
                assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
            }
        }
        let beyond = Pair::Ride { ride: 9, row: 0 };
        assert_eq!(side_view(&site, &assessment, beyond, SIZE), None);
    }
}

/// Things of the lot, narrow places of ways and the narrowest from gate to gate as well.
#[test]
fn what_is_no_rides_has_a_side_view() {
    let (mut lot, mut pinches, mut passages) = (0, 0, 0);
    for json in SAMPLES {
        let site = Site::read(json).expect("a sound sample");
        // A booth stands in every walkway.
        let mut file = site.file().clone();
        let walks = file.features.walkways.clone();
        for (index, walk) in walks.iter().enumerate() {
            let at = walk.path[0] + (walk.path[1] - walk.path[0]) / 2.0;
            file.features.fuel_stores.push(FuelStore {
                id: format!("booth-{index}"),
                name: String::new(),
                at,
                radius: 0.3,
            });
        }
        let site = Site::new(file).expect("a sound site");
        let assessment = assess(&site);
        let rows = (0..assessment.lot_clearances.len()).map(Pair::Lot);
        let ways = assessment.ways.iter().enumerate();
        let narrow = ways.flat_map(|(way, of)| {
            (0..of.pinches.len()).map(move |pinch| Pair::Pinch { way, pinch })
        });
        let gates = assessment.passages.iter().enumerate();
        let gates = gates.filter(|(_, it)| it.narrowest.is_some());
        let gates = gates.map(|(index, _)| Pair::Passage(index));
        for pair in rows.chain(narrow).chain(gates) {
            match pair {
                Pair::Ride { .. } | Pair::Cord(_) => {}
                Pair::Lot(_) => lot += 1,
                Pair::Pinch { .. } => pinches += 1,
                Pair::Passage(_) => passages += 1,
            }
            let drawn = side_svg(&site, &assessment, pair, SIZE).expect("a side view");
            assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
            assert!(drawn.contains("dimension-plate"), "{pair:?}");
            if matches!(pair, Pair::Pinch { .. }) {
                assert!(drawn.contains("side-walkway") || drawn.contains("side-fire-lane"));
            }
        }
        assert_eq!(side_view(&site, &assessment, Pair::Lot(999), SIZE), None);
        assert_eq!(
            side_view(&site, &assessment, Pair::Passage(999), SIZE),
            None
        );
    }
    assert!(
        lot > 0 && pinches > 0 && passages > 0,
        "{lot} {pinches} {passages}"
    );
}

/// A cord is seen along its way, with the walkway that it cannot but cross.
#[test]
fn a_cord_is_seen_along_its_way() {
    let mut file = Site::read(SAMPLES[0])
        .expect("a sound sample")
        .file()
        .clone();
    let bounds = file.lot.boundary.iter();
    let (west, east) = bounds.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), at| {
        (low.min(at.x), high.max(at.x))
    });
    let hub = file.rides[0].placement;
    let south = file
        .lot
        .boundary
        .iter()
        .map(|at| at.y)
        .fold(f64::INFINITY, f64::min);
    let source = Point::new(hub.x, south + 2.0);
    file.features.power_sources.clear();
    file.features.power_sources.push(PowerSource {
        id: "pillar".to_owned(),
        name: "Pillar <1>".to_owned(),
        at: source,
        radius: 0.3,
        kind: None,
        cord: Some(90.0),
        crossings_protected: false,
        supplies: Vec::new(),
    });
    file.features.walkways.clear();
    file.features.walkways.push(Walkway {
        id: "across".to_owned(),
        name: "Across".to_owned(),
        path: vec![Point::new(west, south + 5.0), Point::new(east, south + 5.0)],
        width: 2.0,
    });
    let drawn = |file: SiteFile| {
        let site = Site::new(file).expect("a sound site");
        let assessment = assess(&site);
        let words = describe_side(&site, &assessment, Pair::Cord(0)).expect("words");
        let drawn = side_svg(&site, &assessment, Pair::Cord(0), SIZE).expect("a view");
        assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
        assert_eq!(side_view(&site, &assessment, Pair::Cord(99), SIZE), None);
        (words, drawn)
    };
    let (words, open) = drawn(file.clone());
    assert!(words.contains("It crosses Across from"), "{words}");
    assert!(words.contains("cover or fly it"), "{words}");
    assert!(
        open.contains("side-block side-walkway") && !open.contains("class=\"side-cover\""),
        "{open}"
    );
    assert!(open.contains("Pillar &lt;1&gt;"));
    file.features.power_sources[0].crossings_protected = true;
    let (words, covered) = drawn(file);
    assert!(words.contains("covered or flown"), "{words}");
    assert!(covered.contains("class=\"side-cover\""));
}

#[test]
fn a_wire_shows_with_both_heights_and_the_circle_that_it_asks_for() {
    let site = Site::new(beside_a_wire()).expect("a sound site");
    let assessment = assess(&site);
    let rows = &assessment.rides[0].clearances;
    let row = rows
        .iter()
        .position(|row| {
            row.against == Against::OverheadLine
                && row.part == Part::Moving
                && row.measure == Measure::True
        })
        .expect("a row to the wire");
    let pair = Pair::Ride { ride: 0, row };
    let drawn = side_svg(&site, &assessment, pair, SIZE).expect("a side view");
    for class in [
        "overhead",
        "side-needed",
        "envelope",
        "side-ground",
        "side-height",
    ] {
        assert!(
            drawn.contains(&format!("class=\"{class}\"")),
            "{class} in {drawn}"
        );
    }
    assert!(drawn.contains("Wire &amp; pole"));
    // The wire's height at its nearest place: what the row says, less the ground there.
    let found = &rows[row];
    let up = found.to_height.unwrap() - site.ground().height(found.to).unwrap().0;
    let words = describe_side(&site, &assessment, pair).expect("words");
    let said = format!("of the other side is {} above", assessment.units.format(up));
    assert!(words.contains(&said), "{words}");
}

#[test]
fn unknown_heights_are_said_and_not_invented() {
    let mut file = beside_a_wire();
    // Surveyed far from the ride only.
    file.spot_levels = [(0.0, 0.0), (3.0, 0.0), (0.0, 3.0)]
        .map(|(x, y)| SpotLevel::new(x, y, Elevation(100.0)))
        .to_vec();
    let site = Site::new(file).expect("a sound site");
    let assessment = assess(&site);
    let drawn =
        side_view(&site, &assessment, Pair::Ride { ride: 0, row: 0 }, SIZE).expect("a view");
    assert!(drawn.contains("heights not known"), "{drawn}");
    assert!(!drawn.contains("side-height"), "no height is told");
}

#[test]
fn a_stake_and_what_is_buried_show_in_the_ground() {
    let site = Site::read(SAMPLES[0]).expect("a sound sample");
    let assessment = assess(&site);
    let rows = &assessment.rides[0].clearances;
    let row = rows.iter().position(|row| row.part == Part::Stakes);
    let pair = Pair::Ride {
        ride: 0,
        row: row.expect("a row of the fence's stakes"),
    };
    let drawn = side_view(&site, &assessment, pair, SIZE).expect("a side view");
    // Over the earth, not under it.
    let place = |class: &str| drawn.find(&format!("class=\"{class}\"")).expect("it shows");
    assert!(place("side-stake") > place("side-ground"));
    assert!(place("side-buried") > place("side-ground"));
    insta::assert_snapshot!("side-of-a-stake", drawn);
}

#[test]
fn a_wire_from_the_side() {
    let site = Site::new(beside_a_wire()).expect("a sound site");
    let assessment = assess(&site);
    let rows = &assessment.rides[0].clearances;
    let row = rows.iter().position(|row| row.against_id == "wire");
    let pair = Pair::Ride {
        ride: 0,
        row: row.expect("a row to the wire"),
    };
    let drawn = side_view(&site, &assessment, pair, SIZE).expect("a side view");
    insta::assert_snapshot!("side-of-a-wire", drawn);
}
