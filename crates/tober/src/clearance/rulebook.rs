//! The rulebook: which distance is asked for, by whom, and how it is measured. Data, not code:
//! to add a rule, add a row to [`rulebook`].
//!
//! Every value is a default. A site replaces any of them, with a reason, and every output shows
//! that it did. Published values differ by place and edition: the authority having jurisdiction
//! decides.

use serde::{Deserialize, Serialize};

use super::bonding::supplied_by;
use super::{Against, Measure, Part, RuleInForce, Standing};
use crate::ride::{FenceGaps, RideClass};
use crate::site::{ClearanceValue, PlacedRide, PowerKind, SiteFile, find_profile};

const FOOT: f64 = 0.3048;

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Unique in the rulebook; what a site's `clearance_values` name.
    pub id: &'static str,
    /// The rule in one line.
    pub title: &'static str,
    /// Measured from these parts of the ride, or from these things of the lot; none for what is
    /// asked of a way itself.
    pub parts: &'static [Part],
    /// Measured to.
    pub against: Against,
    /// When it applies.
    pub when: When,
    /// How it is measured.
    pub measure: Measure,
    /// Required distance, metres; for a slope, the most metres of rise in a metre; for what is to
    /// be at hand, the most metres that it may be off.
    pub required: f64,
    /// Where the value comes from.
    pub source: &'static str,
    /// How well that source is known.
    pub standing: Standing,
    /// Who asks for it.
    pub asks: Asks,
    /// Who must confirm it.
    pub confirm: &'static str,
}

/// Who asks for a clearance: what an organizer sorts the table by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Asks {
    /// Whoever answers for the ride beside it, and the ride inspector.
    NeighbourRide,
    /// The utility that owns a line or a service.
    Utility,
    /// The fire marshal.
    FireMarshal,
    /// Whoever answers for ways that people walk.
    Access,
    /// The event organizer.
    Organizer,
    /// The ride's maker.
    RideMaker,
    /// The electrician.
    Electrician,
}

impl Asks {
    /// All of them.
    pub const ALL: [Asks; 7] = [
        Asks::NeighbourRide,
        Asks::Utility,
        Asks::FireMarshal,
        Asks::Access,
        Asks::Organizer,
        Asks::RideMaker,
        Asks::Electrician,
    ];

    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Asks::NeighbourRide => "neighbour ride",
            Asks::Utility => "utility",
            Asks::FireMarshal => "fire marshal",
            Asks::Access => "access",
            Asks::Organizer => "organizer",
            Asks::RideMaker => "ride maker",
            Asks::Electrician => "electrician",
        }
    }
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
    /// To lines of up to so many volts, but not to one that supplies the ride; to every line whose
    /// voltage nobody knows.
    NotItsSupply(f64),
    /// From generators, and from power sources of which nobody has told what they are.
    Generator,
}

impl When {
    /// Whether the rule applies to a line of so many volts that supplies the ride or does not.
    /// Unknown volts meet every rule, so that the strictest governs.
    pub fn line(self, volts: Option<f64>, supplies: bool) -> bool {
        match (self, volts) {
            (When::Volts(over, up_to), Some(volts)) => volts > over && volts <= up_to,
            (When::NotItsSupply(up_to), Some(volts)) => volts <= up_to && !supplies,
            _ => true,
        }
    }

