//! Good and bad years of a woodlot: one bar a year, up or down from normal.

use super::axis::{round_step, tick_text};
use super::palette::{INK, PAPER, RULE, SOFT_INK, growth};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size, TOP};
use crate::ChartError;
use growth::series::percent_growth_change;
use wood::Year;

/// Right end and foot of the plot on a sheet of 1000 by 470.
const RIGHT: f64 = 964.0;
const FOOT: f64 = 356.0;

/// Foot of the bars; below them stands how many stumps carry each year.
const BARS_FOOT: f64 = 296.0;

/// Top of the strip that shows the number of stumps.
const STRIP_TOP: f64 = 316.0;

/// Least distance of two labels on the axis of years, in pixels.
const LEAST_LABEL_GAP_PX: f64 = 62.0;

/// Least distance of two numbers of remembered things, in pixels.
const LEAST_NUMBER_GAP_PX: f64 = 16.0;

/// How far from 1 the axis reaches at least, so that quiet years look quiet.
const LEAST_REACH: f64 = 0.5;

/// Years before and after something remembered that a stroke covers.
const AROUND_YEARS: i32 = 10;

/// Letters that fit on a line of the caption.
const CAPTION_LETTERS: usize = 132;

/// One year of a woodlot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearBar {
    /// The year.
    pub year: Year,
    /// Mean ring width against the trees' own age trends; 1 is as expected.
    pub against_trend: f64,
    /// Stumps that carry the year.
    pub stumps: usize,
}

/// Something that is remembered of a woodlot.
#[derive(Debug, Clone, PartialEq)]
pub struct RememberedYear {
    /// The year.
    pub year: Year,
    /// What happened, in the person's words.
    pub what: String,
    /// Mean of the ten years before it, as in [`YearBar::against_trend`];
    /// `None` where too few years are known.
    pub before: Option<f64>,
    /// Mean of the ten years after it.
    pub after: Option<f64>,
}

/// A chart of good and bad years, oldest on the left: SVG text, 1000 by 470
/// CSS pixels. Years in order; below them how many stumps carry each;
/// remembered things as numbered lines, named in the caption, with the mean of
/// the ten years before and after as a heavy stroke on either side.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without years.
pub fn years_svg(years: &[YearBar], remembered: &[RememberedYear]) -> Result<String, ChartError> {
    let (Some(first), Some(last)) = (years.first(), years.last()) else {
        return Err(ChartError::NothingToDraw);
    };
    let plot = Plot::of(years, first.year.0, last.year.0);
    let unit = "mean ring width for the trees' age (1 = normal)";
    Sheet::svg(Size::Full, "Good and bad years", unit, |sheet| {
        draw_grid(sheet, &plot)?;
        for bar in years {
            draw_bar(sheet, &plot, bar)?;
        }
        draw_counts(sheet, &plot, years)?;
        draw_places(sheet, &plot)?;
        let named = draw_remembered(sheet, &plot, remembered)?;
        // Last, or a stroke beside it would cut into it.
        sheet.line(&[(LEFT, plot.y(1.0)), (RIGHT, plot.y(1.0))], 1.5, INK)?;
        sheet.caption(&caption(&named))
    })
}

/// How places follow from years and values.
struct Plot {
    first: i32,
    last: i32,
    per_year: f64,
    reach: f64,
    most_stumps: usize,
}

impl Plot {
    fn of(years: &[YearBar], first: i32, last: i32) -> Self {
        let furthest = years
            .iter()
            .map(|bar| (bar.against_trend - 1.0).abs())
            .fold(LEAST_REACH, f64::max);
        Self {
            first,
            last,
            per_year: (RIGHT - LEFT) / f64::from(last.saturating_sub(first).max(0) + 1),
            // A ratio cannot be below 0, and more than twice the usual is drawn as twice.
            reach: furthest.min(1.0),
            most_stumps: years.iter().map(|bar| bar.stumps).max().unwrap_or(1).max(1),
        }
    }

    fn x(&self, year: i32) -> f64 {
        LEFT + self.per_year * f64::from(year.saturating_sub(self.first))
    }

    fn middle(&self, year: i32) -> f64 {
        self.x(year) + self.per_year / 2.0
    }

    fn y(&self, value: f64) -> f64 {
        let share = ((value - 1.0) / self.reach).clamp(-1.0, 1.0);
        (TOP + BARS_FOOT) / 2.0 - share * (BARS_FOOT - TOP) / 2.0
    }
}

fn draw_grid(sheet: &Sheet<'_>, plot: &Plot) -> Result<(), ChartError> {
    let step = round_step(plot.reach, 2.0);
    let count = (plot.reach / step + 1e-9).floor() as i32;
    for index in -count..=count {
        let value = 1.0 + f64::from(index) * step;
        sheet.rule(plot.y(value), &tick_text(value, step))?;
    }
    Ok(())
}

fn draw_bar(sheet: &Sheet<'_>, plot: &Plot, bar: &YearBar) -> Result<(), ChartError> {
    let gap = if plot.per_year >= 5.0 {
        plot.per_year * 0.16
    } else {
        0.0
    };
    let (from, to) = (
        plot.x(bar.year.0) + gap / 2.0,
        plot.x(bar.year.0 + 1) - gap / 2.0,
    );
    let (top, foot) = (
        plot.y(bar.against_trend.max(1.0)),
        plot.y(bar.against_trend.min(1.0)),
    );
    sheet.rectangle((from, top), (to, foot), growth(bar.against_trend))?;
    if gap > 0.0 {
        let outline = [
            (from, foot),
            (from, top),
            (to, top),
            (to, foot),
            (from, foot),
        ];
        sheet.line(&outline, 0.5, INK)?;
    }
    Ok(())
}

