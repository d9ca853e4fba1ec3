//! The layers of a small convolutional network, forward only.
//!
//! Fields are `[row, channel, column]`, so that one row is a matrix and a
//! convolution is one matrix product a row (patches laid out as columns, then
//! multiplied; the usual lowering). Rows are worked on in parallel; no result
//! depends on their order.

use ndarray::linalg::general_mat_mul;
use ndarray::{Array1, Array2, Array3, Axis, Slice, Zip};
use rayon::prelude::*;
use std::ops::Range;

/// What lies above the first row and below the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rows {
    /// The other end: rows go round the circle.
    Round,
    /// Nothing.
    Flat,
}

/// A convolution: weights `[outer, inner * taps]` and one bias an outer channel.
#[derive(Debug, Clone)]
pub(crate) struct Kernel {
    pub(crate) weight: Array2<f32>,
    pub(crate) bias: Array1<f32>,
}

/// Columns worked on at once, so that a block of patches stays in cache.
const BLOCK: usize = 512;

/// 3 by 3 convolution and rectification.
pub(crate) fn conv(field: &Array3<f32>, kernel: &Kernel, rows: Rows) -> Array3<f32> {
    let (height, inner, width) = field.dim();
    let outer = kernel.weight.nrows();
    let mut out = Array3::<f32>::zeros((height, outer, width));
    let patches = || Array2::<f32>::zeros((inner * 9, BLOCK.min(width)));
    out.axis_iter_mut(Axis(0))
        .into_par_iter()
        .enumerate()
        .for_each_init(patches, |patches, (row, mut to)| {
            for start in (0..width).step_by(BLOCK) {
                let columns = start..(start + BLOCK).min(width);
                lay_out(patches, field, rows, row, &columns);
                let patches = patches.slice_axis(Axis(1), Slice::from(..columns.len()));
                let mut part = to.slice_axis_mut(Axis(1), Slice::from(columns));
                general_mat_mul(1.0, &kernel.weight, &patches, 0.0, &mut part);
            }
            for (mut line, &bias) in to.rows_mut().into_iter().zip(&kernel.bias) {
                line.mapv_inplace(|value| (value + bias).max(0.0));
            }
        });
    out
}

/// The patches around some columns of a row, each as a column:
/// `[channel * 9 + down * 3 + across, column]`.
fn lay_out(
    patches: &mut Array2<f32>,
    field: &Array3<f32>,
    rows: Rows,
    row: usize,
    columns: &Range<usize>,
) {
    let (height, inner, _) = field.dim();
    for down in 0..3_usize {
        let from = match rows {
            Rows::Round => Some((row + height + down - 1) % height),
            Rows::Flat => (row + down).checked_sub(1).filter(|&at| at < height),
        };
        for channel in 0..inner {
            let source = from.map(|at| {
                let row = field.index_axis(Axis(0), at);
                row.index_axis_move(Axis(0), channel)
            });
            let source = source.as_ref().and_then(|line| line.to_slice());
            for across in 0..3_usize {
                let mut line = patches.row_mut(channel * 9 + down * 3 + across);
                let line = line.as_slice_mut().expect("made here in one piece");
                fill(&mut line[..columns.len()], columns.start + across, source);
            }
        }
    }
}

/// One line of patches: the values of `source` from column `start - 1` on, and
/// nothing beyond its ends; nothing at all without a source.
fn fill(line: &mut [f32], start: usize, source: Option<&[f32]>) {
    let Some(source) = source else {
        return line.fill(0.0);
    };
    // Column `start - 1 + i` of the field goes to place `i`.
    let skip = usize::from(start == 0);
    let first = start + skip - 1;
    let many = (line.len() - skip).min(source.len().saturating_sub(first));
    line[..skip].fill(0.0);
    line[skip..skip + many].copy_from_slice(&source[first..first + many]);
    line[skip + many..].fill(0.0);
}

