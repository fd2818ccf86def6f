//! Brackets, stars and bars: groups of stitches, totals, breakdowns of totals.

use std::ops::Range;

use super::grammar::{Amount, Into, Item, Parser, Total};
use super::habits::Habits;
use super::lexer::{T, Token};
use super::words::W;

/// `5 sts, 1 inc made`, `5 sts, +1`: a total, and how it differs from the one before.
fn explained(toks: &[Token]) -> Option<u32> {
    let [n, unit, part, rest @ ..] = toks else { return None };
    let parted = matches!(part.t, T::Comma | T::Semi | T::Dash | T::Slash | T::Colon);
    let change = |t: &Token| t.t == T::Plus || t.t == T::Dash || matches!(t.t, T::Word(W::Inc | W::Dec | W::Of));
    let whole = rest.iter().all(|t| t.num().is_some() || matches!(t.t, T::Plus | T::Dash | T::Word(_)));
    let said =
        (1..=4).contains(&rest.len()) && whole && rest.iter().any(change) && rest.iter().any(|t| t.num().is_some());
    n.num().filter(|_| parted && said && matches!(unit.t, T::Word(W::St | W::Point)))
}

/// Brackets deeper than this are read as if they were not there.
const DEEPEST: u32 = 6;

impl Parser<'_> {
    /// Reads `[(] N [unit] [)]` as the total.
    pub fn total_here(&mut self) -> bool {
        let from = self.i;
        if matches!(self.peek(0), Some(T::Open(_))) && self.num(1).is_some() {
            self.i += 1;
        }
        let Some(n) = self.num(0) else {
            self.i = from;
            return false;
        };
        self.i += 1;
        self.total_tail();
        let span = self.toks[from].start..self.toks[self.i - 1].end;
        if matches!(self.peek(0), Some(T::Close(_))) && matches!(self.toks[from].t, T::Open(_)) {
            self.i += 1;
        }
        self.set_total(n, span);
        true
    }

    /// Unit and words after a total: `28 sc per round`, `28 sts total`.
    pub fn total_tail(&mut self) {
        while let Some(T::Word(w)) = self.peek(0) {
            if matches!(
                w,
                W::St | W::Point | W::Kind(_) | W::Total | W::Per | W::Each | W::Rnd | W::Around | W::Inc | W::Dec
            ) || (matches!(w, W::In | W::The | W::All | W::End) && !self.in_colour())
            {
                self.i += 1;
            } else {
                break;
            }
        }
    }

    pub fn set_total(&mut self, n: u32, span: Range<usize>) {
        let total = Total { n, span, weak: false };
        match &self.out.total {
            None => self.out.total = Some(total),
            Some(first) if first.weak && first.n != n => {
                self.out.unread.push(first.span.clone());
                self.out.total = Some(total);
            }
            Some(first) if first.n != n => self.out.second_total = Some(total),
            Some(_) => {}
        }
    }

    /// Index of the closer of the bracket that opens `ahead`, if any.
    pub fn closer_of(&self, ahead: usize) -> Option<usize> {
        let mut depth = 0i32;
        for (k, token) in self.toks.iter().enumerate().skip(self.i + ahead).take(400) {
            match token.t {
                T::Open(_) => depth += 1,
                T::Close(_) => {
                    depth -= 1;
                    if depth == 0 {
                        return Some(k);
                    }
                }
                _ => {}
            }
        }
        None
    }

    pub fn bracket_has_work(&self, ahead: usize) -> bool {
        let end = self.closer_of(ahead).unwrap_or(self.toks.len().min(self.i + ahead + 400));
        let mut numbers = 0;
        for token in &self.toks[(self.i + ahead).min(end)..end] {
            match token.t {
                T::Word(W::Kind(_) | W::Inc | W::Dec | W::Tog | W::SymInc | W::SymDec | W::KindTog(_) | W::X) => {
                    return numbers != 1 || !self.lone_total(self.i + ahead, end);
                }
                T::Num(_) => numbers += 1,
                _ => {}
            }
        }
        false
    }

    /// `( [=] N [unit…] )` and nothing else.
    pub fn lone_total(&self, open: usize, close: usize) -> bool {
        let mut seen = false;
        for token in &self.toks[open + 1..close] {
            match token.t {
                T::Eq | T::Dot | T::Dash => {}
                T::Num(_) if !seen => seen = true,
                T::Word(W::St | W::Point | W::Total | W::Per | W::Each | W::Rnd | W::In | W::Kind(_) | W::Around)
                    if seen => {}
                T::Word(W::Total | W::Is) => {}
                _ => return false,
            }
        }
        seen
    }

    /// `(15 rounds, 6 sc)`, `(6 sts, 15 rnds)`: how many rounds, and the total of each.
    fn rounds_and_total(&self, open: usize, end: usize) -> Option<(u32, u32)> {
        let inner = self.toks.get(open + 1..end)?;
        let [a, au, comma, b, bu] = inner else { return None };
        let unit = |t: &Token| matches!(t.t, T::Word(W::St | W::Kind(_)));
        let part = matches!(comma.t, T::Comma | T::Semi | T::Slash | T::Dash);
        match (a.num()?, b.num()?) {
            (n, total) if part && au.is(W::Rnd) && unit(bu) => Some((n, total)),
            (total, n) if part && unit(au) && bu.is(W::Rnd) => Some((n, total)),
            _ => None,
        }
    }

    pub fn bracket(&mut self, items: &mut Vec<Item>) {
        let open = self.i;
        let close = self.closer_of(0);
        let end = close.unwrap_or(self.toks.len());
        let next = close.map_or(end, |c| c + 1);
        if let Some(n) = self.rounds_and_total(open, end).filter(|_| close.is_some()) {
            self.i = next;
            self.out.rounds = Some((n.0, self.span_from(open)));
            self.set_total(n.1, self.span_from(open));
            return;
        }
        if self.lone_total(open, end) && close.is_some() {
            let inner = &self.toks[open + 1..end];
            let n = inner.iter().find_map(Token::num).unwrap_or(0);
            let unit = inner.iter().any(|t| matches!(t.t, T::Word(W::Kind(_))));
            let rounds = inner.iter().position(|t| t.is(W::Rnd)) == Some(1);
            if rounds {
                self.i = next;
                self.out.rounds = Some((n, self.span_from(open)));
                return;
            }
            let repeated = self.repeat_follows(next);
            let work = unit && ((items.is_empty() && !self.out.ring && self.depth == 0) || repeated || self.depth > 0);
            let outer = std::mem::replace(&mut self.i, next);
            let last = self.ends(0);
            self.i = outer;
            let flip = unit && !repeated && !last && self.depth == 0 && self.habit(Habits::TOTAL_IS_WORK);
            if !(work ^ flip) {
                self.i = next;
                self.set_total(n, self.span_from(open));
                return;
            }
        }
        if close.is_some()
            && !items.is_empty()
            && self.depth == 0
            && !self.repeat_follows(next)
            && let Some(n) = explained(&self.toks[open + 1..end])
        {
            self.i = next;
            self.set_total(n, self.span_from(open));
            return;
        }
        if close.is_none()
            && !items.is_empty()
            && let [n, unit @ ..] = &self.toks[open + 1..]
            && let Some(total) = n.num()
            && unit.len() <= 2
            && unit.iter().all(|t| matches!(t.t, T::Dot | T::Word(W::St | W::Kind(_) | W::Total)))
        {
            // `(30`: a total whose bracket never closes.
            self.i = self.toks.len();
            self.set_total(total, self.span_from(open));
            self.out.unclosed.get_or_insert(self.toks[open].start..self.toks[open].end);
            return;
        }
        if close.is_some() && self.note_bracket(open, end, items) {
            self.i = next;
            return;
        }
        // `(15 hdc, 5 puff)` at the end: the total, kind by kind.
        if close.is_some()
            && !items.is_empty()
            && self.depth == 0
            && !self.repeat_follows(next)
            && self.out.total.is_none()
            && let Some(sum) = self.breakdown(open, end)
            && !self.habit(Habits::BRACKET_IS_WORK)
        {
            self.i = next;
            self.set_total(sum, self.span_from(open));
            return;
        }
        self.i = open + 1;
        if self.depth >= DEEPEST {
            return;
        }
        let (outer_closer, outer_loops) = (self.closer.take(), self.loops);
        self.depth += 1;
        let mut inner = self.list();
        self.depth -= 1;
        self.closer = outer_closer;
        self.loops = outer_loops;
        if matches!(self.peek(0), Some(T::Close(_))) {
            self.i += 1;
        } else if self.out.unclosed.is_none() {
            self.out.unclosed = Some(self.toks[open].start..self.toks[open].end);
        }
        if inner.is_empty() {
            return;
        }
        if self.shell(&mut inner, items) {
            return;
        }
        self.bracket_two(&mut inner);
        let times = self.times_after(true).unwrap_or_else(|| {
            let alone = items.is_empty() && self.ends(0) && inner.len() > 1;
            if alone ^ self.habit(Habits::UNNUMBERED) { Amount::Fill } else { Amount::N(1) }
        });
        self.out.stitches += 1;
        items.push(Item::Group { items: inner, times });
    }

    /// `(hdc, dc, hdc) in next st`: stitches of one bracket into one stitch, with what it is repeated by.
    fn shell(&mut self, inner: &mut Vec<Item>, items: &mut Vec<Item>) -> bool {
        let plain = |i: &Item| match i {
            Item::Work { stitch, amount: Amount::N(1..=12), into: Into::Stitch, .. } => stitch.uses == 1,
            Item::Chain { n: 1..=5 } => true,
            _ => false,
        };
        let place = matches!(self.word(0), Some(W::In | W::Each | W::Next | W::Same | W::All)) && !self.in_colour();
        if !place || !inner.iter().all(plain) || !inner.iter().any(|i| matches!(i, Item::Work { .. })) {
            return false;
        }
        let from = self.i;
        // "all in the next st"
        if self.word(0) == Some(W::All) && self.word(1) == Some(W::In) {
            self.i += 1;
        }
        let Some(p) = self.place() else {
            self.i = from;
            return false;
        };
        let one = (p.next || p.same || p.nth.is_some()) && p.number.is_none_or(|n| n == 1);
        let times = match p.number {
            _ if one => Amount::N(1),
            Some(n) if p.each => Amount::N(n),
            None if p.each => Amount::Fill,
            _ => {
                self.i = from;
                return false;
            }
        };
        if p.ring || p.leg || p.chain || p.every_nth.is_some() || p.colour {
            self.i = from;
            return false;
        }
        inner.retain(|i| matches!(i, Item::Work { .. }));
        for (k, item) in inner.iter_mut().enumerate() {
            if let Item::Work { stitch, amount, .. } = item
                && let Amount::N(n) = *amount
            {
                stitch.makes = stitch.makes.saturating_mul(u16::try_from(n).unwrap_or(u16::MAX));
                stitch.uses = u16::from(k == 0 && !p.same);
                *amount = Amount::N(1);
            }
        }
        if self.word(0) == Some(W::Around) {
            self.i += 1;
        }
        let inner = std::mem::take(inner);
        self.out.stitches += 1;
        match (times, self.times_after(true)) {
            (Amount::N(1), Some(times)) => items.push(Item::Group { items: inner, times }),
            (Amount::N(1), None) => items.extend(inner),
            (times, _) => items.push(Item::Group { items: inner, times }),
        }
        true
    }

    /// `(2sc)` alone in brackets as an increase, where that habit holds.
    pub fn bracket_two(&mut self, inner: &mut [Item]) {
        if let [Item::Work { stitch, amount: Amount::N(n @ 2..=4), into: Into::Stitch, .. }] = inner
            && (stitch.uses, stitch.makes) == (1, 1)
        {
            let n16 = u16::try_from(*n).unwrap_or(2);
            if self.habit(Habits::BRACKET_TWO)
                && let [Item::Work { stitch, amount, .. }] = inner
            {
                stitch.makes = n16;
                *amount = Amount::N(1);
            }
        }
    }

    pub fn breakdown(&self, open: usize, close: usize) -> Option<u32> {
        let (mut sum, mut pairs) = (0u32, 0);
        let mut k = open + 1;
        while k < close {
            match (self.toks[k].t, self.toks.get(k + 1).map(|t| t.t)) {
                (T::Num(n), Some(T::Word(W::Kind(_) | W::Cluster | W::Inc | W::Dec | W::St | W::Ch))) => {
                    sum = sum.saturating_add(n);
                    pairs += 1;
                    k += 2;
                }
                (T::Comma | T::Plus | T::Amp | T::Word(W::And), _) => k += 1,
                _ => return None,
            }
        }
        (pairs > 1).then_some(sum)
    }

    /// Star and pipe groups.
    pub fn star(&mut self, items: &mut Vec<Item>, mark: T) {
        let open = self.i;
        self.i += 1;
        let rest = &self.toks[self.i..self.toks.len().min(self.i + 400)];
        let more_marks = rest.iter().any(|t| t.t == mark);
        let repeats = rest.iter().any(|t| t.is(W::Rep));
        let next_is_times = self.num(0).is_some() && !more_marks && !repeats && self.ends(1);
        if (!more_marks && !repeats && !items.is_empty()) || next_is_times {
            // One mark only: all before it is repeated.
            let times = self.times_after(true).unwrap_or(Amount::Fill);
            let all = std::mem::take(items);
            items.push(Item::Group { items: all, times });
            return;
        }
        if self.depth >= DEEPEST {
            return;
        }
        let outer = self.closer.replace(mark);
        let outer_open = std::mem::replace(&mut self.open_ended, !more_marks && !repeats);
        self.depth += 1;
        let inner = self.list();
        self.depth -= 1;
        self.closer = outer;
        self.open_ended = outer_open;
        if self.peek(0) == Some(mark) {
            self.i += 1;
        }
        if inner.is_empty() {
            return;
        }
        let said = self.times_after(true);
        if said.is_none() && !repeats && !more_marks && self.out.unclosed.is_none() {
            self.out.unclosed = Some(self.toks[open].start..self.toks[open].end);
        }
        // `*sc, inc; rep 6 times*`
        if self.peek(0) == Some(mark) && self.ends(1) {
            self.i += 1;
        }
        let times = said.unwrap_or(Amount::Fill);
        self.out.stitches += 1;
        items.push(Item::Group { items: inner, times });
    }

    /// Whether a number here, with an optional unit, is the last of the round's words.
    pub fn trailing_total(&self, strong: bool) -> bool {
        if self.num(0).is_none() || self.out.total.is_some() || self.depth > 0 {
            return false;
        }
        match self.word(1) {
            Some(W::St | W::Point) => self.ends(2),
            Some(W::Kind(_)) => {
                let other = matches!(self.peek(2), Some(T::Open(_) | T::Eq)) && self.num(3).is_some();
                strong && !other && self.ends(2)
            }
            _ => {
                let other = matches!(self.peek(1), Some(T::Open(_) | T::Eq)) && self.num(2).is_some();
                !other && self.ends(1)
            }
        }
    }

    /// `| 18`, `|18|`, `*18*` behind the work: a total that marks set off. `sc, inc *6` is a repeat.
    pub fn set_off_total(&mut self, mark: T, work: bool) -> bool {
        let closed = self.peek(2) == Some(mark);
        let one = mark == T::Pipe && !closed && !self.toks[self.i + 1..].iter().any(|t| t.t == mark);
        let behind = work || self.out.ring;
        if !behind || self.depth > 0 || self.out.total.is_some() || self.num(1).is_none() {
            return false;
        }
        if !(closed && self.ends(3)) {
            self.i += 1;
            if one && self.trailing_total(true) {
                return self.total_here();
            }
            self.i -= 1;
            return false;
        }
        self.i += 1;
        self.total_here();
        self.i += 1;
        true
    }

    /// Whether a remark stands from here to the end: words without stitches, repeats or totals.
    fn only_notes(&self, ahead: usize) -> bool {
        let rest = &self.toks[(self.i + ahead).min(self.toks.len())..];
        matches!(
            rest.first().map(|t| t.t),
            Some(T::Word(W::Unknown | W::Start | W::Stuff | W::Note | W::Fasten | W::Begin))
        ) && rest.len() <= 60
            && rest
                .iter()
                .any(|t| matches!(t.t, T::Word(W::Stuff | W::Note | W::Fasten | W::Close | W::Turn | W::Join)))
            && !rest.iter().any(|t| {
                super::asides::is_work(t)
                    || matches!(t.t, T::Word(W::Rep | W::X | W::Times | W::TimesN(_) | W::Around | W::Each) | T::Eq)
            })
    }

    /// Whether the round's work ends here: nothing follows, or only a note.
    pub fn ends(&self, mut ahead: usize) -> bool {
        loop {
            if matches!(self.peek(ahead), Some(T::Dot | T::Comma | T::Semi | T::Dash | T::Mark))
                && self.only_notes(ahead + 1)
            {
                return true;
            }
            match self.peek(ahead) {
                None | Some(T::Break) => return true,
                Some(T::Dot | T::Comma | T::Semi | T::Mark | T::Dash | T::Tab | T::Pipe | T::Slash) => ahead += 1,
                // "28 BLO", but not "28 BLO sc".
                Some(T::Word(W::Blo | W::Flo)) => ahead += 1,
                Some(T::Word(w)) => {
                    return matches!(
                        w,
                        W::Of
                            | W::Note
                            | W::Stuff
                            | W::Fasten
                            | W::Change
                            | W::Join
                            | W::Turn
                            | W::Fold
                            | W::Close
                            | W::Total
                            | W::Per
                            | W::With
                    );
                }
                Some(T::Open(_)) => return !self.bracket_has_work(ahead),
                _ => return false,
            }
        }
    }
}
