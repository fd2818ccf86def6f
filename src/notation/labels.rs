//! Round labels: `Rnd 3:`, `R7-11`, `3rd row:`, `7.+8.`, `3)`.

use super::lexer::{T, Token};
use super::words::W;

/// A label as printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Label {
    pub from: u32,
    pub to: u32,
    /// Tokens it takes, with the mark behind it.
    pub used: usize,
    /// A word for "round" stands in it.
    pub strong: bool,
    /// A mark stands behind it, or it is strong.
    pub marked: bool,
}

const HIGHEST: u32 = 999;

fn number(token: Option<&Token>) -> Option<u32> {
    match token?.t {
        T::Num(n) | T::Ord(n) if n <= HIGHEST => Some(n),
        _ => None,
    }
}

/// A letter that stands for a word for "round" in other tongues.
fn letter(t: &Token) -> bool {
    matches!(t.t, T::Word(W::Tog | W::SymInc)) && t.end - t.start == 1 && t.caps
}

/// What a label is expected to be.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Due {
    /// The number that would come next.
    pub number: Option<u32>,
    /// The text parts its labels from the words by a dash (`R3-6 sc`), so a dash need not be a range.
    pub dashes: bool,
    /// The label before this one had no mark behind it.
    pub unmarked: bool,
}

/// Whether a text parts its labels from the words by a dash (`R3-6 sc`): a number behind such a dash is no
/// larger than the label, or is no number, or the next label shows that it was no range.
pub(super) fn dashed<'t>(lines: impl Iterator<Item = &'t [Token]>) -> bool {
    let mut open: Option<u32> = None;
    for toks in lines {
        for (k, w) in toks.windows(3).enumerate() {
            // "Eyes between rounds 4 and 5" labels nothing.
            let inside = k > 0 && matches!(toks[k - 1].t, T::Word(_));
            if !w[0].is(W::Rnd) || inside {
                continue;
            }
            let Some(from) = number(w.get(1)) else { continue };
            let next = toks.get(k + 3);
            if open == Some(from) {
                return true;
            }
            open = None;
            if w[2].t == T::Dash && next.is_some_and(|t| !t.is(W::Rnd)) {
                match number(next) {
                    Some(n) if n > from + 1 => open = Some(from + 1),
                    Some(n) if n > from => {}
                    _ => return true,
                }
            }
        }
    }
    false
}

/// Whether the bars are those of a table's row: the last cell is a total, or nothing.
fn is_row(toks: &[Token]) -> bool {
    if toks.len() > 100 {
        return false;
    }
    let head = toks;
    match head.iter().rposition(|t| t.t == T::Pipe) {
        // One bar: behind the label, unless the line breaks off inside a group.
        None => true,
        Some(0) => !matches!(head[head.len() - 1].t, T::Comma | T::Word(_)),
        Some(last) => match head[last + 1..] {
            [] => true,
            [t] => matches!(t.t, T::Num(_)),
            [n, u] => matches!(n.t, T::Num(_)) && matches!(u.t, T::Word(W::St | W::Kind(_) | W::Point)),
            [o, n, c] => matches!((o.t, n.t, c.t), (T::Open(_), T::Num(_), T::Close(_))),
            _ => false,
        },
    }
}

/// `[3] (sc, inc) x 6`, `(5-8) sc around`: a number in brackets, where just this number is due.
fn boxed(toks: &[Token], due: Due) -> Option<Label> {
    let from = number(toks.get(1))?;
    let mut k = 2;
    let mut to = from;
    if matches!(toks.get(k)?.t, T::Dash | T::Slash | T::Word(W::To))
        && let Some(n) = number(toks.get(k + 1)).filter(|n| *n > from && n - from <= 200)
    {
        to = n;
        k += 2;
    }
    // `(3) - (5) sc around`
    if to == from
        && let [close, part, open, n, shut, ..] = &toks[k..]
        && matches!((close.t, open.t, shut.t), (T::Close(_), T::Open(_), T::Close(_)))
        && matches!(part.t, T::Dash | T::Slash | T::Word(W::To))
        && let Some(n) = number(Some(n)).filter(|n| *n > from && n - from <= 200)
    {
        to = n;
        k += 4;
    }
    let closed = matches!(toks.get(k)?.t, T::Close(_));
    let next = toks.get(k + 1)?;
    let number_due = due.number == Some(from) || (due.number.is_none() && from == 1);
    // `(6) x 2` is a group, `(6).` a total.
    let work = !matches!(next.t, T::Word(W::X | W::Times | W::TimesN(_)) | T::Star);
    if !(closed && number_due && work) {
        return None;
    }
    let mark = usize::from(matches!(next.t, T::Colon | T::Dot | T::Dash));
    Some(Label { from, to, used: k + 1 + mark, strong: false, marked: true })
}

