//! `stumpbook export`: ring widths in a format that others read.

use crate::args::{ExportArgs, FormatArg};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{say, stump_file, stumps, writing};
use exchange::{ExchangeError, Format, Resolution};
use std::path::Path;
use wood::Angle;

/// Writes the stumps asked for; one that cannot be read does not stop the rest.
///
/// # Errors
/// When none can be written, or stdout is gone.
pub(crate) fn run(args: &ExportArgs) -> anyhow::Result<Outcome> {
    let format = args
        .format
        .map(format_of)
        .or_else(|| args.to.as_deref().and_then(by_name))
        .unwrap_or(if args.angle.is_empty() {
            Format::Csv
        } else {
            Format::Radii
        });
    let angles = angles(&args.angle, format)?;
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
    let written = if format == Format::Radii {
        exchange::write_radii(&entries, &angles)
    } else {
        exchange::write(&entries, format)
    };
    let written = written.map_err(|error| {
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

/// The directions asked for; only single radii have one.
fn angles(degrees: &[f64], format: Format) -> Result<Vec<Angle>, CommandError> {
    if let Some(not_one) = degrees.iter().find(|degrees| !degrees.is_finite()) {
        return Err(CommandError::usage(
            format!("--angle: {not_one} is no direction"),
            "give degrees, as in --angle 90 for the radius straight down",
        ));
    }
    if format != Format::Radii && !degrees.is_empty() {
        return Err(CommandError::usage(
            format!("--angle goes with single radii, not with {format}"),
            "use --format radii",
        ));
    }
    Ok(degrees
        .iter()
        .map(|degrees| Angle(degrees.to_radians()))
        .collect())
}

/// The format that was typed.
pub(crate) fn format_of(typed: FormatArg) -> Format {
    match typed {
        FormatArg::Csv => Format::Csv,
        FormatArg::Trees => Format::Trees,
        FormatArg::Radii => Format::Radii,
        FormatArg::Json => Format::Json,
        FormatArg::Decadal => Format::Decadal(Resolution::Hundredth),
        FormatArg::DecadalFine => Format::Decadal(Resolution::Thousandth),
        FormatArg::Tridas => Format::Tridas,
    }
}

fn by_name(path: &Path) -> Option<Format> {
    Format::of_name(&stump_file::name_of(path))
}
