//! In: bytes of every kind, made from a kept corpus by mutation. Out: those that
//! make a reader of files panic, answer what it must not, or take forever.
//! Never: part of what is shipped.
//!
//! `corpus/NAME` holds what each target starts from: whole files of each kind,
//! and every input that was ever found to break something. `cargo test -p fuzz`
//! runs them all and a few seconds of mutations; `cargo xtask fuzz --seconds N`
//! goes on for longer.

mod drive;
mod mutate;
mod targets;

pub use drive::{Budget, Find, Report, drive};
pub use targets::{TARGETS, Target};

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The folder of a target's corpus.
#[must_use]
pub fn corpus_folder(target: &Target) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("corpus")
        .join(target.name)
}

/// A target's corpus, by file name.
///
/// # Errors
/// When the folder cannot be read.
pub fn corpus(target: &Target) -> io::Result<Vec<(String, Vec<u8>)>> {
    let mut all = Vec::new();
    for entry in fs::read_dir(corpus_folder(target))? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        all.push((name, fs::read(entry.path())?));
    }
    all.sort();
    Ok(all)
}