/// The strip that shows by how many stumps each year is carried.
fn draw_counts(sheet: &Sheet<'_>, plot: &Plot, years: &[YearBar]) -> Result<(), ChartError> {
    let height =
        |stumps: usize| FOOT - (FOOT - STRIP_TOP) * stumps as f64 / plot.most_stumps as f64;
    let mut skyline = vec![(LEFT, FOOT)];
    let mut next = plot.first;
    for bar in years {
        if bar.year.0 != next {
            // Years that no stump carries.
            skyline.extend([(plot.x(next), FOOT), (plot.x(bar.year.0), FOOT)]);
        }
        next = bar.year.0.saturating_add(1);
        let y = height(bar.stumps);
        skyline.extend([(plot.x(bar.year.0), y), (plot.x(bar.year.0 + 1), y)]);
    }
    skyline.push((RIGHT, FOOT));
    sheet.shape(&skyline, RULE)?;
    sheet.line(&[(LEFT, FOOT), (RIGHT, FOOT)], 1.5, INK)?;
    let most = plot.most_stumps.to_string();
    sheet.text(
        (LEFT - 10.0, STRIP_TOP),
        LABEL_PX,
        SOFT_INK,
        Anchor::End,
        &most,
    )?;
    sheet.text(
        (LEFT + 6.0, STRIP_TOP - 2.0),
        15.0,
        SOFT_INK,
        Anchor::Start,
        "stumps",
    )
}

fn draw_places(sheet: &Sheet<'_>, plot: &Plot) -> Result<(), ChartError> {
    let step = [1, 2, 5, 10, 20, 50, 100, 200, 500]
        .into_iter()
        .find(|step| plot.per_year * f64::from(*step) >= LEAST_LABEL_GAP_PX)
        .unwrap_or(1000);
    for year in (plot.first..=plot.last).filter(|year| year.rem_euclid(step) == 0) {
        let x = plot.middle(year);
        sheet.line(&[(x, FOOT), (x, FOOT + 5.0)], 1.5, INK)?;
        sheet.text(
            (x, FOOT + 19.0),
            LABEL_PX,
            INK,
            Anchor::Middle,
            &year.to_string(),
        )?;
    }
    sheet.text(
        (RIGHT, FOOT + 41.0),
        LABEL_PX,
        SOFT_INK,
        Anchor::End,
        "year",
    )
}

/// Draws numbered lines; what the numbers stand for. Numbers that would touch
/// stand on two levels; the lines themselves may be near each other.
fn draw_remembered(
    sheet: &Sheet<'_>,
    plot: &Plot,
    remembered: &[RememberedYear],
) -> Result<Vec<String>, ChartError> {
    let mut named = Vec::new();
    let mut before = [f64::MIN; 2];
    for one in remembered {
        if !(plot.first..=plot.last).contains(&one.year.0) {
            continue;
        }
        let number = named.len() + 1;
        let x = plot.middle(one.year.0);
        let level = usize::from(x - before[0] < LEAST_NUMBER_GAP_PX);
        let y = TOP - 8.0 - 15.0 * level as f64;
        before[level] = x;
        sheet.line(&[(x, y + 8.0), (x, BARS_FOOT)], 1.0, SOFT_INK)?;
        draw_around(sheet, plot, one)?;
        sheet.text((x, y), 15.0, INK, Anchor::Middle, &number.to_string())?;
        let change = one
            .before
            .zip(one.after)
            .and_then(|(before, after)| percent_growth_change(before, after))
            .map_or(String::new(), |change| format!(", {change:+.0} %"));
        named.push(format!("{number}: {} ({}{change})", one.what, one.year));
    }
    Ok(named)
}

/// The means of the ten years before and after, as strokes that end at the
/// year's own line; on paper of their own, so that they show on bars too.
fn draw_around(sheet: &Sheet<'_>, plot: &Plot, one: &RememberedYear) -> Result<(), ChartError> {
    let year = one.year.0;
    let x = plot.middle(year);
    let from = plot.x(year.saturating_sub(AROUND_YEARS).max(plot.first));
    let to = plot.x(year
        .saturating_add(AROUND_YEARS)
        .min(plot.last)
        .saturating_add(1));
    for (mean, ends) in [(one.before, (from, x)), (one.after, (x, to))] {
        if let Some(mean) = mean {
            let y = plot.y(mean);
            sheet.line(&[(ends.0, y), (ends.1, y)], 5.0, PAPER)?;
            sheet.line(&[(ends.0, y), (ends.1, y)], 2.5, INK)?;
        }
    }
    Ok(())
}

fn caption(named: &[String]) -> [String; 2] {
    let bars =
        "Each bar: how much wider or narrower than normal that year's rings were, over all stumps.";
    let strokes = if named.is_empty() {
        ""
    } else {
        " Strokes: ten years before and after."
    };
    let mut second = String::new();
    for (index, one) in named.iter().enumerate() {
        let gap = if index == 0 { "" } else { " \u{b7} " };
        let longer = second.chars().count() + gap.chars().count() + one.chars().count();
        if longer > CAPTION_LETTERS {
            second.push_str(" \u{b7} \u{2026}");
            break;
        }
        second.push_str(gap);
        second.push_str(one);
    }
    [format!("{bars}{strokes}"), second]
}
