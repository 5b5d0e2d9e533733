//! Beside the plan: the rides, what to do next, and the views of the one that is picked.

use std::time::Duration;

use leptos::prelude::*;

use crate::clear::Clear;
use crate::crew::Crew;
use crate::loads::Loads;
use crate::parts::{class, icon, mark};
use crate::place::Place;
use crate::state::{Store, Tab, store};
use crate::survey::Survey;
use crate::{browser, fence, words};

#[component]
pub(crate) fn Panel() -> impl IntoView {
    let store = store();
    // A view is built anew when another is chosen, not at every move: what is being typed stays.
    let bare = Memo::new(move |_| store.assessment.with(|it| it.rides.is_empty()));
    view! {
        <section class="panel" aria-label="Ride">
            <RidePicker/>
            <Next/>
            <Tabs/>
            <div class="tab-body" role="tabpanel" id="tab-body" tabindex="0"
                aria-labelledby=move || tab_id(store.tab.get())>
                {move || body(store, bare)}
                <Warnings/>
                <Cautions/>
            </div>
        </section>
    }
}

fn body(store: Store, bare: Memo<bool>) -> AnyView {
    if bare.get() {
        return view! { <p class="lead">"No ride stands on this lot."</p> }.into_any();
    }
    match store.tab.get() {
        Tab::Place => view! { <Place/> }.into_any(),
        Tab::Level => view! { <Crew/> }.into_any(),
        Tab::Loads => view! { <Loads/> }.into_any(),
        Tab::Clear => view! { <Clear/> }.into_any(),
        Tab::Fence => view! {
            {move || store.with_ride(fence::section)}
            <fence::Gaps/>
        }
        .into_any(),
        Tab::Survey => view! { <Survey/> }.into_any(),
    }
}

/// One button a ride, with how it came out.
#[component]
fn RidePicker() -> impl IntoView {
    let store = store();
    let rides = move || {
        store.assessment.with(|assessment| {
            assessment
                .rides
                .iter()
                .enumerate()
                .map(|(index, ride)| {
                    view! {
                        <button type="button" class=format!("ride-chip {}", class(ride.verdict))
                            aria-pressed=move || (store.ride.get() == index).to_string()
                            on:click=move |_| store.select(index)>
                            {mark(ride.verdict)}
                            <span class="ride-chip-name">{ride.name.clone()}</span>
                            <span class="ride-chip-word">{ride.verdict.word()}</span>
                        </button>
                    }
                })
                .collect_view()
        })
    };
    let lone = move || store.assessment.with(|it| it.rides.len() < 2);
    view! {
        <div class="ride-picker" class:lone=lone role="group" aria-label="Rides" id="rides">
            {rides}
        </div>
    }
}

/// What to do next, the most pressing first.
#[component]
fn Next() -> impl IntoView {
    let store = store();
    let all = RwSignal::new(false);
    let count = move || store.with_ride(|ride, _| ride.next.len()).unwrap_or(0);
    let first = move || store.with_ride(|ride, _| ride.next.first().cloned());
    let rest = move || {
        store.with_ride(|ride, _| {
            let rest = ride.next.iter().skip(1);
            rest.map(|words| view! { <li>{words.clone()}</li> })
                .collect_view()
        })
    };
    view! {
        <section class="next" class:open=move || all.get() aria-labelledby="next-title">
            <h2 id="next-title">"Next"</h2>
            <p class="next-first" id="next">{first}</p>
            <Show when=move || { all.get() && count() > 1 }>
                <ol class="next-rest" start="2">{rest}</ol>
            </Show>
            <button type="button" class="link" class:needless=move || { count() < 2 }
                aria-expanded=move || all.get().to_string()
                on:click=move |_| all.update(|all| *all = !*all)>
                {move || match (all.get(), count()) {
                    (true, _) => "Show less".to_owned(),
                    (false, 0 | 1) => "Show all of it".to_owned(),
                    (false, count) => format!("and {} more", count - 1),
                }}
            </button>
        </section>
    }
}

