//! New counts for the same outline: the outline of the unstuffed fabric is cut anew, in rounds of the new height and
//! stitches of the new width.
//!
//! Rounds that mean something stay where they are: a change of colour or kind, a back-loop edge begins a stretch, and
//! each stretch gets a whole number of rounds. Between, counts follow the old ones by length along the fabric. A count
//! is made friendly (a multiple of the part's own repeat, else of six, three, two) where that moves the outline by less
//! than half a stitch: π stitches on the round are half a stitch on the radius.

use std::f64::consts::{PI, TAU};

use crate::document::edits::respread;
use crate::part::{Base, MOST_GATHERED, Part};
use crate::rounds::{Loops, Round, Start, StitchKind};
use crate::toy::{Seat, Spot, Toy};
use crate::yarn::Fabric;

/// A friendly count may be off by this share of the count, or half a stitch.
const FRIENDLY_SHARE: f64 = 0.08;
/// Least stitches of a round that had more.
const LEAST: u32 = 3;
/// Most stitches and rounds; more is no toy.
const MOST: u32 = 2000;
const MOST_ROUNDS: f64 = 5000.0;

/// How much more stitches and rounds the outline takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    /// Factor on stitches around.
    around: f64,
    /// Factor on rounds.
    along: f64,
    /// Height to width, before and after.
    ratio: (f64, f64),
}

impl Scale {
    /// From one fabric to another, `size` times as large.
    pub(super) fn between(before: &Fabric, after: &Fabric, size: f64) -> Scale {
        Scale {
            around: size * before.w_mm.value() / after.w_mm.value(),
            along: size * before.h_mm.value() / after.h_mm.value(),
            ratio: (before.h_mm.value() / before.w_mm.value(), after.h_mm.value() / after.w_mm.value()),
        }
    }

    fn changes(&self) -> bool {
        let good = |x: f64| x.is_finite() && x > 0.0;
        good(self.around) && good(self.along) && (self.around != 1.0 || self.along != 1.0)
    }
}

/// Rounds that belong together, by index: `from..to`.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    from: usize,
    to: usize,
    /// Only its first round is worked in one loop.
    edge: bool,
}

fn one_loop(round: &Round) -> bool {
    let one: u32 = round.runs.iter().filter(|r| r.stitch.loops != Loops::Both).map(|r| r.times).sum();
    let all: u32 = round.runs.iter().map(|r| r.times).sum();
    one > 0 && 2 * one > all
}

/// What must be the same in a stretch.
fn look(round: &Round) -> (StitchKind, Vec<Option<&str>>, bool) {
    let mut colours: Vec<Option<&str>> = Vec::new();
    for run in &round.runs {
        let colour = run.colour.as_deref();
        if !colours.contains(&colour) {
            colours.push(colour);
        }
    }
    (round.kind(), colours, round.frill)
}

fn stretches(rounds: &[Round]) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for (i, round) in rounds.iter().enumerate() {
        let before = i.checked_sub(1).map(|b| &rounds[b]);
        // A run of one-loop rounds is a stretch of its own; a single one is the edge at which a stretch begins.
        let edge = one_loop(round) && !rounds.get(i + 1).is_some_and(one_loop) && !before.is_some_and(one_loop);
        let goes_on = before.is_some_and(|b| {
            let after_edge = found.last().is_some_and(|s| s.edge && s.from + 1 == i);
            look(b) == look(round) && (one_loop(b) == one_loop(round) || (after_edge && !one_loop(round)))
        });
        match found.last_mut() {
            Some(last) if goes_on && !edge => last.to = i + 1,
            _ => found.push(Stretch { from: i, to: i + 1, edge }),
        }
    }
    found
}

/// A part's new counts, and the way from its old rounds to the new ones.
#[derive(Clone, Debug, Default)]
struct Plan {
    /// For each new round: its count, the old round it looks like, and whether an edge's loops are left off.
    rounds: Vec<(u32, usize, bool)>,
    /// Pairs of old node and new node, both rising.
    nodes: Vec<(f64, f64)>,
    start: Start,
}

