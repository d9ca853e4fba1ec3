//! From a missing radius to missing rings, never bare.

use crate::GrowthError;
use crate::estimate::{Estimate, caution};
use crate::spread::Z_90;
use wood::stats::mean;
use wood::{AgePart, AgePartKind, Years};

/// How far the count may rise above the constant-width one when the young tree
/// stood in the shade. Chosen: the mirror of the constant-area rule, which can
/// halve it; Villalba and Veblen 1997 warn of 10 to 20 years in one centimeter
/// of a slow conifer, so even this is no bound.
const SHADED_START: f64 = 2.0;

/// Least doubt about the number, in rings, either way: the broken inner edge
/// cuts through a ring. Chosen.
const LEAST_DOUBT: f64 = 1.0;

/// Share of the face's radius above which single ages are known to be far off
/// (Norton, Palmer and Ogden 1987: mean error within 10 % when the core covers
/// 90 % of the radius).
const MUCH_MISSING: f64 = 0.10;

/// A heart that is rotten, hollow or outside the photo. All lengths in one
/// unit, millimeters or pixels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MissingHeart<'a> {
    /// From the pith to the first ring that can be counted.
    pub radius: f64,
    /// One standard deviation of `radius`.
    pub radius_sd: f64,
    /// Widths of the sound rings, pith side first.
    pub inner_widths: &'a [f64],
    /// How many of them, from the inside, show how wide the missing rings
    /// were. 5, 10 and 20 are the usual choices; Rozas 2003 tested 20.
    pub inner_rings: usize,
    /// Radius of the whole face, where known: it decides on a warning.
    pub face_radius: Option<f64>,
}

/// Missing rings if they were as wide as the innermost sound ones: missing
/// radius over mean width (Baker et al. 2005, Ecological Monographs 75:
/// 317–343, appendix B).
#[must_use]
pub fn rings_at_constant_width(radius: f64, mean_width: f64) -> Option<f64> {
    (radius >= 0.0 && mean_width > 0.0).then(|| radius / mean_width)
}

/// Missing rings if the tree laid down the same area each year as in the
/// innermost `rings` sound rings, which fill a band `band` wide: n r² / ((r +
/// W)² − r²). Our own; always under half the constant-width count.
#[must_use]
pub fn rings_at_constant_area(radius: f64, band: f64, rings: usize) -> Option<f64> {
    let area = (radius + band).powi(2) - radius * radius;
    (radius >= 0.0 && band > 0.0).then(|| rings as f64 * radius * radius / area)
}

/// Rings that the missing heart held, with a 90 % range.
///
/// # Errors
/// [`GrowthError::NotALength`] for a radius that is negative or no number,
/// [`GrowthError::NoInnerRings`] when no sound ring has a width.
///
/// # Method
/// Best: constant width. Low: constant area, with the radius at the low end of
/// its own range. High: twice the constant width, with the radius at its high
/// end. The range is a judgment (see the constants), wide on purpose.
pub fn rings_missing(heart: &MissingHeart<'_>) -> Result<Estimate, GrowthError> {
    let radius = heart.radius;
    if !(radius.is_finite() && radius >= 0.0) {
        return Err(GrowthError::NotALength {
            what: "missing radius",
            value: radius,
        });
    }
    let doubt = if heart.radius_sd.is_finite() {
        Z_90 * heart.radius_sd.abs()
    } else {
        radius
    };
    let used = heart.inner_rings.clamp(1, heart.inner_widths.len().max(1));
    let inner = heart
        .inner_widths
        .get(..used)
        .ok_or(GrowthError::NoInnerRings)?;
    let mean_width = mean(inner)
        .filter(|width| width.is_finite() && *width > 0.0)
        .ok_or(GrowthError::NoInnerRings)?;
    let band = mean_width * used as f64;
    let best = rings_at_constant_width(radius, mean_width).unwrap_or(0.0);
    let least = rings_at_constant_area((radius - doubt).max(0.0), band, used).unwrap_or(0.0);
    let most = rings_at_constant_width(radius + doubt, mean_width).unwrap_or(best);
    let low = least.min(best - LEAST_DOUBT).max(0.0);
    let high = (SHADED_START * most).max(best + LEAST_DOUBT);
    let part = AgePart {
        what: AgePartKind::MissingPith,
        best: Years(best),
        low: Years(low),
        high: Years(high),
        how: format!(
            "estimated from the {used} innermost sound rings; the missing radius over their mean \
             width (Baker and others 2005); low if the young tree grew the same area each year, high if it stood \
             in the shade (our judgment)"
        ),
    };
    let mut cautions = Vec::new();
    if let Some(face) = heart.face_radius.filter(|face| *face > 0.0) {
        let share = radius / face;
        if share > MUCH_MISSING {
            cautions.push(caution(
                "much-heart-missing",
                format!(
                    "{:.0} % of the radius is missing at the heart: the age may be off by more than \
                     10 percent; the tree is at least as old as the rings counted",
                    100.0 * share
                ),
            ));
        }
    }
    Ok(Estimate { part, cautions })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heart(radius: f64, radius_sd: f64, inner_widths: &[f64]) -> MissingHeart<'_> {
        MissingHeart {
            radius,
            radius_sd,
            inner_widths,
            inner_rings: 10,
            face_radius: Some(200.0),
        }
    }

    #[test]
    fn the_range_brackets_fast_and_slow_starts() {
        let estimate = rings_missing(&heart(25.0, 1.0, &[2.5; 30])).unwrap();
        let part = &estimate.part;
        assert!((part.best.0 - 10.0).abs() < 1e-9);
        assert!(part.low.0 < 4.0 && part.high.0 > 20.0, "{part:?}");
        assert!(part.how.contains("10 innermost"));
        assert_eq!(estimate.cautions[0].about, "much-heart-missing");
    }

    #[test]
    fn a_pith_that_is_only_just_missing_costs_about_one_ring() {
        let estimate = rings_missing(&heart(0.0, 0.2, &[2.0; 3])).unwrap();
        assert!(estimate.part.low.0.abs() < 1e-12);
        assert!((estimate.part.high.0 - 1.0).abs() < 1e-9);
        assert!(estimate.cautions.is_empty());
    }

    #[test]
    fn nothing_to_go_by_is_an_error_and_not_a_number() {
        for widths in [&[][..], &[0.0], &[f64::NAN]] {
            assert_eq!(
                rings_missing(&heart(10.0, 1.0, widths)),
                Err(GrowthError::NoInnerRings)
            );
        }
        assert!(rings_missing(&heart(-1.0, 1.0, &[1.0])).is_err());
        assert!(rings_missing(&heart(f64::NAN, 1.0, &[1.0])).is_err());
        assert!(rings_missing(&heart(5.0, f64::INFINITY, &[1.0])).is_ok());
    }
}
