//! A slanted plane against the walls between rings, one by one.

use glam::{DVec2, DVec3};

use super::super::Ring;
use super::conic::{self, Arc};
use super::{Plane, Span, Sums, between, span, stadium, wall_volume};

/// A wall whose radius changes by less than this share of itself is integrated as a near cylinder: the closed
/// form runs over the cone's apex, which is then far away.
const NEAR_CYLINDER: f64 = 1e-4;

/// A ring and where the plane passes it.
#[derive(Clone, Copy)]
struct Node<'a> {
    ring: &'a Ring,
    /// Signed distance of the trace from the axis (mm).
    s: f64,
    /// How far the ring reaches along the plane's side (mm).
    reach: f64,
    /// Half the chord of a circle; 0 where the trace misses it.
    half_chord: f64,
}

impl<'a> Node<'a> {
    fn new(ring: &'a Ring, plane: &Plane) -> Self {
        let s = plane.offset(ring);
        let reach = stadium::reach(ring, plane.side);
        let square = (reach - s) * (reach + s);
        Self { ring, s, reach, half_chord: if square > 0.0 { square.sqrt() } else { 0.0 } }
    }
}

/// Any other plane: wall by wall along each chain of rings.
pub(super) fn slanted<'r>(chains: impl Iterator<Item = &'r [Ring]>, plane: &Plane, with_volume: bool) -> (Sums, f64) {
    let mut sums = Sums::default();
    let mut volume = 0.0;
    for chain in chains {
        add_chain(chain, plane, &mut sums, with_volume.then_some(&mut volume));
    }
    (sums, volume)
}

fn add_chain(rings: &[Ring], plane: &Plane, sums: &mut Sums, mut volume: Option<&mut f64>) {
    let mut rings = rings.iter();
    let Some(first) = rings.next() else { return };
    let mut a = Node::new(first, plane);
    for ring in rings {
        let b = Node::new(ring, plane);
        // The first test leaves out the walls above the floor, which are most of them.
        if a.reach > a.s || b.reach > b.s {
            let met = if a.half_chord > 0.0 && b.half_chord > 0.0 {
                Some(Span { from: 0.0, to: 1.0, from_edge: false, to_edge: false })
            } else {
                span((a.reach - a.s, b.reach - b.s), (a.reach + a.s, b.reach + b.s))
            };
            let wall = Wall { a, b, plane };
            let is_stadium = a.ring.core_half_mm > 0.0 || b.ring.core_half_mm > 0.0;
            match (met, &mut volume) {
                (Some(span), volume) if is_stadium => wall.add_stadium(span, sums, volume.as_deref_mut()),
                (Some(span), volume) => wall.add_circles(span, sums, volume.as_deref_mut()),
                // Not met, and on the far side as a whole: all of it is cut off.
                (None, Some(volume)) if a.reach + a.s <= 0.0 && b.reach + b.s <= 0.0 => {
                    **volume += wall_volume(a.ring, b.ring);
                }
                (None, _) => {}
            }
        }
        a = b;
    }
}

/// A wall between two rings.
struct Wall<'a> {
    a: Node<'a>,
    b: Node<'a>,
    plane: &'a Plane,
}

