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
use super::legend::Legend;
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
    },
    /// Begins the work on the other side of a chain.
    OtherSide,
}

/// A printed total.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Total {
    pub n: u32,
    pub span: Range<usize>,
    /// A bare number: a total in brackets behind it is the better one.
    pub weak: bool,
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
    /// "Sc in every other st": stitches between are passed over.
    pub passed: Option<Range<usize>>,
    pub frill: bool,
    pub rim: bool,
    /// Colour that holds at the end.
    pub colour: Option<Arc<str>>,
    /// Habits that the parse depended on.
    pub consulted: Habits,
    /// Stitches or repeats were read (as against notes alone).
    pub stitches: u32,
    pub legs: u32,
    /// Told for both ends of the row, until the list is read.
    pub ends: Vec<Item>,
}

/// What the parser is told.
#[derive(Clone, Debug)]
pub(super) struct Context<'t> {
    pub text: &'t str,
    /// Colours that letters stand for.
    pub legend: &'t Legend,
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
    let mut items = super::limbs::absorb(items);
    p.put_ends(&mut items);
    p.out.items = items;
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
                    if !self.set_off_total(t, !items.is_empty()) {
                        self.star(&mut items, t);
                    }
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
                T::Slash | T::Mark => {
                    self.i += 1;
                    // `/18/`, `• 18`
                    let later = !items.is_empty() || self.out.ring;
                    if later && self.trailing_total(true) {
                        self.total_here();
                    }
                }
                T::Plus | T::Amp => self.i += 1,
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
}
