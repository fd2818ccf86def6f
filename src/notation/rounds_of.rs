//! One round's words, or a range's, to rounds of the piece.

use std::ops::Range;

use super::asides::finish_said;
use super::build::{Builder, MANY_WORDS};
use super::commands;
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::{solve, suits};
use super::fit::Fitted;
use super::grammar::{Amount, Item, Parsed, parse};
use super::habits::Habits;
use super::lexer::{T, Token, mend};
use super::lines::{Entry, RoundText};
use super::looks::is_command;
use super::onward;
use super::reading::{Known, Said, StuffingNote};
use super::sequence;
use super::settle::{Around, Settled, remarks, settle};
use super::sorting::{joins_legs, leg_names, rejoins, starts};
use super::starts::first;
use super::totals::totals_of_each;
use super::words::{Printed, W};
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

impl Builder<'_> {
    /// Reads the round at entry `i`; the number of entries it takes.
    pub fn round(&mut self, i: usize, mut r: RoundText) -> usize {
        mend(self.text, &mut r.toks);
        if r.toks.len() > MOST_WORDS {
            let message = "This round is too long to be one.";
            self.found.push(Found::new(K::TooLarge, S::Severe, r.span.clone(), message, "Break it into its rounds."));
            return 1;
        }
        if onward::run(self, i, &r) || commands::of_piece(self, &r) {
            return 1;
        }
        self.sort_into_piece(&r);
        if commands::rounds_of_piece(self, &r) || commands::run(self, &r) {
            return 1;
        }
        if self.cur.as_ref().is_some_and(|c| !c.piece.rounds.is_empty()) && joins_legs(&r.toks) {
            // The round that joins this piece to others begins the piece they become.
            self.begin(r.span.clone());
        }
        let below = self.cur.as_ref().and_then(|c| c.below);
        if let Some(parts) = sequence::parts(self, &r, below) {
            for part in parts {
                match self.cur.as_ref().and_then(|c| c.below) {
                    None => self.first_round(&part),
                    Some(below) => {
                        self.later_round(i, &part, below);
                    }
                }
            }
            return 1;
        }
        match below {
            None => {
                self.first_round(&r);
                1
            }
            Some(below) => self.later_round(i, &r, below),
        }
    }

    pub fn first_round(&mut self, r: &RoundText) {
        let f = self.fitted(&r.toks, None);
        let Some(cur) = &mut self.cur else { return };
        let mut begun = cur.begun.clone();
        let kind = cur.kind;
        let rows = {
            let lower = self.text[r.span.clone()].to_lowercase();
            r.label_text.to_lowercase().contains("row") || lower.contains("row") || lower.contains("across")
        };
        if f.parsed.legs > 0 {
            // Only the pieces that stand near can be its legs.
            let far = self.pieces.len().saturating_sub(24);
            begun.legs = leg_names(&self.pieces[far..].iter().collect::<Vec<_>>());
            // What a round goes on from is left open.
            for piece in self.pieces[far..].iter_mut().filter(|p| begun.legs.contains(&p.name) && !p.finish_said) {
                piece.finish = Finish::Open;
            }
        }
        if rejoins(self.text, r) {
            begun.rim = begun.rim.or_else(|| self.pieces.last().map(|p| p.name.clone()));
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

    pub fn learn(&mut self, f: &Fitted) {
        if f.exact() && f.parsed.total.is_some() {
            self.habits = Habits(f.habits.0 & LASTING.0);
        }
    }

    /// How many rounds these words are.
    pub fn range(&mut self, r: &RoundText, f: &Fitted, i: usize) -> u32 {
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

    pub fn later_round(&mut self, i: usize, r: &RoundText, below: u32) -> usize {
        let mut r = r.clone();
        let mut used = 1;
        if let Some((words, totals)) = totals_of_each(&r, below) {
            self.each_to_its_total(i, &r, &words, &totals);
            return used;
        }
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
            && !called_in_words(&next.toks)
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
        if empty || only_closes(&f, &r.toks, below) {
            let before = self.found.len();
            self.empty_round(&r, &f);
            self.carry_doubt(&r, before, true, false);
            return used;
        }
        self.check_label(&r, &f);
        if f.parsed.measure.is_some() && commands::measured(self, &r, &f, below) {
            self.after(&f.parsed, &r);
            return used;
        }
        let times = self.range(&r, &f, i);
        // "Rnd 14: even for 2 rounds": the next one is 16.
        let more = times.saturating_sub(r.label.map_or(1, |l| l.to - l.from + 1));
        if let Some(cur) = &mut self.cur {
            cur.next_label = cur.next_label.map(|n| n.saturating_add(more));
        }
        let (before, total, borne_out) = (self.found.len(), f.parsed.total.is_some(), f.exact());
        if times > 1 {
            self.many(i, &r, f, below, times);
        } else {
            self.one(i, &r, f, below, 0);
        }
        self.carry_doubt(&r, before, total, borne_out);
        used
    }

    pub fn empty_round(&mut self, r: &RoundText, f: &Fitted) {
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
        let slip = |t: &Token| t.is(W::Kind(Printed::Slip));
        let work = r.toks.iter().any(|t| super::asides::is_work(t) && !slip(t));
        let closes = !work && f.parsed.unread.is_empty() && r.toks.iter().any(|t| slip(t) || t.is(W::Fasten));
        let note = closes || f.parsed.unread.is_empty() && (f.parsed.finish.is_some() || (stuffs.is_some() && !work));
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

    pub fn check_label(&mut self, r: &RoundText, f: &Fitted) {
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
            // Behind a gap a round is missing, in the text or in the reading; a number told twice is a slip.
            let severity = if f.exact() && l.from < expected { S::Note } else { S::Warning };
            let message = if l.from > expected {
                let gap = l.from - expected;
                let what = if gap == 1 { "1 round" } else { "rounds" };
                format!("Round {} follows round {}: {what} may be missing.", l.from, expected.saturating_sub(1))
            } else {
                format!("Round {} stands where round {expected} is due.", l.from)
            };
            let mut end = (r.span.start + r.label_text.len().max(1)).min(r.span.end);
            // A label of a list with gaps is not the printed one.
            while !self.text.is_char_boundary(end) {
                end += 1;
            }
            let at = r.span.start..end;
            let remedy = "Check the numbers of the rounds; the counts follow the order of the text.";
            self.found.push(Found::new(K::LabelOrder, severity, at, message, remedy));
        }
    }

    pub fn settled(&mut self, i: usize, r: &RoundText, f: &Fitted, below: u32, lookahead: bool) -> Option<Settled> {
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
        // A next round worked to its end lies on any count; its printed total tells which is meant.
        let suit = |n: u32| {
            let p = next.as_ref()?;
            suits(&p.items, n).or_else(|| {
                let total = p.total.as_ref()?.n;
                let solved = solve(&p.items, Some(n), None);
                (solved.fills && !solved.open && !solved.twice).then_some(solved.makes == total)
            })
        };
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

    pub fn one(&mut self, i: usize, r: &RoundText, f: Fitted, below: u32, k: u32) {
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
        if f.parsed.split.is_some() && self.divided.is_none() {
            self.divided = Some(self.piece_name());
        }
        self.push(s, label_of(r, k), r.span.clone(), r.line, i);
        self.after(&f.parsed, r);
    }

    /// A range with a total for each of its rounds: "R2-4: inc 6 in each round (12, 18, 24)".
    fn each_to_its_total(&mut self, i: usize, r: &RoundText, words: &[Token], totals: &[Token]) {
        for (k, n) in (0u32..).zip(totals) {
            let Some(below) = self.cur.as_ref().and_then(|c| c.below) else { return };
            let mark = |t: T| Token { t, start: n.start, end: n.start, ..*n };
            let mut toks = words.to_vec();
            toks.extend([mark(T::Open('(')), *n, mark(T::Close(')'))]);
            let f = self.fitted(&toks, Some(below));
            if k == 0 {
                self.check_label(r, &f);
            }
            let last = k as usize + 1 == totals.len();
            let Some(s) = self.settled(i, r, &f, below, last) else { return };
            self.learn(&f);
            if !self.push(s, label_of(r, k), r.span.clone(), r.line, i) {
                return;
            }
            self.after(&f.parsed, r);
        }
    }

    /// A range of rounds.
    pub fn many(&mut self, i: usize, r: &RoundText, f: Fitted, below: u32, times: u32) {
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
    pub fn after(&mut self, p: &Parsed, r: &RoundText) {
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

/// "Next round: …", "Then, last rnd - …": a round called by words instead of a number.
fn called_in_words(toks: &[Token]) -> bool {
    let lead = |t: &&Token| matches!(t.t, T::Word(W::The | W::Then | W::And) | T::Comma);
    let rest = &toks[toks.iter().take_while(lead).count()..];
    let mark = |t: &Token| matches!(t.t, T::Colon | T::Dash | T::Dot | T::Comma | T::Open(_) | T::Close(_));
    matches!(rest, [a, b, c, ..] if matches!(a.t, T::Word(W::Next | W::Last)) && b.is(W::Rnd)
        && (mark(c) || super::asides::is_work(c)))
}

/// "Sl st in next st, fasten off": a few slip stitches that close the last round.
fn only_closes(f: &Fitted, toks: &[Token], below: u32) -> bool {
    let whole = toks.iter().any(|t| matches!(t.t, T::Word(W::Around | W::Each | W::Every | W::All)));
    if let [Item::Work { stitch, amount: Amount::Fill, unnumbered: true, .. }] = f.parsed.items.as_slice() {
        return stitch.kind == StitchKind::Slip && !whole && toks.iter().any(|t| t.is(W::Fasten));
    }
    let slips = f.parsed.items.iter().all(|i| match i {
        Item::Work { stitch, amount: Amount::N(1..=3), .. } => stitch.kind == StitchKind::Slip,
        _ => false,
    });
    slips && f.parsed.total.is_none() && f.solved.uses < below
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
