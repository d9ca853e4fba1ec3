//! Page 3: the count sheet, to be taken to the stump with a tape.

use super::{BODY, Canvas, HEADING, Kind, MARGIN, Print, Style, head, small, title};
use crate::ReportError;
use crate::count_sheet::{CountSheet, Row};
use chart::palette::{INK, RULE, SOFT_INK};

/// Height of a row of the table, and the least when there are many.
const ROW: f64 = 17.0;
const LEAST_ROW: f64 = 9.5;

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    _part: usize,
) -> Result<(), ReportError> {
    let top = head(canvas, print, &print.content.title);
    let top = title(canvas, print, top, "Check it on the stump");
    let Some(sheet) = &print.content.count else {
        let said = "There are no ring outlines to measure by, so nothing can be checked here.";
        canvas.paragraph((MARGIN, top + 6.0, print.width()), BODY, said, 2);
        return Ok(());
    };
    let top = canvas.paragraph(
        (MARGIN, top + 3.0, print.width()),
        BODY,
        &instructions(sheet),
        7,
    ) + 6.0;
    let top = strip(canvas, print, top)?;
    let foot = print.foot() - 22.0;
    let notes = notes(sheet);
    let room = foot - top - 46.0 - 12.0 * notes.len() as f64;
    let row = (room / sheet.rows.len().max(1) as f64).clamp(LEAST_ROW, ROW);
    let mut top = table(canvas, print, sheet, top, row);
    for note in notes {
        top = canvas.paragraph((MARGIN, top + 3.0, print.width()), small(SOFT_INK), note, 2);
    }
    note_lines(canvas, print, top + 14.0);
    Ok(())
}

/// Ruled lines for what is found, as far as there is room.
fn note_lines(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64) {
    /// From line to line: room for a carpenter's pencil.
    const PITCH: f64 = 22.0;
    let foot = print.foot() - 26.0;
    if top + 2.0 * PITCH > foot {
        return;
    }
    canvas.heading((MARGIN, top + 9.0), HEADING, "Found on the stump");
    let mut y = top + 9.0 + PITCH;
    while y <= foot {
        canvas.line((MARGIN, y), (print.size.0 - MARGIN, y), 0.4, SOFT_INK);
        y += PITCH;
    }
}

/// What to do, in words.
pub(crate) fn instructions(sheet: &CountSheet) -> String {
    let from = if sheet.from_bark {
        "the bark edge (wood, not bark)"
    } else {
        "the outermost ring in the photo"
    };
    let measure = if sheet.radius.length.is_some() {
        "Hook the tape there and pull it to the pith."
    } else {
        "There is no scale, so places are given in hundredths of the way to the pith: measure the \
         whole way and multiply."
    };
    format!(
        "Find the line that runs from the pith {} in the photo. Start at {from}. {measure} Count \
         rings inward. The table names every tenth ring, numbered from the pith as on the ring \
         map: how many rings you have counted when you reach its outer edge, and where that is. \
         Check it off, or write what you find. Where you and the sheet disagree, look again at the \
         last ten rings.",
        sheet.radius.direction
    )
}

/// Small print below the table.
pub(crate) fn notes(sheet: &CountSheet) -> Vec<&'static str> {
    let mut notes = Vec::new();
    if sheet.rows.iter().any(|row| row.estimated) {
        notes.push(
            "* not seen on this line itself: estimated from the ring's mean distance from the pith.",
        );
    }
    if sheet.rows.is_empty() {
        notes.push("Fewer than ten rings: count them all.");
    }
    notes
}

/// Where the measuring line starts, in a word or two.
pub(crate) fn start(sheet: &CountSheet) -> &'static str {
    if sheet.from_bark {
        "bark"
    } else {
        "outermost ring"
    }
}

/// The wood along the radius, its outer end at the left, with a mark at each
/// tenth ring.
fn strip(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64) -> Result<f64, ReportError> {
    let (Some(jpeg), Some(sheet)) = (&print.pictures.strip, &print.content.count) else {
        return Ok(top);
    };
    let top = top + 14.0;
    let shows = format!(
        "The wood along the line, {} at the left, pith at the right, with a mark at each tenth ring",
        start(sheet)
    );
    let taken = canvas.picture(jpeg, &shows, (MARGIN, top, print.width(), 60.0))?;
    // Its lettering repeats the table.
    Ok(canvas.adorning(|canvas| lettered(canvas, sheet, taken)))
}

