//! The organizer's view: every clearance with a side view of the one that is picked, who asks
//! for it, what would be at another speed, the ways that are kept free, and the record on paper.

mod bonds;
mod cures;
mod record;
mod rows;
mod side;
mod things;
mod ways;
mod what_if;

use leptos::prelude::*;
use tober::assess::{RideAssessment, Verdict};
use tober::clearance::{Asks, ClearanceRow};

use crate::parts::{badge, icon, mark};
use crate::print::{self, Paper};
use crate::state::{Store, store};

pub(crate) use record::Record;
pub(crate) use rows::table;
pub(crate) use things::put;
pub(crate) use what_if::Flag;

/// Which rows are shown.
#[derive(Clone, Copy, Debug)]
struct Filter {
    failing_only: RwSignal<bool>,
    asks: RwSignal<Option<Asks>>,
}

impl Filter {
    fn asked(self, asks: Asks) -> bool {
        self.asks.get().is_none_or(|only| only == asks)
    }

    fn shows(self, row: &ClearanceRow) -> bool {
        self.asked(row.asks) && (!self.failing_only.get() || row.verdict == Verdict::Fail)
    }
}

#[component]
pub(crate) fn Clear() -> impl IntoView {
    let store = store();
    let filter = Filter {
        failing_only: RwSignal::new(false),
        asks: RwSignal::new(None),
    };
    view! {
        <p class="lead clear-head">
            {move || store.with_shown_ride(|ride, _| (badge(verdict(ride)), " ", sentence(ride)))}
        </p>
        <cures::Cures/>
        <what_if::WhatIf/>
        <div class="filter">
            <Asking filter/>
            <label class="choice">
                <input type="checkbox" id="failing-only"
                    prop:checked=move || filter.failing_only.get()
                    on:change=move |event| {
                        filter.failing_only.set(event_target_checked(&event));
                    }/>
                <span>"Failing only"</span>
            </label>
        </div>
        <side::Aside filter/>
        <rows::Rows filter/>
        {move || store.with_shown_ride(|ride, style| {
            let words = ride.over_ground.as_ref()?.in_words(style);
            Some(view! { <p class="hint" id="over-ground">{words}</p> })
        })}
        <ways::Ways filter/>
        <bonds::Bonds/>
        <things::Things/>
        <section class="on-paper">
            <h3>"On paper"</h3>
            <p class="hint">
                "What was checked, by which values, what was not checked, and room to sign."
            </p>
            <button type="button" class="button" id="print-record"
                on:click=move |_| print::print(store, Paper::Record)>
                {icon("print")}"Print the clearance record"
            </button>
        </section>
    }
}

/// Who asks: everyone, or one of those for whom there is a row.
#[component]
fn Asking(filter: Filter) -> impl IntoView {
    let store = store();
    let groups = move || {
        store.with_shown(|assessment| {
            let ride = assessment.rides.get(store.ride.get())?;
            let groups: Vec<_> = std::iter::once(None)
                .chain(Asks::ALL.map(Some))
                .filter_map(|asks| {
                    let rows = ride.clearances.iter();
                    let rows = rows.filter(|row| asks.is_none_or(|asks| row.asks == asks));
                    let worst = rows.clone().map(|row| row.verdict);
                    let ways = ways::verdicts(assessment, asks);
                    let worst = worst.chain(ways).reduce(Verdict::and)?;
                    Some(chip(filter, asks, rows.count(), worst))
                })
                .collect();
            Some(groups)
        })
    };
    view! {
        <div class="asking" role="group" aria-label="Who asks">{groups}</div>
    }
}

fn chip(filter: Filter, asks: Option<Asks>, count: usize, worst: Verdict) -> impl IntoView {
    let name = asks.map_or("Everyone", Asks::words);
    let pressed = move || filter.asks.get() == asks;
    view! {
        <button type="button" class="chip" aria-pressed=move || pressed().to_string()
            data-asks=asks.map_or("all", Asks::words)
            aria-label=format!("{name}: {count} distances, {}", worst.word())
            on:click=move |_| filter.asks.set(asks)>
            {mark(worst)}
            <span class="chip-name">{name}</span>
            <span class="chip-count">{count}</span>
        </button>
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

/// The row that is looked at: the picked one, or else the tightest that is shown.
fn looked_at(store: Store, filter: Filter) -> Option<usize> {
    store.picked_row().or_else(|| {
        store.with_shown_ride(|ride, _| ride.clearances.iter().position(|row| filter.shows(row)))?
    })
}
