//! Page 2: the stump unrolled, the facts, increments and diameter, the method
//! and the cautions.

use super::{BODY, Canvas, HEADING, MARGIN, Print, Style, Weight, head, small};
use crate::ReportError;
use crate::content::{CAUTIONS, METHOD};
use crate::heart::single_years;
use growth::chart::Size;
use growth::chart::palette::{INK, RULE, SOFT_INK};

const GUTTER: f64 = 16.0;

pub(super) fn draw(canvas: &mut Canvas<'_, '_>, print: &Print<'_>) -> Result<(), ReportError> {
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
    let facts_foot = facts(canvas, print, (beside, top, beside_width));
    let top = foot.max(facts_foot) + 8.0;
    let top = charts(canvas, print, top)?;
    let method_width = print.width() * 0.47;
    let cautions_left = MARGIN + method_width + GUTTER;
    let cautions_width = print.width() - method_width - GUTTER;
    method(canvas, (MARGIN, top, method_width));
    let foot = cautions(canvas, (cautions_left, top, cautions_width));
    surer(canvas, print, (cautions_left, foot + 4.0, cautions_width));
    Ok(())
}

fn unrolled(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    frame: super::Frame,
) -> Result<f64, ReportError> {
    let (left, top, wide, high) = frame;
    canvas.text((left, top + 9.0), HEADING, "The stump unrolled");
    let top = top + 15.0;
    let foot = match &print.pictures.unrolled {
        Some(jpeg) => {
            let taken = canvas.picture(jpeg, (left, top, wide, high - 50.0))?;
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
    let caption = "Pith below, bark above, one turn from left to right, clockwise as in the photo. \
                   Each course is one ring at its mean width; its line is broken where in doubt, \
                   missing where not seen.";
    Ok(canvas.paragraph((left, foot + 3.0, wide), small(SOFT_INK), caption, 3))
}

fn facts(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    (left, top, wide): (f64, f64, f64),
) -> f64 {
    canvas.text((left, top + 9.0), HEADING, "The facts");
    let style = Style { size: 8.4, ..BODY };
    let name = Style {
        ink: SOFT_INK,
        ..style
    };
    let column = left + 82.0;
    let mut top = top + 16.0;
    for (label, value) in &print.content.facts {
        canvas.text((left, top + style.size * 0.82), name, label);
        top = canvas.paragraph((column, top, wide - 82.0), style, value, 3) + 1.6;
        canvas.line((left, top - 0.6), (left + wide, top - 0.6), 0.3, RULE);
    }
    top
}

/// Increments and diameter side by side.
fn charts(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64) -> Result<f64, ReportError> {
    let rings = single_years(&print.input.stump.reading);
    if rings.is_empty() {
        return Ok(top);
    }
    let units = print.input.units;
    let wide = (print.width() - GUTTER) / 2.0;
    let high = wide * Size::Half.height() / Size::Half.width();
    let increments = growth::chart::increments_svg_sized(rings, units, Size::Half)?;
    let diameter = growth::chart::diameter_svg_sized(rings, units, Size::Half)?;
    canvas.chart(&increments, (MARGIN, top, wide, high))?;
    canvas.chart(&diameter, (MARGIN + wide + GUTTER, top, wide, high))?;
    let style = small(SOFT_INK);
    let left = "One bar a ring; the line is what this tree's own age would lead one to expect. \
                Dots: each tenth ring. Pale bars: look again.";
    let right =
        "Mean diameter inside the bark. Steep where it grew fast; a dot at each tenth ring.";
    let one = canvas.paragraph((MARGIN, top + high, wide), style, left, 3);
    let other = canvas.paragraph((MARGIN + wide + GUTTER, top + high, wide), style, right, 3);
    Ok(one.max(other) + 9.0)
}

fn method(canvas: &mut Canvas<'_, '_>, (left, top, wide): (f64, f64, f64)) {
    canvas.text((left, top + 9.0), HEADING, "How it was read");
    let lines: Vec<String> = METHOD.iter().map(|line| (*line).to_owned()).collect();
    super::numbered(canvas, (left, top + 16.0, wide), small(INK), &lines);
}

/// What was not told and what it would add, and what else there is to know.
fn surer(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, (left, top, wide): (f64, f64, f64)) {
    let foot = print.foot() - 14.0;
    let mut top = top;
    for (title, told) in [
        ("What would make it surer", &print.content.missing[..]),
        (
            "How sure, and why",
            print.content.sure.get(1..).unwrap_or_default(),
        ),
    ] {
        if told.is_empty() || top + 30.0 > foot {
            continue;
        }
        canvas.text((left, top + 9.0), HEADING, title);
        top += 15.0;
        for sentence in told {
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
    canvas.text((left, top + 9.0), HEADING, "Cautions");
    let mut top = top + 16.0;
    let bold = Style {
        weight: Weight::Bold,
        ..small(INK)
    };
    for (title, text) in CAUTIONS {
        canvas.text((left, top + bold.size * 0.82), bold, title);
        // The text goes on behind its title, so the first line is set apart.
        let indent = canvas.width(bold, title) + 3.0;
        let first = first_line(canvas, text, wide - indent);
        canvas.text((left + indent, top + bold.size * 0.82), small(INK), &first);
        let rest = text.get(first.len()..).unwrap_or_default().trim_start();
        top += super::canvas::leading(bold);
        if !rest.is_empty() {
            top = canvas.paragraph((left, top, wide), small(INK), rest, 6);
        }
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
