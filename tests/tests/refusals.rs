//! Pictures on which no rings can be read: exit 3, why, how to photograph it,
//! and never a count.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, root, stumpbook};
use image::{ImageFormat, Rgb, RgbImage};
use serde_json::Value;
use std::path::Path;

fn check(path: &Path) {
    let json = stumpbook()
        .args(["count", "--json"])
        .arg(path)
        .output()
        .unwrap();
    let printed = String::from_utf8_lossy(&json.stderr).into_owned();
    assert_eq!(json.status.code(), Some(3), "{}: {printed}", path.display());
    let reading: Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(reading["readable"], false);
    assert_eq!(reading["count"], Value::Null);
    assert_eq!(reading["age"], Value::Null);
    assert_eq!(reading["rings"], Value::Array(vec![]));
    for part in ["reason", "detail", "advice"] {
        let text = reading["refusal"][part].as_str().unwrap_or_default();
        assert!(text.len() > 3, "{}: no {part}", path.display());
    }
    let plain = stumpbook().arg("count").arg(path).output().unwrap();
    assert_eq!(plain.status.code(), Some(3));
    let text = String::from_utf8(plain.stdout).unwrap();
    assert!(text.contains("Not read") && text.contains("Try"), "{text}");
    assert!(!text.contains("Rings") && !text.contains("Age"), "{text}");
}

/// A picture made by a rule; nothing may be written beside it.
fn check_made(name: &str, (width, height): (u32, u32), color: impl Fn(u32, u32) -> u8) {
    let place = folder();
    let path = place.path().join(name);
    RgbImage::from_fn(width, height, |x, y| Rgb([color(x, y); 3]))
        .save_with_format(&path, ImageFormat::Png)
        .unwrap();
    check(&path);
    let left = std::fs::read_dir(place.path()).unwrap().count();
    assert_eq!(left, 1, "a photo that is no stump gets no .stump.json");
}

/// Noise that is the same on every run.
fn noise(x: u32, y: u32) -> u8 {
    let mut mixed = x.wrapping_mul(0x9e37_79b1) ^ y.wrapping_mul(0x85eb_ca77);
    mixed ^= mixed >> 15;
    mixed = mixed.wrapping_mul(0x2c1b_3c6d);
    (mixed >> 24) as u8
}

/// What the photo guide shows is what the program says of these pictures.
#[test]
fn the_photo_guide_shows_what_it_says() {
    let place = folder();
    let read_with = |name: &str, more: &[&str]| {
        let path = place.path().join(name);
        std::fs::copy(root().join("docs/img").join(name), &path).unwrap();
        let mut count = stumpbook();
        let output = count.arg("count").args(more).arg(&path).output().unwrap();
        (
            output.status.code(),
            String::from_utf8(output.stdout).unwrap(),
        )
    };
    let read = |name: &str| read_with(name, &[]);
    let (code, good) = read("guide-good.jpg");
    assert_eq!(code, Some(0), "{good}");
    let rings = |text: &str| -> u32 {
        let line = text
            .lines()
            .find_map(|line| line.trim().strip_prefix("Rings "));
        let count = line.and_then(|line| line.split_whitespace().next());
        count.and_then(|count| count.parse().ok()).unwrap_or(0)
    };
    assert!(
        rings(&good).abs_diff(54) <= 1,
        "54 rings were drawn: {good}"
    );
    let (code, card) = read("guide-card.jpg");
    assert_eq!(code, Some(0), "{card}");
    assert!(
        card.contains("rings to the inch"),
        "the card gives lengths: {card}"
    );
    let (code, blurred) = read("guide-blurred.jpg");
    assert_eq!(code, Some(3), "{blurred}");
    assert!(
        blurred.contains("not sharp") && blurred.contains("hold still"),
        "{blurred}"
    );
    let (code, oblique) = read("guide-oblique.jpg");
    assert_eq!(code, Some(0), "{oblique}");
    assert!(
        rings(&oblique).abs_diff(45) <= 2,
        "a line below the pith crosses 44 or 45 rings: {oblique}"
    );
    let (code, found) = read("guide-strip.jpg");
    assert_eq!(code, Some(0), "{found}");
    assert!(
        rings(&found).abs_diff(58) <= 2 && found.contains("counted along one strip"),
        "the strip is found: {found}"
    );
    let (code, strip) = read_with("guide-strip.jpg", &["--strip", "779,583,1272,385"]);
    assert_eq!(code, Some(0), "{strip}");
    assert!(
        rings(&strip).abs_diff(58) <= 2 && strip.contains("counted along one strip"),
        "58 rings were drawn: {strip}"
    );
}

#[test]
fn a_single_pixel_is_refused() {
    check_made("dot.png", (1, 1), |_, _| 120);
}

#[test]
fn a_thumbnail_is_refused() {
    check_made("thumbnail.png", (64, 64), |x, y| {
        ((x * x + y * y) % 256) as u8
    });
}

#[test]
fn a_strip_one_pixel_high_is_refused() {
    check_made("strip.png", (2000, 1), |x, _| (x % 256) as u8);
}

#[test]
fn black_white_and_noise_are_refused() {
    check_made("black.png", (900, 700), |_, _| 0);
    check_made("white.png", (900, 700), |_, _| 255);
    check_made("noise.png", (900, 700), noise);
}

#[test]
fn stripes_and_a_chess_board_are_refused() {
    check_made("stripes.png", (900, 700), |x, _| {
        if x / 9 % 2 == 0 { 90 } else { 170 }
    });
    check_made("board.png", (900, 700), |x, y| {
        if (x / 40 + y / 40) % 2 == 0 { 60 } else { 200 }
    });
}

#[test]
fn scenes_that_are_no_sawn_face_are_refused_where_the_photos_are_there() {
    let photos = root().join("../shared/photos");
    let mut seen = 0;
    for name in ["refuse-aloe.jpg", "refuse-landscape.jpg"] {
        let path = photos.join(name);
        if path.is_file() {
            // The folder may not be written to, and a refused photo writes nothing.
            check(&path);
            seen += 1;
        }
    }
    if seen == 0 {
        println!("not run: ../shared/photos is not there");
    }
}
