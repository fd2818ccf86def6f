//! The sewing map: for each seam the rounds and stitches of the part sat on that the rim covers, the seam's length,
//! the tail to leave, and how the toy stands if it is sewn on a round or a stitch off.

use super::rim::{RimPoint, goes_around, length_mm, nearest, walk};
use super::{Drifting, MOST_MAPPED, stitch_number};
use crate::measure::Derived;
use crate::measure::necks::necks;
use crate::measure::report::{RoundCover, SeamCopy, SeamReport, SewnOff};
use crate::measure::stand::stand;
use crate::measure::time::worked_in_one;
use crate::measure::work::sewing_tail_mm;
use crate::toy::pose::{Seam, sewn_folded};
use crate::toy::{Address, Copies, Joint, Seat, Toy};

use glam::{DAffine3, DVec3};

/// Every seam of a toy, in the order of its parts.
pub(super) fn seams(toy: &Toy, derived: &Derived) -> Vec<SeamReport> {
    (0..toy.pieces.len()).filter_map(|index| seam(toy, derived, index)).collect()
}

fn word(joint: Joint) -> &'static str {
    match joint {
        Joint::RimToRim => "rim_to_rim",
        Joint::RimOnSurface => "rim_on_surface",
        Joint::FoldedFlat => "folded_flat",
        Joint::WorkedInOne => "worked_in_one",
        Joint::Thread => "thread",
    }
}

fn seam(toy: &Toy, derived: &Derived, index: usize) -> Option<SeamReport> {
    let made = &derived.made;
    let pose = &made.poses[index];
    let (parent, seam) = (pose.parent?, pose.seam?);
    let piece = &toy.pieces[index];
    let in_one = worked_in_one(toy, index, &toy.pieces[parent].part.name);
    let joint = match piece.placement.joint {
        _ if in_one => Joint::WorkedInOne,
        _ if sewn_folded(piece) => Joint::FoldedFlat,
        joint => joint,
    };
    let name = |i: usize| toy.pieces[i].part.name.clone();
    let own_round = (seam.own_node.ceil().max(1.0) as usize).min(piece.part.rounds.len().max(1)) - 1;
    let mut report = SeamReport {
        part: name(index),
        onto: name(parent),
        joint: word(joint),
        own_stitches: piece.part.rounds.get(own_round).map_or(0, |r| r.count()),
        ..SeamReport::default()
    };
    if joint == Joint::WorkedInOne {
        return Some(report);
    }
    // Copies on each copy of the part sat on.
    let each = match piece.placement.copies {
        Copies::One => 1,
        Copies::MirroredPair => 2,
        Copies::Around(n) => n.clamp(1, 200) as usize,
    };
    for (copy, toy_from_part) in pose.toy_from_part.iter().enumerate().take(MOST_MAPPED) {
        let onto_copy = copy / each;
        let Some(toy_from_onto) = made.poses[parent].toy_from_part.get(onto_copy) else { break };
        let Some(fabric) = Drifting::new(toy, made, parent, onto_copy) else { break };
        let rings = &made.shapes[parent].outer.rings;
        let onto_from_part: DAffine3 = toy_from_onto.inverse() * *toy_from_part;
        let centre = onto_from_part.transform_point3(DVec3::new(0.0, 0.0, seam.own_z_mm));
        let Some(middle) = nearest(rings, centre) else { break };
        let Some(place) = fabric.place(middle.address) else { break };
        let walk =
            if joint == Joint::Thread { Vec::new() } else { walk(rings, onto_from_part, seam.own_z_mm, seam.rim) };
        if copy == 0 && !walk.is_empty() {
            // A flat rim is sewn through both its layers at once: the walk goes there and back.
            let there_and_back = if joint == Joint::FoldedFlat { 2.0 } else { 1.0 };
            report.length_mm = length_mm(&walk) / there_and_back;
            report.tail_mm = Some(sewing_tail_mm(report.length_mm));
        }
        report.copies.push(SeamCopy {
            copy: copy as u32,
            onto_copy: onto_copy as u32,
            middle: place,
            all_around: goes_around(&walk),
            rounds: covers(&fabric, &walk, middle.address.angle_deg),
        });
    }
    report.sewn_off = sewn_off(toy, derived, index, parent, &seam);
    Some(report)
}

