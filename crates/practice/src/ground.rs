//! What is behind the face.

use crate::canvas::Canvas;
use crate::color::{Color, blend, scaled};
use crate::dice::Dice;
use crate::noise::{cloud, plane, ramp};
use crate::recipe::{Ground, Recipe};
use rayon::prelude::*;
use std::f64::consts::TAU;

/// Paints the ground over the whole picture.
pub(crate) fn paint(recipe: &Recipe) -> Canvas {
    let mut dice = Dice::new(recipe.seed, 10);
    let (w, h) = (recipe.width_px as usize, recipe.height_px as usize);
    let mut canvas = Canvas::new(w, h, [0.2, 0.16, 0.11]);
    match recipe.ground {
        Ground::Grass => grass(&mut canvas, &mut dice),
        Ground::LeafLitter => litter(&mut canvas, &mut dice, 1.0),
        Ground::Sawdust => sawdust(&mut canvas, &mut dice),
        Ground::Bench => bench(&mut canvas, &mut dice),
        Ground::CloseUp => litter(&mut canvas, &mut dice, 0.6),
    }
    roughen(&mut canvas, &mut dice);
    canvas
}

/// Dirt, damp and small crumbs over whatever is there.
fn roughen(canvas: &mut Canvas, dice: &mut Dice) {
    let (seed, width) = (dice.noise_seed(), canvas.width);
    let unit = width as f32 / 400.0;
    canvas
        .px
        .par_chunks_mut(width)
        .enumerate()
        .for_each(|(y, row)| {
            for (x, px) in row.iter_mut().enumerate() {
                let (u, v) = (x as f32 / unit, y as f32 / unit);
                let fine = plane(seed, u, v) + 0.7 * plane(seed ^ 1, u * 2.3, v * 2.3);
                let damp = plane(seed ^ 2, u / 45.0, v / 45.0);
                *px = scaled(*px, 1.0 + 0.15 * fine + 0.1 * damp);
            }
        });
}

/// Fills the canvas from a function of the place.
fn fill(canvas: &mut Canvas, color: impl Fn(f32, f32) -> Color + Sync) {
    canvas
        .px
        .par_chunks_mut(canvas.width)
        .enumerate()
        .for_each(|(y, row)| {
            for (x, px) in row.iter_mut().enumerate() {
                *px = color(x as f32, y as f32);
            }
        });
}

fn soil(canvas: &mut Canvas, dice: &mut Dice, dark: Color, light: Color) {
    let (seed, unit) = (dice.noise_seed(), canvas.width as f32 / 90.0);
    fill(canvas, |x, y| {
        let coarse = cloud(seed, x / (unit * 8.0), y / (unit * 8.0), 3);
        let fine = cloud(seed ^ 9, x / unit, y / unit, 4);
        blend(
            dark,
            light,
            (0.5 + 0.35 * coarse + 0.5 * fine).clamp(0.0, 1.0),
        )
    });
}

fn place(canvas: &Canvas, dice: &mut Dice) -> [f32; 2] {
    [
        (dice.unit() * canvas.width as f64) as f32,
        (dice.unit() * canvas.height as f64) as f32,
    ]
}

fn grass(canvas: &mut Canvas, dice: &mut Dice) {
    soil(canvas, dice, [0.11, 0.11, 0.06], [0.34, 0.33, 0.18]);
    let long = canvas.width as f64 / 26.0;
    for layer in 0..3 {
        let light = 0.55 + 0.25 * f64::from(layer);
        for _ in 0..4200 {
            let from = place(canvas, dice);
            let lean = -TAU / 4.0 + 0.75 * dice.normal();
            let length = long * dice.between(0.4, 1.3);
            let bend = lean + 0.5 * dice.normal();
            let middle = [
                from[0] + (0.55 * length * lean.cos()) as f32,
                from[1] + (0.55 * length * lean.sin()) as f32,
            ];
            let tip = [
                middle[0] + (0.45 * length * bend.cos()) as f32,
                middle[1] + (0.45 * length * bend.sin()) as f32,
            ];
            let dry = dice.chance(0.22);
            let tone = (light * dice.between(0.6, 1.15)) as f32;
            let color = if dry {
                [0.62, 0.55, 0.34]
            } else {
                [0.34, 0.46, 0.18]
            };
            let hue = dice.between(0.0, 0.25) as f32;
            let color = scaled(blend(color, [0.50, 0.52, 0.22], hue), tone);
            let wide = (long * dice.between(0.035, 0.08)) as f32;
            canvas.stroke(from, middle, [wide, wide * 0.8], color, 0.95);
            canvas.stroke(middle, tip, [wide * 0.8, 0.4], scaled(color, 1.08), 0.95);
        }
    }
}

