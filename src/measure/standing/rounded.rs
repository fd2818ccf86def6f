//! The bearing surface between the rounds.
//!
//! A solved part is known at its rounds. Straight walls between them have edges, and a ball with its weight a
//! little low would rest on any of them. So the profile is curved through the rounds (a circle stays a circle to
//! a thousandth), and the support is taken on the curve. Real corners, of more than `CORNER`, stay.

use std::f64::consts::PI;

use glam::{DVec2, DVec3};

use crate::solid::{Ring, Solid};

/// A profile that turns by more than this at a round has a corner there (rad).
const CORNER: f64 = 50.0 * PI / 180.0;
/// Walls of the rounded solid turn by about this (rad).
const FACET: f64 = 4.5 * PI / 180.0;
/// At most so many walls for one.
const MOST: f64 = 8.0;

/// A solid with its profile curved between the rings; the rings themselves stay.
pub(super) fn rounded(solid: &Solid) -> Solid {
    let rings = &solid.rings;
    if rings.len() < 2 || rings.iter().any(|r| !(r.z_mm + r.radius_mm + r.core_half_mm).is_finite()) {
        return solid.clone();
    }
    // Each wall's length and its angle in the plane of radius and height, from 0 (outward) to π (inward).
    let walls: Vec<(f64, f64)> = rings
        .windows(2)
        .map(|w| {
            let (dr, dz) = (w[1].radius_mm - w[0].radius_mm, (w[1].z_mm - w[0].z_mm).max(0.0));
            (dr.hypot(dz), dz.atan2(dr))
        })
        .collect();
    // The tangent at a ring, where both walls share one: that of the circle through the three.
    let tangent = |node: usize| -> Option<f64> {
        let (before, after) = (node.checked_sub(1).map(|i| walls[i]), walls.get(node));
        match (before, after) {
            (Some((l0, a0)), Some(&(l1, a1))) => {
                let smooth = l0 > 0.0 && l1 > 0.0 && (a1 - a0).abs() <= CORNER;
                smooth.then(|| a0 + (a1 - a0) * l0 / (l0 + l1))
            }
            // A pole is crossed square to the axis, unless the part ends in a point.
            (None, Some(&(_, a))) => (rings[node].radius_mm == 0.0 && a <= CORNER).then_some(0.0),
            (Some((_, a)), None) => (rings[node].radius_mm == 0.0 && PI - a <= CORNER).then_some(PI),
            (None, None) => None,
        }
    };
    let mut out = Vec::with_capacity(3 * rings.len());
    out.push(rings[0]);
    for (i, &(length, angle)) in walls.iter().enumerate() {
        let (a, b) = (rings[i], rings[i + 1]);
        let (start, end) = match (tangent(i), tangent(i + 1)) {
            (Some(s), Some(e)) => (s, e),
            // One end is free: the wall is an arc.
            (Some(s), None) => (s, 2.0 * angle - s),
            (None, Some(e)) => (2.0 * angle - e, e),
            (None, None) => (angle, angle),
        };
        let turn = (start - angle).abs() + (end - angle).abs();
        let pieces = (turn / FACET - 1e-6).ceil().clamp(1.0, MOST);
        // A cubic whose end speeds are those that best follow an arc of this turn.
        let speed = length / (0.25 * (end - start)).cos().powi(2);
        let (p0, p1) = (DVec2::new(a.radius_mm, a.z_mm), DVec2::new(b.radius_mm, b.z_mm));
        let (v0, v1) = (DVec2::from_angle(start) * speed, DVec2::from_angle(end) * speed);
        for piece in 1..pieces as usize {
            let t = piece as f64 / pieces;
            let (t2, t3) = (t * t, t * t * t);
            let p = p0 * (2.0 * t3 - 3.0 * t2 + 1.0)
                + v0 * (t3 - 2.0 * t2 + t)
                + p1 * (3.0 * t2 - 2.0 * t3)
                + v1 * (t3 - t2);
            let floor = out.last().map_or(a.z_mm, |r| r.z_mm);
            out.push(Ring {
                z_mm: p.y.clamp(floor, b.z_mm),
                radius_mm: p.x.max(0.0),
                core_half_mm: a.core_half_mm + t * (b.core_half_mm - a.core_half_mm),
            });
        }
        out.push(b);
    }
    Solid { rings: out }
}

