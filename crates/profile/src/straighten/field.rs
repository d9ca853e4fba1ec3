//! The least-squares problem for the shift of the courses.

use super::grid::{Grid, row_of};
use super::params::SolverParams;
use super::slopes::Slopes;
use ndarray::Array2;
use rayon::prelude::*;

/// The normal matrix of the problem, and its right side.
struct Normal<'a> {
    slope: &'a Array2<f32>,
    weight: &'a Array2<f32>,
    /// By how much the slope equation of a cell grows with the difference of
    /// its two neighbors along the radius.
    per: Array2<f32>,
    /// What the residual is divided by before a step: the matrix's diagonal.
    diagonal: Array2<f32>,
    grid: Grid,
    params: &'a SolverParams,
}

/// Rows that one thread works on at a time. Sums are taken over as many and
/// then in order, so that they do not depend on the number of threads.
const ROWS_AT_ONCE: usize = 16;

impl<'a> Normal<'a> {
    fn of(slopes: &'a Slopes, grid: Grid, params: &'a SolverParams) -> Self {
        let weight = &slopes.weight;
        let shape = (grid.rows, grid.columns);
        let last = grid.columns - 1;
        Self {
            slope: &slopes.slope,
            weight,
            per: Array2::from_shape_fn(shape, |(row, column)| {
                // A grid of one column has no neighbors: nothing to divide.
                let across = (column + 1).min(last) - column.saturating_sub(1);
                if across == 0 {
                    return 0.0;
                }
                slopes.slope[[row, column]] / (across * grid.radius_cell) as f32
            }),
            diagonal: Array2::from_shape_fn(shape, |(row, column)| {
                let before = (row + grid.rows - 1) % grid.rows;
                params.stay
                    + weight[[row, column]]
                    + weight[[before, column]]
                    + 2.0 * (params.smooth_angle + params.smooth_radius)
            }),
            grid,
            params,
        }
    }

    /// `J^T W (J shift + constant)` plus the pulls, into `out`; with `constant`
    /// 0 this is the matrix. Gives the dot product of `shift` and `out`.
    fn apply(&self, shift: &[f32], constant: f32, out: &mut [f32]) -> f64 {
        let columns = self.grid.columns;
        let sums: Vec<f64> = out
            .par_chunks_mut(ROWS_AT_ONCE * columns)
            .enumerate()
            .map(|(chunk, out)| {
                let first = chunk * ROWS_AT_ONCE;
                let mut before = vec![0.0; columns];
                let mut here = vec![0.0; columns];
                self.pulls(shift, first + self.grid.rows - 1, constant, &mut before);
                let mut sum = 0.0;
                for (nth, line) in out.chunks_exact_mut(columns).enumerate() {
                    let row = first + nth;
                    self.pulls(shift, row, constant, &mut here);
                    self.gather(shift, row, &before, &here, line);
                    sum += dot(self.line(shift, row), line);
                    std::mem::swap(&mut before, &mut here);
                }
                sum
            })
            .collect();
        sums.iter().sum()
    }

