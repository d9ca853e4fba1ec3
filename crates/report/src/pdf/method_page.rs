//! Page 2: the unrolled stump, the facts, ring widths and diameter, the method
//! and the cautions.

use super::canvas::leading;
use super::{BODY, Canvas, HEADING, Kind, MARGIN, Print, Style, Weight, head, small};
use crate::ReportError;
use crate::content::{CAUTIONS, unrolled_caption, unrolled_title};
use chart::Size;
use chart::palette::{INK, RULE, SOFT_INK};

const GUTTER: f64 = 16.0;

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    _part: usize,
) -> Result<(), ReportError> {
    let top = head(canvas, print, &print.content.title);
    let extra = (print.size.1 - 792.0).max(0.0);
    let left_width = print.width() * 0.55;
    let beside = MARGIN + left_width + GUTTER;
    let beside_width = print.width() - left_width - GUTTER;

    let foot = unrolled(
        canvas,
        print,
        (MARGIN, top, left_width, 236.0 + extra * 0.6),
    )?;
    let facts_foot = facts(
        canvas,
        print,
        [
            (beside, top, beside_width),
            (MARGIN, foot + 2.0, left_width),
        ],
    );
    let top = foot.max(facts_foot) + 8.0;
    let top = charts(canvas, print, top)?;
    let method_width = print.width() * 0.47;
    let cautions_left = MARGIN + method_width + GUTTER;
    let cautions_width = print.width() - method_width - GUTTER;
    method(canvas, print, (MARGIN, top, method_width));
    let foot = cautions(canvas, (cautions_left, top, cautions_width));
    improve(canvas, print, (cautions_left, foot + 4.0, cautions_width));
    Ok(())
}

fn unrolled(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    frame: super::Frame,
) -> Result<f64, ReportError> {
    let (left, top, wide, high) = frame;
    let reading = &print.input.stump.reading;
    canvas.heading((left, top + 9.0), HEADING, unrolled_title(reading));
    let top = top + 15.0;
    let foot = match &print.pictures.unrolled {
        Some(jpeg) => {
            let taken = canvas.picture(
                jpeg,
                unrolled_caption(reading),
                (left, top, wide, high - 50.0),
            )?;
            taken.1 + taken.3
        }
        None => {
            let empty = (left, top, wide, 60.0);
            canvas.fill_box(empty, RULE);
            let said = "Not shown: the photo is missing, or its rings have no outlines.";
            canvas.paragraph((left + 10.0, top + 10.0, wide - 20.0), BODY, said, 2);
            top + 60.0
        }
    };
    let caption = unrolled_caption(reading);
    Ok(canvas.element(Kind::Caption, |canvas| {
        canvas.paragraph((left, foot + 3.0, wide), small(SOFT_INK), caption, 3)
    }))
}

/// Width of the names of facts.
const NAMES: f64 = 82.0;

/// The facts beside the picture and, where they are many, below it too; gives the
/// lower of the two feet.
fn facts(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    [beside, below]: [(f64, f64, f64); 2],
) -> f64 {
    let rows = &print.content.facts;
    canvas.heading((beside.0, beside.1 + 9.0), HEADING, "The facts");
    let beside = (beside.0, beside.1 + 16.0, beside.2);
    let heights = |wide: f64| -> Vec<f64> {
        let high = rows.iter().map(|row| row_height(canvas, row, wide));
        high.collect()
    };
    let (high_beside, high_below) = (heights(beside.2), heights(below.2));
    let foot = |split: usize| {
        let first = beside.1 + high_beside.iter().take(split).sum::<f64>();
        first.max(below.1 + high_below.iter().skip(split).sum::<f64>())
    };
    let split = (1..=rows.len())
        .rev()
        .min_by(|a, b| foot(*a).total_cmp(&foot(*b)))
        .unwrap_or(0);
    let foot = table(canvas, &rows[..split], beside);
    if split == rows.len() {
        return foot;
    }
    foot.max(table(canvas, &rows[split..], below))
}

const FACT: Style = Style { size: 8.4, ..BODY };
/// Lines of a fact at the most, and air below it.
const FACT_LINES: usize = 3;
const FACT_AIR: f64 = 1.6;

fn row_height(canvas: &Canvas<'_, '_>, (_, value): &(&str, String), wide: f64) -> f64 {
    let lines = canvas.lines(FACT, wide - NAMES, value).len();
    leading(FACT) * lines.min(FACT_LINES) as f64 + FACT_AIR
}

