//! More or fewer stitches at the widest rounds of a part, or of one lobe of it.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::advise::mend::reshape::{Like, Lobe, as_it_is, lobes, repeat_of, reshaped, rounds_that_differ};
use crate::part::{End, Part};
use crate::toy::Toy;

/// Steps at most, and how much narrower or wider the widest rounds may become: more is another toy (from memory;
/// defaults).
const MOST_STEPS: u32 = 8;
pub(super) const NARROWEST: f64 = 0.5;
pub(super) const WIDEST: f64 = 2.0;

struct Width {
    family: Family,
    part: usize,
    lobe: usize,
    /// Stitches in a step.
    by: u32,
    /// The base is at the finish, so that rounds are looked at from there.
    from_finish: bool,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    for part in context.parts_to_work() {
        let piece = &context.toy.pieces[part];
        let counts = piece.part.counts();
        let by = repeat_of(&counts);
        for lobe in 0..lobes(&counts).len() {
            let mut add = |family, from_finish| {
                all.push(Rc::new(Width { family, part, lobe, by, from_finish }));
            };
            add(Family::Narrower, false);
            add(Family::Wider, false);
            if piece.part.start_is_closed() {
                add(Family::WiderBase, false);
            }
            if piece.part.closes() && piece.part.base_end == End::Finish {
                add(Family::WiderBase, true);
            }
        }
    }
}

impl Width {
    fn list(&self, part: &Part, step: u32) -> Option<Vec<Like>> {
        let lobe = *lobes(&part.counts()).get(self.lobe)?;
        let list = as_it_is(part);
        let more = self.by.checked_mul(step)?;
        let grown = match self.family {
            Family::Narrower => f64::from(lobe.widest) - f64::from(more),
            _ => f64::from(lobe.widest) + f64::from(more),
        };
        if !(NARROWEST..=WIDEST).contains(&(grown / f64::from(lobe.widest.max(1)))) {
            return None;
        }
        match self.family {
            Family::Narrower => narrower(list, &lobe, lobe.widest.checked_sub(more)?),
            Family::Wider => wider(list, &lobe, lobe.widest.checked_add(more)?, self.by, part.closes()),
            _ => {
                let mut list = list;
                let mut lobe = lobe;
                if self.from_finish {
                    list.reverse();
                    lobe = turned(&lobe, list.len());
                }
                let mut list = wider_base(list, &lobe, step, self.by)?;
                if self.from_finish {
                    list.reverse();
                }
                Some(list)
            }
        }
    }
}

/// A lobe seen from the other end.
fn turned(lobe: &Lobe, rounds: usize) -> Lobe {
    let other = |i: usize| rounds - 1 - i;
    Lobe {
        from: other(lobe.to),
        to: other(lobe.from),
        widest: lobe.widest,
        plateau: (other(lobe.plateau.1), other(lobe.plateau.0)),
    }
}

/// Increases stop at `level`, decreases begin there.
fn narrower(mut list: Vec<Like>, lobe: &Lobe, level: u32) -> Option<Vec<Like>> {
    if level < list[lobe.from].count.max(list[lobe.to].count).max(6) {
        return None;
    }
    for like in &mut list[lobe.from..=lobe.to] {
        like.count = like.count.min(level);
    }
    Some(list)
}

/// Greatest step between neighbouring rounds of a lobe: what the part does already it can do again.
fn slope(list: &[Like], lobe: &Lobe, by: u32) -> u32 {
    let steps = list[lobe.from..=lobe.to].windows(2).map(|l| l[0].count.abs_diff(l[1].count));
    steps.max().unwrap_or(0).max(by)
}

/// The widest rounds swell to `level`, as fast as the part swells elsewhere.
fn wider(mut list: Vec<Like>, lobe: &Lobe, level: u32, by: u32, closes: bool) -> Option<Vec<Like>> {
    let slope = slope(&list, lobe, by);
    let (a, b) = lobe.plateau;
    let last = list.len() - 1;
    if a == 0 || (b == last && closes) {
        return None;
    }
    let (left, right) = (list[a - 1].count, list.get(b + 1).map(|l| l.count));
    let mut reached = false;
    for (i, like) in list.iter_mut().enumerate().take(b + 1).skip(a) {
        let from_left = left + slope * (i - a + 1) as u32;
        let from_right = right.map_or(u32::MAX, |r| r + slope * (b + 1 - i) as u32);
        like.count = level.min(from_left).min(from_right).max(like.count);
        reached |= like.count == level;
    }
    reached.then_some(list)
}

/// `step` more rounds of increases, and all even rounds as wide as the last of them.
fn wider_base(mut list: Vec<Like>, lobe: &Lobe, step: u32, by: u32) -> Option<Vec<Like>> {
    let slope = slope(&list, lobe, by);
    let (a, b) = lobe.plateau;
    if lobe.from != 0 || a == 0 || a == b {
        return None;
    }
    let level = lobe.widest + step * by;
    let right = list.get(b + 1).map(|l| l.count);
    let mut reached = false;
    for (i, like) in list.iter_mut().enumerate().take(b + 1).skip(a + 1) {
        let from_right = right.map_or(u32::MAX, |r| r + slope * (b + 1 - i) as u32);
        like.count = level.min(from_right).max(like.count);
        reached |= like.count == level;
    }
    let old = list[a].old;
    let more = (1..=step).map(|k| Like { old, count: lobe.widest + k * by });
    list.splice(a + 1..a + 1, more);
    reached.then_some(list)
}

impl Ladder for Width {
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
        let list = self.list(&toy.pieces.get(self.part)?.part, step)?;
        reshaped(toy, self.part, &list)
    }

    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String {
        let (old, new) = (&before.pieces[self.part].part, &after.pieces[self.part].part);
        let widest = lobes(&old.counts()).get(self.lobe).map_or(0, |l| l.widest);
        let more = self.by * step;
        let rounds = rounds_that_differ(old, new);
        match self.family {
            Family::Narrower => {
                format!(
                    "Work the {} to {} stitches instead of {widest}: {rounds}.",
                    old.name,
                    widest.saturating_sub(more)
                )
            }
            Family::Wider => {
                format!("Work the {} to {} stitches instead of {widest}: {rounds}.", old.name, widest + more)
            }
            _ => format!(
                "Go on increasing in the {} to {} stitches instead of {widest}, with {step} more {}: {rounds}.",
                old.name,
                widest + more,
                if step == 1 { "round" } else { "rounds" }
            ),
        }
    }
}
