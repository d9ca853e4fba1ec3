//! The program started without a word.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use assert_cmd::Command;
use std::time::Duration;

/// The program with no arguments, no terminal and no browser to be found.
fn alone(home: &std::path::Path) -> Command {
    let mut command = stumpbook();
    command
        .env("HOME", home)
        .env("PATH", "")
        .env_remove("XDG_CONFIG_HOME")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("DISPLAY");
    command
}

#[test]
#[cfg(target_os = "linux")]
fn from_a_desktops_menu_the_desk_opens_on_the_pictures() {
    let home = folder();
    let pictures = home.path().join("Bilder");
    std::fs::create_dir(&pictures).unwrap();
    std::fs::create_dir(home.path().join(".config")).unwrap();
    std::fs::write(
        home.path().join(".config/user-dirs.dirs"),
        "XDG_PICTURES_DIR=\"$HOME/Bilder\"\n",
    )
    .unwrap();
    // The desk goes on until it is stopped; what it printed is enough.
    let output = alone(home.path())
        .env("DISPLAY", ":0")
        .timeout(Duration::from_secs(5))
        .output()
        .unwrap();
    let printed = String::from_utf8(output.stdout).unwrap();
    assert!(printed.starts_with("http://127.0.0.1:"), "{printed:?}");
    assert_eq!(output.status.code(), None, "{:?}", output.status);
}

#[test]
fn from_a_script_it_says_what_can_be_typed() {
    let output = alone(folder().path()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let stderr = String::from_utf8(output.stderr).unwrap();
    assert!(stderr.contains("Usage: stumpbook"), "{stderr}");
    assert!(output.stdout.is_empty());
}
