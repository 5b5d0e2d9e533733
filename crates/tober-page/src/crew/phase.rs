//! Whether the crew builds the ride up or tears it down. Kept among the ticks, so that a reload
//! or a dead battery does not lose it.

use leptos::prelude::*;
use tober::level::{Act, LevelPlan};

use crate::state::{Store, store};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Phase {
    BuildUp,
    TearDown,
}

impl Phase {
    pub(super) const ALL: [Phase; 2] = [Phase::BuildUp, Phase::TearDown];

    pub(super) fn of(store: &Store, ride: &str) -> Phase {
        let torn = store.ticks.with(|ticks| ticks.contains(&key(ride)));
        if torn {
            Phase::TearDown
        } else {
            Phase::BuildUp
        }
    }

    pub(super) fn acts(self, plan: &LevelPlan) -> &[Act] {
        match self {
            Phase::BuildUp => &plan.acts,
            Phase::TearDown => &plan.tear_down,
        }
    }

    fn id_and_name(self) -> (&'static str, &'static str) {
        match self {
            Phase::BuildUp => ("build-up", "Build up"),
            Phase::TearDown => ("tear-down", "Tear down"),
        }
    }
}

fn key(ride: &str) -> String {
    format!("{ride}/tear-down")
}

/// The choice between the two, for the ride that is worked on.
#[component]
pub(super) fn Choice() -> impl IntoView {
    let store = store();
    let ride = Memo::new(move |_| store.with_ride(|ride, _| ride.id.clone()));
    let pick = move |phase: Phase| {
        let Some(ride) = ride.get_untracked() else {
            return;
        };
        store.ticks.update(|ticks| {
            match phase {
                Phase::BuildUp => ticks.remove(&key(&ride)),
                Phase::TearDown => ticks.insert(key(&ride)),
            };
        });
    };
    let button = move |phase: Phase| {
        let pressed = move || ride.get().map(|ride| Phase::of(&store, &ride)) == Some(phase);
        let (id, name) = phase.id_and_name();
        view! {
            <button type="button" class="chip" id=id aria-pressed=move || pressed().to_string()
                on:click=move |_| pick(phase)>
                {name}
            </button>
        }
    };
    view! {
        <div class="chips phase" role="group" aria-label="Which way">
            {Phase::ALL.map(button).into_iter().collect_view()}
        </div>
    }
}
