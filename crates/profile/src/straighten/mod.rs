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
mod grid;
mod normalize;
mod sectors;
mod slopes;

use crate::direction::Directions;
use crate::simd::with_simd;
use crate::unroll::{Unrolled, cubic_weights};
use field::solve;
use grid::{Grid, row_of};
use ndarray::{Array2, Zip};
use normalize::normalize;
use params::SolverParams;
use sectors::Sectors;
use slopes::{SlopeParams, from_courses, from_directions};
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
    /// over the courses of the absolute sum of the slope that is left); `None`
    /// where none can be followed once round.
    pub closure_courses: Option<f64>,
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
        let slope_params = SlopeParams {
            across: params::across_for(spacing),
            ..LAST
        };
        let (last, seen) =
            from_courses(&self.courses, &self.seen, &self.radius, grid, slope_params);
        let (coherence, closure_courses) = last.quality(&seen);
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
/// they are. Cost: two passes over all samples, about six over half of them and
/// a hundred over the coarse grid for each round.
#[must_use]
pub fn straighten(
    unrolled: &Unrolled,
    directions: &Directions,
    params: &StraightenParams,
) -> Straightened {
    let flat = normalize(unrolled, params::first_window(unrolled.radii()));
    let (rows, radii) = (params.rows, unrolled.radii());
    let mut radius = Array2::from_shape_fn((rows, radii), |(_, column)| column as f32);
    let grid = Grid::for_size(rows, radii, params.first_cells);
    let slopes = from_directions(unrolled, directions, grid);
    let shift = solve(&slopes, grid, &params.solver);
    compose(&mut radius, &shift, grid);

    let a_row = (unrolled.angles() / rows) as f32;
    let picture = Field {
        values: &flat,
        seen: &unrolled.seen,
    };
    for (cells, along) in params.rounds() {
        let slope_params = SlopeParams {
            along: along / a_row,
            across: params.across,
            strict: STRICT,
            crossed: CROSSED,
        };
        let grid = Grid::for_size(rows, radii, cells);
        picture.level(&mut radius, grid, slope_params, &params.solver);
    }
    picture.straightened(&radius)
}

/// Lightness less its local mean, in local standard deviations, of an unrolled
/// face whose ring spacing is known.
#[derive(Debug)]
pub struct Flattened(Array2<f32>);

/// Flattens an unrolled face; `spacing` is the usual ring spacing in steps.
#[must_use]
pub fn flatten(unrolled: &Unrolled, spacing: f32) -> Flattened {
    Flattened(normalize(unrolled, params::window_for(spacing)))
}

/// Lines that are seen in straightened rings, `[row, course]`, on any number of
/// rows that divides the angles.
#[derive(Debug, Clone)]
pub struct Lines<'a> {
    /// High where a line runs along the rings: the end of a year.
    pub ends: &'a Array2<f32>,
    /// How far a place is seen and what is seen there can be trusted, 0 to 1.
    pub trust: Array2<f32>,
    /// How far a place is seen to be outside the wood, 0 to 1.
    pub outside: Array2<f32>,
    /// Usual ring spacing, in courses.
    pub spacing: f32,
    /// Whether sectors that slipped by whole rings are moved back. The pattern of
    /// rings shows them; where little is clear it is noise, and would be fitted.
    pub mend_slips: bool,
}

/// Straightens once more, along lines over the courses of `before`; `flat` is
/// the same face.
#[must_use]
pub fn straighten_along(
    unrolled: &Unrolled,
    flat: &Flattened,
    before: &Straightened,
    lines: &Lines<'_>,
    params: &StraightenParams,
) -> Straightened {
    let rows = lines.ends.nrows();
    let mut radius = fewer_rows(&before.radius, rows);
    let along = Field {
        values: &rolled_back(lines.ends, &radius),
        seen: &fewer_rows(&unrolled.seen, rows),
    };
    if lines.mend_slips {
        let light = fewer_rows(&before.courses, rows);
        let sectors = Sectors::of(
            [lines.ends, &light],
            &lines.trust,
            &lines.outside,
            lines.spacing,
        );
        radius = sectors.settled(&radius);
    }
    let grid = Grid::for_size(rows, radius.ncols(), params.last_cells);
    let slope_params = SlopeParams {
        along: LINES.along * rows as f32 / unrolled.angles() as f32,
        ..LINES
    };
    for _ in 0..params.again {
        along.level(&mut radius, grid, slope_params, &params.solver);
    }
    Field {
        values: &flat.0,
        seen: &unrolled.seen,
    }
    .straightened(&radius)
}

