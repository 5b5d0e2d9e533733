//! The clearance record on paper: what was checked, by which values, what was not checked, and
//! room to sign.

use leptos::prelude::*;
use tober::assess::{Assessment, Verdict};
use tober::clearance::{ClearanceRow, RuleInForce};

use super::{rows, side, ways};
use crate::parts::badge;
use crate::state::{Store, store};
use crate::words;

/// Who signs.
const SIGNERS: [&str; 4] = [
    "For the organizer",
    "Fire marshal",
    "Ride inspector",
    "Utility",
];

#[component]
pub(crate) fn Record() -> impl IntoView {
    let store = store();
    view! {
        <div class="record">
            {move || store.assessment.with(|assessment| whole(store, assessment))}
        </div>
    }
}

fn whole(store: Store, assessment: &Assessment) -> impl IntoView + use<> {
    let style = assessment.units;
    let told = assessment.rules_told();
    let lines = all_rows(assessment);
    let verdicts = lines.iter().map(|(_, row)| row.verdict);
    // Heights enter into lines overhead and services below.
    let heights = (!assessment.unclosed.is_empty()).then_some(Verdict::Unknown);
    let verdict = verdicts
        .chain(heights)
        .chain(ways::verdicts(assessment, None))
        .fold(Verdict::Pass, Verdict::and);
    let count = lines.len();
    let sides: Vec<_> = (0..assessment.rides.len())
        .filter_map(|ride| {
            let name = assessment.rides.get(ride)?.name.clone();
            let drawn = side::tightest(store, assessment, ride)?;
            Some(view! {
                <figure class="record-side">
                    <figcaption>{format!("Tightest of {name}, from the side")}</figcaption>
                    <div inner_html=drawn></div>
                </figure>
            })
        })
        .collect();
    let far = assessment.far_pairs();
    view! {
        <h2>"Clearance record " {badge(verdict)}</h2>
        {assessment.unclosed.iter().map(|it| view! { <p>{it.clone()}</p> }).collect_view()}
        <p>{format!(
            "{}: {count} distances of {}. Lengths in {}. Distances and what is left are \
             rounded down, requirements up.",
            assessment.site,
            match assessment.rides.len() {
                1 => "1 ride".to_owned(),
                rides => format!("{rides} rides"),
            },
            style.label(),
        )}</p>
        {(far > 0).then(|| view! {
            <p>{format!(
                "{far} pairs of a ride and something else have no row: no rule speaks of them, or \
                 they keep much farther than is asked."
            )}</p>
        })}
        <h3>"Distances, tightest first"</h3>
        {distances(assessment, &lines, &told)}
        {assessment
            .rides
            .iter()
            .filter_map(|ride| {
                let words = ride.over_ground.as_ref()?.in_words(style);
                Some(view! { <p>{format!("{}: {words}", ride.name)}</p> })
            })
            .collect_view()}
        <div class="record-sides">{sides}</div>
        <h3>"Ways kept free, and what is at hand"</h3>
        {kept_free(assessment)}
        <h3>"Values in force"</h3>
        {values(assessment, &told)}
        <h3>"Not checked"</h3>
        <ul class="record-list">
            {assessment
                .not_checked
                .iter()
                .map(|it| view! { <li>{format!("{}. {}", it.what, it.source)}</li> })
                .collect_view()}
        </ul>
        <h3>"Cautions"</h3>
        <ul class="record-list">
            {assessment.cautions.iter().map(|it| view! { <li>{it.clone()}</li> }).collect_view()}
        </ul>
        <h3>"Seen and confirmed"</h3>
        <table class="signatures">
            <thead>
                <tr><th></th><th>"Name"</th><th>"Signature"</th><th>"Date"</th></tr>
            </thead>
            <tbody>
                {SIGNERS.map(|who| view! {
                    <tr><th scope="row">{who}</th><td></td><td></td><td></td></tr>
                }).into_iter().collect_view()}
            </tbody>
        </table>
    }
}