impl Wall<'_> {
    fn add_circles(&self, span: Span, sums: &mut Sums, volume: Option<&mut f64>) {
        let (r0, r1, s0, s1) = (self.a.reach, self.b.reach, self.a.s, self.b.s);
        let (dr, ds, dz) = (r1 - r0, s1 - s0, self.b.ring.z_mm - self.a.ring.z_mm);
        let arc = Arc {
            start: if span.from_edge { 0.0 } else { self.a.half_chord },
            end: if span.to_edge { 0.0 } else { self.b.half_chord },
            curvature: (dr - ds) * (dr + ds),
            length: span.to - span.from,
        };
        let (area, lean) = arc.integrals();
        // Length along the section per unit of the wall's parameter, times two half chords.
        let scale = 2.0 * (dz / self.plane.across).abs();
        let middle = 0.5 * (span.from + span.to);
        sums.area += scale * area;
        sums.moment.x += scale * (area * (s0 + middle * ds) + lean * ds);
        sums.moment.z += scale * (area * (self.a.ring.z_mm + middle * dz) + lean * dz);
        let Some(volume) = volume else { return };
        if dr.abs() <= NEAR_CYLINDER * (r0 + r1) {
            *volume += self.volume_by_quadrature(span, segment);
        } else if dz > 0.0 {
            // Divergence of (x − apex)/3: the conic wall adds nothing, the plane and the two lids do.
            let slope = dr / dz;
            let apex = self.a.ring.z_mm - r0 / slope;
            let plane_share = scale * area * (apex * self.plane.along - self.plane.level);
            let side = self.plane.side;
            let lids = (segment(self.b.ring, side, s1) * r1 - segment(self.a.ring, side, s0) * r0) / slope;
            *volume += (plane_share + lids) / 3.0;
        }
    }

    fn add_stadium(&self, span: Span, sums: &mut Sums, volume: Option<&mut f64>) {
        let dz = self.b.ring.z_mm - self.a.ring.z_mm;
        let scale = (dz / self.plane.across).abs();
        self.pieces(span, |piece| {
            conic::quadrature(piece, |t, weight| {
                let ring = between(self.a.ring, self.b.ring, t);
                let s = self.a.s + t * (self.b.s - self.a.s);
                let (low, high) = stadium::chord(&ring, self.plane.side, s);
                let area = scale * weight * (high - low);
                sums.area += area;
                sums.moment += area * DVec3::new(s, 0.5 * (low + high), ring.z_mm);
            });
        });
        if let Some(volume) = volume {
            *volume += self.volume_by_quadrature(span, stadium::segment);
        }
    }

    /// Cuts a span where the trace passes from a stadium's round end to its straight side: the chord has a kink
    /// there, which a quadrature must not run over.
    fn pieces(&self, span: Span, mut each: impl FnMut(Span)) {
        let mut cuts = [span.from, span.to, span.to, span.to, span.to, span.to];
        if self.a.ring.core_half_mm > 0.0 || self.b.ring.core_half_mm > 0.0 {
            let side = self.plane.side;
            let mut slots = cuts[2..].iter_mut();
            for (x, y) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
                let off = |n: &Node| n.s - x * n.ring.core_half_mm * side.x - y * n.ring.radius_mm * side.y;
                let (at_a, at_b) = (off(&self.a), off(&self.b));
                let t = at_a / (at_a - at_b);
                if let (true, Some(slot)) = (t > span.from && t < span.to, slots.next()) {
                    *slot = t;
                }
            }
            cuts.sort_by(f64::total_cmp);
        }
        for pair in cuts.windows(2) {
            if pair[1] > pair[0] {
                each(Span { from: pair[0], to: pair[1], ..span });
            }
        }
    }

    /// Volume beyond the plane along this wall, from the areas `beyond` of its rings.
    fn volume_by_quadrature(&self, span: Span, beyond: fn(&Ring, DVec2, f64) -> f64) -> f64 {
        let dz = self.b.ring.z_mm - self.a.ring.z_mm;
        let offset = |t: f64| self.a.s + t * (self.b.s - self.a.s);
        let mut volume = 0.0;
        self.pieces(span, |piece| {
            conic::quadrature(piece, |t, weight| {
                volume += dz * weight * beyond(&between(self.a.ring, self.b.ring, t), self.plane.side, offset(t));
            });
        });
        // Outside the span a ring is cut off whole or not at all.
        for (from, to) in [(0.0, span.from), (span.to, 1.0)] {
            if to > from && offset(0.5 * (from + to)) < 0.0 {
                volume += wall_volume(&between(self.a.ring, self.b.ring, from), &between(self.a.ring, self.b.ring, to));
            }
        }
        volume
    }
}

/// Area of a circle beyond a chord at a signed distance from its centre (mm²).
fn segment(ring: &Ring, _side: DVec2, s: f64) -> f64 {
    let r = ring.radius_mm;
    if s >= r {
        return 0.0;
    }
    if s <= -r {
        return std::f64::consts::PI * r * r;
    }
    let half = ((r - s) * (r + s)).sqrt();
    r * r * half.atan2(s) - s * half
}
