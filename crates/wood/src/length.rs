//! A length as a person writes it: a number with its unit.

use crate::Mm;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// The units in which lengths are shown; one of them in a whole report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Inches and feet.
    #[default]
    Inch,
    /// Millimetres, centimetres and metres.
    Metric,
}

/// A length above zero with the unit it was written in: `24in`, `61cm`, `610mm`, `2ft`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length(Mm);

/// A length that cannot be understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseLengthError {
    /// The number has no unit, or one that is not known.
    #[error("\"{0}\" has no unit: write 24in, 61cm, 610mm, 0.6m or 2ft")]
    Unit(String),
    /// The number is not one, or is not above zero, or is absurd.
    #[error(
        "\"{0}\" is not a length: it must be above zero and under 100 m, as in 24in, 61cm, 610mm, 0.6m or 2ft"
    )]
    Number(String),
}

impl Length {
    /// The longest length that makes sense on or around a tree.
    const MOST_MM: f64 = 100_000.0;

    /// The length in millimetres.
    #[must_use]
    pub fn mm(self) -> Mm {
        self.0
    }
}

impl FromStr for Length {
    type Err = ParseLengthError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let trimmed = text.trim();
        let split = trimmed
            .find(|c: char| !(c.is_ascii_digit() || c == '.'))
            .ok_or_else(|| ParseLengthError::Unit(text.to_owned()))?;
        let (number, unit) = trimmed.split_at(split);
        if number.is_empty() {
            return Err(ParseLengthError::Number(text.to_owned()));
        }
        let mm_per_unit = match unit.trim().to_ascii_lowercase().as_str() {
            "mm" => 1.0,
            "cm" => 10.0,
            "m" => 1000.0,
            "in" | "inch" | "inches" | "\"" => Mm::PER_INCH,
            "ft" | "foot" | "feet" | "'" => 12.0 * Mm::PER_INCH,
            _ => return Err(ParseLengthError::Unit(text.to_owned())),
        };
        let value: f64 = number
            .parse()
            .map_err(|_| ParseLengthError::Number(text.to_owned()))?;
        let mm = value * mm_per_unit;
        if mm > 0.0 && mm < Self::MOST_MM {
            Ok(Self(Mm(mm)))
        } else {
            Err(ParseLengthError::Number(text.to_owned()))
        }
    }
}

impl fmt::Display for Length {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}mm", self.0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_with_units_become_millimetres() {
        for (text, mm) in [
            ("24in", 609.6),
            ("61cm", 610.0),
            ("610mm", 610.0),
            ("2ft", 609.6),
            ("0.5 m", 500.0),
            ("1.5in", 38.1),
        ] {
            let length: Length = text.parse().unwrap();
            assert!((length.mm().0 - mm).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn a_length_without_unit_or_above_reason_is_refused_with_an_example() {
        for text in [
            "24",
            "0",
            "0in",
            "-3in",
            "in",
            "1e9m",
            "abc",
            "",
            "3 parsecs",
            "1.2.3in",
            "999m",
        ] {
            let message = text.parse::<Length>().unwrap_err().to_string();
            assert!(message.contains("24in"), "{text}: {message}");
        }
    }
}
