//! Lightness as the eye sees it, from linear light.

use crate::shrink::{add_squares, to_means};
use image::RgbImage;
use ndarray::Array2;
use rayon::prelude::*;
use std::sync::LazyLock;

/// Shares of linear red, green and blue in the luminance Y, with Y = 1 for
/// white (IEC 61966-2-1, second row of the matrix for D65).
const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// Steps of the table from luminance to lightness. With 4096 the straight
/// piece between two entries is nowhere more than 0.001 off (tested).
const STEPS: usize = 4096;

/// Longest side of the lightness that a face keeps: rings three photo pixels
/// wide in a 12 megapixel photo still show (chosen).
const KEPT_SIDE_PX: u32 = 2400;

/// Lightness L* (CIE 1976), 0 for black to 100 for white, of a photo or of one so
/// many times smaller, whose values are means.
#[derive(Debug, Clone, PartialEq)]
pub struct Lightness {
    /// `[y, x]`, 0 to 100.
    pub values: Array2<f32>,
    /// Photo pixels along each side of the square that a value stands for.
    pub square_px: usize,
}

impl Lightness {
    /// Lightness of squares of `square_px` pixels; 0 is taken as 1. What is left
    /// over at the right and the lower edge is dropped.
    ///
    /// `rgb` is 8 bit sRGB; a color profile in the file is not looked at, which
    /// for the wide-gamut photos of newer phones shifts saturated colors and
    /// leaves grays alone.
    ///
    /// # Method
    /// [`lightness`] of each pixel, then the mean of each square. One pass over
    /// the rows, in parallel; no copy at full size. The same values on any
    /// number of threads.
    ///
    /// # Example
    /// ```
    /// let gray = photo::RgbImage::from_pixel(5, 4, image::Rgb([119, 119, 119]));
    /// let halved = photo::Lightness::of(&gray, 2);
    /// assert_eq!(halved.values.dim(), (2, 2));
    /// assert!((halved.values[[0, 0]] - 50.03).abs() < 0.01);
    /// ```
    #[must_use]
    pub fn of(rgb: &RgbImage, square_px: usize) -> Self {
        let square_px = square_px.max(1);
        let whole = rgb.width() as usize;
        let (width, height) = (whole / square_px, rgb.height() as usize / square_px);
        let mut values = vec![0.0_f32; width * height];
        if width > 0 {
            let tables = &*TABLES;
            values
                .par_chunks_exact_mut(width)
                .zip(rgb.as_raw().par_chunks_exact(3 * whole * square_px))
                .with_min_len(16_usize.div_ceil(square_px))
                .for_each_init(
                    || vec![0.0; whole],
                    |line, (row, pixels)| {
                        if square_px == 1 {
                            return tables.row(pixels, row);
                        }
                        for pixels in pixels.chunks_exact(3 * whole) {
                            tables.row(pixels, line);
                            add_squares(row, line, square_px);
                        }
                        to_means(row, square_px);
                    },
                );
        }
        Self {
            // The vector was made with exactly this many values.
            values: Array2::from_shape_vec((height, width), values)
                .expect("shape and length agree"),
            square_px,
        }
    }

    /// What a face keeps: in squares as small as let its longest side be 2400
    /// values or fewer.
    pub(crate) fn kept(rgb: &RgbImage) -> Self {
        let longest = rgb.width().max(rgb.height());
        Self::of(rgb, longest.div_ceil(KEPT_SIDE_PX) as usize)
    }
}

/// Lightness L* (CIE 1976), 0 for black to 100 for white, of an 8 bit sRGB color.
///
/// # Method
/// sRGB to linear light and to luminance after IEC 61966-2-1, by one table of
/// 256 entries a channel; luminance to L* after CIE 15 (116 times the cube root
/// of Y, less 16, with the straight piece below (6/29)^3), by a table of 4096
/// steps and straight pieces between.
///
/// # Example
/// ```
/// assert!((photo::lightness([119, 119, 119]) - 50.03).abs() < 0.01);
/// ```
#[must_use]
pub fn lightness(rgb: [u8; 3]) -> f32 {
    TABLES.of(rgb)
}

static TABLES: LazyLock<Tables> = LazyLock::new(Tables::new);

struct Tables {
    /// A channel's part of the luminance, in steps of `lightness`, by its byte.
    red: [f32; 256],
    green: [f32; 256],
    blue: [f32; 256],
    /// L* at each step of the luminance, and one entry more for its upper end.
    lightness: [f32; STEPS + 2],
}

