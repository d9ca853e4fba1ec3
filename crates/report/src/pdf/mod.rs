//! The sheet as a PDF: fixed pages, text as text, charts as vectors.

mod canvas;
mod charts_page;
mod count_page;
pub(crate) use count_page::{cells, instructions, notes, start as measured_from};
mod elements;
mod fonts;
mod method_page;
mod refused_page;
mod story_page;
mod svg;
mod table_page;
mod tags;
pub(crate) mod woodlot;

use crate::ReportError;
use crate::content::Content;
use crate::paper::PaperColor;
use crate::sheet_input::{SheetInput, SheetPictures};
pub(crate) use canvas::{Canvas, Frame, Style};
use chart::palette::{Color, INK, PAPER, SOFT_INK};
pub(crate) use fonts::{Fonts, Weight};
use krilla::Document;
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::destination::XyzDestination;
use krilla::geom::Point;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::tagging::Identifier;
use std::cell::Cell;
pub(crate) use tags::{Kind, Tags};

/// Margins, in points: what home printers can reach, and air.
pub(crate) const MARGIN: f64 = 40.0;

/// How much of a chart's height is shown: its own caption is left out.
pub(crate) const CHART_SHOWN: f64 = 0.872;

/// What every page's drawing needs.
pub(crate) struct Print<'a> {
    pub(crate) input: &'a SheetInput<'a>,
    pub(crate) content: &'a Content,
    pub(crate) pictures: &'a SheetPictures,
    pub(crate) size: (f64, f64),
    pub(crate) color: PaperColor,
    /// How many sentences on the reliability page 1 had room for.
    pub(crate) confidence_shown: Cell<usize>,
}

impl Print<'_> {
    /// Width between the margins.
    pub(crate) fn width(&self) -> f64 {
        self.size.0 - 2.0 * MARGIN
    }

    /// A chart on this paper.
    pub(crate) fn colored(&self, svg: String) -> String {
        match self.color {
            PaperColor::White => chart::on_white(&svg),
            PaperColor::Cream => svg,
        }
    }

    /// Where the foot line stands.
    pub(crate) fn foot(&self) -> f64 {
        self.size.1 - MARGIN + 10.0
    }
}

