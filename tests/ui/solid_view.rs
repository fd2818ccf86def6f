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
            let low = Camera { target: glam::DVec3::new(10.0, 40.0, 34.0), ..camera };
            keep(&renderer.render(&scene, &low.zoom(7.0), size, &options).unwrap(), &format!("{name}-close"));
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

#[test]
fn zz_times() {
    with_renderer(|renderer| {
        let scene = SceneStore::new().build(demo::toy());
        let mut none = demo::toy();
        none.surfaces.clear();
        let mut empty = SceneStore::new().build(none);
        empty.bounds = scene.bounds;
        for (name, scene) in [("toy", &scene), ("empty", &empty)] {
            for size in [[90, 60], [900, 600]] {
                let camera = gallery(scene, size);
                renderer.render(scene, &camera, size, &PictureOptions::default()).unwrap();
                let cpu0 = cpu_ms();
                let mut best = f64::INFINITY;
                for _ in 0..25 {
                    let start = Instant::now();
                    renderer.render(scene, &camera, size, &PictureOptions::default()).unwrap();
                    best = best.min(start.elapsed().as_secs_f64() * 1000.0);
                }
                println!("{name} {size:?} frame {best:.1} ms cpu {:.1}", (cpu_ms() - cpu0) / 25.0);
            }
        }
    });
}

fn cpu_ms() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap();
    let fields: Vec<&str> = text.rsplit(')').next().unwrap().split_whitespace().collect();
    (fields[11].parse::<f64>().unwrap() + fields[12].parse::<f64>().unwrap()) * 10.0
}
