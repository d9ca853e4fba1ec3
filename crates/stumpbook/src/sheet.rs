//! `stumpbook sheet`: the landowner's sheet of one or more stumps.

use crate::args::{PaperArg, PaperColorArg, SheetArgs};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{count, say, stumps, writing};
use report::{Paper, PaperColor, Sheet, SheetInput};
use std::path::{Path, PathBuf};
use wood::{STUMP_FORMAT, Stump};

/// What an entry's name ends with.
const ENDING: &str = ".stump.json";

/// Makes the sheets asked for; a bad entry does not stop the others.
///
/// # Errors
/// On wrong usage, when the only entry cannot be read, or when stdout is gone.
pub(crate) fn run(args: &SheetArgs) -> anyhow::Result<Outcome> {
    let mut failures = Vec::new();
    let mut entries = Vec::new();
    for path in &args.stumps {
        match entries_of(path) {
            Ok(found) => entries.extend(found),
            Err(error) => match error.downcast::<CommandError>() {
                Ok(error) if args.stumps.len() > 1 => failures.push(error),
                Ok(error) => return Err(error.into()),
                Err(other) => return Err(other),
            },
        }
    }
    if entries.len() > 1 && args.title.is_some() {
        return Err(CommandError::usage(
            format!(
                "--title names one tree, but there are {} stumps",
                entries.len()
            ),
            "make one sheet at a time, as in stumpbook sheet oak.jpg --title \"The yard oak\"",
        )
        .into());
    }
    if let Some(folder) = &args.out {
        writing::folder(folder)?;
    }
    let mut outcome = Outcome::Read;
    let alone = entries.len() + failures.len() == 1;
    for path in &entries {
        match make(path, args) {
            Ok(made) => {
                outcome = outcome.max(made.outcome);
                for note in &made.notes {
                    say::note(note);
                }
                for path in &made.written {
                    say::data(&path.display().to_string())?;
                }
            }
            Err(error) if alone => return Err(error.into()),
            Err(error) => failures.push(error),
        }
    }
    if !failures.is_empty() {
        outcome = outcome.max(Outcome::Failed);
        say::note(&format!("\nstumpbook: {} without a sheet:", failures.len()));
        for error in &failures {
            say::note(&format!("  {error}\n    try: {}", error.advice()));
        }
    }
    Ok(outcome)
}

/// The entries that a path means: of a folder all, of a photo its own. A photo
/// that was not counted yet is counted first.
fn entries_of(path: &Path) -> anyhow::Result<Vec<PathBuf>> {
    if path.is_dir() {
        return Ok(stumps::entries_in(path)?);
    }
    if let Ok(entry) = stumps::entry_of(path) {
        return Ok(vec![entry]);
    }
    if path.is_file() {
        say::note(&format!(
            "stumpbook: {} was not counted yet: counting it first",
            path.display()
        ));
        count::photo(path)?;
    }
    Ok(vec![stumps::entry_of(path)?])
}

/// What came of one entry.
struct Made {
    written: Vec<PathBuf>,
    notes: Vec<String>,
    outcome: Outcome,
}

fn make(path: &Path, args: &SheetArgs) -> Result<Made, CommandError> {
    let stump = load(path)?;
    let mut notes = Vec::new();
    let photo = photo(path, &stump, &mut notes);
    let paper = match args.paper {
        PaperArg::Letter => Paper::Letter,
        PaperArg::A4 => Paper::A4,
    };
    let sheet = Sheet::new(SheetInput {
        stump: &stump,
        photo: photo.as_ref(),
        title: args.title.as_deref(),
        units: args.units.into(),
    })
    .map_err(|error| broken(path, &error))?;
    let color = match args.paper_color {
        PaperColorArg::White => PaperColor::White,
        PaperColorArg::Cream => PaperColor::Cream,
    };
    let pdf = sheet
        .pdf(paper, color)
        .map_err(|error| broken(path, &error))?;
    let html = sheet.html().map_err(|error| broken(path, &error))?;
    if let Some(shown) = say::letters_in(&sheet.letters_not_in_font()) {
        notes.push(format!(
            "stumpbook: the PDF of {} has ? in place of letters that its font lacks ({shown})\ntry: print the HTML page, which shows them, or write them in Latin letters",
            path.display()
        ));
    }
    let mut written = Vec::new();
    for (ending, bytes) in [
        ("-sheet.pdf", pdf.as_slice()),
        ("-sheet.html", html.as_bytes()),
    ] {
        let target = target(path, args.out.as_deref(), ending);
        writing::replace(&target, bytes)?;
        written.push(target);
    }
    let outcome = if stump.reading.readable {
        Outcome::Read
    } else {
        Outcome::Unreadable
    };
    Ok(Made {
        written,
        notes,
        outcome,
    })
}