/// The label at the head of `toks`. `expected` is the number that would come next.
pub(super) fn label(toks: &[Token], due: Due) -> Option<Label> {
    if matches!(toks.first().map(|t| t.t), Some(T::Open(_))) && toks.get(1).and_then(Token::num).is_some() {
        return boxed(toks, due);
    }
    // `From rnd 2 to rnd 5:`
    if toks.first().is_some_and(|t| t.is(W::From)) && toks.get(1).is_some_and(|t| t.is(W::Rnd)) {
        let inner = label(&toks[1..], due)?;
        let marked = matches!(toks[inner.used].t, T::Colon | T::Comma | T::Dash);
        let work = toks.get(inner.used + 1).is_some_and(super::asides::is_work);
        return (inner.to > inner.from && (marked || work)).then_some(Label { used: inner.used + 1, ..inner });
    }
    let expected = due.number;
    let t = |k: usize| toks.get(k).map(|t| t.t);
    let is_rnd = |k: usize| matches!(t(k), Some(T::Word(W::Rnd))) || (k > 2 && toks.get(k).is_some_and(letter));
    let mut k = 0;
    let bracketed = matches!(t(0), Some(T::Open(_))) && is_rnd(1);
    k += usize::from(bracketed);
    // French `T3:` for a tour, Spanish `V3:` for a vuelta.
    let tour = k == 0
        && toks.first().is_some_and(letter)
        && toks.get(1).is_some_and(|t| t.glued && t.num().is_some())
        && matches!(t(2), Some(T::Colon | T::Dash | T::Dot));
    let mut strong = is_rnd(k) || tour;
    if strong {
        k += 1;
        // `Rnd. 3`, `R-3`, `Rnd #3`
        if matches!(t(k), Some(T::Dot | T::Mark)) && number(toks.get(k + 1)).is_some() {
            k += 1;
        }
        // `Round no. 3`, `Round No 3`
        let dot = usize::from(t(k + 1) == Some(T::Dot));
        if toks.get(k).is_some_and(|t| t.is(W::Without) && t.end - t.start == 2)
            && number(toks.get(k + 1 + dot)).is_some()
        {
            k += 1 + dot;
        }
    }
    // `Rnd #4-#6`
    let signed = strong && k > 1 && t(k - 1) == Some(T::Mark);
    let ordinal = matches!(t(k), Some(T::Ord(_)));
    let from = number(toks.get(k))?;
    k += 1;
    let mut to = from;
    // `3r.`, `3. Rd:`, `3rd row`
    let mut dotted = false;
    if !strong {
        if matches!(t(k), Some(T::Dot)) && is_rnd(k + 1) && number(toks.get(k + 2)).is_none() {
            k += 2;
            strong = true;
        } else if is_rnd(k)
            && (ordinal
                || (toks[k].glued && toks[k].end - toks[k].start <= 3)
                || matches!(t(k + 1), Some(T::Colon))
                || (toks[k].end - toks[k].start <= 2 && matches!(t(k + 1), Some(T::Dot))))
            && number(toks.get(k + 1)).is_none()
        {
            k += 1;
            strong = true;
        }
    }
    // `Rnds 3, 4 and 5:`, `Rnds 2-3 and 5-6:`
    let first = k - 1;
    let parted = |t: &Token| matches!(t.t, T::Comma | T::Amp | T::Plus | T::Slash | T::Word(W::And));
    let numbered = (toks[k..].iter().take(4).any(parted).then(|| list(toks, first)).flatten())
        .filter(|(_, end)| strong || (expected == Some(from) && toks.get(*end).is_some_and(|t| t.t == T::Colon)));
    if let Some((stretches, end)) = &numbered {
        to = stretches[0].1;
        k = *end;
    }
    // The other end of a range.
    let mut c = k;
    // `4°-6°`
    let degree = |k: usize| {
        t(k) == Some(T::Mark) && toks[k].glued && k.checked_sub(1).is_some_and(|k| number(toks.get(k)).is_some())
    };
    let degrees = degree(c) && t(c + 1) == Some(T::Dash);
    if degrees
        || matches!(t(c), Some(T::Dot | T::Close(_)))
            && matches!(t(c + 1), Some(T::Dash | T::Plus | T::Amp | T::Slash | T::Word(W::And | W::To)))
    {
        c += 1;
        dotted = true;
    }
    // `R4..R6`
    let dots = strong && t(c) == Some(T::Dot) && t(c + 1) == Some(T::Dot) && toks[c + 1].glued;
    c += usize::from(dots);
    let connector = t(c);
    let word_like = matches!(connector, Some(T::Word(W::To | W::And | W::A | W::Through)) | Some(T::Amp | T::Plus));
    // `Rnds 3→5:`, `R4 bis R6:`, `R4 until R6:`, `R4..R6:`: where the mark behind shows it.
    let far = c + 1 + usize::from(is_rnd(c + 1));
    let short = |k: usize| toks.get(k).is_some_and(|t| t.is(W::Unknown) && t.end - t.start <= 3) && is_rnd(k + 1);
    let arrow = strong
        && (dots || matches!(connector, Some(T::Mark | T::Word(W::Until))) || short(c))
        && t(far + 1) == Some(T::Colon)
        && number(toks.get(far)).is_some();
    if numbered.is_none() && (word_like || arrow || matches!(connector, Some(T::Dash | T::Slash))) {
        let mut e = c + 1;
        let again = is_rnd(e);
        e += usize::from(again);
        e += usize::from(signed && t(e) == Some(T::Mark));
        if let Some(n) = number(toks.get(e))
            && n > from
            && n - from <= 200
        {
            e += 1;
            let end_dot = dotted && matches!(t(e), Some(T::Dot));
            let mut rnd_after = false;
            if is_rnd(e) && !strong {
                rnd_after = true;
            } else if matches!(t(e), Some(T::Dot)) && is_rnd(e + 1) && !strong {
                e += 1;
                rnd_after = true;
            }
            let marked = matches!(
                t(e),
                None | Some(
                    T::Colon
                        | T::Dot
                        | T::Close(_)
                        | T::Open(_)
                        | T::Dash
                        | T::Eq
                        | T::Pipe
                        | T::Tab
                        | T::Star
                        | T::Mark
                )
            );
            let stitch = matches!(t(e), Some(T::Word(W::Kind(_) | W::Inc | W::Dec | W::X | W::SymInc | W::Tog)));
            let whole = match t(e + 1) {
                Some(T::Word(W::Around | W::Even | W::Each)) => true,
                Some(T::Word(W::In)) => matches!(t(e + 2), Some(T::Word(W::Each | W::Every | W::All))),
                _ => false,
            };
            // `2-3 sc 5`: the stitches have a number of their own.
            let numbered = stitch && matches!(t(e + 1), Some(T::Num(_)));
            let glued = toks[c].glued && toks[c + 1].glued;
            let range = again
                || (degrees && degree(e))
                || (t(e) == Some(T::Slash) && toks.get(e + 1).is_some_and(|t| !t.glued))
                || rnd_after
                || end_dot
                || marked
                || (strong && word_like)
                || (!strong && glued && due.unmarked && expected == Some(from))
                || (strong && matches!(t(e), Some(T::Num(_))) && !due.dashes)
                || (strong && !due.dashes && ((whole && n - from <= 12) || numbered))
                || (strong && glued && (!stitch || (whole && n - from <= 12) || numbered || !due.dashes))
                || (strong && !stitch && toks.get(e).is_some_and(|t| t.word().is_some()));
            if range {
                to = n;
                k = e + usize::from(rnd_after) + usize::from(degrees && degree(e));
                strong |= rnd_after;
            }
        }
    }
    if bracketed && matches!(t(k), Some(T::Close(_))) {
        k += 1;
    }
    // `* Rnd 3 * (sc, inc) x 6`: a star that closes nothing behind it only sets the label off.
    if strong && t(k) == Some(T::Star) && toks[k..].iter().take(400).filter(|t| t.t == T::Star).count() % 2 == 1 {
        let spaced = toks.get(k + 1).is_some_and(|t| !t.glued);
        k += usize::from(spaced);
    }
    // The mark behind it.
    let mut marked = false;
    while let Some(T::Colon | T::Dot | T::Close(_) | T::Dash | T::Tab | T::Pipe | T::Eq | T::Comma) = t(k) {
        let mark = t(k);
        // A table's bar is a mark only right behind the number.
        if mark == Some(T::Pipe) && (marked || !is_row(&toks[k..])) || marked && mark == Some(T::Tab) {
            break;
        }
        // A weak label takes `.`, `)`, `:` or a table's bar, not a comma or an equals sign.
        if !strong && (matches!(mark, Some(T::Comma | T::Eq)) || (mark == Some(T::Dash) && !marked && to == from)) {
            if mark == Some(T::Dash) && expected == Some(from) && toks.get(k + 1).is_some() && !toks[k + 1].glued {
                marked = true;
                k += 1;
                continue;
            }
            break;
        }
        // `2.5 mm` is no label.
        if !strong && mark == Some(T::Dot) && toks.get(k + 1).is_some_and(|n| n.glued && n.num().is_some()) {
            return None;
        }
        marked = true;
        k += 1;
        if matches!(mark, Some(T::Close(_) | T::Pipe)) && !matches!(t(k), Some(T::Colon | T::Dash | T::Dot)) {
            break;
        }
    }
    // `4-6/ sc around`, `4°-6° sc around`
    let slash = t(k) == Some(T::Slash) && toks.get(k + 1).is_some_and(|t| !t.glued);
    let single = degree(k) && toks.get(k + 1).is_some_and(|t| !t.glued);
    if !strong && !marked && (slash || single || degree(k - 1)) && expected.map_or(from == 1, |e| e == from) {
        marked = true;
        k += usize::from(slash || single);
    }
    // `3 → sc → 6`
    if !strong && !marked && t(k) == Some(T::Mark) && expected.map_or(from == 1, |e| e == from) && !toks[k].glued {
        marked = toks.get(k + 1).is_some();
        k += usize::from(marked);
    }
    if !strong && !marked {
        // `7 (sc, inc) x 6`, `1 MR 6x`: only where just this number is due.
        let number_due = expected == Some(from) || (expected.is_none() && from == 1);
        let work = (matches!(t(k), Some(T::Open(_) | T::Num(_) | T::Star | T::Word(W::Ring)))
            || (due.unmarked && t(k).is_some()))
            && !toks[k].glued;
        if !(number_due && work) {
            return None;
        }
    }
    Some(Label { from, to, used: k, strong, marked: strong || marked })
}

