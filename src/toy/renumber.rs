//! Rounds that change their numbers: where each round of a part is after its list has changed, and everything in a toy
//! that speaks of rounds by number follows them: progress, timed work, records, rounds that must stay.
//!
//! A place between two rounds (how far the work has come) stays behind the last round before it that is still there: a
//! round put in right after it is not made yet.

use super::Toy;
use super::records::Around;
use super::wishes::LockedRounds;

/// Where the rounds of one part are now. Rounds are counted from 1, as records count them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Renumbered {
    /// The new number of each old round; none where it is gone from its place.
    places: Vec<Option<u32>>,
    /// Rounds there are now.
    now: u32,
    /// A round that was carried elsewhere: its old number and its new one.
    carried: Option<(u32, u32)>,
}

fn number(index: usize) -> u32 {
    u32::try_from(index).unwrap_or(u32::MAX)
}

impl Renumbered {
    /// The list had `rounds` rounds; `times` were put in behind the first `after` of them.
    pub fn put_in(rounds: usize, after: usize, times: usize) -> Renumbered {
        let place = |i: usize| Some(number(i + 1 + if i >= after { times } else { 0 }));
        Renumbered { places: (0..rounds).map(place).collect(), now: number(rounds + times), carried: None }
    }

    /// The list had `rounds` rounds; the one of this index (from 0) was taken out.
    pub fn taken_out(rounds: usize, index: usize) -> Renumbered {
        let place = |i: usize| (i != index).then(|| number(if i > index { i } else { i + 1 }));
        let places: Vec<Option<u32>> = (0..rounds).map(place).collect();
        let now = number(places.iter().flatten().count());
        Renumbered { places, now, carried: None }
    }

    /// The list had `rounds` rounds; the one of index `from` was carried to index `to`. For whatever holds several
    /// rounds it was taken out in one place and put in at another.
    pub fn carried(rounds: usize, from: usize, to: usize) -> Renumbered {
        let place = |i: usize| {
            let without = if i > from { i - 1 } else { i };
            (i != from).then(|| number(if without >= to { without + 2 } else { without + 1 }))
        };
        let carried = (from < rounds).then(|| (number(from + 1), number(to + 1)));
        Renumbered { places: (0..rounds).map(place).collect(), now: number(rounds), carried }
    }

    /// A list of rounds each worked like an old one (index from 0): the first that is like it is the round itself.
    pub fn like(rounds: usize, old: impl IntoIterator<Item = usize>) -> Renumbered {
        let mut places = vec![None; rounds];
        let mut now = 0;
        for index in old {
            now += 1;
            if let Some(place @ None) = places.get_mut(index) {
                *place = Some(now);
            }
        }
        Renumbered { places, now, carried: None }
    }

    fn old(&self) -> u32 {
        number(self.places.len())
    }

    /// Where a round stays in its row; numbers beyond the list keep their distance from its end.
    fn place(&self, round: u32) -> Option<u32> {
        match round.checked_sub(1).map(|i| self.places.get(i as usize)) {
            None => None,
            Some(Some(place)) => *place,
            Some(None) => Some((round - self.old()).saturating_add(self.now)),
        }
    }

    /// The new number of one round; none where it is gone.
    pub fn round(&self, round: u32) -> Option<u32> {
        match self.carried {
            Some((from, to)) if from == round => Some(to),
            _ => self.place(round),
        }
    }

    /// How many rounds are done where this many were.
    pub fn done(&self, rounds: u32) -> u32 {
        let beyond = self.place(rounds).filter(|_| rounds > self.old());
        let within = || (1..=rounds.min(self.old())).rev().find_map(|round| self.place(round));
        beyond.or_else(within).unwrap_or(0)
    }

    /// The stretch that two rounds and all between them are now; none where they are all gone.
    pub fn stretch(&self, from: u32, to: u32) -> Option<(u32, u32)> {
        if from == to {
            return self.round(from).map(|round| (round, round));
        }
        // What lies far beyond the list need not be gone through.
        let last = to.min(self.old().saturating_add(1).max(from));
        let first = (from.max(1)..=last).find_map(|round| self.place(round))?;
        let end =
            if to > self.old() { self.place(to) } else { (from.max(1)..=to).rev().find_map(|round| self.place(round)) };
        end.map(|end| (first, end))
    }
}

