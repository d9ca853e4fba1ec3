//! Opening a photo: its entry is taken over if it is this photo's own.

use super::{Loaded, milliseconds};
use crate::error::ApiError;
use crate::folder::Folder;
use crate::history::{History, Input};
use crate::pictures::{Photo, Pictures};
use crate::progress::Progress;
use crate::stamp::{Stamp, stamp};
use photo::{Face, Limits};
use serde::Deserialize;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;
use wood::{STUMP_FORMAT, Stump};

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
        let (opened, kept) = Opened::of(folder, name, photo)?;
        // Where a person entered nothing, the photo is simply read again.
        if let Some(kept) = &kept
            && kept.is_of_another_photo(&opened.face.sha256)
            && (kept.has_input() || entry::steps_beside(&opened.entry).exists())
        {
            return Err(other_photo(name, &opened.entry, kept, &opened.face));
        }
        let known = kept.is_some();
        let input = kept.map(Input::from).unwrap_or_default();
        match saved_reading(&opened, &input) {
            Some(stump) => Self::as_saved(opened, stump),
            None => Self::read_first(opened, input, known, progress),
        }
    }

    /// The stump as it was saved: its rings are straightened when that is asked for.
    fn as_saved(opened: Opened<'_>, stump: Stump) -> Result<Self, ApiError> {
        let input = Input {
            facts: stump.facts.clone(),
            marks: stump.marks.clone(),
        };
        Ok(Self {
            photo: opened.photo.to_owned(),
            photo_stamp: opened.photo_stamp,
            entry_stamp: stamp(&opened.entry),
            history: History::load(&opened.entry, &input)?,
            entry: opened.entry,
            stump,
            size_px: opened.face.rgb.dimensions(),
            taken: opened.face.taken.map(|day| day.to_string()),
            reading_ms: 0.0,
            versions: 1,
            photo_alone: Some(Photo::new(opened.face)),
            pictures: None,
        })
    }

    /// Moves the entry of another photo aside and starts this photo's own.
    pub(crate) fn start_entry(
        folder: &Folder,
        name: &str,
        photo: &Path,
        start: StartFrom,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        let (opened, kept) = Opened::of(folder, name, photo)?;
        let old = kept
            .filter(|kept| kept.is_of_another_photo(&opened.face.sha256))
            .ok_or_else(|| {
                ApiError::invalid(
                    format!("the entry beside {name} is this photo's own"),
                    "load the page again",
                )
            })?;
        entry::set_aside(&opened.entry)?;
        let input = match start {
            StartFrom::Nothing => Input::default(),
            StartFrom::Facts => Input {
                facts: old.facts,
                ..Input::default()
            },
        };
        Self::read_first(opened, input, true, progress)
    }

    /// The first reading; `known` says whether the photo has an entry.
    fn read_first(
        opened: Opened<'_>,
        input: Input,
        known: bool,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        let Opened {
            name,
            photo,
            photo_stamp,
            face,
            entry,
        } = opened;
        let start = Instant::now();
        let history = History::load(&entry, &input)?;
        let size_px = face.rgb.dimensions();
        let taken = face.taken.map(|day| day.to_string());
        let mut pictures = Pictures::new(Photo::new(face), &input, 1, progress)?;
        let reading = pictures.read(name, &input);
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
            photo_alone: None,
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
}

/// A photo that was opened, and the place of its entry.
struct Opened<'a> {
    name: &'a str,
    photo: &'a Path,
    photo_stamp: Stamp,
    face: Face,
    entry: PathBuf,
}

impl<'a> Opened<'a> {
    /// Opens a photo; with it comes the entry that is saved beside it.
    fn of(
        folder: &Folder,
        name: &'a str,
        photo: &'a Path,
    ) -> Result<(Self, Option<entry::Sidecar>), ApiError> {
        let photo_stamp = stamp(photo);
        let face = open(name, photo)?;
        let place = folder.entry(photo)?;
        let opened = Self {
            name,
            photo,
            photo_stamp,
            face,
            entry: place.entry,
        };
        Ok((opened, place.kept))
    }
}

/// The stump in the entry, where its reading is one of this photo with these facts and
/// marks; `None` where there is nothing to show before the photo is read. A marked strip
/// is shown with what is seen along it, which is not saved.
fn saved_reading(opened: &Opened<'_>, input: &Input) -> Option<Stump> {
    // An older version may have written another kind of reading: then it is made anew.
    let stump = entry::load_stump(&opened.entry).ok().flatten()?;
    let photo = &stump.reading.photo;
    let same = photo.sha256 == opened.face.sha256
        && photo.file == opened.name
        && (photo.width_px, photo.height_px) == opened.face.rgb.dimensions()
        && stump.facts == input.facts
        && stump.marks == input.marks;
    (same && stump.reading.readable && stump.marks.strip.is_none()).then_some(stump)
}

/// Opens a photo.
pub(super) fn open(name: &str, photo: &Path) -> Result<Face, ApiError> {
    let bytes = fs::read(photo).map_err(|error| {
        ApiError::invalid(
            format!("cannot read {name}: {error}"),
            "check that the photo is still in the folder",
        )
    })?;
    photo::open(&bytes, &Limits::default()).map_err(|error| ApiError::photo(name, &error))
}

fn other_photo(name: &str, entry: &Path, kept: &entry::Sidecar, face: &Face) -> ApiError {
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
