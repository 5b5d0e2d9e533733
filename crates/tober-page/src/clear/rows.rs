//! The rows of the table: pressed, or walked through with the arrow keys, each shows itself on
//! the plan and from the side.

use leptos::prelude::*;
use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::clearance::{ClearanceRow, RuleInForce, Standing};
use tober::units::LengthStyle;

use super::Filter;
use super::side::Inline;
use crate::browser;
use crate::parts::{badge, class};
use crate::state::{RowKey, Store, store};
use crate::words;

#[component]
pub(super) fn Rows(filter: Filter) -> impl IntoView {
    let store = store();
    let rows = move || {
        let ride = store.ride.get();
        store.with_shown(|assessment| {
            let ride = assessment.rides.get(ride)?;
            let shown = ride.clearances.iter().filter(|row| filter.shows(row));
            let shown: Vec<&ClearanceRow> = shown.collect();
            let keys: Vec<RowKey> = shown.iter().map(|row| RowKey::of(row)).collect();
            let rows: Vec<_> = shown
                .iter()
                .enumerate()
                .map(|(place, row)| pickable(store, assessment, row, &keys, place))
                .collect();
            let far = (ride.far > 0).then(|| {
                format!(
                    "{} more keep farther than any rule asks, or no rule speaks of them.",
                    ride.far
                )
            });
            Some((rows.is_empty(), rows, far))
        })
    };
    view! {
        {move || rows().map(|(none, rows, far)| view! {
            {none.then_some(view! { <p class="hint">"None."</p> })}
            <ul class="rows" aria-label="Distances, tightest first">{rows}</ul>
            {far.map(|words| view! { <p class="hint">{words}</p> })}
        })}
    }
}

fn row_id(place: usize) -> String {
    format!("clearance-{place}")
}

/// A row that shows itself on the plan and from the side when it is pressed.
fn pickable(
    store: Store,
    assessment: &Assessment,
    row: &ClearanceRow,
    keys: &[RowKey],
    place: usize,
) -> impl IntoView + use<> {
    let style = assessment.units;
    let rule = rule(assessment, row);
    let key = RowKey::of(row);
    let pressed = {
        let key = key.clone();
        move || store.picked.with(|picked| picked.as_ref() == Some(&key))
    };
    // The neighbours that an arrow key goes to.
    let above = place.checked_sub(1);
    let beside = [
        ("ArrowUp", above),
        ("ArrowDown", Some(place + 1)),
        ("Home", Some(0)),
        ("End", keys.len().checked_sub(1)),
    ];
    let beside = beside.map(|(name, to)| {
        let to = to.and_then(|to| Some((to, keys.get(to)?.clone())));
        (name, to)
    });
    let walk = move |event: web_sys::KeyboardEvent| {
        let pressed = event.key();
        let found = beside.iter().find(|(name, _)| *name == pressed);
        if let Some((_, Some((to, key)))) = found {
            event.prevent_default();
            store.look_at_row(key);
            browser::focus(&row_id(*to));
        }
    };
    let own = rule.and_then(|rule| overridden(rule, style));
    let told = told(assessment, row);
    let shown = pressed.clone();
    view! {
        <li class=format!("row {}", class(row.verdict))>
            <button type="button" class="row-button" id=row_id(place)
                aria-pressed=move || pressed().to_string()
                on:keydown=walk
                on:click=move |_| store.pick(&key)>
                <span class="row-words">
                    <span class="row-name">{words::against(row)}</span>
                    <span class="row-part">
                        {format!(
                            "{}, {} · {}",
                            row.from_words(),
                            words::measure(row.measure),
                            row.asks.words(),
                        )}
                    </span>
                </span>
                <span class="row-value">
                    <strong>{words::distance(row, style)}</strong>
                    <span>{words::required(row, style)}</span>
                </span>
                <span class="row-outcome">
                    {badge(row.verdict)}
                    <span class="row-margin">{words::margin(row, style)}</span>
                </span>
            </button>
            {own.map(|words| view! { <p class="overridden">{words}</p> })}
            <Show when=shown>
                <Inline/>
                <div class="row-rule">
                    {told.iter().map(|words| view! { <p>{words.clone()}</p> }).collect_view()}
                </div>
            </Show>
        </li>
    }
}

pub(super) fn rule<'a>(assessment: &'a Assessment, row: &ClearanceRow) -> Option<&'a RuleInForce> {
    assessment.rules.iter().find(|rule| rule.id == row.rule)
}

/// By which rule a row is judged, who must confirm it, and what was assumed.
fn told(assessment: &Assessment, row: &ClearanceRow) -> Vec<String> {
    let mut told = Vec::new();
    if let Some(rule) = rule(assessment, row) {
        told.push(format!("{}. {}.", rule.title, source(rule)));
        told.push(format!("Confirm with {}.", rule.confirm));
    }
    if !row.also.is_empty() {
        told.push(also(assessment, row));
    }
    if !row.note.is_empty() {
        told.push(row.note.clone());
    }
    told
}

/// Rules that hold as well and ask for less.
fn also(assessment: &Assessment, row: &ClearanceRow) -> String {
    let style = assessment.units;
    let titles = row.also.iter().filter_map(|id| {
        let rule = assessment.rules.iter().find(|rule| rule.id == *id)?;
        let value = rule.measure.in_words(rule.required, style);
        Some(format!("{} ({value})", rule.title))
    });
    let titles: Vec<String> = titles.collect();
    format!("Also, and less strict: {}.", titles.join("; "))
}

pub(super) fn source(rule: &RuleInForce) -> String {
    match rule.standing {
        // Such a source says so itself.
        Standing::Practice => rule.source.clone(),
        standing => format!("{} ({})", rule.source, words::standing(standing)),
    }
}

/// That the site has put its own value in the rulebook's place.
pub(super) fn overridden(rule: &RuleInForce, style: LengthStyle) -> Option<String> {
    let replaced = rule.replaces?;
    Some(format!(
        "set for this site, in place of {}",
        rule.measure.in_words(replaced, style)
    ))
}

/// How many clearances the setup sheet lists besides those that do not hold: the record lists all.
const ON_THE_SHEET: usize = 12;

/// The tightest clearances of a ride as a plain table, for the setup sheet.
pub(crate) fn table(assessment: &Assessment, ride: &RideAssessment) -> impl IntoView + use<> {
    let style = assessment.units;
    let listed =
        |row: &(usize, &ClearanceRow)| row.0 < ON_THE_SHEET || row.1.verdict != Verdict::Pass;
    let rows = ride.clearances.iter().enumerate();
    let more = rows.clone().filter(|row| !listed(row)).count();
    let more = (more > 0).then(|| {
        view! {
            <p class="hint">
                {format!("{more} more keep at least as much to spare: see the clearance record.")}
            </p>
        }
    });
    let rows = rows
        .filter(listed)
        .map(|(_, row)| {
            let source = rule(assessment, row).map(source).unwrap_or_default();
            view! {
                <tr>
                    <td>{words::against(row)}</td>
                    <td>{row.from_words()}</td>
                    <td>{words::distance(row, style)}</td>
                    <td>{style.format_up(row.required)}</td>
                    <td>{words::margin(row, style)}</td>
                    <td>{badge(row.verdict)}</td>
                    <td>{source}</td>
                </tr>
            }
        })
        .collect_view();
    view! {
        <table>
            <thead>
                <tr>
                    <th>"To"</th>
                    <th>"From"</th>
                    <th>"Distance"</th>
                    <th>"Needed"</th>
                    <th>"Margin"</th>
                    <th>"Verdict"</th>
                    <th>"Source"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
        {more}
    }
}
