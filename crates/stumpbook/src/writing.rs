//! Writing files so that a reader never sees half of one.

use crate::error::CommandError;
use std::fs;
use std::path::Path;

/// Writes a whole file: beside the target first, synced to disk, then renamed
/// over it. On any failure the earlier file is untouched and nothing is left.
///
/// # Errors
/// When the folder cannot be written to or has no room.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> Result<(), CommandError> {
    entry::replace(path, bytes).map_err(CommandError::from)
}

/// Makes a folder and those above it.
///
/// # Errors
/// When it is a file, or may not be made.
pub(crate) fn folder(path: &Path) -> Result<(), CommandError> {
    fs::create_dir_all(path).map_err(|error| CommandError::cannot_write(path, &error))
}
