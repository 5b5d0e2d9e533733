//! `tober loads`: what each foot carries, building up and at work, what the ground feels, and
//! whether the ride could tip. No calculation of its own.

use anyhow::{Result, bail};
use serde::Serialize;
use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::clearance::Standing;
use tober::level::Act;
use tober::loads::{
    FootGround, LoadRuleInForce, RideLoads, area_up, crushing_down, crushing_up, force_down,
    force_up, pressure_down, pressure_up,
};
use tober::units::LengthStyle;

use crate::sheet::ground::unclosed;
use crate::sheet::layout::{Column, heading, item, numbered, table};
use crate::sheet::loads::{factors, feet, quarter_turns, told, worst};
use crate::sheet::words;

/// What is printed as JSON: newtons, pascals, metres.
#[derive(Debug, Serialize)]
pub(crate) struct LoadSheet<'a> {
    site: &'a str,
    verdict: Verdict,
    rides: Vec<OneRide<'a>>,
    rules: &'a [LoadRuleInForce],
    cautions: &'a [String],
    #[serde(skip)]
    units: LengthStyle,
    #[serde(skip)]
    assessment: &'a Assessment,
}

/// One ride and its loads.
#[derive(Debug, Serialize)]
struct OneRide<'a> {
    ride: &'a str,
    ride_name: &'a str,
    loads: &'a RideLoads,
    #[serde(skip)]
    whole: &'a RideAssessment,
}

