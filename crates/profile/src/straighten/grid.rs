//! A coarse grid over the unrolled face, and rows of its fields.

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

    /// The same with cells twice as large each way.
    pub(super) fn halved(self) -> Self {
        Self {
            rows: self.rows / 2,
            columns: self.columns.div_ceil(2),
            angle_cell: 2 * self.angle_cell,
            radius_cell: 2 * self.radius_cell,
        }
    }

    /// Where each of so many courses is among the columns of the grid.
    pub(super) fn across(&self, courses: usize) -> Vec<Across> {
        let last = self.columns - 1;
        (0..courses)
            .map(|course| {
                let at = (course as f32 + 0.5) / self.radius_cell as f32 - 0.5;
                let at = at.clamp(0.0, last as f32);
                let left = (at as usize).min(last);
                Across {
                    left,
                    right: (left + 1).min(last),
                    part: at - left as f32,
                }
            })
            .collect()
    }

    /// The values of a grid field at the samples of one angle, between the four
    /// nearest cells of each; one value a course of `across`.
    pub(super) fn sample_row(
        &self,
        field: &Array2<f32>,
        angle: usize,
        across: &[Across],
        out: &mut [f32],
    ) {
        let v = (angle as f32 + 0.5) / self.angle_cell as f32 - 0.5;
        let row = v.floor();
        let part = v - row;
        let low = (row as isize).rem_euclid(self.rows as isize) as usize;
        let high = (low + 1) % self.rows;
        let (below, above) = (row_of(field, low), row_of(field, high));
        for (value, across) in out.iter_mut().zip(across) {
            let on = |row: &[f32]| {
                row[across.left] * (1.0 - across.part) + row[across.right] * across.part
            };
            *value = on(below) * (1.0 - part) + on(above) * part;
        }
    }
}

/// A place between two columns of a grid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Across {
    left: usize,
    right: usize,
    /// How far it is from the left one to the right one, 0 to 1.
    part: f32,
}

/// A row of a field that is in one piece.
pub(super) fn row_of(field: &Array2<f32>, row: usize) -> &[f32] {
    let columns = field.ncols();
    let all = field.as_slice().expect("fields made here lie in one piece");
    &all[row * columns..(row + 1) * columns]
}
