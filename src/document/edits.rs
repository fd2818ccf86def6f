//! Changes a maker makes to a toy, as plain functions: what else must follow is settled here, so that no window
//! has to know it. Indices that point nowhere change nothing.

use std::sync::Arc;

use crate::part::{Base, End, Part};
use crate::rounds::{Round, Run, Start, even, spread};
use crate::toy::{Piece, Renumbered, Seat, Toy};
use crate::yarn::Yarn;

/// Most stitches a round can be set to; more is a slip of the hand.
pub const MOST_STITCHES: u32 = 2000;

/// The round worked anew into `from` stitches so that it leaves `to`: increases or decreases spread evenly, the
/// kinds of stitch, loops and colours where they were around the round.
pub fn respread(round: &Round, from: u32, to: u32, shift: f64) -> Round {
    let (from, to) = (from.max(1), to.clamp(1, MOST_STITCHES));
    let Ok(plain) = spread(from, to, shift) else { return round.clone() };
    let total = f64::from(round.count().max(1));
    // What the old round has at a share of the way around it.
    let look = |share: f64| {
        let mut upto = 0.0;
        for run in &round.runs {
            upto += f64::from(run.times) * f64::from(run.stitch.makes) / total;
            if share < upto {
                return Some(run);
            }
        }
        round.runs.last()
    };
    let mut runs: Vec<Run> = Vec::new();
    let mut made = 0.0;
    for run in &plain.runs {
        for _ in 0..run.times {
            let old = look((made + 0.5 * f64::from(run.stitch.makes)) / f64::from(to));
            made += f64::from(run.stitch.makes);
            let mut stitch = run.stitch;
            let mut colour: Option<Arc<str>> = None;
            if let Some(old) = old {
                (stitch.kind, stitch.loops, colour) = (old.stitch.kind, old.stitch.loops, old.colour.clone());
            }
            match runs.last_mut() {
                Some(last) if last.stitch == stitch && last.colour == colour => last.times += 1,
                _ => runs.push(Run { stitch, times: 1, colour }),
            }
        }
    }
    Round { runs, frill: round.frill }
}

/// Stagger of a round's increases against those of the one below, so that no corners form.
pub fn shift(round: usize) -> f64 {
    if round.is_multiple_of(2) { 0.0 } else { 0.5 }
}

/// Stitches that a round is worked into: those of the round below; for the first, its own number (a ring), or
/// what it was worked into where it continues other parts.
fn below(part: &Part, round: usize) -> u32 {
    match round.checked_sub(1).and_then(|b| part.rounds.get(b)) {
        Some(below) => below.count().max(1),
        None => {
            let first = part.rounds.first();
            match part.start {
                Start::JoinedParts { .. } | Start::Rim { .. } => first.map_or(1, |r| r.uses().max(1)),
                _ => first.map_or(1, |r| r.count().max(1)),
            }
        }
    }
}

/// Makes a round fit what now lies below it, its count kept.
fn refit(part: &mut Part, round: usize) {
    let Some(old) = part.rounds.get(round) else { return };
    let from = below(part, round);
    if old.uses() != from {
        part.rounds[round] = respread(old, from, old.count(), shift(round));
    }
}

/// Sets the count of a round; the next one keeps its count and is worked into the new number.
pub fn set_count(part: &mut Part, round: usize, count: u32) {
    let Some(old) = part.rounds.get(round) else { return };
    let count = count.clamp(1, MOST_STITCHES);
    if old.count() == count {
        return;
    }
    let ring = round == 0 && !matches!(part.start, Start::JoinedParts { .. } | Start::Rim { .. });
    let from = if ring { count } else { below(part, round) };
    part.rounds[round] = respread(old, from, count, shift(round));
    refit(part, round + 1);
}

/// Sets the counts of all rounds at once; as many as there are.
pub fn set_counts(part: &mut Part, counts: &[u32]) {
    for (round, count) in counts.iter().enumerate() {
        set_count(part, round, *count);
    }
}

