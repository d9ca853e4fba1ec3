//! The upright photo of a sawn face, as every later step sees it.

use crate::Lightness;
use image::RgbImage;
use jiff::civil::Date;
use std::borrow::Cow;

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
    /// Colour as stored, 8 bit sRGB, upright.
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
    /// Lightness in squares of so many photo pixels a side: the one that is kept, or
    /// made anew from the colours.
    #[must_use]
    pub fn lightness_in(&self, square_px: usize) -> Cow<'_, Lightness> {
        if self.lightness.square_px == square_px {
            Cow::Borrowed(&self.lightness)
        } else {
            Cow::Owned(Lightness::of(&self.rgb, square_px))
        }
    }
}
