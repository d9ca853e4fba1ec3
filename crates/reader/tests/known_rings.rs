//! Readings of practice faces whose rings are known exactly.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use photo::{Face, Limits, RgbImage};
use practice::{Recipe, Truth, Widths};
use std::sync::OnceLock;
use wood::{Facts, Marks, PithSource, Point, Reading, RingMark, RingMarkKind, WoodClass};

/// A prepared conifer face of 24 rings with bark, on grass, drawn once for all tests.
fn face() -> &'static (Face, Truth) {
    static FACE: OnceLock<(Face, Truth)> = OnceLock::new();
    FACE.get_or_init(|| {
        let recipe = Recipe {
            seed: 5,
            wood: WoodClass::Conifer,
            rings: 24,
            width_px: 900,
            height_px: 900,
            radius_share: 0.85,
            widths: Widths::default(),
            ..Recipe::default()
        };
        let made = practice::render(&recipe);
        let face = photo::open(&practice::jpeg(&made.rgb, 92), &Limits::default()).unwrap();
        (face, made.truth)
    })
}

/// That face read without facts and marks, once for all tests.
fn plain() -> &'static Reading {
    static PLAIN: OnceLock<Reading> = OnceLock::new();
    PLAIN.get_or_init(|| {
        let (face, _) = face();
        reader::read("face.jpg", face, &Facts::default(), &Marks::default())
    })
}

#[test]
fn a_plain_face_is_counted_and_its_pith_found() {
    let (_, truth) = face();
    let reading = plain();
    assert!(reading.readable, "{:?}", reading.refusal);
    let count = reading.count.as_ref().unwrap();
    assert!(
        count.best.abs_diff(truth.rings) <= 1,
        "{count:?} for {}",
        truth.rings
    );
    assert!(
        count.low <= truth.rings && truth.rings <= count.high,
        "{count:?}"
    );
    let pith = reading.pith.as_ref().unwrap().point();
    let off = pith.distance(Point::new(truth.pith[0], truth.pith[1])).0;
    assert!(
        off < 0.015 * truth.recipe.radius_px(),
        "pith off by {off:.1} px"
    );
    assert_eq!(reading.rings.len(), count.best as usize);
}

#[test]
fn with_the_pith_outside_the_photo_every_ring_counted_is_in_view() {
    let made = practice::render(&Recipe {
        seed: 5,
        rings: 40,
        width_px: 1200,
        height_px: 1200,
        radius_share: 0.85,
        ..Recipe::default()
    });
    // The pith is about 150 pixels under the lower edge.
    let upper = RgbImage::from_fn(1200, 450, |x, y| *made.rgb.get_pixel(x, y));
    let face = photo::open(&practice::jpeg(&upper, 92), &Limits::default()).unwrap();
    let reading = reader::read("face.jpg", &face, &Facts::default(), &Marks::default());
    assert!(reading.readable, "{:?}", reading.refusal);
    assert_eq!(reading.pith.unwrap().from, PithSource::Outside);
    for ring in &reading.rings {
        assert!(
            ring.outline_px.iter().any(Option::is_some),
            "ring {} is nowhere in the photo",
            ring.number
        );
    }
}

#[test]
fn a_mark_is_kept_whatever_the_picture_says() {
    let (face, _) = face();
    let plain = plain();
    let pith = plain.pith.as_ref().unwrap().point();
    let middle = |a: usize, b: usize| {
        let place = |ring: usize| plain.rings[ring].outline_px[0].unwrap();
        Point::new(
            (place(a).x_px + place(b).x_px) / 2.0,
            (place(a).y_px + place(b).y_px) / 2.0,
        )
    };
    let added = Marks {
        pith: Some(pith),
        rings: vec![RingMark {
            kind: RingMarkKind::Boundary,
            at: middle(10, 11),
        }],
        ..Marks::default()
    };
    let with = reader::read("face.jpg", face, &Facts::default(), &added);
    assert_eq!(with.rings.len(), plain.rings.len() + 1);
    let taken = Marks {
        pith: Some(pith),
        rings: vec![RingMark {
            kind: RingMarkKind::NoBoundary,
            at: plain.rings[10].outline_px[0].unwrap(),
        }],
        ..Marks::default()
    };
    let without = reader::read("face.jpg", face, &Facts::default(), &taken);
    assert_eq!(without.rings.len(), plain.rings.len() - 1);
}

/// A place `beyond` pixels outside a ring's outline, at one step of angle.
fn outside(reading: &wood::Reading, ring: usize, step: usize, beyond: f64) -> Point {
    let pith = reading.pith.as_ref().unwrap().point();
    let on = reading.rings[ring].outline_px[step].unwrap();
    pith.toward(pith.angle_to(on), wood::Px(pith.distance(on).0 + beyond))
}

