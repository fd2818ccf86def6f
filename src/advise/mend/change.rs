//! How much a change changes a toy: one number by which changes are ordered, and what it is made of.
//!
//! Outlines are compared part by part. A part's own outline (half its profile, distances along the axis counted from
//! where it is fixed) moves by the distance from each of its places to the nearest of the other outline, both ways;
//! a part that is put elsewhere moves by how far its places go with everything else as it was. That a neighbour
//! has changed its size is the neighbour's change. An address on a part that has gained or lost rounds counts as moved
//! by its angle alone.
//!
//! One point of change is as much as (from memory; defaults that nothing measured decides):
//!
//! | one point | of |
//! |---|---|
//! | 1 mm | outline, mean over the area of all parts |
//! | 4 mm | outline, where it moves most |
//! | 60 | stitches added or taken |
//! | 15 min | longer or shorter work, sewing in of what is added included |
//! | 120 min | work to do again, were the toy made already |
//! | 20 g | weight put in or taken out |

use std::sync::Arc;

use glam::{DAffine3, DVec2, DVec3};
use serde::Serialize;

use crate::measure::time::{SEAM_MINUTES, USUAL_PACE};
use crate::measure::{Glance, Made};
use crate::part::{Base, End};
use crate::toy::pose::{PiecePose, poses};
use crate::toy::shape::PartShape;
use crate::toy::{ExtraKind, Seat, Toy};

/// Pace of single crochet, a minute.
pub const STITCHES_PER_MINUTE: f64 = USUAL_PACE.value;
/// Sewing a part on, minutes.
const SEAM_MIN: f64 = SEAM_MINUTES.value;
/// Opening a seam, stuffing anew and closing it (from memory; a default).
const RESTUFF_MIN: f64 = 10.0;
/// Sewing an inner bag, cutting a disc, capping a stick (from memory; a default).
const HANDLING_MIN: f64 = 10.0;

/// How much a change changes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Change {
    /// Most that a place of an outline moves, mm.
    pub outline_max_mm: f64,
    /// How far outlines move, mean over the area of all parts, mm.
    pub outline_mean_mm: f64,
    /// Least number of stitches added or taken, round by round, that leads from the old counts to the new, all
    /// copies together.
    pub stitches: u32,
    /// Minutes that the toy takes longer; below 0 where it is made sooner.
    pub minutes_more: f64,
    /// Minutes of work to do again if the toy is made already: changed parts from their first changed round on,
    /// seams, stuffing.
    pub rework_min: f64,
    /// Mass of things added, less that of things taken out, g.
    pub added_g: f64,
    /// All of it in one number.
    pub points: f64,
}

/// How much `after` differs from `before`, both with their parts in the same order.
pub fn change(before: &Toy, look: &Glance, after: &Toy, made: &Made) -> Change {
    let mut change = Change::default();
    let (mut area, mut moved) = (0.0, 0.0);
    let elsewhere = moved_poses(before, &look.made.shapes, after);
    let was = elsewhere.as_ref().map(|_| poses(before, &look.made.shapes));
    for (index, piece) in before.pieces.iter().enumerate() {
        let (Some(new), Some(shape), Some(other)) =
            (after.pieces.get(index), look.made.shapes.get(index), made.shapes.get(index))
        else {
            continue;
        };
        let copies = f64::from(look.copies.get(index).copied().unwrap_or(1));
        let from = fixed_at(&look.made.poses[index], shape);
        let (own_area, mut mean, mut most) = (area_mm2(shape) * copies, 0.0, 0.0);
        if !Arc::ptr_eq(shape, other) {
            (mean, most) = outline(shape, from, other, fixed_at(&made.poses[index], other));
        }
        if let (Some(now), Some(was)) = (&elsewhere, &was) {
            let (far, farthest) = displaced(shape, was, now, index);
            if farthest > 1e-6 {
                change.rework_min += SEAM_MIN * copies;
            }
            (mean, most) = (mean + far, most + farthest);
        }
        area += own_area;
        moved += mean * own_area;
        change.outline_max_mm = change.outline_max_mm.max(most);
        let (old_counts, new_counts) = (piece.part.counts(), new.part.counts());
        if old_counts != new_counts {
            change.stitches = change
                .stitches
                .saturating_add(stitches_between(&old_counts, &new_counts).saturating_mul(copies as u32));
            change.minutes_more +=
                copies * (new.part.stitches() as f64 - piece.part.stitches() as f64) / STITCHES_PER_MINUTE;
        }
        if piece.part.rounds != new.part.rounds {
            let same = piece.part.rounds.iter().zip(&new.part.rounds).take_while(|(a, b)| a == b).count();
            let again: f64 = new_counts[same.min(new_counts.len())..].iter().map(|n| f64::from(*n)).sum();
            change.rework_min += copies * again / STITCHES_PER_MINUTE;
        } else if piece.part.stuffing != new.part.stuffing || piece.part.base != new.part.base {
            change.rework_min += copies * RESTUFF_MIN;
        }
        let disc = |base: &Base| matches!(base, Base::Disc { .. });
        if disc(&new.part.base) && !disc(&piece.part.base) {
            change.minutes_more += copies * HANDLING_MIN;
        }
    }
    change.outline_mean_mm = if area > 0.0 { moved / area } else { 0.0 };
    things(before, &look.copies, after, &mut change);
    change.points = change.outline_mean_mm
        + change.outline_max_mm / 4.0
        + f64::from(change.stitches) / 60.0
        + change.minutes_more.abs() / 15.0
        + change.rework_min / 120.0
        + change.added_g.abs() / 20.0;
    change
}

