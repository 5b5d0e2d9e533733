//! On paper: the plan, then the setup sheet with every ride, or the clearance record.

use leptos::prelude::*;
use tober_drawing::{PlanOptions, layers};

use crate::parts::badge;
use crate::state::{Store, Tab, store};
use crate::{clear, fence, level, loads};

/// What is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Paper {
    /// The crew's setup sheet.
    Sheet,
    /// The organizer's clearance record.
    Record,
}

impl Paper {
    /// What belongs to the view that is looked at.
    pub(crate) fn of(store: Store) -> Paper {
        match store.tab.get_untracked() {
            Tab::Clear => Paper::Record,
            Tab::Place | Tab::Level | Tab::Loads | Tab::Fence | Tab::Survey => Paper::Sheet,
        }
    }
}

/// Has the sheet ready whenever the browser prints, by our button or by its own.
pub(crate) fn watch(store: Store) {
    let before = window_event_listener_untyped("beforeprint", move |_| {
        // By the browser's own button: what belongs to the view.
        if !store.printing.get_untracked() {
            store.paper.set(Paper::of(store));
        }
        store.printing.set(true);
    });
    let after = window_event_listener_untyped("afterprint", move |_| store.printing.set(false));
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
}

/// Opens the browser's print dialog on a paper.
pub(crate) fn print(store: Store, paper: Paper) {
    store.paper.set(paper);
    store.printing.set(true);
    leptos::task::spawn_local(async move {
        leptos::task::tick().await;
        // Where there is no printing, nothing happens.
        let _ = window().print();
        store.printing.set(false);
    });
}

/// Size of the plan on paper, CSS pixels: the same from a phone as from a desk.
const PLAN: (f64, f64) = (1000.0, 640.0);

/// The plan of the whole lot.
fn plan(store: Store) -> String {
    let (width, height) = PLAN;
    let layers = store.assessment.with(|assessment| {
        let site = store.site.get();
        layers(&site, assessment, &PlanOptions::fit(&site, width, height))
    });
    format!(
        "<svg class=\"plan\" viewBox=\"0 0 {width} {height}\">{}{}{}</svg>",
        layers.backdrop, layers.rides, layers.furniture
    )
}

#[component]
pub(crate) fn Sheet() -> impl IntoView {
    let store = store();
    let rides = move || {
        store.assessment.with(|assessment| {
            let style = assessment.units;
            assessment
                .rides
                .iter()
                .map(|ride| view! {
                    <section class="sheet-ride">
                        <h2>{ride.name.clone()} " " {badge(ride.verdict)}</h2>
                        <p>{format!(
                            "Hub {} east, {} north; heading {:.1}°.",
                            style.format(ride.placement.x),
                            style.format(ride.placement.y),
                            ride.placement.heading,
                        )}</p>
                        <ol class="sheet-next">
                            {ride.next.iter().map(|it| view! { <li>{it.clone()}</li> }).collect_view()}
                        </ol>
                        <h3>"Level"</h3>
                        {level::section(ride, style)}
                        <h3>"Loads"</h3>
                        {loads::section(ride, style)}
                        <h3>"Clearances"</h3>
                        {clear::table(assessment, ride)}
                        <h3>"Fence"</h3>
                        {fence::section(ride, style)}
                    </section>
                })
                .collect_view()
        })
    };
    let values = move || {
        store
            .assessment
            .with(|assessment| loads::values_told(assessment))
    };
    let cautions = move || {
        store.assessment.with(|assessment| {
            let cautions = assessment.cautions.iter();
            cautions
                .map(|it| view! { <li>{it.clone()}</li> })
                .collect_view()
        })
    };
    view! {
        <div class="sheet">
            {move || store.printing.get().then(|| view! {
                <div class="paper-plan" inner_html=plan(store)></div>
            })}
            {move || match (store.printing.get(), store.paper.get()) {
                (false, _) => ().into_any(),
                (true, Paper::Record) => view! { <clear::Record/> }.into_any(),
                (true, Paper::Sheet) => view! {
                    {rides}
                    <section class="sheet-values">
                        <h2>"Load values that apply here"</h2>
                        <ul>{values}</ul>
                    </section>
                    <section class="sheet-cautions">
                        <h2>"Cautions"</h2>
                        <ul>{cautions}</ul>
                    </section>
                }.into_any(),
            }}
        </div>
    }
}
