//! The formats, and the one way in and out of each.

use crate::{Entry, ExchangeError, Notice, Resolution, Series, Source};
use crate::{decadal, json, radii, stump_of, table, trees, tridas};
use std::fmt;
use wood::Angle;

/// A format that ring widths are exported in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values after RFC 4180, one line a ring.
    Csv,
    /// Comma-separated values, one line a tree; written only.
    Trees,
    /// Comma-separated values, one line for each ring on a single radius; written only.
    Radii,
    /// Our own JSON: everything.
    Json,
    /// The NOAA decadal layout ("raw measurements").
    Decadal(Resolution),
    /// TRiDaS, the XML of Jansma, Brewer and Zandhuis 2010.
    Tridas,
}

impl Format {
    /// The format that a file's name suggests.
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
            Self::Trees => "a list of trees",
            Self::Radii => "a list of single radii",
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
    pub notices: Vec<Notice>,
}

/// Stumps from a file and what was not understood or had to be assumed.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// The stumps, in the order of the file.
    pub entries: Vec<Entry>,
    /// What was not carried over as it was.
    pub notices: Vec<Notice>,
}

/// The text of a file that holds these stumps.
///
/// A stump that the format cannot hold is left out, with a notice.
///
/// # Errors
/// [`ExchangeError::NothingWritten`] when no stump is left.
pub fn write(entries: &[Entry], format: Format) -> Result<Written, ExchangeError> {
    let mut notices = Vec::new();
    if format == Format::Json {
        let text = json::write(entries);
        return Ok(Written { text, notices });
    }
    if format == Format::Trees {
        let text = trees::write(entries);
        return Ok(Written { text, notices });
    }
    if format == Format::Radii {
        return write_radii(entries, &[]);
    }
    let mut series = Vec::new();
    for entry in entries {
        if let Some(along) = entry.stump.reading.counted_along() {
            let lost = format!("{along}, which {format} does not say");
            notices.push(Notice::of(&entry.name, lost));
        }
        match Series::of(&entry.name, &entry.stump) {
            Ok(one) => series.push(one),
            Err(why) => notices.push(Notice::of(&entry.name, format!("left out: {why}"))),
        }
    }
    let (text, count) = match format {
        Format::Csv => table::write(&series, &mut notices),
        Format::Decadal(resolution) => decadal::write(&series, resolution, &mut notices),
        Format::Tridas | Format::Json | Format::Trees | Format::Radii => {
            tridas::write(&series, &mut notices)
        }
    };
    if count == 0 {
        return Err(ExchangeError::NothingWritten { format, notices });
    }
    notices.push(Notice::all(format!(
        "{format} does not hold outlines, marks, ages and their ranges, decades or cautions: JSON does"
    )));
    Ok(Written { text, notices })
}

/// Ring widths along single radii as CSV: in the directions asked for (clockwise from
/// +x), or without any the longest and the shortest radius of each stump. A stump
/// without outlines is left out, with a notice.
///
/// # Errors
/// [`ExchangeError::NothingWritten`] when no stump is left.
pub fn write_radii(entries: &[Entry], angles: &[Angle]) -> Result<Written, ExchangeError> {
    let mut notices = Vec::new();
    let (text, count) = radii::write(entries, angles, &mut notices);
    if count == 0 {
        let format = Format::Radii;
        return Err(ExchangeError::NothingWritten { format, notices });
    }
    Ok(Written { text, notices })
}

/// The stumps in a file's bytes. `file` is its name without folders.
///
/// The resolution of a decadal file follows from its stop codes, whichever was
/// asked for.
///
/// # Errors
/// When the file is not in that format (with line and column), is newer than
/// this build, or holds no series.
pub fn read(file: &str, bytes: &[u8], format: Format) -> Result<Read, ExchangeError> {
    let mut notices = Vec::new();
    let source = Source::of(file, bytes);
    let series = match format {
        Format::Json => {
            let entries = json::read(file, bytes, &mut notices)?;
            return Ok(Read { entries, notices });
        }
        Format::Trees | Format::Radii => return Err(ExchangeError::Nothing { format }),
        Format::Csv => table::read(bytes, &mut notices)?,
        Format::Decadal(_) => decadal::read(bytes, &mut notices)?,
        Format::Tridas => tridas::read(bytes, &mut notices)?,
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
    Ok(Read { entries, notices })
}
