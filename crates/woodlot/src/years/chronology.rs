//! The woodlot's growth, year by year.

use super::smoothing_spline;
use crate::Tree;
use crate::check::{expressed_population_signal, mean_correlation};
use std::collections::BTreeMap;
use wood::Year;
use wood::stats::pearson;

/// Stumps that must carry a year before it is called good or bad. Chosen: two
/// may agree by chance.
const FEWEST_STUMPS: usize = 3;

/// Share of stumps that must stand on one side for a year to be one in which
/// most grew well or badly. Chosen.
const MOST: f64 = 0.75;

/// From this mean on a year was good, down to this one bad: the limits of the
/// middle step of the growth colors.
const GOOD: f64 = 1.15;
const BAD: f64 = 0.85;

/// Years that two stumps must share for their correlation to count.
const FEWEST_SHARED_YEARS: usize = 20;

/// Share of a series' length whose waves the spline passes by half: the
/// two-thirds spline is usual (from memory).
const SPLINE_SHARE: f64 = 2.0 / 3.0;

/// Below this share of the mean width a trend is not divided by.
const LEAST_TREND: f64 = 0.05;

/// How a stump's own age trend is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Detrending {
    /// The negative exponential, or a falling line, or the mean
    /// ([`growth::age_trend`]): keeps slow changes that were not the tree's age.
    #[default]
    NegativeExponential,
    /// A spline that passes half of waves of two thirds of the series: also
    /// takes out releases and suppressions ([`smoothing_spline`]).
    Spline,
}

/// One year of the woodlot.
#[derive(Debug, Clone, PartialEq)]
pub struct YearMean {
    /// The year.
    pub year: Year,
    /// Mean over stumps of width against expected width: 1 is as expected.
    pub mean: f64,
    /// Standard deviation over stumps (n − 1); `None` of one stump.
    pub spread: Option<f64>,
    /// Stumps that carry the year.
    pub stumps: usize,
    /// Stumps above their own expectation.
    pub above: usize,
}

/// A decade of the woodlot.
#[derive(Debug, Clone, PartialEq)]
pub struct DecadeMean {
    /// Its first year (1990).
    pub from_year: Year,
    /// Years of it that are carried by a stump.
    pub years: usize,
    /// Mean of its years.
    pub mean: f64,
    /// Mean number of stumps that carry them.
    pub stumps: f64,
}

/// The good and bad years of a woodlot.
#[derive(Debug, Clone, PartialEq)]
pub struct Years {
    /// Every year that a stump carries, oldest first.
    pub years: Vec<YearMean>,
    /// By decade, oldest first.
    pub decades: Vec<DecadeMean>,
    /// Years in which most stumps grew well, and the mean was 1.15 or more.
    pub good: Vec<Year>,
    /// Years in which most stumps grew badly, and the mean was 0.85 or less.
    pub bad: Vec<Year>,
    /// Mean correlation between stumps; `None` where no two share 20 years.
    pub mean_correlation: Option<f64>,
    /// Expressed population signal; `None` without a mean correlation.
    pub signal: Option<f64>,
    /// Stumps that were averaged.
    pub used: Vec<String>,
    /// Stumps whose rings have no years.
    pub undated: Vec<String>,
}

/// Widths over expected widths, pith first; 1 is as expected.
#[must_use]
pub fn against_trend(widths: &[f64], detrending: Detrending) -> Vec<f64> {
    let mean = widths.iter().sum::<f64>() / widths.len().max(1) as f64;
    let expected = match detrending {
        Detrending::NegativeExponential => growth::age_trend(widths).expected,
        Detrending::Spline => smoothing_spline(widths, widths.len() as f64 * SPLINE_SHARE),
    };
    let least = LEAST_TREND * mean;
    widths
        .iter()
        .zip(expected)
        .map(|(width, expected)| width / expected.max(least))
        .collect()
}

