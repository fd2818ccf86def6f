//! Items to stitches: how often "to the end" is, how many stitches a list uses and makes, and the runs.

use std::sync::Arc;

use super::grammar::{Amount, Item};
use crate::rounds::{Loops, Round, Run, Stitch, StitchKind, spread};

/// More stitches than this in one round are no toy.
pub(super) const MOST_STITCHES: u32 = 5_000;

/// What a list of items comes to on a given round below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Solved {
    /// Stitches of the round below that are used.
    pub uses: u32,
    /// Stitches that are left.
    pub makes: u32,
    /// How often the part "to the end" is worked in full.
    pub times: u32,
    /// Stitches left over after that, worked as the beginning of the part.
    pub rest: u32,
    /// The left-over stitches are worked plain.
    pub rest_plain: bool,
    /// There is a part "to the end".
    pub fills: bool,
    /// The round is known by its change of count only.
    pub evenly: bool,
    /// Nothing says how often "to the end" is.
    pub open: bool,
    /// More than one part claims the rest of the round.
    pub twice: bool,
}

#[derive(Clone, Copy, Default)]
struct Sum {
    uses: u64,
    makes: u64,
    fills: u32,
    /// Uses and makes of one turn of the first part "to the end".
    unit: Option<(u64, u64)>,
}

fn sum(items: &[Item]) -> Sum {
    let mut s = Sum::default();
    for item in items {
        match item {
            Item::Work { stitch, amount, .. } => {
                let (u, m) = (u64::from(stitch.uses), u64::from(stitch.makes));
                match amount {
                    Amount::N(n) => {
                        s.uses = s.uses.saturating_add(u.saturating_mul(u64::from(*n)));
                        s.makes = s.makes.saturating_add(m.saturating_mul(u64::from(*n)));
                    }
                    Amount::Fill => {
                        s.fills += 1;
                        s.unit.get_or_insert((u, m));
                    }
                }
            }
            Item::Group { items, times } => {
                let inner = sum(items);
                match times {
                    Amount::N(n) if inner.fills == 0 => {
                        s.uses = s.uses.saturating_add(inner.uses.saturating_mul(u64::from(*n)));
                        s.makes = s.makes.saturating_add(inner.makes.saturating_mul(u64::from(*n)));
                    }
                    _ if inner.fills > 0 => {
                        // A part "to the end" inside a repeat: the repeat can only be once round.
                        s.uses = s.uses.saturating_add(inner.uses);
                        s.makes = s.makes.saturating_add(inner.makes);
                        s.fills += inner.fills;
                        s.unit = s.unit.or(inner.unit);
                    }
                    _ => {
                        s.fills += 1;
                        s.unit.get_or_insert((inner.uses, inner.makes));
                    }
                }
            }
            Item::Chain { n, .. } => s.makes = s.makes.saturating_add(u64::from(*n)),
            Item::Evenly { .. } | Item::OtherSide => {}
        }
    }
    s
}

fn cut(n: u64) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// Whether the items could lie on `below` stitches: used up exactly, or by some number of repeats.
pub(super) fn suits(items: &[Item], below: u32) -> Option<bool> {
    let s = sum(items);
    if items.iter().any(|i| matches!(i, Item::Evenly { .. })) {
        return None;
    }
    match s.unit {
        None if s.uses == 0 => None,
        None => Some(s.uses == u64::from(below)),
        Some((0, _) | (1, _)) => None,
        Some((u, _)) => Some(u64::from(below) >= s.uses && (u64::from(below) - s.uses).is_multiple_of(u)),
    }
}

/// Works out what the items come to on `below` stitches, with the printed total as a help where the round
/// below alone leaves it open.
pub(super) fn solve(items: &[Item], below: Option<u32>, total: Option<u32>) -> Solved {
    let evenly = items.iter().find_map(|i| match i {
        Item::Evenly { by, down } => Some((*by, *down)),
        _ => None,
    });
    if let Some((by, down)) = evenly {
        return solve_evenly(by, down, below, total);
    }
    let s = sum(items);
    let mut out = Solved { uses: cut(s.uses), makes: cut(s.makes), ..Solved::default() };
    let Some((unit_uses, unit_makes)) = s.unit else { return out };
    out.fills = true;
    out.twice = s.fills > 1;
    let times = match below {
        Some(below) if unit_uses > 0 => {
            let left = u64::from(below).saturating_sub(s.uses);
            let times = left / unit_uses;
            out.rest = cut(left % unit_uses);
            times
        }
        _ => match total {
            Some(total) if unit_makes > 0 && u64::from(total) >= s.makes => {
                let left = u64::from(total) - s.makes;
                if !left.is_multiple_of(unit_makes) {
                    out.open = true;
                }
                left / unit_makes
            }
            _ => {
                out.open = true;
                0
            }
        },
    };
    out.times = cut(times);
    out.uses = cut(s.uses.saturating_add(times.saturating_mul(unit_uses)).saturating_add(u64::from(out.rest)));
    out.makes = cut(s.makes.saturating_add(times.saturating_mul(unit_makes)));
    if out.rest > 0 {
        let begun = beginning(items, out.rest);
        let plain = out.makes.saturating_add(out.rest);
        match begun {
            Some(made) if total != Some(plain) => out.makes = out.makes.saturating_add(made),
            _ => {
                out.makes = plain;
                out.rest_plain = true;
            }
        }
    }
    out
}

