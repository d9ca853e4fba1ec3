//! Vessels drawn one by one, and the resin canals of conifers.

use crate::dice::Dice;
use crate::recipe::Recipe;
use crate::rings::RingTable;
use crate::tissue::vessel_px;
use crate::view::View;
use rayon::prelude::*;
use wood::WoodClass;

/// One vessel on the face.
#[derive(Debug, Clone, Copy)]
struct Vessel {
    turn: f32,
    radius: f32,
    /// Half its breadth, in pixels.
    half: f32,
    /// How much longer it is along the radius than across.
    long: f32,
    /// Dark where open (above 0), light where filled with dust (below 0).
    depth: f32,
}

/// How deep in a vessel each pixel of the picture is: 1 wholly in a dark
/// one, -1 wholly in a light one, 0 in none.
pub(crate) fn layer(recipe: &Recipe, table: &RingTable, view: View, pith: [f64; 2]) -> Vec<f32> {
    let (w, h) = (recipe.width_px as usize, recipe.height_px as usize);
    let mut layer = vec![0.0_f32; w * h];
    let mean = crate::tissue::mean_width_px(recipe, table);
    let filled = Dice::new(recipe.seed, 29).between(0.0, 0.35) + 0.3 * recipe.troubles.dust;
    let rings: Vec<Vec<Vessel>> = (0..table.rings())
        .into_par_iter()
        .map(|ring| {
            let mut dice = Dice::new(recipe.seed, 1000 + ring as u64);
            let size = vessel_px(recipe, mean);
            let mut found = match recipe.wood {
                WoodClass::Conifer => canals(&mut dice, table, ring, mean),
                WoodClass::RingPorous => rows(&mut dice, table, ring, size),
                WoodClass::SemiRingPorous => thinning(&mut dice, table, ring, size * 0.85),
                WoodClass::DiffusePorous => tiny(&mut dice, table, ring),
            };
            for vessel in &mut found {
                if vessel.depth > 0.4 && dice.chance(filled) {
                    vessel.depth = -0.55;
                }
            }
            found
        })
        .collect();
    for vessel in rings.iter().flatten() {
        stamp(&mut layer, w, h, view, pith, *vessel);
    }
    layer
}

/// Length of a ring's inner boundary, roughly, in pixels.
fn around_px(table: &RingTable, ring: usize) -> f32 {
    let sum: f32 = (0..16).map(|i| table.boundary(ring, i as f32 / 16.0)).sum();
    sum / 16.0 * std::f32::consts::TAU
}

/// Ring-porous: crowded rows of large vessels from the boundary outward.
fn rows(dice: &mut Dice, table: &RingTable, ring: usize, size: f32) -> Vec<Vessel> {
    let mut found = Vec::new();
    let length = around_px(table, ring).max(size * 4.0);
    let wanted = dice.between(1.3, 3.2) as f32;
    for row in 0..3 {
        let spread = size * (1.18 + 0.16 * row as f32);
        let count = (length / spread) as usize;
        for i in 0..count {
            let turn =
                ((i as f64 + dice.between(-0.28, 0.28)) / count as f64).rem_euclid(1.0) as f32;
            let inner = table.boundary(ring, turn);
            let width = table.boundary(ring + 1, turn) - inner;
            let diameter = size.min(0.36 * width);
            // Vessels never take more than a bit over half of the ring.
            let fits = (0.62 * width / diameter).max(1.0).min(wanted);
            if width < 1.2 || row as f32 + dice.unit() as f32 > fits || dice.chance(0.06) {
                continue;
            }
            let shrink = dice.between(0.72, 1.12) as f32 * (1.0 - 0.14 * row as f32);
            let out = 0.56 + 0.88 * row as f32 + 0.16 * dice.normal() as f32;
            found.push(Vessel {
                turn,
                radius: inner + diameter * out.max(0.5),
                half: diameter * shrink * 0.5,
                long: dice.between(0.95, 1.35) as f32,
                depth: dice.between(0.65, 1.0) as f32,
            });
        }
    }
    // Small vessels of the latewood, in loose light groups.
    for _ in 0..(length / (size * 2.4)) as usize {
        let turn = dice.unit() as f32;
        let inner = table.boundary(ring, turn);
        let width = table.boundary(ring + 1, turn) - inner;
        if width > size * 4.5 {
            found.push(Vessel {
                turn,
                radius: inner + width * dice.between(0.5, 0.96) as f32,
                half: size * 0.2,
                long: 1.0,
                depth: if dice.chance(0.6) { -0.3 } else { 0.35 },
            });
        }
    }
    found
}