/// The woodlot's years: each stump against its own age trend, averaged over
/// the stumps that carry a year.
///
/// # Method
/// Ratios of width to age trend and their arithmetic mean, as is usual (Fritts
/// 1976, Tree Rings and Climate, from memory). Mean correlation over pairs
/// that share 20 years, and the expressed population signal from it (Wigley,
/// Briffa and Jones 1984) with as many stumps as were averaged. What makes a
/// year good or bad is our own: three quarters of at least three stumps on one
/// side, and a mean beyond 1.15 or 0.85.
#[must_use]
pub fn years(trees: &[Tree], detrending: Detrending) -> Years {
    let (dated, undated): (Vec<&Tree>, Vec<&Tree>) =
        trees.iter().partition(|tree| tree.first_year.is_some());
    let ratios: Vec<(i32, Vec<f64>)> = dated
        .iter()
        .filter_map(|tree| {
            let ratios = against_trend(&tree.widths, detrending);
            tree.first_year.map(|first| (first.0, ratios))
        })
        .collect();
    let mut by_year: BTreeMap<i32, Vec<f64>> = BTreeMap::new();
    for (first, ratios) in &ratios {
        for (year, ratio) in (*first..).zip(ratios) {
            by_year.entry(year).or_default().push(*ratio);
        }
    }
    let years: Vec<YearMean> = by_year
        .into_iter()
        .map(|(year, ratios)| year_mean(Year(year), &ratios))
        .collect();
    let most = |year: &YearMean, side: usize| {
        year.stumps >= FEWEST_STUMPS && side as f64 >= MOST * year.stumps as f64
    };
    let pick = |is: &dyn Fn(&YearMean) -> bool| -> Vec<Year> {
        years.iter().filter(|y| is(y)).map(|y| y.year).collect()
    };
    let mean_correlation = between(&ratios);
    Years {
        decades: decades(&years),
        good: pick(&|y| y.mean >= GOOD && most(y, y.above)),
        bad: pick(&|y| y.mean <= BAD && most(y, y.stumps - y.above)),
        signal: mean_correlation.and_then(|r| expressed_population_signal(dated.len(), r)),
        mean_correlation,
        used: dated.iter().map(|tree| tree.name.clone()).collect(),
        undated: undated.iter().map(|tree| tree.name.clone()).collect(),
        years,
    }
}

fn year_mean(year: Year, ratios: &[f64]) -> YearMean {
    let n = ratios.len() as f64;
    let mean = ratios.iter().sum::<f64>() / n;
    YearMean {
        year,
        mean,
        spread: growth::series::standard_deviation(ratios),
        stumps: ratios.len(),
        above: ratios.iter().filter(|ratio| **ratio > 1.0).count(),
    }
}

fn decades(years: &[YearMean]) -> Vec<DecadeMean> {
    let mut by_decade: BTreeMap<i32, Vec<&YearMean>> = BTreeMap::new();
    for year in years {
        by_decade
            .entry(year.year.0.div_euclid(10) * 10)
            .or_default()
            .push(year);
    }
    by_decade
        .into_iter()
        .map(|(from, years)| {
            let n = years.len() as f64;
            DecadeMean {
                from_year: Year(from),
                years: years.len(),
                mean: years.iter().map(|y| y.mean).sum::<f64>() / n,
                stumps: years.iter().map(|y| y.stumps as f64).sum::<f64>() / n,
            }
        })
        .collect()
}

/// Mean correlation over all pairs that share enough years.
fn between(ratios: &[(i32, Vec<f64>)]) -> Option<f64> {
    let mut all = Vec::new();
    for (index, (first_a, a)) in ratios.iter().enumerate() {
        for (first_b, b) in &ratios[index + 1..] {
            let from = (*first_a).max(*first_b);
            let to = (first_a + a.len() as i32).min(first_b + b.len() as i32);
            if to - from < FEWEST_SHARED_YEARS as i32 {
                continue;
            }
            let of = |first: i32, values: &[f64]| -> Vec<f64> {
                values[(from - first) as usize..(to - first) as usize].to_vec()
            };
            all.extend(pearson(&of(*first_a, a), &of(*first_b, b)));
        }
    }
    mean_correlation(&all)
}
