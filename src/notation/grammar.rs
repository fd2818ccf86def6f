//! The parser of one round. It never fails: what it cannot place it lists as unread.
//!
//! ```text
//! round    = { element separator }                      separators: , ; . - + and then, line breaks
//! element  = stitches | group | prefix | total | loops | colour | join | note
//! group    = "(" round ")" [times]                      any bracket closes any bracket
//!          | "*" round "*" [times] | "*" round ["rep" ["from" "*"] ["to" "*"]] times
//!          | "|" round "|" [times] | round "*" "around"          one star: all before it
//! prefix   = NUMBER "x" element | NUMBER group | NUMBER "times" element
//! times    = "x" N | "*" N | N "x" | N "times" | "twice" | N "more times" | "rep" [N] times
//!          | "around" | "to end" | "*" | N                       a bare N only where it fits
//! stitches = [N] [loops] KIND [[ "x" ] N] [place] | [N] ("inc" | "dec") [N] [place]
//!          | KIND N "tog" | N KIND "tog" | N "tog" | N "skip" | symbols (x V Λ W)
//!          | ("inc" | "dec") N "evenly" | N ("inc" | "dec") "evenly" | "work even"
//! place    = ["in"] ["each" | "every" | "all" | "next" | "first" | "last" | "same"]
//!            ["of" "next"] [N | NTH] ["st" | "ch" | "ring" | "round"] ["around" | "from hook"]
//! total    = "(" ["="] N [unit] ")" | "=" N [unit] | "-" N [unit] at the end | ". " N "sts" | N at the end
//! ring     = [N KIND "in"] RING [N [KIND]] | "ch" N ["join"]
//! ```
//! Where the grammar leaves a choice, [`Habits`] decide it; `fit` tries them against the counts.

use std::ops::Range;
use std::sync::Arc;

use super::habits::Habits;
use super::lexer::{T, Token};
use super::reading::Terms;
use super::words::{Printed, W};
use crate::rounds::{Finish, Loops, Stitch, StitchKind};

/// How often.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Amount {
    N(u32),
    /// To the end of the round.
    Fill,
}

/// Where stitches go, where that matters to the count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Into {
    Stitch,
    /// The magic ring or a ring of chains.
    Ring,
    /// The n-th chain from the hook, or any other chain.
    Chain(u32),
    LastChain,
    /// The same stitch as the one before.
    Same,
}

/// One thing of a round, in order.
#[derive(Clone, Debug)]
pub(super) enum Item {
    Work {
        stitch: Stitch,
        amount: Amount,
        into: Into,
        colour: Option<Arc<str>>,
        /// No number was written.
        unnumbered: bool,
        span: Range<usize>,
    },
    Group {
        items: Vec<Item>,
        times: Amount,
    },
    /// Increases (or decreases, below 0) spread over the whole round; 0 when the direction is not said.
    Evenly {
        by: u32,
        down: Option<bool>,
    },
    Chain {
        n: u32,
        span: Range<usize>,
    },
    /// Begins the work on the other side of a chain.
    OtherSide,
}

/// A printed total.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Total {
    pub n: u32,
    pub span: Range<usize>,
}

/// A round under one set of habits.
#[derive(Clone, Debug, Default)]
pub(super) struct Parsed {
    pub items: Vec<Item>,
    pub total: Option<Total>,
    /// A later total that differs from the first.
    pub second_total: Option<Total>,
    /// A magic ring is named.
    pub ring: bool,
    /// "join to form a ring" after a chain.
    pub chain_joined: bool,
    /// "for 5 rounds".
    pub rounds: Option<(u32, Range<usize>)>,
    /// The rounds are said to come on top ("4 more rounds").
    pub rounds_more: bool,
    pub straight: bool,
    pub finish: Option<Finish>,
    pub stuffing: Option<Range<usize>>,
    pub worked_in: Option<Range<usize>>,
    pub measure: Option<Range<usize>>,
    pub unread: Vec<Range<usize>>,
    pub mystery: Option<Range<usize>>,
    pub slips: Vec<Range<usize>>,
    pub unclosed: Option<Range<usize>>,
    pub split: Option<Range<usize>>,
    pub frill: bool,
    pub rim: bool,
    /// Colour that holds at the end.
    pub colour: Option<Arc<str>>,
    /// Habits that the parse depended on.
    pub consulted: Habits,
    /// Stitches or repeats were read (as against notes alone).
    pub stitches: u32,
    pub legs: u32,
}

