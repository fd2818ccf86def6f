//! Pictures made without a window.

use std::f64::consts::{PI, TAU};
use std::path::Path;
use std::time::{Duration, Instant};

use glam::{DAffine3, DVec2, DVec3};
use image::{Rgba, RgbaImage};
use toppleknot::ui::solid_view::{PictureOptions, render_headless};
use toppleknot::view::camera::{Camera, StandardView};
use toppleknot::view::scene::{Node, RoundLook, Scene, SceneInput, SceneStore, Selection, SurfaceInput, Theme};

use super::{demo, with_renderer};

const SIZE: [u32; 2] = [900, 600];

fn keep(picture: &RgbaImage, name: &str) {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("solid-{name}.png"));
    picture.save(path).expect("the picture is written");
}

fn gallery(scene: &Scene) -> Camera {
    Camera::default().standard(StandardView::Gallery).fit(&scene.bounds, f64::from(SIZE[0]) / f64::from(SIZE[1]))
}

fn luma(p: &Rgba<u8>) -> f64 {
    0.2126 * f64::from(p[0]) + 0.7152 * f64::from(p[1]) + 0.0722 * f64::from(p[2])
}

/// Pixels that differ by more than `least` in some channel.
fn differing(a: &RgbaImage, b: &RgbaImage, least: u8) -> usize {
    a.pixels().zip(b.pixels()).filter(|(p, q)| p.0.iter().zip(&q.0).any(|(x, y)| x.abs_diff(*y) > least)).count()
}

#[test]
fn the_toy_shows_in_both_themes_near_and_far() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene);
        let mut whole = demo::toy();
        whole.surfaces.clear();
        whole.beads.clear();
        let mut empty = SceneStore::new().build(whole);
        empty.bounds = scene.bounds;
        for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let options = PictureOptions { theme, ..Default::default() };
            let close = Camera { target: DVec3::new(10.0, 40.0, 34.0), ..camera }.zoom(7.0);
            let picture = renderer.render(&scene, &camera, SIZE, &options).unwrap();
            keep(&picture, &format!("{name}-gallery"));
            keep(&renderer.render(&scene, &camera.zoom(3.0), SIZE, &options).unwrap(), &format!("{name}-near"));
            keep(&renderer.render(&scene, &close, SIZE, &options).unwrap(), &format!("{name}-close"));
            keep(&renderer.render(&scene, &camera.zoom(0.3), SIZE, &options).unwrap(), &format!("{name}-far"));
            let nothing = renderer.render(&empty, &camera, SIZE, &options).unwrap();
            let covered = differing(&picture, &nothing, 12) as f64 / f64::from(SIZE[0] * SIZE[1]);
            assert!((0.10..0.60).contains(&covered), "{name}: the toy covers {covered}");
            let corner = luma(picture.get_pixel(8, 8));
            match theme {
                Theme::Light => assert!(corner > 200.0, "{corner}"),
                Theme::Dark => assert!(corner < 70.0, "{corner}"),
            }
            assert!(picture.pixels().all(|p| p[3] == 255), "the picture is opaque");
        }
    });
}

#[test]
fn the_same_scene_gives_the_same_picture() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene);
        let first = renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
        let again = render_headless(&scene, &camera, SIZE, Theme::Light).unwrap();
        assert_eq!(differing(&first, &again, 2), 0);
    });
}