/// The label behind a total: `(18) 4-6: 18 sc`.
pub(super) fn behind_total(toks: &[Token], due: Due) -> Option<Label> {
    let [open, n, close, rest @ ..] = toks else { return None };
    if !matches!((open.t, n.t, close.t), (T::Open(_), T::Num(_), T::Close(_))) {
        return None;
    }
    let found = label(rest, due)?;
    let colon = rest[found.used - 1].t == T::Colon && found.used < rest.len();
    let follows = due.number.map_or(found.from == 1, |n| n == found.from);
    (colon && follows).then_some(found)
}

/// Rounds named one by one from the number at `at`, in stretches: `3, 4 and 5` is 3 to 5, `2-3 and 5-6` two stretches.
/// Also the token behind them. None for fewer than two parts, or where no mark or word ends the list.
fn list(toks: &[Token], at: usize) -> Option<(Vec<(u32, u32)>, usize)> {
    let t = |k: usize| toks.get(k).map(|t| t.t);
    let rnd = |k: usize| usize::from(t(k) == Some(T::Word(W::Rnd)));
    let mut out: Vec<(u32, u32)> = Vec::new();
    let (mut k, mut parts) = (at, 0);
    loop {
        let from = number(toks.get(k))?;
        let mut end = k + 1;
        let mut to = from;
        if matches!(t(end), Some(T::Dash | T::Slash | T::Word(W::To | W::Through)))
            && let Some(n) = number(toks.get(end + 1 + rnd(end + 1))).filter(|n| *n > from)
        {
            to = n;
            end += 2 + rnd(end + 1);
        }
        match out.last_mut() {
            Some(last) if from <= last.1 => return None,
            Some(last) if from == last.1 + 1 => last.1 = to,
            _ => out.push((from, to)),
        }
        if out.last()?.1 - out.first()?.0 > 200 {
            return None;
        }
        parts += 1;
        k = end;
        // What parts them; where no number follows, the list is over.
        let mut next = k;
        while matches!(t(next), Some(T::Comma | T::Amp | T::Plus | T::Slash | T::Word(W::And))) && next < k + 2 {
            next += 1;
        }
        let more = next + rnd(next);
        if next == k || number(toks.get(more)).is_none() {
            break;
        }
        k = more;
    }
    let joined = parts >= 3 && out.len() == 1;
    let ended = match t(k) {
        Some(T::Colon | T::Pipe | T::Tab) => true,
        Some(T::Dash) => toks.get(k + 1).is_none_or(|t| t.num().is_none() || !t.glued),
        Some(T::Close(_) | T::Dot) => matches!(t(k + 1), Some(T::Colon | T::Dash)) || joined,
        Some(T::Open(_)) | None => joined,
        Some(T::Word(_)) => joined && (super::asides::is_work(&toks[k]) || t(k) == Some(T::Word(W::Blo))),
        _ => false,
    };
    (parts >= 2 && ended).then_some((out, k))
}