    /// A row of a field, counted around the circle.
    fn line<'f>(&self, field: &'f [f32], row: usize) -> &'f [f32] {
        let start = row % self.grid.rows * self.grid.columns;
        &field[start..start + self.grid.columns]
    }

    /// How hard the slope equation of each cell of a row pulls.
    fn pulls(&self, shift: &[f32], row: usize, constant: f32, out: &mut [f32]) {
        let (here, next) = (self.line(shift, row), self.line(shift, row + 1));
        let nth = row % self.grid.rows;
        let weight = row_of(self.weight, nth);
        let slope = row_of(self.slope, nth);
        let per = row_of(&self.per, nth);
        let last = here.len() - 1;
        let pull = |column: usize, low: usize, high: usize| {
            let along = per[column] * (here[high] - here[low]);
            weight[column] * (next[column] - here[column] + along + constant * slope[column])
        };
        out[0] = pull(0, 0, 1.min(last));
        out[last] = pull(last, last.saturating_sub(1), last);
        let inner = out.iter_mut().skip(1).take(last.saturating_sub(1));
        for ((((((out, &weight), &slope), &per), beside), &here), &next) in inner
            .zip(&weight[1..])
            .zip(&slope[1..])
            .zip(&per[1..])
            .zip(here.windows(3))
            .zip(&here[1..])
            .zip(&next[1..])
        {
            let along = per * (beside[2] - beside[0]);
            *out = weight * (next - here + along + constant * slope);
        }
    }

    /// What the pulls of a row and of the row before come to in a row. The
    /// terms are added in the order in which cells, taken one after the other,
    /// would give them out: sums of single precision keep that order's rounding,
    /// and the readings made with it.
    fn gather(&self, shift: &[f32], row: usize, before: &[f32], pull: &[f32], out: &mut [f32]) {
        let SolverParams {
            stay,
            smooth_angle,
            smooth_radius,
            ..
        } = *self.params;
        let (above, here, below) = (
            self.line(shift, row + self.grid.rows - 1),
            self.line(shift, row),
            self.line(shift, row + 1),
        );
        let per = row_of(&self.per, row % self.grid.rows);
        let last = here.len() - 1;
        // The first row gets what the last one pulls at the end and not at the start.
        let (early, late) = if row == 0 { (0.0, 1.0) } else { (1.0, 0.0) };
        let cell = |out: &mut f32,
                    [left, own, right]: [Cell; 3],
                    before: f32,
                    [above, below]: [f32; 2]| {
            let behind = smooth_angle * (own.shift - above);
            let mut sum = early * (before + behind);
            sum += left.per * left.pull;
            sum += smooth_radius * (own.shift - left.shift);
            let mut rest = stay * own.shift;
            rest -= own.pull;
            rest -= smooth_angle * (below - own.shift);
            rest -= smooth_radius * (right.shift - own.shift);
            sum += rest;
            sum -= right.per * right.pull;
            *out = sum + late * before + late * behind;
        };
        let at = |column: usize| Cell {
            shift: here[column],
            per: per[column],
            pull: pull[column],
        };
        // At both ends the cell is its own neighbor.
        let ends = [at(0), at(0), at(1.min(last))];
        cell(
            &mut out[0],
            [ends[0].turned(), ends[1], ends[2]],
            before[0],
            [above[0], below[0]],
        );
        if last > 0 {
            let around = [at(last - 1), at(last), at(last).turned()];
            cell(
                &mut out[last],
                around,
                before[last],
                [above[last], below[last]],
            );
        }
        let inner = out.iter_mut().skip(1).take(last.saturating_sub(1));
        for ((((((out, here), per), pull), &before), &above), &below) in inner
            .zip(here.windows(3))
            .zip(per.windows(3))
            .zip(pull.windows(3))
            .zip(&before[1..])
            .zip(&above[1..])
            .zip(&below[1..])
        {
            let one = |at: usize| Cell {
                shift: here[at],
                per: per[at],
                pull: pull[at],
            };
            cell(out, [one(0), one(1), one(2)], before, [above, below]);
        }
    }
}

/// What a cell gives to its neighbors.
#[derive(Clone, Copy)]
struct Cell {
    shift: f32,
    per: f32,
    pull: f32,
}

impl Cell {
    /// The same as its own neighbor, on whose other side it stands.
    fn turned(self) -> Self {
        Self {
            per: -self.per,
            ..self
        }
    }
}

/// Dot product in a fixed order: eight sums side by side, then their sum.
fn dot(a: &[f32], b: &[f32]) -> f64 {
    let (a, a_rest) = a.as_chunks::<8>();
    let (b, b_rest) = b.as_chunks::<8>();
    let mut sums = [0.0_f64; 8];
    for (a, b) in a.iter().zip(b) {
        for ((sum, &a), &b) in sums.iter_mut().zip(a).zip(b) {
            *sum += f64::from(a) * f64::from(b);
        }
    }
    let rest = a_rest.iter().zip(b_rest);
    sums.iter().sum::<f64>()
        + rest
            .map(|(&a, &b)| f64::from(a) * f64::from(b))
            .sum::<f64>()
}

/// The residual of a chunk, divided by the diagonal, and their dot product.
fn precondition(residual: &[f32], diagonal: &[f32], scaled: &mut [f32]) -> f64 {
    for ((scaled, &residual), &diagonal) in scaled.iter_mut().zip(residual).zip(diagonal) {
        *scaled = residual / diagonal;
    }
    dot(residual, scaled)
}

