//! The middles of the card's round marks, to a small part of a pixel.

use super::plane::{Pair, Plane};
use crate::lightness;
use image::RgbImage;
use wood::{CARD_DISC_RADIUS_MM, CARD_DISCS_MM, Point};

/// Half the side of the patch around a mark, in millimeters: the mark and as
/// much paper around it as every mark has.
const HALF_MM: f64 = 5.0;

/// Samples along a side of the patch.
const SAMPLES: usize = 61;

/// Least difference of paper and ink in lightness (0 to 100) that is trusted.
const LEAST_CONTRAST: f64 = 12.0;

/// Rounds of laying the patch on the mark's middle.
const ROUNDS: usize = 4;

/// By how much a mark's area and its two breadths may be off, as a share.
const ODD_AREA: f64 = 0.3;
const ODD_SHAPE: f64 = 0.18;

/// The marks that could be measured, of those within reach of a place
/// that is `known`: their middle on the card and in the photo.
pub(super) fn measure(rgb: &RgbImage, plane: &Plane, known: &[Pair], reach: Reach) -> Vec<Pair> {
    CARD_DISCS_MM
        .iter()
        .filter(|mm| {
            known
                .iter()
                .any(|pair| (pair.mm.0 - mm.0).hypot(pair.mm.1 - mm.1) <= reach.from_known_mm)
        })
        .filter_map(|&mm| {
            let (x_mm, y_mm) = middle(rgb, plane, mm, reach.slack_mm)?;
            Some(Pair {
                mm,
                place: plane.to_picture(x_mm, y_mm),
            })
        })
        .collect()
}

/// How far marks are looked for, in millimeters on the card.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// From what is known to the next marks.
    pub(super) from_known_mm: f64,
    /// Around where the plane so far puts each.
    pub(super) slack_mm: f64,
}

/// From one start of the search for a mark to the next: a start within half a
/// radius of the middle finds it.
const START_STEP_MM: f64 = 2.0;

/// Where a mark's middle is by the present plane, in its millimeters; starts
/// are tried from the expected place outward.
fn middle(rgb: &RgbImage, plane: &Plane, mm: (f64, f64), slack_mm: f64) -> Option<(f64, f64)> {
    let steps = (slack_mm / START_STEP_MM).floor() as i32;
    let mut starts: Vec<(f64, f64)> = (-steps..=steps)
        .flat_map(|row| (-steps..=steps).map(move |column| (column, row)))
        .map(|(column, row)| {
            (
                f64::from(column) * START_STEP_MM,
                f64::from(row) * START_STEP_MM,
            )
        })
        .collect();
    starts.sort_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)));
    starts.into_iter().find_map(|(dx, dy)| {
        let found = settle(rgb, plane, (mm.0 + dx, mm.1 + dy))?;
        // A mark that wanders off is not the one that was looked for.
        let off = (found.0 - mm.0).hypot(found.1 - mm.1);
        (off <= slack_mm + CARD_DISC_RADIUS_MM).then_some(found)
    })
}

/// The middle of the mark that is at a place, or nearly so.
fn settle(rgb: &RgbImage, plane: &Plane, start: (f64, f64)) -> Option<(f64, f64)> {
    let mut at = start;
    for _ in 0..ROUNDS {
        let blob = Patch::around(rgb, plane, at)?.blob()?;
        if !blob.is_round() {
            return None;
        }
        at = (at.0 + blob.x_mm, at.1 + blob.y_mm);
    }
    Some(at)
}

/// The picture around a place of the card, laid square.
struct Patch {
    values: Vec<f64>,
}

/// Something dark in a patch.
struct Blob {
    /// Its middle, from the patch's.
    x_mm: f64,
    y_mm: f64,
    area_mm2: f64,
    /// Mean squares of the distances from the middle along x, y and both.
    spread: (f64, f64, f64),
}

/// Offset of the nth sample from the middle.
fn offset(nth: usize) -> f64 {
    ((nth as f64 + 0.5) / SAMPLES as f64 * 2.0 - 1.0) * HALF_MM
}

