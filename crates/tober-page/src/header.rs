//! The head of the page: which fair, how it came out, and what to do with the file.

use leptos::prelude::*;
use tober::site::Site;
use tober::units::LengthStyle;

use crate::browser;
use crate::files;
use crate::parts::{class, icon, mark};
use crate::print::{self, Paper};
use crate::samples::SAMPLES;
use crate::state::store;
use crate::words;

#[component]
pub(crate) fn Header() -> impl IntoView {
    let store = store();
    let menu = RwSignal::new(false);
    let verdict = move || store.assessment.with(|it| it.verdict);
    view! {
        <header class="head">
            <span class="brand" aria-hidden="true">{logo()}</span>
            <div class="head-words">
                <h1>{move || store.assessment.with(|it| it.site.clone())}</h1>
                <p class=move || format!("overall {}", class(verdict())) id="overall">
                    {move || mark(verdict())}
                    <strong>{move || verdict().word()}</strong>
                    <span class="overall-count">
                        {move || store.assessment.with(|it| words::overall(it))}
                    </span>
                </p>
            </div>
            <div class="undo-tools" role="group" aria-label="Changes">
                <button type="button" class="tool" aria-label="Undo" title="Undo" id="undo"
                    prop:disabled=move || !store.history.with(|it| it.can_undo())
                    on:click=move |_| store.undo()>{icon("undo")}</button>
                <button type="button" class="tool" aria-label="Redo" title="Redo" id="redo"
                    prop:disabled=move || !store.history.with(|it| it.can_redo())
                    on:click=move |_| store.redo()>{icon("redo")}</button>
            </div>
            <button type="button" class="tool menu-button" aria-label="Menu" title="Menu" id="menu"
                aria-expanded=move || menu.get().to_string() aria-controls="tools"
                on:click=move |_| menu.update(|open| *open = !*open)>
                {move || if menu.get() { icon("close") } else { icon("menu") }}
            </button>
            <div class="tools" id="tools" class:open=move || menu.get()
                on:keydown=move |event| if event.key() == "Escape" {
                    menu.set(false);
                    browser::focus("menu");
                }
            >
                <Units/>
                <SamplePicker/>
                <files::OpenButton/>
                <button type="button" class="button" id="save"
                    on:click=move |_| files::save(&store)>{icon("save")}"Save"</button>
                <button type="button" class="button" id="print"
                    on:click=move |_| print::print(store, Paper::of(store))>{icon("print")}"Print"</button>
            </div>
        </header>
    }
}

/// Feet and inches to eighths or sixteenths, decimal feet, metres, millimetres.
#[component]
fn Units() -> impl IntoView {
    let store = store();
    let shown = move || position(store.style()).to_string();
    view! {
        <label class="pick">
            <span>"Units"</span>
            <select id="units" prop:value=shown
                on:change=move |event| {
                    let picked = event_target_value(&event).parse::<usize>().ok();
                    if let Some(&style) = picked.and_then(|index| LengthStyle::ALL.get(index)) {
                        store.set_style(style);
                    }
                }
            >
                {LengthStyle::ALL
                    .into_iter()
                    .map(|style| view! {
                        <option value=position(style).to_string()
                            selected=style == store.style()>{style.label()}</option>
                    })
                    .collect_view()}
            </select>
        </label>
    }
}

fn position(style: LengthStyle) -> usize {
    LengthStyle::ALL
        .into_iter()
        .position(|known| known == style)
        .unwrap_or(0)
}

/// Opens one of the fairs that come with the page. Undo brings the work at hand back.
#[component]
fn SamplePicker() -> impl IntoView {
    let store = store();
    view! {
        <label class="pick">
            <span>"Sample"</span>
            <select id="samples" prop:value=""
                on:change=move |event| {
                    let picked = event_target_value(&event);
                    let sample = SAMPLES.iter().find(|sample| sample.id == picked);
                    if let Some(Ok(site)) = sample.map(|sample| Site::read(sample.json)) {
                        leptos::task::spawn_local(async move { store.open_site(site).await });
                    }
                    let select = event_target::<web_sys::HtmlSelectElement>(&event);
                    select.set_value("");
                }
            >
                <option value="">"Choose…"</option>
                {SAMPLES
                    .iter()
                    .map(|sample| view! { <option value=sample.id>{sample.title}</option> })
                    .collect_view()}
            </select>
        </label>
    }
}

/// Our sign: a ring on a level line.
fn logo() -> impl IntoView {
    view! {
        <svg viewBox="0 0 32 32" width="32" height="32">
            <circle cx="16" cy="13" r="9" class="logo-ring"></circle>
            <circle cx="16" cy="13" r="2.6" class="logo-hub"></circle>
            <path d="M3 26h26M16 22v4" class="logo-line"></path>
        </svg>
    }
}
