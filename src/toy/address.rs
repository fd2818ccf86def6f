//! Places on the surface of a part: from an address to a point and back to stitches.
//!
//! Around a long section an address's angle stands for the place of the same sideways reach as on a round one:
//! x = (radius + core)·sin(angle), on the front or the back of the outline.

use std::f64::consts::{FRAC_PI_2, TAU};

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

/// A point of a section's outline, from its angle, and the unit vector out of the outline there.
fn outline_at(ring: Ring, angle_deg: f64) -> (DVec2, DVec2) {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let (r, c) = (ring.radius_mm.max(0.0), ring.core_half_mm.max(0.0));
    if c <= 0.0 {
        let out = DVec2::new(sin, cos);
        return (r * out, out);
    }
    let x = (r + c) * sin;
    let core = x.clamp(-c, c);
    let over = if r > 0.0 { ((x - core) / r).clamp(-1.0, 1.0) } else { 0.0 };
    let out = DVec2::new(over, (1.0 - over * over).sqrt().copysign(cos));
    (DVec2::new(core, 0.0) + r * out, out)
}

/// The angle at which a point of a section's outline lies, degrees from −90 up to 270; [`surface_point`] turned about.
pub fn angle_deg_of(ring: Ring, point: DVec2) -> f64 {
    let half = ring.radius_mm.max(0.0) + ring.core_half_mm.max(0.0);
    if ring.core_half_mm <= 0.0 || half <= 0.0 {
        return point.x.atan2(point.y).to_degrees();
    }
    let sideways = (point.x / half).clamp(-1.0, 1.0).asin().to_degrees();
    // Front and back of a line lie on each other: only the sign of their 0 tells them apart.
    if point.y.is_sign_negative() { 180.0 - sideways } else { sideways }
}

/// The point of a section's outline at a share of its length, from its front toward +x.
pub fn outline_at_share(ring: Ring, share: f64) -> DVec2 {
    let (r, c) = (ring.radius_mm.max(0.0), ring.core_half_mm.max(0.0));
    let length = TAU * r + 4.0 * c;
    let along = share.rem_euclid(1.0) * length;
    let left = along <= length / 2.0;
    let on_side = if left { along } else { length - along };
    let front = on_side <= length / 4.0;
    let reach = if front { on_side } else { length / 2.0 - on_side };
    let (x, y) = if reach <= c || r <= 1e-12 {
        (reach, r)
    } else {
        let (sin, cos) = ((reach - c) / r).min(FRAC_PI_2).sin_cos();
        (c + r * sin, r * cos)
    };
    DVec2::new(if left { x } else { -x }, if front { y } else { -y })
}

/// Outward normal of the profile at a fractional node index, as (radial, along the axis); `sideways` is how far the
/// outline faces along a section's core there, 0 for its front and back, 1 for its sides and anywhere on a round one.
pub fn profile_normal(rings: &[Ring], node: f64, sideways: f64) -> DVec2 {
    let reach = 0.75;
    let (Some(a), Some(b)) = (ring_at(rings, node - reach), ring_at(rings, node + reach)) else { return DVec2::X };
    // The tangent runs from start to finish; its right-hand side is outside.
    let half = |ring: Ring| ring.radius_mm + ring.core_half_mm * sideways.abs();
    let normal = DVec2::new(b.z_mm - a.z_mm, half(a) - half(b));
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
    let (at, around) = outline_at(ring, address.angle_deg);
    let normal = profile_normal(rings, address.round, around.x);
    let out = (normal.x * around).extend(normal.y).normalize_or(DVec3::Z);
    Some(SurfacePoint { at: at.extend(ring.z_mm), out })
}

/// How far the plane of a circle of radius `rim_mm` drawn on the surface lies below the address in its middle,
/// mm: the mean of the drop around the axis and the drop along the profile.
pub fn seat_depth_mm(rings: &[Ring], address: Address, rim_mm: f64) -> f64 {
    if rim_mm <= 0.0 {
        return 0.0;
    }
    let node = address.round;
    let Some(ring) = ring_at(rings, node) else { return 0.0 };
    let (on, facing) = outline_at(ring, address.angle_deg);
    let normal = profile_normal(rings, node, facing.x);
    let profile = |r: Ring| DVec2::new(r.radius_mm + r.core_half_mm * facing.x.abs(), r.z_mm);
    let point = profile(ring);
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
            let d = profile(r) - point;
            let below = -d.dot(normal);
            if (d.length_squared() - below * below).max(0.0).sqrt() >= rim_mm {
                return Some(below.max(0.0));
            }
        }
    };
    let along: Vec<f64> = [drop(0.25), drop(-0.25)].into_iter().flatten().collect();
    let along = if along.is_empty() { None } else { Some(along.iter().sum::<f64>() / along.len() as f64) };
    let around = if normal.x.abs() > 0.05 && ring.radius_mm > 1e-6 {
        // Where the surface leans, its bends are as much wider; the core's straight is as long as it is.
        let bent = Ring { radius_mm: ring.radius_mm / normal.x.abs(), ..ring };
        let at = on + (bent.radius_mm - ring.radius_mm) * facing;
        Some(outline_drop_mm(bent, at, facing, rim_mm))
    } else {
        None
    };
    match (along, around) {
        (Some(a), Some(b)) => (a + b) / 2.0,
        (Some(a), None) | (None, Some(a)) => a,
        (None, None) => 0.0,
    }
}

