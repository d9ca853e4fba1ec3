//! From the bytes of a picture to 8 bit colors as stored, and what the
//! camera wrote.

use crate::camera::Camera;
use crate::cut_off::jpeg_is_cut_off;
use crate::{Limits, PhotoError, tiff_texts};
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, RgbImage};
use std::io::Cursor;

/// The picture as stored (not yet upright) and what the camera wrote.
pub(crate) fn decode(
    bytes: &[u8],
    format: ImageFormat,
    limits: Limits,
) -> Result<(RgbImage, Camera), PhotoError> {
    if format == ImageFormat::Tiff && tiff_texts::too_long(bytes) {
        return Err(PhotoError::CutOff);
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    // Our own limit is asked for as soon as the size is known, so that the
    // error can say the size.
    reader.no_limits();
    let mut decoder = reader.into_decoder().map_err(|error| {
        if format == ImageFormat::Jpeg && jpeg_is_cut_off(bytes) {
            PhotoError::CutOff
        } else {
            PhotoError::from_decoder(error, None, limits)
        }
    })?;
    let (width, height) = decoder.dimensions();
    if !limits.allow(width, height) {
        return Err(PhotoError::TooManyPixels {
            width,
            height,
            limit: limits.max_pixels,
        });
    }
    let damaged = |error| PhotoError::from_decoder(error, Some((width, height)), limits);
    let mut within = image::Limits::no_limits();
    within.max_alloc = Some(limits.decoder_bytes());
    decoder.set_limits(within).map_err(damaged)?;

    let camera = match format {
        ImageFormat::Tiff => Camera::from_tiff_file(bytes),
        _ => decoder
            .exif_metadata()
            .ok()
            .flatten()
            .map_or(Camera::SILENT, |block| Camera::from_exif_block(&block)),
    };
    if format == ImageFormat::Tiff && camera.raw {
        return Err(PhotoError::Raw);
    }
    if format == ImageFormat::Jpeg && jpeg_is_cut_off(bytes) {
        return Err(PhotoError::CutOff);
    }
    let picture = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    Ok((colors(picture), camera))
}

/// 8 bit colors without a second copy where they are that already. What is
/// see-through is laid on white, as a page shows it.
pub(crate) fn colors(picture: DynamicImage) -> RgbImage {
    if !picture.color().has_alpha() {
        return picture.into_rgb8();
    }
    let layered = picture.into_rgba8();
    let (width, height) = layered.dimensions();
    let mut flat = RgbImage::new(width, height);
    for (color, pixel) in flat.pixels_mut().zip(layered.pixels()) {
        let [red, green, blue, cover] = pixel.0;
        color.0 = [red, green, blue].map(|value| {
            let mixed = u32::from(value) * u32::from(cover) + 255 * (255 - u32::from(cover));
            // At most 255 * 255, so that the mean fits a byte.
            ((mixed + 127) / 255) as u8
        });
    }
    flat
}
