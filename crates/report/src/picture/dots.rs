//! The usual marks: every 10th year one dot, every 50th two, every
//! 100th three (common practice, no source).

use super::ink::{CASING, INK, Spot, TENTH};
use image::RgbImage;
use imageproc::drawing::draw_filled_circle_mut;

/// How many dots the ring of that number gets.
pub(super) fn count(number: u32) -> u32 {
    match number {
        0 => 0,
        n if n.is_multiple_of(100) => 3,
        n if n.is_multiple_of(50) => 2,
        n if n.is_multiple_of(10) => 1,
        _ => 0,
    }
}

/// Dots on wood, from `start` on in the direction of `step` (one dot's stride).
pub(super) fn on_wood(picture: &mut RgbImage, number: u32, start: Spot, step: Spot) {
    for (place, radius) in places(number, start, step) {
        draw_filled_circle_mut(picture, place, radius + 2, CASING);
        draw_filled_circle_mut(picture, place, radius, TENTH);
    }
}

/// Dots on paper.
pub(super) fn on_paper(picture: &mut RgbImage, number: u32, start: Spot, step: Spot) {
    for (place, radius) in places(number, start, step) {
        draw_filled_circle_mut(picture, place, radius, INK);
    }
}

fn places(number: u32, start: Spot, step: Spot) -> impl Iterator<Item = ((i32, i32), i32)> {
    let radius = (step.0.hypot(step.1) * 0.32).round().max(2.0) as i32;
    (0..count(number)).map(move |dot| {
        let x = start.0 + step.0 * dot as f32;
        let y = start.1 + step.1 * dot as f32;
        ((x.round() as i32, y.round() as i32), radius)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tens_fifties_and_hundreds_have_one_two_and_three_dots() {
        for (number, dots) in [
            (0, 0),
            (7, 0),
            (10, 1),
            (50, 2),
            (60, 1),
            (100, 3),
            (150, 2),
            (200, 3),
        ] {
            assert_eq!(count(number), dots, "{number}");
        }
    }
}
