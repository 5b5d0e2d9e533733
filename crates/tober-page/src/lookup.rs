//! What is looked for on request, for it takes a while: a button begins it, and what was found is
//! shown for as long as it is about the site and the ride on the screen.

use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;
use tober::assess::Assessment;
use tober::site::Site;

use crate::state::Store;

/// Lets the browser show that something is being looked for before it is.
const PAINT: Duration = Duration::from_millis(40);

/// What was found, and for which site and ride: it says nothing of another.
struct Found<T> {
    site: Arc<Site>,
    ride: usize,
    what: T,
}

/// A search for something about the ride that is worked on.
pub(crate) struct Lookup<T: 'static> {
    found: RwSignal<Option<Found<T>>>,
    looking: RwSignal<bool>,
}

impl<T> Clone for Lookup<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Lookup<T> {}

impl<T: Send + Sync + 'static> Lookup<T> {
    pub(crate) fn new() -> Lookup<T> {
        Lookup {
            found: RwSignal::new(None),
            looking: RwSignal::new(false),
        }
    }

    /// Looks, after the browser has shown that it does.
    pub(crate) fn begin(self, store: Store, look: fn(&Site, &Assessment, usize) -> T) {
        self.looking.set(true);
        let search = move || {
            let (site, ride) = (store.site.get_untracked(), store.ride.get_untracked());
            let what = store
                .assessment
                .with_untracked(|now| look(&site, now, ride));
            self.found.set(Some(Found { site, ride, what }));
            self.looking.set(false);
        };
        set_timeout(search, PAINT);
    }

    /// Whether it is being looked for.
    pub(crate) fn is_looking(self) -> bool {
        self.looking.get()
    }

    /// What was found for the ride on the screen as it stands.
    pub(crate) fn found<R>(self, store: Store, show: impl FnOnce(&T) -> R) -> Option<R> {
        let (site, ride) = (store.site.get(), store.ride.get());
        self.found.with(|found| {
            let found = found.as_ref()?;
            let fits = Arc::ptr_eq(&found.site, &site) && found.ride == ride;
            fits.then(|| show(&found.what))
        })
    }
}
