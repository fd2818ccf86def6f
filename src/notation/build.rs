//! Entries to pieces: which rounds belong together, what each lies on, how ranges unfold.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use super::asides::finish_said;
use super::commands;
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::{spread_kind, suits};
use super::fit::{Fitted, fit};
use super::grammar::{Context, Parsed, parse};
use super::habits::Habits;
use super::lexer::{Line, T, Token, mend};
use super::lines::{Entry, RoundText, is_command};
use super::reading::{Heading, Known, Piece, ReadRound, Said, StuffingNote, Terms};
use super::settle::{Around, Settled, remarks, settle};
use super::starts::{Begun, first};
use super::titles::{self, Copies};
use super::words::W;
use super::write::stagger_shift;
use crate::rounds::{Finish, Loops, Round, Start, StitchKind, even};

/// Habits that hold for a text once they were needed in it.
const LASTING: Habits = Habits(
    Habits::GLUED_TWO.0
        | Habits::BRACKET_TWO.0
        | Habits::SPACED_TWO.0
        | Habits::INC_IN_ONE.0
        | Habits::MORE_IS_TOTAL.0
        | Habits::REP_PLUS_ONE.0
        | Habits::ONE_WORD.0
        | Habits::EACH_OF_NEXT.0
        | Habits::LEANS_RIGHT.0
        | Habits::CHAIN_COUNTS.0
        | Habits::SLIP_COUNTS.0
        | Habits::OTHER_TONGUE.0
        | Habits::DEC_EACH.0
        | Habits::SAME_IS_NEW.0
        | Habits::V_IS_PLAIN.0,
);

/// More rounds in one range than this are no toy.
const MOST_ROUNDS: u32 = 400;
/// Words in one round beyond which it is not read.
const MOST_WORDS: usize = 1_500;
/// Words beyond which only the plainest reading is tried.
const MANY_WORDS: usize = 150;

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
}

struct Pending {
    title: String,
    copies: Option<Copies>,
    span: Range<usize>,
    strong: bool,
}

pub(super) struct Builder<'t> {
    pub text: &'t str,
    pub lines: &'t [Line],
    pub entries: Vec<Entry>,
    pub terms: Terms,
    pub heading: &'t Heading,
    pub found: Vec<Found>,
    pub pieces: Vec<Piece>,
    /// For each piece, the place of the last round with each number.
    pub numbers: Vec<HashMap<u32, usize>>,
    pub cur: Option<Current>,
    pending: Option<Pending>,
    /// Colour named under a heading, before its first round.
    next_colour: Option<Arc<str>>,
    /// "Join yarn in the front loops of round 4", before the rounds worked there.
    next_rim: Option<(String, Option<u32>)>,
    habits: Habits,
    /// Runs that may still be made.
    budget: usize,
    full: bool,
    labelled: bool,
}

impl<'t> Builder<'t> {
    pub fn new(text: &'t str, lines: &'t [Line], entries: Vec<Entry>, terms: Terms, heading: &'t Heading) -> Self {
        let labelled =
            entries.iter().filter(|e| matches!(e, Entry::Round(r) if r.label.is_some())).take(2).count() == 2;
        Builder {
            text,
            lines,
            entries,
            terms,
            heading,
            found: Vec::new(),
            pieces: Vec::new(),
            numbers: Vec::new(),
            cur: None,
            pending: None,
            next_colour: None,
            next_rim: None,
            habits: Habits::default(),
            budget: 100_000 + 4 * text.len(),
            full: false,
            labelled,
        }
    }

