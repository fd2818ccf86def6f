//! The outline that is turned about the axis: rings from the axis around to the axis, or from rim to rim and back.

use super::Side;
use crate::solid::Ring;
use crate::toy::shape::{PartShape, ShapeKind};

/// Radii and cores below this are none, mm. Far below a fibre, far above what single precision tells apart on a
/// toy.
const NONE_MM: f64 = 1e-3;
/// Rings nearer than this to the one before are the same, mm.
const SAME_MM: f64 = 1e-4;

/// The outline of one closed surface.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Profile {
    /// Its rings, in the order in which the outside lies to the right of the way (radius to the right, height up).
    pub rings: Vec<Ring>,
    /// The round, counted from 0, of the band between each ring and the next.
    pub rounds: Vec<usize>,
    /// The last ring is joined to the first, by a band of this round.
    pub joined_by: Option<usize>,
}

/// Whether a ring is a point on the axis.
pub(super) fn is_point(ring: &Ring) -> bool {
    ring.radius_mm < NONE_MM && ring.core_half_mm < NONE_MM
}

/// Whether a ring is a slit: the closed start of a chain.
pub(super) fn is_slit(ring: &Ring) -> bool {
    ring.radius_mm < NONE_MM && ring.core_half_mm >= NONE_MM
}

impl Profile {
    /// The outline of a part; `None` where it has no surface on that side.
    pub fn of_part(shape: &PartShape, side: Side) -> Option<Profile> {
        if shape.outer.rings.len() < 2 {
            return None;
        }
        let rings = match (side, shape.kind) {
            (Side::Inside, ShapeKind::Stuffed) => {
                let filled = (shape.filled_links + 1).min(shape.inner.rings.len());
                shape.inner.rings[..filled].to_vec()
            }
            (Side::Inside, _) => return None,
            (Side::Outside, ShapeKind::Stuffed | ShapeKind::FoldedFlat) => shape.outer.rings.clone(),
            (Side::Outside, ShapeKind::Open) => return Profile::shell(shape).checked(),
            (Side::Outside, ShapeKind::Disc) => return Profile::disc(shape).checked(),
        };
        Profile::from_rings(rings).checked()
    }

    /// The outline with a band between any two rings, its open ends closed by flat lids.
    pub fn from_rings(rings: Vec<Ring>) -> Profile {
        let mut profile = Profile::default();
        let last = rings.len().saturating_sub(2);
        if let Some(first) = rings.first().filter(|r| r.radius_mm >= NONE_MM) {
            profile.push(Ring { radius_mm: 0.0, core_half_mm: 0.0, ..*first }, 0);
        }
        for (i, ring) in rings.iter().enumerate() {
            profile.push(*ring, i.saturating_sub(1));
        }
        if let Some(end) = rings.last().filter(|r| r.radius_mm >= NONE_MM) {
            profile.push(Ring { radius_mm: 0.0, core_half_mm: 0.0, ..*end }, last);
        }
        profile
    }

    /// A fabric that stands open: its outside from start to finish, its inside back.
    fn shell(shape: &PartShape) -> Profile {
        let mut profile = Profile::default();
        let last = shape.outer.rings.len().saturating_sub(2);
        for (i, ring) in shape.outer.rings.iter().enumerate() {
            profile.push(*ring, i.saturating_sub(1));
        }
        for (i, ring) in shape.inner.rings.iter().enumerate().rev() {
            profile.push(*ring, i.min(last));
        }
        let ends = profile.rings.first().zip(profile.rings.last());
        if ends.is_some_and(|(first, last)| !is_point(first) || !is_point(last)) {
            profile.joined_by = Some(0);
        }
        profile
    }

    /// A flat disc as thick as the fabric.
    fn disc(shape: &PartShape) -> Profile {
        let half = shape.fabric.thickness_mm() / 2.0;
        let last = shape.nodes.len().saturating_sub(2);
        let at = |ring: &Ring, z_mm: f64| Ring { z_mm, ..*ring };
        let centre = |z_mm: f64| Ring { z_mm, ..Ring::default() };
        let mut profile = Profile::default();
        profile.push(centre(-half), 0);
        for (i, ring) in shape.nodes.iter().enumerate() {
            profile.push(at(ring, -half), i.saturating_sub(1));
        }
        for (i, ring) in shape.nodes.iter().enumerate().rev() {
            profile.push(at(ring, half), i.min(last));
        }
        profile.push(centre(half), 0);
        profile
    }

    /// Adds a ring at the end of a band; one that lies on the last is left out.
    fn push(&mut self, ring: Ring, round: usize) {
        if let Some(last) = self.rings.last() {
            let away = [ring.z_mm - last.z_mm, ring.radius_mm - last.radius_mm, ring.core_half_mm - last.core_half_mm];
            if away.iter().all(|d| d.abs() < SAME_MM) || (is_point(&ring) && is_point(last)) {
                return;
            }
            self.rounds.push(round);
        }
        self.rings.push(ring);
    }

    /// `None` for an outline that holds nothing, or has a figure that is none.
    fn checked(self) -> Option<Profile> {
        let finite = |r: &Ring| r.z_mm.is_finite() && r.radius_mm.is_finite() && r.core_half_mm.is_finite();
        let wide = self.rings.iter().any(|r| r.radius_mm >= NONE_MM);
        (wide && self.rings.len() > 2 && self.rings.iter().all(finite)).then_some(self)
    }

    /// Corners of each ring: enough that a ring's sides keep within 0.05 mm of the circle, a multiple of 4.
    pub fn segments(&self) -> usize {
        const CHORD_MM: f64 = 0.05;
        let widest = self.rings.iter().map(|r| r.radius_mm).fold(1e-6, f64::max);
        let angle = (1.0 - (CHORD_MM / widest).min(1.0)).acos();
        let wanted = (std::f64::consts::PI / angle.max(1e-6)).ceil() as usize;
        wanted.div_ceil(4).clamp(16, 32) * 4
    }

    /// Triangles of the surface at most.
    pub fn triangles(&self) -> usize {
        2 * self.rings.len() * self.segments()
    }
}
