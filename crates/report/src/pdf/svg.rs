//! A chart as vectors on a page, its text as text.

use super::canvas::{Canvas, Frame, rect};
use super::fonts::Weight;
use crate::ReportError;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::text::TextDirection;
use resvg::tiny_skia::PathSegment;
use resvg::usvg::{self, Group, Node, Options, Paint, TextAnchor, Tree};

/// Weights from here on are set bold.
const BOLD_FROM: u16 = 600;

impl Canvas<'_, '_> {
    /// A chart as wide as a box, clipped at its foot, and what it `shows`.
    ///
    /// # Errors
    /// [`ReportError::ChartOnPage`] when the SVG holds what charts never hold.
    pub(crate) fn chart(
        &mut self,
        svg: &str,
        shows: &str,
        frame: Frame,
    ) -> Result<(), ReportError> {
        self.figure(shows, |canvas| draw(canvas, svg, frame))
    }
}

/// Draws an SVG as wide as the frame; what is below the frame's foot is cut off.
fn draw(canvas: &mut Canvas<'_, '_>, svg: &str, frame: Frame) -> Result<(), ReportError> {
    let options = Options {
        font_family: chart::font::FAMILY.to_owned(),
        fontdb: chart::font::database(),
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options)
        .map_err(|error| ReportError::ChartOnPage(error.to_string()))?;
    let (left, top, wide, _) = frame;
    let scale = wide / f64::from(tree.size().width().max(1.0));
    let mut clip = PathBuilder::new();
    if let Some(rect) = rect(frame) {
        clip.push_rect(rect);
    }
    let clip = clip
        .finish()
        .ok_or_else(|| ReportError::ChartOnPage("no room for it".to_owned()))?;
    canvas.surface.push_clip_path(&clip, &FillRule::NonZero);
    let place = Transform::from_row(
        scale as f32,
        0.0,
        0.0,
        scale as f32,
        left as f32,
        top as f32,
    );
    canvas.surface.push_transform(&place);
    // Text below the frame would stay in the page's text, unseen.
    let foot = (frame.3 / scale) as f32;
    let drawn = group(canvas, tree.root(), foot);
    canvas.surface.pop();
    canvas.surface.pop();
    drawn
}

fn group(canvas: &mut Canvas<'_, '_>, group_of: &Group, foot: f32) -> Result<(), ReportError> {
    for node in group_of.children() {
        match node {
            Node::Group(inner) => group(canvas, inner, foot)?,
            Node::Path(shape) => path(canvas, shape)?,
            Node::Text(said) if said.abs_bounding_box().top() > foot => {}
            Node::Text(said) => text(canvas, said),
            Node::Image(_) => {
                return Err(ReportError::ChartOnPage("it holds a picture".to_owned()));
            }
        }
    }
    Ok(())
}

fn path(canvas: &mut Canvas<'_, '_>, shape: &usvg::Path) -> Result<(), ReportError> {
    let mut builder = PathBuilder::new();
    for segment in shape.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => builder.move_to(p.x, p.y),
            PathSegment::LineTo(p) => builder.line_to(p.x, p.y),
            PathSegment::QuadTo(a, p) => builder.quad_to(a.x, a.y, p.x, p.y),
            PathSegment::CubicTo(a, b, p) => builder.cubic_to(a.x, a.y, b.x, b.y, p.x, p.y),
            PathSegment::Close => builder.close(),
        }
    }
    let Some(path) = builder.finish() else {
        return Ok(());
    };
    let fill = match shape.fill() {
        Some(fill) => Some(Fill {
            paint: color(fill.paint())?.into(),
            opacity: share(fill.opacity().get()),
            rule: FillRule::NonZero,
        }),
        None => None,
    };
    let stroke = match shape.stroke() {
        Some(stroke) => Some(Stroke {
            paint: color(stroke.paint())?.into(),
            width: stroke.width().get(),
            opacity: share(stroke.opacity().get()),
            ..Stroke::default()
        }),
        None => None,
    };
    canvas
        .surface
        .push_transform(&transform(shape.abs_transform()));
    canvas.surface.set_fill(fill);
    canvas.surface.set_stroke(stroke);
    canvas.surface.draw_path(&path);
    canvas.surface.set_stroke(None);
    canvas.surface.pop();
    Ok(())
}

fn text(canvas: &mut Canvas<'_, '_>, said: &usvg::Text) {
    canvas
        .surface
        .push_transform(&transform(said.abs_transform()));
    let mut letters_before = 0;
    for chunk in said.chunks() {
        let Some(span) = chunk.spans().first() else {
            continue;
        };
        let weight = if span.font().weight() >= BOLD_FROM {
            Weight::Bold
        } else {
            Weight::Regular
        };
        let size = span.font_size().get();
        let wide = canvas.fonts.width(weight, f64::from(size), chunk.text()) as f32;
        let back = match chunk.anchor() {
            TextAnchor::Start => 0.0,
            TextAnchor::Middle => wide / 2.0,
            TextAnchor::End => wide,
        };
        let down = said.dy().get(letters_before).copied().unwrap_or(0.0);
        let at = Point::from_xy(
            chunk.x().unwrap_or(0.0) - back,
            chunk.y().unwrap_or(0.0) + down,
        );
        let ink = span
            .fill()
            .and_then(|fill| color(fill.paint()).ok())
            .unwrap_or(rgb::Color::black());
        canvas.surface.set_stroke(None);
        canvas.surface.set_fill(Some(Fill {
            paint: ink.into(),
            ..Fill::default()
        }));
        canvas.surface.draw_text(
            at,
            canvas.fonts.pdf(weight),
            size,
            chunk.text(),
            false,
            TextDirection::LeftToRight,
        );
        letters_before += chunk.text().chars().count();
    }
    canvas.surface.pop();
}

fn color(paint: &Paint) -> Result<rgb::Color, ReportError> {
    match paint {
        Paint::Color(color) => Ok(rgb::Color::new(color.red, color.green, color.blue)),
        Paint::LinearGradient(_) | Paint::RadialGradient(_) | Paint::Pattern(_) => Err(
            ReportError::ChartOnPage("it holds a gradient or a pattern".to_owned()),
        ),
    }
}

fn share(opacity: f32) -> NormalizedF32 {
    NormalizedF32::new(opacity).unwrap_or(NormalizedF32::ONE)
}

fn transform(of: usvg::Transform) -> Transform {
    Transform::from_row(of.sx, of.ky, of.kx, of.sy, of.tx, of.ty)
}
