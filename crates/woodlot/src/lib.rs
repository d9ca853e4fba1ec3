//! Many stumps: the book of a woodlot, its good and bad years, stumps that
//! check each other, and the age of the trees that still stand.
//!
//! In: stumps, or the one file of a book. Out: the book's stumps, and reports
//! as plain values. Never: a photo, a clock of its own (SQLite's stamps the
//! entries), or any printing. Only [`Book`] touches a file; the reports are
//! pure functions of [`Tree`]s.

mod book;
mod check;
mod error;
mod standing;
mod tree;
mod years;

pub use book::{Added, BOOK_FORMAT, Book, Memory, NewStump, StoredStump};
pub use check::{
    CheckCriteria, Checked, Departure, Pair, ParallelVariation, Series, Shift, Verdict, Window,
    baillie_pilcher, check, expressed_population_signal, mean_correlation, parallel_variation,
    t_value,
};
pub use error::BookError;
pub use standing::{
    Curve, LeftOut, Standing, StandingError, StandingQuestion, curves, growth_factor, left_out,
    standing_age, years_to_size,
};
pub use tree::{Tree, tree};
pub use years::{
    Around, DecadeMean, Detrending, YearMean, Years, against_trend, around, smoothing_spline, years,
};