#[test]
fn reading_again_gives_what_reading_anew_gives() {
    let (face, _) = face();
    let facts = Facts::default();
    let mut marks = Marks::default();
    let mut kept = reader::ReadingSession::new(face, &facts, &marks);
    let plain = plain();
    assert_eq!(
        &kept.read("face.jpg", face, &facts, &marks),
        plain,
        "without a mark"
    );
    let mark = |kind, at| RingMark { kind, at };
    let steps = [
        mark(
            RingMarkKind::NoBoundary,
            plain.rings[7].outline_px[10].unwrap(),
        ),
        mark(RingMarkKind::Boundary, outside(plain, 12, 30, 6.0)),
        // Outside the bark edge: it is pushed out, and comes back with undo.
        mark(RingMarkKind::Boundary, outside(plain, 23, 60, 25.0)),
    ];
    for step in steps {
        marks.rings.push(step);
        assert!(kept.fits(&facts, &marks));
        assert_eq!(
            kept.read("face.jpg", face, &facts, &marks),
            reader::read("face.jpg", face, &facts, &marks),
            "after {step:?}"
        );
    }
    marks.rings.clear();
    assert_eq!(
        &kept.read("face.jpg", face, &facts, &marks),
        plain,
        "all taken back"
    );
}

/// A mark of the bark edge or of a part that cannot be read needs no network:
/// a person waits for a tenth of a second and not for three.
#[test]
fn bark_marks_and_paint_are_put_on_and_taken_off_without_following_anew() {
    let (face, _) = face();
    let facts = Facts::default();
    let mut marks = Marks::default();
    let mut kept = reader::ReadingSession::new(face, &facts, &marks);
    let plain = plain();
    assert_eq!(&kept.read("face.jpg", face, &facts, &marks), plain);
    let last = plain.rings.len() - 1;
    let near = outside(plain, last, 45, -18.0);
    let area: Vec<Point> = [(10, 0.0), (10, 60.0), (20, 60.0), (20, 0.0)]
        .into_iter()
        .map(|(step, beyond)| outside(plain, 9, step, beyond))
        .collect();
    marks.bark.push(near);
    let mut states = vec![(marks.clone(), "a bark mark")];
    marks.unreadable.push(area.clone());
    states.push((marks.clone(), "paint"));
    marks.rings.push(RingMark {
        kind: RingMarkKind::NoBoundary,
        at: plain.rings[5].outline_px[70].unwrap(),
    });
    states.push((marks.clone(), "a ring taken away"));
    marks.bark.clear();
    states.push((marks.clone(), "the bark left to the program"));
    marks.rings.clear();
    states.push((marks.clone(), "the ring back"));
    marks.unreadable.clear();
    states.push((marks.clone(), "nothing marked"));
    for (marks, what) in states {
        assert!(kept.fits(&facts, &marks), "{what} is quick");
        let again = kept.read("face.jpg", face, &facts, &marks);
        let anew = if marks == Marks::default() {
            plain.clone()
        } else {
            reader::read("face.jpg", face, &facts, &marks)
        };
        assert_eq!(again, anew, "after {what}");
        if what == "the ring back" {
            assert_ne!(&again, plain, "paint changes what is seen");
        }
    }
}

/// What is painted over a lost stretch takes it out of the count's evidence:
/// paint over half the circle leaves what the other half shows.
#[test]
fn paint_over_half_of_the_circle_leaves_the_count_to_the_other_half() {
    let (face, truth) = face();
    let plain = plain();
    let pith = plain.pith.as_ref().unwrap().point();
    let at = |x: f64, y: f64| Point::new(pith.x_px + x, pith.y_px + y);
    let marks = Marks {
        unreadable: vec![vec![
            at(20.0, -900.0),
            at(900.0, -900.0),
            at(900.0, 900.0),
            at(20.0, 900.0),
        ]],
        ..Marks::default()
    };
    let with = reader::read("face.jpg", face, &Facts::default(), &marks);
    assert!(with.readable, "{:?}", with.refusal);
    let count = with.count.unwrap().best;
    assert!(count.abs_diff(truth.rings) <= 1, "{count}");
}

#[test]
fn a_year_marked_outside_the_bark_edge_moves_that_edge() {
    let (face, _) = face();
    let plain = plain();
    let far = outside(plain, plain.rings.len() - 1, 60, 25.0);
    let marks = Marks {
        rings: vec![RingMark {
            kind: RingMarkKind::Boundary,
            at: far,
        }],
        ..Marks::default()
    };
    let with = reader::read("face.jpg", face, &Facts::default(), &marks);
    let pith = with.pith.as_ref().unwrap().point();
    let edge = with.rings.last().unwrap().outline_px[60].unwrap();
    let off = (pith.distance(edge).0 - pith.distance(far).0).abs();
    assert!(off < 3.0, "the last ring ends {off:.1} px beside the mark");
    let radii: Vec<f64> = with.rings.iter().map(|ring| ring.radius_px.0).collect();
    assert!(radii.is_sorted(), "{radii:?}");
}

