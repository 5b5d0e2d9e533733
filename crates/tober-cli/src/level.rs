//! `tober level`: how a ride is levelled, for the crew: corners, stacks, the order of the cranks
//! with what the level then shows, stages and checks, and what would help where it cannot be
//! done. No calculation of its own.

use anyhow::{Result, bail};
use tober::assess::{Assessment, RideAssessment, Verdict, remedies};
use tober::level::{Act, GroundUnderRide, Lean, LevelPlan, Stage, SupportKind};
use tober::site::Site;
use tober::units::LengthStyle;

use crate::sheet::layout::{Column, heading, item, numbered, table};
use crate::sheet::{ground, level, words};

/// The page for every ride, or for the one of that id; and whether they can be levelled.
pub(crate) fn page(
    site: &Site,
    assessment: &Assessment,
    only: Option<&str>,
) -> Result<(String, Verdict)> {
    let rides: Vec<(usize, &RideAssessment)> = assessment
        .rides
        .iter()
        .enumerate()
        .filter(|(_, ride)| only.is_none_or(|id| ride.id == id))
        .collect();
    if let (true, Some(id)) = (rides.is_empty(), only) {
        let known: Vec<&str> = assessment.rides.iter().map(|it| it.id.as_str()).collect();
        bail!("no ride \"{id}\" on this site: it has {}", known.join(", "));
    }
    let verdict = rides
        .iter()
        .map(|(_, ride)| ride.level.verdict)
        .fold(Verdict::Pass, Verdict::and);
    let pages: Vec<String> = rides
        .into_iter()
        .map(|(index, ride)| of_ride(site, assessment, index, ride))
        .collect();
    Ok((pages.join("\n"), verdict))
}

fn of_ride(site: &Site, assessment: &Assessment, index: usize, ride: &RideAssessment) -> String {
    let units = assessment.units;
    let plan = &ride.level;
    let title = format!("Level plan: {}: {}", ride.name, plan.verdict.word());
    let section = |title: &str, text: String| heading(title, "-") + &text;
    let mut sections = vec![
        heading(&title, "="),
        section(
            "Ground",
            item("  ", &format!("Survey: {}", assessment.survey))
                + &ground::unclosed("  ", assessment)
                + &ground::section(&ride.ground, units),
        ),
        section(
            "How level",
            lean("Before levelling", &plan.before, plan) + &lean("At work", &plan.after, plan),
        ),
        section(
            "Jacks and blocking",
            level::section(plan, &ride.ground, units),
        ),
    ];
    let binds: Vec<String> = plan.binds.iter().map(|bind| bind.in_words()).collect();
    if !binds.is_empty() {
        sections.push(section(
            "What binds",
            binds.iter().map(|it| item("  ", it)).collect::<String>()
                + &item("  ", &plan.chosen_in_words(units)),
        ));
    }
    if plan.verdict == Verdict::Fail {
        let helps: Vec<String> = remedies(site, index)
            .iter()
            .map(|remedy| remedy.in_words(units))
            .collect();
        let text = if helps.is_empty() {
            item("  ", "Nothing was found that would help.")
        } else {
            numbered(&helps)
        };
        sections.push(section("What would help, the least work first", text));
    }
    if !plan.acts.is_empty() {
        sections.push(section("Crank order", acts(&plan.acts, plan, &ride.ground)));
        let stages = plan.stages.iter().zip(1..);
        sections.push(section(
            "Stages and checks",
            stages
                .map(|(stage, number)| of_stage(number, stage, units))
                .collect(),
        ));
        sections.push(section(
            "Tear-down, in order",
            acts(&plan.tear_down, plan, &ride.ground),
        ));
    }
    sections.join("\n")
}

/// How steep it is, and how likely out of tolerance.
fn lean(when: &str, lean: &Lean, plan: &LevelPlan) -> String {
    let (Some(along), Some(across)) = (lean.along_deg, lean.across_deg) else {
        return item("  ", &format!("{when}: {}.", words::NOT_KNOWN));
    };
    let mut text = format!(
        "{when}: {} along (up to {}° is allowed), {} across (up to {}°): {}.",
        words::degrees_up(along),
        plan.tolerance_along_deg,
        words::degrees_up(across),
        plan.tolerance_across_deg,
        if lean.verdict == Verdict::Pass {
            "within tolerance"
        } else {
            "out of tolerance"
        }
    );
    text += &words::out_of_tolerance(lean);
    item("  ", &text)
}

/// The supports that carry nothing, all tyres together in one word.
fn hanging(hanging: &[String], ground: &GroundUnderRide) -> String {
    let wheels = ground
        .points
        .iter()
        .filter(|it| it.kind == SupportKind::Wheel);
    let wheels: Vec<&String> = wheels.map(|it| &it.id).collect();
    let all = !wheels.is_empty() && wheels.iter().all(|id| hanging.contains(id));
    let each = hanging.iter().filter(|id| !all || !wheels.contains(id));
    let mut names: Vec<&str> = each.map(String::as_str).collect();
    names.extend(all.then_some("tyres"));
    names.join(" ")
}

fn acts(acts: &[Act], plan: &LevelPlan, ground: &GroundUnderRide) -> String {
    let passes = plan.passes.iter();
    let passes = passes.filter(|it| acts.iter().any(|act| act.kind == it.kind));
    let fewest: String = passes.map(|it| item("  ", &it.in_words())).collect();
    let rows = acts.iter().zip(1..).map(|(act, number)| {
        let shows = |tilt: f64| format!("{:+.2}°", (tilt * 100.0).round() / 100.0 + 0.0);
        let after = act.after.as_ref();
        vec![
            number.to_string(),
            act.support.clone(),
            act.in_words(),
            after.map_or_else(|| "-".to_owned(), |after| shows(after.along_deg)),
            after.map_or_else(|| "-".to_owned(), |after| shows(after.across_deg)),
            after.map_or_else(String::new, |after| hanging(&after.hanging, ground)),
        ]
    });
    table(
        2,
        &[
            ("", Column::Number),
            ("Where", Column::Words),
            ("What", Column::Words),
            ("Along", Column::Number),
            ("Across", Column::Number),
            ("Carry nothing", Column::Words),
        ],
        rows.collect(),
    ) + &item(
        "  ",
        "One act after the other, one person at one jack, two to a heavy leg, nobody under the \
         frame. Along and across are what a level on the frame then shows, foretold from ordinary \
         stiffness: + is tongue end high, left side high.",
    ) + &fewest
}

fn of_stage(number: usize, stage: &Stage, units: LengthStyle) -> String {
    let title = format!("{}: {}.", stage.kind.in_words(), stage.verdict.word());
    let checks = stage.checks.iter().map(|check| {
        let text = format!("{}: {}", check.verdict.word(), check.in_words(units));
        item("        ", &text)
    });
    item(&format!("{number:>4}. "), &title) + &checks.collect::<String>()
}
