//! Lasting change: the mean of the years after against the years before.

use wood::stats::mean;

/// Percent growth change between two means; `None` when nothing grew before.
///
/// # Method
/// 100 (M2 − M1) / M1: Nowacki and Abrams 1997, Ecological Monographs 67:
/// 225–249.
#[must_use]
pub fn percent_growth_change(mean_before: f64, mean_after: f64) -> Option<f64> {
    (mean_before > 0.0).then(|| 100.0 * (mean_after - mean_before) / mean_before)
}

/// [`percent_growth_change`] at each ring that has `window` rings up to and
/// with it and `window` rings after it: pairs of index and percent.
#[must_use]
pub fn growth_changes(widths: &[f64], window: usize) -> Vec<(usize, f64)> {
    means(widths, window)
        .filter_map(|(index, before, after)| {
            percent_growth_change(before, after).map(|change| (index, change))
        })
        .collect()
}

/// Index of the last ring before, mean before, mean after.
fn means(widths: &[f64], window: usize) -> impl Iterator<Item = (usize, f64, f64)> + '_ {
    let window = window.max(1);
    let last = widths.len().saturating_sub(window);
    (window..=last).filter_map(move |split| {
        let before = mean(widths.get(split - window..split)?)?;
        let after = mean(widths.get(split..split + window)?)?;
        Some((split - 1, before, after))
    })
}
