//! A part, or the whole toy, larger or smaller in the same shape: counts and rounds together, at the same yarn.

use std::rc::Rc;

use super::width::{NARROWEST, WIDEST};
use super::{Context, Family, Ladder, Ladders};
use crate::advise::mend::reshape::{Like, repeat_of, reshaped};
use crate::document::edits::respread;
use crate::part::{Amount, Base, Part};
use crate::rounds::{Finish, Round, Start};
use crate::toy::{Seat, Toy};

/// Steps of a part at most.
const MOST_STEPS: u32 = 12;
/// Change of the whole toy in a step, and steps each way: from about a quarter to four times the size.
const TOY_STEP: f64 = 0.02;
const MOST_TOY_STEPS: u32 = 70;
/// Rounds of a part at most.
const MOST_ROUNDS: f64 = 2000.0;

struct PartSize {
    part: usize,
    by: u32,
    larger: bool,
}

struct ToySize {
    larger: bool,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    for part in context.parts_to_work() {
        let piece = &context.toy.pieces[part].part;
        if !matches!(piece.start, Start::MagicRing | Start::ChainRing) {
            continue;
        }
        let by = repeat_of(&piece.counts());
        for larger in [false, true] {
            all.push(Rc::new(PartSize { part, by, larger }));
        }
    }
    if context.is_about_size() {
        for larger in [false, true] {
            all.push(Rc::new(ToySize { larger }));
        }
    }
}

/// The rounds of a part `scale` times as large: its counts along the axis times `scale`, in whole repeats where that
/// is no great change, in as many times more rounds. `first` is the count of the first round; an open end keeps its
/// count where `keep_rim` says so.
fn scaled(part: &Part, scale: f64, first: u32, keep_rim: bool) -> Option<Vec<Like>> {
    let counts = part.counts();
    let old_rounds = counts.len();
    let rounds = (old_rounds as f64 * scale).round().max(1.0);
    if counts.is_empty() || rounds > MOST_ROUNDS {
        return None;
    }
    let rounds = rounds as usize;
    let by = f64::from(repeat_of(&counts));
    let start = match part.start {
        Start::MagicRing => 0.0,
        _ => f64::from(counts[0]),
    };
    let at = |node: f64| {
        let node = node.clamp(0.0, old_rounds as f64);
        let value = |i: usize| if i == 0 { start } else { f64::from(counts[i.min(old_rounds) - 1]) };
        let i = node.floor() as usize;
        value(i) + (value(i + 1) - value(i)) * node.fract()
    };
    let friendly = |count: f64| {
        let whole = (count / by).round() * by;
        let good = whole > 0.0 && (whole - count).abs() <= by / 2.0 && count > 2.0 * by;
        if good { whole } else { count.round().max(1.0) }
    };
    let mut list: Vec<Like> = (1..=rounds)
        .map(|j| {
            let node = j as f64 * old_rounds as f64 / rounds as f64;
            let old = (node.round().max(1.0) as usize).min(old_rounds) - 1;
            Like { old, count: friendly(scale * at(node)) as u32 }
        })
        .collect();
    list[0].count = first;
    list[0].old = 0;
    let last = list.len() - 1;
    let gathers = part.closes();
    let rim = counts[old_rounds - 1];
    if gathers || (keep_rim && part.finish == Finish::Open) {
        list[last].count = rim;
        // Toward the end nothing may be more than double it.
        let mut most = rim;
        for like in list[..last].iter_mut().rev() {
            most = most.saturating_mul(2);
            like.count = like.count.min(most);
        }
    }
    one_ridge(part, &mut list);
    Some(list)
}

