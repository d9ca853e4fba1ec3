//! How thick the stem was, and when.

use wood::{Mm, Ring, Year};

/// The stem's size at the end of one ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiameterAtAge {
    /// Rings at the height of the cut.
    pub rings: u32,
    /// The year, when rings are dated.
    pub year: Option<Year>,
    /// Diameter inside bark.
    pub diameter: Mm,
}

/// Diameter inside bark at the end of each ring, pith first; empty without a
/// scale. Age here is age at the height of the cut.
#[must_use]
pub fn diameter_at_age(rings: &[Ring]) -> Vec<DiameterAtAge> {
    rings
        .iter()
        .filter_map(|ring| {
            ring.radius_mm.map(|radius| DiameterAtAge {
                rings: ring.number,
                year: ring.year,
                diameter: radius * 2.0,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    #[test]
    fn the_diameter_is_twice_the_radius() {
        let grown = diameter_at_age(&made::rings(&[2.0, 3.0], Some(2000)));
        assert_eq!(grown[1].diameter, Mm(10.0));
        assert_eq!(grown[0].year, Some(Year(1999)));
        assert!(diameter_at_age(&made::unscaled(&[2.0], None)).is_empty());
    }
}