/// Mass of all that is added to the parts of a toy, of which there are so many copies each, g.
pub fn things_g(toy: &Toy, copies: &[u32]) -> f64 {
    let each = toy.extras.iter().map(|e| {
        let parts = toy.piece_named(&e.part).and_then(|i| copies.get(i)).copied().unwrap_or(1);
        e.mass_g * f64::from(e.copies.number()) * f64::from(parts)
    });
    each.fold(0.0, std::ops::Add::add)
}

/// Things added and taken out.
fn things(before: &Toy, copies: &[u32], after: &Toy, change: &mut Change) {
    change.added_g = things_g(after, copies) - things_g(before, copies);
    let inside = |toy: &Toy| {
        let hidden = |k: &ExtraKind| matches!(k, ExtraKind::Pellets | ExtraKind::Weight | ExtraKind::NeckStick);
        toy.extras.iter().filter(|e| hidden(&e.kind)).count() as f64
    };
    let more = inside(after) - inside(before);
    change.minutes_more += HANDLING_MIN * more.max(0.0);
    if before.extras != after.extras {
        change.rework_min += RESTUFF_MIN;
    }
}

/// The least number of stitches added or taken that leads from one list of counts to the other: rounds keep their
/// order, a round that is added or taken counts with all its stitches.
pub fn stitches_between(old: &[u32], new: &[u32]) -> u32 {
    let mut row: Vec<u32> = std::iter::once(0)
        .chain(new.iter().scan(0u32, |sum, n| {
            *sum = sum.saturating_add(*n);
            Some(*sum)
        }))
        .collect();
    for a in old {
        let mut diagonal = row[0];
        row[0] = row[0].saturating_add(*a);
        for (j, b) in new.iter().enumerate() {
            let above = row[j + 1];
            let least = diagonal.saturating_add(a.abs_diff(*b));
            row[j + 1] = least.min(above.saturating_add(*a)).min(row[j].saturating_add(*b));
            diagonal = above;
        }
    }
    row[new.len()]
}

/// Height in its own frame at which a part is fixed.
fn fixed_at(pose: &PiecePose, shape: &PartShape) -> (f64, f64) {
    let end = match pose.by {
        End::Start => shape.nodes.first(),
        End::Finish => shape.nodes.last(),
    };
    let z_mm = pose.seam.map(|s| s.own_z_mm).or(end.map(|r| r.z_mm)).unwrap_or(0.0);
    (z_mm, if pose.by == End::Start { 1.0 } else { -1.0 })
}

/// Area of the outside, mm²: of the outline turned about the axis (a folded part counts as its half width turned).
fn area_mm2(shape: &PartShape) -> f64 {
    bands(&points(shape, (0.0, 1.0))).iter().sum()
}

fn points(shape: &PartShape, (z_mm, way): (f64, f64)) -> Vec<DVec2> {
    let point = |r: &crate::solid::Ring| DVec2::new(r.radius_mm + r.core_half_mm, way * (r.z_mm - z_mm));
    shape.outer.rings.iter().map(point).collect()
}

fn bands(points: &[DVec2]) -> Vec<f64> {
    points.windows(2).map(|p| std::f64::consts::PI * (p[0].x + p[1].x) * p[0].distance(p[1])).collect()
}

