//! The file of results of a long run: one JSON line a photo, written as they
//! come, and looked into when the run is taken up again.

use crate::error::CommandError;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, BufRead as _, BufReader, BufWriter, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use wood::Reading;

/// What came of a photo, as far as an exit code goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Known {
    /// Rings were read.
    Read,
    /// The face could not be read.
    Unreadable,
    /// The photo could not be opened.
    Failed,
}

#[derive(Serialize)]
struct Line<'a> {
    photo: &'a str,
    made_from: &'a str,
    reading: Option<&'a Reading>,
    failure: Option<Failure<'a>>,
}

#[derive(Serialize)]
struct Failure<'a> {
    message: &'a str,
    advice: &'a str,
}

/// As much of a line as taking up a run needs.
#[derive(Deserialize)]
struct Seen {
    photo: String,
    made_from: String,
    reading: Option<SeenReading>,
}

#[derive(Deserialize)]
struct SeenReading {
    readable: bool,
}

/// The file, open and kept to this run.
#[derive(Debug)]
pub(crate) struct Results {
    path: PathBuf,
    file: File,
    /// By photo: what its last line was made from, and what came of it.
    seen: BTreeMap<String, (String, Known)>,
    /// Lines that a later one of the same photo takes the place of.
    stale: usize,
}

