//! Several pictures of one strip: `count --join`.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use crate::drawn;
use acceptance::{folder, stumpbook};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

/// Writes the pictures of a drawn strip as strip-1.jpg and so on.
fn pictures(seed: u64, folder: &Path) -> Vec<PathBuf> {
    let names = drawn::strip(seed, "strip", folder);
    names.iter().map(|name| folder.join(name)).collect()
}

fn joined(photos: &[PathBuf]) -> Output {
    stumpbook()
        .args(["count", "--join"])
        .args(photos)
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    // Lines are wrapped: what is looked for may run over a line's end.
    let text = String::from_utf8_lossy(bytes);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn pictures_are_joined_beside_the_first_and_kept_as_one_stump() {
    let place = folder();
    let photos = pictures(5, place.path());
    assert_eq!(photos.len(), 2);
    let output = joined(&photos);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let summary = text(&output.stdout);
    assert!(
        summary.contains("Joined from strip-1.jpg, strip-2.jpg"),
        "{summary}"
    );
    assert_eq!(summary.matches("likely between").count(), 1, "{summary}");
    let picture = place.path().join("strip-1-joined.png");
    let entry = place.path().join("strip-1-joined.stump.json");
    assert!(picture.is_file() && entry.is_file());
    assert!(!place.path().join("strip-1.stump.json").exists());

    // The same again gives the same picture, so that what was saved stays with it.
    let before = fs::read(&picture).unwrap();
    let again = joined(&photos);
    assert_eq!(again.status.code(), Some(0), "{}", text(&again.stderr));
    assert!(fs::read(&picture).unwrap() == before);

    // A picture that is not ours stays.
    fs::write(&picture, b"a drawing of my own").unwrap();
    let refused = joined(&photos);
    assert_eq!(refused.status.code(), Some(1));
    let why = text(&refused.stderr);
    assert!(why.contains("was not joined by Stumpbook"), "{why}");
    assert_eq!(fs::read(&picture).unwrap(), b"a drawing of my own");
}

#[test]
fn two_pictures_that_do_not_overlap_are_named_with_what_to_do() {
    let place = folder();
    let photos = pictures(2, place.path());
    let ends = [photos[0].clone(), photos[photos.len() - 1].clone()];
    let output = joined(&ends);
    assert_eq!(output.status.code(), Some(1));
    let why = text(&output.stderr);
    for photo in &ends {
        assert!(why.contains(&photo.display().to_string()), "{why}");
    }
    assert!(why.contains("try: take them again"), "{why}");
    assert!(!place.path().join("strip-1-joined.png").exists());
}

#[test]
fn one_picture_alone_cannot_be_joined() {
    let output = joined(&["oak.jpg".into()]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let place = folder();
    let alone = place.path().join("oak.jpg");
    fs::write(&alone, b"no picture").unwrap();
    let output = joined(&[alone]);
    assert_eq!(output.status.code(), Some(2), "{}", text(&output.stderr));
    assert!(text(&output.stderr).contains("--join needs two pictures or more"));
}
