//! The book kept level with its stumps' files, which the desk writes to.

use crate::say;
use crate::stump_file::{self, Found};
use std::path::Path;
use woodlot::{Book, BookError, NewStump, StoredStump};

/// The stumps of a book, those first renewed whose `.stump.json` was changed
/// since, as by a mark made at the desk.
///
/// A file that is gone, or cannot be understood, leaves its stump as the book
/// has it; the second is reported. So is a book that cannot be written to.
///
/// # Errors
/// When the book cannot be read.
pub(crate) fn stumps(book: &mut Book) -> Result<Vec<StoredStump>, BookError> {
    let kept = book.stumps()?;
    let mut changed = Vec::new();
    for file in kept.iter().filter_map(|kept| kept.file.as_deref()) {
        for new in in_file(file) {
            if book.would_change(&new)? {
                changed.push(new);
            }
        }
    }
    if changed.is_empty() {
        return Ok(kept);
    }
    match book.add(&changed) {
        Ok(_) => {
            let names: Vec<&str> = changed.iter().map(|new| new.name.as_str()).collect();
            say::note(&format!(
                "changed since, and updated in the book: {}",
                names.join(", ")
            ));
            book.stumps()
        }
        Err(error) => {
            say::note(&format!(
                "{} stumps were changed since and are shown as the book has them: {error}",
                changed.len()
            ));
            Ok(kept)
        }
    }
}

fn in_file(file: &Path) -> Vec<NewStump> {
    if !file.is_file() {
        return Vec::new();
    }
    match stump_file::load(file) {
        Ok(found) => found.into_iter().map(new_stump).collect(),
        Err(error) => {
            say::note(&format!("shown as the book has it: {error}"));
            Vec::new()
        }
    }
}

/// A stump for the book, without the outlines of its rings: a book does not keep them,
/// for those of thousands of stumps would fill the memory.
pub(super) fn new_stump(mut found: Found) -> NewStump {
    let reading = &mut found.entry.stump.reading;
    reading.bark_edge_px = Vec::new();
    for ring in &mut reading.rings {
        ring.outline_px = Vec::new();
    }
    let photo = &found.entry.stump.reading.photo;
    // Whole paths, so that the stump can be opened from anywhere.
    let file = found
        .file
        .as_deref()
        .map(|file| std::path::absolute(file).unwrap_or_else(|_| file.to_owned()));
    let photo = file
        .as_deref()
        .filter(|_| photo.width_px > 0)
        .map(|file| file.with_file_name(&photo.file));
    NewStump {
        name: found.entry.name,
        file,
        photo,
        stump: found.entry.stump,
    }
}
