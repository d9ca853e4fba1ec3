//! Pages and charts as they look, compared with pictures of them in
//! `tests/pictures`. `PICTURES=new cargo test -p acceptance pictures::`
//! takes new ones; look at them before keeping them.

#![allow(
    clippy::unwrap_used,
    clippy::print_stderr,
    reason = "a test that cannot go on fails, and one that holds less says so"
)]

use acceptance::{folder, root, stumpbook};
use image::{GrayImage, imageops};
use std::path::Path;
use std::process::Command;
use wood::{Stump, Units};

/// Dots an inch of the pages' pictures: what stands where can be seen, and
/// letters need not be the same to a pixel.
const DPI: &str = "36";
/// Side of the squares whose mean gray is compared, in pixels.
const SQUARE: u32 = 6;
/// By how much one square may differ, of 255. A line of text moved by its own
/// height makes 40 and more; another version of the renderer 12 (chosen).
const MOST: f64 = 26.0;
/// By how much all squares may differ on average.
const MOST_ON_AVERAGE: f64 = 1.5;

/// Holds a picture against the one that is kept under this name.
fn hold(name: &str, seen: &GrayImage) {
    let kept = root().join(format!("tests/pictures/{name}.png"));
    if std::env::var_os("PICTURES").is_some() {
        seen.save(&kept).unwrap();
        return;
    }
    let before = image::open(&kept)
        .unwrap_or_else(|_| panic!("{} is missing: see the head of this file", kept.display()))
        .into_luma8();
    let off = difference(&before, seen);
    let (worst, mean) = off.unwrap_or((f64::INFINITY, f64::INFINITY));
    if worst > MOST || mean > MOST_ON_AVERAGE {
        let left = std::env::temp_dir().join(format!("stumpbook-{name}.png"));
        side_by_side(&before, seen).save(&left).unwrap();
        panic!(
            "{name} looks different: worst square {worst:.1}, mean {mean:.2}; before and now are in {}",
            left.display()
        );
    }
}

/// Worst and mean difference of the squares; `None` for pictures of other sizes.
fn difference(one: &GrayImage, other: &GrayImage) -> Option<(f64, f64)> {
    if one.dimensions() != other.dimensions() {
        return None;
    }
    let (across, down) = (one.width().div_ceil(SQUARE), one.height().div_ceil(SQUARE));
    let small = |picture: &GrayImage| {
        imageops::resize(picture, across, down, imageops::FilterType::Triangle)
    };
    let (one, other) = (small(one), small(other));
    let off: Vec<f64> = one
        .iter()
        .zip(other.iter())
        .map(|(a, b)| f64::from(a.abs_diff(*b)))
        .collect();
    let worst = off.iter().copied().fold(0.0, f64::max);
    Some((worst, off.iter().sum::<f64>() / off.len().max(1) as f64))
}

fn side_by_side(before: &GrayImage, now: &GrayImage) -> GrayImage {
    let high = before.height().max(now.height());
    let mut both = GrayImage::new(before.width() + now.width() + 4, high);
    imageops::replace(&mut both, before, 0, 0);
    imageops::replace(&mut both, now, i64::from(before.width()) + 4, 0);
    both
}

/// The pages of a PDF; `None`, with a message, where the tool for it is missing.
fn pages(pdf: &Path, place: &Path) -> Option<Vec<GrayImage>> {
    let drawn = Command::new("pdftoppm")
        .args(["-r", DPI, "-gray", "-png"])
        .arg(pdf)
        .arg(place.join("page"))
        .output();
    let Ok(drawn) = drawn else {
        eprintln!("not run: pdftoppm is not installed, so no page is looked at");
        return None;
    };
    assert!(drawn.status.success(), "{drawn:?}");
    let pages = (1..=5).map(|number| place.join(format!("page-{number}.png")));
    Some(
        pages
            .filter(|page| page.is_file())
            .map(|page| image::open(page).unwrap().into_luma8())
            .collect(),
    )
}

/// The same reading each time, with its photo: the face of the photo guide.
#[test]
fn the_pages_of_a_sheet_look_as_they_did() {
    let place = folder();
    let entry = place.path().join("card.stump.json");
    std::fs::copy(root().join("tests/pictures/card.stump.json"), &entry).unwrap();
    std::fs::copy(
        root().join("docs/img/guide-card.jpg"),
        place.path().join("card.jpg"),
    )
    .unwrap();
    for (paper, units) in [("letter", "inch"), ("a4", "metric")] {
        let made = stumpbook()
            .arg("sheet")
            .arg(&entry)
            .args(["--paper", paper, "--units", units])
            .output()
            .unwrap();
        assert!(made.status.success(), "{made:?}");
        let Some(pages) = pages(&place.path().join("card-sheet.pdf"), place.path()) else {
            return;
        };
        assert_eq!(pages.len(), 5);
        for (number, page) in pages.iter().enumerate() {
            hold(&format!("sheet-{paper}-{}", number + 1), page);
        }
    }
}

#[test]
fn the_scale_card_looks_as_it_did() {
    let place = folder();
    for paper in ["letter", "a4"] {
        let pdf = place.path().join(format!("{paper}.pdf"));
        let made = stumpbook()
            .args(["card", "--paper", paper, "--out"])
            .arg(&pdf)
            .output()
            .unwrap();
        assert!(made.status.success(), "{made:?}");
        let Some(pages) = pages(&pdf, place.path()) else {
            return;
        };
        hold(&format!("card-{paper}"), &pages[0]);
    }
}

#[test]
fn charts_look_as_they_did() {
    let text = std::fs::read_to_string(root().join("tests/pictures/card.stump.json")).unwrap();
    let stump: Stump = serde_json::from_str(&text).unwrap();
    let reading = &stump.reading;
    let rings = &reading.rings;
    let age = reading.age.as_ref().unwrap();
    for (name, svg) in [
        ("increments", chart::increments_svg(rings, Units::Inch)),
        (
            "decades",
            chart::decades_svg(&reading.decades, Units::Metric),
        ),
        ("trend", chart::against_trend_svg(rings)),
        ("area", chart::area_svg(rings, Units::Metric)),
        ("diameter", chart::diameter_svg(rings, Units::Inch)),
        ("age", chart::age_svg(age)),
    ] {
        let png = chart::png(&svg.unwrap(), 0.4).unwrap();
        let seen = image::load_from_memory(&png).unwrap().into_luma8();
        hold(&format!("chart-{name}"), &seen);
    }
}

#[test]
fn a_page_that_changed_is_reported_from_one_that_did_not() {
    let page = GrayImage::from_fn(306, 396, |x, y| {
        image::Luma([if y % 14 < 5 && x % 7 < 4 { 60 } else { 244 }])
    });
    let mut moved = page.clone();
    for y in 100..105 {
        for x in 30..200 {
            moved.put_pixel(x, y + 9, *page.get_pixel(x, y - 2));
        }
    }
    assert_eq!(difference(&page, &page), Some((0.0, 0.0)));
    let (worst, _) = difference(&page, &moved).unwrap();
    assert!(worst > MOST, "one line of text: {worst}");
    assert_eq!(difference(&page, &GrayImage::new(3, 3)), None);
}
