//! Cross-section from ring widths.

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
