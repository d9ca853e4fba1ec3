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
