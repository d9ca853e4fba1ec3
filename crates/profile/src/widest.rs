//! Loops over many values in the widest vectors that the processor has.

use fearless_simd::{Level, dispatch};

/// Runs `work`, built for the widest vectors that the processor has, which is asked
/// as the program runs. Only what is inlined into it gains: mark it and what it
/// calls `#[inline(always)]`. Sums come out the same: nothing is multiplied and
/// added in one step unless `work` says so.
#[inline]
pub(crate) fn widest<R>(work: impl FnOnce() -> R) -> R {
    dispatch!(Level::new(), _ => work())
}
