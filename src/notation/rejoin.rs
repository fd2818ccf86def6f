//! Lines that a page broke in the middle of a label, a phrase or a round: they are read as one.

use super::asides::is_work;
use super::labels::{Due, label};
use super::lexer::{Line, T, Token, lex_across};
use super::looks::{bullets, look};
use super::tongues::{self, Tongues};
use super::words::W;

/// Lines beyond which no round is broken.
const MOST_LINES: usize = 6;
/// Words of a line beyond which it is no end of a round.
const MOST_END: usize = 14;
/// Words of a line beyond which it is no heading.
const MOST_HEADING: usize = 8;

/// Joins such lines: the first gets the tokens of all, the others have none.
pub(super) fn rejoin(text: &str, lines: &mut [Line]) {
    let shown = tongues::shown(text);
    for i in 0..lines.len() {
        for _ in 1..MOST_LINES {
            let next = i + 1 + lines[i + 1..].iter().take_while(|l| l.end <= lines[i].end).count();
            if next >= lines.len() || !goes_on(text, &lines[i].tokens, &lines[next].tokens, shown) {
                break;
            }
            lines[i].end = lines[next].end;
            lines[i].tokens = lex_across(text, lines[i].start..lines[i].end, shown);
            lines[next].tokens.clear();
        }
    }
}

/// Whether a line goes on in the next.
fn goes_on(text: &str, line: &[Token], next: &[Token], shown: Tongues) -> bool {
    let number = |t: &Token| matches!(t.t, T::Num(_) | T::Ord(_));
    // Most lines are rounds, each with its label.
    if matches!(next, [rnd, n, ..] if rnd.is(W::Rnd) && number(n)) {
        return false;
    }
    let line = &line[bullets(line)..];
    let (Some(last), Some(first)) = (line.last(), next.first()) else { return false };
    if bullets(next) > 0 || label(next, Due::default()).is_some_and(|l| l.strong) {
        return false;
    }
    let link = |t: &Token| matches!(t.t, T::Dash | T::Amp | T::Word(W::To | W::And | W::Through));
    match line {
        // "Round" / "3: …", "Rounds 3 to" / "5: …", "Rounds 3" / "to 5: …"
        [rnd] if rnd.is(W::Rnd) => return number(first),
        [rnd, n, to] if rnd.is(W::Rnd) && number(n) && link(to) => return number(first),
        [rnd, n] if rnd.is(W::Rnd) && number(n) => return link(first) && next.get(1).is_some_and(number),
        // "Wings (make" / "2)"
        [.., make] if make.is(W::Make) && line.len() <= MOST_HEADING => return first.num().is_some(),
        _ => {}
    }
    let lower = text[first.start..].starts_with(char::is_lowercase);
    let digits = text[first.start..].starts_with(|c: char| c.is_ascii_digit());
    if !(lower || digits) || label(line, Due::default()).is_none() {
        return false;
    }
    // "… in a magic" / "ring", "single" / "crochet"
    let words = last.word().is_some() && first.word().is_some();
    if words && lower && lex_across(text, last.start..first.end, shown).len() == 1 {
        return true;
    }
    ends_round(line, next)
}

/// Whether `next` can only be the end of the round in `line`: it has no label, the line no total yet.
fn ends_round(line: &[Token], next: &[Token]) -> bool {
    let total = |toks: &[Token]| {
        let sentence = toks.iter().rposition(|t| t.t != T::Dot).map_or(0, |k| k + 1);
        matches!(toks[..sentence], [.., o, n, c]
            if matches!((o.t, n.t, c.t), (T::Open(_), T::Num(_), T::Close(_))))
    };
    let has_total = line.windows(3).any(total) || line.iter().any(|t| t.t == T::Eq);
    let (Some(last), Some(first)) = (line.last(), next.first()) else { return false };
    if has_total || next.len() > MOST_END || !total(next) || matches!(last.t, T::Dot | T::Semi) {
        return false;
    }
    if matches!(first.t, T::Word(W::Note | W::Stuff | W::Fasten | W::Rep)) || label(next, Due::default()).is_some() {
        return false;
    }
    // With stitches of its own it may be a round: then the line must want something.
    let wants = match last.t {
        // "work 2" / "sc in each st", but not "inc x 6", "sc 6".
        T::Num(_) => !line.iter().rev().nth(1).is_some_and(|t| is_work(t) || matches!(t.t, T::Word(W::X) | T::Star)),
        T::Word(w) => {
            matches!(w, W::In | W::Each | W::Every | W::Next | W::The | W::A | W::And | W::Of | W::Unknown)
        }
        _ => false,
    };
    look(next).work == 0 || wants
}
