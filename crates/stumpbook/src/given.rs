//! Facts as they are typed on the command line, checked once and for all
//! commands: each mistake names the option and shows the accepted form.

use crate::args::UnitsArg;
use crate::error::CommandError;
use jiff::Timestamp;
use jiff::civil::Date;
use std::str::FromStr;
use wood::{Felled, Length, Measure, Mm, Species, Units, find_species};

/// The species of a name.
///
/// # Errors
/// Wrong usage with the nearest names.
pub(crate) fn species(option: &str, text: &str) -> Result<&'static Species, CommandError> {
    find_species(text).map_err(|unknown| {
        let nearest = unknown.nearest.first().copied().unwrap_or("white oak");
        CommandError::usage(
            format!("{option}: {unknown}"),
            format!(
                "{option} \"{nearest}\"; stumpbook species lists all, and stumpbook species WORD \
                 those with a word in their names"
            ),
        )
    })
}

/// A length within the range that is accepted for it.
///
/// # Errors
/// Wrong usage with the accepted form or range.
pub(crate) fn length(
    option: &str,
    measure: Measure,
    text: &str,
    example: &str,
) -> Result<Mm, CommandError> {
    let wrong = |message: String| {
        CommandError::usage(
            format!("{option}: {message}"),
            format!("{option} {example}"),
        )
    };
    let length = Length::from_str(text).map_err(|error| wrong(error.to_string()))?;
    measure
        .check(length)
        .map_err(|error| wrong(error.to_string()))
}

/// A date of felling that is not still to come.
///
/// # Errors
/// Wrong usage with the accepted form.
pub(crate) fn felled(option: &str, text: &str) -> Result<Felled, CommandError> {
    let felled = Felled::from_str(text).map_err(|error| {
        CommandError::usage(format!("{option}: {error}"), format!("{option} 2025-11-08"))
    })?;
    felled.not_after(today()).map_err(|error| {
        CommandError::usage(
            format!("{option}: {error}"),
            format!("{option} 2025-11-08, 2025-11 or 2025"),
        )
    })
}

/// Today in UTC.
pub(crate) fn today() -> Date {
    jiff::tz::TimeZone::UTC.to_datetime(Timestamp::now()).date()
}

impl From<UnitsArg> for Units {
    fn from(units: UnitsArg) -> Self {
        match units {
            UnitsArg::Inch => Self::Inch,
            UnitsArg::Metric => Self::Metric,
        }
    }
}
