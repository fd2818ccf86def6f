//! Colour changes within a round in the flat views: the stretches of the side that is seen, stitch by stitch from where
//! the round begins on the worked fabric.

use glam::{DVec2, DVec3};

use super::elevation::{Sight, yarn_colour};
use super::picture::convex_outline;
use super::scene::section::point_at;
use crate::measure::maps::WorkedFabric;
use crate::rounds::Round;
use crate::solid::Ring;
use crate::toy::Toy;

/// Longest piece of a round drawn as one, as a share of the round.
const PIECE: f64 = 1.0 / 48.0;
/// Pieces of one round that are drawn at most.
const MOST_PIECES: usize = 400;

/// Stretches of a round in its own colours, as (from, to, colour), shares of the round; empty where it is worked in
/// one colour.
pub(super) fn stretches(toy: &Toy, part: usize, round: &Round) -> Vec<(f64, f64, [u8; 3])> {
    let total = f64::from(round.count().max(1));
    if round.runs.iter().all(|r| r.colour == round.runs[0].colour) {
        return Vec::new();
    }
    let mut made = 0.0;
    let mut found: Vec<(f64, f64, [u8; 3])> = Vec::new();
    for run in &round.runs {
        let from = made / total;
        made += f64::from(run.times) * f64::from(run.stitch.makes);
        let (to, colour) = (made / total, yarn_colour(toy, part, run.colour.as_deref()));
        match found.last_mut() {
            Some(last) if last.2 == colour => last.1 = to,
            _ => found.push((from, to, colour)),
        }
    }
    found
}

/// The same as shares of the way around a copy of the part from its +x toward +y, where its fabric lies so.
pub(super) fn laid(
    fabric: &WorkedFabric,
    round: usize,
    stretches: Vec<(f64, f64, [u8; 3])>,
) -> Vec<(f64, f64, [u8; 3])> {
    let start = fabric.begins_from_x(round);
    let along = |(from, to, colour)| match fabric.runs_x_to_y() {
        true => (start + from, start + to, colour),
        false => (start - to, start - from, colour),
    };
    stretches.into_iter().map(along).collect()
}

/// The pieces of the band between two rings that are seen, each with its colour; `both` sides of a sheet are seen.
/// Stretches are shares of the way around from +x toward +y.
pub(super) fn seen_pieces(
    sight: &Sight,
    (a, b): (Ring, Ring),
    stretches: &[(f64, f64, [u8; 3])],
    both: bool,
) -> Vec<(Vec<DVec2>, [u8; 3])> {
    let mut pieces = Vec::new();
    // The profile's normal, radial and along the axis.
    let slope = DVec2::new(b.z_mm - a.z_mm, a.radius_mm + a.core_half_mm - b.radius_mm - b.core_half_mm);
    let at = |ring: Ring, share: f64| {
        let (point, out) = point_at(share, ring.radius_mm, ring.core_half_mm);
        (sight.on_axis(ring.z_mm) + sight.x * point.x + sight.y * point.y, out)
    };
    for (from, to, colour) in stretches {
        let steps = (((to - from) / PIECE).ceil() as usize).clamp(1, MOST_PIECES);
        for step in 0..steps {
            let share = |i: usize| from + (to - from) * i as f64 / steps as f64;
            let (_, out) = at(if b.radius_mm > a.radius_mm { b } else { a }, 0.5 * (share(step) + share(step + 1)));
            if !both && sight.faces(DVec3::new(out.x * slope.x, out.y * slope.x, slope.y)) <= 0.0 {
                continue;
            }
            let corners = [(a, step), (a, step + 1), (b, step + 1), (b, step)].map(|(r, i)| at(r, share(i)).0);
            let outline = convex_outline(&corners);
            if outline.len() >= 3 && pieces.len() < MOST_PIECES {
                pieces.push((outline, *colour));
            }
        }
    }
    pieces
}
