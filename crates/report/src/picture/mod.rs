//! Pictures to check a reading by: the rings over the photo and the stump
//! unrolled.

mod along_strip;
mod dots;
mod ink;
mod lettering;
mod ring_map;
mod straight;
mod strip;
mod unrolled;

use crate::ReportError;
use image::codecs::jpeg::JpegEncoder;
use image::{ImageFormat, RgbImage};
use lettering::Letters;
use std::io::Cursor;
use wood::{Point, Reading};

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
    let mut bytes = Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png)?;
    Ok(bytes.into_inner())
}

/// The bytes of a JPEG of a picture, at a quality that print needs.
pub(crate) fn jpeg(picture: &RgbImage) -> Result<Vec<u8>, ReportError> {
    /// Chosen: thin lines on wood stay clean, at a third of the size of 95.
    const QUALITY: u8 = 85;
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode_image(picture)?;
    Ok(bytes)
}
