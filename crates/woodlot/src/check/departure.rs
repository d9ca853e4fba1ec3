//! Years in which a stump departs from the others, as it does not in its other
//! years.

use wood::stats::pearson;

/// Fewest years beside the stretch that show how the stump agrees elsewhere.
const FEWEST_BESIDE: usize = 20;

/// How many standard errors the two correlations must differ by, where nothing
/// else shows that the stump is misread. Chosen on drawn woodlots: stretches are
/// picked, so chance has several tries.
const LEAST_DIFFERENCE: f64 = 3.5;

/// A stretch of years of one stump, compared with the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// First year.
    pub from_year: i32,
    /// Last year.
    pub to_year: i32,
    /// Correlation with the mean of the rest.
    pub r: f64,
    /// Whether the correlation is below what chance gives one time in twenty.
    pub weak: bool,
}

/// The stretch of years in which a stump departs from the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Departure {
    /// First year.
    pub from_year: i32,
    /// Last year.
    pub to_year: i32,
    /// Correlation with the mean of the rest in these years.
    pub r: f64,
    /// And in all other years, where there are enough of them.
    pub r_beside: Option<f64>,
    /// By how many standard errors the two differ; 0 where that is not known.
    pub difference: f64,
}

impl Departure {
    /// Whether the departure alone, without a known slip, is beyond chance.
    pub(super) fn stands_alone(&self) -> bool {
        self.difference >= LEAST_DIFFERENCE
    }
}

/// The stretch that stands out most, among runs of weak windows that touch;
/// `None` without a weak window. `from` is the year of the first values.
///
/// # Method
/// The correlations within and beside a stretch are compared by Fisher's z
/// (1921, from memory): the difference of their inverse hyperbolic tangents
/// over √(1/(n₁−3) + 1/(n₂−3)). A stump is compared with itself, so that one
/// that goes its own way all its life is not named.
pub(super) fn departure(
    from: i32,
    mine: &[f64],
    theirs: &[f64],
    windows: &[Window],
) -> Option<Departure> {
    runs(windows)
        .into_iter()
        .filter_map(|(first, last)| {
            let start = usize::try_from(first - from).ok()?;
            let end = usize::try_from(last - from).ok()? + 1;
            let within = pearson(mine.get(start..end)?, theirs.get(start..end)?)?;
            let beside = |all: &[f64]| [&all[..start], &all[end..]].concat();
            let (a, b) = (beside(mine), beside(theirs));
            let r_beside = pearson(&a, &b).filter(|_| a.len() >= FEWEST_BESIDE);
            let difference = r_beside.map_or(0.0, |r_beside| {
                let error = (1.0 / (end - start - 3) as f64 + 1.0 / (a.len() - 3) as f64).sqrt();
                let z = |r: f64| r.clamp(-0.999, 0.999).atanh();
                (z(r_beside) - z(within)) / error
            });
            Some(Departure {
                from_year: first,
                to_year: last,
                r: within,
                r_beside,
                difference,
            })
        })
        .max_by(|a, b| {
            let by_chance = a.difference.total_cmp(&b.difference);
            by_chance.then((a.to_year - a.from_year).cmp(&(b.to_year - b.from_year)))
        })
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
