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

/// The second decoder smooths chroma in another way, so colours may differ by
/// a dozen steps; lightness, which is what rings are read from, by less than 2.
#[test]
fn colours_and_lightness_agree_with_a_second_decoder() {
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
