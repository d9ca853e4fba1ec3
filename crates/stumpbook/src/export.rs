//! `stumpbook export`: ring widths in a format that others read.

use crate::args::{ExportArgs, FormatArg};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{say, stumps, writing};
use exchange::{ExchangeError, Format, Resolution};
use std::path::Path;

/// Writes the stumps asked for; one that cannot be read does not stop the rest.
///
/// # Errors
/// When none can be written, or stdout is gone.
pub(crate) fn run(args: &ExportArgs) -> anyhow::Result<Outcome> {
    let format = args
        .format
        .map(format_of)
        .or_else(|| args.to.as_deref().and_then(by_name))
        .unwrap_or(Format::Csv);
    let mut entries = Vec::new();
    let mut failures = Vec::new();
    stumps::each(&args.from, &mut |found| match found {
        Ok(found) => entries.push(found.entry),
        Err(error) => failures.push(error),
    });
    if entries.is_empty()
        && let Some(first) = failures.pop()
    {
        return Err(first.into());
    }
    let written = exchange::write(&entries, format).map_err(|error| {
        if let ExchangeError::NothingWritten { notices, .. } = &error {
            say::notices(notices);
        }
        CommandError::failed(error.to_string(), error.advice())
    })?;
    match &args.to {
        Some(path) => writing::replace(path, written.text.as_bytes())?,
        // The text has its own last line end.
        None => say::data(written.text.trim_end_matches('\n'))?,
    }
    say::notices(&written.notices);
    say::failures(&failures);
    Ok(if failures.is_empty() {
        Outcome::Read
    } else {
        Outcome::Failed
    })
}

/// The format that was typed.
pub(crate) fn format_of(typed: FormatArg) -> Format {
    match typed {
        FormatArg::Csv => Format::Csv,
        FormatArg::Trees => Format::Trees,
        FormatArg::Json => Format::Json,
        FormatArg::Decadal => Format::Decadal(Resolution::Hundredth),
        FormatArg::DecadalFine => Format::Decadal(Resolution::Thousandth),
        FormatArg::Tridas => Format::Tridas,
    }
}

fn by_name(path: &Path) -> Option<Format> {
    Format::of_name(&stumps::name_of(path))
}
