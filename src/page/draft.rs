//! A job while it is edited: every state it had, the one that counts, and the one that was saved.

use std::collections::BTreeMap;

/// The most states that are kept for undo.
const MOST_STATES: usize = 400;

/// A job's text with the areas that were drawn for it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DraftState {
    /// The job file's text.
    pub text: String,
    /// Files that were drawn and that the job names, by name: they are not on the disk before the job
    /// is saved.
    pub drawn: BTreeMap<String, String>,
    /// What was done to come here, for undo.
    pub done: String,
}

/// A job with its history.
#[derive(Clone, Debug)]
pub struct Draft {
    states: Vec<DraftState>,
    now: usize,
    saved: String,
}

impl Draft {
    /// A job as it was read.
    #[must_use]
    pub fn new(text: String) -> Self {
        let saved = text.clone();
        let state = DraftState { text, ..DraftState::default() };
        Self { states: vec![state], now: 0, saved }
    }

    /// The state that counts.
    #[must_use]
    pub fn state(&self) -> &DraftState {
        // There always is one: the first is never taken away.
        static NONE: DraftState =
            DraftState { text: String::new(), drawn: BTreeMap::new(), done: String::new() };
        self.states.get(self.now).unwrap_or(&NONE)
    }

    /// The text as it was read or saved last.
    #[must_use]
    pub fn saved(&self) -> &str {
        &self.saved
    }

    /// Whether saving would change anything.
    #[must_use]
    pub fn is_changed(&self) -> bool {
        self.state().text != self.saved
    }

    /// Goes on with a state; what was undone can no longer be redone.
    pub fn put(&mut self, state: DraftState) {
        self.states.truncate(self.now + 1);
        self.states.push(state);
        if self.states.len() > MOST_STATES {
            self.states.remove(0);
        }
        self.now = self.states.len() - 1;
    }

    /// What undo would take back.
    #[must_use]
    pub fn undoable(&self) -> Option<&str> {
        self.before().map(|_| self.state().done.as_str())
    }

    /// What redo would do again.
    #[must_use]
    pub fn redoable(&self) -> Option<&str> {
        self.after().map(|state| state.done.as_str())
    }

    /// The state before, if there is one.
    #[must_use]
    pub fn before(&self) -> Option<&DraftState> {
        self.now.checked_sub(1).and_then(|before| self.states.get(before))
    }

    /// The state that was undone last, if there is one.
    #[must_use]
    pub fn after(&self) -> Option<&DraftState> {
        self.states.get(self.now + 1)
    }

    /// Goes back one state; says whether there was one.
    pub fn undo(&mut self) -> bool {
        let back = self.before().is_some();
        self.now -= usize::from(back);
        back
    }

    /// Goes forward one state; says whether there was one.
    pub fn redo(&mut self) -> bool {
        let forward = self.after().is_some();
        self.now += usize::from(forward);
        forward
    }

    /// Notes that the state that counts stands in the file.
    pub fn note_saved(&mut self) {
        self.saved = self.state().text.clone();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(text: &str) -> DraftState {
        DraftState { text: text.to_owned(), done: format!("to {text}"), ..DraftState::default() }
    }

    #[test]
    fn undo_and_redo_go_through_all_states() {
        let mut draft = Draft::new("a".to_owned());
        assert!(!draft.undo() && !draft.redo() && !draft.is_changed());
        draft.put(state("b"));
        draft.put(state("c"));
        assert_eq!((draft.undoable(), draft.redoable()), (Some("to c"), None));
        assert!(draft.undo() && draft.undo() && !draft.undo());
        assert_eq!((draft.state().text.as_str(), draft.is_changed()), ("a", false));
        assert!(draft.redo());
        draft.put(state("d"));
        assert_eq!((draft.state().text.as_str(), draft.redoable()), ("d", None));
        draft.note_saved();
        assert!(!draft.is_changed() && draft.undo() && draft.is_changed());
    }
}
