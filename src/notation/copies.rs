//! How many of a piece are to be made: `(make 2)`, `x2`, `Two arms`, `(2 grey, 2 pink)`.

use std::ops::Range;

use super::lexer::{T, Token};
use super::parts::is_part;
use super::words::W;

/// How many are to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Copies {
    pub n: u32,
    pub span: Range<usize>,
    /// "about 12", "x4 or x2".
    pub unclear: bool,
}

/// Words that part a number from "make": "make a total of 5".
const IN_ALL: &[&str] = &["a", "total", "of", "exactly"];

/// Units of what is bought or measured, not of pieces.
const MEASURES: &[&str] = &[
    "mm", "cm", "g", "gr", "grams", "m", "yd", "yards", "inch", "inches", "skein", "skeins", "strand", "strands", "or",
];

/// Things by the number that are bought, not made: "2 safety eyes", "4 buttons".
const BOUGHT: &[&str] = &["safety", "plastic", "googly", "button", "buttons", "bead", "beads", "ball", "balls"];

/// Whether the number is followed by a unit of what is no piece: "3 mm hook", "4 rounds".
fn is_measure(text: &str, behind: Option<&Token>) -> bool {
    behind.is_some_and(|t| {
        matches!(t.t, T::Word(W::Rnd | W::Hook | W::St | W::Kind(_)) | T::Dot | T::Ord(_))
            || MEASURES.contains(&lower(text, t).as_str())
    })
}

fn lower(text: &str, t: &Token) -> String {
    text[t.start..t.end].to_lowercase()
}

/// `2 grey + 2 pink`, `1 in red and 1 in blue`: numbers each with words of its own, added up, and the tokens they
/// take.
fn sum(text: &str, toks: &[Token]) -> Option<(u32, usize)> {
    let (mut all, mut items, mut k) = (0, 0, 0);
    loop {
        let n = toks.get(k)?.num().filter(|n| (1..=12).contains(n))?;
        let words = toks[k + 1..].iter().take_while(|t| {
            matches!(
                t.t,
                T::Word(
                    W::Colour | W::ColourNoun | W::Unknown | W::In | W::With | W::First | W::Front | W::Back | W::Side
                )
            )
        });
        let words: Vec<String> = words.map(|t| lower(text, t)).collect();
        // "10 long strands" are none of the piece.
        let other = words.iter().any(|w| MEASURES.contains(&w.as_str()) || (w.len() > 3 && w.ends_with('s')));
        if words.is_empty() || words.len() > 3 || other {
            return None;
        }
        (all, items, k) = (all + n, items + 1, k + 1 + words.len());
        match toks.get(k).map(|t| t.t) {
            Some(T::Comma | T::Plus | T::Amp | T::Slash | T::Word(W::And)) => k += 1,
            None | Some(T::Close(_) | T::Dot) => return (items > 1).then_some((all, k)),
            _ => return None,
        }
        k += usize::from(toks.get(k).is_some_and(|t| t.is(W::And)));
    }
}

/// `Two arms`, `2 fins`, `Both ears`: a number before a part in the plural, and nothing else but a remark behind it.
fn leading(text: &str, toks: &[Token]) -> Option<u32> {
    let first = toks.first()?;
    let n = match first.t {
        T::Num(n) if (2..=12).contains(&n) => n,
        T::Word(W::Other) if lower(text, first) == "both" => 2,
        _ => return None,
    };
    let words = toks[1..].iter().take_while(|t| t.word().is_some()).count();
    let end = matches!(toks.get(1 + words).map(|t| t.t), None | Some(T::Open(_) | T::Colon | T::Dot | T::Star));
    let bought = toks[1..=words].iter().any(|t| BOUGHT.contains(&lower(text, t).as_str()));
    (end && !bought && (1..=3).contains(&words) && is_plural(text, &toks[words])).then_some(n)
}

/// "arms", "feet": parts in the plural.
fn is_plural(text: &str, t: &Token) -> bool {
    let word = lower(text, t);
    is_part(&word) && (word.ends_with('s') || matches!(word.as_str(), "feet" | "teeth" | "hooves" | "leaves"))
}

