//! What can go wrong with a book.

use std::path::PathBuf;

/// A book that cannot be used as asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BookError {
    /// No book is there.
    #[error("there is no book at {0}")]
    NotThere(PathBuf),
    /// Something is there already.
    #[error("{0} is there already")]
    Exists(PathBuf),
    /// The file is not a book of ours.
    #[error("{0} is not the book of a woodlot")]
    NotABook(PathBuf),
    /// The file is a book, but broken or only half copied.
    #[error("{path} is damaged: {detail}")]
    Damaged {
        /// The book.
        path: PathBuf,
        /// What was found.
        detail: String,
    },
    /// The book was made by a newer Stumpbook.
    #[error("{path} was made by a newer Stumpbook (book format {found}, this one knows {known})")]
    Newer {
        /// The book.
        path: PathBuf,
        /// The number in the book.
        found: i64,
        /// The highest number known here.
        known: i64,
    },
    /// Another program kept the book to itself for too long.
    #[error("{0} is in use by another program")]
    Busy(PathBuf),
    /// No stump has that name.
    #[error("no stump is named \"{name}\" in {path}")]
    NoSuchStump {
        /// The book.
        path: PathBuf,
        /// The name asked for.
        name: String,
    },
    /// The copy before a migration could not be made.
    #[error("cannot copy {path} before bringing it up to date: {source}")]
    NoCopy {
        /// The book.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The file cannot be read or written.
    #[error("{path}: {source}")]
    Sqlite {
        /// The book.
        path: PathBuf,
        /// Why.
        source: rusqlite::Error,
    },
}

impl BookError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::NotThere(path) => {
                format!("make one: stumpbook woodlot new {}", path.display())
            }
            Self::Exists(_) => "choose another name, or add stumps to the book that is there: stumpbook woodlot add".to_owned(),
            Self::NotABook(_) => "name the file that stumpbook woodlot new made".to_owned(),
            Self::Damaged { .. } => "copy the book again from where it came; or make a new one and add the folders of photos again: their .stump.json files hold everything but the remembered events".to_owned(),
            Self::Newer { .. } => "use that newer version of Stumpbook".to_owned(),
            Self::Busy(_) => "wait until the other program is done, and run the same command again".to_owned(),
            Self::NoSuchStump { .. } => "stumpbook woodlot list names those that are there".to_owned(),
            Self::NoCopy { .. } => "make room beside the book, or copy it to a folder of your own".to_owned(),
            Self::Sqlite { .. } => "check that the folder is there, has room, and that you may write in it".to_owned(),
        }
    }
}