/// Rounds and stitches that a walk covers.
fn covers(fabric: &Drifting, walk: &[RimPoint], middle_deg: f64) -> Vec<RoundCover> {
    let around = goes_around(walk);
    // Per round: the least and most stitches from the middle's own line.
    let mut spans: Vec<Option<(f64, f64)>> = vec![None; fabric.likely.rounds()];
    let at = |round: usize| fabric.likely.worked(Address { round: round as f64 + 0.5, angle_deg: middle_deg });
    for point in walk {
        let Some(here) = fabric.likely.worked(point.address) else { continue };
        let Some(line) = at(here.round) else { continue };
        let n = f64::from(fabric.likely.count(here.round));
        let off = here.stitches - line.stitches;
        let off = off - n * (off / n).round();
        let span = spans[here.round].get_or_insert((off, off));
        *span = (span.0.min(off), span.1.max(off));
    }
    let cover = |(round, span): (usize, &Option<(f64, f64)>)| {
        let (low, high) = (*span)?;
        let count = fabric.likely.count(round);
        let number = u32::try_from(round + 1).ok()?;
        if around {
            return Some(RoundCover { round: number, from_stitch: 1, to_stitch: count });
        }
        let n = f64::from(count);
        let line = at(round)?.stitches;
        let from_stitch = stitch_number((line + low).rem_euclid(n), count);
        // The last stitch is the one that the far edge lies in, not the one it touches.
        let to_stitch = stitch_number((line + (high - 2e-6).max(low)).rem_euclid(n), count);
        Some(RoundCover { round: number, from_stitch, to_stitch })
    };
    spans.iter().enumerate().filter_map(cover).collect()
}

/// Tip angles with a part sewn on elsewhere, less the one as planned.
fn sewn_off(toy: &Toy, derived: &Derived, index: usize, parent: usize, seam: &Seam) -> Option<SewnOff> {
    let planned = derived.standing.as_ref()?.weakest.tip_deg;
    let made = &derived.made;
    let tip = |change: &dyn Fn(&mut Toy)| {
        let mut toy = toy.clone();
        change(&mut toy);
        let made = made.with_shapes(&toy, made.shapes.clone());
        let necks = necks(&toy, &made);
        stand(&toy, &made, &necks).map_or(0.0, |s| s.weakest.tip_deg) - planned
    };
    let rounds = &toy.pieces[parent].part.rounds;
    let round = (seam.onto_node.ceil().max(1.0) as usize).min(rounds.len().max(1)) - 1;
    let stitch_deg = 360.0 / f64::from(rounds.get(round).map_or(1, |r| r.count()).max(1));
    let high_mm = made.shapes[index].fabric.h_mm.value();
    let by_round = |by: f64| {
        tip(&|toy: &mut Toy| {
            let placement = &mut toy.pieces[index].placement;
            match &mut placement.seat {
                Seat::OnSurface { at, .. } => at.round += by,
                _ => placement.offset_mm += by * high_mm,
            }
        })
    };
    let by_stitch = |by: f64| {
        tip(&|toy: &mut Toy| {
            let placement = &mut toy.pieces[index].placement;
            match &mut placement.seat {
                Seat::OnSurface { at, .. } => at.angle_deg += by * stitch_deg,
                _ => placement.turn_deg += by * stitch_deg,
            }
        })
    };
    Some(SewnOff {
        round_down_deg: by_round(-1.0),
        round_up_deg: by_round(1.0),
        stitch_on_deg: by_stitch(1.0),
        stitch_back_deg: by_stitch(-1.0),
    })
}
