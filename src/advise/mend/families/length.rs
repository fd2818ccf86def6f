//! Even rounds added to a part, or taken out of it.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::advise::mend::reshape::{Like, as_it_is, lobes, reshaped};
use crate::part::Part;
use crate::toy::Toy;

/// Rounds at most, and as a share of those the part has: more is another toy (from memory; defaults).
const MOST_STEPS: u32 = 12;
const MOST_SHARE: f64 = 0.5;

struct Length {
    family: Family,
    part: usize,
    lobe: usize,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    for part in context.parts_to_work() {
        for lobe in 0..lobes(&context.toy.pieces[part].part.counts()).len() {
            all.push(Rc::new(Length { family: Family::Shorter, part, lobe }));
            all.push(Rc::new(Length { family: Family::Taller, part, lobe }));
        }
    }
}

impl Length {
    /// The even rounds that can be done without or repeated: the last of the widest ones. The first of them, and one
    /// that is worked in back loops, stay.
    fn even(&self, part: &Part) -> Option<(usize, usize, u32)> {
        let lobe = *lobes(&part.counts()).get(self.lobe)?;
        let (a, b) = lobe.plateau;
        let keeps = |i: usize| {
            let round = &part.rounds[i];
            i == a || round.count() != lobe.widest || round.is_back_loop() || round.uses() != round.count()
        };
        let from = (a..=b).rev().take_while(|i| !keeps(*i)).last();
        Some((from.unwrap_or(b + 1), b, lobe.widest))
    }

    fn list(&self, part: &Part, step: usize) -> Option<Vec<Like>> {
        let (from, last, _) = self.even(part)?;
        if step as f64 > (MOST_SHARE * part.rounds.len() as f64).max(2.0) {
            return None;
        }
        let mut list = as_it_is(part);
        if self.family == Family::Shorter {
            if from + step > last + 1 {
                return None;
            }
            list.drain(last + 1 - step..=last);
        } else {
            if from > last && part.rounds[last].is_back_loop() {
                return None;
            }
            let like = list[last];
            list.splice(last + 1..last + 1, std::iter::repeat_n(like, step));
        }
        Some(list)
    }
}

impl Ladder for Length {
    fn family(&self) -> Family {
        self.family
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        MOST_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let list = self.list(&toy.pieces.get(self.part)?.part, step as usize)?;
        reshaped(toy, self.part, &list)
    }

    fn words(&self, before: &Toy, step: u32, _after: &Toy) -> String {
        let part = &before.pieces[self.part].part;
        let (_, last, count) = self.even(part).unwrap_or_default();
        let rounds = if step == 1 { "round" } else { "rounds" };
        if self.family == Family::Shorter {
            let first = last + 2 - (step as usize).min(last + 1);
            let which = if step == 1 { format!("{first}") } else { format!("{first} to {}", last + 1) };
            format!("Leave out {rounds} {which} of the {}: {step} {rounds} of {count} stitches fewer.", part.name)
        } else {
            format!("Work {step} more {rounds} of {count} stitches in the {}, after round {}.", part.name, last + 1)
        }
    }
}
