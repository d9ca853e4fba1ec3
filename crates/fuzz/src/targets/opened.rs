//! Photos, and the block in which a camera writes what it knows.

use photo::{Face, Limits};

/// Small, so that a claim of many pixels costs no time.
const SMALL: Limits = Limits {
    max_pixels: 200_000,
};

/// A whole file.
pub(super) fn photo(bytes: &[u8]) -> Result<String, String> {
    match photo::open(bytes, &SMALL) {
        Err(error) if error.advice().is_empty() => Err(format!("no advice for: {error}")),
        Err(error) => Ok(error.to_string()),
        Ok(face) => whole(&face),
    }
}

/// A whole JPEG with these bytes as what the camera wrote.
pub(super) fn exif(bytes: &[u8]) -> Result<String, String> {
    let gray = photo::RgbImage::from_pixel(8, 8, [90, 90, 90].into());
    let plain = practice::jpeg(&gray, 80);
    let length = (bytes.len() + 8).min(0xFFFF) as u16;
    let mut with = plain[..2].to_vec();
    with.extend([0xFF, 0xE1]);
    with.extend(length.to_be_bytes());
    with.extend(b"Exif\0\0");
    with.extend(&bytes[..usize::from(length) - 8]);
    with.extend(&plain[2..]);
    let face = photo::open(&with, &SMALL)
        .map_err(|error| format!("a whole photo was refused for what the camera wrote: {error}"))?;
    whole(&face)
}

/// What must hold of any face that was opened.
fn whole(face: &Face) -> Result<String, String> {
    let (width, height) = face.rgb.dimensions();
    let values = &face.lightness.values;
    let expected = [height, width].map(|side| side as usize / face.lightness.square_px);
    if values.shape() != expected {
        return Err("lightness and colors are of different sizes".to_owned());
    }
    if !values.iter().all(|l| (0.0..=100.01).contains(l)) {
        return Err("a lightness that is none".to_owned());
    }
    if let Some(place) = face.place
        && !(place.latitude_deg.abs() <= 90.0 && place.longitude_deg.abs() <= 180.0)
    {
        return Err(format!("a place that is none: {place:?}"));
    }
    Ok(format!(
        "opened, {} {}",
        if face.taken.is_some() { "dated" } else { "" },
        if face.place.is_some() { "placed" } else { "" }
    ))
}
