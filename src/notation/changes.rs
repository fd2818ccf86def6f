//! Increases and decreases, chains, and the cross that is a stitch in charts and a sign elsewhere.

use super::grammar::{Amount, Item, Parser};
use super::habits::Habits;
use super::lexer::T;
use super::repeats::multiplied;
use super::words::W;
use crate::rounds::StitchKind;

impl Parser<'_> {
    /// Increases and decreases: number, place, "evenly".
    pub fn change(&mut self, base: (u32, u32), n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        while self.word(0) == Some(W::St) {
            self.i += 1;
        }
        let down = base.0 > base.1;
        let mut base = base;
        let mut n = n;
        // "increase to 24"
        if self.word(0) == Some(W::To) && self.num(1).is_some() && self.depth == 0 {
            self.i += 1;
            let at = self.i;
            if let Some(total) = self.num(0) {
                self.i += 1;
                self.total_tail();
                let span = self.toks[at].start..self.toks[self.i - 1].end;
                self.set_total(total, span);
                items.push(Item::Evenly { by: 0, down: Some(down) });
                return;
            }
        }
        if n.is_none() {
            let lone = matches!(self.peek(0), Some(T::Num(2..=5)));
            n = self.number_after();
            if lone
                && let Some(m) = n
                && base == (1, 2)
                && !matches!(self.word(0), Some(W::Evenly))
                && self.habit(Habits::INC_IN_ONE)
            {
                base = (1, m);
                n = None;
            }
        }
        if self.word(0) == Some(W::Evenly) || (self.word(0) == Some(W::St) && self.word(1) == Some(W::Evenly)) {
            while matches!(self.word(0), Some(W::Evenly | W::St)) {
                self.i += 1;
            }
            self.skip_around();
            let mut by = n;
            if by.is_none() && self.num(0).is_some() {
                by = self.num(0);
                self.i += 1;
                while matches!(self.word(0), Some(W::Times | W::St | W::X)) {
                    self.i += 1;
                }
                self.i += self.per_round();
            }
            items.push(Item::Evenly { by: by.unwrap_or(0), down: Some(down) });
            return;
        }
        // "inc 6 in each round", "inc 1 per round": spread over the round, whatever its count.
        let each = self.per_round();
        if each > 0 && self.depth == 0 && items.is_empty() && base.0.abs_diff(base.1) == 1 && n.is_some() {
            self.i += each;
            items.push(Item::Evenly { by: n.unwrap_or(1), down: Some(down) });
            return;
        }
        self.finish_stitches(n, base, from, items);
    }

    /// The words of "in each round", "every rnd", "per round" here; 0 if others stand here.
    fn per_round(&self) -> usize {
        let mut k = usize::from(self.word(0) == Some(W::In));
        if !matches!(self.word(k), Some(W::Each | W::Every | W::Per)) {
            return 0;
        }
        k += 1;
        if self.word(k) == Some(W::Rnd) && self.num(k + 1).is_none() { k + 1 } else { 0 }
    }

    pub fn chain(&mut self, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        self.i += 1;
        // "the other side of the chain": no chain is made.
        let before = from.checked_sub(1).and_then(|i| self.toks[i].word());
        if n.is_none() && matches!(before, Some(W::Of | W::The | W::Side)) {
            return;
        }
        let n = match self.num(0) {
            // "Ch 15 x2": two chains of fifteen.
            Some(k) if n.is_none() && self.word(1) == Some(W::X) && self.num(2).is_some() => {
                self.i += 1;
                Some(k)
            }
            _ => n.or_else(|| self.number_after()),
        };
        let slip = matches!(self.word(0), Some(W::In | W::Each | W::Around | W::All | W::Every));
        if (slip || n.is_none_or(|n| n > 2)) && self.habit(Habits::CH_IS_SC) {
            self.kind = StitchKind::Single;
            return self.finish_stitches(n, (1, 1), from, items);
        }
        let n = n.unwrap_or(1);
        // A turning chain: short, at either end of a round.
        let head = items.is_empty() && !self.cx.first;
        let tail = !items.is_empty() && self.ends_or_turns();
        let turning = n <= 3 && self.depth == 0 && (head || tail);
        if turning {
            if items.is_empty() && self.habit(Habits::CHAIN_COUNTS) {
                let item = self.work(1, 1, Amount::N(1), from);
                items.push(item);
            }
            return;
        }
        items.push(Item::Chain { n });
    }

    pub fn ends_or_turns(&self) -> bool {
        let k = usize::from(matches!(self.peek(0), Some(T::Comma | T::Dot | T::Semi | T::Word(W::And))));
        self.ends(0) || self.word(k) == Some(W::Turn)
    }

    /// `x` or `×`: a stitch in charts, or a repeat count set apart.
    pub fn cross(&mut self, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        self.i += 1;
        // `x5 rows`
        if let Some(k) = self.num(0)
            && self.word(1) == Some(W::Rnd)
        {
            self.i += 2;
            self.out.rounds = Some((k, self.span_from(from)));
            return;
        }
        if n.is_none()
            && items.is_empty()
            && let Some(k) = self.num(0)
            && matches!(self.peek(1), Some(T::Open(_) | T::Star))
        {
            // `x6 (sc, inc)`
            self.i += 1;
            return self.prefixed(k, items);
        }
        if n.is_none()
            && let Some(k) = self.num(0)
            && !items.is_empty()
            && !matches!(self.word(1), Some(W::SymInc | W::SymDec | W::X))
        {
            self.i += 1;
            if self.rounds_of(k, items) {
                return;
            }
            if items.len() > 1 && self.habit(Habits::BIND_ALL) {
                let inner = std::mem::take(items);
                items.push(Item::Group { items: inner, times: Amount::N(k) });
            } else if let Some(last) = items.pop() {
                items.push(multiplied(last, Amount::N(k)));
            }
            return;
        }
        self.kind = StitchKind::Single;
        let n = n.or_else(|| self.number_after());
        let mut item = self.work(1, 1, Amount::N(n.unwrap_or(1)), from);
        if let Item::Work { unnumbered, .. } = &mut item {
            *unnumbered = n.is_none();
        }
        items.push(item);
    }

    pub fn skip_around(&mut self) {
        while matches!(self.word(0), Some(W::Around | W::Each | W::Every | W::Rnd | W::In | W::The | W::Across)) {
            self.i += 1;
        }
    }
}
