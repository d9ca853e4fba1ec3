//! A stump's entry: the `.stump.json` beside the photo. What a person told or
//! marked lives there and nowhere else, so it is never lost.

use crate::trouble::Trouble;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};
use wood::{Facts, Marks, STUMP_FORMAT};

/// A photo to read, and where what is known of it lies.
#[derive(Debug)]
pub(crate) struct Plan {
    /// The photo.
    pub(crate) photo: PathBuf,
    /// Its `.stump.json`.
    pub(crate) entry: PathBuf,
    /// How the names of its pictures begin.
    pub(crate) stem: String,
    /// What was told and marked before; `None` where there is no entry yet.
    pub(crate) kept: Option<(Facts, Marks)>,
}

/// As much of an entry as a new reading needs. The old reading is not looked
/// into, but for the photo's name: it is made anew.
#[derive(Debug, Deserialize)]
struct Kept {
    format: u32,
    facts: Facts,
    marks: Marks,
    reading: KeptReading,
}

#[derive(Debug, Deserialize)]
struct KeptReading {
    photo: KeptPhoto,
}

#[derive(Debug, Deserialize)]
struct KeptPhoto {
    file: String,
}

/// Finds a photo's entry. `entries` are those of photos before it in the run,
/// so that two photos of one stem (`oak.jpg`, `oak.png`) never share one: the
/// second one's is named after its whole name, `oak.png.stump.json`.
pub(super) fn plan_one(
    photo: PathBuf,
    entries: &mut BTreeSet<PathBuf>,
    stems: &mut BTreeSet<String>,
) -> Result<Plan, Trouble> {
    let name = photo.file_name().unwrap_or(photo.as_os_str());
    let stem = photo.file_stem().unwrap_or(name);
    let by_stem = with_ending(&photo, stem);
    let by_name = with_ending(&photo, name);
    let mut kept = if entries.contains(&by_stem) {
        None
    } else {
        load(&by_stem)?
    };
    let elses = kept
        .as_ref()
        .is_some_and(|kept| is_of_another_photo(kept, &photo, name));
    let (entry, start) = if elses || entries.contains(&by_stem) {
        kept = load(&by_name)?;
        (by_name, name)
    } else {
        (by_stem, stem)
    };
    entries.insert(entry.clone());
    // Pictures of stumps from several folders may meet in one --out folder.
    let start = start.to_string_lossy().into_owned();
    let stem = (1..)
        .map(|number| match number {
            1 => start.clone(),
            number => format!("{start}-{number}"),
        })
        .find(|stem| stems.insert(stem.clone()))
        .unwrap_or(start);
    Ok(Plan {
        photo,
        entry,
        stem,
        kept: kept.map(|kept| (kept.facts, kept.marks)),
    })
}

/// Whether the entry was made for a photo of another name that is still there.
/// A photo that was renamed from `.jpeg` to `.jpg` keeps its entry.
fn is_of_another_photo(kept: &Kept, photo: &Path, name: &OsStr) -> bool {
    let other = OsStr::new(&kept.reading.photo.file);
    other != name && photo.with_file_name(other).is_file()
}

fn with_ending(photo: &Path, start: &OsStr) -> PathBuf {
    let mut name = start.to_os_string();
    name.push(".stump.json");
    photo.with_file_name(name)
}

/// The entry as it is, or `None` where there is none.
///
/// # Errors
/// When there is one that cannot be understood: it is never written over.
fn load(entry: &Path) -> Result<Option<Kept>, Trouble> {
    let text = match std::fs::read_to_string(entry) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        // "The parent is a file" means that the photo is not there either; let that be told.
        Err(error) if error.kind() == io::ErrorKind::NotADirectory => return Ok(None),
        Err(error) => return Err(Trouble::cannot_read(entry, &error)),
    };
    let kept: Kept = serde_json::from_str(&text).map_err(|error| {
        Trouble::failed(
            format!("cannot read {}: it is damaged: {error}", entry.display()),
            "move it aside and count again; what was told and marked in it is left as it is",
        )
    })?;
    if kept.format > STUMP_FORMAT {
        return Err(Trouble::failed(
            format!(
                "cannot read {}: it was written by a newer Stumpbook (format {})",
                entry.display(),
                kept.format
            ),
            "use that newer version, or move the file aside and count again",
        ));
    }
    Ok(Some(kept))
}
