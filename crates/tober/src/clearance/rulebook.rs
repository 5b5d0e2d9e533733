//! The rulebook: which distance is asked for, by whom, and how it is measured. Data, not code:
//! to add a rule, add a row to [`rulebook`].
//!
//! Every value is a default. A site replaces any of them, with a reason, and every output shows
//! that it did. Published values differ by place and edition: the authority having jurisdiction
//! decides.

use super::{Against, Measure, Part, RuleInForce, Standing};
use crate::ride::RideClass;
use crate::site::ClearanceValue;

const FOOT: f64 = 0.3048;

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Unique in the rulebook; what a site's `clearance_values` name.
    pub id: &'static str,
    /// The rule in one line.
    pub title: &'static str,
    /// Measured from these parts of the ride.
    pub parts: &'static [Part],
    /// Measured to.
    pub against: Against,
    /// When it applies.
    pub when: When,
    /// How it is measured.
    pub measure: Measure,
    /// Required distance, metres.
    pub required: f64,
    /// Where the value comes from.
    pub source: &'static str,
    /// How well that source is known.
    pub standing: Standing,
    /// Who must confirm it.
    pub confirm: &'static str,
}

/// When a rule applies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// Always.
    Always,
    /// Between two rides of which the larger class is this.
    Class(RideClass),
    /// To lines of more than the first and up to the second number of volts; to every line whose
    /// voltage nobody knows.
    Volts(f64, f64),
}

impl When {
    /// Whether the rule applies to a line of so many volts. Unknown volts meet every rule, so
    /// that the strictest governs.
    pub fn volts(self, volts: Option<f64>) -> bool {
        match (self, volts) {
            (When::Volts(over, up_to), Some(volts)) => volts > over && volts <= up_to,
            _ => true,
        }
    }

    /// Whether the rule applies between two rides.
    pub fn classes(self, one: RideClass, other: RideClass) -> bool {
        match self {
            When::Class(RideClass::Major) => one == RideClass::Major || other == RideClass::Major,
            When::Class(RideClass::Kiddie) => {
                one == RideClass::Kiddie && other == RideClass::Kiddie
            }
            _ => true,
        }
    }
}

const RHODE_ISLAND: &str = "Rhode Island Gen. Laws § 23-34.1-9(h)";
const NEC_LOW: &str = "NEC (NFPA 70) 525.5(B)(1)";
const NEC_HIGH: &str = "NEC (NFPA 70) 525.5(B)(2)";
const OSHA: &str = "29 CFR 1926.1408 Table A";
const IFC: &str = "International Fire Code 503.2.1";
const PRACTICE: &str = "common practice, no published source";

const RIDE_INSPECTOR: &str = "the ride inspector";
const UTILITY: &str = "the utility that owns the line";
const FIRE_MARSHAL: &str = "the fire marshal";
const ORGANIZER: &str = "the event organizer";
const RIDE_MAKER: &str = "the ride maker's manual";

const MOVING: &[Part] = &[Part::Moving];
const ALL: &[Part] = &[Part::Moving, Part::Standing, Part::Fence];

