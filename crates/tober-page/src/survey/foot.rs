//! The foot of the page of a field book: does the arithmetic hold, does it close, and if not,
//! which reading is likely to blame.

use leptos::prelude::*;
use tober::assess::Verdict;
use tober::survey::{Closure, Column, FieldBook, Reduction, SpreadBy, Standing};
use tober::units::LengthStyle;

use super::{Book, off};
use crate::parts::{class, mark};

/// Arithmetic and rounding leave less than this, metres.
const ROUNDING: f64 = 1e-6;

/// Whether the book can be relied on, as shape and words.
pub(super) fn standing(reduction: &Reduction) -> AnyView {
    let (verdict, words) = match reduction.standing() {
        Standing::Closes => (Verdict::Pass, "CLOSES"),
        Standing::NotChecked => (Verdict::Unknown, "NOT CHECKED"),
        Standing::NotAllUsed => (Verdict::Fail, "NOT ALL USED"),
        Standing::DoesNotClose => (Verdict::Fail, "DOES NOT CLOSE"),
    };
    badge(verdict, words)
}

fn badge(verdict: Verdict, words: &'static str) -> AnyView {
    view! {
        <span class=format!("badge {}", class(verdict))>{mark(verdict)}<span>{words}</span></span>
    }
    .into_any()
}

pub(super) fn foot(book: Book) -> impl IntoView {
    view! {
        <section class="book-foot" id="book-foot" aria-label="Foot of the page">
            {move || book.with(|it, reduction| view! {
                {sums(it, reduction)}
                <ul class="closures">{closures(it, reduction)}</ul>
                <p>{adjustment(reduction)}</p>
                {blame(reduction)}
            })}
        </section>
    }
}

fn sums(book: &FieldBook, reduction: &Reduction) -> Option<impl IntoView + use<>> {
    let sums = &reduction.sums;
    if sums.backsights == 0.0 && sums.foresights == 0.0 {
        return None;
    }
    let holds = sums.arithmetic_check().abs() < ROUNDING;
    let line = |what: &'static str, metres: f64| {
        view! { <div><dt>{what}</dt><dd>{book.units.format(metres)}</dd></div> }
    };
    Some(view! {
        <dl class="sums">
            {line("ΣBS", sums.backsights)}
            {line("ΣFS", sums.foresights)}
            {line("ΣBS − ΣFS", sums.backsights - sums.foresights)}
            {line("last − first", sums.rise)}
        </dl>
        <p id="arithmetic">
            {if holds {
                badge(Verdict::Pass, "CHECKS")
            } else {
                badge(Verdict::Fail, "DOES NOT CHECK")
            }}
            {if holds { " The arithmetic holds." } else { " The arithmetic does not hold." }}
        </p>
    })
}

fn closures(book: &FieldBook, reduction: &Reduction) -> AnyView {
    if reduction.closures.is_empty() {
        return view! {
            <li>
                {badge(Verdict::Unknown, "NOT CHECKED")}
                " Nothing checks these readings: close on a benchmark, or read the first point "
                "again at the end."
            </li>
        }
        .into_any();
    }
    let closures = reduction.closures.iter();
    closures
        .map(|closure| closed(closure, reduction, book.units))
        .collect_view()
        .into_any()
}

fn closed(closure: &Closure, reduction: &Reduction, units: LengthStyle) -> impl IntoView + use<> {
    let (verdict, word) = match closure.is_within() {
        Some(true) => (Verdict::Pass, "WITHIN"),
        Some(false) => (Verdict::Fail, "BEYOND"),
        None => (Verdict::Unknown, "NOT KNOWN"),
    };
    let judged = match closure.allowed {
        Some(allowed) => format!("up to {} is allowed", units.format_fine(allowed)),
        None => "the allowance needs the distance of every setup".to_owned(),
    };
    let column = match closure.column {
        Column::Foresight => "",
        _ => ", in between,",
    };
    let setups = match closure.setups {
        1 => "1 setup".to_owned(),
        setups => format!("{setups} setups"),
    };
    let length = (closure.length)
        .filter(|length| *length > 0.0)
        .map_or_else(String::new, |length| format!(", {}", units.format(length)));
    view! {
        <li>
            {badge(verdict, word)}
            {format!(
                " Row {} closes{column} on {} ({setups}{length}): ",
                closure.row + 1, closure.to,
            )}
            <strong>{off(closure.misclosure, units)}</strong>
            {format!("; {judged}.")}
            <small>{format!(
                " {}; {}.",
                reduction.allowance.in_words(units),
                reduction.allowance.source(),
            )}</small>
        </li>
    }
}

fn adjustment(reduction: &Reduction) -> Option<String> {
    let residuals = reduction.reference_sd?;
    let spread = match reduction.spread_by {
        SpreadBy::Setups => "evenly over the setups",
        SpreadBy::Distance => "in proportion to the distance of each setup",
    };
    let more = match reduction.redundancy {
        1 => "1 reading more than needed".to_owned(),
        more => format!("{more} readings more than needed"),
    };
    Some(format!(
        "Adjusted by least squares, {spread}: {more}; residuals {residuals:.1} times what the \
         stated error of a reading lets expect."
    ))
}

/// What to look at again, when the book does not close.
fn blame(reduction: &Reduction) -> Option<impl IntoView + use<>> {
    if reduction.standing() != Standing::DoesNotClose {
        return None;
    }
    let words = match reduction.suspects.as_slice() {
        [] => "No single slip of a usual kind explains what does not close.".to_owned(),
        [one] => format!("Row {} is marked: the likeliest slip.", one.row + 1),
        [first, ..] if first.likelihood > 0.9 => format!(
            "Row {} is the likeliest slip, if one reading is wrong; others are marked too.",
            first.row + 1
        ),
        several => {
            let named: f64 = several.iter().map(|suspect| suspect.likelihood).sum();
            let others = match (1.0 - named) * 100.0 {
                percent if percent > 10.0 => format!(
                    " Other readings would explain it as well ({percent:.0} % of what is likely): \
                     run the loop again if these are right."
                ),
                _ => String::new(),
            };
            format!(
                "One of the marked rows, if one reading is wrong; nothing tells for certain \
                 which.{others}"
            )
        }
    };
    Some(view! { <p class="book-suspect" id="book-blame">{words}</p> })
}
