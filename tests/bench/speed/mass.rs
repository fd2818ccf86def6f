//! Mass properties of a stuffed part in closed form against parry3d's of a triangle mesh of the same surface. The
//! corners of the mesh lie as far out as makes the area of every ring that of its circle, as in the files that the
//! program exports: of all meshes of so many segments the one that is nearest.

use std::hint::black_box;

use glam::DVec3;
use parry3d_f64::mass_properties::MassProperties as MeshMass;
use parry3d_f64::math::Vector;
use toppleknot::export::mesh::{Side, Surface, solid_mesh};
use toppleknot::measure::derive;
use toppleknot::solid::Ring;
use toppleknot::solid::mass::{MassProperties, frustum_solid};

use super::table::{Row, ratio, time};
use super::timing::in_turns;
use super::toys::toy;

/// Density, g/mm³: 60 g/L.
const DENSITY: f64 = 60e-6;
/// The coarser mesh is the coarsest that agrees so well, as a share of mass, of the radius of gyration, of inertia.
const AGREES: f64 = 1e-3;

/// A mesh as parry3d takes it.
struct Mesh {
    points: Vec<Vector>,
    triangles: Vec<[u32; 3]>,
    segments: usize,
}

impl Mesh {
    /// Of a surface turned around z, closed by lids that are fans.
    fn of_rings(rings: &[Ring], segments: usize) -> Mesh {
        let step = std::f64::consts::TAU / segments as f64;
        let out = (step / step.sin()).sqrt();
        let mut points = Vec::new();
        for ring in rings {
            points.extend((0..segments).map(|k| {
                let (sin, cos) = (step * k as f64).sin_cos();
                Vector::new(out * ring.radius_mm * cos, out * ring.radius_mm * sin, ring.z_mm)
            }));
        }
        let corner = |ring: usize, k: usize| (ring * segments + k % segments) as u32;
        let mut triangles = Vec::new();
        let is_point = |ring: usize| rings[ring].radius_mm <= 0.0;
        for ring in 0..rings.len() - 1 {
            for k in 0..segments {
                let (a, b, c, d) = (corner(ring, k), corner(ring, k + 1), corner(ring + 1, k + 1), corner(ring + 1, k));
                if !is_point(ring) {
                    triangles.push([a, b, c]);
                }
                if !is_point(ring + 1) {
                    triangles.push([a, c, d]);
                }
            }
        }
        for (ring, up) in [(0, false), (rings.len() - 1, true)] {
            for k in (1..segments - 1).filter(|_| !is_point(ring)) {
                let (a, b, c) = (corner(ring, 0), corner(ring, k), corner(ring, k + 1));
                triangles.push(if up { [a, b, c] } else { [a, c, b] });
            }
        }
        Mesh { points, triangles, segments }
    }

    fn of_surface(surface: &Surface, rings: usize) -> Mesh {
        let points: Vec<Vector> = surface.points.iter().map(|p| Vector::new(p.x, p.y, p.z)).collect();
        let segments = points.len() / rings.max(1);
        Mesh { points, triangles: surface.triangles.clone(), segments }
    }

    fn mass(&self) -> MeshMass {
        MeshMass::from_trimesh(DENSITY, black_box(&self.points), black_box(&self.triangles))
    }
}

/// The filled solid between the rings.
fn closed_form(rings: &[Ring]) -> MassProperties {
    black_box(rings).windows(2).map(|pair| frustum_solid(pair[0], pair[1], DENSITY)).sum()
}

/// How far the two are apart: the largest of the shares of mass, of the radius of gyration, of inertia. Both are of
/// bodies that look alike from all sides around z; the mesh may stand elsewhere along it.
fn apart(own: &MassProperties, mesh: &MeshMass, mesh_height_mm: f64) -> f64 {
    let inertia = mesh.reconstruct_inertia_matrix();
    let of_mesh = DVec3::new(inertia.x_axis.x, inertia.y_axis.y, inertia.z_axis.z);
    let i = own.inertia_g_mm2;
    let of_own = DVec3::new(i.x_axis.x, i.y_axis.y, i.z_axis.z);
    let gyration = (of_own.length() / own.mass_g).sqrt();
    let centre = (mesh.local_com.z - mesh_height_mm - own.centre_mm.z).abs() / gyration;
    let inertia = (of_mesh - of_own).length() / of_own.length();
    (mesh.mass() / own.mass_g - 1.0).abs().max(centre).max(inertia)
}

pub fn rows() -> Vec<Row> {
    let toy = toy(1);
    let derived = derive(&toy);
    let rings = &derived.made.shapes[0].outer.rings;
    let own = closed_form(rings);
    let lift = derived.made.poses[0].toy_from_part.first().map_or(0.0, |m| m.translation.z);
    let coarsest = (3..).map(|n| Mesh::of_rings(rings, n)).find(|m| apart(&own, &m.mass(), 0.0) < AGREES);
    let exported = solid_mesh(&toy, &derived.made, Side::Outside).ok();
    let exported = exported.as_ref().and_then(|m| m.surfaces.first()).map(|s| Mesh::of_surface(s, rings.len()));
    let meshes = [("coarsest mesh that agrees to 0.1 %", coarsest, 0.0), ("mesh as exported", exported, lift)];
    let row = |(name, mesh, height): (&str, Option<Mesh>, f64)| {
        let what = "mass, centre, inertia of a stuffed part of 50 rounds";
        let Some(mesh) = mesh else { return Row::absent(what, "there is no mesh") };
        let off = apart(&own, &mesh.mass(), height);
        let [closed, general] =
            in_turns(1.0, [&mut || _ = black_box(closed_form(rings)), &mut || _ = black_box(mesh.mass())]);
        Row {
            what: what.to_owned(),
            here: time(closed.span()),
            against: format!(
                "parry3d, {name} ({} triangles, {} around, apart by {off:.0e}): {}",
                mesh.triangles.len(),
                mesh.segments,
                time(general.span())
            ),
            ratio: ratio(general.over(&closed)),
            aim: "20 or more".to_owned(),
        }
    };
    meshes.into_iter().map(row).collect()
}
