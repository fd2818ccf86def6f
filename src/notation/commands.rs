//! Rounds told by other rounds: "repeat round 6 three more times", "same as the first up to round 12" — and
//! by measures: "until the piece measures 8 cm", "decrease until closed".

use super::build::{Builder, Current, Pending};
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::runs;
use super::fit::Fitted;
use super::header;
use super::lexer::{T, Token};
use super::likeness;
use super::lines::{Entry, RoundText};
use super::looks::is_command;
use super::parts::part_words;
use super::reading::{Known, ReadRound};
use super::rounds_of::{even_like, label_of};
use super::settle::Settled;
use super::totals::totals_behind;
use super::words::W;
use crate::rounds::{Finish, Stitch, StitchKind};

/// The number at the end of a round's label, or its place.
pub(super) fn number_of(round: &ReadRound, place: usize) -> u32 {
    let digits: String =
        round.label.chars().rev().skip_while(|c| !c.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
    let digits: String = digits.chars().rev().collect();
    digits.parse().unwrap_or_else(|_| u32::try_from(place + 1).unwrap_or(u32::MAX))
}

/// "rounds A to B": the numbers, if a word for round stands before them.
fn referred(toks: &[Token]) -> Option<(u32, u32)> {
    let at = toks.windows(2).position(|w| w[0].is(W::Rnd) && matches!(w[1].t, T::Num(_) | T::Ord(_)));
    let num = |t: Option<&Token>| match t?.t {
        T::Num(n) | T::Ord(n) => Some(n),
        _ => None,
    };
    let Some(at) = at else {
        // "6th round"
        let at = toks.windows(2).position(|w| matches!(w[0].t, T::Ord(_)) && w[1].is(W::Rnd))?;
        let n = num(toks.get(at))?;
        return Some((n, n));
    };
    let from = num(toks.get(at + 1))?;
    let mut k = at + 2;
    if matches!(
        toks.get(k).map(|t| t.t),
        Some(T::Dash | T::Amp | T::Slash | T::Plus | T::Word(W::To | W::And | W::Through))
    ) {
        k += 1;
        k += usize::from(toks.get(k).is_some_and(|t| t.is(W::Rnd)));
        if let Some(to) = num(toks.get(k)).filter(|to| *to > from) {
            return Some((from, to));
        }
    }
    Some((from, from))
}

/// A piece told by another: "same as the first up to round 12". True if that was it.
pub(super) fn of_piece(b: &mut Builder<'_>, r: &RoundText) -> bool {
    let told = likeness::told(b.text, &r.toks).filter(|_| r.label.is_none());
    if r.label.is_some() || !(told.is_some() || is_command(&r.toks)) {
        return false;
    }
    let lower = b.text[r.span.clone()].to_lowercase();
    let toks = &r.toks;
    // "Do the same for the other wing."
    if told.is_some() && b.asks_once_more(&lower) && !goes_on(b, r) {
        if let Some(cur) = b.cur.as_mut().filter(|c| c.piece.copies == 1) {
            cur.piece.copies = 2;
        }
        return true;
    }
    if told.is_some() && b.has_heading() && b.cur.as_ref().is_some_and(|c| !c.piece.rounds.is_empty()) {
        b.close();
    }
    let until = toks.iter().any(|t| matches!(t.t, T::Word(W::Until)))
        || toks.windows(2).any(|w| w[0].is(W::To) && w[1].is(W::Rnd))
        || lower.contains("up to");
    let whole = told.is_some() || super::looks::is_like_piece(toks);
    let referred = if whole { Some((1, u32::MAX)) } else { referred(toks) };
    let Some((from, to)) = referred else { return false };
    let (from, to) = if until && from == to { (1, to) } else { (from, to) };
    let some = super::looks::works_rounds_of(toks);
    let above = |c: &Current| !c.piece.rounds.is_empty() && likeness::names_all(&lower, &c.piece.name.to_lowercase());
    if some && b.has_heading() && b.cur.as_ref().is_some_and(above) {
        b.close();
    }
    let by_name = near_piece(b, &lower);
    // "Work rounds 1-3 of the head." may also be a remark about the head that follows.
    if some && by_name.is_none() {
        return true;
    }
    let first_word = toks.iter().any(|t| t.is(W::First));
    let second = toks.iter().any(|t| matches!(t.t, T::Ord(2))) || lower.contains("other") || lower.contains("another");
    let titled = b.has_heading();
    if whole && by_name.is_none() && !(titled || first_word) {
        return true;
    }
    if !(until || whole || by_name.is_some() || ((first_word || second || titled) && from == 1)) || from != 1 {
        return false;
    }
    // The piece it refers to: by name, else the one that stands last.
    let cur_rounds = b.cur.as_ref().map_or(0, |c| c.piece.rounds.len());
    if cur_rounds > 0 {
        if !titled && !second && !first_word && by_name.is_none() {
            return false;
        }
        b.close();
    }
    let last = b.pieces.len().checked_sub(1);
    let Some(at) = by_name.or(last) else {
        let message = "The piece this refers to is not in the text.";
        b.found.push(Found::new(K::MissingReference, S::Severe, r.span.clone(), message, "Add the piece it is like."));
        return true;
    };
    let place = if whole {
        b.pieces[at].rounds.len().checked_sub(1)
    } else {
        b.numbers.get(at).and_then(|n| n.get(&to)).copied()
    };
    let all = b.pieces[at].rounds.len();
    let end = place.map_or(all, |i| i + 1);
    if place.is_none() {
        let name = &b.pieces[at].name;
        let message = format!("Round {to} of \"{name}\" is not in the text; all its rounds are taken.");
        let remedy = "Check the number of the round.";
        b.found.push(Found::new(K::MissingReference, S::Warning, r.span.clone(), message, remedy));
    }
    if end == all && !titled && second && !goes_on(b, r) {
        // The same piece once more.
        b.pieces[at].copies = b.pieces[at].copies.saturating_add(1);
        return true;
    }
    // "Legs: same as arms": as many as there are arms.
    let many = |p: &Pending| p.copies.is_none() && p.title.to_lowercase().ends_with('s');
    let copies = told.as_ref().and(b.pending.as_ref()).filter(|p| many(p)).map(|_| b.pieces[at].copies);
    let source = &b.pieces[at];
    let rounds = source.rounds[..end].to_vec();
    let (name, start) = (source.name.clone(), source.start.clone());
    let finish = (end == all && source.finish_said).then_some(source.finish);
    let finish = if told.as_ref().is_some_and(|t| t.open) { Some(Finish::Open) } else { finish };
    if let Some(told) = &told {
        doubt_likeness(b, told, by_name.is_some(), &name, r);
    }
    b.begin_like(&name, start, r.span.clone());
    if let (Some(cur), Some(copies)) = (&mut b.cur, copies) {
        cur.piece.copies = copies;
    }
    for round in &rounds {
        let s = Settled { round: round.round.clone(), known: round.known };
        if !b.push(s, round.label.clone(), r.span.clone(), r.line, usize::MAX) {
            break;
        }
    }
    if let Some(cur) = &mut b.cur {
        cur.next_label = Some(to.saturating_add(1).min(1000));
        cur.finish = finish.or(cur.finish);
    }
    true
}

/// "Rnds 1-3: work as for the head", "R1-3: repeat rounds 1-3 of the head": rounds of a piece told by the like of
/// another. True if that was it.
pub(super) fn rounds_of_piece(b: &mut Builder<'_>, r: &RoundText) -> bool {
    let Some(label) = r.label else { return false };
    let (words, _) = totals_behind(&r.toks);
    let told = likeness::told(b.text, words);
    let link = |t: &Token| matches!(t.t, T::Word(W::Of | W::AsFor | W::From));
    let named = told.is_none() && is_command(words) && words.iter().skip(2).any(link);
    if told.is_none() && !named {
        return false;
    }
    let span = label.to - label.from;
    let (from, to) = if named { referred(words).unwrap_or((0, 0)) } else { (label.from, label.to) };
    let lower = b.text[r.span.clone()].to_lowercase();
    let part = told.as_ref().map_or(lower.as_str(), |t| t.part.as_str());
    let by_name = near_piece(b, part);
    let first = told.as_ref().is_some_and(|t| t.part.contains("first") || t.part.contains("other"));
    let at = by_name.or(b.pieces.len().checked_sub(1).filter(|_| first));
    let Some(at) = at.filter(|_| from > 0 && to - from == span) else { return false };
    let places: Vec<usize> = (from..=to).filter_map(|n| b.numbers[at].get(&n).copied()).collect();
    let (name, start) = (b.pieces[at].name.clone(), b.pieces[at].start.clone());
    if places.len() != span as usize + 1 {
        let message = format!("\"{name}\" has no rounds {from} to {to} in the text; those it has are taken.");
        let remedy = "Check the numbers of the rounds.";
        b.found.push(Found::new(K::MissingReference, S::Warning, r.span.clone(), message, remedy));
    }
    let rounds: Vec<ReadRound> = places.iter().filter_map(|p| b.pieces[at].rounds.get(*p).cloned()).collect();
    if let Some(told) = &told {
        doubt_likeness(b, told, by_name.is_some(), &name, r);
    }
    let new = b.cur.as_ref().is_some_and(|c| c.piece.rounds.is_empty());
    if let Some(cur) = b.cur.as_mut().filter(|_| new && from == 1) {
        cur.piece.start = start;
    }
    for (k, source) in (0u32..).zip(&rounds) {
        let s = match b.cur.as_ref().and_then(|c| c.below) {
            Some(below) => again(b, source, usize::MAX, below, r),
            None => Settled { round: source.round.clone(), known: source.known },
        };
        if !b.push(s, label_of(r, k), r.span.clone(), r.line, usize::MAX) {
            break;
        }
    }
    if let Some(cur) = &mut b.cur {
        cur.next_label = Some(label.to.saturating_add(1));
    }
    check_total(b, r);
    true
}

/// The piece that stands near and is named in a text in lower case: "the left arm" is rather "Left arm" than "Arm".
fn near_piece(b: &Builder<'_>, lower: &str) -> Option<usize> {
    // Only the pieces that stand near are looked through.
    let far = b.pieces.len().saturating_sub(64);
    let named = (far..b.pieces.len()).filter(|i| {
        let name = b.pieces[*i].name.to_lowercase();
        name.len() > 2 && (names(lower, &name) || likeness::names_all(lower, &name))
    });
    named.max_by_key(|i| (b.pieces[*i].name.len(), *i))
}

/// Says what of "same as …" is not followed.
fn doubt_likeness(b: &mut Builder<'_>, told: &likeness::Told, named: bool, name: &str, r: &RoundText) {
    if told.differs || told.recoloured {
        let severity = if told.differs { S::Warning } else { S::Note };
        let message = format!("The rounds of \"{name}\" are taken; the difference told here is not followed.");
        let remedy = "Write out the rounds that differ.";
        b.found.push(Found::new(K::Guessed, severity, r.span.clone(), message, remedy));
    }
    let known = |p: &str| {
        let words = p.split(|c: char| !c.is_alphabetic()).filter(|w| part_words(w) > 0);
        let mut words = words.peekable();
        words.peek().is_none()
            || words.any(|w| b.pieces.iter().rev().take(64).any(|p| likeness::names_all(&p.name.to_lowercase(), w)))
    };
    if !named && !known(&told.part) {
        let message = format!("No part above is called \"{}\"; the rounds of \"{name}\" are taken.", told.part);
        let remedy = "Write out its rounds, or name the part it is like.";
        b.found.push(Found::new(K::MissingReference, S::Warning, r.span.clone(), message, remedy));
    }
}

fn names(text: &str, name: &str) -> bool {
    text.contains(name) || name.strip_suffix('s').is_some_and(|n| n.len() > 2 && text.contains(n))
}

/// Whether the next entry goes on with rounds of this piece.
fn goes_on(b: &Builder<'_>, r: &RoundText) -> bool {
    b.entries
        .iter()
        .filter_map(|e| match e {
            Entry::Round(n) if n.span.start > r.span.start => Some(n),
            _ => None,
        })
        .take(1)
        .any(|n| n.label.is_some_and(|l| l.from > 1))
}

/// How often: "3 more times", "twice", "x 3", "for 4 rounds".
fn how_often(toks: &[Token]) -> Option<u32> {
    for (k, t) in toks.iter().enumerate() {
        let next = toks.get(k + 1).and_then(Token::word);
        let before = k.checked_sub(1).and_then(|i| toks[i].word());
        match t.t {
            T::Num(n) if matches!(next, Some(W::Times | W::X)) && before != Some(W::Rnd) => return Some(n),
            T::Num(n) if next == Some(W::More) => return Some(n),
            T::Num(n) if before == Some(W::X) => return Some(n),
            T::Num(n) if next == Some(W::Rnd) && before == Some(W::For) => return Some(n),
            T::Word(W::TimesN(n)) => return Some(n),
            _ => {}
        }
    }
    None
}

/// The number of rounds behind "until": "until you have 10 rounds in all", "until round 10".
fn goal(toks: &[Token]) -> Option<u32> {
    let n = toks.windows(2).find_map(|w| match (w[0].t, w[1].t) {
        (T::Num(n), T::Word(W::Rnd)) | (T::Word(W::Rnd), T::Num(n) | T::Ord(n)) | (T::Ord(n), T::Word(W::Rnd)) => {
            Some(n)
        }
        _ => None,
    });
    n.filter(|n| *n <= 400)
}

/// A printed total behind a command; of several the last.
fn total_of(toks: &[Token]) -> Option<u32> {
    if let Some(n) = totals_behind(toks).1.last().and_then(Token::num) {
        return Some(n);
    }
    (1..toks.len()).rev().find_map(|k| match (toks[k - 1].t, toks[k].t) {
        // "(3 times)" is none.
        (T::Open(_) | T::Eq, T::Num(n))
            if !matches!(toks.get(k + 1).map(|t| t.t), Some(T::Word(W::Times | W::X | W::More | W::Rnd))) =>
        {
            Some(n)
        }
        _ => None,
    })
}

/// "repeat round 6 …" inside a piece. True if that was it.
pub(super) fn run(b: &mut Builder<'_>, r: &RoundText) -> bool {
    // A command is the head of its words: "sc around, repeat round 6" is not read as one.
    let head = r.toks.iter().position(|t| matches!(t.t, T::Word(W::Rep | W::AsFor | W::Same)));
    let same = r.label.is_some() && super::looks::is_same(&r.toks);
    if !same && (!is_command(&r.toks) || head.is_none_or(|h| h > 2)) {
        return false;
    }
    let Some(cur) = &b.cur else { return false };
    if cur.piece.rounds.is_empty() {
        return false;
    }
    let have = cur.piece.rounds.len();
    let last = r.toks.iter().position(|t| t.is(W::Last)).filter(|_| referred(&r.toks).is_none());
    let places: Vec<usize> = if same {
        vec![have - 1]
    } else if let Some(l) = last {
        let n = r.toks.get(l + 1).and_then(Token::num).unwrap_or(1) as usize;
        (have.saturating_sub(n.min(have))..have).collect()
    } else {
        let Some((from, to)) = referred(&r.toks) else { return false };
        let found: Vec<usize> = (from..=to.min(from + 100)).filter_map(|n| cur.numbers.get(&n).copied()).collect();
        if found.len() != (to.min(from + 100) - from + 1) as usize {
            let message = "A round that is to be repeated is not there; stitches are worked even instead.";
            b.found.push(Found::new(K::MissingReference, S::Warning, r.span.clone(), message, "Check the number."));
        }
        found
    };
    let Some(cur) = &b.cur else { return false };
    let changes = cur.piece.rounds.last().is_some_and(|x| x.round.uses() != x.round.count());
    let even = same && changes && total_of(&r.toks) == cur.below && r.label.is_none_or(|l| l.from == l.to);
    if places.is_empty() || even {
        return missing(b, r);
    }
    let (Some(cur), below) = (&b.cur, cur.below) else { return false };
    let label_rounds = r.label.map_or(1, |l| l.to - l.from + 1) as usize;
    let often = how_often(&r.toks).unwrap_or(1).min(200) as usize;
    let until = r.toks.iter().position(|t| t.is(W::Until)).filter(|_| label_rounds == 1);
    let rounds = match until.map(|u| goal(&r.toks[u..])) {
        // "until you have 10 rounds"
        Some(Some(goal)) => (goal as usize).saturating_sub(have),
        Some(None) => {
            let message = "A measure stands in place of counts: the rounds are repeated once.";
            let remedy = "Write how often they are repeated.";
            b.found.push(Found::new(K::MeasureOnly, S::Warning, r.span.clone(), message, remedy));
            places.len()
        }
        None if label_rounds > 1 => label_rounds,
        None => places.len() * often,
    };
    let sources: Vec<(ReadRound, usize)> =
        places.iter().map(|p| (cur.piece.rounds[*p].clone(), cur.sources[*p])).collect();
    repeat(b, r, &sources, rounds);
    if same && b.cur.as_ref().is_some_and(|c| c.below != below) {
        let message = "The round before changes the count, and so does this one.";
        let remedy = "Write this round out, or its total if it is straight.";
        b.found.push(Found::new(K::Guessed, S::Warning, r.span.clone(), message, remedy));
    }
    if let Some(cur) = &mut b.cur {
        cur.next_label = match r.label {
            Some(l) => Some((l.from + u32::try_from(rounds).unwrap_or(1)).max(l.to + 1)),
            None => cur.next_label.map(|n| n + u32::try_from(rounds).unwrap_or(0)),
        };
    }
    check_total(b, r);
    true
}

/// The rounds of `sources` in turn, `rounds` in all.
pub(super) fn repeat(b: &mut Builder<'_>, r: &RoundText, sources: &[(ReadRound, usize)], rounds: usize) {
    // "R4-7: repeat R2-3 twice (24, 24, 48, 48)": what each comes to is printed.
    let totals = Some(totals_behind(&r.toks).1).filter(|t| t.len() == rounds && rounds > 1).unwrap_or_default();
    for k in 0..rounds {
        let (source, entry) = &sources[k % sources.len()];
        let below = b.cur.as_ref().and_then(|c| c.below).unwrap_or(0);
        let told = totals.get(k).and_then(Token::num).filter(|n| *n > 0 && below / 4 <= *n && *n / 4 <= below);
        let same = source.round.uses() == below && told.is_none_or(|n| n == source.round.count());
        let kind = source.round.kind();
        let spread = told.filter(|_| !same).and_then(|to| {
            super::expand::spread_kind(below, to, 0.5, kind, crate::rounds::Loops::Both, source.round.colour())
        });
        let s = match spread {
            Some(round) => Settled { round, known: Known::TotalOnly },
            None => again(b, source, *entry, below, r),
        };
        let label = label_of(r, u32::try_from(k).unwrap_or(0));
        if !b.push(s, label, r.span.clone(), r.line, *entry) {
            break;
        }
    }
}

/// Says where the printed total behind repeated rounds is not what they come to.
pub(super) fn check_total(b: &mut Builder<'_>, r: &RoundText) {
    let count = b.cur.as_ref().and_then(|c| c.below).unwrap_or(0);
    if let Some(t) = total_of(&r.toks)
        && t != count
    {
        let message = format!("The repeated rounds end with {count} stitches, the printed total is {t}.");
        let remedy = "Check the number of the round that is repeated.";
        b.found.push(Found::new(K::TotalDiffers, S::Warning, r.span.clone(), message, remedy));
    }
}

/// The round to be repeated is not there: worked to the printed total, or even.
fn missing(b: &mut Builder<'_>, r: &RoundText) -> bool {
    let Some(cur) = &mut b.cur else { return false };
    let Some(below) = cur.below else { return false };
    cur.next_label = r.label.map(|l| l.to + 1);
    let to = total_of(&r.toks).unwrap_or(below);
    let loops = crate::rounds::Loops::Both;
    if let Some(round) = super::expand::spread_kind(below, to, 0.0, cur.kind, loops, None) {
        let known = if total_of(&r.toks).is_some() { Known::TotalOnly } else { Known::Guessed };
        b.push(Settled { round, known }, label_of(r, 0), r.span.clone(), r.line, usize::MAX);
    }
    true
}

/// A round once more, on `below` stitches.
fn again(b: &mut Builder<'_>, source: &ReadRound, entry: usize, below: u32, r: &RoundText) -> Settled {
    if source.round.uses() == below {
        return Settled { round: source.round.clone(), known: source.known };
    }
    if source.round.uses() == source.round.count() {
        let mut round = even_like(&source.round);
        for run in &mut round.runs {
            run.times = below;
        }
        return Settled { round, known: Known::WorkedOut };
    }
    let words = match b.entries.get(entry) {
        Some(Entry::Round(r)) => Some(r.toks.clone()),
        _ => None,
    };
    if let Some(words) = words {
        let mut f = b.fitted(&words, Some(below));
        f.parsed.total = None;
        f.solved = super::expand::solve(&f.parsed.items, Some(below), None);
        if f.solved.uses == below
            && f.solved.rest == 0
            && f.solved.makes > 0
            && let Some(round) = runs(&f.parsed.items, &f.solved, StitchKind::Single)
        {
            return Settled { round, known: Known::WorkedOut };
        }
    }
    let message =
        format!("The repeated round needs {} stitches, {below} are there: it is worked even.", source.round.uses());
    b.found.push(Found::new(K::StitchesDiffer, S::Warning, r.span.clone(), message, "Write this round out."));
    let mut round = even_like(&source.round);
    for run in &mut round.runs {
        run.times = below;
    }
    Settled { round, known: Known::Guessed }
}

/// Rounds told by a measure. True if they were made (or said to be unknown).
pub(super) fn measured(b: &mut Builder<'_>, r: &RoundText, f: &Fitted, below: u32) -> bool {
    let Some(span) = f.parsed.measure.clone() else { return false };
    let words = b.text.get(span.clone()).unwrap_or_default().to_lowercase();
    let closed = f.parsed.finish == Some(Finish::Gathered);
    let up = f.solved.makes > f.solved.uses;
    if closed {
        // Decreased again and again until a handful is left.
        let mut at = below;
        let mut k = 0;
        while at > 6 && k < 12 {
            let to = at.div_ceil(2);
            let Some(round) =
                super::expand::spread_kind(at, to, 0.0, StitchKind::Single, crate::rounds::Loops::Both, None)
            else {
                break;
            };
            let label = label_of(r, k);
            if !b.push(Settled { round, known: Known::Guessed }, label, r.span.clone(), r.line, usize::MAX) {
                break;
            }
            at = to;
            k += 1;
        }
        let message = format!("\"Until closed\" gives no count: {k} rounds that halve the stitches are taken.");
        b.found.push(Found::new(K::MeasureOnly, S::Warning, span, message, "Write the rounds with their totals."));
        return true;
    }
    // "until 14 rows are done": a count after all.
    let inside: Vec<Token> = r.toks.iter().filter(|t| span.contains(&t.start)).copied().collect();
    let goal_rounds = inside.windows(2).find(|w| w[1].is(W::Rnd)).and_then(|w| w[0].num()).filter(|n| *n <= 400);
    let goal_mm = header::length_mm(&words).filter(|_| goal_rounds.is_none());
    let per_mm = b.heading.gauge.as_ref().and_then(|g| g.value.rounds_per_10cm).map(|n| n / 100.0);
    let have = b.cur.as_ref().map_or(0, |c| c.piece.rounds.len());
    let rounds = match (goal_mm, per_mm) {
        _ if goal_rounds.is_some() => (goal_rounds.unwrap_or(0) as usize).saturating_sub(have),
        (Some(mm), Some(per)) => {
            let all = (mm * per).round().clamp(0.0, 300.0);
            (all as usize).saturating_sub(have).max(1)
        }
        // A line with no label is no round of its own: how many it stands for is not known.
        _ if r.label.is_none() => 0,
        _ => 1,
    };
    let message = if let Some(n) = goal_rounds {
        format!("Worked until there are {n} rounds: {rounds} more are taken.")
    } else if rounds > 1 || (goal_mm.is_some() && per_mm.is_some()) {
        format!("A measure stands in place of counts: {rounds} rounds are taken by the gauge of the text.")
    } else {
        let taken = if rounds == 0 { "no round is" } else { "one round is" };
        format!("A measure stands in place of counts; without a gauge {taken} taken.")
    };
    b.found.push(Found::new(K::MeasureOnly, S::Warning, span, message, "Write the number of rounds."));
    let straight = f.solved.makes == f.solved.uses || up || f.solved.makes == 0;
    let mut at = below;
    for k in 0..rounds {
        let round = if straight && !up || f.parsed.items.is_empty() {
            let mut round = crate::rounds::even(at);
            for run in &mut round.runs {
                run.stitch = Stitch { kind: b.cur.as_ref().map_or(StitchKind::Single, |c| c.kind), ..Stitch::SC };
            }
            round
        } else {
            let solved = super::expand::solve(&f.parsed.items, Some(at), None);
            match runs(&f.parsed.items, &solved, StitchKind::Single).filter(|x| x.count() > 0 && solved.uses == at) {
                Some(round) => round,
                None => crate::rounds::even(at),
            }
        };
        at = round.count();
        let label = label_of(r, u32::try_from(k).unwrap_or(0));
        if !b.push(Settled { round, known: Known::Guessed }, label, r.span.clone(), r.line, usize::MAX) {
            break;
        }
    }
    true
}
