//! Whether a change leaves alone what the maker holds fast.

use super::change::{stitches_between, things_g};
use crate::toy::wishes::Limits;
use crate::toy::{Extra, Piece, Seat, Toy};

/// Whether `after` keeps to the limits on parts, rounds, stitches and weight; `copies` says how many there are of each
/// part. (Limits on outline and time are looked at when the change is measured.)
pub fn allowed(limits: &Limits, before: &Toy, copies: &[u32], after: &Toy) -> bool {
    let parts = limits.locked_parts.iter().all(|name| is_kept(before, after, name));
    let rounds = limits.locked_rounds.iter().all(|l| {
        let part = |toy: &Toy| toy.piece_named(&l.part).map(|i| toy.pieces[i].part.clone());
        let (Some(old), Some(new)) = (part(before), part(after)) else { return true };
        let from = (l.from.max(1) as usize - 1).min(old.rounds.len());
        let to = (l.to as usize).min(old.rounds.len());
        from >= to || new.rounds.windows(to - from).any(|w| *w == old.rounds[from..to])
    });
    let stitches = || {
        let each = before.pieces.iter().zip(&after.pieces).zip(copies);
        each.filter(|((a, b), _)| a.part.rounds != b.part.rounds).fold(0u32, |sum, ((a, b), copies)| {
            let one = stitches_between(&a.part.counts(), &b.part.counts());
            sum.saturating_add(one.saturating_mul(*copies))
        })
    };
    let weight = || things_g(after, copies) - things_g(before, copies);
    parts
        && rounds
        && limits.max_stitches_changed.is_none_or(|most| stitches() <= most)
        && limits.max_weight_g.is_none_or(|most| weight() <= most + 1e-9)
}

/// Whether a part of this name has the same rounds, stuffing, place and things in it. The number of the round it is
/// sewn to may follow rounds that were put in below it.
fn is_kept(before: &Toy, after: &Toy, name: &str) -> bool {
    let piece = |toy: &Toy| -> Option<Piece> { toy.piece_named(name).map(|i| toy.pieces[i].clone()) };
    let (old, new) = (piece(before), piece(after));
    let same = match (old, new) {
        (Some(old), Some(mut new)) => {
            let rounds = |toy: &Toy, of: &str| toy.piece_named(of).map(|i| toy.pieces[i].part.rounds.len());
            if let (Seat::OnSurface { at: was, .. }, Seat::OnSurface { part, at }) =
                (&old.placement.seat, &mut new.placement.seat)
                && rounds(before, part) != rounds(after, part)
            {
                at.round = was.round;
            }
            old == new
        }
        (old, new) => old == new,
    };
    let things = |toy: &Toy| -> Vec<Extra> { toy.extras.iter().filter(|e| e.part == name).cloned().collect() };
    same && things(before) == things(after)
}
