//! Scenes in which the right answer can be worked out by hand. The plain trailer's arms sweep
//! 4.5 m round the hub, 1.0 m to 3.0 m above the datum and 0.5 m of reach beyond; the frame's
//! allowed tilt widens that by what the envelope says it does.

use super::*;
use crate::assess::{Assessment, assess};
use crate::envelope::Envelope;
use crate::fixtures::flat_lot;
use crate::ride::{RisingArms, Space, SpaceKind, Stake, Swing};
use crate::site::{
    Building, BuriedService, ClearanceValue, Cover, FuelStore, LinePoint, OverheadLine, PlacedRide,
    Placement, PowerKind, PowerSource, Site, SiteFile, Tree, Walkway,
};

fn assessed(file: SiteFile) -> Assessment {
    assess(&Site::new(file).expect("a sound site"))
}

/// The one row from a part to a feature, of the first ride.
fn row(assessment: &Assessment, part: Part, measure: Measure, id: &str) -> ClearanceRow {
    let rows = &assessment.rides[0].clearances;
    rows.iter()
        .find(|row| row.part == part && row.measure == measure && row.against_id == id)
        .unwrap_or_else(|| panic!("no row from {part:?} to {id}: {rows:?}"))
        .clone()
}

fn tree(underside: f64) -> Tree {
    Tree {
        id: "lime".to_owned(),
        name: String::new(),
        at: Point::new(9.0, 0.0),
        trunk_radius: 0.3,
        canopy_radius: 4.0,
        canopy_underside: underside,
        canopy_top: 14.0,
    }
}

fn line(height: f64, volts: Option<f64>, sag: Option<f64>) -> OverheadLine {
    let point = |y| LinePoint { x: 12.0, y, height };
    OverheadLine {
        id: "wire".to_owned(),
        name: String::new(),
        points: vec![point(-30.0), point(30.0)],
        sag,
        lowest: None,
        volts,
        supplies: Vec::new(),
    }
}

#[test]
fn moving_the_ride_moves_the_margin() {
    let mut file = flat_lot();
    file.features.walkways.push(Walkway {
        id: "walk".to_owned(),
        name: String::new(),
        path: vec![Point::new(12.0, -30.0), Point::new(12.0, 30.0)],
        width: 3.0,
    });
    let before = assessed(file.clone());
    let widening = before.rides[0].envelope.tilt_widening;
    let there = row(&before, Part::Moving, Measure::Horizontal, "walk");
    // 12 − 1.5 − 4.5, less the widening; the outline stands off by half a millimetre at most.
    let by_hand = 6.0 - widening;
    assert!(there.value.unwrap() <= by_hand + 1e-9);
    assert!(there.value.unwrap() > by_hand - 1e-3);
    file.rides[0].placement.x += 0.1;
    let after = row(&assessed(file), Part::Moving, Measure::Horizontal, "walk");
    assert!((there.margin.unwrap() - after.margin.unwrap() - 0.1).abs() < 1e-9);
}

