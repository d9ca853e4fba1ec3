//! Formulas of the forester's handbooks.

use wood::{Mm, Ring};

/// Diameter inside bark over diameter outside bark where the bark was not
/// measured. A judgment from a few published means (0.90 to 0.92).
pub const BARK_FACTOR: f64 = 0.90;

/// How many rings the outermost `depth` of the radius holds; the ring in which it
/// ends counts in part. `None` where a width there is not known in millimeters, or
/// the rings do not reach so deep. `rings` pith first, without a half-made one.
#[must_use]
pub fn rings_in_outer(depth: Mm, rings: &[Ring]) -> Option<f64> {
    let mut left = depth.0;
    let mut whole = 0.0;
    for ring in rings.iter().rev() {
        let width = ring.width_mm?.0;
        if width >= left {
            return (width > 0.0).then(|| whole + left / width);
        }
        left -= width.max(0.0);
        whole += 1.0;
    }
    None
}

/// Growth of the cross-section in percent a year, from the rings in the outermost
/// `depth` of the radius (an inch, as published, or a centimeter).
///
/// # Method
/// Schneider's rule, 400 / (n D): n rings in the outermost inch of a stem D inches
/// thick (The Tree Book, 1912; rough by its own account).
#[must_use]
pub fn schneider_percent(diameter: Mm, depth: Mm, rings_in_depth: f64) -> Option<f64> {
    let product = rings_in_depth * (diameter / depth);
    (product > 0.0).then(|| 400.0 / product)
}

/// Rings per inch of radius at this mean width; `None` for no width.
#[must_use]
pub fn mm_to_rings_per_inch(width: Mm) -> Option<f64> {
    (width.0 > 0.0).then(|| Mm::PER_INCH / width.0)
}

/// Years until a diameter is reached if today's ring width holds: 0 when it is
/// reached already, `None` without growth.
#[must_use]
pub fn years_to_diameter(now: Mm, target: Mm, ring_width: Mm) -> Option<f64> {
    (ring_width.0 > 0.0).then(|| ((target.0 - now.0) / (2.0 * ring_width.0)).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    #[test]
    fn the_ring_in_which_the_depth_ends_counts_in_part() {
        let inner = [4.0, 4.0, 4.0, 2.0, 2.0];
        let check = |depth, expected| {
            assert_eq!(
                rings_in_outer(Mm(depth), &made::rings(&inner, None)),
                expected
            );
        };
        check(4.0, Some(2.0));
        check(6.0, Some(2.5));
        check(16.0, Some(5.0));
        check(16.5, None);
        let unknown = made::unscaled(&inner, None);
        assert_eq!(rings_in_outer(Mm(4.0), &unknown), None);
        // Rings missing on the face are years too.
        let missing = made::rings(&[4.0, 0.0, 2.0], None);
        assert_eq!(rings_in_outer(Mm(4.0), &missing), Some(2.5));
        assert_eq!(rings_in_outer(Mm(1.0), &[]), None);
    }
}
