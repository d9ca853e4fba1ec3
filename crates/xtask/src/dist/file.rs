//! A file of the archive and the package.

/// One file of what is handed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct File {
    /// Where it goes, with slashes.
    pub(crate) path: String,
    pub(crate) bytes: Vec<u8>,
    /// Whether it can be run.
    pub(super) program: bool,
}

impl File {
    pub(crate) fn new(path: &str, bytes: Vec<u8>) -> Self {
        Self {
            path: path.to_owned(),
            bytes,
            program: false,
        }
    }

    pub(super) fn program(path: &str, bytes: Vec<u8>) -> Self {
        Self {
            program: true,
            ..Self::new(path, bytes)
        }
    }
}
