//! What the rings say about the tree: years, increments, decades, releases,
//! and an age with an honest range. Charts of all this are in `chart`.
//!
//! In: rings and counts in the words of `wood`, and what the person knows.
//! Out: dated rings, growth figures, an age as a distribution. Never: a photo, a file, a clock; "today" is an argument.
//!
//! Widths run from the pith outward in every function here.

pub mod missing_pith;
pub mod radii;
pub mod series;

mod age;
mod breast_height;
mod cut_height;
mod dating;
mod decades;
mod diameter;
mod error;
mod estimate;
mod events;
mod figures;
mod heart;
mod mean;
mod rings;
mod spread;
mod trend;

pub use age::{AgeInput, LEVEL, age, age_chances};
pub use breast_height::{BREAST_HEIGHT_MM, BreastHeightAge, breast_height_age};
pub use cut_height::years_to_cut;
pub use dating::{Dated, OuterRing, date_rings};
pub use decades::decades;
pub use diameter::{DiameterAtAge, diameter_at_age};
pub use error::GrowthError;
pub use estimate::Estimate;
pub use events::{EventCriteria, events};
pub use figures::figures;
pub use heart::unread_heart;
pub use mean::{MeanGrowth, describe, mean_growth, years_of_growth};
pub use rings::{Widths, widths};
pub use trend::{AgeTrend, TrendKind, age_trend};
