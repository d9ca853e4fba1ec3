//! The stumps that are open, and how many of them keep their pixels in memory.

use crate::session::Session;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Photos whose pixels are kept whatever their size: those used last.
const ALWAYS_KEPT: usize = 2;
/// Memory for the pixels of others too, in bytes: three photos of 12
/// megapixels take about as much (two: 270 MB, measured), and a dozen of half a
/// megapixel.
const ROOM_BYTES: u64 = 350_000_000;

/// The open stumps, the one used last at the end.
#[derive(Debug)]
pub(crate) struct Cache {
    open: Mutex<Vec<Arc<Session>>>,
    pub(crate) room_bytes: u64,
}

impl Default for Cache {
    fn default() -> Self {
        Self {
            open: Mutex::new(Vec::new()),
            room_bytes: ROOM_BYTES,
        }
    }
}

impl Cache {
    /// The session of a photo, without counting as a use: a tab in the
    /// background asks every two seconds and must not push out what is worked on.
    pub(crate) fn session(&self, name: &str, photo: PathBuf) -> Arc<Session> {
        let mut open = self.lock();
        if let Some(session) = open.iter().find(|session| session.name() == name) {
            return Arc::clone(session);
        }
        let session = Arc::new(Session::new(name, photo));
        open.insert(0, Arc::clone(&session));
        session
    }

    /// Why no rings were read on a photo, if it was read since the program was started.
    pub(crate) fn refusal(&self, name: &str) -> Option<String> {
        let open = self.lock();
        open.iter()
            .find(|session| session.name() == name)?
            .refusal()
    }

    /// Forgets the session of a photo that has another name now.
    pub(crate) fn forget(&self, name: &str) {
        self.lock().retain(|session| session.name() != name);
    }

    /// Counts as a use: moves a session to the end of the list, and lets those
    /// for which there is no room give their pixels back.
    pub(crate) fn touch(&self, session: &Arc<Session>) {
        let mut open = self.lock();
        open.retain(|other| !Arc::ptr_eq(other, session));
        open.push(Arc::clone(session));
        let mut taken_bytes = 0_u64;
        for (nth, old) in open.iter().rev().enumerate() {
            taken_bytes = taken_bytes.saturating_add(match nth {
                // It is about to be opened; one that never was may be large.
                0 => old.known_bytes().unwrap_or(self.room_bytes / 2),
                _ => old.held_bytes(),
            });
            if nth >= ALWAYS_KEPT && taken_bytes > self.room_bytes {
                old.release();
            }
        }
    }

    fn lock(&self) -> MutexGuard<'_, Vec<Arc<Session>>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
