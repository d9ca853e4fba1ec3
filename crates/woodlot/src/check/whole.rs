//! Every stump of a woodlot compared with every other, and with the rest.

use super::departure::{Departure, Window, departure};
use super::slips::{self, Shift};
use super::transform::dated;
use super::{ParallelVariation, Series, parallel_variation, t_value};
use crate::Tree;
use std::collections::BTreeMap;
use wood::stats::pearson;

/// What is required of an agreement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CheckCriteria {
    /// Fewest years that two series must share.
    pub fewest_years: usize,
    /// Years in a running window.
    pub window: usize,
    /// Years from one window to the next.
    pub step: usize,
    /// Gain in the logarithm of the likelihood from which a slip is reported.
    /// Chosen on drawn woodlots: see the tests beside this file.
    pub least_gain: f64,
    /// Agreement from which a shifted series is believed: 3.5 is the common
    /// rule (from memory).
    pub least_t: f64,
}

impl Default for CheckCriteria {
    fn default() -> Self {
        Self {
            fewest_years: 20,
            window: 20,
            step: 10,
            least_gain: 10.0,
            least_t: 3.5,
        }
    }
}

/// Two stumps compared with each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// The one.
    pub a: String,
    /// The other.
    pub b: String,
    /// Years that both have, after two are lost at each end.
    pub years: usize,
    /// Correlation in Baillie and Pilcher's form.
    pub r: f64,
    /// Its t value.
    pub t: f64,
    /// Parallel variation of the widths.
    pub parallel: ParallelVariation,
}

/// One stump compared with the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The stump.
    pub name: String,
    /// Years shared with the mean of the rest; 0 where they are too few.
    pub years: usize,
    /// Correlation with it.
    pub r: Option<f64>,
    /// Its t value.
    pub t: Option<f64>,
    /// Parallel variation with it.
    pub parallel: Option<ParallelVariation>,
    /// Running windows, oldest first.
    pub windows: Vec<Window>,
    /// A slip that would make it fit clearly better.
    pub shift: Option<Shift>,
    /// The stretch of years in which it departs from the rest most.
    pub departure: Option<Departure>,
}

/// Fewest other stumps for a mean of the rest.
const FEWEST_OTHERS: usize = 2;

/// One-sided 95 % of the normal distribution.
const Z_95: f64 = 1.645;

/// Every dated stump compared with the mean of the rest, in the order given, and all
/// pairs that share enough years. Nothing is shifted.
///
/// # Method
/// Series in the form of Baillie and Pilcher 1973; the mean of the rest is
/// taken year by year over at least two other stumps. Correlation, t value,
/// parallel variation and correlations in running windows are the published
/// ones beside this file; the search for slips is our own. Stumps in which it
/// finds one are put aside, the worst first, and the others compared with the
/// mean of those that are left.
#[must_use]
pub fn check(trees: &[Tree], criteria: &CheckCriteria) -> (Vec<Checked>, Vec<Pair>) {
    let all: Vec<(&Tree, Series)> = trees
        .iter()
        .filter_map(|tree| Some((tree, dated(tree.first_year?.0, &tree.widths))))
        .filter(|(_, series)| series.values.len() >= criteria.fewest_years)
        .collect();
    let everyone: Vec<usize> = (0..all.len()).collect();
    let against = sound(&all, criteria);
    let checked = everyone
        .iter()
        .map(|&one| {
            let shift = slip(&all, one, &against, criteria);
            against_rest(&all, one, &against, criteria, shift)
        })
        .collect();
    (checked, pairs(&all, criteria))
}

