//! The convex hull of a toy as flat faces with their neighbours.

use std::collections::{HashMap, HashSet};

use glam::DVec3;

use super::quickhull::{Triangle, hull};

/// A flat face of the hull.
#[derive(Clone, Debug)]
pub(super) struct Face {
    /// Outward unit normal.
    pub normal: DVec3,
    /// A point of its plane.
    pub point: DVec3,
    /// Its edges, turning left as seen from outside.
    pub edges: Vec<Edge>,
    /// Its triangles, likewise.
    pub triangles: Vec<[DVec3; 3]>,
}

/// An edge of a face.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub from: DVec3,
    pub to: DVec3,
    /// The face on its other side.
    pub beyond: usize,
}

/// Neighbouring triangles whose normals differ by less than this (rad) are one face. The rings of a toy meet at
/// far larger angles.
const COPLANAR: f64 = 1e-3;
/// Points are moved by this share of the extent so that no four lie in a plane, which hull builders stumble over.
const JOGGLE: f64 = 2e-9;
/// Points nearer to each other than about this share of the extent are one.
const SAME: f64 = 1e-6;

/// The faces of the convex hull of some points. `None` if they span no volume or the hull cannot be built.
pub(super) fn faces(points: &[DVec3]) -> Option<Vec<Face>> {
    let points = joggled(points)?;
    let triangles = hull(&points)?;
    let normal = |t: &Triangle| {
        let [a, b, c] = t.corners.map(|i| points[i]);
        (b - a).cross(c - a)
    };
    let mut group = Groups::new(triangles.len());
    for (one, triangle) in triangles.iter().enumerate() {
        for &other in triangle.beyond.iter().filter(|&&other| one < other) {
            let (n, m) = (normal(triangle), normal(&triangles[other]));
            // cos ≈ 1 − angle²/2
            if n.dot(m) > (1.0 - 0.5 * COPLANAR * COPLANAR) * n.length() * m.length() {
                group.join(one, other);
            }
        }
    }
    let mut index_of: HashMap<usize, usize> = HashMap::new();
    let mut faces: Vec<Face> = Vec::new();
    let mut face_of = vec![0; triangles.len()];
    for (index, triangle) in triangles.iter().enumerate() {
        let corners = triangle.corners.map(|i| points[i]);
        let face = *index_of.entry(group.root(index)).or_insert_with(|| {
            faces.push(Face { normal: DVec3::ZERO, point: corners[0], edges: vec![], triangles: vec![] });
            faces.len() - 1
        });
        face_of[index] = face;
        faces[face].normal += normal(triangle);
        faces[face].triangles.push(corners);
    }
    for (index, triangle) in triangles.iter().enumerate() {
        for k in 0..3 {
            let beyond = face_of[triangle.beyond[k]];
            if beyond != face_of[index] {
                let (from, to) = (points[triangle.corners[k]], points[triangle.corners[(k + 1) % 3]]);
                faces[face_of[index]].edges.push(Edge { from, to, beyond });
            }
        }
    }
    for face in &mut faces {
        face.normal = face.normal.try_normalize()?;
    }
    (faces.len() >= 4).then_some(faces)
}

/// The points, each moved by a hair. `None` if they have no extent in some direction of space.
fn joggled(points: &[DVec3]) -> Option<Vec<DVec3>> {
    if points.len() < 4 || points.iter().any(|p| !p.is_finite()) {
        return None;
    }
    let (low, high) = points.iter().fold((points[0], points[0]), |(a, b), &p| (a.min(p), b.max(p)));
    let extent = (high - low).max_element();
    if (high - low).min_element() <= 1e-6 * extent {
        return None;
    }
    // Points that coincide (where parts meet, or mirror each other) would make faces of no size.
    let cell = SAME * extent;
    let mut seen = HashSet::with_capacity(points.len());
    let step = JOGGLE * extent;
    let apart = points.iter().filter(|p| seen.insert((**p / cell).round().as_i64vec3()));
    let moved = apart.zip(0_u64..).map(|(p, i)| {
        let [x, y, z] = [0, 1, 2].map(|axis| spread(3 * i + axis) * step);
        *p + DVec3::new(x, y, z)
    });
    Some(moved.collect())
}

/// A number between −1 and 1 that looks random and is the same in every run (splitmix64).
fn spread(seed: u64) -> f64 {
    let mut x = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^= x >> 31;
    (x >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
}

/// Disjoint groups of indices.
pub(super) struct Groups(Vec<usize>);

impl Groups {
    pub(super) fn new(count: usize) -> Self {
        Self((0..count).collect())
    }

    pub(super) fn root(&mut self, mut index: usize) -> usize {
        while self.0[index] != index {
            self.0[index] = self.0[self.0[index]];
            index = self.0[index];
        }
        index
    }

    /// Joins two groups; the first one's root stays.
    pub(super) fn join(&mut self, stays: usize, goes: usize) {
        let (a, b) = (self.root(stays), self.root(goes));
        self.0[b] = a;
    }
}