/// Rows under which a grid is not halved any more. Chosen: a smaller problem is solved
/// in no time.
const FEWEST_ROWS: usize = 16;
/// The residual at which a solution is good enough, as a share of what it is with no
/// shift at all. Chosen with the 30 steps of [`SolverParams`]: accuracy on drawn faces
/// did not fall.
const GOOD_ENOUGH: f64 = 1e-2;

/// The shift of each cell, in courses, that makes the rings level.
///
/// Minimizes, over cells, weight * (shift of the next angle - shift here +
/// slope * (1 + d shift / d course))^2, plus pulls toward smoothness and
/// toward nothing. Solved from the coarsest grid to the finest, each begun with
/// what the one before found (a cascade: Deuflhard 1994, from memory), on each by
/// conjugate gradients with the diagonal as preconditioner (Hestenes and Stiefel
/// 1952, from memory): a step brings a cell only its neighbors' values, and a ring
/// must know of itself all round.
pub(super) fn solve(slopes: &Slopes, grid: Grid, params: &SolverParams) -> Array2<f32> {
    let begun = if grid.rows >= 2 * FEWEST_ROWS && grid.rows.is_multiple_of(2) {
        let coarse = grid.halved();
        let stay = 4.0 * params.stay;
        let shift = solve(
            &slopes.halved(coarse),
            coarse,
            &SolverParams { stay, ..*params },
        );
        doubled(&shift, grid)
    } else {
        Array2::zeros((grid.rows, grid.columns))
    };
    descend(begun, slopes, grid, params)
}

/// A shift on a grid with cells half as large each way: between the nearest four.
fn doubled(shift: &Array2<f32>, grid: Grid) -> Array2<f32> {
    let of_two = Grid {
        rows: shift.nrows(),
        columns: shift.ncols(),
        angle_cell: 2,
        radius_cell: 2,
    };
    let across = of_two.across(grid.columns);
    let mut out = Array2::zeros((grid.rows, grid.columns));
    for (row, line) in out.rows_mut().into_iter().enumerate() {
        let line = line.into_slice().expect("made in one piece");
        of_two.sample_row(shift, row, &across, line);
    }
    out
}

