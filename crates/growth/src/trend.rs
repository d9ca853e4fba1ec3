//! The tree's own age trend: how wide a ring it would be expected to have.

use wood::stats::mean;

/// Fewest rings for which a curve is fitted; below, the mean is the trend.
/// Chosen: a curve through fewer rings follows the growth it should judge.
const FEWEST_RINGS: usize = 20;

/// Steps of the search over the rate of the fall. Chosen: the sum of squares
/// changes by less than a thousandth between neighbors.
const RATE_STEPS: usize = 80;

/// Rounds of refinement of the rate; each shrinks the bracket to 0.62.
const RATE_REFINEMENTS: usize = 40;

/// What kind of curve the trend is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TrendKind {
    /// w = a·exp(−b·t) + k: wide when young, leveling off.
    NegativeExponential,
    /// A straight line that falls.
    Line,
    /// The mean: growth did not fall with age.
    Mean,
}

/// The expected width of each ring.
#[derive(Debug, Clone, PartialEq)]
pub struct AgeTrend {
    /// The kind of curve.
    pub kind: TrendKind,
    /// Expected width of each ring, pith first, in the unit of the widths;
    /// all above zero unless every width is zero.
    pub expected: Vec<f64>,
}

/// The age trend of a series of widths, pith first. Linear in rings.
///
/// # Method
/// The "modified negative exponential" of dendrochronology: w = a·exp(−b·t) + k
/// with a, b > 0 and k ≥ 0 by least squares; where growth does not fall that
/// way, a falling straight line that stays above zero; else the mean (Fritts
/// 1976, Tree Rings and Climate, from memory). For each rate b the best a and k
/// are linear, so the search runs over b alone, on a grid and then by golden
/// section: it always ends and never needs a starting guess.
#[must_use]
pub fn age_trend(widths: &[f64]) -> AgeTrend {
    let flat = mean(widths).unwrap_or(0.0);
    let mean_trend = AgeTrend {
        kind: TrendKind::Mean,
        expected: vec![flat; widths.len()],
    };
    if widths.len() < FEWEST_RINGS || flat <= 0.0 {
        return mean_trend;
    }
    negative_exponential(widths)
        .or_else(|| falling_line(widths))
        .unwrap_or(mean_trend)
}

fn negative_exponential(widths: &[f64]) -> Option<AgeTrend> {
    let n = widths.len() as f64;
    // Slower than one e-fold over the series is a straight line; faster than
    // one e-fold in a ring is a single wide ring, not a trend.
    let (slowest, fastest) = (1.0 / n, 1.0_f64);
    let rate_at = |step: f64| slowest * (fastest / slowest).powf(step / RATE_STEPS as f64);
    let misfit = |step: f64| Fall::fit(widths, rate_at(step)).misfit;
    let mut best = 0;
    for step in 1..=RATE_STEPS {
        if misfit(step as f64) < misfit(best as f64) {
            best = step;
        }
    }
    if best == 0 || best == RATE_STEPS {
        return None;
    }
    let (mut low, mut high) = (best as f64 - 1.0, best as f64 + 1.0);
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..RATE_REFINEMENTS {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if misfit(left) <= misfit(right) {
            high = right;
        } else {
            low = left;
        }
    }
    let fall = Fall::fit(widths, rate_at((low + high) / 2.0));
    if fall.height <= 0.0 {
        return None;
    }
    let expected: Vec<f64> = (0..widths.len()).map(|t| fall.at(t as f64)).collect();
    above_zero(widths, &expected).then_some(AgeTrend {
        kind: TrendKind::NegativeExponential,
        expected,
    })
}

/// w = height·exp(−rate·t) + floor, with its sum of squared residuals.
struct Fall {
    height: f64,
    rate: f64,
    floor: f64,
    misfit: f64,
}

impl Fall {
    fn at(&self, t: f64) -> f64 {
        self.height * (-self.rate * t).exp() + self.floor
    }

