//! Any bytes at all: an error perhaps, a panic never.

use crate::data;
use photo::Limits;
use proptest::prelude::*;

/// Small, so that a claim of many pixels costs the test nothing.
const SMALL: Limits = Limits {
    max_pixels: 100_000,
};

const WHOLE: [&str; 16] = [
    "baseline.jpg",
    "progressive.jpg",
    "cmyk.jpg",
    "ycck.jpg",
    "day-and-place.jpg",
    "broken-exif.jpg",
    "day-and-place.png",
    "palette.png",
    "color-16.png",
    "turn-6.tif",
    "deflate.tif",
    "lossless.webp",
    "lossy.webp",
    "day-and-place.webp",
    "quarters.heic",
    "rings.heic",
];

/// A known beginning, so that the bytes behind it reach the decoders.
const BEGINNINGS: [&[u8]; 6] = [
    b"",
    b"\xff\xd8\xff",
    b"\x89PNG\r\n\x1a\n",
    b"II*\0",
    b"RIFF\x40\0\0\0WEBP",
    b"\0\0\0\x18ftyp",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn arbitrary_bytes_never_panic(
        beginning in 0..BEGINNINGS.len(),
        rest in proptest::collection::vec(any::<u8>(), 0..600),
    ) {
        let bytes = [BEGINNINGS[beginning], &rest].concat();
        if let Err(error) = photo::open(&bytes, &SMALL) {
            prop_assert!(!error.advice().is_empty());
        }
    }

    #[test]
    fn a_photo_with_bytes_changed_never_panics(
        which in 0..WHOLE.len(),
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        cut in any::<prop::sample::Index>(),
        is_cut in any::<bool>(),
    ) {
        let mut bytes = data(WHOLE[which]);
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if is_cut {
            let length = cut.index(bytes.len());
            bytes.truncate(length);
        }
        if let Ok(face) = photo::open(&bytes, &SMALL) {
            let (width, height) = face.rgb.dimensions();
            let side = |px: u32| px as usize / face.lightness.square_px;
            prop_assert_eq!(face.lightness.values.dim(), (side(height), side(width)));
            prop_assert!(face.lightness.values.iter().all(|l| (0.0..=100.01).contains(l)));
        }
    }

    #[test]
    fn changed_bytes_at_the_start_where_the_headers_are_never_panic(
        which in 0..WHOLE.len(),
        changes in proptest::collection::vec((0_usize..220, any::<u8>()), 1..6),
    ) {
        let mut bytes = data(WHOLE[which]);
        for (at, value) in changes {
            if let Some(byte) = bytes.get_mut(at) {
                *byte = value;
            }
        }
        let _ = photo::open(&bytes, &SMALL);
    }
}
