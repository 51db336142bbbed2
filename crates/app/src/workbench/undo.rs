//! Undo and redo without limit, as snapshots of the document.

/// A document's earlier and later states, each with the name of the change that led away from it.
#[derive(Clone, Debug)]
pub(crate) struct UndoHistory<T> {
    earlier: Vec<(String, T)>,
    later: Vec<(String, T)>,
}

impl<T> Default for UndoHistory<T> {
    fn default() -> Self {
        Self {
            earlier: Vec::new(),
            later: Vec::new(),
        }
    }
}

impl<T: Clone + PartialEq> UndoHistory<T> {
    /// Remembers the state before a change that is about to become `now`. An equal state is not
    /// remembered: a gesture that changes nothing leaves no step to undo.
    pub(crate) fn remember(&mut self, change: &str, before: T, now: &T) {
        if before != *now {
            self.earlier.push((change.to_owned(), before));
            self.later.clear();
        }
    }

    /// Steps back: gives the earlier state and the name of the change that was undone.
    pub(crate) fn undo(&mut self, now: T) -> Result<(String, T), T> {
        match self.earlier.pop() {
            Some((change, before)) => {
                self.later.push((change.clone(), now));
                Ok((change, before))
            }
            None => Err(now),
        }
    }

    /// Steps forward again: gives the later state and the name of the change that was redone.
    pub(crate) fn redo(&mut self, now: T) -> Result<(String, T), T> {
        match self.later.pop() {
            Some((change, after)) => {
                self.earlier.push((change.clone(), now));
                Ok((change, after))
            }
            None => Err(now),
        }
    }

    /// The name of the change that the next undo takes back.
    #[must_use]
    pub(crate) fn next_undo(&self) -> Option<&str> {
        self.earlier.last().map(|(change, _)| change.as_str())
    }

    /// The name of the change that the next redo makes again.
    #[must_use]
    pub(crate) fn next_redo(&self) -> Option<&str> {
        self.later.last().map(|(change, _)| change.as_str())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_change_that_changes_nothing_leaves_no_step() {
        let mut history = UndoHistory::default();
        history.remember("Move a point", 1, &1);
        assert_eq!(history.next_undo(), None, "equal states");
    }

    #[test]
    fn a_new_change_forgets_what_was_undone() {
        let mut history = UndoHistory::default();
        history.remember("one", 0, &1);
        let (_, state) = history.undo(1).expect("one step");
        history.remember("two", state, &2);
        assert_eq!(history.next_redo(), None, "the undone step is gone");
        assert_eq!(history.next_undo(), Some("two"), "the new step is there");
    }

    proptest! {
        #[test]
        fn undoing_everything_and_redoing_it_gives_every_state_again(
            states in prop::collection::vec(0_u8..4, 1..30),
        ) {
            let mut history = UndoHistory::default();
            let mut now = 9_u8;
            let mut seen = vec![now];
            for state in states {
                history.remember("change", now, &state);
                if state != now {
                    seen.push(state);
                }
                now = state;
            }
            let mut back = vec![now];
            while let Ok((_, earlier)) = history.undo(now) {
                now = earlier;
                back.push(now);
            }
            back.reverse();
            prop_assert_eq!(&back, &seen);
            let mut forth = vec![now];
            while let Ok((_, later)) = history.redo(now) {
                now = later;
                forth.push(now);
            }
            prop_assert_eq!(&forth, &seen);
        }
    }
}
