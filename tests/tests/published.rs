//! Checks against published values, each with its source beside it. *Read* means that the figure
//! was read in the named publication or a copy of it; *memory* that it was recalled.

use std::ops::RangeInclusive;

use tober::clearance::{Against, Asks, Measure, Part, Rule, Standing, rulebook};
use tober::envelope::{hang_angle, turn_rate};
use tober::fence::GUARD_HEIGHT;
use tober::site::Site;
use tober::statics::GRAVITY;
use tober_tests::samples;

const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;

#[track_caller]
fn assert_feet(found: f64, published: f64) {
    let found = found / FOOT;
    assert!(
        (found - published).abs() < 1e-9,
        "{found} ft, not {published} ft"
    );
}

// Supports and ground

/// PS 20, *American Softwood Lumber Standard*: a nominal 2× is 1.5 in thick, a 4× 3.5 in, a 6×
/// 5.5 in; memory. The samples write metres to the millimetre.
#[test]
fn blocks_named_by_nominal_lumber_have_its_actual_thickness() {
    let mut found = 0;
    for sample in samples().unwrap() {
        let Ok(site) = Site::read(&sample.json) else {
            continue; // a schema, not a site
        };
        for block in &site.file().blocks {
            let actual = match block.id.split_once('x') {
                Some(("2", _)) => 1.5 * INCH,
                Some(("4", _)) => 3.5 * INCH,
                Some(("6", _)) => 5.5 * INCH,
                _ => continue,
            };
            let off = (block.thickness - actual).abs();
            assert!(
                off <= 0.000_5,
                "{}: {} is off by {off} m",
                sample.name,
                block.id
            );
            found += 1;
        }
    }
    assert!(
        found >= 3,
        "only {found} blocks are named by nominal lumber"
    );
}

// Envelope

/// Speed at which riders on a hanger fly at an angle from the vertical, metres a second: where
/// [`hang_angle`], which rises with the turn rate, reaches the angle.
fn speed_at(angle_deg: f64, pivot_radius: f64, hanger: f64) -> f64 {
    let angle = angle_deg.to_radians();
    let (mut low, mut high) = (0.0, 100.0);
    for _ in 0..100 {
        let middle = f64::midpoint(low, high);
        if hang_angle(middle, pivot_radius, hanger) < angle {
            low = middle;
        } else {
            high = middle;
        }
    }
    low * (pivot_radius + hanger * libm::sin(angle))
}

/// What a figure that is printed to so many decimals may stand for.
fn printed(figure: f64, decimals: i32) -> RangeInclusive<f64> {
    let half = 0.5 * 10f64.powi(-decimals);
    figure - half..=figure + half
}

/// Knight, *Physics for Scientists and Engineers*, 4th ed., ch. 8 problem 42: a disk 5 m across,
/// chains of 6 m, at 20°; orbit radius 4.55 m, 4.03 m/s, so 8.45 rpm; read in a solution copy.
#[test]
fn hung_cars() {
    let speed = speed_at(20.0, 2.5, 6.0);
    assert!(printed(4.03, 2).contains(&speed), "{speed}");

    let angle = hang_angle(turn_rate(8.45), 2.5, 6.0);
    let orbit = 2.5 + 6.0 * libm::sin(angle);
    assert!(printed(20.0, 1).contains(&angle.to_degrees()), "{angle}");
    assert!(printed(4.55, 2).contains(&orbit), "{orbit}");
}

/// Textbook homework solution (askanewquestion 683127): 12.0 m cables, 61.0° from the vertical,
/// 13.6 m/s; read.
#[test]
fn swing_on_a_pole_with_cables() {
    let speed = speed_at(61.0, 0.0, 12.0);
    assert!(printed(13.6, 1).contains(&speed), "{speed}");
}

