//! Loading and saving an entry.

use crate::{EntryError, writing};
use serde::Deserialize;
use std::io;
use std::path::Path;
use wood::{Facts, Marks, STUMP_FORMAT, Stump};

/// As much of an entry as a new reading needs. Of the old reading only the
/// photo's name, hash and size are read; the rest is computed again.
#[derive(Debug, Clone, PartialEq)]
pub struct Sidecar {
    /// What is known of the stump.
    pub facts: Facts,
    /// What was marked.
    pub marks: Marks,
    /// The name of the photo that the entry was made for.
    pub photo_file: String,
    /// SHA-256 of that photo's bytes, in hex.
    pub photo_sha256: String,
    /// Width and height of that photo, upright, in pixels.
    pub photo_size_px: (u32, u32),
}

impl Sidecar {
    /// Whether the entry was made for another photo than the one with these
    /// bytes. Its marks are places in that photo and must not be put on this one.
    #[must_use]
    pub fn is_of_another_photo(&self, sha256: &str) -> bool {
        self.photo_sha256 != sha256
    }

    /// Whether a person entered any fact or mark.
    #[must_use]
    pub fn has_input(&self) -> bool {
        self.facts != Facts::default() || self.marks != Marks::default()
    }
}

/// What is read of an entry before all else.
#[derive(Debug, Deserialize)]
struct Format {
    format: u32,
}

#[derive(Debug, Deserialize)]
struct OnDisk {
    facts: Facts,
    marks: Marks,
    reading: ReadingOnDisk,
}

#[derive(Debug, Deserialize)]
struct ReadingOnDisk {
    photo: PhotoOnDisk,
}

#[derive(Debug, Deserialize)]
struct PhotoOnDisk {
    file: String,
    sha256: String,
    width_px: u32,
    height_px: u32,
}

/// What an entry keeps, or `None` where there is none.
///
/// # Errors
/// When there is one that cannot be understood: it is never written over.
pub fn load(entry: &Path) -> Result<Option<Sidecar>, EntryError> {
    let Some(text) = text_of(entry)? else {
        return Ok(None);
    };
    let kept: OnDisk = understood(entry, &text)?;
    let photo = kept.reading.photo;
    Ok(Some(Sidecar {
        facts: kept.facts,
        marks: kept.marks,
        photo_file: photo.file,
        photo_sha256: photo.sha256,
        photo_size_px: (photo.width_px, photo.height_px),
    }))
}

/// The whole of an entry with its reading, or `None` where there is none.
///
/// # Errors
/// As [`load`], and when the reading in it is of another shape than today's.
pub fn load_stump(entry: &Path) -> Result<Option<Stump>, EntryError> {
    let Some(text) = text_of(entry)? else {
        return Ok(None);
    };
    understood(entry, &text).map(Some)
}

/// Writes the entry; an earlier one is whole until the new one is.
///
/// # Errors
/// When the folder cannot be written to.
pub fn save(entry: &Path, stump: &Stump) -> Result<(), EntryError> {
    let mut bytes = serde_json::to_vec(stump).map_err(|source| EntryError::NoJson {
        path: entry.to_owned(),
        source,
    })?;
    bytes.push(b'\n');
    writing::replace(entry, &bytes)
}

fn text_of(entry: &Path) -> Result<Option<String>, EntryError> {
    match std::fs::read_to_string(entry) {
        Ok(text) => Ok(Some(text)),
        // "The parent is a file" means that the photo is not there either; let that be reported.
        Err(error)
            if matches!(
                error.kind(),
                io::ErrorKind::NotFound | io::ErrorKind::NotADirectory
            ) =>
        {
            Ok(None)
        }
        Err(source) => Err(EntryError::CannotRead {
            path: entry.to_owned(),
            source,
        }),
    }
}

/// The entry, unless a later version wrote it: that may hold what is not known here.
fn understood<'a, T: Deserialize<'a>>(entry: &Path, text: &'a str) -> Result<T, EntryError> {
    if let Ok(Format { format }) = serde_json::from_str(text)
        && format > STUMP_FORMAT
    {
        return Err(EntryError::Newer {
            path: entry.to_owned(),
            format,
        });
    }
    serde_json::from_str(text).map_err(|source| EntryError::Damaged {
        path: entry.to_owned(),
        source,
    })
}
