//! `cargo xtask bench`: the whole program against decoding its photo alone and
//! against the sketch, at several sizes, all from one run; then each stage.

mod kept;
mod table;

use crate::metadata::{self, Metadata};
use crate::say;
use crate::watched::{Took, run as watch};
use anyhow::{Context as _, bail};
use clap::Args;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use table::Size;

/// Options of `cargo xtask bench`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Runs of each program and size; the quickest of each counts, for what else the machine does only slows
    #[arg(long, default_value_t = 5)]
    runs: usize,
    /// The Python that has NumPy, SciPy and OpenCV, for the sketch
    #[arg(long, default_value = "python3")]
    python: PathBuf,
    /// The sketch's sizes, in pixels of the longer side; 0 is the photo's own
    #[arg(long, value_delimiter = ',', default_value = "1400,0")]
    sketch_at: Vec<u32>,
    /// Leave out the time of each stage
    #[arg(long)]
    no_stages: bool,
    /// Keep this table: later runs on this machine are compared with it
    #[arg(long)]
    keep: bool,
}

/// Measures, prints and never fails for a figure: it is no test.
///
/// # Errors
/// When something cannot be built, drawn or run.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let metadata = metadata::load()?;
    let root = metadata.workspace_root.clone();
    cargo(
        &root,
        &[
            "build",
            "--locked",
            "--release",
            "-p",
            "stumpbook",
            "-p",
            "bench",
        ],
    )?;
    let folder = metadata.target_directory.join("bench");
    fs::create_dir_all(&folder).with_context(|| format!("cannot make {}", folder.display()))?;
    let mut sizes = Vec::new();
    for megapixels in bench::SIZES {
        let photo = drawn(&folder, megapixels)?;
        say::line(&format!(
            "{megapixels} megapixels, {} runs each",
            options.runs
        ));
        sizes.push(measured(&metadata, &photo, megapixels, options)?);
    }
    let sketch = root.join("../shared/sketch/straighten.py");
    let photo = drawn(&folder, 12)?;
    let sketched: Vec<(u32, Result<f64, String>)> = options
        .sketch_at
        .iter()
        .map(|&side| (side, sketched(&options.python, &sketch, &photo, side)))
        .collect();
    table::print(&sizes, &sketched);
    let started = quickest(options.runs, || {
        watch(Command::new(metadata.program("release")).arg("--help"))
    })?;
    say::line(&format!(
        "{:<58} {:>8.1} ms   must 10 ms",
        "stumpbook --help, whole process",
        1e3 * started.seconds
    ));
    let bytes = fs::metadata(metadata.program("release"))?.len();
    let packages = metadata
        .packages
        .iter()
        .filter(|p| p.source.is_some())
        .count();
    say::line(&format!(
        "{:<58} {:>8.1} MB",
        "the program's own size",
        bytes as f64 / 1e6
    ));
    say::line(&format!(
        "{:<58} {packages:>8}",
        "packages of others in Cargo.lock"
    ));
    let now = kept::Table::of(&sizes, &started);
    now.compare(&folder)?;
    if options.keep {
        now.keep(&folder)?;
    }
    if !options.no_stages {
        say::line("\neach stage, by size in megapixels:");
        cargo(
            &root,
            &["bench", "--locked", "-p", "bench", "--bench", "stages"],
        )?;
    }
    Ok(())
}

fn cargo(root: &Path, args: &[&str]) -> anyhow::Result<()> {
    let status = Command::new(metadata::cargo())
        .args(args)
        .current_dir(root)
        .stdin(Stdio::null())
        .status()
        .context("cannot start cargo")?;
    if status.success() {
        Ok(())
    } else {
        bail!("cargo {} ended with {status}", args[0])
    }
}

/// The photo of a size, for other chores.
///
/// # Errors
/// When it cannot be written.
pub(crate) fn drawn_photo(megapixels: u32) -> anyhow::Result<PathBuf> {
    let folder = metadata::load()?.target_directory.join("bench");
    fs::create_dir_all(&folder)?;
    drawn(&folder, megapixels)
}

/// The photo of a size, drawn once and kept beside what is built.
fn drawn(folder: &Path, megapixels: u32) -> anyhow::Result<PathBuf> {
    let path = folder.join(format!("{megapixels}.jpg"));
    if !path.exists() {
        say::line(&format!("drawing a photo of {megapixels} megapixels"));
        fs::write(&path, bench::photo_of(megapixels))
            .with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(path)
}

/// Decoding alone and the whole count, turn by turn.
fn measured(
    metadata: &Metadata,
    photo: &Path,
    megapixels: u32,
    options: &Options,
) -> anyhow::Result<Size> {
    let decoder = metadata.built("decode", "release");
    let entry = photo.with_extension("stump.json");
    let (mut decode, mut count) = (Vec::new(), Vec::new());
    for _ in 0..options.runs.max(1) {
        decode.push(watch(Command::new(&decoder).arg(photo))?);
        // What is kept beside a photo would spare it its reading.
        if entry.exists() {
            fs::remove_file(&entry)?;
        }
        count.push(watch(
            Command::new(metadata.program("release"))
                .args(["count", "--json"])
                .arg(photo),
        )?);
    }
    if let Some(bad) = decode
        .iter()
        .chain(&count)
        .find(|took| !took.status.success())
    {
        bail!("a run on {} ended with {}", photo.display(), bad.status);
    }
    Ok(Size {
        megapixels,
        decode: least(&decode),
        count: least(&count),
    })
}

/// The quickest run, with the least of each other figure: what the machine
/// does besides can only add to them.
fn least(runs: &[Took]) -> Took {
    let mut best = runs[0];
    for run in &runs[1..] {
        best.seconds = best.seconds.min(run.seconds);
        best.processor_s = best.processor_s.zip(run.processor_s).map(|(a, b)| a.min(b));
        best.peak_mb = best.peak_mb.zip(run.peak_mb).map(|(a, b)| a.max(b));
    }
    best
}

fn quickest(times: usize, run: impl Fn() -> anyhow::Result<Took>) -> anyhow::Result<Took> {
    let runs: Vec<Took> = (0..times.max(1))
        .map(|_| run())
        .collect::<anyhow::Result<_>>()?;
    Ok(least(&runs))
}

/// Seconds that the sketch takes on a photo, or why it was not run.
fn sketched(python: &Path, sketch: &Path, photo: &Path, side: u32) -> Result<f64, String> {
    if !sketch.exists() {
        return Err(format!("{} is not there", sketch.display()));
    }
    let has = Command::new(python)
        .args(["-c", "import numpy, scipy, cv2"])
        .stderr(Stdio::null())
        .status();
    if !has.is_ok_and(|status| status.success()) {
        return Err(format!(
            "{} has no numpy, scipy and opencv-python-headless (--python PATH names another)",
            python.display()
        ));
    }
    let side = if side == 0 { 100_000 } else { side };
    let took = watch(
        Command::new(python)
            .arg(sketch)
            .arg(photo)
            .arg(photo.with_extension("sketch"))
            .args(["-", &side.to_string()]),
    )
    .map_err(|error| format!("{error:#}"))?;
    if took.status.success() {
        Ok(took.seconds)
    } else {
        Err(format!("it ended with {}", took.status))
    }
}
