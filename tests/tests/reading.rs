//! What a readable face gives: the contract, the pictures, the summary.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{Schema, check, folder, root, stumpbook};
use practice::{Recipe, Truth};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// An easy face and what is known of it.
fn face() -> &'static (Vec<u8>, Truth) {
    static FACE: OnceLock<(Vec<u8>, Truth)> = OnceLock::new();
    FACE.get_or_init(|| {
        let face = practice::render(&Recipe {
            width_px: 1200,
            height_px: 1000,
            rings: 34,
            ..Recipe::default()
        });
        (practice::jpeg(&face.rgb, 90), face.truth)
    })
}

fn photo_in(place: &Path) -> PathBuf {
    let path = place.join("spruce.jpg");
    fs::write(&path, &face().0).unwrap();
    path
}

fn json_of(args: &[&str], photo: &Path) -> (Vec<u8>, Value) {
    let output = stumpbook()
        .args(["count", "--json"])
        .args(args)
        .arg(photo)
        .output()
        .unwrap();
    let stderr = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{stderr}");
    assert!(stderr.is_empty(), "{stderr}");
    let value = serde_json::from_slice(&output.stdout).unwrap();
    (output.stdout, value)
}

fn schema() -> Schema {
    let path = root().join("docs/reading.schema.json");
    Schema::parse(&fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn an_easy_face_is_counted_to_within_one_ring() {
    let place = folder();
    let (_, reading) = json_of(&[], &photo_in(place.path()));
    let truth = i64::from(face().1.rings);
    let best = reading["count"]["best"].as_i64().unwrap();
    assert!((best - truth).abs() <= 1, "{truth} rings, read {best}");
}

#[test]
fn printed_json_is_what_the_published_schema_says() {
    let place = folder();
    let photo = photo_in(place.path());
    let given = [
        "--species",
        "norway spruce",
        "--felled",
        "2025-11-08",
        "--across",
        "20in",
        "--cut-height",
        "8in",
    ];
    for args in [&[][..], &given[..]] {
        let (_, reading) = json_of(args, &photo);
        let wrong = check(&schema(), &reading);
        assert!(wrong.is_empty(), "{wrong:#?}");
    }
}

#[test]
fn a_refusal_is_what_the_published_schema_says() {
    let place = folder();
    let path = place.path().join("gray.png");
    image::RgbImage::from_pixel(300, 300, image::Rgb([99, 99, 99]))
        .save(&path)
        .unwrap();
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(&path)
        .output()
        .unwrap();
    let reading: Value = serde_json::from_slice(&output.stdout).unwrap();
    let wrong = check(&schema(), &reading);
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_reading_is_the_same_byte_for_byte_on_one_core_and_on_two() {
    let place = folder();
    let photo = photo_in(place.path());
    let one = json_of(&["--jobs", "1"], &photo).0;
    let entry = fs::read(place.path().join("spruce.stump.json")).unwrap();
    let two = json_of(&["--jobs", "2"], &photo).0;
    assert!(one == two, "two cores read differently from one");
    assert!(entry == fs::read(place.path().join("spruce.stump.json")).unwrap());
}

#[test]
fn a_count_holds_together() {
    let place = folder();
    let (_, reading) = json_of(
        &["--across", "20in", "--felled", "2025-11"],
        &photo_in(place.path()),
    );
    let count = &reading["count"];
    let number = |key: &str| count[key].as_u64().unwrap();
    assert!(number("low") <= number("best") && number("best") <= number("high"));
    let rings = reading["rings"].as_array().unwrap();
    let mut radius = 0.0;
    for (nth, ring) in rings.iter().enumerate() {
        assert_eq!(ring["number"], nth + 1);
        assert!(ring["radius_px"].as_f64().unwrap() > radius, "ring {nth}");
        radius = ring["radius_px"].as_f64().unwrap();
    }
    let years: Vec<i64> = rings
        .iter()
        .filter_map(|ring| ring["year"].as_i64())
        .collect();
    assert_eq!(
        years.len(),
        rings.len(),
        "with a felled date every ring has its year"
    );
    assert!(years.windows(2).all(|pair| pair[1] == pair[0] + 1));
    assert_eq!(years.last(), Some(&2025));
    let mm_per_px = reading["scale"]["mm_per_px"].as_f64().unwrap();
    // The outermost ring found may be one short of the bark: hence 8 %.
    let last = rings.last().unwrap();
    let across = 2.0 * last["radius_px"].as_f64().unwrap() * mm_per_px;
    assert!(
        (across - 508.0).abs() < 508.0 * 0.08,
        "20 in across came out as {across} mm"
    );
}

#[test]
fn pictures_are_written_where_asked_and_can_be_opened() {
    let place = folder();
    let photo = photo_in(place.path());
    let out = place.path().join("new").join("pictures");
    let output = stumpbook()
        .args([
            "count", "--units", "metric", "--felled", "2025", "--across", "20in", "--out",
        ])
        .arg(&out)
        .arg(&photo)
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let summary = String::from_utf8(output.stdout).unwrap();
    for ending in ["ringmap.png", "unrolled.png", "growth.png", "decades.png"] {
        let path = out.join(format!("spruce-{ending}"));
        let picture = image::open(&path).unwrap().to_rgb8();
        assert!(picture.width() > 300 && picture.height() > 150, "{ending}");
        let first = picture.get_pixel(0, 0);
        assert!(
            picture.pixels().any(|pixel| pixel != first),
            "{ending} is blank"
        );
        assert!(summary.contains(ending), "{ending} is not named: {summary}");
    }
    for ending in ["growth.svg", "decades.svg"] {
        let text = fs::read_to_string(out.join(format!("spruce-{ending}"))).unwrap();
        assert!(text.contains("<svg"), "{ending}");
        assert!(
            text.contains("mm") || text.contains("millimet"),
            "{ending} has no metric units"
        );
        assert!(!text.contains("inch"), "{ending} has inches");
    }
}

#[test]
fn the_summary_fits_a_screen_and_says_what_matters() {
    let place = folder();
    let output = stumpbook()
        .args([
            "count",
            "--felled",
            "2025-11-08",
            "--cut-height",
            "8in",
            "--across",
            "20in",
        ])
        .arg(photo_in(place.path()))
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(output.stderr.is_empty());
    for says in [
        "spruce.jpg",
        "Rings",
        "Age",
        "when felled on November 8, 2025",
        "Growth",
        "rings to the inch",
        "a guess from the picture",
        "spruce.stump.json",
    ] {
        assert!(text.contains(says), "{says} is missing: {text}");
    }
    assert!(!text.contains('\u{1b}'), "no color codes");
    assert!(text.lines().count() <= 34, "{text}");
    assert!(
        text.lines()
            .filter(|line| !line.contains('/'))
            .all(|line| line.chars().count() <= 78),
        "{text}"
    );
}

#[test]
fn the_place_a_photo_was_taken_never_leaves_in_a_reading() {
    let place = folder();
    let (bytes, _) = json_of(&[], &photo_in(place.path()));
    let text = String::from_utf8(bytes).unwrap();
    for word in ["latitude", "longitude", "gps"] {
        assert!(!text.to_lowercase().contains(word), "{word}");
    }
}
