//! Years in which a stump does not go with the others, as it does in its other
//! years.

use super::pearson;
use super::whole::Window;

/// Fewest years beside the stretch that show how the stump agrees elsewhere.
const FEWEST_BESIDE: usize = 20;

/// How many standard errors the two correlations must differ by. Chosen on
/// drawn woodlots: stretches are picked, so chance has several tries.
const LEAST_DIFFERENCE: f64 = 3.5;

/// A stretch of years that does not go with the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// First year.
    pub from_year: i32,
    /// Last year.
    pub to_year: i32,
    /// Correlation with the mean of the rest in these years.
    pub r: f64,
    /// And in all other years.
    pub r_beside: f64,
}

/// The stretch that stands out most, among runs of weak windows that touch;
/// `None` where what is weak may be chance. `from` is the year of the first
/// values.
///
/// # Method
/// The correlations within and beside a stretch are compared by Fisher's z
/// (1921, from memory): the difference of their inverse hyperbolic tangents
/// over √(1/(n₁−3) + 1/(n₂−3)). A stump is held against itself, so that one
/// that goes its own way all its life is not named.
pub(super) fn apart(from: i32, mine: &[f64], theirs: &[f64], windows: &[Window]) -> Option<Apart> {
    runs(windows)
        .into_iter()
        .filter_map(|(first, last)| {
            let start = usize::try_from(first - from).ok()?;
            let end = usize::try_from(last - from).ok()? + 1;
            let within = pearson(mine.get(start..end)?, theirs.get(start..end)?)?;
            let beside = |all: &[f64]| [&all[..start], &all[end..]].concat();
            let (a, b) = (beside(mine), beside(theirs));
            if a.len() < FEWEST_BESIDE {
                return None;
            }
            let r_beside = pearson(&a, &b)?;
            let error = (1.0 / (end - start - 3) as f64 + 1.0 / (a.len() - 3) as f64).sqrt();
            let z = |r: f64| r.clamp(-0.999, 0.999).atanh();
            let difference = (z(r_beside) - z(within)) / error;
            let apart = Apart {
                from_year: first,
                to_year: last,
                r: within,
                r_beside,
            };
            (difference >= LEAST_DIFFERENCE).then_some((difference, apart))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, apart)| apart)
}

/// First and last years of weak windows, those joined that touch.
fn runs(windows: &[Window]) -> Vec<(i32, i32)> {
    let mut runs: Vec<(i32, i32)> = Vec::new();
    for window in windows.iter().filter(|window| window.weak) {
        match runs.last_mut() {
            Some((_, last)) if window.from_year <= *last + 1 => *last = window.to_year,
            _ => runs.push((window.from_year, window.to_year)),
        }
    }
    runs
}
