//! Stumps in and out of a book.

use super::remembered::write_remembered;
use super::{Book, wrong};
use crate::BookError;
use rusqlite::{OptionalExtension as _, Row, Transaction, TransactionBehavior, params};
use std::path::PathBuf;
use wood::{Scope, Stump, find_species};

/// A stump that is to be added.
#[derive(Debug, Clone, PartialEq)]
pub struct NewStump {
    /// The name it should have.
    pub name: String,
    /// Its `.stump.json`, where it has one.
    pub file: Option<PathBuf>,
    /// Its photo, where it has one.
    pub photo: Option<PathBuf>,
    /// What is known of it.
    pub stump: Stump,
}

/// What came of adding a stump; each with the name it now has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Added {
    /// It is new in the book.
    New(String),
    /// The same stump was there, and has been made as this one is.
    Renewed(String),
    /// The same stump was there, just as this one is.
    Same(String),
}

/// A stump in the book. Outlines are not kept there: they are in its file.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredStump {
    /// Its name, unlike all others in the book.
    pub name: String,
    /// Its `.stump.json`, where it had one.
    pub file: Option<PathBuf>,
    /// Its photo, where it had one.
    pub photo: Option<PathBuf>,
    /// What is known of it.
    pub stump: Stump,
}

impl Book {
    /// Adds stumps, all or (when one cannot be written) none. The same photo
    /// is the same stump, whatever its name: it is renewed. Another stump of a
    /// name that is taken gets a number behind its name.
    ///
    /// # Errors
    /// When the book cannot be written.
    pub fn add(&mut self, stumps: &[NewStump]) -> Result<Vec<Added>, BookError> {
        let path = self.path.clone();
        let write = |connection: &mut rusqlite::Connection| {
            let change = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let added = stumps
                .iter()
                .map(|stump| add_one(&change, stump))
                .collect::<rusqlite::Result<Vec<_>>>()?;
            change.commit()?;
            Ok(added)
        };
        write(&mut self.connection).map_err(|error| wrong(&path, error))
    }

    /// Whether adding this stump would renew one that is in the book; not so
    /// for one that is new.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn would_change(&self, new: &NewStump) -> Result<bool, BookError> {
        let before: Option<String> = self
            .connection
            .query_row(
                "SELECT entry FROM stump WHERE key = ?1",
                [key(new)],
                |row| row.get(0),
            )
            .optional()
            .map_err(|error| wrong(&self.path, error))?;
        Ok(before.is_some_and(|before| before != entry(&new.stump)))
    }

    /// Takes a stump out of the book; its file and photo stay where they are.
    ///
    /// # Errors
    /// When no stump has that name, or the book cannot be written.
    pub fn take_out(&mut self, name: &str) -> Result<(), BookError> {
        let gone = self
            .connection
            .execute("DELETE FROM stump WHERE name = ?1", [name])
            .map_err(|error| wrong(&self.path, error))?;
        if gone == 0 {
            return Err(self.no_such(name));
        }
        Ok(())
    }

    /// All stumps, by name.
    ///
    /// # Errors
    /// When the book cannot be read.
    pub fn stumps(&self) -> Result<Vec<StoredStump>, BookError> {
        let read = || {
            let mut query = self
                .connection
                .prepare("SELECT name, file, photo, entry FROM stump ORDER BY name")?;
            let rows = query.query_map([], row)?;
            rows.collect::<rusqlite::Result<Vec<_>>>()
        };
        read()
            .map_err(|error| wrong(&self.path, error))?
            .into_iter()
            .map(|row| self.kept(row))
            .collect()
    }

    /// The stump of that name.
    ///
    /// # Errors
    /// When no stump has that name, or the book cannot be read.
    pub fn stump(&self, name: &str) -> Result<StoredStump, BookError> {
        let found = self
            .connection
            .query_row(
                "SELECT name, file, photo, entry FROM stump WHERE name = ?1",
                [name],
                row,
            )
            .optional()
            .map_err(|error| wrong(&self.path, error))?;
        found
            .ok_or_else(|| self.no_such(name))
            .and_then(|row| self.kept(row))
    }

    fn no_such(&self, name: &str) -> BookError {
        BookError::NoSuchStump {
            path: self.path.clone(),
            name: name.to_owned(),
        }
    }

    fn kept(&self, (name, file, photo, entry): StumpRow) -> Result<StoredStump, BookError> {
        let stump = serde_json::from_str(&entry).map_err(|error| BookError::Damaged {
            path: self.path.clone(),
            detail: format!("the entry of {name}: {error}"),
        })?;
        Ok(StoredStump {
            name,
            file: file.map(PathBuf::from),
            photo: photo.map(PathBuf::from),
            stump,
        })
    }
}

type StumpRow = (String, Option<String>, Option<String>, String);

fn row(row: &Row<'_>) -> rusqlite::Result<StumpRow> {
    Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?))
}

