//! The innermost ring, where it is no ring but the heart that was not read.

use crate::rings::widths;
use wood::Ring;
use wood::stats::mean;

/// An innermost ring this many times as wide as its neighbors holds more than
/// one year. Chosen: drawn stumps of all kinds stay below 3.
const TOO_WIDE: f64 = 5.0;

/// Neighbors that it is compared with.
const NEIGHBORS: usize = 10;

/// How many times as wide as the ten rings next to it the innermost one is,
/// where that is too much for one year: a rotten, hollow or unread heart that is not
/// among the facts.
///
/// Widths are compared in millimeters where these rings have them, else in pixels:
/// imported rings have one or the other. Rings of unknown width are not compared with.
#[must_use]
pub fn unread_heart(rings: &[Ring]) -> Option<f64> {
    let compared = widths(rings.get(..=NEIGHBORS)?).values;
    let (first, others) = compared.split_first()?;
    let known: Vec<f64> = others
        .iter()
        .copied()
        .filter(|width| *width > 0.0)
        .collect();
    let times = first / mean(&known)?;
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

    #[test]
    fn a_heart_is_found_in_whichever_unit_the_rings_have() {
        let mut widths = vec![2.0; 30];
        widths[0] = 40.0;
        let in_px = made::unscaled(&widths, None);
        let mut in_mm = made::rings(&widths, None);
        for ring in &mut in_mm {
            ring.width_px = wood::Px(0.0);
            ring.radius_px = wood::Px(0.0);
        }
        assert!((unread_heart(&in_px).unwrap() - 20.0).abs() < 1e-9);
        assert!((unread_heart(&in_mm).unwrap() - 20.0).abs() < 1e-9);
        // Rings whose width is not known are no narrow ones.
        let mut gaps = made::unscaled(&[4.0; 30], None);
        for ring in &mut gaps[2..] {
            ring.width_px = wood::Px(0.0);
        }
        assert_eq!(unread_heart(&gaps), None);
        gaps[1].width_px = wood::Px(0.0);
        assert_eq!(unread_heart(&gaps), None, "nothing to compare with");
    }
}
