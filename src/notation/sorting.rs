//! Which piece a round belongs to: what begins a piece, what goes on from the rim or the legs of another.

use super::build::{Builder, Current};
use super::commands;
use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::lexer::{T, Token};
use super::likeness;
use super::lines::RoundText;
use super::reading::Piece;
use super::starts::Begun;
use super::words::W;
use crate::rounds::{Finish, Start, StitchKind};

/// Pieces beyond which one is not looked for that goes on.
const MOST_BETWEEN: usize = 64;

impl Builder<'_> {
    /// Whether this round begins a new piece, and begins it. True if the piece goes on from the open rim of
    /// the one before.
    pub fn sort_into_piece(&mut self, r: &RoundText) {
        let from = r.label.map(|l| l.from);
        let strong = self.pending.as_ref().is_some_and(|p| p.strong);
        let Some(cur) = &self.cur else {
            return self.begin(r.span.clone());
        };
        let starting = starts(r);
        if cur.piece.rounds.is_empty() {
            // A title between "magic ring" and the first round is no new piece, unless nothing was begun, or it names
            // a part and the round brings a ring of its own.
            let begun = cur.begun.ring || cur.begun.chain.is_some();
            if self.pending.is_some() && (!begun || (strong && (starting || cur.named))) {
                self.begin(r.span.clone());
            } else if strong {
                self.name_begun();
            }
            return;
        }
        let continues = from.is_some_and(|f| cur.next_label == Some(f) && f > 1);
        // "Back to the head:", "Top of head" within the head.
        let again = strong
            && continues
            && cur.named
            && self.pending.as_ref().is_some_and(|p| {
                let (title, name) = (p.title.to_lowercase(), cur.piece.name.to_lowercase());
                title != name && likeness::names_all(&title, &name)
            });
        if again {
            self.pending = None;
            return;
        }
        let below = cur.below;
        if strong {
            let go_on = !starting && !joins_legs(&r.toks) && (continues || front_loops(&r.toks));
            let rest = from.is_some_and(|f| f > 1) || {
                let lower = self.text[r.span.clone()].to_lowercase();
                ["unworked", "held", "skipped", "remaining", "join", "attach"].iter().any(|w| lower.contains(w))
            };
            if let Some(part) = self.divided.clone().filter(|_| rest && !starting && !joins_legs(&r.toks)) {
                self.begin(r.span.clone());
                if let Some(cur) = &mut self.cur {
                    cur.begun.rim = Some(part.clone());
                    cur.piece.start = Start::Rim { part };
                }
                return;
            }
            self.divided = None;
            let (name, rim) = if front_loops(&r.toks) { self.rim(&r.toks) } else { (self.piece_name(), below) };
            if continues
                && !front_loops(&r.toks)
                && let Some(cur) = &mut self.cur
            {
                cur.finish = Some(Finish::Open);
            }
            self.begin(r.span.clone());
            if go_on && let Some(cur) = &mut self.cur {
                cur.piece.start = Start::Rim { part: name };
                cur.below = rim;
                cur.next_label = from;
            }
            return;
        }
        if starting && from.is_none_or(|f| f <= 2) {
            return self.begin(r.span.clone());
        }
        if from == Some(1) {
            let f = self.fitted(&r.toks, below);
            let fits = f.exact() && f.parsed.total.is_some() && !f.parsed.items.is_empty();
            if !fits || self.pending.is_some() {
                return self.begin(r.span.clone());
            }
        }
        if !self.labelled && self.pending.is_some() && starting {
            return self.begin(r.span.clone());
        }
        // "Edging", "Join yarn and sc evenly around": new yarn under a heading that is not known for a part.
        let new_yarn =
            r.toks.iter().take(4).any(|t| t.is(W::Join)) && r.toks.iter().take(8).any(|t| t.is(W::ColourNoun));
        if let Some(title) = self.pending.as_ref().map(|p| p.title.clone()).filter(|_| new_yarn && from.is_none()) {
            let name = self.piece_name();
            let message = format!(
                "\"{title}\" is not known as a part, and yarn is joined here: this round is counted as one more of \"{name}\"."
            );
            let remedy =
                "Take it out if it is only a trim, or write \"Rnd 1\" and its total if it is a part of its own.";
            self.found.push(Found::new(K::Guessed, S::Warning, r.span.clone(), message, remedy));
        }
        self.pending = None;
    }

    /// Gives the piece that was begun without a name the heading that waits.
    fn name_begun(&mut self) {
        let Some(p) = self.pending.take() else { return };
        if let Some(c) = &p.copies {
            self.copies_problem(c);
        }
        if let Some(cur) = &mut self.cur {
            cur.piece.copies = p.copies.map_or(cur.piece.copies, |c| c.n);
            cur.piece.name = p.title;
            cur.named = true;
        }
    }

    /// Takes up a piece again that others stand behind: "BODY (continued)". False if none is called so.
    pub fn reopen(&mut self, title: &str) -> bool {
        self.close();
        let near = self.pieces.iter().enumerate().rev().take(MOST_BETWEEN);
        let found = near.into_iter().find(|(_, p)| p.name.eq_ignore_ascii_case(title));
        let Some(at) = found.map(|(at, _)| at) else { return false };
        let piece = self.pieces.remove(at);
        let numbers = self.numbers.remove(at);
        let last = piece.rounds.last();
        let next = last.map(|r| commands::number_of(r, piece.rounds.len() - 1).saturating_add(1));
        self.pending = None;
        self.cur = Some(Current {
            named: true,
            below: last.map(|r| r.round.count()),
            next_label: next,
            kind: last.map_or(StitchKind::Single, |r| r.round.kind()),
            colour: last.and_then(|r| r.round.colour().cloned()),
            begun: Begun::default(),
            finish: piece.finish_said.then_some(piece.finish),
            bare: false,
            numbers,
            sources: vec![usize::MAX; piece.rounds.len()],
            doubt: None,
            piece,
        });
        true
    }

    /// Whether a line asks for the piece above once more.
    pub fn asks_once_more(&self, lower: &str) -> bool {
        let Some(cur) = self.cur.as_ref().filter(|_| self.pending.is_none()) else { return false };
        likeness::once_more(lower)
            .is_some_and(|part| part == "one" || likeness::names_all(&cur.piece.name.to_lowercase(), part))
    }

    pub fn piece_name(&self) -> String {
        match &self.cur {
            Some(c) if c.named => c.piece.name.clone(),
            _ => format!("piece {}", self.pieces.len() + 1),
        }
    }

    /// The piece whose loops were left free in a round, and the stitches there: one that is worked in back
    /// loops on that round, else the body, else the piece before.
    pub fn rim(&self, toks: &[Token]) -> (String, Option<u32>) {
        let n = toks.windows(2).find(|w| w[0].is(W::Rnd)).and_then(|w| w[1].num());
        let current = self.cur.as_ref().map(|c| (self.piece_name(), &c.piece));
        let before = self.pieces.iter().rev().take(24).map(|p| (p.name.clone(), p));
        let near: Vec<(String, &Piece)> = current.into_iter().chain(before).collect();
        let Some(at) = n.and_then(|n| (n as usize).checked_sub(1)) else {
            return (self.piece_name(), self.cur.as_ref().and_then(|c| c.below));
        };
        let loops = |p: &Piece| [at + 1, at].iter().any(|i| p.rounds.get(*i).is_some_and(|r| r.round.is_back_loop()));
        let found = near
            .iter()
            .find(|(_, p)| loops(p))
            .or_else(|| near.iter().find(|(name, p)| name.to_lowercase().contains("body") && p.rounds.len() > at))
            .or_else(|| near.iter().find(|(_, p)| p.rounds.len() > at));
        match found {
            Some((name, p)) => (name.clone(), p.rounds.get(at).map(|r| r.round.count())),
            None => (self.piece_name(), self.cur.as_ref().and_then(|c| c.below)),
        }
    }
}