    /// Whether the rule applies to a power source. What nobody has told is taken for a generator.
    pub fn power(self, kind: Option<PowerKind>) -> bool {
        self != When::Generator || kind != Some(PowerKind::Supply)
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
const RHODE_ISLAND_EXTINGUISHER: &str = "Rhode Island Gen. Laws § 23-34.1-9(g)";
const NEC_DISCONNECT: &str = "NEC (NFPA 70) 525.21 (525.30 in earlier editions)";
const WISCONSIN: &str = "Wisconsin SPS 334.24(3)";
const COMAR: &str = "COMAR 09.12.62.16 B(2), read; above heads: ADA Standards (2010) 307.4, 80 in";
const NEC_BONDING: &str = "NEC (NFPA 70) 525.11";
const NEC_LOW: &str = "NEC (NFPA 70) 525.5(B)(1)";
const NEC_HIGH: &str = "NEC (NFPA 70) 525.5(B)(2)";
const OSHA: &str = "29 CFR 1926.1408 Table A";
const TURNING: &str =
    "common practice; International Fire Code 503.2.4 leaves it to the fire code official";
const EGRESS_COURT: &str = "International Building Code 1028.4.1, egress courts, 44 in";
const OUTDOOR_WALKS: &str = "US Access Board, outdoor developed areas";
const PAVED_WALKS: &str = "US Access Board, outdoor developed areas; ADA Standards (2010) 403.3";
const IFC: &str = "International Fire Code 503.2.1";
const ADA: &str = "ADA Standards (2010) 403.5.1";
const ADA_HEADROOM: &str = "ADA Standards (2010) 307.4";
const TENT_FUEL: &str = "International Fire Code 3107.12, flammable and combustible liquids";
const TENT_GENERATOR: &str = "International Fire Code 3107.16, separation of generators";
const PRACTICE: &str = "common practice, no published source";

/// Who asks for a rule, and who must confirm it.
type Who = (Asks, &'static str);

const RIDE_INSPECTOR: Who = (Asks::NeighbourRide, "the ride inspector");
const UTILITY: Who = (Asks::Utility, "the utility that owns the line");
const FIRE_MARSHAL: Who = (Asks::FireMarshal, "the fire marshal");
const ORGANIZER: Who = (Asks::Organizer, "the event organizer");
const WALKERS: Who = (Asks::Access, "the event organizer");
const RIDE_MAKER: Who = (Asks::RideMaker, "the ride maker's manual");
const ELECTRICIAN: Who = (Asks::Electrician, "a licensed electrician");
const SERVICE_OWNER: Who = (
    Asks::Utility,
    "the owner of the service, after it has been located",
);

const MOVING: &[Part] = &[Part::Moving];
/// All that is there at work.
const AT_WORK: &[Part] = &[Part::Moving, Part::Standing, Part::Fence];
/// All that ever takes up room.
const EVER: &[Part] = &[Part::Moving, Part::Standing, Part::Fence, Part::BuildUp];
/// What stays where it is put.
const STANDING: &[Part] = &[Part::Standing, Part::Fence];
/// What stays where it is put, and what takes up room while building up.
const PUT: &[Part] = &[Part::Standing, Part::Fence, Part::BuildUp];
/// What fuel is kept away from: where people ride, and where hot work and lifting go on.
const RIDE: &[Part] = &[Part::Moving, Part::Standing, Part::BuildUp];
/// What is lifted near lines: at work and while building up.
const LIFTED: &[Part] = &[Part::Moving, Part::BuildUp];

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
    who: Who,
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
        asks: who.0,
        confirm: who.1,
    }
}

/// Lifting near lines, by voltage: `29 CFR 1926.1408` Table A.
const fn lifting(id: &'static str, title: &'static str, over: f64, up_to: f64, feet: f64) -> Rule {
    rule(
        id,
        title,
        LIFTED,
        Against::OverheadLine,
        When::Volts(over, up_to),
        Measure::True,
        feet * FOOT,
        (OSHA, Standing::Read),
        UTILITY,
    )
}

static RULES: &[Rule] = &{
    use Measure::{AtMost, Ball, Horizontal, Slope, True};
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
            "Standing parts and building up clear of another ride, fence clear of its fence",
            PUT,
            Against::Ride,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "line-up-to-600-volts",
            "Moving and standing parts, and building up, to an overhead line of 600 V or less, in any direction; but not to the one that supplies the ride",
            &[Part::Moving, Part::Standing, Part::BuildUp],
            Against::OverheadLine,
            // "except for the conductors supplying the portable structure": words from memory.
            When::NotItsSupply(600.0),
            True,
            15.0 * FOOT,
            (NEC_LOW, Read),
            UTILITY,
        ),
        rule(
            "line-over-600-volts",
            "Moving and standing parts, and building up, to an overhead line of more than 600 V: not under it, nor near it in plan",
            &[Part::Moving, Part::Standing, Part::BuildUp],
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
            WALKERS,
        ),
        rule(
            "walkway-free",
            "Fence and standing parts stay off a walkway",
            STANDING,
            Against::Walkway,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            WALKERS,
        ),
        rule(
            "fire-lane-free",
            "Nothing stands or moves in a fire lane",
            EVER,
            Against::FireLane,
            When::Always,
            Horizontal,
            0.0,
            (IFC, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "walkway-width",
            "Clear width of a walkway",
            &[],
            Against::Walkway,
            When::Always,
            Horizontal,
            36.0 / 12.0 * FOOT,
            (ADA, Memory),
            WALKERS,
        ),
        rule(
            "walkway-height",
            "Clear height over a walkway",
            &[],
            Against::Walkway,
            When::Always,
            True,
            80.0 / 12.0 * FOOT,
            (ADA_HEADROOM, Memory),
            WALKERS,
        ),
        rule(
            "fire-lane-width",
            "Clear width of a fire lane",
            &[],
            Against::FireLane,
            When::Always,
            Horizontal,
            20.0 * FOOT,
            (IFC, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "fire-lane-height",
            "Clear height over a fire lane",
            &[],
            Against::FireLane,
            When::Always,
            True,
            13.5 * FOOT,
            (IFC, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "fire-lane-inside-radius",
            "Inside radius of a bend of a fire lane",
            &[],
            Against::FireLane,
            When::Always,
            Horizontal,
            25.0 * FOOT,
            (TURNING, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "fire-lane-outside-radius",
            "Outside radius of a bend of a fire lane",
            &[],
            Against::FireLane,
            When::Always,
            Horizontal,
            50.0 * FOOT,
            (TURNING, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "walkway-slope-along",
            "Slope along a walkway, at most",
            &[],
            Against::Walkway,
            When::Always,
            Slope,
            1.0 / 20.0,
            (OUTDOOR_WALKS, Read),
            WALKERS,
        ),
        rule(
            "walkway-slope-across-paved",
            "Slope across a paved walkway, at most",
            &[],
            Against::Walkway,
            When::Always,
            Slope,
            1.0 / 48.0,
            (PAVED_WALKS, Read),
            WALKERS,
        ),
        rule(
            "walkway-slope-across-soft",
            "Slope across a walkway on a soft surface, at most",
            &[],
            Against::Walkway,
            When::Always,
            Slope,
            1.0 / 20.0,
            (OUTDOOR_WALKS, Read),
            WALKERS,
        ),
        rule(
            "gate-to-gate",
            "Clear width of the way from one gate of the lot to the next",
            &[],
            Against::Gate,
            When::Always,
            Horizontal,
            44.0 / 12.0 * FOOT,
            (EGRESS_COURT, Memory),
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
            "Fence and standing parts stay clear of buildings; under a canopy there may be room",
            STANDING,
            Against::Building,
            When::Always,
            True,
            0.0,
            (PRACTICE, Practice),
            ORGANIZER,
        ),
        rule(
            "building-up",
            "Building up clear of buildings and tents",
            &[Part::BuildUp],
            Against::Building,
            When::Always,
            True,
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
            "Standing parts and building up clear of a tree, trunk and canopy; fence clear of the trunk",
            PUT,
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
            EVER,
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
            SERVICE_OWNER,
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
            ELECTRICIAN,
        ),
        rule(
            "power-source-free",
            "Fence, standing parts and building up clear of a generator or supply pillar",
            PUT,
            Against::PowerSource,
            When::Always,
            Horizontal,
            0.0,
            (PRACTICE, Practice),
            ELECTRICIAN,
        ),
        rule(
            "buried-service-stakes",
            "Stakes of rides, fences and tents to a buried service: nothing is driven so near without digging by hand first, whatever the depth",
            &[Part::Stakes],
            Against::BuriedService,
            When::Always,
            Horizontal,
            2.0 * FOOT,
            (PRACTICE, Practice),
            SERVICE_OWNER,
        ),
        rule(
            "cover-free",
            "Pads, blocking and stakes clear of a cover in the ground",
            &[Part::Feet, Part::Stakes],
            Against::Cover,
            When::Always,
            Horizontal,
            1.0 * FOOT,
            (PRACTICE, Practice),
            SERVICE_OWNER,
        ),
        rule(
            "fuel-ride",
            "Moving and standing parts, and building up, to fuel that is kept on the lot",
            RIDE,
            Against::FuelStore,
            When::Always,
            Horizontal,
            20.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "fuel-fence",
            "A ride's fence, within which people wait, to fuel that is kept on the lot",
            &[Part::Fence],
            Against::FuelStore,
            When::Always,
            Horizontal,
            10.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "fuel-tent",
            "Fuel that is kept on the lot to a tent or a building",
            &[Part::Fuel],
            Against::Building,
            When::Always,
            Horizontal,
            50.0 * FOOT,
            (TENT_FUEL, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "fuel-public",
            "Fuel that is kept on the lot to the edge of a walkway",
            &[Part::Fuel],
            Against::Walkway,
            When::Always,
            Horizontal,
            10.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "fuel-way-out",
            "Fuel that is kept on the lot to a gate of the lot",
            &[Part::Fuel],
            Against::Gate,
            When::Always,
            Horizontal,
            20.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "fuel-power",
            "Fuel that is kept on the lot to a generator or supply pillar",
            &[Part::Fuel],
            Against::PowerSource,
            When::Always,
            Horizontal,
            10.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "generator-tent",
            "A generator to a tent or a building",
            &[Part::Power],
            Against::Building,
            When::Generator,
            Horizontal,
            20.0 * FOOT,
            (TENT_GENERATOR, Memory),
            FIRE_MARSHAL,
        ),
        rule(
            "generator-public",
            "A generator to the edge of a walkway",
            &[Part::Power],
            Against::Walkway,
            When::Generator,
            Horizontal,
            6.0 * FOOT,
            (PRACTICE, Practice),
            ELECTRICIAN,
        ),
        rule(
            "lot-gate-free",
            "Everything clear of a gate of the lot, so that people can leave",
            AT_WORK,
            Against::Gate,
            When::Always,
            Horizontal,
            6.0 * FOOT,
            (PRACTICE, Practice),
            FIRE_MARSHAL,
        ),
        rule(
            "extinguisher-at-hand",
            "From the operator's station to a fire extinguisher, at most",
            &[],
            Against::Extinguisher,
            When::Always,
            AtMost,
            15.0 * FOOT,
            (RHODE_ISLAND_EXTINGUISHER, Read),
            FIRE_MARSHAL,
        ),
        rule(
            "disconnect-at-hand",
            "From the operator's station to the ride's disconnect, at most, and in sight",
            &[],
            Against::Disconnect,
            When::Always,
            AtMost,
            6.0 * FOOT,
            (NEC_DISCONNECT, Read),
            ELECTRICIAN,
        ),
        rule(
            "bonding",
            "Rides that are supplied separately are bonded together where they stand nearer than this",
            &[],
            Against::Ride,
            When::Always,
            Horizontal,
            12.0 * FOOT,
            (NEC_BONDING, Read),
            ELECTRICIAN,
        ),
        rule(
            "rope-over-way",
            "Ropes and braces over walkways and gates keep above heads, or are marked",
            &[],
            Against::Rope,
            When::Always,
            True,
            80.0 / 12.0 * FOOT,
            (COMAR, Memory),
            WALKERS,
        ),
        rule(
            "rope-moving",
            "Moving parts to a rope or a brace",
            MOVING,
            Against::Rope,
            When::Always,
            True,
            3.0 * FOOT,
            (PRACTICE, Practice),
            RIDE_MAKER,
        ),
        rule(
            "fence-opening",
            "Openings of a ride's fence, and the gap below it, turn back a ball of this size",
            &[],
            Against::FenceOpening,
            When::Always,
            Ball,
            4.0 / 12.0 * FOOT,
            (WISCONSIN, Read),
            RIDE_INSPECTOR,
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
                asks: rule.asks,
                confirm: rule.confirm.to_owned(),
                replaces: local.map(|_| rule.required),
            }
        })
        .collect()
}

/// What is asked of one part of a ride towards one kind of thing, measured one way.
#[derive(Debug)]
pub(super) struct Asked<'a> {
    pub(super) against: Against,
    pub(super) part: Part,
    pub(super) measure: Measure,
    /// When each rule applies; the strictest first.
    rules: Vec<(When, &'a RuleInForce)>,
}

impl<'a> Asked<'a> {
    /// The most that any of the rules asks for, metres.
    pub(super) fn most(&self) -> f64 {
        self.rules.first().map_or(0.0, |(_, rule)| rule.required)
    }

    /// The rules that apply, the governing one first.
    pub(super) fn applying(
        &self,
        applies: impl Fn(When) -> bool,
    ) -> impl Iterator<Item = &'a RuleInForce> {
        self.rules
            .iter()
            .filter(move |(when, _)| applies(*when))
            .map(|&(_, rule)| rule)
    }
}

/// The rules in force, sorted by what they are asked of.
pub(super) fn asked(in_force: &[RuleInForce]) -> Vec<Asked<'_>> {
    let mut asked: Vec<Asked<'_>> = Vec::new();
    for (rule, in_force) in RULES.iter().zip(in_force) {
        for &part in rule.parts {
            let same = |it: &&mut Asked<'_>| {
                (it.against, it.part, it.measure) == (rule.against, part, rule.measure)
            };
            match asked.iter_mut().find(same) {
                Some(found) => found.rules.push((rule.when, in_force)),
                None => asked.push(Asked {
                    against: rule.against,
                    part,
                    measure: rule.measure,
                    rules: vec![(rule.when, in_force)],
                }),
            }
        }
    }
    for it in &mut asked {
        it.rules
            .sort_by(|a, b| b.1.required.total_cmp(&a.1.required));
    }
    asked.sort_by_key(|it| (it.part, it.measure));
    asked
}

/// Something that is asked for and that is not checked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct NotChecked {
    /// What is asked for.
    pub what: String,
    /// Where it comes from.
    pub source: String,
}

