//! The opened folder: which photos are in it, and nothing outside it.
//!
//! A photo is only ever found by listing the folder and comparing names, so no
//! name can lead out of it. Links are skipped, whatever they point at.

use crate::error::ApiError;
use crate::moving::{Moved, cannot_move, shown};
use crate::naming::{natural_order, safe_stem};
use entry::is_photo;
use std::fs;
use std::path::{Path, PathBuf};

/// The opened folder.
#[derive(Debug, Clone)]
pub(crate) struct Folder {
    root: PathBuf,
}

impl Folder {
    /// Opens a folder.
    ///
    /// # Errors
    /// When it is not there, or no folder.
    pub(crate) fn open(path: &Path) -> std::io::Result<Self> {
        let root = path.canonicalize()?;
        fs::read_dir(&root)?;
        entry::take_away_unfinished(&root);
        Ok(Self { root })
    }

    /// Its name, as a person knows it.
    pub(crate) fn name(&self) -> String {
        self.root.file_name().map_or_else(
            || self.root.display().to_string(),
            |name| name.to_string_lossy().into_owned(),
        )
    }

    /// The names of its photos in natural order: `s2` before `s10`.
    pub(crate) fn photos(&self) -> std::io::Result<Vec<String>> {
        let mut names: Vec<String> = fs::read_dir(&self.root)?
            .filter_map(Result::ok)
            // A link has a type of its own here: it is not followed.
            .filter(|found| found.file_type().is_ok_and(|kind| kind.is_file()))
            .filter_map(|found| found.file_name().into_string().ok())
            .filter(|name| is_photo(Path::new(name)))
            .collect();
        names.sort_by(|a, b| natural_order(a, b));
        Ok(names)
    }

    /// The path of a photo in the folder.
    pub(crate) fn photo(&self, name: &str) -> Result<PathBuf, ApiError> {
        let there = self.photos().map_err(|error| {
            ApiError::invalid(error.to_string(), "check that the folder is still there")
        })?;
        if there.iter().any(|known| known == name) {
            Ok(self.root.join(name))
        } else {
            Err(ApiError::no_photo(name))
        }
    }

    /// The entry of a photo: it must be a file of the folder, or not there yet.
    pub(crate) fn entry(&self, photo: &Path) -> Result<entry::Place, ApiError> {
        let (by_stem, by_name) = entry::beside(photo);
        for path in [&by_stem, &by_name] {
            if fs::symlink_metadata(path).is_ok_and(|what| !what.is_file()) {
                return Err(ApiError::invalid(
                    format!("{} is a link or a folder", shown(path)),
                    "put the entry itself into the folder, or move the link elsewhere",
                ));
            }
        }
        Ok(entry::find(photo)?)
    }

    /// A path for a new photo of about this name: never one that is taken, and
    /// never one beside which an entry or its steps are left of an earlier photo.
    pub(crate) fn place_for(&self, name: &str, ending: &str) -> PathBuf {
        let stem = safe_stem(name);
        (1_u32..)
            .map(|number| match number {
                1 => format!("{stem}.{ending}"),
                number => format!("{stem}-{number}.{ending}"),
            })
            .map(|name| self.root.join(name))
            .find(|path| is_free(path))
            .unwrap_or_else(|| self.root.join(format!("{stem}.{ending}")))
    }

    /// Renames a photo with everything that belongs to it; its new name.
    pub(crate) fn rename(&self, name: &str, to: &str) -> Result<Moved, ApiError> {
        let photo = self.photo(name)?;
        let ending = photo
            .extension()
            .map(|ending| ending.to_string_lossy().into_owned())
            .unwrap_or_default();
        let target = self
            .root
            .join(format!("{}.{ending}", safe_stem(&format!("{to}.{ending}"))));
        if target == photo {
            return Err(ApiError::invalid(
                format!("{name} has that name already"),
                "write another name",
            ));
        }
        if !is_free(&target) {
            return Err(ApiError::invalid(
                format!("the name {} is taken in the folder", shown(&target)),
                "write another name",
            ));
        }
        let place = self.entry(&photo)?;
        let (entry, _) = entry::beside(&target);
        let moved = Moved::of(&photo, &target, &place.entry, &entry)?;
        // The entry names its photo. One of an older shape keeps the old name in it.
        if let Ok(Some(mut stump)) = entry::load_stump(&entry) {
            stump.reading.photo.file = shown(&target);
            entry::save(&entry, &stump)?;
        }
        Ok(moved)
    }

