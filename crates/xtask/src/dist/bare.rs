//! What `cargo xtask dist` makes, tried where nothing is installed: the archive
//! in an empty root, where there is no library at all, and the package in a bare
//! Debian, from installing to removing it.

use super::{Made, by_default};
use crate::desk::Desk;
use crate::metadata;
use anyhow::{Context as _, bail, ensure};
use flate2::read::GzDecoder;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The photo that is counted; its rings are known.
const PHOTO: &str = "ash-landing.jpg";

/// Builds, packs and tries. `Some` is why it was not tried here.
///
/// # Errors
/// When something cannot be built, or does not work where it was installed.
pub(crate) fn run() -> anyhow::Result<Option<String>> {
    if !cfg!(all(target_os = "linux", target_arch = "x86_64")) {
        return Ok(Some("it is tried on Linux, x86-64".to_owned()));
    }
    let is_root = said(Command::new("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !is_root || said(Command::new("debootstrap").arg("--version")).is_err() {
        return Ok(Some(
            "it needs root and debootstrap (apt-get install debootstrap)".to_owned(),
        ));
    }
    let metadata = metadata::load()?;
    let made = by_default()?;
    let photo = metadata.workspace_root.join("samples").join(PHOTO);
    let rings = in_an_empty_root(&made, &photo)?;
    let base = bare_debian(&metadata.target_directory.join("dist"))?;
    let deb = made.deb.context("no Debian package was made")?;
    let installed = in_debian(&base, &deb, &photo)?;
    ensure!(
        rings == installed,
        "the archive's program counts {rings} rings, the package's {installed}"
    );
    Ok(None)
}

/// Unpacks the archive as the only thing there is, and counts; the number of rings.
fn in_an_empty_root(made: &Made, photo: &Path) -> anyhow::Result<u64> {
    let root = tempfile::tempdir()?;
    let bytes = fs::read(&made.archive)?;
    tar::Archive::new(GzDecoder::new(bytes.as_slice())).unpack(root.path())?;
    let folder = fs::read_dir(root.path())?
        .next()
        .context("the archive is empty")??
        .file_name();
    fs::copy(photo, root.path().join(PHOTO))?;
    let program = Path::new("/").join(folder).join("stumpbook");
    counted(root.path(), &program)
}

/// A Debian with nothing but what every Debian has, fetched once and kept.
fn bare_debian(folder: &Path) -> anyhow::Result<PathBuf> {
    let base = folder.join("debian");
    let whole = base.join("etc/debian_version");
    if !whole.exists() {
        fs::create_dir_all(folder)?;
        said(
            Command::new("debootstrap")
                .args(["--variant=minbase", "stable"])
                .arg(&base),
        )
        .context("a bare Debian cannot be fetched")?;
    }
    Ok(base)
}

/// Installs the package in a copy of the bare Debian, counts, opens the desk and
/// removes the package again; the number of rings.
fn in_debian(base: &Path, deb: &Path, photo: &Path) -> anyhow::Result<u64> {
    let place = tempfile::tempdir()?;
    let root = place.path().join("root");
    said(Command::new("cp").arg("-a").arg(base).arg(&root))?;
    fs::copy(deb, root.join("stumpbook.deb"))?;
    let photos = root.join("photos");
    fs::create_dir(&photos)?;
    fs::copy(photo, root.join(PHOTO))?;
    fs::copy(photo, photos.join(PHOTO))?;

    said(inside(&root, "dpkg").args(["-i", "/stumpbook.deb"]))?;
    let files: Vec<PathBuf> = said(inside(&root, "dpkg").args(["-L", "stumpbook"]))?
        .lines()
        .map(|line| root.join(line.trim_start_matches('/')))
        .filter(|path| path.is_file())
        .collect();
    for there in [
        "usr/bin/stumpbook",
        "usr/share/applications/stumpbook.desktop",
        "usr/share/bash-completion/completions/stumpbook",
        "usr/share/doc/stumpbook/copyright",
    ] {
        ensure!(
            files.contains(&root.join(there)),
            "/{there} was not installed"
        );
    }
    let rings = counted(&root, Path::new("/usr/bin/stumpbook"))?;
    said(inside(&root, "stumpbook").args(["sheet", &format!("/{PHOTO}")]))?;
    let sheet = fs::read(root.join(PHOTO.replace(".jpg", "-sheet.pdf")))?;
    ensure!(sheet.starts_with(b"%PDF"), "the sheet is no PDF");
    let desk = Desk::from(inside(&root, "stumpbook").args(["desk", "--no-open", "/photos"]))?;
    let (status, listed) = desk.asking().ask("GET", "/api/folder", None)?;
    ensure!(
        status == 200 && listed.to_string().contains(PHOTO),
        "the desk does not show the photo: {status} {listed}"
    );
    drop(desk);

    said(inside(&root, "dpkg").args(["-r", "stumpbook"]))?;
    if let Some(left) = files.iter().find(|path| path.exists()) {
        bail!("{} is left after removing the package", left.display());
    }
    Ok(rings)
}

/// Counts the photo that is in the root.
fn counted(root: &Path, program: &Path) -> anyhow::Result<u64> {
    let program = program.to_string_lossy();
    let json = said(inside(root, &program).args(["count", "--json", &format!("/{PHOTO}")]))?;
    let reading: Value = serde_json::from_str(&json).context("the count is no JSON")?;
    reading["count"]["best"]
        .as_u64()
        .with_context(|| format!("no count in {json:.200}"))
}

fn inside(root: &Path, program: &str) -> Command {
    let mut command = Command::new("chroot");
    command.arg(root).arg(program);
    command
        .env_clear()
        .env("PATH", "/usr/sbin:/usr/bin:/sbin:/bin");
    command
}

/// What a program prints.
fn said(command: &mut Command) -> anyhow::Result<String> {
    let name = format!("{command:?}");
    let Output {
        status,
        stdout,
        stderr,
    } = command
        .stdin(Stdio::null())
        .output()
        .with_context(|| format!("cannot start {name}"))?;
    if !status.success() {
        bail!(
            "{name} ended with {status}: {}",
            String::from_utf8_lossy(&stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&stdout).into_owned())
}
