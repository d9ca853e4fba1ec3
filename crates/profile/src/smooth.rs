//! Gaussian smoothing of fields along one axis, with an edge rule for each.

use ndarray::{Array2, ArrayView1, Axis, Zip};

/// What lies beyond the end of an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// The first value follows the last (angles).
    Wrap,
    /// The last value goes on (radii, pixels).
    Repeat,
}

/// A sampled Gaussian of standard deviation `sigma` (samples), cut at three
/// standard deviations, summing to 1; first half only, centre first.
fn half_kernel(sigma: f32) -> Vec<f32> {
    let reach = (3.0 * sigma).ceil() as usize;
    let mut half: Vec<f32> = (0..=reach)
        .map(|i| (-0.5 * (i as f32 / sigma).powi(2)).exp())
        .collect();
    let sum = half[0] + 2.0 * half[1..].iter().sum::<f32>();
    half.iter_mut().for_each(|weight| *weight /= sum);
    half
}

fn source_index(index: isize, length: usize, edge: Edge) -> usize {
    match edge {
        Edge::Wrap => index.rem_euclid(length as isize) as usize,
        Edge::Repeat => index.clamp(0, length as isize - 1) as usize,
    }
}

/// Smooths a line of samples with a Gaussian of `sigma` samples.
///
/// A `sigma` of zero or less gives the line back. Linear in samples times sigma.
///
/// # Example
/// ```
/// use profile::{Edge, blur_line};
/// let even = blur_line(&[1.0; 5], 2.0, Edge::Repeat);
/// assert!(even.iter().all(|v| (v - 1.0).abs() < 1e-6));
/// ```
#[must_use]
pub fn blur_line(line: &[f32], sigma: f32, edge: Edge) -> Vec<f32> {
    if sigma <= 0.0 || line.is_empty() {
        return line.to_vec();
    }
    let kernel = half_kernel(sigma);
    let reach = kernel.len() - 1;
    let padded: Vec<f32> = (-(reach as isize)..(line.len() + reach) as isize)
        .map(|i| line[source_index(i, line.len(), edge)])
        .collect();
    (0..line.len())
        .map(|i| {
            let window = &padded[i..=i + 2 * reach];
            let mut sum = window[reach] * kernel[0];
            for (k, weight) in kernel.iter().enumerate().skip(1) {
                sum += weight * (window[reach - k] + window[reach + k]);
            }
            sum
        })
        .collect()
}

/// Smooths a field along one axis with a Gaussian of `sigma` samples.
///
/// The cost is linear in samples times sigma; rows are worked on in parallel
/// and no result depends on their order.
#[must_use]
pub fn blur_axis(field: &Array2<f32>, axis: Axis, sigma: f32, edge: Edge) -> Array2<f32> {
    if sigma <= 0.0 {
        return field.clone();
    }
    let mut out = Array2::zeros(field.raw_dim());
    if axis == Axis(1) {
        Zip::from(out.rows_mut()).and(field.rows()).par_for_each(
            |mut to: ndarray::ArrayViewMut1<'_, f32>, from: ArrayView1<'_, f32>| {
                let line = blur_line(&from.to_vec(), sigma, edge);
                to.iter_mut().zip(line).for_each(|(t, v)| *t = v);
            },
        );
        return out;
    }
    let kernel = half_kernel(sigma);
    let rows = field.nrows();
    Zip::indexed(out.rows_mut()).par_for_each(|row, mut to| {
        for (k, &weight) in kernel.iter().enumerate() {
            let offsets: &[isize] = if k == 0 {
                &[0]
            } else {
                &[-(k as isize), k as isize]
            };
            for &offset in offsets {
                let from = field.row(source_index(row as isize + offset, rows, edge));
                to.zip_mut_with(&from, |t, v| *t += weight * v);
            }
        }
    });
    out
}
