//! Entries to pieces: which rounds belong together, what each lies on, how ranges unfold.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use super::asides::finish_said;
use super::commands;
use super::copies::{self, Copies};
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::spread_kind;
use super::fit::{Fitted, fit};
use super::grammar::{Context, parse};
use super::habits::Habits;
use super::legend::Legend;
use super::lexer::{Line, T, Token};
use super::lines::{Entry, RoundText};
use super::looks::is_command;
use super::reading::{Heading, Known, Piece, ReadRound, Said, StuffingNote, Terms};
use super::settle::Settled;
use super::sorting::{front_loops, leg_names, starts};
use super::starts::Begun;
use super::titles::Says;
use super::words::W;
use super::write::stagger_shift;
use crate::rounds::{Finish, Loops, Start, StitchKind, even};

/// Words beyond which only the plainest reading is tried.
pub(super) const MANY_WORDS: usize = 150;

/// More rounds than this in one text are no pattern.
const MOST_ROUNDS: usize = 50_000;

/// The piece that is being read.
#[derive(Clone, Debug)]
pub(super) struct Current {
    pub piece: Piece,
    pub named: bool,
    pub below: Option<u32>,
    pub next_label: Option<u32>,
    pub kind: StitchKind,
    pub colour: Option<Arc<str>>,
    pub begun: Begun,
    pub finish: Option<Finish>,
    /// Counts and nothing else.
    pub bare: bool,
    /// The place of the last round with each number.
    pub numbers: HashMap<u32, usize>,
    /// Words of the round that made each of its rounds.
    pub sources: Vec<usize>,
    /// Line of the last round whose count is in doubt, until a total bears a count out.
    pub doubt: Option<usize>,
}

/// A heading that waits for its rounds.
pub(super) struct Pending {
    pub title: String,
    pub copies: Option<Copies>,
    pub span: Range<usize>,
    pub strong: bool,
}

pub(super) struct Builder<'t> {
    pub text: &'t str,
    pub lines: &'t [Line],
    pub entries: Vec<Entry>,
    pub terms: Terms,
    pub heading: &'t Heading,
    pub legend: &'t Legend,
    pub found: Vec<Found>,
    pub pieces: Vec<Piece>,
    /// For each piece, the place of the last round with each number.
    pub numbers: Vec<HashMap<u32, usize>>,
    pub cur: Option<Current>,
    pub pending: Option<Pending>,
    /// Colour named under a heading, before its first round.
    pub next_colour: Option<Arc<str>>,
    /// "Join yarn in the front loops of round 4", before the rounds worked there.
    pub next_rim: Option<(String, Option<u32>)>,
    /// "Join the legs with ch 3", before the rounds worked around them.
    pub next_legs: Option<(Vec<String>, u32)>,
    /// The piece that was divided, while its parts are worked.
    pub divided: Option<String>,
    pub habits: Habits,
    /// Runs that may still be made.
    budget: usize,
    full: bool,
    /// Rounds made in all.
    rounds: usize,
    pub labelled: bool,
}

impl<'t> Builder<'t> {
    pub fn new(
        text: &'t str,
        lines: &'t [Line],
        entries: Vec<Entry>,
        terms: Terms,
        heading: &'t Heading,
        legend: &'t Legend,
    ) -> Self {
        let labelled =
            entries.iter().filter(|e| matches!(e, Entry::Round(r) if r.label.is_some())).take(2).count() == 2;
        Builder {
            text,
            lines,
            entries,
            terms,
            heading,
            legend,
            found: Vec::new(),
            pieces: Vec::new(),
            numbers: Vec::new(),
            cur: None,
            pending: None,
            next_colour: None,
            next_rim: None,
            next_legs: None,
            divided: None,
            habits: Habits::default(),
            budget: 100_000 + 4 * text.len(),
            full: false,
            rounds: 0,
            labelled,
        }
    }

