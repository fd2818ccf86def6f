//! Colours, and brackets that hold no stitches.

use std::sync::Arc;

use super::asides::{is_work, loop_all};
use super::grammar::{Amount, Item, Parser};
use super::lexer::{T, Token};
use super::words::W;
use crate::rounds::{Loops, StitchKind};

impl Parser<'_> {
    /// Whether `in`/`on` at this place begins a colour.
    pub fn in_colour(&self) -> bool {
        self.colour_at(1)
    }

    pub fn colour_at(&self, ahead: usize) -> bool {
        let mut k = ahead;
        while self.word(k) == Some(W::The) {
            k += 1;
        }
        // "in dark blue", "in main colour"
        for j in k..k + 3 {
            match self.word(j) {
                Some(W::Colour | W::ColourNoun) => return true,
                Some(W::Unknown) if j < k + 2 => {}
                _ => break,
            }
        }
        // A letter: "in B". A single capital that is no stitch symbol here.
        let Some(token) = self.toks.get(self.i + k) else { return false };
        let text = &self.cx.text[token.start..token.end];
        let letter = text.len() == 1 && text.chars().all(|c| c.is_ascii_uppercase() && c != 'X' && c != 'V');
        let short = matches!(text, "MC" | "CC" | "C1" | "C2");
        (letter && !matches!(token.t, T::Num(_))) || short
    }

    /// The words of "hook 3.5:", "hook 3 mm": a size is no number of stitches.
    pub fn hook_size(&self) -> usize {
        let mut k = 1 + usize::from(self.num(1).is_some());
        if k == 2 && self.peek(2) == Some(T::Dot) && self.num(3).is_some() {
            k = 4;
        }
        let mm = self.lower(k) == "mm";
        let marked = matches!(self.peek(k), None | Some(T::Colon | T::Comma | T::Close(_) | T::Break));
        if mm || k == 4 || marked { k + usize::from(mm) } else { 1 }
    }

    /// Whether the token behind "colour" only tells which: a capital, `MC`, or a number that counts nothing.
    pub fn numbers_colour(&self, at: usize) -> bool {
        let token = &self.toks[at];
        let text = &self.cx.text[token.start..token.end];
        let mark = matches!(
            self.toks.get(at + 1).map(|t| t.t),
            None | Some(T::Comma | T::Colon | T::Semi | T::Dot | T::Dash | T::Close(_) | T::Open(_) | T::Break)
        );
        match token.t {
            T::Num(n) => n < 20 && mark,
            _ => (text.len() == 1 && text.starts_with(|c: char| c.is_ascii_uppercase())) || matches!(text, "MC" | "CC"),
        }
    }

    /// "White 6 sc": a colour right before its stitches.
    pub fn colour_before(&self) -> bool {
        let before = self.i.checked_sub(1).map(|i| self.toks[i].t);
        let opens = matches!(
            before,
            None | Some(
                T::Comma | T::Semi | T::Open(_) | T::Star | T::Pipe | T::Colon | T::Dot | T::Close(_) | T::Break
            )
        );
        opens
            && matches!(
                self.peek(1),
                Some(T::Num(_) | T::Open(_) | T::Star | T::Word(W::Kind(_) | W::Inc | W::Dec | W::Only))
            )
    }

    /// "6 sc white, 4 sc black": a colour right behind its stitches, where more of them follow.
    pub fn colour_behind(&self, items: &[Item]) -> bool {
        let before = self.i.checked_sub(1).map(|i| self.toks[i].t);
        let stitches = matches!(before, Some(T::Num(_) | T::Word(W::Kind(_) | W::Inc | W::Dec | W::St)));
        let last = matches!(items.last(), Some(Item::Work { .. }));
        stitches && last && matches!(self.peek(1), Some(T::Comma | T::Close(_) | T::Semi)) && !self.ends(1)
            || (stitches && last && self.depth > 0 && matches!(self.peek(1), Some(T::Close(_))))
    }

    /// "3 white, 6 black": a colour behind a number, as a run of plain stitches.
    pub fn colour_run(&mut self, n: u32, from: usize, items: &mut Vec<Item>) -> bool {
        let Some(end) = run_end(self.cx.text, self.toks, self.i) else { return false };
        if self.cx.first && self.toks[self.i].is(W::Ring) {
            return false;
        }
        let kept = self.out.colour.clone();
        self.colour_name();
        self.i = self.i.max(end);
        let kind = if self.kind == StitchKind::Slip { self.cx.kind } else { self.kind };
        let outer = std::mem::replace(&mut self.kind, kind);
        let item = self.work(1, 1, Amount::N(n), from);
        self.kind = outer;
        items.push(item);
        self.out.colour = kept;
        true
    }

    /// "sc 3 (white), sc 6 (black)": a bracket with a colour behind its stitches.
    fn colour_bracket(&mut self, open: usize, close: usize, items: &mut [Item]) -> bool {
        let before = open.checked_sub(1).map(|i| self.toks[i].t);
        let behind = matches!(
            before,
            Some(T::Num(_) | T::Word(W::Kind(_) | W::Inc | W::Dec | W::St | W::Around | W::Each | W::Across))
        );
        let Some(Item::Work { .. }) = items.last() else { return false };
        // "[A] sc 6 [B] sc 6" names the colour first.
        let parted = matches!(
            self.toks.get(close + 1).map(|t| t.t),
            None | Some(T::Comma | T::Semi | T::Dot | T::Close(_) | T::Open(_) | T::Eq | T::Break | T::Star | T::Plus)
        );
        if !behind || !(parted || self.out.colour == self.cx.colour) {
            return false;
        }
        let (at, colour, colour_end) = (self.i, self.out.colour.clone(), self.colour_end);
        self.i = open + 1;
        if self.word(0) == Some(W::In) {
            self.i += 1;
        }
        let named = self.word(0) == Some(W::Colour) || self.colour_at(0);
        if named {
            self.colour_name();
        }
        let whole = named && self.i == close;
        let found = std::mem::replace(&mut self.out.colour, colour);
        (self.i, self.colour_end) = (at, colour_end);
        if !whole {
            return false;
        }
        // Of a round that has one run and no more, the colour holds on.
        if items.len() == 1 && self.depth == 0 && self.toks.get(close + 1..).is_none_or(|r| !r.iter().any(is_work)) {
            self.out.colour = found.clone();
        }
        if let Some(Item::Work { colour, .. }) = items.last_mut() {
            *colour = found;
        }
        true
    }

    /// Takes the words of a colour's name.
    pub fn colour_name(&mut self) {
        while matches!(self.word(0), Some(W::The)) {
            self.i += 1;
        }
        let from = self.i;
        let mut end = from;
        while end < self.toks.len() && end - from < 4 {
            match self.toks[end].t {
                T::Word(W::Colour | W::Unknown | W::ColourNoun | W::Single | W::Double) => end += 1,
                T::Word(W::A | W::Ring) if end == from && self.colour_at(0) => end += 1,
                // "with X: sc around"
                T::Word(W::X | W::SymInc)
                    if end == from
                        && from.checked_sub(1).is_some_and(|k| self.toks[k].is(W::With))
                        && self.toks[from].caps
                        && matches!(self.toks.get(from + 1).map(|t| t.t), Some(T::Colon | T::Comma)) =>
                {
                    end += 1;
                }
                // "colour A", "yarn X", "colour 2"
                _ if end > from && self.toks[end - 1].is(W::ColourNoun) && self.numbers_colour(end) => {
                    end += 1;
                    break;
                }
                T::Dash
                    if end > from
                        && self.toks[end].glued
                        && self.toks.get(end + 1).is_some_and(|t| t.glued && t.word().is_some()) =>
                {
                    end += 1;
                }
                T::Num(_) if end > from && self.toks[end].glued => end += 1,
                _ => break,
            }
            if matches!(self.toks[end - 1].t, T::Word(W::Colour))
                && !matches!(self.toks.get(end).map(|t| t.t), Some(T::Word(W::Colour | W::ColourNoun)))
            {
                break;
            }
        }
        if end == from {
            return;
        }
        // "white yarn" is white; "colour B" is B.
        let mut first = from;
        while first + 1 < end && self.toks[first].is(W::ColourNoun) {
            first += 1;
        }
        let mut last = end;
        // "main yarn" is a name, "dark blue yarn" is dark blue.
        let main =
            |last: usize| self.toks[first].is(W::Unknown) && !self.toks[first..last].iter().any(|t| t.is(W::Colour));
        while last > first + 1 && self.toks[last - 1].is(W::ColourNoun) && !main(last) {
            last -= 1;
        }
        self.i = end;
        let name = self.cx.text[self.toks[first].start..self.toks[last - 1].end].to_lowercase();
        self.colour_end = end;
        if matches!(name.as_str(), "main colour" | "main color" | "main yarn" | "mc") {
            self.out.colour = None;
        } else if !name.is_empty() && !self.toks[first].is(W::ColourNoun) {
            self.out.colour = Some(self.cx.legend.get(&name).cloned().unwrap_or_else(|| Arc::from(name)));
        }
    }

    /// "change to white", "switch to B", "with green:", "change colour".
    pub fn colour_phrase(&mut self, items: &mut Vec<Item>) {
        let w = self.word(0);
        let drop = self.lower(0) == "drop";
        self.i += 1;
        if w == Some(W::With) {
            if self.colour_at(0) || self.peek(1) == Some(T::Colon) {
                self.colour_name();
            } else if matches!(self.word(0), Some(W::Kind(super::words::Printed::Slip))) {
                self.i += 1;
            } else if self.word(0) == Some(W::The) {
                // "with the right leg still on the hook"
                self.skip_note();
            } else {
                while matches!(self.word(0), Some(W::Unknown | W::Leg)) {
                    self.i += 1;
                }
            }
            return;
        }
        let named = |p: &Self| {
            p.word(0) == Some(W::ColourNoun)
                && p.word(1) != Some(W::ColourNoun)
                && (p.colour_at(1) || p.toks.get(p.i + 1).is_some_and(|_| p.numbers_colour(p.i + 1)))
        };
        while matches!(self.word(0), Some(W::ColourNoun | W::To | W::The | W::Back | W::In)) && !named(self) {
            self.i += 1;
        }
        if drop {
            let kept = self.out.colour.take();
            self.colour_name();
            if kept != self.out.colour {
                self.out.colour = kept;
            } else {
                self.out.colour = None;
            }
            return;
        }
        self.colour_name();
        let _ = items;
    }

    /// Brackets that hold no stitches. True if they were read (the caller moves behind them).
    pub fn note_bracket(&mut self, open: usize, close: usize, items: &mut [Item]) -> bool {
        let inner = &self.toks[open + 1..close];
        // `(2 white, 1 black) x 4`
        let coloured = runs_of_colour(self.cx.text, inner);
        if coloured > 0 && (self.repeat_follows(close + 1) || (items.is_empty() && coloured > 1)) {
            return false;
        }
        if self.colour_bracket(open, close, items) {
            return true;
        }
        let has_work = inner.iter().any(|t| {
            matches!(
                t.t,
                T::Word(
                    W::Kind(_) | W::Inc | W::Dec | W::Tog | W::SymInc | W::SymDec | W::SymInc3 | W::KindTog(_) | W::X
                )
            ) || matches!(t.t, T::Word(W::Ch | W::Skip | W::Cluster))
        });
        let colour = inner.iter().any(|t| matches!(t.t, T::Word(W::Change)));
        if has_work && !colour {
            return false;
        }
        // Words that are unknown but numbered like stitches are work: `(2 foo, bar)`.
        let unknown_work = !colour
            && items.is_empty()
            && inner.len() > 1
            && self.repeat_follows(close + 1)
            && inner.iter().any(|t| t.is(W::Unknown));
        if unknown_work {
            return false;
        }
        let saved = self.i;
        self.i = open + 1;
        let stop = close;
        while self.i < stop {
            match self.word(0) {
                Some(W::Change | W::With) => self.colour_phrase(&mut Vec::new()),
                Some(W::In) if self.in_colour() => {
                    self.i += 1;
                    self.colour_name();
                }
                Some(W::Colour) => self.colour_name(),
                Some(w @ (W::Blo | W::Flo)) => {
                    let loops = if w == W::Blo { Loops::Back } else { Loops::Front };
                    if items.is_empty() {
                        self.loops = loops;
                    } else {
                        loop_all(items, loops);
                    }
                    self.i += 1;
                }
                Some(W::Stuff) => {
                    self.out.stuffing = Some(self.toks[open].start..self.toks[close - 1].end);
                    self.i = stop;
                }
                Some(W::Note | W::Fasten) => self.i = stop,
                Some(W::Ring | W::RingNoun) => {
                    self.out.ring |= self.cx.first;
                    self.i += 1;
                }
                Some(W::Join) => self.i = stop,
                _ => self.i += 1,
            }
        }
        self.i = saved;
        true
    }
}

