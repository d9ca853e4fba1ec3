//! Growth ten years at a time.

use crate::rings::widths;
use crate::{age_trend, series};
use wood::stats::mean;
use wood::{Decade, Mm, Ring, Year};

/// Rings in a decade.
const TEN: usize = 10;

/// Growth by calendar decade (1990 to 1999) when every ring is dated, else by
/// tens of rings from the innermost; oldest first. The first and last may hold
/// fewer than ten rings.
///
/// Leave a half-made outer ring out ([`crate::years_of_growth`]): it would make
/// the last decade look poor. `against_trend` is the mean of width over
/// expected width ([`age_trend`]); it needs no scale.
#[must_use]
pub fn decades(rings: &[Ring]) -> Vec<Decade> {
    let widths = widths(rings);
    let expected = age_trend(&widths.values).expected;
    let years: Option<Vec<Year>> = rings.iter().map(|ring| ring.year).collect();
    let decade_of = |index: usize| match &years {
        Some(years) => years
            .get(index)
            .map_or(0, |year| year.0.div_euclid(TEN as i32)),
        None => (index / TEN) as i32,
    };
    let mut made = Vec::new();
    let mut start = 0;
    while start < rings.len() {
        let decade = decade_of(start);
        let mut end = start + 1;
        while end < rings.len() && end - start < TEN && decade_of(end) == decade {
            end += 1;
        }
        let mean_width = mean(&widths.values[start..end]);
        let mean_width_mm = mean_width.filter(|_| widths.in_mm).map(Mm);
        let ratios: Option<Vec<f64>> = widths.values[start..end]
            .iter()
            .zip(&expected[start..end])
            .map(|(width, expected)| (*expected > 0.0).then(|| width / expected))
            .collect();
        made.push(Decade {
            from_year: years.as_ref().map(|_| Year(decade.saturating_mul(10))),
            first_ring: rings[start].number,
            rings: (end - start) as u32,
            mean_width_mm,
            rings_per_inch: mean_width_mm.and_then(series::mm_to_rings_per_inch),
            against_trend: ratios.and_then(|ratios| mean(&ratios)),
        });
        start = end;
    }
    made
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    #[test]
    fn dated_rings_fall_into_calendar_decades() {
        let made = decades(&made::rings(&[2.54; 25], Some(2003)));
        let shape: Vec<_> = made
            .iter()
            .map(|d| (d.from_year.unwrap().0, d.first_ring, d.rings))
            .collect();
        assert_eq!(
            shape,
            [(1970, 1, 1), (1980, 2, 10), (1990, 12, 10), (2000, 22, 4)]
        );
        assert!((made[1].rings_per_inch.unwrap() - 10.0).abs() < 1e-9);
        assert!((made[1].against_trend.unwrap() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn undated_rings_go_by_tens_from_the_pith() {
        let made = decades(&made::unscaled(&[3.0; 25], None));
        let shape: Vec<_> = made
            .iter()
            .map(|d| (d.from_year, d.first_ring, d.rings))
            .collect();
        assert_eq!(shape, [(None, 1, 10), (None, 11, 10), (None, 21, 5)]);
        assert_eq!(made[0].mean_width_mm, None);
        assert!(made[0].against_trend.is_some());
    }

    #[test]
    fn a_poor_decade_stands_out_against_the_trend() {
        let widths: Vec<f64> = (0..80)
            .map(|t| {
                let expected = 4.0 * (-0.04 * f64::from(t)).exp() + 1.0;
                if (40..50).contains(&t) {
                    expected * 0.5
                } else {
                    expected
                }
            })
            .collect();
        let made = decades(&made::rings(&widths, None));
        let poorest = made
            .iter()
            .min_by(|a, b| a.against_trend.partial_cmp(&b.against_trend).unwrap())
            .unwrap();
        assert_eq!(poorest.first_ring, 41);
        assert!(poorest.against_trend.unwrap() < 0.65);
    }

    #[test]
    fn nothing_and_zeros_are_no_trouble() {
        assert!(decades(&[]).is_empty());
        let zeros = decades(&made::rings(&[0.0; 12], None));
        assert_eq!(zeros[0].against_trend, None);
        assert_eq!(zeros[0].rings_per_inch, None);
    }
}
