//! The steps a person took on a stump, kept beside its entry so that undo
//! outlasts the program: a line a step, only ever added to.

use crate::EntryError;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

/// Where the steps of an entry are kept: `oak.stump.undo` for `oak.stump.json`.
/// No export looks at it; without it only undo is gone.
#[must_use]
pub fn steps_beside(entry: &Path) -> PathBuf {
    entry.with_extension("undo")
}

/// The lines kept so far, the oldest first; none where there is no file, or a
/// link in its place. A last line that a power cut left unfinished is not among them.
///
/// # Errors
/// When the file is there and cannot be read.
pub fn load_steps(path: &Path) -> Result<Vec<String>, EntryError> {
    let bytes = match is_ours(path).and_then(|()| fs::read(path)) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(source) => {
            return Err(EntryError::CannotRead {
                path: path.to_owned(),
                source,
            });
        }
    };
    let whole = bytes.iter().rposition(|&byte| byte == b'\n').unwrap_or(0);
    Ok(String::from_utf8_lossy(&bytes[..whole])
        .lines()
        .map(str::to_owned)
        .collect())
}

/// Adds a line, synced to disk; an unfinished last line is taken away first.
///
/// # Errors
/// When the file cannot be written to, or a link stands in its place.
pub fn add_step(path: &Path, line: &str) -> Result<(), EntryError> {
    let added = is_ours(path)
        .or_else(|error| match error.kind() {
            io::ErrorKind::NotFound => Ok(()),
            _ => Err(error),
        })
        .and_then(|()| {
            let mut file = OpenOptions::new()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(path)?;
            cut_unfinished(&mut file)?;
            file.write_all(format!("{line}\n").as_bytes())?;
            file.sync_data()
        });
    added.map_err(|source| EntryError::CannotWrite {
        path: path.to_owned(),
        source,
    })
}

/// A plain file: a link could lead out of the folder.
fn is_ours(path: &Path) -> io::Result<()> {
    if fs::symlink_metadata(path)?.is_file() {
        Ok(())
    } else {
        Err(io::Error::other("it is a link or a folder"))
    }
}

/// Puts the file's end, and its cursor, behind its last whole line.
fn cut_unfinished(file: &mut File) -> io::Result<()> {
    let length = file.seek(SeekFrom::End(0))?;
    let Some(last) = length.checked_sub(1) else {
        return Ok(());
    };
    file.seek(SeekFrom::Start(last))?;
    let mut byte = [0];
    file.read_exact(&mut byte)?;
    if byte == *b"\n" {
        return Ok(());
    }
    let mut all = Vec::new();
    file.seek(SeekFrom::Start(0))?;
    file.read_to_end(&mut all)?;
    let whole = all.iter().rposition(|&byte| byte == b'\n');
    let kept = whole.map_or(0, |at| at as u64 + 1);
    file.set_len(kept)?;
    file.seek(SeekFrom::Start(kept)).map(|_| ())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_added_and_a_torn_last_one_is_left_out() {
        let folder = tempfile::tempdir().unwrap();
        let path = steps_beside(&folder.path().join("oak.stump.json"));
        assert!(path.ends_with("oak.stump.undo"));
        assert!(load_steps(&path).unwrap().is_empty());
        add_step(&path, "first").unwrap();
        add_step(&path, "second").unwrap();
        let mut file = OpenOptions::new().append(true).open(&path).unwrap();
        file.write_all(b"thi").unwrap();
        assert_eq!(load_steps(&path).unwrap(), ["first", "second"]);
        add_step(&path, "third").unwrap();
        assert_eq!(load_steps(&path).unwrap(), ["first", "second", "third"]);
        fs::write(&path, "torn from the start").unwrap();
        assert!(load_steps(&path).unwrap().is_empty());
        add_step(&path, "anew").unwrap();
        assert_eq!(load_steps(&path).unwrap(), ["anew"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_in_their_place_is_not_followed() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("elsewhere");
        fs::write(&target, "kept\n").unwrap();
        let path = folder.path().join("oak.stump.undo");
        std::os::unix::fs::symlink(&target, &path).unwrap();
        assert!(add_step(&path, "x").is_err());
        assert!(load_steps(&path).is_err());
        assert_eq!(fs::read_to_string(&target).unwrap(), "kept\n");
    }
}
