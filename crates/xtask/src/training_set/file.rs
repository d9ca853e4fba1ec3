//! How an example is laid out in a file: the length of its head, the head as
//! JSON, then the arrays that the head names, one after another.

use anyhow::Context as _;
use ndarray::Array3;
use profile::{Straightened, Unrolled};
use rayon::prelude::*;
use serde::Serialize;
use std::fs;
use std::path::Path;
use wood::Point;

/// What stands at the head of a file.
#[derive(Debug, Serialize)]
pub(super) struct Head {
    /// The seed of a drawn face or of a copy's changes.
    pub(super) seed: u64,
    /// The photo's name; `None` for a drawn face.
    pub(super) photo: Option<String>,
    pub(super) rough: bool,
    /// Whether the face is rough from the saw but for dressed strips.
    pub(super) dressed: bool,
    /// Place in `wood::WoodClass::ALL`, where the class is known.
    pub(super) class: Option<usize>,
    /// Views of the photo or of parts of it: for each a picture
    /// `u8 [3, 256, 256]` and its wood `u8 [256, 256]`.
    pub(super) scenes: Vec<SceneHead>,
    /// For each a strip `u8 [6, 256, courses]`; then, of a drawn face, the
    /// courses of its lines `f32 [lines, 256]`, the bark edge last, and, where it is
    /// dressed in strips, how far each place is, `u8 [256, courses]`; or, of a photo,
    /// its wood `u8 [256, courses]`.
    pub(super) strips: Vec<StripHead>,
}

/// A small picture of a photo or of a part of it.
#[derive(Debug, Serialize)]
pub(super) struct SceneHead {
    /// In cells of the picture; it may be outside.
    pub(super) pith: Option<[f64; 2]>,
    /// Radius of the face in cells, where there is one.
    pub(super) radius: f64,
    /// Cells across and down that the photo takes.
    pub(super) size: [f64; 2],
}

/// Straightened rings.
#[derive(Debug, Serialize)]
pub(super) struct StripHead {
    /// Share of the circle that its rows take.
    pub(super) share: f64,
    pub(super) courses: usize,
    /// How many lines follow; 0 for a photo.
    pub(super) lines: usize,
    /// Marked radii of a photo.
    pub(super) radii: Vec<RadiusHead>,
}

/// A marked radius in a strip.
#[derive(Debug, Serialize)]
pub(super) struct RadiusHead {
    pub(super) row: f64,
    /// Courses of the ends of years.
    pub(super) ends: Vec<f64>,
    /// Courses between which nothing is known.
    pub(super) unknown: Vec<[f64; 2]>,
    /// Whether the last end is the last ring under the bark.
    pub(super) to_bark: bool,
}

/// Wood in a small picture or a strip.
pub(super) const WOOD: u8 = 1;
/// Something else.
pub(super) const NOT_WOOD: u8 = 0;
/// Not known.
pub(super) const UNKNOWN: u8 = 2;

/// Writes one example.
///
/// # Errors
/// When the file cannot be written.
pub(super) fn write(path: &Path, head: &Head, body: &[u8]) -> anyhow::Result<()> {
    let head = serde_json::to_vec(head)?;
    let mut all = (head.len() as u32).to_le_bytes().to_vec();
    all.extend(head);
    all.extend(body);
    fs::write(path, all).with_context(|| format!("cannot write {}", path.display()))
}

/// What each place of a strip is, `[256, courses]`: asked of every fourth course, for
/// outlines turn little in so few.
pub(super) fn by_place(
    unrolled: &Unrolled,
    straightened: &Straightened,
    what: impl Fn(Point) -> u8 + Sync,
) -> Vec<u8> {
    const EVERY: usize = 4;
    let (angles, courses) = straightened.courses.dim();
    let pooled = angles / sight::ROWS;
    let what = &what;
    (0..sight::ROWS)
        .into_par_iter()
        .flat_map_iter(|row| {
            let angle = row * pooled + pooled / 2;
            (0..courses.div_ceil(EVERY)).flat_map(move |block| {
                let course = (block * EVERY) as f64 + 1.5;
                let what = what(straightened.place(unrolled, angle, course));
                std::iter::repeat_n(what, EVERY.min(courses - block * EVERY))
            })
        })
        .collect()
}

/// Values of about -3 to 3 as bytes.
pub(super) fn bytes_of(values: &Array3<f32>) -> impl Iterator<Item = u8> {
    values
        .iter()
        .map(|value| (value * 40.0 + 128.0).round().clamp(0.0, 255.0) as u8)
}
