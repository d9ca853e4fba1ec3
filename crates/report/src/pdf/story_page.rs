//! Page 1: the photo with its rings, the age and its parts, growth by decade,
//! findings, how reliable it is.

use super::{
    BODY, CHART_SHOWN, Canvas, HEADING, Kind, MARGIN, Print, Style, Weight, head, numbered, small,
};
use crate::ReportError;
use crate::content::AgeWords;
use chart::Size;
use chart::palette::{INK, RULE, SOFT_INK};

/// Space between the photo and what stands beside it.
const GUTTER: f64 = 16.0;

/// The photo is given the room that the rest leaves, between these heights.
const PHOTO_LEAST: f64 = 170.0;
const PHOTO_MOST: f64 = 330.0;

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    _part: usize,
) -> Result<(), ReportError> {
    let content = print.content;
    let mut top = head(canvas, print, "What the rings say");
    let title = Style {
        size: 23.0,
        weight: Weight::Bold,
        ink: INK,
    };
    top = canvas.element(Kind::Heading(1), |canvas| {
        canvas.paragraph((MARGIN, top, print.width()), title, &content.title, 2)
    });
    let subtitle = Style {
        ink: SOFT_INK,
        ..BODY
    };
    top = canvas.paragraph((MARGIN, top, print.width()), subtitle, &content.subtitle, 2) + 7.0;

    let photo_width = print.width() * 0.57;
    let photo_height = photo_room(canvas, print, top);
    let beside = MARGIN + photo_width + GUTTER;
    let beside_width = print.width() - photo_width - GUTTER;
    let photo_foot = photo(canvas, print, (MARGIN, top, photo_width, photo_height))?;
    let mut age_foot = age(canvas, &content.age, (beside, top, beside_width));
    age_foot = confidence(
        canvas,
        print,
        (beside, age_foot + 6.0, beside_width),
        top + photo_height,
    );
    top = photo_foot.max(age_foot) + 8.0;

    top = decades(canvas, print, top)?;
    canvas.heading((MARGIN, top + 10.0), HEADING, "What stands out");
    numbered(
        canvas,
        (MARGIN, top + 16.0, print.width()),
        BODY,
        &content.findings,
    );
    Ok(())
}

/// The height left for photo and age once decades and findings have theirs.
fn photo_room(canvas: &Canvas<'_, '_>, print: &Print<'_>, top: f64) -> f64 {
    let lines: usize = print
        .content
        .findings
        .iter()
        .map(|finding| canvas.lines(BODY, print.width() - 14.0, finding).len())
        .sum();
    let findings = 24.0
        + super::canvas::leading(BODY) * lines as f64
        + 2.5 * print.content.findings.len() as f64;
    let chart = if print.content.growth.is_empty() {
        0.0
    } else {
        let caption = canvas
            .lines(BODY, print.width(), &print.content.decades)
            .len()
            + 1;
        chart_height(print) + super::canvas::leading(BODY) * caption as f64 + 12.0
    };
    (print.foot() - 16.0 - top - chart - findings).clamp(PHOTO_LEAST, PHOTO_MOST)
}

/// How high the decades' chart is on the page.
fn chart_height(print: &Print<'_>) -> f64 {
    print.width() / Size::Full.width() * Size::Full.height() * CHART_SHOWN
}

/// The ring map for those who do not see it.
fn ring_map_words(print: &Print<'_>) -> String {
    format!(
        "The photo of the sawn face with its {} rings drawn on it",
        print.input.stump.reading.rings.len()
    )
}

