//! Making a book, and what goes in and out of it.

use super::sync::new_stump;
use crate::error::CommandError;
use crate::given;
use crate::outcome::Outcome;
use crate::say;
use crate::stumps;
use std::path::{Path, PathBuf};
use wood::{Remembered, Year};
use woodlot::{Added, Book, NewStump};

/// Makes a new book.
pub(super) fn new(path: &Path, name: Option<String>) -> anyhow::Result<Outcome> {
    let name = name.unwrap_or_else(|| {
        path.file_stem()
            .unwrap_or(path.as_os_str())
            .to_string_lossy()
            .into_owned()
    });
    Book::create(path, &name).map_err(CommandError::from)?;
    say::data(&format!("{}: the book of {name}", path.display()))?;
    Ok(Outcome::Read)
}

/// Adds stumps; one that cannot be read does not stop the others.
pub(super) fn add(path: &Path, from: &[PathBuf]) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let mut new = Vec::new();
    let mut failures = Vec::new();
    stumps::each(from, &mut |found| match found {
        Ok(found) => new.push(new_stump(found)),
        Err(error) => failures.push(error),
    });
    if new.is_empty()
        && let Some(first) = failures.pop()
    {
        return Err(first.into());
    }
    let added = book.add(&new).map_err(CommandError::from)?;
    for (added, new) in added.iter().zip(&new) {
        say::data(&line(added, new))?;
    }
    say::failures(&failures);
    Ok(if failures.is_empty() {
        Outcome::Read
    } else {
        Outcome::Failed
    })
}

fn line(added: &Added, new: &NewStump) -> String {
    let (name, word) = match added {
        Added::New(name) => (name, "added"),
        Added::Renewed(name) => (name, "updated"),
        Added::Same(name) => (name, "in the book already"),
    };
    let reading = &new.stump.reading;
    let mut lacks = Vec::new();
    if reading.rings.is_empty() {
        lacks.push("no rings were read on it");
    } else {
        if reading.rings.iter().any(|ring| ring.year.is_none()) {
            lacks.push("no felling date, so it cannot be compared");
        }
        if reading.rings.iter().any(|ring| ring.width_mm.is_none()) {
            lacks.push("no scale, so it cannot be used for standing trees");
        }
    }
    let other = if *name == new.name {
        String::new()
    } else {
        format!(" (from {})", new.name)
    };
    let lacks = if lacks.is_empty() {
        String::new()
    } else {
        format!("; {}", lacks.join("; "))
    };
    format!("{name}{other}: {word}{lacks}")
}

/// Takes stumps out; a name that is not there is reported and the others go.
pub(super) fn remove(path: &Path, names: &[String]) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let mut failures = Vec::new();
    for name in names {
        match book.take_out(name) {
            Ok(()) => say::data(&format!("{name}: taken out; its file stays where it is"))?,
            Err(error) => failures.push(CommandError::from(error)),
        }
    }
    if names.len() == 1
        && let Some(error) = failures.pop()
    {
        return Err(error.into());
    }
    say::failures(&failures);
    Ok(if failures.is_empty() {
        Outcome::Read
    } else {
        Outcome::Failed
    })
}

/// Notes what is remembered of a year, or forgets it.
pub(super) fn remember(path: &Path, year: i32, what: Option<String>) -> anyhow::Result<Outcome> {
    let year = Year(year).remembered_by(given::today()).map_err(|error| {
        CommandError::usage(
            error.to_string(),
            "stumpbook woodlot remember BOOK 1991 \"thinned by the brook\"",
        )
    })?;
    let mut book = Book::open(path).map_err(CommandError::from)?;
    match what {
        Some(what) if !what.trim().is_empty() => {
            let what = what.trim().to_owned();
            say::data(&format!("{year}: {what}"))?;
            book.remember(&Remembered { year, what })
                .map_err(CommandError::from)?;
        }
        _ => {
            let gone = book.forget(year).map_err(CommandError::from)?;
            say::data(&format!("{year}: {gone} forgotten"))?;
            let memories = book.memories().map_err(CommandError::from)?;
            for one in memories.iter().filter(|one| one.year == year) {
                say::note(&format!(
                    "still remembered: {}, noted for {}; a note of a stump is removed at the desk",
                    one.what,
                    one.stumps.join(", ")
                ));
            }
        }
    }
    Ok(Outcome::Read)
}
