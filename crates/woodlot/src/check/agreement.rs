//! How well two series agree.

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