fn solve_evenly(by: u32, down: Option<bool>, below: Option<u32>, total: Option<u32>) -> Solved {
    let mut out = Solved { evenly: true, ..Solved::default() };
    match (below, total) {
        (Some(below), total) => {
            out.uses = below;
            let up = below.saturating_add(by);
            let dn = below.saturating_sub(by);
            out.makes = match (down, total) {
                (_, Some(total)) if by == 0 => total,
                (Some(true), _) => dn,
                (Some(false), _) => up,
                (None, Some(total)) if total < below => dn,
                (None, _) => up,
            };
        }
        (None, Some(total)) => {
            out.uses = if down == Some(true) { total.saturating_add(by) } else { total.saturating_sub(by) };
            out.makes = total;
        }
        (None, None) => out.open = true,
    }
    out
}

/// Stitches left when the beginning of the part "to the end" is worked over `rest` stitches; `None` when a
/// stitch would have to be cut.
fn beginning(items: &[Item], rest: u32) -> Option<u32> {
    let mut made = 0;
    let mut left = rest;
    for (stitch, n) in begin_stitches(filling(items)?) {
        let uses = u32::from(stitch.uses);
        let n = left.checked_div(uses).map_or(n, |most| n.min(most));
        made = n.saturating_mul(u32::from(stitch.makes)).saturating_add(made);
        left -= n * uses;
        if left == 0 {
            return Some(made);
        }
        if uses > left {
            return None;
        }
    }
    None
}

fn filling(items: &[Item]) -> Option<&[Item]> {
    items.iter().find_map(|i| match i {
        Item::Group { items, times: Amount::Fill } if sum(items).fills == 0 => Some(items.as_slice()),
        Item::Group { items, .. } => filling(items),
        _ => None,
    })
}

fn begin_stitches(items: &[Item]) -> impl Iterator<Item = (Stitch, u32)> + '_ {
    items.iter().map_while(|i| match i {
        Item::Work { stitch, amount: Amount::N(n), .. } => Some((*stitch, *n)),
        _ => None,
    })
}

/// The runs of a solved list; `None` where they are too many.
pub(super) fn runs(items: &[Item], solved: &Solved, kind: StitchKind) -> Option<Round> {
    if solved.makes > MOST_STITCHES || solved.uses > MOST_STITCHES {
        return None;
    }
    if solved.evenly {
        return spread_kind(solved.uses, solved.makes, 0.5, kind, Loops::Both, None);
    }
    let mut round = Round::default();
    let mut budget = 4 * MOST_STITCHES;
    expand(items, solved, &mut round, &mut budget)?;
    Some(round)
}

fn push(round: &mut Round, stitch: Stitch, times: u32, colour: Option<&Arc<str>>) {
    if times == 0 || (stitch.uses, stitch.makes) == (0, 0) {
        return;
    }
    match round.runs.last_mut() {
        Some(last) if last.stitch == stitch && last.colour.as_ref() == colour => {
            last.times = last.times.saturating_add(times);
        }
        _ => round.runs.push(Run { stitch, times, colour: colour.cloned() }),
    }
}

fn expand(items: &[Item], solved: &Solved, round: &mut Round, budget: &mut u32) -> Option<()> {
    for item in items {
        *budget = budget.checked_sub(1)?;
        match item {
            Item::Work { stitch, amount, colour, .. } => {
                let n = match amount {
                    Amount::N(n) => *n,
                    Amount::Fill => solved.times,
                };
                push(round, *stitch, n, colour.as_ref());
            }
            Item::Group { items: inner, times } => {
                let has_fill = sum(inner).fills > 0;
                let n = match times {
                    _ if has_fill => 1,
                    Amount::N(n) => *n,
                    Amount::Fill => solved.times,
                };
                for _ in 0..n {
                    *budget = budget.checked_sub(1)?;
                    expand(inner, solved, round, budget)?;
                }
                if *times == Amount::Fill && !has_fill && solved.rest > 0 {
                    let colour = inner.iter().find_map(|i| match i {
                        Item::Work { colour, .. } => Some(colour.clone()),
                        _ => None,
                    });
                    let colour = colour.flatten();
                    if solved.rest_plain {
                        let first = begin_stitches(inner).next().map_or(Stitch::SC, |(s, _)| s);
                        let plain = Stitch { uses: 1, makes: 1, ..first };
                        push(round, plain, solved.rest, colour.as_ref());
                    } else {
                        let mut left = solved.rest;
                        for (stitch, n) in begin_stitches(inner) {
                            let uses = u32::from(stitch.uses);
                            let n = left.checked_div(uses).map_or(n, |most| n.min(most));
                            push(round, stitch, n, colour.as_ref());
                            left -= n * uses;
                            if left == 0 {
                                break;
                            }
                        }
                    }
                }
            }
            Item::Chain { n, .. } => {
                push(round, Stitch { uses: 0, makes: 1, ..Stitch::SC }, *n, None);
            }
            Item::Evenly { .. } | Item::OtherSide => {}
        }
    }
    Some(())
}

/// A round known by its counts, in the kind, loops and colour of its instruction.
pub(super) fn spread_kind(
    from: u32,
    to: u32,
    shift: f64,
    kind: StitchKind,
    loops: Loops,
    colour: Option<&Arc<str>>,
) -> Option<Round> {
    if from.max(to) > MOST_STITCHES {
        return None;
    }
    let mut round = spread(from, to, shift).ok()?;
    for run in &mut round.runs {
        run.stitch.kind = kind;
        run.stitch.loops = loops;
        run.colour = colour.cloned();
    }
    Some(round)
}

/// Kind, loops and colour that most of the items have, for a round known by its total only.
pub(super) fn manner(items: &[Item], kind: StitchKind) -> (StitchKind, Loops, Option<Arc<str>>) {
    for item in items {
        match item {
            Item::Work { stitch, colour, .. } => return (stitch.kind, stitch.loops, colour.clone()),
            Item::Group { items, .. } if !items.is_empty() => return manner(items, kind),
            _ => {}
        }
    }
    (kind, Loops::Both, None)
}
