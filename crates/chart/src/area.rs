//! Wood added ring by ring: basal area increments.

use super::bars::{Plot, are_dated};
use super::sheet::{Sheet, Size};
use crate::ChartError;
use growth::series::basal_area_increments;
use growth::widths;
use wood::stats::mean;
use wood::{Mm, Ring, Units};

/// A chart of the area each ring added to the cross-section, pith on the left:
/// SVG text, 1000 by 470 CSS pixels.
///
/// In square inches or square centimeters; without a scale, relative to the
/// mean. Rings are taken as round, each at its mean width; what is inside
/// the first one is known from its radius.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without rings.
pub fn area_svg(rings: &[Ring], units: Units) -> Result<String, ChartError> {
    let Some(first) = rings.first() else {
        return Err(ChartError::NothingToDraw);
    };
    let measured = widths(rings);
    let radius = match first.radius_mm {
        Some(radius) if measured.in_mm => radius.0,
        _ => first.radius_px.0,
    };
    let inside = (radius - measured.values.first().copied().unwrap_or(0.0)).max(0.0);
    let areas = basal_area_increments(&measured.values, inside);
    let (factor, unit) = match (measured.in_mm, units) {
        (true, Units::Metric) => (0.01, "square centimeters a year"),
        (true, Units::Inch) => (Mm::PER_INCH.powi(-2), "square inches a year"),
        (false, _) => (
            1.0 / mean(&areas).filter(|m| *m > 0.0).unwrap_or(1.0),
            "relative area (1 = mean); no scale in the photo",
        ),
    };
    let values: Vec<f64> = areas.iter().map(|area| area * factor).collect();
    let title = if are_dated(rings) {
        "Wood added, year by year"
    } else {
        "Wood added, ring by ring"
    };
    Sheet::svg(Size::Full, title, unit, |sheet| {
        let highest = values.iter().copied().fold(0.0, f64::max);
        let plot = Plot::ruled(sheet, rings.len(), highest)?;
        let doubtful = plot.draw_bars(sheet, rings, &values)?;
        plot.draw_base(sheet, rings)?;
        let mut second = "Rings are taken as round, each at its mean width.".to_owned();
        if doubtful {
            second.push_str(" Pale bars: rings in doubt.");
        }
        let first = "The area that each ring added to the cross-section (basal area increment).";
        sheet.caption(&[first.to_owned(), second])
    })
}
