//! The figures of a whole series in one go.

use crate::rings::widths;
use crate::series;
use wood::stats::mean;
use wood::{GrowthFigures, Mm, Ring};

/// Figures of a series of rings, pith first: leave a half-made outer ring out
/// ([`crate::years_of_growth`]). `None` for fewer than two rings or no growth.
///
/// A figure that is not defined for the series (autocorrelation of equal
/// rings) is 0.
#[must_use]
pub fn figures(rings: &[Ring]) -> Option<GrowthFigures> {
    let widths = widths(rings);
    let values = &widths.values;
    let mean_width = mean(values)?;
    if values.len() < 2 || mean_width <= 0.0 {
        return None;
    }
    let mean_width_mm = widths.in_mm.then_some(Mm(mean_width));
    Some(GrowthFigures {
        mean_width_mm,
        rings_per_inch: mean_width_mm.and_then(series::mm_to_rings_per_inch),
        mean_sensitivity: series::mean_sensitivity(values).unwrap_or(0.0),
        variation: series::variation(values).unwrap_or(0.0),
        autocorrelation: series::autocorrelation(values).unwrap_or(0.0),
        gini: series::gini(values).unwrap_or(0.0),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    #[test]
    fn unit_free_figures_do_not_need_a_scale() {
        let widths = [2.0, 4.0, 3.0, 5.0];
        let scaled = figures(&made::rings(&widths, None)).unwrap();
        let unscaled = figures(&made::unscaled(&widths, None)).unwrap();
        assert_eq!(scaled.mean_width_mm, Some(Mm(3.5)));
        assert_eq!(unscaled.mean_width_mm, None);
        assert_eq!(unscaled.rings_per_inch, None);
        assert!((scaled.gini - unscaled.gini).abs() < 1e-12);
        assert!((scaled.mean_sensitivity - 0.484_126_984).abs() < 1e-9);
    }

    #[test]
    fn odd_series_have_no_figures_or_finite_ones() {
        for widths in [&[][..], &[1.0], &[0.0, 0.0]] {
            assert_eq!(figures(&made::rings(widths, None)), None, "{widths:?}");
        }
        let equal = figures(&made::rings(&[1.5; 30], None)).unwrap();
        assert!(equal.autocorrelation.abs() < 1e-12);
        let odd = figures(&made::rings(&[f64::NAN, -1.0, 2.0, f64::INFINITY], None)).unwrap();
        assert!(odd.gini.is_finite() && odd.variation.is_finite());
    }
}
