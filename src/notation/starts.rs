//! The first round of a piece: what it is worked into.

use std::ops::Range;

use super::diagnostic::{Found, ProblemKind as K, Severity as S};
use super::expand::{MOST_STITCHES, runs, solve};
use super::fit::Fitted;
use super::grammar::{Amount, Into, Item};
use super::reading::Known;
use super::settle::Settled;
use crate::rounds::{Loops, Round, Run, Start, Stitch, StitchKind};

/// What a line before the first round has begun.
#[derive(Clone, Debug, Default)]
pub(super) struct Begun {
    pub ring: bool,
    /// A chain of so many stitches, and whether it is joined to a ring.
    pub chain: Option<(u32, bool)>,
    /// "front loops of round 12": the part begun on.
    pub rim: Option<String>,
    pub legs: Vec<String>,
}

/// A first round: its start, and the round unless the line only begins one.
pub(super) struct First {
    pub start: Start,
    pub round: Option<Settled>,
}

/// Chains up to this length that are joined make a ring to work into, not a tube.
const RING_CHAIN: u32 = 6;

/// The length of the chain, where nothing is worked but chains: `Ch 14`, `Ch 15 x2`.
pub(super) fn cord(items: &[Item]) -> Option<u32> {
    let chain = |i: &Item| match i {
        Item::Chain { n } => Some(*n),
        Item::Group { items, .. } => match items.as_slice() {
            [Item::Chain { n }] => Some(*n),
            _ => None,
        },
        _ => None,
    };
    if !items.iter().all(|i| chain(i).is_some()) {
        return None;
    }
    items.first().and_then(chain)
}

