//! How much ring widths vary, and how much a year follows the one before.

use wood::stats::mean;

/// Mean sensitivity: the mean relative change from one ring to the next, 0
/// (all equal) to 2. A pair of zeros counts as no change.
///
/// # Method
/// MS = 1/(n−1) Σ 2|w(t+1) − w(t)| / (w(t+1) + w(t)): Douglass 1936; Fritts
/// 1976, Tree Rings and Climate (form from memory). Bunn et al. 2013,
/// Dendrochronologia 31(3): 250–254, advise to show it only beside
/// [`variation`] and [`autocorrelation`].
#[must_use]
pub fn mean_sensitivity(widths: &[f64]) -> Option<f64> {
    let changes: Vec<f64> = widths
        .windows(2)
        .map(|pair| {
            let sum = pair[0] + pair[1];
            if sum > 0.0 {
                2.0 * (pair[1] - pair[0]).abs() / sum
            } else {
                0.0
            }
        })
        .collect();
    mean(&changes)
}

/// Gini coefficient: 0 when all rings are equal, toward 1 when one ring holds
/// all the growth.
///
/// # Method
/// G = 2 Σ i·w(i) / (n Σw) − (n+1)/n over widths sorted ascending; used for
/// ring widths by Biondi and Qeadan 2008 (form from memory).
#[must_use]
pub fn gini(widths: &[f64]) -> Option<f64> {
    let n = widths.len() as f64;
    let total: f64 = widths.iter().sum();
    if widths.is_empty() || total <= 0.0 {
        return None;
    }
    let mut sorted = widths.to_vec();
    sorted.sort_by(f64::total_cmp);
    let ranked: f64 = sorted
        .iter()
        .enumerate()
        .map(|(index, width)| (index + 1) as f64 * width)
        .sum();
    Some((2.0 * ranked / (n * total) - (n + 1.0) / n).max(0.0))
}

/// First-order autocorrelation r₁, −1 to 1: overall mean, full-length
/// denominator. `None` for equal rings.
///
/// # Method
/// r₁ = Σ(w(t) − w̄)(w(t+1) − w̄) / Σ(w(t) − w̄)²: standard (from memory).
#[must_use]
pub fn autocorrelation(widths: &[f64]) -> Option<f64> {
    let center = mean(widths)?;
    let squares: f64 = widths.iter().map(|w| (w - center).powi(2)).sum();
    if widths.len() < 2 || squares <= negligible(center, widths.len()) {
        return None;
    }
    let products: f64 = widths
        .windows(2)
        .map(|p| (p[0] - center) * (p[1] - center))
        .sum();
    Some(products / squares)
}

/// Sample standard deviation (n − 1), in the unit of the widths.
#[must_use]
pub fn standard_deviation(widths: &[f64]) -> Option<f64> {
    let center = mean(widths)?;
    let squares: f64 = widths.iter().map(|w| (w - center).powi(2)).sum();
    (widths.len() >= 2).then(|| (squares / (widths.len() - 1) as f64).sqrt())
}

/// Coefficient of variation: standard deviation (n − 1) over mean.
#[must_use]
pub fn variation(widths: &[f64]) -> Option<f64> {
    let center = mean(widths)?;
    let deviation = standard_deviation(widths)?;
    (center > 0.0).then(|| deviation / center)
}

/// A sum of squares below which a series counts as constant: what rounding of
/// 64-bit sums leaves.
fn negligible(center: f64, n: usize) -> f64 {
    (center * 1e-12).powi(2) * n as f64
}
