//! Gaussian smoothing of fields along one axis, with an edge rule for each.

use crate::simd::with_simd;
use ndarray::{Array2, Zip};

/// What is beyond the end of an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// The first value follows the last (angles).
    Wrap,
    /// The last value goes on (radii, pixels).
    Repeat,
}

/// A sampled Gaussian of standard deviation `sigma` (samples), cut at three
/// standard deviations, summing to 1; first half only, center first.
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
    let mut out = line.to_vec();
    blur_with(&half_kernel(sigma), edge, &mut out);
    out
}

/// Values worked on at a time: what fits into a processor's registers, in several
/// vectors, so that one sum need not wait for another.
const AT_ONCE: usize = 64;

/// [`blur_line`] in place, with its kernel made.
fn blur_with(kernel: &[f32], edge: Edge, line: &mut [f32]) {
    let reach = kernel.len() - 1;
    let (reach, length) = (reach as isize, line.len() as isize);
    let beyond = |index: isize| line[source_index(index, line.len(), edge)];
    let mut padded: Vec<f32> = (-reach..0).map(beyond).collect();
    padded.extend_from_slice(line);
    padded.extend((length..length + reach + AT_ONCE as isize).map(beyond));
    let reach = reach as usize;
    with_simd(
        #[inline(always)]
        || weigh_along(&padded, reach, kernel, line),
    );
}

/// Weighed sums of a line with `reach` values before it, and as many and [`AT_ONCE`]
/// more behind.
#[inline(always)]
fn weigh_along(padded: &[f32], reach: usize, kernel: &[f32], out: &mut [f32]) {
    for (block, out) in out.chunks_mut(AT_ONCE).enumerate() {
        let middle = block * AT_ONCE + reach;
        let mut sums = [0.0_f32; AT_ONCE];
        for (sum, value) in sums.iter_mut().zip(&padded[middle..]) {
            *sum = value * kernel[0];
        }
        for (k, &weight) in kernel.iter().enumerate().skip(1) {
            let before = &padded[middle - k..][..AT_ONCE];
            let after = &padded[middle + k..][..AT_ONCE];
            for ((sum, before), after) in sums.iter_mut().zip(before).zip(after) {
                *sum += weight * (before + after);
            }
        }
        out.copy_from_slice(&sums[..out.len()]);
    }
}

/// Smooths the rows of a field, where they are, with a Gaussian of `sigma` samples.
///
/// The cost is linear in samples times sigma; rows are worked on in parallel
/// and no result depends on their order.
#[must_use]
pub fn blur_across(field: Array2<f32>, sigma: f32, edge: Edge) -> Array2<f32> {
    if sigma <= 0.0 || field.is_empty() {
        return field;
    }
    let kernel = half_kernel(sigma);
    let mut field = match field.is_standard_layout() {
        true => field,
        false => field.as_standard_layout().into_owned(),
    };
    Zip::from(field.rows_mut()).par_for_each(|row| {
        let row = row.into_slice().expect("rows of such a field are slices");
        blur_with(&kernel, edge, row);
    });
    field
}

/// Smooths the columns of a field with a Gaussian of `sigma` samples, at the same
/// cost as [`blur_across`].
#[must_use]
pub fn blur_down(field: &Array2<f32>, sigma: f32, edge: Edge) -> Array2<f32> {
    if sigma <= 0.0 {
        return field.clone();
    }
    let field = field.as_standard_layout();
    let mut out = Array2::zeros(field.raw_dim());
    let kernel = half_kernel(sigma);
    let (rows, columns) = field.dim();
    let values = field.as_slice().expect("such a field is a slice");
    let line = |row: isize| {
        let start = source_index(row, rows, edge) * columns;
        &values[start..start + columns]
    };
    Zip::indexed(out.rows_mut()).par_for_each(|row, to| {
        let to = to.into_slice().expect("rows of such a field are slices");
        let row = row as isize;
        let beside = (1..kernel.len()).flat_map(|k| {
            let apart = k as isize;
            [
                (kernel[k], line(row - apart)),
                (kernel[k], line(row + apart)),
            ]
        });
        let middle = std::iter::once((kernel[0], line(row)));
        let lines: Vec<(f32, &[f32])> = middle.chain(beside).collect();
        with_simd(
            #[inline(always)]
            || weigh_down(&lines, to),
        );
    });
    out
}

/// Weighed sums of lines as long as `out`.
#[inline(always)]
fn weigh_down(lines: &[(f32, &[f32])], out: &mut [f32]) {
    let Some(last) = out.len().checked_sub(AT_ONCE) else {
        for (at, out) in out.iter_mut().enumerate() {
            *out = lines.iter().map(|(weight, line)| weight * line[at]).sum();
        }
        return;
    };
    // The last block may begin before the one before it ends.
    let starts = (0..last).step_by(AT_ONCE).chain([last]);
    for start in starts {
        let mut sums = [0.0_f32; AT_ONCE];
        for (weight, line) in lines {
            for (sum, value) in sums.iter_mut().zip(&line[start..start + AT_ONCE]) {
                *sum += weight * value;
            }
        }
        out[start..start + AT_ONCE].copy_from_slice(&sums);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The weighed sums as they are written down.
    fn plainly(line: &[f32], sigma: f32, edge: Edge) -> Vec<f32> {
        let half = half_kernel(sigma);
        let at = |index: isize| f64::from(line[source_index(index, line.len(), edge)]);
        (0..line.len() as isize)
            .map(|middle| {
                let beside = half.iter().zip(0..).skip(1);
                let sum: f64 = beside
                    .map(|(&weight, off)| f64::from(weight) * (at(middle - off) + at(middle + off)))
                    .sum();
                (sum + f64::from(half[0]) * at(middle)) as f32
            })
            .collect()
    }

    #[test]
    fn lines_shorter_and_longer_than_what_is_worked_on_at_a_time_come_out_alike() {
        for length in [1, 5, AT_ONCE - 1, AT_ONCE, AT_ONCE + 1, 3 * AT_ONCE + 7] {
            let field = Array2::from_shape_fn((3, length), |(row, column)| {
                ((row * 31 + column * column) % 29) as f32 / 29.0
            });
            for (sigma, edge) in [(0.8, Edge::Repeat), (4.0, Edge::Wrap)] {
                let across = blur_across(field.clone(), sigma, edge);
                let down = blur_down(&field.t().to_owned(), sigma, edge);
                let wide = blur_down(&field, sigma, edge);
                for row in 0..3 {
                    let expected = plainly(&field.row(row).to_vec(), sigma, edge);
                    for (at, expected) in expected.into_iter().enumerate() {
                        assert!((across[[row, at]] - expected).abs() < 1e-5, "{length}");
                        assert!((down[[at, row]] - expected).abs() < 1e-5, "{length}");
                    }
                }
                for at in 0..length {
                    let expected = plainly(&field.column(at).to_vec(), sigma, edge);
                    for (row, expected) in expected.into_iter().enumerate() {
                        assert!((wide[[row, at]] - expected).abs() < 1e-5, "{length}");
                    }
                }
            }
        }
    }
}
