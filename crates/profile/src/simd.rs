//! Loops over many values in the widest vectors that the processor has.

use fearless_simd::{Level, dispatch};

/// Runs `work`, compiled for the widest vectors of the processor, which is asked
/// when the program runs. Only code that is inlined into `work` gains: mark what it
/// calls `#[inline(always)]`. Sums come out the same: nothing is multiplied and
/// added in one step unless `work` says so.
#[inline]
pub(crate) fn with_simd<R>(work: impl FnOnce() -> R) -> R {
    dispatch!(Level::new(), _ => work())
}