/// Straightens once more, by shifts that are known: what to add to a course of
/// `before` to come to the same ring in each sector, `[sector, course]`, the sectors
/// even and clockwise from the first row. `flat` is the same face.
#[must_use]
pub fn straighten_by(
    unrolled: &Unrolled,
    flat: &Flattened,
    before: &Straightened,
    shifts: &Array2<f32>,
) -> Straightened {
    let (rows, columns) = before.radius.dim();
    let mut radius = Array2::zeros((rows, columns));
    Zip::indexed(radius.rows_mut()).par_for_each(|row, to: ndarray::ArrayViewMut1<'_, f32>| {
        let to = to.into_slice().expect("made in one piece");
        let mut shift = vec![0.0; columns];
        row_at(shifts, row, rows / shifts.nrows(), &mut shift);
        for (course, (to, shift)) in to.iter_mut().zip(shift).enumerate() {
            *to = before.radius_at(row, f64::from(course as f32 + shift));
        }
        to[0] = to[0].max(0.0);
        keep_apart(to, LEAST_APART);
    });
    Field {
        values: &flat.0,
        seen: &unrolled.seen,
    }
    .straightened(&radius)
}

/// Least distance from one course to the next, in steps. Keeps courses in order; any
/// small number does.
const LEAST_APART: f32 = 0.02;

/// What shows the rings, and where it is seen: `[row, radius]`.
#[derive(Clone, Copy)]
struct Field<'a> {
    values: &'a Array2<f32>,
    seen: &'a Array2<f32>,
}

impl Field<'_> {
    /// One round: what slope is left on the courses is taken out of them.
    fn level(
        self,
        radius: &mut Array2<f32>,
        grid: Grid,
        slope_params: SlopeParams,
        solver: &SolverParams,
    ) {
        let (values, seen) = self.along(radius);
        let (slopes, _) = from_courses(&values, &seen, radius, grid, slope_params);
        compose(radius, &solve(&slopes, grid, solver), grid);
    }

    /// The face along its courses, on all its rows.
    fn straightened(self, radius: &Array2<f32>) -> Straightened {
        let radius = more_rows(radius, self.values.nrows() / radius.nrows());
        let (courses, seen) = self.along(&radius);
        Straightened {
            courses,
            seen,
            radius,
        }
    }

    /// Values and how far they are seen along each course, `[row, course]`. Of
    /// as many rows of the field as belong to a row of courses, the mean, each
    /// read along the courses where it is.
    fn along(self, radius: &Array2<f32>) -> (Array2<f32>, Array2<f32>) {
        let (rows, columns) = radius.dim();
        let together = self.values.nrows() / rows;
        let share = 1.0 / together as f32;
        let mut values = Array2::zeros((rows, columns));
        let mut seen = Array2::zeros((rows, columns));
        Zip::indexed(values.rows_mut())
            .and(seen.rows_mut())
            .par_for_each(|row, values, seen| {
                let (values, seen) = (values.into_slice(), seen.into_slice());
                let (values, seen) = values.zip(seen).expect("made in one piece");
                let mut places = vec![0.0; columns];
                for angle in row * together..(row + 1) * together {
                    row_at(radius, angle, together, &mut places);
                    let from = [self.values, self.seen].map(|field| row_of(field, angle));
                    with_simd(
                        #[inline(always)]
                        || sample(from, &places, share, [values, seen]),
                    );
                }
            });
        (values, seen)
    }
}

/// The mean of each few rows.
fn fewer_rows(field: &Array2<f32>, rows: usize) -> Array2<f32> {
    let together = field.nrows() / rows;
    let mut out = Array2::zeros((rows, field.ncols()));
    Zip::indexed(out.rows_mut()).par_for_each(|row, mut to| {
        for from in row * together..(row + 1) * together {
            to += &field.row(from);
        }
        to /= together as f32;
    });
    out
}

/// The same courses on `together` times as many rows, `[row, course]`: each row of the
/// field stands for `together` of them.
#[must_use]
pub fn more_rows(field: &Array2<f32>, together: usize) -> Array2<f32> {
    let mut out = Array2::zeros((field.nrows() * together, field.ncols()));
    Zip::indexed(out.rows_mut()).par_for_each(|angle, to| {
        let to = to.into_slice().expect("made in one piece");
        row_at(field, angle, together, to);
    });
    out
}