impl Plan {
    /// The new node of an old one, in proportion between those that are known.
    fn node(&self, old: f64) -> f64 {
        let (Some(first), Some(last)) = (self.nodes.first(), self.nodes.last()) else { return old };
        if !old.is_finite() || old <= first.0 {
            return first.1;
        }
        let pair = self.nodes.windows(2).find(|p| old <= p[1].0);
        pair.map_or(last.1, |p| p[0].1 + (old - p[0].0) / (p[1].0 - p[0].0).max(1e-12) * (p[1].1 - p[0].1))
    }
}

/// The friendliest count near a wanted one.
fn friendly(wanted: f64, repeats: &[u32]) -> u32 {
    let off = PI.min((FRIENDLY_SHARE * wanted).max(0.5));
    let nearest = |step: u32| (wanted / f64::from(step)).round() * f64::from(step);
    let good = repeats.iter().map(|step| nearest(*step)).find(|n| *n >= 1.0 && (n - wanted).abs() <= off);
    good.unwrap_or_else(|| wanted.round()).clamp(1.0, f64::from(MOST)) as u32
}

/// The repeats of a part, friendliest first.
fn repeats(part: &Part, counts: &[u32]) -> Vec<u32> {
    let share = |step: u32| counts.iter().filter(|n| *n % step == 0).count() as f64 / counts.len().max(1) as f64;
    let own = counts.first().copied().filter(|n| (3..=12).contains(n) && share(*n) >= 0.6);
    let mut list: Vec<u32> = own.into_iter().collect();
    // Ovals and joined parts grow at their ends, not in six.
    if matches!(part.start, Start::MagicRing) {
        list.push(6);
    }
    list.extend([4, 3, 2]);
    list
}

/// Count from which the first round grows: 0 at a ring.
fn count_before(part: &Part) -> f64 {
    let Some(first) = part.rounds.first() else { return 0.0 };
    match &part.start {
        Start::MagicRing => 0.0,
        Start::ChainOval { chain } => 2.0 * f64::from(*chain),
        Start::JoinedParts { .. } => f64::from(first.count()),
        Start::ChainRing | Start::Rim { .. } => f64::from(first.uses().max(1)),
    }
}

fn plan(part: &Part, scale: &Scale) -> Plan {
    let counts = part.counts();
    let repeats = repeats(part, &counts);
    // Nodes of the outline: length along the fabric in new round heights, stitches of the new width around.
    let mut along = vec![0.0];
    let mut around = vec![count_before(part) * scale.around];
    for (round, count) in part.rounds.iter().zip(&counts) {
        along.push(along[along.len() - 1] + round.height_in_single() * scale.along);
        around.push(f64::from(*count) * scale.around);
    }
    let mut end = along[along.len() - 1];
    let last_node = along.len() - 1;
    if part.closes() {
        // Gathered shut, the fabric goes on over the last stitches to the pole.
        let last = f64::from(counts[counts.len() - 1]) / TAU;
        let pole = end + last / scale.ratio.0 * scale.along;
        end = (pole - last / scale.ratio.1).max(0.5 * end);
        along.push(pole);
        around.push(0.0);
    }
    let at = |s: f64| {
        let i = along.partition_point(|a| *a < s).clamp(1, along.len() - 1);
        let share = (s - along[i - 1]) / (along[i] - along[i - 1]).max(1e-12);
        around[i - 1] + share.clamp(0.0, 1.0) * (around[i] - around[i - 1])
    };
    let bends = counts.windows(2).all(|c| c[1] <= 2 * c[0] && 2 * c[1] >= c[0]);
    let least = LEAST.min(counts.iter().copied().min().unwrap_or(LEAST)).max(1);
    let mut plan = Plan { nodes: vec![(0.0, 0.0)], start: start(&part.start, scale), ..Plan::default() };
    let mut reached = 0.0;
    let all = stretches(&part.rounds);
    for (number, stretch) in all.iter().enumerate() {
        let (from, to) = (along[stretch.from], if number + 1 == all.len() { end } else { along[stretch.to] });
        let high = part.rounds[stretch.from].height_in_single();
        let rounds = ((to - reached) / high).round().clamp(1.0, MOST_ROUNDS);
        reached += rounds * high;
        let first = plan.rounds.len() as f64;
        for j in 1..=rounds as usize {
            let s = from + (to - from) * j as f64 / rounds;
            let mut count = friendly(at(s), &repeats).max(least);
            if let Some((below, ..)) = plan.rounds.last().filter(|_| bends) {
                count = count.clamp(below.div_ceil(2), 2 * below);
            }
            let old = along[1..=last_node].partition_point(|a| *a < s - 1e-9).clamp(stretch.from, stretch.to - 1);
            let old = if j == 1 { stretch.from } else { old };
            plan.rounds.push((count, old, stretch.edge && j > 1));
        }
        // Old nodes of the stretch, by their length along it.
        for (node, reach) in along.iter().enumerate().take(stretch.to + 1).skip(stretch.from + 1) {
            let share = ((reach - from) / (to - from).max(1e-12)).clamp(0.0, 1.0);
            plan.nodes.push((node as f64, first + share * rounds));
        }
    }
    if part.closes() {
        // Two into one is as fast as a round decreases: more rounds where that is too slow to draw it shut.
        while let Some((count, old, _)) = plan.rounds.last().copied().filter(|last| last.0 > MOST_GATHERED) {
            plan.rounds.push((count.div_ceil(2).max(MOST_GATHERED / 2), old, true));
        }
        plan.nodes.push((last_node as f64 + 1.0, plan.rounds.len() as f64 + 1.0));
    }
    plan
}

