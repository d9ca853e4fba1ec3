//! What the saw, the weather and the yard left on the face.

use crate::canvas::Canvas;
use crate::color::{Color, blend, gray, scaled};
use crate::dice::Dice;
use crate::noise::{cloud, line, plane, ramp};
use crate::recipe::Recipe;
use std::f64::consts::TAU;

/// The saw's path over the face.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SawMarks {
    center: [f32; 2],
    second: [f32; 2],
    strength: f32,
    seed: u32,
    unit: f32,
}

impl SawMarks {
    pub(crate) fn new(recipe: &Recipe) -> Self {
        let mut dice = Dice::new(recipe.seed, 40);
        let radius = recipe.radius_px();
        let mut far = |low: f64, high: f64| {
            let direction = dice.between(0.0, TAU);
            let distance = radius * dice.between(low, high);
            [
                (distance * direction.cos()) as f32,
                (distance * direction.sin()) as f32,
            ]
        };
        // A chain saw swings about its bar; a band saw's marks are nearly straight.
        let (center, second) = if recipe.troubles.band_saw {
            (far(30.0, 60.0), far(30.0, 60.0))
        } else {
            (far(1.4, 3.2), far(1.4, 3.2))
        };
        Self {
            center,
            second,
            strength: recipe.troubles.saw_marks as f32,
            seed: dice.noise_seed(),
            unit: (recipe.radius_px() / 420.0).max(0.6) as f32,
        }
    }

    /// Factor on the lightness at a place on the face.
    pub(crate) fn factor(&self, x: f32, y: f32) -> f32 {
        if self.strength <= 0.0 {
            return 1.0;
        }
        let d = (x - self.center[0]).hypot(y - self.center[1]) / self.unit;
        let deep = ramp(
            -0.5,
            0.6,
            cloud(
                self.seed ^ 1,
                x / (160.0 * self.unit),
                y / (160.0 * self.unit),
                2,
            ),
        );
        let fine = line(self.seed, d / 2.1) * 0.5 + line(self.seed ^ 2, d / 5.3) * 0.7;
        let broad = line(self.seed ^ 3, d / 31.0) * 0.4 + line(self.seed ^ 7, d / 90.0) * 0.3;
        // Single deep scratches.
        let scratch = ramp(0.78, 0.95, line(self.seed ^ 4, d / 8.0).abs());
        let mut sum = 0.10 * fine * (0.35 + deep) + 0.10 * broad - 0.17 * scratch * (0.3 + deep);
        let e = (x - self.second[0]).hypot(y - self.second[1]) / self.unit;
        let where_second = ramp(
            0.1,
            0.5,
            plane(
                self.seed ^ 5,
                x / (300.0 * self.unit),
                y / (300.0 * self.unit),
            ),
        );
        sum += where_second
            * (0.10 * line(self.seed ^ 6, e / 3.0) + 0.08 * line(self.seed ^ 9, e / 11.0));
        (1.0 + self.strength * sum * 1.5).max(0.25)
    }
}

/// How much of the fiber is torn at a place, 0 to 1.
pub(crate) fn torn(recipe: &Recipe, seed: u32, x: f32, y: f32) -> f32 {
    let share = recipe.troubles.torn as f32;
    if share <= 0.0 {
        return 0.0;
    }
    let scale = recipe.radius_px() as f32 * 0.28;
    let patch = cloud(seed, x / scale, y / scale, 4);
    ramp(0.75 - 1.1 * share, 1.05 - 1.1 * share, patch)
}

/// Roughness of torn fiber: a factor on the lightness.
pub(crate) fn fuzz(seed: u32, x: f32, y: f32) -> f32 {
    let hair = plane(seed ^ 3, x / 3.1 + 0.3 * y, y / 1.3);
    1.0 + 0.20 * hair + 0.14 * plane(seed ^ 5, x / 2.2, y / 5.0)
}

/// Water on the face: darker, and deeper in color.
pub(crate) fn wet(color: Color, amount: f32) -> Color {
    if amount <= 0.0 {
        return color;
    }
    let g = gray(color);
    let deep = color.map(|c| (g + (c - g) * 1.2).clamp(0.0, 1.0).powf(1.3));
    blend(color, scaled(deep, 0.86), amount)
}

/// Gray-blue fungus stain in the outer wood: wedges that follow the radius.
pub(crate) fn stain(
    color: Color,
    seed: u32,
    turn: f32,
    outward: f32,
    amount: f32,
    rough: f32,
) -> Color {
    if amount <= 0.0 {
        return color;
    }
    let wedge = crate::noise::around(seed, turn, 7, 0.0)
        + 0.5 * crate::noise::around(seed ^ 2, turn, 23, outward * 2.0);
    let here =
        ramp(0.15, 0.75, wedge + 0.22 * rough + 0.1) * ramp(0.3, 0.75, outward + 0.2 * rough);
    let g = gray(color);
    blend(color, [g * 0.77, g * 0.79, g * 0.81], amount * here * 0.8)
}

/// Years of weather: gray and brown over everything.
pub(crate) fn weathered(color: Color, seed: u32, x: f32, y: f32, amount: f32) -> Color {
    if amount <= 0.0 {
        return color;
    }
    let patch = cloud(seed, x / 170.0, y / 170.0, 3);
    let tint = blend(
        [0.66, 0.62, 0.57],
        [0.70, 0.48, 0.33],
        ramp(-0.4, 0.5, patch),
    );
    let g = gray(color) * 1.06;
    blend(
        color,
        [tint[0] * g, tint[1] * g, tint[2] * g],
        amount * 0.85,
    )
}

/// Sawdust and crumbs strewn over the face.
pub(crate) fn strew(canvas: &mut Canvas, recipe: &Recipe) {
    let mut dice = Dice::new(recipe.seed, 41);
    let amount = recipe.troubles.dust;
    let unit = recipe.width_px.min(recipe.height_px) as f64 / 900.0;
    let count = (amount * 2600.0) as usize;
    let mut heaps: Vec<[f64; 2]> = Vec::new();
    for _ in 0..5 {
        heaps.push([
            dice.unit() * f64::from(recipe.width_px),
            dice.unit() * f64::from(recipe.height_px),
        ]);
    }
    for i in 0..count {
        // Half is anywhere, half in drifts.
        let at = if i % 2 == 0 {
            [
                dice.unit() * f64::from(recipe.width_px),
                dice.unit() * f64::from(recipe.height_px),
            ]
        } else {
            let heap = heaps[dice.whole(0, 4) as usize];
            let spread = 90.0 * unit;
            [
                heap[0] + spread * dice.normal(),
                heap[1] + spread * dice.normal(),
            ]
        };
        let size = unit * dice.between(0.6, 2.2);
        let turn = dice.between(0.0, TAU) as f32;
        let dark = dice.chance(0.15);
        let base: Color = if dark {
            [0.32, 0.23, 0.15]
        } else {
            [0.90, 0.81, 0.63]
        };
        let color = scaled(base, dice.between(0.8, 1.08) as f32);
        let shape = [size as f32, (size * dice.between(0.35, 0.7)) as f32];
        canvas.leaf([at[0] as f32, at[1] as f32], shape, turn, color, false);
    }
}
