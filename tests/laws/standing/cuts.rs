//! Supports and plane cuts against brute force and fine meshes.

use std::f64::consts::PI;

use glam::DVec3;
use toppleknot::solid::Placed;

use super::{HERE, Random, close};

/// The surface as triangles, normals outward for a motion without reflection.
fn triangles(placed: &Placed, segments: usize) -> Vec<[DVec3; 3]> {
    let outlines: Vec<Vec<DVec3>> = placed
        .solid
        .rings
        .iter()
        .map(|ring| {
            let mut points = Vec::new();
            for i in 0..segments {
                // Half the points go round each end of the stadium.
                let right = i < segments / 2;
                let share = (i % (segments / 2)) as f64 / (segments / 2 - 1) as f64;
                let angle = PI * share - 0.5 * PI + if right { 0.0 } else { PI };
                let x = ring.core_half_mm * if right { 1.0 } else { -1.0 } + ring.radius_mm * angle.cos();
                points.push(placed.toy_from_part.transform_point3(DVec3::new(
                    x,
                    ring.radius_mm * angle.sin(),
                    ring.z_mm,
                )));
            }
            points
        })
        .collect();
    let mut all = Vec::new();
    for pair in outlines.windows(2) {
        for i in 0..segments {
            let j = (i + 1) % segments;
            all.push([pair[0][i], pair[0][j], pair[1][j]]);
            all.push([pair[0][i], pair[1][j], pair[1][i]]);
        }
    }
    let (first, last) = (&outlines[0], &outlines[outlines.len() - 1]);
    for i in 1..segments - 1 {
        all.push([first[0], first[i + 1], first[i]]);
        all.push([last[0], last[i], last[i + 1]]);
    }
    all
}

/// Area, centroid and volume beyond a plane of a closed mesh, by the divergence theorem on its clipped triangles.
fn cut_mesh(mesh: &[[DVec3; 3]], down: DVec3, level: f64) -> (f64, DVec3, f64) {
    let on_plane = down * level;
    let (mut area, mut moment, mut volume) = (0.0, DVec3::ZERO, 0.0);
    for triangle in mesh {
        let mut kept: Vec<DVec3> = Vec::new();
        for k in 0..3 {
            let (a, b) = (triangle[k], triangle[(k + 1) % 3]);
            let (fa, fb) = (a.dot(down) - level, b.dot(down) - level);
            if fa >= 0.0 {
                kept.push(a);
            }
            if (fa > 0.0 && fb < 0.0) || (fa < 0.0 && fb > 0.0) {
                kept.push(a.lerp(b, fa / (fa - fb)));
            }
        }
        for k in 2..kept.len() {
            let (a, b, c) = (kept[0], kept[k - 1], kept[k]);
            let facing = 0.5 * (b - a).cross(c - a);
            area += facing.dot(down);
            moment += facing.dot(down) * (a + b + c) / 3.0;
            volume += facing.dot(a - on_plane) / 3.0;
        }
    }
    (area, (moment - volume * down) / area, volume)
}

#[test]
fn support_agrees_with_brute_force() {
    let mut random = Random(1);
    for case in 0..100 {
        let solid = random.solid(case % 3 == 0);
        let placed = Placed { solid: &solid, toy_from_part: random.motion() };
        let points: Vec<DVec3> = triangles(&placed, 2000).into_iter().flatten().collect();
        for _ in 0..5 {
            let u = random.direction();
            let want = points.iter().map(|p| p.dot(u)).fold(f64::NEG_INFINITY, f64::max);
            let got = placed.support_mm(u);
            // Chords of 2000 points fall short of a circle of 40 mm by at most 0.0002 mm.
            assert!(got >= want - 1e-9 && got <= want + 3e-4, "case {case}: {got} {want}");
            let extreme = placed.extreme(u).expect("it has rings");
            close(extreme.point.dot(u), got, 1e-9, "the extreme point");
            close(extreme.support_mm, got, 1e-9, "the extreme ring");
            close(placed.thickness_mm(u), got + placed.support_mm(-u), 1e-12, "thickness");
            let profile = solid.convex_profile();
            let outer = Placed { solid: &profile, toy_from_part: placed.toy_from_part };
            close(outer.support_mm(u), got, 1e-9, "the convex profile");
        }
    }
}

