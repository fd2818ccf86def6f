//! Lines that go on with the round before them: a total or a repeat count of their own, or the rest of an open bracket.

use super::header;
use super::labels::{Label, label, splits};
use super::lexer::{Line, T, Token};
use super::lines::{Entry, Sorter};
use super::looks::{is_command, look, unfinished};
use super::words::W;

impl Sorter<'_> {
    /// Like `continue_round`, for a line in which further rounds may begin behind the one that goes on.
    pub fn continue_lines(&mut self, number: usize, toks: &[Token], line: &Line, open: bool) -> bool {
        let label_before = match self.out.last() {
            Some(Entry::Round(r)) => r.label,
            _ => None,
        };
        let cuts = match label_before {
            Some(l) => splits(toks, &Label { used: 0, ..l }, self.dashes),
            None => vec![0],
        };
        let first = cuts.get(1).copied().unwrap_or(toks.len());
        if !self.continue_round(&toks[..first], line, open) {
            return false;
        }
        for (k, from) in cuts.iter().enumerate().skip(1) {
            let to = cuts.get(k + 1).copied().unwrap_or(toks.len());
            let part = &toks[*from..to];
            let lab = label(part, self.due());
            self.push_round(number, line, part, lab, 0);
        }
        true
    }

    /// Adds a line to the round before it, where the round's words show that it goes on (`open`), or the
    /// line's own words show that it only ends one (a total, a repeat count).
    fn continue_round(&mut self, toks: &[Token], line: &Line, open: bool) -> bool {
        let Some(Entry::Round(last)) = self.out.last_mut() else { return false };
        if last.toks.len() > 400 {
            return false;
        }
        let first = toks[0].t;
        let tail = match first {
            T::Open(_) | T::Eq => {
                let inner = &toks[1..];
                let number = inner.iter().position(|t| t.num().is_some()) == Some(0)
                    || matches!(inner.first().map(|t| t.t), Some(T::Eq | T::Open(_)));
                number && toks.len() <= 6 && !toks.iter().any(|t| matches!(t.t, T::Comma | T::Word(W::Inc | W::Dec)))
            }
            T::Word(W::X | W::Rep | W::Times | W::Around) => toks.len() <= 12 && !is_command(toks),
            T::Num(_) => {
                toks.get(1).is_some_and(|t| matches!(t.t, T::Word(W::Times | W::X | W::St)))
                    && toks.get(2).is_none_or(|t| matches!(t.t, T::Open(_) | T::Eq | T::Dot))
                    && toks.len() <= 6
            }
            // "…, 1 sc" / "in each st around. (18)"
            T::Word(W::In | W::Each | W::Every | W::Next | W::St) if self.labelled && last.label.is_some() => {
                toks.len() <= 16
                    && last.toks.last().is_some_and(|t| {
                        matches!(t.t, T::Word(W::Kind(_) | W::Inc | W::Dec | W::In | W::Each | W::Next) | T::Num(_))
                    })
                    && !last.toks.iter().rev().take(4).any(|t| matches!(t.t, T::Open(_) | T::Eq))
            }
            _ => false,
        };
        let l = look(toks);
        let wordy = l.unknown > 2 * (l.work + 1) || header::is_header(&self.text[line.start..line.end].to_lowercase());
        if !(tail || (open && !wordy)) {
            return false;
        }
        let at = last.toks.last().map_or(last.span.end, |t| t.end);
        last.toks.push(Token { t: T::Break, start: at, end: at, glued: false, slip: false, caps: false });
        // Inside an open bracket, and between a stitch and its place, a line break is a blank.
        let place = matches!(first, T::Word(W::In | W::Each | W::Every | W::Next | W::St));
        if place || unfinished(&last.toks[..last.toks.len() - 1]) {
            last.toks.pop();
        }
        last.toks.extend_from_slice(toks);
        last.span.end = toks.last().map_or(line.end, |t| t.end);
        self.open = unfinished(&last.toks);
        true
    }
}
