//! Growth before and after something that is remembered.

use super::{YearMean, Years};
use growth::series::percent_growth_change;
use wood::Year;

/// Years before and after that are averaged: ten, as in the growth change of
/// Nowacki and Abrams 1997 (Ecological Monographs 67: 225–249).
const WINDOW: i32 = 10;

/// Fewest years on a side for which a mean is given.
const FEWEST_YEARS: usize = 5;

/// The woodlot's growth around a year.
#[derive(Debug, Clone, PartialEq)]
pub struct Around {
    /// The year.
    pub year: Year,
    /// Mean of the ten years before it, against the age trend.
    pub before: Option<f64>,
    /// The year itself.
    pub itself: Option<f64>,
    /// Mean of the ten years after it.
    pub after: Option<f64>,
    /// Change from before to after, in percent.
    pub change_percent: Option<f64>,
    /// Mean number of stumps that carry the years before and after.
    pub stumps: f64,
}

/// Growth in the ten years before and the ten years after a year; a side with
/// fewer than five years on record has no mean.
///
/// A change is no proof of its cause: other things happen in the same years.
#[must_use]
pub fn around(years: &Years, year: Year) -> Around {
    let of = |from: i32, to: i32| -> Vec<&YearMean> {
        years
            .years
            .iter()
            .filter(|y| (from..=to).contains(&y.year.0))
            .collect()
    };
    let mean = |side: &[&YearMean]| {
        (side.len() >= FEWEST_YEARS)
            .then(|| side.iter().map(|y| y.mean).sum::<f64>() / side.len() as f64)
    };
    let sides = [
        of(year.0.saturating_sub(WINDOW), year.0.saturating_sub(1)),
        of(year.0.saturating_add(1), year.0.saturating_add(WINDOW)),
    ];
    let (before, after) = (mean(&sides[0]), mean(&sides[1]));
    let both: Vec<&YearMean> = sides.into_iter().flatten().collect();
    let stumps = both.iter().map(|y| y.stumps as f64).sum::<f64>() / both.len().max(1) as f64;
    Around {
        year,
        before,
        itself: of(year.0, year.0).first().map(|y| y.mean),
        after,
        change_percent: before
            .zip(after)
            .and_then(|(before, after)| percent_growth_change(before, after)),
        stumps,
    }
}