/// Whether a round's words begin a piece: a magic ring, or a chain worked into or joined.
pub(super) fn starts(r: &RoundText) -> bool {
    let toks = &r.toks;
    let head = &toks[..toks.len().min(16)];
    let ring = head.iter().enumerate().any(|(k, t)| {
        t.is(W::Ring) && {
            let before = k.checked_sub(1).map(|i| head[i].t);
            !matches!(before, Some(T::Word(W::With | W::To | W::Change | W::Colour | W::ColourNoun)))
        }
    });
    let ring = ring && !(r.label.is_some_and(|l| l.from > 1) && main_colour(head));
    let ring_number = head.windows(2).any(|w| w[0].is(W::RingNoun) && w[1].num().is_some());
    let chain = head.first().is_some_and(|t| t.is(W::Ch)) && {
        let n = head.get(1).and_then(Token::num).unwrap_or(0);
        let into = head.windows(2).any(|w| {
            (matches!(w[0].t, T::Ord(_)) && w[1].is(W::Ch))
                || (matches!(w[0].t, T::Word(W::Last | W::First)) && w[1].is(W::Ch))
        });
        let to_ring = head.iter().any(|t| matches!(t.t, T::Word(W::RingNoun)));
        n >= 2 && (into || (n >= 4 && (to_ring || head.iter().any(|t| t.is(W::Join)))))
    };
    let chain = chain || {
        let n = head.first().and_then(Token::num).unwrap_or(0);
        n >= 4 && head.get(1).is_some_and(|t| t.is(W::Ch)) && head.iter().any(|t| t.is(W::Join))
    };
    ring || ring_number || chain
}

