//! The innermost ring, where it is no ring but the heart that was not read.

use wood::{Reading, Ring};

/// An innermost ring this many times as wide as its neighbours holds more than
/// one year. Chosen: drawn stumps of all kinds stay below 3.
const TOO_WIDE: f64 = 5.0;

/// Neighbours that it is held against.
const NEIGHBOURS: usize = 10;

/// How many times as wide as the ten rings next to it the innermost one is,
/// where that is too much for one year.
pub(crate) fn unread_heart(rings: &[Ring]) -> Option<f64> {
    let (first, others) = rings.split_first()?;
    let near = others.get(..NEIGHBOURS)?;
    let mean = near.iter().map(|ring| ring.width_px.0).sum::<f64>() / NEIGHBOURS as f64;
    let times = first.width_px.0 / mean.max(1e-9);
    (times >= TOO_WIDE).then_some(times)
}

/// The rings that are one year each: all, or all but such a heart.
pub(crate) fn single_years(reading: &Reading) -> &[Ring] {
    let rings = &reading.rings;
    match unread_heart(rings) {
        Some(_) => rings.get(1..).unwrap_or_default(),
        None => rings,
    }
}