impl Patch {
    fn around(rgb: &RgbImage, plane: &Plane, at: (f64, f64)) -> Option<Self> {
        let mut values = Vec::with_capacity(SAMPLES * SAMPLES);
        for row in 0..SAMPLES {
            for column in 0..SAMPLES {
                let place = plane.to_picture(at.0 + offset(column), at.1 + offset(row));
                values.push(between(rgb, place)?);
            }
        }
        Some(Self { values })
    }

    /// The dark blob in the middle; `None` without clear ink on paper.
    ///
    /// The limit between ink and paper is set by the darker part of the paper,
    /// so that a shadow's edge across the patch is not taken for ink.
    fn blob(&self) -> Option<Blob> {
        let (mut paper, mut ink) = (Vec::new(), Vec::new());
        self.each(|x, y, value| {
            let from_middle = x.hypot(y);
            if from_middle < CARD_DISC_RADIUS_MM * 0.55 {
                ink.push(value);
            } else if from_middle > CARD_DISC_RADIUS_MM * 1.45 {
                paper.push(value);
            }
        });
        let (paper, ink) = (quantile(&mut paper, 0.15)?, quantile(&mut ink, 0.5)?);
        let contrast = paper - ink;
        if contrast < LEAST_CONTRAST {
            return None;
        }
        let (mut sum, mut sum_x, mut sum_y) = (0.0, 0.0, 0.0);
        let (mut sum_xx, mut sum_yy, mut sum_xy) = (0.0, 0.0, 0.0);
        self.each(|x, y, value| {
            // Ink from a quarter of the contrast on, none from three quarters.
            let share = ((paper - value) / contrast * 2.0 - 0.5).clamp(0.0, 1.0);
            sum += share;
            sum_x += share * x;
            sum_y += share * y;
            sum_xx += share * x * x;
            sum_yy += share * y * y;
            sum_xy += share * x * y;
        });
        if sum <= 0.0 {
            return None;
        }
        let (x_mm, y_mm) = (sum_x / sum, sum_y / sum);
        let step = 2.0 * HALF_MM / SAMPLES as f64;
        Some(Blob {
            x_mm,
            y_mm,
            area_mm2: sum * step * step,
            spread: (
                sum_xx / sum - x_mm * x_mm,
                sum_yy / sum - y_mm * y_mm,
                sum_xy / sum - x_mm * y_mm,
            ),
        })
    }

    fn each(&self, mut visit: impl FnMut(f64, f64, f64)) {
        for (index, value) in self.values.iter().enumerate() {
            visit(offset(index % SAMPLES), offset(index / SAMPLES), *value);
        }
    }
}

impl Blob {
    /// Whether it is a disc of the size that was printed.
    fn is_round(&self) -> bool {
        let area = std::f64::consts::PI * CARD_DISC_RADIUS_MM.powi(2);
        // A disc's mean square along any line is a quarter of its radius squared.
        let square = CARD_DISC_RADIUS_MM.powi(2) / 4.0;
        let (xx, yy, xy) = self.spread;
        (self.area_mm2 / area - 1.0).abs() < ODD_AREA
            && (xx / yy.max(1e-9)).sqrt().ln().abs() < ODD_SHAPE
            && (xy / square).abs() < 2.0 * ODD_SHAPE
    }
}

/// The lightness at a place between pixels; `None` off the photo.
fn between(rgb: &RgbImage, place: Point) -> Option<f64> {
    let (width, height) = rgb.dimensions();
    let (x, y) = (place.x_px, place.y_px);
    let inside = x >= 0.0 && y >= 0.0 && x < f64::from(width - 1) && y < f64::from(height - 1);
    if !inside {
        return None;
    }
    let (left, top) = (x.floor(), y.floor());
    let (across, down) = (x - left, y - top);
    let (left, top) = (left as u32, top as u32);
    let at = |dx: u32, dy: u32| f64::from(lightness(rgb.get_pixel(left + dx, top + dy).0));
    let upper = at(0, 0) * (1.0 - across) + at(1, 0) * across;
    let lower = at(0, 1) * (1.0 - across) + at(1, 1) * across;
    Some(upper * (1.0 - down) + lower * down)
}

/// The value below which a share of all is.
fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let at = (values.len() as f64 * share) as usize;
    values.get(at.min(values.len().checked_sub(1)?)).copied()
}
