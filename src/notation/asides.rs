//! What stands in a round beside its stitches: colours, loops, joins, stuffing, notes, straight work — and
//! words that mean nothing.

use std::ops::Range;

use super::grammar::{Amount, Into, Item, Parser};
use super::habits::Habits;
use super::lexer::{T, Token};
use super::words::W;
use crate::rounds::{Finish, Loops};

impl Parser<'_> {
    pub fn other_word(&mut self, w: W, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        match w {
            W::Increasing
                if self.num(1).is_some()
                    || matches!(self.word(1), Some(W::Evenly | W::TimesN(_)))
                    || self.both_ends(1).is_some() =>
            {
                // "increasing 6 evenly", "increasing once"
                self.i += 1;
                self.change((1, 2), n, from, items);
            }
            W::Work | W::Continue | W::Plain | W::Even | W::Widen | W::Increasing => {
                self.i += 1;
                // "work even", "even", "straight": all stitches of the round, unless some are named.
                if w != W::Increasing {
                    let named = w == W::Work && !matches!(self.word(0), Some(W::Even | W::Plain | W::In | W::Around));
                    self.out.straight |= !named;
                }
                if w == W::Even
                    && let [.., Item::Work { amount, unnumbered: true, .. }] = items.as_mut_slice()
                {
                    *amount = Amount::Fill;
                }
            }
            W::Without => {
                self.i += 1;
                // "no sc"
                if matches!(self.word(0), Some(W::Kind(_))) && self.ends(1) && !items.is_empty() {
                    self.i += 1;
                    return;
                }
                // "without increasing", "no increases"
                while matches!(
                    self.word(0),
                    Some(W::Widen | W::Inc | W::Dec | W::Increasing | W::The | W::And | W::Unknown | W::Work)
                ) {
                    self.i += 1;
                }
                self.out.straight = true;
            }
            W::Around | W::Across if !(1..5).any(|k| matches!(self.word(k), Some(W::Side | W::Leg))) => {
                self.i += 1;
                self.out.straight = true;
                if let [.., Item::Work { amount, unnumbered: true, .. }] = items.as_mut_slice() {
                    *amount = Amount::Fill;
                }
            }
            W::Side | W::Other => {
                self.i += 1;
                if w == W::Side && !items.is_empty() {
                    items.push(Item::OtherSide);
                }
            }
            // "All sc"
            W::All
                if matches!(self.word(1), Some(W::Kind(_) | W::Inc | W::Dec))
                    && (self.ends(2) || self.word(2) == Some(W::In) && self.colour_at(3)) =>
            {
                self.i += 1;
                let before = items.len();
                self.element(items);
                if let Some(Item::Work { amount, unnumbered: true, .. }) = items.get_mut(before) {
                    *amount = Amount::Fill;
                }
            }
            W::In | W::On | W::Over | W::Through if self.in_colour() => {
                self.i += 1;
                self.colour_name();
            }
            W::In
            | W::On
            | W::Over
            | W::Through
            | W::Across
            | W::Around
            | W::Each
            | W::Every
            | W::All
            | W::Next
            | W::First
            | W::Last => {
                // A place before its stitches: "in the next 4 st sc", "in each st 2 sc", "on the other side".
                let at = self.i;
                let starting =
                    at.checked_sub(1).is_some_and(|i| matches!(self.toks[i].t, T::Word(W::Start | W::Begin)));
                match self.place() {
                    // "crochet every two stitches together"
                    Some(p)
                        if p.number.is_some()
                            && matches!(self.word(0), Some(W::Together | W::Tog))
                            && self.word(1) != Some(W::With) =>
                    {
                        self.i += 1;
                        let amount = if p.each { Amount::Fill } else { Amount::N(1) };
                        let item = self.work(p.number.unwrap_or(2).clamp(2, 9), 1, amount, at);
                        items.push(item);
                    }
                    Some(p) if starting && p.chain && p.nth.is_some() && only_chains(items) => {
                        self.begins_in_chain(&p, items)
                    }
                    Some(p) => {
                        if p.ring {
                            self.out.ring = true;
                        }
                        if p.other_side {
                            items.push(Item::OtherSide);
                        }
                        if let Some(l) = p.loops {
                            self.set_loops(l, items);
                        }
                        let and = at.checked_sub(1).is_some_and(|i| self.toks[i].is(W::And));
                        let counted = p.number.is_some()
                            || (p.each && (p.noun || (and && p.around)))
                            || (p.chain && p.nth.is_some());
                        if counted && !p.rounds_noun {
                            self.place_first(&p, and, items);
                        }
                    }
                    None => self.i = at + 1,
                }
            }
            W::With | W::Change => self.colour_phrase(items),
            W::Join => {
                self.i += 1;
                if self.word(0) == Some(W::Colour) || self.colour_at(0) {
                    self.colour_name();
                }
                if self.out.ring || matches!(items.as_slice(), [Item::Chain { .. }]) {
                    self.out.chain_joined = true;
                }
                self.skip_join();
            }
            W::Total if self.depth == 0 && (!items.is_empty() || self.out.ring) => {
                // "total 18 sc", "a total of 18", but not "total 6 inc"
                self.i += 1;
                let link = |p: &Self| matches!(p.peek(0), Some(T::Colon | T::Eq | T::Word(W::Of | W::Is)));
                while link(self) {
                    self.i += 1;
                }
                if self.num(0).is_some() && !matches!(self.word(1), Some(W::Inc | W::Dec)) {
                    self.total_here();
                }
            }
            W::Turn => self.i += 1,
            W::Stuff => {
                let at = self.i;
                self.skip_note();
                self.out.stuffing = Some(self.span_from(at));
            }
            W::Close => {
                self.i += 1;
                self.out.finish = Some(Finish::Gathered);
            }
            W::Fold => {
                let at = self.i;
                self.i += 1;
                self.out.finish = Some(Finish::FoldedFlat);
                self.skip_note();
                let _ = at;
            }
            W::Make if (1..7).any(|k| matches!(self.word(k), Some(W::Ring | W::Kind(_) | W::Inc))) => self.i += 1,
            W::Note if matches!(self.lower(0).as_str(), "leave" | "leaving") => self.left_unworked(items),
            W::Note | W::Fasten | W::Make => self.skip_note(),
            W::Until => {
                let at = self.i;
                self.i += 1;
                if self.word(0) == Some(W::Close) {
                    self.out.finish = Some(Finish::Gathered);
                    self.i += 1;
                    if let [.., Item::Work { amount, unnumbered: true, .. }] = items.as_mut_slice() {
                        *amount = Amount::Fill;
                    }
                } else {
                    self.skip_note();
                }
                self.out.measure = Some(self.span_from(at));
            }
            W::Evenly => {
                self.i += 1;
                self.out.straight |= items.is_empty();
                if let Some(Item::Work { stitch, amount: Amount::N(by), .. }) = items.last()
                    && stitch.uses != stitch.makes
                    && items.len() == 1
                {
                    let item = Item::Evenly { by: *by, down: Some(stitch.uses > stitch.makes) };
                    items.pop();
                    items.push(item);
                }
            }
            W::Double if matches!(self.word(1), Some(W::Each | W::In | W::Every | W::All)) => {
                // "double each st"
                self.i += 1;
                self.change((1, 2), n, from, items);
            }
            // "B: sc around"
            W::Unknown if n.is_none() && self.peek(1) == Some(T::Colon) && self.numbers_colour(self.i) => {
                self.colour_name();
            }
            W::Unknown => self.unknown(n, from, items),
            // "Color 2: sc around", "Yarn A, 6 sc"
            W::ColourNoun if self.toks.get(self.i + 1).is_some_and(|_| self.numbers_colour(self.i + 1)) => {
                self.colour_name();
            }
            W::Hook => self.i += self.hook_size(),
            W::Colour if self.colour_behind(items) => {
                // "6 sc white, 4 sc black"
                let kept = self.out.colour.clone();
                self.colour_name();
                let named = std::mem::replace(&mut self.out.colour, kept);
                if let Some(Item::Work { colour, .. }) = items.last_mut() {
                    *colour = named;
                }
            }
            W::Colour if self.ends(1) || matches!(self.peek(1), Some(T::Colon | T::Tab)) || self.colour_before() => {
                self.colour_name();
            }
            W::Post => {
                self.i += 1;
                if let (Some(n), Some(W::Kind(_))) = (n, self.word(0)) {
                    // "4 back post dc"
                    let mut one = Vec::new();
                    self.element(&mut one);
                    items.extend(one.into_iter().map(|i| super::repeats::multiplied(i, Amount::N(n))));
                }
            }
            W::RingNoun
                if self.cx.first
                    && items.is_empty()
                    && self.num(1 + usize::from(self.word(1) == Some(W::Of))).is_some() =>
            {
                // "ring 5", "a ring of 6 sc"
                self.i += 1 + usize::from(self.word(1) == Some(W::Of));
                self.out.ring = true;
            }
            W::RingNoun if matches!(items.as_slice(), [Item::Chain { .. }]) => {
                self.i += 1;
                self.out.chain_joined = true;
            }
            W::AsFor => self.skip_note(),
            _ => self.i += 1,
        }
    }

    /// "Starting in 2nd ch from hook, sc 4": where the stitches that follow begin.
    fn begins_in_chain(&mut self, p: &super::place::Place, items: &mut Vec<Item>) {
        while matches!(self.peek(0), Some(T::Comma | T::Colon | T::Semi | T::Word(W::Work))) {
            self.i += 1;
        }
        if !matches!(self.peek(0), Some(T::Num(_) | T::Word(W::Kind(_) | W::Inc))) {
            return;
        }
        let before = items.len();
        self.element(items);
        if let (Some(k), Some(Item::Work { into, .. })) = (p.nth, items.get_mut(before))
            && *into == Into::Stitch
        {
            *into = Into::Chain(k);
        }
    }

    /// "Leave the other 9 sts unworked": the rest of the round is left for later.
    fn left_unworked(&mut self, items: &mut Vec<Item>) {
        let from = self.i;
        self.skip_note();
        let span = self.span_from(from);
        let words = self.cx.text.get(span.clone()).unwrap_or_default().to_lowercase();
        let later = ["unworked", "on hold", "for later", "for the other", "for leg", "for the second"];
        let yarn = ["tail", "yarn", "thread", "end "].iter().any(|w| words.contains(w));
        if self.out.split.is_none() && !items.is_empty() && !yarn && later.iter().any(|w| words.contains(w)) {
            self.out.split = Some(span);
            let rest = self.work(1, 0, Amount::Fill, from);
            items.push(rest);
        }
    }

    /// Stitches whose place was written first.
    fn place_first(&mut self, p: &super::place::Place, and: bool, items: &mut Vec<Item>) {
        while matches!(self.peek(0), Some(T::Colon | T::Word(W::Work | W::The | W::Make)))
            || (items.is_empty() && self.peek(0) == Some(T::Comma))
        {
            self.i += 1;
        }
        let from = self.i;
        let n = self.num(0);
        let k = usize::from(n.is_some());
        let base = match self.word(k) {
            Some(W::Kind(p)) => {
                self.kind = self.stitch_kind(p);
                (1, 1)
            }
            Some(W::Inc | W::SymInc) => (1, 2),
            Some(W::Dec | W::SymDec) => (2, 1),
            _ => {
                // "sc in 2nd ch from hook and in each ch across": the stitch before, once more.
                if !and {
                    // "3 sc starting in 2nd ch from hook"
                    if let (Some(k), Some(Item::Work { into, .. })) = (p.nth.filter(|_| p.chain), items.last_mut()) {
                        *into = Into::Chain(k);
                    }
                    return;
                }
                if let Some(Item::Work { stitch, .. }) = items.last()
                    && n.is_none()
                {
                    let base = (u32::from(stitch.uses), u32::from(stitch.makes));
                    let outer = std::mem::replace(&mut self.kind, stitch.kind);
                    let made = self.placed(None, p, base, from.saturating_sub(1), false);
                    items.extend(made);
                    self.kind = outer;
                }
                return;
            }
        };
        self.i += k + 1;
        let made = self.placed(n, p, base, from, items.is_empty());
        items.extend(made);
    }

    fn set_loops(&mut self, loops: Loops, items: &mut [Item]) {
        if !items.is_empty() && self.ends(0) {
            loop_all(items, loops);
        } else {
            self.loops = loops;
        }
    }

    pub fn loops_word(&mut self, w: W, items: &mut [Item]) {
        self.i += 1;
        let loops = if w == W::Blo { Loops::Back } else { Loops::Front };
        let mut k = 0;
        while matches!(self.word(k), Some(W::Of | W::The)) {
            k += 1;
        }
        if k > 0 && self.word(k) == Some(W::Rnd) && self.num(k + 1).is_some() {
            self.out.rim = true;
            self.i += k + 2;
        }
        self.set_loops(loops, items);
    }

    /// `2 sc ss`: makes the stitches before it go into one.
    pub fn same_stitch(&mut self, items: &mut [Item]) -> bool {
        if let [.., Item::Work { stitch, amount: Amount::N(n @ 2..=4), .. }] = items
            && (stitch.uses, stitch.makes) == (1, 1)
            && self.i >= 2
            && self.toks[self.i - 2].word().is_some()
        {
            stitch.makes = u16::try_from(*n).unwrap_or(2);
            if let [.., Item::Work { amount, .. }] = items {
                *amount = Amount::N(1);
            }
            return true;
        }
        false
    }

    /// Skips a note to the end of its sentence, or to stitches after a comma.
    pub fn skip_note(&mut self) {
        self.i += 1;
        while let Some(t) = self.peek(0) {
            match t {
                T::Break | T::Semi => return,
                T::Star | T::Pipe if self.closer == Some(t) => return,
                T::Dot if !self.toks.get(self.i + 1).is_some_and(|t| t.glued && t.num().is_some()) => return,
                T::Close(_) if self.depth > 0 => return,
                // A total is no part of a note.
                T::Open(_) if self.depth == 0 && self.total_ahead() => return,
                T::Eq if self.depth == 0 && self.num(1).is_some() && self.ends(2) => return,
                T::Comma | T::Colon | T::Dash | T::Word(W::Then) if self.work_starts(1) => return,
                _ => self.i += 1,
            }
        }
    }

    /// Whether a bracket with a total and nothing else stands here.
    fn total_ahead(&self) -> bool {
        let close = self.toks[self.i..].iter().take(8).position(|t| matches!(t.t, T::Close(_)));
        close.is_some_and(|c| {
            self.lone_total(self.i, self.i + c) && !self.toks[self.i + 1..self.i + c].iter().any(|t| t.is(W::Rnd))
        })
    }

    /// Whether stitches begin at `ahead`: `6 sc`, `sc`, `inc x 6`, `(sc, inc)`.
    fn work_starts(&self, mut ahead: usize) -> bool {
        while matches!(self.peek(ahead), Some(T::Word(W::Then | W::And | W::Work) | T::Open(_) | T::Star)) {
            ahead += 1;
        }
        if self.num(ahead).is_some() {
            ahead += 1;
        }
        matches!(self.word(ahead), Some(W::Kind(_) | W::Inc | W::Dec | W::KindTog(_)))
            && !matches!(self.word(ahead + 1), Some(W::Unknown | W::Note))
    }

    /// A word that means nothing.
    fn unknown(&mut self, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        let lower = self.lower(0);
        // "Stitch count: 18"
        let counts = lower == "count" && from.checked_sub(1).is_some_and(|i| self.toks[i].is(W::St));
        if counts || FILLERS.contains(&lower.as_str()) {
            self.i += 1;
            return;
        }
        // A sentence with no stitch in it is a note.
        let rest = &self.toks[self.i..];
        let sentence = rest
            .iter()
            .take(60)
            .position(|t| matches!(t.t, T::Dot | T::Semi | T::Break) || (self.depth > 0 && matches!(t.t, T::Close(_))))
            .unwrap_or(rest.len().min(60));
        let work = rest[..sentence].iter().position(is_work);
        let word = self.lower(0);
        let short = word.chars().count() <= 6;
        let after = self.peek(1);
        let alone = matches!(
            after,
            None | Some(
                T::Comma
                    | T::Close(_)
                    | T::Semi
                    | T::Dot
                    | T::Star
                    | T::Pipe
                    | T::Open(_)
                    | T::Eq
                    | T::Num(_)
                    | T::Break
            )
        ) || matches!(after, Some(T::Word(W::X | W::In | W::Around | W::Times)));
        let like_stitch = short && alone && (n.is_some() || self.depth > 0 || after != Some(T::Dot));
        let prose = n.is_none() && sentence >= 3 && work.is_none() && self.depth == 0 && !items.is_empty();
        if like_stitch && !prose && word.chars().all(char::is_alphabetic) {
            let at = self.toks[self.i].start..self.toks[self.i].end;
            self.out.mystery.get_or_insert(at);
            let base = if self.habit(Habits::MYSTERY_SC) {
                Some((1, 1))
            } else if self.habit(Habits::MYSTERY_INC) {
                Some((1, 2))
            } else if self.habit(Habits::MYSTERY_DEC) {
                Some((2, 1))
            } else {
                None
            };
            if let Some(base) = base {
                self.i += 1;
                let k = n.or_else(|| self.num(0).filter(|_| !self.ends(1)));
                if n.is_none() && k.is_some() {
                    self.i += 1;
                }
                let mut item = self.work(base.0, base.1, Amount::N(k.unwrap_or(1)), from);
                if let Item::Work { unnumbered, .. } = &mut item {
                    *unnumbered = k.is_none();
                }
                items.push(item);
                return;
            }
        }
        if prose {
            self.skip_note();
            return;
        }
        self.i += 1;
        let span = self.span_from(from);
        push_merged(&mut self.out.unread, span);
    }
}

