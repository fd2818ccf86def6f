//! What a line looks like: work, a command, a legend, bare counts, or prose.

use std::ops::Range;

use super::lexer::{T, Token};
use super::words::W;

/// What words a line has.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Look {
    pub work: usize,
    /// Of these, lone crosses: `6x`, but also "make 6x".
    pub crosses: usize,
    pub unknown: usize,
    pub numbers: usize,
    pub whole: bool,
    pub straight: bool,
    pub ring: bool,
    pub notes: usize,
    pub chain: bool,
    pub rounds_number: bool,
    pub equals: usize,
    /// "Continue": goes on, with what follows.
    pub goes_on: bool,
}

pub(super) fn look(toks: &[Token]) -> Look {
    let mut l = Look::default();
    for (k, t) in toks.iter().enumerate() {
        let next = toks.get(k + 1).map(|t| t.t);
        match t.t {
            T::Num(_) => {
                l.numbers += 1;
                l.rounds_number |= matches!(next, Some(T::Word(W::Rnd | W::More)));
            }
            T::Eq => l.equals += 1,
            T::Word(w) => match w {
                W::Kind(_) | W::Inc | W::Dec | W::KindTog(_) | W::SymInc | W::SymDec | W::SymInc3 | W::Cluster => {
                    l.work += 1;
                }
                W::Tog if k > 0 => l.work += 1,
                // `6A`: a chart's decreases.
                W::A if t.caps && k > 0 && toks[k - 1].num().is_some() => l.work += 1,
                W::X if toks.len() > 1 => {
                    let before = k.checked_sub(1).map(|i| toks[i].t);
                    let stitch = matches!(before, None | Some(T::Num(_) | T::Comma | T::Open(_) | T::Pipe | T::Tab))
                        && !matches!(next, Some(T::Num(_) | T::Word(W::Unknown | W::Leg | W::Note)));
                    let stitch = usize::from(stitch && toks.len() < 60);
                    l.work += stitch;
                    l.crosses += stitch;
                }
                W::Unknown => l.unknown += 1,
                W::Around | W::Each | W::Every => l.whole = true,
                W::Even | W::Plain | W::Without => l.straight = true,
                W::Continue => l.goes_on = true,
                W::Ring => l.ring = true,
                W::RingNoun => {
                    let of = matches!(next, Some(T::Word(W::Of))) && toks.get(k + 2).is_some_and(|t| t.num().is_some());
                    l.ring |= of || matches!(next, Some(T::Num(_)));
                }
                W::Ch => l.chain |= matches!(next, Some(T::Num(_))) || (k > 0 && toks[k - 1].num().is_some()),
                W::Note | W::Stuff | W::Fasten => l.notes += 1,
                _ => {}
            },
            _ => {}
        }
    }
    l
}

/// "repeat round 6", "same as round 4", "as the first up to round 12".
pub(super) fn is_command(toks: &[Token]) -> bool {
    if works_rounds_of(toks) {
        return true;
    }
    let head = toks.iter().take(12);
    let rep = head.clone().position(|t| matches!(t.t, T::Word(W::Rep | W::AsFor | W::Same)));
    let Some(at) = rep else { return false };
    if at <= 2 && is_like_piece(toks) {
        return true;
    }
    let rest = &toks[at..toks.len().min(at + 14)];
    rest.windows(2).any(|w| w[0].is(W::Rnd) && matches!(w[1].t, T::Num(_) | T::Ord(_)))
        || rest.windows(2).any(|w| matches!(w[0].t, T::Ord(_)) && w[1].is(W::Rnd))
        || (rest.iter().any(|t| t.is(W::Last)) && rest.iter().any(|t| t.is(W::Rnd)))
}

/// "same", "the same (18)": the round before once more.
pub(super) fn is_same(toks: &[Token]) -> bool {
    let (words, _) = super::totals::totals_behind(toks);
    let plain = |t: &Token| matches!(t.t, T::Word(W::Same | W::The | W::AsFor | W::Last | W::Rnd) | T::Dot | T::Comma);
    words.len() <= 6 && words.iter().all(plain) && words.iter().any(|t| t.is(W::Same))
}

