//! Opening a photo.

use crate::decode::decode;
use crate::kind::{Kind, kind_of};
use crate::lightness::Lightness;
use crate::turn::upright;
use crate::{Face, Limits, PhotoError};
use sha2::{Digest, Sha256};

/// The upright face in the bytes of a photo: JPEG (baseline, progressive,
/// gray, CMYK), PNG, TIFF or WebP, whatever its name.
///
/// What the camera wrote (turn, day, place) is used where it makes sense and
/// passed over where not.
///
/// # Errors
/// [`PhotoError`], each with its `advice()`: no bytes, not a photo, cut off,
/// larger than `limits`, HEIC, a raw file, packed in an unknown way, damaged.
///
/// # Method
/// Linear in pixels. At its highest it holds the colors (3 bytes a pixel) and the
/// lightness it keeps (up to 4 bytes a pixel, 1 at 12 megapixels); or while a photo
/// is turned by a quarter, the colors twice; or while decoding, the colors and the
/// decoder's own store (none for a baseline JPEG, 3 to 6 bytes a pixel for a
/// progressive one).
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Face, PhotoError> {
    if bytes.is_empty() {
        return Err(PhotoError::Empty);
    }
    // The decoders work on one thread, so another can take the digest.
    let (decoded, digest) = rayon::join(
        || match kind_of(bytes) {
            Kind::Picture(format) => decode(bytes, format, *limits),
            #[cfg(feature = "heic")]
            Kind::Heic => crate::heic::decode(bytes, *limits),
            #[cfg(not(feature = "heic"))]
            Kind::Heic => Err(PhotoError::Heic),
            Kind::Raw => Err(PhotoError::Raw),
            Kind::Other(what) => Err(PhotoError::NotAPhoto { what }),
        },
        || Sha256::digest(bytes),
    );
    let (stored, camera) = decoded?;
    let rgb = upright(stored, camera.orientation);
    Ok(Face {
        lightness: Lightness::kept(&rgb),
        rgb,
        sha256: hex(&digest),
        taken: camera.taken,
        place: camera.place,
    })
}

/// Two lower-case digits a byte.
fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes
        .iter()
        .flat_map(|byte| [byte >> 4, byte & 15])
        .map(|digit| char::from(DIGITS[usize::from(digit)]))
        .collect()
}
