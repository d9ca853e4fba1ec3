//! The sheet of paper that a chart is drawn on.

use super::palette::{Color, INK, PAPER, RULE, SOFT_INK};
use crate::{ChartError, font};
use plotters::backend::SVGBackend;
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{Circle, PathElement, Polygon, Rectangle};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color as _, FontStyle, FontTransform, IntoTextStyle, RGBColor};

/// How large a chart is drawn, in CSS pixels; text is the same size in all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Size {
    /// 1000 by 470: as wide as a page, with its caption.
    #[default]
    Full,
    /// 560 by 360: half a page's width, without a caption, for a page that
    /// has its own words.
    Half,
    /// 1000 by 1240: a page of rows, with its caption.
    Tall,
}

impl Size {
    /// Width in CSS pixels.
    #[must_use]
    pub fn width(self) -> f64 {
        match self {
            Self::Full | Self::Tall => 1000.0,
            Self::Half => 560.0,
        }
    }

    /// Height in CSS pixels.
    #[must_use]
    pub fn height(self) -> f64 {
        match self {
            Self::Full => 470.0,
            Self::Half => 360.0,
            Self::Tall => 1240.0,
        }
    }

    /// Right end of the plot.
    pub(crate) fn right(self) -> f64 {
        self.width() - 36.0
    }

    /// Foot of the plot: room below for places, and for a caption where there is one.
    pub(crate) fn foot(self) -> f64 {
        match self {
            Self::Full | Self::Tall => self.height() - 114.0,
            Self::Half => self.height() - 66.0,
        }
    }
}

/// Left end of the plot.
pub(crate) const LEFT: f64 = 72.0;
/// Top of the plot.
pub(crate) const TOP: f64 = 92.0;

/// Sizes of text.
pub(crate) const TITLE_PX: f64 = 26.0;
pub(crate) const LABEL_PX: f64 = 18.0;
pub(crate) const CAPTION_PX: f64 = 17.0;

/// The drawing library places things on whole numbers only: the sheet is drawn
/// this many times larger, and shown at its size.
const FINE: f64 = 8.0;

/// Where text stands on its anchor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Anchor {
    /// The text begins there.
    Start,
    /// The text is centered there.
    Middle,
    /// The text ends there.
    End,
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// A chart in the making; all places in CSS pixels, y down.
pub(crate) struct Sheet<'a> {
    area: Area<'a>,
    size: Size,
}

