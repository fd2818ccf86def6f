//! The poses a dropped toy comes to rest in, and how often each.
//!
//! A toy dropped at random comes down on each face of its convex hull as often as that face's solid angle from
//! the centre of mass says; where the centre's foot lies outside the face it topples on across an edge, until a
//! face holds it. Rest poses that are parted only by a hump of a millimetre or so are one pose.

mod hull;
mod quickhull;

use std::f64::consts::TAU;

use glam::DVec3;

use crate::solid::Placed;
use hull::{Edge, Face, Groups, faces};

/// A pose in which a dropped toy stays.
#[derive(Clone, Debug, PartialEq)]
pub struct RestPose {
    /// Share of random drops that end in it; the shares of all poses sum to 1.
    pub share: f64,
    /// The direction of the toy's frame that points up in it.
    pub up: DVec3,
    /// It can roll on through over `ROLLS_DEG` of directions that all rest about as low.
    pub rolls: bool,
    /// Height of the centre of mass over the floor (mm, nothing sinking in).
    pub height_mm: f64,
    /// Indices of the parts that touch the floor; empty where bare points were given.
    pub touching: Vec<usize>,
}

/// Poses parted by a barrier lower than this (mm), or than `MERGE_SHARE` of the height, are one.
pub const MERGE_MM: f64 = 1.0;
/// See `MERGE_MM`.
pub const MERGE_SHARE: f64 = 0.01;
/// A pose whose members differ by more than this is said to roll (degrees).
pub const ROLLS_DEG: f64 = 60.0;
/// Points round a ring.
pub const SEGMENTS: usize = 48;
/// A part reaching so near the floor touches it (mm): a face of the hull has chords for arcs.
const TOUCHES_MM: f64 = 0.5;

/// The rest poses of a toy, most frequent first. Leave out parts that flop; the centre of mass (mm, the toy's
/// frame) is that of all. `segments` points go round each ring, at least 48 (`SEGMENTS`). Empty if the parts span
/// no volume or their hull cannot be built.
pub fn rest_poses(parts: &[Placed], centre_of_mass: DVec3, segments: usize) -> Vec<RestPose> {
    let mut points = Vec::new();
    for part in parts {
        for ring in part.solid.convex_profile().rings {
            let mut add = |x: f64, y: f64| {
                points.push(part.toy_from_part.transform_point3(DVec3::new(x, y, ring.z_mm)));
            };
            if ring.radius_mm > 0.0 {
                ring.outline(segments.max(8), &mut add);
            } else {
                add(ring.core_half_mm, 0.0);
                if ring.core_half_mm > 0.0 {
                    add(-ring.core_half_mm, 0.0);
                }
            }
        }
    }
    let mut poses = rest_poses_of_points(&points, centre_of_mass);
    for pose in &mut poses {
        let reach: Vec<f64> = parts.iter().map(|p| p.support_mm(-pose.up)).collect();
        let floor = reach.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        pose.touching = (0..parts.len()).filter(|&i| reach[i] >= floor - TOUCHES_MM).collect();
    }
    poses
}

/// The rest poses of the convex hull of bare points (mm), most frequent first; empty if it has no volume.
pub fn rest_poses_of_points(points: &[DVec3], centre_of_mass: DVec3) -> Vec<RestPose> {
    faces(points).and_then(|faces| settle(&faces, centre_of_mass)).unwrap_or_default()
}

/// A face as it bears the toy.
struct Seat {
    /// Height of the centre of mass over it (mm).
    height: f64,
    /// Where the toy topples to; `None` if it rests.
    topples_to: Option<usize>,
    /// Solid angle seen from the centre of mass.
    angle: f64,
}