/// What the parser is told.
#[derive(Clone, Debug)]
pub(super) struct Context<'t> {
    pub text: &'t str,
    pub terms: Terms,
    /// Kind that increases and "work even" are made in.
    pub kind: StitchKind,
    pub colour: Option<Arc<str>>,
    pub habits: Habits,
    /// No round lies below.
    pub first: bool,
}

pub(super) struct Parser<'a> {
    pub cx: &'a Context<'a>,
    pub toks: &'a [Token],
    pub i: usize,
    pub out: Parsed,
    pub loops: Loops,
    pub kind: StitchKind,
    pub depth: u32,
    /// Inside a group closed by a star or a pipe.
    pub closer: Option<T>,
    /// That closer stands nowhere ahead: "to the end" ends the group.
    pub open_ended: bool,
    /// The token behind the last name of a colour.
    pub colour_end: usize,
}

/// Brackets deeper than this are read as if they were not there.
const DEEPEST: u32 = 6;

/// Parses the words of one round (label taken off).
pub(super) fn parse(cx: &Context<'_>, toks: &[Token]) -> Parsed {
    let mut p = Parser {
        cx,
        toks,
        i: 0,
        out: Parsed { colour: cx.colour.clone(), ..Parsed::default() },
        loops: Loops::Both,
        kind: cx.kind,
        depth: 0,
        closer: None,
        open_ended: false,
        colour_end: usize::MAX,
    };
    p.out.frill = toks.iter().any(|t| {
        let word = &cx.text[t.start..t.end];
        t.is(W::Unknown) && word.len() >= 5 && (word.starts_with("frill") || word.starts_with("ruffl"))
    });
    p.out.slips = toks.iter().filter(|t| t.slip).map(|t| t.start..t.end).collect();
    // "inc" is of the kind that the round names first, else of the kind of the rounds before.
    let named = toks.iter().find_map(|t| match t.t {
        T::Word(W::Kind(k) | W::KindTog(k)) if k != Printed::Slip => Some(k),
        _ => None,
    });
    if let Some(k) = named {
        p.kind = p.stitch_kind(k);
    }
    let mut items = p.list();
    // Stray closers end a list early: go on behind them.
    while p.i < p.toks.len() {
        p.i += 1;
        items.extend(p.list());
    }
    if p.out.stuffing.is_none()
        && let Some(at) = toks.iter().position(|t| t.is(W::Stuff))
    {
        let end = toks[at..].iter().take_while(|t| !matches!(t.t, T::Dot | T::Semi | T::Break)).last();
        p.out.stuffing = Some(toks[at].start..end.map_or(toks[at].end, |t| t.end));
    }
    if items.is_empty() && p.out.straight {
        items.push(p.fill());
    }
    // One kind of stitch with no number, alone: all round.
    if let [Item::Work { amount, unnumbered: true, into: Into::Stitch, .. }] = items.as_mut_slice()
        && !cx.first
    {
        *amount = Amount::Fill;
    }
    let plain = items.iter().all(|i| matches!(i, Item::Work { amount: Amount::N(_), into: Into::Stitch, .. }));
    if plain && items.len() > 1 && p.habit(Habits::WHOLE_REPEATS) {
        items = vec![Item::Group { items, times: Amount::Fill }];
    }
    p.out.items = super::limbs::absorb(items);
    p.out
}

