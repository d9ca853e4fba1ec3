//! What is loaded of an open stump: its entry, its reading, its history, and
//! its pictures while there is room for them.

mod held;
mod opening;
mod shown;

pub(crate) use opening::StartFrom;

use crate::edit::{self, Edit};
use crate::edit_context::EditContext;
use crate::error::ApiError;
use crate::folder::Folder;
use crate::history::{History, Input};
use crate::pictures::{Photo, Pictures};
use crate::progress::Progress;
use crate::stamp::{Stamp, stamp};
use reader::ReadingSession;
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
    /// The photo while it is opened and its rings are not straightened.
    photo_alone: Option<Photo>,
    pictures: Option<Pictures>,
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

    fn input(&self) -> Input {
        Input {
            facts: self.stump.facts.clone(),
            marks: self.stump.marks.clone(),
        }
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
            kept,
            traced: kept
                .and_then(ReadingSession::traced)
                .filter(|_| self.has_followed_rings()),
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
        let reading = pictures.read(name, &input);
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

fn milliseconds(since: Instant) -> f64 {
    (since.elapsed().as_secs_f64() * 10_000.0).round() / 10.0
}
