//! One strip of a fine-ringed face in several pictures that overlap, as a person takes them
//! who goes along the strip with a phone.

use crate::camera::jpeg;
use crate::dice::Dice;
use crate::noise::{cloud, mix, speck};
use crate::recipe::{Ground, Recipe, Widths};
use crate::render::{Face, render};
use crate::truth::Truth;
use image::RgbImage;
use wood::WoodClass;

/// A strip of a face in several pictures.
#[derive(Debug, Clone)]
pub struct Pieces {
    /// The strip as one picture.
    pub whole: RgbImage,
    /// What is known of that picture.
    pub truth: Truth,
    /// The pictures, in the order in which they were taken.
    pub pieces: Vec<Piece>,
}

/// One picture of a strip.
#[derive(Debug, Clone)]
pub struct Piece {
    /// The photo as a JPEG file.
    pub jpeg: Vec<u8>,
    /// Its width and height, in pixels.
    pub size_px: [u32; 2],
    /// Where its middle is on the strip, in pixels of the whole picture.
    pub middle: [f64; 2],
    /// How it is turned, in degrees clockwise.
    pub turn_deg: f64,
    /// Its pixels in a pixel of the whole picture, along each side.
    pub scale: f64,
}

impl Piece {
    /// The place in the whole picture that is seen at a place of this one, both in pixels.
    #[must_use]
    pub fn on_whole(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let u = (x - f64::from(self.size_px[0]) / 2.0) / self.scale;
        let v = (y - f64::from(self.size_px[1]) / 2.0) / self.scale;
        [
            self.middle[0] + u * cos - v * sin,
            self.middle[1] + u * sin + v * cos,
        ]
    }

    /// Where a place of the whole picture is seen in this one; None where it is not.
    #[must_use]
    pub fn of_whole(&self, [x, y]: [f64; 2]) -> Option<[f64; 2]> {
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        let [w, h] = self.size_px.map(f64::from);
        let at = [
            (dx * cos + dy * sin) * self.scale + w / 2.0,
            (dy * cos - dx * sin) * self.scale + h / 2.0,
        ];
        ((0.0..w).contains(&at[0]) && (0.0..h).contains(&at[1])).then_some(at)
    }
}

/// Draws a strip from the pith to the bark in two to four pictures, each turned by up to 20
/// degrees, scaled by up to a tenth, in light of its own, and stored as JPEG. Neighbors show
/// a quarter to two fifths of a picture in common. Classes go round with the seeds.
#[must_use]
pub fn pieces(seed: u64) -> Pieces {
    let mut dice = Dice::new(seed, 103);
    let face = render(&strip(&mut dice, seed));
    let (width, height) = (f64::from(face.rgb.width()), f64::from(face.rgb.height()));
    let count = dice.whole(2, 4);
    let common = dice.between(0.25, 0.4);
    // The pictures reach from end to end of the strip.
    let long = width / (1.0 + f64::from(count - 1) * (1.0 - common));
    let pieces = (0..count)
        .map(|nth| {
            let middle = [
                long / 2.0 + f64::from(nth) * long * (1.0 - common),
                height / 2.0 + 0.03 * height * dice.between(-1.0, 1.0),
            ];
            let turn_deg = dice.between(-20.0, 20.0);
            let scale = dice.between(0.9, 1.1);
            let size_px = [long, 0.5 * height].map(|side| (side * scale).round() as u32);
            let mut piece = Piece {
                jpeg: Vec::new(),
                size_px,
                middle,
                turn_deg,
                scale,
            };
            let photo = photo(&face.rgb, &piece, &mut dice);
            piece.jpeg = jpeg(&photo, dice.whole(60, 92) as u8);
            piece
        })
        .collect();
    let Face { rgb, truth } = face;
    Pieces {
        whole: rgb,
        truth,
        pieces,
    }
}

