//! The wood along one radius, laid level: bark at the left, pith at the right.

use image::{Rgb, RgbImage};
use wood::Point;

/// Size of the strip in pixels: as wide as a page at print, and broad enough
/// to see how rings run.
const WIDE: u32 = 1500;
const HIGH: u32 = 170;

/// The strip of the photo between two places, `from` at the left end.
pub(super) fn draw(photo: &RgbImage, from: Point, to: Point, bare: Rgb<u8>) -> RgbImage {
    let (dx, dy) = (to.x_px - from.x_px, to.y_px - from.y_px);
    let mut strip = RgbImage::from_pixel(WIDE, HIGH, bare);
    for (column, row, pixel) in strip.enumerate_pixels_mut() {
        let along = (f64::from(column) + 0.5) / f64::from(WIDE);
        // The same size of pixel along and across.
        let aside = (f64::from(row) + 0.5 - f64::from(HIGH) / 2.0) / f64::from(WIDE);
        let place = Point::new(
            from.x_px + dx * along - dy * aside,
            from.y_px + dy * along + dx * aside,
        );
        if let Some(color) = super::color_at(photo, place) {
            *pixel = color;
        }
    }
    strip
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_left_end_is_the_first_place_and_the_photo_is_not_mirrored() {
        let mut photo = RgbImage::from_pixel(100, 60, Rgb([9, 9, 9]));
        // A red pixel near the start and a green one to the right hand of the way.
        for x in 10..14 {
            photo.put_pixel(x, 30, Rgb([250, 0, 0]));
        }
        for x in 48..53 {
            photo.put_pixel(x, 33, Rgb([0, 250, 0]));
        }
        let strip = draw(
            &photo,
            Point::new(10.0, 30.0),
            Point::new(90.0, 30.0),
            Rgb([0; 3]),
        );
        assert!(strip.get_pixel(20, HIGH / 2).0[0] > 200);
        let below = strip.get_pixel(WIDE / 2, HIGH / 2 + 56);
        assert!(below.0[1] > 100, "{below:?}");
    }
}
