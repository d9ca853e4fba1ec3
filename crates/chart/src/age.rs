//! The age as a distribution: how likely each is.

use super::axis::{round_step, tick_text, ticks_to};
use super::palette::{GROWTH, INK, SOFT_INK};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size, TOP};
use crate::ChartError;
use growth::age_chances;
use wood::Age;

/// Most steps on the axis of chances.
const MOST_STEPS: f64 = 5.0;

/// Least distance of two labels, in pixels.
const LEAST_LABEL_GAP_PX: f64 = 56.0;

/// Ages less likely than this are not drawn: 1 in 1000. Chosen.
const LEAST_CHANCE: f64 = 0.001;

/// Widest bar, so that a certain age does not fill the sheet.
const WIDEST_BAR_PX: f64 = 60.0;

/// A chart of how likely each age in whole years is, from the age's parts: SVG
/// text, 1000 by 470 CSS pixels. Dark within the age's range; the best value
/// is named.
///
/// # Errors
/// [`ChartError::NothingToDraw`] for an age without parts.
pub fn age_svg(age: &Age) -> Result<String, ChartError> {
    let chances: Vec<(u32, f64)> = age_chances(&age.parts)
        .into_iter()
        .filter(|(_, chance)| *chance >= LEAST_CHANCE)
        .collect();
    let (Some(first), Some(last)) = (chances.first(), chances.last()) else {
        return Err(ChartError::NothingToDraw);
    };
    let (first, last) = (first.0, last.0);
    let unit = "chance in percent";
    Sheet::svg(Size::Full, "How likely each age is", unit, |sheet| {
        let highest = 100.0
            * chances
                .iter()
                .map(|(_, chance)| *chance)
                .fold(0.0, f64::max);
        let step = round_step(highest, MOST_STEPS);
        let ticks = ticks_to(highest * 1.08, step);
        let top = ticks.last().copied().unwrap_or(1.0);
        let y = |chance: f64| sheet.foot() - 100.0 * chance / top * (sheet.foot() - TOP);
        for tick in &ticks {
            sheet.rule(
                sheet.foot() - tick / top * (sheet.foot() - TOP),
                &tick_text(*tick, step),
            )?;
        }
        let years = f64::from(last - first + 1);
        let bar = ((sheet.right() - LEFT) / years).min(WIDEST_BAR_PX);
        // Few bars stand in the middle of the sheet.
        let start = (LEFT + sheet.right() - bar * years) / 2.0;
        let left = |year: u32| start + bar * f64::from(year - first);
        for (year, chance) in &chances {
            let inside = (age.low..=age.high).contains(year);
            let fill = if inside { GROWTH[3] } else { GROWTH[0] };
            let gap = bar * 0.08;
            let (from, to) = (left(*year) + gap, left(*year) + bar - gap);
            sheet.rectangle((from, y(*chance)), (to, sheet.foot()), fill)?;
            if !inside && bar > 5.0 {
                let foot = sheet.foot();
                let outline = [
                    (from, foot),
                    (from, y(*chance)),
                    (to, y(*chance)),
                    (to, foot),
                ];
                sheet.line(&outline, 0.8, INK)?;
            }
        }
        sheet.line(
            &[(LEFT, sheet.foot()), (sheet.right(), sheet.foot())],
            1.5,
            INK,
        )?;
        let most = (sheet.right() - LEFT) / LEAST_LABEL_GAP_PX;
        let step = round_step(years, most).max(1.0) as u32;
        for year in (first..=last).filter(|year| year.is_multiple_of(step)) {
            let x = left(year) + bar / 2.0;
            sheet.line(&[(x, sheet.foot()), (x, sheet.foot() + 5.0)], 1.5, INK)?;
            let at = (x, sheet.foot() + 19.0);
            sheet.text(at, LABEL_PX, INK, Anchor::Middle, &year.to_string())?;
        }
        let at = (sheet.right(), sheet.foot() + 43.0);
        sheet.text(at, LABEL_PX, SOFT_INK, Anchor::End, "age in years")?;
        sheet.caption(&caption(age))
    })
}

fn caption(age: &Age) -> [String; 2] {
    let range = if age.low == age.high {
        format!("The best value is {}.", age.best)
    } else {
        format!(
            "The best value is {}; dark bars are the range, {} to {}.",
            age.best, age.low, age.high
        )
    };
    [
        range,
        "Estimated from the range of each part of the age, taken as independent.".to_owned(),
    ]
}
