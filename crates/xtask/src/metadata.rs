//! What cargo knows of the workspace.

use anyhow::{Context as _, bail};
use serde::Deserialize;
use std::path::PathBuf;
use std::process::Command;

/// As much of `cargo metadata` as the chores need.
#[derive(Debug, Deserialize)]
pub(crate) struct Metadata {
    pub(crate) packages: Vec<Package>,
    pub(crate) workspace_root: PathBuf,
    pub(crate) target_directory: PathBuf,
}

/// One package.
#[derive(Debug, Deserialize)]
pub(crate) struct Package {
    pub(crate) name: String,
    pub(crate) version: String,
    pub(crate) license: Option<String>,
    #[serde(default)]
    pub(crate) authors: Vec<String>,
    /// Its `Cargo.toml`.
    pub(crate) manifest_path: PathBuf,
    /// `None` for the workspace's own.
    pub(crate) source: Option<String>,
    pub(crate) dependencies: Vec<Dependency>,
}

/// One line of a package's dependencies.
#[derive(Debug, Deserialize)]
pub(crate) struct Dependency {
    pub(crate) name: String,
    /// `None` for a normal one, else `dev` or `build`.
    pub(crate) kind: Option<String>,
    /// Set where it is in the workspace.
    pub(crate) path: Option<PathBuf>,
}

impl Metadata {
    /// The program as a profile builds it.
    pub(crate) fn program(&self, profile: &str) -> PathBuf {
        self.built("stumpbook", profile)
    }

    /// One of the workspace's programs as a profile builds it.
    pub(crate) fn built(&self, name: &str, profile: &str) -> PathBuf {
        let name = format!("{name}{}", std::env::consts::EXE_SUFFIX);
        self.target_directory.join(profile).join(name)
    }
}

/// Asks cargo.
///
/// # Errors
/// When cargo cannot be started or does not understand the workspace.
pub(crate) fn load() -> anyhow::Result<Metadata> {
    let output = Command::new(cargo())
        .args(["metadata", "--format-version", "1", "--locked"])
        .output()
        .context("cannot start cargo")?;
    if !output.status.success() {
        bail!(
            "cargo metadata failed: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    serde_json::from_slice(&output.stdout).context("cargo metadata is not as expected")
}

/// The cargo that started us, so that one toolchain does everything.
pub(crate) fn cargo() -> std::ffi::OsString {
    std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into())
}
