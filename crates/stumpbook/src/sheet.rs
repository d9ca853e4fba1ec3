//! `stumpbook sheet`: the landowner's sheet of one or more stumps.

use crate::args::{PaperArg, PaperColorArg, SheetArgs, UnitsArg};
use crate::outcome::Outcome;
use crate::say;
use crate::trouble::Trouble;
use crate::writing;
use report::{Paper, PaperColor, Sheet, SheetInput};
use std::path::{Path, PathBuf};
use wood::{STUMP_FORMAT, Stump, Units};

/// What an entry's name ends with.
const ENDING: &str = ".stump.json";

/// Makes the sheets asked for; a bad entry does not stop the others.
///
/// # Errors
/// On wrong usage, when the only entry cannot be read, or when stdout is gone.
pub(crate) fn run(args: &SheetArgs) -> anyhow::Result<Outcome> {
    if args.stumps.len() > 1 && args.title.is_some() {
        return Err(Trouble::usage(
            format!(
                "--title names one tree, but there are {} stumps",
                args.stumps.len()
            ),
            "make one sheet at a time, as in stumpbook sheet oak.stump.json --title \"The yard oak\"",
        )
        .into());
    }
    if let Some(folder) = &args.out {
        writing::folder(folder)?;
    }
    let mut outcome = Outcome::Read;
    let mut failures = Vec::new();
    for path in &args.stumps {
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
            Err(trouble) if args.stumps.len() == 1 => return Err(trouble.into()),
            Err(trouble) => failures.push(trouble),
        }
    }
    if !failures.is_empty() {
        outcome = outcome.max(Outcome::Failed);
        say::note(&format!("\nstumpbook: {} without a sheet:", failures.len()));
        for trouble in &failures {
            say::note(&format!("  {trouble}\n    try: {}", trouble.advice()));
        }
    }
    Ok(outcome)
}

/// What came of one entry.
struct Made {
    written: Vec<PathBuf>,
    notes: Vec<String>,
    outcome: Outcome,
}

fn make(path: &Path, args: &SheetArgs) -> Result<Made, Trouble> {
    let stump = load(path)?;
    let mut notes = Vec::new();
    let photo = photo(path, &stump, &mut notes);
    let units = match args.units {
        UnitsArg::Inch => Units::Inch,
        UnitsArg::Metric => Units::Metric,
    };
    let paper = match args.paper {
        PaperArg::Letter => Paper::Letter,
        PaperArg::A4 => Paper::A4,
    };
    let sheet = Sheet::new(SheetInput {
        stump: &stump,
        photo: photo.as_ref(),
        title: args.title.as_deref(),
        units,
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

fn load(path: &Path) -> Result<Stump, Trouble> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        if error.kind() == std::io::ErrorKind::InvalidData {
            return no_entry(path, "it is not text");
        }
        Trouble::cannot_read(path, &error)
    })?;
    let format = serde_json::from_str::<serde_json::Value>(&text)
        .ok()
        .and_then(|value| value.get("format")?.as_u64());
    if format.is_some_and(|format| format > u64::from(STUMP_FORMAT)) {
        return Err(Trouble::failed(
            format!(
                "cannot read {}: it was written by a newer Stumpbook",
                path.display()
            ),
            "use that newer version",
        ));
    }
    serde_json::from_str(&text).map_err(|error| no_entry(path, &error.to_string()))
}

fn no_entry(path: &Path, why: &str) -> Trouble {
    Trouble::failed(
        format!(
            "cannot read {}: it is no stump's entry: {why}",
            path.display()
        ),
        "give the .stump.json that stumpbook count writes beside a photo; count the photo again if it is damaged",
    )
}

/// The photo beside the entry; `None`, with a note, where it is not there or
/// is not the one that was read: lines on the wrong wood would be worse than none.
fn photo(entry: &Path, stump: &Stump, notes: &mut Vec<String>) -> Option<photo::RgbImage> {
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

fn broken(path: &Path, error: &report::ReportError) -> Trouble {
    Trouble::failed(
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