/// A page: its name in the foot line, and how it is drawn.
#[derive(Clone, Copy)]
struct Page {
    name: &'static str,
    draw: fn(&mut Canvas<'_, '_>, &Print<'_>, usize) -> Result<(), ReportError>,
    /// Which of several pages of this name, from 0.
    part: usize,
}

impl Page {
    const fn new(
        name: &'static str,
        draw: fn(&mut Canvas<'_, '_>, &Print<'_>, usize) -> Result<(), ReportError>,
    ) -> Self {
        let part = 0;
        Self { name, draw, part }
    }
}

/// The pages of a sheet, in order.
fn pages(print: &Print<'_>) -> Vec<Page> {
    if print.content.refusal.is_some() {
        return vec![Page::new("The tree", refused_page::draw)];
    }
    let mut pages = vec![
        Page::new("The tree", story_page::draw),
        Page::new("Rings, method, cautions", method_page::draw),
        Page::new("Check it on the stump", count_page::draw),
        Page::new("Growth charts", charts_page::draw),
    ];
    let table = Page::new("Every ring", table_page::draw);
    pages.extend((0..table_page::pages(print)).map(|part| Page { part, ..table }));
    pages
}

/// The bytes of the PDF.
pub(crate) fn write(print: &Print<'_>) -> Result<Vec<u8>, ReportError> {
    let fonts = Fonts::ours()?;
    let pages = pages(print);
    let mut document = Document::new();
    document.set_metadata(metadata(
        &format!("{}: the owner's sheet", print.content.title),
        "What the rings of a sawn stump say: age, growth, and how to check them.",
    ));
    let mut tags = Tags::default();
    for (number, page) in pages.iter().enumerate() {
        let mut made = start(&mut document, print.size)?;
        let links = {
            let mut surface = made.surface();
            let mut canvas = Canvas {
                surface: &mut surface,
                fonts: &fonts,
                tags: &mut tags,
            };
            if print.color == PaperColor::Cream {
                canvas.fill_box((0.0, 0.0, print.size.0, print.size.1), PAPER);
            }
            (page.draw)(&mut canvas, print, page.part)?;
            let links = foot(&mut canvas, print, &pages, number);
            surface.finish();
            links
        };
        for (target, frame, text) in links {
            let (Some(rect), Some(text)) = (canvas::rect(frame), text) else {
                continue;
            };
            let top = XyzDestination::new(target, Point::from_xy(0.0, 0.0));
            let link = LinkAnnotation::new(rect, Target::Destination(top.into()));
            let name = format!("To page {}", target + 1);
            let target = made.add_tagged_annotation(Annotation::new_link(link, Some(name)));
            tags.put(tags::link(text, target));
        }
        made.finish();
    }
    document.set_tag_tree(tags.tree());
    document
        .finish()
        .map_err(|error| ReportError::Pdf(format!("{error:?}")))
}

/// Title, subject and language of a document.
pub(crate) fn metadata(title: &str, subject: &str) -> Metadata {
    Metadata::new()
        .title(title.to_owned())
        .description(subject.to_owned())
        .language("en".to_owned())
        .creator("Stumpbook".to_owned())
}

/// A fresh page.
pub(crate) fn start(
    document: &mut Document,
    (width, height): (f64, f64),
) -> Result<krilla::page::Page<'_>, ReportError> {
    let settings = PageSettings::from_wh(width as f32, height as f32)
        .ok_or_else(|| ReportError::Pdf("the page has no size".to_owned()))?;
    Ok(document.start_page_with(settings))
}

/// A link to another page: its number, its place, its text in the structure.
type PageLink = (usize, Frame, Option<Identifier>);

/// The foot line: the pages by name, each a link; of several pages of one name
/// the first, or the one that this is.
fn foot(
    canvas: &mut Canvas<'_, '_>,
    print: &Print<'_>,
    pages: &[Page],
    here: usize,
) -> Vec<PageLink> {
    let y = print.foot();
    canvas.line(
        (MARGIN, y - 11.0),
        (print.size.0 - MARGIN, y - 11.0),
        0.5,
        SOFT_INK,
    );
    let mut x = MARGIN;
    let mut links = Vec::new();
    for (number, page) in pages.iter().enumerate() {
        let same_name = pages.get(here).is_some_and(|p| p.name == page.name);
        let shown = if same_name {
            number == here
        } else {
            page.part == 0
        };
        if !shown {
            continue;
        }
        let (weight, ink) = if number == here {
            (Weight::Bold, INK)
        } else {
            (Weight::Regular, SOFT_INK)
        };
        let style = Style {
            size: 8.0,
            weight,
            ink,
        };
        let text = format!("{}  {}", number + 1, page.name);
        let wide = canvas.width(style, &text);
        if number == here {
            canvas.adorning(|canvas| canvas.text((x, y), style, &text));
        } else {
            let said = canvas.loose(|canvas| canvas.text((x, y), style, &text));
            links.push((number, (x, y - 8.0, wide, 11.0), said));
        }
        x += wide + 14.0;
    }
    canvas.adorning(|canvas| {
        canvas.text_to(
            (print.size.0 - MARGIN, y),
            small(SOFT_INK),
            "Stumpbook \u{b7} an estimate",
        );
    });
    links
}

/// Styles that pages share.
pub(crate) fn small(ink: Color) -> Style {
    Style {
        size: 8.0,
        weight: Weight::Regular,
        ink,
    }
}

pub(crate) const BODY: Style = Style {
    size: 9.6,
    weight: Weight::Regular,
    ink: INK,
};

pub(crate) const HEADING: Style = Style {
    size: 11.5,
    weight: Weight::Bold,
    ink: INK,
};

/// The head of a page: what it is, a rule, the tree's name; gives the top of
/// what follows.
pub(crate) fn head(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, kind: &str) -> f64 {
    let right = print.size.0 - MARGIN;
    canvas.adorning(|canvas| {
        canvas.text((MARGIN, MARGIN), small(SOFT_INK), kind);
        canvas.text_to(
            (right, MARGIN),
            small(SOFT_INK),
            &print.input.stump.reading.photo.file,
        );
    });
    canvas.line((MARGIN, MARGIN + 5.0), (right, MARGIN + 5.0), 1.2, INK);
    canvas.line((MARGIN, MARGIN + 7.4), (right, MARGIN + 7.4), 0.4, INK);
    MARGIN + 14.0
}

/// The title of a page; gives the top of what follows.
pub(crate) fn title(canvas: &mut Canvas<'_, '_>, print: &Print<'_>, top: f64, text: &str) -> f64 {
    let style = Style {
        size: 18.0,
        weight: Weight::Bold,
        ink: INK,
    };
    canvas.element(Kind::Heading(2), |canvas| {
        canvas.paragraph((MARGIN, top, print.width()), style, text, 1)
    })
}

/// Numbered sentences; gives the top of what follows.
pub(crate) fn numbered(
    canvas: &mut Canvas<'_, '_>,
    (left, top, width): (f64, f64, f64),
    style: Style,
    sentences: &[String],
) -> f64 {
    let number = Style {
        weight: Weight::Bold,
        ..style
    };
    canvas.element(Kind::List, |canvas| {
        let mut top = top;
        for (index, sentence) in sentences.iter().enumerate() {
            let at = (left, top + style.size * 0.82);
            top = canvas.element(Kind::Entry, |canvas| {
                let counted = (index + 1).to_string();
                canvas.element(Kind::Number, |canvas| canvas.text(at, number, &counted));
                let body = (left + 14.0, top, width - 14.0);
                canvas.element(Kind::Body, |canvas| {
                    canvas.paragraph(body, style, sentence, 4)
                })
            }) + 2.5;
        }
        top
    })
}
