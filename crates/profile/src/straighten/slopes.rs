//! The slope of the rings on a grid, and how far to trust it.

use super::grid::{Grid, row_of};
use super::typical;
use crate::direction::Directions;
use crate::smooth::{Edge, blur_across, blur_down};
use crate::unroll::Unrolled;
use ndarray::{Array2, Zip};
use std::f64::consts::TAU;

/// Slopes and weights on a grid, `[angle cell, radius cell]`.
#[derive(Debug, Clone)]
pub(super) struct Slopes {
    /// Courses that a ring rises from one angle cell to the next.
    pub(super) slope: Array2<f32>,
    /// Trust, 0 to 1.
    pub(super) weight: Array2<f32>,
}

impl Slopes {
    /// The same on a grid with cells twice as large each way: rings rise twice
    /// as far from one cell to the next.
    pub(super) fn halved(&self, coarse: Grid) -> Self {
        let mut halved = Self {
            slope: Array2::zeros((coarse.rows, coarse.columns)),
            weight: Array2::zeros((coarse.rows, coarse.columns)),
        };
        for ((row, column), &weight) in self.weight.indexed_iter() {
            let at = [row / 2, column / 2];
            halved.slope[at] += weight * self.slope[[row, column]];
            halved.weight[at] += weight;
        }
        Zip::from(&mut halved.slope)
            .and(&mut halved.weight)
            .for_each(|slope, weight| {
                *slope *= 2.0 / weight.max(1e-12);
                *weight /= 4.0;
            });
        halved
    }

    /// Mean trust where seen, and the median over radius of the slope summed
    /// once around the circle, absolute; `cells_seen` is the share of each cell
    /// that is seen, 0 to 1.
    pub(super) fn quality(&self, cells_seen: &Array2<f32>) -> (f64, Option<f64>) {
        let seen: f64 = cells_seen.iter().map(|&v| f64::from(v)).sum();
        let trusted: f64 = self
            .weight
            .iter()
            .zip(cells_seen)
            .map(|(&w, &v)| f64::from(w * v))
            .sum();
        let mut closures: Vec<f64> = (0..self.slope.ncols())
            .filter_map(|column| {
                let weights = self.weight.column(column);
                let total: f64 = weights.iter().map(|&w| f64::from(w)).sum();
                (total > 0.1 * weights.len() as f64).then(|| {
                    let mean: f64 = self
                        .slope
                        .column(column)
                        .iter()
                        .zip(weights)
                        .map(|(&s, &w)| f64::from(s * w))
                        .sum::<f64>()
                        / total;
                    (mean * weights.len() as f64).abs()
                })
            })
            .collect();
        closures.sort_by(f64::total_cmp);
        let closure = closures.get(closures.len() / 2).copied();
        (trusted / seen.max(1e-9), closure)
    }
}

/// Steepest ring, as change of radius per arc length: beyond it (45 degrees off the
/// circle) a direction is not taken for a ring. Rings of a sound stem stay far below
/// it; knots and checks do not.
const STEEPEST: f32 = 1.0;

/// Slopes from the ring directions in the photo, before anything is straightened.
pub(super) fn from_directions(unrolled: &Unrolled, directions: &Directions, grid: Grid) -> Slopes {
    let shape = (grid.rows, grid.columns);
    let mut slope = Array2::zeros(shape);
    let mut weight = Array2::zeros(shape);
    Zip::indexed(slope.rows_mut())
        .and(weight.rows_mut())
        .par_for_each(|row, mut slope, mut weight| {
            let middle = (row as f64 + 0.5) * unrolled.angles() as f64 / grid.rows as f64 - 0.5;
            let (sine, cosine) = unrolled.angle(middle).0.sin_cos();
            let (sine, cosine) = (sine as f32, cosine as f32);
            for column in 0..grid.columns {
                let radius = (column as f64 + 0.5) * grid.radius_cell as f64;
                let place = unrolled.place(middle, radius);
                let (mut radial, mut mixed, mut round, mut found) = (0.0_f32, 0.0, 0.0, false);
                for field in &directions.scales {
                    let cell = field.cell_px;
                    let (x, y) = ((place.x_px / cell).floor(), (place.y_px / cell).floor());
                    if x < 0.0
                        || y < 0.0
                        || x >= field.xx.ncols() as f64
                        || y >= field.xx.nrows() as f64
                    {
                        continue;
                    }
                    // A scale does not resolve the direction closer to the pith than its window.
                    if radius * unrolled.step_px < 1.5 * cell {
                        continue;
                    }
                    let at = [y as usize, x as usize];
                    found = true;
                    let (xx, xy, yy) = (field.xx[at], field.xy[at], field.yy[at]);
                    let outward =
                        xx * cosine * cosine + 2.0 * xy * cosine * sine + yy * sine * sine;
                    let along = xx * sine * sine - 2.0 * xy * cosine * sine + yy * cosine * cosine;
                    let both = (yy - xx) * cosine * sine + xy * (cosine * cosine - sine * sine);
                    // A scale on which something else than rings rules (saw
                    // marks, the edge of a board) has no say here.
                    let toward = ((outward - along) / (outward + along + 1e-6)).max(0.0);
                    let share = toward.powi(3) / (outward + along + 1.0);
                    radial += share * outward;
                    round += share * along;
                    mixed += share * both;
                }
                if !found {
                    continue;
                }
                let seen =
                    unrolled.seen[[middle as usize, (radius as usize).min(unrolled.radii() - 1)]];
                let per_arc = -mixed / (radial + 1e-9);
                let toward = ((radial - round) / (radial + round + 1e-9)).max(0.0);
                if per_arc.abs() > STEEPEST {
                    continue;
                }
                let arc_steps = radius * unrolled.span.share * TAU / grid.rows as f64;
                slope[column] = per_arc * arc_steps as f32;
                weight[column] = toward * toward * seen * (radial + round).min(1.0);
            }
        });
    Slopes { slope, weight }
}

