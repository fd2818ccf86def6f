//! Several rounds told one after the other in a line: `6 sc in MR, inc in each, (sc, inc) around, …`, or
//! `Rounds 1-2: 4 sc in ring; inc each st (8)`. Only where every part uses up the round below it exactly.

use std::ops::Range;

use super::build::Builder;
use super::habits::Habits;
use super::labels::Label;
use super::lexer::{T, Token};
use super::lines::RoundText;
use super::rounds_of::label_of;
use super::words::W;

/// Words beyond which a line is not tried.
const MOST_TOKENS: usize = 300;
/// A part goes on over so many separators at most.
const MOST_JOINED: usize = 6;

/// The rounds that these words are, if they are several.
pub(super) fn parts(b: &Builder<'_>, r: &RoundText, below: Option<u32>) -> Option<Vec<RoundText>> {
    let toks = &r.toks;
    let span = r.label.map_or(0, |l| l.to - l.from + 1);
    if toks.len() > MOST_TOKENS || span == 1 || !toks.iter().any(separates) {
        return None;
    }
    if below.is_none() && !toks.iter().take(24).any(|t| matches!(t.t, T::Word(W::Ring | W::RingNoun))) {
        return None;
    }
    let cuts = cuts(toks);
    let mut found: Vec<(Range<usize>, u32)> = Vec::new();
    let mut at = below;
    let mut from = 0;
    let mut k = 0;
    while k < cuts.len() {
        let mut taken = None;
        for (j, cut) in cuts.iter().enumerate().skip(k).take(MOST_JOINED) {
            if let Some((makes, rounds)) = round(b, &toks[from..*cut], at) {
                taken = Some((j, *cut, makes, rounds));
                break;
            }
        }
        let Some((j, cut, makes, rounds)) = taken else { break };
        found.push((from..cut, rounds));
        at = Some(makes);
        from = cut;
        k = j + 1;
    }
    let rest = &toks[from..];
    if rest.iter().any(super::asides::is_work) {
        return None;
    }
    let all: u32 = found.iter().map(|f| f.1).sum();
    if found.len() < 2 || (span > 1 && all != span) {
        return None;
    }
    // What stands behind the last round is a note of that round.
    if let Some(last) = found.last_mut() {
        last.0.end = toks.len();
    }
    let mut out = Vec::with_capacity(found.len());
    let mut done = 0;
    for (range, rounds) in found {
        let part = &toks[range];
        let (first, last) = (part.first()?, part.last()?);
        let label = r.label.map(|l| Label { from: l.from + done, to: l.from + done + rounds - 1, ..l });
        let label_text = if label.is_some() { label_of(r, done) } else { String::new() };
        out.push(RoundText { label, label_text, toks: part.to_vec(), span: first.start..last.end, line: r.line });
        done += rounds;
    }
    Some(out)
}

fn separates(t: &Token) -> bool {
    matches!(t.t, T::Comma | T::Semi | T::Dot | T::Mark | T::Slash | T::Break | T::Word(W::Then))
}

/// Ends of possible parts: behind each separator outside brackets and stars, and the end.
fn cuts(toks: &[Token]) -> Vec<usize> {
    let mut out = Vec::new();
    let (mut depth, mut starred) = (0i32, false);
    for (k, t) in toks.iter().enumerate() {
        match t.t {
            T::Open(_) => depth += 1,
            T::Close(_) => depth -= 1,
            T::Star | T::Pipe => starred = !starred,
            _ if depth <= 0 && !starred && separates(t) && k > 0 => out.push(k + 1),
            _ => {}
        }
    }
    if out.last() != Some(&toks.len()) {
        out.push(toks.len());
    }
    out
}

/// What these words make as whole rounds on `below`, and how many rounds they are.
fn round(b: &Builder<'_>, toks: &[Token], below: Option<u32>) -> Option<(u32, u32)> {
    if !toks.iter().any(|t| super::asides::is_work(t) || matches!(t.t, T::Word(W::Even | W::Plain | W::Work | W::Ring)))
    {
        return None;
    }
    let f = b.fitted(toks, below);
    let p = &f.parsed;
    if p.items.is_empty() || !p.unread.is_empty() || p.unclosed.is_some() || p.legs > 0 || f.solved.open {
        return None;
    }
    let rounds = p.rounds.as_ref().map_or(1, |r| r.0);
    if rounds == 0 || rounds > 100 || f.solved.makes == 0 || f.solved.makes > super::expand::MOST_STITCHES {
        return None;
    }
    let Some(below) = below else {
        return (p.ring && f.total_right && rounds == 1 && !p.chain_joined).then_some((f.solved.makes, 1));
    };
    let whole = toks.iter().any(|t| {
        matches!(
            t.t,
            T::Word(
                W::Around | W::Each | W::Every | W::All | W::Times | W::X | W::TimesN(_) | W::Even | W::Plain | W::Rnd
            )
        ) || t.num().is_some()
    });
    let straight = f.solved.makes == below || rounds == 1;
    let guessed = f.habits.flip(b.habits).has(Habits::GUESSES);
    (whole && f.exact() && straight && f.solved.rest == 0 && !guessed).then_some((f.solved.makes, rounds))
}
