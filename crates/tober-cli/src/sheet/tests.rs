//! The sheet on an assessment made by hand, with what the samples do not show: unknown ground,
//! every shortfall, an overridden rule, notes, very long names.

use tober::Point;
use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::clearance::{Against, Asks, ClearanceRow, Measure, Part, RuleInForce, Standing};
use tober::envelope::{Envelope, EnvelopeRow};
use tober::fence::FencePlan;
use tober::ground::Elevation;
use tober::level::{
    Act, ActKind, GroundPoint, GroundUnderRide, JackSetting, Lean, LevelPlan, Piece, ShortOf,
    Shortfall, Stack, SupportKind,
};
use tober::loads::RideLoads;
use tober::site::{Fault, Placement, Severity, Surface};
use tober::units::LengthStyle;

use super::layout::COLUMNS;
use super::sheet;

fn inches(inches: f64) -> f64 {
    inches * 0.0254
}

fn ground_point(id: &str, kind: SupportKind, below: Option<f64>) -> GroundPoint {
    GroundPoint {
        id: id.to_owned(),
        kind,
        at: Point::origin(),
        elevation: below.map(|below| Elevation(30.48 - below)),
        below_high: below,
        surface: Some(Surface::Grass),
        error: None,
    }
}

fn act(kind: ActKind, support: &str, hole: usize, turns: f64) -> Act {
    Act {
        kind,
        support: support.to_owned(),
        hole,
        turns,
        way: None,
        under_load: false,
        after: None,
    }
}

fn row(against: Against, name: &str, value: Option<f64>, required: f64) -> ClearanceRow {
    let margin = value.map(|value| value - required);
    ClearanceRow {
        part: Part::Moving,
        space: String::new(),
        against,
        against_id: name.to_lowercase().replace(' ', "-"),
        against_name: name.to_owned(),
        measure: Measure::Horizontal,
        value,
        required,
        margin,
        rule: "ride-to-thing".to_owned(),
        also: Vec::new(),
        asks: Asks::Organizer,
        horizontal: value,
        through_air: None,
        from: Point::origin(),
        to: Point::origin(),
        from_height: None,
        to_height: None,
        verdict: match margin {
            None => Verdict::Unknown,
            Some(margin) if margin < 0.0 => Verdict::Fail,
            Some(_) => Verdict::Pass,
        },
        note: String::new(),
    }
}

