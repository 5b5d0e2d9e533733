//! The page: a plan on which rides are dragged and turned, and beside it what follows.
//!
//! It shows an [`Assessment`](tober::assess::Assessment) and changes a
//! [`Site`](tober::site::Site); everything that is worked out is worked out by `tober`, and
//! drawn by `tober-drawing`. Its own sums are those between a finger's pixels and the lot.
//!
//! ```text
//! finger, keys, fields ──► Store ──assess──► plan · place · level · loads · clear · fence · survey
//!                            └── kept in the browser, opened and saved as files
//! ```

#![allow(
    unreachable_pub,
    reason = "the component macro makes the structs of properties public"
)]

mod browser;
mod clear;
mod crew;
mod fence;
mod field;
mod files;
mod gesture;
mod header;
mod history;
mod kept;
mod level;
mod loads;
mod lookup;
mod panel;
mod parts;
mod place;
mod plan;
mod print;
mod samples;
mod stack;
mod state;
mod survey;
mod timing;
mod turns;
mod words;

use leptos::prelude::*;

use state::Store;

fn main() {
    std::panic::set_hook(Box::new(|info| browser::report_stop(&info.to_string())));
    browser::adopt_style(tober_drawing::STYLE);
    mount_to_body(App);
}

#[component]
fn App() -> impl IntoView {
    let store = Store::open();
    provide_context(store);
    kept::keep(store);
    print::watch(store);
    browser::name_document(store);
    files::take_dropped_files(store);
    view! {
        <div
            class="app"
            class:tall-plan=move || store.tall_plan.get()
            class:reading=move || store.tab.get() == state::Tab::Level
            class:clearing=move || store.tab.get() == state::Tab::Clear
            class:surveying=move || store.tab.get() == state::Tab::Survey
            class:loading=move || store.tab.get() == state::Tab::Loads
        >
            <header::Header/>
            <files::Notices/>
            <main class="work">
                <plan::Plan/>
                <panel::Panel/>
            </main>
            <panel::Spoken/>
            <print::Sheet/>
        </div>
    }
}
