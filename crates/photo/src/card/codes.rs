//! The card's codes, read by a QR library.

use super::plane::Pair;
use crate::Face;
use ndarray::Array2;
use rayon::prelude::*;
use rqrr::{BitGrid, PreparedImage};
use wood::{CARD_CODE_MM, CARD_CODES, CardCode, Point};

/// Longer side of the copy that is searched. Chosen: a card of a fifth
/// of the picture still has four pixels a module there.
const LONGER_PX: usize = 1600;

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

/// How the copy is stretched, try by try, along x and y. The library may see a
/// leaning or shaded code and still lay its grid a little wrong; another size
/// or shape is laid again. Chosen by trial on drawn photos that lean 45 degrees.
const TRIES: [(f64, f64); 5] = [(1.0, 1.0), (1.0, 0.7), (1.4, 1.0), (1.5, 1.5), (0.75, 0.75)];

/// Tries that every photo gets; the others only where something looks like a code.
const ALWAYS: usize = 2;

/// Share of a code's modules that must be as printed. Chosen: any other code of
/// this size has three quarters alike, for its frame is the same.
const AS_PRINTED: f64 = 0.84;

/// What came of one try.
struct Try {
    /// The codes of our card that were read, each at most once.
    codes: Vec<Code>,
    /// Whether anything looked like a code at all.
    suspected: bool,
}

/// The codes of our card in a photo.
pub(super) fn read(face: &Face) -> Vec<Code> {
    let copy = Copy::of(face);
    let mut suspected = false;
    for (nth, stretch) in TRIES.into_iter().enumerate() {
        if nth >= ALWAYS && !suspected {
            break;
        }
        let tried = copy.read((stretch.0 * copy.fit, stretch.1 * copy.fit));
        if !tried.codes.is_empty() {
            return tried.codes;
        }
        suspected |= tried.suspected;
    }
    Vec::new()
}

/// A smaller copy of a photo's lightness.
struct Copy {
    values: Array2<u8>,
    /// Pixels of the photo for a pixel of the copy.
    times: usize,
    /// What shrinks the copy to the size that is searched.
    fit: f64,
}

impl Copy {
    fn of(face: &Face) -> Self {
        let (width, height) = face.rgb.dimensions();
        let longer = width.max(height) as usize;
        // No smaller than what is kept: to make less takes longer than to search more.
        let times = (longer / LONGER_PX).clamp(1, face.lightness.square_px);
        // Lightness is 0 to 100.
        let byte = |mean: f32| (mean * 2.55).clamp(0.0, 255.0) as u8;
        let values = face.lightness_in(times).values.mapv(byte);
        let fit = (LONGER_PX as f64 / (longer / times).max(1) as f64).min(1.0);
        Self { values, times, fit }
    }

    /// Reads the codes of the copy stretched along x and y.
    fn read(&self, stretch: (f64, f64)) -> Try {
        /// The library needs some room to look for a grid.
        const LEAST_PX: usize = 60;
        let (high, wide) = self.values.dim();
        let wide = (wide as f64 * stretch.0) as usize;
        let high = (high as f64 * stretch.1) as usize;
        if wide < LEAST_PX || high < LEAST_PX {
            return Try {
                codes: Vec::new(),
                suspected: false,
            };
        }
        let columns = Between::all(wide, stretch.0, self.values.ncols());
        let rows = Between::all(high, stretch.1, self.values.nrows());
        let stretched = self.stretched(&columns, &rows);
        let mut prepared =
            PreparedImage::prepare_from_greyscale(wide, high, |x, y| stretched[y * wide + x]);
        let grids = prepared.detect_grids();
        let mut codes: Vec<Code> = Vec::new();
        for grid in &grids {
            let Some(code) = which(grid) else {
                continue;
            };
            if codes.iter().any(|other| other.code.text == code.text) {
                continue;
            }
            let in_photo = |at: rqrr::Point| {
                let back = |value: i32, stretch: f64| {
                    let times = self.times as f64;
                    on_copy(f64::from(value), stretch) * times + (times - 1.0) / 2.0
                };
                Point::new(back(at.x, stretch.0), back(at.y, stretch.1))
            };
            codes.push(Code {
                code,
                corners: grid.bounds.map(in_photo),
            });
        }
        Try {
            codes,
            suspected: !grids.is_empty(),
        }
    }

    /// The values at places between pixels of the copy, row by row.
    fn stretched(&self, columns: &[Between], rows: &[Between]) -> Vec<u8> {
        let mut out = vec![0; columns.len() * rows.len()];
        let lines = out.par_chunks_exact_mut(columns.len()).zip(rows);
        lines.with_min_len(16).for_each(|(line, y)| {
            let between = |low: u8, high: u8| y.between(f32::from(low), f32::from(high));
            let pairs = self
                .values
                .row(y.low)
                .into_iter()
                .zip(self.values.row(y.high));
            let row: Vec<f32> = pairs.map(|(low, high)| between(*low, *high)).collect();
            for (value, x) in line.iter_mut().zip(columns) {
                *value = (x.between(row[x.low], row[x.high]) + 0.5) as u8;
            }
        });
        out
    }
}

/// A place between two pixels of a line.
#[derive(Clone, Copy)]
struct Between {
    low: usize,
    high: usize,
    /// How far it is from the lower to the higher, 0 to 1.
    part: f32,
}

impl Between {
    /// The value there, from those of the two pixels.
    fn between(self, low: f32, high: f32) -> f32 {
        low * (1.0 - self.part) + high * self.part
    }

    /// Where the pixels of a stretched line are on the line of `length` pixels.
    fn all(stretched: usize, stretch: f64, length: usize) -> Vec<Self> {
        (0..stretched)
            .map(|at| {
                let at = on_copy(at as f64, stretch).clamp(0.0, (length - 1) as f64);
                let low = at as usize;
                Self {
                    low,
                    high: (low + 1).min(length - 1),
                    part: (at - low as f64) as f32,
                }
            })
            .collect()
    }
}

/// Which of our codes a grid is: by what it says, or, where too much of it is
/// in shade to be read, by its modules.
fn which<G: BitGrid>(grid: &rqrr::Grid<G>) -> Option<&'static CardCode> {
    if let Ok((_, text)) = grid.decode() {
        return CARD_CODES.iter().find(|code| code.text == text);
    }
    let as_printed = |code: &CardCode| -> f64 {
        let side = code.modules.len();
        if grid.grid.size() != side {
            return 0.0;
        }
        let same = (0..side * side).filter(|module| {
            let (row, column) = (module / side, module % side);
            let dark = code.modules[row] >> (side - 1 - column) & 1 == 1;
            grid.grid.bit(row, column) == dark
        });
        same.count() as f64 / (side * side) as f64
    };
    CARD_CODES
        .iter()
        .max_by(|a, b| as_printed(a).total_cmp(&as_printed(b)))
        .filter(|code| as_printed(code) >= AS_PRINTED)
}

/// Where a pixel's middle of the stretched copy is on the copy.
fn on_copy(at: f64, stretch: f64) -> f64 {
    (at + 0.5) / stretch - 0.5
}