impl<'a> LoadSheet<'a> {
    /// The loads of every ride, or of the one of that id.
    pub(crate) fn new(assessment: &'a Assessment, only: Option<&str>) -> Result<LoadSheet<'a>> {
        let rides: Vec<OneRide<'a>> = assessment
            .rides
            .iter()
            .filter(|ride| only.is_none_or(|id| ride.id == id))
            .map(|ride| OneRide {
                ride: &ride.id,
                ride_name: &ride.name,
                loads: &ride.loads,
                whole: ride,
            })
            .collect();
        if let (true, Some(id)) = (rides.is_empty(), only) {
            let known: Vec<&str> = assessment.rides.iter().map(|it| it.id.as_str()).collect();
            bail!("no ride \"{id}\" on this site: it has {}", known.join(", "));
        }
        Ok(LoadSheet {
            site: &assessment.site,
            verdict: rides
                .iter()
                .map(|ride| ride.loads.verdict)
                .fold(Verdict::Pass, Verdict::and),
            rides,
            rules: &assessment.load_rules,
            cautions: &assessment.cautions,
            units: assessment.units,
            assessment,
        })
    }

    /// How it came out; not known where something that it hangs on is not.
    pub(crate) fn verdict(&self) -> Verdict {
        self.verdict
    }

    /// The whole of it as a page of text.
    pub(crate) fn page(&self) -> String {
        let mut sections: Vec<String> = self
            .rides
            .iter()
            .map(|ride| of_ride(ride, self.assessment))
            .collect();
        let rules = self.rules.iter().map(|rule| rule.in_words(self.units));
        sections.push(heading("Values in force", "-") + &numbered(rules));
        sections.push(heading("Cautions", "-") + &numbered(self.cautions));
        sections.join("\n")
    }
}

fn of_ride(ride: &OneRide<'_>, assessment: &Assessment) -> String {
    let (loads, units) = (ride.loads, assessment.units);
    let title = format!("Loads: {}: {}", ride.ride_name, loads.verdict.word());
    let mut sections = vec![heading(&title, "=") + &unclosed("", assessment)];
    let mut section = |title: &str, text: String| {
        if !text.is_empty() {
            sections.push(heading(title, "-") + &text);
        }
    };
    section("Do next", numbered(&loads.to_do));
    if !loads.feet.is_empty() {
        section("Feet at work", at_work(loads, units));
        section("Tipping and sliding", factors(loads));
        let ground = loads.feet.iter().map(|foot| {
            let text = format!("{}: {}", foot.id, on_ground(&foot.ground, units));
            item("  ", &text)
        });
        section(
            "Ground",
            ground.collect::<String>() + &settling(loads, units),
        );
        section(
            "Riders",
            loads.advice.iter().map(|it| item("  ", it)).collect(),
        );
    }
    section("Jacks, building up and at work", jacks(loads, units));
    section("Stages", stages(ride.whole, units));
    section("Step by step", acts(ride.whole, units));
    section("A quarter turn", quarter_turns(loads, units));
    let lines = |lines: &[String]| lines.iter().map(|it| item("  ", it)).collect::<String>();
    section("Not known, so not computed", lines(&loads.not_known));
    section("Taken where nothing is stated", lines(&loads.assumed));
    sections.join("\n")
}

fn at_work(loads: &RideLoads, units: LengthStyle) -> String {
    let each = loads.feet.iter().map(|foot| {
        let text = format!("{}: {}", foot.id, worst(loads, foot, units));
        item("  ", &text)
    });
    feet(loads, units)
        + &each.collect::<String>()
        + &item(
            "  ",
            "Usual is every seat full, nothing turning and no wind. Least and greatest are over \
             every way that riders and wind may tip it; least is rounded down, greatest up.",
        )
}

fn on_ground(ground: &FootGround, units: LengthStyle) -> String {
    let mut text = format!(
        "{}: the load spreads over {}, the ground feels {}",
        ground.verdict.word(),
        area_up(ground.area, units),
        pressure_up(ground.pressure, units)
    );
    match (ground.bears, ground.area_needed) {
        (Some(bears), Some(needed)) => {
            let standing = match ground.standing {
                Some(Standing::Read) => ", read there",
                Some(Standing::Memory) => ", from memory and not read again",
                _ => "",
            };
            text += &format!(
                " and bears {} ({}{standing}); at least {} must carry.",
                pressure_down(bears, units),
                ground.source,
                area_up(needed, units)
            );
        }
        _ => text += &format!(". {}.", ground.source),
    }
    if let Some(pad) = &ground.pad {
        text += &format!(" {pad} does, laid under the stack.");
    }
    if let Some(crushing) = ground.crushing {
        text += &format!(
            " Timber feels {} across the grain and takes {}.",
            crushing_up(crushing, units),
            crushing_down(ground.timber_bears, units)
        );
    }
    if let (Some(least), Some(most)) = (ground.sinks_least, ground.sinks_most) {
        text += &format!(
            " Under its usual load it may sink {} to {}.",
            units.format_down(least),
            units.format_up(most)
        );
    }
    if ground.soft_when_wet {
        text += " Soft when wet.";
    }
    text
}

fn settling(loads: &RideLoads, units: LengthStyle) -> String {
    loads
        .settling
        .iter()
        .map(|it| {
            let text = format!(
                "Settling of {} to {} leaves it at most {} along and {} across: {}.",
                units.format_down(it.least),
                units.format_up(it.most),
                words::degrees_up(it.along_deg),
                words::degrees_up(it.across_deg),
                it.verdict.word()
            );
            item("  ", &text)
        })
        .collect()
}

fn jacks(loads: &RideLoads, units: LengthStyle) -> String {
    if loads.jacks.is_empty() {
        return String::new();
    }
    let rows = loads.jacks.iter().map(|jack| {
        vec![
            jack.id.clone(),
            force_up(jack.greatest, units),
            if jack.tear_down {
                format!("down {}", jack.act + 1)
            } else {
                (jack.act + 1).to_string()
            },
            jack.greatest_at_work
                .map_or_else(|| "-".to_owned(), |load| force_up(load, units)),
            told(jack.capacity, |most| force_down(most, units)),
            pressure_up(jack.ground.pressure, units),
            told(jack.ground.bears, |bears| pressure_down(bears, units)),
            jack.verdict.word().to_owned(),
        ]
    });
    table(
        2,
        &[
            ("Jack", Column::Words),
            ("Greatest", Column::Number),
            ("In step", Column::Number),
            ("At work", Column::Number),
            ("May carry", Column::Number),
            ("Ground feels", Column::Number),
            ("Ground bears", Column::Number),
            ("", Column::Words),
        ],
        rows.collect(),
    )
}

/// A force without its unit, rounded up; the words below the table name the unit.
fn bare(newtons: f64, units: LengthStyle) -> String {
    let text = force_up(newtons, units);
    text.split_once(' ')
        .map_or_else(|| text.clone(), |(number, _)| number.to_owned())
}

/// The unit of forces.
fn unit(units: LengthStyle) -> &'static str {
    if units.is_metric() { "kN" } else { "lb" }
}