#[test]
fn the_bark_edge_runs_through_where_it_is_marked() {
    let (face, _) = face();
    let plain = plain();
    let last = plain.rings.len() - 1;
    let at = outside(plain, last, 45, -18.0);
    let marks = Marks {
        pith: Some(plain.pith.as_ref().unwrap().point()),
        bark: vec![at],
        ..Marks::default()
    };
    let with = reader::read("face.jpg", face, &Facts::default(), &marks);
    let pith = with.pith.as_ref().unwrap().point();
    let marked = pith.distance(with.bark_edge_px[45].unwrap()).0;
    assert!(
        (marked - pith.distance(at).0).abs() < 4.0,
        "the edge runs at {marked:.1}, marked at {:.1}",
        pith.distance(at).0
    );
    let far = with.bark_edge_px[105].unwrap();
    let before = plain.bark_edge_px[105].unwrap();
    assert!(
        far.distance(before).0 < 4.0,
        "half a turn away it stays: {far:?} {before:?}"
    );
}

/// A new pith, a strip or a scale: what no mark changes is not looked for again.
#[test]
fn following_again_gives_what_following_anew_gives() {
    let (face, _) = face();
    let facts = Facts::default();
    let plain = reader::read("face.jpg", face, &facts, &Marks::default());
    let pith = plain.pith.as_ref().unwrap().point();
    let beside = Point::new(pith.x_px + 9.0, pith.y_px - 4.0);
    let tape = wood::Tape {
        from: pith,
        to: outside(&plain, 15, 0, 0.0),
        length_mm: wood::Mm(120.0),
    };
    let states = [
        Marks {
            pith: Some(beside),
            ..Marks::default()
        },
        Marks {
            pith: Some(beside),
            tape: Some(tape),
            ..Marks::default()
        },
        Marks::default(),
    ];
    let mut kept = reader::ReadingSession::new(face, &facts, &Marks::default());
    for marks in states {
        kept = kept
            .again(face, &facts, &marks, &|_| {
                std::ops::ControlFlow::Continue(())
            })
            .unwrap();
        assert_eq!(
            kept.read("face.jpg", face, &facts, &marks),
            reader::read("face.jpg", face, &facts, &marks),
            "{marks:?}"
        );
    }
}

/// The face was taken for smaller than the person says it is: the mark is law,
/// and what is within it is looked at.
#[test]
fn a_bark_mark_far_outside_what_was_taken_for_the_face_rules() {
    let (face, _) = face();
    let facts = Facts::default();
    let mut kept = reader::ReadingSession::new(face, &facts, &Marks::default());
    let plain = kept.read("face.jpg", face, &facts, &Marks::default());
    let at = outside(&plain, plain.rings.len() - 1, 45, 75.0);
    let marks = Marks {
        pith: Some(plain.pith.as_ref().unwrap().point()),
        bark: vec![at],
        ..Marks::default()
    };
    assert!(!kept.fits(&facts, &marks), "the face is looked at anew");
    let with = kept.read("face.jpg", face, &facts, &marks);
    assert_eq!(with, reader::read("face.jpg", face, &facts, &marks));
    let off = with.bark_edge_px[45].unwrap().distance(at).0;
    assert!(off < 6.0, "the edge runs {off:.1} px beside the mark");
}

#[test]
fn joined_lines_become_one_ring_that_runs_through_both() {
    let (face, _) = face();
    let plain = plain();
    let (first, second) = (
        plain.rings[9].outline_px[0].unwrap(),
        plain.rings[10].outline_px[60].unwrap(),
    );
    let marks = Marks {
        joined: vec![vec![first, second]],
        ..Marks::default()
    };
    let with = reader::read("face.jpg", face, &Facts::default(), &marks);
    assert_eq!(with.rings.len(), plain.rings.len() - 1);
    let joined = with
        .rings
        .iter()
        .find(|ring| ring.notes.contains(&wood::RingNote::Marked))
        .unwrap();
    for (step, place) in [(0, first), (60, second)] {
        let off = joined.outline_px[step].unwrap().distance(place).0;
        assert!(off < 2.5, "{off:.1} px off at step {step}");
    }
}

/// Given the wrong wood class, a reading must doubt it and not count confidently.
#[test]
fn a_wood_class_that_the_picture_speaks_against_is_doubted() {
    let (face, _) = face();
    let doubted = |wood| {
        let facts = Facts {
            wood: Some(wood),
            ..Facts::default()
        };
        let reading = reader::read("face.jpg", face, &facts, &Marks::default());
        reading.cautions.iter().any(|c| c.about == "wood-doubt")
    };
    assert!(doubted(WoodClass::RingPorous));
    assert!(!doubted(WoodClass::Conifer));
}
