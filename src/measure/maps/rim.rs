//! A rim laid on a surface: its points one by one, each on the fabric below it.

use glam::{DAffine3, DMat3, DVec2, DVec3};

use crate::solid::Ring;
use crate::toy::Address;
use crate::toy::address::{angle_deg_of, outline_at_share, profile_normal, ring_at, surface_point};

/// Points that a rim is walked in: a circle so walked is short by 0.02 %.
const POINTS: usize = 180;

/// One point of a rim on a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RimPoint {
    /// Its address there.
    pub address: Address,
    /// The point, mm in the frame of the part sat on.
    pub at: DVec3,
}

/// Distance of a point from the core of a section.
fn from_core(p: DVec3, core: f64) -> f64 {
    (p.x.abs() - core).max(0.0).hypot(p.y)
}

/// The nearest place on the surface of a part given by its rings; its ends count where they are closed by rings.
pub fn nearest(rings: &[Ring], p: DVec3) -> Option<RimPoint> {
    let mut best = (f64::INFINITY, 0.0);
    for (i, pair) in rings.windows(2).enumerate() {
        let core = (pair[0].core_half_mm + pair[1].core_half_mm) / 2.0;
        let at = DVec2::new(from_core(p, core), p.z);
        let (a, b) = (DVec2::new(pair[0].radius_mm, pair[0].z_mm), DVec2::new(pair[1].radius_mm, pair[1].z_mm));
        let step = b - a;
        let t = if step.length_squared() > 0.0 {
            ((at - a).dot(step) / step.length_squared()).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let far = (a + step * t - at).length_squared();
        if far < best.0 {
            best = (far, i as f64 + t);
        }
    }
    let node = best.1;
    let ring = ring_at(rings, node)?;
    let (r, c) = (ring.radius_mm.max(0.0), ring.core_half_mm.max(0.0));
    let over = DVec2::new((p.x.abs() - c).max(0.0), p.y).try_normalize().unwrap_or(DVec2::Y);
    let x = if p.x.abs() <= c { p.x.abs() } else { c + r * over.x };
    let y = r * over.y;
    let at = DVec3::new(if p.x < 0.0 { -x } else { x }, y, ring.z_mm);
    Some(RimPoint { address: Address { round: node, angle_deg: angle_deg_of(ring, at.truncate()) }, at })
}

/// Walks a rim that is laid on a surface: `rim` is its section, `onto_from_part` the motion of the part it belongs
/// to into the frame of the part sat on, `own_z_mm` the rim's height in its part. The rim is laid along the surface
/// below its middle: nod and lean tip the part, not its seam. A rim without a radius is an edge folded flat: it bends
/// along the surface to both sides, and the walk goes there and back.
pub fn walk(rings: &[Ring], onto_from_part: DAffine3, own_z_mm: f64, rim: Ring) -> Vec<RimPoint> {
    let centre = onto_from_part.transform_point3(DVec3::new(0.0, 0.0, own_z_mm));
    let Some(middle) = nearest(rings, centre) else { return Vec::new() };
    let out = out_at(rings, middle.address, centre);
    let along = onto_from_part.matrix3.x_axis;
    let x = (along - out * along.dot(out)).try_normalize().unwrap_or_else(|| out.any_orthonormal_vector());
    if rim.radius_mm <= 0.0 {
        let to = |way: DVec3| straight_on(rings, middle, way, rim.core_half_mm);
        let (there, back) = (to(x), to(-x));
        let line: Vec<RimPoint> = back.into_iter().rev().chain([middle]).chain(there).collect();
        let inner = line.len().saturating_sub(2);
        return line.iter().chain(line.iter().rev().skip(1).take(inner)).copied().collect();
    }
    let frame = DMat3::from_cols(x, out.cross(x), out);
    (0..POINTS)
        .filter_map(|i| {
            let p = outline_at_share(rim, i as f64 / POINTS as f64);
            nearest(rings, centre + frame * p.extend(0.0))
        })
        .collect()
}

/// The points met on the way straight on over a surface, from a point of it (left out) in a direction along it: so far
/// as an edge reaches that is laid on without a fold, or to where the surface ends.
fn straight_on(rings: &[Ring], from: RimPoint, way: DVec3, length_mm: f64) -> Vec<RimPoint> {
    let step = length_mm / (POINTS / 4) as f64;
    let (mut here, mut way, mut left) = (from, way, length_mm);
    let mut met = Vec::new();
    while left > 1e-3 * step {
        let Some(next) = nearest(rings, here.at + way * step.min(left)) else { break };
        let gone = (next.at - here.at).length();
        let out = surface_point(rings, next.address).map_or(DVec3::Z, |p| p.out);
        // Straight on is the way as it was, laid along the surface there.
        let Some(on) = (way - out * way.dot(out)).try_normalize() else { break };
        if gone < 1e-2 * step.min(left) {
            break;
        }
        (here, way, left) = (next, on, left - gone);
        met.push(next);
    }
    met
}

/// The direction out of the surface, along the axis where the middle lies on it.
fn out_at(rings: &[Ring], at: Address, centre: DVec3) -> DVec3 {
    let widest = rings.iter().map(|r| r.radius_mm + r.core_half_mm).fold(0.0, f64::max);
    let on_end = at.round <= 1e-9 || at.round >= (rings.len().saturating_sub(1)) as f64 - 1e-9;
    if centre.truncate().length() <= 1e-6 * widest.max(1.0) || on_end {
        let normal = profile_normal(rings, at.round, 1.0);
        return if normal.y < 0.0 { DVec3::NEG_Z } else { DVec3::Z };
    }
    surface_point(rings, at).map_or(DVec3::Z, |p| p.out)
}

/// Length of a closed walk, mm.
pub fn length_mm(walk: &[RimPoint]) -> f64 {
    let next = walk.iter().cycle().skip(1);
    walk.iter().zip(next).map(|(a, b)| (b.at - a.at).length()).sum()
}

/// Whether a walk goes around the axis of the part it lies on.
pub fn goes_around(walk: &[RimPoint]) -> bool {
    let next = walk.iter().cycle().skip(1);
    let turns = walk.iter().zip(next).map(|(a, b)| {
        let step = b.address.angle_deg - a.address.angle_deg;
        step - 360.0 * (step / 360.0).round()
    });
    turns.sum::<f64>().abs() > 180.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{PI, TAU};

    use glam::DQuat;

    fn ball(radius: f64, n: usize) -> Vec<Ring> {
        (0..=n)
            .map(|i| {
                let t = PI * i as f64 / n as f64;
                Ring { z_mm: radius * (1.0 - t.cos()), radius_mm: radius * t.sin(), core_half_mm: 0.0 }
            })
            .collect()
    }

    /// A circle of radius a is 2πa long, on a plane and on a sphere alike (Euclid; its plane cuts the sphere in it).
    #[test]
    fn a_rim_is_as_long_as_its_circle() {
        let rim = Ring { radius_mm: 9.0, ..Ring::default() };
        let around = TAU * 9.0;
        // A wall 30 mm high and a lid of eight rounds.
        let ring = |z_mm: f64, radius_mm: f64| Ring { z_mm, radius_mm, core_half_mm: 0.0 };
        let wall = (0..=6).map(|i| ring(5.0 * f64::from(i), 40.0));
        let lid: Vec<Ring> = wall.chain((0..8).map(|i| ring(30.0, 35.0 - 5.0 * f64::from(i)))).collect();
        for x in [0.0, 15.0] {
            let on_lid = DAffine3::from_translation(DVec3::new(x, 4.0, 30.0));
            let walk = walk(&lid, on_lid, 0.0, rim);
            assert!((length_mm(&walk) / around - 1.0).abs() < 1e-3, "{}", length_mm(&walk));
        }
        let rings = ball(30.0, 120);
        for deg in [0.0_f64, 40.0, 90.0, 131.0] {
            // The circle's plane lies √(900 − 81) from the middle of the ball.
            let turn = DQuat::from_rotation_y(deg.to_radians());
            let centre = DVec3::new(0.0, 0.0, 30.0) + turn * DVec3::Z * (900.0_f64 - 81.0).sqrt();
            let walk = walk(&rings, DAffine3::from_rotation_translation(turn, centre), 0.0, rim);
            assert!((length_mm(&walk) / around - 1.0).abs() < 5e-3, "{deg}: {} against {around}", length_mm(&walk));
            assert_eq!(goes_around(&walk), deg < 1.0);
        }
    }

    /// An edge of length l laid straight on over a ball of radius R is an arc of a great circle: its ends are
    /// 2R·sin(l/2R) apart, and l is l however wide the edge (geometry of the sphere).
    #[test]
    fn a_folded_edge_lies_along_a_great_circle() {
        let rings = ball(30.0, 240);
        for half in [20.0, 60.0, 90.0] {
            let rim = Ring { core_half_mm: half, ..Ring::default() };
            for deg in [0.0_f64, 40.0, 90.0, 131.0] {
                let turn = DQuat::from_rotation_y(deg.to_radians()) * DQuat::from_rotation_z(0.7);
                let centre = DVec3::new(0.0, 0.0, 30.0) + turn * DVec3::Z * 30.0;
                let walk = walk(&rings, DAffine3::from_rotation_translation(turn, centre), 0.0, rim);
                let length = length_mm(&walk) / 2.0;
                assert!((length / (2.0 * half) - 1.0).abs() < 2e-3, "{half}, {deg}: {length}");
                let far = walk[walk.len() / 2].at.distance(walk[0].at);
                let chord = (60.0 * (half / 30.0_f64).sin()).abs();
                assert!((far - chord).abs() < 1.0, "{half}, {deg}: ends {far} apart for {chord}");
                assert!(!goes_around(&walk));
            }
        }
    }

    #[test]
    fn the_nearest_place_of_a_point_on_a_long_section_is_itself() {
        let rings: Vec<Ring> =
            (0..6).map(|i| Ring { z_mm: 4.0 * f64::from(i), radius_mm: 8.0, core_half_mm: 12.0 }).collect();
        for i in 0..40 {
            let share = f64::from(i) / 40.0;
            let p = outline_at_share(rings[0], share).extend(9.0);
            let found = nearest(&rings, p).expect("a surface");
            assert!((found.at - p).length() < 1e-9, "{share}: {found:?} against {p}");
            let again = surface_point(&rings, found.address).expect("a surface").at;
            assert!((again - p).length() < 1e-6, "{share}: {again} against {p}");
            assert!((found.address.round - 2.25).abs() < 1e-9);
        }
    }
}
