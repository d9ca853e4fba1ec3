//! A chart as a picture.

use crate::{ChartError, font};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// Most pixels along a side; a larger picture is refused before memory is
/// taken.
const MOST_PX: f32 = 16_000.0;

/// The bytes of a PNG of an SVG, `scale` pixels for a CSS pixel. Text is set
/// in our font alone, so the picture is the same on every machine.
///
/// # Errors
/// [`ChartError::Picture`] when the SVG cannot be understood, or `scale` is
/// not above zero or makes the picture too large.
pub fn png(svg: &str, scale: f32) -> Result<Vec<u8>, ChartError> {
    let failed = |what: String| ChartError::Picture(what);
    let options = Options {
        font_family: font::FAMILY.to_owned(),
        fontdb: font::database(),
        ..Options::default()
    };
    let tree = Tree::from_str(svg, &options).map_err(|error| failed(error.to_string()))?;
    let (width, height) = (tree.size().width() * scale, tree.size().height() * scale);
    let sound = |side: f32| side.is_finite() && (0.5..=MOST_PX).contains(&side);
    if !(sound(width) && sound(height)) {
        return Err(failed(format!("{width} by {height} pixels is no size")));
    }
    let mut pixmap = Pixmap::new(width.round() as u32, height.round() as u32)
        .ok_or_else(|| failed("no room for the picture".to_owned()))?;
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut pixmap.as_mut(),
    );
    pixmap
        .encode_png()
        .map_err(|error| failed(error.to_string()))
}