fn start(old: &Start, scale: &Scale) -> Start {
    let chained = |n: u32| {
        let scaled = (f64::from(n) * scale.around).round().clamp(0.0, f64::from(MOST)) as u32;
        if n > 0 { scaled.max(1) } else { 0 }
    };
    match old {
        Start::ChainOval { chain } => Start::ChainOval { chain: chained(*chain).max(1) },
        Start::JoinedParts { parts, chain } => Start::JoinedParts { parts: parts.clone(), chain: chained(*chain) },
        Start::MagicRing | Start::ChainRing | Start::Rim { .. } => old.clone(),
    }
}

/// Stitches of the rims that a part goes on from, with these last counts.
fn rims(toy: &Toy, start: &Start, last: &dyn Fn(usize) -> u32) -> Option<u32> {
    let rim = |name: &String| toy.piece_named(name).map(|i| (i, last(i)));
    match start {
        Start::Rim { part } => rim(part).map(|r| r.1),
        Start::JoinedParts { parts, .. } => {
            let each = parts.iter().filter_map(|name| {
                let (i, count) = rim(name)?;
                let twice = parts.iter().filter(|n| *n == name).count() > 1;
                Some(count * if twice { 1 } else { toy.pieces[i].placement.copies.number().min(16) })
            });
            Some(each.sum())
        }
        Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => None,
    }
}

/// Gives the parts of a toy new counts; `scale` says of each by how much. Seats, seams, bases and added things keep
/// their place by length along the fabric.
pub(super) fn rework(toy: &mut Toy, scale: &dyn Fn(usize) -> Scale) {
    let plans: Vec<Option<Plan>> = (0..toy.pieces.len())
        .map(|i| {
            let part = &toy.pieces[i].part;
            let scale = scale(i);
            (scale.changes() && !part.rounds.is_empty()).then(|| plan(part, &scale))
        })
        .collect();
    let old_last = |i: usize| toy.pieces[i].part.rounds.last().map_or(0, Round::count);
    let new_last = |i: usize| match &plans[i] {
        Some(plan) => plan.rounds.last().map_or(0, |r| r.0),
        None => old_last(i),
    };
    let worked: Vec<Option<Vec<Round>>> = (0..toy.pieces.len())
        .map(|i| {
            let part = &toy.pieces[i].part;
            let first = part.rounds.first()?;
            let goes_on_from = rims(toy, &part.start, &old_last).zip(rims(toy, &part.start, &new_last));
            let Some(plan) = plans[i].as_ref() else {
                // It keeps its counts, but what it goes on from may have others.
                let (old, new) = goes_on_from.filter(|(old, new)| old != new)?;
                let mut rounds = part.rounds.clone();
                rounds[0] = respread(first, new + first.uses().saturating_sub(old), first.count(), 0.0);
                return Some(rounds);
            };
            let around = scale(i).around;
            let own = |n: u32| (f64::from(n) * around).round() as u32;
            let into = match goes_on_from {
                // What is not rim is chain between.
                Some((old, new)) => Some(new + own(first.uses().saturating_sub(old))),
                None => match (&part.start, &plan.start) {
                    (Start::ChainOval { chain: old }, Start::ChainOval { chain: new }) => {
                        Some((i64::from(first.uses()) + 2 * (i64::from(*new) - i64::from(*old))).max(1) as u32)
                    }
                    (Start::ChainRing, _) if first.uses() != first.count() => Some(own(first.uses()).max(1)),
                    _ => None,
                },
            };
            Some(rounds(part, plan, into, goes_on_from.is_some()))
        })
        .collect();
    readdress(toy, &plans);
    for ((piece, plan), rounds) in toy.pieces.iter_mut().zip(plans).zip(worked) {
        if let Some(rounds) = rounds {
            piece.part.rounds = rounds;
        }
        if let Some(plan) = plan {
            piece.part.start = plan.start;
        }
    }
}