/// Mean (over the area) and greatest distance of two outlines.
fn outline(a: &PartShape, a_fixed: (f64, f64), b: &PartShape, b_fixed: (f64, f64)) -> (f64, f64) {
    let (a, b) = (points(a, a_fixed), points(b, b_fixed));
    let (there, back) = (one_way(&a, &b), one_way(&b, &a));
    ((there.0 + back.0) / 2.0, there.1.max(back.1))
}

fn one_way(from: &[DVec2], to: &[DVec2]) -> (f64, f64) {
    let far: Vec<f64> = from.iter().map(|p| distance(*p, to)).collect();
    let (mut sum, mut area) = (0.0, 0.0);
    for (band, d) in bands(from).iter().zip(far.windows(2)) {
        sum += band * (d[0] + d[1]) / 2.0;
        area += band;
    }
    (if area > 0.0 { sum / area } else { 0.0 }, far.iter().copied().fold(0.0, f64::max))
}

fn distance(point: DVec2, line: &[DVec2]) -> f64 {
    let to_piece = |p: &[DVec2]| {
        let (along, off) = (p[1] - p[0], point - p[0]);
        let share =
            if along.length_squared() > 0.0 { (off.dot(along) / along.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
        off.distance(along * share)
    };
    let nearest = line.windows(2).map(to_piece).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}

/// Poses of the toy as it was, its parts put where they are now; `None` where all are where they were.
fn moved_poses(before: &Toy, shapes: &[Arc<PartShape>], after: &Toy) -> Option<Vec<PiecePose>> {
    let mut toy = before.clone();
    for (index, piece) in toy.pieces.iter_mut().enumerate() {
        let Some(new) = after.pieces.get(index) else { continue };
        let mut placement = new.placement.clone();
        let rounds_differ = |name: &str| {
            let rounds = |toy: &Toy| toy.piece_named(name).map(|i| toy.pieces[i].part.rounds.len());
            rounds(before) != rounds(after)
        };
        if let (Seat::OnSurface { at: old, .. }, Seat::OnSurface { part, at }) =
            (&piece.placement.seat, &mut placement.seat)
            && rounds_differ(part)
        {
            at.round = old.round;
        }
        if rounds_differ(&piece.part.name) {
            placement.seam_round = piece.placement.seam_round;
        }
        piece.placement = placement;
    }
    (toy.pieces != before.pieces).then(|| poses(&toy, shapes))
}

/// Mean and greatest way that the places of a part go, seen from the part it sits on.
fn displaced(shape: &PartShape, was: &[PiecePose], now: &[PiecePose], index: usize) -> (f64, f64) {
    let on_parent = |poses: &[PiecePose]| -> Option<DAffine3> {
        let own = poses.get(index)?.toy_from_part.first()?;
        match poses[index].parent {
            Some(parent) => Some(poses.get(parent)?.toy_from_upright.first()?.inverse() * *own),
            None => Some(*own),
        }
    };
    let (Some(was), Some(now)) = (on_parent(was), on_parent(now)) else { return (0.0, 0.0) };
    let (mut sum, mut weight, mut most) = (0.0, 0.0, 0.0_f64);
    for ring in &shape.outer.rings {
        let r = ring.radius_mm + ring.core_half_mm;
        for side in [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y] {
            let point = side * r + DVec3::Z * ring.z_mm;
            let far = now.transform_point3(point).distance(was.transform_point3(point));
            sum += far * (r + 1e-9);
            weight += r + 1e-9;
            most = most.max(far);
        }
    }
    (if weight > 0.0 { sum / weight } else { 0.0 }, most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stitches_between_lists_are_those_of_the_shortest_way() {
        assert_eq!(stitches_between(&[6, 12, 18, 12, 6], &[6, 12, 18, 12, 6]), 0);
        // One round of 18 taken out; one round by two stitches more.
        assert_eq!(stitches_between(&[6, 12, 18, 18, 12, 6], &[6, 12, 18, 12, 6]), 18);
        assert_eq!(stitches_between(&[6, 12, 18], &[6, 14, 18]), 2);
        assert_eq!(stitches_between(&[], &[6, 12]), 18);
    }

    #[test]
    fn the_distance_of_two_cylinders_is_the_difference_of_their_radii() {
        let line = |r: f64| vec![DVec2::new(r, 0.0), DVec2::new(r, 30.0)];
        assert_eq!(one_way(&line(10.0), &line(12.5)), (2.5, 2.5));
    }
}
