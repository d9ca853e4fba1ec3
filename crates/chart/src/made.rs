//! Rings made up for tests.

use wood::{Mm, Px, Ring, Year};

/// Rings of the given widths in millimeters at 10 px per mm; the outermost
/// grew in `last_year`.
pub(crate) fn rings(widths_mm: &[f64], last_year: Option<i32>) -> Vec<Ring> {
    let count = widths_mm.len() as i32;
    let mut radius = 0.0;
    widths_mm
        .iter()
        .enumerate()
        .map(|(index, &width)| {
            radius += width;
            Ring {
                number: index as u32 + 1,
                year: last_year.map(|last| Year(last - count + 1 + index as i32)),
                radius_px: Px(radius * 10.0),
                radius_mm: Some(Mm(radius)),
                width_px: Px(width * 10.0),
                width_mm: Some(Mm(width)),
                confidence: 0.9,
                notes: Vec::new(),
                outline_px: Vec::new(),
            }
        })
        .collect()
}

/// The same without a scale.
pub(crate) fn unscaled(widths_px: &[f64], last_year: Option<i32>) -> Vec<Ring> {
    let mut made = rings(widths_px, last_year);
    for ring in &mut made {
        ring.width_mm = None;
        ring.radius_mm = None;
    }
    made
}