    pub fn run(mut self) -> (Vec<Piece>, Vec<Found>) {
        self.reorder();
        let mut i = 0;
        while i < self.entries.len() && !self.full {
            let entry = self.entries[i].clone();
            i += match entry {
                Entry::Heading { title, copies, span, strong, says, line } => {
                    if self.is_aside(i, &title, says) || (says == Says::GoesOn && self.reopen(&title)) {
                        self.note(line, self.lines[line].end);
                    } else {
                        self.pending_heading(title, copies, span, strong);
                    }
                    1
                }
                Entry::Note { line, end, doubt } => {
                    if doubt {
                        self.doubtful_remark(line);
                    }
                    self.note(line, end);
                    1
                }
                Entry::Counts { counts, line } => {
                    self.counts(&counts, line);
                    1
                }
                Entry::Round(r) => self.round(i, r),
            };
        }
        self.close();
        (self.pieces, self.found)
    }

    /// Two rounds whose labels are swapped (3 before 2) are put in order.
    fn reorder(&mut self) {
        let rounds: Vec<usize> = self
            .entries
            .iter()
            .enumerate()
            .filter_map(|(i, e)| matches!(e, Entry::Round(r) if r.label.is_some()).then_some(i))
            .collect();
        let lab = |e: &[Entry], i: usize| match &e[i] {
            Entry::Round(r) => r.label,
            _ => None,
        };
        for w in rounds.windows(4) {
            let es = &self.entries;
            let (Some(a), Some(b), Some(c), Some(d)) = (lab(es, w[0]), lab(es, w[1]), lab(es, w[2]), lab(es, w[3]))
            else {
                continue;
            };
            if c.to + 1 == b.from && a.to + 1 == c.from && b.to + 1 == d.from {
                if let Entry::Round(r) = &self.entries[w[1]] {
                    let message = format!("Round {} stands before round {}: they are put in order.", b.from, c.from);
                    let remedy = "Move the line to its place.";
                    self.found.push(Found::new(K::LabelOrder, S::Note, r.span.clone(), message, remedy));
                }
                self.entries.swap(w[1], w[2]);
            }
        }
    }

    fn pending_heading(&mut self, title: String, copies: Option<Copies>, span: Range<usize>, strong: bool) {
        // "Make 2" on a line of its own belongs to the heading before it, or to the piece that is done.
        if title.is_empty() {
            if let Some(c) = copies {
                self.set_copies(&c);
            }
            return;
        }
        // A weak line behind a strong heading does not replace it.
        if !strong && self.pending.as_ref().is_some_and(|p| p.strong) {
            return;
        }
        let lower = title.to_lowercase();
        let again = strong && matches!(lower.as_str(), "second" | "other" | "another");
        if again {
            return;
        }
        self.pending = Some(Pending { title, copies, span, strong });
    }

    /// Whether a line that names a part is only about it: nothing begins behind it, or a heading waits already.
    fn is_aside(&self, i: usize, title: &str, says: Says) -> bool {
        match says {
            Says::Name => false,
            Says::Remark => self.pending.as_ref().is_some_and(|p| p.strong) || !self.begins_behind(i),
            Says::GoesOn => self.cur.as_ref().is_some_and(|c| c.named && c.piece.name.eq_ignore_ascii_case(title)),
        }
    }

    /// Whether what stands behind entry `i` begins a piece.
    fn begins_behind(&self, i: usize) -> bool {
        for e in self.entries[i + 1..].iter().take(12) {
            match e {
                Entry::Round(r) => return r.label.is_some_and(|l| l.from == 1) || starts(r),
                Entry::Counts { .. } => return true,
                Entry::Heading { strong: true, says: Says::Name, .. } => return false,
                _ => {}
            }
        }
        false
    }

    fn set_copies(&mut self, c: &Copies) {
        self.copies_problem(c);
        if let Some(p) = &mut self.pending {
            p.copies = Some(c.clone());
        } else if let Some(cur) = &mut self.cur {
            cur.piece.copies = if c.more { cur.piece.copies.saturating_add(c.n) } else { c.n };
        }
    }

    pub fn copies_problem(&mut self, c: &Copies) {
        if c.unclear {
            let message = format!("How many to make is not clear here: {} are taken.", c.n);
            let f = Found::new(K::CopiesUnclear, S::Warning, c.span.clone(), message, "Write one number.");
            self.found.push(f);
        }
    }

