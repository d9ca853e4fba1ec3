//! How a run went: what is said at its end, and its exit code.

use super::results::Known;
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;

/// Failures that are listed one by one; a results file has them all.
const MOST_LISTED: usize = 200;

/// A run so far.
#[derive(Debug)]
pub(super) struct Tally {
    outcome: Outcome,
    read: usize,
    unreadable: usize,
    unchanged: usize,
    in_results: usize,
    failed: usize,
    failures: Vec<CommandError>,
    printed: bool,
}

impl Tally {
    pub(super) fn new() -> Self {
        Self {
            outcome: Outcome::Read,
            read: 0,
            unreadable: 0,
            unchanged: 0,
            in_results: 0,
            failed: 0,
            failures: Vec::new(),
            printed: false,
        }
    }

    /// A reading was made, or kept where nothing had changed.
    pub(super) fn reading(&mut self, readable: bool, unchanged: bool) {
        if unchanged {
            self.unchanged += 1;
        } else {
            self.read += 1;
        }
        if !readable {
            self.unreadable += 1;
            self.outcome = self.outcome.max(Outcome::Unreadable);
        }
    }

    /// A photo whose line the file of results had.
    pub(super) fn known(&mut self, known: Known) {
        self.in_results += 1;
        self.outcome = self.outcome.max(match known {
            Known::Read => Outcome::Read,
            Known::Unreadable => Outcome::Unreadable,
            Known::Failed => Outcome::Failed,
        });
    }

    /// A photo that could not be read.
    pub(super) fn failure(&mut self, error: CommandError) {
        self.outcome = self.outcome.max(Outcome::Failed);
        self.failed += 1;
        if self.failures.len() < MOST_LISTED {
            self.failures.push(error);
        }
    }

    /// Whether nothing was printed before; it is from now on.
    pub(super) fn is_first_printed(&mut self) -> bool {
        !std::mem::replace(&mut self.printed, true)
    }

    /// Says how it went, the failures last, and gives the outcome.
    pub(super) fn finish(self, with_results: bool) -> Outcome {
        if with_results {
            say::note(&format!(
                "stumpbook: {} read now ({} of them without rings), {} unchanged, {} in the results already, {} failed",
                self.read, self.unreadable, self.unchanged, self.in_results, self.failed
            ));
        } else if self.unchanged > 0 {
            say::note(&format!(
                "stumpbook: {} unchanged since the last time and not read again (--again reads them)",
                self.unchanged
            ));
        }
        if self.failed > self.failures.len() {
            let more = self.failed - self.failures.len();
            say::note(&format!("stumpbook: the first failures; {more} more"));
        }
        say::failures(&self.failures);
        self.outcome
    }
}