/// Shortens the rows below: everything that varies, in reading order.
#[allow(clippy::too_many_arguments)]
const fn rule(
    id: &'static str,
    title: &'static str,
    parts: &'static [Part],
    against: Against,
    when: When,
    measure: Measure,
    required: f64,
    source: (&'static str, Standing),
    confirm: &'static str,
) -> Rule {
    Rule {
        id,
        title,
        parts,
        against,
        when,
        measure,
        required,
        source: source.0,
        standing: source.1,
        confirm,
    }
}

/// Lifting near lines, by voltage: `29 CFR 1926.1408` Table A.
const fn lifting(id: &'static str, title: &'static str, over: f64, up_to: f64, feet: f64) -> Rule {
    rule(
        id,
        title,
        MOVING,
        Against::OverheadLine,
        When::Volts(over, up_to),
        Measure::True,
        feet * FOOT,
        (OSHA, Standing::Read),
        UTILITY,
    )
}

static RULES: &[Rule] = &{
    use Measure::{Horizontal, True};
    use Standing::{Memory, Practice, Read};
    [
        rule(
            "ride-spacing-major",
            "Moving parts to another ride, when either is a major ride",
            MOVING,
            Against::Ride,
            When::Class(RideClass::Major),
            Horizontal,
            12.0 * FOOT,
            (RHODE_ISLAND, Read),
            RIDE_INSPECTOR,
        ),
        rule(
            "ride-spacing-kiddie",
            "Moving parts to another ride, when both are kiddie rides",
            MOVING,
            Against::Ride,
            When::Class(RideClass::Kiddie),
            Horizontal,
            6.0 * FOOT,
            (RHODE_ISLAND, Read),
            RIDE_INSPECTOR,
        ),
        rule(
            "ride-apart",
            "Standing parts clear of another ride, fence clear of its fence",
            &[Part::Standing, Part::Fence],
            Against::Ride,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "line-up-to-600-volts",
            "Moving and standing parts to an overhead line of 600 V or less, in any direction",
            &[Part::Moving, Part::Standing],
            Against::OverheadLine,
            When::Volts(0.0, 600.0),
            True,
            15.0 * FOOT,
            (NEC_LOW, Read),
            UTILITY,
        ),
        rule(
            "line-over-600-volts",
            "Moving and standing parts to an overhead line of more than 600 V: not under it, nor near it in plan",
            &[Part::Moving, Part::Standing],
            Against::OverheadLine,
            When::Volts(600.0, f64::INFINITY),
            Horizontal,
            15.0 * FOOT,
            (NEC_HIGH, Read),
            UTILITY,
        ),
        lifting(
            "lifting-near-lines-50-kv",
            "Lifting near a line up to 50 kV",
            0.0,
            50e3,
            10.0,
        ),
        lifting(
            "lifting-near-lines-200-kv",
            "Lifting near a line over 50 kV, up to 200 kV",
            50e3,
            200e3,
            15.0,
        ),
        lifting(
            "lifting-near-lines-350-kv",
            "Lifting near a line over 200 kV, up to 350 kV",
            200e3,
            350e3,
            20.0,
        ),
        lifting(
            "lifting-near-lines-500-kv",
            "Lifting near a line over 350 kV, up to 500 kV",
            350e3,
            500e3,
            25.0,
        ),
        lifting(
            "lifting-near-lines-750-kv",
            "Lifting near a line over 500 kV, up to 750 kV",
            500e3,
            750e3,
            35.0,
        ),
        // Above 1000 kV the table leaves the distance to the utility; its last figure is the least.
        lifting(
            "lifting-near-lines-1000-kv",
            "Lifting near a line over 750 kV; above 1000 kV the utility sets the distance",
            750e3,
            f64::INFINITY,
            45.0,
        ),
        rule(
            "walkway-moving",
            "Moving parts to the edge of a walkway",
            MOVING,
            Against::Walkway,
            When::Always,
            Horizontal,
            6.0 * FOOT,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "walkway-free",
            "Fence and standing parts stay off a walkway",
            &[Part::Standing, Part::Fence],
            Against::Walkway,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "fire-lane-free",
            "Nothing stands or moves in a fire lane",
            ALL,
            Against::FireLane,
            When::Always,
            Horizontal,
            0.0,
            (IFC, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "building-moving",
            "Moving parts to a building or tent",
            MOVING,
            Against::Building,
            When::Always,
            True,
            6.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "building-free",
            "Fence and standing parts stay clear of buildings",
            &[Part::Standing, Part::Fence],
            Against::Building,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "tree-moving",
            "Moving parts to a tree, trunk and canopy",
            MOVING,
            Against::Tree,
            When::Always,
            True,
            3.0 * FOOT,
            (PRACTICE, Practice),
            RIDE_MAKER,
        ),
        rule(
            "tree-free",
            "Standing parts clear of a tree, trunk and canopy; fence clear of the trunk",
            &[Part::Standing, Part::Fence],
            Against::Tree,
            When::Always,
            True,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "inside-the-lot",
            "Everything inside the lot line",
            ALL,
            Against::LotLine,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "buried-service-feet",
            "Jacks' pads and outriggers' blocking to a buried service",
            &[Part::Feet],
            Against::BuriedService,
            When::Always,
            Horizontal,
            2.0 * FOOT,
            (PRACTICE, Practice),
            "the owner of the service, after it has been located",
        ),
        rule(
            "power-source-moving",
            "Moving parts to a generator or supply pillar",
            MOVING,
            Against::PowerSource,
            When::Always,
            Horizontal,
            6.0 * FOOT,
            (PRACTICE, Practice),
            "a licensed electrician",
        ),
        rule(
            "power-source-free",
            "Fence and standing parts clear of a generator or supply pillar",
            &[Part::Standing, Part::Fence],
            Against::PowerSource,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            "a licensed electrician",
        ),
        rule(
            "lot-gate-free",
            "Everything clear of a gate of the lot, so that people can leave",
            ALL,
            Against::Gate,
            When::Always,
            Horizontal,
            6.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
    ]
};

/// Every rule, as published or practised; a site's own values are laid over it by [`in_force`].
pub fn rulebook() -> &'static [Rule] {
    RULES
}

/// The rulebook as it stands on a site.
pub fn in_force(values: &[ClearanceValue]) -> Vec<RuleInForce> {
    RULES
        .iter()
        .map(|rule| {
            let local = values.iter().find(|value| value.rule == rule.id);
            RuleInForce {
                id: rule.id.to_owned(),
                title: rule.title.to_owned(),
                parts: rule.parts.to_vec(),
                against: rule.against,
                measure: rule.measure,
                required: local.map_or(rule.required, |value| value.value),
                source: local.map_or_else(|| rule.source.to_owned(), |value| value.reason.clone()),
                standing: local.map_or(rule.standing, |_| Standing::Local),
                confirm: rule.confirm.to_owned(),
                replaces: local.map(|_| rule.required),
            }
        })
        .collect()
}
