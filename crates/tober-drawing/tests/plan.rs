//! The plan of a small site: its bytes, its XML, and whatever people type as names.

use std::sync::LazyLock;

use proptest::prelude::*;
use tober::Point;
use tober::assess::{Assessment, Verdict, assess};
use tober::site::Site;
use tober_drawing::{PlanOptions, Window, layers, plan_svg};

fn small() -> (Site, Assessment) {
    static SMALL: LazyLock<(Site, Assessment)> = LazyLock::new(|| {
        let site = Site::read(include_str!("small/site.json")).unwrap();
        let assessment = assess(&site);
        (site, assessment)
    });
    SMALL.clone()
}

fn whole(site: &Site) -> PlanOptions {
    PlanOptions {
        selected: Some(0),
        ..PlanOptions::fit(site, 900.0, 680.0)
    }
}

#[test]
fn the_plan_of_a_small_site() {
    let (site, assessment) = small();
    let svg = plan_svg(&site, &assessment, &whole(&site));
    // One element a line makes the reviewed difference readable.
    insta::assert_snapshot!(svg.replace("><", ">\n<"));
}

#[test]
fn a_plan_is_the_same_bytes_every_time() {
    let (site, assessment) = small();
    let options = whole(&site);
    assert_eq!(
        plan_svg(&site, &assessment, &options),
        plan_svg(&site, &assessment, &options)
    );
}

#[test]
fn a_page_can_find_the_ride_and_its_handle() {
    let (site, assessment) = small();
    let rides = layers(&site, &assessment, &whole(&site)).rides;
    assert_eq!(rides.matches("data-ride=\"0\"").count(), 2);
    assert_eq!(rides.matches("data-handle=\"turn\"").count(), 1);
}

#[test]
fn a_picked_row_takes_the_place_of_the_tightest() {
    let (site, mut assessment) = small();
    let rows = &mut assessment.rides[0].clearances;
    rows[0].against_name = "the tightest".to_owned();
    rows[1].against_name = "the picked".to_owned();
    let drawn = |picked| {
        let options = PlanOptions {
            picked,
            ..whole(&site)
        };
        let rides = layers(&site, &assessment, &options).rides;
        ["to the tightest", "to the picked"].map(|words| rides.contains(words))
    };
    assert_eq!(drawn(None), [true, false]);
    assert_eq!(drawn(Some(1)), [false, true]);
    assert_eq!(drawn(Some(99)), [true, false]);
}

#[test]
fn the_title_says_the_result_in_words() {
    let (site, mut assessment) = small();
    assessment.verdict = Verdict::Fail;
    let row = &mut assessment.rides[0].clearances[0];
    row.against_name = "Old oak".to_owned();
    (row.value, row.required) = (Some(1.35), 1.83);
    let svg = plan_svg(&site, &assessment, &whole(&site));
    let document = roxmltree::Document::parse(&svg).unwrap();
    let text = |tag: &str| {
        let mut nodes = document.descendants();
        let node = nodes.find(|node| node.has_tag_name(("http://www.w3.org/2000/svg", tag)));
        node.unwrap().text().unwrap().to_owned()
    };
    assert!(text("title").ends_with("a check fails"));
    // The distance is rounded down and the requirement up.
    let words = "the tightest clearance is 4' 5-1/8\" to Old oak, of 6' 1/8\" needed";
    assert!(text("desc").contains(words), "{}", text("desc"));
}

proptest! {
    #[test]
    fn any_name_gives_well_formed_xml(name in any::<String>(), other in "[<>&\"'\\]\u{0}-\u{1f}]{0,40}") {
        let (site, mut assessment) = small();
        assessment.site = name.clone();
        assessment.rides[0].name = other;
        assessment.rides[0].clearances[0].against_name = name;
        let svg = plan_svg(&site, &assessment, &whole(&site));
        prop_assert!(roxmltree::Document::parse(&svg).is_ok());
    }

    #[test]
    fn any_window_gives_well_formed_xml(
        x in -1e6..1e6,
        y in -1e6..1e6,
        metres_per_px in 0.001..25.0,
        width in 0.0..3000.0,
        height in 0.0..3000.0,
    ) {
        let (site, assessment) = small();
        let options = PlanOptions {
            width,
            height,
            window: Window { centre: Point::new(x, y), metres_per_px },
            selected: Some(0),
            picked: Some(1),
        };
        let svg = plan_svg(&site, &assessment, &options);
        prop_assert!(roxmltree::Document::parse(&svg).is_ok());
    }
}

/// The plates of the dimension lines: left, top, width and height.
fn plates(svg: &str) -> Vec<[f64; 4]> {
    let tags = svg.split("<rect ").skip(1);
    let tags = tags.filter(|tag| tag.contains("class=\"dimension-plate\""));
    tags.map(|tag| {
        ["x", "y", "width", "height"].map(|key| {
            let value = tag.split(&format!(" {key}=\"")).nth(1).unwrap();
            value.split('"').next().unwrap().parse().unwrap()
        })
    })
    .collect()
}

/// On the samples, and with rides so close that there is hardly room for words.
#[test]
fn no_two_dimensions_are_written_over_each_other() {
    let mut most = 0;
    for json in [
        include_str!("../../../sample-sites/village-green.json"),
        include_str!("../../../sample-sites/paved-yard.json"),
    ] {
        let site = Site::read(json).unwrap();
        for count in [1, 2, 6, 20] {
            let mut file = site.file().clone();
            let first = file.rides[0].clone();
            file.features.forget_ride(&first.id);
            file.rides = (0..count)
                .map(|k| {
                    let mut ride = first.clone();
                    ride.id = format!("ride-{k}");
                    ride.placement.x += 4.0 * f64::from(k % 5);
                    ride.placement.y += 4.0 * f64::from(k / 5);
                    ride
                })
                .collect();
            let site = Site::new(file).unwrap();
            let assessment = assess(&site);
            for (width, height) in [(900.0, 680.0), (1440.0, 900.0), (390.0, 500.0)] {
                let options = PlanOptions::fit(&site, width, height);
                let plates = plates(&plan_svg(&site, &assessment, &options));
                most = most.max(plates.len());
                for (k, a) in plates.iter().enumerate() {
                    for b in &plates[..k] {
                        // Numbers are written to a tenth of a pixel.
                        let apart = |at: usize, size: usize| {
                            a[at] + a[size] <= b[at] + 0.15 || b[at] + b[size] <= a[at] + 0.15
                        };
                        assert!(apart(0, 2) || apart(1, 3), "{count} rides: {a:?} {b:?}");
                    }
                }
            }
        }
    }
    assert!(most > 5, "{most}");
}
