//! Good and bad years: each stump against its own age trend, averaged by year.

mod around;
mod chronology;
mod spline;

pub use around::{Around, around};
pub use chronology::{DecadeMean, Detrending, YearMean, Years, against_trend, years};
pub use spline::smoothing_spline;

#[cfg(test)]
mod tests;
