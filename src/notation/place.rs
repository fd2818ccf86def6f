//! Where stitches go: `in next 3 st`, `in each st around`, `in every 4th st`, `in 2nd ch from hook` — and
//! what that makes of a number before the stitch.

use super::grammar::{Amount, Into, Item, Parser};
use super::habits::Habits;
use super::lexer::T;
use super::words::W;
use crate::rounds::Loops;

/// A place as written.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Place {
    pub each: bool,
    /// Said by "every", not by "each".
    pub every: bool,
    pub next: bool,
    pub number: Option<u32>,
    pub nth: Option<u32>,
    pub every_nth: Option<u32>,
    pub same: bool,
    pub ring: bool,
    pub chain: bool,
    pub last: bool,
    pub first: bool,
    pub noun: bool,
    /// "The st", and nothing else tells which.
    pub the: bool,
    pub plural: bool,
    pub around: bool,
    pub remaining: bool,
    pub loops: Option<Loops>,
    pub other_side: bool,
    pub leg: bool,
    pub colour: bool,
    pub rim: bool,
    pub rounds_noun: bool,
}

impl Parser<'_> {
    /// Reads a place, or nothing.
    pub fn place(&mut self) -> Option<Place> {
        let start = self.i;
        match self.word(0)? {
            W::In | W::On | W::Over | W::Each | W::Every | W::All | W::Next | W::First | W::Last | W::Same => {}
            W::Remaining | W::Across | W::Blo | W::Flo | W::Around | W::Through => {}
            W::The if matches!(self.word(1), Some(W::Next | W::First | W::Last | W::Same | W::Remaining)) => {}
            _ => return None,
        }
        if self.word(0) == Some(W::All) && matches!(self.word(1), Some(W::Around | W::Rnd)) {
            return None;
        }
        if self.word(0) == Some(W::Around) && !self.leg_ahead() {
            return None;
        }
        let mut p = Place::default();
        let mut any = false;
        let mut preposition = false;
        while let Some(t) = self.peek(0) {
            match t {
                T::Word(W::In | W::On) if self.in_colour() => {
                    self.i += 1;
                    self.colour_name();
                    p.colour = true;
                    any = true;
                    break;
                }
                T::Word(W::In | W::On | W::Over | W::Through) => {
                    if any && p.noun {
                        // "… in each st in back loops"
                        let next = self.skip_articles(1);
                        if !matches!(self.word(next), Some(W::Blo | W::Flo | W::BothLoops | W::Rnd))
                            && !self.colour_at(next)
                        {
                            break;
                        }
                    }
                    preposition = true;
                    self.i += 1;
                }
                T::Word(W::The | W::Of) => self.i += 1,
                T::Word(W::A) if preposition && matches!(self.word(1), Some(W::Ring | W::RingNoun | W::St)) => {
                    self.i += 1;
                }
                // "changing colour every 4 rounds"
                T::Word(W::Every) if self.num(1).is_some() && self.word(2) == Some(W::Rnd) => {
                    p.rounds_noun = true;
                    self.i += 3;
                    any = true;
                    break;
                }
                T::Word(W::Each | W::Every | W::All) => {
                    p.each = true;
                    p.every |= t == T::Word(W::Every);
                    any = true;
                    self.i += 1;
                    if let Some(T::Ord(k)) = self.peek(0) {
                        p.every_nth = Some(k);
                        self.i += 1;
                    } else if let (Some(k), Some(T::Dot), Some(W::St)) = (self.num(0), self.peek(1), self.word(2)) {
                        p.every_nth = Some(k);
                        self.i += 2;
                    } else if self.word(0) == Some(W::Other) {
                        p.every_nth = Some(2);
                        self.i += 1;
                    }
                }
                T::Word(W::Next | W::First | W::Last) => {
                    p.next = true;
                    p.last |= t == T::Word(W::Last);
                    p.first |= t == T::Word(W::First);
                    any = true;
                    self.i += 1;
                }
                T::Word(W::Same) => {
                    p.same = true;
                    any = true;
                    self.i += 1;
                }
                T::Word(W::Remaining) => {
                    p.remaining = true;
                    any = true;
                    self.i += 1;
                }
                T::Num(n) if p.noun || p.around || n == 0 => break,
                T::Num(k) if p.number.is_none() && (any || preposition) => {
                    let named = p.each || p.next;
                    match self.peek(1) {
                        Some(T::Word(W::Kind(_) | W::Inc | W::Dec)) if !named => break,
                        Some(T::Word(W::Rnd | W::More | W::X | W::Times | W::KindTog(_) | W::Tog)) => break,
                        _ => {}
                    }
                    p.number = Some(k);
                    any = true;
                    self.i += 1;
                }
                T::Ord(k) => {
                    p.nth = Some(k);
                    any = true;
                    self.i += 1;
                }
                T::Word(W::St) => {
                    p.noun = true;
                    p.plural = self.lower(0).ends_with('s') && self.lower(0) != "st";
                    // "3 sc in the st"
                    p.the = !any && !p.plural && self.toks[self.i - 1].is(W::The);
                    any = true;
                    self.i += 1;
                }
                T::Word(W::Kind(_) | W::Inc) if any && !p.noun && (p.each || p.next || p.same) => {
                    p.noun = true;
                    p.plural = p.number.is_some_and(|n| n > 1);
                    self.i += 1;
                }
                // "3 sc in the sc"
                T::Word(W::Kind(_)) if preposition && !any && self.toks[self.i - 1].is(W::The) => {
                    p.next = true;
                    p.noun = true;
                    any = true;
                    self.i += 1;
                }
                T::Word(W::Ch) if (preposition || any) && !p.noun => {
                    p.chain = true;
                    p.noun = true;
                    any = true;
                    self.i += 1;
                }
                T::Word(W::Ring | W::RingNoun) if preposition => {
                    p.ring = true;
                    any = true;
                    self.i += 1;
                    break;
                }
                T::Word(W::Rnd) if any || preposition => {
                    p.rim |= p.loops.is_some();
                    p.rounds_noun = true;
                    self.i += 1;
                    if self.num(0).is_some() && !matches!(self.word(1), Some(W::Kind(_))) {
                        self.i += 1;
                    }
                    any = true;
                }
                T::Word(W::Blo | W::Flo | W::BothLoops) => {
                    p.loops = Some(match t {
                        T::Word(W::Blo) => Loops::Back,
                        T::Word(W::Flo) => Loops::Front,
                        _ => Loops::Both,
                    });
                    any = true;
                    self.i += 1;
                }
                // "sc across 4", "across the next 4 ch"
                T::Word(W::Across) if self.num(1).is_some() && p.number.is_none() && self.word(2) != Some(W::Rnd) => {
                    p.next = true;
                    p.number = self.num(1);
                    any = true;
                    self.i += 2;
                }
                T::Word(W::Around | W::Across) => {
                    p.leg |= self.leg_ahead();
                    p.around = !p.leg;
                    any = true;
                    self.i += 1;
                }
                T::Word(W::From) if self.word(1) == Some(W::Hook) => self.i += 2,
                T::Word(W::From) if self.word(1) == Some(W::The) && self.word(2) == Some(W::Hook) => self.i += 3,
                T::Word(W::Other) => self.i += 1,
                T::Word(W::Side) => {
                    p.other_side = true;
                    any = true;
                    self.i += 1;
                }
                // "the other side of the starting chain"
                T::Word(W::Start | W::Begin) if p.other_side && self.word(1) == Some(W::Ch) => self.i += 1,
                // "in the same st as the joining"
                T::Word(W::AsFor) if p.same && (1..4).any(|k| matches!(self.word(k), Some(W::Join))) => {
                    while matches!(self.word(0), Some(W::AsFor | W::The | W::Join)) {
                        self.i += 1;
                    }
                }
                // "around the left leg"
                T::Word(W::Unknown) if p.leg && !p.noun && self.leg_ahead() => self.i += 1,
                T::Word(W::Leg | W::Unit) if (t == T::Word(W::Leg) && (any || preposition)) || p.leg => {
                    p.noun = true;
                    p.leg = true;
                    any = true;
                    self.i += 1;
                    // "leg A", "leg 1"
                    let letter = self.toks.get(self.i).is_some_and(|t| t.word().is_some() && t.end - t.start == 1);
                    let number = self.num(0).is_some() && matches!(self.peek(1), None | Some(T::Comma | T::Open(_)));
                    self.i += usize::from(letter || number);
                }
                _ => break,
            }
        }
        if !any {
            self.i = start;
            return None;
        }
        Some(p)
    }

    fn skip_articles(&self, mut ahead: usize) -> usize {
        while matches!(self.word(ahead), Some(W::The | W::Of)) {
            ahead += 1;
        }
        ahead
    }

    /// "around the first leg".
    fn leg_ahead(&self) -> bool {
        let mut k = 1;
        while k < 6 {
            match self.peek(k) {
                Some(T::Word(W::Leg | W::Unit)) => return true,
                Some(T::Word(W::The | W::First | W::Other | W::Next | W::Last | W::Of | W::Unknown) | T::Ord(_)) => {
                    k += 1;
                }
                _ => return false,
            }
        }
        false
    }

    /// What `n` of a stitch (`uses` → `makes`) at a place are. `empty`: nothing stands before it.
    pub fn placed(&mut self, n: Option<u32>, p: &Place, base: (u32, u32), from: usize, empty: bool) -> Vec<Item> {
        let plain = base == (1, 1);
        let count = n.unwrap_or(1);
        let loops = self.loops;
        if let Some(l) = p.loops {
            self.loops = l;
        }
        if p.rim {
            self.out.rim = true;
        }
        let into_one = |n: u32| if plain { (1, n) } else { base };
        let mut out = Vec::new();
        if p.other_side {
            out.push(Item::OtherSide);
        }
        if p.leg {
            self.out.legs += 1;
        }
        let mut item = if p.ring {
            self.out.ring = true;
            let mut item = self.work(base.0, base.1, Amount::N(count), from);
            set_into(&mut item, Into::Ring);
            item
        } else if p.chain {
            let into = match (p.last, p.nth) {
                (true, _) => Into::LastChain,
                (_, Some(k)) => Into::Chain(k),
                _ => Into::Chain(1),
            };
            let one = into_one(count);
            let mut item = if p.each && p.number.is_none() {
                self.work(one.0, one.1, Amount::Fill, from)
            } else if let Some(k) = p.number.filter(|_| p.nth.is_none()) {
                let one = if n.is_some_and(|n| n != k) { into_one(count) } else { base };
                self.work(one.0, one.1, Amount::N(k), from)
            } else {
                self.work(one.0, one.1, Amount::N(1), from)
            };
            set_into(&mut item, into);
            item
        } else if p.same {
            let flip = self.habit(Habits::SAME_IS_NEW);
            let new = empty || ((count > 1 || !plain) ^ flip);
            let one = into_one(count);
            let mut item = self.work(if new { one.0 } else { 0 }, one.1, Amount::N(1), from);
            set_into(&mut item, Into::Same);
            item
        } else if let Some(k) = p.every_nth {
            // "2 sc in every other st" leaves one stitch plain between, "sc in every other st" passes it over.
            let passed = plain && count == 1 && k > 1 && !self.habit(Habits::SKIP_NOTHING);
            if passed {
                self.out.passed = Some(self.span_from(from));
            }
            let before = self.work(1, u32::from(!passed), Amount::N(k.saturating_sub(1)), from);
            let one = if plain && n.is_some_and(|n| n > 1) { into_one(count) } else { base };
            let then = self.work(one.0, one.1, Amount::N(1), from);
            let items = if k > 1 { vec![before, then] } else { vec![then] };
            Item::Group { items, times: Amount::Fill }
        } else if p.remaining {
            let one = into_one(count);
            match p.number {
                Some(k) => self.work(one.0, one.1, Amount::N(k), from),
                None => self.work(one.0, one.1, Amount::Fill, from),
            }
        } else if let Some(k) = p.number.filter(|k| p.every && !p.next && !plain && (base.0..=40).contains(k)) {
            // "decrease in every 2 sts", "inc in every 3 sts"
            let before = self.work(1, 1, Amount::N(k - base.0), from);
            let then = self.work(base.0, base.1, Amount::N(1), from);
            let items = if k > base.0 { vec![before, then] } else { vec![then] };
            Item::Group { items, times: Amount::Fill }
        } else if let Some(k) = p.number {
            self.counted_place(n, k, p, base, from)
        } else if p.each || (p.around && p.noun) {
            if p.rounds_noun && !p.noun && n.is_some() {
                self.work(base.0, base.1, Amount::N(count), from)
            } else if count >= 5 || !plain {
                let amount = if plain { Amount::N(count) } else { Amount::Fill };
                self.work(base.0, base.1, amount, from)
            } else {
                let one = into_one(count);
                self.work(one.0, one.1, Amount::Fill, from)
            }
        } else if p.leg {
            // "12 sc around the 1st leg": one in each stitch of its rim.
            self.work(base.0, base.1, Amount::N(count), from)
        } else if (p.next || p.the || p.nth.is_some()) && !p.plural && count > 1 && plain {
            self.work(1, count, Amount::N(1), from)
        } else if p.around && !p.leg && n.is_none() {
            self.work(base.0, base.1, Amount::Fill, from)
        } else {
            self.work(base.0, base.1, Amount::N(count), from)
        };
        if let Item::Work { unnumbered, .. } = &mut item {
            let one = p.next && p.noun && !p.plural && !p.around;
            *unnumbered = n.is_none() && p.number.is_none() && !one;
        }
        out.push(item);
        // A loop named as the place holds for this stitch; named before all stitches it holds on.
        self.loops = loops;
        out
    }

    fn counted_place(&mut self, n: Option<u32>, k: u32, p: &Place, base: (u32, u32), from: usize) -> Item {
        let plain = base == (1, 1);
        if !plain {
            // Increases or decreases over k stitches.
            let times = if base.0 > 1 {
                let each = self.habit(Habits::DEC_EACH) || !k.is_multiple_of(base.0);
                if each { k } else { k / base.0 }
            } else {
                k
            };
            let times = n.filter(|n| *n > 1).unwrap_or(times);
            return self.work(base.0, base.1, Amount::N(times), from);
        }
        match n {
            None | Some(1) => self.work(1, 1, Amount::N(k), from),
            Some(n) if k == 1 => self.work(1, n, Amount::N(1), from),
            Some(n) if n == k => {
                if p.each && n <= 3 || self.habit(Habits::EACH_OF_NEXT) {
                    self.work(1, n, Amount::N(k), from)
                } else {
                    self.work(1, 1, Amount::N(k), from)
                }
            }
            Some(n) if n >= 5 && n % k == 0 => self.work(1, n / k, Amount::N(k), from),
            Some(n) => self.work(1, n, Amount::N(k), from),
        }
    }
}

fn set_into(item: &mut Item, to: Into) {
    if let Item::Work { into, .. } = item {
        *into = to;
    }
}
