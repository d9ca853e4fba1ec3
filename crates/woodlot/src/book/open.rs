//! Making and opening a book.

use super::schema::{APPLICATION, BOOK_FORMAT, STEPS};
use super::{Book, wrong};
use crate::BookError;
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How long a program waits for another that writes.
const PATIENCE: Duration = Duration::from_secs(20);

impl Book {
    /// A new book at `path` for the woodlot of that name.
    ///
    /// # Errors
    /// When something is there already, or nothing may be written there.
    pub fn create(path: &Path, name: &str) -> Result<Self, BookError> {
        if path.exists() {
            return Err(BookError::Exists(path.to_owned()));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let mut connection = connect(path, flags)?;
        let made = |error| wrong(path, error);
        let change = connection
            .transaction_with_behavior(TransactionBehavior::Exclusive)
            .map_err(made)?;
        // Another program may have made one between the look and here.
        let version: i64 = change
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .map_err(made)?;
        if version != 0 {
            return Err(BookError::Exists(path.to_owned()));
        }
        for step in STEPS {
            change.execute_batch(step).map_err(made)?;
        }
        change
            .execute("INSERT INTO woodlot (only, name) VALUES (1, ?1)", [name])
            .map_err(made)?;
        change
            .pragma_update(None, "application_id", APPLICATION)
            .map_err(made)?;
        change
            .pragma_update(None, "user_version", BOOK_FORMAT)
            .map_err(made)?;
        change.commit().map_err(made)?;
        Ok(Self {
            connection,
            path: path.to_owned(),
        })
    }

    /// The book at `path`, brought up to date if an earlier Stumpbook made it:
    /// a copy of it as it was is then left beside it.
    ///
    /// # Errors
    /// When there is none, the file is something else, damaged, or newer than
    /// this build; a newer or damaged book is left as it is.
    pub fn open(path: &Path) -> Result<Self, BookError> {
        if !path.is_file() {
            return Err(BookError::NotThere(path.to_owned()));
        }
        let connection = connect(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        let mut book = Self {
            connection,
            path: path.to_owned(),
        };
        let application = book.pragma("application_id")?;
        let found = book.pragma("user_version")?;
        if application != APPLICATION || found < 1 {
            return Err(BookError::NotABook(path.to_owned()));
        }
        if found > BOOK_FORMAT {
            return Err(BookError::Newer {
                path: path.to_owned(),
                found,
                known: BOOK_FORMAT,
            });
        }
        book.look_whole()?;
        if found < BOOK_FORMAT {
            book.bring_up_to_date(found)?;
        }
        Ok(book)
    }

    fn pragma(&self, name: &str) -> Result<i64, BookError> {
        self.connection
            .pragma_query_value(None, name, |row| row.get(0))
            .map_err(|error| wrong(&self.path, error))
    }

    /// SQLite's own look for pages that do not fit together, as a half-copied
    /// file has them.
    fn look_whole(&self) -> Result<(), BookError> {
        let detail: String = self
            .connection
            .query_row("PRAGMA quick_check(1)", [], |row| row.get(0))
            .map_err(|error| wrong(&self.path, error))?;
        if detail == "ok" {
            return Ok(());
        }
        Err(BookError::Damaged {
            path: self.path.clone(),
            detail: detail.replace('\n', " "),
        })
    }

    fn bring_up_to_date(&mut self, from: i64) -> Result<(), BookError> {
        let path = self.path.clone();
        let made = |error| wrong(&path, error);
        let change = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Exclusive)
            .map_err(made)?;
        // Another program may have done it while this one waited.
        let now: i64 = change
            .pragma_query_value(None, "user_version", |row| row.get(0))
            .map_err(made)?;
        if now == from {
            // Nobody writes while this one holds the book, so the file is whole.
            let copy = beside(&path, &format!("format-{from}"));
            std::fs::copy(&path, &copy).map_err(|source| BookError::NoCopy {
                path: path.clone(),
                source,
            })?;
            for step in STEPS.iter().skip(usize::try_from(from).unwrap_or(0)) {
                change.execute_batch(step).map_err(made)?;
            }
            change
                .pragma_update(None, "user_version", BOOK_FORMAT)
                .map_err(made)?;
        }
        change.commit().map_err(made)
    }
}

fn connect(path: &Path, flags: OpenFlags) -> Result<Connection, BookError> {
    let made = |error| wrong(path, error);
    let connection =
        Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX).map_err(made)?;
    connection.busy_timeout(PATIENCE).map_err(made)?;
    connection
        .pragma_update(None, "foreign_keys", true)
        .map_err(made)?;
    connection
        .pragma_update(None, "synchronous", "FULL")
        .map_err(made)?;
    Ok(connection)
}

/// `oak.book` and `format-1` give `oak.format-1.book`, beside it.
fn beside(path: &Path, word: &str) -> PathBuf {
    let part = |part: Option<&std::ffi::OsStr>| {
        part.map(|part| part.to_string_lossy().into_owned())
            .unwrap_or_default()
    };
    let ending = part(path.extension());
    let dot = if ending.is_empty() { "" } else { "." };
    path.with_file_name(format!("{}.{word}{dot}{ending}", part(path.file_stem())))
}
