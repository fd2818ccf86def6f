//! What lies under a pixel, against exact places and against a general geometry library.

use std::f64::consts::{PI, TAU};

use glam::{DAffine3, DQuat, DVec2, DVec3};
use parry3d_f64::query::{Ray as ParryRay, RayCast};
use parry3d_f64::shape::Triangle;
use rand::{RngExt, SeedableRng};
use toppleknot::view::camera::{Camera, Ray, StandardView};
use toppleknot::view::pick::pick;
use toppleknot::view::scene::{Node, RoundLook, Scene, SceneInput, SceneStore, SurfaceInput, section};

use super::demo;

/// A ball of 16 rounds of unlike counts, drifting, put somewhere askew, mirrored if wanted.
fn ball(mirrored: bool) -> (Scene, DAffine3) {
    let nodes: Vec<Node> = (0..=16)
        .map(|i| {
            let a = PI * f64::from(i) / 16.0;
            let radius_mm = if i % 16 == 0 { 0.0 } else { 40.0 * a.sin() };
            Node { z_mm: 40.0 * (1.0 - a.cos()), radius_mm, core_half_mm: 0.0 }
        })
        .collect();
    let rounds = (0..16).map(|i| RoundLook::plain(6 + 5 * (8 - (i - 8_i32).unsigned_abs()), [90, 90, 90])).collect();
    let mut at = DAffine3::from_rotation_translation(
        DQuat::from_rotation_x(0.4) * DQuat::from_rotation_y(-0.7),
        DVec3::new(5.0, 9.0, 30.0),
    );
    if mirrored {
        at = DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0)) * at;
    }
    let surface = SurfaceInput {
        part_id: 7,
        nodes,
        rounds,
        drift_start: (0..16).map(|i| 0.21 * i as f32).collect(),
        toy_from_part: at,
        flat: None,
    };
    (SceneStore::new().build(SceneInput { surfaces: vec![surface], ..Default::default() }), at)
}

#[test]
fn a_ray_at_a_stitch_finds_that_stitch() {
    for mirrored in [false, true] {
        let (scene, at) = ball(mirrored);
        for round in 1..15_u32 {
            let look = scene.looks.rounds[round as usize];
            for stitch in 0..look.count {
                let share = f64::from(look.start_share) + (f64::from(stitch) + 0.5) / f64::from(look.count);
                let polar = PI * (f64::from(round) + 0.5) / 16.0;
                let (sin, cos) = (TAU * share).sin_cos();
                let out = DVec3::new(cos * polar.sin(), sin * polar.sin(), -polar.cos());
                let point = at.transform_point3(DVec3::new(0.0, 0.0, 40.0) + 40.0 * out);
                let direction = -at.transform_vector3(out);
                let found = pick(&scene, &Ray { origin: point - direction * 50.0, direction }).unwrap();
                assert_eq!((found.part_id, found.round, found.stitch), (7, round, stitch));
                assert!((found.within_round - 0.5).abs() < 0.05);
                let angle = (found.angle_deg - 360.0 * share).rem_euclid(360.0);
                assert!(angle.min(360.0 - angle) < 0.01, "{angle}");
                // The crest of a round lies on the ball; coarse rings run up to 0.12 mm inside it.
                assert!((found.point - point).length() < 0.2, "{}", (found.point - point).length());
            }
        }
    }
}

#[test]
fn beside_the_toy_there_is_nothing() {
    let (scene, _) = ball(false);
    let camera = Camera::default().fit(&scene.bounds, 1.5);
    assert_eq!(pick(&scene, &camera.ray(DVec2::new(2.0, 2.0), DVec2::new(900.0, 600.0))), None);
}

#[test]
fn the_nearest_part_wins() {
    let scene = SceneStore::new().build(demo::toy());
    let size = DVec2::new(900.0, 600.0);
    let camera = Camera::default().standard(StandardView::Front).fit(&scene.bounds, 1.5);
    let at = |p: DVec3| pick(&scene, &camera.ray(camera.project(p, size).unwrap(), size)).unwrap();
    assert_eq!(at(DVec3::new(0.0, 44.0, 52.0)).part_id, demo::BODY);
    assert_eq!(at(DVec3::new(20.0, 30.0, 90.0)).part_id, demo::HEAD);
    // The flat ear: a sheet 5 mm thick is met on its front face.
    let ear = at(DVec3::new(28.0, 0.0, 160.0));
    assert_eq!(ear.part_id, demo::EAR_LEFT);
}

/// Against parry3d's ray on every triangle (a general geometry library) of the whole demo toy.
#[test]
fn distances_are_those_of_a_general_library() {
    let scene = SceneStore::new().build(demo::toy());
    let v = |p: DVec3| parry3d_f64::math::Vector::new(p.x, p.y, p.z);
    let mut triangles = Vec::new();
    for part in &scene.parts {
        let corner = |i: u32| {
            let p = DVec3::from_array(part.mesh.vertices[i as usize].position_mm.map(f64::from));
            v(part.toy_from_part.transform_point3(p))
        };
        triangles
            .extend(part.mesh.indices.chunks_exact(3).map(|t| Triangle::new(corner(t[0]), corner(t[1]), corner(t[2]))));
    }
    let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(20);
    let mut met = 0;
    for _ in 0..150 {
        let mut part = |half: f64| rng.random_range(-half..half);
        let origin = scene.bounds.centre() + 400.0 * DVec3::new(part(1.0), part(1.0), part(1.0)).normalize();
        let aim = scene.bounds.centre() + DVec3::new(part(60.0), part(60.0), part(90.0));
        let direction = (aim - origin).normalize();
        let ray = ParryRay::new(v(origin), v(direction));
        let theirs = triangles.iter().filter_map(|t| t.cast_local_ray(&ray, 1e4, false)).reduce(f64::min);
        let ours = pick(&scene, &Ray { origin, direction }).map(|p| p.distance_mm);
        match (ours, theirs) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 1e-6, "{a} {b}"),
            (a, b) => assert_eq!(a, b),
        }
        met += usize::from(ours.is_some());
    }
    assert!(met > 50, "only {met} rays met the toy");
}

#[test]
fn an_oval_part_counts_its_stitches_along_the_stadium() {
    let node = |z_mm: f64| Node { z_mm, radius_mm: 10.0, core_half_mm: 25.0 };
    let surface = SurfaceInput {
        part_id: 1,
        nodes: (0..=4).map(|i| node(6.0 * f64::from(i))).collect(),
        rounds: vec![RoundLook::plain(40, [80, 80, 80]); 4],
        drift_start: Vec::new(),
        toy_from_part: DAffine3::IDENTITY,
        flat: None,
    };
    let scene = SceneStore::new().build(SceneInput { surfaces: vec![surface], ..Default::default() });
    for stitch in 0..40 {
        let (point, out) = section::point_at((f64::from(stitch) + 0.5) / 40.0, 10.0, 25.0);
        let direction = -out.extend(0.0);
        let found = pick(&scene, &Ray { origin: point.extend(15.0) - 30.0 * direction, direction }).unwrap();
        assert_eq!((found.round, found.stitch), (2, stitch as u32));
    }
}
