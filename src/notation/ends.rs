//! Shaping at both ends of a row: "dec at each end", "inc in first and last st".

use super::grammar::{Amount, Item, Parser};
use super::lexer::T;
use super::words::W;

impl Parser<'_> {
    /// The words of "at each end of the row", "at beginning and end", "in the first and last st" here.
    pub fn both_ends(&self, ahead: usize) -> Option<usize> {
        if self.depth > 0 {
            return None;
        }
        let mut k = ahead;
        if matches!(self.word(k), Some(W::In | W::On)) || self.spelt(k, "at") {
            k += 1;
        }
        k += usize::from(self.word(k) == Some(W::The));
        let each = matches!(self.word(k), Some(W::Each | W::Every)) || self.spelt(k, "both") || self.spelt(k, "either");
        let first = self.word(k) == Some(W::First) || self.peek(k) == Some(T::Ord(1));
        let begin = matches!(self.word(k), Some(W::Begin | W::Start));
        k += 1;
        if each {
            let end = matches!(self.word(k), Some(W::End | W::Side)) || self.spelt(k, "edge") || self.spelt(k, "edges");
            if !end {
                return None;
            }
            return Some(self.of_the_row(k + 1) - ahead);
        }
        if !first && !begin {
            return None;
        }
        k += usize::from(first && self.word(k) == Some(W::St));
        k = if begin { self.of_the_row(k) } else { k };
        if !(self.word(k) == Some(W::And) || self.peek(k) == Some(T::Amp)) {
            return None;
        }
        k += 1;
        k += usize::from(self.word(k) == Some(W::In) || self.spelt(k, "at"));
        k += usize::from(self.word(k) == Some(W::The));
        if first {
            let last = self.word(k) == Some(W::Last) && self.word(k + 1) == Some(W::St);
            return last.then(|| self.of_the_row(k + 2) - ahead);
        }
        (self.word(k) == Some(W::End)).then(|| self.of_the_row(k + 1) - ahead)
    }

    /// Whether a word that the vocabulary does not tell apart is this one.
    fn spelt(&self, ahead: usize, word: &str) -> bool {
        self.toks.get(self.i + ahead).is_some_and(|t| {
            matches!(t.t, T::Word(W::Unknown | W::Other)) && self.cx.text[t.start..t.end].eq_ignore_ascii_case(word)
        })
    }

    /// Behind "of the row", "of every row", "across".
    fn of_the_row(&self, ahead: usize) -> usize {
        let mut k = ahead;
        while matches!(self.word(k), Some(W::Of | W::In | W::The | W::Each | W::Every)) {
            k += 1;
        }
        if k > ahead && self.word(k) == Some(W::Rnd) && self.num(k + 1).is_none() { k + 1 } else { ahead }
    }

    /// Reads a change told for both ends, if one is. `n` of them stand at each end.
    pub fn at_both_ends(&mut self, n: Option<u32>, base: (u32, u32), from: usize, items: &mut Vec<Item>) -> bool {
        let plain = base == (1, 1);
        let Some(used) = self.both_ends(0) else { return self.at_one_end(n, base, from, items) };
        // "2 sc in first and last st"; "6 sc on each side" are six stitches.
        let named = (0..used).any(|k| matches!(self.peek(k), Some(T::Word(W::First) | T::Ord(1))));
        if plain && !(named && n.is_some_and(|n| (2..=4).contains(&n))) {
            return false;
        }
        self.i += used;
        let n = n.unwrap_or(1);
        let item =
            if plain { self.work(1, n, Amount::N(1), from) } else { self.work(base.0, base.1, Amount::N(n), from) };
        self.out.ends.push(item);
        self.out.stitches += 1;
        true
    }

    /// "dec at the beginning of the row" and nothing else: one change, the other stitches plain.
    fn at_one_end(&mut self, n: Option<u32>, base: (u32, u32), from: usize, items: &mut Vec<Item>) -> bool {
        let mut k = usize::from(self.word(0) == Some(W::In) || self.spelt(0, "at"));
        let lone = items.is_empty() && base != (1, 1) && self.depth == 0 && k == 1;
        k += usize::from(self.word(k) == Some(W::The));
        if !lone || !matches!(self.word(k), Some(W::Begin | W::Start | W::End)) {
            return false;
        }
        let end = self.word(k) == Some(W::End);
        let behind = self.of_the_row(k + 1);
        if behind != self.toks.len() - self.i.min(self.toks.len()) && !self.ends(behind) {
            return false;
        }
        self.i += behind;
        let item = self.work(base.0, base.1, Amount::N(n.unwrap_or(1)), from);
        let kind = self.fill();
        items.extend(if end { [kind, item] } else { [item, kind] });
        true
    }

    /// Puts what is told for both ends around the other stitches of the round.
    pub fn put_ends(&mut self, items: &mut Vec<Item>) {
        for end in std::mem::take(&mut self.out.ends) {
            if items.is_empty() {
                let outer = self.kind;
                if let Item::Work { stitch, .. } = &end {
                    self.kind = stitch.kind;
                }
                items.push(self.fill());
                self.kind = outer;
            }
            items.insert(0, end.clone());
            items.push(end);
        }
    }
}
