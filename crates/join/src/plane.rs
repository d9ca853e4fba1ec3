//! Lightness of a picture as a plane of numbers, blurred and leveled.

use image::RgbImage;
use rayon::prelude::*;

/// Numbers by rows.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) px: Vec<f32>,
}

/// Lightness at both sides of a place and there: value and slopes.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sampled {
    pub(crate) value: f32,
    pub(crate) slope: [f32; 2],
}

impl Plane {
    /// Mean lightness (0 to 255, as stored) in squares of `side` pixels.
    pub(crate) fn of(picture: &RgbImage, side: u32) -> Self {
        let (width, height) = (picture.width() / side, picture.height() / side);
        let stride = picture.width() as usize * 3;
        let bytes = picture.as_raw();
        let side = side as usize;
        let mut px = vec![0.0_f32; width as usize * height as usize];
        px.par_chunks_mut((width as usize).max(1))
            .enumerate()
            .for_each(|(y, row)| {
                for (x, out) in row.iter_mut().enumerate() {
                    let mut sum = 0.0;
                    for line in y * side..(y + 1) * side {
                        let start = line * stride + x * side * 3;
                        for rgb in bytes[start..start + side * 3].chunks_exact(3) {
                            sum += 0.3 * f32::from(rgb[0])
                                + 0.59 * f32::from(rgb[1])
                                + 0.11 * f32::from(rgb[2]);
                        }
                    }
                    *out = sum / (side * side) as f32;
                }
            });
        Self {
            width: width as usize,
            height: height as usize,
            px,
        }
    }

    /// Made pixel by pixel from planes of the same size.
    fn map(&self, other: &Self, of: impl Fn(f32, f32) -> f32 + Sync) -> Self {
        Self {
            px: self
                .px
                .par_iter()
                .zip(&other.px)
                .map(|(a, b)| of(*a, *b))
                .collect(),
            ..*self
        }
    }

    /// Blurred by a Gaussian of so many pixels; beyond the edge the edge goes on.
    pub(crate) fn blurred(&self, sigma: f32) -> Self {
        let reach = (3.0 * sigma).ceil() as usize;
        let mut weights: Vec<f32> = (0..=2 * reach)
            .map(|i| (-0.5 * ((i as f32 - reach as f32) / sigma).powi(2)).exp())
            .collect();
        let sum: f32 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= sum);
        let (w, h) = (self.width, self.height);
        let mut across = vec![0.0; w * h];
        across
            .par_chunks_mut(w.max(1))
            .zip(self.px.par_chunks(w.max(1)))
            .for_each(|(out, row)| {
                for (x, px) in out.iter_mut().enumerate() {
                    *px = weights
                        .iter()
                        .enumerate()
                        .map(|(i, weight)| weight * row[(x + i).saturating_sub(reach).min(w - 1)])
                        .sum();
                }
            });
        let mut px = vec![0.0; w * h];
        px.par_chunks_mut(w.max(1))
            .enumerate()
            .for_each(|(y, out)| {
                for (i, weight) in weights.iter().enumerate() {
                    let at = (y + i).saturating_sub(reach).min(h - 1);
                    for (sum, from) in out.iter_mut().zip(&across[at * w..(at + 1) * w]) {
                        *sum += weight * from;
                    }
                }
            });
        Self { px, ..*self }
    }

    /// Local mean taken away and local spread made even, over so many pixels: light
    /// that changes slowly over the picture is gone.
    pub(crate) fn leveled(&self, sigma: f32) -> Self {
        /// Spread of lightness below which there is only noise, of 255.
        const NOISE: f32 = 2.0;
        let mean = self.blurred(sigma);
        let away = self.map(&mean, |v, m| v - m);
        let spread = away.map(&away, |a, b| a * b).blurred(sigma);
        away.map(&spread, |a, s| (a / (s.sqrt() + NOISE)).clamp(-3.0, 3.0))
    }

    /// Differences to the right and down, over two pixels.
    pub(crate) fn slopes(&self) -> [Self; 2] {
        let (w, h) = (self.width, self.height);
        let at = |x: usize, y: usize| self.px[y * w + x];
        let make = |of: &(dyn Fn(usize, usize) -> f32 + Sync)| Self {
            px: (0..w * h)
                .into_par_iter()
                .map(|i| of(i % w, i / w))
                .collect(),
            ..*self
        };
        [
            make(&|x, y| 0.5 * (at((x + 1).min(w - 1), y) - at(x.saturating_sub(1), y))),
            make(&|x, y| 0.5 * (at(x, (y + 1).min(h - 1)) - at(x, y.saturating_sub(1)))),
        ]
    }

    /// The value at a place, between the four middles of pixels around it; None outside.
    /// Places count from the picture's corner.
    pub(crate) fn sample(&self, [x, y]: [f64; 2]) -> Option<f32> {
        let (x, y) = (x - 0.5, y - 0.5);
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (i, j) = (x as usize, y as usize);
        if i + 1 >= self.width || j + 1 >= self.height {
            return None;
        }
        let (u, v) = ((x - i as f64) as f32, (y - j as f64) as f32);
        let at = j * self.width + i;
        let (above, below) = (
            &self.px[at..at + 2],
            &self.px[at + self.width..at + self.width + 2],
        );
        let top = above[0] + (above[1] - above[0]) * u;
        let bottom = below[0] + (below[1] - below[0]) * u;
        Some(top + (bottom - top) * v)
    }
}

/// A plane with its slopes.
#[derive(Debug, Clone)]
pub(crate) struct Sloped {
    pub(crate) value: Plane,
    pub(crate) slopes: [Plane; 2],
}

impl Sloped {
    pub(crate) fn new(value: Plane) -> Self {
        Self {
            slopes: value.slopes(),
            value,
        }
    }

    /// Products of the slopes at each pixel: right with right, right with down, down with down.
    pub(crate) fn slope_products(&self) -> [Plane; 3] {
        let [right, down] = &self.slopes;
        [(right, right), (right, down), (down, down)].map(|(a, b)| a.map(b, |a, b| a * b))
    }

    pub(crate) fn sample(&self, place: [f64; 2]) -> Option<Sampled> {
        Some(Sampled {
            value: self.value.sample(place)?,
            slope: [self.slopes[0].sample(place)?, self.slopes[1].sample(place)?],
        })
    }
}
