//! Growth compared with the tree's own age trend: good and poor years.

use super::axis::{round_step, tick_text};
use super::bars::{Plot, are_dated};
use super::palette::{GROWTH, INK};
use super::sheet::{LEFT, Sheet, Size};
use crate::ChartError;
use growth::age_trend;
use growth::widths;
use wood::Ring;
use wood::stats::mean;

/// Rings in the smoothed line. Chosen: a decade.
const SMOOTHED: usize = 11;

/// A ring this many times as wide as expected reaches the top of the plot.
/// Chosen: beyond it the number matters no more.
const HIGHEST: f64 = 4.0;

/// A chart of each ring's width over the width that the tree's own age would
/// lead one to expect, pith on the left: SVG text, 1000 by 470 CSS pixels. The
/// line is the mean of eleven rings. Needs no scale.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn against_trend_svg(rings: &[Ring]) -> Result<String, ChartError> {
    if rings.is_empty() {
        return Err(ChartError::NothingToDraw);
    }
    let measured = widths(rings).values;
    let expected = age_trend(&measured).expected;
    let values: Vec<f64> = measured
        .iter()
        .zip(&expected)
        .map(|(width, expected)| {
            if *expected > 0.0 {
                (width / expected).min(HIGHEST)
            } else {
                0.0
            }
        })
        .collect();
    let title = if are_dated(rings) {
        "Good and poor years"
    } else {
        "Good and poor rings"
    };
    let unit = "ring width for the tree's age (1 = normal)";
    Sheet::svg(Size::Full, title, unit, |sheet| {
        let highest = values.iter().copied().fold(1.0, f64::max);
        let plot = Plot::ruled(sheet, rings.len(), highest)?;
        draw_departures(sheet, &plot, &values)?;
        let smooth = smoothed(&values);
        let line: Vec<(f64, f64)> = smooth
            .iter()
            .enumerate()
            .map(|(index, value)| (plot.middle(index), plot.y(*value)))
            .collect();
        sheet.line(&line, 2.2, INK)?;
        let one = plot.y(1.0);
        sheet.line(&[(LEFT, one), (sheet.right(), one)], 1.2, INK)?;
        name_one(sheet, one, highest)?;
        plot.draw_base(sheet, rings)?;
        sheet.caption(&[
            "Dark, above the line at 1: wider than normal for this tree at that age. Pale, below it: \
             narrower."
                .to_owned(),
            "The heavy line is the mean of eleven rings.".to_owned(),
        ])
    })
}

/// Fills what is between each ring's value and 1, dark above and pale below.
fn draw_departures(sheet: &Sheet<'_>, plot: &Plot, values: &[f64]) -> Result<(), ChartError> {
    let one = plot.y(1.0);
    for (keep_above, fill) in [(true, GROWTH[3]), (false, GROWTH[0])] {
        let mut skyline = vec![(plot.left(0), one)];
        for (index, value) in values.iter().enumerate() {
            let kept = if keep_above {
                value.max(1.0)
            } else {
                value.min(1.0)
            };
            let y = plot.y(kept);
            skyline.extend([(plot.left(index), y), (plot.left(index + 1), y)]);
        }
        skyline.push((plot.left(values.len()), one));
        sheet.shape(&skyline, fill)?;
        // Pale fill on pale paper needs its edge.
        if !keep_above {
            sheet.line(&skyline, 0.8, INK)?;
        }
    }
    Ok(())
}

/// Writes the 1 at the rule where the grid's own steps leave it out.
fn name_one(sheet: &Sheet<'_>, y: f64, highest: f64) -> Result<(), ChartError> {
    let step = round_step(highest, 5.0);
    let on_grid = ((1.0 / step).round() * step - 1.0).abs() < 1e-9;
    if on_grid {
        return Ok(());
    }
    sheet.rule(y, &tick_text(1.0, 1.0))
}

/// The mean of up to [`SMOOTHED`] rings around each.
fn smoothed(values: &[f64]) -> Vec<f64> {
    let half = SMOOTHED / 2;
    (0..values.len())
        .map(|at| {
            let from = at.saturating_sub(half);
            let to = (at + half + 1).min(values.len());
            values.get(from..to).and_then(mean).unwrap_or(0.0)
        })
        .collect()
}