/// How slopes are measured in straightened courses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SlopeParams {
    /// Smoothing along the circle before, in steps of angle.
    pub(super) along: f32,
    /// Smoothing along the radius before, in courses.
    pub(super) across: f32,
    /// Power to which the share of the gradient that points outward is weight:
    /// the higher, the less places count that something else than rings crosses.
    pub(super) strict: i32,
    /// How much a change along the circle, from row to row, counts against a
    /// place, for a change across from course to course.
    pub(super) crossed: f32,
}

/// The products of the differences across and along a row at each of its
/// courses but the first and the last, and one where it is seen.
fn multiply(products: &mut [[f32; 4]], [before, here, after]: [&[f32]; 3], visible: &[f32]) {
    for ((((products, beside), &before), &after), &visible) in products
        .iter_mut()
        .zip(here.windows(3))
        .zip(&before[1..])
        .zip(&after[1..])
        .zip(&visible[1..])
    {
        let seen = f32::from(u8::from(visible >= 0.9));
        let across = seen * (beside[2] - beside[0]);
        let along = seen * (after - before);
        *products = [across * across, across * along, along * along, seen];
    }
}

/// Slopes that are left in the straightened courses, and the share of each cell
/// that is seen, 0 to 1.
pub(super) fn from_courses(
    courses: &Array2<f32>,
    visible: &Array2<f32>,
    radius: &Array2<f32>,
    grid: Grid,
    slope_params: SlopeParams,
) -> (Slopes, Array2<f32>) {
    let smooth = blur_down(courses, slope_params.along, Edge::Wrap);
    let smooth = blur_across(smooth, slope_params.across, Edge::Repeat);
    let (angles, columns) = smooth.dim();
    let shape = (grid.rows, grid.columns);
    let mut radial = Array2::<f32>::zeros(shape);
    let mut mixed = Array2::<f32>::zeros(shape);
    let mut round = Array2::<f32>::zeros(shape);
    let mut seen = Array2::<f32>::zeros(shape);
    Zip::indexed(radial.rows_mut())
        .and(mixed.rows_mut())
        .and(round.rows_mut())
        .and(seen.rows_mut())
        .par_for_each(|row, mut radial, mut mixed, mut round, mut seen| {
            let from = row * grid.angle_cell;
            let to = ((row + 1) * grid.angle_cell).min(angles);
            let mut products = vec![[0.0_f32; 4]; columns];
            for angle in from..to {
                let (before, after) = ((angle + angles - 1) % angles, (angle + 1) % angles);
                multiply(
                    &mut products[1..],
                    [before, angle, after].map(|angle| row_of(&smooth, angle)),
                    row_of(visible, angle),
                );
                for (cell, products) in products.chunks(grid.radius_cell).enumerate() {
                    for [across, both, along, count] in products {
                        radial[cell] += across;
                        mixed[cell] += both;
                        round[cell] += along;
                        seen[cell] += count;
                    }
                }
            }
        });
    let spread =
        |field: Array2<f32>| blur_across(blur_down(&field, 1.2, Edge::Wrap), 0.8, Edge::Repeat);
    let radial = spread(radial);
    let mixed = spread(mixed);
    let round = spread(round);
    let cell_samples = (grid.angle_cell * grid.radius_cell) as f32;
    seen.mapv_inplace(|count| count / cell_samples);
    let typical = typical(&radial, &seen, 0.5);
    let mut slope = Array2::zeros(shape);
    let mut weight = Array2::zeros(shape);
    for row in 0..grid.rows {
        let angle = (row * grid.angle_cell + grid.angle_cell / 2).min(angles - 1);
        for column in 0..grid.columns {
            let at = [row, column];
            let per_step = -mixed[at] / (radial[at] + 1e-6 * typical);
            let middle = (column * grid.radius_cell + grid.radius_cell / 2).min(columns - 1);
            let arc = radius[[angle, middle]] * (TAU / angles as f64) as f32;
            if per_step.abs() > STEEPEST * arc.max(0.3) {
                continue;
            }
            let round = slope_params.crossed * round[at];
            let toward = ((radial[at] - round) / (radial[at] + round + 1e-9)).max(0.0);
            slope[at] = per_step * grid.angle_cell as f32;
            weight[at] =
                toward.powi(slope_params.strict) * seen[at] * (radial[at] / typical).min(1.0);
        }
    }
    (Slopes { slope, weight }, seen)
}