    fn note(&mut self, line: usize, end: usize) {
        let whole = &self.lines[line];
        let tokens = whole.tokens.iter().take_while(|t| t.end <= end).copied().collect();
        let line = &Line { start: whole.start, end: end.min(whole.end), tokens };
        let lower = self.text[line.start..line.end].to_lowercase();
        let toks = &line.tokens;
        let text = self.text[line.start..line.end].trim().to_owned();
        let stuffs = toks.iter().any(|t| t.is(W::Stuff));
        let make = toks.iter().position(|t| t.is(W::Make)).filter(|k| *k <= 1);
        if let Some(k) = make
            && toks.len() <= k + 6
            && let Some((c, _)) = copies::copies(self.text, toks)
            && !toks.iter().skip(k + 2).any(|t| t.is(W::Unknown) && !copies::is_alike(self.text, t))
        {
            self.set_copies(&c);
        } else if (lower.contains("make another")
            || lower.contains("make a second")
            || lower.contains("second one the same")
            || self.asks_once_more(&lower))
            && let Some(cur) = &mut self.cur
            && cur.piece.copies == 1
        {
            cur.piece.copies = 2;
        }
        let colours = toks.iter().take(6).any(|t| matches!(t.t, T::Word(W::Change)))
            || matches!(toks.first().and_then(Token::word), Some(W::With | W::Start | W::Join | W::Continue));
        if front_loops(toks) && matches!(toks.first().and_then(Token::word), Some(W::Join | W::In | W::Work | W::With))
        {
            self.next_rim = Some(self.rim(toks));
        }
        self.start_note(line, &lower);
        self.divide_note(line, &lower);
        if colours && toks.len() <= 30 {
            self.colour_note(toks);
        }
        let Some(cur) = &mut self.cur else { return };
        if cur.piece.rounds.is_empty() {
            return;
        }
        if stuffs && cur.piece.stuffing.is_none() {
            let note = StuffingNote { text, after_round: cur.piece.rounds.len() };
            cur.piece.stuffing = Some(Said { value: note, span: line.start..line.end });
        }
        if self.pending.is_none()
            && let Some(f) = finish_said(toks, &lower)
        {
            cur.finish = Some(f);
        }
    }

