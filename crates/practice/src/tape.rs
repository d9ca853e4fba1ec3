//! A measuring tape lying across the face.

use crate::color::{Color, scaled};
use crate::recipe::TapeLaid;
use crate::truth::TapeTruth;
use crate::view::View;

/// The tape as laid: a strip in face coordinates, with its zero outside the bark.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tape {
    zero: [f64; 2],
    along: [f64; 2],
    mm_per_px: f64,
    from_mm: f64,
    to_mm: f64,
}

/// Breadth of a pocket tape, in millimeters (common practice).
const BROAD_MM: f64 = 19.0;
/// Segments of the ten figures: top, upper left, upper right, middle, lower left, lower right, bottom.
const FIGURES: [u8; 10] = [0x77, 0x24, 0x5D, 0x6D, 0x2E, 0x6B, 0x7B, 0x25, 0x7F, 0x6F];

impl Tape {
    /// Lays the tape so that the named length is centerd on the face.
    pub(crate) fn new(laid: TapeLaid, pith: [f64; 2], radius_px: f64, mm_per_px: f64) -> Self {
        let (sin, cos) = laid.direction_deg.to_radians().sin_cos();
        let beside = laid.beside * radius_px;
        let half = laid.length_mm / mm_per_px / 2.0;
        // The named places are at whole centimeters: the first at 50 mm.
        let start = 50.0 / mm_per_px;
        let middle = [pith[0] * 0.15, pith[1] * 0.15];
        Self {
            zero: [
                middle[0] - sin * beside - cos * (half + start),
                middle[1] + cos * beside - sin * (half + start),
            ],
            along: [cos, sin],
            mm_per_px,
            from_mm: 50.0,
            to_mm: 50.0 + laid.length_mm,
        }
    }

    /// The two places on the tape's near edge that the truth names.
    pub(crate) fn truth(&self, view: View) -> TapeTruth {
        let at = |mm: f64| {
            let s = mm / self.mm_per_px;
            view.to_picture([
                self.zero[0] + self.along[0] * s,
                self.zero[1] + self.along[1] * s,
            ])
        };
        TapeTruth {
            from: at(self.from_mm),
            to: at(self.to_mm),
            length_mm: self.to_mm - self.from_mm,
        }
    }

    /// Color and cover at a place on the face; cover 0 off the tape. The
    /// second cover is that of its shadow.
    pub(crate) fn color(&self, x: f64, y: f64) -> (Color, f32, f32) {
        let (dx, dy) = (x - self.zero[0], y - self.zero[1]);
        let s = (dx * self.along[0] + dy * self.along[1]) * self.mm_per_px;
        let q = (dy * self.along[0] - dx * self.along[1]) * self.mm_per_px;
        let soft = self.mm_per_px;
        let band = |q: f64| {
            ((q / soft + 0.5).clamp(0.0, 1.0) * ((BROAD_MM - q) / soft + 0.5).clamp(0.0, 1.0))
                as f32
        };
        let ends = if s > -2.0 && s < self.to_mm + 400.0 {
            1.0
        } else {
            0.0
        };
        let cover = band(q) * ends;
        let shadow = band(q - 2.0).max(band(q - 1.0)) * ends * 0.45;
        if cover <= 0.0 {
            return ([0.0; 3], 0.0, shadow);
        }
        let bow = 1.0 - 0.16 * ((q / BROAD_MM - 0.4) * 2.0).powi(2);
        let yellow = scaled([0.93, 0.78, 0.20], bow as f32);
        let ink = self.ink(s, q, soft);
        let color = if s < 1.5 { [0.62, 0.62, 0.62] } else { yellow };
        (
            crate::color::blend(color, [0.10, 0.09, 0.08], ink),
            cover,
            shadow,
        )
    }

    /// How much ink is at `s` mm along and `q` mm across.
    fn ink(&self, s: f64, q: f64, soft: f64) -> f32 {
        let line = |pitch: f64, length: f64, half: f64| -> f64 {
            let off = (s - (s / pitch).round() * pitch).abs();
            let reach = if q < length { 1.0 } else { 0.0 };
            reach * ((half - off) / soft + 0.5).clamp(0.0, 1.0) * (2.0 * half / soft).min(1.0)
        };
        let mut ink = line(10.0, 11.0, 0.28).max(line(5.0, 6.5, 0.2));
        // Millimeters only where the picture can hold them.
        if soft < 0.4 {
            ink = ink.max(line(1.0, 4.0, 0.13));
        }
        // Centimeter figures just before their line.
        let number = (s / 10.0).ceil().max(0.0) as u32;
        if number > 0 {
            let right = f64::from(number) * 10.0 - 1.0;
            let tens = number / 10 % 10;
            ink = ink.max(figure(
                number % 10,
                (s - (right - 2.4)) * 1.25,
                q - 11.5,
                soft,
            ));
            if number >= 10 {
                ink = ink.max(figure(tens, (s - (right - 5.8)) * 1.25, q - 11.5, soft));
            }
            if number >= 100 {
                ink = ink.max(figure(
                    number / 100 % 10,
                    (s - (right - 9.2)) * 1.25,
                    q - 11.5,
                    soft,
                ));
            }
        }
        ink as f32
    }
}

/// One figure, 3 mm broad and 5 mm high; `u` to the right and `v` away from the edge with the lines.
fn figure(digit: u32, u: f64, v: f64, soft: f64) -> f64 {
    if !(-0.6..=3.6).contains(&u) || !(-0.6..=5.6).contains(&v) {
        return 0.0;
    }
    let bars: [(f64, f64, f64, f64); 7] = [
        (0.0, 0.0, 3.0, 0.0),
        (0.0, 0.0, 0.0, 2.5),
        (3.0, 0.0, 3.0, 2.5),
        (0.0, 2.5, 3.0, 2.5),
        (0.0, 2.5, 0.0, 5.0),
        (3.0, 2.5, 3.0, 5.0),
        (0.0, 5.0, 3.0, 5.0),
    ];
    let lit = FIGURES[digit as usize % 10];
    let mut ink: f64 = 0.0;
    for (i, (x0, y0, x1, y1)) in bars.iter().enumerate() {
        if lit >> i & 1 == 1 {
            let dx = (u - u.clamp(*x0, *x1)).abs();
            let dy = (v - v.clamp(*y0, *y1)).abs();
            ink = ink.max(((0.42 - dx.hypot(dy)) / soft + 0.5).clamp(0.0, 1.0));
        }
    }
    ink
}
