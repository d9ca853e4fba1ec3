//! What can be wrong with a file that is brought in, and where.

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

/// A file that cannot be brought in, or stumps that cannot be taken out.
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
    /// A stump in it is told in a way that cannot be, and no other is there.
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
        told: Vec<crate::Told>,
    },
}

impl ExchangeError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::Malformed { format, .. } => match format {
                Format::Csv => "the first line names the columns; stump and width_mm are needed, as in stump,year,width_mm".to_owned(),
                Format::Json => "take an earlier .stump.json, or what stumpbook export wrote; docs/formats.md tells all of it".to_owned(),
                Format::Decadal(_) => "the layout goes by columns: series in 1 to 8, year in 9 to 12, then ten widths of six columns each, and a stop code (999 or -9999) after the last ring".to_owned(),
                Format::Tridas => "open the file in a text editor at that place, or ask whoever sent it for another copy".to_owned(),
            },
            Self::Nothing { .. } => {
                "check that it is the right file, and name its format with --format".to_owned()
            }
            Self::Unsound { .. } => {
                "it was edited by hand: put that ring right, or count the photo again".to_owned()
            }
            Self::Newer { .. } => "use that newer version to export it again as CSV".to_owned(),
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