/// A ride that stands level.
fn level_ride() -> RideAssessment {
    RideAssessment {
        id: "first".to_owned(),
        name: "Pollen Drift".to_owned(),
        profile: "pollen-drift".to_owned(),
        placement: Placement {
            x: inches(1440.0),
            y: inches(966.0),
            heading: 75.0,
        },
        verdict: Verdict::Fail,
        ground: GroundUnderRide {
            points: vec![
                ground_point("FL", SupportKind::Jack, Some(0.0)),
                ground_point("FR", SupportKind::Jack, Some(inches(5.25))),
                ground_point("OL", SupportKind::Outrigger, Some(inches(1.0))),
                ground_point("WL", SupportKind::Wheel, Some(inches(-0.5))),
            ],
            high_corner: Some("FL".to_owned()),
            fall_along: Some(0.018),
            fall_across: Some(-0.0021),
            error_covariance: Vec::new(),
        },
        level: LevelPlan {
            verdict: Verdict::Pass,
            datum: Some(Elevation(30.48 + inches(38.25))),
            lifted: Some(Elevation(30.48 + inches(40.25))),
            jacks: vec![
                JackSetting {
                    id: "FL".to_owned(),
                    hole: 1,
                    holes: 4,
                    screw_lifted: inches(6.5),
                    screw_at_work: inches(4.5),
                    turns_free: 6.25,
                    turns_loaded: 12.0,
                    turns_down: 7.5,
                    stroke_left: inches(3.49),
                    pad: inches(1.5),
                    packing: Vec::new(),
                    extension: inches(26.75),
                    to_pad: inches(36.75),
                },
                JackSetting {
                    id: "FR".to_owned(),
                    hole: 3,
                    holes: 4,
                    screw_lifted: inches(5.75),
                    screw_at_work: inches(3.75),
                    turns_free: 3.0,
                    turns_loaded: 12.0,
                    turns_down: 7.5,
                    stroke_left: inches(4.24),
                    pad: 0.0,
                    packing: Vec::new(),
                    extension: inches(33.5),
                    to_pad: inches(43.5),
                },
            ],
            outriggers: vec![
                Stack {
                    id: "OL".to_owned(),
                    needed: inches(7.1),
                    pieces: ["4x6", "2x6", "2x6"]
                        .into_iter()
                        .zip([3.5, 1.5, 1.5])
                        .map(|(block, thickness)| Piece {
                            block: block.to_owned(),
                            thickness: inches(thickness),
                        })
                        .collect(),
                    height: inches(6.5),
                },
                Stack {
                    id: "OR".to_owned(),
                    needed: 0.0,
                    pieces: Vec::new(),
                    height: 0.0,
                },
            ],
            acts: vec![
                act(ActKind::Pin, "FL", 1, 0.0),
                act(ActKind::Pin, "FR", 3, 0.0),
                act(ActKind::Touch, "FR", 0, 3.0),
                act(ActKind::Touch, "FL", 0, 6.25),
                act(ActKind::Lift, "FR", 0, 6.0),
                act(ActKind::Lift, "FL", 0, 6.25),
                act(ActKind::Lift, "FR", 0, 6.0),
                act(ActKind::Lift, "FL", 0, 5.75),
                act(ActKind::Block, "OL", 0, 0.0),
                act(ActKind::Block, "OR", 0, 0.0),
                act(ActKind::Lower, "FL", 0, 7.5),
                act(ActKind::Snug, "FL", 0, 1.0),
            ],
            tear_down: vec![
                act(ActKind::TakeUp, "FL", 0, 6.5),
                act(ActKind::Unblock, "OL", 0, 0.0),
                act(ActKind::Unblock, "OR", 0, 0.0),
                act(ActKind::LetDown, "FL", 0, 12.0),
                act(ActKind::Stow, "FL", 1, 6.25),
                act(ActKind::Stow, "FR", 1, 0.0),
            ],
            tilt_along_deg: Some(0.0612),
            tilt_across_deg: Some(-0.1),
            tolerance_along_deg: 0.25,
            tolerance_across_deg: 0.25,
            fourth_foot_gap: Some(inches(0.3)),
            proven: true,
            shortfalls: Vec::new(),
            passes: Vec::new(),
            preferences: Vec::new(),
            binds: Vec::new(),
            stages: Vec::new(),
            before: Lean::default(),
            after: Lean::default(),
            settled: None,
            within: None,
        },
        over_ground: None,
        envelope: Envelope {
            rows: vec![
                EnvelopeRow {
                    height: inches(30.0),
                    radius: inches(300.0),
                },
                EnvelopeRow {
                    height: inches(200.0),
                    radius: inches(150.0),
                },
            ],
            radius: inches(300.01),
            hang_angle_deg: Some(38.24),
            rider_speed: Some(7.31),
            tilt_widening: inches(1.1),
            tilt_deg: 0.0,
            datum: Some(Elevation(31.5)),
        },
        body: Vec::new(),
        console: None,
        stakes: Vec::new(),
        spaces: Vec::new(),
        clearances: vec![
            row(
                Against::Walkway,
                "Limestone Walk",
                Some(inches(71.95)),
                inches(72.0),
            ),
            ClearanceRow {
                measure: Measure::True,
                also: vec![
                    "line-over-600-v".to_owned(),
                    "lifting-near-lines".to_owned(),
                ],
                note: "the voltage is not known, so the strictest rule holds".to_owned(),
                ..row(Against::OverheadLine, "", None, inches(540.0))
            },
            row(Against::LotLine, "lot line", Some(inches(200.0)), 0.0),
        ],
        far: 0,
        fence: FencePlan {
            posts: vec![Point::origin(); 26],
            gates: vec![0, 13],
            panels: 26,
            panels_on_truck: 28,
            perimeter: inches(26.0 * 72.0),
            standoff: inches(72.0),
            clear: inches(73.99),
            height: inches(42.0),
            openings: Default::default(),
            verdict: Verdict::Pass,
            notes: Vec::new(),
        },
        loads: RideLoads::default(),
        next: vec!["Move the ride 1/8\" away from Limestone Walk.".to_owned()],
    }
}

/// A ride on ground that nobody has surveyed, with every shortfall there is.
fn unlevelled_ride() -> RideAssessment {
    let short = |support: &str, what, by| Shortfall {
        support: support.to_owned(),
        what,
        by,
    };
    RideAssessment {
        name: "Copper Kettle Whirl".to_owned(),
        placement: Placement {
            x: 0.0,
            y: -1.0,
            heading: 359.96,
        },
        verdict: Verdict::Unknown,
        ground: GroundUnderRide {
            points: vec![GroundPoint {
                surface: None,
                ..ground_point("FL", SupportKind::Jack, None)
            }],
            high_corner: None,
            fall_along: None,
            fall_across: None,
            error_covariance: Vec::new(),
        },
        level: LevelPlan {
            verdict: Verdict::Unknown,
            datum: None,
            lifted: None,
            jacks: Vec::new(),
            outriggers: Vec::new(),
            acts: Vec::new(),
            tear_down: Vec::new(),
            tilt_along_deg: None,
            tilt_across_deg: None,
            tolerance_along_deg: 0.2,
            tolerance_across_deg: 0.3,
            fourth_foot_gap: None,
            proven: false,
            shortfalls: vec![
                short("FL", ShortOf::Stroke, inches(1.26)),
                short("FR", ShortOf::JackTooLong, inches(0.2)),
                short("OL", ShortOf::Blocking, inches(2.0)),
                short("", ShortOf::Tolerance, 0.113),
            ],
            passes: Vec::new(),
            preferences: Vec::new(),
            binds: Vec::new(),
            stages: Vec::new(),
            before: Lean::default(),
            after: Lean::default(),
            settled: None,
            within: None,
        },
        over_ground: None,
        envelope: Envelope {
            rows: Vec::new(),
            radius: 8.0,
            hang_angle_deg: None,
            rider_speed: None,
            tilt_widening: 0.0,
            tilt_deg: 0.0,
            datum: None,
        },
        clearances: Vec::new(),
        fence: FencePlan {
            verdict: Verdict::Fail,
            notes: vec!["3 panels more than the truck carries are needed.".to_owned()],
            ..level_ride().fence
        },
        loads: RideLoads::default(),
        next: Vec::new(),
        ..level_ride()
    }
}