/// Semi-ring-porous: larger inside and crowded, smaller and fewer outward.
fn thinning(dice: &mut Dice, table: &RingTable, ring: usize, size: f32) -> Vec<Vessel> {
    let mut found = Vec::new();
    let length = around_px(table, ring).max(size * 4.0);
    let mean = (around_px(table, ring + 1) - length).abs() / std::f32::consts::TAU;
    let count = (length * mean.max(2.0) / (size * size) * 0.36) as usize;
    for _ in 0..count.min(60_000) {
        let turn = dice.unit() as f32;
        let inner = table.boundary(ring, turn);
        let width = table.boundary(ring + 1, turn) - inner;
        if width < 1.2 {
            continue;
        }
        let t = dice.unit().powf(2.1) as f32;
        let diameter = size.min(0.3 * width) * (1.0 - 0.72 * t) * dice.between(0.75, 1.15) as f32;
        found.push(Vessel {
            turn,
            radius: inner + diameter * 0.5 + t * (width - diameter),
            half: diameter * 0.5,
            long: dice.between(1.0, 1.5) as f32,
            depth: dice.between(0.6, 1.0) as f32,
        });
    }
    found
}

/// Diffuse-porous: tiny and everywhere, hardly seen.
fn tiny(dice: &mut Dice, table: &RingTable, ring: usize) -> Vec<Vessel> {
    let length = around_px(table, ring).max(12.0);
    let mean = (around_px(table, ring + 1) - length).abs() / std::f32::consts::TAU;
    let count = (length * mean / 34.0) as usize;
    (0..count.min(40_000))
        .map(|_| {
            let turn = dice.unit() as f32;
            let inner = table.boundary(ring, turn);
            let width = table.boundary(ring + 1, turn) - inner;
            Vessel {
                turn,
                radius: inner + width * dice.between(0.03, 0.94) as f32,
                half: dice.between(0.4, 0.75) as f32,
                long: dice.between(1.0, 2.0) as f32,
                depth: dice.between(0.1, 0.38) as f32,
            }
        })
        .collect()
}

/// Conifers have no vessels; some have resin canals in the outer half of a year.
fn canals(dice: &mut Dice, table: &RingTable, ring: usize, mean: f32) -> Vec<Vessel> {
    let length = around_px(table, ring);
    (0..(length / (mean.max(6.0) * 3.0)) as usize)
        .map(|_| {
            let turn = dice.unit() as f32;
            let inner = table.boundary(ring, turn);
            let width = table.boundary(ring + 1, turn) - inner;
            Vessel {
                turn,
                radius: inner + width * dice.between(0.45, 0.92) as f32,
                half: (0.035 * mean).clamp(0.45, 1.3),
                long: 1.2,
                depth: if dice.chance(0.5) { -0.5 } else { 0.45 },
            }
        })
        .collect()
}

/// Paints one vessel; what covers more of a pixel wins, so that neighbors do not add up.
fn stamp(layer: &mut [f32], w: usize, h: usize, view: View, pith: [f64; 2], vessel: Vessel) {
    let angle = vessel.turn * std::f32::consts::TAU;
    let (sin, cos) = angle.sin_cos();
    let face = [
        pith[0] + f64::from(vessel.radius * cos),
        pith[1] + f64::from(vessel.radius * sin),
    ];
    let at = view.to_picture(face);
    let reach = f64::from(vessel.half * vessel.long) + 1.0;
    if at[0] < -reach || at[1] < -reach || at[0] > w as f64 + reach || at[1] > h as f64 + reach {
        return;
    }
    // The camera is flat over so small a thing: how the face moves for one pixel.
    let right = view.to_face([at[0] + 1.0, at[1]]);
    let down = view.to_face([at[0], at[1] + 1.0]);
    let step = |p: [f64; 2]| [(p[0] - face[0]) as f32, (p[1] - face[1]) as f32];
    let (ex, ey) = (step(right), step(down));
    let x0 = (at[0] - reach).floor().max(0.0) as usize;
    let y0 = (at[1] - reach).floor().max(0.0) as usize;
    let x1 = ((at[0] + reach).ceil().max(0.0) as usize + 1).min(w);
    let y1 = ((at[1] + reach).ceil().max(0.0) as usize + 1).min(h);
    let soft = vessel.half.min(0.5);
    let weight = (vessel.half / 0.5).min(1.0).powi(2);
    for y in y0..y1 {
        for x in x0..x1 {
            let (dx, dy) = (
                (x as f64 + 0.5 - at[0]) as f32,
                (y as f64 + 0.5 - at[1]) as f32,
            );
            let (fx, fy) = (ex[0] * dx + ey[0] * dy, ex[1] * dx + ey[1] * dy);
            let along = (fx * cos + fy * sin) / vessel.long;
            let across = fy * cos - fx * sin;
            let away = along.hypot(across);
            let cover = ((vessel.half - away) / (2.0 * soft) + 0.5).clamp(0.0, 1.0);
            let value = cover * weight * vessel.depth;
            let px = &mut layer[y * w + x];
            if value.abs() > px.abs() {
                *px = value;
            }
        }
    }
}
