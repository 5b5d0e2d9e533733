//! Where a ride would keep what it does not keep. Looked for on request: the whole site is assessed
//! with the ride at several places.

use leptos::prelude::*;
use tober::assess::{Cure, Verdict, cures};
use tober::site::Placement;

use crate::browser;
use crate::lookup::Lookup;
use crate::state::{Store, store};

/// A button where a distance is too small, and under it what would cure that.
#[component]
pub(super) fn Cures() -> impl IntoView {
    let store = store();
    let failing = Memo::new(move |_| {
        let fails = store.with_ride(|ride, _| {
            let mut rows = ride.clearances.iter();
            rows.any(|row| row.verdict == Verdict::Fail)
        });
        // What is only imagined is not moved about.
        fails == Some(true) && store.imagined_other().is_none()
    });
    let lookup = Lookup::<Vec<Cure>>::new();
    let list = move || lookup.found(store, |cures| listed(store, cures));
    view! {
        <Show when=move || failing.get()>
            <section class="help" aria-label="What would cure it">
                <button type="button" class="button" id="cures"
                    prop:disabled=move || lookup.is_looking()
                    on:click=move |_| lookup.begin(store, cures)>
                    {move || if lookup.is_looking() { "Looking…" } else { "Where would it be clear?" }}
                </button>
                <div role="status" id="cures-found">{list}</div>
            </section>
        </Show>
    }
}

fn listed(store: Store, cures: &[Cure]) -> AnyView {
    if cures.is_empty() {
        return view! {
            <p class="hint">"No place near by would do. Look for another on the plan."</p>
        }
        .into_any();
    }
    let words = |cure: &Cure| store.with_ride(|ride, style| cure.in_words(ride, style));
    view! {
        <p class="hint">"Each was tried by checking the whole site with the ride there."</p>
        <ul class="remedies">
            {cures
                .iter()
                .map(|cure| {
                    let placement = cure.placement;
                    view! {
                        <li>
                            <span>{words(cure)}</span>
                            <button type="button" class="button" on:click=move |_| {
                                move_there(store, placement);
                            }>"Move it there"</button>
                        </li>
                    }
                })
                .collect_view()}
        </ul>
    }
    .into_any()
}

fn move_there(store: Store, placement: Placement) {
    let index = store.ride.get_untracked();
    store.change_file(|file| {
        if let Some(ride) = file.rides.get_mut(index) {
            ride.placement = placement;
        }
    });
    // The pressed button is gone.
    browser::focus("tab-clear");
}
