//! Straightening: one smooth field whose level lines run along the rings.
//!
//! # Method
//! Our own, tested on practice faces whose rings are known. Unknown is a
//! course number rho(angle, radius), strictly growing with radius, periodic in
//! angle. Where rings show, the local slope of the rings says how rho must
//! change with angle; everywhere else (checks, knots, off the photo) the field
//! only stays smooth. The weighted least-squares problem is solved on a coarse
//! grid by conjugate gradients, the picture is resampled, what slope is left
//! is measured, and it is solved again, each round on a finer grid. Residuals
//! are squared to the end: a robust loss lets whole sectors slip by a ring,
//! the slip gathered in the few cells that it writes off.

mod field;
mod normalise;
mod slopes;

use crate::direction::Directions;
use crate::unroll::{Unrolled, cubic_weights};
use field::{Grid, solve};
use ndarray::{Array2, Zip};
use normalise::normalise;
use slopes::{Look, from_courses, from_directions};
use wood::{Point, Px};

pub use self::params::StraightenParams;

mod params;

/// A face whose rings run level.
#[derive(Debug, Clone)]
pub struct Straightened {
    /// Lightness less its local mean, in local standard deviations, `[angle, course]`.
    pub courses: Array2<f32>,
    /// Share of each sample that is seen, 0 to 1, `[angle, course]`.
    pub seen: Array2<f32>,
    /// Radius of each course, in steps of the unrolled face, `[angle, course]`;
    /// strictly increasing along a row.
    pub radius: Array2<f32>,
}

/// How level the rings of a straightened face run.
#[derive(Debug, Clone)]
pub struct Levelness {
    /// How much each place agrees with level rings, 0 to 1, on a coarse grid
    /// `[angle cell, course cell]`.
    pub trust: Array2<f32>,
    /// Steps of angle and courses in one cell of `trust`.
    pub trust_cell: (usize, usize),
    /// Mean agreement where seen, 0 to 1.
    pub coherence: f64,
    /// By how many courses a ring followed once round misses itself (median
    /// over the courses of the absolute sum of the slope that is left).
    pub closure_courses: f64,
}

impl Straightened {
    /// The place in the photo of a course (fractions allowed) in one row.
    #[must_use]
    pub fn place(&self, unrolled: &Unrolled, row: usize, course: f64) -> Point {
        unrolled.place(row as f64, f64::from(self.radius_at(row, course)))
    }

    /// The radius in steps of a course (fractions allowed) in one row.
    #[must_use]
    pub fn radius_at(&self, row: usize, course: f64) -> f32 {
        let last = self.radius.ncols() - 1;
        let below = (course.max(0.0) as usize).min(last.saturating_sub(1));
        let part = (course - below as f64) as f32;
        let (low, high) = (
            self.radius[[row, below]],
            self.radius[[row, (below + 1).min(last)]],
        );
        low + part * (high - low)
    }

    /// The course at a radius (in steps) of one row; fractions allowed.
    #[must_use]
    pub fn course_at(&self, row: usize, radius: f32) -> f64 {
        let line = self.radius.row(row);
        let (mut low, mut high) = (0, line.len() - 1);
        while high - low > 1 {
            let middle = (low + high) / 2;
            if line[middle] <= radius {
                low = middle
            } else {
                high = middle
            }
        }
        let span = (line[high] - line[low]).max(1e-6);
        low as f64 + f64::from((radius - line[low]) / span)
    }

    /// The mean radius in the photo of a course over the rows where it is seen.
    #[must_use]
    pub fn mean_radius(&self, unrolled: &Unrolled, course: f64) -> Px {
        let column = (course.max(0.0) as usize).min(self.seen.ncols() - 1);
        let (mut sum, mut weight) = (0.0, 0.0);
        for row in 0..self.radius.nrows() {
            let seen = f64::from(self.seen[[row, column]]) + 1e-9;
            sum += seen * f64::from(self.radius_at(row, course));
            weight += seen;
        }
        Px(sum / weight * unrolled.step_px)
    }

    /// How level the rings run; `spacing` is the usual ring spacing in courses.
    #[must_use]
    pub fn levelness(&self, spacing: f32, params: &StraightenParams) -> Levelness {
        let (angles, radii) = self.courses.dim();
        let grid = Grid::for_size(angles, radii, params.last_cells);
        let look = Look {
            across: params::across_for(spacing),
            ..LAST
        };
        let last = from_courses(&self.courses, &self.seen, &self.radius, grid, look);
        let (coherence, closure_courses) = last.quality();
        Levelness {
            trust: last.weight,
            trust_cell: (grid.angle_cell, grid.radius_cell),
            coherence,
            closure_courses,
        }
    }
}

/// Straightens the rings of an unrolled face.
///
/// `directions` are those of the same photo; they give the first guess, in
/// which rings are not confused from one angle to the next however narrow
/// they are. Cost: about eight passes over the unrolled samples and a few
/// hundred over the coarse grid for each round.
#[must_use]
pub fn straighten(
    unrolled: &Unrolled,
    directions: &Directions,
    params: &StraightenParams,
) -> Straightened {
    let flat = normalise(unrolled, params::first_window(unrolled.radii()));
    let (angles, radii) = flat.dim();
    let mut radius = Array2::from_shape_fn((angles, radii), |(_, column)| column as f32);

    let grid = Grid::for_size(angles, radii, params.first_cells);
    let slopes = from_directions(unrolled, directions, grid);
    let shift = solve(&slopes, grid, &params.solver);
    compose(&mut radius, &shift, grid);

    for (cells, along) in params.rounds() {
        let grid = Grid::for_size(angles, radii, cells);
        let courses = resample(&flat, &radius);
        let seen = resample(&unrolled.seen, &radius);
        let look = Look {
            along,
            across: params.across,
            strict: STRICT,
        };
        let slopes = from_courses(&courses, &seen, &radius, grid, look);
        let shift = solve(&slopes, grid, &params.solver);
        compose(&mut radius, &shift, grid);
    }
    along(unrolled, &flat, radius)
}

