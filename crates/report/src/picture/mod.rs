//! Pictures to check a reading by: the rings over the photo and the stump
//! unrolled.

mod along_strip;
mod dots;
mod ink;
mod intensity;
mod lettering;
mod ring_map;
mod straight;
mod strip;
mod unrolled;

use crate::ReportError;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{Rgb, RgbImage};
use lettering::Letters;
use wood::{IntensityProfile, Point, Reading};

/// Whether a picture brings its own title and caption, or stands on a page
/// that has words of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Frame {
    /// Title and caption below.
    Captioned,
    /// The picture alone.
    Bare,
}

/// The photo with every ring drawn on it, each tenth thicker, with its number
/// and its year where that is known; its longer side is 1600 pixels at most, more with a frame.
///
/// `photo` is the upright photo that the reading was made from.
///
/// # Errors
/// [`ReportError::Font`] when the built-in font is damaged.
pub fn ring_map(
    photo: &RgbImage,
    reading: &Reading,
    frame: Frame,
) -> Result<RgbImage, ReportError> {
    let letters = Letters::ours().ok_or(ReportError::Font)?;
    Ok(match frame {
        Frame::Captioned => ring_map::draw(photo, reading, &letters),
        Frame::Bare => ring_map::bare(photo, reading, &letters, ring_map::ON_PAPER_PX),
    })
}

/// The stump unrolled: rings as level lines from pith (below) to bark (above),
/// each tenth ruled and numbered; `None` for a reading without rings. Where the
/// rings were counted along a strip, that strip laid straight in its place.
///
/// # Errors
/// [`ReportError::Font`] when the built-in font is damaged.
pub fn unrolled(
    photo: &RgbImage,
    reading: &Reading,
    frame: Frame,
) -> Result<Option<RgbImage>, ReportError> {
    let letters = Letters::ours().ok_or(ReportError::Font)?;
    let foot = match frame {
        Frame::Captioned => unrolled::Foot::Captioned,
        Frame::Bare => unrolled::Foot::Bare,
    };
    Ok(if reading.strip.is_some() {
        along_strip::draw(photo, reading, &letters, foot)
    } else {
        unrolled::draw(photo, reading, &letters, foot)
    })
}

/// The radial intensity profile: the photo's lightness by distance from the pith,
/// averaged along the rings; `None` for a reading without rings. Linear in the rings'
/// radius.
///
/// `photo` is the upright photo that the reading was made from, `lightness` gives the
/// lightness L* (0 to 100) of an 8 bit sRGB color.
#[must_use]
pub fn intensity_profile(
    photo: &RgbImage,
    reading: &Reading,
    lightness: fn([u8; 3]) -> f32,
) -> Option<IntensityProfile> {
    intensity::profile(photo, reading, lightness)
}

/// The photo's color at a place between pixels; `None` off the photo.
#[must_use]
pub fn color_at(photo: &RgbImage, place: Point) -> Option<Rgb<u8>> {
    let (x, y) = (place.x_px, place.y_px);
    let (width, height) = photo.dimensions();
    if x < 0.0 || y < 0.0 || x > f64::from(width - 1) || y > f64::from(height - 1) {
        return None;
    }
    let (left, top) = (x.floor() as u32, y.floor() as u32);
    let (right, bottom) = ((left + 1).min(width - 1), (top + 1).min(height - 1));
    let (across, down) = (x - f64::from(left), y - f64::from(top));
    let mut mixed = [0.0; 3];
    for (corner, weight) in [
        ((left, top), (1.0 - across) * (1.0 - down)),
        ((right, top), across * (1.0 - down)),
        ((left, bottom), (1.0 - across) * down),
        ((right, bottom), across * down),
    ] {
        let pixel = photo.get_pixel(corner.0, corner.1);
        for (sum, value) in mixed.iter_mut().zip(pixel.0) {
            *sum += weight * f64::from(value);
        }
    }
    Some(Rgb(mixed.map(|value: f64| value.round() as u8)))
}

/// The wood between two places of the photo, turned level, `from` at the left.
#[must_use]
pub fn strip(photo: &RgbImage, from: Point, to: Point) -> RgbImage {
    strip::draw(photo, from, to, ink::BARE)
}

/// The bytes of a PNG of a picture.
///
/// # Errors
/// [`ReportError::Picture`] when there is no room for it.
pub fn png(picture: &RgbImage) -> Result<Vec<u8>, ReportError> {
    let mut bytes = Vec::new();
    // Not by a format's name: that would build the encoders of all formats.
    picture.write_with_encoder(PngEncoder::new(&mut bytes))?;
    Ok(bytes)
}

/// The bytes of a JPEG of a picture, at a quality that print needs.
pub(crate) fn jpeg(picture: &RgbImage) -> Result<Vec<u8>, ReportError> {
    /// Chosen: thin lines on wood stay clean, at a third of the size of 95.
    const QUALITY: u8 = 85;
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode_image(picture)?;
    Ok(bytes)
}

/// "oak.jpg: 68 rings (66 to 71)".
fn title(reading: &Reading) -> String {
    let file = &reading.photo.file;
    reading.count.as_ref().map_or_else(
        || file.clone(),
        |count| {
            let along = reading.counted_along();
            let along = along.map(|along| format!(", {along}")).unwrap_or_default();
            format!(
                "{file}: {} rings ({} to {}){along}",
                count.best, count.low, count.high
            )
        },
    )
}