/// The stretches of rounds that a label names, if there are gaps between them: `Rnds 5, 7, 9:`.
pub(super) fn stretches(toks: &[Token], label: &Label) -> Vec<(u32, u32)> {
    let head = &toks[..label.used.min(toks.len())];
    let Some(at) = head.iter().position(|t| number(Some(t)) == Some(label.from)) else { return Vec::new() };
    list(toks, at).map(|(found, _)| found).filter(|f| f.len() > 1).unwrap_or_default()
}

/// Splits a line with several rounds at their labels: token ranges, the first beginning at 0.
pub(super) fn splits(toks: &[Token], first: &Label, dashes: bool) -> Vec<usize> {
    let mut cuts = vec![0];
    let mut last = *first;
    let mut k = first.used.max(1);
    let mut depth = 0i32;
    while k < toks.len() {
        match toks[k].t {
            T::Open(_) => depth += 1,
            T::Close(_) => depth -= 1,
            T::Word(W::Rnd) | T::Num(_) | T::Ord(_) if depth <= 0 => {
                let rest = &toks[k..toks.len().min(k + 150)];
                if let Some(l) = label(rest, Due { number: Some(last.to + 1), dashes, unmarked: false })
                    && l.used < rest.len()
                    && l.marked
                    && begins_round(toks, k, &l, &last)
                {
                    cuts.push(k);
                    last = l;
                    k += l.used;
                    continue;
                }
            }
            _ => {}
        }
        k += 1;
    }
    cuts
}