/// "Work rounds 1-3 of the head.", "Crochet rnds 1-3 as for the head." and no more.
pub(super) fn works_rounds_of(toks: &[Token]) -> bool {
    let verb = matches!(toks.first().map(|t| t.t), Some(T::Word(W::Work | W::Make)));
    if !verb || !(6..=14).contains(&toks.len()) {
        return false;
    }
    let rest = &toks[1 + usize::from(toks[1].is(W::The))..];
    let [rnd, from, rest @ ..] = rest else { return false };
    let link = |t: &Token| matches!(t.t, T::Word(W::Of | W::Same | W::AsFor));
    let Some(of) = rest.iter().position(link).filter(|k| (1..=3).contains(k)) else { return false };
    let numbers = rest[..of].iter().all(|t| {
        t.num().is_some_and(|n| n > 1) || matches!(t.t, T::Dash | T::Slash | T::Word(W::To | W::Through | W::Rnd))
    });
    let work = |t: &Token| super::asides::is_work(t) || t.is(W::Colour);
    rnd.is(W::Rnd) && from.num() == Some(1) && numbers && !rest[of..].iter().any(work)
}

/// "Same as right wing", "Work as for the first": a whole piece told by another.
pub(super) fn is_like_piece(toks: &[Token]) -> bool {
    let short = toks.len() <= 10 && toks.len() >= 2;
    let at = toks.iter().take(3).position(|t| matches!(t.t, T::Word(W::Same | W::AsFor)));
    let clean = !toks.iter().any(|t| {
        matches!(t.t, T::Word(W::Kind(_) | W::Inc | W::Dec | W::Rnd | W::ColourNoun | W::St) | T::Num(_) | T::Open(_))
    });
    let lead = |k: usize| toks[..k].iter().all(|t| matches!(t.t, T::Word(W::Work | W::Make | W::The | W::Is)));
    short && clean && at.is_some_and(lead)
}

/// "Work straight until the tail measures 12 cm", "keep going until it fits".
pub(super) fn is_measure(toks: &[Token]) -> bool {
    let until = toks.iter().take(24).position(|t| t.is(W::Until));
    until.is_some_and(|u| {
        let goes_on = toks[..u].iter().any(|t| {
            matches!(
                t.t,
                T::Word(
                    W::Continue | W::Work | W::Plain | W::Even | W::Increasing | W::Rep | W::Inc | W::Dec | W::Kind(_)
                )
            )
        });
        let rounds = toks[u..].iter().take(4).any(|t| t.is(W::Rnd) || t.is(W::End));
        goes_on && !rounds
    })
}

/// A line that explains an abbreviation: `sc = single crochet`, `inc - two sc in one`.
pub(super) fn is_legend(toks: &[Token]) -> bool {
    let Some(first) = toks.first() else { return false };
    // `x - single crochet, V - increase, A - decrease`
    let pairs = toks.windows(3).take(200).filter(|w| {
        matches!(
            w[0].t,
            T::Word(
                W::Kind(_) | W::Inc | W::Dec | W::X | W::SymInc | W::SymDec | W::A | W::Ring | W::Ch | W::Blo | W::Flo
            )
        ) && matches!(w[1].t, T::Dash | T::Eq | T::Colon)
            && matches!(w[2].t, T::Word(_))
    });
    if pairs.count() >= 2 {
        return true;
    }
    let stitch = matches!(
        first.t,
        T::Word(
            W::Kind(_) | W::Inc | W::Dec | W::Ch | W::Ring | W::St | W::Blo | W::Flo | W::Tog | W::Rnd | W::Rep | W::X
        ) | T::Word(W::SymInc | W::SymDec | W::SymInc3 | W::A | W::KindTog(_) | W::Cluster | W::Skip | W::Invisible)
    );
    if !stitch {
        // `2 sc in next = increase`: what stands behind the sign is a word, and no count.
        let sign = toks.iter().position(|t| t.t == T::Eq).filter(|k| *k > 0).unwrap_or(toks.len());
        let tail = toks.get(sign + 1..).unwrap_or(&[]);
        return matches!(tail.first().map(|t| t.t), Some(T::Word(W::Inc | W::Dec | W::Kind(_) | W::KindTog(_))))
            && tail.len() <= 4
            && !tail.iter().any(|t| t.num().is_some() || t.is(W::Around) || t.is(W::Each));
    }
    let mut k = 1;
    while k < 4
        && matches!(toks.get(k).map(|t| t.t), Some(T::Num(_) | T::Word(W::Tog | W::Kind(_) | W::St)))
        && toks[k].glued
    {
        k += 1;
    }
    // `sc (single crochet)`, `sc = …`
    let bracket_words = matches!(toks.get(k).map(|t| t.t), Some(T::Open(_)))
        && toks.get(k + 1).is_some_and(|t| t.word().is_some() && t.num().is_none())
        && !toks.iter().any(|t| matches!(t.t, T::Num(_)));
    if bracket_words {
        return true;
    }
    if !matches!(toks.get(k).map(|t| t.t), Some(T::Eq | T::Colon | T::Dash | T::Tab)) {
        return false;
    }
    match toks.get(k + 1).map(|t| t.t) {
        Some(T::Word(w)) => !matches!(w, W::Around | W::In | W::Each | W::Even),
        // `inc - 2 sc in one stitch`, but not `sc - 18`.
        Some(T::Num(_)) => toks.get(k + 2).is_some_and(|t| t.word().is_some()) && first.t != T::Word(W::Ring),
        _ => false,
    }
}

