//! How many of a piece are to be made: `(make 2)`, `x2`, `Two arms`, `(2 grey, 2 pink)`.

use std::ops::Range;

use super::lexer::{T, Token};
use super::words::W;

/// How many are to be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Copies {
    pub n: u32,
    pub span: Range<usize>,
    /// "about 12", "x4 or x2".
    pub unclear: bool,
}

/// How many, if the tokens say it: `(make 2)`, `x2`, `* 2`, `2x`, `(2 parts)`, `make two`, `make about 12`.
pub(super) fn copies(text: &str, toks: &[Token]) -> Option<(Copies, Range<usize>)> {
    for (k, token) in toks.iter().enumerate() {
        let num = |i: usize| toks.get(k + i).and_then(Token::num);
        let word = |i: usize| toks.get(k + i).and_then(Token::word);
        let found = match token.t {
            T::Word(W::Make | W::Work | W::Rep) if num(1).is_some() && token.word() != Some(W::Work) => {
                num(1).map(|n| (n, 2, false))
            }
            T::Word(W::Make) if num(2).is_some() => {
                let about = toks.get(k + 1).map(|t| text[t.start..t.end].to_lowercase()).unwrap_or_default();
                let about = matches!(about.as_str(), "about" | "approx" | "approximately" | "around" | "ca" | "up");
                num(2).filter(|_| about).map(|n| (n, 3, true))
            }
            T::Word(W::Make) if word(1) == Some(W::TimesN(2)) => Some((2, 2, false)),
            T::Word(W::X) | T::Star if num(1).is_some() => num(1).map(|n| (n, 2, false)),
            T::Num(n) if word(1) == Some(W::X) && num(2).is_none() => Some((n, 2, false)),
            T::Num(n) if matches!(word(1), Some(W::Unit | W::Times)) => Some((n, 2, false)),
            T::Num(n) if k > 0 && matches!(toks[k - 1].t, T::Open(_)) && matches!(toks.get(k + 1)?.t, T::Close(_)) => {
                Some((n, 1, false))
            }
            T::Word(W::Unit) if k > 0 && text[token.start..token.end].eq_ignore_ascii_case("pair") => {
                Some((2, 1, false))
            }
            _ => None,
        };
        let Some((n, len, about)) = found else { continue };
        if n == 0 || n > 500 || (len == 1 && n > 12) {
            continue;
        }
        let end = toks[k + len - 1].end;
        // `(x4 or x2)`: another count beside it.
        let rest = &toks[k + len..];
        let other = rest.iter().take(4).any(|t| t.num().is_some_and(|m| m != n));
        let tail = rest.iter().take_while(|t| !matches!(t.t, T::Close(_))).last().map_or(end, |t| t.end);
        let from = toks[..k].iter().rposition(|t| matches!(t.t, T::Open(_))).map_or(token.start, |o| toks[o].start);
        let tail = if from < token.start { tail } else { end };
        let span = token.start..if other { tail.max(end) } else { end };
        return Some((Copies { n, span, unclear: about || other }, from..tail));
    }
    None
}
