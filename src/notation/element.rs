//! One element of a round: stitches with their number, increases, decreases, chains, symbols.

use super::grammar::{Amount, Into, Item, Parser};
use super::habits::Habits;
use super::lexer::T;
use super::repeats::multiplied;
use super::words::{Printed, W};
use crate::rounds::{Loops, StitchKind};

impl Parser<'_> {
    /// Reads one element; whatever it is, at least one token is used.
    pub fn element(&mut self, items: &mut Vec<Item>) {
        let from = self.i;
        match self.peek(0) {
            Some(T::Num(n)) => self.numbered(n, items),
            Some(T::Word(w)) => self.worded(w, None, from, items),
            _ => self.i += 1,
        }
    }

    fn numbered(&mut self, n: u32, items: &mut Vec<Item>) {
        let from = self.i;
        match self.peek(1) {
            // `6-inc`
            Some(T::Dash)
                if self.toks[from + 1].glued && matches!(self.word(2), Some(W::Inc | W::Dec | W::Kind(_))) =>
            {
                self.i += 2;
                if let Some(w) = self.word(0) {
                    self.worded(w, Some(n), from, items);
                }
            }
            Some(T::Word(W::X)) => {
                let prefix = match self.peek(2) {
                    Some(T::Open(_)) => self.bracket_has_work(2),
                    Some(T::Star) => true,
                    Some(T::Num(_)) => !self.ends(2),
                    Some(T::Word(w)) => matches!(w, W::Kind(_) | W::Inc | W::Dec | W::KindTog(_) | W::Blo | W::Flo),
                    _ => false,
                };
                self.i += 2;
                if prefix {
                    self.prefixed(n, items);
                } else {
                    self.kind = StitchKind::Single;
                    self.finish_stitches(Some(n), (1, 1), from, items);
                }
            }
            Some(T::Open(_)) if self.toks.get(from + 2).is_some() => {
                self.i += 1;
                let before = items.len();
                self.list_one_bracket(items);
                if items.len() > before
                    && let Some(Item::Group { items: inner, times: Amount::N(1) | Amount::Fill }) = items.pop()
                {
                    items.push(Item::Group { items: inner, times: Amount::N(n) });
                } else if items.len() == before {
                    self.bare_number(n, from, items);
                }
            }
            Some(T::Star) if matches!(self.peek(2), Some(T::Open(_))) && self.bracket_has_work(2) => {
                self.i += 2;
                self.prefixed(n, items);
            }
            Some(T::Word(W::Times)) if items.is_empty() => {
                self.i += 2;
                if matches!(self.peek(0), Some(T::Colon | T::Comma)) {
                    // "6 times: sc, inc": all that follows.
                    self.i += 1;
                    let inner = self.list();
                    if !inner.is_empty() {
                        items.push(Item::Group { items: inner, times: Amount::N(n) });
                    }
                    return;
                }
                self.prefixed(n, items);
            }
            Some(T::Word(w)) => {
                self.i += 1;
                if matches!(w, W::Colour | W::Unknown | W::Ring) && self.colour_run(n, from, items) {
                    return;
                }
                match w {
                    W::Kind(_) | W::Inc | W::Dec | W::SymInc | W::SymDec | W::SymInc3 | W::Tog | W::KindTog(_) => {
                        self.worded(w, Some(n), from, items);
                    }
                    W::Cluster | W::Picot | W::Ch | W::Skip | W::Ring | W::Unknown | W::Plain | W::Post | W::A => {
                        self.worded(w, Some(n), from, items);
                    }
                    W::Blo | W::Flo if matches!(self.word(1), Some(W::Kind(_) | W::Inc | W::Dec)) => {
                        let outer = self.loops;
                        self.loops = if w == W::Blo { Loops::Back } else { Loops::Front };
                        self.i += 1;
                        if let Some(w) = self.word(0) {
                            self.worded(w, Some(n), from, items);
                        }
                        self.loops = outer;
                    }
                    W::Rnd => {
                        self.i += 1;
                        self.out.rounds = Some((n, self.span_from(from)));
                    }
                    W::More => {
                        self.i += 1;
                        if self.word(0) == Some(W::Rnd) {
                            self.i += 1;
                            self.out.rounds = Some((n, self.span_from(from)));
                            self.out.rounds_more = true;
                        } else if self.word(0) == Some(W::St) {
                            self.i += 1;
                        }
                    }
                    // "work 2 together all round"
                    W::Together if self.word(1) != Some(W::With) => {
                        self.i += 1;
                        self.change((n.clamp(2, 9), 1), None, from, items);
                    }
                    W::Evenly => {
                        self.i += 1;
                        self.skip_around();
                        items.push(Item::Evenly { by: n, down: None });
                    }
                    W::St | W::Point => {
                        self.i += 1;
                        if let Some(p) = self.place() {
                            let made = self.placed(Some(n), &p, (1, 1), from, items.is_empty());
                            items.extend(made);
                        } else if matches!(self.word(0), Some(W::Together | W::Tog)) {
                            self.i += 1;
                            let item = self.work(n.max(2), 1, Amount::N(1), from);
                            items.push(item);
                        } else if self.word(0) == Some(W::Evenly) {
                            self.i += 1;
                            items.push(Item::Evenly { by: n, down: None });
                        } else {
                            self.bare_number(n, from, items);
                        }
                    }
                    W::In | W::Each | W::Every | W::Next | W::Same => {
                        if let Some(p) = self.place() {
                            let made = self.placed(Some(n), &p, (1, 1), from, items.is_empty());
                            items.extend(made);
                        } else {
                            self.bare_number(n, from, items);
                        }
                    }
                    _ => self.bare_number(n, from, items),
                }
            }
            _ => {
                self.i += 1;
                self.bare_number(n, from, items);
            }
        }
    }

    /// A bracket that must stand here.
    fn list_one_bracket(&mut self, items: &mut Vec<Item>) {
        let stop = self.i;
        let mut inner = Vec::new();
        // The list reader reads on; only the bracket is wanted, so it is asked for directly.
        self.bracket(&mut inner);
        if self.i == stop {
            self.i += 1;
        }
        items.extend(inner);
    }

    pub fn prefixed(&mut self, n: u32, items: &mut Vec<Item>) {
        let mut inner = Vec::new();
        if matches!(self.peek(0), Some(T::Open(_))) {
            self.list_one_bracket(&mut inner);
            if let [Item::Group { times, .. }] = inner.as_mut_slice() {
                *times = Amount::N(1);
            }
        } else if matches!(self.peek(0), Some(T::Num(_) | T::Word(_))) {
            self.element(&mut inner);
        }
        match inner.len() {
            0 => {}
            1 => items.extend(inner.pop().map(|i| match i {
                Item::Group { items, .. } => Item::Group { items, times: Amount::N(n) },
                other => multiplied(other, Amount::N(n)),
            })),
            _ => items.push(Item::Group { items: inner, times: Amount::N(n) }),
        }
    }

    /// Whether a bare number stands between commas, or before the last comma's total.
    fn comma_around(&self, from: usize) -> bool {
        let before = from.checked_sub(1).map(|i| self.toks[i].t);
        let total = matches!(self.peek(0), Some(T::Open(_) | T::Eq)) && self.num(1).is_some();
        let opens = matches!(before, Some(T::Open(_) | T::Star | T::Pipe)) && self.depth > 0;
        let after = self.peek(0) == Some(T::Comma) && self.peek(1).is_some();
        // "2, dec (18)": at the head of a round, before a change.
        let changes = matches!(self.word(1), Some(W::Inc | W::Dec | W::SymInc | W::SymDec))
            || (matches!(self.peek(1), Some(T::Num(_))) && matches!(self.word(2), Some(W::Inc | W::Dec)));
        let head = matches!(before, None | Some(T::Close(_))) && after && changes;
        (before == Some(T::Comma) && (total || after)) || (opens && after) || head
    }

    /// A number with no unit: the stitches into a ring, or a total.
    pub fn bare_number(&mut self, n: u32, from: usize, items: &mut Vec<Item>) {
        if self.out.ring && items.is_empty() {
            let mut item = self.work(1, 1, Amount::N(n), from);
            if let Item::Work { into, .. } = &mut item {
                *into = Into::Ring;
            }
            items.push(item);
        } else if self.out.straight && items.is_empty() && self.depth == 0 {
            // "even, 24, 6 rounds"
            let span = self.span_from(from);
            self.set_total(n, span);
        } else if self.comma_around(from) {
            // "inc, 5, inc, 5": five plain stitches, by all that is known; "(1, inc)" is a way of writing.
            let changes = matches!(self.word(1), Some(W::Inc | W::Dec | W::SymInc | W::SymDec));
            if !(changes && self.depth > 0) {
                let span = self.span_from(from);
                self.out.unread.push(span);
            }
            let item = self.work(1, 1, Amount::N(n), from);
            items.push(item);
        } else if self.depth == 0 && (self.ends(0) || items.is_empty()) {
            let span = self.span_from(from);
            self.set_total(n, span);
            if let Some(total) = self.out.total.as_mut().filter(|t| t.n == n) {
                total.weak = true;
            }
        } else {
            let span = self.span_from(from);
            self.out.unread.push(span);
        }
    }

    pub fn worded(&mut self, w: W, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        match w {
            W::Kind(p) => self.stitch(p, n, from, items),
            W::Inc => {
                let other = n.is_none_or(|n| n == 1) && matches!(self.lower(0).as_str(), "pr");
                if other && self.habit(Habits::OTHER_TONGUE) {
                    return self.stitch(Printed::Slip, n, from, items);
                }
                self.i += 1;
                self.change((1, 2), n, from, items);
            }
            W::Dec => {
                self.i += 1;
                self.change((2, 1), n, from, items);
            }
            W::SymInc => {
                self.i += 1;
                let base = if self.habit(Habits::V_IS_PLAIN) { (1, 1) } else { (1, 2) };
                self.change(base, n, from, items);
            }
            W::SymInc3 => {
                self.i += 1;
                self.change((1, 3), n, from, items);
            }
            W::SymDec => {
                self.i += 1;
                self.change((2, 1), n, from, items);
            }
            W::A => {
                let capital = self.toks[self.i].start < self.toks[self.i].end
                    && self.cx.text[self.toks[self.i].start..].starts_with('A');
                let next = self.peek(1);
                let symbol = matches!(
                    next,
                    None | Some(
                        T::Comma | T::Close(_) | T::Star | T::Pipe | T::Semi | T::Dot | T::Eq | T::Tab | T::Open(_)
                    )
                ) || matches!(next, Some(T::Word(W::X | W::SymInc | W::A)))
                    || n.is_some();
                // "sc around - A": behind a dash and whole work a colour, "4 sc - A" a decrease.
                let dashed = self.i.checked_sub(2).is_some_and(|k| {
                    self.toks[k + 1].t == T::Dash && !matches!(self.toks[k].t, T::Word(W::Kind(_) | W::X | W::Inc))
                });
                if capital && n.is_none() && dashed && self.ends(1) && self.closer.is_none() && self.depth == 0 {
                    return self.colour_name();
                }
                self.i += 1;
                if capital && symbol {
                    self.change((2, 1), n, from, items);
                }
            }
            W::Tog => {
                self.i += 1;
                // `2tog`; a lone "t" is no stitch.
                if let Some(n) = n {
                    self.change((n.clamp(2, 9), 1), None, from, items);
                }
            }
            W::KindTog(p) => {
                self.i += 1;
                self.kind = self.stitch_kind(p);
                let two = n.unwrap_or(2).clamp(2, 9);
                self.change((two, 1), None, from, items);
            }
            W::X => self.cross(n, from, items),
            W::Cluster => {
                self.i += 1;
                let n = n.or_else(|| self.number_after());
                // "bump of 5 dc", "bobble (5 dc)"
                if self.word(0) == Some(W::Of) && self.num(1).is_some() && matches!(self.word(2), Some(W::Kind(_))) {
                    self.i += 3;
                }
                self.finish_stitches(n, (1, 1), from, items);
            }
            W::Picot => {
                self.i += 1;
                let _ = self.number_after();
            }
            W::Ch => self.chain(n, from, items),
            W::Skip => {
                self.i += 1;
                // "miss 1 dc": the stitch is the one below.
                let below = matches!(self.word(1), Some(W::Kind(_)))
                    && matches!(
                        self.peek(2),
                        None | Some(T::Comma | T::Semi | T::Close(_) | T::Star | T::Dot | T::Pipe)
                    );
                let n = match self.num(0).filter(|_| n.is_none() && below) {
                    Some(k) => {
                        self.i += 2;
                        Some(k)
                    }
                    None => n.or_else(|| self.number_after()),
                };
                let place = self.place();
                let n = n.or(place.and_then(|p| p.number)).unwrap_or(1);
                while self.word(0) == Some(W::St) {
                    self.i += 1;
                }
                if n >= 4 {
                    self.out.split = Some(self.span_from(from));
                }
                if !self.habit(Habits::SKIP_NOTHING) {
                    let item = self.work(1, 0, Amount::N(n), from);
                    items.push(item);
                }
            }
            // `MC: sc around` on a round below
            W::Ring if !self.cx.first && n.is_none() && self.colour_at(0) && self.peek(1) == Some(T::Colon) => {
                self.colour_name();
            }
            W::Ring => {
                self.i += 1;
                self.out.ring = true;
                if let Some(n) = n {
                    // `7 mc`
                    self.bare_number(n, from, items);
                } else if matches!(self.peek(0), Some(T::Comma | T::Colon | T::Dash | T::Eq))
                    && self.num(1).is_some()
                    && self.ends(2)
                    && items.is_empty()
                {
                    self.i += 1;
                    if let Some(n) = self.num(0) {
                        self.i += 1;
                        self.bare_number(n, from, items);
                    }
                }
            }
            W::Blo | W::Flo => self.loops_word(w, items),
            _ => self.other_word(w, n, from, items),
        }
    }

    /// `[x] N` after a stitch word, where it belongs to that word.
    pub fn number_after(&mut self) -> Option<u32> {
        // `sc twice in each st`
        if let Some(W::TimesN(n)) = self.word(0)
            && matches!(self.word(1), Some(W::In | W::Each | W::Every | W::Next | W::Same | W::All))
        {
            self.i += 1;
            return Some(n);
        }
        let x = matches!(self.peek(0), Some(T::Word(W::X) | T::Star))
            && self.num(1).is_some()
            && !(self.peek(0) == Some(T::Star) && self.closer == Some(T::Star));
        let k = usize::from(x);
        let n = self.num(k)?;
        let next = self.peek(k + 1);
        // `inc x 6`: what the repeat count is bound to is seen later, unless a place follows it.
        let times = matches!(next, Some(T::Word(W::Times)))
            || (matches!(next, Some(T::Word(W::X))) && self.num(k + 2).is_none());
        let at = k + 1 + usize::from(times);
        let placed = matches!(self.peek(at), Some(T::Word(W::In | W::Each | W::Every | W::Next | W::Same | W::All)));
        if (x || times) && !placed {
            return None;
        }
        let lean = match next {
            _ if x => false,
            Some(T::Word(W::Kind(_) | W::Inc | W::Dec | W::Ch | W::Skip | W::SymInc | W::SymDec)) => {
                self.habit(Habits::LEANS_RIGHT)
            }
            // `sc 2 tog` is read elsewhere; "5 rounds" is no number of stitches.
            Some(T::Word(W::Tog | W::KindTog(_) | W::Rnd | W::More)) => true,
            Some(T::Word(W::X)) => self.num(k + 2).is_some() || matches!(self.peek(k + 2), Some(T::Open(_))),
            // `inc in each (18)`: a bracket is handled elsewhere; `sc 6x (…)`.
            _ => false,
        };
        if lean {
            return None;
        }
        // `inc 8 6`: an x that was read as an 8.
        if !x
            && n == 8
            && let Some(T::Num(m)) = next
            && self.ends(2)
        {
            self.out.slips.push(self.toks[self.i].start..self.toks[self.i].end);
            self.i += 2;
            return Some(m);
        }
        self.i += k + 1;
        if matches!(self.word(0), Some(W::Times)) || (self.word(0) == Some(W::X) && self.num(1).is_none()) {
            self.i += 1;
        }
        while matches!(self.word(0), Some(W::St)) {
            self.i += 1;
        }
        Some(n)
    }

    pub fn stitch(&mut self, p: Printed, n: Option<u32>, from: usize, items: &mut Vec<Item>) {
        let glued = self.toks[self.i].glued;
        let same_word = self.lower(0) == "ss";
        self.i += 1;
        let kind = self.stitch_kind(p);
        if p == Printed::Slip {
            // `2 sc ss`: the same stitch.
            if same_word && n.is_none() && self.same_stitch(items) {
                return;
            }
            if n.is_none_or(|n| n == 1) && self.closing_slip(items) {
                return;
            }
            let outer = std::mem::replace(&mut self.kind, kind);
            if same_word && self.habit(Habits::OTHER_TONGUE) {
                self.kind = StitchKind::Single;
            }
            let n = n.or_else(|| self.number_after());
            self.finish_stitches(n, (1, 1), from, items);
            self.kind = outer;
            return;
        }
        self.kind = kind;
        while self.word(0) == Some(W::St) {
            self.i += 1;
        }
        // `dc (sc)`: the same stitch in other terms.
        if matches!(self.peek(0), Some(T::Open(_)))
            && matches!(self.word(1), Some(W::Kind(q)) if q != p)
            && matches!(self.peek(2), Some(T::Close(_)))
        {
            self.i += 3;
        }
        match (self.peek(0), self.word(1)) {
            (Some(T::Num(m)), Some(W::Tog | W::Together)) => {
                self.i += 2;
                // "sc 4 together with the arm", but not "sc 2 together with white"
                if self.word(0) == Some(W::With) && self.names_part(1) {
                    self.worked_in();
                    return self.finish_stitches(n.or(Some(m)), (1, 1), from, items);
                }
                let n = n.or_else(|| self.number_after());
                return self.change((m.clamp(2, 9), 1), n, from, items);
            }
            (Some(T::Word(W::Tog)), _) => {
                self.i += 1;
                return self.change((n.unwrap_or(2).clamp(2, 9), 1), None, from, items);
            }
            (Some(T::Word(W::Together)), next) => {
                self.i += 1;
                if next == Some(W::With) {
                    self.worked_in();
                    return self.finish_stitches(n, (1, 1), from, items);
                }
                return self.change((n.unwrap_or(2).clamp(2, 9), 1), None, from, items);
            }
            (Some(T::Word(w @ (W::Inc | W::Dec))), _) => {
                let bracketed = self.depth > 0 && kind == StitchKind::Single;
                if bracketed == self.habit(Habits::ONE_WORD) {
                    self.i += 1;
                    let base = if w == W::Inc { (1, 2) } else { (2, 1) };
                    return self.change(base, n, from, items);
                }
            }
            (Some(T::Word(W::Cluster)), _) => {
                // `3 dc bob`: one bobble of three.
                self.i += 1;
                return self.finish_stitches(None, (1, 1), from, items);
            }
            _ => {}
        }
        let loops = self.loops;
        if let Some(w @ (W::Blo | W::Flo)) = self.word(0)
            && !self.ends(1)
        {
            self.i += 1;
            self.loops = if w == W::Blo { Loops::Back } else { Loops::Front };
        }
        let before = n.is_some();
        let n = n.or_else(|| self.number_after());
        if before
            && let Some(two @ 2..=3) = n
            && (glued || two == 2)
            && !matches!(self.word(0), Some(W::In | W::Each | W::Next | W::Same | W::All | W::Around))
            && self.habit(if glued { Habits::GLUED_TWO } else { Habits::SPACED_TWO })
        {
            self.finish_stitches(None, (1, two), from, items);
        } else {
            self.finish_stitches(n, (1, 1), from, items);
        }
        self.loops = loops;
    }

    /// The place after stitches, and the item they make.
    pub fn finish_stitches(&mut self, n: Option<u32>, base: (u32, u32), from: usize, items: &mut Vec<Item>) {
        // `sc 2X in next`: the times were read; a dot of an abbreviation may stand between.
        let loop_named = (1..4).any(|k| matches!(self.word(k), Some(W::Blo | W::Flo | W::BothLoops)));
        if self.word(0) == Some(W::Through) && !loop_named {
            // "3 sc through arm and body", "through both layers": as many stitches as it says.
            let at = self.i;
            self.worked_in();
            if !self.toks[at..self.i].iter().any(|t| t.is(W::Leg)) {
                self.out.worked_in = None;
            }
            let item = self.work(base.0, base.1, Amount::N(n.unwrap_or(1)), from);
            items.push(item);
            return;
        }
        if self.at_both_ends(n, base, from, items) {
            return;
        }
        if let Some(p) = self.place() {
            // `sc next 2 together`
            if matches!(self.word(0), Some(W::Together | W::Tog)) {
                self.i += 1;
                if self.word(0) == Some(W::With) {
                    self.worked_in();
                } else {
                    let amount = if p.each && n.is_none() { Amount::Fill } else { Amount::N(n.unwrap_or(1)) };
                    let item = self.work(p.number.unwrap_or(2).clamp(2, 9), 1, amount, from);
                    items.push(item);
                    return;
                }
            }
            let empty = items.is_empty();
            let made = self.placed(n, &p, base, from, empty);
            items.extend(made);
            // `in each st around`, `in BLO 6`
            if self.word(0) == Some(W::Around) {
                self.i += 1;
            }
            return;
        }
        let straight = matches!(self.word(0), Some(W::Even | W::Plain))
            || (self.word(0) == Some(W::Rnd) && n.is_none() && self.num(1).is_none() && self.ends(1));
        if straight {
            self.i += 1;
        }
        let amount = match n {
            Some(n) => Amount::N(n),
            None if straight => Amount::Fill,
            None => Amount::N(1),
        };
        let mut item = self.work(base.0, base.1, amount, from);
        if let Item::Work { unnumbered, .. } = &mut item {
            *unnumbered = n.is_none();
        }
        items.push(item);
    }
}
