//! HEIC and HEIF, where this build decodes them.

use crate::camera::Camera;
use crate::decode::colors;
use crate::{Limits, PhotoError};
use heifer::heifer_isobmff::HeifFile;
use image::error::{
    DecodingError, ImageError, ImageFormatHint, UnsupportedError, UnsupportedErrorKind,
};
use image::metadata::Orientation;
use image::{DynamicImage, RgbImage, RgbaImage};

/// The picture, upright already, and what the camera wrote. The container's
/// own turn is obeyed by the decoder; EXIF repeats it, so that obeying it here
/// would turn the photo twice.
pub(crate) fn decode(bytes: &[u8], limits: Limits) -> Result<(RgbImage, Camera), PhotoError> {
    let file = HeifFile::parse(bytes).map_err(|error| refusal(error.into()))?;
    let size = file
        .image_size(file.primary_id)
        .map_err(|error| refusal(error.into()))?;
    if let Some((width, height)) = size
        && !limits.allow(width, height)
    {
        return Err(PhotoError::TooManyPixels {
            width,
            height,
            limit: limits.max_pixels,
        });
    }
    // The parts of the picture decode side by side, on as many threads as the
    // rest of the program may use. A limit of 0 would mean the decoder's own.
    let options = heifer::Options {
        max_threads: rayon::current_num_threads(),
        max_pixels: limits.max_pixels.max(1),
    };
    let camera = heifer::item_metadata(&file, file.primary_id)
        .ok()
        .and_then(|written| written.exif)
        .map_or(Camera::SILENT, |block| Camera {
            orientation: Orientation::NoTransforms,
            ..Camera::from_exif_block(&block)
        });
    let picture = match heifer::decode_srgb_rgba8(bytes, &options) {
        // A color profile that cannot be followed: the colors as stored are
        // good enough for lightness.
        Err(heifer::Error::Unsupported(_)) => heifer::decode_rgba8(bytes, &options),
        other => other,
    }
    .map_err(refusal)?;
    let pixels = RgbaImage::from_raw(picture.width, picture.height, picture.data)
        .ok_or_else(|| refusal(heifer::Error::Invalid("size and pixels do not agree")))?;
    Ok((colors(DynamicImage::ImageRgba8(pixels)), camera))
}

/// What the decoder's error means to the person.
fn refusal(error: heifer::Error) -> PhotoError {
    let kind = ImageFormatHint::Name("HEIC".to_owned());
    match error {
        heifer::Error::Container(heifer::heifer_isobmff::Error::UnexpectedEof) => {
            PhotoError::CutOff
        }
        heifer::Error::Unsupported(what) => PhotoError::Unsupported {
            source: ImageError::Unsupported(UnsupportedError::from_format_and_kind(
                kind,
                UnsupportedErrorKind::GenericFeature(what),
            )),
        },
        other => PhotoError::Damaged {
            source: ImageError::Decoding(DecodingError::new(kind, other)),
        },
    }
}
