//! Where every boundary runs: polar tables around the pith.

use crate::dice::Dice;
use crate::noise::ramp;
use crate::recipe::Recipe;
use std::f64::consts::TAU;

/// Direction as a share of the way round, from 0 up to 1, clockwise from +x.
pub(crate) fn turn_of(x: f32, y: f32) -> f32 {
    let turn = y.atan2(x) / std::f32::consts::TAU;
    let turn = if turn < 0.0 { turn + 1.0 } else { turn };
    turn.min(0.999_999_9)
}

/// A knot: a branch that grew outward while the stem closed round it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Knot {
    /// Direction from the pith, in radians.
    pub(crate) angle: f64,
    /// Distance of its middle from the pith, in pixels.
    pub(crate) radius: f64,
    /// Half its breadth, in pixels.
    pub(crate) size: f64,
}

/// A ring that runs out over part of the circle.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wedge {
    /// Ring number, 1 at the pith.
    pub(crate) ring: usize,
    /// Middle of the part where it is missing, in radians.
    pub(crate) middle: f64,
    /// Half the length of that part, in radians.
    pub(crate) half: f64,
}

/// The boundaries of all rings, in pixels from the pith, before leaning.
#[derive(Debug, Clone)]
pub(crate) struct RingTable {
    steps: usize,
    rings: usize,
    /// `steps` rows of `rings + 1` radii; entry 0 is the pith.
    radius: Vec<f32>,
    hollow: Vec<f32>,
    pub(crate) knots: Vec<Knot>,
    pub(crate) wedges: Vec<Wedge>,
}

/// The ring in which a place is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Within {
    /// Ring index, 0 at the pith; `rings` outside the last boundary.
    pub(crate) ring: usize,
    /// Radius of its inner boundary here.
    pub(crate) inner: f32,
    /// Radius of its outer boundary here.
    pub(crate) outer: f32,
}

/// The shorter way round between two directions, without sign.
pub(crate) fn apart(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(TAU);
    d.min(TAU - d)
}

/// Smooth noise around the circle from `knots` normal draws.
fn wander(dice: &mut Dice, knots: usize, steps: usize) -> Vec<f64> {
    let values: Vec<f64> = (0..knots).map(|_| dice.normal().clamp(-2.5, 2.5)).collect();
    (0..steps)
        .map(|a| {
            let x = a as f64 / steps as f64 * knots as f64;
            let i = x as usize % knots;
            let t = x.fract();
            let at = |d: usize| values[(i + d + knots - 1) % knots];
            // Catmull-Rom through the draws.
            0.5 * (2.0 * at(1)
                + (at(2) - at(0)) * t
                + (2.0 * at(0) - 5.0 * at(1) + 4.0 * at(2) - at(3)) * t * t
                + (3.0 * at(1) - at(0) - 3.0 * at(2) + at(3)) * t * t * t)
        })
        .collect()
}

impl RingTable {
    pub(crate) fn new(recipe: &Recipe, shares: &[f64]) -> Self {
        let radius_px = recipe.radius_px();
        let n = shares.len();
        let steps = ((radius_px * 2.2) as usize).clamp(240, 2400);
        let mut dice = Dice::new(recipe.seed, 2);
        let harmonics: Vec<(f64, f64)> = (2..=7)
            .map(|h| {
                let strength = recipe.lobes * dice.normal().abs().min(2.0) / f64::from(h - 1);
                (strength, dice.between(0.0, TAU))
            })
            .collect();
        let wedges = wedges(recipe, n);
        let wide = recipe.wide_side_deg.to_radians();
        let mut radius = vec![0.0_f64; steps * (n + 1)];
        let mut drift = vec![0.0; steps];
        // Where the boundary would run without noise: years grow back toward it.
        let mut calm = vec![0.0; steps];
        let mut grown = 0.0;
        for k in 1..=n {
            let mean = shares[k - 1] * radius_px;
            // The first years are round whatever the tree becomes.
            let shape = f64::from(ramp(0.0, 0.22, (grown / radius_px) as f32))
                .max(0.25 * (k as f64 / 6.0).min(1.0) * f64::from(n as u32 > 6));
            grown += mean;
            let fresh = wander(&mut dice, 13, steps);
            let fine = wander(&mut dice, 48, steps);
            let wedge = wedges.iter().find(|w| w.ring == k);
            for a in 0..steps {
                let angle = a as f64 / steps as f64 * TAU;
                drift[a] = 0.85 * drift[a] + 0.53 * fresh[a];
                let lobes: f64 = harmonics
                    .iter()
                    .enumerate()
                    .map(|(h, (strength, phase))| strength * ((h + 2) as f64 * angle + phase).cos())
                    .sum();
                let wave = recipe.waviness * (drift[a] + 0.35 * fine[a]);
                let at = a * (n + 1) + k;
                let plain = mean
                    * (1.0 + recipe.pith_offset * shape * (angle - wide).cos())
                    * (shape * 1.6 * lobes).exp();
                let back = 5.0 * (radius[at - 1] - calm[a]) * mean / radius_px;
                calm[a] += plain;
                let mut width = (plain * (shape * wave).exp() - back).max(0.35 * plain);
                if let Some(w) = wedge {
                    width *= 1.0 - 0.985 * gone(apart(angle, w.middle) / w.half);
                }
                radius[at] = radius[at - 1] + width.max(0.02);
            }
        }
        // The mean outer radius is the recipe's.
        let mean_outer = (0..steps).map(|a| radius[a * (n + 1) + n]).sum::<f64>() / steps as f64;
        let scale = radius_px / mean_outer;
        for r in &mut radius {
            *r *= scale;
        }
        let knots = knots(recipe, radius_px);
        for knot in &knots {
            bend(&mut radius, steps, n, knot);
        }
        let hollow = hollow(recipe, &radius, steps, n);
        Self {
            steps,
            rings: n,
            radius: radius.iter().map(|r| *r as f32).collect(),
            hollow,
            knots,
            wedges,
        }
    }

