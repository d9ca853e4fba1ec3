//! Slips that a person takes back, and commands that do what was meant.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, root, stumpbook};
use practice::Recipe;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use wood::WoodClass;

/// A drawn conifer of 24 rings, as `oak.jpg` in a folder.
fn stump_in(folder: &Path) -> PathBuf {
    let face = practice::render(&Recipe {
        seed: 5,
        wood: WoodClass::Conifer,
        rings: 24,
        width_px: 900,
        height_px: 900,
        radius_share: 0.85,
        ..Recipe::default()
    });
    let path = folder.join("oak.jpg");
    fs::write(&path, practice::jpeg(&face.rgb, 92)).unwrap();
    path
}

fn run(args: &[&str], path: &Path) -> Output {
    stumpbook().args(args).arg(path).output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn talk(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn saved(photo: &Path) -> Value {
    let text = fs::read(photo.with_extension("stump.json")).unwrap();
    serde_json::from_slice(&text).unwrap()
}

#[test]
fn facts_are_listed_and_cleared_from_the_command_line() {
    let place = folder();
    let photo = stump_in(place.path());
    let given = [
        "--species",
        "Scotch pines",
        "--felled",
        "2025-11",
        "--across",
        "1' 4 1/4\"",
        "--cut-height",
        "0in",
    ];
    let output = run(&[&["count"], &given[..]].concat(), &photo);
    assert!(output.status.success(), "{}", talk(&output));
    // One unit system in a summary of inches.
    let text = out(&output);
    assert!(!text.contains(" cm") && !text.contains(" mm"), "{text}");
    let facts = &saved(&photo)["facts"];
    assert_eq!(facts["species"], "scots pine");
    assert!((facts["across_inside_bark_mm"].as_f64().unwrap() - 412.75).abs() < 1e-6);
    assert_eq!(facts["cut_height_mm"], 0.0);

    let list = out(&run(&["facts"], &photo));
    for line in [
        "scots pine",
        "16.3 in",
        "0 in",
        "2025-11",
        "--across none",
        "no marks",
    ] {
        assert!(list.contains(line), "{line}: {list}");
    }
    let clear = [
        "count",
        "--species",
        "none",
        "--felled",
        "none",
        "--across",
        "none",
        "--cut-height",
        "none",
    ];
    assert!(run(&clear, &photo).status.success());
    let facts = &saved(&photo)["facts"];
    for name in [
        "species",
        "felled",
        "across_inside_bark_mm",
        "cut_height_mm",
    ] {
        assert!(facts[name].is_null(), "{name}");
    }
    assert!(out(&run(&["facts"], &photo)).contains("no facts are saved"));
}

#[test]
fn a_pith_that_spoils_a_good_reading_is_named_and_can_be_taken_back() {
    let place = folder();
    let photo = place.path().join("pine.jpg");
    fs::copy(root().join("samples/pine-gate.jpg"), &photo).unwrap();
    let output = run(&["count", "--pith=-5,3"], &photo);
    assert_eq!(output.status.code(), Some(3), "{}", out(&output));
    let text = out(&output);
    assert!(text.contains("the pith given at -5,3"), "{text}");
    assert!(text.contains("--pith none"), "{text}");
    let list = out(&run(&["facts"], &photo));
    assert!(list.contains("mark  1  pith at -5,3"), "{list}");
    let output = run(&["count", "--pith", "none"], &photo);
    assert!(output.status.success(), "{}", out(&output));
    assert!(saved(&photo)["marks"]["pith"].is_null());
}

#[test]
fn a_mark_is_dropped_by_its_number_and_the_photo_is_read_again() {
    let place = folder();
    let photo = stump_in(place.path());
    let marks = place.path().join("fix.json");
    let text =
        r#"{"rings":[{"kind":"boundary","at":[500,450]},{"kind":"no-boundary","at":[600,450]}]}"#;
    fs::write(&marks, text).unwrap();
    let with = ["count", "--marks", marks.to_str().unwrap()];
    assert!(run(&with, &photo).status.success());
    let list = out(&run(&["facts"], &photo));
    assert!(list.contains("mark  2  no year ends at 600,450"), "{list}");
    let wrong = run(&["facts", "--drop", "3"], &photo);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(talk(&wrong).contains("they are 1 to 2"), "{}", talk(&wrong));
    let output = run(&["facts", "--drop", "2"], &photo);
    assert!(output.status.success(), "{}", talk(&output));
    assert!(
        out(&output).contains("Rings"),
        "read again: {}",
        out(&output)
    );
    let left = saved(&photo)["marks"]["rings"].as_array().unwrap().clone();
    assert_eq!((left.len(), &left[0]["kind"]), (1, &"boundary".into()));
}

#[test]
fn natural_slips_do_what_was_meant() {
    let place = folder();
    let photo = stump_in(place.path());
    let none = run(&["export"], &photo);
    assert_eq!(none.status.code(), Some(1));
    assert!(
        talk(&none).contains("was not counted yet"),
        "{}",
        talk(&none)
    );
    // A sheet of a photo that was not counted counts it first.
    let output = run(&["sheet"], &photo);
    assert!(output.status.success(), "{}", talk(&output));
    assert!(place.path().join("oak-sheet.pdf").is_file());
    let output = run(&["sheet"], place.path());
    assert!(output.status.success(), "a folder: {}", talk(&output));
    let output = run(&["export"], &photo);
    assert!(out(&output).starts_with("stump,"), "{}", out(&output));
    let output = run(&[], &photo);
    assert!(out(&output).contains("Rings"), "{}", talk(&output));
}

#[test]
fn species_are_listed() {
    let all = stumpbook().arg("species").output().unwrap();
    assert!(out(&all).lines().count() > 200);
    let oaks = stumpbook().args(["species", "white oak"]).output().unwrap();
    assert!(out(&oaks).contains("Quercus alba"), "{}", out(&oaks));
    let none = stumpbook().args(["species", "wallnut"]).output().unwrap();
    assert_eq!(none.status.code(), Some(1));
    assert!(talk(&none).contains("walnut"), "{}", talk(&none));
}

#[test]
fn a_year_out_of_reach_cannot_be_remembered() {
    let place = folder();
    let book = place.path().join("hollow.book");
    assert!(run(&["woodlot", "new"], &book).status.success());
    let output = stumpbook()
        .args([
            "woodlot",
            "remember",
            book.to_str().unwrap(),
            "19888",
            "storm",
        ])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(talk(&output).contains("from 1000 to"), "{}", talk(&output));
}

/// The guide's own example of marks mends its photo: the ring that was missed is
/// counted, and no other is lost.
#[test]
fn the_guides_marks_do_not_cost_a_true_ring() {
    let guide = fs::read_to_string(root().join("docs/user-guide.md")).unwrap();
    let marks = guide
        .lines()
        .map(str::trim)
        .find(|line| line.starts_with("{ \"rings\""))
        .unwrap();
    let command = guide
        .lines()
        .map(str::trim)
        .find(|line| line.contains("--marks fix.json"))
        .unwrap();
    let name = command.split_whitespace().nth(2).unwrap();
    let place = folder();
    let photo = place.path().join(name);
    fs::copy(root().join("samples").join(name), &photo).unwrap();
    let fix = place.path().join("fix.json");
    fs::write(&fix, marks).unwrap();
    let output = run(&["count", "--marks", fix.to_str().unwrap()], &photo);
    assert!(output.status.success(), "{}", talk(&output));
    let truth = root()
        .join("samples")
        .join(name)
        .with_extension("truth.json");
    let truth: Value = serde_json::from_slice(&fs::read(truth).unwrap()).unwrap();
    assert_eq!(
        saved(&photo)["reading"]["count"]["best"],
        truth["rings_visible"]
    );
}
