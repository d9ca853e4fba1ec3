//! Which photos the arguments mean.

use crate::error::CommandError;
use entry::{PHOTO_ENDINGS, is_photo};
use std::path::{Path, PathBuf};

/// The photos meant, each folder's in the order of their names; what is not
/// there is an error in its place.
pub(crate) fn find(asked: &[PathBuf]) -> Vec<Result<PathBuf, CommandError>> {
    asked
        .iter()
        .flat_map(|path| match std::fs::metadata(path) {
            Ok(what) if what.is_dir() => in_folder(path),
            Ok(_) => vec![Ok(path.clone())],
            Err(error) => vec![Err(CommandError::cannot_read(path, &error))],
        })
        .collect()
}

fn in_folder(folder: &Path) -> Vec<Result<PathBuf, CommandError>> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => return vec![Err(CommandError::cannot_read(folder, &error))],
    };
    let mut photos: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|path| is_photo(path) && path.is_file())
        .collect();
    photos.sort();
    if photos.is_empty() {
        return vec![Err(CommandError::failed(
            format!(
                "no photo in {}: looked for files ending in {}",
                folder.display(),
                PHOTO_ENDINGS.map(|ending| format!(".{ending}")).join(" ")
            ),
            "name the photo itself, or the folder that it is in (folders inside are not searched)",
        ))];
    }
    photos.into_iter().map(Ok).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photos_are_distinguished_from_other_files_and_from_our_own_pictures() {
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
