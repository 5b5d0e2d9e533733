//! What the samples are there to show.

use tober::assess::{Assessment, Verdict, assess};
use tober::clearance::{Against, Part};
use tober::site::{Placement, Site, SiteFile};
use tober::survey::Standing;

fn green() -> Site {
    let sample = include_str!("../../../sample-sites/village-green.json");
    Site::read(sample).expect("a sound sample")
}

/// How many clearances fail.
fn failing(assessment: &Assessment) -> usize {
    let rows = assessment.rides.iter().flat_map(|ride| &ride.clearances);
    rows.filter(|row| row.verdict == Verdict::Fail).count()
}

#[test]
fn on_the_green_one_clearance_is_short_by_about_a_foot() {
    let assessment = assess(&green());
    assert_eq!(assessment.verdict, Verdict::Fail);
    assert_eq!(failing(&assessment), 1);
    let ride = &assessment.rides[0];
    assert_eq!(ride.level.verdict, Verdict::Pass);
    assert_eq!(ride.fence.verdict, Verdict::Pass);
    let tightest = &ride.clearances[0];
    assert_eq!(
        (tightest.part, tightest.against),
        (Part::Moving, Against::Walkway)
    );
    let short = -tightest.margin.expect("a known distance");
    assert!((0.25..0.4).contains(&short), "{short}");
}

#[test]
fn on_the_green_a_move_of_a_metre_cures_it() {
    let site = green();
    let placed = site.file().rides[0].placement;
    let north = Placement {
        y: placed.y + 1.0,
        ..placed
    };
    let moved = site.with_placement(0, north).expect("a sound placement");
    assert_eq!(assess(&moved).verdict, Verdict::Pass);
}

#[test]
fn on_the_green_the_ground_falls_as_a_green_does() {
    let ground = &assess(&green()).rides[0].ground;
    let (along, across) = (ground.fall_along.unwrap(), ground.fall_across.unwrap());
    let fall = libm::hypot(along, across);
    assert!((0.015..0.035).contains(&fall), "{fall}");
}

#[test]
fn in_the_yard_everything_holds() {
    let sample = include_str!("../../../sample-sites/paved-yard.json");
    let site = Site::read(sample).expect("a sound sample");
    let assessment = assess(&site);
    assert_eq!(assessment.verdict, Verdict::Pass, "{assessment:#?}");
    let classes: Vec<_> = (0..2)
        .map(|ride| site.profile(ride).map(|profile| profile.class))
        .collect();
    assert_ne!(classes[0], classes[1]);
}

/// Every height under the ride comes from rod readings, and no surer than the rod was read.
#[test]
fn on_the_levelled_green_the_feet_stand_on_the_field_book() {
    let sample = include_str!("../../../sample-sites/quillow-green.json");
    let site = Site::read(sample).expect("a sound sample");
    assert!(site.file().spot_levels.is_empty());
    let reduction = &site.reductions()[0];
    assert_eq!(reduction.standing(), Standing::Closes);
    // Backsights 4.37 + 5.02 + 4.61 + 4.88 = 18.88, foresights 3.94 + 5.85 + 5.09 + 4.01 = 18.89.
    let misclosure = reduction.closures[0].misclosure;
    assert!((misclosure + 0.01 * 0.3048).abs() < 1e-9, "{misclosure}");

    let errors = |file: &SiteFile| -> Vec<Option<f64>> {
        let site = Site::new(file.clone()).expect("a sound site");
        let under = &assess(&site).rides[0].ground;
        under.points.iter().map(|point| point.error).collect()
    };
    let as_read = errors(site.file());
    assert!(as_read.iter().all(Option::is_some), "{as_read:?}");
    let mut file = site.file().clone();
    file.field_books[0].reading_error = Some(0.010);
    for (sure, unsure) in as_read.iter().zip(errors(&file)) {
        assert!(*sure < unsure, "{sure:?}, {unsure:?}");
    }
    // Without the book nobody knows a height, and the level says so.
    file.field_books.clear();
    let assessment = assess(&Site::new(file).expect("a sound site"));
    assert_eq!(assessment.rides[0].level.verdict, Verdict::Unknown);
}
