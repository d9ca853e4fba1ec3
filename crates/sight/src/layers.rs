//! The layers of a small convolutional network, forward only.
//!
//! Fields are `[row, channel, column]`, so that the channels of a row are lines
//! and each layer is sums over lines ([`Kernel`]). Rows are worked on in parallel;
//! no result depends on their order.

use crate::kernel::{GROUP, Kernel, Lines};
use ndarray::{Array2, Array3, Axis, Zip};
use rayon::prelude::*;

/// What lies above the first row and below the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rows {
    /// The other end: rows go round the circle.
    Round,
    /// Nothing.
    Flat,
}

/// 3 by 3 convolution and rectification; weights `[outer, inner * 9]`, down the
/// column before across.
pub(crate) fn conv(field: &Array3<f32>, kernel: &Kernel, rows: Rows) -> Array3<f32> {
    let (height, inner, width) = field.dim();
    // Each channel of the row above, the row itself and the row below.
    let lines = || Lines::empty(inner * 3, width, 1, 1);
    each_row(
        field.dim(),
        kernel.outer(),
        lines,
        |lines: &mut Lines, row, to| {
            for down in 0..3_usize {
                let from = match rows {
                    Rows::Round => Some((row + height + down - 1) % height),
                    Rows::Flat => (row + down).checked_sub(1).filter(|&at| at < height),
                };
                let from = from.map(|at| channels_of(field, at));
                for channel in 0..inner {
                    let line = lines.line_mut(channel * 3 + down);
                    match from {
                        Some(from) => line.copy_from_slice(&from[channel * width..][..width]),
                        None => line.fill(0.0),
                    }
                }
            }
            kernel.all(lines, &[0, 1, 2], Some(0.0), to);
        },
    )
}

/// 1 by 1 convolution, without rectification.
pub(crate) fn mix(field: &Array3<f32>, kernel: &Kernel) -> Array3<f32> {
    let (_, inner, width) = field.dim();
    let lines = || Lines::empty(inner, width, 0, 0);
    each_row(
        field.dim(),
        kernel.outer(),
        lines,
        |lines: &mut Lines, row, to| {
            let from = channels_of(field, row);
            for channel in 0..inner {
                let line = lines.line_mut(channel);
                line.copy_from_slice(&from[channel * width..][..width]);
            }
            kernel.all(lines, &[0], None, to);
        },
    )
}

/// A field with the rows and columns of another, `[row, channel, column]`, and `outer`
/// channels, whose rows `write` fills.
fn each_row(
    (height, _, width): (usize, usize, usize),
    outer: usize,
    lines: impl Fn() -> Lines + Sync + Send,
    write: impl Fn(&mut Lines, usize, &mut [f32]) + Sync + Send,
) -> Array3<f32> {
    let mut out = vec![0.0; height * outer * width];
    out.par_chunks_mut((outer * width).max(1))
        .enumerate()
        // Lines are made once for each few rows, not for each.
        .with_min_len(4)
        .for_each_init(lines, |lines, (row, to)| write(lines, row, to));
    Array3::from_shape_vec((height, outer, width), out).expect("made with this many values")
}

/// The channels of a row, a line each, one after another.
fn channels_of(field: &Array3<f32>, row: usize) -> &[f32] {
    let (_, inner, width) = field.dim();
    let values = field.as_slice().expect("fields are made here in one piece");
    &values[row * inner * width..(row + 1) * inner * width]
}

/// The greatest of each two by two places.
pub(crate) fn halve(field: &Array3<f32>) -> Array3<f32> {
    let (height, channels, width) = field.dim();
    let mut out = Array3::<f32>::zeros((height / 2, channels, width / 2));
    Zip::indexed(out.axis_iter_mut(Axis(0))).par_for_each(|row, mut to| {
        let above = field.index_axis(Axis(0), 2 * row);
        let below = field.index_axis(Axis(0), 2 * row + 1);
        for ((to, above), below) in to
            .rows_mut()
            .into_iter()
            .zip(above.rows())
            .zip(below.rows())
        {
            let pairs = above.exact_chunks(2).into_iter().zip(below.exact_chunks(2));
            for (to, (above, below)) in to.into_iter().zip(pairs) {
                *to = above[0].max(above[1]).max(below[0]).max(below[1]);
            }
        }
    });
    out
}

