//! What the whole desk holds: the folder, the keys, the stumps that are open.

use crate::fault::Fault;
use crate::folder::Folder;
use crate::guard::Hosts;
use crate::keys::Keys;
use crate::stump::Open;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use tokio::sync::Semaphore;

/// Photos whose pixels are kept whatever their size: those used last.
const KEPT_ANYWAY: usize = 2;
/// Room for the pixels of others too, in bytes: three photos of 12
/// megapixels take about as much (two: 270 MB, measured), and a dozen of half a
/// megapixel.
const ROOM_BYTES: u64 = 350_000_000;

/// A desk: everything that requests share.
#[derive(Debug)]
pub struct Desk {
    pub(crate) folder: Folder,
    pub(crate) keys: Keys,
    pub(crate) hosts: Hosts,
    /// One reading at a time: it uses all cores by itself.
    pub(crate) reading: Arc<Semaphore>,
    /// One small picture at a time, so that a full folder leaves room for marks.
    pub(crate) drawing: Arc<Semaphore>,
    /// Told when a browser has come in and the next address is another.
    pub(crate) entered: tokio::sync::Notify,
    pub(crate) thumbs: Mutex<BTreeMap<String, (crate::stump::Stamp, axum::body::Bytes)>>,
    open: Mutex<Vec<Arc<Open>>>,
    room_bytes: u64,
}

impl Desk {
    /// A desk over a folder.
    ///
    /// # Errors
    /// When the folder cannot be opened.
    pub fn new(folder: &Path, keys: Keys, hosts: Hosts) -> std::io::Result<Self> {
        Ok(Self {
            folder: Folder::open(folder)?,
            keys,
            hosts,
            reading: Arc::new(Semaphore::new(1)),
            drawing: Arc::new(Semaphore::new(1)),
            entered: tokio::sync::Notify::new(),
            thumbs: Mutex::new(BTreeMap::new()),
            open: Mutex::new(Vec::new()),
            room_bytes: ROOM_BYTES,
        })
    }

    /// The key that opens the next browser.
    #[must_use]
    pub fn entry_key(&self) -> String {
        self.keys.entry()
    }

    /// The stump of a photo, only looked at: a tab that lies in the background
    /// asks every two seconds and must not push out what is worked on.
    pub(crate) fn stump(&self, name: &str) -> Result<Arc<Open>, Fault> {
        let path = self.folder.photo(name)?;
        let mut open = self.lock();
        if let Some(stump) = open.iter().find(|stump| stump.name() == name) {
            return Ok(Arc::clone(stump));
        }
        let stump = Arc::new(Open::new(name, path));
        open.insert(0, Arc::clone(&stump));
        Ok(stump)
    }

    /// Moves a stump to the end of the list, where those used last are; those
    /// for which there is no room give their pixels back.
    pub(crate) fn takes_up(&self, stump: &Arc<Open>) {
        let mut open = self.lock();
        open.retain(|other| !Arc::ptr_eq(other, stump));
        open.push(Arc::clone(stump));
        let mut taken_bytes = 0_u64;
        for (nth, old) in open.iter().rev().enumerate() {
            taken_bytes = taken_bytes.saturating_add(match nth {
                // It is about to be opened; one that never was may be large.
                0 => old.known_bytes().unwrap_or(self.room_bytes / 2),
                _ => old.held_bytes(),
            });
            if nth >= KEPT_ANYWAY && taken_bytes > self.room_bytes {
                old.let_go();
            }
        }
    }

    fn lock(&self) -> MutexGuard<'_, Vec<Arc<Open>>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use practice::Recipe;

    const NAMES: [&str; 3] = ["ash.jpg", "elm.jpg", "oak.jpg"];

    fn desk_over_three(folder: &Path) -> Desk {
        let made = practice::render(&Recipe {
            rings: 8,
            width_px: 220,
            height_px: 210,
            ..Recipe::default()
        });
        for name in NAMES {
            std::fs::write(folder.join(name), practice::jpeg(&made.rgb, 90)).expect("written");
        }
        let keys = Keys::new().expect("keys");
        Desk::new(folder, keys, Hosts::new(4000, &[])).expect("a folder")
    }

    fn worked_on(desk: &Desk, name: &str) {
        let stump = desk.stump(name).expect("a photo");
        desk.takes_up(&stump);
        stump.view(&desk.folder).expect("a view");
    }

    fn held(desk: &Desk) -> [bool; 3] {
        NAMES.map(|name| desk.stump(name).expect("a photo").held_bytes() > 0)
    }

    #[test]
    fn small_photos_side_by_side_all_keep_their_pixels() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk_over_three(folder.path());
        for name in NAMES {
            worked_on(&desk, name);
        }
        worked_on(&desk, NAMES[0]);
        assert_eq!(held(&desk), [true; 3]);
    }

    #[test]
    fn without_room_the_two_used_last_keep_theirs_whoever_looks() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut desk = desk_over_three(folder.path());
        desk.room_bytes = 0;
        worked_on(&desk, NAMES[0]);
        worked_on(&desk, NAMES[1]);
        // A tab that only watches.
        desk.stump(NAMES[2]).expect("a photo").watch("far away");
        desk.stump(NAMES[0]).expect("a photo").watch("far away");
        worked_on(&desk, NAMES[1]);
        assert_eq!(held(&desk), [true, true, false]);
        worked_on(&desk, NAMES[2]);
        worked_on(&desk, NAMES[2]);
        assert_eq!(held(&desk), [false, true, true]);
    }
}
