//! Dates and spans of years.

use wood::{Felled, Ring, Year};

/// A felling date as Americans write it: "November 8, 2025", "November 2025", "2025".
pub(crate) fn spoken_date(felled: Felled) -> String {
    match (felled, felled.month_name()) {
        (Felled::Day(day), Some(month)) => format!("{month} {}, {}", day.day(), day.year()),
        (_, Some(month)) => format!("{month} {}", felled.year()),
        (_, None) => felled.year().to_string(),
    }
}

/// A span of years as whole ones; a range is never given finer than it is known.
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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_and_spans_are_written_as_people_say_them() {
        for (text, said) in [
            ("2025-11-03", "November 3, 2025"),
            ("2025-11", "November 2025"),
            ("2025", "2025"),
        ] {
            assert_eq!(spoken_date(text.parse().unwrap()), said);
        }
        let span = |years| Span {
            first: 3,
            last: 12,
            years,
        };
        assert_eq!(span(Some((Year(1991), Year(2000)))).said(), "1991 to 2000");
        assert_eq!(span(None).said(), "rings 3 to 12");
    }
}