#[test]
fn the_chosen_round_glows_where_it_is_and_nowhere_else() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene);
        for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let plain = PictureOptions { theme, ..Default::default() };
            let selection = Selection { part_id: Some(demo::HEAD), round: Some(16) };
            let before = renderer.render(&scene, &camera, SIZE, &plain).unwrap();
            let after = renderer.render(&scene, &camera, SIZE, &PictureOptions { selection, ..plain }).unwrap();
            keep(&after, &format!("{name}-chosen"));
            let size = DVec2::new(f64::from(SIZE[0]), f64::from(SIZE[1]));
            let (mut glowing, mut astray) = (0, 0);
            for (x, y, pixel) in after.enumerate_pixels() {
                if pixel.0.iter().zip(&before.get_pixel(x, y).0).all(|(a, b)| a.abs_diff(*b) <= 8) {
                    continue;
                }
                let at = DVec2::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
                let found = toppleknot::view::pick::pick(&scene, &camera.ray(at, size));
                let near = found.is_some_and(|p| p.part_id == demo::HEAD && p.round.abs_diff(16) <= 2);
                if near { glowing += 1 } else { astray += 1 }
            }
            assert!(glowing > 1000, "{glowing} pixels glow");
            // The edge of the head is shared with what lies beside it.
            assert!(astray < glowing / 20, "{astray} pixels glow astray");
        }
    });
}

#[test]
fn a_chosen_part_glows_at_its_rim() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene);
        let selection = Selection { part_id: Some(demo::BODY), round: None };
        let options = PictureOptions { selection, ..Default::default() };
        let before = renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
        let after = renderer.render(&scene, &camera, SIZE, &options).unwrap();
        keep(&after, "light-part");
        let changed = differing(&before, &after, 8);
        assert!(changed > 2000, "{changed} pixels");
    });
}

/// A drum of equal rounds, its counts given, without drift.
fn drum(count: u32) -> Scene {
    let nodes: Vec<Node> =
        (0..=8).map(|i| Node { z_mm: 5.0 * f64::from(i), radius_mm: 30.0, core_half_mm: 0.0 }).collect();
    let surface = SurfaceInput {
        part_id: 1,
        nodes,
        rounds: vec![RoundLook::plain(count, [170, 150, 130]); 8],
        drift_start: Vec::new(),
        toy_from_part: DAffine3::IDENTITY,
        flat: None,
    };
    SceneStore::new().build(SceneInput { surfaces: vec![surface], ..Default::default() })
}

/// The brightness along the middle of a round, once around, looked at from twelve sides.
fn brightness_around(renderer: &mut toppleknot::ui::solid_view::HeadlessRenderer, scene: &Scene) -> Vec<f64> {
    let samples = 1440;
    let size = DVec2::new(f64::from(SIZE[0]), f64::from(SIZE[1]));
    let mut signal = vec![0.0; samples];
    for view in 0..12 {
        let camera = Camera::default().standard(StandardView::Front).fit(&scene.bounds, 1.5);
        let camera = Camera { yaw_deg: 30.0 * f64::from(view), ..camera };
        let picture =
            renderer.render(scene, &camera, SIZE, &PictureOptions { marks: false, ..Default::default() }).unwrap();
        for (k, value) in signal.iter_mut().enumerate() {
            let angle = TAU * k as f64 / samples as f64;
            let out = DVec3::new(angle.cos(), angle.sin(), 0.0);
            let toward = DVec3::new(camera.yaw_deg.to_radians().sin(), camera.yaw_deg.to_radians().cos(), 0.0);
            if out.dot(toward) < (PI / 12.0).cos() - 1e-9 {
                continue;
            }
            let mut sum = 0.0;
            for z in [21.5, 22.0, 22.5, 23.0, 23.5] {
                let at = camera.project(out * 30.0 + DVec3::Z * z, size).unwrap();
                sum += luma(picture.get_pixel(at.x as u32, at.y as u32));
            }
            *value = sum / 5.0;
        }
    }
    signal
}

/// Strength of `cycles` bright-dark changes around the whole signal.
fn strength(signal: &[f64], cycles: u32) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    for (k, value) in signal.iter().enumerate() {
        let (sin, cos) = (TAU * f64::from(cycles) * k as f64 / signal.len() as f64).sin_cos();
        re += value * cos;
        im += value * sin;
    }
    re.hypot(im) / signal.len() as f64
}

