//! What the rings say, in plain sentences. No sentence without the numbers
//! behind it, and no cause asserted.

mod sentence;
mod series;

#[cfg(test)]
mod tests;

use crate::words::Span;
use growth::series::years_to_diameter;
pub(crate) use series::Series;
pub use series::Width;
use wood::{EventKind, Facts, Mm, Reading, Scope, Units, Year};

/// Years that are compared: a decade.
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
    /// Fast and slow years hardly differ.
    Even {
        /// By how much the fastest ten years running beat the slowest, in percent.
        percent: f64,
    },
    /// The fastest whole decade.
    Fastest {
        /// When.
        span: Span,
        /// Mean ring width then.
        width: Width,
    },
    /// The slowest ten years running.
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
    /// The last ten years.
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
/// Rings whose growth was finished only. The fastest decade is a whole
/// calendar decade where at least two are whole, else the fastest ten rings
/// running; the slowest stretch is any ten rings running; a change is an event
/// of the reading (Nowacki and Abrams 1997, see `growth::events`); the next
/// size is reckoned with the mean width of the last ten rings on both sides.
/// Our own choice of what to tell; held against random readings in the tests.
#[must_use]
pub fn findings(reading: &Reading, facts: &Facts, units: Units) -> Vec<Finding> {
    let series = Series::of(reading, facts);
    let count = series.rings.len();
    if count == 0 {
        return Vec::new();
    }
    let mut found = Vec::new();
    if count < 2 * TEN {
        let rings = u32::try_from(count).unwrap_or(u32::MAX);
        found.push(Finding::TooFew { rings });
    } else {
        found.extend(fast_and_slow(&series));
        found.extend(change(reading, &series));
    }
    found.extend(last_ten(&series));
    found.extend(next_size(reading, &series, units));
    found
}

/// Start and mean of each run of ten rings.
fn runs_of_ten<'a>(series: &'a Series<'a>) -> impl Iterator<Item = (usize, f64)> + 'a {
    let last = series.rings.len().saturating_sub(TEN);
    (0..=last).map(|from| (from, series.mean(from, TEN)))
}

fn fast_and_slow(series: &Series<'_>) -> Vec<Finding> {
    let slowest = runs_of_ten(series).min_by(|a, b| a.1.total_cmp(&b.1));
    let fastest_run = runs_of_ten(series).max_by(|a, b| a.1.total_cmp(&b.1));
    let (Some(slowest), Some(fastest_run)) = (slowest, fastest_run) else {
        return Vec::new();
    };
    if slowest.1 > 0.0 && fastest_run.1 < slowest.1 * EVEN_RATIO {
        let percent = 100.0 * (fastest_run.1 / slowest.1 - 1.0);
        return vec![Finding::Even { percent }];
    }
    let decades: Vec<(usize, f64)> = runs_of_ten(series)
        .filter(|(from, _)| {
            let year = series.rings.get(*from).and_then(|ring| ring.year);
            year.is_some_and(|year| year.0.rem_euclid(TEN as i32) == 0)
        })
        .collect();
    let fastest = if decades.len() >= 2 {
        decades.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))
    } else {
        Some(fastest_run)
    };
    let told = |(from, mean): (usize, f64)| {
        let span = Span::of(series.rings.get(from..from + TEN)?)?;
        Some((span, series.width(mean)))
    };
    let mut found = Vec::new();
    if let Some((span, width)) = fastest.and_then(told) {
        found.push(Finding::Fastest { span, width });
    }
    if let Some((span, width)) = told(slowest) {
        found.push(Finding::Slowest { span, width });
    }
    found
}

/// The strongest change of the reading, told by the widths on either side.
fn change(reading: &Reading, series: &Series<'_>) -> Option<Finding> {
    reading
        .events
        .iter()
        .filter_map(|event| {
            let at = series.rings.iter().position(|r| r.number == event.ring)?;
            let from = (at + 1).checked_sub(TEN)?;
            if at + 1 + TEN > series.rings.len() {
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
    let mean = series.mean(from, TEN);
    let before = from
        .checked_sub(TEN)
        .map(|earlier| series.mean(earlier, TEN))
        .filter(|before| *before > 0.0);
    Some(Finding::LastTen {
        span: Span::of(series.rings.get(from..)?)?,
        width: series.width(mean),
        against_before: before.map(|before| 100.0 * (mean / before - 1.0)),
    })
}

fn next_size(reading: &Reading, series: &Series<'_>, units: Units) -> Option<Finding> {
    /// Steps of round sizes, and how near the next may be to be worth telling. Chosen.
    const STEP_IN: f64 = 2.0;
    const STEP_MM: f64 = 50.0;
    const NEAREST: f64 = 0.25;
    /// A longer forecast from ten years of growth says nothing. Chosen.
    const MOST_YEARS: f64 = 60.0;
    if reading.scope == Some(Scope::RingsInView) {
        return None;
    }
    let now = reading.rings.last()?.radius_mm? * 2.0;
    let Width::Measured(width) =
        series.width(series.mean(series.rings.len().checked_sub(TEN)?, TEN))
    else {
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
