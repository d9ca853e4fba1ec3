//! How well two series agree.

/// Pearson correlation of two lists of one length, −1 to 1; `None` for fewer
/// than three values, unequal lengths, or a constant list.
#[must_use]
pub fn pearson(a: &[f64], b: &[f64]) -> Option<f64> {
    let n = a.len() as f64;
    if a.len() != b.len() || a.len() < 3 {
        return None;
    }
    let (mean_a, mean_b) = (a.iter().sum::<f64>() / n, b.iter().sum::<f64>() / n);
    let (mut products, mut squares_a, mut squares_b) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        products += (a - mean_a) * (b - mean_b);
        squares_a += (a - mean_a).powi(2);
        squares_b += (b - mean_b).powi(2);
    }
    let negligible = |mean: f64| (mean * 1e-12).powi(2) * n;
    (squares_a > negligible(mean_a) && squares_b > negligible(mean_b))
        .then(|| (products / (squares_a * squares_b).sqrt()).clamp(-1.0, 1.0))
}

/// Student's t of a correlation over `n` pairs: r √(n−2) / √(1−r²). `None`
/// for fewer than three pairs; infinite for perfect agreement.
///
/// # Method
/// Baillie and Pilcher 1973, Tree-Ring Bulletin 33: 7–14 (form from memory).
/// From 3.5 on a match is worth a look by eye (a common rule, from memory).
#[must_use]
pub fn t_value(r: f64, n: usize) -> Option<f64> {
    (n >= 3 && (-1.0..=1.0).contains(&r))
        .then(|| r * ((n - 2) as f64).sqrt() / (1.0 - r * r).sqrt())
}

/// How often two series moved the same way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ParallelVariation {
    /// Share of the intervals, 0 to 1.
    pub share: f64,
    /// Intervals from one year to the next.
    pub intervals: usize,
}

/// Coefficient of parallel variation: the share of intervals from one year to
/// the next in which both series rise, or both fall. An interval in which just
/// one of them stays level counts half, in which both do one.
///
/// # Method
/// Eckstein and Bauch 1969, Forstwissenschaftliches Centralblatt 88: 230–250
/// (definition read, formula and the halves from memory).
#[must_use]
pub fn parallel_variation(a: &[f64], b: &[f64]) -> Option<ParallelVariation> {
    let intervals = a.len().min(b.len()).checked_sub(1).filter(|n| *n > 0)?;
    let sign = |pair: &[f64]| pair[1].total_cmp(&pair[0]) as i32;
    let same: f64 = a
        .windows(2)
        .zip(b.windows(2))
        .map(|(a, b)| match (sign(a), sign(b)) {
            (a, b) if a == b => 1.0,
            (0, _) | (_, 0) => 0.5,
            _ => 0.0,
        })
        .sum();
    Some(ParallelVariation {
        share: same / intervals as f64,
        intervals,
    })
}

/// The share from which parallel variation over so many intervals is beyond
/// chance, one-sided; `z` is 1.645 for 95 %, 2.326 for 99 %, 3.090 for 99.9 %.
///
/// # Method
/// 0.5 + z · 0.5/√n (Eckstein and Bauch 1969, from memory).
#[must_use]
pub fn parallel_variation_limit(intervals: usize, z: f64) -> f64 {
    0.5 + z * 0.5 / (intervals.max(1) as f64).sqrt()
}
