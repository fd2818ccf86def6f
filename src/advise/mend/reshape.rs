//! Parts with other counts: rounds that stay keep their stitches, loops and colours, and every address on the part
//! moves with the round it was at.

use std::collections::BTreeMap;

use crate::document::edits::{respread, shift};
use crate::part::{Base, Part};
use crate::rounds::{Round, Start};
use crate::toy::{Renumbered, Seat, Spot, Toy};

/// A round of a new list: the old round (counted from 0) it is worked like, and its count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Like {
    /// The old round.
    pub old: usize,
    /// The new count.
    pub count: u32,
}

/// The list that a part has.
pub fn as_it_is(part: &Part) -> Vec<Like> {
    part.rounds.iter().enumerate().map(|(old, r)| Like { old, count: r.count() }).collect()
}

/// Gives a part other rounds. `None` where that is no change, breaks the rules of the craft (a round more than double
/// or less than half of the one below), or alters a first round that cannot be: worked on a chain or around others.
pub fn reshaped(toy: &Toy, index: usize, list: &[Like]) -> Option<Toy> {
    let part = &toy.pieces.get(index)?.part;
    if list.is_empty() || *list == as_it_is(part) {
        return None;
    }
    let first = list[0];
    let ring = matches!(part.start, Start::MagicRing | Start::ChainRing);
    if !ring && part.rounds.get(first.old)?.count() != first.count {
        return None;
    }
    let old_steps: Vec<(u32, u32)> = part.counts().windows(2).map(|c| (c[0], c[1])).collect();
    let keeps_rules = |below: u32, count: u32| {
        let good = count <= 2 * below && 2 * count >= below;
        good || old_steps.contains(&(below, count))
    };
    if list.iter().any(|l| l.count == 0) || !list.windows(2).all(|l| keeps_rules(l[0].count, l[1].count)) {
        return None;
    }
    let mut rounds: Vec<Round> = Vec::with_capacity(list.len());
    for (at, like) in list.iter().enumerate() {
        let old = part.rounds.get(like.old)?;
        let below = match rounds.last() {
            Some(below) => below.count(),
            None if ring && old.count() != like.count => like.count,
            None => old.uses(),
        };
        let fits = old.count() == like.count && (old.uses() == below || at == 0);
        rounds.push(if fits { old.clone() } else { respread(old, below, like.count, shift(at)) });
    }
    let mut changed = toy.clone();
    changed.pieces[index].part.rounds = rounds;
    if list.len() != part.rounds.len() || list.iter().enumerate().any(|(i, l)| l.old != i) {
        move_addresses(&mut changed, index, part.rounds.len(), list);
        let moved = Renumbered::like(part.rounds.len(), list.iter().map(|l| l.old));
        changed.renumber_rounds(&part.name, &moved);
    }
    Some(changed)
}

/// Where each old node is now; the nodes of rounds that are gone lie between their neighbours.
fn new_nodes(old_rounds: usize, list: &[Like]) -> Vec<f64> {
    let mut known: BTreeMap<usize, f64> = BTreeMap::from([(0, 0.0)]);
    for (at, like) in list.iter().enumerate() {
        known.insert(like.old + 1, (at + 1) as f64);
    }
    known.insert(old_rounds, list.len() as f64);
    let between = |node: usize| {
        let (a, low) = known.range(..=node).next_back().map(|(k, v)| (*k, *v)).unwrap_or((0, 0.0));
        let (b, high) = known.range(node..).next().map(|(k, v)| (*k, *v)).unwrap_or((old_rounds, list.len() as f64));
        if b > a { low + (high - low) * (node - a) as f64 / (b - a) as f64 } else { low }
    };
    (0..=old_rounds).map(between).collect()
}

fn move_addresses(toy: &mut Toy, index: usize, old_rounds: usize, list: &[Like]) {
    let nodes = new_nodes(old_rounds, list);
    let moved = |round: f64| {
        if !round.is_finite() || round < 0.0 {
            return round;
        }
        let i = round.floor().min(old_rounds as f64) as usize;
        let low = nodes[i];
        let high = nodes.get(i + 1).copied().unwrap_or(low + 1.0);
        // Beyond the last round lies the closing pole.
        low + (high - low) * (round - i as f64)
    };
    let whole = |round: u32| moved(f64::from(round)).round().clamp(1.0, 1e6) as u32;
    let name = toy.pieces[index].part.name.clone();
    let piece = &mut toy.pieces[index];
    piece.placement.seam_round = piece.placement.seam_round.map(moved);
    if let Base::BackLoopEdge { round } = &mut piece.part.base {
        // The edge is the node below the back-loop round.
        *round = whole(round.saturating_sub(1)) + 1;
    }
    if let Some(round) = piece.part.stuffing.up_to_round.as_mut().filter(|r| **r > 0) {
        *round = whole(*round);
    }
    for piece in &mut toy.pieces {
        if let Seat::OnSurface { part, at } = &mut piece.placement.seat
            && *part == name
        {
            at.round = moved(at.round);
        }
    }
    for extra in toy.extras.iter_mut().filter(|e| e.part == name) {
        if let Spot::Surface(at) = &mut extra.spot {
            at.round = moved(at.round);
        }
    }
}

/// A stretch of rounds that swells and thins again: a whole ball, or the head of a part worked in one with the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lobe {
    /// First round, counted from 0.
    pub from: usize,
    /// Last round.
    pub to: usize,
    /// Most stitches.
    pub widest: u32,
    /// First and last round with as many.
    pub plateau: (usize, usize),
}

