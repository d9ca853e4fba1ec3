//! The least-squares problem for the shift of the courses.

use super::params::SolverParams;
use super::slopes::Slopes;
use ndarray::Array2;

/// A coarse grid over the unrolled face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    pub(super) rows: usize,
    pub(super) columns: usize,
    /// Steps of angle in a cell.
    pub(super) angle_cell: usize,
    /// Courses in a cell.
    pub(super) radius_cell: usize,
}

impl Grid {
    /// A grid of about `cells` over `angles` by `radii` samples.
    pub(super) fn for_size(angles: usize, radii: usize, cells: (usize, usize)) -> Self {
        let angle_cell = (angles as f64 / cells.0 as f64).round().max(1.0) as usize;
        // A power of two, so that the cells fill the circle exactly.
        let angle_cell = angle_cell.next_power_of_two().min(angles);
        let radius_cell = radii.div_ceil(cells.1).max(3);
        Self {
            rows: angles.div_ceil(angle_cell),
            columns: radii.div_ceil(radius_cell),
            angle_cell,
            radius_cell,
        }
    }

    /// The value of a grid field at a sample, between the four nearest cells.
    pub(super) fn sample(&self, field: &Array2<f32>, angle: usize, column: usize) -> f32 {
        let v = (angle as f32 + 0.5) / self.angle_cell as f32 - 0.5;
        let u = ((column as f32 + 0.5) / self.radius_cell as f32 - 0.5)
            .clamp(0.0, (self.columns - 1) as f32);
        let row = v.floor();
        let (part_v, part_u) = (v - row, u - u.floor());
        let low = (row as isize).rem_euclid(self.rows as isize) as usize;
        let high = (low + 1) % self.rows;
        let left = u as usize;
        let right = (left + 1).min(self.columns - 1);
        let below = field[[low, left]] * (1.0 - part_u) + field[[low, right]] * part_u;
        let above = field[[high, left]] * (1.0 - part_u) + field[[high, right]] * part_u;
        below * (1.0 - part_v) + above * part_v
    }
}

/// The shift of each cell, in courses, that makes the rings level.
///
/// Minimises, over cells, weight * (shift of the next angle - shift here +
/// slope * (1 + d shift / d course))^2, plus pulls towards smoothness and
/// towards nothing.
pub(super) fn solve(slopes: &Slopes, grid: Grid, params: &SolverParams) -> Array2<f32> {
    let normal = Normal {
        slope: &slopes.slope,
        weight: &slopes.weight,
        grid,
        params,
    };
    conjugate_gradients(&normal)
}

/// The normal matrix of the problem applied to a field, and the right side.
struct Normal<'a> {
    slope: &'a Array2<f32>,
    weight: &'a Array2<f32>,
    grid: Grid,
    params: &'a SolverParams,
}

impl Normal<'_> {
    /// `J^T W (J shift + constant)` plus the pulls; with `constant` 0 this is the matrix.
    fn apply(&self, shift: &Array2<f32>, constant: f32) -> Array2<f32> {
        let Grid { rows, columns, .. } = self.grid;
        let mut out = Array2::zeros((rows, columns));
        for row in 0..rows {
            let next = (row + 1) % rows;
            for column in 0..columns {
                let at = [row, column];
                let here = shift[at];
                let mut sum = self.params.stay * here;
                // The slope equation of this cell.
                let weight = self.weight[at];
                if weight > 0.0 {
                    let slope = self.slope[at];
                    let (low, high) = (column.saturating_sub(1), (column + 1).min(columns - 1));
                    let per = slope / ((high - low).max(1) * self.grid.radius_cell) as f32;
                    let pull = weight
                        * (shift[[next, column]] - here
                            + per * (shift[[row, high]] - shift[[row, low]])
                            + constant * slope);
                    out[[next, column]] += pull;
                    sum -= pull;
                    out[[row, high]] += per * pull;
                    out[[row, low]] -= per * pull;
                }
                let ahead = self.params.smooth_angle * (shift[[next, column]] - here);
                out[[next, column]] += ahead;
                sum -= ahead;
                if column + 1 < columns {
                    let outward = self.params.smooth_radius * (shift[[row, column + 1]] - here);
                    out[[row, column + 1]] += outward;
                    sum -= outward;
                }
                out[at] += sum;
            }
        }
        out
    }
}

/// Dot product in a fixed order.
fn dot(a: &Array2<f32>, b: &Array2<f32>) -> f64 {
    a.iter()
        .zip(b)
        .map(|(x, y)| f64::from(*x) * f64::from(*y))
        .sum()
}

fn conjugate_gradients(normal: &Normal<'_>) -> Array2<f32> {
    let Normal {
        grid,
        params,
        weight,
        ..
    } = *normal;
    let mut shift = Array2::zeros((grid.rows, grid.columns));
    let mut residual = normal.apply(&shift, 1.0).mapv(|v| -v);
    // Diagonal preconditioner.
    let diagonal = Array2::from_shape_fn((grid.rows, grid.columns), |(row, column)| {
        let before = (row + grid.rows - 1) % grid.rows;
        params.stay
            + weight[[row, column]]
            + weight[[before, column]]
            + 2.0 * (params.smooth_angle + params.smooth_radius)
    });
    let precondition = |residual: &Array2<f32>| residual / &diagonal;
    let mut scaled = precondition(&residual);
    let mut direction = scaled.clone();
    let mut size = dot(&residual, &scaled);
    let stop = size * 1e-4;
    for _ in 0..params.steps {
        if size <= stop || size <= 0.0 {
            break;
        }
        let image = normal.apply(&direction, 0.0);
        let step = (size / dot(&direction, &image).max(1e-30)) as f32;
        shift.scaled_add(step, &direction);
        residual.scaled_add(-step, &image);
        scaled = precondition(&residual);
        let next = dot(&residual, &scaled);
        let keep = (next / size) as f32;
        direction.zip_mut_with(&scaled, |d, &s| *d = s + keep * *d);
        size = next;
    }
    shift
}