/// Puts the rounds of another part in the place of a part's own, with how they are begun, ended and based. Name, yarn and
/// stuffing stay.
pub fn replace_rounds(toy: &mut Toy, index: usize, worked: &Part) {
    let Some(piece) = toy.pieces.get_mut(index) else { return };
    let part = &mut piece.part;
    part.start = worked.start.clone();
    part.rounds.clone_from(&worked.rounds);
    part.finish = worked.finish;
    (part.base, part.base_end) = (worked.base, worked.base_end);
    // Stuffed as far as before where it has so many rounds.
    let rounds = u32::try_from(part.rounds.len()).unwrap_or(u32::MAX);
    part.stuffing.up_to_round = part.stuffing.up_to_round.filter(|upto| *upto < rounds);
}

/// Adds a part worked as this one, beside the toy; the first of a toy stands on the floor, on a closed end where it has
/// one. Returns its place in the list.
pub fn add_worked(toy: &mut Toy, worked: &Part, name: &str) -> usize {
    let mut part = worked.clone();
    part.name = free_name(toy, name, None);
    let mut piece = Piece { part, ..Piece::default() };
    if toy.pieces.is_empty() {
        let open_start = !matches!(piece.part.start, Start::MagicRing | Start::ChainOval { .. });
        let down = if open_start && piece.part.closes() { End::Finish } else { End::Start };
        piece.placement.seat = Seat::Floor { down, x_mm: 0.0, y_mm: 0.0 };
    }
    if toy.yarns.is_empty() {
        toy.yarns.push(Yarn::default());
    }
    toy.pieces.push(piece);
    toy.pieces.len() - 1
}

/// Works a round's count again `times` times after it, without increases; as the first round of an empty part, six.
pub fn repeat(part: &mut Part, round: usize, times: usize) {
    let Some(old) = part.rounds.get(round) else {
        if part.rounds.is_empty() {
            part.rounds.push(even(6));
        }
        return;
    };
    let again = respread(old, old.count(), old.count(), 0.0);
    let at = round + 1;
    part.rounds.splice(at..at, std::iter::repeat_n(again, times.min(500)));
    shift_base(part, round, times as i64);
    refit(part, at + times);
}

/// Takes a round out; the next one is worked into the one before.
pub fn remove_round(part: &mut Part, round: usize) {
    if round >= part.rounds.len() {
        return;
    }
    part.rounds.remove(round);
    shift_base(part, round, -1);
    refit(part, round);
}

/// Moves a round up or down the list; its neighbours are worked anew.
pub fn move_round(part: &mut Part, round: usize, to: usize) {
    if round >= part.rounds.len() || to >= part.rounds.len() || round == to {
        return;
    }
    let moved = part.rounds.remove(round);
    part.rounds.insert(to, moved);
    for at in round.min(to)..=(round.max(to) + 1) {
        refit(part, at);
    }
}

/// Works a round of a part again `times` times after it, as [`repeat`]; what speaks of its rounds by number follows.
pub fn repeat_in(toy: &mut Toy, index: usize, round: usize, times: usize) {
    in_rounds(toy, index, |part| {
        let rounds = part.rounds.len();
        repeat(part, round, times);
        Renumbered::put_in(rounds, (round + 1).min(rounds), part.rounds.len() - rounds)
    });
}

/// Takes a round of a part out, as [`remove_round`]; what speaks of its rounds by number follows.
pub fn remove_round_in(toy: &mut Toy, index: usize, round: usize) {
    in_rounds(toy, index, |part| {
        let rounds = part.rounds.len();
        remove_round(part, round);
        Renumbered::taken_out(rounds, round)
    });
}

