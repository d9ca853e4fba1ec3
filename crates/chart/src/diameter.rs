//! How thick the stem was at each age.

use super::axis::{round_step, tick_text, ticks_to};
use super::palette::{GROWTH, INK, SOFT_INK};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size, TOP};
use crate::ChartError;
use wood::{Mm, Ring, Units};

/// Most steps on the axis of diameters.
const MOST_STEPS: f64 = 5.0;

/// Least distance of two ages on their axis, in pixels.
const LEAST_LABEL_GAP_PX: f64 = 62.0;

/// From this many pixels a ring on, each ring has its dot.
const DOTS_FROM_PX: f64 = 20.0;

/// A chart of the diameter inside the bark by age at the height of the cut:
/// SVG text, 1000 by 470 CSS pixels. In inches or centimeters; without a scale
/// as percent of the diameter at the end.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn diameter_svg(rings: &[Ring], units: Units) -> Result<String, ChartError> {
    diameter_svg_sized(rings, units, Size::Full)
}

/// [`diameter_svg`] at a size of choice.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn diameter_svg_sized(rings: &[Ring], units: Units, size: Size) -> Result<String, ChartError> {
    let Some(last) = rings.last() else {
        return Err(ChartError::NothingToDraw);
    };
    let (values, unit) = diameters(rings, last, units);
    Sheet::svg(size, "Diameter by age", unit, |sheet| {
        let highest = values.iter().copied().fold(0.0, f64::max);
        let step = round_step(highest, MOST_STEPS);
        let ticks = ticks_to(highest, step);
        let top = ticks.last().copied().unwrap_or(1.0);
        let y = |value: f64| sheet.foot() - value / top * (sheet.foot() - TOP);
        for tick in &ticks {
            sheet.rule(y(*tick), &tick_text(*tick, step))?;
        }
        let oldest = f64::from(last.number.max(1));
        let x = |age: f64| LEFT + age / oldest * (sheet.right() - LEFT);
        let line: Vec<(f64, f64)> = rings
            .iter()
            .zip(&values)
            .map(|(ring, value)| (x(f64::from(ring.number)), y(*value)))
            .collect();
        draw_growth(sheet, &line, rings)?;
        sheet.line(
            &[(LEFT, sheet.foot()), (sheet.right(), sheet.foot())],
            1.5,
            INK,
        )?;
        draw_ages(sheet, oldest, x)?;
        sheet.caption(&[
            "Mean diameter inside the bark when the stem had so many rings at the height of the \
             cut."
                .to_owned(),
            "Steep where it grew fast.".to_owned(),
        ])
    })
}

/// Diameters and what they are in.
fn diameters(rings: &[Ring], last: &Ring, units: Units) -> (Vec<f64>, &'static str) {
    let sound = |value: f64| {
        if value.is_finite() && value > 0.0 {
            value
        } else {
            0.0
        }
    };
    let measured: Option<Vec<Mm>> = rings
        .iter()
        .map(|ring| ring.radius_mm.map(|radius| radius * 2.0))
        .collect();
    match (measured, units) {
        (Some(mm), Units::Inch) => (
            mm.iter().map(|d| sound(d.inches())).collect(),
            "inches inside the bark",
        ),
        (Some(mm), Units::Metric) => (
            mm.iter().map(|d| sound(d.0 / 10.0)).collect(),
            "centimeters inside the bark",
        ),
        (None, _) => {
            let whole = sound(last.radius_px.0).max(1e-9);
            let shares = rings.iter().map(|r| 100.0 * sound(r.radius_px.0) / whole);
            (
                shares.collect(),
                "percent of the diameter at the end; no scale",
            )
        }
    }
}

/// The area under the line, the line, and dots where there is room.
fn draw_growth(sheet: &Sheet<'_>, line: &[(f64, f64)], rings: &[Ring]) -> Result<(), ChartError> {
    let (Some(first), Some(last)) = (line.first(), line.last()) else {
        return Ok(());
    };
    let mut area = vec![(first.0, sheet.foot())];
    area.extend_from_slice(line);
    area.push((last.0, sheet.foot()));
    sheet.shape(&area, GROWTH[0])?;
    sheet.line(line, 2.2, INK)?;
    let every_ring = (last.0 - LEFT) / rings.len().max(1) as f64 >= DOTS_FROM_PX;
    for (ring, at) in rings.iter().zip(line) {
        if every_ring || ring.number % 10 == 0 {
            sheet.dot(*at, 3.0, INK)?;
        }
    }
    Ok(())
}

/// Ages below the plot.
fn draw_ages(sheet: &Sheet<'_>, oldest: f64, x: impl Fn(f64) -> f64) -> Result<(), ChartError> {
    let most = (sheet.right() - LEFT) / LEAST_LABEL_GAP_PX;
    let step = round_step(oldest, most).max(1.0);
    let mut age = 0.0;
    while age <= oldest {
        let at = (x(age), sheet.foot());
        sheet.line(&[at, (at.0, at.1 + 5.0)], 1.5, INK)?;
        let label = format!("{age:.0}");
        sheet.text((at.0, at.1 + 19.0), LABEL_PX, INK, Anchor::Middle, &label)?;
        age += step;
    }
    let name = "rings at the height of the cut";
    let at = (sheet.right(), sheet.foot() + 43.0);
    sheet.text(at, LABEL_PX, SOFT_INK, Anchor::End, name)
}
