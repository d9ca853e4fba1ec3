//! Cross-section and diameter from ring widths.

use std::f64::consts::PI;

/// Basal area laid down by each ring, in the square of the widths' unit.
///
/// `pith_offset` is the radius inside the first ring: 0 when the pith is seen.
///
/// # Method
/// BAI = π (R² − r²) with R and r the radius outside and inside the ring
/// (standard).
#[must_use]
pub fn basal_area_increments(widths: &[f64], pith_offset: f64) -> Vec<f64> {
    let mut inside = pith_offset;
    widths
        .iter()
        .map(|width| {
            let outside = inside + width;
            let area = PI * (outside * outside - inside * inside);
            inside = outside;
            area
        })
        .collect()
}

/// Width of the ring of age `age` (1 at the pith) in a tree that lays down the
/// same area each year and whose first ring is `first_width` wide.
///
/// # Method
/// w(t) = √(c/π) (√t − √(t−1)), √(c/π) being the first width: Biondi and
/// Qeadan 2008, Tree-Ring Research 64(2): 81–96 (form from memory).
#[must_use]
pub fn constant_area_width(age: u32, first_width: f64) -> f64 {
    let age = f64::from(age.max(1));
    first_width * (age.sqrt() - (age - 1.0).sqrt())
}

/// Diameter inside bark when the tree had `age` rings here; `None` beyond the
/// rings given. `pith_offset` as in [`basal_area_increments`], without rings.
#[must_use]
pub fn diameter_at_age(widths: &[f64], pith_offset: f64, age: usize) -> Option<f64> {
    let inner = widths.get(..age)?;
    Some(2.0 * (pith_offset + inner.iter().sum::<f64>()))
}

/// Diameter gained in ten years by rings of this width: 20 widths.
#[must_use]
pub fn diameter_growth_per_decade(width: f64) -> f64 {
    20.0 * width
}
