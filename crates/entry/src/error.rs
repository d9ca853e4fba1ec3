//! What can go wrong with an entry, and what to do about it.

use std::io;
use std::path::PathBuf;

/// What went wrong with an entry.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum EntryError {
    /// The file is there but cannot be read.
    #[error("cannot read {}: {}", path.display(), plain(source))]
    CannotRead {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file cannot be written; an earlier one is as it was.
    #[error("cannot write {}: {}", path.display(), plain(source))]
    CannotWrite {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The file is no entry, or half of one.
    #[error("cannot read {}: it is damaged: {source}", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What does not fit.
        source: serde_json::Error,
    },
    /// A later version of the program wrote it.
    #[error("cannot read {}: it was written by a newer Stumpbook (format {format})", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// The number of its format.
        format: u32,
    },
    /// A stump that cannot be put into JSON.
    #[error("cannot write {}: {source}", path.display())]
    NoJson {
        /// The file.
        path: PathBuf,
        /// What does not fit.
        source: serde_json::Error,
    },
}

impl EntryError {
    /// What to do, as shown after `try:`.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::CannotRead { source, .. } => match source.kind() {
                io::ErrorKind::NotFound => "check the name and the folder it is in",
                io::ErrorKind::PermissionDenied => {
                    "copy the file to a folder of your own, or ask for the right to read it"
                }
                _ => "copy the file from the phone or card again",
            },
            Self::CannotWrite { source, .. } => match source.kind() {
                io::ErrorKind::StorageFull => {
                    "make room on the disk, then run the same command again"
                }
                io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                    "choose a folder that you may write in"
                }
                _ => "check that the folder exists and that you may write in it",
            },
            Self::Damaged { .. } => {
                "move it aside and count again; the facts and marks in it stay in that file"
            }
            Self::Newer { .. } => "use that newer version, or move the file aside and count again",
            Self::NoJson { .. } => "report this with the photo: it is a mistake in the program",
        }
    }
}

/// The system's message in lower case and without its error number.
#[must_use]
pub fn plain(error: &io::Error) -> String {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or_default();
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_systems_words_lose_their_number_and_capital() {
        let error = io::Error::from_raw_os_error(2);
        assert_eq!(plain(&error), "no such file or directory");
    }
}
