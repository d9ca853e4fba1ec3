//! Who may come in. The address that is printed carries a key that opens one
//! browser once; the browser then holds a key of its own, that is never shown.

use std::collections::BTreeSet;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Bytes of a key: 128 bits cannot be guessed.
const BYTES: usize = 16;

/// The keys of one run.
#[derive(Debug)]
pub struct Keys {
    kept: Mutex<Kept>,
}

#[derive(Debug)]
struct Kept {
    /// Opens one browser; changed as soon as it is used.
    entry: String,
    /// Held by the browsers that came in.
    sessions: BTreeSet<String>,
}

impl Keys {
    /// New keys from the system's own chance.
    ///
    /// # Errors
    /// When the system has none to give.
    pub fn new() -> std::io::Result<Self> {
        Ok(Self {
            kept: Mutex::new(Kept {
                entry: fresh()?,
                sessions: BTreeSet::new(),
            }),
        })
    }

    /// The key that opens the next browser.
    #[must_use]
    pub fn entry(&self) -> String {
        self.lock().entry.clone()
    }

    /// Takes an entry key, which is spent by that, and gives a browser its own.
    ///
    /// # Errors
    /// When the system has no chance to give for the next entry key.
    pub fn enter(&self, key: &str) -> std::io::Result<Option<String>> {
        let mut kept = self.lock();
        if !same(&kept.entry, key) {
            return Ok(None);
        }
        let session = fresh()?;
        kept.entry = fresh()?;
        kept.sessions.insert(session.clone());
        Ok(Some(session))
    }

    /// Whether a browser that came in holds this key.
    #[must_use]
    pub fn holds(&self, session: &str) -> bool {
        self.lock().sessions.iter().any(|held| same(held, session))
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        // Nothing here panics half way; a poisoned lock holds whole keys.
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A new key: 32 digits of base 16.
fn fresh() -> std::io::Result<String> {
    let mut bytes = [0_u8; BYTES];
    getrandom::fill(&mut bytes).map_err(|error| std::io::Error::other(error.to_string()))?;
    Ok(wood::hex(&bytes))
}

/// Whether two keys are the same, in a time that does not tell how much of them is.
fn same(held: &str, given: &str) -> bool {
    held.len() == given.len()
        && held
            .bytes()
            .zip(given.bytes())
            .fold(0, |off, (a, b)| off | (a ^ b))
            == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_key_opens_one_browser_once() {
        let keys = Keys::new().unwrap();
        let first = keys.entry();
        assert_eq!(first.len(), 2 * BYTES);
        assert!(keys.enter("guess").unwrap().is_none());
        let session = keys.enter(&first).unwrap().unwrap();
        assert!(keys.holds(&session));
        assert!(!keys.holds(&first), "an entry key is no session");
        assert!(keys.enter(&first).unwrap().is_none(), "it is spent");
        assert_ne!(keys.entry(), first);
        assert!(keys.enter(&keys.entry()).unwrap().is_some());
        assert!(keys.holds(&session), "the first browser stays in");
    }
}
