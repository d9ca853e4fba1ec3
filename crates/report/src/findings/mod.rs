//! What the rings say, in plain sentences. No sentence without the numbers
//! behind it, and no cause asserted.

mod sentence;
mod series;

#[cfg(test)]
mod tests;

use crate::words::Span;
use growth::series::years_to_diameter;
pub use series::Width;
pub(crate) use series::{MOST_DOUBTFUL, Series};
use wood::{EventKind, Facts, Mm, Reading, Scope, Units, Year};

/// Years that are compared: ten.
const TEN: usize = 10;

/// Growth whose fastest and slowest ten years differ by less is called even.
/// Chosen: less than the doubt about a mean of ten ring widths.
const EVEN_RATIO: f64 = 1.1;

/// One thing that the rings say, with every number its sentence names.
#[derive(Debug, Clone, PartialEq)]
pub enum Finding {
    /// Fewer whole rings than can be compared.
    TooFew {
        /// How many there are.
        rings: u32,
    },
    /// Too many rings in doubt to compare growth.
    TooDoubtful {
        /// How many are in doubt.
        doubtful: u32,
        /// Of how many whole rings.
        rings: u32,
    },
    /// Fast and slow years hardly differ.
    Even {
        /// By how much the fastest ten years in a row beat the slowest, in percent.
        percent: f64,
    },
    /// The fastest ten years in a row.
    Fastest {
        /// When.
        span: Span,
        /// Mean ring width then.
        width: Width,
    },
    /// The slowest ten years in a row.
    Slowest {
        /// When.
        span: Span,
        /// Mean ring width then.
        width: Width,
    },
    /// A lasting change; the strongest where there are several.
    Change {
        /// Rise or fall.
        kind: EventKind,
        /// Number of the last ring before it.
        ring: u32,
        /// The year of that ring.
        year: Option<Year>,
        /// Change of the mean ring width, in percent.
        percent: f64,
        /// Mean ring width of the ten years before.
        before: Width,
        /// Mean ring width of the ten years after.
        after: Width,
    },
    /// The last ten whole rings under the bark.
    LastTen {
        /// When.
        span: Span,
        /// Mean ring width then.
        width: Width,
        /// Change against the ten years before them, in percent.
        against_before: Option<f64>,
    },
    /// What it would have taken to reach the next round size.
    NextSize {
        /// Diameter inside the bark now.
        now: Mm,
        /// The size.
        next: Mm,
        /// Years at the pace of the last ten.
        years: f64,
    },
}

/// What the rings of a reading say: up to five findings, and at least one
/// where there is a ring. `units` decides which size is a round one.
///
/// # Method
/// Only whole rings are used. Fastest and slowest are any ten rings in a row; a
/// change is an event of the reading (Nowacki and Abrams 1997, see
/// `growth::events`); the next size is computed with the mean width of the last
/// ten rings on both sides. Ten rings of which more than `MOST_DOUBTFUL` are
/// in doubt are not used at all, and nothing is said of the last ten years
/// where the bark is not in view. Our own choice of what to report; tested over
/// random readings.
#[must_use]
pub fn findings(reading: &Reading, facts: &Facts, units: Units) -> Vec<Finding> {
    let series = Series::of(reading, facts);
    let count = series.rings.len();
    if count == 0 {
        return Vec::new();
    }
    let whole = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let mut found = Vec::new();
    if count < 2 * TEN {
        found.push(Finding::TooFew {
            rings: whole(count),
        });
    } else {
        found.extend(fast_and_slow(&series));
        found.extend(change(reading, &series));
    }
    if reading.scope != Some(Scope::RingsInView) {
        found.extend(last_ten(&series));
        found.extend(next_size(reading, &series, units));
    }
    if found.is_empty() {
        found.push(Finding::TooDoubtful {
            doubtful: whole(series.doubtful(0, count)),
            rings: whole(count),
        });
    }
    found
}

