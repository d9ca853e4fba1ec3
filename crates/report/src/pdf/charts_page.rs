//! Page 4: growth against the age trend, the wood added each year, and how
//! likely each age is.

use super::{CHART_SHOWN, Canvas, Kind, MARGIN, Print, head, small, title};
use crate::ReportError;
use chart::Size;
use chart::palette::SOFT_INK;

/// Width of a chart as a share of the page's: three fit on a page.
const WIDE: f64 = 0.9;

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    _part: usize,
) -> Result<(), ReportError> {
    let top = head(canvas, print, &print.content.title);
    let mut top = title(canvas, print, top, "Growth charts") + 2.0;
    let reading = &print.input.stump.reading;
    let rings = growth::years_of_growth(reading, &print.input.stump.facts);
    let wide = print.width() * WIDE;
    let high = wide / Size::Full.width() * Size::Full.height() * CHART_SHOWN;
    let mut charts = Vec::new();
    if !rings.is_empty() {
        charts.push((
            chart::against_trend_svg(rings)?,
            "Each ring's width compared with normal growth for this tree at that age. Dark: wider. \
             Pale: narrower. The line is the mean of eleven rings.",
        ));
        charts.push((
            chart::area_svg(rings, print.input.units)?,
            "The area of wood that each ring added to the cross-section (basal area increment). \
             Rings are taken as round, each at its mean width.",
        ));
    }
    if let Some(age) = reading.age.as_ref().filter(|age| !age.parts.is_empty()) {
        charts.push((
            chart::age_svg(age)?,
            "How likely each age is, from the parts on page 1. Dark: within the range.",
        ));
    }
    for (svg, caption) in charts {
        let frame = (MARGIN, top, wide, high);
        canvas.chart(&print.colored(svg), caption, frame)?;
        top = canvas.element(Kind::Caption, |canvas| {
            canvas.paragraph(
                (MARGIN, top + high + 5.0, print.width()),
                small(SOFT_INK),
                caption,
                2,
            )
        }) + 4.0;
    }
    Ok(())
}
