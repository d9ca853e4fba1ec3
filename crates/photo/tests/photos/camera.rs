//! What the camera wrote: turn, day, place.

use crate::{assert_quarters, open};

#[test]
fn all_eight_turns_stand_upright() {
    for turn in 1..=8 {
        let name = format!("turn-{turn}.jpg");
        assert_quarters(&name, &open(&name).unwrap().rgb, 4);
    }
}

#[test]
fn a_turn_is_obeyed_in_every_kind_of_file() {
    for name in ["turn-6.png", "turn-6.webp", "turn-6.tif"] {
        assert_quarters(name, &open(name).unwrap().rgb, 0);
    }
}

#[test]
fn the_lightness_is_upright_too() {
    let face = open("turn-6.png").unwrap();
    assert_eq!(face.lightness.values.dim(), (32, 48));
    // The upper left quarter is dark red, the lower right one light yellow.
    assert!((face.lightness.values[[2, 2]] - 45.6).abs() < 1.0);
    assert!((face.lightness.values[[30, 45]] - 82.5).abs() < 1.0);
}

#[test]
fn day_and_place_are_read() {
    for name in [
        "day-and-place.jpg",
        "day-and-place.png",
        "day-and-place.webp",
    ] {
        let face = open(name).unwrap();
        assert_eq!(face.taken.unwrap().to_string(), "2025-11-08", "{name}");
        let place = face.place.unwrap();
        // 44 degrees 30' 36" north, 72 degrees 15' west.
        assert!((place.latitude_deg - 44.51).abs() < 1e-9, "{name}");
        assert!((place.longitude_deg + 72.25).abs() < 1e-9, "{name}");
        assert_quarters(name, &face.rgb, 4);
    }
}

#[test]
fn a_photo_without_day_or_place_has_none() {
    let face = open("baseline.jpg").unwrap();
    assert_eq!((face.taken, face.place), (None, None));
}

#[test]
fn nonsense_beside_the_picture_is_passed_over() {
    for name in ["nonsense-day.jpg", "blank-day.jpg", "nonsense-exif.jpg"] {
        let face = open(name).unwrap();
        assert_eq!((face.taken, face.place), (None, None), "{name}");
        assert_quarters(name, &face.rgb, 4);
    }
}

#[test]
fn a_turn_before_the_nonsense_is_still_obeyed() {
    let face = open("broken-exif.jpg").unwrap();
    assert_eq!((face.taken, face.place), (None, None));
    assert_quarters("broken-exif.jpg", &face.rgb, 4);
}