/// The solution on one grid, from where it was `begun`.
fn descend(begun: Array2<f32>, slopes: &Slopes, grid: Grid, params: &SolverParams) -> Array2<f32> {
    let normal = Normal::of(slopes, grid, params);
    let chunk = ROWS_AT_ONCE * grid.columns;
    let diagonal = normal.diagonal.as_slice().expect("made in one piece");
    let nothing = vec![0.0; grid.rows * grid.columns];
    let mut scaled = nothing.clone();
    let mut residual = nothing.clone();
    normal.apply(&nothing, 1.0, &mut residual);
    let stop = GOOD_ENOUGH.powi(2) * precondition(&residual, diagonal, &mut scaled);
    let (mut shift, _) = begun.into_raw_vec_and_offset();
    normal.apply(&shift, 1.0, &mut residual);
    residual.iter_mut().for_each(|v| *v = -*v);
    let mut image = nothing;
    let mut size = precondition(&residual, diagonal, &mut scaled);
    let mut direction = scaled.clone();
    for _ in 0..params.steps {
        if size <= stop || size <= 0.0 {
            break;
        }
        let step = (size / normal.apply(&direction, 0.0, &mut image).max(1e-30)) as f32;
        let sums: Vec<f64> = shift
            .par_chunks_mut(chunk)
            .zip(residual.par_chunks_mut(chunk))
            .zip(scaled.par_chunks_mut(chunk))
            .zip(direction.par_chunks(chunk))
            .zip(image.par_chunks(chunk))
            .zip(diagonal.par_chunks(chunk))
            .map(
                |(((((shift, residual), scaled), direction), image), diagonal)| {
                    for (((shift, residual), &direction), &image) in shift
                        .iter_mut()
                        .zip(residual.iter_mut())
                        .zip(direction)
                        .zip(image)
                    {
                        *shift += step * direction;
                        *residual -= step * image;
                    }
                    precondition(residual, diagonal, scaled)
                },
            )
            .collect();
        let next: f64 = sums.iter().sum();
        let keep = (next / size) as f32;
        direction
            .par_chunks_mut(chunk)
            .zip(scaled.par_chunks(chunk))
            .for_each(|(direction, scaled)| {
                for (direction, &scaled) in direction.iter_mut().zip(scaled) {
                    *direction = scaled + keep * *direction;
                }
            });
        size = next;
    }
    Array2::from_shape_vec((grid.rows, grid.columns), shift).expect("the shape it had")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same product, cell by cell as the sum is written.
    fn by_cells(normal: &Normal<'_>, shift: &Array2<f32>, constant: f32) -> Array2<f32> {
        let Grid { rows, columns, .. } = normal.grid;
        let mut out = Array2::zeros((rows, columns));
        for row in 0..rows {
            let next = (row + 1) % rows;
            for column in 0..columns {
                let here = shift[[row, column]];
                out[[row, column]] += normal.params.stay * here;
                let (low, high) = (column.saturating_sub(1), (column + 1).min(columns - 1));
                let slope = normal.slope[[row, column]];
                let per = slope / ((high - low).max(1) * normal.grid.radius_cell) as f32;
                let along = per * (shift[[row, high]] - shift[[row, low]]);
                let pull = normal.weight[[row, column]]
                    * (shift[[next, column]] - here + along + constant * slope);
                out[[next, column]] += pull;
                out[[row, column]] -= pull;
                out[[row, high]] += per * pull;
                out[[row, low]] -= per * pull;
                let ahead = normal.params.smooth_angle * (shift[[next, column]] - here);
                out[[next, column]] += ahead;
                out[[row, column]] -= ahead;
                if column + 1 < columns {
                    let outward = normal.params.smooth_radius * (shift[[row, column + 1]] - here);
                    out[[row, column + 1]] += outward;
                    out[[row, column]] -= outward;
                }
            }
        }
        out
    }

    #[test]
    fn the_product_row_by_row_is_the_one_cell_by_cell() {
        for (rows, columns) in [(1, 1), (2, 2), (4, 1), (40, 3), (37, 19)] {
            let grid = Grid {
                rows,
                columns,
                angle_cell: 4,
                radius_cell: 3,
            };
            let made = |salt: f32| {
                Array2::from_shape_fn((rows, columns), |(row, column)| {
                    ((row * 31 + column * 17) as f32 * salt).sin()
                })
            };
            let slopes = Slopes {
                slope: made(0.7),
                weight: made(1.3).mapv(f32::abs),
            };
            let params = crate::StraightenParams::default().solver;
            let normal = Normal::of(&slopes, grid, &params);
            let shift = made(2.1);
            let mut out = vec![0.0; rows * columns];
            let product = normal.apply(shift.as_slice().unwrap(), 1.0, &mut out);
            let wanted = by_cells(&normal, &shift, 1.0);
            for (got, wanted) in out.iter().zip(&wanted) {
                assert!(
                    (got - wanted).abs() < 1e-5,
                    "{rows} by {columns}: {got} {wanted}"
                );
            }
            let sum: f32 = shift.iter().zip(&wanted).map(|(a, b)| a * b).sum();
            assert!((product - f64::from(sum)).abs() < 1e-3);
        }
    }

    #[test]
    fn a_shift_that_spans_the_circle_is_found_in_few_steps() {
        let (rows, columns) = (256, 40);
        let grid = Grid {
            rows,
            columns,
            angle_cell: 1,
            radius_cell: 3,
        };
        // Rings that are off their center: their slope goes round once.
        let off = |row: usize| 5.0 * (row as f32 * std::f32::consts::TAU / rows as f32).cos();
        let slopes = Slopes {
            slope: Array2::from_shape_fn((rows, columns), |(row, _)| {
                off(row) - off((row + 1) % rows)
            }),
            weight: Array2::ones((rows, columns)),
        };
        let steps = |steps: usize| SolverParams {
            steps,
            ..crate::StraightenParams::default().solver
        };
        let from_nothing = |count: usize| {
            let nothing = Array2::zeros((rows, columns));
            descend(nothing, &slopes, grid, &steps(count))
        };
        let settled = from_nothing(5000);
        let worst = |shift: &Array2<f32>| {
            let pairs = shift.iter().zip(&settled);
            pairs.map(|(a, b)| (a - b).abs()).fold(0.0, f32::max)
        };
        let found = worst(&solve(&slopes, grid, &steps(20)));
        assert!(found < 0.1, "{found} courses off");
        let slow = worst(&from_nothing(20));
        assert!(slow > 1.0, "{slow} courses off with no coarser grid before");
    }
}
