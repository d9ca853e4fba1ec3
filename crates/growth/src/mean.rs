//! The rings that growth is described by, and their mean: one definition for the
//! summary, the sheet, the charts and the desk.

use crate::dating::{OuterRing, date_rings, whole_rings};
use crate::decades::decades;
use crate::events::{EventCriteria, events};
use crate::figures::figures;
use crate::heart::unread_heart;
use crate::rings::widths;
use wood::{Facts, Mm, PithSource, Px, Reading, Ring, Scope};

/// The rings of a reading that are one whole year each, pith first.
///
/// Left out are an innermost ring that stands for a heart that was not read, or
/// for what is between a pith outside the photo and the first ring in it, and an
/// outermost ring that was half made when the tree was felled. Rings whose years do
/// not follow from the date of felling, as in some imported series, are all whole.
#[must_use]
pub fn years_of_growth<'a>(reading: &'a Reading, facts: &Facts) -> &'a [Ring] {
    let dated = date_rings(
        u32::try_from(reading.rings.len()).unwrap_or(u32::MAX),
        facts.felled,
        facts.hemisphere,
        reading.scope != Some(Scope::RingsInView),
    );
    let last = reading.rings.last().and_then(|ring| ring.year);
    let outer_ring = if dated.as_of == last {
        dated.outer_ring
    } else {
        OuterRing::Unknown
    };
    let rings = if first_ring_is_a_year(reading) {
        &reading.rings[..]
    } else {
        reading.rings.get(1..).unwrap_or_default()
    };
    whole_rings(rings, outer_ring)
}

/// Whether the innermost ring is one year's, and not a heart that was not read or
/// what is between a pith outside the photo and the first ring in it.
pub(crate) fn first_ring_is_a_year(reading: &Reading) -> bool {
    let outside = reading
        .pith
        .as_ref()
        .is_some_and(|pith| pith.from == PithSource::Outside);
    !outside && unread_heart(&reading.rings).is_none()
}

/// Fills in what follows from the rings of a reading: decades, releases and
/// suppressions, and the figures of the whole series, all from [`years_of_growth`].
pub fn describe(reading: &mut Reading, facts: &Facts) {
    let years = years_of_growth(reading, facts);
    let found = (
        decades(years),
        events(years, &EventCriteria::default()),
        figures(years),
    );
    (reading.decades, reading.events, reading.figures) = found;
}

/// The mean ring width of a tree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanGrowth {
    /// In photo pixels.
    pub width_px: Px,
    /// In millimeters, where every ring has a width in them.
    pub width_mm: Option<Mm>,
}

/// The mean width of rings, as [`years_of_growth`] gives them: the tree's mean
/// that single decades are compared with. `None` of nothing.
#[must_use]
pub fn mean_growth(rings: &[Ring]) -> Option<MeanGrowth> {
    let count = rings.len() as f64;
    let widths = widths(rings);
    (!rings.is_empty()).then(|| MeanGrowth {
        width_px: Px(rings.iter().map(|ring| ring.width_px.0).sum::<f64>() / count),
        width_mm: widths
            .in_mm
            .then(|| Mm(widths.values.iter().sum::<f64>() / count)),
    })
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::rings::made;
    use wood::{PhotoId, Pith};

    pub(crate) fn reading(rings: Vec<Ring>, from: PithSource) -> Reading {
        Reading {
            pith: Some(Pith {
                x_px: Px(0.0),
                y_px: Px(0.0),
                from,
                uncertainty_px: Px(1.0),
            }),
            scope: Some(Scope::WholeFace),
            rings,
            ..Reading::of(PhotoId {
                file: String::new(),
                sha256: String::new(),
                width_px: 0,
                height_px: 0,
            })
        }
    }

    #[test]
    fn a_heart_a_pith_outside_and_a_half_made_ring_are_no_years_of_growth() {
        let mut widths = vec![2.0; 30];
        widths[0] = 6.0;
        let count_in = |last, widths: &[f64], from, felled: Option<&str>| {
            let facts = Facts {
                felled: felled.map(|text| text.parse().expect("a date")),
                ..Facts::default()
            };
            let rings = made::rings(widths, last);
            years_of_growth(&reading(rings, from), &facts).len()
        };
        let count = |widths: &[f64], from, felled| count_in(Some(2025), widths, from, felled);
        // A wide first ring is a year, unless the pith is outside the photo.
        assert_eq!(count(&widths, PithSource::Seen, None), 30);
        assert_eq!(count(&widths, PithSource::Outside, None), 29);
        assert_eq!(count(&widths, PithSource::Seen, Some("2025-07-10")), 29);
        // Years that were given in another way: nothing is known of the last ring.
        let other = count_in(Some(2019), &widths, PithSource::Seen, Some("2025-07-10"));
        assert_eq!(other, 30);
        widths[0] = 60.0;
        assert_eq!(count(&widths, PithSource::Seen, None), 29);
        assert_eq!(count(&[], PithSource::Outside, Some("2025-07-10")), 0);
    }

    /// No decade can be the fastest and yet below the mean.
    #[test]
    fn the_mean_lies_between_the_slowest_and_the_fastest_ring() {
        let mut widths: Vec<f64> = (0..40)
            .map(|ring| 2.0 + f64::from(ring % 7) / 10.0)
            .collect();
        widths[0] = 90.0;
        let reading = reading(made::rings(&widths, None), PithSource::Seen);
        let rings = years_of_growth(&reading, &Facts::default());
        let mean = mean_growth(rings).expect("rings");
        assert!((2.0..2.6).contains(&mean.width_mm.expect("mm").0));
        assert!((mean.width_px.0 - 10.0 * mean.width_mm.expect("mm").0).abs() < 1e-9);
        assert_eq!(mean_growth(&[]), None);
        assert_eq!(
            mean_growth(&made::unscaled(&[2.0], None))
                .expect("one")
                .width_mm,
            None
        );
    }
}
