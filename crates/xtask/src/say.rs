//! The only place of the chores that prints.

use std::io::{self, Write as _};

/// Prints a line to stdout; nobody listening is no reason to stop.
pub(crate) fn line(text: &str) {
    let mut out = io::stdout().lock();
    let _ = writeln!(out, "{text}");
    let _ = out.flush();
}
