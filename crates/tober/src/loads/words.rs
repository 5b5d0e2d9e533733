//! Plain words: what a case is, and what to do about loads.

use super::{CaseKind, FootLoads, LoadCase, RideLoads};
use crate::assess::Verdict;
use crate::level::{LevelPlan, SupportKind};
use crate::ride::RideProfile;
use crate::site::Site;
use crate::units::LengthStyle;

/// A force: kilonewtons with its weight in kilograms, or pounds; rounded up.
pub fn force_up(newtons: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.1} kN", (newtons / 100.0 - 1e-6).ceil().max(0.0) / 10.0)
    } else {
        let pounds = newtons / super::POUND;
        format!("{:.0} lb", (pounds / 10.0 - 1e-6).ceil().max(0.0) * 10.0)
    }
}

/// A force, rounded down.
pub fn force_down(newtons: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.1} kN", (newtons / 100.0 + 1e-6).floor().max(0.0) / 10.0)
    } else {
        let pounds = newtons / super::POUND;
        format!("{:.0} lb", (pounds / 10.0 + 1e-6).floor().max(0.0) * 10.0)
    }
}

/// A pressure on the ground: kilopascals or pounds a square foot; rounded up.
pub fn pressure_up(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.0} kPa", (pascals / 1e3 - 1e-6).ceil())
    } else {
        format!(
            "{:.0} psf",
            (pascals / super::PSF / 10.0 - 1e-6).ceil() * 10.0
        )
    }
}

/// A pressure that the ground bears, rounded down.
pub fn pressure_down(pascals: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.0} kPa", (pascals / 1e3 + 1e-6).floor())
    } else {
        format!(
            "{:.0} psf",
            (pascals / super::PSF / 10.0 + 1e-6).floor() * 10.0
        )
    }
}

/// An area, rounded up.
pub fn area_up(square_metres: f64, units: LengthStyle) -> String {
    if units.is_metric() {
        format!("{:.2} m²", (square_metres * 100.0 - 1e-6).ceil() / 100.0)
    } else {
        let square_feet = square_metres / (0.3048 * 0.3048);
        format!("{:.2} sq ft", (square_feet * 100.0 - 1e-6).ceil() / 100.0)
    }
}

impl LoadCase {
    /// In plain words.
    pub fn in_words(&self) -> String {
        match self.kind {
            CaseKind::Empty => "empty, in the wind it may work in".to_owned(),
            CaseKind::Full => "every seat full, in the wind it may work in".to_owned(),
            CaseKind::OutOfService => "empty and at rest, in the wind it may stand in".to_owned(),
            CaseKind::Uneven => {
                let each: Vec<String> = self.empty_cars.iter().map(u32::to_string).collect();
                format!(
                    "{} cars in a row empty at full speed, in the wind it may work in",
                    each.join(" and ")
                )
            }
        }
    }
}

