//! The innermost ring, where it is no ring but the heart that was not read.

use wood::Ring;

/// An innermost ring this many times as wide as its neighbors holds more than
/// one year. Chosen: drawn stumps of all kinds stay below 3.
const TOO_WIDE: f64 = 5.0;

/// Neighbors that it is compared with.
const NEIGHBORS: usize = 10;

/// How many times as wide as the ten rings next to it the innermost one is,
/// where that is too much for one year: a rotten, hollow or unread heart that is not
/// among the facts.
#[must_use]
pub fn unread_heart(rings: &[Ring]) -> Option<f64> {
    let (first, others) = rings.split_first()?;
    let near = others.get(..NEIGHBORS)?;
    let mean = near.iter().map(|ring| ring.width_px.0).sum::<f64>() / NEIGHBORS as f64;
    let times = first.width_px.0 / mean.max(1e-9);
    (times >= TOO_WIDE).then_some(times)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    #[test]
    fn a_heart_that_was_not_read_is_no_year_and_a_wide_first_ring_is_one() {
        let mut widths = vec![2.0; 30];
        widths[0] = 5.8;
        let wide = made::rings(&widths, None);
        assert_eq!(unread_heart(&wide), None);
        widths[0] = 40.0;
        let heart = made::rings(&widths, None);
        assert!((unread_heart(&heart).unwrap() - 20.0).abs() < 1e-9);
        assert_eq!(unread_heart(&made::rings(&[40.0, 1.0, 1.0], None)), None);
        assert_eq!(unread_heart(&[]), None);
    }
}