/// A column for each jack and each outrigger.
fn feet_columns(ride: &RideAssessment) -> Vec<(&str, Column)> {
    let jacks = ride.level.jacks.iter().map(|it| it.id.as_str());
    let outriggers = ride.level.outriggers.iter().map(|it| it.id.as_str());
    let feet = jacks.chain(outriggers);
    feet.map(|id| (id, Column::Number)).collect()
}

/// What every support carries at each stage, up and down again.
fn stages(ride: &RideAssessment, units: LengthStyle) -> String {
    let stages = &ride.loads.stages;
    if stages.is_empty() {
        return String::new();
    }
    let feet = feet_columns(ride);
    let count = feet.len();
    let tongue = stages.iter().any(|stage| stage.tongue.is_some());
    let mut columns = vec![("Stage", Column::Words)];
    columns.extend(feet);
    columns.push(("Tyres", Column::Number));
    if tongue {
        columns.push(("Tongue", Column::Number));
    }
    columns.push(("Light", Column::Words));
    let rows = stages.iter().map(|stage| {
        let mut row = vec![stage.kind.in_words().to_owned()];
        let loads = || stage.loads.iter().map(|it| it.load);
        row.extend(loads().take(count).map(|load| bare(load, units)));
        // Where it is not known what they carry, they are left out.
        let tyres = loads().skip(count).reduce(|a, b| a + b);
        row.push(tyres.map_or_else(|| "?".to_owned(), |load| bare(load, units)));
        if tongue {
            row.push(bare(stage.tongue.unwrap_or(0.0), units));
        }
        row.push(stage.light.clone().unwrap_or_default());
        row
    });
    table(2, &columns, rows.collect())
        + &item(
            "  ",
            &format!(
                "In {}, foretold from the acts of the crank order; all tyres together, ? where the \
                 profile does not say what the tongue holds. Light is the foot that carries least \
                 of those that should carry.",
                unit(units)
            ),
        )
}

/// What every foot carries after each act, up and down again.
fn acts(ride: &RideAssessment, units: LengthStyle) -> String {
    let level = &ride.level;
    if level.acts.is_empty() {
        return String::new();
    }
    let feet = feet_columns(ride);
    let count = feet.len();
    let mut columns = vec![("Step", Column::Words), ("At", Column::Words)];
    columns.extend(feet);
    columns.push(("Tyres", Column::Number));
    let numbered = |acts: &[Act], tear_down: bool| -> Vec<Vec<String>> {
        let rows = acts.iter().enumerate().filter_map(|(place, act)| {
            let loads = ride.loads.after_act(level, tear_down, place);
            let tyres: f64 = loads.iter().skip(count).sum();
            let down = if tear_down { "down " } else { "" };
            let mut row = vec![format!("{down}{}", place + 1), act.support.clone()];
            row.extend(loads.iter().take(count).map(|load| bare(*load, units)));
            row.push(bare(tyres, units));
            (!loads.is_empty()).then_some(row)
        });
        rows.collect()
    };
    let mut rows = numbered(&level.acts, false);
    rows.extend(numbered(&level.tear_down, true));
    table(2, &columns, rows)
        + &item(
            "  ",
            &format!(
                "In {}, after each step of the crank order and then of the tear-down, all tyres \
                 together. On the way through a step a jack may carry more than before and \
                 after: its greatest load, above, counts that. While it is parked the jacks carry \
                 nothing.",
                unit(units)
            ),
        )
}