impl Toy {
    /// Lets everything follow that speaks of this part's rounds by number. A record of a round that is gone goes too.
    pub fn renumber_rounds(&mut self, part: &str, moved: &Renumbered) {
        for made in self.plan.made.iter_mut().filter(|m| m.part == part) {
            made.rounds = moved.done(made.rounds);
        }
        self.plan.made.retain(|m| m.rounds > 0 || m.part != part);
        self.plan.timed.retain_mut(|timed| {
            if timed.part != part || (timed.from_round.is_none() && timed.to_round.is_none()) {
                return true;
            }
            let (from, to) = (timed.from_round.unwrap_or(1), timed.to_round.unwrap_or(moved.old().max(1)));
            let Some((from, to)) = moved.stretch(from, to) else { return false };
            // An end that was not said is the part's own and stays so.
            timed.from_round = timed.from_round.map(|_| from);
            timed.to_round = timed.to_round.map(|_| to);
            true
        });
        let records = &mut self.records;
        for weighed in records.weigh_ins.iter_mut().filter(|w| w.part == part) {
            weighed.round = moved.done(weighed.round);
        }
        let around = std::mem::take(&mut records.around);
        let follow = |a: Around| match a.part == part {
            true => moved.round(a.round).map(|round| Around { round, ..a }),
            false => Some(a),
        };
        records.around = around.into_iter().filter_map(follow).collect();
        let kept = std::mem::take(&mut self.wishes.limits.locked_rounds);
        let follow = |l: LockedRounds| match l.part == part {
            true => moved.stretch(l.from, l.to).map(|(from, to)| LockedRounds { from, to, ..l }),
            false => Some(l),
        };
        self.wishes.limits.locked_rounds = kept.into_iter().filter_map(follow).collect();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_put_in_behind_the_work_does_not_move_it() {
        // Ten rounds, two put in behind the fourth.
        let moved = Renumbered::put_in(10, 4, 2);
        assert_eq!([3, 4, 5, 10].map(|n| moved.done(n)), [3, 4, 7, 12]);
        assert_eq!([4, 5].map(|n| moved.round(n)), [Some(4), Some(7)]);
        assert_eq!(moved.stretch(1, 4), Some((1, 4)), "what comes right behind is not in it");
        assert_eq!((moved.stretch(3, 6), moved.stretch(5, 5)), (Some((3, 8)), Some((7, 7))));
        assert_eq!((moved.done(0), moved.done(13), moved.stretch(2, 99)), (0, 15, Some((2, 101))));
    }

    #[test]
    fn what_is_taken_out_before_the_work_brings_it_back() {
        let moved = Renumbered::taken_out(10, 3);
        assert_eq!([3, 4, 5, 10].map(|n| moved.done(n)), [3, 3, 4, 9]);
        assert_eq!((moved.round(4), moved.round(5)), (None, Some(4)));
        assert_eq!((moved.stretch(4, 4), moved.stretch(4, 6), moved.stretch(2, 4)), (None, Some((4, 5)), Some((2, 3))));
    }

    #[test]
    fn a_round_that_is_carried_over_the_place_reached_is_taken_from_what_is_made() {
        let down = Renumbered::carried(10, 2, 7);
        assert_eq!((down.done(5), down.done(9), down.round(3), down.round(4)), (4, 9, Some(8), Some(3)));
        let up = Renumbered::carried(10, 7, 2);
        assert_eq!((up.done(5), up.done(9), up.round(8), up.round(3)), (6, 9, Some(3), Some(4)));
        assert_eq!(up.stretch(2, 5), Some((2, 6)));
    }

    proptest! {
        #[test]
        fn taking_out_what_was_put_in_leads_back(rounds in 1usize..30, after in 0usize..30, number in 0u32..40) {
            let after = after.min(rounds);
            let put_in = Renumbered::put_in(rounds, after, 1);
            let back = Renumbered::taken_out(rounds + 1, after);
            prop_assert_eq!(back.done(put_in.done(number)), number);
            prop_assert_eq!(put_in.round(number).and_then(|n| back.round(n)), (number > 0).then_some(number));
        }

        #[test]
        fn a_list_of_likes_says_the_same(rounds in 1usize..20, at in 0usize..20, to in 0usize..20, number in 0u32..24) {
            let (at, to) = (at % rounds, to % rounds);
            let same = |a: &Renumbered, b: &Renumbered| {
                a.done(number) == b.done(number) && a.stretch(number.max(1), number + 3) == b.stretch(number.max(1), number + 3)
            };
            let out = Renumbered::like(rounds, (0..rounds).filter(|i| *i != at));
            prop_assert!(same(&out, &Renumbered::taken_out(rounds, at)));
            let twice = Renumbered::like(rounds, (0..rounds).flat_map(|i| std::iter::repeat_n(i, 1 + usize::from(i == at))));
            prop_assert!(same(&twice, &Renumbered::put_in(rounds, at + 1, 1)));
            // Carrying a round is a permutation: no number is lost and none is there twice.
            let carried = Renumbered::carried(rounds, at, to);
            let mut all: Vec<u32> = (1..=rounds as u32).filter_map(|n| carried.round(n)).collect();
            all.sort_unstable();
            prop_assert_eq!(all, (1..=rounds as u32).collect::<Vec<_>>());
        }
    }
}