/// How far a section's outline lies behind its tangent at a point, so far along the tangent as `aside_mm`, mm: the mean
/// of both ways, each no further than the outline reaches.
fn outline_drop_mm(ring: Ring, at: DVec2, out: DVec2, aside_mm: f64) -> f64 {
    let tangent = -out.perp();
    // A hair short of the outermost point, where rounding would leave no chord.
    let most = (1.0 - 1e-12) * (ring.radius_mm + ring.core_half_mm * tangent.x.abs());
    let drop = |way: f64| {
        let (_, high) = ring.chord_mm(tangent, (at.dot(tangent) + way * aside_mm).clamp(-most, most));
        at.dot(out) - high
    };
    0.5 * (drop(1.0) + drop(-1.0))
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

    /// A tub with bends of radius 14 about a straight of 100, as high as it likes. Points on the outline (geometry of the
    /// stadium): x = 64·sin 45° = 45.25 lies on the straight; x = 64·sin 60° = 55.43 is 5.43 into the bend, where
    /// y = √(14² − 5.43²) = 12.91 and the way out is (5.43, 12.91)/14.
    #[test]
    fn an_address_on_a_long_part_lies_on_its_outline() {
        let tub: Vec<Ring> =
            (0..6).map(|i| Ring { z_mm: 8.0 * f64::from(i), radius_mm: 14.0, core_half_mm: 50.0 }).collect();
        let at = |angle_deg| surface_point(&tub, Address { round: 2.0, angle_deg }).expect("a surface");
        let near = |p: DVec3, x: f64, y: f64, z: f64| (p - DVec3::new(x, y, z)).length() < 0.005;
        assert!(near(at(45.0).at, 45.255, 14.0, 16.0) && near(at(45.0).out, 0.0, 1.0, 0.0), "{:?}", at(45.0));
        assert!(near(at(60.0).at, 55.426, 12.907, 16.0) && near(at(60.0).out, 0.388, 0.922, 0.0), "{:?}", at(60.0));
        assert!(near(at(120.0).at, 55.426, -12.907, 16.0) && near(at(120.0).out, 0.388, -0.922, 0.0));
        assert!(near(at(-90.0).at, -64.0, 0.0, 16.0) && near(at(-90.0).out, -1.0, 0.0, 0.0));
        for angle_deg in [-88.0, -30.0, 0.0, 52.0, 89.0, 91.0, 133.0, 180.0, 265.0] {
            let back = angle_deg_of(tub[2], at(angle_deg).at.truncate());
            assert!((back - angle_deg).abs() < 1e-6, "{angle_deg}: {back}");
        }
        // On the straight a rim lies flat; at the end of the bend it sinks by half the versed sine of the bend (the
        // other half is that of the upright wall, which is none).
        let depth = |angle_deg| seat_depth_mm(&tub, Address { round: 2.0, angle_deg }, 7.0);
        assert!(depth(20.0).abs() < 1e-9, "{}", depth(20.0));
        let sunk = (14.0 - (14.0_f64 * 14.0 - 7.0 * 7.0).sqrt()) / 2.0;
        assert!((depth(90.0) - sunk).abs() < 1e-9, "{} for {sunk}", depth(90.0));
    }

    /// The bends of a part that narrows to its top in a cone, its straight too: a bend faces up by its own slope and by
    /// that of the straight, the long side by its own alone. Bends narrow by 1 a mm, the straight by 2: 45° and
    /// atan 3 = 71.57° up.
    #[test]
    fn a_long_part_leans_inward_as_its_straight_shortens() {
        let roof: Vec<Ring> = (0..6)
            .map(f64::from)
            .map(|z_mm| Ring { z_mm, radius_mm: 20.0 - z_mm, core_half_mm: 30.0 - 2.0 * z_mm })
            .collect();
        let up = |angle_deg| {
            let out = surface_point(&roof, Address { round: 2.0, angle_deg }).expect("a surface").out;
            out.z.asin().to_degrees()
        };
        assert!((up(0.0) - 45.0).abs() < 1e-9 && (up(90.0) - 3.0_f64.atan().to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn a_circle_on_a_ball_sinks_by_its_versed_sine() {
        // Versed sine of a circle of radius 10 on a sphere of 30: 30 − √(900 − 100).
        let rings = ball(30.0, 200);
        for node in [100.0, 60.0, 200.0] {
            let depth = seat_depth_mm(&rings, Address { round: node, angle_deg: 70.0 }, 10.0);
            assert!((depth - (30.0 - 800.0_f64.sqrt())).abs() < 0.05, "{node}: {depth}");
        }
    }
}