/// "Legs (2x)", "Front legs 4x, in grey": a part and how often it is made, with a lone cross that is no stitch.
fn names_copies(toks: &[Token]) -> bool {
    // `3) Legs (2x)`
    let toks = match toks {
        [n, mark, rest @ ..] if n.num().is_some() && matches!(mark.t, T::Dot | T::Close(_)) => rest,
        _ => toks,
    };
    let Some(cross) = toks.iter().position(|t| t.is(W::X)).filter(|k| *k >= 2 && toks[k - 1].num().is_some()) else {
        return false;
    };
    let (head, tail) = (&toks[..cross - 1], &toks[cross + 1..]);
    let named = |t: &Token| {
        matches!(
            t.t,
            T::Word(
                W::Leg | W::Note | W::Colour | W::First | W::Other | W::Front | W::Back | W::Unknown | W::And | W::The
            ) | T::Ord(_)
                | T::Open(_)
                | T::Comma
                | T::Dash
                | T::Colon
        )
    };
    // Behind a limb any sign will do, behind another word a bracket: `Blue eyes (2x)`.
    let boxed = matches!(head[head.len() - 1].t, T::Open(_));
    let part = |t: &Token| t.is(W::Leg) || (boxed && matches!(t.t, T::Word(W::Note | W::Unknown)));
    let work = |t: &Token| {
        t.num().is_some() || matches!(t.t, T::Word(W::Kind(_) | W::Each | W::Every | W::Around | W::St | W::X | W::On))
    };
    head[0].word().is_some() && head.iter().all(named) && head.iter().any(part) && !tail.iter().any(work)
}

/// Whether a line without a label can be a round.
pub(super) fn works(toks: &[Token]) -> bool {
    if toks.is_empty() || toks.len() > 400 || is_legend(toks) {
        return false;
    }
    if is_command(toks) {
        return true;
    }
    let l = look(toks);
    if l.work > 0 && l.work == l.crosses && !l.ring && (l.unknown > 0 || names_copies(toks)) {
        return false;
    }
    let first_note = matches!(toks[0].t, T::Word(W::Note | W::Stuff | W::Fasten | W::Fold | W::Close));
    if first_note {
        return false;
    }
    if is_measure(toks) {
        return true;
    }
    if (l.straight || l.goes_on) && l.rounds_number && l.unknown <= 4 {
        return true;
    }
    if l.ring && l.unknown <= 3 && l.equals == 0 {
        return true;
    }
    if l.chain && l.unknown <= 3 && l.work == 0 {
        let long = toks.windows(2).any(|w| w[0].is(W::Ch) && w[1].num().is_some_and(|n| n >= 2));
        return long && toks.len() <= 14;
    }
    // "Continue with grey." asks for no round.
    if (l.straight || (l.goes_on && l.whole)) && l.work == 0 && l.unknown == 0 && toks.len() <= 8 {
        return true;
    }
    // `(1, 2 in next) around, 18`: stitches by their numbers alone.
    if l.whole && l.work == 0 && l.numbers >= 2 && l.unknown == 0 && matches!(toks[0].t, T::Open(_)) {
        return toks.iter().any(|t| matches!(t.t, T::Word(W::In | W::Together)));
    }
    // `Colours used: sc`, "5 sc to the inch" are prose: too many words for their stitches.
    if l.work > 0 && l.whole && toks.iter().any(|t| t.is(W::Until)) {
        return l.unknown <= 4;
    }
    l.work > 0 && (l.numbers > 0 || l.whole || l.work > 1) && l.unknown <= l.work + usize::from(l.numbers > 1)
}

