//! What the samples are there to show.

use tober::assess::{Assessment, Verdict, assess};
use tober::clearance::{Against, Part};
use tober::site::{Placement, Site};

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