/// A number of copies at token `k`: the number, the token it begins with, how many tokens, and whether it is unclear.
fn found_at(text: &str, toks: &[Token], k: usize) -> Option<(u32, usize, usize, bool)> {
    let token = toks[k];
    let num = |i: usize| toks.get(k + i).and_then(Token::num);
    let word = |i: usize| toks.get(k + i).and_then(Token::word);
    let before = k.checked_sub(1).map(|i| toks[i]);
    let opened = before.is_some_and(|t| matches!(t.t, T::Open(_)));
    let parted = before.is_some_and(|t| matches!(t.t, T::Comma | T::Colon) || (t.t == T::Dash && !t.glued));
    let closed = |i: usize| matches!(toks.get(k + i).map(|t| t.t), Some(T::Close(_)));
    let ended =
        |i: usize| matches!(toks.get(k + i).map(|t| t.t), None | Some(T::Close(_) | T::Comma | T::Dot | T::Semi));
    if (token.is(W::Make) || matches!(token.t, T::Open(_)))
        && let Some((n, len)) = sum(text, &toks[k + 1..])
    {
        return Some((n, k + 1, len, false));
    }
    let found = match token.t {
        T::Word(W::Make | W::Rep) if num(1).is_some() => num(1).map(|n| (n, 2, false)),
        // `(work 4)`, `– crochet two`, but not "work 4 rounds".
        T::Word(W::Work | W::Crochet) if (opened || parted) && ended(2) => num(1).map(|n| (n, 2, false)),
        T::Word(W::Make) if word(1) == Some(W::TimesN(2)) => Some((2, 2, false)),
        T::Word(W::Make) => {
            let about = toks.get(k + 1).map(|t| lower(text, t)).unwrap_or_default();
            let about = matches!(about.as_str(), "about" | "approx" | "approximately" | "around" | "ca" | "up");
            let all = toks[k + 1..].iter().take(4).map(|t| lower(text, t));
            let all = all.take_while(|w| IN_ALL.contains(&w.as_str())).count();
            let total = toks[k + 1..=k + all].iter().any(|t| matches!(lower(text, t).as_str(), "total" | "exactly"));
            if about {
                num(2).map(|n| (n, 3, true))
            } else {
                num(1 + all).filter(|_| total).map(|n| (n, 2 + all, false))
            }
        }
        T::Word(W::X) | T::Star if num(1).is_some() => num(1).map(|n| (n, 2, false)),
        T::Num(n) if word(1) == Some(W::X) && num(2).is_none() => Some((n, 2, false)),
        T::Num(n) if matches!(word(1), Some(W::Unit | W::Times)) => Some((n, 2, false)),
        T::Num(n) if opened && closed(1) => Some((n, 1, false)),
        // `(5 of them)`
        T::Num(n) if opened && word(1) == Some(W::Of) && closed(3) => Some((n, 3, false)),
        // `Arms, 2`
        T::Num(n) if parted && k >= 2 && k + 1 == toks.len() && n > 1 && is_plural(text, &toks[k - 2]) => {
            Some((n, 1, false))
        }
        // `(twice)`
        T::Word(W::TimesN(n)) if (opened && closed(1)) || (parted && k + 1 == toks.len()) => Some((n, 1, false)),
        // `(both the same)`, `(make both alike)`
        T::Word(W::Other) if lower(text, &token) == "both" && k > 0 => {
            let made = before.is_some_and(|t| t.is(W::Make) || t.is(W::Work));
            let the = usize::from(word(1) == Some(W::The));
            let same = toks.get(k + 1 + the).is_some_and(|t| {
                t.is(W::Same) || matches!(lower(text, t).as_str(), "alike" | "identical" | "equal" | "pieces")
            });
            ((opened || made) && (same || closed(1))).then_some((2, 1, false))
        }
        T::Word(W::Unit) if lower(text, &token) == "pair" => {
            let of = word(1) == Some(W::Of);
            (k > 0 || of).then_some((2, 1 + usize::from(of), false))
        }
        _ => None,
    };
    found.map(|(n, len, about)| (n, k, len, about))
}

/// How many, if the tokens say it (`(make 2)`, `x2`, `* 2`, `2x`, `(2 parts)`, `make two`, `make about 12`,
/// `Two arms`, `(2 grey, 2 pink)`), and the bytes that say it.
pub(super) fn copies(text: &str, toks: &[Token]) -> Option<(Copies, Range<usize>)> {
    if let Some(n) = leading(text, toks) {
        let span = toks[0].start..toks[0].end;
        return Some((Copies { n, span: span.clone(), unclear: false }, span));
    }
    for k in 0..toks.len() {
        let Some((n, k, len, about)) = found_at(text, toks, k) else { continue };
        if n == 0 || n > 500 || (len == 1 && n > 12) {
            continue;
        }
        let token = toks[k];
        let end = toks[k + len - 1].end;
        // `(x4 or x2)`: another count beside it.
        let rest = &toks[k + len..];
        let other = rest
            .iter()
            .take(4)
            .enumerate()
            .any(|(i, t)| t.num().is_some_and(|m| m != n) && !is_measure(text, rest.get(i + 1)));
        let tail = rest.iter().take_while(|t| !matches!(t.t, T::Close(_))).last().map_or(end, |t| t.end);
        let from = toks[..k].iter().rposition(|t| matches!(t.t, T::Open(_))).map_or(token.start, |o| toks[o].start);
        let tail = if from < token.start { tail } else { end };
        let span = token.start..if other { tail.max(end) } else { end };
        // `A pair of wings`: the article goes with it.
        let article = k == 1 && from == token.start && lower(text, &toks[0]) == "a";
        let from = if article { toks[0].start } else { from };
        return Some((Copies { n, span, unclear: about || other }, from..tail));
    }
    None
}