/// `oak.stump.json` becomes `oak-sheet.pdf`, beside it or in the folder asked for.
fn target(entry: &Path, folder: Option<&Path>, ending: &str) -> PathBuf {
    let name = entry.file_name().unwrap_or(entry.as_os_str());
    let name = name.to_string_lossy();
    let stem = name
        .strip_suffix(ENDING)
        .or_else(|| name.strip_suffix(".json"))
        .unwrap_or(&name);
    let name = format!("{stem}{ending}");
    match folder {
        Some(folder) => folder.join(name),
        None => entry.with_file_name(name),
    }
}

fn load(path: &Path) -> Result<Stump, CommandError> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        if error.kind() == std::io::ErrorKind::InvalidData {
            return no_entry(path, "it is not text");
        }
        CommandError::cannot_read(path, &error)
    })?;
    let format = serde_json::from_str::<serde_json::Value>(&text)
        .ok()
        .and_then(|value| value.get("format")?.as_u64());
    if format.is_some_and(|format| format > u64::from(STUMP_FORMAT)) {
        return Err(CommandError::failed(
            format!(
                "cannot read {}: it was written by a newer Stumpbook",
                path.display()
            ),
            "use that newer version",
        ));
    }
    serde_json::from_str(&text).map_err(|error| no_entry(path, &error.to_string()))
}

fn no_entry(path: &Path, why: &str) -> CommandError {
    CommandError::failed(
        format!(
            "cannot read {}: it is neither a photo nor a .stump.json: {why}",
            path.display()
        ),
        "give a photo, or the .stump.json that stumpbook count writes beside one; count the photo again if it is damaged",
    )
}

/// The photo beside the entry; `None`, with a note, where it is not there or
/// is not the one that was read: lines on the wrong wood would be worse than none.
fn photo(entry: &Path, stump: &Stump, notes: &mut Vec<String>) -> Option<photo::RgbImage> {
    if stump.reading.photo.width_px == 0 {
        notes.push(
            "stumpbook: the sheet has no pictures of the wood: this stump was imported without a photo"
                .to_owned(),
        );
        return None;
    }
    let path = entry.with_file_name(&stump.reading.photo.file);
    let mut note = |why: String| {
        notes.push(format!(
            "stumpbook: the sheet has no pictures of the wood: {why}\ntry: put the photo beside {} and make the sheet again",
            entry.display()
        ));
    };
    let bytes = match std::fs::read(&path) {
        Ok(bytes) => bytes,
        Err(_) => {
            note(format!("{} is not there", path.display()));
            return None;
        }
    };
    match photo::open(&bytes, &photo::Limits::default()) {
        Ok(face) if face.sha256 == stump.reading.photo.sha256 => Some(face.rgb),
        Ok(_) => {
            note(format!("{} is not the photo that was read", path.display()));
            None
        }
        Err(error) => {
            note(format!("{}: {error}", path.display()));
            None
        }
    }
}

fn broken(path: &Path, error: &report::ReportError) -> CommandError {
    CommandError::failed(
        format!("cannot make the sheet of {}: {error}", path.display()),
        error.advice(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_is_named_after_its_entry() {
        for (entry, name) in [
            ("a/oak.stump.json", "a/oak-sheet.pdf"),
            ("oak.png.stump.json", "oak.png-sheet.pdf"),
            ("other.json", "other-sheet.pdf"),
            ("plain", "plain-sheet.pdf"),
        ] {
            assert_eq!(
                target(Path::new(entry), None, "-sheet.pdf"),
                Path::new(name)
            );
        }
        let there = target(Path::new("a/oak.stump.json"), Some(Path::new("b")), "-x");
        assert_eq!(there, Path::new("b/oak-x"));
    }
}