/// Moves a round of a part in its list, as [`move_round`]; what speaks of its rounds by number follows.
pub fn move_round_in(toy: &mut Toy, index: usize, round: usize, to: usize) {
    let rounds = toy.pieces.get(index).map_or(0, |p| p.part.rounds.len());
    if round >= rounds || to >= rounds || round == to {
        return;
    }
    in_rounds(toy, index, |part| {
        move_round(part, round, to);
        Renumbered::carried(rounds, round, to)
    });
}

fn in_rounds(toy: &mut Toy, index: usize, change: impl FnOnce(&mut Part) -> Renumbered) {
    let Some(piece) = toy.pieces.get_mut(index) else { return };
    let moved = change(&mut piece.part);
    let name = piece.part.name.clone();
    toy.renumber_rounds(&name, &moved);
}

/// A back-loop edge that the maker named by its round moves with the rounds above the change.
fn shift_base(part: &mut Part, changed: usize, by: i64) {
    let move_on = |round: u32| {
        let moved = i64::from(round) + if i64::from(round) > changed as i64 + 1 { by } else { 0 };
        u32::try_from(moved.max(1)).unwrap_or(round)
    };
    if let Base::BackLoopEdge { round } = part.base {
        part.base = Base::BackLoopEdge { round: move_on(round) };
    }
    if let Some(round) = part.stuffing.up_to_round.filter(|r| *r > 0) {
        part.stuffing.up_to_round = Some(move_on(round));
    }
}

/// A name that no other part has: the wanted one, or that with a number.
pub fn free_name(toy: &Toy, wanted: &str, except: Option<usize>) -> String {
    let wanted = match wanted.trim() {
        "" => "part",
        name => name,
    };
    let taken = |name: &str| toy.pieces.iter().enumerate().any(|(i, p)| Some(i) != except && p.part.name == name);
    if !taken(wanted) {
        return wanted.to_owned();
    }
    (2..).map(|n| format!("{wanted} {n}")).find(|name| !taken(name)).unwrap_or_else(|| wanted.to_owned())
}

/// Adds a part: a small ball, beside the toy. Returns its place in the list.
pub fn add_part(toy: &mut Toy) -> usize {
    let counts = [6u32, 12, 18, 18, 18, 12, 6];
    let part = Part {
        name: free_name(toy, "part", None),
        rounds: crate::rounds::rounds_of_counts(&counts).unwrap_or_default(),
        ..Part::default()
    };
    toy.pieces.push(Piece { part, ..Piece::default() });
    toy.pieces.len() - 1
}

/// Adds a copy of a part under a name of its own, after it. Returns its place in the list.
pub fn double_part(toy: &mut Toy, index: usize) -> usize {
    let Some(piece) = toy.pieces.get(index) else { return index };
    let mut copy = piece.clone();
    copy.part.name = free_name(toy, &copy.part.name, None);
    toy.wishes.double_part(&toy.pieces[index].part.name, &copy.part.name);
    toy.pieces.insert(index + 1, copy);
    index + 1
}

/// Takes a part out. What sat on it sits where it sat no more: it lies beside the toy.
pub fn remove_part(toy: &mut Toy, index: usize) {
    if index >= toy.pieces.len() {
        return;
    }
    let gone = toy.pieces.remove(index).part.name;
    for piece in &mut toy.pieces {
        if piece.placement.seat.part() == Some(gone.as_str()) {
            piece.placement.seat = Seat::Beside;
        }
    }
    toy.extras.retain(|extra| extra.part != gone);
    toy.plan.forget_part(&gone);
    toy.wishes.forget_part(&gone);
    let records = &mut toy.records;
    records.weigh_ins.retain(|w| w.part != gone);
    records.parts.retain(|p| p.part != gone);
    records.around.retain(|a| a.part != gone);
}