impl Sheet<'_> {
    /// Draws a chart with a title for eyes and screen readers; the SVG's text.
    pub(crate) fn svg(
        size: Size,
        title: &str,
        unit: &str,
        draw: impl FnOnce(&Sheet<'_>) -> Result<(), ChartError>,
    ) -> Result<String, ChartError> {
        if !font::register() {
            return Err(ChartError::Drawing("the font would not load".to_owned()));
        }
        let fine = |length: f64| (length * FINE) as u32;
        let mut svg = String::new();
        {
            let backend =
                SVGBackend::with_string(&mut svg, (fine(size.width()), fine(size.height())));
            let sheet = Sheet {
                area: backend.into_drawing_area(),
                size,
            };
            sheet.area.fill(&color(PAPER)).map_err(drawing)?;
            sheet.bold((28.0, 38.0), TITLE_PX, title)?;
            sheet.text((28.0, 66.0), LABEL_PX, SOFT_INK, Anchor::Start, unit)?;
            draw(&sheet)?;
            sheet.area.present().map_err(drawing)?;
        }
        Ok(at_its_size(&svg, size, title))
    }

    /// Right end of the plot.
    pub(crate) fn right(&self) -> f64 {
        self.size.right()
    }

    /// Foot of the plot.
    pub(crate) fn foot(&self) -> f64 {
        self.size.foot()
    }

    /// A filled box.
    pub(crate) fn rectangle(
        &self,
        from: (f64, f64),
        to: (f64, f64),
        fill: Color,
    ) -> Result<(), ChartError> {
        let corners = [place(from), place(to)];
        self.area
            .draw(&Rectangle::new(corners, color(fill).filled()))
            .map_err(drawing)
    }

    /// A filled shape.
    pub(crate) fn shape(&self, corners: &[(f64, f64)], fill: Color) -> Result<(), ChartError> {
        let corners: Vec<_> = corners.iter().copied().map(place).collect();
        self.area
            .draw(&Polygon::new(corners, color(fill).filled()))
            .map_err(drawing)
    }

    /// A line through places, `width` wide.
    pub(crate) fn line(
        &self,
        places: &[(f64, f64)],
        width: f64,
        ink: Color,
    ) -> Result<(), ChartError> {
        let places: Vec<_> = places.iter().copied().map(place).collect();
        let stroke = (width * FINE).round() as u32;
        self.area
            .draw(&PathElement::new(places, color(ink).stroke_width(stroke)))
            .map_err(drawing)
    }

    /// A round dot.
    pub(crate) fn dot(&self, at: (f64, f64), radius: f64, ink: Color) -> Result<(), ChartError> {
        let radius = (radius * FINE).round() as i32;
        self.area
            .draw(&Circle::new(place(at), radius, color(ink).filled()))
            .map_err(drawing)
    }

    /// One line of text, centered on `at` in height.
    pub(crate) fn text(
        &self,
        at: (f64, f64),
        size: f64,
        ink: Color,
        anchor: Anchor,
        text: &str,
    ) -> Result<(), ChartError> {
        self.write(at, (size, FontStyle::Normal), ink, anchor, text)
    }

    /// One line of bold text that begins at `at`.
    pub(crate) fn bold(&self, at: (f64, f64), size: f64, text: &str) -> Result<(), ChartError> {
        self.write(at, (size, FontStyle::Bold), INK, Anchor::Start, text)
    }

    /// The lines below a chart that say what it shows; a half chart has none.
    pub(crate) fn caption(&self, lines: &[String]) -> Result<(), ChartError> {
        if self.size == Size::Half {
            return Ok(());
        }
        let lines = lines.iter().filter(|line| !line.is_empty());
        for (index, line) in lines.enumerate() {
            let y = self.size.height() - 46.0 + 23.0 * index as f64;
            self.text((28.0, y), CAPTION_PX, INK, Anchor::Start, line)?;
        }
        Ok(())
    }

    /// A rule of the grid with its number at the left.
    pub(crate) fn rule(&self, y: f64, number: &str) -> Result<(), ChartError> {
        self.line(&[(LEFT, y), (self.right(), y)], 1.0, RULE)?;
        self.text((LEFT - 10.0, y), LABEL_PX, INK, Anchor::End, number)
    }

    fn write(
        &self,
        at: (f64, f64),
        (size, style): (f64, FontStyle),
        ink: Color,
        anchor: Anchor,
        text: &str,
    ) -> Result<(), ChartError> {
        let across = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let ink = color(ink);
        let style = (font::FAMILY, size * FINE, style)
            .into_text_style(&self.area)
            .transform(FontTransform::None)
            .color(&ink)
            .pos(Pos::new(across, VPos::Center));
        self.area
            .draw_text(text, &style, place(at))
            .map_err(drawing)
    }
}

fn color((red, green, blue): Color) -> RGBColor {
    RGBColor(red, green, blue)
}

fn place((x, y): (f64, f64)) -> (i32, i32) {
    ((x * FINE).round() as i32, (y * FINE).round() as i32)
}

fn drawing(error: impl std::fmt::Display) -> ChartError {
    ChartError::Drawing(error.to_string())
}

/// The same chart on white paper.
#[must_use]
pub fn on_white(svg: &str) -> String {
    let (red, green, blue) = PAPER;
    svg.replace(&format!("#{red:02X}{green:02X}{blue:02X}"), "#FFFFFF")
}

/// Gives the finely drawn sheet its size in CSS pixels and a title.
fn at_its_size(svg: &str, size: Size, title: &str) -> String {
    let fine = format!(
        "width=\"{}\" height=\"{}\"",
        size.width() * FINE,
        size.height() * FINE
    );
    let (width, height) = (size.width(), size.height());
    let shown = format!("width=\"{width}\" height=\"{height}\" role=\"img\"");
    // A page that has not loaded the font falls back to another with serifs.
    let family = format!("font-family=\"{}\"", font::FAMILY);
    let families = format!("font-family=\"{}, Georgia, serif\"", font::FAMILY);
    let sized = svg.replacen(&fine, &shown, 1).replace(&family, &families);
    match sized
        .find("<svg")
        .and_then(|at| sized[at..].find('>').map(|end| at + end + 1))
    {
        Some(inside) => {
            let (head, body) = sized.split_at(inside);
            format!("{head}<title>{title}</title>{body}")
        }
        None => sized,
    }
}