impl Results {
    /// Opens the file and takes in what is there. A last line that a kill cut
    /// short is taken off.
    ///
    /// # Errors
    /// When another run writes it, it is no file of results, or it cannot be
    /// read or written.
    pub(crate) fn open(path: &Path) -> Result<Self, CommandError> {
        let wrong = |error: io::Error| CommandError::cannot_write(path, &error);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(wrong)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(CommandError::failed(
                    format!("{} is being written by another run", path.display()),
                    "give each run a file of its own, as in --results results-1.jsonl",
                ));
            }
            // A file system without locks: two runs must be kept apart by hand.
            Err(TryLockError::Error(_)) => {}
        }
        let mut results = Self {
            path: path.to_owned(),
            file: file.try_clone().map_err(wrong)?,
            seen: BTreeMap::new(),
            stale: 0,
        };
        let whole = results.take_in(&mut file)?;
        results.file.set_len(whole).map_err(wrong)?;
        results.file.seek(SeekFrom::End(0)).map_err(wrong)?;
        Ok(results)
    }

    /// Takes in every whole line; how many bytes they are.
    fn take_in(&mut self, file: &mut File) -> Result<u64, CommandError> {
        let mut reader = BufReader::new(file);
        let mut whole = 0;
        let mut text = Vec::new();
        for number in 1.. {
            text.clear();
            let length = reader
                .read_until(b'\n', &mut text)
                .map_err(|error| CommandError::cannot_read(&self.path, &error))?;
            if text.last() != Some(&b'\n') {
                if is_begun_line(&text) {
                    break;
                }
                return Err(self.no_result(number, "it does not begin as one"));
            }
            let seen: Seen = serde_json::from_slice(&text)
                .map_err(|error| self.no_result(number, &error.to_string()))?;
            whole += length as u64;
            let known = match seen.reading {
                Some(SeenReading { readable: true }) => Known::Read,
                Some(SeenReading { readable: false }) => Known::Unreadable,
                None => Known::Failed,
            };
            self.put(seen.photo, seen.made_from, known);
        }
        Ok(whole)
    }

    fn no_result(&self, line: i32, why: &str) -> CommandError {
        CommandError::failed(
            format!(
                "cannot continue {}: line {line} is not a result: {why}",
                self.path.display()
            ),
            "name another file with --results, or take that line out",
        )
    }

    fn put(&mut self, photo: String, made_from: String, known: Known) {
        if self.seen.insert(photo, (made_from, known)).is_some() {
            self.stale += 1;
        }
    }

    /// What came of a photo, where its line was made from just this.
    pub(crate) fn known(&self, photo: &Path, made_from: &str) -> Option<Known> {
        self.seen
            .get(&name(photo))
            .filter(|(from, _)| from == made_from)
            .map(|(_, known)| *known)
    }

    /// Adds a line with a reading. Outlines are left out: they lie in the
    /// photo's entry, and would make the file a hundred times larger.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub(crate) fn reading(
        &mut self,
        photo: &Path,
        made_from: &str,
        reading: &Reading,
    ) -> Result<(), CommandError> {
        let mut short = reading.clone();
        short.bark_edge_px.clear();
        for ring in &mut short.rings {
            ring.outline_px.clear();
        }
        let photo = name(photo);
        self.line(&Line {
            photo: &photo,
            made_from,
            reading: Some(&short),
            failure: None,
        })?;
        let known = if reading.readable {
            Known::Read
        } else {
            Known::Unreadable
        };
        self.put(photo, made_from.to_owned(), known);
        Ok(())
    }

    /// Adds a line that says why a photo could not be read.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub(crate) fn failure(
        &mut self,
        photo: &Path,
        made_from: &str,
        error: &CommandError,
    ) -> Result<(), CommandError> {
        let photo = name(photo);
        self.line(&Line {
            photo: &photo,
            made_from,
            reading: None,
            failure: Some(Failure {
                message: &error.to_string(),
                advice: error.advice(),
            }),
        })?;
        self.put(photo, made_from.to_owned(), Known::Failed);
        Ok(())
    }

    fn line(&mut self, line: &Line<'_>) -> Result<(), CommandError> {
        let mut bytes = serde_json::to_vec(line).unwrap_or_default();
        bytes.push(b'\n');
        // One write a line, so that a kill leaves whole lines and at most a part of one.
        self.file
            .write_all(&bytes)
            .map_err(|error| CommandError::cannot_write(&self.path, &error))
    }

    /// Brings the file to disk, and takes out lines that later ones replace.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub(crate) fn finish(self) -> Result<(), CommandError> {
        let wrong = |error: io::Error| CommandError::cannot_write(&self.path, &error);
        self.file.sync_all().map_err(wrong)?;
        if self.stale == 0 {
            return Ok(());
        }
        let part = self
            .path
            .with_extension(format!("{}.part", std::process::id()));
        let tidied = self
            .tidy_into(&part)
            .and_then(|()| std::fs::rename(&part, &self.path));
        tidied.map_err(|error| {
            // The file with its replaced lines is still whole.
            let _ = std::fs::remove_file(&part);
            wrong(error)
        })
    }

    /// Copies the last line of each photo, in the file's order.
    fn tidy_into(&self, part: &Path) -> io::Result<()> {
        let last: BTreeMap<String, usize> = self
            .lines()?
            .enumerate()
            .filter_map(|(number, line)| Some((photo_of(&line.ok()?)?, number)))
            .collect();
        let mut out = BufWriter::new(File::create(part)?);
        for (number, line) in self.lines()?.enumerate() {
            let line = line?;
            if photo_of(&line).and_then(|photo| last.get(&photo)) == Some(&number) {
                out.write_all(line.as_bytes())?;
                out.write_all(b"\n")?;
            }
        }
        out.into_inner()
            .map_err(io::IntoInnerError::into_error)?
            .sync_all()
    }

    fn lines(&self) -> io::Result<impl Iterator<Item = io::Result<String>>> {
        Ok(BufReader::new(File::open(&self.path)?).lines())
    }
}

/// Whether a last line without an end is one of ours that a kill cut short, or
/// nothing at all: only that is taken off, for the file may be somebody's else.
fn is_begun_line(text: &[u8]) -> bool {
    const BEGINNING: &[u8] = b"{\"photo\":\"";
    let length = text.len().min(BEGINNING.len());
    text[..length] == BEGINNING[..length]
}

fn photo_of(line: &str) -> Option<String> {
    let seen: Seen = serde_json::from_str(line).ok()?;
    Some(seen.photo)
}

fn name(photo: &Path) -> String {
    photo.to_string_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_line_of_ours_that_was_cut_short_is_taken_off() {
        for (text, ours) in [
            ("", true),
            ("{\"pho", true),
            ("{\"photo\":\"a.jpg\",\"made", true),
            ("my own notes", false),
            ("{\"name\":\"oak\"", false),
        ] {
            assert_eq!(is_begun_line(text.as_bytes()), ours, "{text}");
        }
    }
}
