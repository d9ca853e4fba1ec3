//! What all requests to a desk share.

use crate::cache::Cache;
use crate::error::ApiError;
use crate::folder::Folder;
use crate::help;
use crate::hosts::Hosts;
use crate::keys::Keys;
use crate::moving::Moved;
use crate::outbox::Outbox;
use crate::session::Session;
use crate::stamp::Stamp;
use axum::body::Bytes;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use tokio::sync::{Notify, Semaphore};

/// A desk: the folder, the keys, the stumps that are open.
#[derive(Debug)]
pub struct Desk {
    pub(crate) folder: Folder,
    pub(crate) keys: Keys,
    pub(crate) hosts: Hosts,
    /// One reading at a time: it uses all cores by itself.
    pub(crate) reading: Arc<Semaphore>,
    /// One small picture at a time, so that a full folder leaves room for marks.
    pub(crate) drawing: Arc<Semaphore>,
    /// Notified when a browser has come in and the next address is another.
    pub(crate) entered: Notify,
    pub(crate) thumbnails: Mutex<BTreeMap<String, (Stamp, Bytes)>>,
    pub(crate) outbox: Outbox,
    pub(crate) cache: Cache,
    /// The folder of the guide, where it came with the program.
    pub(crate) guide: Option<PathBuf>,
    /// Photos renamed or removed so far, to be undone one by one.
    pub(crate) moved: Mutex<Vec<Moved>>,
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
            entered: Notify::new(),
            thumbnails: Mutex::new(BTreeMap::new()),
            outbox: Outbox::default(),
            cache: Cache::default(),
            guide: help::beside_program(),
            moved: Mutex::new(Vec::new()),
        })
    }

    /// The key that opens the next browser.
    #[must_use]
    pub fn entry_key(&self) -> String {
        self.keys.entry()
    }

    /// The session of a photo in the folder.
    pub(crate) fn session(&self, name: &str) -> Result<Arc<Session>, ApiError> {
        let path = self.folder.photo(name)?;
        Ok(self.cache.session(name, path))
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

    fn work_on(desk: &Desk, name: &str) {
        let session = desk.session(name).expect("a photo");
        desk.cache.touch(&session);
        session.view(&desk.folder).expect("a view");
    }

    fn held(desk: &Desk) -> [bool; 3] {
        NAMES.map(|name| desk.session(name).expect("a photo").held_bytes() > 0)
    }

    #[test]
    fn small_photos_side_by_side_all_keep_their_pixels() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = desk_over_three(folder.path());
        for name in NAMES {
            work_on(&desk, name);
        }
        work_on(&desk, NAMES[0]);
        assert_eq!(held(&desk), [true; 3]);
    }

    #[test]
    fn without_room_the_two_used_last_keep_theirs_whoever_watches() {
        let folder = tempfile::tempdir().expect("a folder");
        let mut desk = desk_over_three(folder.path());
        desk.cache.room_bytes = 0;
        work_on(&desk, NAMES[0]);
        work_on(&desk, NAMES[1]);
        // A tab that only watches.
        desk.session(NAMES[2]).expect("a photo").watch("far away");
        desk.session(NAMES[0]).expect("a photo").watch("far away");
        work_on(&desk, NAMES[1]);
        assert_eq!(held(&desk), [true, true, false]);
        work_on(&desk, NAMES[2]);
        work_on(&desk, NAMES[2]);
        assert_eq!(held(&desk), [false, true, true]);
    }
}
