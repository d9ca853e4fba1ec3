//! Ring by ring: one bar a year.

use super::axis::{round_step, tick_text, ticks_to};
use super::palette::{GROWTH, INK, SOFT_INK};
use super::sheet::{Anchor, FOOT, LABEL_PX, LEFT, RIGHT, Sheet, TOP};
use crate::rings::{Widths, mean, widths};
use crate::{GrowthError, TrendKind, age_trend};
use wood::{Mm, Ring, RingNote, Units};

/// Most steps on the axis of widths. Chosen: a sparse grid.
const MOST_WIDTH_STEPS: f64 = 5.0;

/// Least distance of two labels on the axis of years, in pixels: a year and
/// some air.
const LEAST_LABEL_GAP_PX: f64 = 62.0;

/// From this width on, bars stand apart.
const BAR_WITH_GAP_PX: f64 = 5.0;

/// Below this confidence a ring is drawn as doubtful. Chosen: more likely true
/// than not.
const DOUBTFUL: f64 = 0.5;

/// From the middle of one dot to the next.
const DOT_PITCH_PX: f64 = 6.0;

/// Where each tenth ring has its dots.
const DOTS_Y: f64 = FOOT + 10.0;

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
    if rings.is_empty() {
        return Err(GrowthError::NothingToDraw);
    }
    let measured = widths(rings);
    let (factor, unit) = shown_in(&measured, units);
    let values: Vec<f64> = measured.values.iter().map(|w| w * factor).collect();
    let dated = rings.iter().all(|ring| ring.year.is_some());
    let title = if dated {
        "Ring width, year by year"
    } else {
        "Ring width, ring by ring"
    };
    Sheet::svg(title, unit, |sheet| {
        let highest = values.iter().copied().fold(0.0, f64::max);
        let step = round_step(highest, MOST_WIDTH_STEPS);
        let ticks = ticks_to(highest, step);
        let top = ticks.last().copied().unwrap_or(1.0);
        let plot = Plot {
            bar: (RIGHT - LEFT) / rings.len() as f64,
            per_unit: (FOOT - TOP) / top,
        };
        for tick in &ticks {
            sheet.rule(plot.y(*tick), &tick_text(*tick, step))?;
        }
        let doubtful = draw_bars(sheet, &plot, rings, &values)?;
        let trend = draw_trend(sheet, &plot, &values)?;
        sheet.line(&[(LEFT, FOOT), (RIGHT, FOOT)], 1.5, INK)?;
        draw_places(sheet, &plot, rings, dated)?;
        draw_tenth_rings(sheet, &plot, rings)?;
        sheet.caption(&caption(rings.len(), trend, doubtful))
    })
}

/// How places follow from ring index and shown width.
struct Plot {
    bar: f64,
    per_unit: f64,
}

impl Plot {
    fn left(&self, index: usize) -> f64 {
        LEFT + self.bar * index as f64
    }

    fn middle(&self, index: usize) -> f64 {
        self.left(index) + self.bar / 2.0
    }

    fn y(&self, value: f64) -> f64 {
        FOOT - value * self.per_unit
    }
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

/// Draws the bars; whether any is doubtful.
fn draw_bars(
    sheet: &Sheet<'_>,
    plot: &Plot,
    rings: &[Ring],
    values: &[f64],
) -> Result<bool, GrowthError> {
    let gap = if plot.bar >= BAR_WITH_GAP_PX {
        (plot.bar * 0.16).min(8.0)
    } else {
        0.0
    };
    let sides = |index: usize| {
        (
            plot.left(index) + gap / 2.0,
            plot.left(index + 1) - gap / 2.0,
        )
    };
    // Narrow bars side by side would show seams: they are one shape.
    if gap <= 0.0 {
        let mut skyline = vec![(LEFT, FOOT)];
        for (index, value) in values.iter().enumerate() {
            let (left, right) = sides(index);
            skyline.extend([(left, plot.y(*value)), (right, plot.y(*value))]);
        }
        skyline.push((RIGHT, FOOT));
        sheet.shape(&skyline, GROWTH[2])?;
    }
    let mut any_doubtful = false;
    for (index, (ring, value)) in rings.iter().zip(values).enumerate() {
        let doubtful = ring.confidence < DOUBTFUL || ring.notes.contains(&RingNote::Doubtful);
        any_doubtful |= doubtful;
        if doubtful || gap > 0.0 {
            let (left, right) = sides(index);
            let fill = if doubtful { GROWTH[0] } else { GROWTH[2] };
            let top = plot.y(*value);
            sheet.rectangle((left, top), (right, FOOT), fill)?;
            if doubtful && gap > 0.0 {
                let outline = [(left, FOOT), (left, top), (right, top), (right, FOOT)];
                sheet.line(&outline, 1.0, INK)?;
            }
        }
    }
    Ok(any_doubtful)
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

/// Years, or ring numbers, below the bars.
fn draw_places(
    sheet: &Sheet<'_>,
    plot: &Plot,
    rings: &[Ring],
    dated: bool,
) -> Result<(), GrowthError> {
    let most = (RIGHT - LEFT) / LEAST_LABEL_GAP_PX;
    let step = round_step(rings.len() as f64, most).max(1.0) as i64;
    for (index, ring) in rings.iter().enumerate() {
        let number = match (dated, ring.year) {
            (true, Some(year)) => i64::from(year.0),
            _ => i64::from(ring.number),
        };
        if number % step == 0 {
            let x = plot.middle(index);
            sheet.line(&[(x, FOOT), (x, FOOT + 5.0)], 1.5, INK)?;
            sheet.text(
                (x, FOOT + 29.0),
                LABEL_PX,
                INK,
                Anchor::Middle,
                &number.to_string(),
            )?;
        }
    }
    let axis = if dated {
        "year of growth"
    } else {
        "ring, counted from the pith"
    };
    sheet.text((RIGHT, FOOT + 51.0), LABEL_PX, SOFT_INK, Anchor::End, axis)
}

/// The dots of the trade: one at each tenth ring, two at 50, three at 100.
fn draw_tenth_rings(sheet: &Sheet<'_>, plot: &Plot, rings: &[Ring]) -> Result<(), GrowthError> {
    for (index, ring) in rings.iter().enumerate().filter(|(_, ring)| ring.number > 0) {
        let dots = match ring.number {
            n if n % 100 == 0 => 3,
            n if n % 50 == 0 => 2,
            n if n % 10 == 0 => 1,
            _ => continue,
        };
        // The dots of the outermost ring stay within the plot.
        let half = DOT_PITCH_PX * f64::from(dots - 1) / 2.0;
        let middle = plot.middle(index).clamp(LEFT + half, RIGHT - half);
        for dot in 0..dots {
            let x = middle - half + DOT_PITCH_PX * f64::from(dot);
            sheet.dot((x, DOTS_Y), 2.2, INK)?;
        }
    }
    Ok(())
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