/// Renames a part, and the name wherever another part or an added thing speaks of it. A name that is taken gets
/// a number.
pub fn rename_part(toy: &mut Toy, index: usize, wanted: &str) {
    if index >= toy.pieces.len() {
        return;
    }
    let name = free_name(toy, wanted, Some(index));
    let old = std::mem::replace(&mut toy.pieces[index].part.name, name.clone());
    let follow = |word: &mut String| {
        if *word == old {
            word.clone_from(&name);
        }
    };
    for piece in &mut toy.pieces {
        if let Seat::OnEnd { part, .. } | Seat::OnSurface { part, .. } = &mut piece.placement.seat {
            follow(part);
        }
        match &mut piece.part.start {
            Start::JoinedParts { parts, .. } => parts.iter_mut().for_each(follow),
            Start::Rim { part } => follow(part),
            Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => {}
        }
    }
    toy.extras.iter_mut().for_each(|extra| follow(&mut extra.part));
    toy.plan.rename_part(&old, &name);
    toy.wishes.rename_part(&old, &name);
    let records = &mut toy.records;
    records.weigh_ins.iter_mut().for_each(|w| follow(&mut w.part));
    records.parts.iter_mut().for_each(|p| follow(&mut p.part));
    records.around.iter_mut().for_each(|a| follow(&mut a.part));
}

/// Renames a yarn, and the name wherever a part, a colour change or a record speaks of it. An empty or taken name
/// changes nothing.
pub fn rename_yarn(toy: &mut Toy, index: usize, name: &str) {
    if index >= toy.yarns.len() || name.is_empty() || toy.yarns.iter().any(|y| y.name == name) {
        return;
    }
    let old = std::mem::replace(&mut toy.yarns[index].name, name.to_owned());
    let colour: Arc<str> = Arc::from(name);
    for part in toy.pieces.iter_mut().map(|p| &mut p.part) {
        if part.yarn == old {
            part.yarn = name.to_owned();
        }
        for run in part.rounds.iter_mut().flat_map(|r| &mut r.runs) {
            if run.colour.as_deref() == Some(old.as_str()) {
                run.colour = Some(colour.clone());
            }
        }
    }
    for weigh_in in toy.records.weigh_ins.iter_mut().filter(|w| w.yarn == old) {
        weigh_in.yarn = name.to_owned();
    }
    toy.wishes.rename_yarn(&old, name);
}

