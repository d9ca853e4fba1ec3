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
    /// Millimeters, centimeters and meters.
    Metric,
}

impl Units {
    /// A length as a person would say it: `8 in`, `4.5 ft`, `20 cm`, `1.4 m`.
    ///
    /// # Example
    /// ```
    /// use wood::{Mm, Units};
    /// assert_eq!(Units::Inch.show(Mm(203.2)), "8 in");
    /// assert_eq!(Units::Metric.show(Mm(203.2)), "20.3 cm");
    /// assert_eq!(Units::Inch.show(Mm(6096.0)), "20 ft");
    /// ```
    #[must_use]
    pub fn show(self, length: Mm) -> String {
        let (value, unit) = match self {
            Self::Inch if length.0 < 36.0 * Mm::PER_INCH => (length.inches(), "in"),
            Self::Inch => (length.inches() / 12.0, "ft"),
            Self::Metric if length.0 < 10.0 => (length.0, "mm"),
            Self::Metric if length.0 < 1000.0 => (length.0 / 10.0, "cm"),
            Self::Metric => (length.0 / 1000.0, "m"),
        };
        // One digit after the point, and none where it is zero.
        let rounded = (value * 10.0).round() / 10.0;
        format!("{rounded} {unit}")
    }
}

/// A length of zero or more, as a person writes it: `24in`, `16 1/4in`,
/// `16-1/4"`, `1'4"`, `1 ft 4 in`, `61cm`, `3,5 cm`, `610mm`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    mm: Mm,
    units: Units,
}

/// A length that cannot be understood.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ParseLengthError {
    /// The number has no unit.
    #[error("\"{0}\" has no unit: write 24in, 16 1/4in, 1ft 4in, 61cm, 610mm or 0.6m")]
    NoUnit(String),
    /// The unit is not one that is known.
    #[error(
        "\"{text}\": the unit \"{unit}\" is not known: write 24in, 16 1/4in, 1ft 4in, 61cm, 610mm or 0.6m"
    )]
    Unit {
        /// What was written.
        text: String,
        /// The unit in it.
        unit: String,
    },
    /// The number is not one, or is below zero, or is absurd.
    #[error(
        "\"{0}\" is not a length: it must be a number from zero to under 100 m with its unit, as in 24in, 16 1/4in, 1ft 4in, 61cm, 610mm or 0.6m"
    )]
    Number(String),
    /// A comma that may part thousands or begin the decimals.
    #[error("\"{0}\" can be read in two ways: write 1500mm or 1.5mm, without the comma")]
    Comma(String),
}

impl Length {
    /// The longest length that makes sense on or around a tree.
    const MOST_MM: f64 = 100_000.0;

    /// The length in millimeters.
    #[must_use]
    pub fn mm(self) -> Mm {
        self.mm
    }

    /// The units it was written in.
    #[must_use]
    pub fn units(self) -> Units {
        self.units
    }
}

/// A unit: how long it is, and what it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Unit {
    mm: f64,
    units: Units,
}

const INCH: Unit = Unit {
    mm: Mm::PER_INCH,
    units: Units::Inch,
};
const FOOT: Unit = Unit {
    mm: 12.0 * Mm::PER_INCH,
    units: Units::Inch,
};

fn unit(name: &str) -> Option<Unit> {
    let metric = |mm| {
        Some(Unit {
            mm,
            units: Units::Metric,
        })
    };
    match name.trim_end_matches('.') {
        "mm" | "millimeter" | "millimeters" | "millimetre" | "millimetres" => metric(1.0),
        "cm" | "centimeter" | "centimeters" | "centimetre" | "centimetres" => metric(10.0),
        "m" | "meter" | "meters" | "metre" | "metres" => metric(1000.0),
        "in" | "inch" | "inches" | "\"" | "''" => Some(INCH),
        "ft" | "foot" | "feet" | "'" => Some(FOOT),
        _ => None,
    }
}

