//! `photo::open` on the small pictures of `tests/data`, one file a subject.
#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot read its own picture has failed"
)]

mod any_bytes;
mod camera;
#[cfg(feature = "heic")]
mod heic;
mod kinds;
mod refused;
mod values;

use photo::{Face, Limits, PhotoError, RgbImage};
use std::path::Path;

/// The bytes of one of the small pictures.
#[expect(
    clippy::disallowed_methods,
    reason = "the crate opens no files; its tests read their own pictures"
)]
fn data(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn open(name: &str) -> Result<Face, PhotoError> {
    photo::open(&data(name), &Limits::default())
}

/// The four quarters that most of the pictures show: upper left, upper right,
/// lower left, lower right, as in `make.py`.
const QUARTERS: [[u8; 3]; 4] = [[200, 60, 40], [60, 160, 70], [50, 80, 190], [225, 205, 120]];

/// Whether the picture is the four quarters, 48 by 32, each value within `off`.
#[track_caller]
fn assert_quarters(name: &str, picture: &RgbImage, off: u8) {
    assert_eq!(picture.dimensions(), (48, 32), "{name}");
    for (x, y, pixel) in picture.enumerate_pixels() {
        let quarter = QUARTERS[usize::from(x >= 24) + 2 * usize::from(y >= 16)];
        assert!(
            pixel
                .0
                .iter()
                .zip(quarter)
                .all(|(&a, b)| a.abs_diff(b) <= off),
            "{name}: {:?} and not {quarter:?} at ({x}, {y})",
            pixel.0
        );
    }
}
