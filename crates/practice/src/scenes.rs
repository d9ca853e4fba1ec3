//! Draws faces as nobody prepared them: small in a scene, leaning, with the
//! pith in a corner or out of the picture, weathered, roughly sawn.

use crate::dice::Dice;
use crate::recipe::{Ground, Recipe};
use wood::WoodClass;

/// Fewest pixels a ring has on average in a scene: below that nobody counts.
const LEAST_SPACING_PX: f64 = 3.6;

/// One harder face, made from one of the suite.
pub(crate) fn draw(dice: &mut Dice, suite: Recipe) -> Recipe {
    let mut face = match dice.whole(0, 9) {
        0..=3 => suite,
        4..=6 => small_in_a_scene(dice, suite),
        7 => leaning(dice, suite),
        _ => corner(dice, suite),
    };
    rougher(dice, &mut face);
    // Where the picture has no room for them there are fewer rings.
    let most = face.radius_px() / LEAST_SPACING_PX;
    face.rings = face.rings.min(most.max(8.0) as u32);
    face
}

fn small_in_a_scene(dice: &mut Dice, mut face: Recipe) -> Recipe {
    face.radius_share = dice.between(0.22, 0.75);
    let room = 0.98 - face.radius_share;
    face.shift = [dice.between(-room, room), dice.between(-room, room)];
    face.tilt_deg = dice.between(0.0, 45.0);
    face.tilt_direction_deg = dice.between(0.0, 360.0);
    if face.ground == Ground::CloseUp {
        face.ground = Ground::Grass;
    }
    face
}

fn leaning(dice: &mut Dice, mut face: Recipe) -> Recipe {
    face.tilt_deg = dice.between(15.0, 50.0);
    face.tilt_direction_deg = dice.between(0.0, 360.0);
    face.radius_share = face.radius_share.min(0.85);
    face
}

/// A part of the face fills the picture.
fn corner(dice: &mut Dice, mut face: Recipe) -> Recipe {
    face.radius_share = dice.between(1.1, 2.2);
    let away = dice.between(0.3, face.radius_share);
    let turn = dice.between(0.0, std::f64::consts::TAU);
    face.shift = [away * turn.cos(), away * turn.sin()];
    face.tape = None;
    face
}

fn rougher(dice: &mut Dice, face: &mut Recipe) {
    let troubles = &mut face.troubles;
    if dice.chance(0.3) {
        troubles.saw_marks = dice.between(0.2, 0.8);
    }
    if dice.chance(0.15) {
        troubles.faint = dice.between(0.1, 0.5);
    }
    if dice.chance(0.2) && face.wood != WoodClass::RingPorous {
        troubles.weathered = dice.between(0.3, 1.0);
    }
    if dice.chance(0.2) {
        troubles.checks = dice.whole(5, 16);
    }
    if dice.chance(0.1) {
        troubles.hollow = dice.between(0.05, 0.3);
    }
    if dice.chance(0.2) {
        troubles.jpeg_quality = dice.whole(55, 80) as u8;
    }
    if dice.chance(0.2) {
        troubles.blur_px += dice.between(0.2, 1.0);
    }
    if dice.chance(0.3) {
        face.coloring = dice.whole(0, 30);
    }
    if dice.chance(0.3) {
        face.waviness = dice.between(0.1, 0.25);
        face.lobes = dice.between(0.02, 0.09);
    }
}
