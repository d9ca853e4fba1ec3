//! Undo and redo: every state of facts and marks, saved beside the entry so
//! that they outlast the program.

use entry::{EntryError, add_step, load_steps, steps_beside};
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};
use wood::{Facts, Marks};

/// What a person entered: the facts and the marks at one time.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct Input {
    pub(crate) facts: Facts,
    pub(crate) marks: Marks,
}

/// A step, and what stood before or after it.
#[derive(Debug, Clone)]
struct Step {
    input: Input,
    what: String,
}

/// One line of the file: what was done, and what stood after it.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Line {
    /// What stood when the file was begun.
    Began(Input),
    Did(String, Input),
    Undid,
    Redid,
}

/// The steps that can be undone and redone, without an end. The newest are held
/// in memory, and all of them in the file.
#[derive(Debug, Default)]
pub(crate) struct History {
    undo: Steps,
    redo: Steps,
    /// Where the steps are saved; `None` until there is a first one.
    kept: Option<PathBuf>,
    /// What the file does not have yet: how the entry came to be as it was found.
    unsaved: Option<Line>,
}

/// How many steps are held in memory, each way: more than a person undoes in a
/// row, and little beside a photo.
const HELD: usize = 100;

/// Steps, the newest last.
#[derive(Debug, Default)]
struct Steps {
    held: VecDeque<Step>,
    /// How many older ones are in the file alone.
    older: usize,
}

impl Steps {
    fn push(&mut self, step: Step) {
        self.held.push_back(step);
    }

    fn clear(&mut self) {
        *self = Self::default();
    }

    fn last(&self) -> Option<&Step> {
        self.held.back()
    }

    /// Lets go of the oldest.
    fn shorten(&mut self) {
        let over = self.held.len().saturating_sub(HELD);
        self.held.drain(..over);
        self.older += over;
    }

    /// Whether the newest is in the file alone.
    fn used_up(&self) -> bool {
        self.held.is_empty() && self.older > 0
    }

    /// Takes the older ones, where they are needed, from all that the file has;
    /// a file that has fewer has lost them.
    fn fetch(&mut self, mut all: Self) {
        if !self.used_up() {
            return;
        }
        if all.held.len() >= self.older {
            all.held.truncate(self.older);
            *self = all;
            self.shorten();
        } else {
            self.older = 0;
        }
    }
}

/// What is input of a change that no desk made.
const ELSEWHERE: &str = "what another program wrote";

impl From<entry::Sidecar> for Input {
    fn from(kept: entry::Sidecar) -> Self {
        Self {
            facts: kept.facts,
            marks: kept.marks,
        }
    }
}

impl History {
    /// The steps saved beside an entry in which `now` stands. A step that the
    /// program was killed in, before its mark was saved, can be redone.
    ///
    /// # Errors
    /// When there is a file of steps that cannot be read.
    pub(crate) fn load(entry: &Path, now: &Input) -> Result<Self, EntryError> {
        let (mut history, input) = Self::from_file(&steps_beside(entry))?;
        if let Some(input) = input
            && input != *now
        {
            history.reconcile(input, now);
        }
        history.shorten();
        Ok(history)
    }

    /// Every step of a file, and what stands after the last.
    fn from_file(path: &Path) -> Result<(Self, Option<Input>), EntryError> {
        let mut history = Self::default();
        let mut input: Option<Input> = None;
        // A line that is not understood is skipped: each has the whole state after it.
        for line in load_steps(path)?
            .iter()
            .filter_map(|line| serde_json::from_str(line).ok())
        {
            input = history.replayed(line, input);
        }
        history.kept = input.is_some().then(|| path.to_owned());
        Ok((history, input))
    }

    fn shorten(&mut self) {
        self.undo.shorten();
        self.redo.shorten();
    }

    /// Fetches older steps from the file where those in memory are used up.
    fn fetch(&mut self) {
        if !(self.undo.used_up() || self.redo.used_up()) {
            return;
        }
        let whole = self
            .kept
            .as_deref()
            .and_then(|path| Self::from_file(path).ok())
            .map(|(whole, _)| whole)
            .unwrap_or_default();
        self.undo.fetch(whole.undo);
        self.redo.fetch(whole.redo);
    }