fn only_chains(items: &[Item]) -> bool {
    items.iter().all(|i| matches!(i, Item::Chain { .. }))
}

/// Words that change nothing in the counts.
const FILLERS: &[&str] = &[
    "left",
    "right",
    "back",
    "down",
    "up",
    "opposite",
    "unworked",
    "held",
    "tightly",
    "loosely",
    "loose",
    "tight",
    "again",
    "also",
    "just",
    "simply",
    "now",
    "here",
    "still",
    "normally",
    "normal",
    "usual",
    "already",
    "gently",
    "please",
    "carefully",
    "always",
    "so",
    "it",
    "you",
    "we",
    "there",
    "should",
    "will",
    "have",
    "having",
    "giving",
    "gives",
    "ending",
    "finally",
    "afterwards",
    "directly",
    "actually",
];

pub(super) fn is_work(t: &Token) -> bool {
    matches!(
        t.t,
        T::Word(W::Kind(_) | W::Inc | W::Dec | W::Tog | W::SymInc | W::SymDec | W::KindTog(_) | W::Cluster | W::Ch)
    )
}

fn push_merged(list: &mut Vec<Range<usize>>, span: Range<usize>) {
    match list.last_mut() {
        Some(last) if span.start <= last.end + 1 => last.end = span.end.max(last.end),
        _ => list.push(span),
    }
}

