//! The bark around the face.

use crate::color::{Color, scaled};
use crate::dice::Dice;
use crate::noise::{around, cloud, mix, ramp, speck};
use crate::recipe::Recipe;

/// Steps of the thickness table.
const STEPS: usize = 8192;

/// Bark: how thick it is everywhere and what it looks like.
#[derive(Debug, Clone)]
pub(crate) struct Bark {
    /// Thickness at equal steps around the circle; every pixel of the ground asks for it.
    table: Vec<f32>,
    on: bool,
    thick: f32,
    gaps: f32,
    seed: u32,
    color: Color,
}

impl Bark {
    pub(crate) fn new(recipe: &Recipe, color: Color) -> Self {
        let mut dice = Dice::new(recipe.seed, 50);
        let mut bark = Self {
            table: Vec::new(),
            on: recipe.bark,
            thick: (recipe.radius_px() * dice.between(0.028, 0.075)) as f32,
            gaps: dice.between(-0.2, 0.35) as f32,
            seed: dice.noise_seed(),
            color: scaled(color, dice.between(0.8, 1.15) as f32),
        };
        bark.table = (0..STEPS)
            .map(|i| bark.grown(i as f32 / STEPS as f32))
            .collect();
        bark
    }

    /// Thickness in pixels; 0 where it has come off.
    pub(crate) fn thickness(&self, turn: f32) -> f32 {
        let x = turn * STEPS as f32;
        let i = (x as usize).min(STEPS - 1);
        let next = if i + 1 == STEPS { 0 } else { i + 1 };
        mix(self.table[i], self.table[next], x - i as f32)
    }

    fn grown(&self, turn: f32) -> f32 {
        if !self.on {
            return 0.0;
        }
        let plates = around(self.seed, turn, 34, 0.0);
        let flakes = around(self.seed ^ 1, turn, 130, 0.0) * 0.5
            + around(self.seed ^ 2, turn, 420, 0.0) * 0.3;
        let there = ramp(
            -0.75 + self.gaps,
            -0.55 + self.gaps,
            around(self.seed ^ 3, turn, 13, 0.0) + 0.15 * flakes,
        );
        let steps = if plates > 0.15 { 1.15 } else { 0.75 };
        (self.thick * steps * (1.0 + 0.35 * plates + 0.3 * flakes) * there).max(0.0)
    }

    /// Color at a share of the thickness, from 0 at the wood to 1 outside.
    pub(crate) fn color(&self, turn: f32, radius: f32, share: f32, x: f32, y: f32) -> Color {
        // The inner bark is paler and finely layered, the outer corky and cracked.
        let fine = cloud(self.seed ^ 9, x / 7.0, y / 7.0, 3);
        let layers =
            0.5 * around(self.seed ^ 4, turn, 75, share * 4.0 + 0.002 * radius) + 0.75 * fine;
        let crack = around(self.seed ^ 5, turn, 210, share * 3.0);
        let grain = speck(self.seed ^ 6, x as i32, y as i32) - 0.5;
        let inner = 1.0 - ramp(0.1, 0.35, share);
        let mut tone = 0.85 + 0.4 * layers * (1.0 - 0.5 * inner) + 0.14 * grain;
        tone *= mix(1.0, 0.45, ramp(0.35, 0.7, crack) * ramp(0.3, 0.8, share));
        tone *= 1.0 + 0.45 * inner;
        // A dark line where the wood ends.
        tone *= 0.62 + 0.38 * ramp(0.0, 0.12, share);
        tone *= 1.0 - 0.45 * ramp(0.75, 1.0, share);
        scaled(self.color, tone.max(0.12))
    }
}
