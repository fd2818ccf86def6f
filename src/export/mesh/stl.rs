//! Binary STL (3D Systems, Stereolithography Interface Specification, 1989): triangles in mm, z up, without colour.
//!
//! STL is right-handed. The toy's frame is left-handed; its y turned about makes it right-handed: the toy faces −y,
//! as the front view of a printer's software has it, and its left stays at +x.

use glam::{DVec3, Vec3};

use super::Mesh;

/// The 80 bytes that readers skip. They must not begin with "solid", by which text files are told.
const HEADER: &[u8] = b"Toppleknot mesh in mm, z up, facing -y";

/// The bytes of a binary `.stl` file. The same mesh gives the same bytes.
pub fn stl(mesh: &Mesh) -> Vec<u8> {
    let count: usize = mesh.surfaces.iter().map(|s| s.triangles.len()).sum();
    let mut bytes = Vec::with_capacity(84 + 50 * count);
    bytes.extend(HEADER);
    bytes.resize(80, b' ');
    bytes.extend((count as u32).to_le_bytes());
    for surface in &mesh.surfaces {
        for [a, b, c] in &surface.triangles {
            // Turning y about turns a triangle over.
            let corners = [a, c, b].map(|i| stl_from_toy(surface.points[*i as usize]));
            let [p, q, r] = corners.map(Vec3::as_dvec3);
            let normal = (q - p).cross(r - p).try_normalize().unwrap_or(DVec3::Z).as_vec3();
            for v in [normal, corners[0], corners[1], corners[2]] {
                v.to_array().iter().for_each(|x| bytes.extend(x.to_le_bytes()));
            }
            bytes.extend([0, 0]);
        }
    }
    bytes
}

fn stl_from_toy(p: DVec3) -> Vec3 {
    DVec3::new(p.x, -p.y, p.z).as_vec3()
}