/// Whether the words behind a label are a round's.
pub(super) fn works_labelled(toks: &[Token], strong: bool, marked: bool) -> bool {
    if toks.is_empty() {
        return false;
    }
    let l = look(toks);
    let first = toks[0].t;
    if !marked && matches!(first, T::Word(W::Unknown | W::Is | W::Note)) && !is_like_piece(toks) {
        return false;
    }
    if is_command(toks) || (strong && is_same(toks)) {
        return true;
    }
    let counted = match first {
        T::Num(_) => toks.len() <= 4 && l.unknown == 0,
        T::Open(_) | T::Eq => matches!(toks.get(1).map(|t| t.t), Some(T::Num(_))),
        _ => false,
    };
    if !strong {
        // `1. Legs (2x)`: a list of parts.
        if l.work == l.crosses && names_copies(toks) {
            return false;
        }
        let prose = l.unknown > 2 * l.work + 1 || (l.notes > 0 && l.unknown > l.work);
        let stitchy =
            l.work > 0 || (l.ring && (l.numbers > 0 || toks.len() <= 5)) || l.straight || l.goes_on || l.chain;
        return stitchy && !prose;
    }
    if l.work > 0 || l.ring || l.straight || l.goes_on || l.chain || counted {
        let prose = l.unknown > 8 && l.unknown > 4 * (l.work + l.numbers);
        return !prose;
    }
    // Unknown words with numbers where a round is due: kept, and said to be unreadable.
    let mystery = l.numbers > 0 && l.unknown > 0 && l.unknown <= 3 && l.notes == 0;
    // A label with a mark and a few words: a round is due, and if it cannot be read that is said.
    let due = marked && l.notes == 0 && toks.len() <= 14 && !toks.iter().any(|t| t.is(W::Is));
    mystery || due || (toks.iter().any(|t| t.is(W::Until)) && l.notes == 0)
}

/// Whether a line that is taken for a remark names stitches as a round does.
pub(super) fn doubtful(toks: &[Token]) -> bool {
    if toks.is_empty() || is_legend(toks) {
        return false;
    }
    if toks.iter().any(|t| matches!(t.t, T::Word(W::Fold | W::Close | W::Through))) {
        return false;
    }
    let l = look(toks);
    let work = l.work.saturating_sub(l.crosses);
    let total = toks.windows(3).any(|w| matches!((w[0].t, w[1].t, w[2].t), (T::Open(_), T::Num(_), T::Close(_))));
    // Words that mean nothing, and a total behind them: a round in a tongue that is not read.
    let ended = matches!(toks, [.., o, n, c] if matches!((o.t, n.t, c.t), (T::Open(_), T::Num(_), T::Close(_))));
    if ended && l.numbers >= 2 && l.unknown > 0 && l.unknown <= 8 && l.notes == 0 {
        return true;
    }
    l.notes == 0 && work > 0 && l.numbers > 0 && (work > 1 || total || l.whole) && l.unknown <= 2 * work + 4
}

/// `6 12 18 24`: counts and nothing else. Brackets, commas, dashes between are fine.
pub(super) fn bare_counts(toks: &[Token]) -> Option<Vec<(u32, Range<usize>)>> {
    let mut out = Vec::new();
    for t in toks {
        match t.t {
            T::Num(n) => out.push((n, t.start..t.end)),
            T::Comma | T::Semi | T::Tab | T::Dash | T::Slash | T::Pipe | T::Mark | T::Dot => {}
            T::Open(_) | T::Close(_) => {}
            _ => return None,
        }
    }
    // A decimal such as 2.5 is no list.
    let decimal = toks
        .windows(3)
        .any(|w| matches!((w[0].t, w[1].t, w[2].t), (T::Num(_), T::Dot, T::Num(_))) && w[1].glued && w[2].glued);
    // A nought in a list of counts is said to be wrong; beside one or two numbers it is no list.
    let nought = out.iter().any(|(n, _)| *n == 0) && out.len() < 4;
    (!out.is_empty() && !decimal && !nought).then_some(out)
}

/// `MR, 6, 12, 18`: counts behind a ring.
pub(super) fn ring_counts(toks: &[Token]) -> Option<Vec<(u32, Range<usize>)>> {
    let [ring, part, rest @ ..] = toks else { return None };
    let opens = ring.is(W::Ring) && matches!(part.t, T::Comma | T::Colon | T::Dash | T::Semi);
    bare_counts(rest).filter(|c| opens && c.len() >= 3)
}

/// A line between two bars, `| Rnds 3-5: sc around (12) |`: what stands between them, where a label begins it.
pub(super) fn unframed(toks: &[Token]) -> &[Token] {
    let [open, inner @ .., close] = toks else { return toks };
    let barred = open.t == T::Pipe && close.t == T::Pipe && !inner.iter().any(|t| t.t == T::Pipe);
    let label = |t: &Token| t.is(W::Rnd) || matches!(t.t, T::Num(_) | T::Ord(_));
    let labelled = inner.first().is_some_and(label)
        && super::labels::label(inner, super::labels::Due::default()).is_some_and(|l| l.used < inner.len());
    if barred && labelled { inner } else { toks }
}

