//! How long the steps of a drag take, as entries that any browser's tools show
//! (`performance.getEntriesByName("assess")`, `"draw"`, `"step"`).

use std::cell::Cell;

use crate::browser::performance;

/// Entries are thrown away after so many, lest a day's dragging fills the memory.
const MOST: u32 = 4000;

thread_local! {
    static TAKEN: Cell<u32> = const { Cell::new(0) };
}

/// A step that is being timed.
#[derive(Debug)]
pub(crate) struct Timing {
    name: &'static str,
    mark: &'static str,
}

impl Timing {
    /// Starts the clock. `mark` must be the name of no other step.
    pub(crate) fn start(name: &'static str, mark: &'static str) -> Timing {
        if let Some(performance) = performance() {
            // Timing is for those who look on; nothing hangs on it.
            let _ = performance.mark(mark);
        }
        Timing { name, mark }
    }

    /// Stops the clock and leaves the entry.
    pub(crate) fn stop(self) {
        let Some(performance) = performance() else {
            return;
        };
        let taken = TAKEN.get() + 1;
        if taken > MOST {
            performance.clear_measures();
        }
        TAKEN.set(taken % (MOST + 1));
        let _ = performance.measure_with_start_mark(self.name, self.mark);
        performance.clear_marks_with_mark_name(self.mark);
    }
}

/// Times one call.
pub(crate) fn timed<T>(name: &'static str, mark: &'static str, call: impl FnOnce() -> T) -> T {
    let timing = Timing::start(name, mark);
    let result = call();
    timing.stop();
    result
}
