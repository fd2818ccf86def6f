//! Rounds told by the round before them: "work 4 more rounds like this", "repeat this round 4 times".

use super::build::Builder;
use super::commands;
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::grammar::parse;
use super::lexer::{T, Token};
use super::lines::RoundText;
use super::words::W;

/// Words beyond which a sentence asks for no rounds.
const MOST_TOKENS: usize = 24;
/// More rounds than this are not asked for in one sentence.
const MOST_ROUNDS: u32 = 400;

/// What a sentence asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Onward {
    pub rounds: u32,
    /// Rounds that are told anew together: "these two rounds".
    pub of: u32,
    /// The number of the round they are like, if not the one before: "like round 2".
    pub like: Option<u32>,
    /// They are said to come on top.
    pub more: bool,
}

/// The rounds that a sentence asks for, where it tells them by the round before: "Work 4 more rounds the same."
pub(super) fn asked(text: &str, toks: &[Token]) -> Option<Onward> {
    if toks.len() > MOST_TOKENS || !toks.iter().any(|t| t.is(W::Rnd)) {
        return None;
    }
    let lower = |t: &Token| text[t.start..t.end].to_lowercase();
    let flat = outside_brackets(toks);
    let first = flat.first()?;
    // "4 more rounds like this", "Another 4 rounds the same"
    let counts_first = first.num().is_some() && count_at(&flat, 0).is_some();
    let begins = counts_first
        || matches!(
            first.t,
            T::Word(
                W::Work | W::Continue | W::Rep | W::Make | W::Then | W::And | W::More | W::Next | W::Same | W::AsFor
            )
        )
        || matches!(lower(first).as_str(), "do" | "carry" | "go" | "now" | "the" | "just" | "crochet");
    let other = |t: &Token| {
        super::asides::is_work(t)
            || matches!(
                t.t,
                T::Word(W::Until | W::Leg | W::Unit | W::Side | W::Ring | W::Change | W::Every | W::Total | W::Without)
                    | T::Colon
                    | T::Star
                    | T::Eq
                    | T::Ord(_)
            )
            || lower(t) == "if"
    };
    let unknown = flat.iter().filter(|t| t.is(W::Unknown)).count();
    let said = flat.iter().any(|t| t.is(W::Rnd));
    if !begins || !said || unknown > 3 || flat.iter().any(other) {
        return None;
    }
    let this = |t: &Token| matches!(lower(t).as_str(), "this" | "that" | "these" | "those");
    let repeats = flat.iter().any(|t| t.is(W::Rep));
    let rnd = |k: usize| flat.get(k).is_some_and(|t| t.is(W::Rnd));
    // "Repeat the round 4 times", "repeat the last round twice", but not "repeat round 4".
    let named = |k: usize| repeats && matches!(flat[k].t, T::Word(W::The | W::Last)) && rnd(k + 1);
    // "Repeat these two rounds 3 times"
    let group = (1..flat.len()).find(|k| {
        let pointed = this(&flat[k - 1]) || flat[k - 1].is(W::Last);
        repeats && pointed && rnd(k + 1) && flat[*k].num().is_some_and(|n| (2..=40).contains(&n))
    });
    if (0..flat.len()).any(|k| flat[k].is(W::Last) && !named(k) && group != Some(k + 1)) {
        return None;
    }
    let mut like = None;
    for k in 1..flat.len() {
        let Some(n) = flat[k].num().filter(|_| rnd(k - 1)) else { continue };
        let counts =
            count_at(&flat, k).is_some() && k > 1 && (this(&flat[k - 2]) || named(k - 2) || group == Some(k - 2));
        // "like round 2"; a round called by its number is else another command: "repeat round 6 twice".
        let alike = !repeats && flat[..k].iter().rev().take(4).any(|t| matches!(t.t, T::Word(W::AsFor | W::Same)));
        match (counts, alike, like) {
            (true, ..) => {}
            (false, true, None) if k + 1 == flat.len() || !matches!(flat[k + 1].t, T::Word(_) | T::Dash) => {
                like = Some(n);
            }
            _ => return None,
        }
    }
    let (rounds, of) = match group {
        Some(g) => {
            let times = (g + 1..flat.len()).find_map(|k| count_at(&flat, k).filter(|(_, times)| *times));
            let of = flat[g].num().unwrap_or(1);
            (times?.0.checked_mul(of)?, of)
        }
        None => ((0..flat.len()).find_map(|k| count_at(&flat, k).filter(|(_, times)| !times || repeats))?.0, 1),
    };
    let more = flat.iter().any(|t| t.is(W::More));
    let told = group.is_some()
        || (0..flat.len()).any(|k| {
            let alike = matches!(flat[k].t, T::Word(W::AsFor | W::Same)) || this(&flat[k]);
            // "The next 5 rounds in this colour" are those that follow.
            let colour = flat.get(k + 1).is_some_and(|t| t.is(W::ColourNoun));
            named(k) || (alike && (more || !colour))
        });
    // "Work 3 more rounds." and nothing else.
    let bare = more && unknown == 0 && !repeats && flat.len() <= 6 && !first.is(W::Continue);
    ((told || bare) && (1..=MOST_ROUNDS).contains(&rounds)).then_some(Onward { rounds, of, like, more })
}