/// Marks before a line's words: bullets, quotes, headings' signs.
pub(super) fn bullets(toks: &[Token]) -> usize {
    // A table drawn with bars: the first one opens the row.
    let row = matches!(toks.first().map(|t| t.t), Some(T::Pipe)) && {
        let cell = toks[1..].iter().take(6).take_while(|t| t.t != T::Pipe).count();
        let label = toks[1..=cell]
            .iter()
            .all(|t| matches!(t.t, T::Num(_) | T::Ord(_) | T::Dash | T::Dot | T::Word(W::Rnd | W::To | W::And)));
        cell > 0 && label && matches!(toks.get(cell + 1).map(|t| t.t), Some(T::Pipe))
    };
    let mut k = usize::from(row);
    while k < toks.len().min(8) {
        match toks[k].t {
            T::Mark | T::Dash | T::Plus | T::Tab => k += 1,
            T::Dot | T::Comma | T::Colon | T::Close(_) => k += 1,
            // A box to tick: `[ ]`, `[x]`.
            T::Open(_) if matches!(toks.get(k + 1).map(|t| t.t), Some(T::Close(_))) => k += 2,
            T::Open(_)
                if toks.get(k + 1).is_some_and(|t| t.is(W::X))
                    && matches!(toks.get(k + 2).map(|t| t.t), Some(T::Close(_))) =>
            {
                k += 3;
            }
            // `* Rnd 3` is a bullet, `*sc, inc*` is not.
            T::Star => {
                let bold = matches!(toks.get(k + 1).map(|t| t.t), Some(T::Star));
                let spaced = toks.get(k + 1).is_some_and(|t| !t.glued);
                let later = toks[k + 1..].iter().any(|t| t.t == T::Star || t.is(W::Rep));
                if bold {
                    k += 2;
                } else if spaced && !later {
                    k += 1;
                } else {
                    let strong = toks.get(k + 1).is_some_and(|t| t.is(W::Rnd));
                    if strong {
                        k += 1;
                    } else {
                        break;
                    }
                }
            }
            _ => break,
        }
    }
    k
}

/// Whether a round's words cannot be all: an open bracket, a comma or a sign at the end.
pub(super) fn unfinished(toks: &[Token]) -> bool {
    let mut depth = 0i32;
    for t in toks {
        match t.t {
            T::Open(_) => depth += 1,
            T::Close(_) => depth -= 1,
            _ => {}
        }
    }
    let Some(last) = toks.last() else { return true };
    // `inc x 6 (12),`: a comma behind a total parts nothing.
    if let [.., o, n, c, comma] = toks
        && matches!((o.t, n.t, c.t, comma.t), (T::Open(_), T::Num(_), T::Close(_), T::Comma))
    {
        return depth > 0;
    }
    depth > 0
        || matches!(
            last.t,
            T::Comma | T::Plus | T::Amp | T::Eq | T::Word(W::In | W::Next | W::And | W::Then | W::X | W::Rep | W::Each)
        ) && !(last.is(W::X) && toks.len() >= 2 && toks[toks.len() - 2].num().is_some())
}

/// Words that begin a line which divides the work.
pub(super) const DIVIDES: &[&str] = &["divide", "dividing", "split", "splitting", "separate", "separating"];

/// "Join yarn …", "rejoin the yarn …", "attach new yarn …" at the head of some words.
pub(super) fn joins_yarn(text: &str, toks: &[Token]) -> bool {
    let word = toks.first().map_or("", |t| &text[t.start..t.end]).to_lowercase();
    matches!(word.as_str(), "join" | "rejoin" | "attach" | "reattach")
        && toks.iter().take(4).any(|t| t.is(W::ColourNoun))
}

/// Whether words say how many to make and nothing of the work: `GREEN, 2X`, `(make 2)`.
pub(super) fn only_copies(text: &str, toks: &[Token]) -> bool {
    const MOST: usize = 10;
    let told = toks.len() <= MOST && super::copies::copies(text, toks).is_some();
    let l = look(toks);
    told && (toks.len() <= 3 || (l.work == l.crosses && !l.ring && !l.whole && !l.rounds_number))
}

/// Whether words behind a part's name say where it goes: "R2, 5 sts apart", "2 sc below".
pub(super) fn tells_a_place(text: &str, toks: &[Token]) -> bool {
    let place =
        |t: &Token| matches!(text[t.start..t.end].to_lowercase().as_str(), "apart" | "below" | "above" | "between");
    let work = |t: &Token| matches!(t.t, T::Word(W::Inc | W::Dec | W::Ring | W::Around | W::Each));
    toks.len() <= 16 && toks.iter().any(place) && !toks.iter().any(work)
}