/// A V is two strands: the strongest rhythm around a round is the count or twice the count. Nothing else
/// between a quarter of the count and twice and a half the count comes near.
#[test]
fn every_stitch_of_a_round_can_be_counted_in_the_picture() {
    with_renderer(|renderer| {
        for count in [30, 35, 41] {
            let scene = drum(count);
            let signal = brightness_around(renderer, &scene);
            let strengths: Vec<(u32, f64)> = (count / 4..count * 5 / 2).map(|c| (c, strength(&signal, c))).collect();
            let of = |c: u32| strengths.iter().find(|(n, _)| *n == c).map_or(0.0, |(_, s)| *s);
            // Twelve views meet at twelve seams: their rhythm is the camera's, not the fabric's.
            let other = strengths
                .iter()
                .filter(|(c, _)| *c != count && *c != 2 * count && c % 12 != 0)
                .map(|(_, s)| *s)
                .fold(0.0, f64::max);
            println!("{count}: {:.2} twice {:.2}, others at most {other:.2}", of(count), of(2 * count));
            assert!(of(count) > 2.0 * other, "{count} stitches: {} against {other}", of(count));
        }
    });
}

/// Far away stitches melt into their mean colour in place of flickering: no pixel row shows a rhythm.
#[test]
fn far_fabric_is_calm() {
    with_renderer(|renderer| {
        let scene = drum(41);
        let camera = Camera::default().standard(StandardView::Front).fit(&scene.bounds, 1.5);
        let spread = |picture: &RgbaImage, half: i64| {
            let (cx, cy) = (i64::from(SIZE[0]) / 2, i64::from(SIZE[1]) / 2);
            let mut values = Vec::new();
            for y in -half..=half {
                for x in -half..=half {
                    values.push(luma(picture.get_pixel((cx + x) as u32, (cy + y) as u32)));
                }
            }
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            let var = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / values.len() as f64;
            (mean, var.sqrt())
        };
        let near = spread(&renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap(), 60);
        let far = spread(&renderer.render(&scene, &camera.zoom(0.05), SIZE, &PictureOptions::default()).unwrap(), 4);
        println!("near {near:?}, far {far:?}");
        assert!(far.1 < 0.5 * near.1, "near {near:?}, far {far:?}");
        assert!((far.0 - near.0).abs() < 25.0, "the mean stays: near {near:?}, far {far:?}");
    });
}

#[test]
fn increases_and_decreases_are_marked_unless_switched_off() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene).zoom(2.0);
        let with = renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
        let without =
            renderer.render(&scene, &camera, SIZE, &PictureOptions { marks: false, ..Default::default() }).unwrap();
        let changed = differing(&with, &without, 10);
        assert!((100..20_000).contains(&changed), "{changed} pixels");
    });
}

#[test]
fn a_back_loop_round_shows_its_ridge_and_a_mirrored_part_its_outside() {
    with_renderer(|renderer| {
        let mut scene = drum(36);
        let camera = Camera::default().standard(StandardView::Front).fit(&scene.bounds, 1.5);
        let plain = renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
        scene.looks.rounds[4].back_loop = true;
        scene.generation = u64::MAX;
        let ridged = renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
        keep(&ridged, "ridge");
        let size = DVec2::new(f64::from(SIZE[0]), f64::from(SIZE[1]));
        let changed: Vec<f64> = plain
            .enumerate_pixels()
            .filter(|(x, y, p)| p.0.iter().zip(&ridged.get_pixel(*x, *y).0).any(|(a, b)| a.abs_diff(*b) > 12))
            .map(|(_, y, _)| f64::from(y))
            .collect();
        assert!(changed.len() > 1000, "{}", changed.len());
        let line = camera.project(DVec3::new(0.0, 30.0, 20.6), size).unwrap().y;
        let mean = changed.iter().sum::<f64>() / changed.len() as f64;
        assert!((mean - line).abs() < 12.0, "the ridge lies at {mean}, the round's lower edge at {line}");

        // A mirrored part must not turn inside out: it is as bright as its twin.
        let mut mirrored = drum(36);
        mirrored.parts[0].toy_from_part = DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0));
        mirrored.generation = u64::MAX - 1;
        let twin = renderer.render(&mirrored, &camera, SIZE, &PictureOptions::default()).unwrap();
        let middle = |p: &RgbaImage| (400..500).map(|x| luma(p.get_pixel(x, 300))).sum::<f64>() / 100.0;
        assert!((middle(&twin) - middle(&plain)).abs() < 8.0, "{} {}", middle(&twin), middle(&plain));
    });
}