/// Takes a yarn out of the list; what was worked in it is worked in the first one.
pub fn remove_yarn(toy: &mut Toy, index: usize) {
    if index < toy.yarns.len() {
        let gone = toy.yarns.remove(index);
        toy.wishes.forget_yarn(&gone.name);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::{Loops, Stitch, rounds_of_counts};
    use proptest::prelude::*;

    fn part(counts: &[u32]) -> Part {
        Part { name: "body".into(), rounds: rounds_of_counts(counts).expect("counts above zero"), ..Part::default() }
    }

    fn fits(part: &Part) -> bool {
        part.rounds.windows(2).all(|r| r[1].uses() == r[0].count())
    }

    proptest! {
        #[test]
        fn rounds_fit_after_any_edit(
            counts in proptest::collection::vec(1u32..60, 1..12),
            edits in proptest::collection::vec((0usize..5, 0usize..14, 0u32..80), 0..12),
        ) {
            let mut part = part(&counts);
            for (what, round, number) in edits {
                match what {
                    0 => set_count(&mut part, round, number),
                    1 => repeat(&mut part, round, 1),
                    2 => remove_round(&mut part, round),
                    3 => move_round(&mut part, round, number as usize % 14),
                    _ => repeat(&mut part, round, number as usize % 4),
                }
                prop_assert!(fits(&part), "{:?}", part.rounds.iter().map(ToString::to_string).collect::<Vec<_>>());
            }
        }
    }

    #[test]
    fn a_back_loop_round_stays_one() {
        let mut part = part(&[6, 12, 18, 18, 18]);
        part.rounds[3].runs = vec![Run::new(Stitch { loops: Loops::Back, ..Stitch::SC }, 18)];
        set_count(&mut part, 3, 20);
        assert!(part.rounds[3].is_back_loop());
        assert_eq!(part.counts(), [6, 12, 18, 20, 18]);
    }

    #[test]
    fn rounds_are_replaced_and_the_rest_stays() {
        let mut toy = Toy::default();
        let at = add_worked(&mut toy, &part(&[6, 12, 12, 6]), "belly");
        assert!(matches!(toy.pieces[at].placement.seat, Seat::Floor { .. }));
        toy.pieces[at].part.stuffing.up_to_round = Some(3);
        toy.pieces[at].part.yarn = "moss".into();
        replace_rounds(&mut toy, at, &part(&[6, 12]));
        let now = &toy.pieces[at].part;
        assert_eq!((now.name.as_str(), now.yarn.as_str(), now.counts()), ("belly", "moss", vec![6, 12]));
        assert_eq!(now.stuffing.up_to_round, None);
        assert_eq!(add_worked(&mut toy, &part(&[6, 12]), "belly"), 1);
        assert_eq!(toy.pieces[1].part.name, "belly 2");
        assert_eq!(toy.pieces[1].placement.seat, Seat::Beside);
        set_counts(&mut toy.pieces[0].part, &[7, 13]);
        assert!(fits(&toy.pieces[0].part));
        assert_eq!(toy.pieces[0].part.counts(), [7, 13]);
    }

    #[test]
    fn what_speaks_of_rounds_by_number_follows_them() {
        use crate::toy::plan::Timed;
        use crate::toy::records::{Around, WeighIn, Weight};
        use crate::toy::wishes::LockedRounds;
        let mut toy = Toy::default();
        add_worked(&mut toy, &part(&[6, 12, 18, 18, 18, 18, 12, 6]), "body");
        add_worked(&mut toy, &part(&[6, 12, 12, 6]), "horn");
        for name in ["body", "horn"] {
            toy.plan.set_rounds_made(name, 0, 4);
            let timed = Timed { part: name.into(), minutes: 20.0, from_round: Some(2), to_round: Some(4) };
            toy.plan.timed.push(timed);
            toy.plan.timed.push(Timed { part: name.into(), minutes: 90.0, ..Timed::default() });
            let weigh_in = WeighIn { part: name.into(), round: 4, weight: Weight::Used(5.0), ..WeighIn::default() };
            toy.records.weigh_ins.push(weigh_in);
            toy.records.around.push(Around { part: name.into(), round: 3, circumference_mm: 90.0 });
            toy.wishes.limits.locked_rounds.push(LockedRounds { part: name.into(), from: 1, to: 3 });
        }
        let told = |toy: &Toy, name: &str| {
            let timed: Vec<_> = toy.plan.timed.iter().filter(|t| t.part == name).collect();
            let around = toy.records.around.iter().find(|a| a.part == name).map(|a| a.round);
            let lock = toy.wishes.limits.locked_rounds.iter().find(|l| l.part == name).map(|l| (l.from, l.to));
            let weighed = toy.records.weigh_ins.iter().find(|w| w.part == name).map(|w| w.round);
            let stretch = (timed[0].from_round, timed[0].to_round);
            assert_eq!((timed[1].from_round, timed[1].to_round), (None, None), "a whole part stays a whole part");
            (toy.plan.rounds_made(name, 0), stretch, weighed, around, lock)
        };
        let horn = told(&toy, "horn");
        repeat_in(&mut toy, 0, 1, 2);
        let later = (6, (Some(2), Some(6)), Some(6), Some(5), Some((1, 5)));
        assert_eq!(told(&toy, "body"), later);
        repeat_in(&mut toy, 0, 5, 3);
        assert_eq!(told(&toy, "body"), later, "what is put in behind the work is not made yet");
        remove_round_in(&mut toy, 0, 2);
        remove_round_in(&mut toy, 0, 2);
        assert_eq!(told(&toy, "body"), (4, (Some(2), Some(4)), Some(4), Some(3), Some((1, 3))));
        move_round_in(&mut toy, 0, 2, 4);
        assert_eq!(told(&toy, "body"), (3, (Some(2), Some(3)), Some(3), Some(5), Some((1, 2))));
        let carried = told(&toy, "body");
        for (from, to) in [(99, 4), (4, 99), (2, 2)] {
            move_round_in(&mut toy, 0, from, to);
            assert_eq!(told(&toy, "body"), carried, "nothing moves where there is nothing to move");
        }
        remove_round_in(&mut toy, 0, 4);
        assert_eq!(toy.records.around.iter().filter(|a| a.part == "body").count(), 0, "its round is gone");
        assert_eq!(told(&toy, "horn"), horn, "the other part is as it was");
        while !toy.pieces[0].part.rounds.is_empty() {
            remove_round_in(&mut toy, 0, 0);
        }
        assert_eq!(toy.plan.rounds_made("body", 0), 0);
        let timed: Vec<f64> = toy.plan.timed.iter().filter(|t| t.part == "body").map(|t| t.minutes).collect();
        assert_eq!(timed, [90.0], "what was timed of the whole part stays with the part");
        remove_round_in(&mut toy, 9, 0);
    }

    #[test]
    fn what_must_stay_follows_names_copies_and_removals() {
        use crate::toy::wishes::{LockedRounds, YarnAtMost};
        let mut toy = Toy::default();
        let (a, b) = (add_part(&mut toy), add_part(&mut toy));
        rename_part(&mut toy, a, "body");
        rename_part(&mut toy, b, "horn");
        toy.wishes.limits.locked_parts = vec!["body".into(), "horn".into()];
        toy.wishes.limits.locked_rounds = vec![LockedRounds { part: "horn".into(), from: 1, to: 4 }];
        rename_part(&mut toy, b, "ear");
        let twin = double_part(&mut toy, b);
        assert_eq!(toy.wishes.limits.locked_parts, ["body", "ear", "ear 2"]);
        let locked = |toy: &Toy| -> Vec<String> {
            toy.wishes.limits.locked_rounds.iter().map(|l| format!("{} {}-{}", l.part, l.from, l.to)).collect()
        };
        assert_eq!(locked(&toy), ["ear 1-4", "ear 2 1-4"]);
        rename_part(&mut toy, twin, "other ear");
        remove_part(&mut toy, b);
        assert_eq!(toy.wishes.limits.locked_parts, ["body", "other ear"]);
        assert_eq!(locked(&toy), ["other ear 1-4"]);
        toy.yarns = ["Peat", "Straw"].map(|name| Yarn { name: name.into(), ..Yarn::default() }).into();
        let most = |yarn: &str| YarnAtMost { yarn: yarn.into(), grams: 40.0 };
        toy.wishes.targets.at_most_g_of = vec![most("Peat"), most("Straw")];
        rename_yarn(&mut toy, 0, "Moss");
        remove_yarn(&mut toy, 1);
        assert_eq!(toy.wishes.targets.at_most_g_of, [most("Moss")]);
    }

    #[test]
    fn a_new_name_is_followed_everywhere() {
        let mut toy = Toy::default();
        let (a, b) = (add_part(&mut toy), add_part(&mut toy));
        assert_eq!(toy.pieces[b].part.name, "part 2");
        toy.pieces[b].placement.seat = crate::toy::Seat::OnEnd { part: "part".into(), end: crate::part::End::Finish };
        rename_part(&mut toy, a, "body");
        assert_eq!(toy.pieces[b].placement.seat.part(), Some("body"));
        rename_part(&mut toy, b, "body");
        assert_eq!(toy.pieces[b].part.name, "body 2");
        remove_part(&mut toy, a);
        assert_eq!(toy.pieces[0].placement.seat, crate::toy::Seat::Beside);
    }
}
