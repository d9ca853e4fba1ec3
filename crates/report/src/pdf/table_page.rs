//! The last pages: every ring with its year and width.

use super::{Canvas, Kind, MARGIN, Print, Style, Weight, head, small, title};
use crate::ReportError;
use crate::ring_table::RingTable;
use chart::palette::{INK, RULE, SOFT_INK};

/// Blocks of rows side by side.
const BLOCKS: usize = 4;

/// Height of a row, in points.
const ROW: f64 = 10.6;

/// Space between blocks.
const GUTTER: f64 = 14.0;

/// Room for the page's head, its title and the names of the columns.
const ABOVE: f64 = 66.0;

/// How many pages the table takes.
pub(super) fn pages(print: &Print<'_>) -> usize {
    print.content.rings.rows.len().div_ceil(on_a_page(print))
}

/// Rows in a block.
fn in_a_block(print: &Print<'_>) -> usize {
    let room = print.foot() - 28.0 - MARGIN - ABOVE;
    ((room / ROW).floor() as usize).max(1)
}

fn on_a_page(print: &Print<'_>) -> usize {
    BLOCKS * in_a_block(print)
}

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    part: usize,
) -> Result<(), ReportError> {
    let table = &print.content.rings;
    let top = head(canvas, print, &print.content.title);
    let top = title(canvas, print, top, "Every ring");
    let doubt = if table.any_doubtful {
        " A question mark: in doubt."
    } else {
        ""
    };
    let caption = format!(
        "From the outermost ring inward; rings are numbered from the pith. Widths and radii are \
         means of all directions.{doubt}"
    );
    let top = canvas.paragraph((MARGIN, top, print.width()), small(SOFT_INK), &caption, 2) + 4.0;
    let first = part * on_a_page(print);
    let rows = table.rows.get(first..).unwrap_or_default();
    let wide = (print.width() - GUTTER * (BLOCKS - 1) as f64) / BLOCKS as f64;
    // The last page's blocks are equally long.
    let long = rows.len().div_ceil(BLOCKS).clamp(1, in_a_block(print));
    for (nth, rows) in rows.chunks(long).take(BLOCKS).enumerate() {
        let left = MARGIN + (wide + GUTTER) * nth as f64;
        block(canvas, table, rows, (left, top, wide));
    }
    Ok(())
}

/// Rows one below the other; numbers end at the right of their column.
fn block(
    canvas: &mut Canvas<'_, '_>,
    table: &RingTable,
    rows: &[[String; 4]],
    (left, top, wide): (f64, f64, f64),
) {
    /// Where each column ends, as a share of the block's width.
    const ENDS: [f64; 4] = [0.2, 0.42, 0.68, 1.0];
    let names = Style {
        size: 6.8,
        weight: Weight::Bold,
        ink: INK,
    };
    canvas.element(Kind::Table, |canvas| {
        let mut base = top + 8.0;
        canvas.element(Kind::Row, |canvas| {
            for (name, end) in table.columns.iter().zip(ENDS) {
                let at = (left + wide * end, base);
                canvas.element(Kind::ColumnHead, |canvas| canvas.text_to(at, names, name));
            }
        });
        canvas.line((left, base + 3.0), (left + wide, base + 3.0), 0.7, INK);
        base += 2.0;
        for (nth, row) in rows.iter().enumerate() {
            base += ROW;
            canvas.element(Kind::Row, |canvas| {
                for (cell, end) in row.iter().zip(ENDS) {
                    let at = (left + wide * end, base);
                    canvas.element(Kind::Cell, |canvas| canvas.text_to(at, small(INK), cell));
                }
            });
            if nth % 5 == 4 {
                canvas.line((left, base + 2.6), (left + wide, base + 2.6), 0.3, RULE);
            }
        }
    });
}
