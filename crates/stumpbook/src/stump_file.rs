//! One `.stump.json`, with what is in it.

use crate::error::CommandError;
use exchange::{Entry, Format};
use std::fs;
use std::path::{Path, PathBuf};

/// A stump's file, with what is in it.
#[derive(Debug)]
pub(crate) struct Found {
    /// The `.stump.json`; `None` for a stump from a book.
    pub(crate) file: Option<PathBuf>,
    /// Its name and what is known of it.
    pub(crate) entry: Entry,
}

/// The stump in a `.stump.json`.
///
/// # Errors
/// When it cannot be read or understood.
pub(crate) fn load(path: &Path) -> Result<Vec<Found>, CommandError> {
    let bytes = fs::read(path).map_err(|error| CommandError::cannot_read(path, &error))?;
    let read = exchange::read(&name_of(path), &bytes, Format::Json)
        .map_err(|error| wrong(path, &error))?;
    if let Some(notice) = read.notices.first() {
        return Err(CommandError::failed(
            format!("cannot read {}: {notice}", path.display()),
            "it was edited by hand: correct that ring, or count the photo again",
        ));
    }
    Ok(read
        .entries
        .into_iter()
        .map(|entry| Found {
            file: Some(path.to_owned()),
            entry,
        })
        .collect())
}

/// A file that could not be taken in, with its name.
pub(crate) fn wrong(path: &Path, error: &exchange::ExchangeError) -> CommandError {
    CommandError::failed(
        format!("cannot read {}: {error}", path.display()),
        error.advice(),
    )
}

/// A file's name without folders.
pub(crate) fn name_of(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
