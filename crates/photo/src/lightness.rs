//! Lightness as the eye sees it, from linear light.

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

/// Lightness L* (CIE 1976), 0 for black to 100 for white, `[y, x]`.
///
/// `rgb` is 8 bit sRGB; a colour profile in the file is not looked at, which
/// for the wide-gamut photos of newer phones shifts saturated colours and
/// leaves greys alone.
///
/// # Method
/// sRGB to linear light and to luminance after IEC 61966-2-1, by one table of
/// 256 entries a channel; luminance to L* after CIE 15 (116 times the cube root
/// of Y, less 16, with the straight piece below (6/29)^3), by a table of 4096
/// steps and straight pieces between. One pass over the rows, in parallel; no
/// second copy. The same values on any number of threads.
///
/// # Example
/// ```
/// let grey = photo::RgbImage::from_pixel(2, 1, image::Rgb([119, 119, 119]));
/// let lightness = photo::lightness(&grey);
/// assert_eq!(lightness.dim(), (1, 2));
/// assert!((lightness[[0, 0]] - 50.03).abs() < 0.01);
/// ```
#[must_use]
pub fn lightness(rgb: &RgbImage) -> Array2<f32> {
    let width = rgb.width() as usize;
    let height = rgb.height() as usize;
    let mut values = vec![0.0_f32; width * height];
    if width > 0 {
        let tables = &*TABLES;
        values
            .par_chunks_exact_mut(width)
            .zip(rgb.as_raw().par_chunks_exact(width * 3))
            .with_min_len(16)
            .for_each(|(row, pixels)| tables.row(pixels, row));
    }
    // The vector was made with exactly this many values.
    Array2::from_shape_vec((height, width), values).expect("shape and length agree")
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

    fn row(&self, pixels: &[u8], row: &mut [f32]) {
        for (value, pixel) in row.iter_mut().zip(pixels.chunks_exact(3)) {
            let luminance = self.red[usize::from(pixel[0])]
                + self.green[usize::from(pixel[1])]
                + self.blue[usize::from(pixel[2])];
            // White may come out a rounding error above the last step.
            let step = (luminance as usize).min(STEPS);
            let below = self.lightness[step];
            let above = self.lightness[step + 1];
            *value = below + (above - below) * (luminance - step as f32);
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
        f64::from(lightness(&RgbImage::from_pixel(1, 1, Rgb(pixel)))[[0, 0]])
    }

    #[test]
    fn black_white_and_the_middle_grey_have_their_published_lightness() {
        assert!(of([0, 0, 0]).abs() < 1e-6);
        assert!((of([255, 255, 255]) - 100.0).abs() < 1e-4);
        // The grey of half lightness: Y = 18.4 %, sRGB 119 (CIE 1976).
        assert!((of([119, 119, 119]) - 50.03).abs() < 0.01);
    }

    #[test]
    fn the_table_is_nowhere_more_than_a_thousandth_off_the_formula() {
        let mut worst = 0.0_f64;
        // Every grey, and a walk through the cube.
        let greys = (0..=255_u8).map(|g| [g, g, g]);
        let cube = (0..60_000_u32).map(|i| {
            let mixed = i.wrapping_mul(2_654_435_761);
            [(mixed >> 24) as u8, (mixed >> 16) as u8, (mixed >> 8) as u8]
        });
        for pixel in greys.chain(cube) {
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
    fn a_picture_without_pixels_has_no_lightness() {
        assert_eq!(lightness(&RgbImage::new(0, 0)).dim(), (0, 0));
        assert_eq!(lightness(&RgbImage::new(0, 3)).dim(), (3, 0));
    }
}
