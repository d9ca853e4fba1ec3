//! How far what is seen can be trusted: whether the circle agrees, and where
//! chances stand in lines and not in a grey.

use super::network::Places;
use super::weighed_back;
use ndarray::Array2;
use profile::{Edge, blur_across, blur_down};

/// Stretches of the radius over which the mean is taken for agreement.
const STRETCHES: usize = 12;
/// High chances that take up most of the courses are no lines: a face rough
/// from the saw gives a mean chance, weighted by itself, of 0.49 to 0.67 on
/// most of its courses (measured 2026-11-25), where rings that narrow give less.
const CROWDED: (f32, f32) = (0.53, 0.55);
/// Courses that a clear line takes up.
const LINE: f32 = 3.6;
/// How much more than their lines' share of the courses chances may take up.
const DIFFUSE: f32 = 1.6;
/// Rows and courses over which this is looked at (standard deviations).
const CLEAR_OVER: (f32, f32) = (5.0, 12.0);

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

/// Agreement from which lines that crowd are rings that are narrow, not fuzz:
/// fuzz differs from row to row (measured 2026-11-25: narrow clear rings 0.86
/// and more, faces rough from the saw 0.4 and less).
const AGREED: f64 = 0.75;

/// Of what is `seen`, what can be trusted, `[row, course]`, and its share of the wood.
///
/// Where the network knows what it sees, chances stand in lines a ring apart;
/// fuzz that it never learned gives an even grey.
pub(super) fn trusted(seen: Array2<f32>, places: &Places, spacing: &[f32]) -> (Array2<f32>, f64) {
    let shape = seen.dim();
    let ends = Array2::from_shape_fn(shape, |(row, course)| {
        seen[[row, course]] * weighed_back(places.ends[[row, course]])
    });
    let spread = |field: &Array2<f32>| {
        let along = blur_down(field, CLEAR_OVER.0, Edge::Wrap);
        blur_across(along, CLEAR_OVER.1, Edge::Repeat)
    };
    let (mean, square, there) = (spread(&ends), spread(&(&ends * &ends)), spread(&seen));
    let mut out = seen.clone();
    let wood = Array2::from_shape_fn(shape, |(row, course)| {
        seen[[row, course]] * places.wood[[row, course]]
    });
    if agreement(&ends, &wood) > AGREED {
        return (seen, 1.0);
    }
    let (mut clear, mut all) = (0.0_f64, 1e-9_f64);
    for ((row, course), visible) in out.indexed_iter_mut() {
        let at = [row, course];
        let wood = f64::from(wood[at]);
        all += wood;
        let crowded = square[at] / mean[at].max(1e-4);
        // Share of the courses that the chances take up.
        let taken = mean[at] * mean[at] / (square[at] * there[at]).max(1e-6);
        let rough = crowded > CROWDED.0 && taken > CROWDED.1;
        if !rough && taken < DIFFUSE * (LINE / spacing[course]).min(0.6) {
            clear += wood;
        } else {
            *visible = 0.0;
        }
    }
    (out, clear / all)
}
