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
            Some(format!(
                "{} to {}",
                words::part_of(row),
                words::against(row)
            ))
        })?
    };
    let drawing = move || {
        // Follows the screen when it is turned or its window is drawn larger.
        store.size.track();
        if browser::is_narrow() {
            return None;
        }
        drawn(store, looked_at(store, filter)?, BESIDE)
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
        drawn(store, store.picked_row()?, INLINE)
    };
    view! {
        <div class="side-view side-inline" inner_html=move || drawing().unwrap_or_default()></div>
    }
}

fn drawn(store: Store, row: usize, size: (f64, f64)) -> Option<String> {
    let ride = store.ride.get();
    store.with_shown(|assessment| {
        store
            .site
            .with(|site| side_view(site, assessment, Pair { ride, row }, size))
    })
}

/// The tightest pair of a ride, for paper.
pub(super) fn tightest(store: Store, assessment: &Assessment, ride: usize) -> Option<String> {
    let pair = Pair { ride, row: 0 };
    store
        .site
        .with(|site| side_view(site, assessment, pair, BESIDE))
}
