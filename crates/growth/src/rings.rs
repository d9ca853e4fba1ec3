//! Ring widths as plain numbers.

use wood::Ring;

/// Widths of rings and what they are measured in.
#[derive(Debug, Clone, PartialEq)]
pub struct Widths {
    /// Pith first; never negative, never NaN.
    pub values: Vec<f64>,
    /// In millimeters; else in pixels.
    pub in_mm: bool,
}

/// Widths in millimeters when every ring has one, else in pixels. A width
/// that is no number or below zero counts as 0: no growth seen.
#[must_use]
pub fn widths(rings: &[Ring]) -> Widths {
    let sound = |width: f64| {
        if width.is_finite() && width > 0.0 {
            width
        } else {
            0.0
        }
    };
    let mm: Option<Vec<f64>> = rings
        .iter()
        .map(|ring| ring.width_mm.map(|w| sound(w.0)))
        .collect();
    match mm {
        Some(values) if !values.is_empty() => Widths {
            values,
            in_mm: true,
        },
        _ => Widths {
            values: rings.iter().map(|ring| sound(ring.width_px.0)).collect(),
            in_mm: false,
        },
    }
}

#[cfg(test)]
pub(crate) mod made {
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
}
