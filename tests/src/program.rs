//! The built program.

use assert_cmd::Command;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use tempfile::TempDir;

/// The program as a person starts it: built if it is not up to date, without
/// the environment's wishes about color.
///
/// # Panics
/// When the program cannot be built: then nothing can be tested.
#[must_use]
pub fn stumpbook() -> Command {
    let mut command = Command::new(stumpbook_path());
    command.env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

/// Where the program is: as the environment variable `STUMPBOOK` says, else built if it
/// is not up to date.
///
/// # Panics
/// When the program cannot be built.
#[must_use]
pub fn stumpbook_path() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| std::env::var_os("STUMPBOOK").map_or_else(build, PathBuf::from))
}

/// A fresh, empty folder; it is removed when dropped.
///
/// # Panics
/// When the system has no room for one.
#[must_use]
pub fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder for temporary files")
}

/// The workspace's folder.
#[must_use]
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .unwrap_or(Path::new("."))
}

/// Builds the program in the profile and folder that this test was built in;
/// cargo only builds programs by itself for tests of the same package.
fn build() -> PathBuf {
    // .../target/PROFILE/deps/this-test
    let here = std::env::current_exe().expect("the path of this test");
    let profile_folder = here
        .ancestors()
        .nth(2)
        .expect("a test lies two folders deep in the build folder");
    let target = profile_folder.parent().expect("the build folder");
    let name = profile_folder
        .file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .expect("a profile's name");
    let profile = if name == "debug" { "dev" } else { &name };
    let status = std::process::Command::new(env!("CARGO"))
        .args([
            "build",
            "--quiet",
            "--workspace",
            "--bins",
            "--profile",
            profile,
        ])
        .arg("--target-dir")
        .arg(target)
        .current_dir(root())
        .status()
        .expect("cargo can be started");
    assert!(status.success(), "the program could not be built");
    profile_folder.join(format!("stumpbook{}", std::env::consts::EXE_SUFFIX))
}
