//! Places on the surface of a part: from an address to a point and back to stitches.

use glam::{DVec2, DVec3};

use super::Address;
use crate::solid::Ring;

/// A point on a surface and the direction out of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SurfacePoint {
    /// The point, mm.
    pub at: DVec3,
    /// Unit vector out of the surface.
    pub out: DVec3,
}

/// Ring between nodes, at a fractional node index; the ends where the index lies outside. `None` for no rings.
pub fn ring_at(rings: &[Ring], node: f64) -> Option<Ring> {
    let last = rings.len().checked_sub(1)?;
    let node = if node.is_finite() { node.clamp(0.0, last as f64) } else { 0.0 };
    let i = (node.floor() as usize).min(last);
    let (a, b, t) = (rings[i], rings[(i + 1).min(last)], node - i as f64);
    let mix = |a: f64, b: f64| a + (b - a) * t;
    Some(Ring {
        z_mm: mix(a.z_mm, b.z_mm),
        radius_mm: mix(a.radius_mm, b.radius_mm),
        core_half_mm: mix(a.core_half_mm, b.core_half_mm),
    })
}

/// Outward normal of the profile at a fractional node index, as (radial, along the axis).
pub fn profile_normal(rings: &[Ring], node: f64) -> DVec2 {
    let reach = 0.75;
    let (Some(a), Some(b)) = (ring_at(rings, node - reach), ring_at(rings, node + reach)) else { return DVec2::X };
    // The tangent runs from start to finish; its right-hand side is outside.
    let normal = DVec2::new(b.z_mm - a.z_mm, a.radius_mm - b.radius_mm);
    // At a pole the profile and its mirror image meet: straight along the axis.
    let last = (rings.len().saturating_sub(1)) as f64;
    if ring_at(rings, node).is_some_and(|r| r.radius_mm <= 1e-9) {
        return if node <= last / 2.0 { DVec2::NEG_Y } else { DVec2::Y };
    }
    normal.try_normalize().unwrap_or(DVec2::X)
}

/// The point of an address on a surface given by its rings, in the part's own frame; angles count from +y
/// toward +x.
pub fn surface_point(rings: &[Ring], address: Address) -> Option<SurfacePoint> {
    let ring = ring_at(rings, address.round)?;
    let normal = profile_normal(rings, address.round);
    let (sin, cos) = address.angle_deg.to_radians().sin_cos();
    let at = DVec3::new(ring.radius_mm * sin + ring.core_half_mm * sin, ring.radius_mm * cos, ring.z_mm);
    let out = DVec3::new(normal.x * sin, normal.x * cos, normal.y).normalize_or(DVec3::Z);
    Some(SurfacePoint { at, out })
}

/// How far the plane of a circle of radius `rim_mm` drawn on the surface lies below the point in its middle,
/// mm: the mean of the drop around the axis and the drop along the profile.
pub fn seat_depth_mm(rings: &[Ring], node: f64, rim_mm: f64) -> f64 {
    if rim_mm <= 0.0 {
        return 0.0;
    }
    let Some(ring) = ring_at(rings, node) else { return 0.0 };
    let normal = profile_normal(rings, node);
    let point = DVec2::new(ring.radius_mm, ring.z_mm);
    // Walk along the profile both ways until the tangential distance is the rim's radius.
    let drop = |step: f64| {
        let mut at = node;
        let last = (rings.len() - 1) as f64;
        loop {
            at += step;
            if at < 0.0 || at > last {
                return None;
            }
            let r = ring_at(rings, at)?;
            let d = DVec2::new(r.radius_mm, r.z_mm) - point;
            let below = -d.dot(normal);
            if (d.length_squared() - below * below).max(0.0).sqrt() >= rim_mm {
                return Some(below.max(0.0));
            }
        }
    };
    let along: Vec<f64> = [drop(0.25), drop(-0.25)].into_iter().flatten().collect();
    let along = if along.is_empty() { None } else { Some(along.iter().sum::<f64>() / along.len() as f64) };
    let around = if normal.x.abs() > 0.05 && ring.radius_mm > 1e-6 {
        let radius = ring.radius_mm / normal.x.abs();
        let rim = rim_mm.min(radius);
        Some(radius - (radius * radius - rim * rim).max(0.0).sqrt())
    } else {
        None
    };
    match (along, around) {
        (Some(a), Some(b)) => (a + b) / 2.0,
        (Some(a), None) | (None, Some(a)) => a,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ball(radius: f64, n: usize) -> Vec<Ring> {
        (0..=n)
            .map(|i| {
                let t = std::f64::consts::PI * i as f64 / n as f64;
                Ring { z_mm: radius * (1.0 - t.cos()), radius_mm: radius * t.sin(), core_half_mm: 0.0 }
            })
            .collect()
    }

    #[test]
    fn the_address_of_a_balls_side_points_sideways() {
        let rings = ball(30.0, 24);
        let left = surface_point(&rings, Address { round: 12.0, angle_deg: 90.0 }).expect("a surface");
        assert!((left.at - DVec3::new(30.0, 0.0, 30.0)).length() < 1e-9);
        assert!((left.out - DVec3::X).length() < 1e-9);
        let top = surface_point(&rings, Address { round: 24.0, angle_deg: 0.0 }).expect("a surface");
        assert!((top.out - DVec3::Z).length() < 1e-9);
    }

    #[test]
    fn a_circle_on_a_ball_sinks_by_its_versed_sine() {
        // Versed sine of a circle of radius 10 on a sphere of 30: 30 − √(900 − 100).
        let rings = ball(30.0, 200);
        for node in [100.0, 60.0, 200.0] {
            let depth = seat_depth_mm(&rings, node, 10.0);
            assert!((depth - (30.0 - 800.0_f64.sqrt())).abs() < 0.05, "{node}: {depth}");
        }
    }
}
