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
    /// They come on top: "make 2 more".
    pub more: bool,
}

/// Words that part a number from "make": "make a total of 5".
const IN_ALL: &[&str] = &["a", "total", "of", "exactly"];

/// Units of what is bought or measured, not of pieces.
const MEASURES: &[&str] = &[
    "mm", "cm", "g", "gr", "grams", "m", "yd", "yards", "inch", "inches", "skein", "skeins", "strand", "strands", "or",
];

/// Things by the number that are bought, not made: "2 safety eyes", "4 buttons".
const BOUGHT: &[&str] = &["safety", "plastic", "googly", "button", "buttons", "bead", "beads", "ball", "balls"];

/// Words behind which a number says how many.
const COUNTED: &[&str] = &["need", "needed", "made", "qty", "quantity", "set", "amount"];
/// More than this are not asked for by such words.
const MOST_COUNTED: u32 = 24;

/// Words such as "in total", "alike", "halves" behind a number, if nothing else stands there to the end or a bracket.
fn counted_behind(text: &str, behind: &[Token]) -> Option<usize> {
    let words = behind.iter().take_while(|t| t.word().is_some());
    let words: Vec<String> = words.take(4).map(|t| lower(text, t)).collect();
    let end = matches!(behind.get(words.len()).map(|t| t.t), None | Some(T::Close(_) | T::Dot));
    let plain = |w: &String| {
        matches!(
            w.as_str(),
            "in" | "total" | "all" | "alike" | "identical" | "halves" | "pieces" | "pcs" | "pc" | "off" | "needed"
        )
    };
    (end && !words.is_empty() && words.iter().all(plain)).then_some(words.len())
}

/// Whether "twice" at token `k` says how often the part is made: behind the part's name alone, or "do this".
fn is_bidden(text: &str, toks: &[Token], k: usize) -> bool {
    let before: Vec<String> = toks[..k].iter().rev().take(3).map(|t| lower(text, t)).collect();
    let does = |w: &String| matches!(w.as_str(), "make" | "do" | "work" | "crochet" | "made");
    let this = |w: &String| matches!(w.as_str(), "this" | "it" | "these" | "all");
    match before.as_slice() {
        [part] => is_part(part),
        [this_, do_, ..] => this(this_) && does(do_),
        [] => false,
    }
}

/// Whether the number is followed by a unit of what is no piece: "3 mm hook", "4 rounds".
fn is_measure(text: &str, behind: Option<&Token>) -> bool {
    behind.is_some_and(|t| {
        matches!(t.t, T::Word(W::Rnd | W::Hook | W::St | W::Kind(_)) | T::Dot | T::Ord(_))
            || MEASURES.contains(&lower(text, t).as_str())
    })
}

/// Whether a unit of length stands there: `cm`, `"`.
pub(super) fn is_length(text: &str, t: Option<&Token>) -> bool {
    t.is_some_and(|t| {
        let word = lower(text, t);
        matches!(word.as_str(), "mm" | "cm" | "in" | "inch" | "inches") || word.starts_with(['"', '”', '″'])
    })
}

/// Whether a word behind a number of copies says that they are the same, or are pieces.
pub(super) fn is_alike(text: &str, t: &Token) -> bool {
    matches!(lower(text, t).as_str(), "alike" | "identical" | "equal" | "pieces")
}

/// Whether a word names what is bought, not made.
pub(super) fn is_bought(text: &str, t: &Token) -> bool {
    BOUGHT.contains(&lower(text, t).as_str())
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
fn leading(text: &str, toks: &[Token]) -> Option<(u32, usize)> {
    let first = toks.first()?;
    let n = match first.t {
        T::Num(n) if (2..=12).contains(&n) => n,
        T::Word(W::Other) if lower(text, first) == "both" => 2,
        _ => return None,
    };
    // `2x Ears`
    let cross = usize::from(toks.get(1).is_some_and(|t| t.is(W::X)));
    let toks = &toks[cross..];
    let words = toks[1..].iter().take_while(|t| t.word().is_some()).count();
    let end = matches!(toks.get(1 + words).map(|t| t.t), None | Some(T::Open(_) | T::Colon | T::Dot | T::Star));
    let bought = toks[1..=words].iter().any(|t| is_bought(text, t));
    (end && !bought && (1..=3).contains(&words) && is_plural(text, &toks[words])).then_some((n, 1 + cross))
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
    let boxed = toks[..k].iter().any(|t| matches!(t.t, T::Open(_)));
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
        // `(you need 2)`, `(set of 2)`, `(qty: 2)`
        T::Word(_) if COUNTED.contains(&lower(text, &token).as_str()) => {
            let sign = toks.get(k + 1).is_some_and(|t| t.t == T::Colon || t.is(W::Of));
            let at = 1 + usize::from(sign);
            num(at).filter(|n| *n <= MOST_COUNTED && ended(at + 1)).map(|n| (n, at + 1, false))
        }
        // `(2 in total)`, `Cherry, 2 alike`, `(2 off)`
        T::Num(n) if (opened || parted) && n <= MOST_COUNTED && counted_behind(text, &toks[k + 1..]).is_some() => {
            counted_behind(text, &toks[k + 1..]).map(|words| (n, 1 + words, false))
        }
        // `Ears twice`, `(do this twice)`, `make it twice`
        T::Word(W::TimesN(n)) if k > 0 && ended(1) && n <= MOST_COUNTED && is_bidden(text, toks, k) => {
            Some((n, 1, false))
        }
        // `Leg 1 x2`, but not `(6 x 5 cm)`.
        T::Word(W::X) | T::Star
            if is_length(text, toks.get(k + 2)) || (boxed && before.is_some_and(|t| t.num().is_some())) =>
        {
            None
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
            let same = toks.get(k + 1 + the).is_some_and(|t| t.is(W::Same) || is_alike(text, t));
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
    if let Some((n, used)) = leading(text, toks) {
        let span = toks[0].start..toks[used - 1].end;
        return Some((Copies { n, span: span.clone(), unclear: false, more: false }, span));
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
        let more = rest.first().is_some_and(|t| t.is(W::More));
        return Some((Copies { n, span, unclear: about || other, more }, from..tail));
    }
    None
}
