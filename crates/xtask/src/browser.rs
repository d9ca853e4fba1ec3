//! `cargo xtask browser`, and a step of `test`: drives the desk's page in
//! Chromium. What is missing for it is installed where that can be done, and
//! named where not. None of it is part of what is shipped.

use crate::{metadata, say};
use anyhow::{Context as _, bail};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Names under which Chromium is found.
const CHROMIUM: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

/// Drives the page, and draws every view into docs/desk.
///
/// # Errors
/// As [`run`].
pub(crate) fn alone() -> anyhow::Result<()> {
    let root = metadata::load()?.workspace_root;
    drive(&root, Some(&root.join("docs/desk")))
}

/// Drives the page.
///
/// # Errors
/// When something is missing that cannot be installed, or a test fails.
pub(crate) fn run(root: &Path) -> anyhow::Result<()> {
    drive(root, None)
}

fn drive(root: &Path, pictures: Option<&Path>) -> anyhow::Result<()> {
    let chromium = chromium()?;
    need_node()?;
    let tests = root.join("tests/browser");
    if lacks_packages(&tests)? {
        say::line("installing the packages of tests/browser");
        done(
            Command::new("npm")
                .args(["ci", "--no-audit", "--no-fund"])
                .current_dir(&tests),
            "npm ci in tests/browser (it needs the npm registry, once)",
        )?;
    }
    done(
        Command::new(metadata::cargo())
            .args([
                "build",
                "--locked",
                "--profile",
                "chores",
                "--package",
                "stumpbook",
            ])
            .current_dir(root),
        "cargo build",
    )?;
    let mut node = Command::new("node");
    node.arg(tests.join("run.mjs"))
        .arg(program(root))
        .arg(root.join("samples"))
        .env("CHROMIUM", chromium);
    if let Some(folder) = pictures {
        node.arg(folder);
    }
    done(&mut node, "the tests of the page")
}

/// The program as the profile `chores` builds it.
fn program(root: &Path) -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| root.join("target"), |folder| root.join(folder));
    target
        .join("chores")
        .join(format!("stumpbook{}", std::env::consts::EXE_SUFFIX))
}

/// Chromium, installed from Debian's packages where it is missing and apt-get
/// may do so.
fn chromium() -> anyhow::Result<PathBuf> {
    if let Some(given) = std::env::var_os("CHROMIUM") {
        return Ok(given.into());
    }
    let find = || CHROMIUM.iter().find_map(|name| in_path(name));
    if let Some(found) = find() {
        return Ok(found);
    }
    install("chromium");
    find().context(
        "there is no Chromium to drive the page with: apt-get install chromium, or name one in CHROMIUM",
    )
}

/// Whether a package that `package.json` names is not there.
fn lacks_packages(tests: &Path) -> anyhow::Result<bool> {
    let text = std::fs::read_to_string(tests.join("package.json"))
        .context("cannot read tests/browser/package.json")?;
    let named: serde_json::Value =
        serde_json::from_str(&text).context("cannot understand tests/browser/package.json")?;
    let there = |name: &String| tests.join("node_modules").join(name).is_dir();
    Ok(["dependencies", "devDependencies"]
        .iter()
        .filter_map(|kind| named.get(kind)?.as_object())
        .any(|packages| !packages.keys().all(there)))
}

fn need_node() -> anyhow::Result<()> {
    if in_path("node").is_none() || in_path("npm").is_none() {
        install("nodejs npm");
    }
    if in_path("node").is_none() || in_path("npm").is_none() {
        bail!("there is no Node to drive the browser from: apt-get install nodejs npm");
    }
    Ok(())
}

/// Tries to install packages; whether it went well is seen by looking again.
fn install(packages: &str) {
    say::line(&format!("installing {packages}"));
    let quiet = |arguments: &[&str]| {
        let _ = Command::new("apt-get")
            .args(arguments)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .status();
    };
    quiet(&["update", "-qq"]);
    let mut arguments = vec!["install", "-y", "-qq", "--no-install-recommends"];
    arguments.extend(packages.split(' '));
    quiet(&arguments);
}

fn in_path(name: &str) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
}

fn done(command: &mut Command, what: &str) -> anyhow::Result<()> {
    let name = command.get_program().to_owned();
    let status = command
        .stdin(Stdio::null())
        .status()
        .with_context(|| format!("cannot start {}", OsStr::new(&name).display()))?;
    if !status.success() {
        bail!("{what} ended with {status}");
    }
    Ok(())
}
