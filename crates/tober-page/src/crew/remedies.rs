//! What would make it work where it cannot be levelled. Looked for on request: it takes some
//! hundreds of plans.

use leptos::prelude::*;
use tober::assess::{Verdict, remedies};
use tober::level::{Change, Remedy};

use crate::browser;
use crate::lookup::Lookup;
use crate::state::{Store, store};

/// A button where a ride cannot be levelled, and under it what would help.
#[component]
pub(super) fn Help() -> impl IntoView {
    let store = store();
    let failing = Memo::new(move |_| {
        store.with_ride(|ride, _| ride.level.verdict == Verdict::Fail) == Some(true)
    });
    let lookup = Lookup::<Vec<Remedy>>::new();
    let list = move || lookup.found(store, |remedies| listed(store, remedies));
    view! {
        <Show when=move || failing.get()>
            <section class="help" aria-label="What would help">
                <button type="button" class="button wide" id="help"
                    prop:disabled=move || lookup.is_looking()
                    on:click=move |_| lookup.begin(store, |site, _, ride| remedies(site, ride))>
                    {move || if lookup.is_looking() { "Looking…" } else { "What would help?" }}
                </button>
                <div role="status">{list}</div>
            </section>
        </Show>
    }
}

fn listed(store: Store, remedies: &[Remedy]) -> AnyView {
    if remedies.is_empty() {
        return view! {
            <p class="hint">"Nothing was found that would help. Look for another place."</p>
        }
        .into_any();
    }
    let style = store.style();
    view! {
        <p class="hint">
            "Each of these would do, tried on the plan; no place is offered where it would no \
             longer clear what it clears now. The least work comes first."
        </p>
        <ol class="remedies">
            {remedies
                .iter()
                .map(|remedy| {
                    let change = remedy.change.clone();
                    let label = label(&change);
                    view! {
                        <li>
                            <span>{remedy.in_words(style)}</span>
                            <button type="button" class="button"
                                on:click=move |_| apply(store, &change)>{label}</button>
                        </li>
                    }
                })
                .collect_view()}
        </ol>
    }
    .into_any()
}

/// What the button says that makes a change.
fn label(change: &Change) -> &'static str {
    match change {
        Change::TurnRound { .. } | Change::Move { .. } => "Apply",
        Change::AddBlocks { .. } => "They are here",
        Change::Dig { .. } | Change::BuildUp { .. } => "It is done",
    }
}

fn apply(store: Store, change: &Change) {
    let ride = store.ride.get_untracked();
    store.change_file(|file| {
        change.apply(file, ride);
    });
    // The pressed button is gone.
    browser::focus("tab-level");
}