    /// What stands after one more line of the file.
    fn replayed(&mut self, line: Line, input: Option<Input>) -> Option<Input> {
        let before = input.unwrap_or_default();
        Some(match line {
            Line::Began(input) => {
                self.undo.clear();
                self.redo.clear();
                input
            }
            Line::Did(what, after) => {
                self.push(before, &what);
                after
            }
            Line::Undid => turn(&mut self.undo, &mut self.redo, before.clone())
                .map_or(before, |(input, _)| input),
            Line::Redid => turn(&mut self.redo, &mut self.undo, before.clone())
                .map_or(before, |(input, _)| input),
        })
    }

    /// Brings the steps, which end at `input`, in line with the entry.
    fn reconcile(&mut self, input: Input, now: &Input) {
        let line = if self.undo.last().is_some_and(|step| step.input == *now) {
            Line::Undid
        } else if self.redo.last().is_some_and(|step| step.input == *now) {
            Line::Redid
        } else {
            Line::Did(ELSEWHERE.to_owned(), now.clone())
        };
        self.replayed(line.clone(), Some(input));
        self.unsaved = Some(line);
    }

    fn push(&mut self, before: Input, what: &str) {
        self.redo.clear();
        self.undo.push(Step {
            input: before,
            what: what.to_owned(),
        });
    }

    /// Notes a step from `before` to `after`.
    pub(crate) fn note(&mut self, before: Input, what: &str) {
        self.push(before, what);
        self.shorten();
    }

    /// Notes what another program wrote.
    pub(crate) fn note_elsewhere(&mut self, before: Input) {
        self.note(before, ELSEWHERE);
    }

    /// What stands after undoing the last step, and what that step was.
    pub(crate) fn undo(&mut self, now: Input) -> Option<(Input, String)> {
        let turned = turn(&mut self.undo, &mut self.redo, now);
        self.redo.shorten();
        turned
    }

    /// What stands after doing the step again that was undone last.
    pub(crate) fn redo(&mut self, now: Input) -> Option<(Input, String)> {
        let turned = turn(&mut self.redo, &mut self.undo, now);
        self.undo.shorten();
        turned
    }

    /// What would be undone.
    pub(crate) fn last(&self) -> Option<&str> {
        self.undo.last().map(|step| step.what.as_str())
    }

    /// What would be redone.
    pub(crate) fn next(&self) -> Option<&str> {
        self.redo.last().map(|step| step.what.as_str())
    }

    /// Saves the step that was noted last; `after` is the state after it.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn save_noted(&mut self, entry: &Path, after: &Input) -> Result<(), EntryError> {
        let Some(step) = self.undo.last() else {
            return Ok(());
        };
        let line = Line::Did(step.what.clone(), after.clone());
        let began = Line::Began(step.input.clone());
        self.save(entry, Some(&began), &line)
    }

    /// Saves that the last step was undone.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn save_undone(&mut self, entry: &Path) -> Result<(), EntryError> {
        self.save(entry, None, &Line::Undid)
    }

    /// Saves that a step was redone.
    ///
    /// # Errors
    /// When the file of steps cannot be written.
    pub(crate) fn save_redone(&mut self, entry: &Path) -> Result<(), EntryError> {
        self.save(entry, None, &Line::Redid)
    }

    fn save(&mut self, entry: &Path, began: Option<&Line>, line: &Line) -> Result<(), EntryError> {
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
        if let Some(before) = &self.unsaved {
            add_step(&path, &text(before)?)?;
            self.unsaved = None;
        }
        add_step(&path, &text(line)?)?;
        self.kept = Some(path);
        self.fetch();
        Ok(())
    }
}

