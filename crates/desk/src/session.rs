//! One open stump, as requests share it: its revision, its tabs, the progress
//! of its reading, and what is loaded of it.

use crate::edit::Edit;
use crate::error::ApiError;
use crate::folder::Folder;
use crate::loaded::{Loaded, StartFrom};
use crate::output::{Output, OutputOptions, OutputRequest};
use crate::progress::Progress;
use crate::stamp::{Stamp, stamp};
use crate::tabs::Tabs;
use crate::view::{self, as_json};
use axum::body::Bytes;
use axum::http::StatusCode;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};

/// A stump that some page has opened.
#[derive(Debug)]
pub(crate) struct Session {
    name: String,
    photo: PathBuf,
    revision: AtomicU64,
    tabs: Tabs,
    progress: Progress,
    /// Memory that the pictures take, or took when they were held last, in
    /// bytes; 0 before that.
    picture_bytes: AtomicU64,
    held: AtomicBool,
    /// The photo's stamp when it was loaded.
    photo_stamp: Mutex<Stamp>,
    /// Why no rings were read. A photo that is no stump has no entry to keep it in.
    refusal: Mutex<Option<String>>,
    loaded: Mutex<Option<Loaded>>,
}

/// A change that the page asks for.
#[derive(Debug)]
pub(crate) enum Change<'a> {
    Edit(&'a Edit),
    Undo,
    Redo,
}

/// What a tab learns every two seconds.
#[derive(Debug, serde::Serialize)]
pub(crate) struct Watched {
    /// Grows with each change.
    revision: u64,
    /// How many other tabs have the stump open.
    others: usize,
    /// Whether the photo's file is another one than the one shown.
    photo_changed: bool,
}

impl Session {
    pub(crate) fn new(name: &str, photo: PathBuf) -> Self {
        Self {
            name: name.to_owned(),
            photo,
            revision: AtomicU64::new(1),
            tabs: Tabs::default(),
            progress: Progress::default(),
            picture_bytes: AtomicU64::new(0),
            held: AtomicBool::new(false),
            photo_stamp: Mutex::new(None),
            refusal: Mutex::new(None),
            loaded: Mutex::new(None),
        }
    }

    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    /// The progress of the long reading of this stump.
    pub(crate) fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Memory that the pictures take now, in bytes.
    pub(crate) fn held_bytes(&self) -> u64 {
        if self.held.load(Ordering::SeqCst) {
            self.picture_bytes.load(Ordering::SeqCst)
        } else {
            0
        }
    }

    /// The memory that they took when they were held last.
    pub(crate) fn known_bytes(&self) -> Option<u64> {
        Some(self.picture_bytes.load(Ordering::SeqCst)).filter(|bytes| *bytes > 0)
    }

    fn hold(&self, bytes: u64) {
        self.picture_bytes.store(bytes, Ordering::SeqCst);
        self.held.store(true, Ordering::SeqCst);
    }

    /// Gives the pictures back, unless they are in use right now.
    pub(crate) fn release(&self) {
        let mut loaded = match self.loaded.try_lock() {
            Ok(loaded) => loaded,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => return,
        };
        if let Some(loaded) = loaded.as_mut() {
            loaded.release_pictures();
            self.held.store(false, Ordering::SeqCst);
        }
    }