/// Twenty parts of two hundred rounds stay below a million triangles and are drawn.
#[test]
fn a_crowded_scene_is_drawn() {
    with_renderer(|renderer| {
        let surface = |i: u32| {
            let nodes: Vec<Node> = (0..=200)
                .map(|k| {
                    let a = PI * f64::from(k) / 200.0;
                    let radius_mm = if k % 200 == 0 { 0.0 } else { (30.0 + f64::from(i)) * a.sin() };
                    Node { z_mm: 90.0 * (1.0 - a.cos()), radius_mm, core_half_mm: 0.0 }
                })
                .collect();
            let (rounds, drift_start) = demo::rounds(&nodes, |_, _| demo::TEAL);
            let place = DVec3::new(f64::from(i % 5) * 110.0, f64::from(i / 5) * -110.0, 0.0);
            SurfaceInput {
                part_id: i,
                nodes,
                rounds,
                drift_start,
                toy_from_part: DAffine3::from_translation(place),
                flat: None,
            }
        };
        let input = SceneInput { surfaces: (0..20).map(surface).collect(), ..Default::default() };
        let mut store = SceneStore::new();
        let scene = store.build(input.clone());
        assert!(scene.triangles() < 1_000_000, "{} triangles", scene.triangles());
        let picture = renderer.render(&scene, &gallery(&scene), SIZE, &PictureOptions::default()).unwrap();
        keep(&picture, "crowd");
        // Moving one part keeps every mesh.
        let ids: Vec<u64> = scene.parts.iter().map(|p| p.mesh.id).collect();
        let mut moved = input;
        moved.surfaces[3].toy_from_part.translation.z += 10.0;
        let again = store.build(moved);
        assert_eq!(ids, again.parts.iter().map(|p| p.mesh.id).collect::<Vec<_>>());
        assert_ne!(scene.generation, again.generation);
    });
}

/// Broken numbers and empty parts must not stop the picture.
#[test]
fn broken_input_still_gives_a_picture() {
    with_renderer(|renderer| {
        let mut input = demo::toy();
        input.surfaces[0].nodes[5].radius_mm = f64::NAN;
        input.surfaces[1].nodes.truncate(1);
        input.surfaces[2].rounds.clear();
        input.surfaces[3].rounds[1].count = 0;
        input.surfaces[3].rounds[2].count = u32::MAX;
        let scene = SceneStore::new().build(input);
        let picture = renderer.render(&scene, &gallery(&scene), SIZE, &PictureOptions::default()).unwrap();
        assert_eq!(picture.dimensions(), (SIZE[0], SIZE[1]));
        let nothing = SceneStore::new().build(SceneInput::default());
        renderer.render(&nothing, &gallery(&nothing), [1, 1], &PictureOptions::default()).unwrap();
    });
}

/// A ceiling far above what is usual (50 ms on two quiet cores), so that only a real mistake trips it.
#[test]
fn a_frame_is_soon_drawn() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let camera = gallery(&scene);
        let mut best = Duration::MAX;
        for step in 0..12 {
            let camera = camera.turn(DVec2::new(f64::from(step), 0.0));
            let start = Instant::now();
            renderer.render(&scene, &camera, SIZE, &PictureOptions::default()).unwrap();
            best = best.min(start.elapsed());
        }
        println!("{}: {} triangles, {SIZE:?} in {best:?}", renderer.adapter(), scene.triangles());
        assert!(best < Duration::from_millis(1000), "{best:?}");
    });
}
