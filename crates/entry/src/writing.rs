//! Writing files so that a reader never sees half of one.

use crate::EntryError;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

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

#[cfg(test)]
mod tests {
    use super::*;

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
