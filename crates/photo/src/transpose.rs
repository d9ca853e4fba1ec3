//! Rows made columns within the memory of the picture itself.

use rayon::prelude::*;

/// Columns that are moved together, so that memory is read in runs.
const BAND: usize = 64;

/// Makes rows of pixels columns: `pixels` has rows of `width` before and columns of
/// it after.
///
/// # Method
/// Catanzaro, Keller and Garland 2014, "A decomposition for in-place matrix
/// transposition", algorithm 1: columns are turned, then pixels are moved within
/// each row, then within each column. Three passes over the picture; beside it one
/// row for each thread and 64 columns are held.
pub(crate) fn transpose(pixels: &mut [[u8; 3]], width: usize) {
    if width == 0 || pixels.is_empty() {
        return;
    }
    let height = pixels.len() / width;
    let shared = common_divisor(height, width);
    let (rows_part, columns_part) = (height / shared, width / shared);
    if shared > 1 {
        within_columns(pixels, width, |y| y, |x| x / columns_part);
    }
    pixels
        .par_chunks_exact_mut(width)
        .enumerate()
        .for_each_init(Vec::new, |before, (y, row)| {
            before.clear();
            before.extend_from_slice(row);
            // To ((y + x / columns_part) % height + x * height) % width, part by part.
            let mut along = 0;
            for (part, pixels) in before.chunks_exact(columns_part).enumerate() {
                let down = (y + part) % height % width;
                for pixel in pixels {
                    row[wrapped(down + along, width)] = *pixel;
                    along = wrapped(along + height % width, width);
                }
            }
        });
    within_columns(
        pixels,
        width,
        |y| (y * width - y / rows_part) % height,
        |x| x % height,
    );
}

/// Puts at row `y` of each column `x` what stood at row `down(y) + along(x)` of it,
/// counted on from the top past the bottom. Both are less than the height.
fn within_columns(
    pixels: &mut [[u8; 3]],
    width: usize,
    down: impl Fn(usize) -> usize + Sync,
    along: impl Fn(usize) -> usize,
) {
    let height = pixels.len() / width;
    let mut before = vec![[0; 3]; height * BAND.min(width)];
    for first in (0..width).step_by(BAND) {
        let columns = BAND.min(width - first);
        let rows = pixels.chunks_exact(width);
        for (row, kept) in rows.zip(before.chunks_exact_mut(columns)) {
            kept.copy_from_slice(&row[first..first + columns]);
        }
        let along: Vec<usize> = (first..first + columns).map(&along).collect();
        let before = &before;
        pixels
            .par_chunks_exact_mut(width)
            .enumerate()
            .for_each(|(y, row)| {
                let down = down(y);
                let moved = row[first..first + columns].iter_mut().zip(&along);
                for (column, (pixel, along)) in moved.enumerate() {
                    *pixel = before[wrapped(down + along, height) * columns + column];
                }
            });
    }
}

/// A sum of two numbers under `end`, counted on from zero past the end.
fn wrapped(sum: usize, end: usize) -> usize {
    if sum < end { sum } else { sum - end }
}

/// The greatest common divisor.
fn common_divisor(a: usize, b: usize) -> usize {
    if b == 0 { a } else { common_divisor(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_become_columns() {
        for (width, height) in [
            (1, 1),
            (1, 40),
            (40, 1),
            (3, 2),
            (6, 4),
            (64, 64),
            (97, 5),
            (150, 100),
            (130, 201),
        ] {
            let number = |x: usize, y: usize| [x as u8, y as u8, (x ^ y) as u8];
            let mut pixels: Vec<[u8; 3]> = (0..width * height)
                .map(|at| number(at % width, at / width))
                .collect();
            transpose(&mut pixels, width);
            let expected: Vec<[u8; 3]> = (0..width * height)
                .map(|at| number(at / height, at % height))
                .collect();
            assert_eq!(pixels, expected, "{width} by {height}");
        }
    }
}
