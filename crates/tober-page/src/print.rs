//! The setup sheet on paper: the plan, then every ride with all its views.

use leptos::prelude::*;

use crate::parts::badge;
use crate::state::{Store, store};
use crate::{clear, fence, level};

/// Has the sheet ready whenever the browser prints, by our button or by its own.
pub(crate) fn watch(store: Store) {
    let before = window_event_listener_untyped("beforeprint", move |_| store.printing.set(true));
    let after = window_event_listener_untyped("afterprint", move |_| store.printing.set(false));
    on_cleanup(move || {
        before.remove();
        after.remove();
    });
}

/// Opens the browser's print dialog on the sheet.
pub(crate) fn print(store: Store) {
    store.printing.set(true);
    leptos::task::spawn_local(async move {
        leptos::task::tick().await;
        // Where there is no printing, nothing happens.
        let _ = window().print();
        store.printing.set(false);
    });
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
                        <h3>"Clearances"</h3>
                        {clear::table(assessment, ride)}
                        <h3>"Fence"</h3>
                        {fence::section(ride, style)}
                    </section>
                })
                .collect_view()
        })
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
            <Show when=move || store.printing.get()>
                {rides}
                <section class="sheet-cautions">
                    <h2>"Cautions"</h2>
                    <ul>{cautions}</ul>
                </section>
            </Show>
        </div>
    }
}