    pub(crate) fn rings(&self) -> usize {
        self.rings
    }

    fn rows(&self, turn: f32) -> (usize, usize, f32) {
        let x = turn * self.steps as f32;
        let a = (x as usize).min(self.steps - 1);
        let b = if a + 1 == self.steps { 0 } else { a + 1 };
        (a, b, (x - a as f32).clamp(0.0, 1.0))
    }

    /// Radius of boundary `k` (0 the pith) at `turn` (0 to 1 clockwise from +x).
    pub(crate) fn boundary(&self, k: usize, turn: f32) -> f32 {
        let (a, b, t) = self.rows(turn);
        let row = self.rings + 1;
        let (p, q) = (self.radius[a * row + k], self.radius[b * row + k]);
        p + (q - p) * t
    }

    /// Radius of the last boundary, the bark edge.
    pub(crate) fn edge(&self, turn: f32) -> f32 {
        self.boundary(self.rings, turn)
    }

    /// Radius of the hollow; 0 where there is none.
    pub(crate) fn hollow(&self, turn: f32) -> f32 {
        let (a, b, t) = self.rows(turn);
        self.hollow[a] + (self.hollow[b] - self.hollow[a]) * t
    }

    /// The ring at a place, looked for from `near`, the answer for a neighbor.
    pub(crate) fn find(&self, turn: f32, radius: f32, near: usize) -> Within {
        let (a, b, t) = self.rows(turn);
        let row = self.rings + 1;
        let (p, q) = (
            &self.radius[a * row..(a + 1) * row],
            &self.radius[b * row..(b + 1) * row],
        );
        let at = |k: usize| p[k] + (q[k] - p[k]) * t;
        let mut k = near.min(self.rings - 1);
        let mut inner = at(k);
        while k > 0 && radius < inner {
            k -= 1;
            inner = at(k);
        }
        let mut outer = at(k + 1);
        while radius >= outer && k + 1 < self.rings {
            k += 1;
            inner = outer;
            outer = at(k + 1);
        }
        Within {
            ring: k,
            inner,
            outer,
        }
    }
}

/// How far a wedging ring is gone: 1 in the middle of the gap, 0 beyond it.
fn gone(distance: f64) -> f64 {
    1.0 - f64::from(ramp(0.72, 1.25, distance as f32))
}

/// True where ring `ring` (1 at the pith) has run out.
pub(crate) fn lost(wedges: &[Wedge], ring: usize, angle: f64) -> bool {
    wedges
        .iter()
        .any(|w| w.ring == ring && gone(apart(angle, w.middle) / w.half) > 0.8)
}

fn wedges(recipe: &Recipe, n: usize) -> Vec<Wedge> {
    let mut dice = Dice::new(recipe.seed, 3);
    let mut found: Vec<Wedge> = Vec::new();
    for _ in 0..recipe.troubles.wedging_rings {
        let ring = (dice.between(0.35, 0.97) * n as f64) as usize;
        let wedge = Wedge {
            ring,
            middle: dice.between(0.0, TAU),
            half: dice.between(0.35, 1.0),
        };
        // Never the last ring (it is the bark edge), never two side by side.
        if ring >= 2 && ring < n && found.iter().all(|w| w.ring.abs_diff(ring) > 1) {
            found.push(wedge);
        }
    }
    found.sort_by_key(|w| w.ring);
    found
}

fn knots(recipe: &Recipe, radius_px: f64) -> Vec<Knot> {
    let mut dice = Dice::new(recipe.seed, 4);
    (0..recipe.troubles.knots)
        .map(|_| {
            let size = dice.between(0.03, 0.065) * radius_px;
            Knot {
                angle: dice.between(0.0, TAU),
                radius: dice.between(0.42, 0.82) * radius_px,
                size,
            }
        })
        .collect()
}

/// Pushes rings aside at a knot; the push grows from inside to outside, so
/// boundaries stay in order.
fn bend(radius: &mut [f64], steps: usize, n: usize, knot: &Knot) {
    for a in 0..steps {
        let angle = a as f64 / steps as f64 * TAU;
        let along = apart(angle, knot.angle) * knot.radius / (1.7 * knot.size);
        if along > 3.0 {
            continue;
        }
        let push = 0.85 * knot.size * (-along * along).exp();
        for k in 1..=n {
            let r = &mut radius[a * (n + 1) + k];
            let x = (*r - knot.radius) / knot.size;
            // The years before the branch was hemmed in know nothing of it.
            let hemmed = (*r / knot.radius).min(1.0).powi(3);
            *r += push * hemmed * (1.1 * x).tanh() / (1.0 + (x / 5.0) * (x / 5.0));
        }
        for k in 1..=n {
            let at = a * (n + 1) + k;
            radius[at] = radius[at].max(radius[at - 1] + 0.01);
        }
    }
}

fn hollow(recipe: &Recipe, radius: &[f64], steps: usize, n: usize) -> Vec<f32> {
    if recipe.troubles.hollow <= 0.0 {
        return vec![0.0; steps];
    }
    let mut dice = Dice::new(recipe.seed, 5);
    let coarse = wander(&mut dice, 7, steps);
    let fine = wander(&mut dice, 40, steps);
    (0..steps)
        .map(|a| {
            let edge = radius[a * (n + 1) + n];
            let share = recipe.troubles.hollow * (1.0 + 0.09 * coarse[a] + 0.025 * fine[a]);
            (edge * share.clamp(0.0, 0.95)) as f32
        })
        .collect()
}
