//! Marks and letters that somebody put on the face by pen.

use crate::canvas::Canvas;
use crate::color::Color;
use crate::dice::Dice;
use crate::recipe::Recipe;
use crate::view::View;
use std::f64::consts::TAU;

/// A letter as strokes on a grid 4 broad and 6 high.
type Letter = &'static [[f64; 4]];

static LETTERS: [Letter; 6] = [
    // N, A, F, 2, 7, an arrow up.
    &[
        [0.0, 6.0, 0.0, 0.0],
        [0.0, 0.0, 4.0, 6.0],
        [4.0, 6.0, 4.0, 0.0],
    ],
    &[
        [0.0, 6.0, 2.0, 0.0],
        [2.0, 0.0, 4.0, 6.0],
        [1.0, 4.0, 3.0, 4.0],
    ],
    &[
        [0.0, 6.0, 0.0, 0.0],
        [0.0, 0.0, 3.6, 0.2],
        [0.0, 3.0, 3.0, 3.0],
    ],
    &[
        [0.0, 1.0, 2.0, 0.0],
        [2.0, 0.0, 3.6, 1.6],
        [3.6, 1.6, 0.0, 6.0],
        [0.0, 6.0, 4.0, 5.8],
    ],
    &[[0.0, 0.0, 4.0, 0.0], [4.0, 0.0, 1.4, 6.0]],
    &[
        [2.0, 6.0, 2.0, 0.0],
        [2.0, 0.0, 0.6, 1.6],
        [2.0, 0.0, 3.4, 1.6],
    ],
];

/// Writes the recipe's pen marks.
pub(crate) fn write(canvas: &mut Canvas, recipe: &Recipe, view: View, pith: [f64; 2]) {
    let mut dice = Dice::new(recipe.seed, 60);
    let radius = recipe.radius_px();
    for _ in 0..recipe.pen_marks {
        let ink: Color = if dice.chance(0.6) {
            [0.12, 0.12, 0.45]
        } else {
            [0.09, 0.08, 0.09]
        };
        let angle = dice.between(0.0, TAU);
        let away = radius * dice.between(0.25, 0.75);
        let unit = radius * dice.between(0.008, 0.013);
        let wide = (unit * 0.75).max(1.4) as f32;
        let slant = dice.between(-0.3, 0.3);
        for i in 0..dice.whole(1, 4) {
            let letter = LETTERS[dice.whole(0, 5) as usize];
            for stroke in letter {
                let mut at = |x: f64, y: f64| {
                    let (u, v) = (
                        x + 0.2 * dice.normal() + f64::from(i) * 5.6,
                        y + 0.2 * dice.normal(),
                    );
                    let face = [
                        pith[0] + away * angle.cos() + unit * (u * slant.cos() - v * slant.sin()),
                        pith[1] + away * angle.sin() + unit * (u * slant.sin() + v * slant.cos()),
                    ];
                    view.to_picture(face).map(|c| c as f32)
                };
                let (from, to) = (at(stroke[0], stroke[1]), at(stroke[2], stroke[3]));
                canvas.stroke(from, to, [wide, wide * 0.8], ink, 0.85);
            }
        }
    }
}
