//! Rings as each sector of the circle shows them by itself, laid against each
//! other: where the circle as a whole is askew by a ring, its sectors are not.

use crate::align::align;
use crate::candidates::{BUMP, peaks};
use crate::path::{Node, PERMISSIVE, best_courses};
use ndarray::{Array2, Zip};
use sight::SeenRings;

/// Sectors of the circle, each seen with some of its neighbors' rows. Chosen: as many
/// as the straightening has.
pub const SECTORS: usize = 64;
/// Rows on each side of a sector's middle that are averaged. Chosen: of 256 rows 17
/// together, as many as four sectors have.
const REACH: usize = 8;
/// Share of a sector's rows that must see a course. Chosen: with less, a crack or paint
/// would decide.
const LEAST_SEEN: f32 = 0.25;
/// Courses of a sector under which nothing is read in it. Chosen: two or three rings at
/// least, or nothing can be aligned.
const LEAST_COURSES: usize = 20;
/// Chance of a year's end under which nothing is looked at in a sector. Chosen: higher
/// than on the whole circle, because single rows are noisier.
const FLOOR: f32 = 0.02;
/// How much wider the bump of a boundary is in one sector than in the circle: the
/// chances of a few rows are not as sharp. Chosen on real photos, read by folds.
const SPREAD: f32 = 1.4;
/// How far outside what a sector shows a boundary may be agreed on, in courses. Chosen:
/// about the width of a boundary as the network draws it.
const NEAR: f64 = 2.0;

/// The rings of one sector.
struct Sector {
    /// The first and the last course that it shows.
    from: f64,
    to: f64,
    /// The courses on which years end in it, in order.
    ends: Vec<f64>,
}

/// How far from level the rings of each sector run: what to add to a course to come
/// to the same ring there, `[sector, course]`. `agreed` are the courses of the
/// boundaries found on the whole circle, in order, between the courses `from` and `to`.
///
/// # Method
/// Our own. The most likely boundaries are found in each sector alone and aligned in
/// order with those of the whole circle, at the least cost of shifts and of boundaries
/// left out; between boundaries the shift runs evenly. Cost: sectors times the square
/// of the rings.
#[must_use]
pub fn sector_shifts(seen: &SeenRings, agreed: &[f64], from: f64, to: f64) -> Array2<f32> {
    let mut shifts = Array2::<f32>::zeros((SECTORS, seen.courses.len()));
    Zip::indexed(shifts.rows_mut()).par_for_each(|nth, mut shift| {
        let Some(sector) = Sector::of(seen, nth, from, to) else {
            return;
        };
        let known = sector.aligned(agreed, &seen.spacing);
        if known.len() < FEWEST {
            return;
        }
        for (course, shift) in shift.iter_mut().enumerate() {
            *shift = between(&known, course as f64) as f32;
        }
    });
    shifts
}

/// Boundaries of a sector that must be aligned for its shifts to be used. One alone
/// gives no shift between boundaries.
const FEWEST: usize = 2;

impl Sector {
    fn of(seen: &SeenRings, nth: usize, from: f64, to: f64) -> Option<Self> {
        let (rows, courses) = seen.ends.dim();
        let middle = (2 * nth + 1) * rows / (2 * SECTORS);
        let mut chances = vec![0.0_f32; courses];
        let mut weights = vec![0.0_f32; courses];
        for off in 0..=2 * REACH {
            let row = (middle + rows + off - REACH) % rows;
            let line = seen.ends.row(row);
            for (course, (chance, visible)) in line.iter().zip(seen.visible.row(row)).enumerate() {
                chances[course] += chance * visible;
                weights[course] += visible;
            }
        }
        let least = LEAST_SEEN * (2 * REACH + 1) as f32;
        let (mut first, mut last, mut count) = (None, 0, 0);
        for (course, (chance, weight)) in chances.iter_mut().zip(&weights).enumerate() {
            if *weight > least {
                *chance /= weight;
                first = first.or(Some(course));
                (last, count) = (course, count + 1);
            } else {
                *chance = 0.0;
            }
        }
        if count < LEAST_COURSES {
            return None;
        }
        let from = from.max(first? as f64);
        let to = to.min(last as f64).min(courses as f64 - 2.0);
        let bump = BUMP * SPREAD * seen.blur;
        let found = peaks(&chances, &chances, FLOOR, from, to, &seen.spacing, bump);
        let nodes: Vec<Node> = found.iter().map(Node::from_candidate).collect();
        let ends = best_courses(&nodes, &seen.spacing, from, to, PERMISSIVE)
            .into_iter()
            .map(|node| nodes[node].course)
            .collect();
        Some(Self { from, to, ends })
    }

    /// The courses of agreed boundaries that this sector shows, each with how far it is
    /// from there in this sector.
    fn aligned(&self, agreed: &[f64], spacing: &[f32]) -> Vec<(f64, f64)> {
        let shown: Vec<f64> = agreed
            .iter()
            .copied()
            .filter(|&course| course > self.from - NEAR && course < self.to + NEAR)
            .collect();
        align(&shown, &self.ends, spacing)
            .into_iter()
            .map(|(which, end)| (shown[which], self.ends[end] - shown[which]))
            .collect()
    }
}

/// The value at a course between known ones, in order; that of the nearest outside.
fn between(known: &[(f64, f64)], course: f64) -> f64 {
    let next = known.partition_point(|place| place.0 <= course);
    match (next.checked_sub(1), known.get(next)) {
        (Some(before), Some(after)) => {
            let before = known[before];
            let part = (course - before.0) / (after.0 - before.0).max(1e-9);
            before.1 + part * (after.1 - before.1)
        }
        (Some(before), None) => known[before].1,
        (None, Some(after)) => after.1,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rings every ten courses that run askew by up to eight: a whole ring from one
    /// side to the other, nearly.
    fn askew() -> SeenRings {
        let (rows, courses) = (256, 200);
        let off = |row: usize| 4.0 * (row as f32 / rows as f32 * std::f32::consts::TAU).sin();
        let ends = Array2::from_shape_fn((rows, courses), |(row, course)| {
            let away = (course as f32 - off(row) + 5.0).rem_euclid(10.0) - 5.0;
            0.6 * (-0.5 * away * away).exp()
        });
        SeenRings {
            ends,
            wood: Array2::ones((rows, courses)),
            visible: Array2::ones((rows, courses)),
            trusted: 1.0,
            courses: vec![-3.0; courses],
            spacing: vec![10.0; courses],
            kinds: [0.0; 4],
            blur: 1.0,
            circle_share: 1.0,
        }
    }

    #[test]
    fn each_sector_comes_to_the_same_rings() {
        let agreed: Vec<f64> = (1..19).map(|ring| f64::from(ring) * 10.0).collect();
        let shifts = sector_shifts(&askew(), &agreed, 2.5, 195.0);
        for sector in 0..SECTORS {
            let middle = (sector as f32 + 0.5) / SECTORS as f32 * std::f32::consts::TAU;
            let shift = shifts[[sector, 100]];
            let off = 4.0 * middle.sin();
            assert!(
                (shift - off).abs() < 0.7,
                "sector {sector}: {shift} for {off}"
            );
        }
    }
}
