//! The page that the card is cut out of.

use super::ink::{Ink, all};
use crate::ReportError;
use crate::paper::{POINTS_PER_MM, Paper};
use crate::pdf::{
    BODY, Canvas, Fonts, HEADING, Kind, MARGIN, Style, Tags, Weight, metadata, start,
};
use chart::palette::INK;
use krilla::Document;
use wood::CARD_MM;

/// What to do with the card, in order.
const STEPS: [&str; 5] = [
    "Print this page at its actual size (100 %). Turn off \u{201c}fit to page\u{201d}.",
    "Measure the bar. If it is not 100 mm long, give its length when you count: --card-bar 97mm, or \
     --card-bar 3.82in.",
    "Cut along the line. Stiff, dull paper is best; gloss shines in the photo.",
    "Lay the card flat on the sawn face, right to the edge of the bark, clear of the strip from \
     pith to bark that you want read. It must lie in the plane of the cut: on the ground beside the \
     stump it is farther from the camera and makes every length too long.",
    "Stand square over the face, in shade, and take in the whole card. Then: stumpbook count PHOTO",
];

/// Black, whatever the palette: ink for machines to read.
const BLACK: (u8, u8, u8) = (0, 0, 0);

/// The scale card as a PDF page at its actual size.
///
/// # Errors
/// When the codes or the PDF cannot be made.
pub fn card_pdf(paper: Paper) -> Result<Vec<u8>, ReportError> {
    let fonts = Fonts::ours()?;
    let ink = all()?;
    let mut document = Document::new();
    document.set_metadata(metadata(
        "Stumpbook's scale card",
        "A card to print, cut out and lay on a sawn face, for lengths in a photo.",
    ));
    let size = paper.size();
    let mut tags = Tags::default();
    {
        let mut page = start(&mut document, size)?;
        let mut surface = page.surface();
        let mut canvas = Canvas {
            surface: &mut surface,
            fonts: &fonts,
            tags: &mut tags,
        };
        draw(&mut canvas, size, &ink);
        surface.finish();
        page.finish();
    }
    document.set_tag_tree(tags.tree());
    document
        .finish()
        .map_err(|error| ReportError::Pdf(format!("{error:?}")))
}

fn draw(canvas: &mut Canvas<'_, '_>, size: (f64, f64), ink: &[Ink]) {
    let wide = size.0 - 2.0 * MARGIN;
    let title = Style {
        size: 18.0,
        ..HEADING
    };
    let top = canvas.element(Kind::Heading(1), |canvas| {
        canvas.paragraph((MARGIN, MARGIN - 8.0, wide), title, "The scale card", 1)
    });
    let steps: Vec<String> = STEPS.iter().map(|step| (*step).to_owned()).collect();
    let top = crate::pdf::numbered(canvas, (MARGIN, top + 4.0, wide), BODY, &steps);
    let shows =
        "The scale card: two codes, 24 discs, a bar of 100 mm, a millimeter and an inch rule";
    canvas.figure(shows, |canvas| inked(canvas, size, top + 14.0, ink));
}

/// The card itself.
fn inked(canvas: &mut Canvas<'_, '_>, size: (f64, f64), top: f64, ink: &[Ink]) {
    let left = (size.0 - CARD_MM.0 * POINTS_PER_MM) / 2.0;
    let x = |mm: f64| left + mm * POINTS_PER_MM;
    let y = |mm: f64| top + mm * POINTS_PER_MM;
    for piece in ink {
        match piece {
            Ink::Box(from, above, wide, high) => canvas.fill_box(
                (
                    x(*from),
                    y(*above),
                    wide * POINTS_PER_MM,
                    high * POINTS_PER_MM,
                ),
                BLACK,
            ),
            Ink::Disc(middle, down, radius) => {
                canvas.disc((x(*middle), y(*down)), radius * POINTS_PER_MM, BLACK);
            }
            Ink::Text {
                x: at,
                base,
                size,
                bold,
                centered,
                text,
            } => {
                let style = Style {
                    size: size * POINTS_PER_MM,
                    weight: if *bold { Weight::Bold } else { Weight::Regular },
                    ink: INK,
                };
                let back = if *centered {
                    canvas.width(style, text) / 2.0
                } else {
                    0.0
                };
                canvas.text((x(*at) - back, y(*base)), style, text);
            }
        }
    }
}