/// A valley counts when both sides rise to this many times its count (from memory; a default).
const VALLEY: f64 = 1.25;

/// The lobes of a list of counts, from its start on.
pub fn lobes(counts: &[u32]) -> Vec<Lobe> {
    if counts.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    split(counts, 0, &mut found);
    found
}

fn split(counts: &[u32], offset: usize, found: &mut Vec<Lobe>) {
    let most = |c: &[u32]| c.iter().copied().max().unwrap_or(0);
    let deep = |i: usize| {
        let sides = most(&counts[..i]).min(most(&counts[i + 1..]));
        f64::from(sides) / f64::from(counts[i].max(1))
    };
    let valley = (1..counts.len().saturating_sub(1)).max_by(|a, b| deep(*a).total_cmp(&deep(*b)).then(b.cmp(a)));
    match valley.filter(|i| deep(*i) >= VALLEY) {
        Some(i) => {
            // The run of equal rounds is the neck itself.
            let end = (i..counts.len()).take_while(|j| counts[*j] == counts[i]).last().unwrap_or(i);
            split(&counts[..i], offset, found);
            split(&counts[end + 1..], offset + end + 1, found);
        }
        None if counts.is_empty() => {}
        None => {
            let widest = most(counts);
            let first = counts.iter().position(|c| *c == widest).unwrap_or(0);
            let last = counts.iter().rposition(|c| *c == widest).unwrap_or(0);
            found.push(Lobe {
                from: offset,
                to: offset + counts.len() - 1,
                widest,
                plateau: (offset + first, offset + last),
            });
        }
    }
}

/// The number by which the counts of a part mostly change: friendly multiples keep to it. 6 where none stands out.
pub fn repeat_of(counts: &[u32]) -> u32 {
    let mut seen: BTreeMap<u32, u32> = BTreeMap::new();
    for step in counts.windows(2).map(|c| c[0].abs_diff(c[1])).filter(|s| (2..=9).contains(s)) {
        *seen.entry(step).or_default() += 1;
    }
    seen.into_iter().max_by_key(|(step, n)| (*n, *step)).map_or(6, |(step, _)| step)
}

/// "rounds 9 to 18", from the list a part had and the one it has.
pub fn rounds_that_differ(before: &Part, after: &Part) -> String {
    let (old, new) = (before.counts(), after.counts());
    let same = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let from_end = old.iter().rev().zip(new.iter().rev()).take_while(|(a, b)| a == b).count();
    let last = new.len() - from_end.min(new.len() - same.min(new.len()));
    let (first, last) = (same + 1, last.max(same + 1));
    if first >= last { format!("round {first}") } else { format!("rounds {first} to {last}") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::rounds_of_counts;
    use crate::toy::Piece;

    fn toy(counts: &[u32]) -> Toy {
        let rounds = rounds_of_counts(counts).expect("counts above zero");
        let part = Part { name: "body".into(), rounds, ..Part::default() };
        Toy { pieces: vec![Piece { part, ..Piece::default() }], ..Toy::default() }
    }

    #[test]
    fn a_head_and_body_in_one_are_two_lobes() {
        let counts = [6, 12, 18, 24, 24, 18, 9, 9, 9, 18, 27, 27, 18, 9];
        let found = lobes(&counts);
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!((found[0].from, found[0].to, found[0].widest, found[0].plateau), (0, 5, 24, (3, 4)));
        assert_eq!((found[1].from, found[1].to, found[1].widest, found[1].plateau), (9, 13, 27, (10, 11)));
        assert_eq!(lobes(&[6, 12, 18, 18, 12, 6]).len(), 1);
        assert!(lobes(&[]).is_empty());
    }

    #[test]
    fn addresses_follow_their_round() {
        let mut toy = toy(&[6, 12, 18, 18, 18, 12]);
        let mut ear = Piece::default();
        ear.part.name = "ear".into();
        ear.placement.seat =
            Seat::OnSurface { part: "body".into(), at: crate::toy::Address { round: 5.5, angle_deg: 30.0 } };
        toy.pieces.push(ear);
        let mut list = as_it_is(&toy.pieces[0].part);
        list.insert(4, Like { old: 3, count: 18 });
        let longer = reshaped(&toy, 0, &list).expect("a change");
        assert_eq!(longer.pieces[0].part.counts(), [6, 12, 18, 18, 18, 18, 12]);
        let Seat::OnSurface { at, .. } = &longer.pieces[1].placement.seat else { panic!("still sewn on") };
        assert!((at.round - 6.5).abs() < 1e-12);
        assert!(longer.pieces[0].part.rounds.windows(2).all(|r| r[1].uses() == r[0].count()));
    }

    #[test]
    fn more_than_double_is_refused() {
        let toy = toy(&[6, 12, 18, 12]);
        let mut list = as_it_is(&toy.pieces[0].part);
        list[2].count = 25;
        assert_eq!(reshaped(&toy, 0, &list), None);
        list[2].count = 24;
        assert!(reshaped(&toy, 0, &list).is_some());
    }

    #[test]
    fn repeats_are_those_of_most_steps() {
        assert_eq!(repeat_of(&[6, 12, 18, 24, 24, 18]), 6);
        assert_eq!(repeat_of(&[5, 10, 15, 15]), 5);
        assert_eq!(repeat_of(&[9, 9]), 6);
    }
}
