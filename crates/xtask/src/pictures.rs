//! `cargo xtask pictures`: the pictures of README.md, made again from real
//! output and kept small.

use crate::{metadata, say};
use anyhow::{Context as _, anyhow, bail};
use image::codecs::jpeg::JpegEncoder;
use image::imageops::{FilterType, resize};
use std::fs;
use std::path::Path;
use std::process::Command;

/// The practice photo shown, and its facts.
const STEM: &str = "ash-landing";
const FACTS: [&str; 8] = [
    "--species",
    "ash",
    "--felled",
    "2025-11-08",
    "--cut-height",
    "30cm",
    "--across",
    "413mm",
];
/// Width of a picture in the README, in pixels.
const WIDTH: u32 = 900;
/// Good enough for thin lines, and under 300 kB a picture.
const QUALITY: u8 = 82;

/// Counts the photo with the program itself and shrinks what it drew.
///
/// # Errors
/// When the program fails or a file cannot be read or written.
pub(crate) fn run() -> anyhow::Result<()> {
    let root = metadata::load()?.workspace_root;
    let kept = root.join("docs/img");
    fs::create_dir_all(&kept).context("cannot make docs/img")?;
    // A copy is counted, so that nothing is written into samples.
    let place = std::env::temp_dir().join(format!("stumpbook-pictures-{}", std::process::id()));
    fs::create_dir_all(&place).context("cannot make a folder for the work")?;
    let made = count_and_shrink(&root, &place, &kept);
    // What is left of the work is no loss if it cannot be removed.
    let _ = fs::remove_dir_all(&place);
    made
}

fn count_and_shrink(root: &Path, place: &Path, kept: &Path) -> anyhow::Result<()> {
    let name = format!("{STEM}.jpg");
    let photo = place.join(&name);
    fs::copy(root.join("samples").join(&name), &photo)
        .with_context(|| format!("cannot copy samples/{name}"))?;
    say::line(&count(&FACTS, &photo, place)?);
    for ending in ["ringmap", "unrolled"] {
        shrink(
            &place.join(format!("{STEM}-{ending}.png")),
            &kept.join(format!("{STEM}-{ending}.jpg")),
        )?;
    }
    for ending in ["growth.svg", "decades.svg"] {
        let drawn = place.join(format!("{STEM}-{ending}"));
        let bytes = fs::read(&drawn).with_context(|| format!("cannot read {}", drawn.display()))?;
        keep(&kept.join(format!("{STEM}-{ending}")), &bytes)?;
    }
    Ok(())
}

/// Lets the program count a photo and draw into `place`; gives what it printed.
///
/// # Errors
/// When the program cannot be started or fails.
pub(crate) fn count(facts: &[&str], photo: &Path, place: &Path) -> anyhow::Result<String> {
    let output = Command::new(metadata::cargo())
        .args([
            "run",
            "--quiet",
            "--profile",
            "chores",
            "--package",
            "stumpbook",
            "--",
        ])
        .arg("count")
        .args(facts)
        .arg("--out")
        .arg(place)
        .arg(photo)
        .current_dir(metadata::load()?.workspace_root)
        .output()
        .context("cannot start cargo")?;
    if !output.status.success() {
        bail!(
            "stumpbook: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// A picture made small and kept as JPEG.
///
/// # Errors
/// When it cannot be read or written.
pub(crate) fn shrink(drawn: &Path, path: &Path) -> anyhow::Result<()> {
    let bytes = fs::read(drawn).with_context(|| format!("cannot read {}", drawn.display()))?;
    // By our own crate, which has the decoders built already.
    let picture = photo::open(&bytes, &photo::Limits::default())
        .map_err(|error| anyhow!("cannot read {}: {error}", drawn.display()))?
        .rgb;
    let height =
        (u64::from(picture.height()) * u64::from(WIDTH) / u64::from(picture.width().max(1))) as u32;
    let small = resize(&picture, WIDTH, height.max(1), FilterType::CatmullRom);
    let mut bytes = Vec::new();
    small
        .write_with_encoder(JpegEncoder::new_with_quality(&mut bytes, QUALITY))
        .context("cannot encode a picture")?;
    keep(path, &bytes)
}

fn keep(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    fs::write(path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
    say::line(&format!("{} ({} kB)", path.display(), bytes.len() / 1000));
    Ok(())
}
