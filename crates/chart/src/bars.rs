//! One bar a ring, from pith to bark: what charts over rings share.

use super::axis::{round_step, tick_text, ticks_to};
use super::palette::{GROWTH, INK, SOFT_INK};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, TOP};
use crate::ChartError;
use wood::{Ring, RingNote};

/// Most steps on the axis of values. Chosen: a sparse grid.
const MOST_STEPS: f64 = 5.0;

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

/// How far below the foot each tenth ring has its dots.
const DOTS_BELOW_PX: f64 = 10.0;

/// Whether every ring has its year.
pub(crate) fn are_dated(rings: &[Ring]) -> bool {
    rings.iter().all(|ring| ring.year.is_some())
}

/// How places follow from ring index and shown value.
pub(crate) struct Plot {
    bar: f64,
    per_unit: f64,
    right: f64,
    foot: f64,
}

impl Plot {
    /// A plot of `count` bars up to `highest`, with the rules of its grid drawn.
    pub(crate) fn ruled(sheet: &Sheet<'_>, count: usize, highest: f64) -> Result<Self, ChartError> {
        let step = round_step(highest, MOST_STEPS);
        let ticks = ticks_to(highest, step);
        let top = ticks.last().copied().unwrap_or(1.0);
        let plot = Self {
            bar: (sheet.right() - LEFT) / count.max(1) as f64,
            per_unit: (sheet.foot() - TOP) / top,
            right: sheet.right(),
            foot: sheet.foot(),
        };
        for tick in &ticks {
            sheet.rule(plot.y(*tick), &tick_text(*tick, step))?;
        }
        Ok(plot)
    }

    pub(crate) fn left(&self, index: usize) -> f64 {
        LEFT + self.bar * index as f64
    }

    pub(crate) fn middle(&self, index: usize) -> f64 {
        self.left(index) + self.bar / 2.0
    }

    pub(crate) fn y(&self, value: f64) -> f64 {
        self.foot - value * self.per_unit
    }

    /// The axis with its years or ring numbers, and the dots of the tenth rings.
    pub(crate) fn draw_base(&self, sheet: &Sheet<'_>, rings: &[Ring]) -> Result<(), ChartError> {
        sheet.line(&[(LEFT, self.foot), (self.right, self.foot)], 1.5, INK)?;
        self.draw_places(sheet, rings)?;
        self.draw_tenth_rings(sheet, rings)
    }

    /// Draws one bar a ring; whether any is doubtful.
    pub(crate) fn draw_bars(
        &self,
        sheet: &Sheet<'_>,
        rings: &[Ring],
        values: &[f64],
    ) -> Result<bool, ChartError> {
        let gap = if self.bar >= BAR_WITH_GAP_PX {
            (self.bar * 0.16).min(8.0)
        } else {
            0.0
        };
        let sides = |index: usize| {
            (
                self.left(index) + gap / 2.0,
                self.left(index + 1) - gap / 2.0,
            )
        };
        // Narrow bars side by side would show seams: they are one shape.
        if gap <= 0.0 {
            let mut skyline = vec![(LEFT, self.foot)];
            for (index, value) in values.iter().enumerate() {
                let (left, right) = sides(index);
                skyline.extend([(left, self.y(*value)), (right, self.y(*value))]);
            }
            skyline.push((self.right, self.foot));
            sheet.shape(&skyline, GROWTH[2])?;
        }
        let mut any_doubtful = false;
        for (index, (ring, value)) in rings.iter().zip(values).enumerate() {
            let doubtful = ring.confidence < DOUBTFUL || ring.notes.contains(&RingNote::Doubtful);
            any_doubtful |= doubtful;
            if doubtful || gap > 0.0 {
                let (left, right) = sides(index);
                let fill = if doubtful { GROWTH[0] } else { GROWTH[2] };
                let top = self.y(*value);
                sheet.rectangle((left, top), (right, self.foot), fill)?;
                if doubtful && gap > 0.0 {
                    let outline = [
                        (left, self.foot),
                        (left, top),
                        (right, top),
                        (right, self.foot),
                    ];
                    sheet.line(&outline, 1.0, INK)?;
                }
            }
        }
        Ok(any_doubtful)
    }

    /// Years, or ring numbers, below the bars.
    fn draw_places(&self, sheet: &Sheet<'_>, rings: &[Ring]) -> Result<(), ChartError> {
        let dated = are_dated(rings);
        let most = (self.right - LEFT) / LEAST_LABEL_GAP_PX;
        let step = round_step(rings.len() as f64, most).max(1.0) as i64;
        for (index, ring) in rings.iter().enumerate() {
            let number = match (dated, ring.year) {
                (true, Some(year)) => i64::from(year.0),
                _ => i64::from(ring.number),
            };
            if number % step == 0 {
                let x = self.middle(index);
                sheet.line(&[(x, self.foot), (x, self.foot + 5.0)], 1.5, INK)?;
                sheet.text(
                    (x, self.foot + 29.0),
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
        sheet.text(
            (self.right, self.foot + 51.0),
            LABEL_PX,
            SOFT_INK,
            Anchor::End,
            axis,
        )
    }

    /// The dots of the trade: one at each tenth ring, two at 50, three at 100.
    fn draw_tenth_rings(&self, sheet: &Sheet<'_>, rings: &[Ring]) -> Result<(), ChartError> {
        for (index, ring) in rings.iter().enumerate().filter(|(_, ring)| ring.number > 0) {
            let dots = match ring.number {
                n if n % 100 == 0 => 3,
                n if n % 50 == 0 => 2,
                n if n % 10 == 0 => 1,
                _ => continue,
            };
            // The dots of the outermost ring stay within the self.
            let half = DOT_PITCH_PX * f64::from(dots - 1) / 2.0;
            let middle = self.middle(index).clamp(LEFT + half, self.right - half);
            for dot in 0..dots {
                let x = middle - half + DOT_PITCH_PX * f64::from(dot);
                sheet.dot((x, self.foot + DOTS_BELOW_PX), 2.2, INK)?;
            }
        }
        Ok(())
    }
}
