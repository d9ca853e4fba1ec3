//! Ten years at a time: one bar a decade.

use super::axis::{round_step, tick_text, ticks_to};
use super::palette::{GROWTH, GROWTH_LIMITS, INK, PAPER, RULE, SOFT_INK, growth};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size, TOP};
use crate::ChartError;
use wood::{Decade, Units};

/// Most steps on the axis of widths.
const MOST_STEPS: f64 = 5.0;

/// Least distance of two labels below the bars, in pixels.
const LEAST_YEAR_GAP_PX: f64 = 60.0;
const LEAST_RINGS_GAP_PX: f64 = 84.0;

/// From this width on a bar carries its number.
const BAR_WITH_NUMBER_PX: f64 = 44.0;

/// Widest bar: one lone decade should not fill the sheet.
const WIDEST_BAR_PX: f64 = 180.0;

/// Rings in a whole decade.
const TEN: u32 = 10;

/// A chart of growth by decade, oldest on the left: SVG text, 1000 by 470 CSS
/// pixels.
///
/// Bar height: mean ring width in millimeters, or the inches of radius that
/// ten such rings make; without a scale, growth against the tree's own age
/// trend. Color: growth against that trend, in five steps with a key. A
/// decade with fewer than ten rings is drawn narrower.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without decades.
pub fn decades_svg(decades: &[Decade], units: Units) -> Result<String, ChartError> {
    if decades.is_empty() {
        return Err(ChartError::NothingToDraw);
    }
    let scale = Scale::of(decades, units);
    let values: Vec<f64> = decades.iter().map(|decade| scale.value(decade)).collect();
    Sheet::svg(Size::Full, "Growth by decade", scale.unit(), |sheet| {
        let highest = values.iter().copied().fold(0.0, f64::max);
        let step = round_step(highest, MOST_STEPS);
        let ticks = ticks_to(highest * 1.06, step);
        let top = ticks.last().copied().unwrap_or(1.0);
        let y = |value: f64| sheet.foot() - value / top * (sheet.foot() - TOP);
        for tick in &ticks {
            sheet.rule(y(*tick), &tick_text(*tick, step))?;
        }
        let pitch = ((sheet.right() - LEFT) / decades.len() as f64).min(WIDEST_BAR_PX);
        for (index, (decade, value)) in decades.iter().zip(&values).enumerate() {
            let left = LEFT + pitch * index as f64;
            draw_bar(sheet, decade, (left, pitch), y(*value))?;
            if pitch >= BAR_WITH_NUMBER_PX {
                let (x, y) = (left + pitch / 2.0, y(*value) - 12.0);
                let number = scale.number(*value);
                // No rule of the scale may run through a number.
                let half = number.len() as f64 * 5.0 + 3.0;
                sheet.rectangle((x - half, y - 11.0), (x + half, y + 9.0), PAPER)?;
                sheet.text((x, y), LABEL_PX, INK, Anchor::Middle, &number)?;
            }
        }
        sheet.line(
            &[(LEFT, sheet.foot()), (sheet.right(), sheet.foot())],
            1.5,
            INK,
        )?;
        draw_places(sheet, decades, pitch)?;
        draw_key(sheet)?;
        sheet.caption(&caption(decades, scale))
    })
}

/// What the height of a bar is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Scale {
    Millimeters,
    InchesInTenYears,
    AgainstTrend,
}

impl Scale {
    fn of(decades: &[Decade], units: Units) -> Self {
        match units {
            _ if decades.iter().any(|d| d.mean_width_mm.is_none()) => Self::AgainstTrend,
            Units::Metric => Self::Millimeters,
            Units::Inch => Self::InchesInTenYears,
        }
    }

    fn value(self, decade: &Decade) -> f64 {
        let value = match self {
            Self::Millimeters => decade.mean_width_mm.map(|w| w.0),
            Self::InchesInTenYears => decade.mean_width_mm.map(|w| w.inches() * f64::from(TEN)),
            Self::AgainstTrend => decade.against_trend,
        };
        value.filter(|v| v.is_finite() && *v > 0.0).unwrap_or(0.0)
    }

    fn unit(self) -> &'static str {
        match self {
            Self::Millimeters => "mean ring width, millimeters",
            Self::InchesInTenYears => "inches of radius in ten years",
            Self::AgainstTrend => "ring width for the tree's age (1 = normal)",
        }
    }

    fn number(self, value: f64) -> String {
        match self {
            Self::Millimeters if value >= 10.0 => format!("{value:.0}"),
            Self::Millimeters => format!("{value:.1}"),
            Self::InchesInTenYears | Self::AgainstTrend => format!("{value:.2}"),
        }
    }
}