/// Each place of `low` repeated two by two and added to `high`.
pub(crate) fn add_doubled(high: &mut Array3<f32>, low: &Array3<f32>) {
    Zip::indexed(high.axis_iter_mut(Axis(0))).par_for_each(|row, mut to| {
        let from = low.index_axis(Axis(0), row / 2);
        for (mut line, from) in to.rows_mut().into_iter().zip(from.rows()) {
            for (mut pair, value) in line.exact_chunks_mut(2).into_iter().zip(from) {
                pair[0] += value;
                pair[1] += value;
            }
        }
    });
}

/// Convolution along a line `[channel, column]` with taps `apart` columns apart;
/// weights `[outer, inner * taps]`, taps fastest.
pub(crate) fn along(line: &Array2<f32>, kernel: &Kernel, taps: usize, apart: usize) -> Array2<f32> {
    let (inner, width) = line.dim();
    let (back, on) = (taps / 2 * apart, (taps - 1 - taps / 2) * apart);
    let mut lines = Lines::empty(inner, width, back, on);
    for (nth, row) in line.rows().into_iter().enumerate() {
        let to = lines.line_mut(nth).iter_mut();
        to.zip(row).for_each(|(to, from)| *to = *from);
    }
    let taps: Vec<usize> = (0..taps).map(|tap| tap * apart).collect();
    let mut out = vec![0.0; kernel.outer() * width];
    out.par_chunks_mut((GROUP * width).max(1))
        .enumerate()
        .for_each(|(group, to)| kernel.group(group, &lines, &taps, None, to));
    Array2::from_shape_vec((kernel.outer(), width), out).expect("made with this many values")
}

/// 1 / (1 + exp(-x)).
pub(crate) fn chance(logit: f32) -> f32 {
    1.0 / (1.0 + (-logit).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    fn sum_of_nine() -> Kernel {
        Kernel::of(&[1.0; 9], &[0.0])
    }

    #[test]
    fn a_convolution_sums_its_neighbours_and_closes_the_circle() {
        // Rows 0, 1, 2 hold 1, 10, 100 in all three columns.
        let field = Array3::from_shape_fn((3, 1, 3), |(row, _, _)| 10_f32.powi(row as i32));
        let round = conv(&field, &sum_of_nine(), Rows::Round);
        assert!(
            (round[[0, 0, 1]] - 333.0).abs() < 1e-3,
            "three columns of all rows"
        );
        assert!(
            (round[[0, 0, 0]] - 222.0).abs() < 1e-3,
            "two columns at the border"
        );
        let flat = conv(&field, &sum_of_nine(), Rows::Flat);
        assert!(
            (flat[[0, 0, 1]] - 33.0).abs() < 1e-3,
            "nothing above the first row"
        );
        assert!((flat[[2, 0, 2]] - 220.0).abs() < 1e-3);
    }

    #[test]
    fn halving_keeps_the_greatest_and_doubling_repeats_it() {
        let field = array![[[1.0, 2.0]], [[4.0, 3.0]]];
        let half = halve(&field);
        assert_eq!(half.dim(), (1, 1, 1));
        let mut high = Array3::<f32>::zeros((2, 1, 2));
        add_doubled(&mut high, &half);
        assert!(high.iter().all(|&v| (v - 4.0).abs() < 1e-6));
    }

    #[test]
    fn taps_along_a_line_reach_as_far_apart_as_told() {
        let line = array![[1.0, 2.0, 4.0, 8.0, 16.0]];
        let kernel = Kernel::of(&[1.0, 0.0, 1.0], &[0.5]);
        let out = along(&line, &kernel, 3, 2);
        assert!((out[[0, 2]] - 17.5).abs() < 1e-6);
        assert!((out[[0, 0]] - 4.5).abs() < 1e-6);
    }
}
