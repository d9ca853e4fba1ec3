//! An uncertain number of years as a distribution, and sums of such numbers.

use std::f64::consts::SQRT_2;

/// How many standard deviations on either side hold 90 % of a normal.
pub(crate) const Z_90: f64 = 1.644_853_626_951_472_2;

/// Steps of the grid in one year.
const STEPS_PER_YEAR: f64 = 4.0;

/// No tree is older; a longer span is cut off here, which also bounds memory.
const MOST_YEARS: f64 = 10_000.0;

/// How many standard deviations of a tail are kept.
const TAIL: f64 = 4.0;

/// Shares of probability on an even grid of quarter years.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spread {
    /// The grid step of the first share.
    first: usize,
    /// Sum 1.
    shares: Vec<f64>,
}

impl Spread {
    /// A number with a best value (the median) and a range of which 5 % are
    /// below and 5 % above: half of a normal on either side, each with half of
    /// the probability. Nothing is below zero.
    pub(crate) fn from_range(low: f64, best: f64, high: f64) -> Self {
        let sound = |value: f64| {
            if value.is_nan() {
                0.0
            } else {
                value.clamp(0.0, MOST_YEARS)
            }
        };
        let best = sound(best);
        let sd_below = (best - sound(low).min(best)) / Z_90;
        let sd_above = (sound(high).max(best) - best) / Z_90;
        let step = |years: f64| (years * STEPS_PER_YEAR).round().max(0.0) as usize;
        let first = step((best - TAIL * sd_below).max(0.0));
        let last = step(best + TAIL * sd_above).max(first);
        let below = |years: f64| {
            let (sd, side) = if years < best {
                (sd_below, -1.0)
            } else {
                (sd_above, 1.0)
            };
            if sd > 0.0 {
                normal_below((years - best) / sd)
            } else {
                0.5 + 0.5 * side
            }
        };
        let shares = (first..=last)
            .map(|at| {
                let edge = |offset: f64| (at as f64 + offset) / STEPS_PER_YEAR;
                let from = if at == first { 0.0 } else { below(edge(-0.5)) };
                let to = if at == last { 1.0 } else { below(edge(0.5)) };
                (to - from).max(0.0)
            })
            .collect();
        Self { first, shares }.normalized()
    }

    /// A count with the chance of each value; `None` when no chance is above
    /// zero.
    pub(crate) fn from_chances(chances: &[(u32, f64)]) -> Option<Self> {
        let sound = |chance: f64| chance.is_finite() && chance > 0.0;
        let kept: Vec<(usize, f64)> = chances
            .iter()
            .filter(|(_, chance)| sound(*chance))
            .map(|&(count, chance)| {
                let years = f64::from(count).min(MOST_YEARS);
                ((years * STEPS_PER_YEAR) as usize, chance)
            })
            .collect();
        let first = kept.iter().map(|(at, _)| *at).min()?;
        let last = kept.iter().map(|(at, _)| *at).max()?;
        let mut shares = vec![0.0; last - first + 1];
        for (at, chance) in kept {
            shares[at - first] += chance;
        }
        Some(Self { first, shares }.normalized())
    }

    /// The sum of two independent numbers.
    pub(crate) fn plus(&self, other: &Self) -> Self {
        let mut shares = vec![0.0; self.shares.len() + other.shares.len() - 1];
        for (i, a) in self.shares.iter().enumerate() {
            if *a > 0.0 {
                for (j, b) in other.shares.iter().enumerate() {
                    shares[i + j] += a * b;
                }
            }
        }
        Self {
            first: self.first + other.first,
            shares,
        }
        .normalized()
    }

    /// The years below which a share of the probability is.
    pub(crate) fn quantile(&self, share: f64) -> f64 {
        let mut sum = 0.0;
        for (index, part) in self.shares.iter().enumerate() {
            sum += part;
            // A hair's breadth of slack: the sums are rounded.
            if sum >= share - 1e-12 {
                return (self.first + index) as f64 / STEPS_PER_YEAR;
            }
        }
        (self.first + self.shares.len().saturating_sub(1)) as f64 / STEPS_PER_YEAR
    }

    /// The chance of each whole number of years, rising and without gaps.
    pub(crate) fn by_whole_years(&self) -> Vec<(u32, f64)> {
        let year_of = |at: usize| (at as f64 / STEPS_PER_YEAR).round() as u32;
        let mut years: Vec<(u32, f64)> = Vec::new();
        for (index, share) in self.shares.iter().enumerate() {
            let year = year_of(self.first + index);
            match years.last_mut() {
                Some(last) if last.0 == year => last.1 += share,
                _ => years.push((year, *share)),
            }
        }
        years
    }

    fn normalized(mut self) -> Self {
        let total: f64 = self.shares.iter().sum();
        if total > 0.0 {
            self.shares.iter_mut().for_each(|share| *share /= total);
        } else if let Some(share) = self.shares.first_mut() {
            *share = 1.0;
        }
        self
    }
}

/// Share of a standard normal below `z`, to 1e-7 (Abramowitz and Stegun 1964,
/// Handbook of Mathematical Functions, 7.1.26).
fn normal_below(z: f64) -> f64 {
    let x = z.abs() / SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let polynomial = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let tail = 0.5 * polynomial * (-x * x).exp();
    if z < 0.0 { tail } else { 1.0 - tail }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_gives_its_own_quantiles_back() {
        for (low, best, high) in [
            (2.0, 4.0, 6.0),
            (1.0, 4.0, 12.0),
            (66.0, 68.0, 70.0),
            (5.0, 5.0, 5.0),
        ] {
            let spread = Spread::from_range(low, best, high);
            for (share, years) in [(0.05, low), (0.5, best), (0.95, high)] {
                assert!(
                    (spread.quantile(share) - years).abs() <= 0.25,
                    "{low} {best} {high}: {share}"
                );
            }
        }
    }

    #[test]
    fn sums_are_narrower_than_added_extremes() {
        let ten = Spread::from_range(8.0, 10.0, 12.0);
        let sum = ten.plus(&ten);
        let (low, high) = (sum.quantile(0.05), sum.quantile(0.95));
        // Independent normals: half-width 2·√2 = 2.83.
        assert!(
            (low - 17.17).abs() < 0.3 && (high - 22.83).abs() < 0.3,
            "{low} {high}"
        );
    }

    #[test]
    fn nonsense_is_bounded() {
        let spread = Spread::from_range(f64::NAN, f64::INFINITY, -3.0);
        assert!(spread.quantile(0.95) <= MOST_YEARS);
        assert_eq!(Spread::from_chances(&[(5, f64::NAN), (6, 0.0)]), None);
        assert!((normal_below(-Z_90) - 0.05).abs() < 1e-6);
    }
}