/// Says what to do.
pub(super) fn advise(loads: &mut RideLoads, profile: &RideProfile, level: &LevelPlan, site: &Site) {
    let units = site.file().units;
    let mut advice = Vec::new();
    if let Some(factor) = &loads.overturning
        && factor.verdict == Verdict::Fail
    {
        let case = loads.cases.get(factor.case).map(LoadCase::in_words);
        advice.push(format!(
            "It could tip over {}: what holds down is {:.2} times what tips, {} is asked for ({}). \
             Spread the feet, ballast or anchor it as the maker says, or do not work it so.",
            factor.over.join(" and "),
            (factor.value * 100.0).floor() / 100.0,
            factor.required,
            case.unwrap_or_default(),
        ));
    }
    if let Some(factor) = &loads.sliding
        && factor.verdict == Verdict::Fail
    {
        advice.push(format!(
            "It could slide: friction is {:.2} times what pushes, {} is asked for. Anchor it as \
             the maker says, or put the feet on something rougher.",
            (factor.value * 100.0).floor() / 100.0,
            factor.required,
        ));
    }
    for foot in &loads.feet {
        let name = named(foot);
        if foot.lifts {
            let case = loads.cases.get(foot.least_case).map(LoadCase::in_words);
            advice.push(format!(
                "{name} lifts off: {}. Load riders evenly, or ballast it as the maker says.",
                case.unwrap_or_default()
            ));
        }
        if let Some(most) = foot.capacity.filter(|most| foot.greatest > *most) {
            advice.push(format!(
                "{name} carries up to {}, and may carry {}: ask the ride maker.",
                force_up(foot.greatest, units),
                force_down(most, units)
            ));
        }
        advice.extend(ground(&name, foot, units));
    }
    for jack in &loads.jacks {
        if let Some(most) = jack.capacity.filter(|most| jack.greatest > *most) {
            let act = level.acts.get(jack.act).map(|act| act.support.clone());
            advice.push(format!(
                "Jack {} carries up to {} in step {} of the crank list (at {}), and may carry {}: \
                 crank in smaller passes, or take weight off first.",
                jack.id,
                force_up(jack.greatest, units),
                jack.act + 1,
                act.unwrap_or_default(),
                force_down(most, units)
            ));
        }
        if jack.ground.verdict == Verdict::Fail
            && let Some(bears) = jack.ground.bears
        {
            advice.push(format!(
                "Under jack {} the ground feels {} while it is lifted and bears {}: put at least \
                 {} under it.",
                jack.id,
                pressure_up(jack.ground.pressure, units),
                pressure_down(bears, units),
                area_up(jack.ground.area_needed.unwrap_or(0.0), units)
            ));
        }
    }
    if let Some(settling) = &loads.settling
        && settling.verdict == Verdict::Fail
    {
        advice.push(format!(
            "It may sink out of level: {:.2}° along, {:.2}° across. Put wider pads under it, and \
             read the level often.",
            settling.along_deg, settling.across_deg
        ));
    }
    advice.extend(empty_in_row(loads, profile));
    if loads.feet.iter().any(|foot| foot.ground.soft_when_wet) {
        advice.push(
            "Clay and silt bear less when they are wet: drain water away from the feet, and read \
             the level again after rain."
                .to_owned(),
        );
    }
    loads.advice = advice;
}

fn named(foot: &FootLoads) -> String {
    match foot.kind {
        SupportKind::Outrigger => format!("Outrigger {}", foot.id),
        SupportKind::Jack | SupportKind::Wheel => format!("Jack {}", foot.id),
    }
}

fn ground(name: &str, foot: &FootLoads, units: LengthStyle) -> Option<String> {
    let felt = &foot.ground;
    if let Some(crushing) = felt.crushing.filter(|it| *it > felt.timber_bears) {
        return Some(format!(
            "{name} crushes its blocks: {} on the timber, {} is what it takes. Put a wider plate \
             under the foot.",
            pressure_up(crushing, units),
            pressure_down(felt.timber_bears, units)
        ));
    }
    let Some(bears) = felt.bears else {
        return Some(format!(
            "Under {name} the ground feels {}. {}.",
            pressure_up(felt.pressure, units),
            felt.source
        ));
    };
    (felt.pressure > bears).then(|| {
        let needed = area_up(felt.area_needed.unwrap_or(0.0), units);
        let pad = felt.pad.as_ref().map_or_else(
            || "no block on the truck is wide enough".to_owned(),
            |pad| format!("the {pad} on the truck does, laid under the stack"),
        );
        format!(
            "Under {name} the ground feels {} and bears {}: at least {needed} must carry; {pad}.",
            pressure_up(felt.pressure, units),
            pressure_down(bears, units),
        )
    })
}

fn empty_in_row(loads: &RideLoads, profile: &RideProfile) -> Option<String> {
    let found = loads.empty_in_row.as_ref()?;
    let stated = |most: u32| {
        found
            .stated
            .filter(|stated| *stated < most)
            .map_or_else(String::new, |stated| {
                format!(" The maker allows {stated}: that holds.")
            })
    };
    Some(match found.most {
        Some(most) if most >= found.of => {
            format!(
                "Any number of the {} cars in a row may be empty.{}",
                found.of,
                stated(most)
            )
        }
        Some(0) => "No car may be empty while the others are full.".to_owned(),
        Some(most) => format!(
            "At most {most} of the {} cars in a row may be empty.{}",
            found.of,
            stated(most)
        ),
        None => format!(
            "Even with every seat full the {} does not stand as it should: do not load it.",
            profile.name
        ),
    })
}
