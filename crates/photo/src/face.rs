//! The upright photo of a sawn face, as every later step sees it.

use crate::Lightness;
use image::RgbImage;
use jiff::civil::Date;
use std::borrow::Cow;
use wood::Point;

/// Where the camera says it stood. Private: never in anything meant for
/// sharing unless asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Degrees north.
    pub latitude_deg: f64,
    /// Degrees east.
    pub longitude_deg: f64,
}

/// The upright photo of a sawn face.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// Color as stored, 8 bit sRGB, upright.
    pub rgb: RgbImage,
    /// Lightness in squares as small as let its longest side be 2400 values or
    /// fewer: what most steps need; [`Face::lightness_in`] has it at any size.
    pub lightness: Lightness,
    /// SHA-256 of the file's bytes, in hex.
    pub sha256: String,
    /// The day the photo was taken, if the camera wrote it.
    pub taken: Option<Date>,
    /// Where it was taken, if the camera wrote it.
    pub place: Option<Place>,
}

impl Face {
    /// Whether a place is in the photo.
    #[must_use]
    pub fn holds(&self, place: Point) -> bool {
        let (width, height) = self.rgb.dimensions();
        (0.0..f64::from(width)).contains(&place.x_px)
            && (0.0..f64::from(height)).contains(&place.y_px)
    }

    /// Lightness in squares of so many photo pixels a side: the one that is kept, or
    /// made again from the colors.
    #[must_use]
    pub fn lightness_in(&self, square_px: usize) -> Cow<'_, Lightness> {
        if self.lightness.square_px == square_px {
            Cow::Borrowed(&self.lightness)
        } else {
            Cow::Owned(Lightness::of(&self.rgb, square_px))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lightness_in_other_squares_is_made_from_the_colors() {
        let rgb = RgbImage::from_fn(2404, 4, |x, y| image::Rgb([x as u8, y as u8 * 60, 30]));
        let face = Face {
            lightness: Lightness::kept(&rgb),
            rgb,
            sha256: String::new(),
            taken: None,
            place: None,
        };
        assert_eq!(face.lightness.square_px, 2);
        assert!(matches!(face.lightness_in(2), Cow::Borrowed(_)));
        for square_px in [1, 3] {
            let expected = Lightness::of(&face.rgb, square_px);
            assert_eq!(*face.lightness_in(square_px), expected);
        }
    }
}