#[test]
fn a_wire_answers_when_it_is_raised() {
    let at = |height| {
        let mut file = flat_lot();
        file.features
            .overhead_lines
            .push(line(height, Some(230.0), Some(0.0)));
        let assessment = assessed(file);
        let envelope = assessment.rides[0].envelope.clone();
        (
            row(&assessment, Part::Moving, Measure::True, "wire"),
            envelope,
        )
    };
    let (low, envelope) = at(3.0);
    // At arm height the nearest way is level: 12 m less the arms' 4.5 m, and less of the tilt's
    // share than the arms' tops have.
    let level = low.value.unwrap();
    assert!(
        level >= 12.0 - envelope.radius - 2e-3 && level <= 7.5,
        "{level}"
    );
    assert_eq!(low.required, 15.0 * 0.3048);
    assert_eq!(low.rule, "line-up-to-600-volts");
    assert_eq!(low.also, ["lifting-near-lines-50-kv"]);
    // High above, it is Pythagoras from the shoulder, 0.5 m around. Leaning whichever way by the
    // tolerance takes the shoulder from (4.0, 3.0) along an arc about the hub.
    let (high, envelope) = at(12.0);
    let datum = envelope.datum.unwrap().0;
    let by_hand = (-100..=100)
        .map(|k| envelope.tilt_deg.to_radians() * f64::from(k) / 100.0)
        .map(|lean| {
            let (sin, cos) = libm::sincos(lean);
            let (radius, height) = (4.0 * cos + 3.0 * sin, 3.0 * cos - 4.0 * sin);
            libm::hypot(12.0 - radius, 12.0 - datum - height) - 0.5
        })
        .fold(f64::INFINITY, f64::min);
    let value = high.value.unwrap();
    assert!(
        value <= by_hand + 1e-9 && value > by_hand - 3e-3,
        "{value} {by_hand}"
    );
    let (higher, _) = at(13.0);
    assert!(higher.value.unwrap() > value + 0.5);
}

/// NEC 525.5(B)(1): 15 ft from a line of 600 V or less "except for the conductors supplying the
/// portable structure"; words from memory. Nothing else is excepted.
#[test]
fn a_line_that_supplies_the_ride_is_excepted_from_one_rule() {
    let wire = |volts, supplies: &[&str]| {
        let mut file = flat_lot();
        file.features.overhead_lines.push(OverheadLine {
            supplies: supplies.iter().map(|&id| id.to_owned()).collect(),
            ..line(5.0, volts, Some(0.0))
        });
        assessed(file)
    };
    let own = assessed(flat_lot()).rides[0].id.clone();
    let plain = wire(Some(230.0), &[]);
    let supply = wire(Some(230.0), &[&own]);
    let governing = |it: &Assessment, measure| row(it, Part::Moving, measure, "wire").rule;
    assert_eq!(governing(&plain, Measure::True), "line-up-to-600-volts");
    let excepted = row(&supply, Part::Moving, Measure::True, "wire");
    assert_eq!(excepted.rule, "lifting-near-lines-50-kv");
    assert!(excepted.also.is_empty() && excepted.note.contains("it supplies the ride"));
    // Standing parts were asked for nothing else.
    let standing = |it: &Assessment| {
        let mut rows = it.rides[0].clearances.iter();
        rows.any(|it| it.part == Part::Standing && it.against == Against::OverheadLine)
    };
    assert!(standing(&plain) && !standing(&supply));
    // Of more volts, or of nobody knows how many, nothing is excepted.
    let unknown = wire(None, &[&own]);
    assert_eq!(
        governing(&unknown, Measure::True),
        governing(&wire(None, &[]), Measure::True)
    );
    let high = wire(Some(11e3), &[&own]);
    assert_eq!(governing(&high, Measure::Horizontal), "line-over-600-volts");
    for it in [&unknown, &high] {
        let note = row(it, Part::Moving, Measure::True, "wire").note;
        assert!(note.contains("every rule applies"), "{note}");
    }
}

