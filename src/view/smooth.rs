//! A part's profile between its rounds: fabric bends, it has no corners. Monotone cubics through the nodes (F. N.
//! Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17, 1980), so that nothing grows wider or taller than it is.

use crate::solid::Ring;

/// Rings wanted for a whole part, so that short parts look as round as long ones.
const RINGS: usize = 48;
/// Most rings for one round.
const MOST: usize = 4;

/// A ring of the smoothed profile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SmoothRing {
    /// The ring.
    pub ring: Ring,
    /// The link below it, counted from 0.
    pub link: usize,
    /// It is a node: the edge of a round.
    pub is_node: bool,
}

/// Tangents of a monotone cubic through values at steps of 1.
fn tangents(values: &[f64], first: f64, last: f64, corner: Option<usize>) -> Vec<f64> {
    let n = values.len();
    let step = |i: usize| values[i + 1] - values[i];
    let mut tangent = vec![0.0; n];
    for i in 1..n - 1 {
        let (a, b) = (step(i - 1), step(i));
        // The harmonic mean keeps the curve between its neighbours.
        tangent[i] = if a * b > 0.0 { 2.0 * a * b / (a + b) } else { 0.0 };
    }
    (tangent[0], tangent[n - 1]) = (first, last);
    if let Some(i) = corner.filter(|i| *i > 0 && *i + 1 < n) {
        tangent[i] = 0.0;
    }
    tangent
}

fn hermite(a: f64, b: f64, ta: f64, tb: f64, t: f64) -> f64 {
    let (t2, t3) = (t * t, t * t * t);
    (2.0 * t3 - 3.0 * t2 + 1.0) * a + (t3 - 2.0 * t2 + t) * ta + (3.0 * t2 - 2.0 * t3) * b + (t3 - t2) * tb
}

/// The profile with rings put between its nodes. `corner` is a node that stays sharp (the edge of a flat base).
pub fn smooth(rings: &[Ring], corner: Option<usize>) -> Vec<SmoothRing> {
    let n = rings.len();
    if n < 3 {
        return rings
            .iter()
            .enumerate()
            .map(|(i, r)| SmoothRing { ring: *r, link: i.saturating_sub(1), is_node: true })
            .collect();
    }
    let parts = (RINGS / n).clamp(1, MOST);
    let column = |of: fn(&Ring) -> f64| rings.iter().map(of).collect::<Vec<f64>>();
    let (z, radius, core) = (column(|r| r.z_mm), column(|r| r.radius_mm), column(|r| r.core_half_mm));
    // At a pole the profile meets its mirror image: it runs level there, and outward as fast as its first step.
    let pole = |i: usize| radius[i] < 1e-6 && core[i] < 1e-6;
    let (start, end) = (pole(0), pole(n - 1));
    let (rise, fall) = (radius[1] - radius[0], radius[n - 1] - radius[n - 2]);
    let t_radius = tangents(&radius, rise, fall, corner);
    let t_z = tangents(&z, if start { 0.0 } else { z[1] - z[0] }, if end { 0.0 } else { z[n - 1] - z[n - 2] }, corner);
    let mut smoothed = vec![SmoothRing { ring: rings[0], link: 0, is_node: true }];
    for link in 0..n - 1 {
        for step in 1..=parts {
            let t = step as f64 / parts as f64;
            let at = |v: &[f64], tangent: &[f64]| hermite(v[link], v[link + 1], tangent[link], tangent[link + 1], t);
            let is_node = step == parts;
            let ring = if is_node {
                rings[link + 1]
            } else {
                let (low, high) = (radius[link].min(radius[link + 1]), radius[link].max(radius[link + 1]));
                Ring {
                    z_mm: at(&z, &t_z).clamp(z[link], z[link + 1].max(z[link])),
                    radius_mm: at(&radius, &t_radius).clamp(low, high),
                    core_half_mm: core[link] + (core[link + 1] - core[link]) * t,
                }
            };
            smoothed.push(SmoothRing { ring, link, is_node });
        }
    }
    smoothed
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn nothing_grows_and_every_node_stays(steps in proptest::collection::vec((0.0f64..6.0, 0.0f64..40.0), 3..30)) {
            let mut z_mm = 0.0;
            let rings: Vec<Ring> = steps.iter().map(|(dz, r)| { z_mm += dz; Ring { z_mm, radius_mm: *r, core_half_mm: 0.0 } }).collect();
            let smoothed = smooth(&rings, None);
            prop_assert!(smoothed.windows(2).all(|w| w[0].ring.z_mm <= w[1].ring.z_mm + 1e-12));
            let widest = |r: &mut dyn Iterator<Item = Ring>| r.map(|r| r.radius_mm).fold(0.0, f64::max);
            prop_assert_eq!(widest(&mut smoothed.iter().map(|s| s.ring)), widest(&mut rings.iter().copied()));
            let nodes: Vec<Ring> = smoothed.iter().filter(|s| s.is_node).map(|s| s.ring).collect();
            prop_assert_eq!(nodes, rings);
        }
    }

    #[test]
    fn the_middle_of_a_link_of_a_ball_lies_on_it() {
        // A sphere of radius 30 by 12 nodes: a straight link's middle lies 30·(1 − cos 7.5°·…) inside; the curve nearer.
        let ball: Vec<Ring> = (0..=12)
            .map(|i| {
                let t = std::f64::consts::PI * f64::from(i) / 12.0;
                Ring { z_mm: 30.0 * (1.0 - t.cos()), radius_mm: 30.0 * t.sin(), core_half_mm: 0.0 }
            })
            .collect();
        let off = |r: &Ring| (r.radius_mm.hypot(r.z_mm - 30.0) - 30.0).abs();
        let straight = ball.windows(2).map(|b| {
            off(&Ring {
                z_mm: (b[0].z_mm + b[1].z_mm) / 2.0,
                radius_mm: (b[0].radius_mm + b[1].radius_mm) / 2.0,
                core_half_mm: 0.0,
            })
        });
        let straight = straight.fold(0.0, f64::max);
        let curved = smooth(&ball, None).iter().map(|s| off(&s.ring)).fold(0.0, f64::max);
        assert!(curved < 0.75 * straight, "{curved} {straight}");
    }
}
