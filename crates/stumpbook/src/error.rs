//! What went wrong, said once, with what to do about it.

use crate::outcome::Outcome;
use entry::plain;
use std::fmt;
use std::io;
use std::path::Path;

/// One thing that went wrong and what to do about it.
#[derive(Debug)]
pub(crate) struct CommandError {
    kind: Outcome,
    message: String,
    advice: String,
}

impl CommandError {
    /// A command that makes no sense: exit code 2.
    pub(crate) fn usage(message: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            kind: Outcome::WrongUsage,
            message: message.into(),
            advice: advice.into(),
        }
    }

    /// Something that could not be done: exit code 1.
    pub(crate) fn failed(message: impl Into<String>, advice: impl Into<String>) -> Self {
        Self {
            kind: Outcome::Failed,
            message: message.into(),
            advice: advice.into(),
        }
    }

    /// A file that could not be read.
    pub(crate) fn cannot_read(path: &Path, error: &io::Error) -> Self {
        let advice = match error.kind() {
            io::ErrorKind::NotFound => "check the name and the folder it is in",
            io::ErrorKind::PermissionDenied => {
                "copy the file to a folder of your own, or ask for the right to read it"
            }
            _ => "copy the file from the phone or card again",
        };
        Self::failed(
            format!("cannot read {}: {}", path.display(), plain(error)),
            advice,
        )
    }

    /// A file that could not be written.
    pub(crate) fn cannot_write(path: &Path, error: &io::Error) -> Self {
        let advice = match error.kind() {
            io::ErrorKind::StorageFull => "make room on the disk, then run the same command again",
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                "choose a folder that you may write in"
            }
            _ => "check that the folder exists and that you may write in it",
        };
        Self::failed(
            format!("cannot write {}: {}", path.display(), plain(error)),
            advice,
        )
    }

    /// Which exit code it leads to.
    pub(crate) fn kind(&self) -> Outcome {
        self.kind
    }

    /// What to do about it.
    pub(crate) fn advice(&self) -> &str {
        &self.advice
    }
}

impl From<entry::EntryError> for CommandError {
    fn from(error: entry::EntryError) -> Self {
        Self::failed(error.to_string(), error.advice())
    }
}

impl fmt::Display for CommandError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.message)
    }
}

impl std::error::Error for CommandError {}

/// The outcome that an error leads to; anything but a [`CommandError`] is a failure.
pub(crate) fn outcome_of(error: &anyhow::Error) -> Outcome {
    error
        .downcast_ref::<CommandError>()
        .map_or(Outcome::Failed, CommandError::kind)
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
