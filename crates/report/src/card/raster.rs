//! The card as a picture, for the guide and for photos that are drawn.

use super::ink::{Ink, all};
use crate::ReportError;
use ab_glyph::{Font as _, FontRef, PxScale};
use image::{Rgb, RgbImage};
use imageproc::drawing::{draw_text_mut, text_size};
use wood::CARD_MM;

const WHITE: Rgb<u8> = Rgb([255, 255, 255]);
const BLACK: Rgb<u8> = Rgb([0, 0, 0]);

/// Places within a pixel, along each side, at which ink is asked for.
const SAMPLES: u32 = 4;

/// The card as it is printed, `px_per_mm` pixels a millimeter, cut out.
///
/// # Errors
/// When the codes cannot be made or the font is damaged.
pub fn card_picture(px_per_mm: f64) -> Result<RgbImage, ReportError> {
    let side = |mm: f64| ((mm * px_per_mm).round() as u32).max(1);
    let mut picture = RgbImage::from_pixel(side(CARD_MM.0), side(CARD_MM.1), WHITE);
    let font = |bytes| FontRef::try_from_slice(bytes).map_err(|_| ReportError::Font);
    let (regular, bold) = (font(chart::font::regular())?, font(chart::font::bold())?);
    for piece in all()? {
        match piece {
            Ink::Box(left, top, wide, high) => {
                let frame = (left, top, left + wide, top + high);
                cover(&mut picture, px_per_mm, frame, |x, y| {
                    x >= left && x < left + wide && y >= top && y < top + high
                });
            }
            Ink::Disc(x0, y0, radius) => {
                let frame = (x0 - radius, y0 - radius, x0 + radius, y0 + radius);
                cover(&mut picture, px_per_mm, frame, |x, y| {
                    (x - x0).hypot(y - y0) < radius
                });
            }
            Ink::Text {
                x,
                base,
                size,
                bold: is_bold,
                centered,
                text,
            } => {
                let font = if is_bold { &bold } else { &regular };
                write(
                    &mut picture,
                    font,
                    px_per_mm,
                    (x, base, size, centered),
                    &text,
                );
            }
        }
    }
    Ok(picture)
}

/// Inks what is in a shape, pixels on its edge in part.
fn cover(
    picture: &mut RgbImage,
    px_per_mm: f64,
    (left, top, right, foot): (f64, f64, f64, f64),
    inside: impl Fn(f64, f64) -> bool,
) {
    let last = |mm: f64, size: u32| ((mm * px_per_mm).ceil().max(0.0) as u32 + 1).min(size);
    let first = |mm: f64| (mm * px_per_mm).floor().max(0.0) as u32;
    for y in first(top)..last(foot, picture.height()) {
        for x in first(left)..last(right, picture.width()) {
            let mut hits = 0;
            for sample in 0..SAMPLES * SAMPLES {
                let at = |pixel: u32, nth: u32| {
                    (f64::from(pixel) + (f64::from(nth) + 0.5) / f64::from(SAMPLES)) / px_per_mm
                };
                hits += u32::from(inside(at(x, sample % SAMPLES), at(y, sample / SAMPLES)));
            }
            let pixel = picture.get_pixel_mut(x, y);
            for value in &mut pixel.0 {
                let paper = 255 - hits * 255 / (SAMPLES * SAMPLES);
                *value = (u32::from(*value) * paper / 255) as u8;
            }
        }
    }
}

fn write(
    picture: &mut RgbImage,
    font: &FontRef<'_>,
    px_per_mm: f64,
    (x, base, size, centered): (f64, f64, f64, bool),
    text: &str,
) {
    let Some(em) = font.units_per_em() else {
        return;
    };
    // The drawing library counts a font's size from its highest to its lowest.
    let scale = PxScale::from((size * px_per_mm) as f32 * font.height_unscaled() / em);
    let wide = text_size(scale, font, text).0 as f64;
    let above = f64::from(font.ascent_unscaled() / font.height_unscaled() * scale.y);
    let left = x * px_per_mm - if centered { wide / 2.0 } else { 0.0 };
    let top = base * px_per_mm - above;
    draw_text_mut(
        picture,
        BLACK,
        left.round() as i32,
        top.round() as i32,
        scale,
        font,
        text,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bar_is_as_long_as_it_says() {
        let picture = card_picture(5.0).unwrap();
        let row = (116.0 * 5.0) as u32;
        let dark = (0..picture.width())
            .filter(|x| picture.get_pixel(*x, row).0[0] < 128)
            .count();
        // The two cut lines are a pixel each.
        assert!((500..=502).contains(&dark), "{dark}");
    }
}
