//! The table in `docs/scale.md`: widths given and widths printed, for every sample
//! and every way of giving a scale, which agree within what they claim. `TABLE=new`
//! writes it again.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use crate::samples::{Sample, samples};
use acceptance::{folder, root, stumpbook};
use image::imageops;
use photo::Limits;
use practice::Truth;
use serde_json::Value;
use std::fs;
use std::path::Path;

/// The table's first line in the document.
const HEAD: &str = "| photo | true | with `--across` | claims | with `--tape` | claims | with the scale card | claims |";
/// Farthest that a printed width may be from the true one, as a share.
const ACROSS_OFF: f64 = 0.005;
const OTHERS_OFF: f64 = 0.02;
/// Quality of the JPEG with a card in it.
const QUALITY: u8 = 92;

/// A printed width in millimeters and what its scale claims.
struct Printed {
    mm: f64,
    claims: f64,
}

impl Printed {
    fn of(reading: &Value) -> Self {
        let last = reading["rings"].as_array().unwrap().last().unwrap();
        Self {
            mm: 2.0 * last["radius_mm"].as_f64().unwrap(),
            claims: reading["scale"]["uncertainty"].as_f64().unwrap(),
        }
    }
}

/// Counts a photo with some options.
fn printed(photo: &Path, options: &[String]) -> Printed {
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(photo)
        .args(options)
        .output()
        .unwrap();
    Printed::of(&serde_json::from_slice(&output.stdout).unwrap())
}

/// The photo with a scale card in its lower right corner, drawn at its scale.
fn with_card(photo: &Path, truth: &Truth, to: &Path) {
    let bytes = fs::read(photo).unwrap();
    let mut picture = photo::open(&bytes, &Limits::default()).unwrap().rgb;
    let card = report::card_picture(1.0 / truth.mm_per_px).unwrap();
    let left = i64::from(picture.width() - card.width() - 12);
    let top = i64::from(picture.height() - card.height() - 12);
    imageops::replace(&mut picture, &card, left, top);
    fs::write(to, practice::jpeg(&picture, QUALITY)).unwrap();
}

/// What is claimed of the scale of a face whose width is given: where the camera leaned
/// much, that is said; where it did not, the scale is the true one.
fn check_scale(sample: &Sample) {
    let (name, truth, reading) = (&sample.name, &sample.truth, &sample.reading);
    let cautions = reading["cautions"].as_array().unwrap();
    let oval = cautions.iter().any(|one| one["about"] == "face-oval");
    let leans = truth.recipe.tilt_deg > 20.0;
    assert_eq!(oval, leans, "{name}");
    if !leans {
        let scale = &reading["scale"];
        let off = scale["mm_per_px"].as_f64().unwrap() / truth.mm_per_px - 1.0;
        let claims = scale["uncertainty"].as_f64().unwrap();
        assert!(
            off.abs() < 2.0 * claims.max(0.005),
            "{name}: scale off by {off:.4}"
        );
    }
}

fn cells(printed: Option<&Printed>) -> String {
    printed.map_or_else(
        || " | |".to_owned(),
        |printed| format!(" {:.1} | {:.1} % |", printed.mm, 100.0 * printed.claims),
    )
}

