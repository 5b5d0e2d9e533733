//! Long work without a frozen page: between its slices the browser gets a turn, and the person
//! sees how far it is and can stop it.

use std::cell::Cell;
use std::future::pending;

use leptos::prelude::*;
use tober::slices::Progress;

use crate::browser;
use crate::state::{Notice, Store};

/// The browser gets a turn after so many milliseconds of work: more often, and its turns cost more
/// than the work.
const SLICE: f64 = 20.0;

/// The turns that one piece of long work gives.
#[derive(Debug)]
pub(crate) struct Turns {
    store: Store,
    /// Which work this is.
    number: u32,
    last: Cell<f64>,
    shown: Cell<Option<(&'static str, usize)>>,
}

impl Turns {
    /// Begins long work, and gives up any that is still going on.
    pub(crate) fn begin(store: Store) -> Turns {
        Turns {
            store,
            number: store.stop_work(),
            last: Cell::new(browser::now()),
            shown: Cell::new(None),
        }
    }

    /// What the work comes to after every slice. It does not come back when the work was given up:
    /// so the work ends here, and whatever it has made so far is let go.
    pub(crate) async fn pause(&self, progress: Progress) {
        if browser::now() - self.last.get() < SLICE {
            return;
        }
        // In tenths, so that a screen reader is not made to count.
        let tenths = 10 * progress.done / progress.of.max(1);
        let shown = Some((progress.doing, tenths));
        if self.shown.replace(shown) != shown {
            let words = format!("{}… {} %", progress.doing, 10 * tenths);
            self.store.notice.set(Some(Notice::Busy(words)));
        }
        browser::turn().await;
        if self.store.work() != self.number {
            pending::<()>().await;
        }
        self.last.set(browser::now());
    }

    /// Ends the work: the word of how far it is goes.
    pub(crate) fn end(self) {
        if self.shown.get().is_some() {
            self.store.notice.set(None);
        }
    }
}
