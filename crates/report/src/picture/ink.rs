//! Inks and strokes. The inks differ in lightness as well as hue
//! (after the colors of Okabe and Ito, 2008, from memory), so that they serve
//! color-blind eyes and black and white paper; every line on wood has a dark
//! casing around a light core, so that it shows on light and dark wood alike.

use image::{Rgb, RgbImage};

/// The paper that pictures are framed in.
pub(super) const PAPER: Rgb<u8> = Rgb([250, 245, 233]);
/// Paper where the photo has nothing to show.
pub(super) const BARE: Rgb<u8> = Rgb([232, 224, 207]);
/// Text and rules.
pub(super) const INK: Rgb<u8> = Rgb([43, 36, 29]);
/// Around every line that is drawn on wood.
pub(super) const CASING: Rgb<u8> = Rgb([10, 24, 48]);
/// An ordinary ring.
pub(super) const RING: Rgb<u8> = Rgb([190, 228, 250]);
/// A tenth ring.
pub(super) const TENTH: Rgb<u8> = Rgb([255, 236, 110]);
/// A ring in doubt.
pub(super) const DOUBT: Rgb<u8> = Rgb([255, 158, 92]);
/// The bark edge.
pub(super) const BARK: Rgb<u8> = Rgb([120, 214, 180]);

/// A place in a picture being drawn, in its pixels.
pub(super) type Spot = (f32, f32);

/// How a kind of line looks on wood.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pen {
    pub(super) ink: Rgb<u8>,
    pub(super) core_px: f32,
    pub(super) casing_px: f32,
    pub(super) casing_opacity: f32,
}

/// Pens by what they rule.
const RING_PEN: Pen = Pen {
    ink: RING,
    core_px: 1.1,
    casing_px: 2.8,
    casing_opacity: 0.50,
};
/// For rings so close that the wider casing would hide the wood between them.
const FINE_RING_PEN: Pen = Pen {
    ink: RING,
    core_px: 0.7,
    casing_px: 1.6,
    casing_opacity: 0.35,
};

/// The pen for ordinary rings that are `spacing_px` apart in the picture.
pub(super) fn ring_pen(spacing_px: f32) -> Pen {
    /// Three times the casing of the ordinary pen. Chosen.
    const FINE_BELOW_PX: f32 = 8.5;
    if spacing_px < FINE_BELOW_PX {
        FINE_RING_PEN
    } else {
        RING_PEN
    }
}

pub(super) const TENTH_PEN: Pen = Pen {
    ink: TENTH,
    core_px: 2.6,
    casing_px: 5.4,
    casing_opacity: 0.75,
};
pub(super) const DOUBT_PEN: Pen = Pen {
    ink: DOUBT,
    core_px: 1.8,
    casing_px: 3.8,
    casing_opacity: 0.60,
};
pub(super) const BARK_PEN: Pen = Pen {
    ink: BARK,
    core_px: 2.0,
    casing_px: 4.4,
    casing_opacity: 0.60,
};

/// Strokes of one pen, gathered first and laid down once, so that where they
/// cross or join nothing gets darker.
#[derive(Debug)]
pub(super) struct Strokes {
    pen: Pen,
    width: usize,
    height: usize,
    core: Vec<u8>,
    casing: Vec<u8>,
}

impl Strokes {
    pub(super) fn new(pen: Pen, (width, height): (u32, u32)) -> Self {
        let size = width as usize * height as usize;
        Self {
            pen,
            width: width as usize,
            height: height as usize,
            core: vec![0; size],
            casing: vec![0; size],
        }
    }

    /// A line through the places; it is broken where one is missing.
    pub(super) fn path(&mut self, places: impl Iterator<Item = Option<Spot>>) {
        let mut before = None;
        for place in places {
            if let (Some(a), Some(b)) = (before, place) {
                self.segment(a, b);
            }
            before = place;
        }
    }

