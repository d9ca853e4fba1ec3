//! Stumps check each other: published statistics of how two series agree, and
//! a search for the place where one of them slipped by a ring.

mod agreement;
mod departure;
mod signal;
mod slips;
mod transform;
mod verdict;
mod whole;

pub use agreement::{ParallelVariation, parallel_variation, t_value};
pub use departure::{Departure, Window};
pub use signal::{expressed_population_signal, mean_correlation};
pub use slips::Shift;
pub use transform::{Series, baillie_pilcher};
pub use verdict::Verdict;
pub use whole::{CheckCriteria, Checked, Pair, check};

#[cfg(test)]
mod tests;
