//! The marked strip shown straight, from its inner end on the left to its outer
//! end on the right: the picture, and what the program sees along it.

use crate::unrolled::{BLANK, jpeg};
use axum::body::Bytes;
use photo::{Face, lightness};
use rayon::prelude::*;
use reader::{ReadingSession, StripView};
use report::picture::color_at;
use serde::Serialize;
use wood::{Px, Strip};

/// What is shown beyond each end, as a share of the length: the bark, and the wood
/// on the other side of the pith.
const BEYOND: f64 = 0.04;
/// Largest picture, in pixels: a longer or wider strip is drawn smaller.
const MOST_LONG: f64 = 8000.0;
const MOST_HIGH: f64 = 1000.0;
/// Chances of a year's end under which a peak is no place to snap to.
const LEAST_CHANCE: f32 = 0.02;
/// Half the width of the window in which contrast is stretched, at least, in pixels.
const WINDOW: usize = 24;
/// Spread of lightness (L*) that contrast is stretched to, and the most that it is
/// stretched, so that noise stays noise.
const SPREAD: f32 = 13.0;
const MOST_STRETCH: f32 = 3.5;
/// Lightness that each window is brought toward, by half.
const MIDDLE: f32 = 60.0;
/// Red, green and blue for one step of lightness (L*).
const PER_LIGHTNESS: f32 = 2.55;

/// What the program sees along the strip, for the page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct StripInfo {
    /// Its length and its width, in pixels of the photo.
    length_px: f64,
    width_px: f64,
    /// How much more the picture shows at either end, in pixels of the photo.
    beyond_px: f64,
    /// The ends of years that the program would set, from the inner end outward.
    proposed: Vec<Proposal>,
    /// Where a year may end: the place along the strip and the chance, 0 to 1.
    peaks: Vec<(f64, f64)>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Proposal {
    along_px: f64,
    confidence: f64,
}

/// How the strip is to be shown.
pub(crate) fn info(strip: &Strip, kept: &ReadingSession) -> StripInfo {
    let seen = kept.strip_view();
    StripInfo {
        length_px: strip.length().0,
        width_px: strip.width().0,
        beyond_px: BEYOND * strip.length().0,
        proposed: seen.as_ref().map_or_else(Vec::new, proposals),
        peaks: seen.map_or_else(Vec::new, |seen| peaks(&seen.chances)),
    }
}

fn proposals(seen: &StripView) -> Vec<Proposal> {
    let each = seen.proposed.iter().map(|ring| Proposal {
        along_px: hundredths(ring.along.0),
        confidence: hundredths(ring.confidence),
    });
    each.collect()
}

fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

/// The peaks of the chances along the strip, between whole pixels.
fn peaks(chances: &[f32]) -> Vec<(f64, f64)> {
    chances
        .windows(3)
        .enumerate()
        .filter_map(|(before, three)| {
            let &[low, here, high] = three else {
                return None;
            };
            if here < LEAST_CHANCE || here < low || here <= high {
                return None;
            }
            // The top of the parabola through the three.
            let bend = low - 2.0 * here + high;
            let off = if bend < 0.0 {
                0.5 * (low - high) / bend
            } else {
                0.0
            };
            let along = (before + 1) as f64 + f64::from(off);
            Some((hundredths(along), hundredths(f64::from(here))))
        })
        .collect()
}

/// The strip as a JPEG, at the photo's own resolution, with its contrast stretched
/// window by window.
pub(crate) fn picture(face: &Face, strip: &Strip) -> image::ImageResult<Bytes> {
    let (Px(length), Px(width)) = (strip.length(), strip.width());
    let beyond = BEYOND * length;
    let long = length + 2.0 * beyond;
    let scale = (MOST_LONG / long).min(MOST_HIGH / width).min(1.0);
    let size = |side: f64| ((side * scale).round() as usize).max(1);
    let (columns, rows) = (size(long), size(width));
    let mut pixels = vec![0_u8; columns * rows * 3];
    pixels
        .par_chunks_exact_mut(columns * 3)
        .enumerate()
        .for_each(|(row, line)| {
            let aside = Px((row as f64 + 0.5) / scale - 0.5 * width);
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let along = Px((column as f64 + 0.5) / scale - beyond);
                let color = color_at(&face.rgb, strip.place(along, aside));
                pixel.copy_from_slice(&color.unwrap_or(BLANK).0);
            }
        });
    stretch(&mut pixels, columns);
    jpeg(&pixels, (columns as u32, rows as u32))
}

