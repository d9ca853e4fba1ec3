//! Where a stump's reading slipped by a ring or two.

use super::{Series, pearson, t_value};

/// Shifts of the inner rings that are tried, in years. A stump that reads a
/// ring short has its inner rings a year too late: they belong a year earlier.
const SHIFTS: [i32; 4] = [-1, 1, -2, 2];

/// Fewest values inside a slip: fewer fit any shift by chance.
const FEWEST_INSIDE: usize = 15;

/// What the logarithm of the likelihood may fall short of the best before a
/// place is out of the range told. Two would do for independent values; these
/// are means over five rings. Chosen on drawn woodlots: the tests beside this
/// file say how often the range holds the place.
const SUPPORT: f64 = 3.0;

/// A slip by which one stump would fit the others clearly better.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Years by which the rings inside the slip belong later (above 0: the
    /// stump reads so many rings long) or earlier (below 0: so many short).
    pub years: i32,
    /// The slip lies between these years, as the stump is dated now; `to` is
    /// the last ring's when the whole series may be shifted.
    pub from_year: i32,
    /// See `from_year`.
    pub to_year: i32,
    /// Whether the slip may lie outside the last ring: then the date of felling
    /// or rings under the bark are in question.
    pub may_be_whole: bool,
    /// Agreement with the others as it is.
    pub t_now: f64,
    /// Agreement when the rings inside are shifted.
    pub t_shifted: f64,
    /// Gain in the logarithm of the likelihood.
    pub gain: f64,
    /// Correlation of the rings inside as they are, and shifted.
    pub inside: (f64, f64),
}

impl Shift {
    /// How many rings the stump reads short (above 0) or long (below 0).
    #[must_use]
    pub fn rings_short(&self) -> i32 {
        -self.years
    }
}

/// The slip that makes `one` fit `others` best, if any fits better at all.
///
/// # Method
/// Our own, from likelihoods. With values inside a place shifted by s years
/// and those outside left, the pairs (value, mean of the others) have a
/// correlation r over n pairs, and the logarithm of their likelihood is
/// −n/2 ln(1 − r²) above that of no relation. All places and shifts are
/// tried; the gain over no slip is what the best one adds. Tested on drawn
/// woodlots with and without slips.
pub(super) fn best(one: &Series, others: &Series) -> Option<Shift> {
    let plain = Fit::of(one, others, 0, 0)?;
    let count = one.values.len();
    let mut all = Vec::new();
    for years in SHIFTS {
        for split in FEWEST_INSIDE..=count {
            if let Some(fit) = Fit::of(one, others, split, years) {
                all.push((years, split, fit));
            }
        }
    }
    let (years, _, best) = all
        .iter()
        .copied()
        .max_by(|a, b| a.2.likelihood.total_cmp(&b.2.likelihood))?;
    let near: Vec<usize> = all
        .iter()
        .filter(|(y, _, fit)| *y == years && fit.likelihood >= best.likelihood - SUPPORT)
        .map(|(_, split, _)| *split)
        .collect();
    let (first, last) = (*near.iter().min()?, *near.iter().max()?);
    // `split` values lie inside: the last of them may be just inside the slip.
    let year = |split: usize| one.first_year + split as i32 - 1;
    let inside = Series {
        first_year: one.first_year,
        values: one.values[..first].to_vec(),
    };
    let r_inside =
        |years: i32| Fit::of(&inside, others, inside.values.len(), years).map_or(0.0, |fit| fit.r);
    Some(Shift {
        years,
        from_year: year(first),
        to_year: year(last) + 1,
        may_be_whole: last == count,
        t_now: t_value(plain.r, plain.n).unwrap_or(0.0),
        t_shifted: t_value(best.r, best.n).unwrap_or(0.0),
        gain: best.likelihood - plain.likelihood,
        inside: (r_inside(0), r_inside(years)),
    })
}

/// How well the series fits the others under one slip.
#[derive(Debug, Clone, Copy)]
struct Fit {
    r: f64,
    n: usize,
    likelihood: f64,
}

impl Fit {
    /// The first `split` values shifted by `years`, the rest as they are.
    fn of(one: &Series, others: &Series, split: usize, years: i32) -> Option<Self> {
        let (mut mine, mut theirs) = (Vec::new(), Vec::new());
        for (index, value) in one.values.iter().enumerate() {
            let shift = if index < split { years } else { 0 };
            let year = one.first_year + index as i32 + shift;
            if let Some(other) = others.at(year) {
                mine.push(*value);
                theirs.push(other);
            }
        }
        let r = pearson(&mine, &theirs)?;
        let n = mine.len();
        let related = r.clamp(0.0, 0.999_999);
        Some(Self {
            r,
            n,
            likelihood: -0.5 * n as f64 * (1.0 - related * related).ln(),
        })
    }
}
