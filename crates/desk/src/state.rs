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

/// Photos whose pixels are kept at a time; a 12 megapixel one takes 150 MB.
const MOST_HEAVY: usize = 2;

/// A desk: everything that requests share.
#[derive(Debug)]
pub struct Desk {
    pub(crate) folder: Folder,
    pub(crate) keys: Keys,
    pub(crate) hosts: Hosts,
    /// One reading at a time: it uses all cores by itself.
    pub(crate) reading: Semaphore,
    /// One small picture at a time, so that a full folder leaves room for marks.
    pub(crate) drawing: Semaphore,
    /// Told when a browser has come in and the next address is another.
    pub(crate) entered: tokio::sync::Notify,
    pub(crate) thumbs: Mutex<BTreeMap<String, (crate::stump::Stamp, axum::body::Bytes)>>,
    open: Mutex<Vec<Arc<Open>>>,
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
            reading: Semaphore::new(1),
            drawing: Semaphore::new(1),
            entered: tokio::sync::Notify::new(),
            thumbs: Mutex::new(BTreeMap::new()),
            open: Mutex::new(Vec::new()),
        })
    }

    /// The key that opens the next browser.
    #[must_use]
    pub fn entry_key(&self) -> String {
        self.keys.entry()
    }

    /// The stump of a photo, the one used last at the end of the list; those
    /// not used for long give their pixels back.
    pub(crate) fn stump(&self, name: &str) -> Result<Arc<Open>, Fault> {
        let path = self.folder.photo(name)?;
        let mut open = self.lock();
        let stump = match open.iter().position(|stump| stump.name() == name) {
            Some(at) => open.remove(at),
            None => Arc::new(Open::new(name, path)),
        };
        open.push(Arc::clone(&stump));
        let idle = open.len().saturating_sub(MOST_HEAVY);
        for old in open.iter().take(idle) {
            old.let_go();
        }
        Ok(stump)
    }

    fn lock(&self) -> MutexGuard<'_, Vec<Arc<Open>>> {
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
