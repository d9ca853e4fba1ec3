//! The card's codes, read by a QR library.

use super::plane::Pair;
use ndarray::Array2;
use rqrr::PreparedImage;
use wood::{CARD_CODE_MM, CARD_CODES, CardCode, Point};

/// Longer side of the copy that is searched first. Chosen: a card of a fifth
/// of the picture still has five pixels a module there.
const LONGER_PX: usize = 2000;

/// One code that was read, and where its corners are.
#[derive(Debug, Clone)]
pub(super) struct Code {
    code: &'static CardCode,
    /// Clockwise from the code's own upper left, in the photo.
    corners: [Point; 4],
}

impl Code {
    /// Its corners on the card and in the photo.
    pub(super) fn corners(&self) -> Vec<Pair> {
        let (left, top) = (self.code.left_mm, self.code.top_mm);
        let (right, foot) = (left + CARD_CODE_MM, top + CARD_CODE_MM);
        [(left, top), (right, top), (right, foot), (left, foot)]
            .into_iter()
            .zip(self.corners)
            .map(|(mm, place)| Pair { mm, place })
            .collect()
    }
}

/// The codes of our card in a picture, each at most once.
pub(super) fn read(lightness: &Array2<f32>) -> Vec<Code> {
    let (height, width) = lightness.dim();
    let times = width.max(height).div_ceil(LONGER_PX).max(1);
    read_at(lightness, times)
}

fn read_at(lightness: &Array2<f32>, times: usize) -> Vec<Code> {
    let (height, width) = lightness.dim();
    let (wide, high) = (width / times, height / times);
    if wide < 60 || high < 60 {
        return Vec::new();
    }
    let mut prepared = PreparedImage::prepare_from_greyscale(wide, high, |x, y| {
        let mut sum = 0.0;
        for dy in 0..times {
            for dx in 0..times {
                sum += lightness[[y * times + dy, x * times + dx]];
            }
        }
        let mean = sum / (times * times) as f32;
        (mean * 2.55).clamp(0.0, 255.0) as u8
    });
    let mut found: Vec<Code> = Vec::new();
    for grid in prepared.detect_grids() {
        let Ok((_, text)) = grid.decode() else {
            continue;
        };
        let Some(code) = CARD_CODES.iter().find(|code| code.text == text) else {
            continue;
        };
        if found.iter().any(|other| other.code.text == code.text) {
            continue;
        }
        let times = times as f64;
        let in_photo = |at: rqrr::Point| {
            Point::new(
                f64::from(at.x) * times + (times - 1.0) / 2.0,
                f64::from(at.y) * times + (times - 1.0) / 2.0,
            )
        };
        found.push(Code {
            code,
            corners: grid.bounds.map(in_photo),
        });
    }
    found
}
