//! What closes a round: "sl st to first sc", "join with a sl st to the top of ch 3", "to make a ring"; and parts that
//! are crocheted in: "together with the arm".

use super::grammar::{Item, Parser};
use super::habits::Habits;
use super::lexer::T;
use super::words::{Printed, W};

impl Parser<'_> {
    /// A slip stitch that only closes the round; its words are read.
    pub fn closing_slip(&mut self, items: &mut [Item]) -> bool {
        let mut k = 0;
        let mut to_first = false;
        let mut same = false;
        while let Some(t) = self.peek(k) {
            match t {
                T::Word(W::To | W::In | W::The | W::St | W::Of | W::Kind(_) | W::Ch | W::And | W::Rnd | W::On) => {}
                T::Word(W::First | W::Begin | W::Join | W::Close | W::Ring | W::RingNoun | W::Start) | T::Ord(1) => {
                    to_first = true;
                }
                T::Word(W::Same) => same = true,
                T::Word(W::Make) if self.makes_ring(k) => to_first = true,
                T::Word(W::A) if self.makes_ring(k) => {}
                // "sl st top of beg sc", "to the top of ch 3"
                T::Word(W::Unknown) if self.lower(k) == "top" => {
                    if let Some(used) = self.top_of_chain(k) {
                        to_first = true;
                        k += used;
                        continue;
                    }
                }
                T::Word(W::Unknown) if self.lower(k) == "it" => {}
                _ => break,
            }
            k += 1;
        }
        if same {
            return false;
        }
        if to_first {
            if matches!(items, [Item::Chain { .. }]) {
                self.out.chain_joined = true;
            }
            self.i += k;
            return true;
        }
        // `, sl st` as the last word of a round.
        let last = self.depth == 0 && !items.is_empty() && self.ends_after_chain();
        if last && k == 0 && !self.habit(Habits::SLIP_COUNTS) {
            if matches!(items, [Item::Chain { .. }]) {
                self.out.chain_joined = true;
            }
            return true;
        }
        false
    }

    fn ends_after_chain(&self) -> bool {
        let k = usize::from(matches!(self.peek(0), Some(T::Comma | T::Dot | T::Semi | T::Word(W::And))));
        self.ends(0) || matches!(self.word(k), Some(W::Ch | W::Turn))
    }

    /// "make a ring", "a ring" ahead.
    fn makes_ring(&self, ahead: usize) -> bool {
        let mut k = ahead;
        while matches!(self.word(k), Some(W::Make | W::A | W::The)) {
            k += 1;
        }
        k > ahead && matches!(self.word(k), Some(W::RingNoun))
    }

    /// "top of [the] [beginning | turning] ch [3]", "top of ch-3": the words it takes.
    fn top_of_chain(&self, ahead: usize) -> Option<usize> {
        let mut k = ahead + 1;
        while matches!(self.word(k), Some(W::Of | W::The | W::First | W::Begin | W::Start | W::Turn))
            || matches!(self.lower(k).as_str(), "turning" | "initial")
        {
            k += 1;
        }
        // "the 3 chains", "the ch-3"
        k += usize::from(self.num(k).is_some() && self.word(k + 1) == Some(W::Ch));
        if self.word(k) != Some(W::Ch) {
            return None;
        }
        k += 1;
        let dash = usize::from(self.peek(k) == Some(T::Dash) && self.toks.get(self.i + k).is_some_and(|t| t.glued));
        if self.num(k + dash).is_some_and(|n| n <= 6) {
            k += dash + 1;
        }
        Some(k - ahead)
    }

    /// After "join": "with sl st [to first sc]".
    pub fn skip_join(&mut self) {
        while let Some(t) = self.peek(0) {
            let skip = match t {
                T::Word(
                    W::With
                    | W::Kind(Printed::Slip)
                    | W::To
                    | W::In
                    | W::The
                    | W::First
                    | W::Begin
                    | W::St
                    | W::RingNoun
                    | W::Ring
                    | W::Of
                    | W::Same,
                )
                | T::Ord(1) => true,
                T::Word(W::Rnd) => self.num(1).is_none(),
                // "with a sl st", "to make a ring"
                T::Word(W::A) => matches!(self.word(1), Some(W::Kind(Printed::Slip) | W::RingNoun)),
                T::Word(W::Make) => self.makes_ring(0),
                // "to first sc"
                T::Word(W::Kind(_)) => {
                    matches!(self.toks[self.i - 1].t, T::Word(W::First | W::Begin) | T::Ord(1))
                }
                T::Word(W::Unknown) if self.lower(0) == "top" => match self.top_of_chain(0) {
                    Some(used) => {
                        self.i += used;
                        continue;
                    }
                    None => false,
                },
                _ => false,
            };
            if !skip {
                break;
            }
            self.i += 1;
        }
    }

    /// Whether the next words name a part: "the other arm", "the wing".
    pub fn names_part(&self, ahead: usize) -> bool {
        let mut words = (ahead..ahead + 4).take_while(|k| matches!(self.peek(*k), Some(T::Word(_) | T::Ord(_))));
        words.any(|k| matches!(self.word(k), Some(W::Leg | W::Unit)) || super::parts::part_words(&self.lower(k)) > 0)
    }

    /// "together with the other arm": a part is crocheted in.
    pub fn worked_in(&mut self) {
        let from = self.i;
        while let Some(T::Word(_) | T::Ord(_)) = self.peek(0) {
            self.i += 1;
        }
        self.out.worked_in = Some(self.span_from(from));
    }
}
