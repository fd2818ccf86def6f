//! Repeat counts: `x 6`, `* 6`, `6 times`, `twice`, `rep 5 more times`, `around`, `to end` — and what they
//! are bound to when no bracket says it.

use super::grammar::{Amount, Item, Parser};
use super::habits::Habits;
use super::lexer::T;
use super::words::W;

impl Parser<'_> {
    /// Whether a repeat count stands at token `at`.
    pub fn repeat_follows(&self, at: usize) -> bool {
        let t = |k: usize| self.toks.get(at + k).map(|t| t.t);
        match t(0) {
            Some(T::Word(W::X)) => matches!(t(1), Some(T::Num(_))),
            Some(T::Star) => true,
            Some(T::Num(_)) => matches!(t(1), Some(T::Word(W::X | W::Times | W::More))) || t(1).is_none(),
            Some(T::Word(W::TimesN(_) | W::Rep | W::Around | W::Times)) => true,
            Some(T::Open(_)) => matches!(t(1), Some(T::Word(W::Rep))),
            Some(T::Word(W::To | W::Until)) => matches!(t(1), Some(T::Word(W::End | W::The | W::Last))),
            Some(T::Comma | T::Semi | T::Dash) => {
                matches!(t(1), Some(T::Word(W::Rep | W::TimesN(_) | W::Around)))
                    || (matches!(t(1), Some(T::Word(W::X))) && matches!(t(2), Some(T::Num(_))))
                    || (matches!(t(1), Some(T::Num(_))) && matches!(t(2), Some(T::Word(W::Times))))
            }
            _ => false,
        }
    }

    /// Reads a repeat count. `group` says that a bracket or star group stands before it, so that a bare
    /// number or a lone star can be one.
    pub fn times_after(&mut self, group: bool) -> Option<Amount> {
        let from = self.i;
        // Inside a star group "rep" ends that group.
        let separated = matches!(self.peek(0), Some(T::Comma | T::Semi | T::Dash | T::Dot | T::Break));
        if self.closer.is_some() && self.word(usize::from(separated)) == Some(W::Rep) {
            return None;
        }
        if matches!(self.peek(0), Some(T::Comma | T::Semi | T::Dash | T::Dot | T::Break)) && self.repeat_follows(self.i)
            || (matches!(self.peek(0), Some(T::Dot | T::Break)) && self.word(1) == Some(W::Rep))
        {
            self.i += 1;
        }
        let found = self.times_inner(group);
        if found.is_none() {
            self.i = from;
        }
        found
    }

    fn times_inner(&mut self, group: bool) -> Option<Amount> {
        match self.peek(0)? {
            T::Word(W::X) if self.word(2) != Some(W::Rnd) => {
                let n = self.num(1)?;
                self.i += 2;
                self.times_words();
                Some(Amount::N(n))
            }
            // Inside a star group a star closes it.
            // `sc around *12*` sets a total off, `(sc, inc) *6*` is a repeat.
            T::Star if self.closer != Some(T::Star) && (group || !(self.peek(2) == Some(T::Star) && self.ends(3))) => {
                if let Some(n) = self.num(1) {
                    self.i += 2;
                    self.times_words();
                    return Some(Amount::N(n));
                }
                // `(sc, inc)*`
                if group && self.closer != Some(T::Star) {
                    self.i += 1;
                    return Some(self.times_inner(false).unwrap_or(Amount::Fill));
                }
                None
            }
            T::Num(n) => match self.peek(1) {
                Some(T::Word(W::X))
                    if self.num(2).is_none()
                        && !(matches!(self.peek(2), Some(T::Open(_))) && self.bracket_has_work(2)) =>
                {
                    self.i += 2;
                    self.times_words();
                    Some(Amount::N(n))
                }
                Some(T::Word(W::Times)) => {
                    self.i += 2;
                    let more = self.word(0) == Some(W::More);
                    self.i += usize::from(more);
                    Some(Amount::N(n + u32::from(more && !self.habit(Habits::MORE_IS_TOTAL))))
                }
                Some(T::Word(W::More)) => {
                    if self.word(2) == Some(W::Rnd) {
                        return None;
                    }
                    self.i += 2;
                    self.times_words();
                    Some(Amount::N(if self.habit(Habits::MORE_IS_TOTAL) { n } else { n.saturating_add(1) }))
                }
                // `8 4`: an x that was read as an 8.
                Some(T::Num(m)) if group && n == 8 && self.ends(2) => {
                    self.out.slips.push(self.toks[self.i].start..self.toks[self.i].end);
                    self.i += 2;
                    Some(Amount::N(m))
                }
                next if group => {
                    // A bare number: a repeat count, or the total.
                    let unit = matches!(next, Some(T::Word(W::St | W::Point | W::Kind(_))));
                    let total_follows = self.number_ahead(1);
                    if unit || !(self.ends(1) || total_follows) {
                        return None;
                    }
                    let likely_total = n > 12 && !total_follows;
                    if likely_total ^ self.habit(Habits::BARE_NUMBER) {
                        return None;
                    }
                    self.i += 1;
                    Some(Amount::N(n))
                }
                _ => None,
            },
            // `sc 2, inc (repeat x6)`
            T::Open(_) if self.word(1) == Some(W::Rep) => {
                let close = self.closer_of(0)?;
                let open = self.i;
                self.i += 2;
                let times = self.rep_phrase();
                if times.is_none() || self.i > close || self.toks[self.i..close].iter().any(super::asides::is_work) {
                    self.i = open;
                    return None;
                }
                self.i = close + 1;
                times
            }
            // `dec (2x)`, `inc (x 3)`, `(3 times)`
            T::Open(_) if matches!(self.peek(3), Some(T::Close(_))) => {
                let n = match (self.peek(1), self.peek(2)) {
                    (Some(T::Num(n)), Some(T::Word(W::X | W::Times))) => n,
                    (Some(T::Word(W::X)), Some(T::Num(n))) => n,
                    _ => return None,
                };
                self.i += 4;
                Some(Amount::N(n))
            }
            T::Word(W::TimesN(n)) => {
                self.i += 1;
                let more = self.word(0) == Some(W::More);
                self.i += usize::from(more);
                Some(Amount::N(n + u32::from(more)))
            }
            T::Word(W::Times) if self.num(1).is_some() => {
                let n = self.num(1)?;
                self.i += 2;
                Some(Amount::N(n))
            }
            T::Word(W::Rep) => {
                self.i += 1;
                self.rep_phrase()
            }
            T::Word(W::Around | W::Across) => {
                // "along the underside", "around the leg" are places.
                let named = (1..4).any(|k| matches!(self.word(k), Some(W::Side | W::Ch | W::Leg)));
                if named {
                    return None;
                }
                self.i += 1;
                self.skip_end_words();
                Some(Amount::Fill)
            }
            // "all around", "all round"
            T::Word(W::All)
                if self.word(1) == Some(W::Around)
                    || (self.word(1) == Some(W::Rnd) && matches!(self.lower(1).as_str(), "round" | "rnd")) =>
            {
                self.i += 2;
                Some(Amount::Fill)
            }
            T::Word(W::To | W::Until | W::End) => self.reads_to_end().then_some(Amount::Fill),
            _ => None,
        }
    }

    /// Whether a total stands `ahead`: a number in brackets or behind `=`.
    fn number_ahead(&self, ahead: usize) -> bool {
        match self.peek(ahead) {
            Some(T::Open(_) | T::Eq | T::Comma | T::Dash) => self.num(ahead + 1).is_some(),
            _ => false,
        }
    }

    fn times_words(&mut self) {
        if self.word(0) == Some(W::Times) {
            self.i += 1;
        }
    }

    /// What follows "rep": `[from *] [to *] [around | N times | N more times | to end]`.
    fn rep_phrase(&mut self) -> Option<Amount> {
        let mut strict = false;
        loop {
            match self.peek(0) {
                Some(T::Word(W::From)) => {
                    strict = true;
                    self.i += 1;
                }
                Some(T::Star | T::Pipe) if strict => self.i += 1,
                Some(T::Word(W::To)) if matches!(self.peek(1), Some(T::Star | T::Pipe)) => self.i += 2,
                Some(T::Word(W::The | W::Same | W::Begin | W::Is | W::Unknown))
                    if !matches!(self.peek(1), Some(T::Word(W::Rnd))) =>
                {
                    self.i += 1;
                }
                // "repeat the brackets", "repeat ( )"
                Some(T::Open(_)) if matches!(self.peek(1), Some(T::Close(_))) => self.i += 2,
                Some(T::Comma) if self.word(1).is_some_and(|w| matches!(w, W::Around | W::To | W::Until)) => {
                    self.i += 1;
                }
                _ => break,
            }
        }
        match self.peek(0) {
            Some(T::Num(n)) => {
                if self.word(1) == Some(W::Rnd) {
                    return None;
                }
                // "dec, repeat 18": the number may be the total.
                if self.ends(1) && self.peek(1).is_none() && self.habit(Habits::BARE_NUMBER) {
                    return Some(Amount::Fill);
                }
                self.i += 1;
                let mut more = false;
                while let Some(T::Word(w @ (W::More | W::Times | W::X))) = self.peek(0) {
                    more |= w == W::More;
                    self.i += 1;
                }
                let plus = if more { !self.habit(Habits::MORE_IS_TOTAL) } else { self.habit(Habits::REP_PLUS_ONE) };
                Some(Amount::N(n.saturating_add(u32::from(plus))))
            }
            Some(T::Word(W::X | W::Times)) if self.num(1).is_some() => {
                let n = self.num(1)?;
                self.i += 2;
                self.times_words();
                Some(Amount::N(n))
            }
            Some(T::Word(W::TimesN(n))) => {
                self.i += 1;
                let more = self.word(0) == Some(W::More);
                self.i += usize::from(more);
                Some(Amount::N(n + u32::from(more)))
            }
            Some(T::Word(W::Rnd)) if self.num(1).is_some() => None,
            Some(T::Word(W::Around | W::Across | W::Evenly)) => {
                self.i += 1;
                self.skip_end_words();
                Some(Amount::Fill)
            }
            Some(T::Word(W::All)) if self.word(1) == Some(W::Around) => {
                self.i += 2;
                Some(Amount::Fill)
            }
            Some(T::Word(W::To | W::Until | W::End | W::For)) => {
                if self.reads_to_end() {
                    Some(Amount::Fill)
                } else {
                    // "repeat to last 2 sts"
                    while matches!(self.peek(0), Some(T::Word(W::To | W::Until | W::The | W::Last))) {
                        self.i += 1;
                    }
                    if self.num(0).is_some() && self.word(1) == Some(W::St) {
                        self.i += 2;
                    } else if self.word(0) == Some(W::St) {
                        self.i += 1;
                    }
                    Some(Amount::Fill)
                }
            }
            _ => Some(Amount::Fill),
        }
    }

    /// `to [the] end [of [the] round]`, `until the end`, `to eor`, `to the last st`.
    pub fn reads_to_end(&mut self) -> bool {
        let mut k = 0;
        while matches!(self.word(k), Some(W::To | W::Until | W::The | W::All)) {
            k += 1;
        }
        // "to the last 2 sts", "until 2 sts are left"
        if k > 0 && self.word(k) == Some(W::Last) {
            k += 1;
            k += usize::from(self.num(k).is_some());
            if self.word(k) == Some(W::St) {
                self.i += k + 1;
                return true;
            }
            return false;
        }
        if k > 0 && self.num(k).is_some() && self.word(k + 1) == Some(W::St) {
            let mut e = k + 2;
            while matches!(self.word(e), Some(W::Is | W::Unknown | W::Remaining)) {
                e += 1;
            }
            if e > k + 2 {
                self.i += e;
                return true;
            }
        }
        if self.word(k) != Some(W::End) {
            return false;
        }
        self.i += k + 1;
        self.skip_end_words();
        true
    }

    fn skip_end_words(&mut self) {
        while matches!(self.word(0), Some(W::Of | W::The | W::Rnd | W::Around | W::All | W::Even)) {
            if self.word(0) == Some(W::Rnd) && self.num(1).is_some() {
                return;
            }
            self.i += 1;
        }
    }

    /// After an element: repeat counts without brackets. `n` is how many items stood before it.
    pub fn postfix(&mut self, items: &mut Vec<Item>, n: usize) {
        if items.is_empty() {
            return;
        }
        // A star here closes a star group; only `* 6` inside none multiplies.
        if self.peek(0) == Some(T::Star) && (self.closer == Some(T::Star) || self.num(1).is_none()) {
            return;
        }
        if self.closer.is_some() && (self.word(0) == Some(W::Rep) || (self.open_ended && self.repeats_to_end())) {
            return;
        }
        let phrase = self.peek(0);
        let separated = matches!(phrase, Some(T::Comma | T::Semi | T::Dash | T::Dot));
        let at = usize::from(separated);
        let opens = matches!(self.peek(at), Some(T::Open(_)));
        let rep = self.word(at + usize::from(opens)) == Some(W::Rep);
        // It ends the star group that it stands in.
        if rep && self.closer.is_some() {
            return;
        }
        let fresh = items.len() > n;
        if !fresh && !rep {
            return;
        }
        let Some(times) = self.times_after(false) else { return };
        let many = items.len() > 1;
        let starred_before = items.iter().any(|i| matches!(i, Item::Group { .. }));
        let change = |i: &Item| matches!(i, Item::Work { stitch, .. } if stitch.uses != stitch.makes);
        let last_changes = items.split_last().is_some_and(|(l, before)| change(l) && !before.iter().any(change));
        // "5 sc, inc around" is the pair all round; "inc, sc around" one increase and the rest plain.
        let default_all = rep || (times == Amount::Fill && !starred_before && (last_changes || separated));
        let all = many && (default_all ^ self.habit(Habits::BIND_ALL));
        if all || !fresh {
            let inner = std::mem::take(items);
            items.push(Item::Group { items: inner, times });
            return;
        }
        let Some(last) = items.pop() else { return };
        let last = multiplied(last, times);
        let alone = items.is_empty();
        items.push(last);
        if alone
            && times == Amount::Fill
            && !matches!(self.peek(0), Some(T::Num(_)))
            && let Some(Amount::N(n)) = self.times_after(false)
        {
            self.rounds_of(n, items);
        }
    }
}

