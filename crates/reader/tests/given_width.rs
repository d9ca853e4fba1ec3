//! A tape on a face that leans. Widths and tapes on all practice photos are held by
//! `tests/tests/scale_table.rs`.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use photo::{Face, Limits};
use practice::Truth;
use std::fs;
use std::path::PathBuf;
use wood::{Facts, Marks, Mm, Point, Reading, Tape};

/// The photo in `samples/` on which the camera leaned much, with its truth.
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads the practice photo that it is about"
)]
fn leaning() -> (Face, Truth) {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    let truths = fs::read_dir(folder).unwrap().filter_map(|entry| {
        let photo = entry.unwrap().path().with_extension("jpg");
        let truth = fs::read(photo.with_extension("truth.json")).ok()?;
        let truth: Truth = serde_json::from_slice(&truth).unwrap();
        Some((photo, truth))
    });
    let (photo, truth) = truths
        .into_iter()
        .find(|(_, truth)| truth.readable && truth.recipe.tilt_deg > 20.0)
        .unwrap();
    let face = photo::open(&fs::read(photo).unwrap(), &Limits::default()).unwrap();
    (face, truth)
}

/// Mean diameter of the face as a reading shows it: twice the last radius.
fn shown(reading: &Reading) -> f64 {
    2.0 * reading.rings.last().unwrap().radius_mm.unwrap().0
}

/// Along the slope a leaning camera shortens the face, across it does not: one
/// tape cannot be right for both, and its scale must not claim to be.
#[test]
fn a_tape_on_a_leaning_face_claims_no_more_than_it_knows() {
    let (face, truth) = leaning();
    // Across the slope the practice photo has its own scale.
    let side = (truth.recipe.tilt_direction_deg + 90.0).to_radians();
    let pith = Point::from(truth.pith);
    let to = Point::new(
        pith.x_px + 500.0 * side.cos(),
        pith.y_px + 500.0 * side.sin(),
    );
    let marks = Marks {
        tape: Some(Tape {
            from: pith,
            to,
            length_mm: Mm(500.0 * truth.mm_per_px),
        }),
        ..Marks::default()
    };
    let reading = reader::read("face.jpg", &face, &Facts::default(), &marks);
    let oval = reading.cautions.iter().any(|one| one.about == "face-oval");
    assert!(oval, "{:?}", reading.cautions);
    let off = shown(&reading) / truth.across_inside_bark_mm - 1.0;
    let claimed = reading.scale.unwrap().uncertainty;
    assert!(off.abs() > 0.05, "the lean shows: {off:.4}");
    assert!(off.abs() < 2.0 * claimed, "{off:.4}, claimed {claimed:.4}");
}