impl Parser<'_> {
    pub fn peek(&self, ahead: usize) -> Option<T> {
        self.toks.get(self.i + ahead).map(|t| t.t)
    }
    pub fn word(&self, ahead: usize) -> Option<W> {
        self.toks.get(self.i + ahead).and_then(Token::word)
    }
    pub fn num(&self, ahead: usize) -> Option<u32> {
        self.toks.get(self.i + ahead).and_then(Token::num)
    }
    pub fn habit(&mut self, h: Habits) -> bool {
        self.out.consulted.0 |= h.0;
        self.cx.habits.has(h)
    }
    pub fn span_from(&self, from: usize) -> Range<usize> {
        let start = self.toks.get(from).map_or(0, |t| t.start);
        let end = self.i.checked_sub(1).and_then(|i| self.toks.get(i)).map_or(start, |t| t.end);
        start..end.max(start)
    }
    pub fn lower(&self, ahead: usize) -> String {
        self.toks.get(self.i + ahead).map_or_else(String::new, |t| self.cx.text[t.start..t.end].to_lowercase())
    }

    pub fn stitch_kind(&self, p: Printed) -> StitchKind {
        let uk = self.cx.terms == Terms::Uk;
        match p {
            Printed::Slip => StitchKind::Slip,
            Printed::Sc => StitchKind::Single,
            Printed::Hdc | Printed::Htr => StitchKind::HalfDouble,
            Printed::Dc if uk => StitchKind::Single,
            Printed::Dc => StitchKind::Double,
            Printed::Tr if uk => StitchKind::Double,
            Printed::Tr | Printed::Dtr => StitchKind::Treble,
        }
    }

    pub fn work(&self, uses: u32, makes: u32, amount: Amount, from: usize) -> Item {
        let cut = |n: u32| u16::try_from(n).unwrap_or(u16::MAX);
        Item::Work {
            stitch: Stitch { kind: self.kind, loops: self.loops, uses: cut(uses), makes: cut(makes) },
            amount,
            into: Into::Stitch,
            colour: self.out.colour.clone(),
            unnumbered: false,
            span: self.span_from(from),
        }
    }

    pub fn fill(&self) -> Item {
        self.work(1, 1, Amount::Fill, self.i.saturating_sub(1))
    }

    /// Elements up to the closer (left standing) or the end.
    pub fn list(&mut self) -> Vec<Item> {
        let mut items: Vec<Item> = Vec::new();
        while let Some(t) = self.peek(0) {
            let before = self.i;
            if self.open_ended && self.closer.is_some() && self.repeats_to_end() && !items.is_empty() {
                return items;
            }
            match t {
                T::Close(_) => {
                    if self.depth > 0 {
                        return items;
                    }
                    if self.out.unclosed.is_none() {
                        self.out.unclosed = Some(self.toks[self.i].start..self.toks[self.i].end);
                    }
                    self.i += 1;
                    // What was never opened begins at the head of the round.
                    if !items.is_empty()
                        && let Some(times) = self.times_after(true)
                    {
                        let inner = std::mem::take(&mut items);
                        items.push(Item::Group { items: inner, times });
                    }
                }
                T::Star | T::Pipe => {
                    if self.closer == Some(t) {
                        return items;
                    }
                    self.star(&mut items, t);
                }
                T::Open(_) => self.bracket(&mut items),
                T::Eq => {
                    self.i += 1;
                    self.total_here();
                }
                T::Dash | T::Colon | T::Dot | T::Comma | T::Semi | T::Tab | T::Break => {
                    self.i += 1;
                    let later = (!items.is_empty() || self.out.ring) && self.colour_end != self.i - 1;
                    if later && self.trailing_total(matches!(t, T::Dash | T::Colon | T::Dot | T::Tab)) {
                        self.total_here();
                    }
                }
                T::Plus | T::Amp | T::Slash | T::Mark => self.i += 1,
                T::Ord(_) => self.i += 1,
                T::Num(_) | T::Word(_) => {
                    if self.closer.is_some() && self.rep_from_star() {
                        return items;
                    }
                    let n = items.len();
                    self.element(&mut items);
                    if items.len() > n {
                        self.out.stitches += 1;
                    }
                    self.postfix(&mut items, n);
                }
            }
            if self.i == before {
                // Nothing took it: never stand still.
                self.i += 1;
            }
        }
        items
    }

    /// "around", "to the end" here.
    pub fn repeats_to_end(&self) -> bool {
        match self.word(0) {
            Some(W::Around) => true,
            Some(W::To | W::Until) => {
                let k = if self.word(1) == Some(W::The) { 2 } else { 1 };
                self.word(k) == Some(W::End)
            }
            _ => false,
        }
    }

    /// `rep from *` that ends a star group.
    fn rep_from_star(&self) -> bool {
        self.word(0) == Some(W::Rep)
    }

    /// Whether a number here, with an optional unit, is the last of the round's words.
    fn trailing_total(&self, strong: bool) -> bool {
        if self.num(0).is_none() || self.out.total.is_some() || self.depth > 0 {
            return false;
        }
        match self.word(1) {
            Some(W::St | W::Point) => self.ends(2),
            Some(W::Kind(_)) => {
                let other = matches!(self.peek(2), Some(T::Open(_) | T::Eq)) && self.num(3).is_some();
                strong && !other && self.ends(2)
            }
            _ => self.ends(1),
        }
    }

    /// Whether the round's work ends here: nothing follows, or only a note.
    pub fn ends(&self, mut ahead: usize) -> bool {
        loop {
            match self.peek(ahead) {
                None | Some(T::Break) => return true,
                Some(T::Dot | T::Comma | T::Semi | T::Mark | T::Dash | T::Tab | T::Pipe) => ahead += 1,
                // "28 BLO", but not "28 BLO sc".
                Some(T::Word(W::Blo | W::Flo)) => ahead += 1,
                Some(T::Word(w)) => {
                    return matches!(
                        w,
                        W::Note
                            | W::Stuff
                            | W::Fasten
                            | W::Change
                            | W::Join
                            | W::Fold
                            | W::Close
                            | W::Total
                            | W::Per
                            | W::With
                    );
                }
                Some(T::Open(_)) => return !self.bracket_has_work(ahead),
                _ => return false,
            }
        }
    }

    /// Reads `[(] N [unit] [)]` as the total.
    fn total_here(&mut self) -> bool {
        let from = self.i;
        if matches!(self.peek(0), Some(T::Open(_))) && self.num(1).is_some() {
            self.i += 1;
        }
        let Some(n) = self.num(0) else {
            self.i = from;
            return false;
        };
        self.i += 1;
        self.total_tail();
        let span = self.toks[from].start..self.toks[self.i - 1].end;
        if matches!(self.peek(0), Some(T::Close(_))) && matches!(self.toks[from].t, T::Open(_)) {
            self.i += 1;
        }
        self.set_total(n, span);
        true
    }

    /// Unit and words after a total: `28 sc per round`, `28 sts total`.
    pub fn total_tail(&mut self) {
        while let Some(T::Word(w)) = self.peek(0) {
            if matches!(
                w,
                W::St | W::Point | W::Kind(_) | W::Total | W::Per | W::Each | W::Rnd | W::Around | W::Inc | W::Dec
            ) || (matches!(w, W::In | W::The | W::All | W::End) && !self.in_colour())
            {
                self.i += 1;
            } else {
                break;
            }
        }
    }

    pub fn set_total(&mut self, n: u32, span: Range<usize>) {
        let total = Total { n, span };
        match &self.out.total {
            None => self.out.total = Some(total),
            Some(first) if first.n != n => self.out.second_total = Some(total),
            Some(_) => {}
        }
    }

    /// Index of the closer of the bracket that opens `ahead`, if any.
    fn closer_of(&self, ahead: usize) -> Option<usize> {
        let mut depth = 0i32;
        for (k, token) in self.toks.iter().enumerate().skip(self.i + ahead).take(400) {
            match token.t {
                T::Open(_) => depth += 1,
                T::Close(_) => {
                    depth -= 1;
                    if depth == 0 {
                        return Some(k);
                    }
                }
                _ => {}
            }
        }
        None
    }

    pub fn bracket_has_work(&self, ahead: usize) -> bool {
        let end = self.closer_of(ahead).unwrap_or(self.toks.len().min(self.i + ahead + 400));
        let mut numbers = 0;
        for token in &self.toks[(self.i + ahead).min(end)..end] {
            match token.t {
                T::Word(W::Kind(_) | W::Inc | W::Dec | W::Tog | W::SymInc | W::SymDec | W::KindTog(_) | W::X) => {
                    return numbers != 1 || !self.lone_total(self.i + ahead, end);
                }
                T::Num(_) => numbers += 1,
                _ => {}
            }
        }
        false
    }

    /// `( [=] N [unit…] )` and nothing else.
    fn lone_total(&self, open: usize, close: usize) -> bool {
        let mut seen = false;
        for token in &self.toks[open + 1..close] {
            match token.t {
                T::Eq | T::Dot | T::Dash => {}
                T::Num(_) if !seen => seen = true,
                T::Word(W::St | W::Point | W::Total | W::Per | W::Each | W::Rnd | W::In | W::Kind(_) | W::Around)
                    if seen => {}
                T::Word(W::Total | W::Is) => {}
                _ => return false,
            }
        }
        seen
    }

    pub fn bracket(&mut self, items: &mut Vec<Item>) {
        let open = self.i;
        let close = self.closer_of(0);
        let end = close.unwrap_or(self.toks.len());
        let next = close.map_or(end, |c| c + 1);
        if self.lone_total(open, end) && close.is_some() {
            let inner = &self.toks[open + 1..end];
            let n = inner.iter().find_map(Token::num).unwrap_or(0);
            let unit = inner.iter().any(|t| matches!(t.t, T::Word(W::Kind(_))));
            let rounds = inner.iter().position(|t| t.is(W::Rnd)) == Some(1);
            if rounds {
                self.i = next;
                self.out.rounds = Some((n, self.span_from(open)));
                return;
            }
            let repeated = self.repeat_follows(next);
            let work = unit && ((items.is_empty() && !self.out.ring && self.depth == 0) || repeated || self.depth > 0);
            let flip = unit && !repeated && self.depth == 0 && self.habit(Habits::TOTAL_IS_WORK);
            if !(work ^ flip) {
                self.i = next;
                self.set_total(n, self.span_from(open));
                return;
            }
        }
        if close.is_some() && self.note_bracket(open, end, items) {
            self.i = next;
            return;
        }
        // `(15 hdc, 5 puff)` at the end: the total, kind by kind.
        if close.is_some()
            && !items.is_empty()
            && self.depth == 0
            && !self.repeat_follows(next)
            && self.out.total.is_none()
            && let Some(sum) = self.breakdown(open, end)
            && !self.habit(Habits::BRACKET_IS_WORK)
        {
            self.i = next;
            self.set_total(sum, self.span_from(open));
            return;
        }
        self.i = open + 1;
        if self.depth >= DEEPEST {
            return;
        }
        let (outer_closer, outer_loops) = (self.closer.take(), self.loops);
        self.depth += 1;
        let mut inner = self.list();
        self.depth -= 1;
        self.closer = outer_closer;
        self.loops = outer_loops;
        if matches!(self.peek(0), Some(T::Close(_))) {
            self.i += 1;
        } else if self.out.unclosed.is_none() {
            self.out.unclosed = Some(self.toks[open].start..self.toks[open].end);
        }
        if inner.is_empty() {
            return;
        }
        self.bracket_two(&mut inner);
        let times = self.times_after(true).unwrap_or_else(|| {
            let alone = items.is_empty() && self.ends(0) && inner.len() > 1;
            if alone ^ self.habit(Habits::UNNUMBERED) { Amount::Fill } else { Amount::N(1) }
        });
        self.out.stitches += 1;
        items.push(Item::Group { items: inner, times });
    }

    /// `(2sc)` alone in brackets as an increase, where that habit holds.
    fn bracket_two(&mut self, inner: &mut [Item]) {
        if let [Item::Work { stitch, amount: Amount::N(n @ 2..=4), into: Into::Stitch, .. }] = inner
            && (stitch.uses, stitch.makes) == (1, 1)
        {
            let n16 = u16::try_from(*n).unwrap_or(2);
            if self.habit(Habits::BRACKET_TWO)
                && let [Item::Work { stitch, amount, .. }] = inner
            {
                stitch.makes = n16;
                *amount = Amount::N(1);
            }
        }
    }

    fn breakdown(&self, open: usize, close: usize) -> Option<u32> {
        let (mut sum, mut pairs) = (0u32, 0);
        let mut k = open + 1;
        while k < close {
            match (self.toks[k].t, self.toks.get(k + 1).map(|t| t.t)) {
                (T::Num(n), Some(T::Word(W::Kind(_) | W::Cluster | W::Inc | W::Dec | W::St | W::Ch))) => {
                    sum = sum.saturating_add(n);
                    pairs += 1;
                    k += 2;
                }
                (T::Comma | T::Plus | T::Amp | T::Word(W::And), _) => k += 1,
                _ => return None,
            }
        }
        (pairs > 1).then_some(sum)
    }

    /// Star and pipe groups.
    fn star(&mut self, items: &mut Vec<Item>, mark: T) {
        let open = self.i;
        self.i += 1;
        let rest = &self.toks[self.i..self.toks.len().min(self.i + 400)];
        let more_marks = rest.iter().any(|t| t.t == mark);
        let repeats = rest.iter().any(|t| t.is(W::Rep));
        let next_is_times = self.num(0).is_some() && !more_marks && !repeats && self.ends(1);
        if (!more_marks && !repeats && !items.is_empty()) || next_is_times {
            // One mark only: all before it is repeated.
            let times = self.times_after(true).unwrap_or(Amount::Fill);
            let all = std::mem::take(items);
            items.push(Item::Group { items: all, times });
            return;
        }
        if self.depth >= DEEPEST {
            return;
        }
        let outer = self.closer.replace(mark);
        let outer_open = std::mem::replace(&mut self.open_ended, !more_marks && !repeats);
        self.depth += 1;
        let inner = self.list();
        self.depth -= 1;
        self.closer = outer;
        self.open_ended = outer_open;
        if self.peek(0) == Some(mark) {
            self.i += 1;
        }
        if inner.is_empty() {
            return;
        }
        let said = self.times_after(true);
        if said.is_none() && !repeats && !more_marks && self.out.unclosed.is_none() {
            self.out.unclosed = Some(self.toks[open].start..self.toks[open].end);
        }
        // `*sc, inc; rep 6 times*`
        if self.peek(0) == Some(mark) && self.ends(1) {
            self.i += 1;
        }
        let times = said.unwrap_or(Amount::Fill);
        self.out.stitches += 1;
        items.push(Item::Group { items: inner, times });
    }
}
