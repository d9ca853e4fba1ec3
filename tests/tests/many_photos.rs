//! A folder of photos read as an agency reads them: in shards, killed in the
//! middle and taken up again, with broken ones among them.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use practice::{Ground, Recipe, jpeg, render};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

/// Small faces that differ, under names in no order of their contents.
fn photos(place: &Path, count: u64) {
    for number in 0..count {
        let recipe = Recipe {
            seed: number,
            rings: 8 + (number % 5) as u32,
            width_px: 180,
            height_px: 170,
            ground: Ground::Bench,
            ..Recipe::default()
        };
        let photo = jpeg(&render(&recipe).rgb, 85);
        fs::write(place.join(format!("stump {number:03}, \u{e5}.jpg")), photo).unwrap();
    }
}

fn count(place: &Path, more: &[&str]) -> std::process::Output {
    stumpbook()
        .arg("count")
        .args(more)
        .arg(place)
        .output()
        .unwrap()
}

/// Whether every photo was read, or refused as a face without rings: which of
/// the two is no matter here.
fn no_failure(output: &std::process::Output) -> bool {
    matches!(output.status.code(), Some(0 | 3))
}

fn lines(file: &Path) -> Vec<Value> {
    fs::read_to_string(file)
        .unwrap()
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// Each photo's own line, without what a line says of where it came from.
fn by_photo(lines: &[Value]) -> BTreeMap<String, Value> {
    lines
        .iter()
        .map(|line| (line["photo"].as_str().unwrap().to_owned(), line.clone()))
        .collect()
}

fn stderr(output: &std::process::Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_run_that_is_killed_goes_on_and_ends_as_if_it_had_not_been() {
    let place = folder();
    photos(place.path(), 14);
    fs::write(place.path().join("stump 009 broken.jpg"), b"no photo").unwrap();
    let whole = place.path().join("whole.jsonl");
    let output = count(place.path(), &["--results", whole.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    assert_eq!(lines(&whole).len(), 15);
    for entry in fs::read_dir(place.path()).unwrap() {
        let path = entry.unwrap().path();
        if path.to_string_lossy().ends_with(".stump.json") {
            fs::remove_file(path).unwrap();
        }
    }
    // Killed once some lines are there.
    let cut = place.path().join("cut.jsonl");
    let mut child = Command::new(stumpbook().get_program())
        .args(["count", "--json", "--jobs", "2", "--results"])
        .arg(&cut)
        .arg(place.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut said = BufReader::new(child.stdout.take().unwrap()).lines();
    for _ in 0..3 {
        said.next().unwrap().unwrap();
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let before = fs::read(&cut).unwrap();
    let kept = before.iter().filter(|byte| **byte == b'\n').count();
    assert!((3..15).contains(&kept), "{kept} lines before the kill");
    // A kill may leave part of a line.
    fs::write(&cut, [before.as_slice(), b"{\"photo\":\"stump 0"].concat()).unwrap();
    let output = count(place.path(), &["--results", cut.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    let printed = stderr(&output);
    assert!(
        printed.contains(&format!("{kept} in the results already")),
        "{printed}"
    );
    assert_eq!(fs::read(&cut).unwrap(), fs::read(&whole).unwrap());
    // Once more, nothing is left to do.
    let output = count(place.path(), &["--results", cut.to_str().unwrap()]);
    assert!(
        stderr(&output).contains("0 read now"),
        "{}",
        stderr(&output)
    );
    assert_eq!(fs::read(&cut).unwrap(), fs::read(&whole).unwrap());
}

#[test]
fn shards_together_are_the_whole() {
    let place = folder();
    photos(place.path(), 12);
    let file = |name: &str| place.path().join(name);
    let whole = file("whole.jsonl");
    assert!(no_failure(&count(
        place.path(),
        &["--results", whole.to_str().unwrap()]
    )));
    let mut together = Vec::new();
    let mut sizes = Vec::new();
    for k in 1..=4 {
        let results = file(&format!("{k}.jsonl"));
        let shard = format!("{k}/4");
        let output = count(
            place.path(),
            &[
                "--again",
                "--shard",
                &shard,
                "--results",
                results.to_str().unwrap(),
            ],
        );
        assert!(no_failure(&output), "{}", stderr(&output));
        let mine = lines(&results);
        sizes.push(mine.len());
        together.extend(mine);
    }
    assert_eq!(together.len(), 12);
    assert_eq!(by_photo(&together), by_photo(&lines(&whole)));
    assert!(sizes.iter().all(|size| *size < 12), "{sizes:?}");
}

#[test]
fn a_photo_that_changed_or_was_given_a_fact_is_read_again_and_no_other() {
    let place = folder();
    photos(place.path(), 4);
    let results = place.path().join("results.jsonl");
    let run = |more: &[&str]| {
        let mut all = vec!["--results", results.to_str().unwrap()];
        all.extend(more);
        stderr(&count(place.path(), &all))
    };
    assert!(run(&[]).contains("4 read now"));
    // Another photo under the name of one.
    let [first, second] = [0, 1].map(|n| place.path().join(format!("stump {n:03}, \u{e5}.jpg")));
    fs::copy(&second, &first).unwrap();
    assert!(run(&[]).contains("1 read now"));
    // A fact given for another.
    let made_from = |photo: &Path| {
        let all = by_photo(&lines(&results));
        all[photo.to_str().unwrap()]["made_from"].clone()
    };
    let before = made_from(&second);
    assert!(no_failure(
        &stumpbook()
            .args(["count", "--felled", "2025-11"])
            .arg(&second)
            .output()
            .unwrap()
    ));
    let printed = run(&[]);
    assert!(
        printed.contains("0 read now") && printed.contains("1 unchanged"),
        "{printed}"
    );
    let all = lines(&results);
    assert_eq!(all.len(), 4, "replaced lines are taken out");
    assert_ne!(made_from(&second), before);
    // Without a file of results, entries show what need not be read.
    let output = count(place.path(), &["--json"]);
    assert!(stderr(&output).contains("unchanged since the last time"));
    let again = count(place.path(), &["--json", "--again"]);
    assert_eq!(output.stdout, again.stdout);
    assert!(!stderr(&again).contains("unchanged"));
}

#[test]
fn results_of_two_runs_are_not_mixed_and_other_files_not_written_over() {
    let place = folder();
    photos(place.path(), 1);
    let other = place.path().join("notes.txt");
    fs::write(&other, "my own notes\n").unwrap();
    let output = count(place.path(), &["--results", other.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    let printed = stderr(&output);
    assert!(
        printed.contains("line 1") && printed.contains("try: "),
        "{printed}"
    );
    assert_eq!(fs::read_to_string(&other).unwrap(), "my own notes\n");
    // Not even one without a line end.
    fs::write(&other, "my own notes").unwrap();
    let output = count(place.path(), &["--results", other.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(fs::read_to_string(&other).unwrap(), "my own notes");
    let held = place.path().join("held.jsonl");
    let holder = fs::File::create(&held).unwrap();
    holder.lock().unwrap();
    let output = count(place.path(), &["--results", held.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1));
    assert!(
        stderr(&output).contains("another run"),
        "{}",
        stderr(&output)
    );
}

#[test]
fn lines_of_results_hold_readings_that_the_schema_allows() {
    let place = folder();
    photos(place.path(), 3);
    let results = place.path().join("results.jsonl");
    count(place.path(), &["--results", results.to_str().unwrap()]);
    let text = fs::read_to_string(acceptance::root().join("docs/reading.schema.json")).unwrap();
    let schema = acceptance::Schema::parse(&text).unwrap();
    let names: BTreeSet<&str> = ["photo", "made_from", "reading", "failure"].into();
    for line in lines(&results) {
        let found: BTreeSet<&str> = line
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .collect();
        assert_eq!(found, names);
        assert_eq!(
            acceptance::check(&schema, &line["reading"]),
            Vec::<String>::new()
        );
        assert!(line.to_string().len() < 20_000, "a line stays short");
    }
}
