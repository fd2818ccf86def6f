//! The solid view: camera, picking, pictures, and the widget.

mod demo;

use std::path::Path;
use std::sync::{Mutex, OnceLock};
use std::time::Instant;

use image::RgbaImage;
use toppleknot::ui::solid_view::{HeadlessError, HeadlessRenderer, PictureOptions};
use toppleknot::view::camera::{Camera, StandardView};
use toppleknot::view::scene::{Scene, SceneStore, Selection, Theme};

/// One device for all picture tests; `None` where the machine has no adapter.
fn with_renderer(test: impl FnOnce(&mut HeadlessRenderer)) {
    static RENDERER: OnceLock<Mutex<Option<HeadlessRenderer>>> = OnceLock::new();
    let renderer = RENDERER.get_or_init(|| match HeadlessRenderer::new() {
        Ok(renderer) => Mutex::new(Some(renderer)),
        Err(HeadlessError::NoAdapter(reason)) => {
            println!("picture tests skipped, no graphics adapter: {reason}");
            Mutex::new(None)
        }
        Err(other) => panic!("{other}"),
    });
    let mut renderer = renderer.lock().unwrap_or_else(|e| e.into_inner());
    if let Some(renderer) = renderer.as_mut() {
        test(renderer);
    }
}

fn keep(picture: &RgbaImage, name: &str) {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("solid-{name}.png"));
    picture.save(path).expect("the picture is written");
}

fn gallery(scene: &Scene, size: [u32; 2]) -> Camera {
    Camera::default().standard(StandardView::Gallery).fit(&scene.bounds, f64::from(size[0]) / f64::from(size[1]))
}

#[test]
fn pictures_to_look_at() {
    with_renderer(|renderer| {
        println!("adapter: {}", renderer.adapter());
        let scene = SceneStore::new().build(demo::toy());
        println!("triangles {}", scene.triangles());
        let size = [900, 600];
        let camera = gallery(&scene, size);
        for (theme, name) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            let options = PictureOptions { theme, ..Default::default() };
            let selected = PictureOptions { selection: Selection { part_id: Some(demo::BODY), round: Some(14) }, ..options };
            keep(&renderer.render(&scene, &camera, size, &selected).unwrap(), &format!("{name}-gallery"));
            keep(&renderer.render(&scene, &camera.zoom(3.0), size, &options).unwrap(), &format!("{name}-near"));
            keep(&renderer.render(&scene, &camera.zoom(0.3), size, &options).unwrap(), &format!("{name}-far"));
        }
        let start = Instant::now();
        for i in 0..10 {
            let turned = camera.turn(glam::DVec2::new(f64::from(i) * 3.0, 0.0));
            renderer.render(&scene, &turned, size, &PictureOptions::default()).unwrap();
        }
        println!("frame {:.1} ms", start.elapsed().as_secs_f64() * 100.0);
    });
}
