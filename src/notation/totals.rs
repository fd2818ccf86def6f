//! Totals printed behind a range, one for each of its rounds: `(12, 18, 24)`, `(15) (18)`.

use super::lexer::{T, Token};
use super::lines::RoundText;
use super::words::W;

/// The words of a range and the totals behind them, if there is one for each of its rounds.
pub(super) fn totals_of_each(r: &RoundText, below: u32) -> Option<(Vec<Token>, Vec<Token>)> {
    let rounds = r.label.map_or(1, |l| l.to - l.from + 1) as usize;
    let (words, totals) = totals_behind(&r.toks);
    let mut at = below;
    let leads = totals.iter().filter_map(Token::num).all(|n| {
        let near = n > 0 && u64::from(n) <= 4 * u64::from(at) && u64::from(at) <= 4 * u64::from(n);
        at = n;
        near
    });
    let worked = words.iter().any(|t| t.word().is_some());
    (rounds > 1 && totals.len() == rounds && leads && worked).then(|| (words.to_vec(), totals))
}

/// `(5, 6, 7)`, `(12-18-24)`, `(15) (18)` at the end of some words: the words before, and the numbers.
pub(super) fn totals_behind(toks: &[Token]) -> (&[Token], Vec<Token>) {
    let end = toks.iter().rposition(|t| !matches!(t.t, T::Dot | T::Comma | T::Semi | T::Mark)).map_or(0, |k| k + 1);
    let mut from = end;
    let mut found = Vec::new();
    while from > 0 && matches!(toks[from - 1].t, T::Close(_)) {
        let Some(open) = toks[..from].iter().rposition(|t| matches!(t.t, T::Open(_))) else { break };
        let inner = match &toks[open + 1..from - 1] {
            // "(18 sts)"
            [inner @ .., unit] if matches!(unit.t, T::Word(W::St | W::Point | W::Kind(_))) => inner,
            inner => inner,
        };
        let numbers = inner.iter().step_by(2).all(|t| t.num().is_some());
        let parted = inner
            .iter()
            .skip(1)
            .step_by(2)
            .all(|t| matches!(t.t, T::Comma | T::Semi | T::Dash | T::Slash | T::Plus | T::Amp | T::Word(W::And)));
        if !numbers || !parted || inner.len() % 2 == 0 {
            break;
        }
        found.extend(inner.iter().step_by(2).rev().copied());
        from = open;
    }
    found.reverse();
    (&toks[..from], found)
}
