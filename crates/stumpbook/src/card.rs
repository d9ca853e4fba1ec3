//! `stumpbook card`: the printable scale card.

use crate::args::{CardArgs, PaperArg};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use crate::writing;
use report::{Paper, card_pdf};
use std::path::PathBuf;

/// Writes the card for the paper asked for.
///
/// # Errors
/// When the file cannot be written, or stdout is gone.
pub(crate) fn run(args: &CardArgs) -> anyhow::Result<Outcome> {
    let (paper, name) = match args.paper {
        PaperArg::Letter => (Paper::Letter, "scale-card-letter.pdf"),
        PaperArg::A4 => (Paper::A4, "scale-card-a4.pdf"),
    };
    let pdf = card_pdf(paper).map_err(|error| {
        CommandError::failed(
            format!("cannot make the scale card: {error}"),
            error.advice(),
        )
    })?;
    let path = args.out.clone().unwrap_or_else(|| PathBuf::from(name));
    let path = if path.is_dir() { path.join(name) } else { path };
    writing::replace(&path, &pdf)?;
    say::data(&path.display().to_string())?;
    say::note("print it at its actual size (100 %), then measure the bar: it must be 100 mm long");
    Ok(Outcome::Read)
}
