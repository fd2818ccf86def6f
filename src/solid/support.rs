//! How far a solid reaches in a direction, exactly: no mesh. A ring is a circle (or stadium), and the support of
//! a circle with centre c, radius r and axis a in direction u is c·u + r·√(1 − (a·u)²).

use glam::DVec3;

use super::{Placed, Ring, Solid};

/// The ring that reaches furthest in a direction, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Index of the ring in the solid.
    pub ring: usize,
    /// How far it reaches: the largest x·u (mm), u the direction asked for.
    pub support_mm: f64,
    /// A point of the solid that reaches so far (mm, the toy's frame).
    pub point: DVec3,
}

impl Ring {
    /// The largest x·u over the ring, u in the part's frame; `across` is the length of u's part across the axis.
    fn support(&self, u: DVec3, across: f64) -> f64 {
        self.z_mm * u.z + self.core_half_mm * u.x.abs() + self.radius_mm * across
    }
}

impl Solid {
    /// The largest x·u over the solid (mm), u a unit vector in the part's own frame. −∞ for a solid of no rings.
    pub fn support_mm(&self, u: DVec3) -> f64 {
        let across = (u.x * u.x + u.y * u.y).sqrt();
        self.rings.iter().fold(f64::NEG_INFINITY, |best, ring| best.max(ring.support(u, across)))
    }

    /// The solid of those rings alone that can be extreme in some direction: its convex profile. Support and
    /// convex hull are those of the whole; what a plane cuts is not.
    pub fn convex_profile(&self) -> Solid {
        if self.rings.iter().any(|r| r.core_half_mm > 0.0) {
            // A stadium has two widths, so no plane profile decides; keep them all.
            return self.clone();
        }
        let mut chain: Vec<Ring> = Vec::with_capacity(self.rings.len());
        for &ring in &self.rings {
            if let Some(last) = chain.last()
                && last.z_mm == ring.z_mm
                && last.radius_mm >= ring.radius_mm
            {
                continue;
            }
            // The upper convex chain of the points (z, r): drop the last while it lies on or below the new chord.
            while let [.., a, b] = chain[..] {
                let (dz, dr) = (ring.z_mm - a.z_mm, ring.radius_mm - a.radius_mm);
                if (b.radius_mm - a.radius_mm) * dz > dr * (b.z_mm - a.z_mm) {
                    break;
                }
                chain.pop();
            }
            if chain.len() == 1 && chain[0].z_mm == ring.z_mm {
                chain.pop();
            }
            chain.push(ring);
        }
        Solid { rings: chain }
    }
}

impl Placed<'_> {
    /// A direction of the toy's frame in the part's own. Rigid motions and reflections keep lengths, so the
    /// transpose is the inverse.
    pub(crate) fn part_direction(&self, direction: DVec3) -> DVec3 {
        self.toy_from_part.matrix3.transpose() * direction
    }

    /// The largest x·u over the solid (mm), u a unit vector in the toy's frame. −∞ for a solid of no rings.
    pub fn support_mm(&self, direction: DVec3) -> f64 {
        self.toy_from_part.translation.dot(direction) + self.solid.support_mm(self.part_direction(direction))
    }

    /// The largest x·u over one ring (mm), u a unit vector in the toy's frame.
    pub fn ring_support_mm(&self, ring: usize, direction: DVec3) -> f64 {
        let u = self.part_direction(direction);
        let across = (u.x * u.x + u.y * u.y).sqrt();
        self.toy_from_part.translation.dot(direction) + self.solid.rings[ring].support(u, across)
    }

    /// The ring and the point that reach furthest in a direction (unit, the toy's frame). Where a whole ring or
    /// side does, the point is the middle of it. `None` for a solid of no rings.
    pub fn extreme(&self, direction: DVec3) -> Option<Extreme> {
        let u = self.part_direction(direction);
        let across = (u.x * u.x + u.y * u.y).sqrt();
        let mut best: Option<(usize, f64)> = None;
        for (index, ring) in self.solid.rings.iter().enumerate() {
            let support = ring.support(u, across);
            if best.is_none_or(|(_, b)| support > b) {
                best = Some((index, support));
            }
        }
        let (ring, support) = best?;
        let Ring { z_mm, radius_mm, core_half_mm } = self.solid.rings[ring];
        let mut point = DVec3::new(0.0, 0.0, z_mm);
        if across > FLAT_ON {
            point += DVec3::new(u.x, u.y, 0.0) * (radius_mm / across);
            if u.x.abs() > FLAT_ON {
                point.x += core_half_mm * u.x.signum();
            }
        }
        Some(Extreme {
            ring,
            support_mm: self.toy_from_part.translation.dot(direction) + support,
            point: self.toy_from_part.transform_point3(point),
        })
    }

    /// The solid's extent along a direction (mm).
    pub fn thickness_mm(&self, direction: DVec3) -> f64 {
        if self.solid.rings.is_empty() {
            return 0.0;
        }
        self.support_mm(direction) + self.support_mm(-direction)
    }
}

/// Below this sine the direction counts as along the axis, so that round-off picks no side.
const FLAT_ON: f64 = 1e-12;
