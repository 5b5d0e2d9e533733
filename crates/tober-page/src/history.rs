//! Undo and redo.

use std::sync::Arc;

use tober::site::Site;

/// Sites before and after the one that is shown.
#[derive(Clone, Debug, Default)]
pub(crate) struct History {
    past: Vec<Arc<Site>>,
    future: Vec<Arc<Site>>,
}

/// Spot levels that all the kept sites together may hold: what a phone has room for.
const MOST_SPOT_LEVELS: usize = 400_000;
const MOST_SITES: usize = 100;

impl History {
    /// Remembers a site that is about to be changed.
    pub(crate) fn remember(&mut self, site: Arc<Site>) {
        let levels = site.file().spot_levels.len().max(1);
        let room = (MOST_SPOT_LEVELS / levels).clamp(1, MOST_SITES);
        self.future.clear();
        self.past.push(site);
        let surplus = self.past.len().saturating_sub(room);
        self.past.drain(..surplus);
    }

    /// The site before the shown one, which can then be had back by [`History::redo`].
    pub(crate) fn undo(&mut self, shown: Arc<Site>) -> Option<Arc<Site>> {
        let before = self.past.pop()?;
        self.future.push(shown);
        Some(before)
    }

    /// The site that was undone last.
    pub(crate) fn redo(&mut self, shown: Arc<Site>) -> Option<Arc<Site>> {
        let after = self.future.pop()?;
        self.past.push(shown);
        Some(after)
    }

    pub(crate) fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    pub(crate) fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::SAMPLES;

    fn site() -> Arc<Site> {
        Arc::new(Site::read(SAMPLES[0].json).unwrap())
    }

    #[test]
    fn undo_and_redo_walk_the_same_path() {
        let (first, second) = (site(), site());
        let mut history = History::default();
        history.remember(first.clone());
        let back = history.undo(second.clone()).unwrap();
        assert!(Arc::ptr_eq(&back, &first));
        let again = history.redo(back).unwrap();
        assert!(Arc::ptr_eq(&again, &second));
        assert!(!history.can_redo() && history.can_undo());
    }

    #[test]
    fn a_new_change_forgets_what_was_undone() {
        let mut history = History::default();
        history.remember(site());
        history.undo(site());
        history.remember(site());
        assert!(!history.can_redo());
    }
}
