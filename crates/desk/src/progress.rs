//! How far a long reading has come, and stopping it: asked from other threads
//! while it runs.

use crate::error::ApiError;
use axum::http::StatusCode;
use reader::{BrokenOff, Watch};
use serde::Serialize;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

/// The progress of one stump's long reading.
#[derive(Debug, Default)]
pub(crate) struct Progress {
    running: AtomicBool,
    percent: AtomicU32,
    stop: AtomicBool,
}

/// What the page gets.
#[derive(Debug, Serialize)]
pub(crate) struct ProgressBody {
    /// Whether a long reading is running.
    running: bool,
    /// How much of it is done.
    percent: u32,
}

impl Progress {
    pub(crate) fn now(&self) -> ProgressBody {
        ProgressBody {
            running: self.running.load(Ordering::SeqCst),
            percent: self.percent.load(Ordering::SeqCst),
        }
    }

    /// Stops the reading that is running now; whether there was one.
    pub(crate) fn stop(&self) -> bool {
        let running = self.running.load(Ordering::SeqCst);
        if running {
            self.stop.store(true, Ordering::SeqCst);
        }
        running
    }

    /// Runs a reading that reports its progress and can be stopped.
    pub(crate) fn track<T>(
        &self,
        read: impl FnOnce(Watch<'_>) -> Result<T, BrokenOff>,
    ) -> Result<T, ApiError> {
        self.percent.store(0, Ordering::SeqCst);
        self.stop.store(false, Ordering::SeqCst);
        self.running.store(true, Ordering::SeqCst);
        let done = read(&|share| {
            self.percent.store((100.0 * share) as u32, Ordering::SeqCst);
            if self.stop.load(Ordering::SeqCst) {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
        self.running.store(false, Ordering::SeqCst);
        done.map_err(|BrokenOff| {
            ApiError::new(
                StatusCode::GONE,
                "the reading was stopped, and the last mark was taken back",
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
        let progress = Progress::default();
        assert!(!progress.stop(), "nothing is running");
        let done = progress.track(|watch| {
            assert!(watch(0.3).is_continue());
            let now = progress.now();
            assert_eq!((now.running, now.percent), (true, 30));
            assert!(progress.stop());
            match watch(0.5) {
                ControlFlow::Break(()) => Err(BrokenOff),
                ControlFlow::Continue(()) => Ok(()),
            }
        });
        assert!(done.is_err());
        assert!(
            progress
                .track(|watch| Ok(watch(0.1)))
                .is_ok_and(|how| how.is_continue())
        );
    }
}