fn outside_brackets(toks: &[Token]) -> Vec<Token> {
    let mut depth = 0i32;
    let mut out = Vec::with_capacity(toks.len());
    for t in toks {
        match t.t {
            T::Open(_) => depth += 1,
            T::Close(_) => depth -= 1,
            _ if depth <= 0 => out.push(*t),
            _ => {}
        }
    }
    out
}

/// "4 more rounds", "4 times more", "twice" at `k`: how many, and whether it is told by "times".
fn count_at(toks: &[Token], k: usize) -> Option<(u32, bool)> {
    let n = match toks[k].t {
        T::Num(n) => n,
        T::Word(W::TimesN(n)) => return Some((n, true)),
        _ => return None,
    };
    let mut next = k + 1;
    while toks.get(next).is_some_and(|t| t.is(W::More)) {
        next += 1;
    }
    match toks.get(next)?.t {
        // "for 4 rounds 5": no count that is understood.
        T::Word(W::Rnd) if toks.get(next + 1).is_none_or(|t| t.num().is_none()) => Some((n, false)),
        T::Word(W::Times | W::X) => Some((n, true)),
        _ => None,
    }
}

/// Where a sentence that asks for rounds begins behind a round's words: "sc around (6). Repeat this round 4 more
/// times."
pub(super) fn behind(text: &str, toks: &[Token]) -> Option<usize> {
    let parts = |t: &Token| matches!(t.t, T::Dot | T::Semi | T::Comma | T::Break | T::Dash);
    if !toks.iter().rev().take(MOST_TOKENS).any(|t| t.is(W::Rnd)) {
        return None;
    }
    (1..toks.len()).rev().take(MOST_TOKENS).find(|k| parts(&toks[k - 1]) && asked(text, &toks[*k..]).is_some())
}

