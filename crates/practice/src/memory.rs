//! The good and bad years that all trees of the Cold Hollow woodlot share.

use crate::dice::Dice;
use crate::recipe::{GrowthStep, Widths};

/// The last year that the woodlot remembers.
const LAST_YEAR: i32 = 2025;

/// What the whole woodlot remembers: the year and what it did to growth.
static GOOD_AND_BAD: [(i32, f64); 14] = [
    (1934, 0.62),
    (1936, 0.7),
    (1947, 1.3),
    (1954, 0.72),
    (1963, 0.66),
    (1965, 0.6),
    (1972, 1.35),
    (1973, 1.25),
    (1988, 0.58),
    (1995, 0.74),
    (1996, 1.28),
    (2002, 0.66),
    (2012, 0.63),
    (2017, 1.3),
];

/// Widths for a tree of the woodlot: its own age trend and luck, times the
/// luck of the years that all trees there share. `last_ring` is the year of
/// the ring under the bark.
pub(crate) fn widths(
    seed: u64,
    last_ring: i32,
    rings: u32,
    first_mm: f64,
    last_mm: f64,
    steps: &[GrowthStep],
) -> Widths {
    let mut dice = Dice::new(seed, 200);
    let mut shared = Dice::new(7, 201);
    // One value for each year from 1800 on, the same for every tree.
    let years: Vec<f64> = (1800..=LAST_YEAR)
        .map(|year| {
            let own = (0.1 * shared.normal()).exp();
            GOOD_AND_BAD
                .iter()
                .find(|(y, _)| *y == year)
                .map_or(own, |(_, factor)| *factor)
        })
        .collect();
    let mut luck = 0.0;
    let list = (1..=rings)
        .map(|ring| {
            let age = f64::from(ring - 1) / f64::from(rings);
            let trend = last_mm + (first_mm - last_mm) * (-3.0 * age).exp();
            luck = 0.5 * luck + 0.866 * dice.normal();
            let year = last_ring - rings as i32 + ring as i32;
            let common = years
                .get((year - 1800).max(0) as usize)
                .copied()
                .unwrap_or(1.0);
            let step: f64 = steps
                .iter()
                .filter(|s| (s.from_ring..=s.to_ring).contains(&ring))
                .map(|s| s.factor)
                .product();
            let young = 1.0 - 0.3 * (-f64::from(ring) / 3.0).exp();
            let mm = trend * young * common * step * (0.1 * luck).exp();
            (mm * 100.0).round() / 100.0
        })
        .collect();
    Widths {
        explicit_mm: Some(list),
        ..Widths::default()
    }
}
