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

    /// The rules with their values and sources; empty when there are none.
    pub(crate) fn section(&self) -> String {
        numbered(self.told.iter().map(|rule| {
            let replaced = rule.replaces.map_or_else(String::new, |replaced| {
                format!(
                    ", in place of {}",
                    rule.measure.in_words(replaced, self.units)
                )
            });
            format!(
                "{} ({}). {} {}{replaced}. Source: {}. To be confirmed by {}.",
                rule.title,
                rule.id,
                rule.measure.in_words(rule.required, self.units),
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
            words::part(row.part).to_owned(),
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
    for (row, number) in rows.iter().zip(1..) {
        if let Some(remark) = remark(row, rules) {
            text += &item(&format!("  On {number}: "), &remark);
        }
    }
    text
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

/// What the row's note says, and which other rules hold as well.
pub(crate) fn remark(row: &ClearanceRow, rules: &Rules<'_>) -> Option<String> {
    let mut parts = Vec::new();
    if !row.note.is_empty() {
        parts.push(row.note.clone());
    }
    if !row.also.is_empty() {
        let also: Vec<String> = row.also.iter().map(|id| rules.number(id)).collect();
        parts.push(format!("also under rule {}", words::listed(&also)));
    }
    (!parts.is_empty()).then(|| parts.join("; "))
}