fn litter(canvas: &mut Canvas, dice: &mut Dice, light: f32) {
    soil(
        canvas,
        dice,
        scaled([0.10, 0.08, 0.05], light),
        scaled([0.34, 0.27, 0.19], light),
    );
    let unit = canvas.width as f64 / 40.0;
    for _ in 0..2600 {
        let at = place(canvas, dice);
        let turn = dice.between(0.0, TAU) as f32;
        let size = unit * dice.between(0.35, 1.15);
        let kinds: [Color; 5] = [
            [0.50, 0.39, 0.28],
            [0.41, 0.30, 0.21],
            [0.61, 0.52, 0.41],
            [0.35, 0.28, 0.22],
            [0.47, 0.40, 0.25],
        ];
        let color = kinds[dice.whole(0, 4) as usize];
        let tone = dice.between(0.55, 1.1) as f32 * light;
        let shape = [size as f32, (size * dice.between(0.28, 0.55)) as f32];
        canvas.leaf(at, shape, turn, scaled(color, tone), true);
        if dice.chance(0.35) {
            let from = place(canvas, dice);
            let lean = dice.between(0.0, TAU);
            let length = unit * dice.between(0.5, 3.0);
            let to = [
                from[0] + (length * lean.cos()) as f32,
                from[1] + (length * lean.sin()) as f32,
            ];
            let wide = (unit * dice.between(0.02, 0.08)) as f32;
            let tone = dice.between(0.5, 1.2) as f32 * light;
            canvas.stroke(
                from,
                to,
                [wide, wide * 0.6],
                scaled([0.40, 0.33, 0.25], tone),
                0.9,
            );
        }
    }
}

fn sawdust(canvas: &mut Canvas, dice: &mut Dice) {
    soil(canvas, dice, [0.52, 0.42, 0.28], [0.86, 0.76, 0.58]);
    let unit = canvas.width as f64 / 320.0;
    for _ in 0..26_000 {
        let at = place(canvas, dice);
        let size = unit * dice.between(0.4, 1.9);
        let tone = dice.between(0.7, 1.12) as f32;
        let shape = [size as f32, (size * dice.between(0.3, 0.6)) as f32];
        let turn = dice.between(0.0, TAU) as f32;
        canvas.leaf(at, shape, turn, scaled([0.86, 0.76, 0.58], tone), false);
    }
}

fn bench(canvas: &mut Canvas, dice: &mut Dice) {
    let seed = dice.noise_seed();
    let board = canvas.height as f32 * dice.between(0.26, 0.4) as f32;
    let start = board * dice.unit() as f32;
    let lean = dice.between(-0.06, 0.06) as f32;
    let long = canvas.width as f32;
    let dusty = dice.between(0.0, 0.8) as f32;
    fill(canvas, |x, y| {
        let across = y + lean * x + start;
        let number = (across / board).floor();
        let at = across - number * board;
        let which = number as u32;
        let tone = 1.0 + 0.12 * plane(seed ^ 3, number * 7.3, 0.5);
        let bow = 14.0 * plane(seed ^ which, x / long * 3.0, at / board * 2.0);
        let grain = cloud(
            seed.wrapping_add(which),
            x / long * 4.0,
            (at + bow) / 7.0,
            4,
        );
        let fine = plane(seed ^ 77, x / 60.0, y / 1.7);
        let wood = blend([0.50, 0.42, 0.33], [0.76, 0.67, 0.54], 0.55 + 0.38 * grain);
        let mut color = scaled(wood, tone * (1.0 + 0.05 * fine));
        let powder = cloud(seed ^ 21, x / 140.0, y / 140.0, 4);
        let grit = 0.1 * plane(seed ^ 22, x / 2.0, y / 2.0);
        let cover = dusty * ramp(-0.4, 0.5, powder);
        color = blend(color, scaled([0.88, 0.83, 0.72], 1.0 + grit), cover);
        let gap = at.min(board - at);
        scaled(color, 0.25 + 0.75 * ramp(board * 0.008, board * 0.022, gap))
    });
}