/// nerd-notes 29555: 8 m chain, 40° above the horizontal, 8.46 m/s; read.
#[test]
fn swing_on_a_pole_with_a_chain() {
    let speed = speed_at(90.0 - 40.0, 0.0, 8.0);
    assert!(printed(8.46, 2).contains(&speed), "{speed}");
}

/// mathhelpforum 207778: tan x = A + B sin x with A = ω²R/g and B = ω²L/g; read.
#[test]
fn general_form_of_the_hang_angle() {
    for (rate, pivot_radius, hanger) in [(0.6, 2.5, 6.0), (1.1, 0.0, 12.0), (2.4, 4.0, 1.5)] {
        let angle = hang_angle(rate, pivot_radius, hanger);
        let (a, b) = (
            rate * rate * pivot_radius / GRAVITY,
            rate * rate * hanger / GRAVITY,
        );
        let off = libm::tan(angle) - a - b * libm::sin(angle);
        assert!(off.abs() < 1e-9, "{off}");
    }
}

// Clearances

fn rule(id: &str) -> &'static Rule {
    rulebook()
        .iter()
        .find(|rule| rule.id == id)
        .unwrap_or_else(|| panic!("no rule {id}"))
}

/// Rhode Island Gen. Laws § 23-34.1-9(h): major rides 12 ft apart between moving parts, kiddie
/// rides 6 ft, measured from any moving part; read.
#[test]
fn rides_apart() {
    for (id, feet) in [("ride-spacing-major", 12.0), ("ride-spacing-kiddie", 6.0)] {
        let rule = rule(id);
        assert_feet(rule.required, feet);
        assert_eq!(
            (rule.against, rule.parts),
            (Against::Ride, &[Part::Moving][..])
        );
        assert_eq!(rule.standing, Standing::Read);
        assert!(rule.source.contains("23-34.1-9(h)"), "{}", rule.source);
    }
}

/// NEC 525.5(B)(1): 15 ft in any direction of a line of 600 V or less; 525.5(B)(2): of more, not
/// under it nor within 15 ft horizontally; read.
#[test]
fn overhead_lines() {
    for (id, measure, clause, volts) in [
        (
            "line-up-to-600-volts",
            Measure::True,
            "525.5(B)(1)",
            [240.0, 600.0],
        ),
        (
            "line-over-600-volts",
            Measure::Horizontal,
            "525.5(B)(2)",
            [601.0, 11e3],
        ),
    ] {
        let rule = rule(id);
        assert_feet(rule.required, 15.0);
        assert_eq!(
            (rule.against, rule.measure),
            (Against::OverheadLine, measure)
        );
        assert!(rule.source.contains(clause), "{}", rule.source);
        assert!(
            volts
                .iter()
                .all(|&volts| rule.when.line(Some(volts), false)),
            "{id}"
        );
    }
    assert!(!rule("line-up-to-600-volts").when.line(Some(601.0), false));
    // "except for the conductors supplying the portable structure": words from memory.
    let supply = |id: &str, volts| rule(id).when.line(Some(volts), true);
    assert!(!supply("line-up-to-600-volts", 600.0) && supply("line-over-600-volts", 601.0));
    assert!(supply("lifting-near-lines-50-kv", 600.0));
    assert!(!rule("line-over-600-volts").when.line(Some(600.0), false));
}

/// 29 CFR 1926.1408 Table A: up to 50 kV 10 ft, to 200 kV 15, to 350 kV 20, to 500 kV 25, to
/// 750 kV 35, to 1000 kV 45; read.
#[test]
fn lifting_near_lines() {
    for (kilovolts, feet) in [
        (0.24, 10.0),
        (50.0, 10.0),
        (132.0, 15.0),
        (200.0, 15.0),
        (350.0, 20.0),
        (500.0, 25.0),
        (750.0, 35.0),
        (1000.0, 45.0),
    ] {
        let of_the_table = |rule: &&Rule| rule.source.contains("1926.1408");
        let mut applying = (rulebook().iter().filter(of_the_table))
            .filter(|rule| rule.when.line(Some(kilovolts * 1e3), false));
        let row = applying
            .next()
            .unwrap_or_else(|| panic!("no row for {kilovolts} kV"));
        assert_feet(row.required, feet);
        assert_eq!(row.measure, Measure::True);
        assert_eq!(applying.next(), None, "two rows for {kilovolts} kV");
    }
}

