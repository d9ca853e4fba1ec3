//! What is refused, with what is wrong and what to do.

use crate::{data, open};
use photo::{Limits, PhotoError};

#[track_caller]
fn refused(bytes: &[u8]) -> PhotoError {
    let error = photo::open(bytes, &Limits::default()).unwrap_err();
    let (message, advice) = (error.to_string(), error.advice());
    for text in [&message, &advice] {
        assert!(!text.is_empty() && !text.ends_with('.'), "{text}");
        assert!(text.starts_with(|c: char| c.is_lowercase()), "{text}");
    }
    error
}

#[test]
fn an_empty_file() {
    assert!(matches!(refused(b""), PhotoError::Empty));
}

#[test]
fn a_text_file_whatever_its_name() {
    let error = refused(b"Notes on the ash by the gate.\n");
    assert_eq!(error.to_string(), "this is not a photo but a text file");
    assert!(error.advice().contains("JPEG"));
}

#[test]
fn a_jpeg_cut_off_anywhere() {
    for name in [
        "baseline.jpg",
        "progressive.jpg",
        "day-and-place.jpg",
        "cmyk.jpg",
    ] {
        let bytes = data(name);
        // The last 16 rows of pixels are not asked for by the strict decoder,
        // so a file cut within its last tenth may still count as whole.
        for share in 1..=9 {
            let cut = &bytes[..bytes.len() * share / 10];
            let error = refused(cut);
            assert!(
                matches!(error, PhotoError::CutOff),
                "{name} at {share}: {error:?}"
            );
            assert!(error.advice().contains("copy the photo again"));
        }
    }
}

#[test]
fn a_jpeg_whose_copy_ended_in_zeros() {
    let mut bytes = data("baseline.jpg");
    let half = bytes.len() / 2;
    bytes[half..].fill(0);
    assert!(matches!(refused(&bytes), PhotoError::CutOff));
}

#[test]
fn a_jpeg_that_only_lacks_its_end_mark_is_opened() {
    for name in ["baseline.jpg", "gray.jpg"] {
        let bytes = data(name);
        let whole = photo::open(&bytes, &Limits::default()).unwrap();
        let bare = photo::open(&bytes[..bytes.len() - 2], &Limits::default()).unwrap();
        assert_eq!(bare.rgb, whole.rgb, "{name}");
    }
}

#[test]
fn a_jpeg_with_something_behind_its_end_is_opened() {
    let mut bytes = data("baseline.jpg");
    bytes.extend_from_slice(&data("gray.jpg")[..200]);
    assert!(photo::open(&bytes, &Limits::default()).is_ok());
}

#[test]
fn other_kinds_cut_off() {
    for name in [
        "color-16.png",
        "see-through.png",
        "lossless.webp",
        "lossy.webp",
        "deflate.tif",
    ] {
        let bytes = data(name);
        let error = refused(&bytes[..bytes.len() / 2]);
        assert!(
            matches!(error, PhotoError::CutOff | PhotoError::Damaged { .. }),
            "{name}: {error:?}"
        );
    }
}

#[test]
fn a_claim_of_sixty_thousand_pixels_each_way_before_memory_is_taken() {
    for name in ["huge-claim.png", "huge-claim.jpg"] {
        let error = open(name).unwrap_err();
        assert!(
            matches!(
                error,
                PhotoError::TooManyPixels {
                    width: 60000,
                    height: 60000,
                    limit: Limits::DEFAULT_MAX_PIXELS
                }
            ),
            "{name}: {error:?}"
        );
    }
}

#[test]
fn the_limit_can_be_lowered_and_raised() {
    let bytes = data("gray.png");
    let at = |max_pixels| photo::open(&bytes, &Limits { max_pixels });
    assert!(matches!(
        at(48 * 32 - 1),
        Err(PhotoError::TooManyPixels { .. })
    ));
    assert!(at(48 * 32).is_ok());
    assert!(at(u64::MAX).is_ok());
}

#[test]
fn heic_with_the_way_out() {
    let error = refused(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic and so on");
    if cfg!(feature = "heic") {
        assert!(matches!(
            error,
            PhotoError::Damaged { .. } | PhotoError::CutOff
        ));
    } else {
        assert_eq!(error.to_string(), "this build has no HEIC decoder");
        assert_eq!(
            error.advice(),
            "share the photo as JPEG, or set the camera to its most compatible format"
        );
    }
}

#[test]
fn a_raw_file_is_not_read_from_its_small_preview() {
    assert!(matches!(open("raw-preview.tif"), Err(PhotoError::Raw)));
}
