//! The opened folder: which photos are in it, and nothing outside it.
//!
//! A photo is only ever found by listing the folder and comparing names, so no
//! name can lead out of it. Links are skipped, whatever they point at.

use crate::error::ApiError;
use entry::is_photo;
use std::cmp::Ordering;
use std::fs;
use std::iter::Peekable;
use std::path::{Path, PathBuf};
use std::str::Chars;

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

/// A photo that was moved with everything that belongs to it.
#[derive(Debug, Clone)]
pub(crate) struct Moved {
    /// Each file, from where and to where.
    files: Vec<(PathBuf, PathBuf)>,
}

impl Moved {
    fn of(photo: &Path, to: &Path, entry: &Path, entry_to: &Path) -> Result<Self, ApiError> {
        let files = vec![
            (photo.to_owned(), to.to_owned()),
            (entry.to_owned(), entry_to.to_owned()),
            (entry::steps_beside(entry), entry::steps_beside(entry_to)),
        ];
        move_all(&files)?;
        Ok(Self { files })
    }

    /// Moves everything back; the photo's name.
    pub(crate) fn back(&self) -> Result<String, ApiError> {
        let files: Vec<_> = self
            .files
            .iter()
            .map(|(from, to)| (to.clone(), from.clone()))
            .collect();
        if let Some((_, taken)) = files
            .iter()
            .find(|(_, to)| fs::symlink_metadata(to).is_ok())
        {
            return Err(ApiError::invalid(
                format!("{} is taken again in the folder", shown(taken)),
                "rename what is there, then undo again",
            ));
        }
        move_all(&files)?;
        let photo = files.first().map(|(_, to)| to.as_path());
        // After a rename the entry names the photo that it had been.
        if let (Some(photo), Some((_, entry))) = (photo, files.get(1))
            && let Ok(Some(mut stump)) = entry::load_stump(entry)
            && stump.reading.photo.file != shown(photo)
        {
            stump.reading.photo.file = shown(photo);
            entry::save(entry, &stump)?;
        }
        Ok(photo.map(shown).unwrap_or_default())
    }

    /// The photo's names before and after.
    pub(crate) fn names(&self) -> (String, String) {
        self.files
            .first()
            .map(|(from, to)| (shown(from), shown(to)))
            .unwrap_or_default()
    }
}

/// Moves files, those that are there; where one cannot be moved, none is.
fn move_all(files: &[(PathBuf, PathBuf)]) -> Result<(), ApiError> {
    for (nth, (from, to)) in files.iter().enumerate() {
        if fs::symlink_metadata(from).is_err() {
            continue;
        }
        if let Err(error) = fs::rename(from, to) {
            for (from, to) in files.iter().take(nth) {
                // What was moved goes back; the first error says why.
                let _ = fs::rename(to, from);
            }
            return Err(cannot_move(&shown(from), &error));
        }
    }
    Ok(())
}

fn cannot_move(name: &str, error: &std::io::Error) -> ApiError {
    ApiError::invalid(
        format!("cannot move {name}: {error}"),
        "check that you may write in the folder",
    )
}

/// Whether neither a photo nor anything that belongs to one has this name.
fn is_free(photo: &Path) -> bool {
    let (by_stem, by_name) = entry::beside(photo);
    let steps = [&by_stem, &by_name].map(|entry| entry::steps_beside(entry));
    [photo, &by_stem, &by_name, &steps[0], &steps[1]]
        .into_iter()
        .all(|path| fs::symlink_metadata(path).is_err())
}

/// Names as a person sorts them: numbers by their value, letters whatever
/// their case; equal ones by their bytes.
fn natural_order(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.chars().peekable(), b.chars().peekable());
    loop {
        let number = |letters: &mut Peekable<Chars<'_>>| {
            let mut digits = String::new();
            while let Some(digit) = letters.next_if(char::is_ascii_digit) {
                digits.push(digit);
            }
            // By length first: without leading zeros the longer one is larger.
            let digits = digits.trim_start_matches('0').to_owned();
            (digits.len(), digits)
        };
        let order = match (left.peek(), right.peek()) {
            (None, None) => return a.cmp(b),
            (Some(x), Some(y)) if x.is_ascii_digit() && y.is_ascii_digit() => {
                number(&mut left).cmp(&number(&mut right))
            }
            (x, y) => {
                let order = x
                    .map(|letter| letter.to_lowercase().to_string())
                    .cmp(&y.map(|letter| letter.to_lowercase().to_string()));
                left.next();
                right.next();
                order
            }
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

/// A path's last name, for messages.
fn shown(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// Whether Windows keeps a name for a device, so that no file can have it there.
fn is_reserved(stem: &str) -> bool {
    let stem = stem.to_ascii_uppercase();
    let numbered = |start: &str| {
        stem.strip_prefix(start)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|one| one.is_ascii_digit()))
    };
    matches!(stem.as_str(), "CON" | "PRN" | "AUX" | "NUL") || numbered("COM") || numbered("LPT")
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
    } else if is_reserved(kept) {
        format!("{kept}-photo")
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
            ("CON.jpg", "CON-photo"),
            ("lpt1.png", "lpt1-photo"),
            ("common.jpg", "common"),
        ] {
            assert_eq!(safe_stem(given), kept, "{given:?}");
        }
    }

    #[test]
    fn names_are_in_the_order_a_person_expects() {
        let mut names = [
            "s100.jpg", "S2.jpg", "s10.jpg", "ash.jpg", "s2b.jpg", "s01.jpg", "Elm.jpg",
        ];
        names.sort_by(|a, b| natural_order(a, b));
        let wanted = [
            "ash.jpg", "Elm.jpg", "s01.jpg", "S2.jpg", "s2b.jpg", "s10.jpg", "s100.jpg",
        ];
        assert_eq!(names, wanted);
    }

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