/// Rhode Island Gen. Laws § 23-34.1-9(g): a fire extinguisher within 15 ft of each operator; read.
#[test]
fn an_extinguisher_at_hand() {
    let rule = rule("extinguisher-at-hand");
    assert_feet(rule.required, 15.0);
    assert_eq!(rule.measure, Measure::AtMost);
    assert_eq!(
        (rule.standing, rule.asks),
        (Standing::Read, Asks::FireMarshal)
    );
    assert!(rule.source.contains("23-34.1-9(g)"), "{}", rule.source);
}

/// NEC 525.21 (525.30 in earlier editions): a disconnect within 6 ft and in sight of the operator's
/// station; read.
#[test]
fn a_disconnect_at_hand() {
    let rule = rule("disconnect-at-hand");
    assert_feet(rule.required, 6.0);
    assert_eq!(rule.measure, Measure::AtMost);
    assert_eq!(
        (rule.standing, rule.asks),
        (Standing::Read, Asks::Electrician)
    );
    assert!(rule.source.contains("525.21"), "{}", rule.source);
}

/// NEC 525.11: separate supplies are bonded where structures are under 12 ft apart; read.
#[test]
fn bonding_of_separate_supplies() {
    let rule = rule("bonding");
    assert_feet(rule.required, 12.0);
    assert_eq!(
        (rule.standing, rule.asks),
        (Standing::Read, Asks::Electrician)
    );
    assert!(rule.source.contains("525.11"), "{}", rule.source);
}

/// COMAR 09.12.62.16 B(2): ropes and braces not across pedestrian ways, or marked; read. Above heads
/// is 80 in, ADA Standards (2010) 307.4; memory.
#[test]
fn ropes_over_ways() {
    let rule = rule("rope-over-way");
    assert!((rule.required / INCH - 80.0).abs() < 1e-9);
    assert!(rule.source.contains("COMAR 09.12.62.16 B(2)") && rule.source.contains("307.4"));
}

/// Wisconsin SPS 334.24(3): a fence turns back a ball of 4 in; read.
#[test]
fn a_fence_turns_back_a_ball() {
    let rule = rule("fence-opening");
    assert!((rule.required / INCH - 4.0).abs() < 1e-9);
    assert_eq!(
        (rule.measure, rule.standing),
        (Measure::Ball, Standing::Read)
    );
    assert!(rule.source.contains("334.24(3)"), "{}", rule.source);
}

/// Wisconsin SPS 334.24(3): a guard or fence is 42 in high; read.
#[test]
fn a_fence_is_42_inches_high() {
    assert!((GUARD_HEIGHT / INCH - 42.0).abs() < 1e-9);
}

/// International Fire Code 3107.12: fuel is kept 50 ft from tents; 3107.16: a generator stands
/// 20 ft from tents; memory. What else is asked of fuel and generators is common practice.
#[test]
fn fuel_and_generators() {
    for (id, feet, clause) in [
        ("fuel-tent", 50.0, "3107.12"),
        ("generator-tent", 20.0, "3107.16"),
    ] {
        let rule = rule(id);
        assert_feet(rule.required, feet);
        assert_eq!(rule.standing, Standing::Memory);
        assert!(rule.source.contains(clause), "{}", rule.source);
    }
    for id in [
        "fuel-ride",
        "fuel-fence",
        "fuel-public",
        "fuel-way-out",
        "fuel-power",
        "generator-public",
        "buried-service-stakes",
        "cover-free",
    ] {
        assert_eq!(rule(id).standing, Standing::Practice, "{id}");
    }
}