    /// Moves a photo with everything that belongs to it into the folder
    /// `removed` inside the opened one.
    pub(crate) fn remove(&self, name: &str) -> Result<Moved, ApiError> {
        let photo = self.photo(name)?;
        let place = self.entry(&photo)?;
        let removed = Self {
            root: self.root.join(REMOVED),
        };
        fs::create_dir_all(&removed.root).map_err(|error| cannot_move(name, &error))?;
        let ending = photo
            .extension()
            .map(|ending| ending.to_string_lossy().into_owned())
            .unwrap_or_default();
        let target = removed.place_for(name, &ending);
        let (entry, _) = entry::beside(&target);
        Moved::of(&photo, &target, &place.entry, &entry)
    }

    /// Where a photo is while it is being received.
    pub(crate) fn part(&self, key: &str) -> PathBuf {
        self.root.join(format!(".arriving-{key}.part"))
    }
}

/// The folder inside the opened one that removed photos are moved to.
const REMOVED: &str = "removed";

/// Whether neither a photo nor anything that belongs to one has this name.
fn is_free(photo: &Path) -> bool {
    let (by_stem, by_name) = entry::beside(photo);
    let steps = [&by_stem, &by_name].map(|entry| entry::steps_beside(entry));
    [photo, &by_stem, &by_name, &steps[0], &steps[1]]
        .into_iter()
        .all(|path| fs::symlink_metadata(path).is_err())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_photo_never_takes_the_name_of_an_entry_that_was_left_behind() {
        let inside = tempfile::tempdir().unwrap();
        let folder = Folder::open(inside.path()).unwrap();
        let name = |folder: &Folder| {
            let path = folder.place_for("image.jpg", "jpg");
            path.file_name().unwrap().to_string_lossy().into_owned()
        };
        assert_eq!(name(&folder), "image.jpg");
        fs::write(inside.path().join("image.stump.json"), b"{}").unwrap();
        assert_eq!(name(&folder), "image-2.jpg");
        fs::write(inside.path().join("image-2.stump.undo"), b"").unwrap();
        assert_eq!(name(&folder), "image-3.jpg");
        fs::write(inside.path().join("image-3.jpg.stump.json"), b"{}").unwrap();
        assert_eq!(name(&folder), "image-4.jpg");
    }

    #[test]
    fn a_link_is_no_photo_and_no_name_leads_out() {
        let outside = tempfile::tempdir().unwrap();
        fs::write(outside.path().join("away.jpg"), b"x").unwrap();
        let inside = tempfile::tempdir().unwrap();
        fs::write(inside.path().join("oak.jpg"), b"x").unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(
            outside.path().join("away.jpg"),
            inside.path().join("link.jpg"),
        )
        .unwrap();
        let folder = Folder::open(inside.path()).unwrap();
        assert_eq!(folder.photos().unwrap(), ["oak.jpg"]);
        assert!(folder.photo("oak.jpg").is_ok());
        let away = format!("{}/away.jpg", outside.path().display());
        for name in ["link.jpg", "../away.jpg", "./oak.jpg", "", ".", "..", &away] {
            assert!(folder.photo(name).is_err(), "{name}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn an_entry_that_is_a_link_is_not_followed() {
        let outside = tempfile::tempdir().unwrap();
        let target = outside.path().join("oak.stump.json");
        fs::write(&target, b"{}").unwrap();
        let inside = tempfile::tempdir().unwrap();
        let photo = inside.path().join("oak.jpg");
        fs::write(&photo, b"x").unwrap();
        std::os::unix::fs::symlink(&target, inside.path().join("oak.stump.json")).unwrap();
        let folder = Folder::open(inside.path()).unwrap();
        assert!(folder.entry(&folder.photo("oak.jpg").unwrap()).is_err());
    }
}