/// A field at one angle, where each of its rows stands for `together` angles:
/// between the two rows whose middles are nearest.
fn row_at(field: &Array2<f32>, angle: usize, together: usize, to: &mut [f32]) {
    let (row, rows) = (angle / together, field.nrows());
    let off = ((angle % together) as f32 + 0.5) / together as f32 - 0.5;
    let beside = if off < 0.0 { row + rows - 1 } else { row + 1 };
    let (near, far, part) = (row_of(field, row), row_of(field, beside % rows), off.abs());
    for ((to, &near), &far) in to.iter_mut().zip(near).zip(far) {
        *to = near + part * (far - near);
    }
}

/// The median of what a field has where more than some share of a place is seen,
/// so that it can be divided by.
fn typical(field: &Array2<f32>, seen: &Array2<f32>, share: f32) -> f32 {
    let there = field.iter().zip(seen).filter(|(_, seen)| **seen > share);
    let mut values: Vec<f32> = there.map(|(value, _)| *value).collect();
    if values.is_empty() {
        return 1.0;
    }
    let middle = values.len() / 2;
    let (_, median, _) = values.select_nth_unstable_by(middle, f32::total_cmp);
    median.max(1e-6)
}

/// Strictness of the rounds on the picture itself (chosen on practice faces).
const STRICT: i32 = 6;
/// What a change along the circle counts for in them (also chosen). A row is
/// many times as long along the rings as a course is wide, so that even clean
/// rings seem to change along it.
const CROSSED: f32 = 0.06;
/// How slopes are measured on lines: they are clean already. The network gives lines of
/// one width, so little smoothing is needed (chosen).
const LINES: SlopeParams = SlopeParams {
    along: 3.0,
    across: 1.0,
    strict: 2,
    crossed: 1.0,
};
/// How slopes are measured at the end, to see how level the rings run. Only figures of
/// quality follow from it (chosen).
const LAST: SlopeParams = SlopeParams {
    along: 12.0,
    across: 1.0,
    strict: 2,
    crossed: 1.0,
};

/// Lines over courses brought back to where they are in the unrolled face;
/// `radius` is that of each course, on the rows of the lines.
fn rolled_back(lines: &Array2<f32>, radius: &Array2<f32>) -> Array2<f32> {
    let columns = lines.ncols();
    let mut out = Array2::zeros(radius.raw_dim());
    Zip::from(out.rows_mut())
        .and(lines.rows())
        .and(radius.rows())
        .par_for_each(|to, lines, radius| {
            let mut course = 0;
            for (column, to) in to.into_iter().enumerate() {
                let wanted = column as f32;
                while course + 2 < columns && radius[course + 1] <= wanted {
                    course += 1;
                }
                let span = (radius[course + 1] - radius[course]).max(1e-6);
                let part = ((wanted - radius[course]) / span).clamp(0.0, 1.0);
                *to = lines[course] * (1.0 - part) + lines[course + 1] * part;
            }
        });
    out
}

/// Moves the courses by `shift` (in courses, on the grid), keeping them in order.
fn compose(radius: &mut Array2<f32>, shift: &Array2<f32>, grid: Grid) {
    let before = radius.clone();
    let columns = radius.ncols();
    let across = grid.across(columns);
    Zip::indexed(radius.rows_mut()).par_for_each(|row, line| {
        let line = line.into_slice().expect("rows of such a field are slices");
        let old = row_of(&before, row);
        // Where each old course is now; at least a fifth of a course apart,
        // so that no ring is folded away.
        let mut now = vec![0.0_f32; columns];
        grid.sample_row(shift, row, &across, &mut now);
        for (column, place) in now.iter_mut().enumerate() {
            *place += column as f32;
        }
        now[0] = 0.0;
        keep_apart(&mut now, 0.2);
        let mut column = 0;
        for (target, to) in line.iter_mut().enumerate() {
            let wanted = target as f32;
            while column + 2 < columns && now[column + 1] <= wanted {
                column += 1;
            }
            let part = (wanted - now[column]) / (now[column + 1] - now[column]);
            *to = old[column] + part * (old[column + 1] - old[column]);
        }
        line[0] = line[0].max(0.0);
        keep_apart(line, LEAST_APART);
    });
}

/// Moves values up so that each is at least `apart` above the one before.
fn keep_apart(values: &mut [f32], apart: f32) {
    // Mostly they are: to see that, no value has to wait for the one before.
    let are = with_simd(
        #[inline(always)]
        || {
            let pairs = values.iter().zip(&values[1..]);
            pairs.fold(true, |all, (low, high)| all & (*high >= low + apart))
        },
    );
    if !are {
        let mut least = f32::NEG_INFINITY;
        for value in values {
            *value = value.max(least);
            least = *value + apart;
        }
    }
}

/// Places read at a time by [`sample`]: two of the widest vectors are busy with them
/// (chosen for speed).
const AT_ONCE: usize = 16;

