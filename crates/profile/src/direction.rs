//! In which direction the rings run, from the structure tensor.

use crate::smooth::{Edge, blur_across, blur_down};
use ndarray::{Array2, Zip};
use photo::{Lightness, shrink};

/// The structure tensor of one scale on a coarse grid: mean products of the
/// lightness gradient, `[row, column]`.
#[derive(Debug, Clone)]
pub struct DirectionField {
    /// Photo pixels for one cell of the grid.
    pub cell_px: f64,
    /// Mean of gx * gx.
    pub xx: Array2<f32>,
    /// Mean of gx * gy.
    pub xy: Array2<f32>,
    /// Mean of gy * gy.
    pub yy: Array2<f32>,
}

impl DirectionField {
    /// Share of the gradient that runs one way, 0 (none) to 1 (all), at a cell.
    ///
    /// # Method
    /// sqrt((xx - yy)^2 + 4 xy^2) / (xx + yy): Bigün and Granlund 1987 (from memory).
    #[must_use]
    pub fn coherence(&self, row: usize, column: usize) -> f32 {
        let (xx, xy, yy) = (
            self.xx[[row, column]],
            self.xy[[row, column]],
            self.yy[[row, column]],
        );
        ((xx - yy).powi(2) + 4.0 * xy * xy).sqrt() / (xx + yy + 1e-6)
    }

    /// Angle of the ring's normal (an axis, so modulo pi) at a cell, in radians.
    #[must_use]
    pub fn normal(&self, row: usize, column: usize) -> f32 {
        let (xx, xy, yy) = (
            self.xx[[row, column]],
            self.xy[[row, column]],
            self.yy[[row, column]],
        );
        0.5 * (2.0 * xy).atan2(xx - yy)
    }

    /// Strength of the gradient at a cell.
    #[must_use]
    pub fn energy(&self, row: usize, column: usize) -> f32 {
        self.xx[[row, column]] + self.yy[[row, column]]
    }
}

/// Ring directions at several scales, finest first.
#[derive(Debug, Clone)]
pub struct Directions {
    /// One field a scale.
    pub scales: Vec<DirectionField>,
}

/// Gradient cells pooled into one cell of the grid. Chosen: small cells cost time and
/// show no more than the window below.
const POOL: usize = 4;
/// Smoothing of the pooled tensor, in cells: a window of about six cells across
/// holds a ring and its neighbors at the scale that resolves them (chosen).
const WINDOW_CELLS: f32 = 1.5;
/// Smoothing of the lightness before its gradient is taken, in samples (chosen).
const SOFTENED: f32 = 0.8;
/// Scales, each half the size of the one before. Chosen: narrow rings show on the first
/// and wide ones, eight times as wide, on the last.
const SCALES: usize = 4;

impl Directions {
    /// Ring directions from the lightness that a face keeps.
    ///
    /// # Method
    /// Structure tensor (Bigün and Granlund 1987, from memory): central
    /// differences of the lightness, their products averaged over blocks of
    /// 4 by 4 and smoothed. The same is done at half, a quarter and an eighth
    /// of the size, so that wide rings are seen as well as narrow ones.
    /// Linear in pixels.
    #[must_use]
    pub fn of(lightness: &Lightness) -> Self {
        let soft = |level: &Array2<f32>| {
            let down = blur_down(level, SOFTENED, Edge::Repeat);
            blur_across(down, SOFTENED, Edge::Repeat)
        };
        let mut level = soft(&lightness.values);
        let mut px_per_sample = lightness.square_px as f64;
        let mut scales = Vec::with_capacity(SCALES);
        loop {
            if level.nrows() < 4 * POOL || level.ncols() < 4 * POOL {
                break;
            }
            scales.push(tensor(&level, px_per_sample));
            if scales.len() == SCALES {
                break;
            }
            level = soft(&shrink(&level, 2));
            px_per_sample *= 2.0;
        }
        Self { scales }
    }
}

fn tensor(level: &Array2<f32>, px_per_sample: f64) -> DirectionField {
    let rows = level.nrows() / POOL;
    let columns = level.ncols() / POOL;
    let mut xx = Array2::zeros((rows, columns));
    let mut xy = Array2::zeros((rows, columns));
    let mut yy = Array2::zeros((rows, columns));
    let (height, width) = level.dim();
    Zip::indexed(xx.rows_mut())
        .and(xy.rows_mut())
        .and(yy.rows_mut())
        .par_for_each(|row, mut xx_row, mut xy_row, mut yy_row| {
            for y in (row * POOL).max(1)..((row + 1) * POOL).min(height - 1) {
                let above = level.row(y - 1);
                let here = level.row(y);
                let below = level.row(y + 1);
                for x in 1..(columns * POOL).min(width - 1) {
                    let gx = here[x + 1] - here[x - 1];
                    let gy = below[x] - above[x];
                    let cell = x / POOL;
                    xx_row[cell] += gx * gx;
                    xy_row[cell] += gx * gy;
                    yy_row[cell] += gy * gy;
                }
            }
        });
    let smooth = |field: Array2<f32>| {
        let down = blur_down(&field, WINDOW_CELLS, Edge::Repeat);
        blur_across(down, WINDOW_CELLS, Edge::Repeat)
    };
    DirectionField {
        cell_px: px_per_sample * POOL as f64,
        xx: smooth(xx),
        xy: smooth(xy),
        yy: smooth(yy),
    }
}