/// Every distance of the rides, each pair once, and of the lot, by whose it is, the tightest margin
/// first.
fn all_rows(assessment: &Assessment) -> Vec<(&str, &ClearanceRow)> {
    let of_rides = assessment.each_once().into_iter();
    let of_rides = of_rides.filter_map(|(ride, row)| {
        let ride = assessment.rides.get(ride)?;
        Some((ride.name.as_str(), ride.clearances.get(row)?))
    });
    let of_lot = assessment.lot_clearances.iter();
    let of_lot = of_lot.map(|it| (it.name.as_str(), &it.row));
    let mut lines: Vec<_> = of_rides.chain(of_lot).collect();
    let margin = |row: &ClearanceRow| row.margin.unwrap_or(f64::NEG_INFINITY);
    lines.sort_by(|a, b| margin(a.1).total_cmp(&margin(b.1)));
    lines
}

/// A rule's number on this paper.
fn number(told: &[&RuleInForce], id: &str) -> String {
    let place = told.iter().position(|rule| rule.id == id);
    place.map_or_else(String::new, |place| (place + 1).to_string())
}

fn distances(
    assessment: &Assessment,
    lines: &[(&str, &ClearanceRow)],
    told: &[&RuleInForce],
) -> impl IntoView + use<> {
    let style = assessment.units;
    let rows: Vec<_> = lines
        .iter()
        .zip(1..)
        .map(|(&(whose, row), place)| {
            let mut rules = vec![number(told, &row.rule)];
            rules.extend(row.also.iter().map(|id| number(told, id)));
            let note =
                (!row.note.is_empty()).then(|| view! { <br/><small>{row.note.clone()}</small> });
            view! {
                <tr>
                    <td>{place}</td>
                    <td>{whose.to_owned()} ": " {row.from_words()}</td>
                    <td>{words::against(row)} {note}</td>
                    <td class="figure">{words::distance(row, style)}</td>
                    <td class="figure">{style.format_up(row.required)}</td>
                    <td class="figure">{words::margin(row, style)}</td>
                    <td>{badge(row.verdict)}</td>
                    <td>{rules.join(", ")}</td>
                    <td>{row.asks.words()}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <table class="record-rows">
            <thead>
                <tr>
                    <th></th>
                    <th>"From"</th>
                    <th>"To"</th>
                    <th>"Distance"</th>
                    <th>"Needed"</th>
                    <th>"Margin"</th>
                    <th>"Verdict"</th>
                    <th>"Rule"</th>
                    <th>"Asks"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
}

fn kept_free(assessment: &Assessment) -> impl IntoView + use<> {
    let told: Vec<_> = ways::all(assessment)
        .into_iter()
        .map(|it| {
            let facts: Vec<String> = it.facts.into_iter().map(|(words, _)| words).collect();
            let verdict = match it.verdict {
                Some(verdict) => badge(verdict).into_any(),
                None => "not judged".into_any(),
            };
            view! {
                <tr>
                    <th scope="row">{it.name}</th>
                    <td>{verdict}</td>
                    <td>{facts.join("; ")} "."</td>
                    <td>{it.asks.words()}</td>
                </tr>
            }
        })
        .collect();
    if told.is_empty() {
        return view! { <p>"The site has no walkway, fire lane or power source."</p> }.into_any();
    }
    view! { <table class="record-ways"><tbody>{told}</tbody></table> }.into_any()
}

fn values(assessment: &Assessment, told: &[&RuleInForce]) -> impl IntoView + use<> {
    let style = assessment.units;
    let rows: Vec<_> = told
        .iter()
        .zip(1..)
        .map(|(rule, place)| {
            let own = rows::overridden(rule, style)
                .map(|words| view! { <br/><strong class="overridden">{words}</strong> });
            view! {
                <tr>
                    <td>{place}</td>
                    <td>{rule.title.clone()} {own}</td>
                    <td class="figure">{rule.measure.in_words(rule.required, style)}</td>
                    <td>{words::measure(rule.measure)}</td>
                    <td>{rows::source(rule)}</td>
                    <td>{rule.confirm.clone()}</td>
                </tr>
            }
        })
        .collect();
    view! {
        <table class="record-values">
            <thead>
                <tr>
                    <th></th>
                    <th>"Rule"</th>
                    <th>"Value"</th>
                    <th>"Measured"</th>
                    <th>"Source"</th>
                    <th>"To be confirmed by"</th>
                </tr>
            </thead>
            <tbody>{rows}</tbody>
        </table>
    }
}
