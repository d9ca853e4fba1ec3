//! Not reading again what was read: a reading follows from the photo's bytes,
//! the facts and the marks alone, so their fingerprint tells whether it would
//! come out the same.

use crate::error::CommandError;
use crate::writing;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::path::Path;
use wood::{Facts, Marks, Reading, Stump};

/// What a reading is made from, as 64 hex digits: this program's version, the
/// photo's bytes, facts and marks.
pub(crate) fn fingerprint(photo: &[u8], facts: &Facts, marks: &Marks) -> String {
    let mut digest = Sha256::new();
    let known = serde_json::to_vec(&(env!("CARGO_PKG_VERSION"), facts, marks));
    digest.update(Sha256::digest(photo));
    // Facts and marks always are JSON; were they not, every photo is read again.
    digest.update(known.unwrap_or_default());
    wood::hex(&digest.finalize())
}

/// SHA-256 of a photo's bytes, as a reading has it.
pub(crate) fn photo_hash(photo: &[u8]) -> String {
    wood::hex(&Sha256::digest(photo))
}

#[derive(Serialize)]
struct Saved<'a> {
    #[serde(flatten)]
    stump: &'a Stump,
    made_from: &'a str,
}

#[derive(Deserialize)]
struct MadeFrom {
    made_from: Option<String>,
}

/// The reading in an entry, when it was made from just this.
pub(crate) fn kept(entry: &Path, fingerprint: &str) -> Option<Reading> {
    let text = std::fs::read_to_string(entry).ok()?;
    let made: MadeFrom = serde_json::from_str(&text).ok()?;
    if made.made_from.as_deref() != Some(fingerprint) {
        return None;
    }
    let stump: Stump = serde_json::from_str(&text).ok()?;
    Some(stump.reading)
}

/// Writes the entry with what its reading was made from; an earlier one is
/// whole until the new one is.
///
/// # Errors
/// When the folder cannot be written to.
pub(crate) fn save(entry: &Path, stump: &Stump, made_from: &str) -> Result<(), CommandError> {
    let mut bytes = serde_json::to_vec(&Saved { stump, made_from }).map_err(|error| {
        CommandError::failed(
            format!("cannot write {}: {error}", entry.display()),
            "report this with the photo: it is a mistake in the program",
        )
    })?;
    bytes.push(b'\n');
    writing::replace(entry, &bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::Point;

    #[test]
    fn every_part_of_what_a_reading_is_made_from_counts() {
        let facts = Facts::default();
        let marks = Marks::default();
        let plain = fingerprint(b"photo", &facts, &marks);
        assert_eq!(plain.len(), 64);
        assert_eq!(plain, fingerprint(b"photo", &facts, &marks));
        let ash = Facts {
            species: Some("ash".into()),
            ..Facts::default()
        };
        let pith = Marks {
            pith: Some(Point::new(1.0, 2.0)),
            ..Marks::default()
        };
        for other in [
            fingerprint(b"photos", &facts, &marks),
            fingerprint(b"photo", &ash, &marks),
            fingerprint(b"photo", &facts, &pith),
        ] {
            assert_ne!(plain, other);
        }
    }
}
