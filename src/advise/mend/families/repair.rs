//! Rounds that do not follow from one another worked anew, hard things taken out of a small child's toy.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::document::edits::{respread, shift};
use crate::measure::FindingKind;
use crate::measure::small_parts::CYLINDER_MM;
use crate::part::Part;
use crate::rounds::{Round, Start};
use crate::toy::{ExtraKind, Toy};

/// Stitches in one from which a round is worked anew, and growth from which rounds are put between: the bounds from
/// which the findings are severe.
const MOST_IN_ONE: u16 = 4;
const MOST_GROWTH: u32 = 4;
/// Rounds put between at most.
const MOST_BETWEEN: usize = 12;

struct Rounds {
    part: usize,
}

struct NoHardThings {
    part: usize,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    let mut parts: Vec<usize> = Vec::new();
    let mut unsafe_parts: Vec<usize> = Vec::new();
    for finding in super::super::goals::severe(context.look) {
        let Some(part) = finding.part.as_deref().and_then(|p| context.toy.piece_named(p)) else { continue };
        match finding.kind {
            FindingKind::EmptyRound
            | FindingKind::StitchesDiffer
            | FindingKind::TooManyIncreases
            | FindingKind::ManyInOne => parts.push(part),
            FindingKind::Safety => unsafe_parts.push(part),
            _ => {}
        }
    }
    parts.sort_unstable();
    parts.dedup();
    unsafe_parts.sort_unstable();
    unsafe_parts.dedup();
    for part in parts {
        all.push(Rc::new(Rounds { part }));
    }
    for part in unsafe_parts {
        all.push(Rc::new(NoHardThings { part }));
    }
}

/// The rounds worked anew where they must be: counts stay, empty rounds go, rounds are put between where one grows
/// too fast.
fn mended(part: &Part) -> Vec<Round> {
    let ring = !matches!(part.start, Start::JoinedParts { .. } | Start::Rim { .. });
    let mut rounds: Vec<Round> = Vec::new();
    for old in part.rounds.iter().filter(|r| r.count() > 0) {
        let Some(mut below) = rounds.last().map(Round::count) else {
            rounds.push(old.clone());
            continue;
        };
        let mut between = 0;
        while old.count() > MOST_GROWTH * below && between < MOST_BETWEEN {
            let plain = respread(&Round::default(), below, 2 * below, shift(rounds.len()));
            below = plain.count();
            rounds.push(plain);
            between += 1;
        }
        let crowded = !old.frill && old.runs.iter().any(|r| r.stitch.makes > MOST_IN_ONE && r.stitch.uses <= 1);
        let fits = old.uses() == below && !crowded;
        rounds.push(if fits { old.clone() } else { respread(old, below, old.count(), shift(rounds.len())) });
    }
    if let (Some(first), true) = (rounds.first_mut(), ring)
        && first.runs.iter().any(|r| r.stitch.makes > MOST_IN_ONE && r.stitch.uses <= 1)
    {
        *first = respread(first, first.count(), first.count(), 0.0);
    }
    rounds
}

impl Ladder for Rounds {
    fn family(&self) -> Family {
        Family::Rounds
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        1
    }

    fn apply(&self, toy: &Toy, _step: u32) -> Option<Toy> {
        let mut changed = toy.clone();
        let part = &mut changed.pieces.get_mut(self.part)?.part;
        part.rounds = mended(part);
        (changed != *toy).then_some(changed)
    }

    fn words(&self, before: &Toy, _step: u32, after: &Toy) -> String {
        let (old, new) = (&before.pieces[self.part].part, &after.pieces[self.part].part);
        let more = new.rounds.len() as i64 - old.rounds.len() as i64;
        let how = match more {
            0 => "their counts stay".to_owned(),
            m if m > 0 => format!("{m} more so that none grows too fast"),
            m => format!("{} without a stitch left out", -m),
        };
        let worked: Vec<String> = new
            .rounds
            .iter()
            .enumerate()
            .filter(|(i, r)| old.rounds.get(*i) != Some(*r))
            .map(|(i, _)| (i + 1).to_string())
            .collect();
        let which = match worked.len() {
            0 => "its rounds".to_owned(),
            1 => format!("round {}", worked[0]),
            n if n <= 6 => format!("rounds {}", worked.join(", ")),
            n => format!("{n} rounds from {} on", worked[0]),
        };
        format!("Work {which} of the {} so that each fits the one below it ({how}).", old.name)
    }
}

impl Ladder for NoHardThings {
    fn family(&self) -> Family {
        Family::NoHardThings
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        1
    }

    fn apply(&self, toy: &Toy, _step: u32) -> Option<Toy> {
        let name = toy.pieces.get(self.part)?.part.name.clone();
        let mut changed = toy.clone();
        let hidden = |k: ExtraKind| matches!(k, ExtraKind::Pellets | ExtraKind::Weight | ExtraKind::NeckStick);
        changed.extras.retain(|e| e.part != name || !hidden(e.kind));
        for extra in changed.extras.iter_mut().filter(|e| e.part == name) {
            if matches!(extra.kind, ExtraKind::Eye { diameter_mm } if diameter_mm <= CYLINDER_MM) {
                extra.kind = ExtraKind::Other;
            }
        }
        (changed != *toy).then_some(changed)
    }

    fn words(&self, before: &Toy, _step: u32, after: &Toy) -> String {
        let name = &before.pieces[self.part].part.name;
        let gone: Vec<&str> = before
            .extras
            .iter()
            .filter(|e| e.part == *name && !after.extras.iter().any(|a| a.name == e.name && a.part == e.part))
            .map(|e| e.name.as_str())
            .collect();
        let stitched = before.extras.iter().zip(&after.extras).any(|(b, a)| b.part == *name && b.kind != a.kind)
            || (!gone.is_empty()
                && after
                    .extras
                    .iter()
                    .any(|a| a.part == *name && before.extras.iter().any(|b| b.name == a.name && b.kind != a.kind)));
        let mut words = Vec::new();
        if stitched {
            words.push(format!("Stitch the eyes of the {name} in yarn instead of setting hard ones."));
        }
        if !gone.is_empty() {
            words.push(format!("Leave {} out of the {name}.", gone.join(" and ")));
        }
        words.join(" ")
    }
}
