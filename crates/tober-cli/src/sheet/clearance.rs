//! Clearances: what the ride comes near, tightest first, and the rules that judge it.

use tober::assess::Assessment;
use tober::clearance::{ClearanceRow, RuleInForce};
use tober::units::LengthStyle;

use super::layout::{Column, item, numbered, table};
use super::words;

/// The rules that a sheet tells of, numbered from 1: those that judged a distance or a way, and
/// those that the site has changed.
pub(crate) struct Rules<'a> {
    told: Vec<&'a RuleInForce>,
    units: LengthStyle,
}

impl<'a> Rules<'a> {
    pub(crate) fn of(assessment: &'a Assessment) -> Rules<'a> {
        Rules {
            told: assessment.rules_told(),
            units: assessment.units,
        }
    }

    /// Without those that only judged a way: a crew's sheet tells of its ride.
    pub(crate) fn of_rides(assessment: &'a Assessment) -> Rules<'a> {
        let mut rules = Rules::of(assessment);
        rules
            .told
            .retain(|rule| !rule.parts.is_empty() || rule.replaces.is_some());
        rules
    }

    /// A rule's number; its id when it is not among those that are told.
    pub(crate) fn number(&self, id: &str) -> String {
        let place = self.told.iter().position(|rule| rule.id == id);
        place.map_or_else(|| id.to_owned(), |place| (place + 1).to_string())
    }

    /// A value of a rule, as it is measured.
    fn length(&self, rule: &RuleInForce, value: f64) -> String {
        rule.measure.in_words(value, self.units)
    }

    /// That the site has put its own value in the rulebook's place, and why.
    fn in_place_of(&self, rule: &RuleInForce) -> Option<String> {
        let replaced = self.length(rule, rule.replaces?);
        Some(format!(
            "set for this site, in place of {replaced}: {}",
            rule.source
        ))
    }

    /// The rules with their values and sources; empty when there are none.
    pub(crate) fn section(&self) -> String {
        numbered(self.told.iter().map(|rule| {
            let replaced = rule.replaces.map_or_else(String::new, |replaced| {
                format!(", in place of {}", self.length(rule, replaced))
            });
            format!(
                "{} ({}). {} {}{replaced}. Source: {}. To be confirmed by {}.",
                rule.title,
                rule.id,
                self.length(rule, rule.required),
                words::measure(rule.measure),
                words::source(rule),
                rule.confirm,
            )
        }))
    }
}

/// The distances of one ride.
///
/// Distances and margins are rounded down, requirements up: a sheet never shows more room than
/// there is.
pub(crate) fn section(rows: &[ClearanceRow], rules: &Rules<'_>) -> String {
    if rows.is_empty() {
        return item("  ", "Nothing is near that a rule speaks of.");
    }
    let units = rules.units;
    let cells = rows.iter().zip(1..).map(|(row, number)| {
        vec![
            number.to_string(),
            row.from_words(),
            against(row),
            words::or_not_known(row.value, |value| units.format_down(value)),
            units.format_up(row.required),
            words::or_not_known(row.margin, |margin| units.format_down(margin)),
            row.verdict.word().to_owned(),
            rules.number(&row.rule),
        ]
    });
    let mut text = table(
        2,
        &[
            ("", Column::Number),
            ("From the", Column::Words),
            ("To", Column::Words),
            ("Distance", Column::Number),
            ("Required", Column::Number),
            ("Margin", Column::Number),
            ("", Column::Words),
            ("Rule", Column::Number),
        ],
        cells.collect(),
    );
    text += &remarks(rows, rules);
    text
}

/// What is to be said of rows beside their numbers, the same words once for all of them. Rows are
/// numbered from 1.
pub(crate) fn remarks<'a>(
    rows: impl IntoIterator<Item = &'a ClearanceRow>,
    rules: &Rules<'_>,
) -> String {
    let mut told: Vec<(Vec<String>, String)> = Vec::new();
    for (row, number) in rows.into_iter().zip(1..) {
        let Some(remark) = remark(row, rules) else {
            continue;
        };
        match told.iter_mut().find(|(_, words)| *words == remark) {
            Some((numbers, _)) => numbers.push(number.to_string()),
            None => told.push((vec![number.to_string()], remark)),
        }
    }
    let lines = told.iter();
    lines
        .map(|(numbers, words)| item("  On ", &format!("{}: {words}", words::listed(numbers))))
        .collect()
}

pub(crate) fn against(row: &ClearanceRow) -> String {
    let kind = words::against(row.against);
    let name = if row.against_name.is_empty() {
        &row.against_id
    } else {
        &row.against_name
    };
    if name.is_empty() || name.eq_ignore_ascii_case(kind) {
        kind.to_owned()
    } else {
        format!("{kind}: {name}")
    }
}

/// What the row's note says, whether the site set the value, and which other rules hold as well.
fn remark(row: &ClearanceRow, rules: &Rules<'_>) -> Option<String> {
    let mut parts = Vec::new();
    if !row.note.is_empty() {
        parts.push(row.note.clone());
    }
    let own = rules.told.iter().find(|rule| rule.id == row.rule);
    parts.extend(own.and_then(|rule| rules.in_place_of(rule)));
    if !row.also.is_empty() {
        let also: Vec<String> = row.also.iter().map(|id| rules.number(id)).collect();
        parts.push(format!("also under rule {}", words::listed(&also)));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}