/// 1 by 1 convolution, without rectification.
pub(crate) fn mix(field: &Array3<f32>, kernel: &Kernel) -> Array3<f32> {
    let (height, _, width) = field.dim();
    let mut out = Array3::<f32>::zeros((height, kernel.weight.nrows(), width));
    Zip::from(out.axis_iter_mut(Axis(0)))
        .and(field.axis_iter(Axis(0)))
        .par_for_each(|mut to, from| {
            general_mat_mul(1.0, &kernel.weight, &from, 0.0, &mut to);
            for (mut line, &bias) in to.rows_mut().into_iter().zip(&kernel.bias) {
                line.mapv_inplace(|value| value + bias);
            }
        });
    out
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

/// Columns of a line worked on at once.
const PIECE: usize = 128;

/// Convolution along a line `[channel, column]` with taps `apart` columns apart;
/// weights `[outer, inner * taps]`, taps fastest.
pub(crate) fn along(line: &Array2<f32>, kernel: &Kernel, taps: usize, apart: usize) -> Array2<f32> {
    let (inner, width) = line.dim();
    let mut out = Array2::<f32>::zeros((kernel.weight.nrows(), width));
    out.axis_chunks_iter_mut(Axis(1), PIECE)
        .into_par_iter()
        .enumerate()
        .for_each(|(nth, mut out)| {
            let mut patches = Array2::<f32>::zeros((inner * taps, out.ncols()));
            for tap in 0..taps {
                // Column `to` here is column `to + ahead - back` of the line.
                let ahead = nth * PIECE + tap * apart;
                let back = taps / 2 * apart;
                let (from, to) = (ahead.saturating_sub(back), back.saturating_sub(ahead));
                let mut these =
                    patches.slice_axis_mut(Axis(0), Slice::new(tap as isize, None, taps as isize));
                for (mut to_line, from_line) in these.rows_mut().into_iter().zip(line.rows()) {
                    let to_part = to_line.iter_mut().skip(to);
                    to_part
                        .zip(from_line.iter().skip(from))
                        .for_each(|(to, from)| *to = *from);
                }
            }
            general_mat_mul(1.0, &kernel.weight, &patches, 0.0, &mut out);
            for (mut row, &bias) in out.rows_mut().into_iter().zip(&kernel.bias) {
                row.mapv_inplace(|value| value + bias);
            }
        });
    out
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
        Kernel {
            weight: Array2::ones((1, 9)),
            bias: Array1::zeros(1),
        }
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
    fn a_wide_field_gives_the_same_on_both_sides_of_a_block() {
        let field = Array3::from_shape_fn((1, 1, BLOCK + 40), |(_, _, column)| column as f32);
        let out = conv(&field, &sum_of_nine(), Rows::Flat);
        for column in [1, BLOCK - 1, BLOCK, BLOCK + 38] {
            assert!(
                (out[[0, 0, column]] - 3.0 * column as f32).abs() < 1e-2,
                "{column}"
            );
        }
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
        let kernel = Kernel {
            weight: array![[1.0, 0.0, 1.0]],
            bias: array![0.5],
        };
        let out = along(&line, &kernel, 3, 2);
        assert!((out[[0, 2]] - 17.5).abs() < 1e-6);
        assert!((out[[0, 0]] - 4.5).abs() < 1e-6);
    }

    #[test]
    fn a_long_line_gives_the_same_on_both_sides_of_a_piece() {
        let line = Array2::from_shape_fn((1, 2 * PIECE + 9), |(_, column)| column as f32);
        let kernel = Kernel {
            weight: array![[1.0, 0.0, 1.0]],
            bias: array![0.0],
        };
        let out = along(&line, &kernel, 3, 64);
        for column in [64, PIECE - 1, PIECE, PIECE + 70] {
            assert!(
                (out[[0, column]] - 2.0 * column as f32).abs() < 1e-3,
                "{column}"
            );
        }
        assert!((out[[0, 3]] - 67.0).abs() < 1e-3, "nothing before the line");
    }
}