/// Marks and numbers along the strip; gives the top of what follows.
fn lettered(canvas: &mut Canvas<'_, '_>, sheet: &CountSheet, taken: super::Frame) -> f64 {
    let top = taken.1;
    canvas.outline(taken, 0.5, INK);
    canvas.text((MARGIN, top - 4.0), small(SOFT_INK), start(sheet));
    canvas.text_to((MARGIN + taken.2, top - 4.0), small(SOFT_INK), "pith");
    let foot = taken.1 + taken.3;
    let mut free_from = MARGIN;
    for row in &sheet.rows {
        let x = MARGIN + taken.2 * row.share;
        canvas.line((x, taken.1 - 3.0), (x, foot + 4.0), 0.8, INK);
        let label = row.ring.to_string();
        let wide = canvas.width(small(INK), &label);
        if x - wide / 2.0 >= free_from {
            canvas.text((x - wide / 2.0, foot + 12.5), small(INK), &label);
            free_from = x + wide / 2.0 + 4.0;
        }
    }
    foot + 22.0
}

/// Where each column begins, as a share of the page's width, and its name.
const COLUMNS: [(f64, &str); 6] = [
    (0.0, "Ring, from pith"),
    (0.16, "Year"),
    (0.26, "Counted from edge"),
    (0.46, "Inches from edge"),
    (0.65, "Millimeters"),
    (0.80, "Agrees / found"),
];

fn table(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    sheet: &CountSheet,
    top: f64,
    row_height: f64,
) -> f64 {
    let x = |column: usize| MARGIN + print.width() * COLUMNS[column].0;
    let right = MARGIN + print.width();
    let name_style = Style {
        size: 9.0,
        ..HEADING
    };
    let style = Style {
        size: (row_height * 0.62).min(10.5),
        ..BODY
    };
    canvas.element(Kind::Table, |canvas| {
        canvas.element(Kind::Row, |canvas| {
            for (column, (_, name)) in COLUMNS.iter().enumerate() {
                let name = match (column, scaled(sheet)) {
                    (3, false) => "Way to the pith",
                    (4, false) => "",
                    _ => name,
                };
                let at = (x(column), top + 10.0);
                canvas.element(Kind::ColumnHead, |canvas| canvas.text(at, name_style, name));
            }
        });
        let mut top = top + 15.0;
        canvas.line((MARGIN, top), (right, top), 0.8, INK);
        for row in &sheet.rows {
            let base = top + row_height * 0.68;
            canvas.element(Kind::Row, |canvas| {
                for (column, text) in cells(row).iter().enumerate() {
                    let at = (x(column), base);
                    canvas.element(Kind::Cell, |canvas| canvas.text(at, style, text));
                }
            });
            let side = row_height * 0.55;
            let tick = (x(5), top + (row_height - side) / 2.0, side, side);
            canvas.outline(tick, 0.7, INK);
            canvas.line(
                (x(5) + side + 6.0, base + 1.0),
                (right, base + 1.0),
                0.4,
                SOFT_INK,
            );
            top += row_height;
            canvas.line((MARGIN, top), (right, top), 0.3, RULE);
        }
        top + 6.0
    })
}

fn scaled(sheet: &CountSheet) -> bool {
    sheet.radius.length.is_some()
}

/// The text of a row's cells, but for the last, which is to be filled in.
pub(crate) fn cells(row: &Row) -> [String; 5] {
    let star = if row.estimated { " *" } else { "" };
    let (inches, mm) = match (row.inches(), row.millimeters()) {
        (Some(inches), Some(mm)) => (inches, mm),
        _ => (format!("{:.2} of it", row.share), String::new()),
    };
    [
        row.ring.to_string(),
        row.year
            .map_or_else(|| "\u{2013}".to_owned(), |year| year.to_string()),
        row.counted.to_string(),
        format!("{inches}{star}"),
        mm,
    ]
}
