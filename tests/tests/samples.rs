//! The practice photos of `samples/`, each counted once for all tests.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, root, stumpbook};
use practice::Truth;
use serde_json::Value;
use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

/// A practice photo, what is true of it, and what came of counting it.
pub(crate) struct Sample {
    /// Without the ending.
    pub(crate) name: String,
    pub(crate) photo: PathBuf,
    pub(crate) truth: Truth,
    /// The exit code of `stumpbook count --json --across WIDTH`, with the true width.
    pub(crate) code: Option<i32>,
    /// What it printed; null where that is no JSON.
    pub(crate) reading: Value,
}

/// Every photo in `samples/` that has its truth beside it, in order of their names.
pub(crate) fn samples() -> &'static [Sample] {
    static SAMPLES: OnceLock<Vec<Sample>> = OnceLock::new();
    SAMPLES.get_or_init(|| {
        let mut photos: Vec<PathBuf> = fs::read_dir(root().join("samples"))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "jpg"))
            .filter(|path| path.with_extension("truth.json").is_file())
            .collect();
        photos.sort();
        photos.into_iter().map(counted).collect()
    })
}

fn counted(photo: PathBuf) -> Sample {
    let truth: Truth =
        serde_json::from_slice(&fs::read(photo.with_extension("truth.json")).unwrap()).unwrap();
    // A copy, so that nothing is written into the repository.
    let place = folder();
    let copy = place.path().join(photo.file_name().unwrap());
    fs::copy(&photo, &copy).unwrap();
    let output = stumpbook()
        .args(["count", "--json", "--across"])
        .arg(format!("{:.2}mm", truth.across_inside_bark_mm))
        .arg(&copy)
        .output()
        .unwrap();
    Sample {
        name: photo.file_stem().unwrap().to_string_lossy().into_owned(),
        code: output.status.code(),
        reading: serde_json::from_slice(&output.stdout).unwrap_or(Value::Null),
        photo,
        truth,
    }
}