fn settle(faces: &[Face], centre: DVec3) -> Option<Vec<RestPose>> {
    // A centre of mass outside the hull (the mass of a flopping head) sees no closed surface; directions are then
    // weighed from the middle of the hull.
    let inside = faces.iter().all(|f| f.normal.dot(f.point - centre) > 0.0);
    let eye = if inside { centre } else { middle(faces) };
    let seats: Vec<Seat> = faces.iter().map(|face| seat(face, centre, eye)).collect();

    let basin: Vec<usize> = (0..faces.len())
        .map(|start| {
            let mut at = start;
            // Toppling lowers the centre of mass, so it ends; the count guards against ties.
            for _ in 0..faces.len() {
                match seats[at].topples_to {
                    Some(next) => at = next,
                    None => break,
                }
            }
            at
        })
        .collect();

    let mut passes: Vec<(f64, usize, usize)> = Vec::new();
    for (one, face) in faces.iter().enumerate() {
        for edge in &face.edges {
            if one < edge.beyond && basin[one] != basin[edge.beyond] {
                let height =
                    pass(edge, face, &faces[edge.beyond], centre).max(seats[one].height).max(seats[edge.beyond].height);
                passes.push((height, one, edge.beyond));
            }
        }
    }
    passes.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut groups = Groups::new(faces.len());
    for &(height, one, other) in &passes {
        let (a, b) = (groups.root(basin[one]), groups.root(basin[other]));
        if a == b {
            continue;
        }
        let (low, high) = if seats[a].height <= seats[b].height { (a, b) } else { (b, a) };
        if height - seats[high].height < MERGE_MM.max(MERGE_SHARE * seats[high].height) {
            groups.join(low, high);
        }
    }

    let total: f64 = seats.iter().map(|s| s.angle).sum();
    if total.is_nan() || total <= 0.0 {
        return None;
    }
    let mut slot: Vec<Option<usize>> = vec![None; faces.len()];
    let mut poses: Vec<(RestPose, Vec<DVec3>)> = Vec::new();
    for (index, seat) in seats.iter().enumerate() {
        let root = groups.root(basin[index]);
        let pose = *slot[root].get_or_insert_with(|| {
            let (up, height_mm) = (-faces[root].normal, seats[root].height);
            poses.push((RestPose { share: 0.0, up, rolls: false, height_mm, touching: vec![] }, vec![]));
            poses.len() - 1
        });
        let (pose, members) = &mut poses[pose];
        pose.share += seat.angle / total;
        // Only seats about as low as the lowest (within half of what merges poses): a roly-poly's upper seats are
        // merged into its pose, but it leaves them.
        let slack = 0.5 * MERGE_MM.max(MERGE_SHARE * pose.height_mm);
        if seat.topples_to.is_none() && seat.height <= pose.height_mm + slack {
            members.push(faces[index].normal);
        }
    }
    let apart = ROLLS_DEG.to_radians().cos();
    let mut poses: Vec<RestPose> = poses
        .into_iter()
        .map(|(pose, members)| {
            let rolls = members.iter().enumerate().any(|(i, a)| members[..i].iter().any(|b| a.dot(*b) < apart));
            RestPose { rolls, ..pose }
        })
        .collect();
    poses.sort_by(|a, b| b.share.total_cmp(&a.share));
    Some(poses)
}

/// A point inside: the mean of the faces' corners.
fn middle(faces: &[Face]) -> DVec3 {
    let (mut sum, mut count) = (DVec3::ZERO, 0.0);
    for corner in faces.iter().flat_map(|f| f.triangles.iter().flatten()) {
        sum += *corner;
        count += 1.0;
    }
    sum / count
}

fn seat(face: &Face, centre: DVec3, eye: DVec3) -> Seat {
    let height = face.normal.dot(face.point - centre);
    let foot = centre + face.normal * height;
    let mut nearest: Option<(f64, f64, usize)> = None;
    for edge in &face.edges {
        let out = outside(edge, face, foot);
        if out <= 1e-9 * (1.0 + height.abs()) {
            continue;
        }
        let along = edge.to - edge.from;
        let share = ((foot - edge.from).dot(along) / along.length_squared()).clamp(0.0, 1.0);
        let distance = foot.distance(edge.from + share * along);
        // Beyond a corner both of its edges are as near: it goes over the one it is further out of.
        let better = nearest
            .is_none_or(|(d, o, _)| distance < d - 1e-9 * (1.0 + d) || (distance <= d + 1e-9 * (1.0 + d) && out > o));
        if better {
            nearest = Some((distance, out, edge.beyond));
        }
    }
    let angle = face.triangles.iter().map(|t| solid_angle(t.map(|p| p - eye))).sum::<f64>().max(0.0);
    Seat { height, topples_to: nearest.map(|n| n.2), angle }
}

/// How far a point of a face's plane lies outside one of its edges (mm).
fn outside(edge: &Edge, face: &Face, point: DVec3) -> f64 {
    (edge.to - edge.from).cross(face.normal).normalize_or_zero().dot(point - edge.from)
}

/// The height of the centre of mass as it turns over an edge from one face to the other: its distance from the
/// edge if it comes to stand right over it, and nothing above the faces' own heights if not.
fn pass(edge: &Edge, one: &Face, other: &Face, centre: DVec3) -> f64 {
    let foot = |face: &Face| centre + face.normal * face.normal.dot(face.point - centre);
    let back = Edge { from: edge.to, to: edge.from, ..*edge };
    if outside(edge, one, foot(one)) > 0.0 || outside(&back, other, foot(other)) > 0.0 {
        return f64::NEG_INFINITY;
    }
    let along = (edge.to - edge.from).normalize_or_zero();
    let lever = centre - edge.from;
    (lever - along * lever.dot(along)).length()
}

/// Solid angle of a triangle seen from the origin, positive if it turns left as seen from outside (A. van
/// Oosterom & J. Strackee, The solid angle of a plane triangle, IEEE Trans. Biomed. Eng. 30, 1983).
fn solid_angle([a, b, c]: [DVec3; 3]) -> f64 {
    let (la, lb, lc) = (a.length(), b.length(), c.length());
    let below = la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb;
    let angle = 2.0 * a.dot(b.cross(c)).atan2(below);
    if angle < -0.5 * TAU { angle + 2.0 * TAU } else { angle }
}
