//! What people remember of the woodlot: a dry year, a thinning, a storm.

use super::{Book, wrong};
use crate::BookError;
use wood::Year;

/// One thing that is remembered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remembered {
    /// The year it happened in.
    pub year: Year,
    /// What it was, in the person's words.
    pub what: String,
}

impl Book {
    /// Keeps something that is remembered; the same thing twice is kept once.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn remember(&mut self, what: &Remembered) -> Result<(), BookError> {
        self.connection
            .execute(
                "INSERT OR IGNORE INTO remembered (year, what) VALUES (?1, ?2)",
                (what.year.0, &what.what),
            )
            .map(drop)
            .map_err(|error| wrong(&self.path, error))
    }

    /// Forgets what is remembered of a year; how many things that were.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn forget(&mut self, year: Year) -> Result<usize, BookError> {
        self.connection
            .execute("DELETE FROM remembered WHERE year = ?1", [year.0])
            .map_err(|error| wrong(&self.path, error))
    }

    /// All that is remembered, oldest first.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn remembered(&self) -> Result<Vec<Remembered>, BookError> {
        let read = || {
            let mut query = self
                .connection
                .prepare("SELECT year, what FROM remembered ORDER BY year, id")?;
            let rows = query.query_map([], |row| {
                Ok(Remembered {
                    year: Year(row.get(0)?),
                    what: row.get(1)?,
                })
            })?;
            rows.collect::<rusqlite::Result<Vec<_>>>()
        };
        read().map_err(|error| wrong(&self.path, error))
    }
}
