//! Where a stump's reading slipped by a ring or two.

use super::transform::dated;
use super::{Series, t_value};
use wood::stats::pearson;

/// Fewest rings inside a slip: fewer fit any shift by chance.
const FEWEST_INSIDE: usize = 15;

/// What the logarithm of the likelihood may fall short of the best before a
/// place is out of the reported range. Chosen on drawn woodlots: the tests beside
/// this file say how often the range holds the place.
const SUPPORT: f64 = 2.0;

/// A slip by which one stump would fit the others clearly better.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// Years by which the rings inside the slip belong later (above 0: the
    /// stump reads so many rings long) or earlier (below 0: so many short).
    pub years: i32,
    /// The slip is at a ring of these years, as the stump is dated now.
    pub from_year: i32,
    /// See `from_year`.
    pub to_year: i32,
    /// Whether the whole series may be shifted as well: then the date of
    /// felling or rings under the bark are in question.
    pub may_be_whole: bool,
    /// Agreement with the others as it is.
    pub t_now: f64,
    /// Agreement with the slip corrected.
    pub t_shifted: f64,
    /// Correlation with the slip corrected.
    pub r_shifted: f64,
    /// Gain in the logarithm of the likelihood.
    pub gain: f64,
}

impl Shift {
    /// How many rings are missing (above 0) or too many (below 0).
    #[must_use]
    pub fn rings_short(&self) -> i32 {
        -self.years
    }
}

/// What a reading may have done wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slip {
    /// One ring holds so many more than it was taken for.
    Short(usize),
    /// So many rings too many were seen in one.
    Long(usize),
}

impl Slip {
    const ALL: [Self; 4] = [Self::Short(1), Self::Long(1), Self::Short(2), Self::Long(2)];

    /// How many years later the rings inside belong.
    fn years(self) -> i32 {
        match self {
            Self::Short(rings) => -(rings as i32),
            Self::Long(rings) => rings as i32,
        }
    }

    /// The widths with the slip corrected at a ring; `None` off the end.
    fn corrected(self, widths: &[f64], at: usize) -> Option<Vec<f64>> {
        let mut right = widths.to_vec();
        match self {
            Self::Short(rings) => {
                let share = widths.get(at)? / (rings + 1) as f64;
                right.splice(at..=at, std::iter::repeat_n(share, rings + 1));
            }
            Self::Long(rings) => {
                let sum: f64 = widths.get(at..=at + rings)?.iter().sum();
                right.splice(at..=at + rings, [sum]);
            }
        }
        Some(right)
    }
}

/// The slip that, once corrected, makes a stump fit `others` best.
///
/// # Method
/// Our own, from likelihoods. A slip is corrected by splitting a ring into equal
/// ones or joining neighbors, with the rings outside left in their years. The
/// pairs of values with the mean of the others then have a correlation r over
/// n pairs, and the logarithm of their likelihood is −n/2 ln(1 − r²) above that
/// of no relation. Every ring is tried for one and two rings, short and long;
/// and the whole series moved, as a wrong date of felling does. The gain over
/// the series as it is is what the best of them adds. Tested on drawn woodlots
/// with and without slips.
pub(super) fn best(first_year: i32, widths: &[f64], others: &Series) -> Option<Shift> {
    let plain = Fit::of(&dated(first_year, widths), others)?;
    let mut all = Vec::new();
    for slip in Slip::ALL {
        let moved = first_year + slip.years();
        for at in FEWEST_INSIDE..widths.len() {
            let fit = slip
                .corrected(widths, at)
                .and_then(|right| Fit::of(&dated(moved, &right), others));
            all.extend(fit.map(|fit| (slip, Some(at), fit)));
        }
        let whole = Fit::of(&dated(moved, widths), others);
        all.extend(whole.map(|fit| (slip, None, fit)));
    }
    let (slip, _, best) = all
        .iter()
        .copied()
        .max_by(|a, b| a.2.likelihood.total_cmp(&b.2.likelihood))?;
    let near = all
        .iter()
        .filter(|(other, _, fit)| *other == slip && fit.likelihood >= best.likelihood - SUPPORT);
    let rings: Vec<usize> = near.clone().filter_map(|(_, at, _)| *at).collect();
    let outermost = widths.len() - 1;
    let from = rings.iter().min().copied().unwrap_or(outermost);
    let to = rings.iter().max().copied().unwrap_or(outermost);
    // Of rings that are one, the outer ones belong to the place too.
    let to = match slip {
        Slip::Short(_) => to,
        Slip::Long(rings) => (to + rings).min(outermost),
    };
    let year = |ring: usize| first_year + ring as i32;
    Some(Shift {
        years: slip.years(),
        from_year: year(from),
        to_year: year(to),
        may_be_whole: near.clone().any(|(_, at, _)| at.is_none()),
        t_now: t_value(plain.r, plain.n).unwrap_or(0.0),
        t_shifted: t_value(best.r, best.n).unwrap_or(0.0),
        r_shifted: best.r,
        gain: best.likelihood - plain.likelihood,
    })
}

/// How well a series fits the others.
#[derive(Debug, Clone, Copy)]
struct Fit {
    r: f64,
    n: usize,
    likelihood: f64,
}

impl Fit {
    fn of(one: &Series, others: &Series) -> Option<Self> {
        let (_, shared) = one.shared(others);
        let (mine, theirs): (Vec<f64>, Vec<f64>) = shared.into_iter().unzip();
        let r = pearson(&mine, &theirs)?;
        let related = r.clamp(0.0, 0.999_999);
        Some(Self {
            r,
            n: mine.len(),
            likelihood: -0.5 * mine.len() as f64 * (1.0 - related * related).ln(),
        })
    }
}
