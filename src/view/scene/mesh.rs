//! The triangles of one part, in the part's own frame, so that a part that is only moved, recoloured or
//! chosen keeps its mesh.
//!
//! A vertex knows its place along the rounds, but not its stitch: the stitch around follows exactly from the
//! position (see [`super::section`]), so coarse rings lose nothing and a round's count may change from one
//! round to the next without a seam.

use std::sync::atomic::{AtomicU64, Ordering};

use glam::{DVec3, Vec3};

use super::profile::{Ring, rings, sheet_nodes};
use super::{FlatSheet, Node};

/// A corner of the mesh, laid out as the graphics card reads it (28 bytes).
#[repr(C)]
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "gui", derive(bytemuck::Pod, bytemuck::Zeroable))]
pub struct Vertex {
    /// Position in the part's frame in mm.
    pub position_mm: [f32; 3],
    /// Outward normal, each component times 32767; the fourth is unused.
    pub normal: [i16; 4],
    /// Rounds from the start: 2.5 lies in the middle of the third round.
    pub round_coord: f32,
    /// Half the straight part of the section here in mm.
    pub core_half_mm: f32,
}

/// The triangles of one round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// First of the round's indices.
    pub first_index: u32,
    /// Number of the round's indices.
    pub indices: u32,
    /// Middle of a sphere around the round (on the axis), its height in mm.
    pub z_mm: f64,
    /// Radius of that sphere in mm.
    pub reach_mm: f64,
    /// Largest radius of the section's round ends in mm.
    pub radius_mm: f64,
    /// Largest half core of the section in mm.
    pub core_half_mm: f64,
}

/// A sphere that stands for a piece of a part where only soft shade is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Occluder {
    /// Its centre.
    pub centre: DVec3,
    /// Its radius in mm.
    pub radius_mm: f64,
}

/// A part's triangles in its own frame.
#[derive(Clone, Debug)]
pub struct PartMesh {
    /// A number no other mesh has.
    pub id: u64,
    /// The corners.
    pub vertices: Vec<Vertex>,
    /// Three a triangle, counterclockwise seen from outside if the part's frame were right-handed.
    pub indices: Vec<u32>,
    /// The triangles by round (link of the outline).
    pub strips: Vec<Strip>,
    /// Spheres that stand for the part in soft shade.
    pub occluders: Vec<Occluder>,
    /// Both ends are closed: the inside can not be seen.
    pub closed: bool,
    /// Lowest and highest point along the axis, and the largest distance from it, in mm.
    pub extent_mm: [f64; 3],
}

static NEXT_ID: AtomicU64 = AtomicU64::new(1);

/// How far a ring's straight edges may run inside the true circle, in mm.
const CHORD_MM: f64 = 0.12;

/// Corners of a ring of this radius, a multiple of 4.
fn segments(radius_mm: f64) -> usize {
    if radius_mm < 1e-6 {
        return 1;
    }
    let angle = (1.0 - (CHORD_MM / radius_mm).min(1.0)).acos();
    let wanted = (std::f64::consts::PI / angle).ceil() as usize;
    wanted.div_ceil(4).clamp(4, 30) * 4
}

/// Direction out of a ring's corner and the side of the core (−1 or 1) it belongs to.
#[derive(Clone, Copy)]
struct Corner {
    out: [f32; 2],
    side: f32,
}

/// Corners of all rings of one part, by their number over 4; made when first asked for.
struct Corners {
    with_core: bool,
    made: Vec<Option<Vec<Corner>>>,
}

impl Corners {
    fn of(&mut self, segments: usize) -> &[Corner] {
        let slot = segments / 4;
        if self.made.len() <= slot {
            self.made.resize(slot + 1, None);
        }
        let with_core = self.with_core;
        self.made[slot].get_or_insert_with(|| {
            if slot == 0 {
                return vec![Corner { out: [0.0, 0.0], side: 0.0 }];
            }
            let mut corners = Vec::with_capacity(segments + 2);
            for k in 0..segments {
                let (sin, cos) = (std::f64::consts::TAU * k as f64 / segments as f64).sin_cos();
                let out = [cos as f32, sin as f32];
                let (at_top, at_bottom) = (4 * k == segments, 4 * k == 3 * segments);
                let side = if 4 * k <= segments || 4 * k > 3 * segments { 1.0 } else { -1.0 };
                if with_core && (at_top || at_bottom) {
                    corners.push(Corner { out, side: if at_top { 1.0 } else { -1.0 } });
                    corners.push(Corner { out, side: if at_top { -1.0 } else { 1.0 } });
                } else {
                    corners.push(Corner { out, side });
                }
            }
            corners
        })
    }
}