impl FromStr for Length {
    type Err = ParseLengthError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let wrong = || ParseLengthError::Number(text.to_owned());
        let plain = plain_letters(text);
        let mut rest =
            decimal_point(&plain).ok_or_else(|| ParseLengthError::Comma(text.to_owned()))?;
        let mut mm = 0.0;
        let mut before: Option<Unit> = None;
        while !rest.trim().is_empty() {
            let (value, after) = number(&rest).ok_or_else(wrong)?;
            let (name, after) = unit_name(&after);
            let unit = match (name.as_str(), before) {
                // 1'4 is one foot four.
                ("", Some(FOOT)) => INCH,
                ("", _) => return Err(ParseLengthError::NoUnit(text.to_owned())),
                (name, _) => unit(name).ok_or_else(|| ParseLengthError::Unit {
                    text: text.to_owned(),
                    unit: name.to_owned(),
                })?,
            };
            // 1 ft 4 in, but never 4 in 1 ft or 1 ft 4 cm.
            if before.is_some_and(|larger| larger.units != unit.units || larger.mm <= unit.mm) {
                return Err(wrong());
            }
            mm += value * unit.mm;
            before = Some(unit);
            rest = after;
        }
        let last = before.ok_or_else(wrong)?;
        if (0.0..Self::MOST_MM).contains(&mm) {
            Ok(Self {
                mm: Mm(mm),
                units: last.units,
            })
        } else {
            Err(wrong())
        }
    }
}

/// Lower case, with the quotes, dashes and fractions that phones and word
/// processors put in as on a keyboard.
fn plain_letters(text: &str) -> String {
    text.trim()
        .to_lowercase()
        .chars()
        .map(|letter| match letter {
            '\u{2019}' | '\u{2018}' | '\u{2032}' => "'".to_owned(),
            '\u{201c}' | '\u{201d}' | '\u{2033}' => "\"".to_owned(),
            '\u{2010}'..='\u{2014}' | '\u{2212}' => "-".to_owned(),
            '\u{2044}' => "/".to_owned(),
            '\u{bd}' => " 1/2".to_owned(),
            '\u{bc}' => " 1/4".to_owned(),
            '\u{be}' => " 3/4".to_owned(),
            '\u{215b}' => " 1/8".to_owned(),
            '\u{215c}' => " 3/8".to_owned(),
            '\u{215d}' => " 5/8".to_owned(),
            '\u{215e}' => " 7/8".to_owned(),
            other => other.to_string(),
        })
        .collect()
}

/// A decimal comma becomes a point; `None` where three digits follow it, which
/// may mean thousands.
fn decimal_point(text: &str) -> Option<String> {
    let Some((whole, decimals)) = text.split_once(',') else {
        return Some(text.to_owned());
    };
    let digits = decimals.bytes().take_while(u8::is_ascii_digit).count();
    (digits != 3).then(|| format!("{whole}.{decimals}"))
}

/// The number that a text begins with, and what follows it: `16`, `16.25`,
/// `16 1/4`, `16-1/4` or `1/4`.
fn number(text: &str) -> Option<(f64, String)> {
    let text = text.trim_start();
    let (first, rest) = decimal(text)?;
    if let Some(below) = rest.strip_prefix('/') {
        let (below, rest) = decimal(below)?;
        return Some((fraction(first, below)?, rest.to_owned()));
    }
    let value: f64 = first.parse().ok()?;
    // A fraction after a whole number, parted by spaces or a hyphen.
    let next = rest.trim_start().trim_start_matches('-').trim_start();
    if next.len() < rest.len()
        && !first.contains('.')
        && let Some((above, after)) = decimal(next)
        && let Some(below) = after.strip_prefix('/')
    {
        let (below, rest) = decimal(below)?;
        return Some((value + fraction(above, below)?, rest.to_owned()));
    }
    Some((value, rest.to_owned()))
}

