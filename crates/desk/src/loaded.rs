//! What is loaded of an open stump: its entry, its reading, its history, and
//! its pictures while there is room for them.

use crate::edit::{self, Edit};
use crate::edit_context::EditContext;
use crate::error::ApiError;
use crate::folder::Folder;
use crate::history::{History, Input};
use crate::pictures::Pictures;
use crate::progress::Progress;
use crate::session::{Stamp, stamp};
use crate::unrolled::{self, UnrolledInfo};
use photo::{Face, Limits};
use reader::Kept;
use serde::Deserialize;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;
use wood::{STUMP_FORMAT, Stump};

/// A stump in memory; what it holds is also on disk.
#[derive(Debug)]
pub(crate) struct Loaded {
    photo: PathBuf,
    photo_stamp: Stamp,
    entry: PathBuf,
    entry_stamp: Stamp,
    stump: Stump,
    size_px: (u32, u32),
    taken: Option<String>,
    reading_ms: f64,
    history: History,
    /// Straightenings so far; each has its number.
    versions: u64,
    pictures: Option<Pictures>,
}

/// What a new entry starts from, where the one beside the photo is another photo's.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum StartFrom {
    /// From nothing: it is another tree.
    Nothing,
    /// From the facts of the old entry: the same stump photographed again.
    /// Marks are places in the old photo and are never carried over.
    Facts,
}

/// What a change did.
#[derive(Debug)]
pub(crate) struct Done {
    /// In a few words.
    pub(crate) words: String,
    /// Whether anything is different now.
    pub(crate) changed: bool,
}

impl Loaded {
    /// Opens a photo, reads it, and saves its entry as `count` would.
    ///
    /// # Errors
    /// When the photo cannot be opened, or the entry cannot be understood or
    /// was made for another photo.
    pub(crate) fn load(
        folder: &Folder,
        name: &str,
        photo: &Path,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        let photo_stamp = stamp(photo);
        let face = open(name, photo)?;
        let place = folder.entry(photo)?;
        if let Some(kept) = &place.kept
            && kept.is_of_another_photo(&face.sha256)
        {
            if kept.has_input() || entry::steps_beside(&place.entry).exists() {
                return Err(other_photo(name, &place.entry, kept, &face));
            }
            // Nothing in it was entered by a person: the photo is simply read again.
        }
        let known = place.kept.is_some();
        let input = place.kept.map(Input::from).unwrap_or_default();
        Self::read_first(
            name,
            photo,
            photo_stamp,
            place.entry,
            face,
            input,
            known,
            progress,
        )
    }