/// A round worked in back loops stays one round, where its own place in the new list is.
fn one_ridge(part: &Part, list: &mut [Like]) {
    let ridges: Vec<usize> = (0..part.rounds.len()).filter(|i| part.rounds[*i].is_back_loop()).collect();
    let plain = |i: usize| {
        let after = (i + 1..part.rounds.len()).find(|j| !ridges.contains(j));
        after.or_else(|| (0..i).rev().find(|j| !ridges.contains(j)))
    };
    // Where most rounds are back-loop ones they are the fabric and not an edge.
    if 2 * ridges.len() > part.rounds.len() {
        return;
    }
    let (old_rounds, rounds) = (part.rounds.len() as f64, list.len() as f64);
    for like in list.iter_mut().filter(|l| ridges.contains(&l.old)) {
        like.old = plain(like.old).unwrap_or(like.old);
    }
    for ridge in ridges {
        // The edge is the node below; the first round whose node below lies there or above is the ridge.
        let place = (ridge as f64 * rounds / old_rounds).round() as usize;
        if let Some(like) = list.get_mut(place) {
            like.old = ridge;
        }
    }
}

impl PartSize {
    fn scale(&self, part: &Part, step: u32) -> Option<(u32, u32, f64)> {
        let widest = part.counts().into_iter().max()?;
        let more = self.by.checked_mul(step)?;
        let wanted = if self.larger { widest.checked_add(more)? } else { widest.checked_sub(more)? };
        let scale = f64::from(wanted) / f64::from(widest.max(1));
        (wanted >= 12 && (NARROWEST..=WIDEST).contains(&scale)).then_some((widest, wanted, scale))
    }
}

/// Sizes that a part has beside its rounds.
fn scale_rest(part: &mut Part, scale: f64) {
    match &mut part.base {
        Base::PressedFlat { radius_mm: Some(mm) } | Base::Disc { diameter_mm: mm } => {
            *mm = (*mm * scale * 2.0).round().max(1.0) / 2.0;
        }
        _ => {}
    }
    if let Amount::Grams(grams) = &mut part.stuffing.amount {
        *grams = (*grams * scale.powi(3) * 10.0).round().max(1.0) / 10.0;
    }
}

impl Ladder for PartSize {
    fn family(&self) -> Family {
        Family::PartSize
    }

    fn part(&self) -> usize {
        // Larger and smaller are two ladders of the same part.
        self.part
    }

    fn steps(&self) -> u32 {
        MOST_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let part = &toy.pieces.get(self.part)?.part;
        let (_, _, scale) = self.scale(part, step)?;
        let list = scaled(part, scale, part.rounds.first()?.count(), true)?;
        let mut changed = reshaped(toy, self.part, &list)?;
        scale_rest(&mut changed.pieces[self.part].part, scale);
        Some(changed)
    }

    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String {
        let (old, new) = (&before.pieces[self.part].part, &after.pieces[self.part].part);
        let (widest, ..) = self.scale(old, step).unwrap_or_default();
        let wanted = new.counts().into_iter().max().unwrap_or(0);
        format!(
            "Work the {} {} in the same shape: {wanted} stitches at the widest instead of {widest}, in {} rounds instead of {}.",
            old.name,
            if self.larger { "larger" } else { "smaller" },
            new.rounds.len(),
            old.rounds.len()
        )
    }
}

impl ToySize {
    fn scale(&self, step: u32) -> f64 {
        (TOY_STEP * f64::from(step) * if self.larger { 1.0 } else { -1.0 }).exp()
    }
}

/// The first round of a part that is worked on a chain, or around other parts, for its new chain and their new rims.
fn first_round(part: &Part, chain: i64, rims: i64) -> Option<Round> {
    let first = part.rounds.first()?;
    let more = chain + rims;
    if more == 0 {
        return Some(first.clone());
    }
    // Plain stitches are added to the longest plain runs, or taken there; what is worked at the ends stays.
    let mut round = first.clone();
    let mut left = more;
    let mut plain: Vec<usize> =
        (0..round.runs.len()).filter(|i| round.runs[*i].stitch.uses == 1 && round.runs[*i].stitch.makes == 1).collect();
    plain.sort_by_key(|i| std::cmp::Reverse(round.runs[*i].times));
    plain.truncate(2);
    let runs = plain.len() as i64;
    for (k, i) in plain.into_iter().enumerate() {
        let share = left / (runs - k as i64);
        let times = i64::from(round.runs[i].times) + share;
        if times < 1 {
            return None;
        }
        round.runs[i].times = u32::try_from(times).ok()?;
        left -= share;
    }
    if left == 0 {
        return Some(round);
    }
    let count = |n: u32| u32::try_from(i64::from(n) + more).ok().filter(|n| *n > 0);
    Some(respread(first, count(first.uses())?, count(first.count())?, 0.0))
}

