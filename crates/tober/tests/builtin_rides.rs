//! The built-in rides can be set up: on a fall of two in a hundred, whichever way it runs, each
//! one is levelled with an ordinary truck of blocks, and its fence goes round it.

use serde_json::json;
use tober::assess::{RideAssessment, Verdict, assess};
use tober::ride::{Swing, builtin};
use tober::site::Site;

/// A bare paved lot of 60 m by 60 m that falls by `slope` towards `aspect`, with one ride in the
/// middle that points north.
fn on_a_slope(profile: &str, slope: f64, aspect_deg: f64) -> RideAssessment {
    let (sin, cos) = libm::sincos(aspect_deg.to_radians());
    let corners = [(0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0)];
    let spot = |(x, y): (f64, f64)| {
        let down = (x - 30.0) * sin + (y - 30.0) * cos;
        json!({ "x": x, "y": y, "elevation": 10.0 - slope * down })
    };
    let block = |id: &str, thickness: f64, count: u32| json!({ "id": id, "thickness": thickness, "length": 0.6, "width": 0.235, "count": count });
    let file = json!({
        "format": "tober-site",
        "version": 1,
        "name": "A slope",
        "lot": { "boundary": corners },
        "spot_levels": corners.map(spot),
        "rides": [{
            "id": "ride",
            "profile": profile,
            "placement": { "x": 30.0, "y": 30.0, "heading": 0.0 },
        }],
        "blocks": [
            block("crib", 0.14, 12),
            block("block", 0.089, 12),
            block("board", 0.038, 16),
            block("19 ply", 0.019, 12),
            block("6 ply", 0.006, 16),
        ],
    });
    let site = Site::read(&file.to_string()).expect("a sound site");
    assess(&site).rides.remove(0)
}

#[test]
fn each_can_be_levelled_and_fenced_on_a_fall_of_two_in_a_hundred() {
    for profile in builtin() {
        for aspect in [0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0] {
            let ride = on_a_slope(&profile.id, 0.02, aspect);
            let name = format!("{} falling towards {aspect}°", profile.id);
            assert_eq!(ride.level.shortfalls, [], "{name}");
            assert_eq!(ride.level.verdict, Verdict::Pass, "{name}");
            assert_eq!(
                ride.fence.verdict,
                Verdict::Pass,
                "{name}: {:?}",
                ride.fence.notes
            );
            assert_eq!(ride.verdict, Verdict::Pass, "{name}");
            for stack in &ride.level.outriggers {
                assert!((0.04..0.55).contains(&stack.height), "{name}: {stack:?}");
            }
        }
    }
}

#[test]
fn none_can_be_levelled_on_a_bank() {
    for profile in builtin() {
        let ride = on_a_slope(&profile.id, 0.15, 0.0);
        assert_eq!(ride.level.verdict, Verdict::Fail, "{}", profile.id);
    }
}

#[test]
fn nothing_that_swings_strikes_the_frame() {
    for profile in builtin() {
        let (lowest, stands) = match &profile.swing {
            Swing::HungChairs(chairs) => (
                chairs.pivot_height - chairs.hanger - chairs.reach,
                profile.body_height,
            ),
            Swing::RigidArms(arms) => (arms.low, profile.body_height),
            Swing::RisingArms(arms) => {
                let down = arms.arm * libm::sin(arms.lowest_deg.to_radians()).min(0.0);
                (arms.hinge_height + down - arms.reach, profile.body_height)
            }
            // The wheel turns between its pylons, which are as tall as its axle.
            Swing::Table(table) => (table.rows[0].height - table.reach, 0.2),
        };
        assert!(lowest >= stands, "{}: {lowest} over {stands}", profile.id);
    }
}

#[test]
fn the_operator_stands_outside_what_moves_and_inside_the_fence() {
    for profile in builtin() {
        let ride = on_a_slope(&profile.id, 0.0, 0.0);
        let out = profile.console.expect("a console").coords.norm();
        let (radius, clear) = (ride.envelope.radius, ride.fence.clear);
        assert!(out > radius + 0.3, "{}: {out}, {radius}", profile.id);
        assert!(
            out < radius + clear - 0.3,
            "{}: {out}, {radius}, {clear}",
            profile.id
        );
    }
}

#[test]
fn the_chairs_hang_out_as_such_chairs_do() {
    let ride = on_a_slope("marrowby-swing", 0.0, 0.0);
    let angle = ride
        .envelope
        .hang_angle_deg
        .expect("hung chairs have an angle");
    assert!((25.0..40.0).contains(&angle), "{angle}");
}
