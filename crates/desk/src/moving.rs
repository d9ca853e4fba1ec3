//! Photos moved with everything that belongs to them, and moved back.

use crate::error::ApiError;
use std::fs;
use std::path::{Path, PathBuf};

/// A path's last name, for messages.
pub(crate) fn shown(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// A photo that was moved with everything that belongs to it.
#[derive(Debug, Clone)]
pub(crate) struct Moved {
    /// Each file, from where and to where.
    files: Vec<(PathBuf, PathBuf)>,
}

impl Moved {
    /// Moves a photo, its entry and its steps.
    pub(crate) fn of(
        photo: &Path,
        to: &Path,
        entry: &Path,
        entry_to: &Path,
    ) -> Result<Self, ApiError> {
        let files = vec![
            (photo.to_owned(), to.to_owned()),
            (entry.to_owned(), entry_to.to_owned()),
            (entry::steps_beside(entry), entry::steps_beside(entry_to)),
        ];
        move_all(&files)?;
        Ok(Self { files })
    }

    /// Moves everything back; the photo's name.
    pub(crate) fn back(&self) -> Result<String, ApiError> {
        let files: Vec<_> = self
            .files
            .iter()
            .map(|(from, to)| (to.clone(), from.clone()))
            .collect();
        if let Some((_, taken)) = files
            .iter()
            .find(|(_, to)| fs::symlink_metadata(to).is_ok())
        {
            return Err(ApiError::invalid(
                format!("the name {} is in use again in the folder", shown(taken)),
                "rename what is there, then undo again",
            ));
        }
        move_all(&files)?;
        let photo = files.first().map(|(_, to)| to.as_path());
        // After a rename the entry names the photo that it had been.
        if let (Some(photo), Some((_, entry))) = (photo, files.get(1))
            && let Ok(Some(mut stump)) = entry::load_stump(entry)
            && stump.reading.photo.file != shown(photo)
        {
            stump.reading.photo.file = shown(photo);
            entry::save(entry, &stump)?;
        }
        Ok(photo.map(shown).unwrap_or_default())
    }

    /// The photo's names before and after.
    pub(crate) fn names(&self) -> (String, String) {
        self.files
            .first()
            .map(|(from, to)| (shown(from), shown(to)))
            .unwrap_or_default()
    }
}

/// Moves files, those that are there; where one cannot be moved, none is.
fn move_all(files: &[(PathBuf, PathBuf)]) -> Result<(), ApiError> {
    for (nth, (from, to)) in files.iter().enumerate() {
        if fs::symlink_metadata(from).is_err() {
            continue;
        }
        if let Err(error) = fs::rename(from, to) {
            for (from, to) in files.iter().take(nth) {
                // What was moved goes back; the first error says why.
                let _ = fs::rename(to, from);
            }
            return Err(cannot_move(&shown(from), &error));
        }
    }
    Ok(())
}

pub(crate) fn cannot_move(name: &str, error: &std::io::Error) -> ApiError {
    ApiError::invalid(
        format!("cannot move {name}: {error}"),
        "check that you may write in the folder",
    )
}
