//! Means, medians, quantiles and correlations of plain numbers, for every crate.

/// The arithmetic mean; `None` of nothing.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The middle value, or the mean of the two middle ones; `None` of nothing.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// The value that a `share` (0 to 1) of the values do not exceed, linear
/// between neighbors; `None` of nothing. Values that are not numbers sort last.
#[must_use]
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = share.clamp(0.0, 1.0) * sorted.len().checked_sub(1)? as f64;
    let below = sorted.get(place.floor() as usize)?;
    let above = sorted.get(place.ceil() as usize)?;
    Some(below + (above - below) * place.fract())
}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_has_no_middle() {
        assert_eq!(mean(&[]), None);
        assert_eq!(median(&[]), None);
        assert_eq!(quantile(&[], 0.9), None);
    }

    #[test]
    fn middles_and_quantiles_are_those_of_the_sorted_values() {
        assert_eq!(mean(&[4.0, 1.0, 1.0]), Some(2.0));
        assert_eq!(median(&[9.0, 1.0, 5.0]), Some(5.0));
        assert_eq!(median(&[9.0, 1.0, 5.0, 7.0]), Some(6.0));
        assert_eq!(quantile(&[0.0, 10.0, 20.0, 30.0, 40.0], 0.9), Some(36.0));
        assert_eq!(quantile(&[3.0], 0.2), Some(3.0));
    }
}