fn turn(from: &mut Steps, to: &mut Steps, now: Input) -> Option<(Input, String)> {
    let step = from.held.pop_back()?;
    to.push(Step {
        input: now,
        what: step.what.clone(),
    });
    Some((step.input, step.what))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn input(note: &str) -> Input {
        Input {
            facts: Facts {
                note: Some(note.into()),
                ..Facts::default()
            },
            marks: Marks::default(),
        }
    }

    /// Many more steps than are held in memory, and a restart on the way.
    #[test]
    fn steps_are_undone_and_done_again_in_order() {
        const STEPS: usize = 3 * HELD + 7;
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::default();
        for number in 0..STEPS {
            history.note(input(&number.to_string()), "a note");
            let after = input(&(number + 1).to_string());
            history.save_noted(&entry, &after).unwrap();
            assert!(history.undo.held.len() <= HELD);
        }
        let mut now = input(&STEPS.to_string());
        for number in (0..STEPS).rev() {
            assert_eq!(history.last(), Some("a note"), "{number}");
            let (before, _) = history.undo(now).unwrap();
            history.save_undone(&entry).unwrap();
            assert_eq!(before, input(&number.to_string()));
            assert!(history.redo.held.len() <= HELD);
            now = before;
            if number == STEPS / 2 {
                history = History::load(&entry, &now).unwrap();
            }
        }
        assert!(history.undo(now.clone()).is_none());
        for number in 1..=STEPS {
            let (after, _) = history.redo(now).unwrap();
            history.save_redone(&entry).unwrap();
            assert_eq!(after, input(&number.to_string()));
            now = after;
        }
        assert!(history.redo(now).is_none());
    }

    /// What another program wrote is a step that the file does not have.
    #[test]
    fn older_steps_are_found_below_one_that_was_not_saved() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::default();
        for number in 0..=HELD {
            history.note(input(&number.to_string()), "a note");
            let after = input(&(number + 1).to_string());
            history.save_noted(&entry, &after).unwrap();
        }
        let mut now = input("elsewhere");
        let mut history = History::load(&entry, &now).unwrap();
        for _ in 0..HELD + 2 {
            now = history.undo(now).unwrap().0;
            history.save_undone(&entry).unwrap();
        }
        assert_eq!(now, input("0"));
        let mut again = History::load(&entry, &now).unwrap();
        assert_eq!((again.last(), again.next()), (None, Some("a note")));
        assert_eq!(again.redo(now).unwrap().0, input("1"));
    }

    #[test]
    fn a_new_step_ends_what_could_be_done_again() {
        let mut history = History::default();
        history.note(input("a"), "first");
        assert!(history.undo(input("b")).is_some());
        assert_eq!(history.next(), Some("first"));
        history.note(input("a"), "second");
        assert_eq!(history.next(), None);
        assert_eq!(history.last(), Some("second"));
    }

    /// The desk is killed and started again: undo and redo are as they were.
    #[test]
    fn steps_outlast_the_program() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::load(&entry, &input("a")).unwrap();
        history.note(input("a"), "b set");
        history.save_noted(&entry, &input("b")).unwrap();
        history.note(input("b"), "c set");
        history.save_noted(&entry, &input("c")).unwrap();
        assert_eq!(history.undo(input("c")).unwrap().0, input("b"));
        history.save_undone(&entry).unwrap();

        let mut again = History::load(&entry, &input("b")).unwrap();
        assert_eq!((again.last(), again.next()), (Some("b set"), Some("c set")));
        assert_eq!(again.redo(input("b")).unwrap().0, input("c"));
        again.save_redone(&entry).unwrap();

        let mut third = History::load(&entry, &input("c")).unwrap();
        assert_eq!(third.undo(input("c")).unwrap().0, input("b"));
        assert_eq!(third.undo(input("b")).unwrap().0, input("a"));
        assert!(third.undo(input("a")).is_none());
    }

    /// Killed between the two files, or changed by `count` while no desk ran.
    #[test]
    fn steps_meet_what_the_entry_says() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        let mut history = History::default();
        history.note(input("a"), "b set");
        history.save_noted(&entry, &input("b")).unwrap();

        let unsaved = History::load(&entry, &input("a")).unwrap();
        assert_eq!((unsaved.last(), unsaved.next()), (None, Some("b set")));
        let mut elsewhere = History::load(&entry, &input("z")).unwrap();
        assert_eq!(elsewhere.last(), Some(ELSEWHERE));
        assert_eq!(elsewhere.undo(input("z")).unwrap().0, input("b"));
    }

    #[test]
    fn a_file_that_is_no_history_begins_anew() {
        let folder = tempfile::tempdir().unwrap();
        let entry = folder.path().join("oak.stump.json");
        std::fs::write(steps_beside(&entry), "[1, 2]\nwhat\n").unwrap();
        let mut history = History::load(&entry, &input("a")).unwrap();
        assert_eq!(history.last(), None);
        history.note(input("a"), "b set");
        history.save_noted(&entry, &input("b")).unwrap();
        assert_eq!(
            History::load(&entry, &input("b")).unwrap().last(),
            Some("b set")
        );
    }
}