#[test]
fn a_wire_hangs_between_its_poles() {
    let at = |sag, lowest| {
        let mut file = flat_lot();
        file.features.overhead_lines.push(OverheadLine {
            lowest,
            ..line(14.0, Some(230.0), sag)
        });
        row(&assessed(file), Part::Moving, Measure::True, "wire")
    };
    // The ride stands abreast of mid-span, where the wire hangs by its sag.
    let taut = at(Some(0.0), None);
    let slack = at(Some(2.0), None);
    let lower = {
        let mut file = flat_lot();
        file.features
            .overhead_lines
            .push(line(12.0, Some(230.0), Some(0.0)));
        row(&assessed(file), Part::Moving, Measure::True, "wire")
    };
    let (slack_value, lower_value) = (slack.value.unwrap(), lower.value.unwrap());
    assert!(slack_value < taut.value.unwrap() - 1.0);
    assert!(
        (slack_value - lower_value).abs() < 2e-3,
        "{slack_value} {lower_value}"
    );
    assert!((slack.to_height.unwrap() - 12.0).abs() < 0.01);
    assert!(slack.horizontal.unwrap() < slack_value);
    // The lowest place says the same as the sag.
    let measured = at(None, Some(12.0)).value.unwrap();
    assert!(
        (measured - slack_value).abs() < 1e-6,
        "{measured} {slack_value}"
    );
    // Near a pole the same wire keeps its height.
    let mut file = flat_lot();
    file.features
        .overhead_lines
        .push(line(14.0, Some(230.0), Some(2.0)));
    file.rides[0].placement.y = 28.0;
    let abreast = row(&assessed(file), Part::Moving, Measure::True, "wire");
    assert!(abreast.value.unwrap() > slack_value + 0.8);
}

