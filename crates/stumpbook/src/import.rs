//! `stumpbook import`: stumps without photos, from another program's file.

use crate::args::ImportArgs;
use crate::error::CommandError;
use crate::export::format_of;
use crate::outcome::Outcome;
use crate::{say, stump_file, writing};
use anyhow::Context as _;
use exchange::{Entry, Format};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Longest name of a file that we make, in bytes; file systems allow 255.
const LONGEST_NAME: usize = 120;

/// Takes in every file; a bad one does not stop the others.
///
/// # Errors
/// When the only file cannot be read, nothing can be written, or stdout is
/// gone.
pub(crate) fn run(args: &ImportArgs) -> anyhow::Result<Outcome> {
    writing::folder(&args.out)?;
    let mut failures = Vec::new();
    let mut taken = BTreeSet::new();
    for file in &args.files {
        match one_file(file, args, &mut taken, &mut failures) {
            Ok(()) => {}
            Err(error) => match error.downcast::<CommandError>() {
                Ok(error) if args.files.len() > 1 => failures.push(error),
                Ok(error) => return Err(error.into()),
                Err(other) => return Err(other),
            },
        }
    }
    say::failures(&failures);
    Ok(if failures.is_empty() {
        Outcome::Read
    } else {
        Outcome::Failed
    })
}

fn one_file(
    file: &Path,
    args: &ImportArgs,
    taken: &mut BTreeSet<PathBuf>,
    failures: &mut Vec<CommandError>,
) -> anyhow::Result<()> {
    let name = stump_file::name_of(file);
    let format = args
        .format
        .map(format_of)
        .or_else(|| Format::of_name(&name))
        .ok_or_else(|| {
            CommandError::usage(
                format!("{}: its name does not show its format", file.display()),
                "--format csv, json, decadal or tridas",
            )
        })?;
    let bytes = fs::read(file).map_err(|error| CommandError::cannot_read(file, &error))?;
    let read =
        exchange::read(&name, &bytes, format).map_err(|error| stump_file::wrong(file, &error))?;
    say::notices(&read.notices);
    for entry in &read.entries {
        let path = free_path(&args.out, &entry.name, taken);
        let mut text = serde_json::to_vec(&entry.stump).context("cannot write a stump")?;
        text.push(b'\n');
        match fs::read(&path) {
            Ok(there) if there == text => {}
            Ok(_) => {
                failures.push(CommandError::failed(
                    format!("{} is there already and differs", path.display()),
                    "name another folder with --out, or move that file aside",
                ));
                continue;
            }
            Err(_) => writing::replace(&path, &text)?,
        }
        say::data(&format!("{}: {}", path.display(), what(entry)))?;
    }
    Ok(())
}

/// One line on a stump that was taken in.
fn what(entry: &Entry) -> String {
    let rings = &entry.stump.reading.rings;
    let years = match (rings.first(), rings.last()) {
        (Some(first), Some(last)) => first.year.zip(last.year),
        _ => None,
    };
    match years {
        Some((first, last)) => format!("{} rings, {first} to {last}", rings.len()),
        None => format!("{} rings, not dated", rings.len()),
    }
}

/// A file for that name, unlike those taken in this run.
fn free_path(folder: &Path, name: &str, taken: &mut BTreeSet<PathBuf>) -> PathBuf {
    let safe = safe_name(name);
    let path = (1..)
        .map(|number| match number {
            1 => folder.join(format!("{safe}.stump.json")),
            number => folder.join(format!("{safe}-{number}.stump.json")),
        })
        .find(|path| !taken.contains(path))
        .unwrap_or_else(|| folder.join(format!("{safe}.stump.json")));
    taken.insert(path.clone());
    path
}

/// The name without letters that file systems forbid.
fn safe_name(name: &str) -> String {
    let mut safe: String = name
        .chars()
        .map(|letter| {
            if letter.is_control() || r#"/\:*?"<>|"#.contains(letter) {
                '-'
            } else {
                letter
            }
        })
        .collect();
    while safe.len() > LONGEST_NAME {
        safe.pop();
    }
    let safe = safe.trim_matches(|letter: char| letter == '.' || letter.is_whitespace());
    if safe.is_empty() { "stump" } else { safe }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_names_of_files() {
        for (name, safe) in [
            ("oak, \"old\"", "oak, -old-"),
            ("../../etc/passwd", "-..-etc-passwd"),
            ("дуб 🌳", "дуб 🌳"),
            ("..", "stump"),
            ("", "stump"),
            ("two\nlines", "two-lines"),
        ] {
            assert_eq!(safe_name(name), safe, "{name}");
        }
        assert!(safe_name(&"🌳".repeat(99)).len() <= LONGEST_NAME);
    }
}