    /// The same with gaps, for what is in doubt.
    pub(super) fn dashed(&mut self, places: impl Iterator<Item = Option<Spot>>) {
        /// Length of a dash and of a gap, in pixels. Chosen.
        const DASH: f32 = 9.0;
        let mut before: Option<Spot> = None;
        let mut gone = 0.0_f32;
        for place in places {
            if let (Some(a), Some(b)) = (before, place) {
                let length = (b.0 - a.0).hypot(b.1 - a.1);
                let pieces = (length / 3.0).ceil().max(1.0);
                let at = |share: f32| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
                for piece in 0..pieces as u32 {
                    let (from, to) = (piece as f32 / pieces, (piece + 1) as f32 / pieces);
                    if (((gone + length * from) / DASH) as u32).is_multiple_of(2) {
                        self.segment(at(from), at(to));
                    }
                }
                gone += length;
            }
            before = place;
        }
    }

    fn segment(&mut self, a: Spot, b: Spot) {
        let reach = self.pen.casing_px / 2.0 + 1.0;
        let clamp = |value: f32, most: usize| value.clamp(0.0, most as f32) as usize;
        let (left, right) = (a.0.min(b.0) - reach, a.0.max(b.0) + reach);
        let (top, bottom) = (a.1.min(b.1) - reach, a.1.max(b.1) + reach);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let squared = (dx * dx + dy * dy).max(1e-6);
        for y in clamp(top, self.height)..clamp(bottom.ceil() + 1.0, self.height) {
            for x in clamp(left, self.width)..clamp(right.ceil() + 1.0, self.width) {
                let (px, py) = (x as f32 - a.0, y as f32 - a.1);
                let share = ((px * dx + py * dy) / squared).clamp(0.0, 1.0);
                let distance = (px - share * dx).hypot(py - share * dy);
                let cover =
                    |thick: f32| ((thick / 2.0 + 0.5 - distance).clamp(0.0, 1.0) * 255.0) as u8;
                let index = y * self.width + x;
                self.casing[index] = self.casing[index].max(cover(self.pen.casing_px));
                self.core[index] = self.core[index].max(cover(self.pen.core_px));
            }
        }
    }

    /// Lays the strokes on the picture, which has the size they were made for.
    pub(super) fn lay_on(&self, picture: &mut RgbImage) {
        let pixels = picture.pixels_mut().zip(self.casing.iter().zip(&self.core));
        for (pixel, (casing, core)) in pixels {
            if *casing > 0 {
                blend(
                    pixel,
                    CASING,
                    f32::from(*casing) / 255.0 * self.pen.casing_opacity,
                );
            }
            if *core > 0 {
                blend(pixel, self.pen.ink, f32::from(*core) / 255.0);
            }
        }
    }
}

/// Mixes an ink into a pixel.
pub(super) fn blend(pixel: &mut Rgb<u8>, ink: Rgb<u8>, opacity: f32) {
    for (under, over) in pixel.0.iter_mut().zip(ink.0) {
        let mixed = f32::from(*under) * (1.0 - opacity) + f32::from(over) * opacity;
        *under = mixed.round().clamp(0.0, 255.0) as u8;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_covers_its_line_and_nothing_far_from_it() {
        let mut strokes = Strokes::new(TENTH_PEN, (40, 20));
        strokes.path([Some((5.0, 10.0)), Some((35.0, 10.0))].into_iter());
        let mut picture = RgbImage::from_pixel(40, 20, Rgb([120, 90, 60]));
        strokes.lay_on(&mut picture);
        assert_eq!(*picture.get_pixel(20, 10), TENTH);
        assert_eq!(*picture.get_pixel(20, 1), Rgb([120, 90, 60]));
    }

    #[test]
    fn a_missing_place_breaks_the_line() {
        let mut strokes = Strokes::new(RING_PEN, (60, 20));
        let places = [
            Some((5.0, 10.0)),
            Some((20.0, 10.0)),
            None,
            Some((50.0, 10.0)),
        ];
        strokes.path(places.into_iter());
        let mut picture = RgbImage::new(60, 20);
        strokes.lay_on(&mut picture);
        assert_ne!(*picture.get_pixel(12, 10), Rgb([0, 0, 0]));
        assert_eq!(*picture.get_pixel(40, 10), Rgb([0, 0, 0]));
    }
}
