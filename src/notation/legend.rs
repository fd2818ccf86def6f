//! Lists that say which colour a letter stands for: `A = brown, B = gold`, `MC: teal; CC: lemon`.

use std::collections::HashMap;
use std::sync::Arc;

use super::asides::is_work;
use super::lexer::{Line, T, Token};
use super::words::W;

/// What letters stand for, by the letter in lower case.
pub(super) type Legend = HashMap<String, Arc<str>>;

/// Words of a line beyond which it is no list of colours.
const MOST_TOKENS: usize = 80;

/// The pairs of a line; none unless the line is such a list.
pub(super) fn pairs(text: &str, toks: &[Token]) -> Vec<(String, String)> {
    let mut out = Vec::new();
    if toks.len() > MOST_TOKENS || toks.iter().any(is_work) {
        return out;
    }
    let mut sure = false;
    let mut k = 0;
    while let Some(token) = toks.get(k) {
        // "Colour A", "yarn B"
        if token.is(W::ColourNoun) {
            k += 1;
            continue;
        }
        let key = &text[token.start..token.end];
        let sign = matches!(toks.get(k + 1).map(|t| t.t), Some(T::Eq | T::Colon | T::Dash));
        if !is_key(key) || !sign {
            break;
        }
        let from = k + 2;
        let len = toks[from..].iter().take_while(|t| matches!(t.t, T::Word(_)) || (t.t == T::Dash && t.glued)).count();
        let Some(last) = len.checked_sub(1).map(|n| toks[from + n]) else { break };
        if len > 4 {
            break;
        }
        sure |= toks[from..from + len].iter().any(|t| matches!(t.t, T::Word(W::Colour | W::ColourNoun)));
        let mut end = last.end;
        if last.is(W::ColourNoun) && len > 1 {
            end = toks[from + len - 2].end;
        }
        out.push((key.to_lowercase(), text[toks[from].start..end].to_lowercase()));
        k = from + len;
        // A remark in brackets, then a mark between the pairs.
        while let Some(t) = toks.get(k)
            && !matches!(t.t, T::Comma | T::Semi | T::Dot | T::Slash | T::Pipe | T::Mark)
        {
            if !matches!(t.t, T::Open(_) | T::Close(_) | T::Num(_) | T::Word(_)) {
                return Vec::new();
            }
            k += 1;
        }
        k += 1;
        k += usize::from(toks.get(k).is_some_and(|t| t.is(W::And)));
    }
    if k < toks.len() || (out.len() < 2 && !sure) {
        out.clear();
    }
    out
}

fn is_key(word: &str) -> bool {
    matches!(word, "MC" | "CC" | "C1" | "C2" | "C3")
        || (word.len() == 1 && word.chars().all(|c| ('A'..='H').contains(&c) || c == 'M' || c == 'C'))
}

/// All pairs of a text; of a letter told twice the last holds.
pub(super) fn of_text(text: &str, lines: &[Line]) -> Legend {
    let mut out = Legend::new();
    for line in lines {
        let toks = &line.tokens[super::looks::bullets(&line.tokens)..];
        let short = toks.first().is_some_and(|t| t.is(W::ColourNoun) || (t.caps && t.end - t.start <= 2));
        if short {
            out.extend(pairs(text, toks).into_iter().map(|(key, name)| (key, Arc::from(name))));
        }
    }
    out
}

/// Whether a line explains an abbreviation with no sign between: `sc single crochet`, `inv dec  invisible decrease`.
pub(super) fn explains(text: &str, toks: &[Token]) -> bool {
    let from = toks.iter().take_while(|t| t.is(W::Invisible)).count();
    // `sc2tog` is one abbreviation of three tokens.
    let glued = toks.iter().skip(from + 1).take_while(|t| t.glued).count();
    let (Some(short), Some(end)) = (toks.get(from), toks.get(from + glued)) else { return false };
    let Some(long) = toks[from + glued + 1..].iter().find(|t| !t.is(W::Invisible)) else { return false };
    let same = match (short.t, long.t) {
        (T::Word(W::KindTog(a)), T::Word(W::Kind(b))) => a == b,
        (T::Word(a), T::Word(b)) => a == b && !matches!(a, W::Unknown | W::Note | W::Colour | W::ColourNoun),
        _ => false,
    };
    // "MR magic ring, 6 sc" is work.
    if short.is(W::Ring) && toks.iter().any(|t| t.num().is_some()) {
        return false;
    }
    let (short, long) = (&text[short.start..end.end], &text[long.start..long.end]);
    same && long.len() > 3 && (glued > 0 || long.len() > short.len() + 1)
}

/// Words that begin a line about how to read the others.
const EXAMPLES: &[&str] = &["example", "examples", "for example", "how to read", "hint", "errata", "correction", "e.g"];

/// Whether a line shows how rounds are written, or puts one right elsewhere: `Example: (sc, inc) x 6`.
pub(super) fn is_example(text: &str, toks: &[Token]) -> bool {
    let head = toks.iter().take(5).position(|t| t.t == T::Colon).filter(|k| *k > 0 && !toks[0].is(W::Rnd));
    head.is_some_and(|k| EXAMPLES.contains(&text[toks[0].start..toks[k - 1].end].to_lowercase().as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::lexer::lex;

    fn read(text: &str) -> Vec<(String, String)> {
        pairs(text, &lex(text)[0].tokens)
    }

    #[test]
    fn colours_by_letter() {
        let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
        assert_eq!(
            read("A = brown, B = dark gold, C = black"),
            [pair("a", "brown"), pair("b", "dark gold"), pair("c", "black")]
        );
        assert_eq!(read("MC: teal; CC: lemon"), [pair("mc", "teal"), pair("cc", "lemon")]);
        assert_eq!(read("Color A – white (20 g)"), [pair("a", "white")]);
    }

    #[test]
    fn stitches_by_letter_are_none() {
        assert!(read("A = decrease, V = increase").is_empty());
        assert!(read("A: arms").is_empty());
        assert!(read("R1: A, B").is_empty());
    }
}
