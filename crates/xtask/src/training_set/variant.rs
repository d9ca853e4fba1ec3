//! A photo changed as phones, editors and the light change photos.

use image::imageops::{self, FilterType};
use image::{DynamicImage, RgbImage};
use rand::{Rng, RngExt as _};

/// A changed copy of a photo, and how its pixels map to those of the photo.
pub(super) struct Variant {
    pub(super) jpeg: Vec<u8>,
    /// Pixels across and down for each pixel of the photo.
    pub(super) scale: [f64; 2],
}

/// Greatest radius of the marked rings in a copy, in pixels: from and to.
const RADIUS_PX: (f64, f64) = (170.0, 1500.0);
/// Most that a photo is enlarged.
const MOST_SCALE: f64 = 1.5;

/// Changes a photo whose marked rings reach out to `radius_px`; the first copy
/// is left as it is.
pub(super) fn of(photo: &RgbImage, radius_px: f64, first: bool, dice: &mut impl Rng) -> Variant {
    if first {
        return Variant {
            jpeg: practice::jpeg(photo, 92),
            scale: [1.0, 1.0],
        };
    }
    let least = (RADIUS_PX.0 / radius_px).clamp(0.2, 1.0);
    let most = (RADIUS_PX.1 / radius_px).clamp(least * 1.01, MOST_SCALE.max(least * 1.02));
    let scale = dice.random_range(least.ln()..most.ln()).exp();
    let mut squeeze = |chance: f64| {
        if dice.random_bool(chance) {
            dice.random_range(0.78..1.0)
        } else {
            1.0
        }
    };
    let scale = [scale * squeeze(0.3), scale * squeeze(0.3)];
    let (width, height) = photo.dimensions();
    let size = |side: u32, scale: f64| ((f64::from(side) * scale).round() as u32).max(170);
    let (across, down) = (size(width, scale[0]), size(height, scale[1]));
    let filter = [
        FilterType::Triangle,
        FilterType::CatmullRom,
        FilterType::Lanczos3,
    ][dice.random_range(0..3)];
    let mut copy = imageops::resize(photo, across, down, filter);
    if dice.random_bool(0.25) {
        copy = imageops::fast_blur(&copy, dice.random_range(0.4..1.3));
    }
    if dice.random_bool(0.35) {
        copy = imageops::unsharpen(&copy, dice.random_range(0.6..2.5), dice.random_range(0..4));
    }
    if dice.random_bool(0.2) {
        copy = DynamicImage::ImageRgb8(copy).grayscale().to_rgb8();
    }
    tone(&mut copy, dice);
    Variant {
        jpeg: practice::jpeg(&copy, dice.random_range(35..95)),
        scale: [
            f64::from(across) / f64::from(width),
            f64::from(down) / f64::from(height),
        ],
    }
}

/// Changes brightness, contrast and the color of the light, and lays on grain.
fn tone(copy: &mut RgbImage, dice: &mut impl Rng) {
    let gamma = dice.random_range(-0.5_f32..0.5).exp();
    let contrast = dice.random_range(-0.35_f32..0.3).exp();
    let light: [f32; 3] = std::array::from_fn(|_| dice.random_range(-0.15_f32..0.15).exp());
    let grain = if dice.random_bool(0.3) {
        dice.random_range(0.0..9.0)
    } else {
        0.0_f32
    };
    let curve: Vec<[u8; 256]> = light
        .iter()
        .map(|light| {
            std::array::from_fn(|value| {
                let value = (value as f32 / 255.0 * light).min(1.0).powf(gamma);
                (255.0 * (0.5 + contrast * (value - 0.5))).clamp(0.0, 255.0) as u8
            })
        })
        .collect();
    for pixel in copy.pixels_mut() {
        let off = if grain > 0.0 {
            dice.random_range(-grain..grain)
        } else {
            0.0
        };
        for (value, curve) in pixel.0.iter_mut().zip(&curve) {
            *value = (f32::from(curve[usize::from(*value)]) + off).clamp(0.0, 255.0) as u8;
        }
    }
}