/// What is asked for and not checked on a site, so that every record can say so: what this library
/// does not look at, and what it would look at if the site said where it is.
pub fn not_checked(file: &SiteFile) -> Vec<NotChecked> {
    let features = &file.features;
    let not = |what: &str, source: &str| NotChecked {
        what: what.to_owned(),
        source: source.to_owned(),
    };
    let mut list = Vec::new();
    if features.extinguishers.is_empty() {
        list.push(not(
            "A fire extinguisher within 15 ft of each operator: the site has none drawn",
            "Rhode Island Gen. Laws § 23-34.1-9(g), read",
        ));
    }
    if features.disconnects.is_empty() {
        list.push(not(
            "A disconnect within 6 ft and in sight of each operator's station: the site has none \
             drawn",
            "NEC (NFPA 70) 525.21, read",
        ));
    }
    let mut rides = file.rides.iter();
    list.push(if rides.all(|ride| !supplied_by(file, &ride.id).is_empty()) {
        not(
            "Bonding of separate supplies of tents and stands, where structures are under 12 ft \
             apart",
            "NEC (NFPA 70) 525.11, read",
        )
    } else {
        not(
            "Bonding of separate supplies where structures are under 12 ft apart: the site does \
             not tell what supplies every ride; rows between such rides say that it is asked for",
            "NEC (NFPA 70) 525.11, read",
        )
    });
    let untold = |ride: &&PlacedRide| {
        let profile = find_profile(file, &ride.profile);
        let made = profile.map_or(FenceGaps::default(), |profile| profile.fence.gaps);
        ride.fence_gaps.or(made).is_untold()
    };
    let untold: Vec<&str> = file
        .rides
        .iter()
        .filter(untold)
        .map(|it| it.id.as_str())
        .collect();
    if !untold.is_empty() {
        list.push(not(
            &format!(
                "Fence openings against a 4 in ball, which nobody has told of: {}",
                untold.join(", ")
            ),
            "Wisconsin SPS 334.24(3), read",
        ));
    }
    if features.ropes.is_empty() {
        list.push(not(
            "Ropes and braces across ways that people walk: the site has none drawn",
            "COMAR 09.12.62.16 B(2), read",
        ));
    }
    list.push(not(
        "Kerbs, steps, ditches and parked vehicles on the way from gate to gate",
        PRACTICE,
    ));
    list.push(not(
        "Wires that swing in the wind, or hang lower in heat or under ice",
        PRACTICE,
    ));
    list
}
