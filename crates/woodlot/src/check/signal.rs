//! How much of what stumps show they show together.

/// Mean of the correlations between different trees; `None` of none.
#[must_use]
pub fn mean_correlation(correlations: &[f64]) -> Option<f64> {
    wood::stats::mean(correlations)
}

/// Expressed population signal of the mean of `stumps` series whose mean
/// correlation is `r`; 0.85 is a rule of thumb (from memory). `None` for fewer
/// than two stumps, or where the correlation leaves it without meaning.
///
/// # Method
/// N r̄ / (1 + (N−1) r̄): Wigley, Briffa and Jones 1984, Journal of Climate and
/// Applied Meteorology 23(2): 201–213.
#[must_use]
pub fn expressed_population_signal(stumps: usize, r: f64) -> Option<f64> {
    let n = stumps as f64;
    let below = 1.0 + (n - 1.0) * r;
    (stumps >= 2 && below > 0.0).then(|| n * r / below)
}

/// Subsample signal strength: how well `few` of `stumps` series stand for all.
///
/// # Method
/// n (1 + (N−1) r̄) / (N (1 + (n−1) r̄)): Wigley, Briffa and Jones 1984, with
/// the misprint of the abstract as stored corrected; it is the quotient of the two
/// expressed population signals.
#[must_use]
pub fn subsample_signal_strength(few: usize, stumps: usize, r: f64) -> Option<f64> {
    let (n, all) = (few as f64, stumps as f64);
    let below = all * (1.0 + (n - 1.0) * r);
    (few >= 1 && stumps >= few && below > 0.0).then(|| n * (1.0 + (all - 1.0) * r) / below)
}

/// Stumps needed for an expressed population signal of `target`, rounded up;
/// `None` without a correlation above 0, or for a target that is not between
/// 0 and 1.
///
/// # Method
/// N = E (1 − r̄) / (r̄ (1 − E)), from the formula of Wigley, Briffa and Jones
/// 1984.
#[must_use]
pub fn stumps_for_signal(target: f64, r: f64) -> Option<u32> {
    if !(target > 0.0 && target < 1.0 && r > 0.0 && r <= 1.0) {
        return None;
    }
    let needed = target * (1.0 - r) / (r * (1.0 - target));
    // Slack, so that a whole number is not rounded up for its last bit.
    Some((needed - 1e-9).ceil().max(1.0) as u32)
}