    /// Moves the entry of another photo aside and starts this photo's own.
    pub(crate) fn start_entry(
        folder: &Folder,
        name: &str,
        photo: &Path,
        start: StartFrom,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        let photo_stamp = stamp(photo);
        let face = open(name, photo)?;
        let place = folder.entry(photo)?;
        let old = place
            .kept
            .filter(|kept| kept.is_of_another_photo(&face.sha256))
            .ok_or_else(|| {
                ApiError::invalid(
                    format!("the entry beside {name} is this photo's own"),
                    "load the page again",
                )
            })?;
        entry::set_aside(&place.entry)?;
        let input = match start {
            StartFrom::Nothing => Input::default(),
            StartFrom::Facts => Input {
                facts: old.facts,
                ..Input::default()
            },
        };
        Self::read_first(
            name,
            photo,
            photo_stamp,
            place.entry,
            face,
            input,
            true,
            progress,
        )
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "the two ways to begin share this one step"
    )]
    fn read_first(
        name: &str,
        photo: &Path,
        photo_stamp: Stamp,
        entry: PathBuf,
        face: Face,
        input: Input,
        known: bool,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        let start = Instant::now();
        let history = History::load(&entry, &input)?;
        let size_px = face.rgb.dimensions();
        let taken = face.taken.map(|day| day.to_string());
        let mut pictures = Pictures::new(face, &input, 1, progress)?;
        let reading = pictures
            .current
            .kept
            .read(name, &pictures.face, &input.facts, &input.marks);
        pictures.fit_height(1);
        let mut loaded = Self {
            photo: photo.to_owned(),
            photo_stamp,
            entry_stamp: stamp(&entry),
            entry,
            stump: Stump {
                format: STUMP_FORMAT,
                facts: input.facts,
                marks: input.marks,
                reading,
            },
            size_px,
            taken,
            reading_ms: milliseconds(start),
            history,
            versions: 1,
            pictures: Some(pictures),
        };
        // A photo that is no stump gets no file, unless a person entered something.
        if loaded.stump.reading.readable || known {
            // Nothing new was entered yet, so a folder that cannot be written to
            // can still be looked through; a mark there is refused with the reason.
            let _ = loaded.save();
        }
        Ok(loaded)
    }

    pub(crate) fn stump(&self) -> &Stump {
        &self.stump
    }

    pub(crate) fn history(&self) -> &History {
        &self.history
    }

    pub(crate) fn size_px(&self) -> (u32, u32) {
        self.size_px
    }

    /// The day the camera wrote into the photo.
    pub(crate) fn taken(&self) -> Option<&str> {
        self.taken.as_deref()
    }

    pub(crate) fn reading_ms(&self) -> f64 {
        self.reading_ms
    }

    pub(crate) fn photo_stamp(&self) -> Stamp {
        self.photo_stamp
    }

    pub(crate) fn held_pictures(&self) -> Option<&Pictures> {
        self.pictures.as_ref()
    }

    pub(crate) fn release_pictures(&mut self) {
        self.pictures = None;
    }

    fn input(&self) -> Input {
        Input {
            facts: self.stump.facts.clone(),
            marks: self.stump.marks.clone(),
        }
    }

    /// The pictures, made again if they were released.
    pub(crate) fn pictures(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<&mut Pictures, ApiError> {
        if self.pictures.is_none() {
            let input = self.input();
            let face = open(name, &self.photo)?;
            let mut pictures = Pictures::new(face, &input, self.versions, progress)?;
            pictures
                .current
                .kept
                .read(name, &pictures.face, &input.facts, &input.marks);
            pictures.fit_height(self.versions);
            self.pictures = Some(pictures);
        }
        self.pictures
            .as_mut()
            .ok_or_else(|| ApiError::unfinished("opening the photo"))
    }

    /// How the unrolled picture is to be read; `None` where no rings were read.
    pub(crate) fn unrolled_info(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<Option<UnrolledInfo>, ApiError> {
        let readable = self.stump.reading.readable;
        let current = &self.pictures(name, progress)?.current;
        let traced = current.kept.followed().filter(|_| readable);
        Ok(traced.map(|traced| unrolled::info(traced, current.version)))
    }

    /// Makes an edit and saves it.
    pub(crate) fn edit(
        &mut self,
        name: &str,
        edit: &Edit,
        progress: &Progress,
    ) -> Result<Done, ApiError> {
        let before = self.input();
        self.pictures(name, progress)?;
        let reading = &self.stump.reading;
        let kept = self
            .pictures
            .as_ref()
            .map(|pictures| &pictures.current.kept);
        let context = EditContext {
            rings: &reading.rings,
            followed: kept.and_then(Kept::followed).filter(|_| reading.readable),
            size: self.size_px,
        };
        let (input, words) = edit::apply(edit, context, &before)?;
        if input == before {
            return Ok(Done {
                words,
                changed: false,
            });
        }
        self.put(name, input, progress)?;
        self.history.note(before, &words);
        let after = self.input();
        let saved = self.history.save_noted(&self.entry, &after);
        Ok(done(words, saved))
    }

    pub(crate) fn undo(&mut self, name: &str, progress: &Progress) -> Result<Done, ApiError> {
        let before = self.input();
        let Some((input, words)) = self.history.undo(before.clone()) else {
            return Err(nothing_to("undo"));
        };
        if let Err(error) = self.put(name, input, progress) {
            // The step goes back to where it was.
            let _ = self.history.redo(before);
            return Err(error);
        }
        let saved = self.history.save_undone(&self.entry);
        Ok(done(format!("undone: {words}"), saved))
    }

    pub(crate) fn redo(&mut self, name: &str, progress: &Progress) -> Result<Done, ApiError> {
        let before = self.input();
        let Some((input, words)) = self.history.redo(before.clone()) else {
            return Err(nothing_to("redo"));
        };
        if let Err(error) = self.put(name, input, progress) {
            let _ = self.history.undo(before);
            return Err(error);
        }
        let saved = self.history.save_redone(&self.entry);
        Ok(done(format!("redone: {words}"), saved))
    }

    /// Takes over what another program wrote into the entry; whether it did.
    pub(crate) fn take_over(
        &mut self,
        folder: &Folder,
        name: &str,
        photo: &Path,
        progress: &Progress,
    ) -> Result<bool, ApiError> {
        if stamp(&self.entry) == self.entry_stamp {
            return Ok(false);
        }
        let place = folder.entry(photo)?;
        let before = self.input();
        let input = place.kept.map(Input::from).unwrap_or_default();
        self.entry = place.entry;
        self.entry_stamp = stamp(&self.entry);
        if input == before {
            return Ok(false);
        }
        self.read(name, input, progress)?;
        self.history.note_elsewhere(before);
        // What cannot be saved can still be undone for as long as the desk runs.
        let after = self.input();
        let _ = self.history.save_noted(&self.entry, &after);
        Ok(true)
    }

    /// Puts facts and marks in place, reads again and saves; on an error all is
    /// as before.
    fn put(&mut self, name: &str, input: Input, progress: &Progress) -> Result<(), ApiError> {
        let before = self.input();
        let quick = self.pictures(name, progress)?.switch_to(&input);
        let done = self.put_unchecked(name, input, quick, progress);
        if done.is_err() {
            self.read(name, before, progress)?;
            if !quick {
                // The mark was saved before its reading, which did not finish.
                self.save()?;
            }
        }
        done
    }

    fn put_unchecked(
        &mut self,
        name: &str,
        input: Input,
        quick: bool,
        progress: &Progress,
    ) -> Result<(), ApiError> {
        if !quick {
            // A mark is safe on disk before the long reading that it needs.
            self.stump.facts.clone_from(&input.facts);
            self.stump.marks.clone_from(&input.marks);
            self.save()?;
        }
        self.read(name, input, progress)?;
        self.save()
    }

    fn read(&mut self, name: &str, input: Input, progress: &Progress) -> Result<(), ApiError> {
        let start = Instant::now();
        let mut versions = self.versions;
        let pictures = self.pictures(name, progress)?;
        if !pictures.switch_to(&input) {
            versions += 1;
            pictures.straighten(&input, versions, progress)?;
        }
        let reading = pictures
            .current
            .kept
            .read(name, &pictures.face, &input.facts, &input.marks);
        if pictures.fit_height(versions + 1) {
            versions += 1;
        }
        self.versions = versions;
        self.stump = Stump {
            format: STUMP_FORMAT,
            facts: input.facts,
            marks: input.marks,
            reading,
        };
        self.reading_ms = milliseconds(start);
        Ok(())
    }

    fn save(&mut self) -> Result<(), ApiError> {
        entry::save(&self.entry, &self.stump)?;
        self.entry_stamp = stamp(&self.entry);
        Ok(())
    }
}

/// What was done; where its step could not be saved, that undo ends with the program.
fn done(words: String, saved: Result<(), entry::EntryError>) -> Done {
    let words = match saved {
        Ok(()) => words,
        Err(error) => format!("{words}; saved, but undo ends with this program: {error}"),
    };
    Done {
        words,
        changed: true,
    }
}

fn nothing_to(what: &str) -> ApiError {
    ApiError::invalid(
        format!("there is nothing to {what}"),
        "mark something first",
    )
}

fn open(name: &str, photo: &Path) -> Result<Face, ApiError> {
    let bytes = fs::read(photo).map_err(|error| {
        ApiError::invalid(
            format!("cannot read {name}: {error}"),
            "check that the photo is still in the folder",
        )
    })?;
    photo::open(&bytes, &Limits::default()).map_err(|error| ApiError::photo(name, &error))
}

fn other_photo(name: &str, entry: &Path, kept: &entry::Kept, face: &Face) -> ApiError {
    let entry = entry
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default();
    let (width, height) = kept.photo_size_px;
    let (own_width, own_height) = face.rgb.dimensions();
    ApiError::other_photo(format!(
        "{entry} was made for another photo, of {width} by {height} pixels; {name} is {own_width} by {own_height} and not the same picture, so nothing in the entry was applied"
    ))
}

fn milliseconds(since: Instant) -> f64 {
    (since.elapsed().as_secs_f64() * 10_000.0).round() / 10.0
}