    pub fn run(mut self) -> (Vec<Piece>, Vec<Found>) {
        self.reorder();
        let mut i = 0;
        while i < self.entries.len() {
            let entry = self.entries[i].clone();
            i += match entry {
                Entry::Heading { title, copies, span, strong } => {
                    self.pending_heading(title, copies, span, strong);
                    1
                }
                Entry::Note { line } => {
                    self.note(line);
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

    fn set_copies(&mut self, c: &Copies) {
        self.copies_problem(c);
        if let Some(p) = &mut self.pending {
            p.copies = Some(c.clone());
        } else if let Some(cur) = &mut self.cur {
            cur.piece.copies = c.n;
        }
    }

    fn copies_problem(&mut self, c: &Copies) {
        if c.unclear {
            let message = format!("How many to make is not clear here: {} are taken.", c.n);
            let f = Found::new(K::CopiesUnclear, S::Warning, c.span.clone(), message, "Write one number.");
            self.found.push(f);
        }
    }

    fn note(&mut self, line: usize) {
        let line = &self.lines[line];
        let lower = self.text[line.start..line.end].to_lowercase();
        let toks = &line.tokens;
        let text = self.text[line.start..line.end].trim().to_owned();
        let stuffs = toks.iter().any(|t| t.is(W::Stuff));
        let make = toks.iter().position(|t| t.is(W::Make)).filter(|k| *k <= 1);
        if let Some(k) = make
            && toks.len() <= k + 6
            && let Some((c, _)) = titles::copies(self.text, toks)
            && !toks.iter().skip(k + 2).any(|t| matches!(t.t, T::Word(W::Unknown)))
        {
            self.set_copies(&c);
        } else if (lower.contains("make another")
            || lower.contains("make a second")
            || lower.contains("second one the same"))
            && let Some(cur) = &mut self.cur
            && cur.piece.copies == 1
        {
            cur.piece.copies = 2;
        }
        let colours = toks.iter().take(6).any(|t| matches!(t.t, T::Word(W::Change)))
            || matches!(toks.first().and_then(Token::word), Some(W::With | W::Start | W::Join));
        if front_loops(toks) && matches!(toks.first().and_then(Token::word), Some(W::Join | W::In | W::Work | W::With))
        {
            self.next_rim = Some(self.rim(toks));
        }
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
    fn begin(&mut self, span: Range<usize>) {
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
        });
        if let Some((part, below)) = self.next_rim.take()
            && let Some(cur) = &mut self.cur
        {
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
        if self.budget < cost {
            if !self.full {
                self.full = true;
                let message = "The text asks for more rounds than any toy has; the rest is not read.";
                self.found.push(Found::new(K::TooLarge, S::Severe, span, message, "Check ranges and repeats."));
            }
            return false;
        }
        self.budget -= cost;
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
    fn next_round(&self, i: usize) -> Option<&RoundText> {
        for e in self.entries[i + 1..].iter().take(12) {
            match e {
                Entry::Round(r) => {
                    let restarts = r.label.is_some_and(|l| l.from == 1) || starts(r);
                    return (!restarts && !is_command(&r.toks)).then_some(r);
                }
                Entry::Heading { strong: true, .. } | Entry::Counts { .. } => return None,
                _ => {}
            }
        }
        None
    }

    fn context(&self, first: bool) -> Context<'t> {
        let cur = self.cur.as_ref();
        Context {
            text: self.text,
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

    /// Whether this round begins a new piece, and begins it. True if the piece goes on from the open rim of
    /// the one before.
    fn sort_into_piece(&mut self, r: &RoundText) {
        let from = r.label.map(|l| l.from);
        let strong = self.pending.as_ref().is_some_and(|p| p.strong);
        let Some(cur) = &self.cur else {
            return self.begin(r.span.clone());
        };
        if cur.piece.rounds.is_empty() {
            // A title between "magic ring" and the first round is no new piece, unless nothing was begun.
            if self.pending.is_some() && !cur.begun.ring && cur.begun.chain.is_none() {
                self.begin(r.span.clone());
            }
            return;
        }
        let starting = starts(r);
        let continues = from.is_some_and(|f| cur.next_label == Some(f) && f > 1);
        let below = cur.below;
        if strong {
            let go_on = !starting && !joins_legs(&r.toks) && (continues || front_loops(&r.toks));
            let (name, rim) = if front_loops(&r.toks) { self.rim(&r.toks) } else { (self.piece_name(), below) };
            if continues
                && !front_loops(&r.toks)
                && let Some(cur) = &mut self.cur
            {
                cur.finish = Some(Finish::Open);
            }
            self.begin(r.span.clone());
            if go_on && let Some(cur) = &mut self.cur {
                cur.piece.start = Start::Rim { part: name };
                cur.below = rim;
                cur.next_label = from;
            }
            return;
        }
        if starting && from.is_none_or(|f| f <= 2) {
            return self.begin(r.span.clone());
        }
        if from == Some(1) {
            let f = self.fitted(&r.toks, below);
            let fits = f.exact() && f.parsed.total.is_some() && !f.parsed.items.is_empty();
            if !fits || self.pending.is_some() {
                return self.begin(r.span.clone());
            }
        }
        if !self.labelled && self.pending.is_some() && starting {
            return self.begin(r.span.clone());
        }
        self.pending = None;
    }

    fn piece_name(&self) -> String {
        match &self.cur {
            Some(c) if c.named => c.piece.name.clone(),
            _ => format!("piece {}", self.pieces.len() + 1),
        }
    }

    /// The piece whose loops were left free in a round, and the stitches there: one that is worked in back
    /// loops on that round, else the body, else the piece before.
    fn rim(&self, toks: &[Token]) -> (String, Option<u32>) {
        let n = toks.windows(2).find(|w| w[0].is(W::Rnd)).and_then(|w| w[1].num());
        let current = self.cur.as_ref().map(|c| (self.piece_name(), &c.piece));
        let before = self.pieces.iter().rev().take(24).map(|p| (p.name.clone(), p));
        let near: Vec<(String, &Piece)> = current.into_iter().chain(before).collect();
        let Some(at) = n.and_then(|n| (n as usize).checked_sub(1)) else {
            return (self.piece_name(), self.cur.as_ref().and_then(|c| c.below));
        };
        let loops = |p: &Piece| [at + 1, at].iter().any(|i| p.rounds.get(*i).is_some_and(|r| r.round.is_back_loop()));
        let found = near
            .iter()
            .find(|(_, p)| loops(p))
            .or_else(|| near.iter().find(|(name, p)| name.to_lowercase().contains("body") && p.rounds.len() > at))
            .or_else(|| near.iter().find(|(_, p)| p.rounds.len() > at));
        match found {
            Some((name, p)) => (name.clone(), p.rounds.get(at).map(|r| r.round.count())),
            None => (self.piece_name(), self.cur.as_ref().and_then(|c| c.below)),
        }
    }

    /// Reads the round at entry `i`; the number of entries it takes.
    fn round(&mut self, i: usize, mut r: RoundText) -> usize {
        mend(self.text, &mut r.toks);
        if r.toks.len() > MOST_WORDS {
            let message = "This round is too long to be one.";
            self.found.push(Found::new(K::TooLarge, S::Severe, r.span.clone(), message, "Break it into its rounds."));
            return 1;
        }
        if commands::of_piece(self, &r) {
            return 1;
        }
        self.sort_into_piece(&r);
        if commands::run(self, &r) {
            return 1;
        }
        if self.cur.as_ref().is_some_and(|c| !c.piece.rounds.is_empty()) && joins_legs(&r.toks) {
            // The round that joins this piece to others begins the piece they become.
            self.begin(r.span.clone());
        }
        let below = self.cur.as_ref().and_then(|c| c.below);
        match below {
            None => {
                self.first_round(&r);
                1
            }
            Some(below) => self.later_round(i, &r, below),
        }
    }

    fn first_round(&mut self, r: &RoundText) {
        let f = self.fitted(&r.toks, None);
        let Some(cur) = &mut self.cur else { return };
        let mut begun = cur.begun.clone();
        let kind = cur.kind;
        let rows = r.label_text.to_lowercase().contains("row");
        if f.parsed.legs > 0 {
            // Only the pieces that stand near can be its legs.
            let far = self.pieces.len().saturating_sub(24);
            begun.legs = leg_names(&self.pieces[far..]);
            // What a round goes on from is left open.
            for piece in self.pieces[far..].iter_mut().filter(|p| begun.legs.contains(&p.name) && !p.finish_said) {
                piece.finish = Finish::Open;
            }
        }
        if begun.rim.is_none() && rejoins(self.text, r) {
            begun.rim = self.pieces.last().map(|p| p.name.clone());
            let message = "The other half of a divided piece begins here; it is counted as a piece of its own.";
            let remedy = "Check that it is worked into the stitches left before.";
            self.found.push(Found::new(K::SplitWork, S::Note, r.span.clone(), message, remedy));
        }
        let Some(one) = first(&f, &mut begun, &r.span, kind, rows, &mut self.found) else {
            let message = "This round has neither stitches nor a total; it is left out.";
            self.found.push(Found::new(
                K::NoCount,
                S::Severe,
                r.span.clone(),
                message,
                "Write its stitches or its total.",
            ));
            return;
        };
        let rim = matches!(cur.piece.start, Start::Rim { .. });
        if !rim {
            cur.piece.start = one.start;
        }
        cur.begun = begun;
        cur.colour = f.parsed.colour.clone();
        let Some(settled) = one.round else {
            cur.next_label = r.label.map(|l| l.to + 1);
            return;
        };
        cur.next_label = r.label.map(|l| l.to + 1);
        let around =
            Around { below: 0, next_suits: &|_| None, span: r.span.clone(), kind, shift: 0.0, habits: self.habits };
        remarks(&f, &around, f.parsed.total.is_some() && f.total_right, &mut self.found);
        self.learn(&f);
        let times = self.range(r, &f, 0);
        let straight = times > 1;
        let copy = settled.clone();
        self.push(settled, label_of(r, 0), r.span.clone(), r.line, r.line);
        if straight {
            for k in 1..times {
                let round = even_like(&copy.round);
                if !self.push(Settled { round, known: copy.known }, label_of(r, k), r.span.clone(), r.line, r.line) {
                    break;
                }
            }
        }
        self.after(&f.parsed, r);
    }

    fn learn(&mut self, f: &Fitted) {
        if f.exact() && f.parsed.total.is_some() {
            self.habits = Habits(f.habits.0 & LASTING.0);
        }
    }

    /// How many rounds these words are.
    fn range(&mut self, r: &RoundText, f: &Fitted, i: usize) -> u32 {
        let by_label = r.label.map_or(1, |l| l.to - l.from + 1);
        let Some((said, span)) = f.parsed.rounds.clone() else { return by_label.min(MOST_ROUNDS) };
        let span = if span.is_empty() { r.span.clone() } else { span };
        if said == 0 || said > MOST_ROUNDS {
            let message = format!("{said} rounds are beyond all sense.");
            self.found.push(Found::new(K::TooLarge, S::Severe, span, message, "Check the number of rounds."));
            return by_label.min(MOST_ROUNDS);
        }
        if by_label > 1 && said != by_label {
            let next = self.next_round(i).and_then(|n| n.label);
            let from = r.label.map_or(1, |l| l.from);
            let by_count = next.is_some_and(|n| n.from == from + said);
            let taken = if by_count { said } else { by_label };
            let message = format!("The label counts {by_label} rounds, the text says {said}: {taken} are taken.");
            self.found.push(Found::new(K::RangeDiffers, S::Warning, span, message, "Correct one of the two."));
            return taken;
        }
        if by_label > 1 { by_label } else { said }
    }

    fn later_round(&mut self, i: usize, r: &RoundText, below: u32) -> usize {
        let mut r = r.clone();
        let mut used = 1;
        let mut f = self.fitted(&r.toks, Some(below));
        let labelled = self.labelled;
        // A round broken over lines: its next line has no label and the two fit together.
        if labelled
            && !(f.exact() && f.parsed.total.is_some())
            && r.toks.len() < MANY_WORDS
            && let Some(Entry::Round(next)) = self.entries.get(i + 1)
            && next.label.is_none()
            && !is_command(&next.toks)
            && !starts(next)
        {
            let mut toks = r.toks.clone();
            let at = toks.last().map_or(r.span.end, |t| t.end);
            toks.push(Token { t: T::Break, start: at, end: at, glued: false, slip: false, caps: false });
            toks.extend_from_slice(&next.toks);
            mend(self.text, &mut toks);
            let both = self.fitted(&toks, Some(below));
            if both.exact() && (!f.exact() || (f.parsed.total.is_none() && both.parsed.total.is_some())) {
                let end = next.span.end;
                r.toks = toks;
                r.span.end = end;
                f = both;
                used = 2;
            }
        }
        if r.label.is_none() && f.parsed.measure.is_some() && commands::measured(self, &r, &f, below) {
            self.after(&f.parsed, &r);
            return used;
        }
        if r.label.is_none() && labelled && !f.exact() && f.parsed.total.is_none() {
            let message = "This line has stitches in it but fits the rounds around it nowhere; it is left out.";
            let remedy = "Give it a label if it is a round, or move it away from the rounds.";
            self.found.push(Found::new(K::Guessed, S::Warning, r.span.clone(), message, remedy));
            return used;
        }
        let empty = f.parsed.items.is_empty() && f.parsed.total.is_none();
        if empty {
            self.empty_round(&r, &f);
            return used;
        }
        self.check_label(&r, &f);
        if f.parsed.measure.is_some() && commands::measured(self, &r, &f, below) {
            self.after(&f.parsed, &r);
            return used;
        }
        let times = self.range(&r, &f, i);
        if times > 1 {
            self.many(i, &r, f, below, times);
        } else {
            self.one(i, &r, f, below, 0);
        }
        used
    }

    fn empty_round(&mut self, r: &RoundText, f: &Fitted) {
        let stuffs = f.parsed.stuffing.clone();
        if let Some(cur) = &mut self.cur {
            if cur.piece.stuffing.is_none()
                && let Some(span) = stuffs.clone()
            {
                let text = self.text[span.clone()].to_owned();
                let value = StuffingNote { text, after_round: cur.piece.rounds.len() };
                cur.piece.stuffing = Some(Said { value, span });
            }
            cur.colour = f.parsed.colour.clone();
            if f.parsed.finish.is_some() {
                cur.finish = f.parsed.finish;
            }
        }
        let note = f.parsed.unread.is_empty() && (stuffs.is_some() || f.parsed.finish.is_some());
        if !note {
            let message = "This round has neither stitches nor a total that can be read; it is left out.";
            self.found.push(Found::new(
                K::NoCount,
                S::Severe,
                r.span.clone(),
                message,
                "Write its stitches or its total.",
            ));
        }
        if let (Some(cur), Some(l)) = (&mut self.cur, r.label) {
            cur.next_label = Some(l.to + 1);
        }
    }

    fn check_label(&mut self, r: &RoundText, f: &Fitted) {
        let Some(cur) = &mut self.cur else { return };
        let Some(l) = r.label else {
            cur.next_label = cur.next_label.map(|n| n + 1);
            return;
        };
        let expected = cur.next_label;
        cur.next_label = Some(l.to + 1);
        if let Some(expected) = expected
            && expected != l.from
        {
            let severity = if f.exact() { S::Note } else { S::Warning };
            let message = if l.from > expected {
                let gap = l.from - expected;
                let what = if gap == 1 { "1 round" } else { "rounds" };
                format!("Round {} follows round {}: {what} may be missing.", l.from, expected.saturating_sub(1))
            } else {
                format!("Round {} stands where round {expected} is due.", l.from)
            };
            let at = r.span.start..(r.span.start + r.label_text.len().max(1)).min(r.span.end);
            let remedy = "Check the numbers of the rounds; the counts follow the order of the text.";
            self.found.push(Found::new(K::LabelOrder, severity, at, message, remedy));
        }
    }

    fn settled(&mut self, i: usize, r: &RoundText, f: &Fitted, below: u32, lookahead: bool) -> Option<Settled> {
        let next: Option<Parsed> = if lookahead && !f.exact() {
            self.next_round(i).map(|n| {
                let mut toks = n.toks.clone();
                toks.truncate(MANY_WORDS);
                parse(&self.context(false), &toks)
            })
        } else {
            None
        };
        let at = self.cur.as_ref().map_or(0, |c| c.piece.rounds.len());
        let kind = self.cur.as_ref().map_or(StitchKind::Single, |c| c.kind);
        let suit = |n: u32| next.as_ref().and_then(|p| suits(&p.items, n));
        let around = Around {
            below,
            next_suits: &suit,
            span: words_span(r),
            kind,
            shift: stagger_shift(at),
            habits: self.habits,
        };
        settle(f, &around, &mut self.found)
    }

    fn one(&mut self, i: usize, r: &RoundText, f: Fitted, below: u32, k: u32) {
        let Some(mut s) = self.settled(i, r, &f, below, true) else {
            if !self.found.last().is_some_and(|f| f.severity == S::Severe && f.span.start >= r.span.start) {
                let message = "The count of this round cannot be told; it is left out.";
                let remedy = "Write its stitches or its total.";
                self.found.push(Found::new(K::NoCount, S::Severe, r.span.clone(), message, remedy));
            }
            return;
        };
        s.round.frill |= f.parsed.frill;
        self.learn(&f);
        self.push(s, label_of(r, k), r.span.clone(), r.line, i);
        self.after(&f.parsed, r);
    }

    /// A range of rounds.
    fn many(&mut self, i: usize, r: &RoundText, f: Fitted, below: u32, times: u32) {
        let total = f.parsed.total.as_ref().map(|t| t.n);
        let straight = f.exact() && f.solved.makes == below;
        if straight || f.parsed.items.is_empty() {
            let Some(s) = self.settled(i, r, &f, below, true) else { return };
            self.learn(&f);
            // After a first round that changes the count, the rest of a range known by its total is plain.
            let rest = if s.round.count() == below { s.round.clone() } else { even_like(&s.round) };
            for k in 0..times {
                let round = if k == 0 { s.round.clone() } else { rest.clone() };
                let s = Settled { round, known: s.known };
                if !self.push(s, label_of(r, k), r.span.clone(), r.line, i) {
                    break;
                }
            }
            self.after(&f.parsed, r);
            return;
        }
        // Each round changes the count; a total, if any, is that of the last.
        let mut chain: Vec<Fitted> = Vec::new();
        let mut at = below;
        for _ in 0..times {
            let mut g = self.fitted(&r.toks, Some(at));
            if let Some(t) = total {
                // The total is not that of each round: read without it.
                if g.solved.makes != t || g.parsed.total.is_none() {
                    let cx = self.context(false);
                    g = super::fit::without_total(&cx, &r.toks, Some(at));
                }
            }
            if !g.uses_right || g.solved.open {
                break;
            }
            at = g.solved.makes;
            chain.push(g);
        }
        let complete = chain.len() == times as usize;
        let ends_right = total.is_none_or(|t| t == at);
        if complete && ends_right && !(total.is_some() && f.exact()) {
            let mut below = below;
            for (k, mut g) in (0u32..).zip(chain) {
                g.parsed.total = None;
                g.total_right = true;
                let Some(s) = self.settled(i, r, &g, below, false) else { break };
                below = s.round.count();
                if !self.push(s, label_of(r, k), r.span.clone(), r.line, i) {
                    break;
                }
            }
            self.after(&f.parsed, r);
            return;
        }
        // The instruction is for the first round of the range at most: the total holds for all.
        let Some(s) = self.settled(i, r, &f, below, true) else { return };
        let rest = even_like(&s.round);
        let changed = s.round.count() != below;
        let known = s.known;
        for k in 0..times {
            let round = if k == 0 { s.round.clone() } else { rest.clone() };
            let known = if k == 0 || !changed { known } else { Known::Guessed };
            if !self.push(Settled { round, known }, label_of(r, k), r.span.clone(), r.line, i) {
                break;
            }
        }
        if changed && times > 1 {
            let message = format!(
                "A range of {times} rounds with one total: the first changes the count, the others are taken as plain."
            );
            let remedy = "Write the rounds one by one, or the total after each.";
            self.found.push(Found::new(K::Guessed, S::Warning, r.span.clone(), message, remedy));
        }
        self.after(&f.parsed, r);
    }

    /// What a round's words say beside its stitches.
    fn after(&mut self, p: &Parsed, r: &RoundText) {
        let Some(cur) = &mut self.cur else { return };
        cur.colour = p.colour.clone();
        if p.finish.is_some() {
            cur.finish = p.finish;
        }
        if let Some(span) = p.stuffing.clone()
            && cur.piece.stuffing.is_none()
        {
            let text = self.text.get(span.clone()).unwrap_or_default().to_owned();
            let value = StuffingNote { text, after_round: cur.piece.rounds.len() };
            cur.piece.stuffing = Some(Said { value, span });
        }
        if let Some(span) = p.worked_in.clone() {
            let name = self.text.get(span).unwrap_or_default().trim().trim_start_matches("with ").trim();
            let name = name.trim_start_matches("the ").to_owned();
            cur.piece.worked_in.push((cur.piece.rounds.len(), name));
        }
        // A note behind the round in the same line may say how the piece ends.
        let lower = self.text[r.span.clone()].to_lowercase();
        if (lower.contains("fold") || lower.contains("both") || lower.contains("fasten off") || lower.contains("close"))
            && let Some(f) = finish_said(&r.toks, &lower)
        {
            cur.finish = Some(f);
        }
    }
}

/// The same stitches once more, one in each: for the straight rounds of a range.
pub(super) fn even_like(round: &Round) -> Round {
    let n = round.count();
    let kind = round.kind();
    let loops = if round.is_back_loop() { Loops::Back } else { Loops::Both };
    let colour = round.colour().cloned();
    let mut out = even(n);
    for run in &mut out.runs {
        run.stitch.kind = kind;
        run.stitch.loops = loops;
        run.colour = colour.clone();
    }
    out
}

/// The label of the k-th round of a range.
pub(super) fn label_of(r: &RoundText, k: u32) -> String {
    match r.label {
        Some(l) if l.to > l.from => {
            let word: String = r.label_text.chars().take_while(|c| c.is_alphabetic()).collect();
            let word = if word.len() > 2 { word.trim_end_matches('s') } else { &word };
            if word.is_empty() { (l.from + k).to_string() } else { format!("{word} {}", l.from + k) }
        }
        Some(_) if k == 0 => r.label_text.clone(),
        Some(l) => (l.from + k).to_string(),
        None => String::new(),
    }
}

fn words_span(r: &RoundText) -> Range<usize> {
    match (r.toks.first(), r.toks.last()) {
        (Some(a), Some(b)) => a.start..b.end.max(a.end),
        _ => r.span.clone(),
    }
}

/// Whether a round's words begin a piece: a magic ring, or a chain worked into or joined.
pub(super) fn starts(r: &RoundText) -> bool {
    let toks = &r.toks;
    let head = &toks[..toks.len().min(16)];
    let ring = head.iter().enumerate().any(|(k, t)| {
        t.is(W::Ring) && {
            let before = k.checked_sub(1).map(|i| head[i].t);
            !matches!(before, Some(T::Word(W::With | W::To | W::Change | W::Colour | W::ColourNoun)))
        }
    });
    let ring_number = head.windows(2).any(|w| w[0].is(W::RingNoun) && w[1].num().is_some());
    let chain = head.first().is_some_and(|t| t.is(W::Ch)) && {
        let n = head.get(1).and_then(Token::num).unwrap_or(0);
        let into = head.windows(2).any(|w| {
            (matches!(w[0].t, T::Ord(_)) && w[1].is(W::Ch))
                || (matches!(w[0].t, T::Word(W::Last | W::First)) && w[1].is(W::Ch))
        });
        let to_ring = head.iter().any(|t| matches!(t.t, T::Word(W::RingNoun)));
        n >= 2 && (into || (n >= 4 && (to_ring || head.iter().any(|t| t.is(W::Join)))))
    };
    let chain = chain || {
        let n = head.first().and_then(Token::num).unwrap_or(0);
        n >= 4 && head.get(1).is_some_and(|t| t.is(W::Ch)) && head.iter().any(|t| t.is(W::Join))
    };
    ring || ring_number || chain
}

/// "12 sc on the first leg, 12 sc around the second leg".
fn joins_legs(toks: &[Token]) -> bool {
    let legs = toks.iter().filter(|t| t.is(W::Leg)).count();
    let around = toks.iter().filter(|t| matches!(t.t, T::Word(W::Around | W::Across | W::On))).count();
    let together = toks.iter().any(|t| t.is(W::Together));
    legs >= 2 && around >= 2 && !together
}

fn rejoins(text: &str, r: &RoundText) -> bool {
    let lower = text[r.span.clone()].to_lowercase();
    lower.contains("rejoin") || lower.contains("re-join")
}

fn front_loops(toks: &[Token]) -> bool {
    toks.iter().any(|t| t.is(W::Flo)) && toks.windows(2).any(|w| w[0].is(W::Rnd) && w[1].num().is_some())
}

/// Names of the legs that a joined round takes in: the last pieces, as often as they are made.
fn leg_names(pieces: &[Piece]) -> Vec<String> {
    let legs: Vec<usize> = (0..pieces.len())
        .filter(|i| {
            let l = pieces[*i].name.to_lowercase();
            l.contains("leg") || l.contains("foot") || l.contains("feet")
        })
        .collect();
    let chosen: Vec<usize> =
        if legs.is_empty() { (pieces.len().saturating_sub(2)..pieces.len()).collect() } else { legs };
    let mut out = Vec::new();
    for i in chosen {
        for _ in 0..pieces[i].copies.min(8) {
            out.push(pieces[i].name.clone());
        }
    }
    if out.len() == 1 {
        out.push(out[0].clone());
    }
    out
}
