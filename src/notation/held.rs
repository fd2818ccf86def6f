//! Rounds of a list of labels with gaps (`Rnds 5, 7, 9: sc around`), which wait until their turn comes.

use super::labels::Label;
use super::lines::{Entry, RoundText};

/// More words than this are not told again.
const MOST_WORDS: usize = 200_000;

/// The rounds that wait, in their order.
#[derive(Debug, Default)]
pub(super) struct Held {
    /// Each with the entry that has its words.
    rounds: Vec<(Label, usize)>,
    told: usize,
}

impl Held {
    /// The last entry is the first stretch of the list; the others are kept.
    pub fn hold(&mut self, out: &mut [Entry], lab: Label, stretches: &[(u32, u32)]) {
        let [first, later @ ..] = stretches else { return };
        let at = out.len().saturating_sub(1);
        let Some(Entry::Round(r)) = out.last_mut() else { return };
        if r.label.is_none() {
            return;
        }
        if first.0 == first.1 {
            let word = word(&r.label_text);
            let word = if word.len() > 2 { word.trim_end_matches('s') } else { &word };
            r.label_text = format!("{word} {}", first.0).trim().to_owned();
        }
        self.rounds.extend(later.iter().map(|(from, to)| (Label { from: *from, to: *to, ..lab }, at)));
        self.rounds.sort_by_key(|(l, _)| l.from);
    }

    /// Tells the rounds that come before the round `before`.
    pub fn release(&mut self, out: &mut Vec<Entry>, before: u32) {
        let due = self.rounds.partition_point(|(l, _)| l.from < before);
        for (lab, at) in self.rounds.drain(..due) {
            let Some(Entry::Round(first)) = out.get(at) else { continue };
            self.told += first.toks.len() + 1;
            if self.told > MOST_WORDS {
                continue;
            }
            let label_text = format!("{} {}", word(&first.label_text), lab.from).trim().to_owned();
            let held = RoundText { label: Some(lab), label_text, ..first.clone() };
            out.push(Entry::Round(held));
        }
    }
}

/// The word for "round" of a label as printed.
fn word(label_text: &str) -> String {
    label_text.chars().take_while(|c| c.is_alphabetic()).collect()
}
