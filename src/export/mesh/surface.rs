//! Triangles of one closed surface from its outline.

use std::f64::consts::{PI, TAU};

use glam::{DAffine3, DVec2, DVec3};

use super::Surface;
use super::profile::{Profile, is_point, is_slit};
use crate::solid::Ring;
use crate::view::scene::SurfaceInput;

/// Turns an outline about its axis and puts it in its place. `colour` says, for a round and a share of the way
/// around from local +x toward +y, which colour it has. `None` where nothing is left of it.
pub(super) fn surface(
    profile: &Profile,
    toy_from_part: &DAffine3,
    colour: &mut dyn FnMut(usize, f64) -> u32,
) -> Option<Surface> {
    let segments = profile.segments();
    let mut worked = Surface::default();
    let corners: Vec<Vec<u32>> =
        profile.rings.iter().map(|ring| push_ring(&mut worked.points, ring, segments, toy_from_part)).collect();
    // A reflection turns every triangle inside out.
    let mirrored = toy_from_part.matrix3.determinant() < 0.0;
    let closing = profile.joined_by.map(|round| (profile.rings.len() - 1, 0, round));
    let bands = profile.rounds.iter().enumerate().map(|(i, round)| (i, i + 1, *round)).chain(closing);
    for (below, above, round) in bands {
        let wider = |i: usize| profile.rings[i].radius_mm + profile.rings[i].core_half_mm;
        let shares = shares(&profile.rings[if wider(below) > wider(above) { below } else { above }], segments);
        let (below, above) = (&corners[below], &corners[above]);
        for k in 0..segments {
            let next = (k + 1) % segments;
            let (a, b, c, d) = (below[k], below[next], above[next], above[k]);
            let mut index = None;
            for [p, q, r] in [[a, b, c], [a, c, d]] {
                if p == q || q == r || r == p {
                    continue;
                }
                worked.triangles.push(if mirrored { [p, r, q] } else { [p, q, r] });
                worked.colour_of.push(*index.get_or_insert_with(|| colour(round, shares[k])));
            }
        }
    }
    drop_unused(&mut worked);
    (!worked.triangles.is_empty()).then_some(worked)
}

/// Directions of a ring's corners and the side of the core each belongs to. None lies where a round end meets the
/// straight part, so that one corner is enough there.
fn corner(k: usize, segments: usize) -> (DVec2, f64) {
    let (sin, cos) = (TAU * (k as f64 + 0.5) / segments as f64).sin_cos();
    (DVec2::new(cos, sin), cos.signum())
}

/// Corners of a ring: one where it is a point, two where it is a slit. They lie as far outside the circle as makes
/// the area between them that of the circle: N/2·sin(2π/N)·r'² = π·r².
fn push_ring(points: &mut Vec<DVec3>, ring: &Ring, segments: usize, toy_from_part: &DAffine3) -> Vec<u32> {
    let first = points.len() as u32;
    let mut push = |x: f64, y: f64| points.push(toy_from_part.transform_point3(DVec3::new(x, y, ring.z_mm)));
    if is_point(ring) {
        push(0.0, 0.0);
        return vec![first; segments];
    }
    if is_slit(ring) {
        push(ring.core_half_mm, 0.0);
        push(-ring.core_half_mm, 0.0);
        return (0..segments).map(|k| if corner(k, segments).1 > 0.0 { first } else { first + 1 }).collect();
    }
    let step = TAU / segments as f64;
    let radius_mm = ring.radius_mm * (step / step.sin()).sqrt();
    for k in 0..segments {
        let (out, side) = corner(k, segments);
        push(radius_mm * out.x + ring.core_half_mm * side, radius_mm * out.y);
    }
    (first..first + segments as u32).collect()
}

/// Where the middle of each side of a ring lies, as a share of the way around from local +x.
fn shares(ring: &Ring, segments: usize) -> Vec<f64> {
    let at = |k: usize| {
        let (out, side) = corner(k % segments, segments);
        out * ring.radius_mm.max(1e-6) + DVec2::new(ring.core_half_mm * side, 0.0)
    };
    let lengths: Vec<f64> = (0..segments).map(|k| at(k).distance(at(k + 1))).collect();
    let around: f64 = lengths.iter().sum();
    // The side before corner 0 has local +x in its middle.
    let mut gone = lengths.last().map_or(0.0, |l| l / 2.0);
    let middles = lengths.iter().map(|length| {
        let middle = (gone + length / 2.0) / around;
        gone += length;
        middle.fract()
    });
    middles.collect()
}

/// Leaves out corners that no triangle has.
fn drop_unused(worked: &mut Surface) {
    let mut used = vec![false; worked.points.len()];
    worked.triangles.iter().flatten().for_each(|i| used[*i as usize] = true);
    if used.iter().all(|u| *u) {
        return;
    }
    let mut number = 0;
    let numbers: Vec<u32> = used
        .iter()
        .map(|u| {
            let own = number;
            number += u32::from(*u);
            own
        })
        .collect();
    worked.triangles.iter_mut().flatten().for_each(|i| *i = numbers[*i as usize]);
    let mut keep = used.iter();
    worked.points.retain(|_| keep.next().is_some_and(|u| *u));
}

/// Colour of a round at a share of the way around: that of the stretch there, else the round's own. A band beyond
/// the last round (a closing one) looks like the last.
pub(super) fn colour_at(look: &SurfaceInput, round: usize, share: f64) -> [u8; 3] {
    let at = round.min(look.rounds.len().saturating_sub(1));
    let Some(worked) = look.rounds.get(at) else { return [0; 3] };
    let start = f64::from(look.drift_start.get(at).copied().unwrap_or(0.0)) / (2.0 * PI);
    let turned = if worked.backward { start - share } else { share - start };
    let made = turned.rem_euclid(1.0) as f32;
    let stretch = worked.stretches.iter().find(|s| s.from <= made && made < s.to);
    stretch.map_or(worked.colour, |s| s.colour)
}
