//! The woodlot's sheet: good and bad years, how the stumps agree, the trees,
//! and the likely ages of standing trees.

use super::canvas::leading;
use super::{BODY, CHART_SHOWN, Canvas, Fonts, HEADING, Kind, MARGIN, Style, Tags, Weight, small};
use crate::ReportError;
use crate::woodlot_sheet::{Table, WoodlotSheet};
use chart::Size;
use chart::palette::{INK, RULE, SOFT_INK};
use krilla::Document;

/// Height of a table's row.
const ROW: f64 = 13.0;

/// The bytes of the PDF.
pub(crate) fn write(sheet: &WoodlotSheet<'_>, size: (f64, f64)) -> Result<Vec<u8>, ReportError> {
    let fonts = Fonts::ours()?;
    let mut document = Document::new();
    document.set_metadata(super::metadata(
        &format!("{}: the woodlot's sheet", sheet.title),
        "What the stumps of a woodlot say together.",
    ));
    let mut tags = Tags::default();
    let tables = pages_of(sheet, size);
    for number in 0..=tables.len() {
        let mut page = super::start(&mut document, size)?;
        let mut surface = page.surface();
        let mut canvas = Canvas {
            surface: &mut surface,
            fonts: &fonts,
            tags: &mut tags,
        };
        let top = head(&mut canvas, sheet, size, number + 1);
        match number.checked_sub(1).and_then(|nth| tables.get(nth)) {
            None => together(&mut canvas, sheet, size, top)?,
            Some(parts) => {
                let mut top = top;
                for part in parts {
                    top = draw_table(&mut canvas, part, size, top);
                }
            }
        }
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tags.tree());
    document
        .finish()
        .map_err(|error| ReportError::Pdf(format!("{error:?}")))
}

fn width((wide, _): (f64, f64)) -> f64 {
    wide - 2.0 * MARGIN
}

/// The head of a page; gives the top of what follows.
fn head(
    canvas: &mut Canvas<'_, '_>,
    sheet: &WoodlotSheet<'_>,
    size: (f64, f64),
    number: usize,
) -> f64 {
    let right = size.0 - MARGIN;
    canvas.adorning(|canvas| {
        canvas.text(
            (MARGIN, MARGIN),
            small(SOFT_INK),
            "What the stumps say together",
        );
        let page = format!("Page {number}");
        canvas.text_to((right, MARGIN), small(SOFT_INK), &page);
        let foot =
            "Stumpbook \u{b7} estimates. Never bore or notch a living tree to learn its age.";
        canvas.text((MARGIN, size.1 - MARGIN + 10.0), small(SOFT_INK), foot);
    });
    canvas.line((MARGIN, MARGIN + 5.0), (right, MARGIN + 5.0), 1.2, INK);
    let top = MARGIN + 12.0;
    if number > 1 {
        return top;
    }
    let title = Style {
        size: 23.0,
        weight: Weight::Bold,
        ink: INK,
    };
    let top = canvas.element(Kind::Heading(1), |canvas| {
        canvas.paragraph((MARGIN, top, width(size)), title, sheet.title, 2)
    });
    let soft = Style {
        ink: SOFT_INK,
        ..BODY
    };
    canvas.paragraph((MARGIN, top, width(size)), soft, &sheet.subtitle, 2) + 6.0
}

/// Page 1: years and agreement, each as a chart with its words.
fn together(
    canvas: &mut Canvas<'_, '_>,
    sheet: &WoodlotSheet<'_>,
    size: (f64, f64),
    top: f64,
) -> Result<(), ReportError> {
    let mut top = top;
    let foot = size.1 - MARGIN - 4.0;
    let high = width(size) / Size::Full.width() * Size::Full.height() * CHART_SHOWN;
    for (title, svg, sentences) in [
        ("Good and bad years", &sheet.years_svg, &sheet.years),
        ("How the stumps agree", &sheet.agreement_svg, &sheet.check),
    ] {
        if svg.is_none() && sentences.is_empty() {
            continue;
        }
        // A chart has its own title.
        if svg.is_none() {
            canvas.heading((MARGIN, top + 10.0), HEADING, title);
            top += 16.0;
        }
        if let Some(svg) = svg {
            let frame = (MARGIN, top, width(size), high);
            canvas.chart(&chart::on_white(svg), &sentences.join(" "), frame)?;
            top += high;
        }
        for sentence in sentences {
            let lines = canvas.lines(BODY, width(size), sentence).len();
            if top + leading(BODY) * lines as f64 > foot {
                canvas.paragraph((MARGIN, top, width(size)), small(SOFT_INK), MORE, 1);
                return Ok(());
            }
            top = canvas.paragraph((MARGIN, top, width(size)), BODY, sentence, 6) + 2.0;
        }
        top += 8.0;
    }
    Ok(())
}

