//! What would make it work where it cannot be levelled. Looked for on request: it takes some
//! hundreds of plans.

use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;
use tober::assess::{Verdict, remedies};
use tober::level::{Change, Remedy};
use tober::site::Site;

use crate::browser;
use crate::state::{Store, store};

/// Lets the browser show that something is being looked for before it is.
const PAINT: Duration = Duration::from_millis(40);

/// What was found, and for which site and ride: it says nothing of another.
#[derive(Clone)]
struct Found {
    site: Arc<Site>,
    ride: usize,
    remedies: Vec<Remedy>,
}

/// A button where a ride cannot be levelled, and under it what would help.
#[component]
pub(super) fn Help() -> impl IntoView {
    let store = store();
    let failing = Memo::new(move |_| {
        store.with_ride(|ride, _| ride.level.verdict == Verdict::Fail) == Some(true)
    });
    let found = RwSignal::new(None::<Found>);
    let looking = RwSignal::new(false);
    let look = move |_| {
        looking.set(true);
        let search = move || {
            let site = store.site.get_untracked();
            let ride = store.ride.get_untracked();
            found.set(Some(Found {
                remedies: remedies(&site, ride),
                site,
                ride,
            }));
            looking.set(false);
        };
        set_timeout(search, PAINT);
    };
    let list = move || {
        let (site, ride) = (store.site.get(), store.ride.get());
        found.with(|found| {
            let found = found.as_ref()?;
            let fits = Arc::ptr_eq(&found.site, &site) && found.ride == ride;
            fits.then(|| listed(store, &found.remedies))
        })
    };
    view! {
        <Show when=move || failing.get()>
            <section class="help" aria-label="What would help">
                <button type="button" class="button wide" id="help"
                    prop:disabled=move || looking.get() on:click=look>
                    {move || if looking.get() { "Looking…" } else { "What would help?" }}
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
