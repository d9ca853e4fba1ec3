//! The one page of a stump whose rings could not be read: it claims nothing,
//! and says how to take the photo again.

use super::{BODY, Canvas, HEADING, Kind, MARGIN, Print, Style, Weight, head, small};
use crate::ReportError;
use crate::content::CAUTIONS;
use chart::palette::{INK, SOFT_INK};

pub(super) fn draw(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    _part: usize,
) -> Result<(), ReportError> {
    let content = print.content;
    let wide = print.width();
    let mut top = head(canvas, print, "What the rings say");
    let title = Style {
        size: 23.0,
        weight: Weight::Bold,
        ink: INK,
    };
    top = canvas.element(Kind::Heading(1), |canvas| {
        canvas.paragraph((MARGIN, top, wide), title, &content.title, 2)
    });
    let subtitle = Style {
        ink: SOFT_INK,
        ..BODY
    };
    top = canvas.paragraph((MARGIN, top, wide), subtitle, &content.subtitle, 2) + 8.0;
    if let Some(jpeg) = &print.pictures.ring_map {
        let taken = canvas.picture(
            jpeg,
            "The photo, in which no rings could be read",
            (MARGIN, top, wide, 330.0),
        )?;
        top = taken.1 + taken.3 + 10.0;
    }
    let Some((detail, advice)) = &content.refusal else {
        return Ok(());
    };
    let large = Style {
        size: 17.0,
        weight: Weight::Bold,
        ink: INK,
    };
    top = canvas.element(Kind::Heading(2), |canvas| {
        let said = "No age can be given from this photo";
        canvas.paragraph((MARGIN, top, wide), large, said, 1)
    }) + 2.0;
    top = canvas.paragraph((MARGIN, top, wide), BODY, &format!("{detail}."), 4) + 8.0;
    canvas.heading((MARGIN, top + 9.0), HEADING, "What to do");
    top = canvas.paragraph((MARGIN, top + 15.0, wide), BODY, &format!("{advice}."), 5) + 8.0;
    canvas.heading((MARGIN, top + 9.0), HEADING, "Cautions");
    top += 15.0;
    for (title, text) in CAUTIONS {
        let said = format!("{title} {text}");
        top = canvas.paragraph((MARGIN, top, wide), small(INK), &said, 3) + 2.0;
    }
    Ok(())
}