fn begins_round(toks: &[Token], k: usize, l: &Label, last: &Label) -> bool {
    let prev = toks[k - 1];
    let follows = l.from == last.to + 1;
    let colon = matches!(toks[k + l.used - 1].t, T::Colon);
    if l.strong {
        return match prev.t {
            T::Word(w) => {
                (colon && !matches!(w, W::Rep | W::Of | W::To | W::AsFor | W::In | W::From | W::Until | W::Next))
                    || (follows && matches!(w, W::Kind(_) | W::Around | W::St | W::Inc | W::Dec))
            }
            T::Num(_) | T::Close(_) | T::Dot | T::Semi | T::Comma | T::Pipe | T::Slash | T::Mark | T::Star => {
                colon || follows
            }
            _ => colon && follows,
        };
    }
    if !follows || last.strong {
        return false;
    }
    // Behind a finished element only: not the number of `x 3.` or `sc 3.`
    let before = k.checked_sub(2).map(|i| toks[i].t);
    match prev.t {
        T::Word(W::Kind(_) | W::Inc | W::Dec | W::St) => matches!(before, Some(T::Num(_))),
        T::Word(W::Around | W::Times | W::End | W::Ring | W::Even) => true,
        T::Num(_) | T::Close(_) | T::Dot | T::Semi | T::Comma => true,
        _ => false,
    }
}
