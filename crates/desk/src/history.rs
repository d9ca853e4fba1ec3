//! Undo and redo: every state of facts and marks, kept beside the entry so
//! that they outlast the program.

use entry::{EntryError, add_step, load_steps, steps_beside};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};
use wood::{Facts, Marks};

/// What a person told and marked at one time.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
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

/// One line of the file: what was done, and what stood after it.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Line {
    /// What stood when the file was begun.
    Began(Said),
    Did(String, Said),
    Undid,
    Redid,
}

/// The steps that can be undone and done again, without an end.
#[derive(Debug, Default)]
pub(crate) struct History {
    undo: Vec<Step>,
    redo: Vec<Step>,
    /// Where the steps are kept; `None` until there is a first one.
    kept: Option<PathBuf>,
}

/// What is said of a change that no desk made.
const ELSEWHERE: &str = "what another program wrote";

impl History {
    /// The steps kept beside an entry in which `now` stands. A step that the
    /// program was killed in, before its mark was saved, can be done again.
    ///
    /// # Errors
    /// When there is a file of steps that cannot be read.
    pub(crate) fn load(entry: &Path, now: &Said) -> Result<Self, EntryError> {
        let path = steps_beside(entry);
        let lines = load_steps(&path)?;
        let mut history = Self::default();
        let mut said: Option<Said> = None;
        // A line that is not understood is passed over: each tells what stood after it.
        for line in lines
            .iter()
            .filter_map(|line| serde_json::from_str(line).ok())
        {
            said = history.replayed(line, said);
        }
        history.kept = said.is_some().then_some(path);
        if let Some(said) = said
            && said != *now
        {
            history.meet(said, now);
        }
        Ok(history)
    }

    /// What stands after one more line of the file.
    fn replayed(&mut self, line: Line, said: Option<Said>) -> Option<Said> {
        let before = said.unwrap_or_default();
        Some(match line {
            Line::Began(said) => {
                self.undo.clear();
                self.redo.clear();
                said
            }
            Line::Did(what, after) => {
                self.push(before, &what);
                after
            }
            Line::Undid => self.undo(before.clone()).map_or(before, |(said, _)| said),
            Line::Redid => self.redo(before.clone()).map_or(before, |(said, _)| said),
        })
    }

    /// Brings the steps, which end at `said`, to what the entry says.
    fn meet(&mut self, said: Said, now: &Said) {
        if self.undo.last().is_some_and(|step| step.said == *now) {
            self.undo(said);
        } else if self.redo.last().is_some_and(|step| step.said == *now) {
            self.redo(said);
        } else {
            self.push(said, ELSEWHERE);
        }
    }

    fn push(&mut self, before: Said, what: &str) {
        self.redo.clear();
        self.undo.push(Step {
            said: before,
            what: what.to_owned(),
        });
    }

    /// Notes a step from `before` to `after`.
    pub(crate) fn note(&mut self, before: Said, what: &str) {
        self.push(before, what);
    }

    /// Notes what another program wrote.
    pub(crate) fn note_elsewhere(&mut self, before: Said) {
        self.push(before, ELSEWHERE);
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

    /// Keeps the step that was noted last, after which `after` stands.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn keep_noted(&mut self, entry: &Path, after: &Said) -> Result<(), EntryError> {
        let Some(step) = self.undo.last() else {
            return Ok(());
        };
        let line = Line::Did(step.what.clone(), after.clone());
        let began = Line::Began(step.said.clone());
        self.keep(entry, Some(&began), &line)
    }

    /// Keeps that the last step was undone.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn keep_undone(&mut self, entry: &Path) -> Result<(), EntryError> {
        self.keep(entry, None, &Line::Undid)
    }

    /// Keeps that a step was done again.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn keep_redone(&mut self, entry: &Path) -> Result<(), EntryError> {
        self.keep(entry, None, &Line::Redid)
    }

    fn keep(&mut self, entry: &Path, began: Option<&Line>, line: &Line) -> Result<(), EntryError> {
        let path = steps_beside(entry);
        let text = |line: &Line| {
            serde_json::to_string(line).map_err(|source| EntryError::NoJson {
                path: path.clone(),
                source,
            })
        };
        if self.kept.as_ref() != Some(&path)
            && let Some(began) = began
        {
            add_step(&path, &text(began)?)?;
        }
        add_step(&path, &text(line)?)?;
        self.kept = Some(path);
        Ok(())
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

    /// The desk is killed and started again: undo and redo are as they were.
    #[test]
    fn steps_outlast_the_program() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::load(&entry, &said("a")).unwrap();
        history.note(said("a"), "b told");
        history.keep_noted(&entry, &said("b")).unwrap();
        history.note(said("b"), "c told");
        history.keep_noted(&entry, &said("c")).unwrap();
        assert_eq!(history.undo(said("c")).unwrap().0, said("b"));
        history.keep_undone(&entry).unwrap();

        let mut again = History::load(&entry, &said("b")).unwrap();
        assert_eq!(
            (again.last(), again.next()),
            (Some("b told"), Some("c told"))
        );
        assert_eq!(again.redo(said("b")).unwrap().0, said("c"));
        again.keep_redone(&entry).unwrap();

        let mut third = History::load(&entry, &said("c")).unwrap();
        assert_eq!(third.undo(said("c")).unwrap().0, said("b"));
        assert_eq!(third.undo(said("b")).unwrap().0, said("a"));
        assert!(third.undo(said("a")).is_none());
    }

    /// Killed between the two files, or changed by `count` while no desk ran.
    #[test]
    fn steps_meet_what_the_entry_says() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::default();
        history.note(said("a"), "b told");
        history.keep_noted(&entry, &said("b")).unwrap();

        let unsaved = History::load(&entry, &said("a")).unwrap();
        assert_eq!((unsaved.last(), unsaved.next()), (None, Some("b told")));
        let mut elsewhere = History::load(&entry, &said("z")).unwrap();
        assert_eq!(elsewhere.last(), Some(ELSEWHERE));
        assert_eq!(elsewhere.undo(said("z")).unwrap().0, said("b"));
    }

    #[test]
    fn a_file_that_is_no_history_begins_anew() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        std::fs::write(steps_beside(&entry), "[1, 2]\nwhat\n").unwrap();
        let mut history = History::load(&entry, &said("a")).unwrap();
        assert_eq!(history.last(), None);
        history.note(said("a"), "b told");
        history.keep_noted(&entry, &said("b")).unwrap();
        assert_eq!(
            History::load(&entry, &said("b")).unwrap().last(),
            Some("b told")
        );
    }
}