/// Digits, with a point or without.
fn decimal(text: &str) -> Option<(&str, &str)> {
    let end = text
        .find(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .unwrap_or(text.len());
    (end > 0).then(|| text.split_at(end))
}

/// A proper fraction.
fn fraction(above: &str, below: &str) -> Option<f64> {
    let (above, below): (u32, u32) = (above.parse().ok()?, below.parse().ok()?);
    (above < below).then(|| f64::from(above) / f64::from(below))
}

/// The unit that a text begins with, and what follows it; a hyphen before it
/// belongs to it, as in `12-inch`.
fn unit_name(text: &str) -> (String, String) {
    let text = text.trim_start().trim_start_matches('-').trim_start();
    let end = text
        .find(|letter: char| letter.is_ascii_digit() || letter.is_whitespace() || letter == '-')
        .unwrap_or(text.len());
    let (name, rest) = text.split_at(end);
    let rest = rest.trim_start().trim_start_matches('-');
    (name.to_owned(), rest.to_owned())
}

impl fmt::Display for Length {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.units.show(self.mm))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_as_people_write_them_become_millimeters() {
        for (text, mm) in [
            ("24in", 609.6),
            ("24\"", 609.6),
            ("24 inches", 609.6),
            ("61cm", 610.0),
            ("610mm", 610.0),
            ("2ft", 609.6),
            ("0.5 m", 500.0),
            ("1.5in", 38.1),
            ("0in", 0.0),
            ("16 1/4in", 412.75),
            ("16-1/4\"", 412.75),
            ("16 1/4 in.", 412.75),
            ("16\u{bc} in", 412.75),
            ("3/4in", 19.05),
            ("1'4\"", 406.4),
            ("1\u{2032}4\u{2033}", 406.4),
            ("1\u{2019} 4\u{201d}", 406.4),
            ("1'4", 406.4),
            ("1'4''", 406.4),
            ("1 ft 4 in", 406.4),
            ("1ft4in", 406.4),
            ("1 foot 4 1/2 inches", 419.1),
            ("1'-4 1/2\"", 419.1),
            ("12-inch", 304.8),
            ("3,5 cm", 35.0),
            ("0,35m", 350.0),
            ("1 m 20 cm", 1200.0),
            ("1.25 Feet", 381.0),
        ] {
            let length: Length = text.parse().unwrap();
            assert!((length.mm().0 - mm).abs() < 1e-9, "{text}: {length:?}");
        }
    }

    #[test]
    fn what_is_no_length_is_refused_with_an_example() {
        for text in [
            "24",
            "0",
            "-3in",
            "in",
            "1e9m",
            "abc",
            "",
            "3 parsecs",
            "1.2.3in",
            "999m",
            "16 1/4",
            "1/0in",
            "5/4in",
            "4 in 1 ft",
            "1 ft 4 cm",
            "1ft 4",
            "16 1/4 1/2in",
            "2..5in",
            "1 1/2.5in",
            "--3in",
            "6in 7in",
        ] {
            match text.parse::<Length>() {
                // "1ft 4" is one foot four, as "1'4" is.
                Ok(length) => assert!(text == "1ft 4" && length.mm() == Mm(406.4), "{text}"),
                Err(error) => assert!(error.to_string().contains("24in"), "{text}: {error}"),
            }
        }
    }

    #[test]
    fn the_reason_is_the_true_one() {
        let reason = |text: &str| text.parse::<Length>().unwrap_err();
        assert!(matches!(reason("16 1/4"), ParseLengthError::NoUnit(_)));
        assert!(matches!(
            reason("3 furlongs"),
            ParseLengthError::Unit { .. }
        ));
        assert!(matches!(reason("1,500 mm"), ParseLengthError::Comma(_)));
        assert!(matches!(reason("-3in"), ParseLengthError::Number(_)));
    }

    #[test]
    fn a_length_keeps_the_units_it_was_written_in() {
        for (text, units, shown) in [
            ("1 ft 4 in", Units::Inch, "16 in"),
            ("61cm", Units::Metric, "61 cm"),
            ("300ft", Units::Inch, "300 ft"),
            ("3.5mm", Units::Metric, "3.5 mm"),
        ] {
            let length: Length = text.parse().unwrap();
            assert_eq!(length.units(), units, "{text}");
            assert_eq!(length.to_string(), shown, "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_length_or_an_error(text in "\\PC{0,24}") {
            if let Ok(length) = text.parse::<Length>() {
                prop_assert!((0.0..100_000.0).contains(&length.mm().0));
            }
        }

        #[test]
        fn sixteenths_are_read_exactly(whole in 0_u32..100, sixteenths in 1_u32..16) {
            let inches = f64::from(whole) + f64::from(sixteenths) / 16.0;
            for text in [
                format!("{whole} {sixteenths}/16in"),
                format!("{whole}-{sixteenths}/16\""),
            ] {
                let length: Length = text.parse().expect("a length");
                prop_assert!((length.mm().inches() - inches).abs() < 1e-9, "{}", text);
            }
        }
    }
}