fn draw_bar(
    sheet: &Sheet<'_>,
    decade: &Decade,
    (left, pitch): (f64, f64),
    top: f64,
) -> Result<(), ChartError> {
    let fill = decade.against_trend.map_or(RULE, growth);
    let share = f64::from(decade.rings.min(TEN)) / f64::from(TEN);
    let width = (pitch * 0.84 * share).max(pitch * 0.2);
    let middle = left + pitch / 2.0;
    let (from, to) = (middle - width / 2.0, middle + width / 2.0);
    sheet.rectangle((from, top), (to, sheet.foot()), fill)?;
    let outline = [
        (from, sheet.foot()),
        (from, top),
        (to, top),
        (to, sheet.foot()),
    ];
    sheet.line(&outline, 1.0, INK)
}

/// Decades below the bars, as many as there is room for, at round ones.
fn draw_places(sheet: &Sheet<'_>, decades: &[Decade], pitch: f64) -> Result<(), ChartError> {
    let dated = decades.iter().all(|d| d.from_year.is_some());
    let least = if dated {
        LEAST_YEAR_GAP_PX
    } else {
        LEAST_RINGS_GAP_PX
    };
    let step = [1, 2, 5, 10, 20, 50]
        .into_iter()
        .find(|step| pitch * f64::from(*step) >= least)
        .unwrap_or(100);
    for (index, decade) in decades.iter().enumerate() {
        let (ordinal, label) = match decade.from_year {
            Some(year) if dated => (year.0.div_euclid(10), format!("{year}s")),
            _ => {
                let last = decade.first_ring + decade.rings.saturating_sub(1);
                let ordinal = (decade.first_ring.saturating_sub(1) / TEN) as i32;
                (ordinal, format!("{}\u{2013}{last}", decade.first_ring))
            }
        };
        if ordinal.rem_euclid(step) == 0 {
            let x = LEFT + pitch * (index as f64 + 0.5);
            sheet.line(&[(x, sheet.foot()), (x, sheet.foot() + 5.0)], 1.5, INK)?;
            sheet.text(
                (x, sheet.foot() + 19.0),
                LABEL_PX,
                INK,
                Anchor::Middle,
                &label,
            )?;
        }
    }
    let axis = if dated {
        "decade"
    } else {
        "rings, counted from the pith"
    };
    sheet.text(
        (sheet.right(), sheet.foot() + 41.0),
        LABEL_PX,
        SOFT_INK,
        Anchor::End,
        axis,
    )
}

/// The key of the colors, at the right above the plot.
fn draw_key(sheet: &Sheet<'_>) -> Result<(), ChartError> {
    const SWATCH_PX: f64 = 58.0;
    let y = 30.0;
    let left = sheet.right() - SWATCH_PX * GROWTH.len() as f64;
    for (step, fill) in GROWTH.iter().enumerate() {
        let from = left + SWATCH_PX * step as f64;
        sheet.rectangle((from, y), (from + SWATCH_PX, y + 16.0), *fill)?;
    }
    for (step, limit) in GROWTH_LIMITS.iter().enumerate() {
        let x = left + SWATCH_PX * (step + 1) as f64;
        sheet.text((x, y + 29.0), 15.0, INK, Anchor::Middle, &limit.to_string())?;
    }
    let named = [
        (left - 10.0, y + 7.0, Anchor::End, "growth for its age"),
        (left, y + 29.0, Anchor::Start, "slow"),
        (sheet.right(), y + 29.0, Anchor::End, "fast"),
    ];
    for (x, y, anchor, text) in named {
        sheet.text((x, y), 15.0, INK, anchor, text)?;
    }
    Ok(())
}

fn caption(decades: &[Decade], scale: Scale) -> [String; 2] {
    let height = match scale {
        Scale::Millimeters => "Height: the mean width of the decade's rings.",
        Scale::InchesInTenYears => {
            "Height: how many inches of radius ten rings of the decade's mean width make."
        }
        Scale::AgainstTrend => {
            "Height and color: ring width compared with this tree's own age trend."
        }
    };
    let color = match scale {
        Scale::AgainstTrend => "",
        Scale::Millimeters | Scale::InchesInTenYears => {
            "Color: compared with this tree's own age trend (1 = normal for its age). "
        }
    };
    let part = if decades.iter().any(|d| d.rings < TEN) {
        "A narrow bar holds fewer than ten rings."
    } else {
        ""
    };
    [height.to_owned(), format!("{color}{part}")]
}
