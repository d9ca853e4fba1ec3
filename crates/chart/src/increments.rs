//! Ring by ring: one bar a year.

use super::bars::{Plot, are_dated};
use super::palette::INK;
use super::sheet::{Anchor, LEFT, Sheet, Size, TOP};
use crate::ChartError;
use growth::{TrendKind, Widths, age_trend, widths};
use wood::stats::mean;
use wood::{Mm, Remembered, Ring, Units};

/// A chart of the width of each ring, pith on the left, over years when all
/// rings are dated, else over ring numbers: SVG text, 1000 by 470 CSS pixels.
///
/// Widths in inches or millimeters; without a scale, relative to the mean.
/// A line shows the tree's own age trend where there is one, and each tenth
/// ring has the dots of the trade (two at 50, three at 100).
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn increments_svg(rings: &[Ring], units: Units) -> Result<String, ChartError> {
    increments_svg_with(rings, units, Size::Full, &[])
}

/// [`increments_svg`] at a size of choice, with an upright line at each year
/// that something is remembered of.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn increments_svg_with(
    rings: &[Ring],
    units: Units,
    size: Size,
    remembered: &[Remembered],
) -> Result<String, ChartError> {
    if rings.is_empty() {
        return Err(ChartError::NothingToDraw);
    }
    let measured = widths(rings);
    let (factor, unit) = shown_in(&measured, units);
    let values: Vec<f64> = measured.values.iter().map(|w| w * factor).collect();
    let title = if are_dated(rings) {
        "Ring width, year by year"
    } else {
        "Ring width, ring by ring"
    };
    Sheet::svg(size, title, unit, |sheet| {
        let highest = values.iter().copied().fold(0.0, f64::max);
        let plot = Plot::ruled(sheet, rings.len(), highest)?;
        let doubtful = plot.draw_bars(sheet, rings, &values)?;
        let trend = draw_trend(sheet, &plot, &values)?;
        plot.draw_base(sheet, rings)?;
        draw_remembered(sheet, &plot, rings, remembered)?;
        sheet.caption(&caption(rings.len(), trend, doubtful))
    })
}

/// What to multiply widths with, and what the axis is then in.
fn shown_in(measured: &Widths, units: Units) -> (f64, &'static str) {
    match (measured.in_mm, units) {
        (true, Units::Metric) => (1.0, "millimeters"),
        (true, Units::Inch) => (1.0 / Mm::PER_INCH, "inches"),
        (false, _) => {
            let middle = mean(&measured.values).filter(|m| *m > 0.0).unwrap_or(1.0);
            (
                1.0 / middle,
                "relative width (1 = mean); no scale in the photo",
            )
        }
    }
}

/// Draws the age trend, where it is more than a mean.
fn draw_trend(sheet: &Sheet<'_>, plot: &Plot, values: &[f64]) -> Result<bool, ChartError> {
    let trend = age_trend(values);
    if trend.kind == TrendKind::Mean {
        return Ok(false);
    }
    let line: Vec<(f64, f64)> = trend
        .expected
        .iter()
        .enumerate()
        .map(|(index, width)| (plot.middle(index), plot.y(*width).max(TOP)))
        .collect();
    sheet.line(&line, 2.0, INK)?;
    Ok(true)
}

/// An upright line at each remembered year, with the year above it where there
/// is room.
fn draw_remembered(
    sheet: &Sheet<'_>,
    plot: &Plot,
    rings: &[Ring],
    remembered: &[Remembered],
) -> Result<(), ChartError> {
    /// A year's number in small letters, and some air.
    const LEAST_GAP_PX: f64 = 42.0;
    const YEAR_PX: f64 = 15.0;
    /// The longest unit's text.
    const UNIT_PX: f64 = 330.0;
    let mut years: Vec<_> = remembered.iter().map(|event| event.year).collect();
    years.sort_unstable();
    years.dedup();
    // Two levels; the upper one is free of the unit's text from here on.
    let mut free_from = [f64::MIN, LEFT + UNIT_PX];
    for year in years {
        let Some(index) = rings.iter().position(|ring| ring.year == Some(year)) else {
            continue;
        };
        let x = plot.middle(index);
        sheet.line(&[(x, TOP), (x, sheet.foot())], 1.2, INK)?;
        let at = x.clamp(
            LEFT + LEAST_GAP_PX / 2.0,
            sheet.right() - LEAST_GAP_PX / 2.0,
        );
        let left = at - LEAST_GAP_PX / 2.0;
        let level = free_from.iter().position(|free| left >= *free);
        if let Some((level, free)) = level.and_then(|l| Some((l, free_from.get_mut(l)?))) {
            let text = year.to_string();
            let y = TOP - 9.0 - 16.0 * level as f64;
            sheet.text((at, y), YEAR_PX, INK, Anchor::Middle, &text)?;
            *free = at + LEAST_GAP_PX / 2.0;
        }
    }
    Ok(())
}

fn caption(count: usize, trend: bool, doubtful: bool) -> [String; 2] {
    let mut first = "One bar for each ring, from the pith to the bark.".to_owned();
    if trend {
        first.push_str(" The line is normal growth for this tree at that age.");
    }
    let mut second = String::new();
    second.push_str(match count {
        0..10 => "",
        10..50 => "Dots: each 10th ring from the pith. ",
        50..100 => "Dots: each 10th ring from the pith, two at the 50th. ",
        _ => "Dots: each 10th ring from the pith, two at each 50th, three at each 100th. ",
    });
    if doubtful {
        second.push_str("Pale bars: rings in doubt.");
    }
    [first, second]
}