impl Ladder for ToySize {
    fn family(&self) -> Family {
        Family::ToySize
    }

    fn part(&self) -> usize {
        0
    }

    fn steps(&self) -> u32 {
        MOST_TOY_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let scale = self.scale(step);
        let mut changed = toy.clone();
        // Parts that others are worked around come before those.
        let waits = |i: usize| matches!(toy.pieces[i].part.start, Start::JoinedParts { .. } | Start::Rim { .. });
        let (late, early): (Vec<usize>, Vec<usize>) = (0..toy.pieces.len()).partition(|i| waits(*i));
        for index in early.into_iter().chain(late) {
            let old = &toy.pieces[index].part;
            if old.rounds.is_empty() {
                continue;
            }
            let rim = |toy: &Toy, name: &str| {
                let piece = toy.piece_named(name).map(|i| &toy.pieces[i]);
                piece.map_or(0, |p| i64::from(p.part.rounds.last().map_or(0, |r| r.count())))
            };
            let grown = |name: &str| rim(&changed, name) - rim(toy, name);
            let (chain, rims) = match &old.start {
                Start::ChainOval { chain } => (2 * (scaled_count(*chain, scale) - i64::from(*chain)), 0),
                Start::JoinedParts { parts, chain } => {
                    let gaps = parts.len() as i64;
                    let chain = scaled_count(*chain, scale) - i64::from(*chain);
                    (if gaps > 1 { 2 * chain * (gaps - 1) } else { 2 * chain }, parts.iter().map(|p| grown(p)).sum())
                }
                Start::Rim { part } => (0, grown(part)),
                Start::MagicRing | Start::ChainRing => (0, 0),
            };
            let part = &mut changed.pieces[index].part;
            match &mut part.start {
                Start::ChainOval { chain } | Start::JoinedParts { chain, .. } => {
                    *chain = u32::try_from(scaled_count(*chain, scale)).ok()?;
                }
                _ => {}
            }
            let first = match &old.start {
                Start::MagicRing => old.rounds[0].count(),
                Start::ChainRing => u32::try_from(scaled_count(old.rounds[0].count(), scale)).ok()?,
                _ => {
                    part.rounds[0] = first_round(old, chain, rims)?;
                    part.rounds[0].count()
                }
            };
            let list = scaled(part, scale, first, false)?;
            scale_rest(part, scale);
            // A part too small to change by a stitch stays as it is.
            if let Some(reshaped) = reshaped(&changed, index, &list) {
                changed = reshaped;
            } else if list.len() != old.rounds.len() {
                return None;
            }
            let placement = &mut changed.pieces[index].placement;
            placement.offset_mm *= scale;
            if let Seat::Floor { x_mm, y_mm, .. } = &mut placement.seat {
                (*x_mm, *y_mm) = (*x_mm * scale, *y_mm * scale);
            }
        }
        (changed != *toy).then_some(changed)
    }

    fn words(&self, _before: &Toy, step: u32, _after: &Toy) -> String {
        let percent = 100.0 * (self.scale(step) - 1.0);
        format!(
            "Work every part about {:.0} % {} in the same shape, with the same yarn and hook.",
            percent.abs(),
            if self.larger { "larger" } else { "smaller" }
        )
    }
}

fn scaled_count(count: u32, scale: f64) -> i64 {
    (f64::from(count) * scale).round().clamp(1.0, 1e5) as i64
}
