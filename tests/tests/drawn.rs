//! What is drawn by the program or its crates and takes long: each once for all tests.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use practice::Pieces;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::{Mutex, OnceLock};
use tempfile::TempDir;

/// What draws the photos and readings of Cold Hollow into a folder.
pub(crate) const COLD_HOLLOW: &str = "stumpbook practice --woodlot cold-hollow";

/// The photos and readings of Cold Hollow, as that command draws them, in a new folder.
pub(crate) fn cold_hollow(to: &Path) {
    static DRAWN: OnceLock<TempDir> = OnceLock::new();
    let drawn = DRAWN.get_or_init(|| {
        let place = folder();
        let words: Vec<&str> = COLD_HOLLOW.split(' ').skip(1).collect();
        let output = stumpbook()
            .args(words)
            .current_dir(place.path())
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{said}");
        let listed = String::from_utf8_lossy(&output.stdout).lines().count();
        assert_eq!(listed, 12);
        place
    });
    fs::create_dir(to).unwrap();
    for entry in fs::read_dir(drawn.path().join("cold-hollow")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

/// Writes the pictures of a drawn strip as NAME-1.jpg and so on; their names.
pub(crate) fn strip(seed: u64, name: &str, to: &Path) -> Vec<String> {
    static DRAWN: Mutex<BTreeMap<u64, Pieces>> = Mutex::new(BTreeMap::new());
    let mut drawn = DRAWN.lock().unwrap();
    let strip = drawn.entry(seed).or_insert_with(|| practice::pieces(seed));
    strip
        .pieces
        .iter()
        .zip(1..)
        .map(|(piece, number)| {
            let name = format!("{name}-{number}.jpg");
            fs::write(to.join(&name), &piece.jpeg).unwrap();
            name
        })
        .collect()
}
