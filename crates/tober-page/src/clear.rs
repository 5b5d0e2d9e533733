//! Clearances, the tightest first; picking one shows it on the plan.

use leptos::prelude::*;
use tober::assess::{Assessment, RideAssessment, Verdict};
use tober::clearance::{ClearanceRow, RuleInForce, Standing};
use tober::units::LengthStyle;

use crate::parts::{badge, class};
use crate::state::{RowKey, Store, store};
use crate::words;

#[component]
pub(crate) fn Clear() -> impl IntoView {
    let store = store();
    let failing_only = RwSignal::new(false);
    let rows = move || {
        let ride = store.ride.get();
        let failing_only = failing_only.get();
        store.assessment.with(|assessment| {
            let ride = assessment.rides.get(ride)?;
            let shown = |row: &&ClearanceRow| !failing_only || row.verdict == Verdict::Fail;
            let rows: Vec<_> = ride
                .clearances
                .iter()
                .filter(shown)
                .map(|row| pickable(store, row, rule(assessment, row), assessment.units))
                .collect();
            Some((rows.is_empty(), rows))
        })
    };
    view! {
        <div class="clear-head">
            <p class="lead">
                {move || store.with_ride(|ride, _| (badge(verdict(ride)), " ", sentence(ride)))}
            </p>
            <label class="choice">
                <input type="checkbox" id="failing-only"
                    prop:checked=move || failing_only.get()
                    on:change=move |event| failing_only.set(event_target_checked(&event))/>
                <span>"Failing only"</span>
            </label>
        </div>
        {move || rows().map(|(none, rows)| view! {
            {none.then_some(view! { <p class="hint">"None."</p> })}
            <ul class="rows">{rows}</ul>
        })}
    }
}

/// All the clearances of a ride as a plain table, for paper.
pub(crate) fn table(assessment: &Assessment, ride: &RideAssessment) -> impl IntoView + use<> {
    let style = assessment.units;
    let rows = ride
        .clearances
        .iter()
        .map(|row| {
            let source = rule(assessment, row).map(source).unwrap_or_default();
            view! {
                <tr>
                    <td>{words::against(row)}</td>
                    <td>{words::part(row.part)}</td>
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
    }
}

fn verdict(ride: &RideAssessment) -> Verdict {
    let rows = ride.clearances.iter().map(|row| row.verdict);
    rows.fold(Verdict::Pass, Verdict::and)
}

fn sentence(ride: &RideAssessment) -> String {
    let failing = ride.clearances.iter();
    let failing = failing.filter(|row| row.verdict == Verdict::Fail).count();
    match (failing, ride.clearances.len()) {
        (0, 1) => "The one distance that matters is kept.".to_owned(),
        (0, all) => format!("{all} distances are checked; none is too small."),
        (failing, all) => format!("{failing} of {all} distances are too small."),
    }
}

fn rule<'a>(assessment: &'a Assessment, row: &ClearanceRow) -> Option<&'a RuleInForce> {
    assessment.rules.iter().find(|rule| rule.id == row.rule)
}

fn source(rule: &RuleInForce) -> String {
    match rule.standing {
        // Such a source says so itself.
        Standing::Practice => rule.source.clone(),
        standing => format!("{} ({})", rule.source, words::standing(standing)),
    }
}

/// A row that shows itself on the plan when it is pressed.
fn pickable(
    store: Store,
    row: &ClearanceRow,
    rule: Option<&RuleInForce>,
    style: LengthStyle,
) -> impl IntoView + use<> {
    let key = RowKey::of(row);
    let pressed = {
        let key = key.clone();
        move || store.picked.with(|picked| picked.as_ref() == Some(&key))
    };
    let overridden = rule.and_then(|rule| rule.replaces).map(|replaced| {
        format!(
            "set for this site, in place of {}",
            style.format_up(replaced)
        )
    });
    view! {
        <li class=format!("row {}", class(row.verdict))>
            <button type="button" class="row-button" aria-pressed=move || pressed().to_string()
                on:click=move |_| store.pick(&key)>
                <span class="row-words">
                    <span class="row-name">{words::against(row)}</span>
                    <span class="row-part">
                        {format!("{}, {}", words::part(row.part), words::measure(row.measure))}
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
            <details>
                <summary>"Rule and source"</summary>
                {rule.map(|rule| view! {
                    <p>{rule.title.clone()}</p>
                    <p>{source(rule)}</p>
                    <p>{format!("Confirm with {}.", rule.confirm)}</p>
                })}
                {overridden.map(|words| view! { <p class="overridden">{words}</p> })}
                {(!row.note.is_empty()).then(|| view! { <p>{row.note.clone()}</p> })}
            </details>
        </li>
    }
}
