//! Light, lens, sensor and file: from the painted scene to the photo.

use crate::canvas::Canvas;
use crate::dice::Dice;
use crate::noise::{cloud, ramp, speck};
use crate::recipe::Recipe;
use image::RgbImage;
use rayon::prelude::*;

/// Uneven light: a slope, a darker rim and soft shadows.
pub(crate) fn light(canvas: &mut Canvas, recipe: &Recipe) {
    let mut dice = Dice::new(recipe.seed, 70);
    let seed = dice.noise_seed();
    let shade = recipe.troubles.shade as f32;
    let (sin, cos) = (dice.between(0.0, std::f64::consts::TAU) as f32).sin_cos();
    let warm = dice.between(-0.035, 0.045) as f32;
    let exposure = dice.between(0.9, 1.05) as f32;
    let dappled = dice.chance(0.6);
    let (w, h) = (canvas.width as f32, canvas.height as f32);
    let scale = w.min(h);
    canvas
        .px
        .par_chunks_mut(canvas.width)
        .enumerate()
        .for_each(|(y, row)| {
            for (x, px) in row.iter_mut().enumerate() {
                let (u, v) = ((x as f32 - w / 2.0) / scale, (y as f32 - h / 2.0) / scale);
                let slope = 1.0 + shade * 0.34 * (u * cos + v * sin);
                let rim = 1.0 - (0.05 + 0.10 * shade) * (u * u + v * v);
                let cast = if dappled && shade > 0.05 {
                    let patch = cloud(seed, u * 3.4, v * 3.4, 4);
                    ramp(-0.05, 0.45, patch) * 0.45 * shade
                } else {
                    0.0
                };
                let factor = slope * rim * (1.0 - cast) * exposure;
                // Shade is lit by the sky: a little bluer.
                px[0] *= factor * (1.0 + warm - 0.10 * cast);
                px[1] *= factor;
                px[2] *= factor * (1.0 - warm + 0.12 * cast);
            }
        });
}

/// Lens blur by two passes of a Gaussian.
pub(crate) fn blur(canvas: &mut Canvas, sigma: f32) {
    if sigma < 0.15 {
        return;
    }
    let reach = (3.0 * sigma).ceil() as i64;
    let mut weights: Vec<f32> = (-reach..=reach)
        .map(|i| (-0.5 * (i as f32 / sigma).powi(2)).exp())
        .collect();
    let sum: f32 = weights.iter().sum();
    weights.iter_mut().for_each(|v| *v /= sum);
    let (w, h) = (canvas.width, canvas.height);
    let mut across = vec![[0.0_f32; 3]; w * h];
    across
        .par_chunks_mut(w)
        .zip(canvas.px.par_chunks(w))
        .for_each(|(out, row)| {
            for (x, px) in out.iter_mut().enumerate() {
                let mut sum = [0.0; 3];
                for (i, weight) in weights.iter().enumerate() {
                    let at = (x as i64 + i as i64 - reach).clamp(0, w as i64 - 1) as usize;
                    for c in 0..3 {
                        sum[c] += weight * row[at][c];
                    }
                }
                *px = sum;
            }
        });
    canvas
        .px
        .par_chunks_mut(w)
        .enumerate()
        .for_each(|(y, out)| {
            out.fill([0.0; 3]);
            for (i, weight) in weights.iter().enumerate() {
                let at = (y as i64 + i as i64 - reach).clamp(0, h as i64 - 1) as usize;
                for (px, from) in out.iter_mut().zip(&across[at * w..(at + 1) * w]) {
                    for c in 0..3 {
                        px[c] += weight * from[c];
                    }
                }
            }
        });
}

/// Sensor noise, the camera's curve and 8 bits.
pub(crate) fn expose(canvas: &Canvas, recipe: &Recipe) -> RgbImage {
    let seed = Dice::new(recipe.seed, 71).noise_seed();
    let grain = 0.006 + 0.05 * recipe.troubles.grain as f32;
    let mut bytes = vec![0_u8; canvas.width * canvas.height * 3];
    bytes
        .par_chunks_mut(canvas.width * 3)
        .enumerate()
        .for_each(|(y, row)| {
            for x in 0..canvas.width {
                let px = canvas.px[y * canvas.width + x];
                let (i, j) = (x as i32, y as i32);
                // The sum of two is nearly bell-shaped; half is shared with the
                // neighbor, as a sensor's color filter does.
                let all = speck(seed, i, j) + speck(seed ^ 1, i / 2, j) - 1.0;
                for c in 0..3 {
                    let own = speck(seed ^ (c as u32 + 5), i, j / 2) - 0.5;
                    let noisy = px[c] + grain * (0.8 * all + 0.5 * own);
                    row[x * 3 + c] = (noisy.clamp(0.0, 1.0) * 255.0 + 0.5) as u8;
                }
            }
        });
    RgbImage::from_raw(canvas.width as u32, canvas.height as u32, bytes).unwrap_or_default()
}

/// The picture as a JPEG file of the given quality (1 to 100). Empty only for
/// a picture that JPEG cannot hold (a side of nothing or above 65535 pixels).
#[must_use]
pub fn jpeg(picture: &RgbImage, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    let encoder =
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality.clamp(1, 100));
    if picture.write_with_encoder(encoder).is_err() {
        bytes.clear();
    }
    bytes
}