impl PartMesh {
    /// The mesh of an outline, or of the flat sheet it makes. Fewer than two nodes give an empty mesh; a node
    /// that is not finite counts as lying at 0.
    pub fn new(nodes: &[Node], flat: Option<&FlatSheet>) -> PartMesh {
        let finite = |x: f64| if x.is_finite() { x } else { 0.0 };
        let clean = |n: &Node| Node {
            z_mm: finite(n.z_mm),
            radius_mm: finite(n.radius_mm).max(0.0),
            core_half_mm: finite(n.core_half_mm).max(0.0),
        };
        let nodes: Vec<Node> = match flat {
            Some(sheet) => sheet_nodes(nodes, sheet).iter().map(clean).collect(),
            None => nodes.iter().map(clean).collect(),
        };
        let rings = rings(&nodes);
        let mut mesh = PartMesh {
            id: NEXT_ID.fetch_add(1, Ordering::Relaxed),
            vertices: Vec::new(),
            indices: Vec::new(),
            strips: Vec::new(),
            occluders: occluders(&nodes),
            closed: nodes.len() > 1 && [nodes.first(), nodes.last()].iter().flatten().all(|n| n.radius_mm < 1e-6),
            extent_mm: extent(&rings),
        };
        mesh.fill(&rings);
        mesh
    }

    fn fill(&mut self, rings: &[Ring]) {
        let with_core = rings.iter().any(|r| r.core_half_mm > 0.0);
        let mut corners = Corners { with_core, made: Vec::new() };
        // A closed end of a chain is a slit: it needs all its corners, though its radius is 0.
        let sizes: Vec<usize> = rings
            .iter()
            .map(|r| if r.core_half_mm > 0.0 { segments(r.radius_mm).max(16) } else { segments(r.radius_mm) })
            .collect();
        let total: usize = sizes.iter().map(|s| s + 2).sum();
        self.vertices.reserve_exact(total);
        self.indices.reserve_exact(total * 6);
        let (mut below, mut below_len) = (0_u32, 0_u32);
        for (i, (ring, size)) in rings.iter().zip(&sizes).enumerate() {
            let first = self.vertices.len() as u32;
            push_ring(&mut self.vertices, ring, corners.of(*size), i + 1 == rings.len());
            let len = self.vertices.len() as u32 - first;
            if i > 0 {
                self.open_strip(ring, &rings[i - 1]);
                join(&mut self.indices, [below, below_len], [first, len]);
                if let Some(strip) = self.strips.last_mut() {
                    strip.indices = self.indices.len() as u32 - strip.first_index;
                }
            }
            (below, below_len) = (first, len);
        }
    }

    /// Begins a new strip where a new round begins, and widens the current one's sphere.
    fn open_strip(&mut self, ring: &Ring, before: &Ring) {
        let round = before.round_coord.floor() as usize;
        if round >= self.strips.len() {
            self.strips.push(Strip {
                first_index: self.indices.len() as u32,
                indices: 0,
                z_mm: before.z_mm,
                reach_mm: before.radius_mm + before.core_half_mm,
                radius_mm: before.radius_mm,
                core_half_mm: before.core_half_mm,
            });
        }
        if let Some(strip) = self.strips.last_mut() {
            for r in [ring, before] {
                let reach = (r.z_mm - strip.z_mm).hypot(r.radius_mm + r.core_half_mm);
                strip.reach_mm = strip.reach_mm.max(reach);
                strip.radius_mm = strip.radius_mm.max(r.radius_mm);
                strip.core_half_mm = strip.core_half_mm.max(r.core_half_mm);
            }
        }
    }

    /// A sphere around the part in its own frame: centre on the axis, radius in mm.
    pub fn sphere(&self) -> (DVec3, f64) {
        let [low, high, wide] = self.extent_mm;
        (DVec3::new(0.0, 0.0, 0.5 * (low + high)), (0.5 * (high - low)).hypot(wide))
    }
}

fn extent(rings: &[Ring]) -> [f64; 3] {
    if rings.is_empty() {
        return [0.0; 3];
    }
    rings.iter().fold([f64::INFINITY, f64::NEG_INFINITY, 0.0], |[low, high, wide], r| {
        [low.min(r.z_mm), high.max(r.z_mm), wide.max(r.radius_mm + r.core_half_mm)]
    })
}

