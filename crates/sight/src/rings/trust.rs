//! How far what is seen can be relied on, and whether the circle agrees.

use super::network::Places;
use ndarray::{Array2, ArrayView2};

/// Stretches of the radius over which the mean is taken for agreement. Chosen: each
/// holds a few rings.
const STRETCHES: usize = 12;

/// Of all that varies along the radius in `ends`, how much varies alike on all
/// rows, 0 to 1; places count by `weight`, both `[row, course]`.
pub(super) fn agreement(ends: &Array2<f32>, weight: &Array2<f32>) -> f64 {
    // Weight, sum and sum of squares of each course.
    let mut sums = vec![[0.0_f64; 3]; ends.ncols()];
    for (ends, weight) in ends.rows().into_iter().zip(weight.rows()) {
        for ((sums, &value), &w) in sums.iter_mut().zip(ends).zip(weight) {
            let (value, w) = (f64::from(value), f64::from(w));
            sums[0] += w;
            sums[1] += w * value;
            sums[2] += w * value * value;
        }
    }
    let stretch = (sums.len() / STRETCHES).max(8);
    let (mut alike, mut all) = (0.0_f64, 1e-9_f64);
    for these in sums.chunks(stretch) {
        let these = || these.iter().filter(|sums| sums[0] > 1.0);
        let weight: f64 = these().map(|s| s[0]).sum();
        let mean = these().map(|s| s[1]).sum::<f64>() / weight.max(1e-9);
        for [w, sum, squares] in these() {
            alike += w * (sum / w - mean).powi(2);
            all += squares - 2.0 * mean * sum + w * mean * mean;
        }
    }
    alike / all
}

/// The share of the wood that is `seen` on which what is seen can be relied on,
/// 0 to 1; `visible` is what is left of it, both `[row, course]`.
pub(super) fn reliable_share(
    seen: &ArrayView2<'_, f32>,
    visible: &Array2<f32>,
    places: &Places,
) -> f64 {
    let (mut reliable, mut all) = (0.0_f64, 1e-9_f64);
    for ((row, course), &seen) in seen.indexed_iter() {
        let wood = places.wood[[row, course]];
        all += f64::from(seen * wood);
        reliable += f64::from(visible[[row, course]] * wood);
    }
    reliable / all
}
