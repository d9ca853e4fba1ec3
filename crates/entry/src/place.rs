//! Where a photo's entry is.

use crate::EntryError;
use crate::sidecar::{Sidecar, load};
use crate::writing::ENDING;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// Where a photo's entry is, and what it keeps.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The entry's file; it may not be there yet.
    pub entry: PathBuf,
    /// What it keeps; `None` where there is no entry yet.
    pub kept: Option<Sidecar>,
}

/// The two places an entry may have: named after the photo's stem, and, where
/// another photo of that stem has taken this, after its whole name.
#[must_use]
pub fn beside(photo: &Path) -> (PathBuf, PathBuf) {
    let name = photo.file_name().unwrap_or(photo.as_os_str());
    let stem = photo.file_stem().unwrap_or(name);
    (with_ending(photo, stem), with_ending(photo, name))
}

/// The entry of a photo: two photos of one stem (`oak.jpg`, `oak.png`) never
/// share one; the second one's is named after its whole name.
///
/// # Errors
/// When there is an entry that cannot be understood.
pub fn find(photo: &Path) -> Result<Place, EntryError> {
    let (by_stem, by_name) = beside(photo);
    let kept = load(&by_stem)?;
    if kept
        .as_ref()
        .is_some_and(|kept| is_of_another_photo(kept, photo))
    {
        let kept = load(&by_name)?;
        return Ok(Place {
            entry: by_name,
            kept,
        });
    }
    Ok(Place {
        entry: by_stem,
        kept,
    })
}

/// Whether the entry was made for a photo of another name that is still there.
/// A photo that was renamed from `.jpeg` to `.jpg` keeps its entry.
#[must_use]
pub fn is_of_another_photo(kept: &Sidecar, photo: &Path) -> bool {
    let other = OsStr::new(&kept.photo_file);
    let plain = Path::new(other).file_name() == Some(other);
    plain && photo.file_name() != Some(other) && photo.with_file_name(other).is_file()
}

fn with_ending(photo: &Path, start: &OsStr) -> PathBuf {
    let mut name = start.to_os_string();
    name.push(ENDING);
    photo.with_file_name(name)
}