/// Works the rounds that a line asks for. True if that was it.
pub(super) fn run(b: &mut Builder<'_>, i: usize, r: &RoundText) -> bool {
    if b.pending.as_ref().is_some_and(|p| p.strong) {
        return false;
    }
    let Some(asked) = asked(b.text, &r.toks) else { return false };
    let Some(cur) = &b.cur else { return false };
    let have = cur.piece.rounds.len();
    let places = match asked.like {
        Some(n) => cur.numbers.get(&n).map(|at| *at..*at + 1),
        None => have.checked_sub(asked.of as usize).map(|from| from..have),
    };
    let Some(places) = places.filter(|p| !p.is_empty()) else { return false };
    let sources: Vec<_> = places.map(|p| (cur.piece.rounds[p].clone(), cur.sources[p])).collect();
    // A range before it may count them already.
    let last = cur.piece.rounds.last().map(|x| x.span.clone());
    let alike = cur.piece.rounds.iter().rev().take_while(|x| Some(&x.span) == last.as_ref()).count();
    let alike = u32::try_from(alike).unwrap_or(u32::MAX);
    let mut rounds = asked.rounds;
    let from = r.label.map(|l| l.from).or(cur.next_label);
    let ranged = r.label.filter(|l| l.to > l.from).map(|l| l.to - l.from + 1);
    let next = b.next_round(i).and_then(|n| n.label).map(|l| l.from);
    let room = match (from, next) {
        (Some(from), Some(next)) => next.checked_sub(from).filter(|n| *n <= MOST_ROUNDS),
        _ => None,
    };
    if let Some(by_label) = ranged.or(room).filter(|n| *n != rounds) {
        let counted = by_label == 0 && alike > 1 && (alike == rounds || alike - 1 == rounds);
        let soft = counted || (by_label > 0 && by_label + 1 == rounds && !asked.more);
        let taken = if by_label == 0 { "none".to_owned() } else { by_label.to_string() };
        let message = format!(
            "The text asks for {rounds} more rounds, the labels leave room for {taken}: the labels are followed."
        );
        let remedy = "Correct the number of rounds or the label.";
        let severity = if soft { S::Note } else { S::Warning };
        b.found.push(Found::new(K::RangeDiffers, severity, r.span.clone(), message, remedy));
        rounds = by_label;
    }
    let before = b.cur.as_ref().and_then(|c| c.below);
    commands::repeat(b, r, &sources, rounds as usize);
    if let Some(cur) = &mut b.cur {
        cur.next_label = from.map(|n| n.saturating_add(rounds));
    }
    recolour(b, r, have);
    let repeats = r.toks.iter().any(|t| t.is(W::Rep));
    let count = b.cur.as_ref().and_then(|c| c.below).unwrap_or(0);
    if !repeats && rounds > 0 && Some(count) != before {
        let message = format!("The round before changes the count, and so do these: they end with {count} stitches.");
        let remedy = "Write these rounds out, or their total, if they are straight.";
        b.found.push(Found::new(K::Guessed, S::Warning, r.span.clone(), message, remedy));
    }
    commands::check_total(b, r);
    true
}

/// "… like this in white": the colour of the rounds from `from` on.
fn recolour(b: &mut Builder<'_>, r: &RoundText, from: usize) {
    let link = |t: &Token| matches!(t.t, T::Word(W::In | W::With));
    // "in white", "with dark blue yarn"
    let named = |k: usize| {
        let colour = |k: usize| r.toks.get(k).is_some_and(|t| t.is(W::Colour));
        colour(k) || (r.toks.get(k).is_some_and(|t| t.is(W::Unknown)) && colour(k + 1))
    };
    let Some(at) = (0..r.toks.len()).find(|k| link(&r.toks[*k]) && named(k + 1)) else { return };
    let colour = parse(&b.context(false), &r.toks[at..]).colour;
    let Some(cur) = &mut b.cur else { return };
    for round in cur.piece.rounds.iter_mut().skip(from) {
        for run in &mut round.round.runs {
            run.colour.clone_from(&colour);
        }
    }
    cur.colour = colour;
}

/// `3 rnds: sc around`: how many rounds, and no label.
pub(super) fn number_of_rounds(text: &str, toks: &[Token]) -> bool {
    let [n, unit, colon, rest @ ..] = toks else { return false };
    let plural = || {
        let word = text[unit.start..unit.end].to_lowercase();
        matches!(word.as_str(), "rounds" | "rnds" | "rows" | "rds")
    };
    n.num().is_some_and(|n| n > 1) && unit.is(W::Rnd) && colon.t == T::Colon && super::looks::works(rest) && plural()
}
