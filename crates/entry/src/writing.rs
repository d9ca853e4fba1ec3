//! Writing files so that a reader never sees half of one.

use crate::EntryError;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// How an entry's name ends.
pub(crate) const ENDING: &str = ".stump.json";

/// Writes a whole file: beside the target first, synced to disk, then renamed
/// over it. On any failure the earlier file is untouched and nothing is left.
///
/// # Errors
/// When the folder cannot be written to or has no room.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), EntryError> {
    let part = part_path(path);
    let written = write_synced(&part, bytes).and_then(|()| fs::rename(&part, path));
    written.map_err(|source| {
        // The part file is ours; if it cannot be removed either, the first error says why.
        let _ = fs::remove_file(&part);
        EntryError::CannotWrite {
            path: path.to_owned(),
            source,
        }
    })?;
    // A rename is only safe from a power cut once the folder itself is synced;
    // some file systems refuse that, which costs nothing but this safety.
    if let Some(folder) = path.parent()
        && let Ok(folder) = File::open(folder)
    {
        let _ = folder.sync_all();
    }
    Ok(())
}

fn write_synced(part: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = File::create(part)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// The name of the part file: the process id keeps two runs apart.
fn part_path(path: &Path) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(format!(".{}.part", std::process::id()));
    path.with_file_name(name)
}

/// Age from which an unfinished file is taken away. A write takes a moment, so
/// that whoever began one this long ago was stopped in the middle.
const ABANDONED: Duration = Duration::from_secs(60 * 60);

/// Takes the unfinished files of entries away that programs stopped in the middle
/// of writing have left in a folder. Where one cannot be removed it stays: nothing
/// ever reads it.
pub fn take_away_unfinished(folder: &Path) {
    let files = fs::read_dir(folder).into_iter().flatten().flatten();
    for file in files.filter(|file| is_part(&file.file_name().to_string_lossy())) {
        let changed = file.metadata().and_then(|about| about.modified());
        let age = changed.map(|at| SystemTime::now().duration_since(at));
        if matches!(age, Ok(Ok(age)) if age > ABANDONED) {
            let _ = fs::remove_file(file.path());
        }
    }
}

/// Whether a name is one that [`part_path`] gives for an entry.
fn is_part(name: &str) -> bool {
    let number = name.strip_suffix(".part").and_then(|name| {
        let (entry, number) = name.rsplit_once('.')?;
        entry.ends_with(ENDING).then_some(number)
    });
    number.is_some_and(|number| number.parse::<u32>().is_ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_unfinished_entries_that_are_old_are_taken_away() {
        let folder = tempfile::tempdir().unwrap();
        let long_ago = SystemTime::now() - 2 * ABANDONED;
        let kept = [
            "oak.stump.json",
            "oak.stump.json.part",
            "notes.7.part",
            "elm.stump.json.8.part",
        ];
        for name in kept.into_iter().chain(["oak.stump.json.7.part"]) {
            let file = File::create(folder.path().join(name)).unwrap();
            if !name.starts_with("elm") {
                file.set_modified(long_ago).unwrap();
            }
        }
        take_away_unfinished(folder.path());
        let mut left: Vec<String> = fs::read_dir(folder.path())
            .unwrap()
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect();
        left.sort();
        let mut wanted = kept;
        wanted.sort_unstable();
        assert_eq!(left, wanted);
    }

    #[test]
    fn a_failed_write_leaves_the_earlier_file_whole_and_no_part() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("oak.stump.json");
        replace(&path, b"first").unwrap();
        // A folder in the part file's place makes the write fail, even for root.
        fs::create_dir_all(part_path(&path).join("in the way")).unwrap();
        assert!(replace(&path, b"second").is_err());
        assert_eq!(fs::read(&path).unwrap(), b"first");
    }
}
