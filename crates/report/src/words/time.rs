//! Dates and spans of years.

use wood::{Felled, Ring, Year};

/// A date of felling as it is said: "8 November 2025", "November 2025", "2025".
pub(crate) fn spoken_date(felled: Felled) -> String {
    match (felled, felled.month_name()) {
        (Felled::Day(day), Some(month)) => format!("{} {month} {}", day.day(), day.year()),
        (_, Some(month)) => format!("{month} {}", felled.year()),
        (_, None) => felled.year().to_string(),
    }
}

/// A span of years as whole ones; a range is never told finer than it is known.
pub(crate) fn years(years: f64) -> String {
    format!("{:.0}", years.round().max(0.0))
}

/// A run of rings, by their numbers and, where they are dated, their years.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Number of the first ring, counted from the pith.
    pub first: u32,
    /// Number of the last ring.
    pub last: u32,
    /// The years of these two.
    pub years: Option<(Year, Year)>,
}

impl Span {
    /// The span of some rings in a row; `None` of none.
    pub(crate) fn of(rings: &[Ring]) -> Option<Self> {
        let (first, last) = (rings.first()?, rings.last()?);
        Some(Self {
            first: first.number,
            last: last.number,
            years: first.year.zip(last.year),
        })
    }

    /// "1961 to 1970", or "rings 11 to 20".
    pub(crate) fn said(self) -> String {
        match self.years {
            Some((from, to)) => format!("{from} to {to}"),
            None => format!("rings {} to {}", self.first, self.last),
        }
    }

    /// "the 1990s" for a whole calendar decade, else as [`Self::said`].
    pub(crate) fn as_decade(self) -> String {
        match self.years {
            Some((from, to)) if from.0.rem_euclid(10) == 0 && to.0 == from.0 + 9 => {
                format!("the {from}s")
            }
            _ => self.said(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_decades_are_said_as_people_say_them() {
        for (text, said) in [
            ("2025-11-03", "3 November 2025"),
            ("2025-11", "November 2025"),
            ("2025", "2025"),
        ] {
            assert_eq!(spoken_date(text.parse().unwrap()), said);
        }
        let span = |from, to| Span {
            first: 1,
            last: 10,
            years: Some((Year(from), Year(to))),
        };
        assert_eq!(span(1990, 1999).as_decade(), "the 1990s");
        assert_eq!(span(1991, 2000).as_decade(), "1991 to 2000");
        assert_eq!(
            Span {
                first: 3,
                last: 12,
                years: None
            }
            .as_decade(),
            "rings 3 to 12"
        );
    }
}