/// Rows of names and values; gives their foot.
fn table(
    canvas: &mut Canvas<'_, '_>,
    rows: &[(&'static str, String)],
    (left, top, wide): (f64, f64, f64),
) -> f64 {
    let name = Style {
        ink: SOFT_INK,
        ..FACT
    };
    let column = left + NAMES;
    canvas.element(Kind::Table, |canvas| {
        let mut top = top;
        for (label, value) in rows {
            let at = (left, top + FACT.size * 0.82);
            top = canvas.element(Kind::Row, |canvas| {
                canvas.element(Kind::RowHead, |canvas| canvas.text(at, name, label));
                canvas.element(Kind::Cell, |canvas| {
                    canvas.paragraph((column, top, wide - NAMES), FACT, value, FACT_LINES)
                })
            }) + FACT_AIR;
            canvas.line((left, top - 0.6), (left + wide, top - 0.6), 0.3, RULE);
        }
        top
    })
}

/// Increments and diameter side by side.
fn charts(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64) -> Result<f64, ReportError> {
    let rings = growth::years_of_growth(&print.input.stump.reading, &print.input.stump.facts);
    if rings.is_empty() {
        return Ok(top);
    }
    let units = print.input.units;
    let wide = (print.width() - GUTTER) / 2.0;
    let high = wide * Size::Half.height() / Size::Half.width();
    let remembered = &print.input.stump.facts.remembered;
    let increments = chart::increments_svg_with(rings, units, Size::Half, remembered)?;
    let diameter = chart::diameter_svg_sized(rings, units, Size::Half)?;
    let style = small(SOFT_INK);
    let marked = if remembered.is_empty() {
        ""
    } else {
        " Upright lines: remembered years."
    };
    let trend = growth::age_trend(&growth::widths(rings).values);
    let line = if trend.kind == growth::TrendKind::Mean {
        ""
    } else {
        " The line is normal growth for this tree at that age."
    };
    let left =
        format!("One bar for each ring.{line} Dots: each tenth ring. Pale bars: in doubt.{marked}");
    let right =
        "Mean diameter inside the bark. Steep where it grew fast; a dot at each tenth ring.";
    let mut foot = top;
    for (svg, shows, caption, from) in [
        (increments, "Ring width by year.", left.as_str(), MARGIN),
        (diameter, "Diameter by age.", right, MARGIN + wide + GUTTER),
    ] {
        let shows = format!("{shows} {caption}");
        canvas.chart(&print.colored(svg), &shows, (from, top, wide, high))?;
        let under = canvas.element(Kind::Caption, |canvas| {
            canvas.paragraph((from, top + high, wide), style, caption, 3)
        });
        foot = foot.max(under);
    }
    Ok(foot + 9.0)
}

fn method(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, (left, top, wide): (f64, f64, f64)) {
    canvas.heading((left, top + 9.0), HEADING, "How it was read");
    let lines = crate::content::method(&print.input.stump.reading);
    super::numbered(canvas, (left, top + 16.0, wide), small(INK), &lines);
}

/// What was not given and what it would add, and what page 1 had no room for.
fn improve(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, (left, top, wide): (f64, f64, f64)) {
    let foot = print.foot() - 14.0;
    let mut top = top;
    let left_over = print.content.confidence.get(print.confidence_shown.get()..);
    for (title, sentences) in [
        (
            "What would improve this estimate",
            &print.content.missing[..],
        ),
        (
            "How reliable is it? (continued)",
            left_over.unwrap_or_default(),
        ),
    ] {
        if sentences.is_empty() || top + 30.0 > foot {
            continue;
        }
        canvas.heading((left, top + 9.0), HEADING, title);
        top += 15.0;
        for sentence in sentences {
            let lines = canvas.lines(small(INK), wide, sentence).len();
            if top + super::canvas::leading(small(INK)) * lines as f64 > foot {
                return;
            }
            top = canvas.paragraph((left, top, wide), small(INK), sentence, 6) + 1.5;
        }
        top += 4.0;
    }
}

fn cautions(canvas: &mut Canvas<'_, '_>, (left, top, wide): (f64, f64, f64)) -> f64 {
    canvas.heading((left, top + 9.0), HEADING, "Cautions");
    let mut top = top + 16.0;
    let bold = Style {
        weight: Weight::Bold,
        ..small(INK)
    };
    for (title, text) in CAUTIONS {
        // The text goes on behind its title, so the first line is set apart.
        let indent = canvas.width(bold, title) + 3.0;
        let first = first_line(canvas, text, wide - indent);
        let rest = text.get(first.len()..).unwrap_or_default().trim_start();
        let base = top + bold.size * 0.82;
        top = canvas.element(Kind::Paragraph, |canvas| {
            canvas.text((left, base), bold, &format!("{title} "));
            canvas.text((left + indent, base), small(INK), &format!("{first} "));
            let top = top + super::canvas::leading(bold);
            if rest.is_empty() {
                top
            } else {
                canvas.paragraph((left, top, wide), small(INK), rest, 6)
            }
        });
        top += 2.5;
    }
    top
}

/// As many words as fit beside a title.
fn first_line(canvas: &Canvas<'_, '_>, text: &str, width: f64) -> String {
    let ends = text
        .char_indices()
        .filter(|(_, letter)| *letter == ' ')
        .map(|(at, _)| at)
        .chain([text.len()]);
    ends.filter_map(|end| text.get(..end))
        .take_while(|start| canvas.width(small(INK), start) <= width)
        .last()
        .unwrap_or_default()
        .to_owned()
}