/// The ring map and its caption; gives the foot of both.
fn photo(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    frame: super::Frame,
) -> Result<f64, ReportError> {
    let (left, top, wide, high) = frame;
    let caption_room = 22.0;
    let taken = match &print.pictures.ring_map {
        Some(jpeg) => canvas.picture(
            jpeg,
            &ring_map_words(print),
            (left, top, wide, high - caption_room),
        )?,
        None => {
            let empty = (left, top, wide, high - caption_room);
            canvas.fill_box(empty, RULE);
            let said = format!(
                "The photo {} was not found beside the stump's file, so its rings are not shown.",
                print.input.stump.reading.photo.file
            );
            canvas.paragraph((left + 12.0, top + 12.0, wide - 24.0), BODY, &said, 3);
            empty
        }
    };
    let caption = crate::content::ring_map_caption(&print.input.stump.reading);
    let foot = taken.1 + taken.3;
    Ok(canvas.element(Kind::Caption, |canvas| {
        canvas.paragraph((left, foot + 4.0, wide), small(SOFT_INK), caption, 2)
    }))
}

fn age(canvas: &mut Canvas<'_, '_>, age: &AgeWords, (left, top, wide): (f64, f64, f64)) -> f64 {
    let large = Style {
        size: 21.0,
        weight: Weight::Bold,
        ink: INK,
    };
    let middle = Style { size: 13.0, ..BODY };
    let mut top = canvas.paragraph((left, top, wide), large, &age.headline, 2);
    if let Some(range) = &age.range {
        top = canvas.paragraph((left, top, wide), middle, range, 1);
    }
    top = canvas.paragraph((left, top + 1.0, wide), BODY, &age.when, 4) + 5.0;
    // The years line up at their right, as in an addition.
    let column = left + 24.0;
    for part in &age.parts {
        let number = Style {
            weight: Weight::Bold,
            ..BODY
        };
        let range = part
            .range
            .as_ref()
            .map_or_else(String::new, |range| format!(" ({range})"));
        let text = format!("{}{range}", part.what);
        top = canvas.element(Kind::Paragraph, |canvas| {
            canvas.text_to((column, top + BODY.size * 0.82), number, &part.years);
            canvas.paragraph((column + 6.0, top, wide - 30.0), BODY, &text, 3)
        });
        if !part.how.is_empty() {
            let style = small(SOFT_INK);
            top = canvas.paragraph((column + 6.0, top, wide - 30.0), style, &part.how, 2);
        }
        top += 2.0;
    }
    if let Some(sum) = &age.sum {
        canvas.line((left, top), (left + wide, top), 0.6, INK);
        top = canvas.paragraph((left, top + 3.0, wide), small(INK), sum, 3);
    }
    top
}

/// How reliable it is, as far as there is room; page 2 has the rest.
fn confidence(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    (left, top, wide): (f64, f64, f64),
    foot: f64,
) -> f64 {
    canvas.heading((left, top + 9.0), HEADING, "How reliable is it?");
    let mut top = top + 15.0;
    let style = Style { size: 8.6, ..BODY };
    let all = &print.content.confidence;
    for (shown, sentence) in all.iter().enumerate() {
        let lines = canvas.lines(style, wide, sentence).len();
        let needs = super::canvas::leading(style) * lines as f64;
        // The count's own range is always shown.
        if shown > 0 && top + needs > foot + 4.0 {
            print.confidence_shown.set(shown);
            return canvas.paragraph((left, top, wide), small(SOFT_INK), "More on page 2.", 1);
        }
        top = canvas.paragraph((left, top, wide), style, sentence, 8) + 2.0;
    }
    print.confidence_shown.set(all.len());
    top
}

fn decades(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64) -> Result<f64, ReportError> {
    let decades = &print.content.growth;
    if decades.is_empty() {
        return Ok(top);
    }
    let svg = chart::decades_svg(decades, print.input.units)?;
    let shown = chart_height(print);
    let shows = format!("Growth by decade. {}", print.content.decades);
    canvas.chart(
        &print.colored(svg),
        shows.trim(),
        (MARGIN, top, print.width(), shown),
    )?;
    let caption = format!(
        "{} A narrow bar holds fewer than ten rings.",
        print.content.decades
    );
    Ok(canvas.paragraph(
        (MARGIN, top + shown, print.width()),
        BODY,
        caption.trim(),
        2,
    ) + 4.0)
}
