//! What every fault is tried on: the built program and a stump with marks.

use crate::metadata;
use anyhow::{Context as _, bail};
use practice::Recipe;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;
use wood::Stump;

pub(super) struct Ground {
    pub(super) program: PathBuf,
    /// A small photo that can be read quickly.
    pub(super) photo: Vec<u8>,
    /// Entries of the invented woodlot.
    pub(super) woodlot: PathBuf,
}

impl Ground {
    pub(super) fn new() -> anyhow::Result<Self> {
        let metadata = metadata::load()?;
        let root = &metadata.workspace_root;
        let built = Command::new(metadata::cargo())
            .args([
                "build",
                "--locked",
                "--profile",
                "chores",
                "-p",
                "stumpbook",
            ])
            .current_dir(root)
            .status()?;
        if !built.success() {
            bail!("the program could not be built");
        }
        let made = practice::render(&Recipe {
            rings: 8,
            width_px: 220,
            height_px: 210,
            ..Recipe::default()
        });
        Ok(Self {
            program: metadata.program("chores"),
            photo: practice::jpeg(&made.rgb, 90),
            woodlot: root.join("samples/cold-hollow"),
        })
    }

    /// A fresh folder with a photo whose species is given and whose pith is marked.
    pub(super) fn stump(&self) -> anyhow::Result<Place> {
        let folder = tempfile::tempdir()?;
        let photo = folder.path().join("oak.jpg");
        fs::write(&photo, &self.photo)?;
        let first = self
            .command(&["count", "--species", "white oak", "--pith", "110,105"])
            .arg(&photo)
            .output()?;
        if first.status.code().is_none_or(|code| code == 1) {
            bail!(
                "the first count failed: {}",
                String::from_utf8_lossy(&first.stderr)
            );
        }
        Ok(Place { folder, photo })
    }

    pub(super) fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(&self.program);
        command.args(args).stdin(Stdio::null());
        command
    }

    /// The program under a limit of the shell's (`ulimit` and its arguments).
    pub(super) fn limited(&self, limit: &str, args: &[&str]) -> Command {
        let mut command = Command::new("bash");
        command
            .arg("-c")
            .arg(format!("trap '' XFSZ; ulimit {limit}; exec \"$0\" \"$@\""))
            .arg(&self.program)
            .args(args)
            .stdin(Stdio::null());
        command
    }
}

/// A folder with a photo and its entry.
pub(super) struct Place {
    folder: TempDir,
    pub(super) photo: PathBuf,
}

impl Place {
    pub(super) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(super) fn entry(&self) -> PathBuf {
        self.photo.with_extension("stump.json")
    }

    /// The entry, which must be whole and hold the facts and marks made at first.
    pub(super) fn whole(&self) -> anyhow::Result<Stump> {
        let stump = whole_entry(&self.entry())?;
        if stump.facts.species.as_deref() != Some("white oak") || stump.marks.pith.is_none() {
            bail!(
                "facts or marks are lost: {:?} {:?}",
                stump.facts,
                stump.marks
            );
        }
        Ok(stump)
    }
}

/// An entry that must be there and whole.
pub(super) fn whole_entry(path: &Path) -> anyhow::Result<Stump> {
    let text = fs::read(path).with_context(|| format!("{} is gone", path.display()))?;
    serde_json::from_slice(&text)
        .with_context(|| format!("{} is broken, {} bytes", path.display(), text.len()))
}

/// How many files are in a folder that were never finished.
pub(super) fn parts(folder: &Path) -> anyhow::Result<usize> {
    Ok(fs::read_dir(folder)?
        .flatten()
        .filter(|file| file.file_name().to_string_lossy().contains(".part"))
        .count())
}

/// Exit 1 with what happened and what to do, and no panic.
pub(super) fn check_advice(output: &Output) -> anyhow::Result<()> {
    let said = String::from_utf8_lossy(&output.stderr);
    if output.status.code() != Some(1) || !said.contains("try: ") || said.contains("panicked") {
        bail!("ended with {} and said: {said}", output.status);
    }
    Ok(())
}