/// How far the rounded profile may lie outside the straight walls, mm: a bound.
///
/// A cubic is off its chord by t·(1 − t) ≤ 1/4 of the larger end speed, which is the wall's length over cos²(turn/4);
/// the turn is at most twice a corner's. The core goes evenly along it and the rest does not: at most a tenth apart.
pub(super) fn most_bulge_mm(solid: &Solid) -> f64 {
    let bulge = |w: &[Ring]| {
        let length = (w[1].radius_mm - w[0].radius_mm).hypot((w[1].z_mm - w[0].z_mm).max(0.0));
        0.25 * length / (0.5 * CORNER).cos().powi(2) + 0.1 * (w[1].core_half_mm - w[0].core_half_mm).abs()
    };
    solid.rings.windows(2).map(bulge).fold(0.0, f64::max)
}

/// The convex outline of a rounded solid, read as a smooth curve through its rings.
#[derive(Clone, Debug)]
pub(super) struct Outline {
    rings: Vec<Ring>,
    /// Length along the profile up to each ring.
    at: Vec<f64>,
    /// Whether the outline runs smoothly through each ring.
    smooth: Vec<bool>,
    /// All circles and convex, so that the support rises to one maximum along the outline.
    convex: bool,
}

/// Walls of the outline that turn by more than this at a ring have a corner there.
const SMOOTH: f64 = 1.5 * FACET;

impl Outline {
    pub(super) fn of(solid: &Solid) -> Self {
        let rings = solid.convex_profile().rings;
        let convex = rings.iter().all(|r| r.core_half_mm == 0.0);
        let mut at = Vec::with_capacity(rings.len());
        at.push(0.0);
        let mut angles = Vec::with_capacity(rings.len());
        for w in rings.windows(2) {
            let (dr, dz) = (w[1].radius_mm - w[0].radius_mm, w[1].z_mm - w[0].z_mm);
            at.push(at.last().copied().unwrap_or(0.0) + dr.hypot(dz));
            angles.push(dz.atan2(dr));
        }
        let count = rings.len();
        let smooth = (0..count)
            .map(|i| {
                let (before, after) = (i.checked_sub(1).map(|i| angles[i]), angles.get(i));
                // At a pole the profile goes on with its mirror image.
                match (before, after) {
                    (Some(a), Some(&b)) => at[i] > at[i - 1] && at[i + 1] > at[i] && (b - a).abs() <= SMOOTH,
                    (None, Some(&b)) => rings[i].radius_mm == 0.0 && at[1] > 0.0 && 2.0 * b <= SMOOTH,
                    (Some(a), None) => rings[i].radius_mm == 0.0 && at[i] > at[i - 1] && 2.0 * (PI - a) <= SMOOTH,
                    (None, None) => false,
                }
            })
            .collect();
        Self { rings, at, smooth, convex }
    }

    /// The largest x·u over the outline (mm), u in the part's frame; −∞ for no rings.
    pub(super) fn support(&self, u: DVec3) -> f64 {
        let Some(ring) = self.furthest(u) else { return f64::NEG_INFINITY };
        ring.z_mm * u.z + ring.core_half_mm * u.x.abs() + ring.radius_mm * (u.x * u.x + u.y * u.y).sqrt()
    }

    /// A point that reaches so far (mm, the part's frame).
    pub(super) fn extreme(&self, u: DVec3) -> DVec3 {
        let Some(ring) = self.furthest(u) else { return DVec3::ZERO };
        let across = u.x.hypot(u.y);
        if across < 1e-12 {
            return DVec3::new(0.0, 0.0, ring.z_mm);
        }
        let core = if u.x.abs() > 1e-12 { ring.core_half_mm * u.x.signum() } else { 0.0 };
        DVec3::new(core + ring.radius_mm * u.x / across, ring.radius_mm * u.y / across, ring.z_mm)
    }

