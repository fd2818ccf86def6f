//! Building scenes, keeping the meshes of parts that did not change.

use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use glam::DVec3;

use super::{Bounds, LookTable, Occluder, PartMesh, PlacedMesh, Scene, SceneInput, SurfaceInput};

static NEXT_GENERATION: AtomicU64 = AtomicU64::new(1);

/// Neighbouring spheres that shade one part at most; the nearest are kept.
const NEIGHBOURS_MAX: usize = 6;
/// Spheres that cast the shadow on the floor at most; the largest are kept.
const CASTERS_MAX: usize = 96;

/// Builds scenes and keeps what can be used again.
#[derive(Debug, Default)]
pub struct SceneStore {
    meshes: HashMap<u64, Arc<PartMesh>>,
}

impl SceneStore {
    /// An empty store.
    pub fn new() -> SceneStore {
        SceneStore::default()
    }

    /// Builds a scene. Parts whose outline is that of a part in the scene built before keep their mesh.
    pub fn build(&mut self, input: SceneInput) -> Scene {
        let mut looks = LookTable::default();
        let mut kept = HashMap::with_capacity(input.surfaces.len());
        let mut parts = Vec::with_capacity(input.surfaces.len());
        for (surface, mesh) in input.surfaces.iter().zip(self.meshes_for(&input.surfaces)) {
            kept.insert(shape_key(surface), Arc::clone(&mesh));
            let (first_round, rounds) = looks.add(surface);
            parts.push(PlacedMesh {
                mesh,
                toy_from_part: surface.toy_from_part,
                part_id: surface.part_id,
                first_round,
                rounds,
                first_neighbour: 0,
                neighbours: 0,
            });
        }
        self.meshes = kept;
        let neighbours = find_neighbours(&mut parts);
        let bounds = bounds(&parts, &input);
        let floor_z_mm = input.plumb.map_or(bounds.low.z, |p| p.floor_z_mm);
        Scene {
            shadow_casters: shadow_casters(&parts),
            parts,
            looks,
            neighbours,
            beads: input.beads,
            lines: input.lines,
            polygons: input.polygons,
            plumb: input.plumb,
            floor_z_mm,
            bounds,
            generation: NEXT_GENERATION.fetch_add(1, Ordering::Relaxed),
        }
    }

    /// A mesh for every surface: kept ones, and new ones made side by side on the machine's cores.
    fn meshes_for(&self, surfaces: &[SurfaceInput]) -> Vec<Arc<PartMesh>> {
        let mut found: HashMap<u64, Arc<PartMesh>> = HashMap::new();
        let mut missing: Vec<(u64, &SurfaceInput)> = Vec::new();
        for surface in surfaces {
            let key = shape_key(surface);
            if let Some(mesh) = self.meshes.get(&key) {
                found.insert(key, Arc::clone(mesh));
            } else if missing.iter().all(|(k, _)| *k != key) {
                missing.push((key, surface));
            }
        }
        found.extend(make(&missing));
        surfaces.iter().filter_map(|s| found.get(&shape_key(s)).cloned()).collect()
    }
}

fn make(missing: &[(u64, &SurfaceInput)]) -> Vec<(u64, Arc<PartMesh>)> {
    let one = |(key, s): &(u64, &SurfaceInput)| (*key, Arc::new(PartMesh::new(&s.nodes, s.flat.as_ref())));
    let rounds: usize = missing.iter().map(|(_, s)| s.nodes.len()).sum();
    let workers = std::thread::available_parallelism().map_or(1, |n| n.get()).min(8);
    // Starting a thread costs more than a small toy's meshes.
    if rounds < 600 || workers < 2 {
        return missing.iter().map(one).collect();
    }
    let share = missing.len().div_ceil(workers).max(1);
    std::thread::scope(|scope| {
        let handles: Vec<_> =
            missing.chunks(share).map(|chunk| scope.spawn(move || chunk.iter().map(one).collect::<Vec<_>>())).collect();
        handles.into_iter().flat_map(|h| h.join().unwrap_or_default()).collect()
    })
}

