//! The camera as pure functions.

use glam::{DVec2, DVec3};
use toppleknot::view::camera::{Camera, StandardView};
use toppleknot::view::scene::Bounds;

const SIZE: DVec2 = DVec2::new(900.0, 600.0);

fn toy_box() -> Bounds {
    Bounds { low: DVec3::new(-60.0, -40.0, 0.0), high: DVec3::new(50.0, 70.0, 180.0) }
}

fn corners(bounds: &Bounds) -> Vec<DVec3> {
    (0..8)
        .map(|i| {
            let pick = |bit: i32, low: f64, high: f64| if i & bit == 0 { low } else { high };
            DVec3::new(
                pick(1, bounds.low.x, bounds.high.x),
                pick(2, bounds.low.y, bounds.high.y),
                pick(4, bounds.low.z, bounds.high.z),
            )
        })
        .collect()
}

#[test]
fn the_front_view_has_the_toys_left_on_the_right_and_up_on_top() {
    let camera = Camera::default().fit(&toy_box(), 1.5).standard(StandardView::Front);
    let at = |p: DVec3| camera.project(camera.target + p, SIZE).unwrap();
    let middle = at(DVec3::ZERO);
    assert!((middle - 0.5 * SIZE).length() < 1e-9);
    assert!(at(DVec3::X * 10.0).x > middle.x + 5.0);
    assert!(at(DVec3::Z * 10.0).y < middle.y - 5.0);
    // The front is nearer to the viewer: a thing there looks larger.
    let wide = |y: f64| at(DVec3::new(10.0, y, 0.0)).x - at(DVec3::new(0.0, y, 0.0)).x;
    assert!(wide(30.0) > wide(-30.0));
}

#[test]
fn side_and_top_views_look_along_their_axes() {
    let camera = Camera::default();
    assert!((camera.standard(StandardView::Side).axes()[2] + DVec3::X).length() < 1e-12);
    assert!((camera.standard(StandardView::Back).axes()[2] - DVec3::Y).length() < 1e-12);
    let [right, up, forward] = camera.standard(StandardView::Top).axes();
    assert!((forward + DVec3::Z).length() < 1e-12);
    // The toy's front is at the bottom of the picture, its left on the right, as on a plan.
    assert!((up + DVec3::Y).length() < 1e-12 && (right - DVec3::X).length() < 1e-12);
}

#[test]
fn fit_shows_every_corner_from_everywhere_and_wastes_little() {
    for (yaw, pitch) in [(0.0, 0.0), (24.0, 14.0), (90.0, 0.0), (211.0, -35.0), (0.0, 90.0), (300.0, 60.0)] {
        for size in [SIZE, DVec2::new(300.0, 900.0)] {
            let camera =
                Camera { yaw_deg: yaw, pitch_deg: pitch, ..Camera::default() }.fit(&toy_box(), size.x / size.y);
            let mut widest: f64 = 0.0;
            for corner in corners(&toy_box()) {
                let at = camera.project(corner, size).unwrap();
                assert!(at.cmpge(DVec2::ZERO).all() && at.cmple(size).all(), "{yaw} {pitch}: {at}");
                let share = (2.0 * at / size - 1.0).abs();
                widest = widest.max(share.max_element());
            }
            assert!(widest > 0.9, "{yaw} {pitch} {size}: fills only {widest}");
        }
    }
}

#[test]
fn a_ray_goes_through_the_point_its_pixel_shows() {
    let camera = Camera { yaw_deg: 130.0, pitch_deg: 33.0, ..Camera::default() }.fit(&toy_box(), 1.5);
    for point in corners(&toy_box()) {
        let pixel = camera.project(point, SIZE).unwrap();
        let ray = camera.ray(pixel, SIZE);
        let nearest = ray.origin + ray.direction * (point - ray.origin).dot(ray.direction);
        assert!((nearest - point).length() < 1e-9);
    }
}

#[test]
fn the_matrix_agrees_with_the_projection() {
    let camera = Camera { yaw_deg: 200.0, pitch_deg: -12.0, ..Camera::default() }.fit(&toy_box(), 1.5);
    let matrix = camera.clip_from_toy(1.5, &toy_box());
    for point in corners(&toy_box()) {
        let clip = matrix * point.extend(1.0);
        let pixel = DVec2::new(0.5 + 0.5 * clip.x / clip.w, 0.5 - 0.5 * clip.y / clip.w) * SIZE;
        assert!((pixel - camera.project(point, SIZE).unwrap()).length() < 1e-9);
        assert!(clip.z > 0.0 && clip.z < clip.w, "within the near and far planes");
    }
}

#[test]
fn panning_keeps_the_target_under_the_hand() {
    let camera = Camera::default().fit(&toy_box(), 1.5);
    let held = camera.target;
    let moved = camera.pan(DVec2::new(37.0, -21.0), SIZE.y);
    let at = moved.project(held, SIZE).unwrap();
    assert!((at - 0.5 * SIZE - DVec2::new(37.0, -21.0)).length() < 1e-9);
}

#[test]
fn orbits_go_round_and_come_back_and_zoom_is_undone_by_its_inverse() {
    let camera = Camera::default().fit(&toy_box(), 1.5);
    let there = camera.orbit(DVec2::new(120.0, 30.0));
    assert!((there.eye() - camera.eye()).length() > 10.0);
    assert!((there.eye() - there.target).length() - camera.distance_mm < 1e-9);
    let back = there.orbit(DVec2::new(-120.0, -30.0));
    assert!((back.eye() - camera.eye()).length() < 1e-9);
    assert_eq!(camera.orbit(DVec2::new(0.0, 1e6)).pitch_deg, 90.0);
    assert!((camera.zoom(1.7).zoom(1.0 / 1.7).distance_mm - camera.distance_mm).abs() < 1e-9);
    assert_eq!(camera.zoom(f64::NAN), camera);
}

#[test]
fn the_toy_follows_the_hand_when_turned() {
    let camera = Camera::default().fit(&toy_box(), 1.5).standard(StandardView::Front);
    let near = camera.target + DVec3::Y * 30.0;
    let turned = camera.orbit(DVec2::new(40.0, 25.0));
    let (before, after) = (camera.project(near, SIZE).unwrap(), turned.project(near, SIZE).unwrap());
    assert!(after.x > before.x && after.y > before.y, "{before} {after}");
}
