//! Which files of a folder are taken for photos.

use std::path::Path;

/// Endings of files that are taken for photos in a folder. HEIC is among them
/// so that a person hears why it was not read, rather than nothing.
pub const PHOTO_ENDINGS: [&str; 9] = [
    "jpg", "jpeg", "png", "tif", "tiff", "webp", "heic", "heif", "avif",
];

/// Ends of the names of pictures that the program writes itself: no photos.
const OUR_PICTURES: [&str; 5] = ["-ringmap", "-unrolled", "-growth", "-decades", "-profile"];

/// Whether a file is taken for a photo, by its name alone.
#[must_use]
pub fn is_photo(path: &Path) -> bool {
    let lower = |part: Option<&std::ffi::OsStr>| {
        part.map(|text| text.to_string_lossy().to_ascii_lowercase())
            .unwrap_or_default()
    };
    let stem = lower(path.file_stem());
    PHOTO_ENDINGS.contains(&lower(path.extension()).as_str())
        && !stem.starts_with('.')
        && !OUR_PICTURES.iter().any(|end| stem.ends_with(end))
}