fn by_hand() -> Assessment {
    Assessment {
        format: "tober-assessment".to_owned(),
        version: 1,
        site: "Marrowfat Common".to_owned(),
        units: LengthStyle::FeetInches8,
        verdict: Verdict::Fail,
        warnings: vec![Fault {
            severity: Severity::Warning,
            path: "rides[1].placement".to_owned(),
            value: "off the survey".to_owned(),
            expected: "spot levels all round the ride".to_owned(),
        }],
        survey: "Flat: 9 shots lie on one plane, ± 1/4\" each.".to_owned(),
        rides: vec![level_ride(), unlevelled_ride()],
        ways: Vec::new(),
        passages: Vec::new(),
        cords: Vec::new(),
        at_hand: Vec::new(),
        bonds: Vec::new(),
        ropes: Vec::new(),
        not_checked: Vec::new(),
        lot_clearances: Vec::new(),
        unclosed: Vec::new(),
        load_rules: Vec::new(),
        rules: vec![RuleInForce {
            id: "ride-to-thing".to_owned(),
            title: "Moving parts stay off walkways".to_owned(),
            parts: vec![Part::Moving, Part::Standing],
            against: Against::Walkway,
            measure: Measure::Horizontal,
            required: inches(72.0),
            source: "the fair committee's letter".to_owned(),
            standing: Standing::Local,
            asks: Asks::Access,
            confirm: "the fair committee".to_owned(),
            replaces: Some(inches(36.0)),
        }],
        cautions: vec!["A planning aid. The ride maker's manual decides.".to_owned()],
    }
}

#[test]
fn reads_as_a_crew_reads_it() {
    insta::assert_snapshot!(sheet(&by_hand(), &[]));
}

#[test]
fn rounds_to_the_safe_side() {
    let text = sheet(&by_hand(), &[]);
    // 71.95 in must not become 72; the margin of -0.05 in must not become 0.
    assert!(text.contains("5' 11-7/8\""), "{text}");
    assert!(text.contains("-1/8\""), "{text}");
    // A radius of 300.01 in must not become 300; a fence 73.99 in off must not become 74.
    assert!(text.contains("25' 1/8\" of the hub"), "{text}");
    assert!(text.contains("6' 1-7/8\""), "{text}");
}

#[test]
fn stays_on_the_page() {
    let mut assessment = by_hand();
    // As long as the checks of a site let through, with and without spaces, half of it wide.
    let long = format!("{}{}", "Round ".repeat(20), "名".repeat(80));
    assessment.site.clone_from(&long);
    for ride in &mut assessment.rides {
        ride.name.clone_from(&long);
        ride.profile.clone_from(&long);
        ride.next.push(long.clone());
        for row in &mut ride.clearances {
            row.against_name.clone_from(&long);
            row.rule.clone_from(&long);
            row.note.clone_from(&long);
        }
        for jack in &mut ride.level.jacks {
            jack.id.clone_from(&long);
        }
    }
    let text = sheet(&assessment, &[]);
    for line in text.lines() {
        let columns = textwrap::core::display_width(line);
        assert!(columns <= COLUMNS, "{columns} columns: {line}");
    }
}

#[test]
fn an_empty_site_has_a_sheet() {
    let text = sheet(
        &Assessment {
            rides: Vec::new(),
            passages: Vec::new(),
            cords: Vec::new(),
            at_hand: Vec::new(),
            bonds: Vec::new(),
            ropes: Vec::new(),
            not_checked: Vec::new(),
            load_rules: Vec::new(),
            rules: Vec::new(),
            cautions: Vec::new(),
            warnings: Vec::new(),
            verdict: Verdict::Pass,
            ..by_hand()
        },
        &[],
    );
    assert!(text.contains("All checks together: OK"), "{text}");
}
