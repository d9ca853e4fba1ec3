//! Published figures of a series of ring widths, as plain arithmetic.
//!
//! Widths are given pith first, in one unit, not negative; a result carries
//! the same unit or none. `None` means that the figure is not defined for the
//! series (too short, or nothing but zeros).

mod area;
mod change;
mod handbook;
mod variability;

pub use area::{
    basal_area_increments, constant_area_width, diameter_at_age, diameter_growth_per_decade,
};
pub use change::{
    absolute_increase, growth_changes, mean_absolute_increase, percent_growth_change,
};
pub use handbook::{
    BARK_FACTOR, BARK_FACTOR_SPREAD, compound_percent, dbh_from_profile, dbh_from_stump,
    inside_over_outside_bark, mm_to_rings_per_inch, outside_bark, periodic_area_growth_percent,
    pressler_percent, rings_per_inch_to_mm, schneider_percent, years_to_diameter,
};
pub use variability::{
    autocorrelation, gini, mean_sensitivity, mean_sensitivity_2, pearson_lag1, standard_deviation,
    variation,
};