/// Makes the first round of a piece.
pub(super) fn first(
    f: &Fitted,
    begun: &mut Begun,
    span: &Range<usize>,
    kind: StitchKind,
    rows: bool,
    found: &mut Vec<Found>,
) -> Option<First> {
    let mut items = f.parsed.items.clone();
    let total = f.parsed.total.as_ref().map(|t| t.n);
    if let Some(n) = cord(&items).filter(|n| total.is_none_or(|t| t == *n)) {
        begun.chain = Some((n, f.parsed.chain_joined));
        return Some(First { start: Start::ChainRing, round: None });
    }
    let in_ring = f.parsed.ring || begun.ring || any(&items, &|i| matches!(i, Item::Work { into: Into::Ring, .. }));
    if let Some(Item::Chain { n, .. }) = items.first() {
        let n = *n;
        items.remove(0);
        items.retain(|i| !matches!(i, Item::Chain { n: 1..=3, .. }));
        if items.is_empty() && total.is_none() {
            begun.chain = Some((n, f.parsed.chain_joined));
            return Some(First { start: Start::ChainRing, round: None });
        }
        begun.chain = Some((n, f.parsed.chain_joined));
    }
    if items.is_empty() && total.is_none() {
        if in_ring {
            begun.ring = true;
            return Some(First { start: Start::MagicRing, round: None });
        }
        return None;
    }
    if items.iter().any(|i| matches!(i, Item::Evenly { .. })) {
        items.clear();
    }
    let legs = f.parsed.legs.max(u32::try_from(begun.legs.len()).unwrap_or(0));
    if legs >= 2 || (legs == 1 && !begun.legs.is_empty()) {
        return joined(f, begun, span, kind, found);
    }
    if items.is_empty() {
        let n = total?;
        items.push(Item::Work {
            stitch: Stitch::plain(kind),
            amount: Amount::N(n),
            into: Into::Stitch,
            colour: f.parsed.colour.clone(),
            unnumbered: false,
            span: span.clone(),
        });
    }
    let into_chain =
        |k: &dyn Fn(u32) -> bool| items.iter().any(|i| matches!(i, Item::Work { into: Into::Chain(n), .. } if k(*n)));
    if let Some((chain, joined_ring)) = begun.chain
        && !in_ring
    {
        let nth = items.iter().find_map(|i| match i {
            Item::Work { into: Into::Chain(n), .. } => Some(*n),
            _ => None,
        });
        // "hdc in 3rd ch from hook and in each ch across": of 40 chains 38 are worked.
        let base = chain.saturating_sub(nth.map_or(1, |n| n.max(2) - 1)).max(1);
        let solved = solve(&items, Some(base), total);
        let made = if solved.open { total.unwrap_or(0) } else { solved.makes };
        let both_sides = items.iter().any(|i| matches!(i, Item::OtherSide | Item::Work { into: Into::LastChain, .. }));
        if chain <= 3 && !both_sides && (nth.is_some() || !joined_ring) {
            // `ch 2, 6 sc in 2nd ch from hook`
            return Some(ring(&items, total, span, kind, found, f));
        }
        if joined_ring && (chain <= RING_CHAIN && made != chain) {
            return Some(ring(&items, total, span, kind, found, f));
        }
        if joined_ring || (made == chain && !both_sides && nth.is_none()) {
            let solved = solve(&items, Some(chain), total);
            return Some(plain(Start::ChainRing, &items, solved.makes, total, span, kind, found));
        }
        // A stem: slip stitches down a chain, then a ring in its first stitch.
        let stem = items.iter().any(|i| matches!(i, Item::Work { stitch, .. } if stitch.kind == StitchKind::Slip));
        let last =
            items.iter().any(|i| matches!(i, Item::Work { into: Into::LastChain, stitch, .. } if stitch.makes >= 4));
        let into_first = into_chain(&|n| n == 1) || last;
        let slip = |i: &Item| matches!(i, Item::Work { stitch, .. } if stitch.kind == StitchKind::Slip);
        if stem && into_first && !items.iter().all(slip) {
            let rest: Vec<Item> = items
                .iter()
                .filter(|i| !matches!(i, Item::Work { stitch, .. } if stitch.kind == StitchKind::Slip))
                .cloned()
                .collect();
            return Some(ring(&rest, total, span, kind, found, f));
        }
        let start = Start::ChainOval { chain: base };
        let start = if both_sides || solved.uses > base { start } else { Start::ChainRing };
        if start == Start::ChainRing {
            let message = "Worked along one side of the chain only: taken as a flat strip joined to a tube.";
            let remedy = "Say whether the chain is joined, or how its other side is worked.";
            // Rows are said to be flat.
            let severity = if rows { S::Note } else { S::Warning };
            found.push(Found::new(K::StartUnclear, severity, span.clone(), message, remedy));
        }
        return Some(plain(start, &items, made, total, span, kind, found));
    }
    if in_ring {
        return Some(ring(&items, total, span, kind, found, f));
    }
    if let Some(part) = &begun.rim {
        let start = Start::Rim { part: part.clone() };
        let solved = solve(&items, None, total);
        return Some(plain(start, &items, solved.makes, total, span, kind, found));
    }
    // Nothing says what it is worked into: the custom for bare counts.
    let solved = solve(&items, None, total);
    let n = if solved.open { total? } else { solved.makes };
    let start = if n <= 12 { Start::MagicRing } else { Start::ChainRing };
    let (severity, message) = if n <= 12 {
        (S::Note, "The first round does not say what it is worked into: a magic ring is taken.")
    } else {
        (S::Warning, "The first round does not say what it is worked into: a chain joined to a ring is taken.")
    };
    let remedy = "Write \"in a magic ring\", or the chain it begins with.";
    found.push(Found::new(K::StartUnclear, severity, span.clone(), message, remedy));
    Some(plain(start, &items, n, total, span, kind, found))
}

fn any(items: &[Item], test: &dyn Fn(&Item) -> bool) -> bool {
    items.iter().any(|i| test(i) || matches!(i, Item::Group { items, .. } if any(items, test)))
}

