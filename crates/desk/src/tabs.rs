//! Which browser tabs have a stump open, so that each can say so.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// A tab that has not asked for this long is closed. Tabs ask every two seconds.
const GONE_AFTER: Duration = Duration::from_secs(7);
/// Tabs that are counted at most.
const MOST_TABS: usize = 64;

/// The tabs on one stump, with the time that each asked last.
#[derive(Debug, Default)]
pub(crate) struct Tabs(Mutex<BTreeMap<String, Instant>>);

impl Tabs {
    /// Records that a tab has the stump open; how many others have.
    pub(crate) fn seen(&self, tab: &str) -> usize {
        let mut tabs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let now = Instant::now();
        tabs.retain(|_, seen| now.duration_since(*seen) < GONE_AFTER);
        if tabs.len() < MOST_TABS || tabs.contains_key(tab) {
            tabs.insert(tab.to_owned(), now);
        }
        tabs.len().saturating_sub(1)
    }

    /// A tab has closed the stump.
    pub(crate) fn closed(&self, tab: &str) {
        let mut tabs = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        tabs.remove(tab);
    }
}
