//! What the browser keeps from one visit to the next.

use std::collections::BTreeSet;
use std::time::Duration;

use leptos::prelude::*;

use crate::state::{Notice, Store, Tab};

const SITE: &str = "tober.site";
const ASIDE: &str = "tober.site.aside";
const RIDE: &str = "tober.ride";
const TAB: &str = "tober.tab";
const TICKS: &str = "tober.ticks";

/// How long after the last change it is written.
const PAUSE: Duration = Duration::from_millis(350);
/// A browser keeps five million characters, and a spot level takes half a hundred: the text of
/// a larger survey is not even written.
const MOST_SPOT_LEVELS: usize = 100_000;
/// Ticked acts that are kept; older fairs fall out.
const MOST_TICKS: usize = 2000;

/// What was kept.
#[derive(Clone, Debug)]
pub(crate) struct Kept {
    pub(crate) site: Option<String>,
    pub(crate) ride: usize,
    pub(crate) tab: Tab,
    pub(crate) ticks: BTreeSet<String>,
}

/// Reads what was kept; nothing where the browser keeps nothing.
pub(crate) fn read() -> Kept {
    let text = |key: &str| storage()?.get_item(key).ok()?;
    let tab = text(TAB).and_then(|word| Tab::ALL.into_iter().find(|tab| tab.word() == word));
    Kept {
        site: text(SITE),
        ride: text(RIDE).and_then(|text| text.parse().ok()).unwrap_or(0),
        tab: tab.unwrap_or(Tab::Place),
        ticks: text(TICKS)
            .and_then(|text| serde_json::from_str(&text).ok())
            .unwrap_or_default(),
    }
}

/// Puts a site that cannot be read aside, where the next change does not write over it.
pub(crate) fn put_aside() {
    let site = storage().and_then(|storage| storage.get_item(SITE).ok()?);
    if let Some(site) = site {
        write(ASIDE, &site);
    }
}

/// Keeps every change from now on, a moment after it, and at the latest when the page goes.
pub(crate) fn keep(store: Store) {
    let pending: StoredValue<Option<TimeoutHandle>> = StoredValue::new(None);
    let was_kept = StoredValue::new(true);
    let write_site = move || {
        pending.set_value(None);
        let is_kept = store.site.with_untracked(|site| {
            let is_small = site.file().spot_levels.len() <= MOST_SPOT_LEVELS;
            is_small && write(SITE, &site.to_json())
        });
        // Said once, not after every move.
        if !is_kept && was_kept.get_value() {
            store.notice.set(Some(Notice::Words(
                "This browser does not keep the work: its storage is full or switched off. Save \
                 it to a file before you leave."
                    .to_owned(),
            )));
        }
        was_kept.set_value(is_kept);
    };
    Effect::new(move |before: Option<()>| {
        store.site.track();
        // The first run is the state that was just read.
        if before.is_none() {
            return;
        }
        if let Some(handle) = pending.try_update_value(Option::take).flatten() {
            handle.clear();
        }
        pending.set_value(set_timeout_with_handle(write_site, PAUSE).ok());
    });
    let flush = window_event_listener_untyped("pagehide", move |_| {
        if let Some(handle) = pending.try_update_value(Option::take).flatten() {
            handle.clear();
            write_site();
        }
    });
    on_cleanup(move || flush.remove());
    Effect::new(move || {
        write(RIDE, &store.ride.get().to_string());
        write(TAB, store.tab.get().word());
    });
    Effect::new(move || {
        store.ticks.with(|ticks| {
            let kept: Vec<&String> = ticks.iter().rev().take(MOST_TICKS).collect();
            if let Ok(text) = serde_json::to_string(&kept) {
                write(TICKS, &text);
            }
        });
    });
}

/// Whether it is kept now.
fn write(key: &str, text: &str) -> bool {
    storage().is_some_and(|storage| storage.set_item(key, text).is_ok())
}

fn storage() -> Option<web_sys::Storage> {
    web_sys::window()?.local_storage().ok()?
}