/// The rounds of a plan; `into` is what the first is worked into, its own number where not said. Where the part goes on
/// from others, a first round of one stitch in each stays one, if that hardly moves the outline (it does where those
/// others stay in another yarn).
fn rounds(part: &Part, plan: &Plan, into: Option<u32>, goes_on: bool) -> Vec<Round> {
    let mut made: Vec<Round> = Vec::with_capacity(plan.rounds.len());
    for (i, (count, old, plain)) in plan.rounds.iter().enumerate() {
        let old = &part.rounds[*old];
        let (from, to) = match (made.last(), into) {
            (Some(below), _) => (below.count(), *count),
            (None, Some(into)) if goes_on && old.uses() == old.count() && into.abs_diff(*count) <= 3 => (into, into),
            (None, Some(into)) => (into, *count),
            (None, None) => (*count, *count),
        };
        let mut round = respread(old, from, to, if i % 2 == 0 { 0.0 } else { 0.5 });
        if *plain {
            round.runs.iter_mut().for_each(|run| run.stitch.loops = Loops::Both);
        }
        made.push(round);
    }
    made
}

/// Everything that names a round of a part names the new one.
fn readdress(toy: &mut Toy, plans: &[Option<Plan>]) {
    let names: Vec<String> = toy.pieces.iter().map(|p| p.part.name.clone()).collect();
    let plan_of = |name: &str| names.iter().position(|n| n == name).and_then(|i| plans[i].as_ref());
    for (piece, own) in toy.pieces.iter_mut().zip(plans) {
        if let Seat::OnSurface { part, at } = &mut piece.placement.seat
            && let Some(plan) = plan_of(part)
        {
            at.round = plan.node(at.round);
        }
        let Some(plan) = own else { continue };
        piece.placement.seam_round = piece.placement.seam_round.map(|r| plan.node(r));
        let whole = |node: f64| plan.node(node).round().max(0.0) as u32;
        let part = &mut piece.part;
        part.stuffing.up_to_round =
            part.stuffing.up_to_round.map(|r| if r == 0 { 0 } else { whole(f64::from(r)).max(1) });
        if let Base::BackLoopEdge { round } = &mut part.base {
            // The edge is the node below the round, where its stretch begins.
            let below = whole(f64::from(round.saturating_sub(1)));
            *round = below + 1;
        }
    }
    for kept in &mut toy.wishes.limits.locked_rounds {
        if let Some(plan) = plan_of(&kept.part) {
            let whole = |node: u32| plan.node(f64::from(node)).round().max(0.0) as u32;
            kept.from = whole(kept.from.saturating_sub(1)) + 1;
            kept.to = whole(kept.to).max(kept.from);
        }
    }
    for extra in &mut toy.extras {
        if let (Spot::Surface(at), Some(plan)) = (&mut extra.spot, plan_of(&extra.part)) {
            at.round = plan.node(at.round);
        }
    }
}