    /// Why no rings were read on the photo as it is now, if it was read since
    /// the program was started.
    pub(crate) fn refusal(&self) -> Option<String> {
        if *self.lock_photo_stamp() != stamp(&self.photo) {
            return None;
        }
        self.refusal
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Records that a tab has this stump open, and says what changed.
    pub(crate) fn watch(&self, tab: &str) -> Watched {
        let known = *self.lock_photo_stamp();
        Watched {
            others: self.tabs.seen(tab),
            revision: self.revision.load(Ordering::SeqCst),
            photo_changed: known.is_some() && known != stamp(&self.photo),
        }
    }

    /// A tab has closed this stump.
    pub(crate) fn leave(&self, tab: &str) {
        self.tabs.closed(tab);
    }

    /// The stump as JSON, with all that the page needs to mark it.
    pub(crate) fn view(&self, folder: &Folder) -> Result<Vec<u8>, ApiError> {
        self.with_loaded(folder, |loaded| {
            self.take_over(folder, loaded)?;
            if loaded.completed(&self.name, &self.progress)? {
                self.revision.fetch_add(1, Ordering::SeqCst);
            }
            self.view_of(folder, loaded, None)
        })
    }

    /// The stump as it was saved, as JSON, at once: incomplete where its rings would have
    /// to be straightened first.
    pub(crate) fn saved_view(&self, folder: &Folder) -> Result<Vec<u8>, ApiError> {
        self.with_loaded(folder, |loaded| {
            self.take_over(folder, loaded)?;
            self.view_of(folder, loaded, None)
        })
    }

    /// Makes a change, saves it, and gives the stump as JSON.
    pub(crate) fn change(
        &self,
        folder: &Folder,
        revision: u64,
        change: &Change<'_>,
    ) -> Result<Vec<u8>, ApiError> {
        self.with_loaded(folder, |loaded| {
            if self.take_over(folder, loaded)? || revision != self.revision.load(Ordering::SeqCst) {
                return Err(ApiError::new(
                    StatusCode::CONFLICT,
                    "this stump was changed elsewhere a moment ago, so the last step was not taken",
                    "look at what changed, then mark again",
                ));
            }
            let done = match change {
                Change::Edit(edit) => loaded.edit(&self.name, edit, &self.progress)?,
                Change::Undo => loaded.undo(&self.name, &self.progress)?,
                Change::Redo => loaded.redo(&self.name, &self.progress)?,
            };
            if done.changed {
                self.revision.fetch_add(1, Ordering::SeqCst);
            }
            self.view_of(folder, loaded, Some(done.words))
        })
    }

    /// Starts this photo's own entry where the one beside it was made for
    /// another photo; that one stays in the folder under another name.
    pub(crate) fn start_entry(
        &self,
        folder: &Folder,
        start: StartFrom,
    ) -> Result<Vec<u8>, ApiError> {
        let mut guard = self.lock();
        let mut loaded =
            Loaded::start_entry(folder, &self.name, &self.photo, start, &self.progress)?;
        self.revision.fetch_add(1, Ordering::SeqCst);
        self.note_loaded(&loaded);
        let view = self.view_of(folder, &mut loaded, None);
        *guard = Some(loaded);
        view
    }

    /// The upright photo as a JPEG, or a `small` copy of it.
    pub(crate) fn photo(&self, folder: &Folder, small: bool) -> Result<Bytes, ApiError> {
        let photo = self.with_loaded(folder, |loaded| Ok(loaded.photo(&self.name)?.clone()))?;
        if small { photo.small() } else { photo.jpeg() }
    }

    /// The unrolled picture and its numbers.
    pub(crate) fn unrolled(&self, folder: &Folder) -> Result<(Bytes, Bytes), ApiError> {
        self.with_loaded(folder, |loaded| {
            loaded.pictures(&self.name, &self.progress)?.unrolled()
        })
    }

    /// The radial intensity profile as JSON, at the courses of the unrolled picture.
    pub(crate) fn intensity(&self, folder: &Folder) -> Result<Vec<u8>, ApiError> {
        self.with_loaded(folder, |loaded| {
            let revision = self.revision.load(Ordering::SeqCst);
            let info = loaded.intensity(&self.name, &self.progress, revision)?;
            as_json(&info)
        })
    }

    /// The marked strip, shown straight.
    pub(crate) fn strip(&self, folder: &Folder) -> Result<Bytes, ApiError> {
        self.with_loaded(folder, |loaded| {
            loaded.strip_picture(&self.name, &self.progress)
        })
    }

    /// The sheet, the widths or a picture, to look at or to download.
    pub(crate) fn output(
        &self,
        folder: &Folder,
        request: OutputRequest,
        options: &OutputOptions,
    ) -> Result<Output, ApiError> {
        let (stump, photo) = self.with_loaded(folder, |loaded| {
            Ok((loaded.stump().clone(), loaded.photo(&self.name)?.clone()))
        })?;
        request.make(&self.name, &stump, &photo.face.rgb, options)
    }

    fn lock(&self) -> MutexGuard<'_, Option<Loaded>> {
        // It is only ever replaced whole, so a poisoned lock holds a whole one.
        self.loaded.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn lock_photo_stamp(&self) -> MutexGuard<'_, Stamp> {
        self.photo_stamp
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    /// Calls with what is loaded of this stump; loads it first if nothing is,
    /// or if the photo's file has changed since.
    fn with_loaded<T>(
        &self,
        folder: &Folder,
        call: impl FnOnce(&mut Loaded) -> Result<T, ApiError>,
    ) -> Result<T, ApiError> {
        let mut guard = self.lock();
        if guard.is_some() && *self.lock_photo_stamp() != stamp(&self.photo) {
            *guard = None;
            self.held.store(false, Ordering::SeqCst);
            self.revision.fetch_add(1, Ordering::SeqCst);
        }
        if guard.is_none() {
            let loaded = Loaded::load(folder, &self.name, &self.photo, &self.progress)?;
            self.note_loaded(&loaded);
            *guard = Some(loaded);
        }
        let loaded = guard
            .as_mut()
            .ok_or_else(|| ApiError::unfinished("opening the stump"))?;
        let done = call(loaded);
        if let Some(bytes) = loaded.held_bytes() {
            self.hold(bytes);
        }
        done
    }

    fn note_loaded(&self, loaded: &Loaded) {
        *self.lock_photo_stamp() = loaded.photo_stamp();
        let refusal = loaded.stump().reading.refusal.as_ref();
        *self.refusal.lock().unwrap_or_else(PoisonError::into_inner) =
            refusal.map(|one| one.detail.clone());
        if let Some(bytes) = loaded.held_bytes() {
            self.hold(bytes);
        }
    }

    /// Takes over what another program wrote into the entry; whether it did.
    fn take_over(&self, folder: &Folder, loaded: &mut Loaded) -> Result<bool, ApiError> {
        let changed = loaded.take_over(folder, &self.name, &self.photo, &self.progress)?;
        if changed {
            self.revision.fetch_add(1, Ordering::SeqCst);
        }
        Ok(changed)
    }

    fn view_of(
        &self,
        folder: &Folder,
        loaded: &mut Loaded,
        done: Option<String>,
    ) -> Result<Vec<u8>, ApiError> {
        let revision = self.revision.load(Ordering::SeqCst);
        view::view_of(loaded, folder, (&self.name, revision), done, &self.progress)
    }
}