    /// The best height and floor, neither below zero, for a given rate.
    fn fit(widths: &[f64], rate: f64) -> Self {
        let n = widths.len() as f64;
        let (mut e, mut ee, mut w, mut we) = (0.0, 0.0, 0.0, 0.0);
        for (t, width) in widths.iter().enumerate() {
            let term = (-rate * t as f64).exp();
            e += term;
            ee += term * term;
            w += width;
            we += width * term;
        }
        let determinant = n * ee - e * e;
        let mut height = 0.0;
        if determinant > 1e-12 * n * ee {
            height = ((n * we - e * w) / determinant).max(0.0);
        }
        let mut floor = (w - height * e) / n;
        if floor < 0.0 {
            floor = 0.0;
            height = we / ee;
        }
        let mut fall = Self {
            height,
            rate,
            floor,
            misfit: 0.0,
        };
        fall.misfit = widths
            .iter()
            .enumerate()
            .map(|(t, width)| (width - fall.at(t as f64)).powi(2))
            .sum();
        fall
    }
}

fn falling_line(widths: &[f64]) -> Option<AgeTrend> {
    let n = widths.len() as f64;
    let middle = (n - 1.0) / 2.0;
    let center = mean(widths)?;
    let (mut products, mut squares) = (0.0, 0.0);
    for (t, width) in widths.iter().enumerate() {
        products += (t as f64 - middle) * (width - center);
        squares += (t as f64 - middle).powi(2);
    }
    let slope = products / squares;
    let expected: Vec<f64> = (0..widths.len())
        .map(|t| center + slope * (t as f64 - middle))
        .collect();
    (slope < 0.0 && above_zero(widths, &expected)).then_some(AgeTrend {
        kind: TrendKind::Line,
        expected,
    })
}

/// Whether a trend can be divided by: nowhere below a twentieth of the mean.
/// Chosen: below that, a ring of ordinary width would look like a miracle.
fn above_zero(widths: &[f64], expected: &[f64]) -> bool {
    let least = mean(widths).unwrap_or(0.0) / 20.0;
    expected.iter().all(|&value| value > least)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_that_was_put_in_comes_out() {
        for (a, b, k) in [(4.0, 0.05, 1.0), (3.0, 0.1, 0.4), (2.0, 0.03, 0.5)] {
            let widths: Vec<f64> = (0..120)
                .map(|t| a * (-b * f64::from(t)).exp() + k)
                .collect();
            let trend = age_trend(&widths);
            assert_eq!(trend.kind, TrendKind::NegativeExponential);
            for (expected, width) in trend.expected.iter().zip(&widths) {
                assert!((expected - width).abs() < 1e-4, "{expected} {width}");
            }
        }
    }

    #[test]
    fn rising_growth_has_the_mean_and_falling_growth_a_line() {
        let rising: Vec<f64> = (0..60).map(|t| 1.0 + 0.02 * f64::from(t)).collect();
        let trend = age_trend(&rising);
        assert_eq!(trend.kind, TrendKind::Mean);
        assert!((trend.expected[0] - 1.59).abs() < 1e-9);
        let falling: Vec<f64> = (0..60).map(|t| 3.0 - 0.02 * f64::from(t)).collect();
        let trend = age_trend(&falling);
        assert_eq!(trend.kind, TrendKind::Line);
        assert!((trend.expected[59] - 1.82).abs() < 1e-9);
    }

    #[test]
    fn odd_series_still_have_a_trend() {
        for widths in [vec![], vec![1.0], vec![0.0; 50], vec![2.0; 50]] {
            let trend = age_trend(&widths);
            assert_eq!(trend.kind, TrendKind::Mean);
            assert_eq!(trend.expected, widths);
        }
        let mut one_wide = vec![0.5; 40];
        one_wide[0] = 30.0;
        assert!(age_trend(&one_wide).expected.iter().all(|&e| e > 0.0));
    }
}
