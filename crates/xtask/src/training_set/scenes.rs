//! A photo seen small: whole, and parts of it as a closer look sees them.

use super::file::{SceneHead, bytes_of};
use ndarray::Array2;
use photo::Face;
use rand::{Rng, RngExt as _};
use wood::Point;

/// What is known of a photo's face, in photo pixels.
pub(super) struct Known<'a> {
    pub(super) pith: Option<Point>,
    pub(super) radius_px: f64,
    /// What a place is: one of the bytes of `file`.
    pub(super) wood: &'a dyn Fn(Point) -> u8,
}

/// The whole photo and `parts` random parts of it, appended to `body`.
pub(super) fn views(
    face: &Face,
    known: &Known<'_>,
    parts: usize,
    dice: &mut impl Rng,
    body: &mut Vec<u8>,
) -> Vec<SceneHead> {
    let (width, height) = face.rgb.dimensions();
    let mut heads = vec![view(face, known, [0, 0, width, height], body)];
    for _ in 0..parts {
        heads.push(view(face, known, part(face, known, dice), body));
    }
    heads
}

/// A random part: left, top, width and height.
fn part(face: &Face, known: &Known<'_>, dice: &mut impl Rng) -> [u32; 4] {
    let (width, height) = face.rgb.dimensions();
    let longest = f64::from(width.max(height));
    let side = longest * (dice.random_range(0.09_f64.ln()..0.9_f64.ln())).exp();
    let side = side.max(120.0) as u32;
    let (across, down) = (side.min(width), side.min(height));
    let near = |dice: &mut dyn FnMut() -> f64, at: f64| at + f64::from(side) * dice();
    let mut off = || dice.random_range(-0.42..0.42);
    let (x, y) = match known.pith {
        Some(pith) => (near(&mut off, pith.x_px), near(&mut off, pith.y_px)),
        None => (
            f64::from(width) * (0.5 + off()),
            f64::from(height) * (0.5 + off()),
        ),
    };
    let corner = |middle: f64, side: u32, limit: u32| {
        (middle - f64::from(side) / 2.0).clamp(0.0, f64::from(limit - side)) as u32
    };
    [
        corner(x, across, width),
        corner(y, down, height),
        across,
        down,
    ]
}

fn view(
    face: &Face,
    known: &Known<'_>,
    [left, top, width, height]: [u32; 4],
    body: &mut Vec<u8>,
) -> SceneHead {
    let (small, cell_px) = sight::small_part(face, left, top, width, height);
    let (left, top) = (f64::from(left), f64::from(top));
    let wood = Array2::from_shape_fn((sight::SMALL, sight::SMALL), |(y, x)| {
        let at = |cell: usize| (cell as f64 + 0.5) * cell_px;
        (known.wood)(Point::new(left + at(x), top + at(y)))
    });
    body.extend(bytes_of(&small));
    body.extend(wood);
    SceneHead {
        pith: known
            .pith
            .map(|pith| [(pith.x_px - left) / cell_px, (pith.y_px - top) / cell_px]),
        radius: known.radius_px / cell_px,
        size: [f64::from(width) / cell_px, f64::from(height) / cell_px],
    }
}
