//! Ring by ring: one bar a year.

use super::bars::{Plot, are_dated};
use super::palette::INK;
use super::sheet::{Sheet, Size, TOP};
use crate::rings::{Widths, mean, widths};
use crate::{GrowthError, TrendKind, age_trend};
use wood::{Mm, Ring, Units};

/// A chart of the width of each ring, pith on the left, over years when all
/// rings are dated, else over ring numbers: SVG text, 1000 by 470 CSS pixels.
///
/// Widths in inches or millimetres; without a scale, relative to the mean.
/// A line shows the tree's own age trend where there is one, and each tenth
/// ring has the dots of the trade (two at 50, three at 100).
///
/// # Errors
/// [`GrowthError::NothingToDraw`] without rings.
pub fn increments_svg(rings: &[Ring], units: Units) -> Result<String, GrowthError> {
    increments_svg_sized(rings, units, Size::Full)
}

/// [`increments_svg`] at a size of choice.
///
/// # Errors
/// [`GrowthError::NothingToDraw`] without rings.
pub fn increments_svg_sized(
    rings: &[Ring],
    units: Units,
    size: Size,
) -> Result<String, GrowthError> {
    if rings.is_empty() {
        return Err(GrowthError::NothingToDraw);
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
        sheet.caption(&caption(rings.len(), trend, doubtful))
    })
}

/// What to multiply widths with, and what the axis is then in.
fn shown_in(measured: &Widths, units: Units) -> (f64, &'static str) {
    match (measured.in_mm, units) {
        (true, Units::Metric) => (1.0, "millimetres"),
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
fn draw_trend(sheet: &Sheet<'_>, plot: &Plot, values: &[f64]) -> Result<bool, GrowthError> {
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

fn caption(count: usize, trend: bool, doubtful: bool) -> [String; 2] {
    let mut first = "One bar a ring, from the pith to the bark.".to_owned();
    if trend {
        first.push_str(" The line is what this tree's own age would lead one to expect.");
    }
    let mut second = String::new();
    second.push_str(match count {
        0..10 => "",
        10..50 => "Dots: each 10th ring from the pith. ",
        50..100 => "Dots: each 10th ring from the pith, two at the 50th. ",
        _ => "Dots: each 10th ring from the pith, two at each 50th, three at each 100th. ",
    });
    if doubtful {
        second.push_str("Pale bars: rings to look at again.");
    }
    [first, second]
}
