//! A pith marked far from the face: nothing is counted around it.

use photo::{Face, Limits};
use practice::Recipe;
use wood::{Facts, Marks, Point};

fn face() -> Face {
    let made = practice::render(&Recipe {
        rings: 9,
        width_px: 260,
        height_px: 240,
        ..Recipe::default()
    });
    photo::open(&practice::jpeg(&made.rgb, 90), &Limits::default()).expect("a drawn photo opens")
}

#[test]
fn a_face_is_refused_around_a_pith_that_its_rings_do_not_circle() {
    let marks = Marks {
        pith: Some(Point::new(-400.0, 0.0)),
        ..Marks::default()
    };
    let face = face();
    let reading = reader::read("face.jpg", &face, &Facts::default(), &marks);
    let refusal = reading
        .refusal
        .expect("26 rings were counted on a face of nine");
    assert!(refusal.detail.contains("marked pith"), "{}", refusal.detail);
    let plain = reader::read("face.jpg", &face, &Facts::default(), &Marks::default());
    assert!(plain.readable, "the same face is read without the mark");
}
