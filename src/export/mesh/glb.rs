//! Binary glTF 2.0 (Khronos Group, glTF 2.0 specification, also ISO/IEC 12113:2022): one mesh for each surface, one
//! primitive for each of its colours over the same corners.
//!
//! glTF is right-handed, y up, its front toward +z, in metres; colours are linear light. The toy's frame is
//! left-handed, and exchanging y and z makes it right-handed: the toy's left stays at +x, its front comes to +z.
//! Corners are written in mm under a root that scales by 0.001.

use glam::{DVec3, Vec3};
use serde_json::{Value, json};

use super::{Mesh, Surface};
use crate::view::scene::linear;

const MAGIC: u32 = 0x4654_6C67;
const CHUNK_JSON: u32 = 0x4E4F_534A;
const CHUNK_BINARY: u32 = 0x004E_4942;
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;

/// The bytes of a `.glb` file. The same mesh gives the same bytes.
pub fn glb(mesh: &Mesh) -> Vec<u8> {
    let mut positions: Vec<u8> = Vec::new();
    let mut normals: Vec<u8> = Vec::new();
    let mut indices: Vec<u8> = Vec::new();
    let (mut accessors, mut meshes, mut nodes) = (Vec::new(), Vec::new(), Vec::new());
    let name = if mesh.name.is_empty() { "Toy" } else { &mesh.name };
    let children: Vec<usize> = (1..=mesh.surfaces.len()).collect();
    nodes.push(json!({ "name": name, "scale": [0.001, 0.001, 0.001], "children": children }));
    for surface in &mesh.surfaces {
        let corners: Vec<Vec3> = surface.points.iter().map(|p| gltf_from_toy(*p)).collect();
        let first = accessors.len();
        accessors.push(position_accessor(&corners, positions.len()));
        accessors.push(json!({ "bufferView": 1, "byteOffset": normals.len(), "componentType": FLOAT,
            "count": corners.len(), "type": "VEC3" }));
        corners.iter().for_each(|p| put(&mut positions, *p));
        outward_normals(surface, &corners).iter().for_each(|n| put(&mut normals, *n));
        let mut primitives = Vec::new();
        for colour in 0..mesh.colours.len() as u32 {
            let begins = indices.len();
            let own = surface.triangles.iter().zip(&surface.colour_of).filter(|(_, c)| **c == colour);
            for ([a, b, c], _) in own {
                // The exchange of y and z turns a triangle over.
                [a, c, b].iter().for_each(|i| indices.extend(i.to_le_bytes()));
            }
            if indices.len() == begins {
                continue;
            }
            accessors.push(json!({ "bufferView": 2, "byteOffset": begins, "componentType": UNSIGNED_INT,
                "count": (indices.len() - begins) / 4, "type": "SCALAR" }));
            primitives.push(json!({ "attributes": { "POSITION": first, "NORMAL": first + 1 },
                "indices": accessors.len() - 1, "material": colour, "mode": 4 }));
        }
        nodes.push(json!({ "name": surface.name, "mesh": meshes.len() }));
        meshes.push(json!({ "name": surface.name, "primitives": primitives }));
    }
    let lengths = [positions.len(), normals.len(), indices.len()];
    let binary = [positions, normals, indices].concat();
    let document = json!({
        "asset": {
            "version": "2.0",
            "generator": concat!("Toppleknot ", env!("CARGO_PKG_VERSION")),
            "extras": { "corners": "mm; the root node scales them to metres" },
        },
        "scene": 0,
        "scenes": [{ "name": name, "nodes": [0] }],
        "nodes": nodes,
        "meshes": meshes,
        "materials": mesh.colours.iter().map(|(rgb, name)| material(*rgb, name)).collect::<Vec<_>>(),
        "accessors": accessors,
        "bufferViews": [
            { "buffer": 0, "byteOffset": 0, "byteLength": lengths[0], "byteStride": 12, "target": ARRAY_BUFFER },
            { "buffer": 0, "byteOffset": lengths[0], "byteLength": lengths[1], "byteStride": 12, "target": ARRAY_BUFFER },
            { "buffer": 0, "byteOffset": lengths[0] + lengths[1], "byteLength": lengths[2],
                "target": ELEMENT_ARRAY_BUFFER },
        ],
        "buffers": [{ "byteLength": binary.len() }],
    });
    container(document.to_string().into_bytes(), binary)
}

/// Yarn is dull: no metal, no shine.
fn material([r, g, b]: [u8; 3], name: &str) -> Value {
    let [r, g, b] = linear([r, g, b]);
    json!({ "name": name, "pbrMetallicRoughness": {
        "baseColorFactor": [r, g, b, 1.0], "metallicFactor": 0.0, "roughnessFactor": 0.95 } })
}

fn gltf_from_toy(p: DVec3) -> Vec3 {
    DVec3::new(p.x, p.z, p.y).as_vec3()
}

fn put(bytes: &mut Vec<u8>, v: Vec3) {
    v.to_array().iter().for_each(|x| bytes.extend(x.to_le_bytes()));
}

fn position_accessor(corners: &[Vec3], offset: usize) -> Value {
    let low = corners.iter().fold(Vec3::INFINITY, |low, p| low.min(*p));
    let high = corners.iter().fold(Vec3::NEG_INFINITY, |high, p| high.max(*p));
    json!({ "bufferView": 0, "byteOffset": offset, "componentType": FLOAT, "count": corners.len(), "type": "VEC3",
        "min": low.to_array(), "max": high.to_array() })
}

/// Unit normals at the corners: those of the triangles around, by their areas.
fn outward_normals(surface: &Surface, corners: &[Vec3]) -> Vec<Vec3> {
    let mut sums = vec![DVec3::ZERO; corners.len()];
    for [a, b, c] in &surface.triangles {
        let [p, q, r] = [a, b, c].map(|i| surface.points[*i as usize]);
        let out = (q - p).cross(r - p);
        [a, b, c].iter().for_each(|i| sums[**i as usize] += out);
    }
    sums.iter().map(|n| gltf_from_toy(n.try_normalize().unwrap_or(DVec3::Z))).collect()
}

/// The two chunks behind their header, each filled up to a multiple of four bytes: the text with blanks, the
/// numbers with zeros.
fn container(mut text: Vec<u8>, mut binary: Vec<u8>) -> Vec<u8> {
    text.resize(text.len().next_multiple_of(4), b' ');
    binary.resize(binary.len().next_multiple_of(4), 0);
    let total = 12 + 8 + text.len() + 8 + binary.len();
    let mut bytes = Vec::with_capacity(total);
    let words = |bytes: &mut Vec<u8>, words: &[u32]| words.iter().for_each(|w| bytes.extend(w.to_le_bytes()));
    // A mesh has four million triangles at most, some hundred megabytes: far below what 32 bits count.
    words(&mut bytes, &[MAGIC, 2, total as u32, text.len() as u32, CHUNK_JSON]);
    bytes.extend(text);
    words(&mut bytes, &[binary.len() as u32, CHUNK_BINARY]);
    bytes.extend(binary);
    bytes
}
