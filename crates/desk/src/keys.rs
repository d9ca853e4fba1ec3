//! Who may use the desk. The printed address carries a key that lets one
//! browser in once; the browser then holds a key of its own that is never shown.

use std::collections::BTreeSet;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Bytes of a key: 128 bits cannot be guessed.
const BYTES: usize = 16;

/// The keys of one run.
#[derive(Debug)]
pub struct Keys {
    known: Mutex<Known>,
}

#[derive(Debug)]
struct Known {
    /// Opens one browser; changed as soon as it is used.
    entry: String,
    /// Held by the browsers that came in.
    sessions: BTreeSet<String>,
}

impl Keys {
    /// New keys from the system's random numbers.
    ///
    /// # Errors
    /// When the system has none.
    pub fn new() -> std::io::Result<Self> {
        Ok(Self {
            known: Mutex::new(Known {
                entry: random_token()?,
                sessions: BTreeSet::new(),
            }),
        })
    }

    /// The key that opens the next browser.
    #[must_use]
    pub fn entry(&self) -> String {
        self.lock().entry.clone()
    }

    /// Spends an entry key and gives a browser its own.
    ///
    /// # Errors
    /// When the system has no random numbers for the next entry key.
    pub fn enter(&self, key: &str) -> std::io::Result<Option<String>> {
        let mut known = self.lock();
        if !same(&known.entry, key) {
            return Ok(None);
        }
        let session = random_token()?;
        known.entry = random_token()?;
        known.sessions.insert(session.clone());
        Ok(Some(session))
    }

    /// Whether a browser that came in holds this key.
    #[must_use]
    pub fn holds(&self, session: &str) -> bool {
        self.lock().sessions.iter().any(|held| same(held, session))
    }

    /// Withdraws the keys of all browsers but one; how many there were.
    pub fn withdraw_others(&self, session: &str) -> usize {
        let mut known = self.lock();
        let before = known.sessions.len();
        known.sessions.retain(|held| same(held, session));
        before - known.sessions.len()
    }

    fn lock(&self) -> MutexGuard<'_, Known> {
        // Nothing here panics half way, so a poisoned lock holds whole keys.
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A token that nobody can guess: 32 digits of base 16.
pub(crate) fn random_token() -> std::io::Result<String> {
    let mut bytes = [0_u8; BYTES];
    getrandom::fill(&mut bytes).map_err(|error| std::io::Error::other(error.to_string()))?;
    Ok(wood::hex(&bytes))
}

/// Whether two keys are the same, in a time that does not depend on where they differ.
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
        let third = keys.enter(&keys.entry()).unwrap().unwrap();
        assert_eq!(keys.withdraw_others(&third), 2);
        assert!(keys.holds(&third));
        assert!(!keys.holds(&session));
    }
}