/// Start and mean of each ten rings in a row that can be compared.
fn runs_of_ten<'a>(series: &'a Series<'a>) -> impl Iterator<Item = (usize, f64)> + 'a {
    let last = series.rings.len().saturating_sub(TEN);
    (0..=last)
        .filter(|from| series.is_sound(*from, TEN))
        .map(|from| (from, series.mean(from, TEN)))
}

fn fast_and_slow(series: &Series<'_>) -> Vec<Finding> {
    let slowest = runs_of_ten(series).min_by(|a, b| a.1.total_cmp(&b.1));
    let fastest = runs_of_ten(series).max_by(|a, b| a.1.total_cmp(&b.1));
    let (Some(slowest), Some(fastest)) = (slowest, fastest) else {
        return Vec::new();
    };
    if slowest.1 > 0.0 && fastest.1 < slowest.1 * EVEN_RATIO {
        let percent = 100.0 * (fastest.1 / slowest.1 - 1.0);
        return vec![Finding::Even { percent }];
    }
    let said = |(from, mean): (usize, f64)| {
        let span = Span::of(series.rings.get(from..from + TEN)?)?;
        Some((span, series.width(mean)))
    };
    let mut found = Vec::new();
    if let Some((span, width)) = said(fastest) {
        found.push(Finding::Fastest { span, width });
    }
    if let Some((span, width)) = said(slowest) {
        found.push(Finding::Slowest { span, width });
    }
    found
}

/// The strongest change of the reading, measured by the widths on either side.
fn change(reading: &Reading, series: &Series<'_>) -> Option<Finding> {
    reading
        .events
        .iter()
        .filter_map(|event| {
            let at = series.rings.iter().position(|r| r.number == event.ring)?;
            let from = (at + 1).checked_sub(TEN)?;
            if !(series.is_sound(from, TEN) && series.is_sound(at + 1, TEN)) {
                return None;
            }
            let (before, after) = (series.mean(from, TEN), series.mean(at + 1, TEN));
            if before <= 0.0 {
                return None;
            }
            let ratio = after / before;
            let kind = if ratio >= 1.0 {
                EventKind::Release
            } else {
                EventKind::Suppression
            };
            let finding = Finding::Change {
                kind,
                ring: event.ring,
                year: event.year,
                percent: 100.0 * (ratio - 1.0),
                before: series.width(before),
                after: series.width(after),
            };
            // A doubling and a halving are equally strong.
            Some((ratio.max(1e-9).ln().abs(), finding))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, finding)| finding)
}

fn last_ten(series: &Series<'_>) -> Option<Finding> {
    let from = series.rings.len().checked_sub(TEN)?;
    if !series.is_sound(from, TEN) {
        return None;
    }
    let mean = series.mean(from, TEN);
    let before = from
        .checked_sub(TEN)
        .filter(|earlier| series.is_sound(*earlier, TEN))
        .map(|earlier| series.mean(earlier, TEN))
        .filter(|before| *before > 0.0);
    Some(Finding::LastTen {
        span: Span::of(series.rings.get(from..)?)?,
        width: series.width(mean),
        against_before: before.map(|before| 100.0 * (mean / before - 1.0)),
    })
}

fn next_size(reading: &Reading, series: &Series<'_>, units: Units) -> Option<Finding> {
    /// Steps of round sizes, and how near the next may be to be worth naming. Chosen.
    const STEP_IN: f64 = 2.0;
    const STEP_MM: f64 = 50.0;
    const NEAREST: f64 = 0.25;
    /// A longer forecast from ten years of growth says nothing. Chosen.
    const MOST_YEARS: f64 = 60.0;
    let now = reading.rings.last()?.radius_mm? * 2.0;
    let from = series.rings.len().checked_sub(TEN)?;
    if !series.is_sound(from, TEN) {
        return None;
    }
    let Width::Measured(width) = series.width(series.mean(from, TEN)) else {
        return None;
    };
    let step = match units {
        Units::Inch => Mm::from_inches(STEP_IN),
        Units::Metric => Mm(STEP_MM),
    };
    let next = step * ((now / step) + NEAREST).ceil();
    let years = years_to_diameter(now, next, width)?;
    (years <= MOST_YEARS).then_some(Finding::NextSize { now, next, years })
}
