//! Undo and redo: every state of facts and marks since the desk was opened.

use wood::{Facts, Marks};

/// What a person told and marked at one time.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Said {
    pub(crate) facts: Facts,
    pub(crate) marks: Marks,
}

/// A step, and what stood before or after it.
#[derive(Debug, Clone)]
struct Step {
    said: Said,
    what: String,
}

/// The steps that can be undone and done again, without an end.
#[derive(Debug, Default)]
pub(crate) struct History {
    undo: Vec<Step>,
    redo: Vec<Step>,
}

impl History {
    /// Notes a step: `before` is what stood before it.
    pub(crate) fn note(&mut self, before: Said, what: &str) {
        self.redo.clear();
        self.undo.push(Step {
            said: before,
            what: what.to_owned(),
        });
    }

    /// What stands after undoing the last step, and what that step was.
    pub(crate) fn undo(&mut self, now: Said) -> Option<(Said, String)> {
        turn(&mut self.undo, &mut self.redo, now)
    }

    /// What stands after doing the step again that was undone last.
    pub(crate) fn redo(&mut self, now: Said) -> Option<(Said, String)> {
        turn(&mut self.redo, &mut self.undo, now)
    }

    /// What would be undone.
    pub(crate) fn last(&self) -> Option<&str> {
        self.undo.last().map(|step| step.what.as_str())
    }

    /// What would be done again.
    pub(crate) fn next(&self) -> Option<&str> {
        self.redo.last().map(|step| step.what.as_str())
    }
}

fn turn(from: &mut Vec<Step>, to: &mut Vec<Step>, now: Said) -> Option<(Said, String)> {
    let step = from.pop()?;
    to.push(Step {
        said: now,
        what: step.what.clone(),
    });
    Some((step.said, step.what))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(note: &str) -> Said {
        Said {
            facts: Facts {
                note: Some(note.into()),
                ..Facts::default()
            },
            marks: Marks::default(),
        }
    }

    #[test]
    fn steps_are_undone_and_done_again_in_order() {
        let mut history = History::default();
        for number in 0..500 {
            history.note(said(&number.to_string()), "a note");
        }
        let mut now = said("500");
        for number in (0..500).rev() {
            let (before, _) = history.undo(now).unwrap();
            assert_eq!(before, said(&number.to_string()));
            now = before;
        }
        assert!(history.undo(now.clone()).is_none());
        for number in 1..=500 {
            let (after, _) = history.redo(now).unwrap();
            assert_eq!(after, said(&number.to_string()));
            now = after;
        }
        assert!(history.redo(now).is_none());
    }

    #[test]
    fn a_new_step_ends_what_could_be_done_again() {
        let mut history = History::default();
        history.note(said("a"), "first");
        assert!(history.undo(said("b")).is_some());
        assert_eq!(history.next(), Some("first"));
        history.note(said("a"), "second");
        assert_eq!(history.next(), None);
        assert_eq!(history.last(), Some("second"));
    }
}