/// Two lines of the same length read at places, `share` of each added to `to`; nothing
/// beyond their last value.
#[inline(always)]
fn sample(from: [&[f32]; 2], places: &[f32], share: f32, to: [&mut [f32]; 2]) {
    let last = from[0].len() - 1;
    let [first, second] = to;
    let outs = first.chunks_mut(AT_ONCE).zip(second.chunks_mut(AT_ONCE));
    for (places, (first, second)) in places.chunks(AT_ONCE).zip(outs) {
        let inside = |place: &f32| (*place >= 1.0) & (*place < last as f32 - 1.0);
        if let Some(places) = places.first_chunk()
            && places.iter().fold(true, |all, place| all & inside(place))
        {
            let read = sample_inside(from, places);
            for (to, read) in [first, second].into_iter().zip(read) {
                to.iter_mut()
                    .zip(read)
                    .for_each(|(to, read)| *to += share * read);
            }
        } else {
            for ((&place, first), second) in places.iter().zip(first).zip(second) {
                let read = sample_one(from, place);
                *first += share * read[0];
                *second += share * read[1];
            }
        }
    }
}

/// [`sample`] at places with values on either side, all at once.
#[inline(always)]
fn sample_inside(from: [&[f32]; 2], places: &[f32; AT_ONCE]) -> [[f32; AT_ONCE]; 2] {
    let mut weights = [[0.0_f32; AT_ONCE]; 4];
    let mut starts = [0_usize; AT_ONCE];
    for (nth, &place) in places.iter().enumerate() {
        let below = place as i32;
        let these = cubic_weights(place - below as f32);
        for (to, weight) in weights.iter_mut().zip(these) {
            to[nth] = weight;
        }
        starts[nth] = below as usize - 1;
    }
    from.map(|from| {
        let mut values = [[0.0_f32; AT_ONCE]; 4];
        for (nth, &start) in starts.iter().enumerate() {
            for (to, value) in values.iter_mut().zip(&from[start..start + 4]) {
                to[nth] = *value;
            }
        }
        let mut sums = [0.0_f32; AT_ONCE];
        for (weights, values) in weights.iter().zip(&values) {
            for ((sum, weight), value) in sums.iter_mut().zip(weights).zip(values) {
                *sum += weight * value;
            }
        }
        sums
    })
}

/// [`sample`] at one place.
fn sample_one(from: [&[f32]; 2], place: f32) -> [f32; 2] {
    let last = from[0].len() - 1;
    let below = place as usize;
    let part = place - below as f32;
    if below >= 1 && below + 2 <= last {
        let weights = cubic_weights(part);
        from.map(|from| {
            let these = weights.iter().zip(&from[below - 1..below + 3]);
            these.map(|(w, v)| w * v).sum()
        })
    } else if below < last {
        from.map(|from| from[below] * (1.0 - part) + from[below + 1] * part)
    } else {
        [0.0; 2]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_alike_many_at_once_and_one_by_one() {
        let line: Vec<f32> = (0..90).map(|at| ((at * at) % 17) as f32).collect();
        let other: Vec<f32> = line.iter().rev().copied().collect();
        // From before the first value to behind the last, close and far apart, and
        // places that are none.
        let mut places: Vec<f32> = (0..75).map(|at| at as f32 * 1.27 - 2.0).collect();
        places.extend([0.3, 3.9, f32::NAN, 1e9, -1e9, 88.0, 88.9, 89.0]);
        let (mut first, mut second) = (vec![1.0; places.len()], vec![1.0; places.len()]);
        sample([&line, &other], &places, 0.5, [&mut first, &mut second]);
        for (nth, &place) in places.iter().enumerate() {
            let read = sample_one([&line, &other], place);
            let expected = read.map(|read| 1.0 + 0.5 * read);
            for (found, expected) in [first[nth], second[nth]].into_iter().zip(expected) {
                let same = (found - expected).abs() < 1e-6 || (found.is_nan() && place.is_nan());
                assert!(same, "{found} for {expected} at {place}");
            }
        }
    }

    #[test]
    fn values_too_close_are_moved_up_and_others_left() {
        for (mut values, expected) in [
            ([0.0, 1.0, 2.5, 3.0], [0.0, 1.0, 2.5, 3.0]),
            ([0.0, -1.0, 0.25, 3.0], [0.0, 0.5, 1.0, 3.0]),
        ] {
            keep_apart(&mut values, 0.5);
            assert_eq!(values.map(f32::to_bits), expected.map(f32::to_bits));
        }
    }
}
