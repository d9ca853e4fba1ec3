//! How far a reading is, and breaking it off.

use std::ops::ControlFlow;

/// Called with how far a long reading is, 0 to 1; may break it off between two steps.
pub type Watch<'a> = &'a dyn Fn(f32) -> ControlFlow<()>;

/// A reading was broken off; nothing of it is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the reading was broken off")]
pub struct BrokenOff;

/// Reports how far a reading is.
pub(crate) fn report_progress(watch: Watch<'_>, share: f32) -> Result<(), BrokenOff> {
    match watch(share) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(BrokenOff),
    }
}

/// Nobody watches.
pub(crate) const UNWATCHED: Watch<'static> = &|_| ControlFlow::Continue(());
