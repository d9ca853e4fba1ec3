//! The formats, and the one way in and out of each.

use crate::{Entry, ExchangeError, Resolution, Series, Source, Told};
use crate::{decadal, json, stump_of, table, tridas};
use std::fmt;

/// A format that rings are handed on in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values after RFC 4180, one line a ring.
    Csv,
    /// Our own JSON: everything.
    Json,
    /// The NOAA decadal layout ("raw measurements").
    Decadal(Resolution),
    /// TRiDaS, the XML of Jansma, Brewer and Zandhuis 2010.
    Tridas,
}

impl Format {
    /// The format of a file as its name tells it.
    #[must_use]
    pub fn of_name(file: &str) -> Option<Self> {
        let ending = file.rsplit_once('.')?.1.to_ascii_lowercase();
        match ending.as_str() {
            "csv" => Some(Self::Csv),
            "json" => Some(Self::Json),
            "rwl" | "dec" => Some(Self::Decadal(Resolution::Hundredth)),
            "xml" | "tridas" => Some(Self::Tridas),
            _ => None,
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Csv => "CSV",
            Self::Json => "JSON",
            Self::Decadal(Resolution::Hundredth) => "the decadal layout at 0.01 mm",
            Self::Decadal(Resolution::Thousandth) => "the decadal layout at 0.001 mm",
            Self::Tridas => "TRiDaS",
        })
    }
}

/// A file's text and what it could not hold.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// The text of the file.
    pub text: String,
    /// What was not carried over as it was.
    pub told: Vec<Told>,
}

/// Stumps from a file and what was not understood or had to be assumed.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// The stumps, in the order of the file.
    pub entries: Vec<Entry>,
    /// What was not carried over as it was.
    pub told: Vec<Told>,
}

/// The text of a file that holds these stumps.
///
/// A stump that the format cannot hold is left out and told.
///
/// # Errors
/// [`ExchangeError::NothingWritten`] when no stump is left.
pub fn write(entries: &[Entry], format: Format) -> Result<Written, ExchangeError> {
    let mut told = Vec::new();
    if format == Format::Json {
        let text = json::write(entries);
        return Ok(Written { text, told });
    }
    let mut series = Vec::new();
    for entry in entries {
        match Series::of(&entry.name, &entry.stump) {
            Ok(one) => series.push(one),
            Err(why) => told.push(Told::of(&entry.name, format!("left out: {why}"))),
        }
    }
    let (text, count) = match format {
        Format::Csv => table::write(&series, &mut told),
        Format::Decadal(resolution) => decadal::write(&series, resolution, &mut told),
        Format::Tridas | Format::Json => tridas::write(&series, &mut told),
    };
    if count == 0 {
        return Err(ExchangeError::NothingWritten { format, told });
    }
    told.push(Told::all(format!(
        "{format} does not hold outlines, marks, ages and their ranges, decades or cautions: JSON does"
    )));
    Ok(Written { text, told })
}

/// The stumps in a file's bytes. `file` is its name without folders.
///
/// The resolution of a decadal file is told by its stop codes, whichever was
/// asked for.
///
/// # Errors
/// When the file is not in that format (with line and column), is newer than
/// this build, or holds no series.
pub fn read(file: &str, bytes: &[u8], format: Format) -> Result<Read, ExchangeError> {
    let mut told = Vec::new();
    let source = Source::of(file, bytes);
    let series = match format {
        Format::Json => {
            let entries = json::read(file, bytes, &mut told)?;
            return Ok(Read { entries, told });
        }
        Format::Csv => table::read(bytes, &mut told)?,
        Format::Decadal(_) => decadal::read(bytes, &mut told)?,
        Format::Tridas => tridas::read(bytes, &mut told)?,
    };
    if series.is_empty() {
        return Err(ExchangeError::Nothing { format });
    }
    let entries = series
        .iter()
        .map(|one| Entry {
            name: one.name.clone(),
            stump: stump_of(one, &source),
        })
        .collect();
    Ok(Read { entries, told })
}
