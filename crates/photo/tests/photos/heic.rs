//! HEIC, where the build decodes it.

use crate::values::lines;
use crate::{assert_quarters, data, open};
use photo::{Limits, PhotoError};

#[test]
fn the_turn_is_obeyed_once() {
    let face = open("quarters.heic").unwrap();
    assert_quarters("quarters.heic", &face.rgb, 4);
    assert_eq!(face.taken.unwrap().to_string(), "2025-11-08");
    assert!((face.place.unwrap().latitude_deg - 44.51).abs() < 1e-9);
}

/// The second decoder smooths chroma in another way, so colors may differ by
/// a dozen steps; lightness, which is what rings are read from, by less than 2.
#[test]
fn colors_and_lightness_agree_with_a_second_decoder() {
    let face = open("rings.heic").unwrap();
    for fields in lines("heic ") {
        let [x, y] = [1, 2].map(|i| fields[i].parse::<u32>().unwrap());
        let expected = [3, 4, 5].map(|i| fields[i].parse::<u8>().unwrap());
        let ours = face.rgb.get_pixel(x, y).0;
        assert!(
            ours.iter().zip(expected).all(|(&a, b)| a.abs_diff(b) <= 12),
            "({x}, {y}): {ours:?} and not {expected:?}"
        );
        let off = face.lightness.values[[y as usize, x as usize]] - photo::lightness(expected);
        assert!(off.abs() < 2.0, "({x}, {y}): {off}");
    }
}

#[test]
fn a_heic_cut_off_or_over_the_limit_is_refused() {
    let bytes = data("rings.heic");
    for share in 1..=9 {
        let error =
            photo::open(&bytes[..bytes.len() * share / 10], &Limits::default()).unwrap_err();
        assert!(
            matches!(error, PhotoError::CutOff | PhotoError::Damaged { .. }),
            "{share}: {error:?}"
        );
    }
    let small = Limits { max_pixels: 1000 };
    assert!(matches!(
        photo::open(&bytes, &small),
        Err(PhotoError::TooManyPixels {
            width: 96,
            height: 96,
            limit: 1000
        })
    ));
}

/// Bytes changed here and there, as a bad card or an ill will leaves them: a
/// photo or an error, within bounds, and never a crash.
#[test]
#[expect(clippy::disallowed_types, reason = "a test may see how long it takes")]
fn a_heic_with_changed_bytes_is_a_photo_or_an_error() {
    let limits = Limits {
        max_pixels: 1_000_000,
    };
    // A small generator of our own, so that the same bytes change each time.
    let mut state = 20_251_108_u64;
    let mut next = |below: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) as usize % below
    };
    for name in ["rings.heic", "quarters.heic"] {
        let whole = data(name);
        let mut read = 0;
        let start = std::time::Instant::now();
        for _ in 0..150 {
            let mut bytes = whole.clone();
            for _ in 0..1 + next(4) {
                // Mostly the boxes at the start, where sizes and counts are.
                let end = if next(3) == 0 {
                    bytes.len()
                } else {
                    bytes.len().min(1200)
                };
                let at = next(end);
                bytes[at] = next(256) as u8;
            }
            if let Ok(face) = photo::open(&bytes, &limits) {
                let (width, height) = face.rgb.dimensions();
                assert!(u64::from(width) * u64::from(height) <= limits.max_pixels);
                read += 1;
            }
        }
        assert!(read > 0, "{name}: some changes do no harm");
        // A second each would be far too long for so small a picture.
        assert!(
            start.elapsed().as_secs() < 150,
            "{name}: {:?}",
            start.elapsed()
        );
    }
}
