//! What lies under a pixel: part, round, stitch.

use glam::{DVec2, DVec3};

use super::camera::Ray;
use super::scene::{PlacedMesh, Scene, section};

/// The nearest place a ray meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pick {
    /// The part.
    pub part_id: u32,
    /// Its round, counted from 0 as in the scene's input.
    pub round: u32,
    /// The stitch of that round, counted from 0, drift allowed for.
    pub stitch: u32,
    /// The angle of the place around the section in the part's frame in degrees (its share of the perimeter
    /// × 360), 0 at local +x, growing toward +y: the drift left out.
    pub angle_deg: f64,
    /// The height within the round, 0 at its lower edge and 1 at its upper.
    pub within_round: f64,
    /// The place in the toy's frame in mm.
    pub point: DVec3,
    /// Distance from the ray's origin in mm.
    pub distance_mm: f64,
}

/// The nearest place at which the ray meets a part.
pub fn pick(scene: &Scene, ray: &Ray) -> Option<Pick> {
    let mut nearest: Option<Pick> = None;
    for part in &scene.parts {
        let limit = nearest.map_or(f64::INFINITY, |p| p.distance_mm);
        if let Some(found) = pick_part(scene, part, ray, limit) {
            nearest = Some(found);
        }
    }
    nearest
}

fn pick_part(scene: &Scene, part: &PlacedMesh, ray: &Ray, limit: f64) -> Option<Pick> {
    let part_from_toy = part.toy_from_part.inverse();
    let origin = part_from_toy.transform_point3(ray.origin);
    // A rigid motion keeps lengths, so distances along the ray are the same in both frames.
    let direction = part_from_toy.transform_vector3(ray.direction);
    let (middle, reach) = part.mesh.sphere();
    if !meets_sphere(origin, direction, middle, reach) {
        return None;
    }
    let mut best = limit;
    let mut hit = None;
    for strip in &part.mesh.strips {
        if !meets_sphere(origin, direction, DVec3::new(0.0, 0.0, strip.z_mm), strip.reach_mm) {
            continue;
        }
        let first = strip.first_index as usize;
        for triangle in part.mesh.indices[first..first + strip.indices as usize].chunks_exact(3) {
            let corner = |i: usize| part.mesh.vertices[triangle[i] as usize];
            let place = |i: usize| DVec3::from_array(corner(i).position_mm.map(f64::from));
            if let Some((distance, b, c)) = meets_triangle(origin, direction, [place(0), place(1), place(2)])
                && distance < best
            {
                best = distance;
                let mix = |f: fn(&crate::view::scene::Vertex) -> f32| {
                    let [x, y, z] = [0, 1, 2].map(|i| f64::from(f(&corner(i))));
                    x * (1.0 - b - c) + y * b + z * c
                };
                hit = Some((mix(|v| v.round_coord), mix(|v| v.core_half_mm)));
            }
        }
    }
    let (round_coord, core_half_mm) = hit?;
    let local = origin + direction * best;
    address(scene, part, local, round_coord, core_half_mm).map(|(round, stitch, share)| Pick {
        part_id: part.part_id,
        round,
        stitch,
        angle_deg: share * 360.0,
        within_round: (round_coord - f64::from(round)).clamp(0.0, 1.0),
        point: ray.origin + ray.direction * best,
        distance_mm: best,
    })
}

/// Round, stitch and share of the perimeter of a place on a part.
fn address(scene: &Scene, part: &PlacedMesh, local: DVec3, round_coord: f64, core: f64) -> Option<(u32, u32, f64)> {
    // The link that gathers a part shut belongs to its last round.
    let round = (round_coord.max(0.0) as u32).min(part.rounds.checked_sub(1)?);
    let look = scene.looks.rounds.get((part.first_round + round) as usize)?;
    let share = section::share_at(DVec2::new(local.x, local.y), core);
    let within = (share - f64::from(look.start_share)).rem_euclid(1.0);
    let within = if look.backward { 1.0 - within } else { within };
    let stitch = ((within * f64::from(look.count)) as u32).min(look.count.saturating_sub(1));
    Some((round, stitch, share))
}

fn meets_sphere(origin: DVec3, direction: DVec3, centre: DVec3, radius: f64) -> bool {
    let to_centre = centre - origin;
    let along = to_centre.dot(direction);
    let inside = to_centre.length_squared() <= radius * radius;
    inside || (along > 0.0 && (to_centre - direction * along).length_squared() <= radius * radius)
}

/// Distance to a triangle and the weights of its second and third corner (Möller & Trumbore 1997, Journal of
/// Graphics Tools 2(1), both sides counted).
fn meets_triangle(origin: DVec3, direction: DVec3, [a, b, c]: [DVec3; 3]) -> Option<(f64, f64, f64)> {
    let (ab, ac) = (b - a, c - a);
    let p = direction.cross(ac);
    let det = ab.dot(p);
    if det.abs() < 1e-14 {
        return None;
    }
    let from_a = origin - a;
    let u = from_a.dot(p) / det;
    let q = from_a.cross(ab);
    let v = direction.dot(q) / det;
    let distance = ac.dot(q) / det;
    // A hair of overlap, so that no ray slips between two triangles.
    let slack = -1e-9;
    (u >= slack && v >= slack && u + v <= 1.0 - slack && distance > 1e-6).then_some((distance, u, v))
}
