//! What can be wrong with an imported file, and where.

use crate::Format;
use std::fmt;

/// A place in a text file, as an editor counts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Place {
    /// The place of a byte in a text; the end of the text when beyond it.
    pub(crate) fn of_byte(text: &str, byte: usize) -> Self {
        let before = text
            .char_indices()
            .take_while(|(at, _)| *at < byte)
            .map(|(_, letter)| letter);
        let mut place = Self { line: 1, column: 1 };
        for letter in before {
            if letter == '\n' {
                place.line += 1;
                place.column = 1;
            } else {
                place.column += 1;
            }
        }
        place
    }
}

impl fmt::Display for Place {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "line {}, column {}", self.line, self.column)
    }
}

/// A file that cannot be imported, or stumps that cannot be exported.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ExchangeError {
    /// The file is not in the format it should be in.
    #[error("{place}: {problem}")]
    Malformed {
        /// The format it was read as.
        format: Format,
        /// Where.
        place: Place,
        /// What is wrong there.
        problem: String,
    },
    /// The file holds no ring at all.
    #[error("there is no series of rings in it")]
    Nothing {
        /// The format it was read as.
        format: Format,
    },
    /// Its only stump has impossible values.
    #[error("{stump}: {why}")]
    Unsound {
        /// The stump.
        stump: String,
        /// What is wrong with it.
        why: crate::NoSeries,
    },
    /// The file was written by a newer Stumpbook.
    #[error("it was written by a newer Stumpbook (format {found}, this one knows {known})")]
    Newer {
        /// The number in the file.
        found: u32,
        /// The highest number known here.
        known: u32,
    },
    /// Not one of the stumps could be written in that format.
    #[error("none of the stumps could be written as {format}")]
    NothingWritten {
        /// The format asked for.
        format: Format,
        /// Why, stump by stump.
        notices: Vec<crate::Notice>,
    },
}

impl ExchangeError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::Malformed { format, .. } => match format {
                Format::Trees => "a list of trees holds no rings; export again with --format csv".to_owned(),
                Format::Radii => "single radii are not imported; export again with --format csv".to_owned(),
                Format::Csv => "the first line names the columns; stump and width_mm are needed, separated by commas, with decimal points, as in stump,year,width_mm".to_owned(),
                Format::Json => "use a .stump.json or a file from stumpbook export; docs/formats.md describes both".to_owned(),
                Format::Decadal(_) => "the layout goes by columns: series in 1 to 8, year in 9 to 12, then ten widths of six columns each, and a stop code (999 or -9999) after the last ring".to_owned(),
                Format::Tridas => "open the file in a text editor at that place, or ask whoever sent it for another copy".to_owned(),
            },
            Self::Nothing { format: Format::Trees } => {
                "a list of trees holds no rings; import a CSV, JSON, decadal or TRiDaS file".to_owned()
            }
            Self::Nothing { format: Format::Radii } => {
                "single radii are not imported; import a CSV, JSON, decadal or TRiDaS file".to_owned()
            }
            Self::Nothing { .. } => {
                "check that it is the right file, and name its format with --format".to_owned()
            }
            Self::Unsound { .. } => {
                "it was edited by hand: correct that ring, or count the photo again".to_owned()
            }
            Self::Newer { .. } => "use that newer version to export it again as CSV".to_owned(),
            Self::NothingWritten { format: Format::Radii, .. } => {
                "count the photos again: outlines of rings are in the .stump.json beside a photo".to_owned()
            }
            Self::NothingWritten { .. } => {
                "stumps without a scale or without years go into CSV or JSON".to_owned()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_counted_as_an_editor_does() {
        let text = "ab\nčd\n";
        for (byte, line, column) in [(0, 1, 1), (1, 1, 2), (3, 2, 1), (5, 2, 2), (99, 3, 1)] {
            assert_eq!(Place::of_byte(text, byte), Place { line, column }, "{byte}");
        }
    }
}
