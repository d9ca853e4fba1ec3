//! The book: one SQLite file for a woodlot.
//!
//! StoredStump in SQLite's plain rollback mode and not with a write-ahead log, so that
//! a book is one file whenever nobody writes to it, and a copy of that file is
//! a copy of the book. Each change is one transaction, synced to disk: a kill
//! or a power cut at any moment leaves the state before or after it. A second
//! program that writes waits for the first.

mod open;
mod remembered;
mod schema;
mod stumps;

pub use remembered::Memory;
pub use schema::BOOK_FORMAT;
pub use stumps::{Added, NewStump, StoredStump};

use crate::BookError;
use rusqlite::{Connection, ErrorCode};
use std::path::{Path, PathBuf};

/// The book of one woodlot.
#[derive(Debug)]
pub struct Book {
    connection: Connection,
    path: PathBuf,
}

impl Book {
    /// The book's file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The woodlot's name.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn name(&self) -> Result<String, BookError> {
        self.connection
            .query_row("SELECT name FROM woodlot", [], |row| row.get(0))
            .map_err(|error| wrong(&self.path, error))
    }
}

/// Our error for one of SQLite's.
fn wrong(path: &Path, error: rusqlite::Error) -> BookError {
    let path = path.to_owned();
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => BookError::Busy(path),
        Some(ErrorCode::DatabaseCorrupt) => BookError::Damaged {
            path,
            detail: error.to_string(),
        },
        Some(ErrorCode::NotADatabase) => BookError::NotABook(path),
        _ => BookError::Sqlite {
            path,
            source: error,
        },
    }
}

#[cfg(test)]
mod tests;
