//! In: a size in megapixels. Out: the drawn photo that speed is measured on.
//! Never: files, clocks; these are in `benches/` and in `cargo xtask bench`.
//!
//! `cargo bench -p bench --profile chores` measures each stage, `cargo xtask
//! bench` the whole program against what it must not exceed.

use practice::{Recipe, Troubles, Widths};
use wood::WoodClass;

/// Sizes at which speed is measured, in megapixels: a picture sent by a
/// messenger, a phone's usual one, a phone's largest.
pub const SIZES: [u32; 3] = [2, 12, 48];

/// A stump of 80 rings as a phone takes it, four by three, as a JPEG of quality
/// 92: the same tree at every size, so that rings are wider in larger photos.
///
/// The face fills most of the picture, pith off its middle, with checks, saw
/// marks, shade and grain: a day's usual photo and not the best of them.
///
/// # Example
/// ```
/// let bytes = bench::photo_of(2);
/// assert_eq!(bytes[..2], [0xFF, 0xD8], "a JPEG");
/// ```
#[must_use]
pub fn photo_of(megapixels: u32) -> Vec<u8> {
    let height = (f64::from(megapixels) * 1e6 * 0.75).sqrt().round();
    let face = practice::render(&Recipe {
        seed: 12,
        wood: WoodClass::Conifer,
        rings: 80,
        width_px: (height * 4.0 / 3.0).round() as u32,
        height_px: height as u32,
        radius_share: 0.85,
        widths: Widths::default(),
        troubles: Troubles {
            checks: 3,
            saw_marks: 0.2,
            shade: 0.3,
            grain: 0.3,
            jpeg_quality: 92,
            ..Troubles::default()
        },
        ..Recipe::default()
    });
    practice::jpeg(&face.rgb, 92)
}