#[test]
fn building_up_has_rows_of_its_own() {
    use crate::ride::{Space, SpaceKind};
    let mut file = flat_lot();
    file.features.trees.push(Tree {
        at: Point::new(-25.0, 9.0),
        canopy_radius: 1.0,
        ..tree(5.0)
    });
    file.profiles[0].spaces = vec![
        Space {
            id: "tongue".to_owned(),
            name: "tongue drawn out".to_owned(),
            kind: SpaceKind::BuildUp,
            outline: [(2.0, 0.5), (2.0, -0.5), (8.0, -0.5), (8.0, 0.5)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            low: -0.5,
            high: 0.5,
        },
        Space {
            id: "steps".to_owned(),
            name: "steps".to_owned(),
            kind: SpaceKind::Standing,
            outline: [(-2.0, 1.5), (-1.0, 1.5), (-1.0, 7.0), (-2.0, 7.0)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            low: -0.5,
            high: 0.0,
        },
    ];
    file.rides[0].placement.x = -25.0;
    let with = assessed(file);
    // Heading north: the tongue reaches to 8 m north, the trunk begins at 8.7 m.
    let tongue = row(&with, Part::BuildUp, Measure::True, "lime");
    assert_eq!(tongue.space, "tongue drawn out");
    let by_hand = 9.0 - 0.3 - 8.0;
    let value = tongue.value.unwrap();
    assert!(value <= by_hand && value > by_hand - 0.2, "{value}");
    let boundary = row(&with, Part::Standing, Measure::Horizontal, "");
    // The steps reach 7 m to the left, which is west: 8 m from the lot line.
    assert!(boundary.value.unwrap() <= 8.0 && boundary.value.unwrap() > 7.8);
}

#[test]
fn what_keeps_far_has_no_row_and_is_counted() {
    let mut file = flat_lot();
    file.features.trees.push(Tree {
        at: Point::new(9.0, 0.0),
        ..tree(2.0)
    });
    let far = |index: usize| Tree {
        id: format!("far-{index}"),
        at: Point::new(150.0, 0.0),
        ..tree(2.0)
    };
    // A lot that one sheet holds is listed whole.
    file.features.trees.push(far(0));
    let assessment = assessed(file.clone());
    let ride = &assessment.rides[0];
    assert_eq!(ride.far, 0);
    assert!(ride.clearances.iter().any(|row| row.against_id == "far-0"));

    file.features.trees.extend((1..LISTED_WHOLE).map(far));
    let assessment = assessed(file);
    let ride = &assessment.rides[0];
    assert_eq!(ride.far, LISTED_WHOLE);
    let told_of = |row: &ClearanceRow| row.against_id.starts_with("far");
    assert!(!ride.clearances.iter().any(told_of));
    let features = ride
        .clearances
        .iter()
        .filter(|row| row.against != Against::LotLine);
    for row in features {
        assert!(row.margin.unwrap() <= FAR, "{row:?}");
    }
}

#[test]
fn sag_and_voltage_that_nobody_knows_are_taken_at_their_worst() {
    let mut file = flat_lot();
    file.features.overhead_lines.push(line(20.0, None, None));
    let assessment = assessed(file);
    let found = row(&assessment, Part::Moving, Measure::True, "wire");
    let radius = assessment.rides[0].envelope.radius;
    // The curtain reaches the ground: the level way.
    assert!((found.value.unwrap() - (12.0 - radius)).abs() < 2e-3);
    assert_eq!(found.required, 45.0 * 0.3048);
    assert!(found.note.contains("sag not known") && found.note.contains("voltage not known"));
    // And the rule for high voltage speaks too.
    row(&assessment, Part::Moving, Measure::Horizontal, "wire");
}

#[test]
fn a_canopy_with_room_beneath_spares_the_fence_but_not_the_swing() {
    let with = |underside| {
        let mut file = flat_lot();
        file.features.trees.push(tree(underside));
        assessed(file)
    };
    // Branches to the ground stand in the fence's way.
    let low = with(0.0);
    assert_eq!(
        row(&low, Part::Fence, Measure::True, "lime").verdict,
        Verdict::Fail
    );
    let high = with(2.5);
    assert_eq!(
        row(&high, Part::Fence, Measure::True, "lime").verdict,
        Verdict::Pass
    );
    // The arms, up to 4.1 m and more above the ground, still come within 3 ft of 5 m out.
    let swing = row(&high, Part::Moving, Measure::True, "lime");
    assert_eq!(swing.verdict, Verdict::Fail, "{swing:?}");
    // Well above the arms it is clear.
    let clear = row(&with(6.0), Part::Moving, Measure::True, "lime");
    assert_eq!(clear.verdict, Verdict::Pass, "{clear:?}");
}

#[test]
fn heights_on_unknown_ground_are_not_invented() {
    let mut file = flat_lot();
    // A canopy far above the swing, but nobody knows the ground that it stands on.
    file.features.trees.push(Tree {
        at: Point::new(46.0, 0.0),
        canopy_radius: 44.0,
        canopy_underside: 30.0,
        canopy_top: 40.0,
        ..tree(0.0)
    });
    let found = row(&assessed(file), Part::Moving, Measure::True, "lime");
    assert!(found.value.unwrap() < 0.0);
    assert!(found.note.contains("not surveyed"), "{}", found.note);
}

#[test]
fn a_building_is_as_high_as_it_is() {
    let with = |height| {
        let mut file = flat_lot();
        file.features.buildings.push(Building {
            id: "shed".to_owned(),
            name: String::new(),
            outline: [(8.0, -2.0), (12.0, -2.0), (12.0, 2.0), (8.0, 2.0)]
                .map(|(x, y)| Point::new(x, y))
                .to_vec(),
            height,
            underside: None,
            stakes: Vec::new(),
        });
        let assessment = assessed(file);
        let radius = assessment.rides[0].envelope.radius;
        (
            row(&assessment, Part::Moving, Measure::True, "shed"),
            radius,
        )
    };
    let (tall, radius) = with(5.0);
    assert!((tall.value.unwrap() - (8.0 - radius)).abs() < 1e-9);
    // Lower than the arms, it is farther off.
    let (low, _) = with(0.2);
    assert!(low.value.unwrap() > tall.value.unwrap());
    assert!((tall.to - Point::new(8.0, 0.0)).norm() < 1e-9);
}

#[test]
fn two_rides_stand_as_far_apart_as_their_rims() {
    let mut file = flat_lot();
    file.rides.push(PlacedRide {
        fence_gaps: Default::default(),
        id: "other".to_owned(),
        placement: Placement {
            x: 0.0,
            y: 12.0,
            heading: 90.0,
        },
        ..file.rides[0].clone()
    });
    let assessment = assessed(file);
    let radius = assessment.rides[0].envelope.radius;
    let found = row(&assessment, Part::Moving, Measure::Horizontal, "other");
    assert!((found.value.unwrap() - (12.0 - 2.0 * radius)).abs() < 1e-9);
    assert_eq!(found.required, 12.0 * 0.3048);
    assert_eq!(found.verdict, Verdict::Fail);
    // The other ride finds the same.
    let back = assessment.rides[1]
        .clearances
        .iter()
        .find(|row| row.part == Part::Moving && row.against == Against::Ride)
        .unwrap();
    assert!((back.value.unwrap() - found.value.unwrap()).abs() < 1e-9);
}

#[test]
fn a_site_lays_its_own_value_over_a_rule() {
    let mut file = flat_lot();
    file.features.buried_services.push(BuriedService {
        id: "drain".to_owned(),
        name: String::new(),
        path: vec![Point::new(3.0, -20.0), Point::new(3.0, 20.0)],
        depth: None,
    });
    file.clearance_values.push(ClearanceValue {
        rule: "buried-service-feet".to_owned(),
        value: 1.25,
        reason: "owner's letter".to_owned(),
    });
    let assessment = assessed(file);
    let found = row(&assessment, Part::Feet, Measure::Horizontal, "drain");
    assert_eq!(found.required, 1.25);
    let rule = assessment
        .rules
        .iter()
        .find(|rule| rule.id == found.rule)
        .unwrap();
    assert_eq!(rule.standing, Standing::Local);
    assert_eq!(rule.replaces, Some(2.0 * 0.3048));
    assert_eq!(rule.source, "owner's letter");
    // Feet at 1.5 m to the east, heading north; a 12 in pad lies square to the frame.
    let by_hand = 3.0 - 1.5 - 0.1524;
    assert!((found.value.unwrap() - by_hand).abs() < 1e-9);
}

#[test]
fn rules_have_ids_of_their_own_and_say_where_they_come_from() {
    for (i, rule) in rulebook().iter().enumerate() {
        assert!(
            rulebook()[..i].iter().all(|other| other.id != rule.id),
            "{}",
            rule.id
        );
        assert!(!rule.source.is_empty() && !rule.confirm.is_empty());
        assert!(rule.required >= 0.0 && rule.required.is_finite());
    }
}

/// The one distance of the lot from a thing to another.
fn of_the_lot(assessment: &Assessment, id: &str, to: &str) -> Option<ClearanceRow> {
    let mut found = assessment.lot_clearances.iter();
    let found = found.find(|it| it.id == id && it.row.against_id == to);
    found.map(|it| it.row.clone())
}

#[test]
fn fuel_keeps_away_from_rides_tents_and_people() {
    let mut file = flat_lot();
    file.features.fuel_stores.push(FuelStore {
        id: "tank".to_owned(),
        name: String::new(),
        at: Point::new(11.0, 0.0),
        radius: 1.0,
    });
    file.features.buildings.push(shed_at(20.0, 0.0));
    file.features.walkways.push(Walkway {
        id: "walk".to_owned(),
        name: String::new(),
        path: vec![Point::new(0.0, 20.0), Point::new(30.0, 20.0)],
        width: 3.0,
    });
    let assessment = assessed(file);
    let moving = row(&assessment, Part::Moving, Measure::Horizontal, "tank");
    let radius = assessment.rides[0].envelope.radius;
    assert!((moving.value.unwrap() - (11.0 - 1.0 - radius)).abs() < 1e-9);
    assert_eq!(moving.required, 20.0 * 0.3048);
    assert_eq!(moving.verdict, Verdict::Fail);
    let fence = row(&assessment, Part::Fence, Measure::Horizontal, "tank");
    assert_eq!(fence.required, 10.0 * 0.3048);
    // From the tank's edge at 12 m to the shed's wall at 19 m: 50 ft are asked for.
    let shed = of_the_lot(&assessment, "tank", "shed").unwrap();
    assert!((shed.value.unwrap() - 7.0).abs() < 1e-9);
    assert_eq!(
        (shed.required, shed.verdict),
        (50.0 * 0.3048, Verdict::Fail)
    );
    // From its edge at 1 m north to the walkway's edge at 18.5 m.
    let walk = of_the_lot(&assessment, "tank", "walk").unwrap();
    assert!((walk.value.unwrap() - 17.5).abs() < 1e-9);
    assert_eq!((walk.part, walk.verdict), (Part::Fuel, Verdict::Pass));
    assert_eq!(assessment.verdict, Verdict::Fail);
    let told = assessment.rules_told();
    assert!(told.iter().any(|rule| rule.id == "fuel-tent"));
}

#[test]
fn what_a_power_source_is_makes_the_difference() {
    let to_the_shed = |kind| {
        let mut file = flat_lot();
        file.features.power_sources.push(PowerSource {
            id: "set".to_owned(),
            name: String::new(),
            at: Point::new(15.0, 0.0),
            radius: 1.0,
            kind,
            cord: None,
            crossings_protected: false,
            supplies: Vec::new(),
        });
        file.features.buildings.push(shed_at(20.0, 0.0));
        of_the_lot(&assessed(file), "set", "shed")
    };
    let generator = to_the_shed(Some(PowerKind::Generator)).unwrap();
    assert!((generator.value.unwrap() - 3.0).abs() < 1e-9);
    assert_eq!(generator.required, 20.0 * 0.3048);
    assert_eq!(to_the_shed(Some(PowerKind::Supply)), None);
    let untold = to_the_shed(None).unwrap();
    assert!(untold.note.contains("taken for a generator"), "{untold:?}");
    assert_eq!(untold.required, generator.required);
}

#[test]
fn stakes_keep_off_what_is_buried() {
    let with = |depth: Option<f64>, service_depth: Option<f64>| {
        let mut file = flat_lot();
        // 3 m ahead of the hub, which is north.
        file.profiles[0].stakes.push(Stake {
            at: Point::new(3.0, 0.0),
            depth,
        });
        file.features.buried_services.push(BuriedService {
            id: "main".to_owned(),
            name: String::new(),
            path: vec![Point::new(-20.0, 3.5), Point::new(20.0, 3.5)],
            depth: service_depth,
        });
        let assessment = assessed(file);
        assert_eq!(assessment.rides[0].stakes, [Point::new(0.0, 3.0)]);
        row(&assessment, Part::Stakes, Measure::Horizontal, "main")
    };
    let deep = with(Some(0.9), Some(1.5));
    // 0.5 m in plan, less 0.05 m of stake; 0.6 m of earth from its tip down to the service.
    assert!((deep.value.unwrap() - 0.45).abs() < 1e-9);
    assert!((deep.through_air.unwrap() - libm::hypot(0.45, 0.6)).abs() < 1e-9);
    // Whatever the depth, 2 ft are asked for.
    assert_eq!((deep.required, deep.verdict), (2.0 * 0.3048, Verdict::Fail));
    // Driven past it, or to who knows where: as near as in plan.
    for (stake, service) in [(Some(1.6), Some(1.5)), (None, Some(1.5)), (Some(0.9), None)] {
        let found = with(stake, service);
        let near = found.through_air.or(found.horizontal).unwrap();
        assert!((near - 0.45).abs() < 1e-9, "{stake:?} {service:?}");
    }
}

#[test]
fn stakes_of_a_fence_and_of_a_tent_count_as_well() {
    let mut file = flat_lot();
    file.profiles[0].fence.stake_depth = Some(0.4);
    let mut tent = shed_at(20.0, 0.0);
    tent.stakes.push(Stake {
        at: Point::new(25.0, 0.0),
        depth: Some(0.8),
    });
    file.features.buildings.push(tent);
    file.features.buried_services.push(BuriedService {
        id: "main".to_owned(),
        name: String::new(),
        path: vec![Point::new(27.0, -30.0), Point::new(27.0, 30.0)],
        depth: None,
    });
    file.features.covers.push(Cover {
        id: "lid".to_owned(),
        name: String::new(),
        at: Point::new(1.5, 2.3),
        radius: 0.3,
    });
    let assessment = assessed(file);
    let ride = &assessment.rides[0];
    assert_eq!(ride.stakes, ride.fence.posts);
    let posts = ride.fence.posts.iter().map(|post| 27.0 - post.x - 0.05);
    let by_hand = posts.fold(f64::INFINITY, f64::min);
    let found = row(&assessment, Part::Stakes, Measure::Horizontal, "main");
    assert!((found.value.unwrap() - by_hand).abs() < 1e-9);
    let peg = of_the_lot(&assessment, "shed", "main").unwrap();
    assert!((peg.value.unwrap() - 1.95).abs() < 1e-9);
    // The pad at (1.5, 2.0) reaches 0.1524 m to the north, the lid from 2.0 m.
    let lid = row(&assessment, Part::Feet, Measure::Horizontal, "lid");
    assert_eq!((lid.against, lid.verdict), (Against::Cover, Verdict::Fail));
    assert!(lid.value.unwrap() < 0.0, "{lid:?}");
}

#[test]
fn room_beneath_a_canopy_is_room_for_a_fence() {
    let at = |underside| {
        let mut file = flat_lot();
        let canopy = Building {
            underside,
            ..shed_at(6.5, 0.0)
        };
        file.features.buildings.push(canopy);
        let assessment = assessed(file);
        let of = |part| row(&assessment, part, Measure::True, "shed").verdict;
        (of(Part::Fence), of(Part::Moving))
    };
    assert_eq!(at(None), (Verdict::Fail, Verdict::Fail));
    // 2.5 m of room: the fence of 1.1 m stands beneath, the arms still strike it.
    assert_eq!(at(Some(2.5)), (Verdict::Pass, Verdict::Fail));
}

#[test]
fn the_console_stands_inside_the_fence_with_its_operator() {
    let mut file = flat_lot();
    file.profiles[0].console = Some(Point::new(0.0, -8.0));
    file.profiles[0].console_radius = Some(0.8);
    file.features.walkways.push(Walkway {
        id: "walk".to_owned(),
        name: String::new(),
        path: vec![Point::new(14.0, -30.0), Point::new(14.0, 30.0)],
        width: 3.0,
    });
    let assessment = assessed(file);
    // To the right of a ride that heads north is east.
    let found = row(&assessment, Part::Standing, Measure::Horizontal, "walk");
    assert!((found.value.unwrap() - (14.0 - 1.5 - 8.0 - 0.8)).abs() < 1e-9);
    let fence = Shape::ring(&assessment.rides[0].fence.posts);
    let console = Shape::disc(Point::new(8.0, 0.0), 0.8);
    assert!(console.separation(&fence).unwrap().distance >= 0.0);
    assert!(contains(
        &assessment.rides[0].fence.posts,
        Point::new(8.0, 0.0)
    ));
}

#[test]
fn the_fence_keeps_its_standoff_from_whatever_moves() {
    let mut file = flat_lot();
    file.profiles[0].spaces.push(Space {
        id: "drawbridge".to_owned(),
        name: "drawbridge".to_owned(),
        kind: SpaceKind::Moving,
        outline: [(4.0, -1.0), (9.0, -1.0), (9.0, 1.0), (4.0, 1.0)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec(),
        low: 0.0,
        high: 2.0,
    });
    let assessment = assessed(file);
    let fence = &assessment.rides[0].fence;
    let ring = Shape::ring(&fence.posts);
    for corner in [(-1.0, 4.0), (-1.0, 9.0), (1.0, 9.0), (1.0, 4.0)] {
        let at = Point::new(corner.0, corner.1);
        let room = Shape::disc(at, 0.0).separation(&ring).unwrap().distance;
        assert!(contains(&fence.posts, at) && room >= 1.0, "{room}");
    }
    assert!(fence.clear >= 1.0 - 1e-6);
    // It hangs lower than the arms: down to the datum plane, less what the lean takes, over flat
    // ground at 0.
    let ride = &assessment.rides[0];
    let over = ride.over_ground.as_ref().expect("surveyed ground");
    let datum = ride.envelope.datum.unwrap().0;
    let lean = ride.envelope.tilt_deg.to_radians();
    let far = libm::hypot(9.0, 1.0);
    let by_hand = datum - far * libm::sin(lean) - 2.0 * (1.0 - libm::cos(lean));
    assert!((over.least - by_hand).abs() < 1e-9, "{over:?}");
}

fn shed_at(x: f64, y: f64) -> Building {
    Building {
        id: "shed".to_owned(),
        name: String::new(),
        outline: [(-1.0, -2.0), (4.0, -2.0), (4.0, 2.0), (-1.0, 2.0)]
            .map(|(dx, dy)| Point::new(x + dx, y + dy))
            .to_vec(),
        height: 3.0,
        underside: None,
        stakes: Vec::new(),
    }
}

/// Arms 4 m long on hinges 1 m out and 2 m up, that rise from level to 60°.
fn rising(file: &mut SiteFile) {
    file.profiles[0].swing = Swing::RisingArms(RisingArms {
        hinge_radius: 1.0,
        hinge_height: 2.0,
        arm: 4.0,
        lowest_deg: 0.0,
        highest_deg: 60.0,
        reach: 0.5,
        top_radius: 1.0,
        top_height: 2.0,
    });
}

#[test]
fn arms_that_rise_reach_up_to_a_wire_over_time() {
    let mut file = flat_lot();
    rising(&mut file);
    file.features
        .overhead_lines
        .push(line(9.0, Some(230.0), Some(0.0)));
    let site = Site::new(file).expect("a sound site");
    let raised = |degrees: f64| {
        let site = site.with_arms_raised(0, degrees).expect("a sound angle");
        let assessment = assess(&site);
        let found = row(&assessment, Part::Moving, Measure::True, "wire");
        (found.value.unwrap(), assessment.rides[0].envelope.clone())
    };
    let by_hand = |degrees: f64, envelope: &Envelope| {
        // The rider's middle at every angle on the way, the frame leaning as it may.
        let lean = envelope.tilt_deg.to_radians();
        let datum = envelope.datum.unwrap().0;
        let angles = (0..=400).map(|k| degrees * f64::from(k) / 400.0);
        let leans = [-lean, 0.0, lean];
        angles
            .flat_map(|angle| leans.map(|lean| (angle.to_radians(), lean)))
            .map(|(angle, lean)| {
                let (r, z) = (1.0 + 4.0 * libm::cos(angle), 2.0 + 4.0 * libm::sin(angle));
                let (sin, cos) = libm::sincos(lean);
                let (r, z) = (r * cos + z * sin, z * cos - r * sin);
                libm::hypot(12.0 - r, 9.0 - datum - z) - 0.5
            })
            .fold(f64::INFINITY, f64::min)
    };
    let mut before = f64::INFINITY;
    for degrees in [0.0, 20.0, 60.0] {
        let (found, envelope) = raised(degrees);
        let by_hand = by_hand(degrees, &envelope);
        assert!(
            found <= by_hand + 1e-6 && found > by_hand - 3e-3,
            "{found} {by_hand}"
        );
        assert!(found <= before);
        before = found;
    }
    // What the profile says is the whole way.
    let whole = row(&assess(&site), Part::Moving, Measure::True, "wire");
    assert_eq!(whole.value, Some(before));
    assert!(site.with_arms_raised(0, -5.0).is_err() && site.with_arms_raised(0, 95.0).is_err());
    assert!(site.with_full_speed(0, 5.0).is_err() && site.with_arms_raised(1, 5.0).is_err());
}