/// The face of which a strip is photographed: fine rings, the pith near the left side.
fn strip(dice: &mut Dice, seed: u64) -> Recipe {
    let mut recipe = Recipe::random(seed);
    let spacing = match recipe.wood {
        WoodClass::DiffusePorous => dice.between(6.5, 10.0),
        _ => dice.between(5.0, 9.0),
    };
    let (width, height) = (1700.0, 760.0);
    recipe.rings = (width / spacing) as u32;
    recipe.width_px = width as u32;
    recipe.height_px = height as u32;
    // From a little left of the pith to a little beyond the bark.
    let radius = 0.93 * width;
    recipe.radius_share = 2.0 * radius / height;
    recipe.shift = [(0.04 * width - width / 2.0) * 2.0 / height, 0.0];
    recipe.pith_offset = 0.0;
    recipe.lobes = recipe.lobes.min(0.02);
    recipe.tilt_deg = 0.0;
    recipe.mm_per_px = 0.15;
    recipe.widths = Widths {
        trend: recipe.widths.trend.min(0.4),
        noise: recipe.widths.noise.min(0.2),
        steps: Vec::new(),
        ..recipe.widths
    };
    recipe.ground = Ground::CloseUp;
    recipe.tape = None;
    recipe.pen_marks = 0;
    let troubles = &mut recipe.troubles;
    // Each picture gets light and grain of its own.
    troubles.shade = 0.0;
    troubles.grain = 0.0;
    troubles.blur_px = 0.5;
    troubles.weathered = 0.0;
    troubles.torn = 0.0;
    recipe
}

/// Takes one picture of the strip.
fn photo(whole: &RgbImage, piece: &Piece, dice: &mut Dice) -> RgbImage {
    let seed = dice.noise_seed();
    let exposure = dice.between(0.8, 1.15) as f32;
    let tint = [
        dice.between(0.95, 1.05) as f32,
        1.0,
        dice.between(0.93, 1.07) as f32,
    ];
    let slope = [
        dice.between(-0.2, 0.2) as f32,
        dice.between(-0.2, 0.2) as f32,
    ];
    let shadow = dice.between(0.0, 0.25) as f32;
    let grain = dice.between(2.0, 14.0) as f32;
    let soft = dice.between(0.0, 0.8);
    let [w, h] = piece.size_px.map(|side| side as f32);
    RgbImage::from_fn(piece.size_px[0], piece.size_px[1], |i, j| {
        let (x, y) = (f64::from(i) + 0.5, f64::from(j) + 0.5);
        // Four looks around the place: a lens a little out of focus.
        let mut seen = [0.0_f32; 3];
        for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let look = piece.on_whole([x + soft * dx, y + soft * dy]);
            let color = color_at(whole, look);
            seen.iter_mut().zip(color).for_each(|(s, c)| *s += c / 4.0);
        }
        let (u, v) = (i as f32 / w - 0.5, j as f32 / h - 0.5);
        let cast = shadow * cloud(seed, 2.0 * u, 2.0 * v, 2).max(0.0);
        let light = exposure * (1.0 + slope[0] * u + slope[1] * v) * (1.0 - cast);
        let noise = grain
            * (speck(seed ^ 1, i as i32, j as i32) + speck(seed ^ 2, i as i32, j as i32) - 1.0);
        image::Rgb(
            [0, 1, 2].map(|c| (seen[c] * light * tint[c] + noise + 0.5).clamp(0.0, 255.0) as u8),
        )
    })
}

/// Between the four pixels around a place; beyond the sides the sides go on.
fn color_at(whole: &RgbImage, [x, y]: [f64; 2]) -> [f32; 3] {
    let (x, y) = (x - 0.5, y - 0.5);
    let (i, j) = (x.floor(), y.floor());
    let (u, v) = ((x - i) as f32, (y - j) as f32);
    let at = |dx: f64, dy: f64| {
        let x = (i + dx).clamp(0.0, f64::from(whole.width() - 1)) as u32;
        let y = (j + dy).clamp(0.0, f64::from(whole.height() - 1)) as u32;
        whole.get_pixel(x, y).0.map(f32::from)
    };
    let (a, b, c, d) = (at(0.0, 0.0), at(1.0, 0.0), at(0.0, 1.0), at(1.0, 1.0));
    [0, 1, 2].map(|k| mix(mix(a[k], b[k], u), mix(c[k], d[k], u), v))
}