/// Those that the others are compared with: all but the ones that slipped. The
/// worst is put aside first and the rest compared again, because one slip makes
/// others look doubtful.
fn sound(all: &[(&Tree, Series)], criteria: &CheckCriteria) -> Vec<usize> {
    let mut sound: Vec<usize> = (0..all.len()).collect();
    while sound.len() > FEWEST_OTHERS + 1 {
        let worst = sound
            .iter()
            .filter_map(|&one| slip(all, one, &sound, criteria).map(|shift| (one, shift.gain)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            Some((worst, _)) => sound.retain(|&one| one != worst),
            None => break,
        }
    }
    sound
}

fn slip(
    all: &[(&Tree, Series)],
    one: usize,
    against: &[usize],
    criteria: &CheckCriteria,
) -> Option<Shift> {
    let rest = mean_of_rest(all, one, against);
    let (_, shared) = all[one].1.shared(&rest);
    if shared.len() < criteria.fewest_years {
        return None;
    }
    let tree = all[one].0;
    slips::best(tree.first_year?.0, &tree.widths, &rest)
        .filter(|shift| shift.gain >= criteria.least_gain && shift.t_shifted >= criteria.least_t)
}

/// The mean, year by year, of those of `against` that are not `one`: the
/// longest run of years that at least two of them carry.
fn mean_of_rest(all: &[(&Tree, Series)], one: usize, against: &[usize]) -> Series {
    let mut by_year: BTreeMap<i32, (f64, usize)> = BTreeMap::new();
    for &other in against.iter().filter(|&&other| other != one) {
        let series = &all[other].1;
        for (year, value) in (series.first_year..).zip(&series.values) {
            let entry = by_year.entry(year).or_default();
            entry.0 += value;
            entry.1 += 1;
        }
    }
    let mut best = Series {
        first_year: 0,
        values: Vec::new(),
    };
    let mut run = best.clone();
    for (year, (sum, count)) in by_year {
        if count < FEWEST_OTHERS {
            continue;
        }
        if run.first_year + run.values.len() as i32 != year {
            run = Series {
                first_year: year,
                values: Vec::new(),
            };
        }
        run.values.push(sum / count as f64);
        if run.values.len() > best.values.len() {
            best = run.clone();
        }
    }
    best
}

fn against_rest(
    all: &[(&Tree, Series)],
    one: usize,
    against: &[usize],
    criteria: &CheckCriteria,
    shift: Option<Shift>,
) -> Checked {
    let (tree, series) = &all[one];
    let rest = mean_of_rest(all, one, against);
    let (from, shared) = series.shared(&rest);
    let (mine, theirs): (Vec<f64>, Vec<f64>) = shared.into_iter().unzip();
    let enough = mine.len() >= criteria.fewest_years;
    let r = pearson(&mine, &theirs).filter(|_| enough);
    let windows = windows(from, &mine, &theirs, criteria);
    let departure = departure(from, &mine, &theirs, &windows);
    Checked {
        name: tree.name.clone(),
        years: if enough { mine.len() } else { 0 },
        r,
        t: r.and_then(|r| t_value(r, mine.len())),
        parallel: parallel_variation(&mine, &theirs).filter(|_| enough),
        windows,
        shift,
        departure,
    }
}

/// Correlations in running windows; the last one ends with the last year.
fn windows(from: i32, mine: &[f64], theirs: &[f64], criteria: &CheckCriteria) -> Vec<Window> {
    let (length, step) = (criteria.window.max(3), criteria.step.max(1));
    let Some(last) = mine.len().checked_sub(length) else {
        return Vec::new();
    };
    // Counted from the bark, where the years are most certain.
    let mut starts: Vec<usize> = (0..=last).rev().step_by(step).collect();
    starts.reverse();
    let limit = Z_95 / ((length - 1) as f64).sqrt();
    starts
        .into_iter()
        .filter_map(|start| {
            let r = pearson(&mine[start..start + length], &theirs[start..start + length])?;
            Some(Window {
                from_year: from + start as i32,
                to_year: from + (start + length) as i32 - 1,
                r,
                weak: r < limit,
            })
        })
        .collect()
}

fn pairs(all: &[(&Tree, Series)], criteria: &CheckCriteria) -> Vec<Pair> {
    let mut pairs = Vec::new();
    for (index, (tree_a, a)) in all.iter().enumerate() {
        for (tree_b, b) in &all[index + 1..] {
            let (_, shared) = a.shared(b);
            if shared.len() < criteria.fewest_years {
                continue;
            }
            let (mine, theirs): (Vec<f64>, Vec<f64>) = shared.into_iter().unzip();
            let agreement =
                pearson(&mine, &theirs).and_then(|r| Some((r, t_value(r, mine.len())?)));
            let Some(((r, t), parallel)) = agreement.zip(widths_together(tree_a, tree_b)) else {
                continue;
            };
            pairs.push(Pair {
                a: tree_a.name.clone(),
                b: tree_b.name.clone(),
                years: mine.len(),
                r,
                t,
                parallel,
            });
        }
    }
    pairs
}

fn widths_together(a: &Tree, b: &Tree) -> Option<ParallelVariation> {
    let of = |tree: &Tree| {
        Some(Series {
            first_year: tree.first_year?.0,
            values: tree.widths.clone(),
        })
    };
    let (_, shared) = of(a)?.shared(&of(b)?);
    let (mine, theirs): (Vec<f64>, Vec<f64>) = shared.into_iter().unzip();
    parallel_variation(&mine, &theirs)
}
