//! The day of felling, known as well as the person knows it.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// When the tree was felled: a day, a month or only a year.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Felled {
    /// The day is known.
    Day(Date),
    /// The month is known (1 to 12).
    Month {
        /// Calendar year.
        year: i16,
        /// 1 to 12.
        month: i8,
    },
    /// Only the year is known.
    Year(i16),
}

/// A felling date that cannot be understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{0}\" is not a date of felling: write a day as 2025-11-08, a month as 2025-11 or a year as 2025"
)]
pub struct ParseFelledError(String);

impl Felled {
    /// The calendar year of the felling.
    #[must_use]
    pub fn year(self) -> i16 {
        match self {
            Self::Day(date) => date.year(),
            Self::Month { year, .. } | Self::Year(year) => year,
        }
    }

    /// Whether even the first day that is meant is after `latest`.
    #[must_use]
    pub fn starts_after(self, latest: Date) -> bool {
        match self {
            Self::Day(day) => day > latest,
            Self::Month { year, month } => (year, month) > (latest.year(), latest.month()),
            Self::Year(year) => year > latest.year(),
        }
    }

    /// The month's name, where it is known.
    #[must_use]
    pub fn month_name(self) -> Option<&'static str> {
        const NAMES: [&str; 12] = [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ];
        let month = usize::try_from(self.month()?).ok()?;
        NAMES.get(month.wrapping_sub(1)).copied()
    }

    /// The month (1 to 12), where it is known.
    #[must_use]
    pub fn month(self) -> Option<i8> {
        match self {
            Self::Day(date) => Some(date.month()),
            Self::Month { month, .. } => Some(month),
            Self::Year(_) => None,
        }
    }
}

impl FromStr for Felled {
    type Err = ParseFelledError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let wrong = || ParseFelledError(text.to_owned());
        let fields: Vec<&str> = text.trim().split('-').collect();
        let number = |field: &str, digits: usize| -> Option<i16> {
            (field.len() == digits && field.bytes().all(|b| b.is_ascii_digit()))
                .then(|| field.parse().ok())
                .flatten()
        };
        let year = fields
            .first()
            .and_then(|f| number(f, 4))
            .ok_or_else(wrong)?;
        let small = |index: usize| -> Result<Option<i8>, ParseFelledError> {
            fields
                .get(index)
                .map(|f| {
                    number(f, 2)
                        .and_then(|n| i8::try_from(n).ok())
                        .ok_or_else(wrong)
                })
                .transpose()
        };
        match (small(1)?, small(2)?) {
            (None, _) => Ok(Self::Year(year)),
            (Some(month), None) if (1..=12).contains(&month) => Ok(Self::Month { year, month }),
            (Some(month), Some(day)) if fields.len() == 3 => Date::new(year, month, day)
                .map(Self::Day)
                .map_err(|_| wrong()),
            _ => Err(wrong()),
        }
    }
}

impl fmt::Display for Felled {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Day(date) => write!(out, "{date}"),
            Self::Month { year, month } => write!(out, "{year:04}-{month:02}"),
            Self::Year(year) => write!(out, "{year:04}"),
        }
    }
}

impl From<Felled> for String {
    fn from(felled: Felled) -> Self {
        felled.to_string()
    }
}

impl TryFrom<String> for Felled {
    type Error = ParseFelledError;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        text.parse()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_is_printed_as_it_was_written() {
        for text in ["2025-11-08", "2025-02", "1999", "2024-02-29"] {
            assert_eq!(text.parse::<Felled>().unwrap().to_string(), text);
        }
    }

    #[test]
    fn a_day_that_does_not_exist_is_refused_with_the_accepted_form() {
        for text in [
            "2031-02-31",
            "2025-13",
            "25",
            "",
            "2025-1-1",
            "2025-01-01-01",
            "2025-02-29",
            "spring",
        ] {
            let message = text.parse::<Felled>().unwrap_err().to_string();
            assert!(message.contains("2025-11-08"), "{message}");
        }
    }

    #[test]
    fn a_felling_to_come_is_recognized() {
        let today = jiff::civil::date(2025, 11, 8);
        for (text, later) in [
            ("2025-11-08", false),
            ("2025-11-09", true),
            ("2025-11", false),
            ("2025-12", true),
            ("2025", false),
            ("2026", true),
        ] {
            assert_eq!(
                text.parse::<Felled>().unwrap().starts_after(today),
                later,
                "{text}"
            );
        }
    }
}
