//! Finding stumps: `.stump.json` files, folders of them, or a book.

use crate::error::CommandError;
use crate::stump_file::{Found, load, name_of};
use crate::woodlot::sync;
use exchange::Entry;
use std::fs;
use std::path::{Path, PathBuf};
use woodlot::Book;

/// How the name of an entry ends.
const ENDING: &str = ".stump.json";

/// How an SQLite file begins.
const BOOK_START: &[u8] = b"SQLite format 3\0";

/// Gives the stumps meant one by one, in the order given and in folders by
/// name; what cannot be read is an error in its place.
pub(crate) fn each(asked: &[PathBuf], take: &mut dyn FnMut(Result<Found, CommandError>)) {
    for path in asked {
        match fs::metadata(path) {
            Err(error) => take(Err(CommandError::cannot_read(path, &error))),
            Ok(what) if what.is_dir() => in_folder(path, take),
            Ok(_) if is_book(path) => all(in_book(path), take),
            Ok(_) => all(entry_of(path).and_then(|entry| load(&entry)), take),
        }
    }
}

fn all(found: Result<Vec<Found>, CommandError>, take: &mut dyn FnMut(Result<Found, CommandError>)) {
    match found {
        Ok(found) => found.into_iter().for_each(|one| take(Ok(one))),
        Err(error) => take(Err(error)),
    }
}

fn is_book(path: &Path) -> bool {
    use std::io::Read as _;
    let mut start = Vec::new();
    fs::File::open(path)
        .and_then(|file| file.take(BOOK_START.len() as u64).read_to_end(&mut start))
        .is_ok()
        && start == BOOK_START
}

fn in_book(path: &Path) -> Result<Vec<Found>, CommandError> {
    let stumps = Book::open(path).and_then(|mut book| sync::stumps(&mut book))?;
    Ok(stumps
        .into_iter()
        .map(|kept| Found {
            file: None,
            entry: Entry {
                name: kept.name,
                stump: kept.stump,
            },
        })
        .collect())
}

fn in_folder(folder: &Path, take: &mut dyn FnMut(Result<Found, CommandError>)) {
    match entries_in(folder) {
        Ok(files) => files.iter().for_each(|file| all(load(file), take)),
        Err(error) => take(Err(error)),
    }
}

/// The `.stump.json` files of a folder, by name.
///
/// # Errors
/// When the folder cannot be read, or there is none in it.
pub(crate) fn entries_in(folder: &Path) -> Result<Vec<PathBuf>, CommandError> {
    let entries =
        fs::read_dir(folder).map_err(|error| CommandError::cannot_read(folder, &error))?;
    let mut files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|path| path.to_string_lossy().ends_with(ENDING) && path.is_file())
        .collect();
    files.sort();
    if files.is_empty() {
        return Err(CommandError::failed(
            format!(
                "no stump in {}: looked for files ending in {ENDING}",
                folder.display()
            ),
            "count the photos there first: stumpbook count FOLDER (folders inside are not searched)",
        ));
    }
    Ok(files)
}

/// The `.stump.json` that a path means: for a photo the one beside it.
///
/// # Errors
/// When the photo was not counted yet.
pub(crate) fn entry_of(path: &Path) -> Result<PathBuf, CommandError> {
    if !entry::is_photo(path) {
        return Ok(path.to_owned());
    }
    let place = entry::find(path)?;
    if place.kept.is_none() {
        return Err(CommandError::failed(
            format!(
                "{} was not counted yet: there is no {} beside it",
                path.display(),
                name_of(&place.entry)
            ),
            format!("stumpbook count \"{}\"", path.display()),
        ));
    }
    Ok(place.entry)
}

impl From<woodlot::BookError> for CommandError {
    fn from(error: woodlot::BookError) -> Self {
        let advice = error.advice();
        Self::failed(error.to_string(), advice)
    }
}
