//! Widths as series that can be compared with each other: without age trend.

/// Rings on either side over which Baillie and Pilcher take the mean.
const AROUND: usize = 2;

/// A width below this share of the mean around it counts as this share: a
/// missing ring has no logarithm. Chosen; the published form knows none.
const LEAST_SHARE: f64 = 0.01;

/// Values by year.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// The year of the first value.
    pub first_year: i32,
    /// One value a year.
    pub values: Vec<f64>,
}

impl Series {
    /// The value of a year.
    #[must_use]
    pub fn at(&self, year: i32) -> Option<f64> {
        usize::try_from(year.checked_sub(self.first_year)?)
            .ok()
            .and_then(|index| self.values.get(index))
            .copied()
    }

    /// The values of both in the years that both have, and the first of those.
    #[must_use]
    pub fn shared(&self, other: &Self) -> (i32, Vec<(f64, f64)>) {
        let from = self.first_year.max(other.first_year);
        let pairs = (from..)
            .map_while(|year| self.at(year).zip(other.at(year)))
            .collect();
        (from, pairs)
    }
}

/// ln(100 w / mean of the five widths around w), for each ring that has two on
/// either side: four values fewer than widths.
///
/// # Method
/// Baillie and Pilcher 1973, Tree-Ring Bulletin 33: 7–14 (form from memory).
/// Departure: a width below a hundredth of the mean counts as a hundredth.
#[must_use]
pub fn baillie_pilcher(widths: &[f64]) -> Vec<f64> {
    widths
        .windows(2 * AROUND + 1)
        .map(|five| {
            let mean = five.iter().sum::<f64>() / five.len() as f64;
            if mean <= 0.0 {
                return 100.0_f64.ln();
            }
            (100.0 * (five[AROUND] / mean).max(LEAST_SHARE)).ln()
        })
        .collect()
}

/// The series in Baillie and Pilcher's form, dated: the first value belongs to
/// the third ring.
pub(super) fn dated(first_year: i32, widths: &[f64]) -> Series {
    Series {
        first_year: first_year + AROUND as i32,
        values: baillie_pilcher(widths),
    }
}
