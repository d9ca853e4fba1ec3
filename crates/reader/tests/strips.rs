//! Rings counted along one strip, by the program and by a person.

use photo::{Face, Limits};
use practice::{Recipe, Truth};
use reader::ReadingSession;
use std::sync::OnceLock;
use wood::{Facts, Marks, Point, Px, Reading, RefusalReason, RingNote, Scope, Strip};

/// A face, drawn once for all tests.
fn face() -> &'static (Face, Truth) {
    static FACE: OnceLock<(Face, Truth)> = OnceLock::new();
    FACE.get_or_init(|| {
        let made = practice::render(&Recipe::random(8));
        let face = photo::open(&practice::jpeg(&made.rgb, 90), &Limits::default())
            .expect("a drawn photo opens");
        (face, made.truth)
    })
}

/// The reading of the whole face without a mark, once for all tests.
fn whole() -> &'static Reading {
    static WHOLE: OnceLock<Reading> = OnceLock::new();
    WHOLE.get_or_init(|| {
        let (face, _) = face();
        reader::read("face.jpg", face, &Facts::default(), &Marks::default())
    })
}

/// A strip from the true pith to the right, where the bark edge is that the program sees.
fn strip(reading: &Reading) -> Strip {
    let end = reading.bark_edge_px[0].expect("bark to the right of the pith");
    Strip::to_read(
        reading.pith.as_ref().expect("a pith").point(),
        end,
        Some(Px(120.0)),
    )
}

fn with(strip: Strip) -> Marks {
    Marks {
        strip: Some(strip),
        ..Marks::default()
    }
}

#[test]
fn a_marked_strip_gives_the_count_of_the_face() {
    let (face, truth) = face();
    let facts = Facts::default();
    let marks = with(strip(whole()));
    let reading = reader::read("face.jpg", face, &facts, &marks);
    assert!(reading.readable, "{:?}", reading.refusal);
    let truth = truth.rings;
    let count = reading.count.clone().unwrap();
    assert!(count.best.abs_diff(truth) <= 1, "{count:?} for {truth}");
    assert_eq!(reading.scope, Some(Scope::WholeFace));
    assert_eq!(reading.strip, marks.strip);
    assert_eq!(reading.counted_along(), Some("counted along one strip"));
    let shown = reading.rings.last().unwrap().outline_px.iter().flatten();
    for place in shown {
        let (_, Px(aside)) = marks.strip.as_ref().unwrap().locate(*place);
        assert!(aside.abs() <= 61.0, "{place:?} is shown outside the strip");
    }
}

#[test]
fn the_pith_seen_is_taken_where_a_strip_begins_short_of_it_and_not_within_the_strip() {
    let (face, _) = face();
    let facts = Facts::default();
    let whole_strip = strip(whole());
    let seen = whole_strip.from;
    let Px(length) = whole_strip.length();
    // The inner end, as a share of the length outward of the pith that is seen.
    for (outward, taken) in [(0.06, true), (-0.06, false)] {
        let marked = Strip {
            from: whole_strip.place(Px(outward * length), Px(0.0)),
            ..whole_strip.clone()
        };
        let reading = reader::read("face.jpg", face, &facts, &with(marked.clone()));
        let pith = reading.pith.expect("a pith").point();
        let expected = if taken { seen } else { marked.from };
        let off = pith.distance(expected).0 / length;
        assert!(
            off < 0.02,
            "{outward}: the pith is {off:.3} of the length off"
        );
    }
}

#[test]
fn rings_set_by_hand_are_the_count_and_nothing_else_is() {
    let (face, _) = face();
    let facts = Facts::default();
    let mut strip = Strip {
        by_hand: true,
        ..strip(whole())
    };
    let mut kept = ReadingSession::new(face, &facts, &with(strip.clone()));
    let none = kept.read("face.jpg", face, &facts, &with(strip.clone()));
    assert_eq!(none.refusal.unwrap().reason, RefusalReason::NotCounted);
    // Ten rings to the bark, the seventh set twice and the last at the bark.
    let Px(length) = strip.length();
    for tenth in [1, 2, 3, 4, 5, 6, 7, 7, 8, 9, 10] {
        strip
            .rings
            .push(strip.place(Px(length * f64::from(tenth) / 10.0), Px(3.0)));
        let marks = with(strip.clone());
        assert!(kept.fits(&facts, &marks), "setting a ring is quick");
        let reading = kept.read("face.jpg", face, &facts, &marks);
        assert_eq!(reading, reader::read("face.jpg", face, &facts, &marks));
        // The last gap is counted once it is no wider than rings are.
        let whole = tenth >= 9;
        let expected = if whole { 10 } else { tenth };
        assert_eq!(reading.count.unwrap().best, expected as u32, "{tenth} set");
        let scope = if whole {
            Scope::WholeFace
        } else {
            Scope::RingsInView
        };
        assert_eq!(reading.scope, Some(scope), "{tenth} set");
    }
}

#[test]
fn a_count_by_hand_is_a_reading_with_years_and_widths() {
    let (face, truth) = face();
    let facts = Facts {
        felled: Some("2025-11-03".parse().unwrap()),
        across_inside_bark_mm: Some(wood::Mm(400.0)),
        ..Facts::default()
    };
    let mut strip = Strip {
        by_hand: true,
        ..strip(whole())
    };
    let Px(length) = strip.length();
    strip.rings = (1..20)
        .map(|n| strip.place(Px(length * f64::from(n) / 20.0), Px(0.0)))
        .collect();
    let mut kept = ReadingSession::new(face, &facts, &with(strip.clone()));
    let reading = kept.read("face.jpg", face, &facts, &with(strip.clone()));
    let view = kept.strip_view().expect("a strip is marked");
    let proposed = view.proposed.len() as u32;
    assert!(proposed.abs_diff(truth.rings) <= 1, "{proposed} proposed");
    assert_eq!(view.chances.len(), length as usize + 1);
    assert_eq!(
        reading.counted_along(),
        Some("counted by hand along one strip")
    );
    assert_eq!(reading.rings.len(), 20);
    assert_eq!(reading.rings[19].year.unwrap().0, 2025);
    assert!(reading.rings[19].notes.contains(&RingNote::AtBark));
    // Even rings on a face of 400 mm: each a twentieth of the radius.
    let width = reading.rings[7].width_mm.unwrap().0;
    assert!((width - 10.0).abs() < 0.1, "{width} mm");
    assert!(reading.age.is_some() && !reading.decades.is_empty());
    // A mark on the bark edge tells where it is, on a photo that does not show it.
    let far = Point::new(strip.to.x_px - 0.3 * length, strip.to.y_px);
    let short = Strip {
        to: far,
        rings: strip.rings[..13].to_vec(),
        ..strip
    };
    let open = reader::read("face.jpg", face, &facts, &with(short.clone()));
    assert_eq!(open.scope, Some(Scope::RingsInView));
    let marks = Marks {
        bark: vec![far],
        ..with(short)
    };
    let closed = reader::read("face.jpg", face, &facts, &marks);
    assert_eq!(closed.scope, Some(Scope::WholeFace));
}
