//! What each foot carries and what the ground under it feels.

use tober::loads::{
    Factor, FootLoads, LoadCase, RideLoads, area_down, area_up, change_in_words, force_down,
    force_up, pressure_down, pressure_up,
};
use tober::units::LengthStyle;

use super::layout::{Column, item, table};
use super::words;

/// Feet, factors, and what to do.
pub(crate) fn section(loads: &RideLoads, units: LengthStyle) -> String {
    let mut text = if loads.feet.is_empty() {
        String::new()
    } else {
        feet(loads, units)
    };
    text += &factors(loads);
    let mut lines: Vec<String> = loads.to_do.clone();
    lines.extend(loads.advice.iter().cloned());
    if !loads.not_known.is_empty() {
        lines.push(format!("Not known: {}", loads.not_known.join(" ")));
    }
    text += &lines.iter().map(|it| item("  ", it)).collect::<String>();
    text + &light(loads, units) + &quarter_turns(loads, units)
}

/// A table of the feet that carry at work.
pub(crate) fn feet(loads: &RideLoads, units: LengthStyle) -> String {
    let rows = loads.feet.iter().map(|foot| {
        vec![
            foot.id.clone(),
            force_down(foot.least, units),
            force_up(foot.usual, units),
            force_up(foot.greatest, units),
            told(foot.capacity, |most| force_down(most, units)),
            pressure_up(foot.ground.pressure, units),
            told(foot.ground.bears, |bears| pressure_down(bears, units)),
            area_down(foot.ground.area, units),
            told(foot.ground.area_needed, |area| area_up(area, units)),
            foot.verdict.word().to_owned(),
        ]
    });
    table(
        2,
        &[
            ("Foot", Column::Words),
            ("Least", Column::Number),
            ("Usual", Column::Number),
            ("Greatest", Column::Number),
            ("May carry", Column::Number),
            ("Ground feels", Column::Number),
            ("Ground bears", Column::Number),
            ("Lies on", Column::Number),
            ("Needs", Column::Number),
            ("", Column::Words),
        ],
        rows.collect(),
    )
}

/// A value, or that it is not known.
pub(crate) fn told(value: Option<f64>, print: impl FnOnce(f64) -> String) -> String {
    words::or_not_known(value, print)
}

/// Overturning and sliding against what is asked for.
pub(crate) fn factors(loads: &RideLoads) -> String {
    let line = |name: &str, factor: &Factor| {
        let verdict = factor.verdict.word();
        let text = format!("{name}: {verdict}: {}.", loads.factor_in_words(factor));
        item("  ", &text)
    };
    let tips = loads.overturning.as_ref();
    let slides = loads.sliding.as_ref();
    let tips = tips.map(|it| line("Overturning, what holds down over what tips", it));
    let slides = slides.map(|it| line("Sliding, friction over what pushes", it));
    tips.into_iter().chain(slides).collect()
}

/// A case by its place in the list.
pub(crate) fn case(loads: &RideLoads, index: usize) -> String {
    loads
        .cases
        .get(index)
        .map(LoadCase::in_words)
        .unwrap_or_default()
}

/// What makes the least and the greatest load of a foot.
pub(crate) fn worst(loads: &RideLoads, foot: &FootLoads, units: LengthStyle) -> String {
    let lifts = match (foot.lifts, foot.lifts_out_of_service) {
        (true, _) => " It lifts off at work.",
        (false, true) => " It lifts off in the wind that the ride may stand in at rest.",
        (false, false) => "",
    };
    let in_acts = foot.in_acts_in_words(units);
    let in_acts = in_acts.map_or_else(String::new, |words| format!("; {words}"));
    format!(
        "least {}; greatest {}{in_acts}.{lifts}",
        case(loads, foot.least_case),
        case(loads, foot.greatest_case)
    )
}

/// Which foot runs light at each stage.
fn light(loads: &RideLoads, units: LengthStyle) -> String {
    let rows = loads.light_in_words(units);
    if rows.is_empty() {
        return String::new();
    }
    let columns = [
        ("Stage", Column::Words),
        ("Runs light", Column::Words),
        ("Carries", Column::Number),
    ];
    table(2, &columns, rows.into_iter().map(Vec::from).collect())
}

/// What a quarter turn of each jack does to the loads of all.
pub(crate) fn quarter_turns(loads: &RideLoads, units: LengthStyle) -> String {
    let turns = &loads.quarter_turns;
    if turns.is_empty() {
        return String::new();
    }
    let mut columns = vec![("Out at", Column::Words)];
    columns.extend(turns.iter().map(|it| (it.jack.as_str(), Column::Number)));
    let rows = turns.iter().map(|turn| {
        let mut row = vec![turn.jack.clone()];
        row.extend(
            turn.changes
                .iter()
                .map(|&change| change_in_words(change, units)),
        );
        row
    });
    table(2, &columns, rows.collect())
        + &item(
            "  ",
            "How much more each jack carries when one is turned out by a quarter, the frame \
             lifted on its jacks. Turned in, it is the other way round.",
        )
}
