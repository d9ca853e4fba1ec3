//! Local mean and spread taken out of an unrolled face.

use super::grid::row_of;
use crate::smooth::{Edge, blur_across, blur_down};
use crate::unroll::Unrolled;
use ndarray::{Array2, Zip};

/// Steps of angle and of radius pooled before smoothing. Chosen for speed: the window
/// that follows is several times as large.
const POOL: (usize, usize) = (4, 3);
/// The smallest spread that is divided by, in units of lightness (chosen): below it a
/// face shows noise and not rings.
const LEAST_SPREAD: f32 = 1.2;
/// Values beyond this many spreads (checks, pen) count no further. Chosen: what is
/// normal noise stays, what is drawn on the wood does not.
const CLIP: f32 = 2.5;

/// Lightness less its local mean, in local standard deviations; 0 where not seen.
///
/// `window` is the standard deviation of the Gaussian window along the radius, in steps.
pub(super) fn normalize(unrolled: &Unrolled, window: f32) -> Array2<f32> {
    let (angles, radii) = unrolled.lightness.dim();
    let (rows, columns) = (angles.div_ceil(POOL.0), radii.div_ceil(POOL.1));
    let mut weight = Array2::<f32>::zeros((rows, columns));
    let mut first = Array2::<f32>::zeros((rows, columns));
    let mut second = Array2::<f32>::zeros((rows, columns));
    Zip::indexed(weight.rows_mut())
        .and(first.rows_mut())
        .and(second.rows_mut())
        .par_for_each(|row, mut weight, mut first, mut second| {
            for angle in row * POOL.0..((row + 1) * POOL.0).min(angles) {
                let seen = row_of(&unrolled.seen, angle).chunks(POOL.1);
                let lightness = row_of(&unrolled.lightness, angle).chunks(POOL.1);
                for (cell, (seen, lightness)) in seen.zip(lightness).enumerate() {
                    for (seen, value) in seen.iter().zip(lightness) {
                        weight[cell] += seen;
                        first[cell] += seen * value;
                        second[cell] += seen * value * value;
                    }
                }
            }
        });
    let spread_out = |field: Array2<f32>| {
        let along = blur_down(&field, 1.5, Edge::Wrap);
        blur_across(along, window / POOL.1 as f32, Edge::Repeat)
    };
    let weight = spread_out(weight);
    let first = spread_out(first);
    let second = spread_out(second);
    let mut mean = Array2::<f32>::zeros((rows, columns));
    let mut spread = Array2::<f32>::zeros((rows, columns));
    Zip::from(&mut mean)
        .and(&mut spread)
        .and(&weight)
        .and(&first)
        .and(&second)
        .par_for_each(|mean, spread, &w, &m, &s| {
            let w = w.max(1e-3);
            *mean = m / w;
            *spread = (s / w - (m / w).powi(2)).max(0.0).sqrt().max(LEAST_SPREAD);
        });
    let mut out = Array2::zeros((angles, radii));
    Zip::indexed(out.rows_mut()).par_for_each(|angle, mut line| {
        let (mean, spread) = (
            row_of(&mean, angle / POOL.0),
            row_of(&spread, angle / POOL.0),
        );
        let seen = row_of(&unrolled.seen, angle);
        let lightness = row_of(&unrolled.lightness, angle);
        for (radius, ((value, &seen), &here)) in
            line.iter_mut().zip(seen).zip(lightness).enumerate()
        {
            if seen <= 0.0 {
                continue;
            }
            // Between the two nearest cells along the radius.
            let at = ((radius as f32 + 0.5) / POOL.1 as f32 - 0.5).max(0.0);
            let cell = (at as usize).min(columns - 1);
            let next = (cell + 1).min(columns - 1);
            let part = at - cell as f32;
            let between = |field: &[f32]| field[cell] * (1.0 - part) + field[next] * part;
            *value = ((here - between(mean)) / between(spread)).clamp(-CLIP, CLIP);
        }
    });
    out
}
