//! What people remember of the woodlot: a dry year, a thinning, a storm.

use super::{Book, wrong};
use crate::BookError;
use rusqlite::{Transaction, params};
use std::collections::BTreeMap;
use wood::{Remembered, Stump, Year};

/// One thing that is remembered, and which stumps it was noted for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Memory {
    /// The year it happened in.
    pub year: Year,
    /// What it was, in the person's words.
    pub what: String,
    /// Whether it was noted for the woodlot as a whole.
    pub of_woodlot: bool,
    /// The stumps that it was noted for, by name.
    pub stumps: Vec<String>,
}

impl Book {
    /// Keeps something that is remembered of the woodlot as a whole; the same
    /// thing twice is kept once.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn remember(&mut self, event: &Remembered) -> Result<(), BookError> {
        self.connection
            .execute(
                "INSERT OR IGNORE INTO remembered (year, what) VALUES (?1, ?2)",
                (event.year.0, &event.what),
            )
            .map(drop)
            .map_err(|error| wrong(&self.path, error))
    }

    /// Forgets what is remembered of the woodlot in a year; how many things
    /// that were. What was noted for a stump stays: it is in that stump's entry.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn forget(&mut self, year: Year) -> Result<usize, BookError> {
        self.connection
            .execute("DELETE FROM remembered WHERE year = ?1", [year.0])
            .map_err(|error| wrong(&self.path, error))
    }

    /// All that is remembered, oldest first: of the woodlot, and of its stumps
    /// as their entries have it. The same words of the same year are one thing,
    /// wherever they were noted.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn memories(&self) -> Result<Vec<Memory>, BookError> {
        let read = || {
            let mut query = self.connection.prepare(
                "SELECT year, what, NULL FROM remembered
                 UNION ALL
                 SELECT event.year, event.what, stump.name
                 FROM stump_remembered AS event JOIN stump ON stump.id = event.stump",
            )?;
            let rows =
                query.query_map([], |row| Ok((Year(row.get(0)?), row.get(1)?, row.get(2)?)))?;
            rows.collect::<rusqlite::Result<Vec<(Year, String, Option<String>)>>>()
        };
        let events = read().map_err(|error| wrong(&self.path, error))?;
        let mut by_words: BTreeMap<(i32, String), Memory> = BTreeMap::new();
        for (year, what, stump) in events {
            let what = what.trim().to_owned();
            let memory = by_words
                .entry((year.0, what.clone()))
                .or_insert_with(|| Memory {
                    year,
                    what,
                    of_woodlot: false,
                    stumps: Vec::new(),
                });
            match stump {
                None => memory.of_woodlot = true,
                Some(name) if memory.stumps.contains(&name) => {}
                Some(name) => memory.stumps.push(name),
            }
        }
        let mut memories: Vec<Memory> = by_words.into_values().collect();
        for memory in &mut memories {
            memory.stumps.sort();
        }
        Ok(memories)
    }
}

/// What is remembered of one stump, in place of what was before.
pub(super) fn write_remembered(
    change: &Transaction<'_>,
    id: i64,
    stump: &Stump,
) -> rusqlite::Result<()> {
    change.execute("DELETE FROM stump_remembered WHERE stump = ?1", [id])?;
    let mut insert = change.prepare(
        "INSERT INTO stump_remembered (stump, number, year, what) VALUES (?1, ?2, ?3, ?4)",
    )?;
    for (number, event) in (1..).zip(&stump.facts.remembered) {
        let number: i64 = number;
        insert.execute(params![id, number, event.year.0, event.what])?;
    }
    Ok(())
}
