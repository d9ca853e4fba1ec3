//! Published figures of a series of ring widths, as plain arithmetic.
//!
//! Widths are given pith first, in one unit, not negative; a result carries
//! the same unit or none. `None` means that the figure is not defined for the
//! series (too short, or nothing but zeros).

mod area;
mod change;
mod handbook;
mod variability;

pub use area::basal_area_increments;
pub use change::{growth_changes, percent_growth_change};
pub use handbook::{
    BARK_FACTOR, mm_to_rings_per_inch, rings_in_outer, schneider_percent, years_to_diameter,
};
pub use variability::{autocorrelation, gini, mean_sensitivity, standard_deviation, variation};
