//! Undo and redo. A step is a whole document, which is small; steps merge by what kind of change they are, never
//! by the clock: dragging a bar from 30 to 24 is one step however long it takes, and two rounds changed in one
//! second are two.

/// What a change was about. Equal kinds that follow each other without a [`History::seal`] are one step.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum EditKind {
    /// The count of a round (counted from 0) of a part.
    Count {
        /// Part, by its place in the list.
        part: usize,
        /// Round, counted from 0.
        round: usize,
    },
    /// The written rounds of a part, typed.
    Written {
        /// Part, by its place in the list.
        part: usize,
    },
    /// One setting, told apart by a name (of a part: with its place in the list).
    Setting {
        /// Part, by its place in the list; none for the whole toy.
        part: Option<usize>,
        /// What it is called on screen.
        name: &'static str,
    },
    /// Something done at one stroke, called by this name: it never merges.
    Once(&'static str),
}

impl EditKind {
    /// What the menu says after "Undo".
    pub fn label(&self) -> String {
        match self {
            EditKind::Count { round, .. } => format!("count of round {}", round + 1),
            EditKind::Written { .. } => "written rounds".to_owned(),
            EditKind::Setting { name, .. } | EditKind::Once(name) => (*name).to_owned(),
        }
    }

    fn merges_with(&self, other: &EditKind) -> bool {
        self == other && !matches!(self, EditKind::Once(_))
    }
}

/// Steps kept at most; older ones are forgotten.
pub const MOST_STEPS: usize = 500;

/// One step: the document before it (or after it, among the undone), and what it was about.
#[derive(Clone, Debug)]
struct Step<T> {
    document: T,
    kind: EditKind,
}

/// The steps behind and ahead of the document in hand.
#[derive(Clone, Debug)]
pub struct History<T> {
    past: Vec<Step<T>>,
    future: Vec<Step<T>>,
    /// The last step may still grow.
    open: bool,
}

impl<T> Default for History<T> {
    fn default() -> Self {
        History { past: Vec::new(), future: Vec::new(), open: false }
    }
}

impl<T: Clone + PartialEq> History<T> {
    /// Notes that the document was `before` and has been changed to `now`; `false` where they are equal and nothing is
    /// noted. Where a change or a step leads back to what was, `now` becomes just that: equal is not the same to the
    /// last sign of a zero.
    pub fn record(&mut self, before: T, now: &mut T, kind: EditKind) -> bool {
        if before == *now {
            *now = before;
            return false;
        }
        self.future.clear();
        let grows = self.open && self.past.last().is_some_and(|last| last.kind.merges_with(&kind));
        if grows {
            // A step that leads back to where it began is none.
            if let Some(step) = self.past.pop_if(|last| last.document == *now) {
                *now = step.document;
                self.open = false;
            }
            return true;
        }
        self.past.push(Step { document: before, kind });
        if self.past.len() > MOST_STEPS {
            self.past.remove(0);
        }
        self.open = true;
        true
    }

    /// Ends the step in hand (a drag is over, another field has the keyboard): the next change is a step of its
    /// own.
    pub fn seal(&mut self) {
        self.open = false;
    }

    /// Takes back the last step; `false` where there is none.
    pub fn undo(&mut self, document: &mut T) -> bool {
        let Some(step) = self.past.pop() else { return false };
        let after = std::mem::replace(document, step.document);
        self.future.push(Step { document: after, kind: step.kind });
        self.open = false;
        true
    }

    /// Does again the last step taken back; `false` where there is none.
    pub fn redo(&mut self, document: &mut T) -> bool {
        let Some(step) = self.future.pop() else { return false };
        let before = std::mem::replace(document, step.document);
        self.past.push(Step { document: before, kind: step.kind });
        self.open = false;
        true
    }

    /// What undo would take back.
    pub fn undo_label(&self) -> Option<String> {
        self.past.last().map(|s| s.kind.label())
    }

    /// What redo would do again.
    pub fn redo_label(&self) -> Option<String> {
        self.future.last().map(|s| s.kind.label())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn kind() -> impl Strategy<Value = EditKind> {
        prop_oneof![
            (0usize..2, 0usize..2).prop_map(|(part, round)| EditKind::Count { part, round }),
            (0usize..2).prop_map(|part| EditKind::Written { part }),
            Just(EditKind::Once("removed round")),
        ]
    }

    proptest! {
        #[test]
        fn undo_all_and_redo_all_lead_back(edits in proptest::collection::vec((kind(), 0u32..5, any::<bool>()), 0..40)) {
            let (mut document, mut history) = (0u32, History::default());
            for (kind, to, seal) in edits {
                let before = document;
                document = to;
                history.record(before, &mut document, kind);
                if seal {
                    history.seal();
                }
            }
            let last = document;
            let mut undone = 0;
            while history.undo(&mut document) {
                undone += 1;
            }
            prop_assert_eq!(document, 0);
            let mut redone = 0;
            while history.redo(&mut document) {
                redone += 1;
            }
            prop_assert_eq!((document, redone), (last, undone));
        }
    }

    #[test]
    fn one_drag_is_one_step_and_two_rounds_are_two() {
        let (mut document, mut history) = (30u32, History::default());
        let mut set = |history: &mut History<u32>, round, to| {
            let before = document;
            document = to;
            history.record(before, &mut document, EditKind::Count { part: 0, round });
        };
        set(&mut history, 3, 29);
        set(&mut history, 3, 24);
        set(&mut history, 4, 20);
        assert!(history.undo(&mut document) && document == 24);
        assert!(history.undo(&mut document) && document == 30);
        assert!(!history.undo(&mut document));
        assert_eq!(history.redo_label().as_deref(), Some("count of round 4"));
    }

    /// IEEE 754: −0 equals 0 and is another number to whoever writes it down.
    #[test]
    fn a_step_that_leads_back_leaves_the_very_same() {
        let (mut document, mut history) = (0.0_f64, History::default());
        for to in [5.0, -0.0] {
            let before = std::mem::replace(&mut document, to);
            history.record(before, &mut document, EditKind::Setting { part: None, name: "lean" });
        }
        assert!(document == 0.0 && document.is_sign_positive() && !history.undo(&mut document));
        assert!(!history.record(document, &mut -0.0, EditKind::Once("nothing")));
    }
}