impl Tables {
    fn new() -> Self {
        let channel = |share: f64| {
            std::array::from_fn(|byte| (linear(byte as f64 / 255.0) * share * STEPS as f64) as f32)
        };
        Self {
            red: channel(LUMINANCE[0]),
            green: channel(LUMINANCE[1]),
            blue: channel(LUMINANCE[2]),
            lightness: std::array::from_fn(|step| {
                l_star((step as f64 / STEPS as f64).min(1.0)) as f32
            }),
        }
    }

    fn of(&self, [red, green, blue]: [u8; 3]) -> f32 {
        let luminance = self.red[usize::from(red)]
            + self.green[usize::from(green)]
            + self.blue[usize::from(blue)];
        // White may come out a rounding error above the last step.
        let step = (luminance as i32).clamp(0, STEPS as i32);
        let below = self.lightness[step as usize];
        let above = self.lightness[step as usize + 1];
        below + (above - below) * (luminance - step as f32)
    }

    fn row(&self, pixels: &[u8], row: &mut [f32]) {
        for (value, pixel) in row.iter_mut().zip(pixels.as_chunks().0) {
            *value = self.of(*pixel);
        }
    }
}

/// An sRGB value, 0 to 1, as linear light.
fn linear(value: f64) -> f64 {
    if value <= 0.04045 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// L* of a luminance, 0 to 1.
fn l_star(luminance: f64) -> f64 {
    let edge = (6.0_f64 / 29.0).powi(3);
    if luminance > edge {
        116.0 * luminance.cbrt() - 16.0
    } else {
        (29.0_f64 / 3.0).powi(3) * luminance
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    fn of(pixel: [u8; 3]) -> f64 {
        f64::from(lightness(pixel))
    }

    #[test]
    fn black_white_and_the_middle_gray_have_their_published_lightness() {
        assert!(of([0, 0, 0]).abs() < 1e-6);
        assert!((of([255, 255, 255]) - 100.0).abs() < 1e-4);
        // The gray of half lightness: Y = 18.4 %, sRGB 119 (CIE 1976).
        assert!((of([119, 119, 119]) - 50.03).abs() < 0.01);
    }

    #[test]
    fn the_table_is_nowhere_more_than_a_thousandth_off_the_formula() {
        let mut worst = 0.0_f64;
        // Every gray, and a walk through the cube.
        let grays = (0..=255_u8).map(|g| [g, g, g]);
        let cube = (0..60_000_u32).map(|i| {
            let mixed = i.wrapping_mul(2_654_435_761);
            [(mixed >> 24) as u8, (mixed >> 16) as u8, (mixed >> 8) as u8]
        });
        for pixel in grays.chain(cube) {
            let luminance: f64 = pixel
                .iter()
                .zip(LUMINANCE)
                .map(|(&byte, share)| linear(f64::from(byte) / 255.0) * share)
                .sum();
            worst = worst.max((of(pixel) - l_star(luminance)).abs());
        }
        assert!(worst < 0.001, "{worst}");
    }

    #[test]
    fn in_squares_it_is_that_of_all_pixels_shrunk() {
        let rgb = RgbImage::from_fn(13, 9, |x, y| Rgb([x as u8 * 19, y as u8 * 28, 90]));
        let whole = Lightness::of(&rgb, 1).values;
        assert!((whole[[8, 12]] - lightness([228, 224, 90])).abs() < 1e-6);
        for square_px in 2..=5 {
            let shrunk = crate::shrink(&whole, square_px);
            assert_eq!(Lightness::of(&rgb, square_px).values, shrunk, "{square_px}");
        }
    }

    #[test]
    fn a_face_keeps_at_most_so_many_values_a_side() {
        for (side, square_px) in [(1, 1), (2400, 1), (2401, 2), (4800, 2), (4801, 3)] {
            let kept = Lightness::kept(&RgbImage::new(2, side));
            assert_eq!(kept.square_px, square_px, "{side}");
        }
    }

    #[test]
    fn a_picture_without_pixels_has_no_lightness() {
        let dim = |width, height| Lightness::of(&RgbImage::new(width, height), 2).values.dim();
        assert_eq!(dim(0, 0), (0, 0));
        assert_eq!(dim(0, 3), (1, 0));
        assert_eq!(dim(3, 1), (0, 1));
    }
}