    /// The ring of the curved outline that reaches furthest. Past a pole its radius is negative.
    fn furthest(&self, u: DVec3) -> Option<Ring> {
        let across = (u.x * u.x + u.y * u.y).sqrt();
        let value = |r: &Ring| r.z_mm * u.z + r.core_half_mm * u.x.abs() + r.radius_mm * across;
        let best = if self.convex {
            // Along a convex outline the support climbs and then falls.
            let (mut low, mut high) = (0, self.rings.len().checked_sub(1)?);
            while low < high {
                let middle = (low + high) / 2;
                if value(&self.rings[middle + 1]) > value(&self.rings[middle]) {
                    low = middle + 1;
                } else {
                    high = middle;
                }
            }
            low
        } else {
            let values = self.rings.iter().map(value).enumerate();
            values.max_by(|a, b| a.1.total_cmp(&b.1))?.0
        };
        let here = self.rings[best];
        if !self.smooth[best] {
            return Some(here);
        }
        // The parabola through the ring and its neighbours along the profile.
        let mirrored = |ring: &Ring| Ring { radius_mm: -ring.radius_mm, ..*ring };
        let last = self.rings.len() - 1;
        let (before, h0) = match best {
            0 => (mirrored(&self.rings[1]), self.at[1]),
            i => (self.rings[i - 1], self.at[i] - self.at[i - 1]),
        };
        let (after, h1) = if best == last {
            (mirrored(&self.rings[last - 1]), self.at[last] - self.at[last - 1])
        } else {
            (self.rings[best + 1], self.at[best + 1] - self.at[best])
        };
        let (v, down, up) = (value(&here), value(&before), value(&after));
        let (left, right) = ((v - down) / h0, (up - v) / h1);
        let curve = (right - left) / (h0 + h1);
        if curve >= 0.0 {
            return Some(here);
        }
        let slope = (left * h1 + right * h0) / (h0 + h1);
        let t = (-0.5 * slope / curve).clamp(-0.5 * h0.max(h1), 0.5 * h0.max(h1));
        // Lagrange's weights of the three at t.
        let (w0, w2) = (t * (t - h1) / (h0 * (h0 + h1)), t * (t + h0) / (h1 * (h0 + h1)));
        let mix = |a: f64, b: f64, c: f64| w0 * a + (1.0 - w0 - w2) * b + w2 * c;
        Some(Ring {
            z_mm: mix(before.z_mm, here.z_mm, after.z_mm),
            radius_mm: mix(before.radius_mm, here.radius_mm, after.radius_mm),
            core_half_mm: mix(before.core_half_mm, here.core_half_mm, after.core_half_mm),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn coarse_ball(radius: f64, walls: usize) -> Solid {
        let ring = |i: usize| {
            let angle = PI * i as f64 / walls as f64;
            let radius_mm = if i == 0 || i == walls { 0.0 } else { radius * angle.sin() };
            Ring { z_mm: radius * (1.0 - angle.cos()), radius_mm, core_half_mm: 0.0 }
        };
        Solid { rings: (0..=walls).map(ring).collect() }
    }

    #[test]
    fn a_coarse_ball_becomes_round() {
        let solid = rounded(&coarse_ball(30.0, 12));
        for ring in &solid.rings {
            assert!(((ring.z_mm - 30.0).hypot(ring.radius_mm) - 30.0).abs() < 0.003, "{ring:?}");
        }
        let outline = Outline::of(&solid);
        for i in 0..=720 {
            let (sin, cos) = (PI * f64::from(i) / 720.0).sin_cos();
            let u = DVec3::new(0.6 * sin, 0.8 * sin, -cos);
            assert!((outline.support(u) - (30.0 - 30.0 * cos)).abs() < 0.004, "{i}");
            assert!((outline.extreme(u).dot(u) - outline.support(u)).abs() < 1e-9);
        }
    }

    #[test]
    fn the_curve_bulges_no_further_than_its_bound() {
        let far = |solid: &Solid| solid.rings.iter().map(|r| (r.z_mm - 30.0).hypot(r.radius_mm)).fold(0.0, f64::max);
        let radii = [0.0, 9.0, 22.0, 24.0, 15.0, 16.0, 27.0, 8.0, 0.0];
        let ring = |(i, radius_mm)| Ring { z_mm: 7.0 * i as f64, radius_mm, core_half_mm: 0.0 };
        let lopsided = Solid { rings: radii.into_iter().enumerate().map(ring).collect() };
        for solid in [coarse_ball(30.0, 4), coarse_ball(30.0, 5), coarse_ball(30.0, 12), lopsided] {
            let (before, after) = (far(&solid), far(&rounded(&solid)));
            assert!(after <= before + most_bulge_mm(&solid), "{before} to {after}");
        }
    }

    #[test]
    fn corners_and_points_stay() {
        let ring = |z_mm, radius_mm| Ring { z_mm, radius_mm, core_half_mm: 0.0 };
        let can = Solid { rings: vec![ring(0.0, 0.0), ring(0.0, 20.0), ring(30.0, 20.0), ring(30.0, 0.0)] };
        assert_eq!(rounded(&can), can);
        let spike = Solid { rings: vec![ring(0.0, 20.0), ring(60.0, 0.0)] };
        assert_eq!(rounded(&spike), spike);
        assert_eq!(Outline::of(&can).support(DVec3::new(0.6, 0.0, -0.8)), 12.0);
    }
}
