//! Rides that are to be bonded together: who confirms that they are.

use leptos::prelude::*;
use tober::site::Bond;

use crate::state::{Store, store};

/// A field for each pair that is not known to be bonded, and the way back for those that are.
#[component]
pub(super) fn Bonds() -> impl IntoView {
    let store = store();
    let pairs = Memo::new(move |_| {
        store.assessment.with(|assessment| {
            let bonds = assessment.bonds.iter();
            bonds
                .map(|it| (it.rides.clone(), it.names.clone(), it.confirmed.clone()))
                .collect::<Vec<_>>()
        })
    });
    let rows = move || {
        let pairs = pairs.get().into_iter().enumerate();
        pairs
            .map(|(place, (rides, [one, other], confirmed))| {
                let title = format!("{one} and {other}");
                match confirmed {
                    Some(who) => view! { <Bonded title rides who/> }.into_any(),
                    None => view! { <Asking place title rides/> }.into_any(),
                }
            })
            .collect_view()
    };
    view! {
        <Show when=move || pairs.with(|pairs| !pairs.is_empty())>
            <section class="bonds" aria-labelledby="bonds-title">
                <h3 id="bonds-title">"Bonded together"</h3>
                {rows}
            </section>
        </Show>
    }
}

#[component]
fn Bonded(title: String, rides: [String; 2], who: String) -> impl IntoView {
    let store = store();
    let holds = move |bond: &Bond| rides.iter().all(|ride| bond.rides.contains(ride));
    view! {
        <p>
            {format!("{title}: {who}")} " "
            <button type="button" class="link" on:click=move |_| {
                store.change_file(|file| file.bonds.retain(|bond| !holds(bond)));
            }>"Not so"</button>
        </p>
    }
}

#[component]
fn Asking(place: usize, title: String, rides: [String; 2]) -> impl IntoView {
    let store = store();
    let who = RwSignal::new(String::new());
    let id = format!("bond-{place}");
    let confirm = move |_| {
        let reason = who.get_untracked().trim().to_owned();
        if !reason.is_empty() {
            tell(store, &rides, reason);
        }
    };
    view! {
        <div class="field">
            <label for=id.clone()>{format!("{title}: who confirms it")}</label>
            <input id=id type="text" autocomplete="off" prop:value=move || who.get()
                on:input=move |event| who.set(event_target_value(&event))/>
            <button type="button" class="button" id=format!("bond-set-{place}") on:click=confirm>
                "They are bonded"
            </button>
        </div>
    }
}

fn tell(store: Store, rides: &[String; 2], reason: String) {
    store.change_file(|file| {
        file.bonds.push(Bond {
            rides: rides.to_vec(),
            reason,
        });
    });
}
