//! One page being drawn: places in points from the upper left corner, y down.

use super::fonts::{Fonts, Weight};
use super::tags::{Kind, Tags};
use crate::ReportError;
use chart::palette::Color;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Rect, Size, Transform};
use krilla::image::Image;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::text::TextDirection;

/// How a text is set.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Style {
    pub(crate) size: f64,
    pub(crate) weight: Weight,
    pub(crate) ink: Color,
}

/// A box on the page: left, top, width, height.
pub(crate) type Frame = (f64, f64, f64, f64);

/// A page and the fonts it is written with.
pub(crate) struct Canvas<'a, 'b> {
    pub(crate) surface: &'b mut Surface<'a>,
    pub(crate) fonts: &'b Fonts,
    pub(crate) tags: &'b mut Tags,
}

impl Canvas<'_, '_> {
    /// One line that begins at a place on its base line.
    pub(crate) fn text(&mut self, (x, y): (f64, f64), style: Style, text: &str) {
        let shown = Fonts::printable(text);
        let font = self.fonts.pdf(style.weight);
        self.own_paragraph(|canvas| {
            canvas.span(|surface| {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(style.ink)));
                surface.draw_text(
                    Point::from_xy(x as f32, y as f32),
                    font,
                    style.size as f32,
                    &shown,
                    false,
                    TextDirection::LeftToRight,
                );
            });
        });
    }

    /// A heading of a part of the page, on one line.
    pub(crate) fn heading(&mut self, at: (f64, f64), style: Style, text: &str) {
        self.element(Kind::Heading(2), |canvas| canvas.text(at, style, text));
    }

    /// One line that ends at a place on its base line.
    pub(crate) fn text_to(&mut self, (x, y): (f64, f64), style: Style, text: &str) {
        let left = x - self.width(style, text);
        self.text((left, y), style, text);
    }

    /// How wide a text is.
    pub(crate) fn width(&self, style: Style, text: &str) -> f64 {
        self.fonts.width(style.weight, style.size, text)
    }

    /// Lines of a text no wider than `width`; a word longer than that is broken.
    pub(crate) fn lines(&self, style: Style, width: f64, text: &str) -> Vec<String> {
        self.fonts.lines(style.weight, style.size, width, text)
    }

    /// A paragraph whose first line has its top at `top`; gives the top of
    /// what follows. No more than `most` lines are set; the last then ends in
    /// an ellipsis.
    pub(crate) fn paragraph(
        &mut self,
        (left, top, width): (f64, f64, f64),
        style: Style,
        text: &str,
        most: usize,
    ) -> f64 {
        let mut lines = self.lines(style, width, text);
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                while !last.is_empty() && self.width(style, &format!("{last} \u{2026}")) > width {
                    last.pop();
                }
                last.push_str(" \u{2026}");
            }
        }
        let leading = leading(style);
        self.own_paragraph(|canvas| {
            let mut base = top + style.size * 0.82;
            let last = lines.len().saturating_sub(1);
            for (nth, line) in lines.iter().enumerate() {
                // Words of two lines must not run together where the text is read out.
                let line = if nth < last {
                    format!("{line} ")
                } else {
                    line.clone()
                };
                canvas.text((left, base), style, &line);
                base += leading;
            }
        });
        top + leading * lines.len() as f64
    }

    /// A straight line.
    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, ink: Color) {
        let mut path = PathBuilder::new();
        path.move_to(from.0 as f32, from.1 as f32);
        path.line_to(to.0 as f32, to.1 as f32);
        let Some(path) = path.finish() else {
            return;
        };
        self.adorning(|canvas| {
            canvas.surface.set_fill(None);
            canvas.surface.set_stroke(Some(stroke(width, ink)));
            canvas.surface.draw_path(&path);
            canvas.surface.set_stroke(None);
        });
    }

    /// A filled box.
    pub(crate) fn fill_box(&mut self, frame: Frame, ink: Color) {
        let mut path = PathBuilder::new();
        let Some(rect) = rect(frame) else {
            return;
        };
        path.push_rect(rect);
        let Some(path) = path.finish() else {
            return;
        };
        self.adorning(|canvas| {
            canvas.surface.set_stroke(None);
            canvas.surface.set_fill(Some(fill(ink)));
            canvas.surface.draw_path(&path);
        });
    }

    /// The outline of a box.
    pub(crate) fn outline(&mut self, frame: Frame, width: f64, ink: Color) {
        let (left, top, wide, high) = frame;
        let (right, foot) = (left + wide, top + high);
        for (from, to) in [
            ((left, top), (right, top)),
            ((right, top), (right, foot)),
            ((right, foot), (left, foot)),
            ((left, foot), (left, top)),
        ] {
            self.line(from, to, width, ink);
        }
    }

    /// A filled circle.
    pub(crate) fn disc(&mut self, (x, y): (f64, f64), radius: f64, ink: Color) {
        /// Makes four cubic curves a circle to within 0.03 % of its radius.
        const ROUND: f64 = 0.552_284_75;
        let (r, k) = (radius, radius * ROUND);
        let p = |dx: f64, dy: f64| ((x + dx) as f32, (y + dy) as f32);
        let mut path = PathBuilder::new();
        let start = p(r, 0.0);
        path.move_to(start.0, start.1);
        for (a, b, c) in [
            (p(r, k), p(k, r), p(0.0, r)),
            (p(-k, r), p(-r, k), p(-r, 0.0)),
            (p(-r, -k), p(-k, -r), p(0.0, -r)),
            (p(k, -r), p(r, -k), p(r, 0.0)),
        ] {
            path.cubic_to(a.0, a.1, b.0, b.1, c.0, c.1);
        }
        path.close();
        let Some(path) = path.finish() else {
            return;
        };
        self.adorning(|canvas| {
            canvas.surface.set_stroke(None);
            canvas.surface.set_fill(Some(fill(ink)));
            canvas.surface.draw_path(&path);
        });
    }

    /// A JPEG as large as fits into a box, at its upper left, and what it
    /// `shows`; gives the box it took.
    ///
    /// # Errors
    /// [`ReportError::Pdf`] when the bytes are no JPEG.
    pub(crate) fn picture(
        &mut self,
        jpeg: &[u8],
        shows: &str,
        frame: Frame,
    ) -> Result<Frame, ReportError> {
        let image = Image::from_jpeg(jpeg.to_vec().into(), true)
            .map_err(|error| ReportError::Pdf(format!("a picture: {error}")))?;
        let (wide, high) = image.size();
        let (wide, high) = (f64::from(wide.max(1)), f64::from(high.max(1)));
        let scale = (frame.2 / wide).min(frame.3 / high);
        let taken = (frame.0, frame.1, wide * scale, high * scale);
        let Some(size) = Size::from_wh(taken.2 as f32, taken.3 as f32) else {
            return Ok(taken);
        };
        let at = Transform::from_translate(taken.0 as f32, taken.1 as f32);
        self.figure(shows, |canvas| {
            canvas.surface.push_transform(&at);
            canvas.surface.draw_image(image, size);
            canvas.surface.pop();
        });
        Ok(taken)
    }
}

/// From one base line to the next.
pub(crate) fn leading(style: Style) -> f64 {
    style.size * 1.28
}

pub(super) fn fill((red, green, blue): Color) -> Fill {
    Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        ..Fill::default()
    }
}

pub(super) fn stroke(width: f64, (red, green, blue): Color) -> Stroke {
    Stroke {
        paint: rgb::Color::new(red, green, blue).into(),
        width: width as f32,
        ..Stroke::default()
    }
}

pub(super) fn rect((left, top, wide, high): Frame) -> Option<Rect> {
    Rect::from_xywh(left as f32, top as f32, wide as f32, high as f32)
}