impl Parser<'_> {
    /// "sc around x 3": the whole round, three times. True if the one item is a plain round.
    pub fn rounds_of(&mut self, n: u32, items: &[Item]) -> bool {
        let [Item::Work { stitch, amount: Amount::Fill, .. }] = items else { return false };
        if stitch.uses != stitch.makes || self.depth > 0 || self.out.rounds.is_some() {
            return false;
        }
        self.out.rounds = Some((n, self.span_from(self.i.saturating_sub(2))));
        true
    }
}

/// One item, repeated.
pub(super) fn multiplied(item: Item, times: Amount) -> Item {
    match (item, times) {
        // "28 sc around": the number is that of the round.
        (item @ Item::Work { amount: Amount::N(5..), .. }, Amount::Fill) => item,
        (Item::Work { stitch, amount: Amount::N(_), into, colour, unnumbered, span }, Amount::Fill) => {
            Item::Work { stitch, amount: Amount::Fill, into, colour, unnumbered, span }
        }
        (Item::Work { stitch, amount: Amount::N(n), into, colour, span, .. }, Amount::N(m)) => {
            Item::Work { stitch, amount: Amount::N(n.saturating_mul(m)), into, colour, unnumbered: false, span }
        }
        (item @ Item::Work { amount: Amount::Fill, .. }, _) => item,
        (item, times) => Item::Group { items: vec![item], times },
    }
}
