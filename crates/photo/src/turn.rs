//! Turning a photo upright, as the camera's orientation says.

use crate::transpose::transpose;
use image::RgbImage;
use image::imageops::{flip_horizontal_in_place, flip_vertical_in_place, rotate180_in_place};
use image::metadata::Orientation;
use rayon::prelude::*;

/// Rows of the upright picture that are filled together, so that the pixels
/// that are side by side in the stored column are used while they are near.
const BAND_ROWS: usize = 32;

/// From how many pixels on a quarter turn is done in place, which takes longer (about
/// a second of processor time at 48 megapixels) and no second copy of the colors.
const IN_PLACE_FROM: u64 = 24_000_000;

/// The photo, upright. Half turns and mirrors are done in place; quarter turns of
/// photos under 24 megapixels take a second copy of the colors, for as long as they
/// last.
pub(crate) fn upright(stored: RgbImage, orientation: Orientation) -> RgbImage {
    let mut photo = stored;
    match orientation {
        Orientation::NoTransforms => {}
        Orientation::FlipHorizontal => flip_horizontal_in_place(&mut photo),
        Orientation::FlipVertical => flip_vertical_in_place(&mut photo),
        Orientation::Rotate180 => rotate180_in_place(&mut photo),
        // Upright row y is stored column y or the one as far from the right;
        // along it the stored rows run down or up.
        Orientation::Rotate90 => photo = turned(photo, false, true),
        Orientation::Rotate270 => photo = turned(photo, true, false),
        Orientation::Rotate90FlipH => photo = turned(photo, false, false),
        Orientation::Rotate270FlipH => photo = turned(photo, true, true),
    }
    photo
}

/// Rows become columns, as [`across`] says; in place where the photo is large.
fn turned(stored: RgbImage, from_right: bool, from_bottom: bool) -> RgbImage {
    let (width, height) = stored.dimensions();
    if u64::from(width) * u64::from(height) < IN_PLACE_FROM {
        return across(&stored, from_right, from_bottom);
    }
    in_place(stored, from_right, from_bottom)
}

/// The same as [`across`], with hardly any memory beside the picture's own.
fn in_place(stored: RgbImage, from_right: bool, from_bottom: bool) -> RgbImage {
    let (width, height) = stored.dimensions();
    let mut raw = stored.into_raw();
    transpose(raw.as_chunks_mut().0, width as usize);
    // The same bytes, with the sides swapped: they always fit.
    let mut upright = RgbImage::from_raw(height, width, raw).unwrap_or_default();
    if from_right {
        flip_vertical_in_place(&mut upright);
    }
    if from_bottom {
        flip_horizontal_in_place(&mut upright);
    }
    upright
}

/// Rows become columns. `from_right`: the first upright row is the last stored
/// column; `from_bottom`: the first upright column is the last stored row.
fn across(stored: &RgbImage, from_right: bool, from_bottom: bool) -> RgbImage {
    let stored_width = stored.width() as usize;
    let (width, height) = (stored.height() as usize, stored_width);
    let pixels = stored.as_raw();
    let mut upright = RgbImage::new(stored.height(), stored.width());
    if width == 0 || height == 0 {
        return upright;
    }
    upright
        .par_chunks_mut(width * 3 * BAND_ROWS)
        .enumerate()
        .for_each(|(band, rows)| {
            let first = band * BAND_ROWS;
            for x in 0..width {
                let stored_y = if from_bottom { width - 1 - x } else { x };
                let stored_row = &pixels[stored_y * stored_width * 3..][..stored_width * 3];
                for (row, line) in rows.chunks_exact_mut(width * 3).enumerate() {
                    let y = first + row;
                    let stored_x = if from_right { height - 1 - y } else { y };
                    line[x * 3..x * 3 + 3]
                        .copy_from_slice(&stored_row[stored_x * 3..stored_x * 3 + 3]);
                }
            }
        });
    upright
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{DynamicImage, Rgb};

    /// A picture in which every pixel is different.
    fn numbered(width: u32, height: u32) -> RgbImage {
        RgbImage::from_fn(width, height, |x, y| Rgb([x as u8, y as u8, (x ^ y) as u8]))
    }

    #[test]
    fn three_by_two_pixels_turn_as_the_eight_orientations_say() {
        // Stored:  a b c
        //          d e f
        let stored = RgbImage::from_fn(3, 2, |x, y| Rgb([b'a' + (x + 3 * y) as u8; 3]));
        for (tag, rows) in [
            (1, "abc/def"),
            (2, "cba/fed"),
            (3, "fed/cba"),
            (4, "def/abc"),
            (5, "ad/be/cf"),
            (6, "da/eb/fc"),
            (7, "fc/eb/da"),
            (8, "cf/be/ad"),
        ] {
            let orientation = Orientation::from_exif(tag).unwrap();
            let photo = upright(stored.clone(), orientation);
            let seen: Vec<String> = photo
                .rows()
                .map(|row| row.map(|pixel| char::from(pixel.0[0])).collect())
                .collect();
            assert_eq!(seen.join("/"), rows, "orientation {tag}");
        }
    }

    #[test]
    fn the_turn_agrees_with_the_image_crate_on_sizes_around_a_band() {
        for (width, height) in [(1, 1), (1, 40), (31, 33), (64, 65), (97, 5)] {
            for tag in 1..=8 {
                let orientation = Orientation::from_exif(tag).unwrap();
                let mut expected = DynamicImage::ImageRgb8(numbered(width, height));
                expected.apply_orientation(orientation);
                assert_eq!(
                    upright(numbered(width, height), orientation),
                    expected.into_rgb8(),
                    "{width} by {height}, orientation {tag}"
                );
            }
            for (from_right, from_bottom) in
                [(false, false), (false, true), (true, false), (true, true)]
            {
                assert_eq!(
                    in_place(numbered(width, height), from_right, from_bottom),
                    across(&numbered(width, height), from_right, from_bottom),
                    "{width} by {height}, {from_right}, {from_bottom}"
                );
            }
        }
    }
}
