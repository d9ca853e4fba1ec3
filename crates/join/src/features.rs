//! Corners in the wood's texture and what each looks like, turned the way that the rings run.

use crate::plane::{Plane, Sloped};
use crate::ready::Ready;
use rayon::prelude::*;
use std::f32::consts::{PI, TAU};

/// Cells of a description along each side, and directions in each.
const CELLS: usize = 4;
const DIRECTIONS: usize = 8;
/// Numbers of a description.
const LENGTH: usize = CELLS * CELLS * DIRECTIONS;
/// Side of a described square, in pixels.
const SIDE: usize = 32;
/// Most corners of a picture.
const MOST: usize = 900;
/// Corners nearer to the edge than this are left out, in pixels.
const MARGIN: usize = 18;

/// Which way round the rings run at a place cannot be known from them: a
/// description is compared as it is and turned by half.
#[derive(Debug, Clone)]
pub(crate) struct Feature {
    /// Place in pixels from the picture's corner.
    pub(crate) at: [f64; 2],
    /// How the slopes of lightness lie around it: cells by rows, each with the strength
    /// of slopes by direction, after Lowe 2004. Directions count from across the rings.
    description: [f32; LENGTH],
}

impl Feature {
    /// How alike two are, up to 1; the better of both ways round.
    pub(crate) fn likeness(&self, other: &Self) -> f32 {
        let same: f32 = self
            .description
            .iter()
            .zip(&other.description)
            .map(|(a, b)| a * b)
            .sum();
        let half = DIRECTIONS / 2;
        let turned: f32 = self
            .description
            .chunks_exact(DIRECTIONS)
            .zip(other.description.chunks_exact(DIRECTIONS).rev())
            .map(|(a, b)| {
                let (first, last) = b.split_at(half);
                let ahead: f32 = a[..half].iter().zip(last).map(|(a, b)| a * b).sum();
                let behind: f32 = a[half..].iter().zip(first).map(|(a, b)| a * b).sum();
                ahead + behind
            })
            .sum();
        same.max(turned)
    }
}

/// Corners of a picture, described at each of the given scales.
pub(crate) fn features(ready: &Ready, scales: &[f32]) -> Vec<Vec<Feature>> {
    let leveled = &ready.fine;
    let near = leveled.slope_products().map(|plane| plane.blurred(1.6));
    let corners = corners(&near);
    scales
        .iter()
        .map(|scale| {
            corners
                .par_iter()
                .map(|&(x, y)| {
                    let i = y * leveled.value.width + x;
                    let across = ready.across.px[i];
                    let at = [x as f64 + 0.5, y as f64 + 0.5];
                    Feature {
                        at,
                        description: describe(leveled, at, across, *scale),
                    }
                })
                .collect()
        })
        .collect()
}

/// Places where lightness changes in every direction (Shi and Tomasi 1994): the best of
/// each small square, the best of all first.
fn corners(products: &[Plane; 3]) -> Vec<(usize, usize)> {
    const SQUARE: usize = 9;
    let (width, height) = (products[0].width, products[0].height);
    let strength = |x: usize, y: usize| {
        let i = y * width + x;
        let [xx, xy, yy] = std::array::from_fn(|p| products[p].px[i]);
        let half = 0.5 * (xx - yy);
        0.5 * (xx + yy) - half.hypot(xy)
    };
    let mut found = Vec::new();
    for top in (MARGIN..height.saturating_sub(MARGIN)).step_by(SQUARE) {
        for left in (MARGIN..width.saturating_sub(MARGIN)).step_by(SQUARE) {
            let places = (top..(top + SQUARE).min(height - MARGIN)).flat_map(|y| {
                (left..(left + SQUARE).min(width - MARGIN)).map(move |x| (strength(x, y), x, y))
            });
            found.extend(places.max_by(|a, b| a.0.total_cmp(&b.0)));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    found.truncate(MOST);
    found.into_iter().map(|(_, x, y)| (x, y)).collect()
}

fn describe(leveled: &Sloped, at: [f64; 2], across: f32, scale: f32) -> [f32; LENGTH] {
    let (sin, cos) = across.sin_cos();
    let mut cells = [0.0_f32; LENGTH];
    let half = SIDE as f32 / 2.0;
    for v in 0..SIDE {
        for u in 0..SIDE {
            let (du, dv) = (u as f32 + 0.5 - half, v as f32 + 0.5 - half);
            let place = [
                at[0] + f64::from(scale * (du * cos - dv * sin)),
                at[1] + f64::from(scale * (du * sin + dv * cos)),
            ];
            let Some(sampled) = leveled.sample(place) else {
                continue;
            };
            let [sx, sy] = sampled.slope;
            let (su, sv) = (sx * cos + sy * sin, sy * cos - sx * sin);
            let weight = (-0.5 * (du * du + dv * dv) / (0.6 * half).powi(2)).exp();
            let strength = su.hypot(sv) * weight;
            let direction = (sv.atan2(su) + PI) / TAU * DIRECTIONS as f32;
            // Shared among the nearest cells and directions, so that nothing jumps.
            let cell = |d: f32| (d + half) / SIDE as f32 * CELLS as f32 - 0.5;
            for (j, wj) in shares(cell(dv)) {
                for (i, wi) in shares(cell(du)) {
                    if !(0..CELLS as i32).contains(&i) || !(0..CELLS as i32).contains(&j) {
                        continue;
                    }
                    for (d, wd) in shares(direction) {
                        let d = d.rem_euclid(DIRECTIONS as i32) as usize;
                        let index = (j as usize * CELLS + i as usize) * DIRECTIONS + d;
                        cells[index] += strength * wi * wj * wd;
                    }
                }
            }
        }
    }
    for most in [0.2, f32::INFINITY] {
        let length = cells.iter().map(|v| v * v).sum::<f32>().sqrt().max(1e-6);
        cells.iter_mut().for_each(|v| *v = (*v / length).min(most));
    }
    cells
}

/// The whole numbers on both sides and the share of each.
fn shares(x: f32) -> [(i32, f32); 2] {
    let low = x.floor();
    [(low as i32, 1.0 - (x - low)), (low as i32 + 1, x - low)]
}
