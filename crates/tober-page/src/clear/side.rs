//! The pair that is picked, seen from the side: beside the table where there is room, in the
//! picked row on a phone.

use leptos::prelude::*;
use tober::assess::Assessment;
use tober_drawing::{Pair, side_view};

use super::{Filter, looked_at};
use crate::browser;
use crate::state::{Store, store};
use crate::words;

/// Sizes of the drawing, CSS pixels.
const BESIDE: (f64, f64) = (660.0, 236.0);
const INLINE: (f64, f64) = (348.0, 250.0);

/// Over the table, where it stays in view while the rows are walked through.
#[component]
pub(super) fn Aside(filter: Filter) -> impl IntoView {
    let store = store();
    let title = move || {
        let row = looked_at(store, filter)?;
        store.with_shown_ride(|ride, _| {
            let row = ride.clearances.get(row)?;
            Some(format!("{} to {}", row.from_words(), words::against(row)))
        })?
    };
    let drawing = move || {
        // Follows the screen when it is turned or its window is drawn larger.
        store.size.track();
        if browser::is_narrow() {
            return None;
        }
        drawn(store, of_ride(store, looked_at(store, filter)?), BESIDE)
    };
    view! {
        <section class="side-beside" aria-label="Side view">
            {move || title().map(|title| view! { <h3 id="side-title">{title}</h3> })}
            <div class="side-view" inner_html=move || drawing().unwrap_or_default()></div>
        </section>
    }
}

/// In the row that is picked.
#[component]
pub(super) fn Inline() -> impl IntoView {
    let store = store();
    let drawing = move || {
        store.size.track();
        if !browser::is_narrow() {
            return None;
        }
        drawn(store, of_ride(store, store.picked_row()?), INLINE)
    };
    view! {
        <div class="side-view side-inline" inner_html=move || drawing().unwrap_or_default()></div>
    }
}

/// A distance of a way or between two things of the lot, in its card: shown when it is opened.
#[component]
pub(super) fn OfLot(pair: Pair) -> impl IntoView {
    let store = store();
    let open = RwSignal::new(false);
    let drawing = move || {
        let size = if browser::is_narrow() { INLINE } else { BESIDE };
        store.size.track();
        drawn(store, pair, size).unwrap_or_default()
    };
    view! {
        <button type="button" class="button show-side" aria-expanded=move || open.get().to_string()
            on:click=move |_| open.update(|open| *open = !*open)>"From the side"</button>
        <Show when=move || open.get()>
            <div class="side-view side-of-lot" inner_html=drawing></div>
        </Show>
    }
}

fn of_ride(store: Store, row: usize) -> Pair {
    let ride = store.ride.get();
    Pair::Ride { ride, row }
}

fn drawn(store: Store, pair: Pair, size: (f64, f64)) -> Option<String> {
    store.with_shown(|assessment| {
        store
            .site
            .with(|site| side_view(site, assessment, pair, size))
    })
}

/// The tightest pair of a ride, for paper.
pub(super) fn tightest(store: Store, assessment: &Assessment, ride: usize) -> Option<String> {
    let pair = Pair::Ride { ride, row: 0 };
    store
        .site
        .with(|site| side_view(site, assessment, pair, BESIDE))
}