/// Said where the page is full.
const MORE: &str = "More: stumpbook woodlot check.";

/// A piece of a table that fits on a page.
struct Piece<'a> {
    table: &'a Table,
    rows: &'a [Vec<String>],
    first: bool,
    last: bool,
}

/// Tables cut into pages.
fn pages_of<'a>(sheet: &'a WoodlotSheet<'_>, size: (f64, f64)) -> Vec<Vec<Piece<'a>>> {
    /// Room for a table's title, its columns' names and its note.
    const AROUND: f64 = 62.0;
    let room = size.1 - 2.0 * MARGIN - 20.0;
    let mut pages: Vec<Vec<Piece<'_>>> = Vec::new();
    let mut free = 0.0;
    for table in sheet.tables.iter().filter(|table| !table.rows.is_empty()) {
        let mut rows = table.rows.as_slice();
        let mut first = true;
        while !rows.is_empty() {
            if free < AROUND + 4.0 * ROW {
                pages.push(Vec::new());
                free = room;
            }
            let fit = (((free - AROUND) / ROW).floor() as usize).clamp(1, rows.len());
            let (now, later) = rows.split_at(fit);
            if let Some(page) = pages.last_mut() {
                page.push(Piece {
                    table,
                    rows: now,
                    first,
                    last: later.is_empty(),
                });
            }
            free -= AROUND + ROW * fit as f64;
            (rows, first) = (later, false);
        }
    }
    pages
}

/// Draws a piece of a table; gives the top of what follows.
fn draw_table(canvas: &mut Canvas<'_, '_>, piece: &Piece<'_>, size: (f64, f64), top: f64) -> f64 {
    let table = piece.table;
    let wide = width(size);
    let name = if piece.first {
        table.title.to_owned()
    } else {
        format!("{} (continued)", table.title)
    };
    canvas.heading((MARGIN, top + 10.0), HEADING, &name);
    let names = Style {
        size: 8.4,
        ..HEADING
    };
    let style = Style { size: 9.0, ..BODY };
    let shares: f64 = table.columns.iter().map(|column| column.share).sum();
    let lefts: Vec<f64> = table
        .columns
        .iter()
        .scan(MARGIN, |left, column| {
            let here = *left;
            *left += wide * column.share / shares;
            Some(here)
        })
        .collect();
    let mut base = top + 27.0;
    canvas.element(Kind::Table, |canvas| {
        canvas.element(Kind::Row, |canvas| {
            for (column, left) in table.columns.iter().zip(&lefts) {
                let at = (*left, base);
                let text = column.name;
                canvas.element(Kind::ColumnHead, |canvas| canvas.text(at, names, text));
            }
        });
        canvas.line((MARGIN, base + 3.5), (MARGIN + wide, base + 3.5), 0.8, INK);
        base += 2.5;
        for row in piece.rows {
            base += ROW;
            canvas.element(Kind::Row, |canvas| {
                for (nth, (cell, left)) in row.iter().zip(&lefts).enumerate() {
                    let end = lefts.get(nth + 1).copied().unwrap_or(MARGIN + wide);
                    let fits = canvas.lines(style, end - left - 4.0, cell);
                    let text = fits.first().map_or("", String::as_str);
                    let at = (*left, base);
                    canvas.element(Kind::Cell, |canvas| canvas.text(at, style, text));
                }
            });
            canvas.line((MARGIN, base + 3.5), (MARGIN + wide, base + 3.5), 0.3, RULE);
        }
    });
    let mut foot = base + 8.0;
    if piece.last && !table.note.is_empty() {
        foot = canvas.paragraph((MARGIN, foot, wide), small(SOFT_INK), &table.note, 3);
    }
    foot + 10.0
}
