//! The opened folder: which photos are in it, and nothing outside it.
//!
//! A photo is only ever found by looking through the folder for its name, so
//! no name can lead out of it. Links are passed over, whatever they point at.

use crate::fault::Fault;
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

    /// The names of its photos, in order.
    pub(crate) fn photos(&self) -> std::io::Result<Vec<String>> {
        let mut names: Vec<String> = fs::read_dir(&self.root)?
            .filter_map(Result::ok)
            // A link has a type of its own here: it is not followed.
            .filter(|found| found.file_type().is_ok_and(|kind| kind.is_file()))
            .filter_map(|found| found.file_name().into_string().ok())
            .filter(|name| is_photo(Path::new(name)))
            .collect();
        names.sort();
        Ok(names)
    }

    /// The path of a photo in the folder.
    pub(crate) fn photo(&self, name: &str) -> Result<PathBuf, Fault> {
        let there = self.photos().map_err(|error| {
            Fault::wrong(error.to_string(), "check that the folder is still there")
        })?;
        if there.iter().any(|known| known == name) {
            Ok(self.root.join(name))
        } else {
            Err(Fault::no_photo(name))
        }
    }

    /// The entry of a photo: it must be a file of the folder, or not there yet.
    pub(crate) fn entry(&self, photo: &Path) -> Result<entry::Place, Fault> {
        let (by_stem, by_name) = entry::beside(photo);
        for path in [&by_stem, &by_name] {
            if fs::symlink_metadata(path).is_ok_and(|what| !what.is_file()) {
                return Err(Fault::wrong(
                    format!("{} is a link or a folder", shown(path)),
                    "put the entry itself into the folder, or move the link away",
                ));
            }
        }
        Ok(entry::find(photo)?)
    }

    /// A path for a new photo of about this name; never one that is taken.
    pub(crate) fn place_for(&self, name: &str, ending: &str) -> PathBuf {
        let stem = safe_stem(name);
        (1_u32..)
            .map(|number| match number {
                1 => format!("{stem}.{ending}"),
                number => format!("{stem}-{number}.{ending}"),
            })
            .map(|name| self.root.join(name))
            .find(|path| fs::symlink_metadata(path).is_err())
            .unwrap_or_else(|| self.root.join(format!("{stem}.{ending}")))
    }

    /// Where a photo lies while it is on its way.
    pub(crate) fn part(&self, key: &str) -> PathBuf {
        self.root.join(format!(".arriving-{key}.part"))
    }
}

/// A path's last name, for messages.
fn shown(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// Letters, digits and a few marks of a name's stem; no dot in front, no
/// separator of any system, and not too long.
fn safe_stem(name: &str) -> String {
    const LONGEST: usize = 80;
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = last.rsplit_once('.').map_or(last, |(stem, _)| stem);
    let kept: String = stem
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() || matches!(letter, '-' | '_' | '(' | ')') {
                letter
            } else {
                '-'
            }
        })
        .take(LONGEST)
        .collect();
    let kept = kept.trim_matches('-');
    if kept.is_empty() {
        "stump".to_owned()
    } else {
        kept.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_from_outside_stays_a_plain_name() {
        for (given, kept) in [
            ("oak.jpg", "oak"),
            ("../../etc/passwd.jpg", "passwd"),
            ("C:\\trees\\oak 1.jpeg", "oak-1"),
            ("..", "stump"),
            (".hidden.png", "hidden"),
            ("", "stump"),
            ("\u{0}\n.jpg", "stump"),
            ("Eiche_ü (2).jpg", "Eiche_ü-(2)"),
        ] {
            assert_eq!(safe_stem(given), kept, "{given:?}");
        }
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