pub(super) fn loop_all(items: &mut [Item], loops: Loops) {
    for item in items {
        match item {
            Item::Work { stitch, .. } => stitch.loops = loops,
            Item::Group { items, .. } => loop_all(items, loops),
            _ => {}
        }
    }
}

/// How a piece ends, as far as a line says.
pub(super) fn finish_said(tokens: &[Token], lower: &str) -> Option<Finish> {
    let has = |w: W| tokens.iter().any(|t| t.is(w));
    let fold = tokens.iter().any(|t| t.is(W::Fold));
    let layers = lower.contains("both sides") || lower.contains("both layers") || lower.contains("both edges");
    if (fold && (layers || lower.contains("shut") || lower.contains("half") || lower.contains("flat")))
        || (layers && has(W::Through))
    {
        return Some(Finish::FoldedFlat);
    }
    if lower.contains("leave open")
        || lower.contains("left open")
        || lower.contains("don't close")
        || lower.contains("do not close")
        || lower.contains("leave the opening")
        || lower.contains("stays open")
    {
        return Some(Finish::Open);
    }
    let pulled = lower.contains("through the") && (lower.contains("front loops") || lower.contains("remaining"));
    if has(W::Close) || pulled || lower.contains("pull tight") || lower.contains("sew shut") || lower.contains("draw") {
        return Some(Finish::Gathered);
    }
    None
}

/// `(or: ch 2, 6 sc in 2nd ch from hook)`: another way to work what the text tells anyway.
pub(super) fn alternative(lower: &str, toks: &[Token]) -> bool {
    let [open, .., close] = toks else { return false };
    if !matches!((open.t, close.t), (T::Open(_), T::Close(_))) {
        return false;
    }
    let word = lower.split(|c: char| !c.is_alphabetic()).find(|w| !w.is_empty());
    matches!(word, Some("or" | "alternatively" | "alternative"))
}