/// `last`: the ring ends the part, so its slope points into the last link.
fn push_ring(vertices: &mut Vec<Vertex>, ring: &Ring, corners: &[Corner], last: bool) {
    let (radius, core, z) = (ring.radius_mm as f32, ring.core_half_mm as f32, ring.z_mm as f32);
    let slope = ring.slope.as_vec3();
    let round_coord = ring.round_coord as f32;
    let normal = |out: [f32; 2]| {
        let n = Vec3::new(out[0] * slope.z, out[1] * slope.z, -(slope.x + slope.y * out[0].abs()));
        let towards_end = if last { Vec3::Z } else { Vec3::NEG_Z };
        let n = n.try_normalize().unwrap_or(towards_end) * 32767.0;
        [n.x as i16, n.y as i16, n.z as i16, 0]
    };
    // Without a change of the core the slope is the same all around.
    if slope.y == 0.0 && corners.len() > 1 {
        let n = Vec3::new(slope.z, 0.0, -slope.x).try_normalize().unwrap_or(Vec3::X) * 32767.0;
        vertices.extend(corners.iter().map(|c| Vertex {
            position_mm: [radius * c.out[0] + core * c.side, radius * c.out[1], z],
            normal: [(n.x * c.out[0]) as i16, (n.x * c.out[1]) as i16, n.z as i16, 0],
            round_coord,
            core_half_mm: core,
        }));
        return;
    }
    vertices.extend(corners.iter().map(|c| Vertex {
        position_mm: [radius * c.out[0] + core * c.side, radius * c.out[1], z],
        normal: normal(c.out),
        round_coord,
        core_half_mm: core,
    }));
}

/// Triangles between two rings given as (first vertex, number): step along whichever lags behind.
fn join(indices: &mut Vec<u32>, [below, below_len]: [u32; 2], [above, above_len]: [u32; 2]) {
    let wrap = |i: u32, len: u32| if i >= len { i - len } else { i };
    if below_len == above_len {
        if below_len < 3 {
            return;
        }
        let mut previous = below_len - 1;
        for i in 0..below_len {
            let (a, b, c, d) = (below + previous, below + i, above + i, above + previous);
            indices.extend_from_slice(&[a, b, c, a, c, d]);
            previous = i;
        }
        return;
    }
    let (mut i, mut j) = (0, 0);
    let (steps_i, steps_j) = (if below_len > 1 { below_len } else { 0 }, if above_len > 1 { above_len } else { 0 });
    while i < steps_i || j < steps_j {
        // Compare the middles of the next steps, so that the triangles stay upright.
        let step_below = j >= steps_j || (i < steps_i && (2 * i + 1) * above_len <= (2 * j + 1) * below_len);
        let (a, c) = (below + wrap(i, below_len), above + wrap(j, above_len));
        if step_below {
            i += 1;
            indices.extend_from_slice(&[a, below + wrap(i, below_len), c]);
        } else {
            j += 1;
            indices.extend_from_slice(&[a, above + wrap(j, above_len), c]);
        }
    }
}

/// Up to eight spheres along the part, thinner than it where it is flat.
fn occluders(nodes: &[Node]) -> Vec<Occluder> {
    let Some((first, last)) = nodes.first().zip(nodes.last()) else { return Vec::new() };
    let height = last.z_mm - first.z_mm;
    let size = |n: &Node| (n.radius_mm * (n.radius_mm + n.core_half_mm)).sqrt();
    let widest = nodes.iter().map(size).fold(0.0, f64::max);
    if widest < 1e-6 {
        return Vec::new();
    }
    let pieces = ((height / (1.1 * widest)).ceil() as usize).clamp(1, 8);
    let mut spheres = Vec::with_capacity(pieces);
    for piece in 0..pieces {
        let (from, to) = (piece as f64 / pieces as f64, (piece + 1) as f64 / pieces as f64);
        let within = |n: &&Node| {
            let at = if height > 0.0 { (n.z_mm - first.z_mm) / height } else { from };
            at >= from - 1e-9 && at <= to + 1e-9
        };
        let radius_mm = 0.95 * nodes.iter().filter(within).map(size).fold(0.0, f64::max);
        if radius_mm > 0.0 {
            let z = first.z_mm + height * 0.5 * (from + to);
            spheres.push(Occluder { centre: DVec3::new(0.0, 0.0, z), radius_mm });
        }
    }
    spheres
}
