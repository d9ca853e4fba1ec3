//! Readings of practice faces whose rings are known exactly.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use photo::{Face, Limits};
use practice::{Recipe, Truth, Widths};
use wood::{Facts, Marks, Point, RingMark, RingMarkKind, WoodClass};

/// A prepared conifer face of 24 rings with bark, on grass.
fn face() -> (Face, Truth) {
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
}

#[test]
fn a_plain_face_is_counted_and_its_pith_found() {
    let (face, truth) = face();
    let reading = reader::read("face.jpg", &face, &Facts::default(), &Marks::default());
    assert!(reading.readable, "{:?}", reading.refusal);
    let count = reading.count.unwrap();
    assert!(
        count.best.abs_diff(truth.rings) <= 1,
        "{count:?} for {}",
        truth.rings
    );
    assert!(
        count.low <= truth.rings && truth.rings <= count.high,
        "{count:?}"
    );
    let pith = reading.pith.unwrap().point();
    let off = pith.distance(Point::new(truth.pith[0], truth.pith[1])).0;
    assert!(
        off < 0.015 * truth.recipe.radius_px(),
        "pith off by {off:.1} px"
    );
    assert_eq!(reading.rings.len(), count.best as usize);
}

#[test]
fn a_mark_is_kept_whatever_the_picture_says() {
    let (face, _) = face();
    let plain = reader::read("face.jpg", &face, &Facts::default(), &Marks::default());
    let pith = plain.pith.unwrap().point();
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
    let with = reader::read("face.jpg", &face, &Facts::default(), &added);
    assert_eq!(with.rings.len(), plain.rings.len() + 1);
    let taken = Marks {
        pith: Some(pith),
        rings: vec![RingMark {
            kind: RingMarkKind::NoBoundary,
            at: plain.rings[10].outline_px[0].unwrap(),
        }],
        ..Marks::default()
    };
    let without = reader::read("face.jpg", &face, &Facts::default(), &taken);
    assert_eq!(without.rings.len(), plain.rings.len() - 1);
}
