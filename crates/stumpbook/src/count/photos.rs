//! Which photos the arguments mean.

use crate::trouble::Trouble;
use std::path::{Path, PathBuf};

/// Endings of files that are taken for photos in a folder. HEIC is among them
/// so that a person hears why it was not read, rather than nothing.
const ENDINGS: [&str; 9] = [
    "jpg", "jpeg", "png", "tif", "tiff", "webp", "heic", "heif", "avif",
];

/// Ends of the names of pictures that we write ourselves: no photos.
const OUR_PICTURES: [&str; 4] = ["-ringmap", "-unrolled", "-growth", "-decades"];

/// The photos meant, each folder's in the order of their names; what is not
/// there is an error in its place.
pub(crate) fn find(asked: &[PathBuf]) -> Vec<Result<PathBuf, Trouble>> {
    asked
        .iter()
        .flat_map(|path| match std::fs::metadata(path) {
            Ok(what) if what.is_dir() => in_folder(path),
            Ok(_) => vec![Ok(path.clone())],
            Err(error) => vec![Err(Trouble::cannot_read(path, &error))],
        })
        .collect()
}

fn in_folder(folder: &Path) -> Vec<Result<PathBuf, Trouble>> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => return vec![Err(Trouble::cannot_read(folder, &error))],
    };
    let mut photos: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|path| is_photo(path) && path.is_file())
        .collect();
    photos.sort();
    if photos.is_empty() {
        return vec![Err(Trouble::failed(
            format!(
                "no photo in {}: looked for files ending in {}",
                folder.display(),
                ENDINGS.map(|ending| format!(".{ending}")).join(" ")
            ),
            "name the photo itself, or the folder that it is in (folders inside are not searched)",
        ))];
    }
    photos.into_iter().map(Ok).collect()
}

fn is_photo(path: &Path) -> bool {
    let lower = |part: Option<&std::ffi::OsStr>| {
        part.map(|text| text.to_string_lossy().to_ascii_lowercase())
            .unwrap_or_default()
    };
    let stem = lower(path.file_stem());
    ENDINGS.contains(&lower(path.extension()).as_str())
        && !stem.starts_with('.')
        && !OUR_PICTURES.iter().any(|end| stem.ends_with(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photos_are_told_from_other_files_and_from_our_own_pictures() {
        for (name, photo) in [
            ("oak.jpg", true),
            ("OAK.JPEG", true),
            ("IMG_1.HEIC", true),
            ("oak.stump.json", false),
            ("oak-ringmap.png", false),
            (".oak.jpg", false),
            ("notes", false),
        ] {
            assert_eq!(is_photo(Path::new(name)), photo, "{name}");
        }
    }
}
