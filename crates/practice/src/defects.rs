//! Checks, knots and what else breaks a face.

use crate::color::{Color, blend, scaled};
use crate::dice::Dice;
use crate::noise::{cloud, line, ramp};
use crate::recipe::Recipe;
use crate::rings::Knot;
use std::f32::consts::TAU;

/// A radial crack.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Check {
    turn: f32,
    /// Where it starts and ends, as shares of the way from pith to bark edge.
    from: f32,
    to: f32,
    /// Width where it is widest, in pixels.
    wide: f32,
    /// Widest at the outer end (a drying crack) or in the middle.
    opens_outward: bool,
    seed: u32,
}

/// Draws the checks of a face.
pub(crate) fn checks(recipe: &Recipe) -> Vec<Check> {
    let mut dice = Dice::new(recipe.seed, 30);
    let radius = recipe.radius_px();
    (0..recipe.troubles.checks)
        .map(|i| {
            let long = i % 3 == 0;
            // Drying cracks open at the bark; the others close at both ends.
            let opens_outward = dice.chance(if long { 0.8 } else { 0.5 });
            let (from, to) = if opens_outward {
                let from = if long {
                    dice.between(0.03, 0.4)
                } else {
                    dice.between(0.6, 0.92)
                };
                (from, 1.06)
            } else {
                let from = if long { 0.0 } else { dice.between(0.1, 0.75) };
                (from, (from + dice.between(0.12, 0.45)).min(0.97))
            };
            let wide = if long {
                dice.between(0.004, 0.014)
            } else {
                dice.between(0.0015, 0.005)
            };
            Check {
                turn: dice.unit() as f32,
                from: from as f32,
                to: to as f32,
                wide: ((wide * radius) as f32).max(1.2),
                opens_outward,
                seed: dice.noise_seed(),
            }
        })
        .collect()
}

/// How deep in a check a place is, 0 to 1.
pub(crate) fn check_depth(checks: &[Check], turn: f32, radius: f32, outward: f32) -> f32 {
    let mut deepest = 0.0_f32;
    for check in checks {
        if outward < check.from || outward > check.to {
            continue;
        }
        let share = (outward - check.from) / (check.to - check.from).max(0.01);
        let mut d = (turn - check.turn).rem_euclid(1.0);
        if d > 0.5 {
            d -= 1.0;
        }
        let away = d * TAU * radius;
        if away.abs() > 40.0 + check.wide {
            continue;
        }
        let path = 5.0 * line(check.seed, radius / 55.0)
            + 1.6 * line(check.seed ^ 3, radius / 9.0)
            + 0.7 * line(check.seed ^ 4, radius / 3.0);
        let shape = if check.opens_outward {
            share.max(0.0).powf(0.8)
        } else {
            (4.0 * share * (1.0 - share)).max(0.0)
        };
        let ragged = 1.0 + 0.3 * line(check.seed ^ 5, radius / 6.0);
        let half = 0.5 * check.wide * shape * ragged;
        let edge = (half - (away - path).abs() + 0.5).clamp(0.0, 1.0);
        deepest = deepest.max(edge * (0.5 + half).min(1.0));
    }
    deepest
}

/// Paints the knots over the wood's color.
pub(crate) fn knot(knots: &[Knot], seed: u32, x: f32, y: f32, wood: Color) -> Color {
    let mut color = wood;
    for knot in knots {
        let (sin, cos) = (knot.angle as f32).sin_cos();
        let (dx, dy) = (x - knot.radius as f32 * cos, y - knot.radius as f32 * sin);
        let size = knot.size as f32;
        let out = dx * cos + dy * sin;
        // Drawn out toward the pith, where the branch came from.
        let u = out / (size * if out < 0.0 { 1.3 } else { 0.95 });
        let v = (dy * cos - dx * sin) / (size * 0.78);
        if u.abs() > 1.7 || v.abs() > 1.7 {
            continue;
        }
        let rough = 0.09 * cloud(seed, x / (size * 0.5), y / (size * 0.5), 3);
        let away = u.hypot(v) + rough;
        let halo = 1.0 - ramp(0.85, 1.6, away);
        color = blend(color, [0.60, 0.41, 0.26], 0.55 * halo);
        let inside = 1.0 - ramp(0.86, 1.02, away);
        if inside > 0.0 {
            let own = 0.5 + 0.5 * (away * 26.0 + 2.0 * rough).sin();
            let mut core = blend(
                [0.56, 0.37, 0.23],
                [0.38, 0.23, 0.14],
                0.75 * own * ramp(0.05, 0.3, away),
            );
            core = scaled(core, 1.0 - 0.4 * ramp(0.8, 0.97, away));
            if v.abs() < 0.035 + 0.03 * rough && u.abs() < 0.7 {
                core = scaled(core, 0.45);
            }
            color = blend(color, core, inside);
        }
    }
    color
}

/// The wall and the dark of a hollow: `inside` is 0 at its edge and 1 in its middle.
pub(crate) fn hollow(seed: u32, turn: f32, x: f32, y: f32, inside: f32) -> Color {
    let rot = cloud(seed, x / 22.0, y / 22.0, 4);
    let fiber = crate::noise::around(seed ^ 8, turn, 240, inside * 5.0);
    let wall = scaled(
        [0.34, 0.23, 0.14],
        (0.85 + 0.45 * rot + 0.25 * fiber).max(0.1),
    );
    blend(
        wall,
        scaled([0.07, 0.055, 0.045], 1.0 + 0.5 * rot),
        ramp(0.02, 0.42, inside + 0.06 * rot),
    )
}