/// Straightens once more, along lines that are seen in the rings.
///
/// `lines` is `[row, course]` over the courses of `before`, high where a line
/// runs along the rings (the end of a year), with any number of rows that
/// divides the angles; `spacing` is the usual ring spacing in courses.
#[must_use]
pub fn straighten_along(
    unrolled: &Unrolled,
    before: &Straightened,
    lines: &Array2<f32>,
    spacing: f32,
    params: &StraightenParams,
) -> Straightened {
    let flat = normalise(unrolled, params::window_for(spacing));
    let lines = rolled_back(lines, before);
    let (angles, radii) = flat.dim();
    let mut radius = before.radius.clone();
    let grid = Grid::for_size(angles, radii, params.last_cells);
    for _ in 0..params.again {
        let level = resample(&lines, &radius);
        let seen = resample(&unrolled.seen, &radius);
        let slopes = from_courses(&level, &seen, &radius, grid, LINES);
        let shift = solve(&slopes, grid, &params.solver);
        compose(&mut radius, &shift, grid);
    }
    along(unrolled, &flat, radius)
}

/// How slopes are measured on lines: they are clean already.
const LINES: Look = Look {
    along: 3.0,
    across: 1.0,
    strict: 2,
};
/// How slopes are measured at the end, to tell how level the rings run.
const LAST: Look = Look {
    along: 12.0,
    across: 1.0,
    strict: 2,
};
/// Strictness of the rounds on the picture itself (chosen on practice faces).
const STRICT: i32 = 6;

/// Lines over courses brought back to where they lie in the unrolled face.
fn rolled_back(lines: &Array2<f32>, straightened: &Straightened) -> Array2<f32> {
    let (angles, columns) = straightened.radius.dim();
    let rows = lines.nrows();
    let mut out = Array2::zeros((angles, columns));
    Zip::indexed(out.rows_mut()).par_for_each(|angle, mut to| {
        // Between the two nearest rows of the lines.
        let at = (angle as f32 + 0.5) * rows as f32 / angles as f32 - 0.5;
        let low = (at.floor() as isize).rem_euclid(rows as isize) as usize;
        let (part, high) = (at - at.floor(), (low + 1) % rows);
        let value =
            |course: usize| lines[[low, course]] * (1.0 - part) + lines[[high, course]] * part;
        let radius = straightened.radius.row(angle);
        let mut course = 0;
        for (column, to) in to.iter_mut().enumerate() {
            let wanted = column as f32;
            while course + 2 < columns && radius[course + 1] <= wanted {
                course += 1;
            }
            let span = (radius[course + 1] - radius[course]).max(1e-6);
            let part = ((wanted - radius[course]) / span).clamp(0.0, 1.0);
            *to = value(course) * (1.0 - part) + value(course + 1) * part;
        }
    });
    out
}

/// The face along its courses.
fn along(unrolled: &Unrolled, flat: &Array2<f32>, radius: Array2<f32>) -> Straightened {
    Straightened {
        courses: resample(flat, &radius),
        seen: resample(&unrolled.seen, &radius),
        radius,
    }
}

/// Moves the courses by `shift` (in courses, on the grid), keeping them in order.
fn compose(radius: &mut Array2<f32>, shift: &Array2<f32>, grid: Grid) {
    let before = radius.clone();
    let columns = radius.ncols();
    Zip::indexed(radius.rows_mut()).par_for_each(|row, mut line| {
        let old = before.row(row);
        // Where each old course lies now; at least a fifth of a course apart,
        // so that no ring is folded away.
        let mut now = vec![0.0_f32; columns];
        grid.sample_row(shift, row, &mut now);
        let mut floor = f32::NEG_INFINITY;
        for (column, place) in now.iter_mut().enumerate() {
            let moved = column as f32 + *place;
            *place = if column == 0 {
                0.0
            } else {
                moved.max(floor + 0.2)
            };
            floor = *place;
        }
        let mut column = 0;
        for target in 0..columns {
            let wanted = target as f32;
            while column + 2 < columns && now[column + 1] <= wanted {
                column += 1;
            }
            let part = (wanted - now[column]) / (now[column + 1] - now[column]);
            line[target] = old[column] + part * (old[column + 1] - old[column]);
        }
        line[0] = line[0].max(0.0);
        for target in 1..columns {
            line[target] = line[target].max(line[target - 1] + 0.02);
        }
    });
}

/// The field read at the radius of each course; nothing beyond the last radius.
fn resample(field: &Array2<f32>, radius: &Array2<f32>) -> Array2<f32> {
    let mut out = Array2::zeros(radius.raw_dim());
    Zip::from(out.rows_mut())
        .and(field.rows())
        .and(radius.rows())
        .par_for_each(|mut to, from, radius| {
            let from = from.to_slice().expect("rows of a field lie in one piece");
            let last = from.len() - 1;
            for (value, &r) in to.iter_mut().zip(radius) {
                let below = r as usize;
                let part = r - below as f32;
                if below >= 1 && below + 2 <= last {
                    let weights = cubic_weights(part);
                    *value = weights
                        .iter()
                        .zip(&from[below - 1..below + 3])
                        .map(|(w, v)| w * v)
                        .sum();
                } else if below < last {
                    *value = from[below] * (1.0 - part) + from[below + 1] * part;
                }
            }
        });
    out
}
