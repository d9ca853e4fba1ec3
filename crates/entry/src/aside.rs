//! Moving an entry aside, where another photo has taken its photo's name.

use crate::writing::ENDING;
use crate::{EntryError, steps_beside};
use std::fs;
use std::path::{Path, PathBuf};

/// Moves an entry and its saved steps to a free name beside it
/// (`oak.stump.json` to `oak-earlier.stump.json`), so that the photo can have
/// an entry of its own and nothing is lost; the new path.
///
/// # Errors
/// When the folder cannot be written to.
pub fn set_aside(entry: &Path) -> Result<PathBuf, EntryError> {
    let name = entry.file_name().unwrap_or_default().to_string_lossy();
    let stem = name.strip_suffix(ENDING).unwrap_or(&name);
    let free = (1_u32..)
        .map(|number| match number {
            1 => format!("{stem}-earlier{ENDING}"),
            number => format!("{stem}-earlier-{number}{ENDING}"),
        })
        .map(|name| entry.with_file_name(name))
        .find(|path| {
            fs::symlink_metadata(path).is_err() && fs::symlink_metadata(steps_beside(path)).is_err()
        })
        .unwrap_or_else(|| entry.to_owned());
    let rename = |from: &Path, to: &Path| {
        fs::rename(from, to).map_err(|source| EntryError::CannotWrite {
            path: to.to_owned(),
            source,
        })
    };
    rename(entry, &free)?;
    let steps = steps_beside(entry);
    if steps.exists() {
        rename(&steps, &steps_beside(&free))?;
    }
    Ok(free)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_and_its_steps_are_moved_and_nothing_is_overwritten() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        for round in ["first", "second"] {
            fs::write(&entry, round).unwrap();
            fs::write(steps_beside(&entry), format!("{round} steps")).unwrap();
            let moved = set_aside(&entry).unwrap();
            assert!(!entry.exists());
            assert!(!steps_beside(&entry).exists());
            assert_eq!(fs::read_to_string(&moved).unwrap(), round);
            let steps = fs::read_to_string(steps_beside(&moved)).unwrap();
            assert_eq!(steps, format!("{round} steps"));
        }
        let first = folder.path().join("oak-earlier.stump.json");
        assert_eq!(fs::read_to_string(first).unwrap(), "first");
    }
}