    /// "Divide for the legs: …", "Now split the work": the pieces that follow are worked on parts of this one.
    fn divide_note(&mut self, line: &Line, lower: &str) {
        let told = lower.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty()).take(4);
        let Some(cur) = self.cur.as_ref().filter(|c| !c.piece.rounds.is_empty()) else { return };
        if !told.into_iter().any(|w| super::looks::DIVIDES.contains(&w)) {
            return;
        }
        self.divided = Some(if cur.named { cur.piece.name.clone() } else { self.piece_name() });
        let message = "The work divides here; its parts are counted as pieces of their own.";
        let remedy = "Check that the rounds of each part and their totals are given below.";
        self.found.push(Found::new(K::SplitWork, S::Note, line.start..line.end, message, remedy));
    }

    /// "Join left leg + right leg with ch 3 between them.", "Continue from the open rim of the head." before
    /// the rounds that begin there.
    fn start_note(&mut self, line: &Line, lower: &str) {
        let text = &self.text[line.start..line.end];
        if let Some(at) = lower.find("open rim of ").filter(|_| lower.len() == text.len()) {
            let name = text[at + 12..].trim().trim_end_matches('.').trim_start_matches("the ").to_owned();
            let below = self
                .pieces
                .iter()
                .chain(self.cur.as_ref().map(|c| &c.piece))
                .rev()
                .take(24)
                .find(|p| p.name.eq_ignore_ascii_case(&name))
                .and_then(|p| p.rounds.last())
                .map(|r| r.round.count());
            if !name.is_empty() {
                self.next_rim = Some((name, below));
            }
            return;
        }
        if !lower.trim_start().starts_with("join ") {
            return;
        }
        let chain = line.tokens.windows(2).find(|w| w[0].is(W::Ch)).and_then(|w| w[1].num()).unwrap_or(0);
        let names = text.trim_start().get(5..).unwrap_or("");
        let names = names.find(" with ").map_or(names, |at| &names[..at]).trim_end_matches('.');
        let legs: Vec<String> = if names.contains(" + ") {
            names.split(" + ").map(|n| n.trim().to_owned()).collect()
        } else if line.tokens.iter().any(|t| t.is(W::Leg)) && !line.tokens.iter().any(|t| t.is(W::Flo)) {
            let far = self.pieces.len().saturating_sub(24);
            let open = self.cur.as_ref().filter(|c| !c.piece.rounds.is_empty()).map(|c| &c.piece);
            let near: Vec<&Piece> = self.pieces[far..].iter().chain(open).collect();
            leg_names(&near)
        } else {
            Vec::new()
        };
        if legs.len() > 1 {
            self.next_legs = Some((legs, chain));
        }
    }

    /// "Change to black." between rounds, "Start with navy." under a heading.
    fn colour_note(&mut self, toks: &[Token]) {
        let before = self.context(false).colour;
        let p = parse(&self.context(false), toks);
        if p.colour == before {
            return;
        }
        if self.pending.is_some() || self.cur.is_none() {
            self.next_colour = p.colour;
        } else if let Some(cur) = &mut self.cur {
            cur.colour = p.colour;
        }
    }

    /// Ends the current piece.
    pub fn close(&mut self) {
        let Some(mut cur) = self.cur.take() else { return };
        if cur.piece.rounds.is_empty() {
            if let Some((n, _)) = cur.begun.chain.filter(|_| cur.named) {
                let message =
                    format!("A chain of {n} with no round on it is a cord; \"{}\" is left out.", cur.piece.name);
                let remedy = "Write the rounds worked into the chain, if there are any.";
                self.found.push(Found::new(K::NoCount, S::Note, cur.piece.span, message, remedy));
            }
            return;
        }
        let last = cur.piece.rounds.last().map_or(0, |r| r.round.count());
        cur.piece.finish_said = cur.finish.is_some();
        cur.piece.finish = cur.finish.unwrap_or(if last <= 12 { Finish::Gathered } else { Finish::Open });
        if !cur.named {
            cur.piece.name = format!("piece {}", self.pieces.len() + 1);
        }
        self.pieces.push(cur.piece);
        self.numbers.push(cur.numbers);
    }

    /// Begins a piece, under the heading that waits if there is one.
    pub fn begin(&mut self, span: Range<usize>) {
        self.close();
        let pending = self.pending.take();
        let (name, copies, from) = match pending {
            Some(p) => {
                if let Some(c) = &p.copies {
                    self.copies_problem(c);
                }
                (p.title, p.copies.map_or(1, |c| c.n), p.span.start)
            }
            None => (String::new(), 1, span.start),
        };
        self.cur = Some(Current {
            named: !name.is_empty(),
            piece: Piece {
                name,
                copies,
                start: Start::MagicRing,
                finish: Finish::Open,
                finish_said: false,
                rounds: Vec::new(),
                span: from..span.end,
                stuffing: None,
                worked_in: Vec::new(),
            },
            below: None,
            next_label: None,
            kind: StitchKind::Single,
            colour: self.next_colour.take(),
            begun: Begun::default(),
            finish: None,
            bare: false,
            numbers: HashMap::new(),
            sources: Vec::new(),
            doubt: None,
        });
        if let Some((legs, chain)) = self.next_legs.take()
            && let Some(cur) = &mut self.cur
        {
            cur.begun.legs = legs;
            cur.begun.chain = (chain > 0).then_some((chain, false));
        }
        if let Some((part, below)) = self.next_rim.take()
            && let Some(cur) = &mut self.cur
        {
            cur.begun.rim = Some(part.clone());
            cur.piece.start = Start::Rim { part };
            cur.below = below;
        }
    }

    /// Whether a heading that names a part waits for its rounds.
    pub fn has_heading(&self) -> bool {
        self.pending.is_some()
    }

    /// Begins a piece that is told by another.
    pub fn begin_like(&mut self, name: &str, start: Start, span: Range<usize>) {
        if self.pending.is_none() {
            let title = format!("{name} 2");
            self.pending = Some(Pending { title, copies: None, span: span.clone(), strong: true });
        }
        self.begin(span);
        if let Some(cur) = &mut self.cur {
            cur.piece.start = start;
        }
    }

    fn counts(&mut self, counts: &[(u32, Range<usize>)], line: usize) {
        let whole = counts[0].1.start..counts[counts.len() - 1].1.end;
        if counts.len() < 3 && !self.pending.as_ref().is_some_and(|p| p.strong) {
            return;
        }
        self.begin(whole);
        for (n, span) in counts {
            let Some(cur) = &mut self.cur else { return };
            let at = cur.piece.rounds.len();
            let n = *n;
            let dash = self.text[..span.start].chars().rev().take(2).collect::<Vec<_>>();
            let negative = matches!(dash.first(), Some('-' | '−'))
                && dash.get(1).is_none_or(|c| c.is_whitespace() || matches!(c, ',' | ';' | '('));
            if n == 0 || negative {
                let sign = if negative { "-" } else { "" };
                let message = format!(
                    "A round of {sign}{} stitches cannot be; the number is left out.",
                    &self.text[span.clone()]
                );
                self.found.push(Found::new(K::ImpossibleRound, S::Severe, span.clone(), message, "Check the number."));
                continue;
            }
            if n > super::expand::MOST_STITCHES {
                let message = format!("{n} stitches in a round are beyond all sense; the number is left out.");
                self.found.push(Found::new(K::TooLarge, S::Severe, span.clone(), message, "Check the number."));
                continue;
            }
            let round = match cur.below {
                None => {
                    cur.piece.start = if n <= 12 { Start::MagicRing } else { Start::ChainRing };
                    even(n)
                }
                Some(below) => {
                    if u64::from(n) > 4 * u64::from(below) || u64::from(below) > 4 * u64::from(n) {
                        let message = format!("No round leads from {below} stitches to {n}.");
                        let remedy = "Check the two counts; a round may be missing between them.";
                        self.found.push(Found::new(K::ImpossibleRound, S::Severe, span.clone(), message, remedy));
                    }
                    let Some(round) = spread_kind(below, n, stagger_shift(at), StitchKind::Single, Loops::Both, None)
                    else {
                        continue;
                    };
                    round
                }
            };
            cur.bare = true;
            let start = span.start;
            let line = line + self.lines[line..].partition_point(|l| l.end < start);
            self.push(Settled { round, known: Known::TotalOnly }, String::new(), span.clone(), line, usize::MAX);
        }
    }

    /// Adds a round to the current piece. `line` counts from 0. False when the text asks for too much.
    pub fn push(&mut self, s: Settled, label: String, span: Range<usize>, line: usize, source: usize) -> bool {
        let cost = s.round.runs.len() + 4;
        if self.budget < cost || self.rounds >= MOST_ROUNDS {
            if !self.full {
                self.full = true;
                let message = "The text asks for more rounds than any toy has; the rest is not read.";
                self.found.push(Found::new(K::TooLarge, S::Severe, span, message, "Check ranges and repeats."));
            }
            return false;
        }
        self.budget -= cost;
        self.rounds += 1;
        let Some(cur) = &mut self.cur else { return false };
        let kind = s.round.kind();
        if kind != StitchKind::Slip {
            cur.kind = kind;
        }
        cur.below = Some(s.round.count());
        cur.finish = None;
        cur.piece.span.end = cur.piece.span.end.max(span.end);
        let label = if label.is_empty() { (cur.piece.rounds.len() + 1).to_string() } else { label };
        cur.piece.rounds.push(ReadRound { label, round: s.round, known: s.known, span, line: line + 1 });
        cur.sources.push(source);
        let at = cur.piece.rounds.len() - 1;
        cur.numbers.insert(commands::number_of(&cur.piece.rounds[at], at), at);
        true
    }

    /// The next round's words, if it lies on this one.
    pub fn next_round(&self, i: usize) -> Option<&RoundText> {
        for e in self.entries[i + 1..].iter().take(12) {
            match e {
                Entry::Round(r) => {
                    let restarts = r.label.is_some_and(|l| l.from == 1) || starts(r);
                    return (!restarts && !is_command(&r.toks)).then_some(r);
                }
                Entry::Heading { strong: true, says: Says::Name, .. } | Entry::Counts { .. } => return None,
                _ => {}
            }
        }
        None
    }

    pub fn context(&self, first: bool) -> Context<'t> {
        let cur = self.cur.as_ref();
        Context {
            text: self.text,
            legend: self.legend,
            terms: self.terms,
            kind: cur.map_or(StitchKind::Single, |c| c.kind),
            colour: cur.and_then(|c| c.colour.clone()),
            habits: self.habits,
            first,
        }
    }

    /// Best reading of a round's words on `below` stitches. Long ones get the plainest reading only.
    pub fn fitted(&self, toks: &[Token], below: Option<u32>) -> Fitted {
        let cx = self.context(below.is_none());
        if toks.len() > MANY_WORDS { super::fit::plainest(&cx, toks, below) } else { fit(&cx, toks, below) }
    }
}
