//! Several photos, among them bad ones: the others are read, the list of
//! failures comes last, and the exit code is the worst.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use image::{Rgb, RgbImage};
use std::fs;
use std::path::Path;

fn gray(path: &Path) {
    RgbImage::from_pixel(300, 300, Rgb([90, 90, 90]))
        .save(path)
        .unwrap();
}

#[test]
fn a_bad_photo_does_not_stop_the_others_and_failures_come_last() {
    let place = folder();
    gray(&place.path().join("a.png"));
    fs::write(place.path().join("b.jpg"), b"no photo at all, just words").unwrap();
    gray(&place.path().join("c.png"));
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(place.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let stdout = String::from_utf8(output.stdout).unwrap();
    let files: Vec<String> = stdout
        .lines()
        .map(|line| {
            let reading: serde_json::Value = serde_json::from_str(line).unwrap();
            reading["photo"]["file"].as_str().unwrap().to_owned()
        })
        .collect();
    assert_eq!(files, ["a.png", "c.png"]);
    let stderr = String::from_utf8(output.stderr).unwrap();
    assert!(stderr.contains("1 not read"), "{stderr}");
    assert!(stderr.contains("b.jpg"), "{stderr}");
    assert!(stderr.lines().last().unwrap().contains("try: "), "{stderr}");
}

#[test]
fn without_failures_the_worst_is_an_unreadable_face() {
    let place = folder();
    gray(&place.path().join("a.png"));
    gray(&place.path().join("b.png"));
    stumpbook().arg("count").arg(place.path()).assert().code(3);
}

#[test]
fn a_missing_photo_among_others_is_a_failure_and_the_others_are_read() {
    let place = folder();
    let there = place.path().join("a.png");
    gray(&there);
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(place.path().join("gone.jpg"))
        .arg(&there)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(String::from_utf8_lossy(&output.stdout).lines().count(), 1);
    assert!(String::from_utf8_lossy(&output.stderr).contains("gone.jpg"));
}

#[test]
fn the_same_photo_named_twice_is_read_once() {
    let place = folder();
    let there = place.path().join("a.png");
    gray(&there);
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(&there)
        .arg(&there)
        .output()
        .unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stdout).lines().count(), 1);
}

#[test]
fn nothing_but_data_goes_to_stdout_and_nobody_reading_it_is_no_failure() {
    use std::process::{Command, Stdio};
    let place = folder();
    for name in ["a.png", "b.png", "c.png"] {
        gray(&place.path().join(name));
    }
    let program = stumpbook().get_program().to_owned();
    let mut child = Command::new(program)
        .args(["count", "--json", "--jobs", "1"])
        .arg(place.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // Whoever was reading goes away at once.
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(
        output.stderr.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}
