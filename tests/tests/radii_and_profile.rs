//! Widths along single radii, and the radial intensity profile, over the built program.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, root, stumpbook};
use serde_json::Value;
use std::fs;
use std::path::Path;

/// The lines of a CSV below its first, as fields.
fn rows(text: &str) -> Vec<Vec<String>> {
    let lines = text.lines().skip(1);
    lines
        .map(|line| line.split(',').map(str::to_owned).collect())
        .collect()
}

fn number(field: &str) -> f64 {
    field
        .parse()
        .unwrap_or_else(|_| panic!("{field} is no number"))
}

fn export(place: &Path, options: &[&str]) -> String {
    let output = stumpbook()
        .args(["export", "walnut-house.stump.json"])
        .args(options)
        .current_dir(place)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn one_stump_along_its_radii() {
    let place = folder();
    let here = place.path();
    let photo = "walnut-house.jpg";
    fs::copy(root().join("samples").join(photo), here.join(photo)).unwrap();
    stumpbook()
        .args(["count", photo, "--across", "28.8cm", "--out", "pictures"])
        .current_dir(here)
        .assert()
        .code(0);
    let entry = fs::read(here.join("walnut-house.stump.json")).unwrap();
    let entry: Value = serde_json::from_slice(&entry).unwrap();
    let rings = entry["reading"]["rings"].as_array().unwrap();

    // The long way and the short way, which the mean radius is between.
    let two = rows(&export(here, &["--format", "radii"]));
    let last = |name: &str| {
        let row = two.iter().rfind(|row| row[1] == name).unwrap();
        (number(&row[3]) as usize, number(&row[6]))
    };
    let (long, short) = (last("long way"), last("short way"));
    let mean = rings.last().unwrap()["radius_mm"].as_f64().unwrap();
    assert!(short.1 < mean && mean < long.1, "{short:?} {mean} {long:?}");
    assert_eq!((long.0, short.0), (rings.len(), rings.len()));

    // Widths add up to the distance from the pith, where all rings are seen.
    let asked = rows(&export(here, &["--angle", "45", "--angle", "-90"]));
    for angle in ["45", "-90"] {
        let radius: Vec<_> = asked.iter().filter(|row| row[2] == angle).collect();
        assert!(radius.len() * 10 > rings.len() * 9, "{angle}");
        let mut inner = 0.0;
        for row in radius {
            let outer = number(&row[6]);
            if let Ok(width) = row[5].parse::<f64>() {
                assert!((outer - inner - width).abs() < 1e-3, "{row:?}");
            }
            inner = outer;
        }
    }
    stumpbook()
        .args(["export", "walnut-house.stump.json", "--angle", "45"])
        .args(["--format", "csv"])
        .current_dir(here)
        .assert()
        .code(2);

    // The profile's picture and numbers; its rings are those of the reading.
    let picture = fs::read_to_string(here.join("pictures/walnut-house-profile.svg")).unwrap();
    assert!(picture.contains("inches from the pith"));
    let profile =
        rows(&fs::read_to_string(here.join("pictures/walnut-house-profile.csv")).unwrap());
    let outermost = profile
        .iter()
        .filter_map(|row| row[4].parse::<usize>().ok())
        .max();
    assert_eq!(outermost, Some(rings.len()));
    let end = number(&profile.last().unwrap()[1]);
    assert!((end / mean - 1.03).abs() < 0.01, "{end} {mean}");
    let light: Vec<f64> = profile
        .iter()
        .filter_map(|row| row[2].parse().ok())
        .collect();
    assert!(light.len() * 10 > profile.len() * 9);
    assert!(light.iter().all(|value| (0.0..=100.0).contains(value)));

    // Pictures of its own are no photos.
    let again = stumpbook()
        .args(["count", "pictures"])
        .current_dir(here)
        .output()
        .unwrap();
    let talk = String::from_utf8_lossy(&again.stderr).into_owned();
    assert!(talk.contains("no photo in pictures"), "{talk}");
}