/// The token behind "white", "dark blue", "MC" at `at`, where a mark or the end stands behind the colour.
fn run_end(text: &str, toks: &[Token], at: usize) -> Option<usize> {
    let mut k = at;
    k += usize::from(toks.get(k).is_some_and(|t| t.is(W::Unknown)));
    let main = toks.get(k).is_some_and(|t| t.is(W::Ring) && &text[t.start..t.end] == "MC");
    if !(main || toks.get(k).is_some_and(|t| t.is(W::Colour))) {
        return None;
    }
    k += 1;
    while toks.get(k).is_some_and(|t| matches!(t.t, T::Word(W::Colour | W::ColourNoun))) {
        k += 1;
    }
    let parted = matches!(
        toks.get(k).map(|t| t.t),
        None | Some(
            T::Comma
                | T::Semi
                | T::Dot
                | T::Close(_)
                | T::Open(_)
                | T::Eq
                | T::Break
                | T::Star
                | T::Pipe
                | T::Plus
                | T::Dash
                | T::Slash
                | T::Num(_)
                | T::Word(W::And | W::Then)
        )
    );
    parted.then_some(k)
}

/// How many runs these words tell by a number and a colour: `3 white, 6 black`.
pub(super) fn runs_of_colour(text: &str, toks: &[Token]) -> usize {
    (1..toks.len()).filter(|k| toks[k - 1].num().is_some() && run_end(text, toks, *k).is_some()).count()
}
