//! The layers of a small convolutional network, forward only: each is sums over
//! lines ([`Kernel`]).

use crate::field::Field;
use crate::kernel::{Channels, Kernel, Read};
use ndarray::Array2;

/// What is above the first row and below the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rows {
    /// The other end: rows go around the circle.
    Round,
    /// Nothing.
    Flat,
}

impl Rows {
    /// The rows above, at and below one of so many, where there are any.
    fn around(self, row: usize, height: usize) -> [Option<usize>; 3] {
        [0, 1, 2].map(|down| match self {
            Self::Round => Some((row + height + down - 1) % height),
            Self::Flat => (row + down).checked_sub(1).filter(|&at| at < height),
        })
    }
}

/// The 3 by 3 convolution of a field and its rectification, row by row; weights
/// `[outer, inner * 9]`, down the column before across.
pub(crate) struct Conv<'a> {
    field: &'a Field,
    kernel: &'a Kernel,
    rows: Rows,
    /// What is beside the field.
    nothing: Channels,
}

impl<'a> Conv<'a> {
    pub(crate) fn of(field: &'a Field, kernel: &'a Kernel, rows: Rows) -> Self {
        let (_, channels, width) = field.dim();
        Self {
            field,
            kernel,
            rows,
            nothing: Field::empty_row(channels, width),
        }
    }

    /// Rows, channels and columns of what it makes.
    pub(crate) fn dim(&self) -> (usize, usize, usize) {
        let (height, _, width) = self.field.dim();
        (height, self.kernel.outer(), width)
    }

    /// Writes a row.
    pub(crate) fn row(&self, row: usize, to: &mut Channels) {
        let (height, _, _) = self.field.dim();
        let from = self.rows.around(row, height);
        let from = from.map(|at| at.map_or(&self.nothing, |at| self.field.row(at)));
        conv_row(self.kernel, &from, to);
    }
}

/// A row of a 3 by 3 convolution, rectified, from the row above, the row itself and the
/// row below.
fn conv_row(kernel: &Kernel, from: &[&Channels; 3], to: &mut Channels) {
    kernel.all(&Read::of(from, &[0, 1, 2], Some(0.0)), to);
}

/// A row of a 1 by 1 convolution, without rectification.
fn mix_row(kernel: &Kernel, from: &Channels, to: &mut Channels) {
    kernel.all(&Read::of(&[from], &[1], None), to);
}

/// Most rows made by one thread one after another, in [`conv_made`]: the first and
/// the last need one more each.
const STRETCH: usize = 32;
/// Stretches of rows at least, so that two threads and four are not idle; more would
/// make more rows twice.
const STRETCHES: usize = 4;

/// A 3 by 3 convolution, rectified, of a field whose rows `make` writes as they are
/// needed; with `then`, mixed ([`mix`]) on the spot. What is between stays in
/// the processor: at the networks' largest size, writing it out and reading it
/// back takes longer than the sums.
pub(crate) fn conv_made(
    (height, channels, width): (usize, usize, usize),
    make: impl Fn(usize, &mut Channels) + Sync + Send,
    kernel: &Kernel,
    then: Option<&Kernel>,
    rows: Rows,
) -> Field {
    let make_or_clear = |row: Option<usize>, to: &mut Channels| match row {
        Some(row) => make(row, to),
        None => to.clear(),
    };
    let together = height.div_ceil(STRETCHES).clamp(1, STRETCH);
    Field::of_stretches(height, together, |these| {
        let mut made = [0, 1, 2].map(|_| Field::empty_row(channels, width));
        for (to, row) in made.iter_mut().zip(rows.around(these.start, height)) {
            make_or_clear(row, to);
        }
        let mut between = then.map(|_| Field::empty_row(kernel.outer(), width));
        let mut out = Vec::with_capacity(these.len());
        for row in these.clone() {
            if row > these.start {
                made.rotate_left(1);
                make_or_clear(rows.around(row, height)[2], &mut made[2]);
            }
            let from = [&made[0], &made[1], &made[2]];
            let mut to = Field::empty_row(then.unwrap_or(kernel).outer(), width);
            match (then, &mut between) {
                (Some(then), Some(between)) => {
                    conv_row(kernel, &from, between);
                    mix_row(then, between, &mut to);
                }
                _ => conv_row(kernel, &from, &mut to),
            }
            out.push(to);
        }
        out
    })
}

/// 1 by 1 convolution, without rectification.
pub(crate) fn mix(field: &Field, kernel: &Kernel) -> Field {
    let (height, _, width) = field.dim();
    Field::of((height, kernel.outer(), width), |row, to| {
        mix_row(kernel, field.row(row), to);
    })
}

/// The greatest of each two by two places.
pub(crate) fn halve(field: &Field) -> Field {
    let (height, channels, width) = field.dim();
    Field::of((height / 2, channels, width / 2), |row, to| {
        for channel in 0..channels {
            let [above, below] = [0, 1].map(|down| field.row(2 * row + down).line(channel));
            let pairs = above.as_chunks().0.iter().zip(below.as_chunks().0);
            let to = to.line_mut(channel).iter_mut();
            to.zip(pairs).for_each(|(to, ([a, b], [c, d]))| {
                *to = a.max(*b).max(*c).max(*d);
            });
        }
    })
}

/// A row of `high` and each place of `low` repeated two by two, added.
pub(crate) fn add_doubled(high: &Field, low: &Field, row: usize, to: &mut Channels) {
    let (high, low) = (high.row(row), low.row(row / 2));
    debug_assert_eq!(high.width(), 2 * low.width(), "no column is left over");
    for channel in 0..high.count() {
        let pairs = to.line_mut(channel).as_chunks_mut().0.iter_mut();
        let high = high.line(channel).as_chunks().0;
        let low = low.line(channel);
        pairs.zip(high).zip(low).for_each(|((to, [a, b]), low)| {
            *to = [a + low, b + low];
        });
    }
}

