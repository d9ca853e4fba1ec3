//! A width that a person gives comes out again, on every practice photo, and
//! width and tape agree within what they claim.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use photo::{Face, Limits};
use practice::Truth;
use reader::ReadingSession;
use std::fs;
use std::path::PathBuf;
use wood::{Facts, Marks, Mm, Point, Reading, Tape};

/// Every photo in `samples/` that can be read, with its truth.
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads the practice photos that it is about"
)]
fn samples() -> Vec<(String, Face, Truth)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    let mut names: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "jpg"))
        .collect();
    names.sort();
    names
        .into_iter()
        .map(|path| {
            let face = photo::open(&fs::read(&path).unwrap(), &Limits::default()).unwrap();
            let truth = fs::read(path.with_extension("truth.json")).unwrap();
            let truth: Truth = serde_json::from_slice(&truth).unwrap();
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            (name, face, truth)
        })
        .filter(|(_, _, truth)| truth.readable)
        .collect()
}

/// Mean diameter of the face as a reading shows it: twice the last radius.
fn shown(reading: &Reading) -> f64 {
    2.0 * reading.rings.last().unwrap().radius_mm.unwrap().0
}

fn has(reading: &Reading, about: &str) -> bool {
    reading
        .cautions
        .iter()
        .any(|caution| caution.about == about)
}

#[test]
fn the_width_given_is_the_width_shown_and_tapes_agree_with_it() {
    let all = samples();
    assert!(all.len() >= 9, "only {} samples", all.len());
    let mut taped = 0;
    for (name, face, truth) in all {
        let given = truth.across_inside_bark_mm;
        let facts = Facts {
            across_inside_bark_mm: Some(Mm(given)),
            ..Facts::default()
        };
        let mut kept = ReadingSession::new(&face, &facts, &Marks::default());
        let by_width = kept.read(&name, &face, &facts, &Marks::default());
        let off = shown(&by_width) / given - 1.0;
        assert!(off.abs() < 0.005, "{name}: {given} given, off by {off:.4}");
        // The camera leans 35 degrees on one of them, and it is said.
        let leans = truth.recipe.tilt_deg > 20.0;
        assert_eq!(has(&by_width, "face-oval"), leans, "{name}");
        let scale = by_width.scale.clone().unwrap();
        if !leans {
            let off = scale.mm_per_px.0 / truth.mm_per_px - 1.0;
            assert!(
                off.abs() < 2.0 * scale.uncertainty.max(0.005),
                "{name}: scale off by {off:.4}"
            );
        }
        if let Some(tape) = &truth.tape {
            taped += 1;
            let marks = Marks {
                tape: Some(Tape {
                    from: Point::from(tape.from),
                    to: Point::from(tape.to),
                    length_mm: Mm(tape.length_mm),
                }),
                ..Marks::default()
            };
            let by_tape = kept.read(&name, &face, &Facts::default(), &marks);
            let claimed = by_tape
                .scale
                .as_ref()
                .unwrap()
                .uncertainty
                .hypot(scale.uncertainty);
            let off = shown(&by_tape) / shown(&by_width) - 1.0;
            assert!(
                off.abs() < 2.0 * claimed,
                "{name}: tape and width differ by {off:.4}, claimed {claimed:.4}"
            );
        }
    }
    assert!(taped >= 2, "only {taped} samples have a tape");
}

/// Along the slope a leaning camera shortens the face, across it does not: one
/// tape cannot be right for both, and its scale must not claim to be.
#[test]
fn a_tape_on_a_leaning_face_claims_no_more_than_it_knows() {
    let (name, face, truth) = samples()
        .into_iter()
        .find(|(_, _, truth)| truth.recipe.tilt_deg > 20.0)
        .unwrap();
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
    let reading = reader::read(&name, &face, &Facts::default(), &marks);
    assert!(has(&reading, "face-oval"), "{:?}", reading.cautions);
    let off = shown(&reading) / truth.across_inside_bark_mm - 1.0;
    let claimed = reading.scale.unwrap().uncertainty;
    assert!(off.abs() > 0.05, "the lean shows: {off:.4}");
    assert!(off.abs() < 2.0 * claimed, "{off:.4}, claimed {claimed:.4}");
}