/// `MC: inc x 6`, `MC: sc around`: the main colour before work that begins nothing.
fn main_colour(toks: &[Token]) -> bool {
    let [ring, colon, work @ ..] = toks else { return false };
    let goes_on = |t: &Token| matches!(t.t, T::Word(W::Inc | W::Dec | W::Around | W::Each | W::Every) | T::Open(_));
    ring.is(W::Ring) && ring.caps && colon.t == T::Colon && work.iter().take(4).any(goes_on)
}

/// "12 sc on the first leg, 12 sc around the second leg".
pub(super) fn joins_legs(toks: &[Token]) -> bool {
    let legs = toks.iter().filter(|t| matches!(t.t, T::Word(W::Leg | W::Unit))).count();
    let around = toks.iter().filter(|t| matches!(t.t, T::Word(W::Around | W::Across | W::On))).count();
    let together = toks.iter().any(|t| t.is(W::Together));
    // "Ch 3, join to the first leg, sc in 12 …, sc in 12 of the second leg"
    let chained = toks.iter().any(|t| t.is(W::Join)) && toks.iter().any(|t| t.is(W::Ch));
    let told = toks.windows(2).any(|w| matches!(w[0].t, T::Ord(_) | T::Word(W::First | W::Other)) && w[1].is(W::Leg));
    legs >= 2 && (around >= 2 || (chained && told)) && !together
}

pub(super) fn rejoins(text: &str, r: &RoundText) -> bool {
    let lower = text[r.span.clone()].to_lowercase();
    lower.contains("rejoin") || lower.contains("re-join")
}

pub(super) fn front_loops(toks: &[Token]) -> bool {
    toks.iter().any(|t| t.is(W::Flo)) && toks.windows(2).any(|w| w[0].is(W::Rnd) && w[1].num().is_some())
}

/// Names of the legs that a joined round takes in: the last pieces, as often as they are made.
pub(super) fn leg_names(pieces: &[&Piece]) -> Vec<String> {
    let legs: Vec<usize> = (0..pieces.len())
        .filter(|i| {
            let l = pieces[*i].name.to_lowercase();
            l.contains("leg") || l.contains("foot") || l.contains("feet")
        })
        .collect();
    // No legs by name: the piece before, if it is made twice, else the two before.
    let twice = pieces.last().is_some_and(|p| p.copies > 1);
    let before = if twice { 1 } else { 2 };
    let chosen: Vec<usize> =
        if legs.is_empty() { (pieces.len().saturating_sub(before)..pieces.len()).collect() } else { legs };
    let mut out = Vec::new();
    for i in chosen {
        for _ in 0..pieces[i].copies.min(8) {
            out.push(pieces[i].name.clone());
        }
    }
    if out.len() == 1 {
        out.push(out[0].clone());
    }
    out
}