/// Stretches the contrast of each place by the mean and the spread of lightness in
/// a window around it.
fn stretch(pixels: &mut [u8], columns: usize) {
    let light: Vec<f32> = pixels
        .as_chunks()
        .0
        .iter()
        .map(|&pixel| lightness(pixel))
        .collect();
    let rows = light.len() / columns;
    let sums = Sums::of(&light, columns);
    let half = WINDOW.max(rows / 2);
    pixels
        .par_chunks_exact_mut(columns * 3)
        .enumerate()
        .for_each(|(row, line)| {
            for (column, pixel) in line.chunks_exact_mut(3).enumerate() {
                let (mean, spread) = sums.window(row, column, half);
                let by = (SPREAD / spread.max(0.1)).clamp(1.0, MOST_STRETCH);
                let here = light[row * columns + column];
                let wanted = 0.5 * (mean + MIDDLE) + by * (here - mean);
                for value in pixel {
                    *value = (f32::from(*value) + PER_LIGHTNESS * (wanted - here)) as u8;
                }
            }
        });
}

/// Sums of values and of their squares over all rectangles from the first corner.
struct Sums {
    columns: usize,
    rows: usize,
    sums: Vec<(f64, f64)>,
}

impl Sums {
    fn of(values: &[f32], columns: usize) -> Self {
        let rows = values.len() / columns;
        let wide = columns + 1;
        let mut sums = vec![(0.0, 0.0); wide * (rows + 1)];
        for row in 0..rows {
            let mut line = (0.0, 0.0);
            for column in 0..columns {
                let value = f64::from(values[row * columns + column]);
                line = (line.0 + value, line.1 + value * value);
                let above = sums[row * wide + column + 1];
                sums[(row + 1) * wide + column + 1] = (above.0 + line.0, above.1 + line.1);
            }
        }
        Self {
            columns,
            rows,
            sums,
        }
    }

    /// The mean and the standard deviation in a window of `half` to each side.
    fn window(&self, row: usize, column: usize, half: usize) -> (f32, f32) {
        let (top, bottom) = (row.saturating_sub(half), (row + half + 1).min(self.rows));
        let (left, right) = (
            column.saturating_sub(half),
            (column + half + 1).min(self.columns),
        );
        let at = |row: usize, column: usize| self.sums[row * (self.columns + 1) + column];
        let corners = [
            at(bottom, right),
            at(top, left),
            at(top, right),
            at(bottom, left),
        ];
        let [all, both, above, before] = corners;
        let count = ((bottom - top) * (right - left)) as f64;
        let mean = (all.0 + both.0 - above.0 - before.0) / count;
        let square = (all.1 + both.1 - above.1 - before.1) / count;
        (mean as f32, (square - mean * mean).max(0.0).sqrt() as f32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peak_lies_between_pixels_where_the_chances_say_so() {
        assert_eq!(
            peaks(&[0.0, 0.5, 0.5, 0.0, 0.01, 0.0, 0.2, 0.9, 0.4]),
            [(1.5, 0.5), (7.08, 0.9)]
        );
        assert!(peaks(&[0.5; 9]).is_empty());
    }

    #[test]
    fn faint_rings_are_stretched_and_a_plain_tone_is_not() {
        let columns = 120;
        let row: Vec<u8> = (0..columns)
            .flat_map(|x| [if x % 12 < 3 { 118 } else { 126 }; 3])
            .collect();
        let mut pixels = row.repeat(40);
        stretch(&mut pixels, columns);
        let middle = &pixels[20 * columns * 3..][..columns * 3];
        let (low, high) = (middle.iter().min(), middle.iter().max());
        let spread = high.zip(low).map(|(high, low)| high - low);
        assert!(spread >= Some(24), "{spread:?}");
        let mut plain = vec![120; columns * 40 * 3];
        stretch(&mut plain, columns);
        assert!(plain.iter().all(|value| *value == plain[0]));
    }
}
