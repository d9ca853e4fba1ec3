//! The only place that prints: data to stdout, talk to stderr.

use crate::error::CommandError;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{self, IsTerminal as _, Write as _};

/// Prints one block of data and a line end to stdout.
///
/// # Errors
/// When stdout cannot be written to; a closed pipe is recognized by [`is_closed_pipe`].
pub(crate) fn data(text: &str) -> anyhow::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    out.write_all(b"\n")?;
    out.flush()?;
    Ok(())
}

/// Prints a line of talk to stderr; nobody listening is no reason to stop.
pub(crate) fn note(text: &str) {
    let _ = writeln!(io::stderr(), "{text}");
}

/// Prints an error and, on a line of its own, what to do about it.
pub(crate) fn error(error: &anyhow::Error) {
    note(&format!("stumpbook: {error:#}"));
    if let Some(error) = error.downcast_ref::<CommandError>() {
        note(&format!("try: {}", error.advice()));
    }
}

/// The list of what failed comes last, where a person still sees it.
pub(crate) fn failures(failures: &[CommandError]) {
    if failures.is_empty() {
        return;
    }
    note(&format!("\nstumpbook: {} not read:", failures.len()));
    for error in failures {
        note(&format!("  {error}\n    try: {}", error.advice()));
    }
}

/// Prints what a format could not hold; what applies to many stumps is printed once.
pub(crate) fn notices(all: &[exchange::Notice]) {
    /// From so many stumps on their names are left out.
    const MANY: usize = 3;
    let mut said = std::collections::BTreeSet::new();
    for one in all {
        let same: Vec<&str> = all
            .iter()
            .filter(|other| other.text == one.text)
            .map(|other| other.stump.as_str())
            .collect();
        if same.len() < MANY || one.stump.is_empty() {
            note(&one.to_string());
        } else if said.insert(one.text.as_str()) {
            note(&format!("{} stumps: {}", same.len(), one.text));
        }
    }
}

/// Letters by the text they stand in, for a message; `None` for none.
pub(crate) fn letters_in(texts: &[(&str, Vec<char>)]) -> Option<String> {
    let named: Vec<String> = texts
        .iter()
        .filter_map(|(name, all)| Some(format!("{}: {}", name.to_lowercase(), letters(all)?)))
        .collect();
    (!named.is_empty()).then(|| named.join("; "))
}

/// Letters with their numbers in Unicode, for a message; `None` for none.
pub(crate) fn letters(letters: &[char]) -> Option<String> {
    /// From so many on, the rest is only counted.
    const MANY: usize = 12;
    let named = |letter: &char| format!("{letter} (U+{:04X})", u32::from(*letter));
    let mut shown: Vec<String> = letters.iter().take(MANY).map(named).collect();
    if letters.len() > MANY {
        shown.push(format!("and {} more letters", letters.len() - MANY));
    }
    (!shown.is_empty()).then(|| shown.join(", "))
}

/// Whether whoever read our output has simply stopped reading (`| head`).
pub(crate) fn is_closed_pipe(error: &anyhow::Error) -> bool {
    error
        .downcast_ref::<io::Error>()
        .is_some_and(|e| e.kind() == io::ErrorKind::BrokenPipe)
}

/// A progress line on stderr; hidden unless `wanted` and stderr is a terminal.
pub(crate) fn progress(steps: usize, wanted: bool) -> ProgressBar {
    if !wanted || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::with_draw_target(Some(steps as u64), ProgressDrawTarget::stderr());
    // Plain characters and no color, so that NO_COLOR has nothing to switch off.
    let template = if steps > 1 {
        "{spinner} {pos}/{len} {wide_msg} {elapsed}, {eta} left"
    } else {
        "{spinner} {pos}/{len} {wide_msg} {elapsed}"
    };
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
    bar.enable_steady_tick(std::time::Duration::from_millis(200));
    bar
}