/// Convolution along a line `[channel, column]` with taps `apart` columns apart;
/// weights `[outer, inner * taps]`, taps fastest.
pub(crate) fn along(line: &Array2<f32>, kernel: &Kernel, taps: usize, apart: usize) -> Array2<f32> {
    let (inner, width) = line.dim();
    let (back, on) = (taps / 2 * apart, (taps - 1 - taps / 2) * apart);
    let mut lines = Channels::empty(inner, width, back, on);
    for (nth, row) in line.rows().into_iter().enumerate() {
        let to = lines.line_mut(nth).iter_mut();
        to.zip(row).for_each(|(to, from)| *to = *from);
    }
    let taps: Vec<usize> = (0..taps).map(|tap| tap * apart).collect();
    let mut out = Channels::empty(kernel.outer(), width, 0, 0);
    kernel.par_all(&Read::of(&[&lines], &taps, None), &mut out);
    Array2::from_shape_fn((kernel.outer(), width), |(nth, at)| out.line(nth)[at])
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

    /// A field of so many rows and columns of one channel.
    fn field(rows: usize, columns: usize, at: impl Fn(usize, usize) -> f32 + Sync + Send) -> Field {
        Field::of((rows, 1, columns), |row, to| {
            let line = to.line_mut(0).iter_mut().enumerate();
            line.for_each(|(column, to)| *to = at(row, column));
        })
    }

    #[test]
    fn a_convolution_sums_its_neighbors_and_closes_the_circle() {
        // Rows 0, 1, 2 hold 1, 10, 100 in all three columns.
        let field = field(3, 3, |row, _| 10_f32.powi(row as i32));
        let nine = sum_of_nine();
        let conv = |rows| {
            let conv = Conv::of(&field, &nine, rows);
            Field::of(conv.dim(), |row, to| conv.row(row, to))
        };
        let round = conv(Rows::Round);
        assert!(
            (round[[0, 0, 1]] - 333.0).abs() < 1e-3,
            "three columns of all rows"
        );
        assert!(
            (round[[0, 0, 0]] - 222.0).abs() < 1e-3,
            "two columns at the border"
        );
        let flat = conv(Rows::Flat);
        assert!(
            (flat[[0, 0, 1]] - 33.0).abs() < 1e-3,
            "nothing above the first row"
        );
        assert!((flat[[2, 0, 2]] - 220.0).abs() < 1e-3);
    }

    #[test]
    fn halving_keeps_the_greatest_and_doubling_repeats_it() {
        let half = halve(&field(2, 2, |row, column| {
            [[1.0, 2.0], [4.0, 3.0]][row][column]
        }));
        assert_eq!(half.dim(), (1, 1, 1));
        let high = field(2, 2, |row, column| (2 * row + column) as f32);
        let sum = Field::of((2, 1, 2), |row, to| add_doubled(&high, &half, row, to));
        for [row, column] in [[0, 0], [0, 1], [1, 0], [1, 1]] {
            let expected = 4.0 + (2 * row + column) as f32;
            assert!((sum[[row, 0, column]] - expected).abs() < 1e-6);
        }
    }

    #[test]
    fn layers_on_one_another_are_the_same_made_row_by_row_or_whole() {
        let weights = |count: usize| -> Vec<f32> {
            let nth = (0..count).map(|at| ((at * 37 + 11) % 23) as f32 / 11.5 - 1.0);
            nth.collect()
        };
        let first = Kernel::of(&weights(3 * 2 * 9), &[0.1, 0.2, -0.3]);
        let second = Kernel::of(&weights(5 * 3 * 9), &weights(5));
        let last = Kernel::of(&weights(2 * 5), &[1.0, 0.5]);
        for (height, rows) in [1, 2, 3, 4, 70]
            .into_iter()
            .flat_map(|height| [(height, Rows::Round), (height, Rows::Flat)])
        {
            let field = Field::of((height, 2, 5), |row, to| {
                for channel in 0..2 {
                    let line = to.line_mut(channel).iter_mut().enumerate();
                    line.for_each(|(at, to)| *to = ((row * 5 + at * 3 + channel) % 7) as f32);
                }
            });
            let once = Conv::of(&field, &first, rows);
            let make = |row: usize, to: &mut Channels| once.row(row, to);
            let whole = Field::of(once.dim(), make);
            let twice = Conv::of(&whole, &second, rows);
            let whole = Field::of(twice.dim(), |row, to| twice.row(row, to));
            let made = conv_made(once.dim(), make, &second, None, rows);
            let whole_mixed = mix(&whole, &last);
            let mixed = conv_made(once.dim(), make, &second, Some(&last), rows);
            for row in 0..height {
                for channel in 0..5 {
                    let lines = [&made, &whole].map(|field| field.row(row).line(channel));
                    assert_eq!(lines[0], lines[1], "row {row} of {height}");
                }
                for channel in 0..2 {
                    let lines = [&mixed, &whole_mixed].map(|field| field.row(row).line(channel));
                    assert_eq!(lines[0], lines[1], "row {row} of {height}");
                }
            }
        }
    }

    #[test]
    fn taps_along_a_line_reach_as_far_apart_as_given() {
        let line = array![[1.0, 2.0, 4.0, 8.0, 16.0]];
        let kernel = Kernel::of(&[1.0, 0.0, 1.0], &[0.5]);
        let out = along(&line, &kernel, 3, 2);
        assert!((out[[0, 2]] - 17.5).abs() < 1e-6);
        assert!((out[[0, 0]] - 4.5).abs() < 1e-6);
    }
}