/// Stitches worked into a ring: as many as are made, whatever an increase there may mean.
fn ring(
    items: &[Item],
    total: Option<u32>,
    span: &Range<usize>,
    kind: StitchKind,
    found: &mut Vec<Found>,
    f: &Fitted,
) -> First {
    let solved = solve(items, None, total);
    let n = if solved.open { total.unwrap_or(0) } else { solved.makes };
    if any(items, &|i| matches!(i, Item::Chain { .. })) {
        let message = "Chains stand among the stitches of the first round; each is counted as a stitch.";
        let remedy = "Write the total of the round if the chains are not counted.";
        found.push(Found::new(K::Guessed, S::Warning, span.clone(), message, remedy));
    }
    let mut first = plain(Start::MagicRing, items, n, total, span, kind, found);
    let colour = items.iter().find_map(|i| match i {
        Item::Work { colour, .. } => colour.clone(),
        _ => None,
    });
    // "6 sc in the ring" is six plain stitches, also where the place makes them one increase of six.
    if let Some(settled) = &mut first.round {
        let only = settled.round.runs.iter().all(|r| r.stitch.kind == settled.round.kind());
        let several = settled.round.runs.iter().any(|r| r.stitch.makes != 1);
        if only && several {
            let kind = settled.round.kind();
            let n = settled.round.count();
            settled.round =
                Round::of([Run { stitch: Stitch::plain(kind), times: n, colour: colour.or(f.parsed.colour.clone()) }]);
        }
    }
    first
}

fn plain(
    start: Start,
    items: &[Item],
    made: u32,
    total: Option<u32>,
    span: &Range<usize>,
    kind: StitchKind,
    found: &mut Vec<Found>,
) -> First {
    let mut known = Known::WorkedOut;
    let solved = solve(items, Some(made), total);
    let solved = if solved.makes == made { solved } else { solve(items, None, Some(made)) };
    let n = match total {
        Some(t) if t != made => {
            let message = format!("The instruction makes {made} stitches, the printed total is {t}: {t} is taken.");
            let remedy = "Check the first round against the second.";
            found.push(Found::new(K::TotalDiffers, S::Warning, span.clone(), message, remedy));
            known = Known::TotalOnly;
            t
        }
        _ => made,
    };
    if n == 0 {
        let message = "How many stitches this first round has cannot be told; a number such as 6 sc, or a total, is expected. The round is left out.";
        let remedy = "Write how many stitches it has, or its total in brackets.";
        found.push(Found::new(K::NoCount, S::Severe, span.clone(), message, remedy));
        return First { start, round: None };
    }
    if n > MOST_STITCHES {
        let message = format!("This first round would have {n} stitches; no more than {MOST_STITCHES} are expected.");
        found.push(Found::new(K::TooLarge, S::Severe, span.clone(), message, "Check the numbers of this round."));
        return First { start, round: None };
    }
    let (k, loops, colour) = super::expand::manner(items, kind);
    let even = || Round::of([Run { stitch: Stitch { loops, ..Stitch::plain(k) }, times: n, colour: colour.clone() }]);
    let round = match known {
        Known::WorkedOut => runs(items, &solved, kind).filter(|r| r.count() == n).unwrap_or_else(even),
        _ => even(),
    };
    First { start, round: Some(Settled { round, known }) }
}

/// Around two or more parts already made.
fn joined(
    f: &Fitted,
    begun: &mut Begun,
    span: &Range<usize>,
    kind: StitchKind,
    found: &mut Vec<Found>,
) -> Option<First> {
    let total = f.parsed.total.as_ref().map(|t| t.n);
    let mut chain = begun.chain.map_or(0, |c| c.0);
    let mut items = f.parsed.items.clone();
    items.retain_mut(|i| match i {
        Item::Chain { n, .. } => {
            chain = chain.max(*n);
            false
        }
        Item::OtherSide => false,
        // "3 sc in the ch" of three: one in each.
        Item::Work { stitch, amount, into: Into::Chain(_) | Into::Stitch, .. } => {
            let several = stitch.uses == 1 && u32::from(stitch.makes) > 2;
            if several && *amount == Amount::N(1) {
                *amount = Amount::N(u32::from(stitch.makes));
                stitch.makes = 1;
            }
            true
        }
        _ => true,
    });
    let solved = solve(&items, None, total);
    let made = if solved.open { total? } else { solved.makes };
    let start = Start::JoinedParts { parts: std::mem::take(&mut begun.legs), chain };
    let mut first = plain(start, &items, made, total, span, kind, found);
    if let Some(s) = &mut first.round {
        for run in &mut s.round.runs {
            if run.stitch.loops != Loops::Both && run.stitch.makes == 0 {
                run.stitch.loops = Loops::Both;
            }
        }
    }
    Some(first)
}