#[test]
fn cuts_agree_with_a_fine_mesh() {
    let mut random = Random(2);
    for case in 0..120 {
        let stadium = case % 3 == 0;
        let solid = random.solid(stadium);
        let toy_from_part = random.motion();
        let placed = Placed { solid: &solid, toy_from_part };
        let segments = 1600;
        let mut mesh = triangles(&placed, segments);
        if toy_from_part.matrix3.determinant() < 0.0 {
            mesh.iter_mut().for_each(|t| t.swap(1, 2));
        }
        for turn in 0..4 {
            let u = match turn {
                0 => random.direction(),
                1 => (placed.axis() + 0.02 * random.direction()).normalize(),
                2 => placed.axis().cross(random.direction()).normalize(),
                _ => -(placed.axis() + 1e-5 * random.direction()).normalize(),
            };
            let (high, low) = (placed.support_mm(u), -placed.support_mm(-u));
            let level = low + (high - low) * random.between(0.05, 0.95);
            let (area, centroid, volume) = cut_mesh(&mesh, u, level);
            let got = placed.cut(u, level);
            let size = high - low;
            let what = format!("case {case} turn {turn}");
            // A chord polygon of n sides is short by (2π/n)²/6 of the area; near a step round-off picks a side.
            let within = 4e-5 * (area + 1.0) + 2e-3;
            close(got.section.area_mm2, area, within, &what);
            close(got.volume_mm3, volume, 4e-5 * volume.abs() + 2e-3 * size, &what);
            if area > 1.0 {
                assert!((got.section.centroid - centroid).length() < 0.02, "{what}: {:?} {centroid}", got.section);
            }
            assert_eq!(placed.section(u, level), got.section, "{what}");
        }
    }
}

/// dV/d(level) = −A, sharply; a cut beyond all of the solid takes all of it.
#[test]
fn the_section_is_the_slope_of_the_volume() {
    let mut random = Random(3);
    for case in 0..400 {
        let stadium = case % 4 == 0;
        let solid = random.solid(stadium);
        let placed = Placed { solid: &solid, toy_from_part: random.motion() };
        let u = random.direction();
        let (high, low) = (placed.support_mm(u), -placed.support_mm(-u));
        let level = low + (high - low) * random.between(0.05, 0.95);
        let step = 1e-3;
        let at = |l: f64| placed.cut(u, l);
        let slope = (at(level - step).volume_mm3 - at(level + step).volume_mm3) / (2.0 * step);
        let area = at(level).section.area_mm2;
        // The chord's ends make kinks of the area where the plane passes a ring's edge.
        let within = if stadium { 2e-3 * area + 0.05 } else { 1e-5 * area + 0.05 };
        close(slope, area, within, &format!("case {case}"));
        let whole = at(low - 1.0);
        let lying = placed.axis().any_orthonormal_vector();
        let other = placed.cut(lying, -placed.support_mm(-lying) - 1.0);
        close(whole.volume_mm3, other.volume_mm3, 1e-9 * whole.volume_mm3, "the whole");
        assert_eq!(whole.section.area_mm2, 0.0);
        assert_eq!(at(high + 1.0).volume_mm3, 0.0);
    }
}

/// A plane that is square to the axis is the limit of slanted ones.
#[test]
fn slanted_cuts_run_into_the_square_one() {
    let mut random = Random(4);
    for case in 0..100 {
        let egg = random.egg();
        let placed = Placed { solid: &egg, toy_from_part: HERE };
        let level = -random.between(0.3, 10.0);
        let square = placed.cut(DVec3::NEG_Z, level);
        for lean in [1e-9, 1e-7, 3e-7, 1e-6, 1e-5] {
            let u = DVec3::new(lean, 0.0, -1.0).normalize();
            let got = placed.cut(u, level);
            let within = lean * 2e3 + 1e-6;
            close(got.section.area_mm2 / square.section.area_mm2, 1.0, within, &format!("{case} {lean}"));
            close(got.volume_mm3 / square.volume_mm3, 1.0, within, &format!("{case} {lean}"));
            assert!((got.section.centroid - square.section.centroid).length() < 300.0 * lean + 1e-4);
        }
    }
}
