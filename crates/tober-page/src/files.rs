//! Opening and saving files: sites, field books and point files. What cannot be used is refused
//! with its reasons, and the work at hand stays as it is.

use std::time::Duration;

use leptos::prelude::*;
use tober::site::{Fault, Site};
use tober::survey::decode;
use wasm_bindgen_futures::JsFuture;

use crate::browser;
use crate::parts::icon;
use crate::state::{Notice, Store, store};
use crate::survey;
use crate::turns::Turns;

/// Files larger than this are not read, bytes: far more than any fairground, and what a phone
/// still holds.
const LARGEST: f64 = 64.0 * 1024.0 * 1024.0;
/// Reasons that are shown at once.
const MOST_FAULTS: usize = 40;

#[component]
pub(crate) fn OpenButton() -> impl IntoView {
    let store = store();
    view! {
        <label class="button open-button">
            {icon("open")}
            "Open"
            <input type="file" id="open" class="file-input" accept=".json,.csv,.txt,application/json,text/csv,text/plain"
                on:change=move |event| {
                    let input = event_target::<web_sys::HtmlInputElement>(&event);
                    if let Some(file) = input.files().and_then(|files| files.get(0)) {
                        open(store, file);
                    }
                    // The same file can be opened again after it was put right.
                    input.set_value("");
                }/>
        </label>
    }
}

/// Opens a file that is dropped anywhere on the page.
pub(crate) fn take_dropped_files(store: Store) {
    let over = window_event_listener(leptos::ev::dragover, |event| event.prevent_default());
    let drop = window_event_listener(leptos::ev::drop, move |event| {
        event.prevent_default();
        let files = event.data_transfer().and_then(|data| data.files());
        if let Some(file) = files.and_then(|files| files.get(0)) {
            open(store, file);
        }
    });
    on_cleanup(move || {
        over.remove();
        drop.remove();
    });
}

/// Reads a file and shows it, or says why not.
fn open(store: Store, file: web_sys::File) {
    let name = file.name();
    if file.size() > LARGEST {
        store.notice.set(Some(Notice::Words(format!(
            "{name} was not read: it holds {:.0} MB, and the page reads files of less than 64.",
            file.size() / 1e6
        ))));
        return;
    }
    store
        .notice
        .set(Some(Notice::Busy(format!("Reading {name}…"))));
    leptos::task::spawn_local(async move {
        // Its bytes, not its text: survey files are not always in UTF-8.
        let text = match JsFuture::from(file.array_buffer()).await {
            Ok(bytes) => decode(&js_sys::Uint8Array::new(&bytes).to_vec()).0,
            Err(_) => {
                store.notice.set(Some(Notice::Words(format!(
                    "{name} could not be read by the browser."
                ))));
                return;
            }
        };
        // The word that it is being read is on the screen before the reading begins.
        set_timeout(
            move || leptos::task::spawn_local(finish(store, name, text)),
            Duration::from_millis(40),
        );
    });
}

async fn finish(store: Store, name: String, text: String) {
    let is_site = name.to_lowercase().ends_with(".json") || text.trim_start().starts_with('{');
    if is_site {
        open_site(store, name, &text).await;
    } else {
        survey::open(store, &name, text).await;
    }
}

async fn open_site(store: Store, name: String, text: &str) {
    let turns = Turns::begin(store);
    let read = Site::read_in_slices(text, &async |progress| turns.pause(progress).await).await;
    turns.end();
    match read {
        Ok(site) => {
            let levels = site.shots().len();
            let warnings = site.warnings().len();
            store.open_site(site).await;
            let noted = match warnings {
                0 => String::new(),
                1 => " 1 thing in it should be checked: see under the views.".to_owned(),
                count => format!(" {count} things in it should be checked: see under the views."),
            };
            store.notice.set(Some(Notice::Words(format!(
                "{name} is open, with {levels} heights of the ground.{noted} Undo brings back what was here."
            ))));
        }
        Err(error) => store.notice.set(Some(Notice::Refused {
            file: name,
            faults: error.faults().to_vec(),
        })),
    }
}

/// Hands the site over as a file.
pub(crate) fn save(store: &Store) {
    let (name, json) = store
        .site
        .with_untracked(|site| (file_name(&site.file().name, "json"), site.to_json()));
    if browser::download(&name, &json, "application/json").is_err() {
        store.notice.set(Some(Notice::Words(
            "This browser does not let the page save a file.".to_owned(),
        )));
    }
}

/// A file name from what people call the thing: letters and digits, the rest as dashes.
pub(crate) fn file_name(name: &str, ending: &str) -> String {
    let mut out = String::new();
    for character in name.to_lowercase().chars().take(60) {
        if character.is_alphanumeric() {
            out.push(character);
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    let stem = if out.is_empty() { "site" } else { out };
    format!("{stem}.{ending}")
}

/// What the person must be told, until they put it away.
#[component]
pub(crate) fn Notices() -> impl IntoView {
    let store = store();
    let is_busy = move || matches!(store.notice.get(), Some(Notice::Busy(_)));
    let close = move |_| {
        if matches!(store.notice.get_untracked(), Some(Notice::Busy(_))) {
            store.stop_work();
        }
        store.notice.set(None);
    };
    let words = move || {
        store.notice.get().map(|notice| match notice {
            Notice::Busy(words) | Notice::Words(words) => view! { <p>{words}</p> }.into_any(),
            Notice::Refused { file, faults } => refused(&file, &faults).into_any(),
        })
    };
    let refused = move || matches!(store.notice.get(), Some(Notice::Refused { .. }));
    view! {
        <div class="notices" role="alert" id="notice" class:refused=refused>
            <Show when=move || store.notice.with(Option::is_some)>
                <div class="notice">
                    <div class="notice-words">{words}</div>
                    <button type="button" class="tool"
                        aria-label=move || match is_busy() {
                            true => "Stop this work",
                            false => "Close this message",
                        }
                        on:click=close>{icon("close")}</button>
                </div>
            </Show>
        </div>
    }
}

fn refused(file: &str, faults: &[Fault]) -> impl IntoView + use<> {
    let more = faults.len().saturating_sub(MOST_FAULTS);
    let list = faults
        .iter()
        .take(MOST_FAULTS)
        .map(|fault| {
            view! {
                <li>
                    <code>{fault.path.clone()}</code>
                    {format!(" is {}; expected {}", fault.value, fault.expected)}
                </li>
            }
        })
        .collect_view();
    view! {
        <p><strong>{format!("{file} cannot be used.")}</strong> " Your work is as it was."</p>
        <ul class="faults">{list}</ul>
        {(more > 0).then(|| view! { <p>{format!("and {more} more")}</p> })}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn file_names_are_plain() {
        assert_eq!(
            file_name("Nether Quillow, spring!", "json"),
            "nether-quillow-spring.json"
        );
        assert_eq!(file_name("../../", "csv"), "site.csv");
    }
}
