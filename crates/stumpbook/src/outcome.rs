//! How a command ended, and the exit code for it.

use std::process::ExitCode;

/// How a command ended, from best to worst; of several photos the worst counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Outcome {
    /// Everything was read.
    Read,
    /// A photo could be opened, but no rings could be read on it.
    Unreadable,
    /// Something could not be opened, read or written.
    Failed,
    /// The command itself makes no sense.
    WrongUsage,
}

impl Outcome {
    /// The exit code: 0 read, 1 failed, 2 wrong usage, 3 unreadable face.
    pub(crate) fn exit_code(self) -> ExitCode {
        ExitCode::from(match self {
            Self::Read => 0,
            Self::Failed => 1,
            Self::WrongUsage => 2,
            Self::Unreadable => 3,
        })
    }
}
