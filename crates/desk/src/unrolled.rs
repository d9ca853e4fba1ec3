//! The stump unrolled, as a picture and as numbers: level courses from the
//! pith (below) to a little beyond the bark (above), one whole turn across.

use axum::body::Bytes;
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, Rgb, RgbImage};
use photo::Face;
use rayon::prelude::*;
use reader::TracedFace;
use report::picture::color_at;
use serde::Serialize;
use std::f64::consts::TAU;
use wood::Angle;

/// Columns of the picture: one whole turn.
const COLUMNS: u32 = 2048;
/// Rows of the picture: one a course, within these limits.
const ROWS: (f64, f64) = (700.0, 2200.0);
/// What is shown beyond the last course that can be read.
const BEYOND: f64 = 1.04;
/// Steps of angle and of course in the numbers.
const STEPS: usize = 120;
const STATIONS: usize = 256;
/// The color shown where the photo ends: that of the page.
pub(crate) const BLANK: Rgb<u8> = Rgb([236, 228, 210]);
const QUALITY: u8 = 86;

/// How the picture and the numbers are to be read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct UnrolledInfo {
    /// Changes when the picture and the numbers change.
    pub(crate) version: u64,
    /// The course at the upper edge of the picture; the lower one is 0.
    pub(crate) top_course: f64,
    /// Steps of angle in the numbers, clockwise from +x.
    pub(crate) steps: usize,
    /// Stations along each step, from course 0 to `top_course` in even steps.
    pub(crate) stations: usize,
    /// The course of each ring's outer boundary, pith first.
    pub(crate) courses: Vec<f64>,
}

/// How the unrolled picture of a face is to be read.
pub(crate) fn info(traced: &TracedFace, version: u64) -> UnrolledInfo {
    UnrolledInfo {
        version,
        top_course: top_course(traced),
        steps: STEPS,
        stations: STATIONS,
        courses: traced
            .boundaries
            .list
            .iter()
            .map(|boundary| (boundary.course * 100.0).round() / 100.0)
            .collect(),
    }
}

/// The course at the picture's upper edge. Marks on rings leave it as it is.
pub(crate) fn top_course(traced: &TracedFace) -> f64 {
    let last = traced.straightened.radius.ncols() as f64 - 2.0;
    let edge = traced.edge.course.iter().copied().fold(0.0_f32, f32::max);
    let to = match traced.bark {
        Some(bark) => (bark * 1.06).max(f64::from(edge).min(bark * 1.25)),
        None => traced.to,
    };
    (to * BEYOND).clamp(8.0, last.max(8.0)).round()
}

/// Distances from the pith in photo pixels, `[step][station]`, as little-endian
/// 32 bit floats.
pub(crate) fn field(traced: &TracedFace, top_course: f64) -> Bytes {
    let mut bytes = Vec::with_capacity(STEPS * STATIONS * 4);
    for step in 0..STEPS {
        let angle = Angle(step as f64 / STEPS as f64 * TAU);
        let row = traced.unrolled.nearest_row(angle);
        for station in 0..STATIONS {
            let course = top_course * station as f64 / (STATIONS - 1) as f64;
            let radius = f64::from(traced.straightened.radius_at(row, course));
            let radius_px = (radius * traced.unrolled.step_px) as f32;
            bytes.extend_from_slice(&radius_px.to_le_bytes());
        }
    }
    Bytes::from(bytes)
}

/// The wood itself, course by course, as a JPEG.
pub(crate) fn picture(
    face: &Face,
    traced: &TracedFace,
    top_course: f64,
) -> image::ImageResult<Bytes> {
    let height = top_course.clamp(ROWS.0, ROWS.1) as u32;
    let angles = traced.unrolled.angles();
    let mut pixels = vec![0_u8; (COLUMNS * height * 3) as usize];
    pixels
        .par_chunks_exact_mut(COLUMNS as usize * 3)
        .enumerate()
        .for_each(|(row, line)| {
            let course = top_course * (1.0 - (row as f64 + 0.5) / f64::from(height));
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let angle = Angle((column as f64 + 0.5) / f64::from(COLUMNS) * TAU);
                let at = traced.unrolled.row_toward(angle);
                let (low, part) = (at as usize % angles, at.fract());
                let radius = f64::from(traced.straightened.radius_at(low, course)) * (1.0 - part)
                    + f64::from(traced.straightened.radius_at((low + 1) % angles, course)) * part;
                let place = traced.unrolled.toward(angle, radius);
                pixel.copy_from_slice(&color_at(&face.rgb, place).unwrap_or(BLANK).0);
            }
        });
    jpeg(&pixels, (COLUMNS, height))
}

/// The upright photo, as a JPEG that every browser shows.
pub(crate) fn photo(face: &Face) -> image::ImageResult<Bytes> {
    jpeg(face.rgb.as_raw(), face.rgb.dimensions())
}

/// A small picture of a photo, no side longer than `longest`.
pub(crate) fn thumbnail(rgb: &RgbImage, longest: u32) -> image::ImageResult<Bytes> {
    let (width, height) = rgb.dimensions();
    let share = f64::from(longest) / f64::from(width.max(height)).max(1.0);
    let size = |side: u32| ((f64::from(side) * share.min(1.0)) as u32).max(1);
    let small = image::imageops::thumbnail(rgb, size(width), size(height));
    jpeg(small.as_raw(), small.dimensions())
}

pub(crate) fn jpeg(pixels: &[u8], (width, height): (u32, u32)) -> image::ImageResult<Bytes> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, QUALITY).encode(
        pixels,
        width,
        height,
        ExtendedColorType::Rgb8,
    )?;
    Ok(Bytes::from(bytes))
}
