//! The rulebook of loads: what is asked for and what is taken where nobody states a value. Data,
//! not code.
//!
//! Every value is a default. A site replaces any of them in `load_values`, with a reason, and
//! every output shows that it did. Published values differ by place and edition.

use serde::{Deserialize, Serialize};

use crate::clearance::Standing;
use crate::site::{LoadValue, Surface};

/// What a value of the rulebook is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum LoadUnit {
    /// A plain number.
    Factor,
    /// Pascals on the ground.
    Pascal,
    /// Pascals on timber.
    Crushing,
    /// Kilograms.
    Kilogram,
    /// Kilograms in a cubic metre.
    Density,
}

/// A value of the rulebook.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadRule {
    /// Unique in the rulebook; what a site's `load_values` name.
    pub id: &'static str,
    /// The rule in one line.
    pub title: &'static str,
    /// The value.
    pub value: f64,
    /// What it is measured in.
    pub unit: LoadUnit,
    /// Where it comes from.
    pub source: &'static str,
    /// How well that source is known.
    pub standing: Standing,
}

/// A value of the rulebook as it stands on this site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct LoadRuleInForce {
    /// The rule's id, as [`LoadValue::rule`] names it.
    pub id: String,
    /// The rule in one line.
    pub title: String,
    /// The value in force.
    pub value: f64,
    /// What it is measured in.
    pub unit: LoadUnit,
    /// Where it comes from, or the reason of the site's own value.
    pub source: String,
    /// How well that source is known.
    pub standing: Standing,
    /// The rulebook's value, where the site has replaced it.
    pub replaces: Option<f64>,
}

/// A pound-force, newtons.
pub const POUND: f64 = 4.448_221_615_260_5;

/// A pound-force on a square inch, pascals.
pub const PSI: f64 = POUND / (0.0254 * 0.0254);

/// A pound-force on a square foot, pascals.
pub const PSF: f64 = PSI / 144.0;

const PRACTICE: &str = "common practice, no published source";
const IBC: &str = "International Building Code Table 1806.2 (2012)";
const EN_13814: &str = "EN 13814 (amusement rides)";
const EN_1991_WIND: &str = "EN 1991-1-4 (wind actions)";
const CRIBS: &str = "Cal Fire Rescue Systems 1 ch. 30; Firehouse, Shoring Systems pt 1";

/// Shortens the rows below.
const fn rule(
    id: &'static str,
    title: &'static str,
    value: f64,
    unit: LoadUnit,
    source: &'static str,
    standing: Standing,
) -> LoadRule {
    LoadRule {
        id,
        title,
        value,
        unit,
        source,
        standing,
    }
}

static RULES: &[LoadRule] = &{
    use LoadUnit::{Crushing, Density, Factor, Kilogram, Pascal};
    use Standing::{Memory, Practice, Read};
    [
        // EN 13814 and EN 13782 weigh the loads instead: 1.0 on what holds down, 1.1 to 1.3 on
        // what tips (memory). One and a half on the whole is on the safe side of that.
        rule(
            "overturning-factor",
            "What holds down against what tips, at least",
            1.5,
            Factor,
            PRACTICE,
            Practice,
        ),
        rule(
            "sliding-factor",
            "Friction against what pushes sideways, at least",
            1.5,
            Factor,
            PRACTICE,
            Practice,
        ),
        rule(
            "friction",
            "Friction of a foot on timber, and of timber on the ground",
            0.4,
            Factor,
            PRACTICE,
            Practice,
        ),
        rule(
            "rider-mass",
            "Mass of one rider",
            75.0,
            Kilogram,
            EN_13814,
            Memory,
        ),
        rule(
            "air-density",
            "Density of air",
            1.25,
            Density,
            EN_1991_WIND,
            Memory,
        ),
        rule(
            "shape-factor",
            "What the wind's pressure is multiplied by for the shape of what stands in it",
            1.8,
            Factor,
            "EN 1991-1-4 7.4.3 (signboards)",
            Memory,
        ),
        rule(
            "timber-crushing",
            "Pressure on timber across the grain, at most",
            500.0 * PSI,
            Crushing,
            CRIBS,
            Read,
        ),
        rule(
            "bearing-pavement",
            "What pavement on a sound bed bears: that of the gravel under it",
            3_000.0 * PSF,
            Pascal,
            PRACTICE,
            Practice,
        ),
        rule(
            "bearing-gravel",
            "What gravel and sandy gravel bear",
            3_000.0 * PSF,
            Pascal,
            IBC,
            Read,
        ),
        rule(
            "bearing-sand",
            "What sand, silty or clayey sand bears",
            2_000.0 * PSF,
            Pascal,
            IBC,
            Read,
        ),
        rule(
            "bearing-clay",
            "What clay and silt bear",
            1_500.0 * PSF,
            Pascal,
            IBC,
            Read,
        ),
    ]
};

/// Every rule, as published or practised; a site's own values are laid over it by
/// [`load_rules_in_force`].
pub fn load_rulebook() -> &'static [LoadRule] {
    RULES
}

/// The rulebook as it stands on a site.
pub fn load_rules_in_force(values: &[LoadValue]) -> Vec<LoadRuleInForce> {
    let rule = |rule: &LoadRule| {
        let local = values.iter().find(|value| value.rule == rule.id);
        LoadRuleInForce {
            id: rule.id.to_owned(),
            title: rule.title.to_owned(),
            value: local.map_or(rule.value, |value| value.value),
            unit: rule.unit,
            source: local.map_or_else(|| rule.source.to_owned(), |value| value.reason.clone()),
            standing: local.map_or(rule.standing, |_| Standing::Local),
            replaces: local.map(|_| rule.value),
        }
    };
    RULES.iter().map(rule).collect()
}

/// The values in force, by name.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Values<'a>(pub(crate) &'a [LoadRuleInForce]);

impl Values<'_> {
    pub(crate) fn of(&self, id: &str) -> Option<f64> {
        let rule = self.0.iter().find(|rule| rule.id == id);
        rule.map(|rule| rule.value)
    }

    /// A value that the rulebook has; 0 for a name that is not in it.
    pub(crate) fn value(&self, id: &str) -> f64 {
        self.of(id).unwrap_or(0.0)
    }
}

/// The rule that says what a kind of ground bears. None for turf, since nobody has said what lies
/// under it, and none for mud, organic soil and fill, for which the code gives none.
pub fn bearing_rule(surface: Surface) -> Option<&'static str> {
    match surface {
        Surface::Pavement => Some("bearing-pavement"),
        Surface::Gravel => Some("bearing-gravel"),
        Surface::Sand => Some("bearing-sand"),
        Surface::Clay => Some("bearing-clay"),
        Surface::Grass | Surface::SoftOrFill => None,
    }
}
