//! What a person entered and marked is kept beside the photo, used again, and
//! never lost.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use practice::Recipe;
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// A photo with rings that can be read.
fn photo() -> &'static [u8] {
    static BYTES: OnceLock<Vec<u8>> = OnceLock::new();
    BYTES.get_or_init(|| {
        let face = practice::render(&Recipe {
            width_px: 900,
            height_px: 800,
            rings: 18,
            ..Recipe::default()
        });
        practice::jpeg(&face.rgb, 90)
    })
}

fn stump_in(place: &Path) -> PathBuf {
    let path = place.join("oak.jpg");
    fs::write(&path, photo()).unwrap();
    path
}

fn count(photo: &Path, args: &[&str]) -> std::process::Output {
    stumpbook()
        .arg("count")
        .args(args)
        .arg(photo)
        .output()
        .unwrap()
}

fn entry(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

#[test]
fn facts_and_marks_are_kept_beside_the_photo_and_used_again() {
    let place = folder();
    let photo = stump_in(place.path());
    let first = count(
        &photo,
        &[
            "--species",
            "White Oak",
            "--felled",
            "2025-11",
            "--pith",
            "450,400",
        ],
    );
    assert!(
        first.status.success(),
        "{}",
        String::from_utf8_lossy(&first.stderr)
    );
    let kept = place.path().join("oak.stump.json");
    let before = entry(&kept);
    assert_eq!(before["format"], 1);
    assert_eq!(before["facts"]["species"], "white oak");
    assert_eq!(before["marks"]["pith"], json!([450.0, 400.0]));
    assert_eq!(before["reading"]["wood"]["from"], "species");
    // Another fact: the earlier ones and the mark stay.
    let second = count(&photo, &["--across", "24in"]);
    assert!(second.status.success());
    let after = entry(&kept);
    assert_eq!(after["facts"]["species"], "white oak");
    assert_eq!(after["facts"]["felled"], "2025-11");
    let across = after["facts"]["across_inside_bark_mm"].as_f64().unwrap();
    assert!((across - 609.6).abs() < 1e-9);
    assert_eq!(after["marks"], before["marks"]);
    // Given again, the new one wins.
    count(&photo, &["--felled", "2024"]);
    assert_eq!(entry(&kept)["facts"]["felled"], "2024");
}

/// Phones name every photo `image.jpg`: another tree's facts and marks are never
/// applied, and its entry is left as it is.
#[test]
fn another_photo_of_the_same_name_gets_no_facts_or_marks() {
    let place = folder();
    let path = place.path().join("image.jpg");
    fs::write(&path, photo()).unwrap();
    let kept = place.path().join("image.stump.json");
    assert!(
        count(&path, &["--species", "white oak", "--pith", "450,400"])
            .status
            .success()
    );
    let before = entry(&kept);
    let other = practice::render(&Recipe {
        width_px: 640,
        height_px: 600,
        rings: 12,
        seed: 3,
        ..Recipe::default()
    });
    fs::write(&path, practice::jpeg(&other.rgb, 90)).unwrap();
    let output = count(&path, &[]);
    assert_eq!(output.status.code(), Some(1));
    let talk = String::from_utf8_lossy(&output.stderr);
    for part in [
        "made for another photo",
        "900 by 800",
        "not applied",
        "try: rename",
    ] {
        assert!(talk.contains(part), "{part}: {talk}");
    }
    assert_eq!(entry(&kept), before);
    // Where nothing was entered there is nothing to lose, and it is simply read.
    fs::remove_file(&kept).unwrap();
    fs::write(&path, photo()).unwrap();
    assert!(count(&path, &[]).status.success());
    fs::write(&path, practice::jpeg(&other.rgb, 90)).unwrap();
    assert!(count(&path, &[]).status.success());
    assert_eq!(entry(&kept)["reading"]["photo"]["width_px"], 640);
}

#[test]
fn marks_from_a_file_are_added_to_those_that_are_there() {
    let place = folder();
    let photo = stump_in(place.path());
    let mark = |x: f64| json!({ "kind": "boundary", "at": [x, 400.0] });
    for (name, rings) in [
        ("one.json", json!([mark(500.0)])),
        ("two.json", json!([mark(500.0), mark(520.0)])),
    ] {
        let path = place.path().join(name);
        fs::write(&path, json!({ "rings": rings }).to_string()).unwrap();
        let output = count(&photo, &["--marks", path.to_str().unwrap()]);
        assert!(
            output.status.success(),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
    }
    let kept = entry(&place.path().join("oak.stump.json"));
    assert_eq!(kept["marks"]["rings"], json!([mark(500.0), mark(520.0)]));
}

#[test]
fn marks_that_are_none_are_refused_and_nothing_is_touched() {
    let place = folder();
    let photo = stump_in(place.path());
    let marks = place.path().join("marks.json");
    for text in ["", "[1,2]", "{\"pits\":[1,2]}", "{\"pith\":\"there\"}"] {
        fs::write(&marks, text).unwrap();
        let output = count(&photo, &["--marks", marks.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(1), "{text}");
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert!(
            stderr.contains("marks.json") && stderr.contains("try: "),
            "{stderr}"
        );
    }
    assert!(!place.path().join("oak.stump.json").exists());
}

#[test]
fn a_damaged_entry_is_reported_and_never_written_over() {
    let place = folder();
    let photo = stump_in(place.path());
    let kept = place.path().join("oak.stump.json");
    for text in [
        "",
        "{\"format\":1,\"facts\":{",
        "{\"format\":99,\"facts\":{},\"marks\":{},\"reading\":{\"photo\":{\"file\":\"oak.jpg\"}}}",
    ] {
        fs::write(&kept, text).unwrap();
        let output = count(&photo, &[]);
        assert_eq!(output.status.code(), Some(1), "{text}");
        assert!(String::from_utf8_lossy(&output.stderr).contains("oak.stump.json"));
        assert_eq!(fs::read_to_string(&kept).unwrap(), text);
    }
}

#[test]
fn when_nothing_can_be_written_the_earlier_entry_is_whole() {
    let place = folder();
    let photo = stump_in(place.path());
    assert!(count(&photo, &[]).status.success());
    let kept = place.path().join("oak.stump.json");
    let before = fs::read(&kept).unwrap();
    // A file where the folder should be stops root too.
    let out = place.path().join("blocked");
    fs::write(&out, b"a file where a folder should be").unwrap();
    let output = count(&photo, &["--out", out.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert!(
        stderr.contains("cannot write") && stderr.contains("try: "),
        "{stderr}"
    );
    assert_eq!(fs::read(&out).unwrap(), b"a file where a folder should be");
    assert_eq!(fs::read(&kept).unwrap(), before);
}

#[cfg(target_os = "linux")]
#[test]
fn no_room_on_the_disk_leaves_the_earlier_entry_and_no_rest() {
    use std::process::Command;
    let place = folder();
    let photo = stump_in(place.path());
    assert!(count(&photo, &["--species", "ash"]).status.success());
    let kept = place.path().join("oak.stump.json");
    let before = fs::read(&kept).unwrap();
    // The shell's limit on file size stands in for a full disk: it acts on root too.
    let program = stumpbook().get_program().to_owned();
    let output = Command::new("bash")
        .arg("-c")
        .arg("trap '' XFSZ; ulimit -f 1; exec \"$0\" count --felled 2025 \"$1\"")
        .arg(program)
        .arg(&photo)
        .output()
        .unwrap();
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{stderr}");
    assert!(
        stderr.contains("cannot write") && stderr.contains("try: "),
        "{stderr}"
    );
    // The reading that was made is not thrown away.
    let stdout = String::from_utf8_lossy(&output.stdout);
    assert!(stdout.contains("Rings"), "{stdout}");
    assert!(stderr.contains("was not saved"), "{stderr}");
    assert_eq!(fs::read(&kept).unwrap(), before);
    let left: Vec<_> = fs::read_dir(place.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .filter(|name| name.to_string_lossy().contains(".part"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn two_photos_of_one_stem_never_share_an_entry() {
    let place = folder();
    let jpg = stump_in(place.path());
    let png = place.path().join("oak.png");
    image::load_from_memory(photo())
        .unwrap()
        .save(&png)
        .unwrap();
    let output = stumpbook()
        .arg("count")
        .arg(&jpg)
        .arg(&png)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let file = |name: &str| entry(&place.path().join(name))["reading"]["photo"]["file"].clone();
    assert_eq!(file("oak.stump.json"), "oak.jpg");
    assert_eq!(file("oak.png.stump.json"), "oak.png");
    // Alone and later, each still finds its own.
    assert!(count(&png, &["--species", "ash"]).status.success());
    assert_eq!(
        entry(&place.path().join("oak.png.stump.json"))["facts"]["species"],
        "ash"
    );
    assert_eq!(
        entry(&place.path().join("oak.stump.json"))["facts"]["species"],
        Value::Null
    );
}