/// The views. Arrow keys go from one to the next, as in every list of tabs.
#[component]
fn Tabs() -> impl IntoView {
    let store = store();
    let step = move |event: web_sys::KeyboardEvent| {
        let shown = store.tab.get_untracked();
        let index = Tab::ALL.iter().position(|&tab| tab == shown).unwrap_or(0);
        let last = Tab::ALL.len() - 1;
        let next = match event.key().as_str() {
            "ArrowRight" => (index + 1) % Tab::ALL.len(),
            "ArrowLeft" => index.checked_sub(1).unwrap_or(last),
            "Home" => 0,
            "End" => last,
            _ => return,
        };
        if let Some(&tab) = Tab::ALL.get(next) {
            event.prevent_default();
            store.tab.set(tab);
            browser::focus(tab_id(tab));
        }
    };
    view! {
        <div class="tabs" role="tablist" aria-label="Views of the ride" on:keydown=step>
            {Tab::ALL
                .map(|tab| {
                    let chosen = move || store.tab.get() == tab;
                    view! {
                        <button type="button" role="tab" id=tab_id(tab) class="tab"
                            aria-selected=move || chosen().to_string()
                            aria-controls="tab-body"
                            tabindex=move || if chosen() { "0" } else { "-1" }
                            on:click=move |_| store.tab.set(tab)>
                            {icon(tab_icon(tab))}
                            <span>{tab.word()}</span>
                        </button>
                    }
                })
                .into_iter()
                .collect_view()}
        </div>
    }
}

fn tab_id(tab: Tab) -> &'static str {
    match tab {
        Tab::Place => "tab-place",
        Tab::Level => "tab-level",
        Tab::Loads => "tab-loads",
        Tab::Clear => "tab-clear",
        Tab::Fence => "tab-fence",
        Tab::Survey => "tab-survey",
    }
}

fn tab_icon(tab: Tab) -> &'static str {
    match tab {
        Tab::Place => "place",
        Tab::Level => "level",
        Tab::Loads => "loads",
        Tab::Clear => "clear",
        Tab::Fence => "fence",
        Tab::Survey => "survey",
    }
}

/// What is questionable in the file although it can be used.
#[component]
fn Warnings() -> impl IntoView {
    let store = store();
    let warnings = move || {
        store.assessment.with(|assessment| {
            let warnings = &assessment.warnings;
            (!warnings.is_empty()).then(|| view! {
                <details class="warnings">
                    <summary>{match warnings.len() {
                        1 => "1 thing to check in the site file".to_owned(),
                        count => format!("{count} things to check in the site file"),
                    }}</summary>
                    <ul>
                        {warnings
                            .iter()
                            .take(50)
                            .map(|fault| view! {
                                <li>
                                    <code>{fault.path.clone()}</code>
                                    {format!(" is {}; expected {}", fault.value, fault.expected)}
                                </li>
                            })
                            .collect_view()}
                    </ul>
                </details>
            })
        })
    };
    view! { {warnings} }
}

/// What every view ends with.
#[component]
pub(crate) fn Cautions() -> impl IntoView {
    let store = store();
    let cautions = move || {
        store.assessment.with(|assessment| {
            let cautions = assessment.cautions.iter();
            cautions
                .map(|caution| view! { <li>{caution.clone()}</li> })
                .collect_view()
        })
    };
    view! {
        <footer class="cautions">
            <h2>"Cautions"</h2>
            <ul>{cautions}</ul>
        </footer>
    }
}

/// How long the hand must rest before the outcome is spoken.
const REST: Duration = Duration::from_millis(700);

/// Says the outcome of a move to those who do not see the plan, once the hand rests.
#[component]
pub(crate) fn Spoken() -> impl IntoView {
    let store = store();
    let words = RwSignal::new(String::new());
    let pending: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    Effect::new(move || {
        if store.moves.get() == 0 {
            return;
        }
        if let Some(handle) = pending.try_update_value(Option::take).flatten() {
            handle.clear();
        }
        let speak = move || {
            let ride = store.ride.get_untracked();
            let spoken = store.assessment.with_untracked(|assessment| {
                let ride = assessment.rides.get(ride)?;
                Some(words::spoken(ride, assessment.units))
            });
            words.set(spoken.unwrap_or_default());
        };
        pending.set_value(set_timeout_with_handle(speak, REST).ok());
    });
    view! { <p class="spoken" role="status" aria-live="polite" id="spoken">{words}</p> }
}