/// A number for a part's shape alone: colours, counts and place left out.
fn shape_key(surface: &SurfaceInput) -> u64 {
    let mut hasher = DefaultHasher::new();
    for node in &surface.nodes {
        for value in [node.z_mm, node.radius_mm, node.core_half_mm] {
            value.to_bits().hash(&mut hasher);
        }
    }
    if let Some(flat) = &surface.flat {
        flat.thickness_mm.to_bits().hash(&mut hasher);
        flat.half_width_mm.iter().for_each(|w| w.to_bits().hash(&mut hasher));
    }
    hasher.finish()
}

/// Spheres of a part in the toy's frame.
fn spheres(part: &PlacedMesh) -> impl Iterator<Item = Occluder> + '_ {
    part.mesh
        .occluders
        .iter()
        .map(|o| Occluder { centre: part.toy_from_part.transform_point3(o.centre), radius_mm: o.radius_mm })
}

/// Lists, part by part, the spheres of other parts near enough to shade it.
fn find_neighbours(parts: &mut [PlacedMesh]) -> Vec<Occluder> {
    let all: Vec<Vec<Occluder>> = parts.iter().map(|p| spheres(p).collect()).collect();
    let mut list = Vec::new();
    for (i, part) in parts.iter_mut().enumerate() {
        let (middle, reach) = part.mesh.sphere();
        let middle = part.toy_from_part.transform_point3(middle);
        let mut near: Vec<(f64, Occluder)> = all
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i)
            .flat_map(|(_, spheres)| spheres.iter())
            .map(|o| (((o.centre - middle).length() - reach) / o.radius_mm.max(1e-6), *o))
            .filter(|(gap, _)| *gap < 3.0)
            .collect();
        near.sort_by(|a, b| a.0.total_cmp(&b.0));
        near.truncate(NEIGHBOURS_MAX);
        part.first_neighbour = list.len() as u32;
        part.neighbours = near.len() as u32;
        list.extend(near.into_iter().map(|(_, o)| o));
    }
    list
}

fn shadow_casters(parts: &[PlacedMesh]) -> Vec<Occluder> {
    let mut all: Vec<Occluder> = parts.iter().flat_map(spheres).collect();
    all.sort_by(|a, b| b.radius_mm.total_cmp(&a.radius_mm));
    all.truncate(CASTERS_MAX);
    all
}

/// A box around the parts and beads; a small one about the origin where there is nothing.
fn bounds(parts: &[PlacedMesh], input: &SceneInput) -> Bounds {
    let none = Bounds { low: DVec3::INFINITY, high: DVec3::NEG_INFINITY };
    let mut all = none;
    for part in parts.iter().filter(|p| !p.mesh.vertices.is_empty()) {
        let m = part.toy_from_part.matrix3;
        // How far a stadium of radius 1, and one of core 1, reaches along each of the toy's axes.
        let round = DVec3::from_array([0, 1, 2].map(|i| (1.0 - m.z_axis[i] * m.z_axis[i]).max(0.0).sqrt()));
        let long = m.x_axis.abs();
        let mut add = |z: f64, radius: f64, core: f64| {
            let middle = part.toy_from_part.transform_point3(DVec3::new(0.0, 0.0, z));
            let reach = round * radius + long * core;
            all.low = all.low.min(middle - reach);
            all.high = all.high.max(middle + reach);
        };
        for strip in &part.mesh.strips {
            add(strip.z_mm, strip.radius_mm, strip.core_half_mm);
        }
        add(part.mesh.extent_mm[0], 0.0, 0.0);
        add(part.mesh.extent_mm[1], 0.0, 0.0);
    }
    for bead in &input.beads {
        all = all.with_sphere(bead.centre, bead.radius_mm);
    }
    if all.low.is_finite() && all.high.is_finite() {
        all
    } else {
        Bounds { low: DVec3::splat(-10.0), high: DVec3::splat(10.0) }
    }
}
