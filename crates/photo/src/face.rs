//! The upright photo of a sawn face, as every later step sees it.

use image::RgbImage;
use jiff::civil::Date;
use ndarray::Array2;

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
    /// Lightness L* (CIE 1976, 0 to 100) from linear light, `[y, x]`.
    pub lightness: Array2<f32>,
    /// SHA-256 of the file's bytes, in hex.
    pub sha256: String,
    /// The day the photo was taken, if the camera wrote it.
    pub taken: Option<Date>,
    /// Where it was taken, if the camera wrote it.
    pub place: Option<Place>,
}
