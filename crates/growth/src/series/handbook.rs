//! Formulas of the forester's handbooks.

use wood::Mm;
use wood::stats::mean;

/// Diameter inside bark over diameter outside bark where the bark was not
/// measured. A judgment from a few published means (0.90 to 0.92).
pub const BARK_FACTOR: f64 = 0.90;

/// By how much [`BARK_FACTOR`] may be off either way. A judgment.
pub const BARK_FACTOR_SPREAD: f64 = 0.04;

/// Schneider's growth percent a year: 400 / (n D), with D the diameter and n
/// the rings in the outermost inch of radius (both in inches) or centimeter
/// (both in centimeters). Rough by its own account (The Tree Book, 1912).
#[must_use]
pub fn schneider_percent(diameter: f64, rings_in_outer_unit: f64) -> Option<f64> {
    let product = diameter * rings_in_outer_unit;
    (product > 0.0).then(|| 400.0 / product)
}

/// Pressler's growth percent a year from a size before and after `years`
/// (form from memory).
#[must_use]
pub fn pressler_percent(before: f64, after: f64, years: f64) -> Option<f64> {
    let sum = before + after;
    (sum > 0.0 && years > 0.0).then(|| 200.0 / years * (after - before) / sum)
}

/// The yearly percent that, compounded, leads from `before` to `after`.
#[must_use]
pub fn compound_percent(before: f64, after: f64, years: f64) -> Option<f64> {
    (before > 0.0 && after > 0.0 && years > 0.0)
        .then(|| 100.0 * ((after / before).powf(1.0 / years) - 1.0))
}

/// Rings per inch of radius at this mean width; `None` for no width.
#[must_use]
pub fn mm_to_rings_per_inch(width: Mm) -> Option<f64> {
    (width.0 > 0.0).then(|| Mm::PER_INCH / width.0)
}

/// Mean width at this many rings per inch; `None` for none.
#[must_use]
pub fn rings_per_inch_to_mm(rings_per_inch: f64) -> Option<Mm> {
    (rings_per_inch > 0.0).then(|| Mm(Mm::PER_INCH / rings_per_inch))
}

/// Years until a diameter is reached if today's ring width holds: 0 when it is
/// reached already, `None` without growth.
#[must_use]
pub fn years_to_diameter(now: Mm, target: Mm, ring_width: Mm) -> Option<f64> {
    (ring_width.0 > 0.0).then(|| ((target.0 - now.0) / (2.0 * ring_width.0)).max(0.0))
}

/// Share of today's basal area, in percent, laid down since the diameters were
/// `earlier`: pairs of (diameter now, diameter then), both inside bark.
///
/// # Method
/// 100 (1 − mean((d/D)²)): Southern regional forester's handbook. Growth on
/// the earlier base is larger.
#[must_use]
pub fn periodic_area_growth_percent(now_and_earlier: &[(f64, f64)]) -> Option<f64> {
    let ratios: Option<Vec<f64>> = now_and_earlier
        .iter()
        .map(|&(now, earlier)| (now > 0.0).then(|| (earlier / now).powi(2)))
        .collect();
    Some(100.0 * (1.0 - mean(&ratios?)?))
}

/// Diameter at breast height (4.5 ft, outside bark) from the stump's diameter
/// inside bark: the same number. Rule of thumb (Beck, Teeguarden and Hall
/// 1966, California Forestry and Forest Products 44).
#[must_use]
pub fn dbh_from_stump(stump_inside_bark: Mm) -> Mm {
    stump_inside_bark
}

/// Diameter at breast height from a diameter outside bark at `height_ft`, with
/// the species' coefficient `b`.
///
/// # Method
/// d(h) = DBH + b · DBH (4.5 − h)/(h + 1), turned round: Raile 1982, Estimating
/// stump volume, USDA Forest Service NC-224 (form from memory; the tables of
/// coefficients could not be read, so none is built in).
#[must_use]
pub fn dbh_from_profile(diameter_outside_bark: Mm, height_ft: f64, b: f64) -> Option<Mm> {
    const BREAST_HEIGHT_FT: f64 = 4.5;
    if height_ft <= -1.0 {
        return None;
    }
    let factor = 1.0 + b * (BREAST_HEIGHT_FT - height_ft) / (height_ft + 1.0);
    (factor > 0.0).then(|| diameter_outside_bark * (1.0 / factor))
}

/// Diameter inside bark over diameter outside bark, from the bark's thickness.
#[must_use]
pub fn inside_over_outside_bark(outside: Mm, bark: Mm) -> Option<f64> {
    (outside.0 > 0.0 && 2.0 * bark.0 < outside.0).then(|| (outside.0 - 2.0 * bark.0) / outside.0)
}

/// Diameter outside bark from the one inside and a bark factor.
#[must_use]
pub fn outside_bark(inside: Mm, factor: f64) -> Option<Mm> {
    (factor > 0.0 && factor <= 1.0).then(|| inside * (1.0 / factor))
}
