//! Levelling against published values and rules, each with its source beside it. *Read* means
//! that the figure was read in the named publication or a copy of it; *memory* that it was
//! recalled; *practice* that it is a stated default without a published source.

use tober::level::{LevelPlan, Preference, TALLEST_TO_BASE, preferences};
use tober::ride::{HEIGHT_STEP, LEVEL_STEP_DEG, Steps, TURN_STEP};
use tober::site::{Block, Site};
use tober::units::{Slope, SlopeForm};
use tober_tests::samples;

/// Slopes as tables of ramps and drains print them: ratio 1 : n, inches in a foot, per cent to
/// two places, degrees to two places (the usual slope conversion table; memory).
#[test]
fn slopes_convert_as_the_tables_print_them() {
    for (run, in_per_ft, per_cent, degrees) in [
        (96.0, 0.125, 1.04, 0.60),
        (48.0, 0.25, 2.08, 1.19),
        (24.0, 0.5, 4.17, 2.39),
        (20.0, 0.6, 5.00, 2.86),
        (12.0, 1.0, 8.33, 4.76),
        (10.0, 1.2, 10.00, 5.71),
        (1.0, 12.0, 100.00, 45.00),
    ] {
        let slope = Slope::InPerFt(in_per_ft);
        assert!((slope.ratio() - 1.0 / run).abs() < 1e-12, "1 : {run}");
        let printed = Slope::from_ratio(slope.ratio(), SlopeForm::PerCent).number();
        assert!(
            (printed - per_cent).abs() <= 0.005,
            "1 : {run}: {printed} %"
        );
        assert!((slope.degrees() - degrees).abs() <= 0.005, "1 : {run}");
        let mm_per_m = Slope::from_ratio(slope.ratio(), SlopeForm::MmPerM).number();
        assert!((mm_per_m - 1000.0 / run).abs() < 1e-9, "1 : {run}");
    }
}

/// Height of a crib at most three times its least base width: Cal Fire, *Rescue Systems 1*,
/// ch. 30, and Firehouse, *Shoring Systems* pt 1 (read). Of narrow boards enough to stack any
/// height, none is stacked higher.
#[test]
fn no_stack_is_taller_than_three_times_its_base() {
    assert_eq!(TALLEST_TO_BASE, 3.0);
    for sample in samples().expect("the samples are there") {
        let name = &sample.name;
        let mut file = Site::read(&sample.json)
            .expect("the sample is sound")
            .file()
            .clone();
        let ride = tober::level::GroundUnderRide::of(&Site::new(file.clone()).unwrap(), 0);
        for width in [0.16, 0.18, 0.2, 0.25] {
            file.blocks = vec![Block {
                id: "board".to_owned(),
                thickness: 0.038,
                length: 0.6,
                width,
                count: 200,
            }];
            let site = Site::new(file.clone()).unwrap();
            let profile = site.profile(0).expect("a ride");
            let plan = LevelPlan::new(profile, ride.as_ref().expect("ground"), &file.blocks);
            for stack in &plan.outriggers {
                assert!(stack.height <= 3.0 * width + 1e-9, "{name}: {stack:?}");
            }
        }
    }
}

/// The order of preferences and their steps are stated, in the plan itself (practice).
#[test]
fn what_is_preferred_is_told() {
    assert_eq!(
        preferences(&Steps::default()),
        [
            Preference::LeastTilt {
                step_deg: LEVEL_STEP_DEG
            },
            Preference::Lowest { step: HEIGHT_STEP },
            Preference::FewestPieces,
            Preference::FewestTurns { step: TURN_STEP },
            Preference::Lowest { step: 0.0 },
        ]
    );
}