fn row(sample: &Sample, place: &Path) -> String {
    let (name, truth) = (&sample.name, &sample.truth);
    let given = truth.across_inside_bark_mm;
    let across = Printed::of(&sample.reading);
    let off = across.mm / given - 1.0;
    assert!(off.abs() < ACROSS_OFF, "{name}: off by {off:.4}");
    check_scale(sample);
    let leans = truth.recipe.tilt_deg > 0.0;
    let tape = truth.tape.as_ref().map(|tape| {
        let ends = [tape.from, tape.to].concat();
        let ends: Vec<String> = ends.iter().map(|px| format!("{px:.1}")).collect();
        let tape = format!("{}={}mm", ends.join(","), tape.length_mm);
        let to = place.join(format!("{name}-tape.jpg"));
        fs::copy(&sample.photo, &to).unwrap();
        printed(&to, &["--tape".to_owned(), tape])
    });
    if let Some(tape) = &tape {
        let claimed = tape.claims.hypot(across.claims);
        let off = tape.mm / across.mm - 1.0;
        assert!(
            off.abs() < 2.0 * claimed,
            "{name}: tape and width differ by {off:.4}, claimed {claimed:.4}"
        );
    }
    // A card laid flat on a photo that leans would be no card on the wood, and in the
    // corner of a photo that the face runs out of it would hide rings.
    let note = note(truth, leans);
    let card = note.is_empty().then(|| {
        let to = place.join(format!("{name}-card.jpg"));
        with_card(&sample.photo, truth, &to);
        printed(&to, &[])
    });
    for (way, found) in [("tape", &tape), ("card", &card)] {
        if let Some(found) = found {
            let off = found.mm / given - 1.0;
            assert!(off.abs() < OTHERS_OFF, "{name}, {way}: off by {off:.4}");
        }
    }
    let mut line = format!("| {name}{note} | {given:.1} |");
    for found in [Some(&across), tape.as_ref(), card.as_ref()] {
        line.push_str(&cells(found));
    }
    line
}

/// What is unusual about a photo.
fn note(truth: &Truth, leans: bool) -> String {
    if leans {
        return format!(" (camera leaned {:.0} degrees)", truth.recipe.tilt_deg);
    }
    let (width, height) = (truth.recipe.width_px, truth.recipe.height_px);
    let inside = |place: &Option<[f64; 2]>| {
        place.is_some_and(|[x, y]| {
            (0.0..f64::from(width)).contains(&x) && (0.0..f64::from(height)).contains(&y)
        })
    };
    if truth.bark_edge.iter().all(inside) {
        String::new()
    } else {
        " (partly outside the photo)".to_owned()
    }
}

#[test]
fn the_table_of_widths_in_the_docs_is_what_the_program_prints() {
    let place = folder();
    let mut table = vec![HEAD.to_owned(), "| --- ".repeat(8) + "|"];
    let readable = || samples().iter().filter(|sample| sample.truth.readable);
    let taped = readable().filter(|sample| sample.truth.tape.is_some());
    assert!(taped.count() >= 2, "too few samples have a tape");
    table.extend(readable().map(|sample| row(sample, place.path())));
    assert!(table.len() >= 11, "only {} samples", table.len() - 2);
    let page = root().join("docs/scale.md");
    let text = fs::read_to_string(&page).unwrap();
    let (before, rest) = text
        .split_once(HEAD)
        .unwrap_or_else(|| panic!("docs/scale.md has no table that begins {HEAD}"));
    let after = rest.split_once("\n\n").map_or("", |(_, after)| after);
    let shown = format!("{HEAD}{}", rest.split("\n\n").next().unwrap_or_default());
    let table = table.join("\n");
    if std::env::var_os("TABLE").is_some() {
        fs::write(&page, format!("{before}{table}\n\n{after}")).unwrap();
        return;
    }
    assert!(
        same(shown.trim_end(), &table),
        "docs/scale.md is stale: TABLE=new cargo test -p acceptance scale_table\n{table}"
    );
}

/// Whether two tables are the same, cell by cell, lengths to a fifth of a millimeter: the
/// last digit is rounded differently by processors with other instructions.
fn same(one: &str, other: &str) -> bool {
    let cells = |table: &str| -> Vec<String> {
        let cells = table.split('|');
        cells.map(|cell| cell.trim().to_owned()).collect()
    };
    let close = |one: &String, other: &String| match (one.parse::<f64>(), other.parse::<f64>()) {
        (Ok(one), Ok(other)) => (one - other).abs() < 0.21,
        _ => one == other,
    };
    let (one, other) = (cells(one), cells(other));
    one.len() == other.len() && one.iter().zip(&other).all(|(one, other)| close(one, other))
}
