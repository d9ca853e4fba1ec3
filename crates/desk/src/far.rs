//! How far a long reading is, and breaking it off: asked from other threads
//! while it runs.

use crate::fault::Fault;
use axum::http::StatusCode;
use reader::{BrokenOff, Watch};
use serde::Serialize;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// How far the long reading of one stump is.
#[derive(Debug, Default)]
pub(crate) struct Far {
    runs: AtomicBool,
    percent: AtomicU32,
    stop: AtomicBool,
}

/// What the page is told.
#[derive(Debug, Serialize)]
pub(crate) struct Told {
    /// Whether a long reading runs.
    runs: bool,
    /// How far it is.
    percent: u32,
}

impl Far {
    pub(crate) fn told(&self) -> Told {
        Told {
            runs: self.runs.load(Ordering::SeqCst),
            percent: self.percent.load(Ordering::SeqCst),
        }
    }

    /// Breaks the reading off that runs now; whether one ran.
    pub(crate) fn stop(&self) -> bool {
        let runs = self.runs.load(Ordering::SeqCst);
        if runs {
            self.stop.store(true, Ordering::SeqCst);
        }
        runs
    }

    /// Runs a reading that can be watched.
    pub(crate) fn watch<T>(
        &self,
        read: impl FnOnce(Watch<'_>) -> Result<T, BrokenOff>,
    ) -> Result<T, Fault> {
        self.percent.store(0, Ordering::SeqCst);
        self.stop.store(false, Ordering::SeqCst);
        self.runs.store(true, Ordering::SeqCst);
        let done = read(&|share| {
            self.percent.store((100.0 * share) as u32, Ordering::SeqCst);
            if self.stop.load(Ordering::SeqCst) {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
        self.runs.store(false, Ordering::SeqCst);
        done.map_err(|BrokenOff| {
            Fault::new(
                StatusCode::GONE,
                "the reading was stopped, and what was marked last is as it was before",
                "mark it again, or open the stump again, when there is time",
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_is_stopped_only_while_it_runs() {
        let far = Far::default();
        assert!(!far.stop(), "nothing runs");
        let done = far.watch(|watch| {
            assert!(watch(0.3).is_continue());
            assert_eq!((far.told().runs, far.told().percent), (true, 30));
            assert!(far.stop());
            match watch(0.5) {
                ControlFlow::Break(()) => Err(BrokenOff),
                ControlFlow::Continue(()) => Ok(()),
            }
        });
        assert!(done.is_err());
        assert!(
            far.watch(|watch| Ok(watch(0.1)))
                .is_ok_and(|how| how.is_continue())
        );
    }
}