fn add_one(change: &Transaction<'_>, new: &NewStump) -> rusqlite::Result<Added> {
    let key = key(new);
    let entry = entry(&new.stump);
    let there: Option<(i64, String, String)> = change
        .query_row(
            "SELECT id, name, entry FROM stump WHERE key = ?1",
            [&key],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .optional()?;
    let added = match there {
        Some((id, name, before)) => {
            let same = before == entry;
            write_facts(change, id, new, &entry)?;
            if same {
                return Ok(Added::Same(name));
            }
            change.execute(
                "UPDATE stump SET renewed = datetime('now') WHERE id = ?1",
                [id],
            )?;
            change.execute("DELETE FROM ring WHERE stump = ?1", [id])?;
            write_rings(change, id, &new.stump)?;
            write_remembered(change, id, &new.stump)?;
            Added::Renewed(name)
        }
        None => {
            let name = free_name(change, &new.name)?;
            change.execute(
                "INSERT INTO stump (name, key, readable, entry) VALUES (?1, ?2, 0, '')",
                (&name, &key),
            )?;
            let id = change.last_insert_rowid();
            write_facts(change, id, new, &entry)?;
            write_rings(change, id, &new.stump)?;
            write_remembered(change, id, &new.stump)?;
            Added::New(name)
        }
    };
    Ok(added)
}

/// What identifies a stump: its photo's bytes; without a photo the
/// file it came from and its name there.
fn key(new: &NewStump) -> String {
    let photo = &new.stump.reading.photo;
    if photo.width_px > 0 {
        photo.sha256.clone()
    } else {
        format!("{}#{}", photo.sha256, new.name)
    }
}

/// The entry without outlines, which would make a book a hundred times larger.
fn entry(stump: &Stump) -> String {
    let mut stump = stump.clone();
    stump.reading.bark_edge_px.clear();
    for ring in &mut stump.reading.rings {
        ring.outline_px.clear();
    }
    // Maps have text keys and numbers come from JSON: this cannot fail.
    serde_json::to_string(&stump).unwrap_or_default()
}

fn free_name(change: &Transaction<'_>, wanted: &str) -> rusqlite::Result<String> {
    let mut taken = change.prepare("SELECT 1 FROM stump WHERE name = ?1")?;
    let mut name = wanted.to_owned();
    let mut number = 1;
    while taken.exists([&name])? {
        number += 1;
        name = format!("{wanted} ({number})");
    }
    Ok(name)
}

fn write_facts(
    change: &Transaction<'_>,
    id: i64,
    new: &NewStump,
    entry: &str,
) -> rusqlite::Result<()> {
    let (facts, reading) = (&new.stump.facts, &new.stump.reading);
    let species = facts
        .species
        .as_deref()
        .and_then(|name| find_species(name).ok());
    let text = |path: &Option<PathBuf>| path.as_ref().map(|p| p.to_string_lossy().into_owned());
    let (count, age) = (reading.count.as_ref(), reading.age.as_ref());
    change.execute(
        "UPDATE stump SET file = ?2, photo = ?3, species = ?4, latin = ?5, wood = ?6,
            felled = ?7, cut_height_mm = ?8, across_inside_bark_mm = ?9, readable = ?10,
            scope = ?11, count_best = ?12, count_low = ?13, count_high = ?14,
            age_best = ?15, age_low = ?16, age_high = ?17, last_year = ?18, entry = ?19
         WHERE id = ?1",
        params![
            id,
            text(&new.file),
            text(&new.photo),
            facts.species,
            species.map(|species| species.latin),
            reading.wood.as_ref().map(|wood| wood.class.name()),
            facts.felled.map(|felled| felled.to_string()),
            facts.cut_height_mm.map(|mm| mm.0),
            facts.across_inside_bark_mm.map(|mm| mm.0),
            reading.readable,
            reading.scope.map(scope_name),
            count.map(|count| count.best),
            count.map(|count| count.low),
            count.map(|count| count.high),
            age.map(|age| age.best),
            age.map(|age| age.low),
            age.map(|age| age.high),
            reading.rings.last().and_then(|ring| ring.year).map(|y| y.0),
            entry,
        ],
    )?;
    Ok(())
}

fn write_rings(change: &Transaction<'_>, id: i64, stump: &Stump) -> rusqlite::Result<()> {
    let mut insert = change.prepare(
        "INSERT INTO ring (stump, number, year, width_mm, radius_mm, width_px, confidence)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for ring in &stump.reading.rings {
        insert.execute(params![
            id,
            ring.number,
            ring.year.map(|year| year.0),
            ring.width_mm.map(|mm| mm.0),
            ring.radius_mm.map(|mm| mm.0),
            ring.width_px.0,
            ring.confidence,
        ])?;
    }
    Ok(())
}

fn scope_name(scope: Scope) -> &'static str {
    match scope {
        Scope::WholeFace => "whole-face",
        Scope::RingsInView => "rings-in-view",
        Scope::OutsideHeart => "outside-heart",
    }
}
