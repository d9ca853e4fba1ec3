//! Which entry (the `.stump.json` beside the photo) belongs to which photo of
//! a run.

use crate::error::CommandError;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// A photo to read, and where what is known of it is.
#[derive(Debug)]
pub(crate) struct Plan {
    /// The photo.
    pub(crate) photo: PathBuf,
    /// Its `.stump.json`.
    pub(crate) entry: PathBuf,
    /// How the names of its pictures begin.
    pub(crate) stem: String,
    /// What its entry holds; `None` where there is no entry yet.
    pub(crate) kept: Option<entry::Sidecar>,
}

/// Finds a photo's entry. `entries` are those of photos before it in the run,
/// so that two photos of one stem (`oak.jpg`, `oak.png`) never share one: the
/// second one's is named after its whole name, `oak.png.stump.json`.
pub(super) fn plan_one(
    photo: PathBuf,
    entries: &mut BTreeSet<PathBuf>,
    stems: &mut BTreeSet<String>,
) -> Result<Plan, CommandError> {
    let name = photo.file_name().unwrap_or(photo.as_os_str());
    let stem = photo.file_stem().unwrap_or(name);
    let (by_stem, by_name) = entry::beside(&photo);
    let mut kept = if entries.contains(&by_stem) {
        None
    } else {
        entry::load(&by_stem)?
    };
    let elses = kept
        .as_ref()
        .is_some_and(|kept| entry::is_of_another_photo(kept, &photo));
    let (path, start) = if elses || entries.contains(&by_stem) {
        kept = entry::load(&by_name)?;
        (by_name, name)
    } else {
        (by_stem, stem)
    };
    entries.insert(path.clone());
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
        entry: path,
        stem,
        kept,
    })
}
