//! Opening the person's browser.

use std::process::{Command, Stdio};

/// Opens an address in the browser that the person uses; whether it started.
/// The key in it is seen by nobody else on this machine for longer than the
/// browser takes to start, and is spent then.
pub(crate) fn open(address: &str) -> bool {
    let mut command = if cfg!(target_os = "macos") {
        Command::new("open")
    } else if cfg!(windows) {
        let mut command = Command::new("rundll32");
        command.arg("url.dll,FileProtocolHandler");
        command
    } else {
        Command::new("xdg-open")
    };
    command
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .is_ok()
}
