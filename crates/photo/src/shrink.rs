//! A smaller picture, each pixel the mean of those it stands for.

use ndarray::Array2;
use rayon::prelude::*;

/// A picture `factor` times smaller each way: each value is the mean of a
/// square of `factor` by `factor` values. What is left over at the right and
/// the lower edge is dropped. A factor of 0 or 1 gives a copy.
///
/// `lightness`: `[y, x]`, any unit; a `NaN` makes its whole square `NaN`.
/// The result: `[y, x]`, the same unit; the value at `[y, x]` stands for the
/// place `((x + 0.5) * factor - 0.5, (y + 0.5) * factor - 0.5)` in the larger
/// picture, in pixel centers. Linear in pixels, parallel over rows, the same
/// values on any number of threads.
///
/// # Example
/// ```
/// let picture = ndarray::array![[1.0, 3.0, 9.0], [5.0, 7.0, 9.0], [9.0, 9.0, 9.0]];
/// assert_eq!(photo::shrink(&picture, 2), ndarray::array![[4.0]]);
/// ```
#[must_use]
pub fn shrink(lightness: &Array2<f32>, factor: usize) -> Array2<f32> {
    if factor <= 1 {
        return lightness.clone();
    }
    let (height, width) = (lightness.nrows() / factor, lightness.ncols() / factor);
    let mut small = vec![0.0_f32; height * width];
    if width > 0 {
        let lightness = lightness.as_standard_layout();
        small
            .par_chunks_exact_mut(width)
            .enumerate()
            .for_each(|(y, row)| {
                for line in y * factor..(y + 1) * factor {
                    let line = lightness.row(line);
                    add_squares(row, line.to_slice().expect("rows lie in one piece"), factor);
                }
                to_means(row, factor);
            });
    }
    // The vector was made with exactly this many values.
    Array2::from_shape_vec((height, width), small).expect("shape and length agree")
}

/// Adds a line's values to the sums of the squares that they are in, `factor` by
/// `factor`.
pub(crate) fn add_squares(sums: &mut [f32], line: &[f32], factor: usize) {
    // The usual factors by name: such loops run many squares at once.
    match factor {
        2 => add_pieces::<2>(sums, line),
        3 => add_pieces::<3>(sums, line),
        4 => add_pieces::<4>(sums, line),
        _ => {
            for (sum, piece) in sums.iter_mut().zip(line.chunks_exact(factor)) {
                *sum += piece.iter().sum::<f32>();
            }
        }
    }
}

fn add_pieces<const FACTOR: usize>(sums: &mut [f32], line: &[f32]) {
    for (sum, piece) in sums.iter_mut().zip(line.as_chunks::<FACTOR>().0) {
        *sum += piece.iter().sum::<f32>();
    }
}

/// Makes sums over squares of `factor` by `factor` values their means.
pub(crate) fn to_means(sums: &mut [f32], factor: usize) {
    let share = 1.0 / (factor * factor) as f32;
    for sum in sums {
        *sum *= share;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use ndarray::array;

    #[test]
    fn a_square_becomes_its_mean_and_the_rest_is_dropped() {
        let picture = Array2::from_shape_fn((5, 7), |(y, x)| (10 * y + x) as f32);
        assert_eq!(
            shrink(&picture, 2),
            array![[5.5, 7.5, 9.5], [25.5, 27.5, 29.5]]
        );
        assert_eq!(shrink(&picture, 5), array![[22.0]]);
        assert_eq!(shrink(&picture, 8).dim(), (0, 0));
    }

    #[test]
    fn a_factor_of_none_or_one_is_a_copy() {
        let picture = array![[1.0, 2.0]];
        assert_eq!(shrink(&picture, 0), picture);
        assert_eq!(shrink(&picture, 1), picture);
    }

    #[test]
    fn a_picture_stored_by_columns_shrinks_alike() {
        let picture = Array2::from_shape_fn((6, 9), |(y, x)| (y * y + 3 * x) as f32);
        let by_columns = picture.t().to_owned().reversed_axes();
        assert_eq!(shrink(&by_columns, 3), shrink(&picture, 3));
    }
}
