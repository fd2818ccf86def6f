//! Small reference pictures of each canvas and of the solid view, light and dark, kept in `tests/ui/pictures`.
//!
//! Flat canvases are painted here from the plain picture, without driver or font (words are left out), so that they
//! are the same on every machine; the strip chart and the solid view need a graphics driver (a software one will do)
//! and are skipped where there is none. To take them anew: `TOPPLEKNOT_NEW_PICTURES=1 cargo test --test ui pictures`,
//! and look at each.

use std::path::{Path, PathBuf};

use egui_kittest::kittest::Queryable;
use glam::{DVec2, DVec3};
use image::{Rgba, RgbaImage};
use toppleknot::document::{self, TextScene};
use toppleknot::measure::{Derived, derive, outline_spread};
use toppleknot::toy::Toy;
use toppleknot::ui::solid_view::{HeadlessError, render_headless};
use toppleknot::ui::{App, Chooser, Settings, Start};
use toppleknot::view::camera::{Camera, StandardView};
use toppleknot::view::elevation::{Chosen, Side};
use toppleknot::view::ink::{Ground, Ink};
use toppleknot::view::overlay::{Footing, Overlays, Subject, draw, pt_per_mm};
use toppleknot::view::picture::{Item, Picture, ellipse, grown};
use toppleknot::view::rose::Lean;
use toppleknot::view::scene::SceneStore;
use toppleknot::view::toy_scene::scene_input;
use toppleknot::view::units::Units;

use super::window::sample;

/// A channel that differs by more than this makes a pixel fail.
const CHANNEL: u8 = 40;
/// Share of pixels that may fail: rounding at edges, other versions of a software driver.
const MAY_FAIL: f64 = 0.01;
/// Side of a flat picture in pixels.
const SIDE: u32 = 180;

fn reference(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ui/pictures").join(format!("{name}.png"))
}

/// Compares a picture with its reference.
fn check(picture: &RgbaImage, name: &str) {
    let path = reference(name);
    if std::env::var_os("TOPPLEKNOT_NEW_PICTURES").is_some() {
        picture.save(&path).expect("the reference is written");
        return;
    }
    let wanted = image::open(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display())).to_rgba8();
    assert_eq!(picture.dimensions(), wanted.dimensions(), "{name}");
    let differs = |(p, q): &(&Rgba<u8>, &Rgba<u8>)| p.0.iter().zip(&q.0).any(|(a, b)| a.abs_diff(*b) > CHANNEL);
    let failing = picture.pixels().zip(wanted.pixels()).filter(differs).count();
    let share = failing as f64 / (wanted.width() * wanted.height()) as f64;
    if share > MAY_FAIL {
        let found = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{name}.png"));
        picture.save(&found).expect("the picture is written");
        panic!("{name}: {failing} pixels differ; see {}", found.display());
    }
}

/// A plain painter: fills and lines, four samples a pixel, no words.
struct Paper {
    image: RgbaImage,
    scale: f64,
    centre: DVec2,
    ground: Ground,
}

impl Paper {
    fn of(picture: &Picture, ground: Ground, px_per_mm: f64) -> RgbaImage {
        let paper = Ink::PAPER.on(ground);
        let image = RgbaImage::from_pixel(SIDE, SIDE, Rgba(paper));
        let mut paper = Paper { image, scale: px_per_mm, centre: picture.extent.centre(), ground };
        for item in &picture.items {
            paper.item(item);
        }
        paper.image
    }

    fn to_px(&self, mm: DVec2) -> DVec2 {
        let by = (mm - self.centre) * self.scale;
        DVec2::splat(f64::from(SIDE) / 2.0) + DVec2::new(by.x, -by.y)
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Fill { points, ink } => self.fill(&self.all(points), *ink),
            Item::Halo { points, ink, width_pt } => self.fill(&self.all(&grown(points, width_pt / self.scale)), *ink),
            Item::Line { points, closed, ink, width_pt, .. } => {
                let mut points = self.all(points);
                points.extend(points.first().copied().filter(|_| *closed));
                for pair in points.windows(2) {
                    let across = (pair[1] - pair[0]).perp().normalize_or_zero() * (width_pt / 2.0);
                    self.fill(&[pair[0] - across, pair[1] - across, pair[1] + across, pair[0] + across], *ink);
                }
            }
            Item::Dot { at, radius_pt, ink } => {
                self.fill(&ellipse(self.to_px(*at), DVec2::splat(*radius_pt), 24), *ink)
            }
            Item::Bob { tip, height_pt, ink } => {
                let (tip, h) = (self.to_px(*tip), *height_pt);
                self.fill(&[tip, tip + DVec2::new(0.3 * h, -0.7 * h), tip + DVec2::new(-0.3 * h, -0.7 * h)], *ink);
            }
            Item::Text { .. } => {}
        }
    }

    fn all(&self, points: &[DVec2]) -> Vec<DVec2> {
        points.iter().map(|p| self.to_px(*p)).collect()
    }

    /// Fills a convex outline, either way around.
    fn fill(&mut self, points: &[DVec2], ink: Ink) {
        let low = points.iter().fold(DVec2::INFINITY, |a, b| a.min(*b)).max(DVec2::ZERO);
        let high = points.iter().fold(DVec2::NEG_INFINITY, |a, b| a.max(*b)).min(DVec2::splat(f64::from(SIDE)));
        let inside = |p: DVec2| {
            let sides = points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| (*b - *a).perp_dot(p - *a));
            let (least, most) = sides.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, m), s| (l.min(s), m.max(s)));
            least >= -1e-9 || most <= 1e-9
        };
        let [r, g, b, opacity] = ink.on(self.ground);
        for y in low.y.floor() as u32..(high.y.ceil().max(0.0) as u32).min(SIDE) {
            for x in low.x.floor() as u32..(high.x.ceil().max(0.0) as u32).min(SIDE) {
                let at = DVec2::new(f64::from(x), f64::from(y));
                let samples = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)].map(DVec2::from);
                let hit = samples.iter().filter(|s| inside(at + **s)).count() as f64 / 4.0;
                let share = hit * f64::from(opacity) / 255.0;
                if share > 0.0 {
                    let pixel = self.image.get_pixel_mut(x, y);
                    for (old, new) in pixel.0.iter_mut().zip([r, g, b]) {
                        *old = (f64::from(*old) * (1.0 - share) + f64::from(new) * share).round() as u8;
                    }
                }
            }
        }
    }
}

fn toy(name: &str) -> Toy {
    document::open(&sample(name), None, &TextScene::default()).expect("the sample opens").document.toy
}

fn flat(toy: &Toy, derived: &Derived, side: Side, overlays: Overlays) -> (Picture, f64) {
    let spread = outline_spread(toy, &derived.made);
    let report = &derived.report;
    let footing = derived.standing.as_ref().map(|s| Footing { polygon: s.polygon.clone() });
    let lean = report.stand.as_ref().map(|s| Lean {
        by_direction_deg: s.tip_by_direction_deg.clone(),
        weakest_toward_deg: s.tip_toward_deg,
        weakest_deg: s.tip_deg.value,
    });
    let size = report.toy.size_mm.expect("a size");
    let room = DVec2::splat(f64::from(SIDE));
    let scale = pt_per_mm(&size, side, overlays, room);
    let subject = Subject {
        toy,
        made: &derived.made,
        size_mm: Some(&size),
        centre_of_mass_mm: report.toy.centre_of_mass_mm.map(DVec3::from_array),
        footing: footing.as_ref(),
        heads_tall: report.toy.heads_tall.map(|h| h.value),
        chosen: Some(Chosen { part: 1, round: Some(5) }),
        spread: Some(&spread),
        lean: lean.as_ref(),
        suggested: None,
    };
    let drawn = draw(&subject, side, overlays, Units::Metric, scale);
    let need = drawn.picture.extent.size();
    let fits = (f64::from(SIDE) - 4.0) / need.max_element();
    (drawn.picture, fits.min(scale))
}

#[test]
fn flat_canvases_look_as_they_did() {
    let toy = toy("boot-room-imp");
    let derived = derive(&toy);
    let all = Overlays { give_take: true, rose: true, ..Overlays::default() };
    let before = Overlays { before_stuffing: true, heads: true, ..Overlays::default() };
    let cases = [
        ("front-light", Side::Front, all, Ground::Light),
        ("side-dark", Side::Left, before, Ground::Dark),
        ("top-light", Side::Top, Overlays { give_take: false, ..all }, Ground::Light),
        ("top-dark", Side::Top, Overlays { give_take: false, ..all }, Ground::Dark),
    ];
    for (name, side, overlays, ground) in cases {
        let (picture, scale) = flat(&toy, &derived, side, overlays);
        check(&Paper::of(&picture, ground, scale), name);
    }
}

#[test]
fn the_solid_view_looks_as_it_did() {
    let toy = toy("boot-room-imp");
    let derived = derive(&toy);
    let centre = derived.report.toy.centre_of_mass_mm.map(DVec3::from_array);
    let scene = SceneStore::new().build(scene_input(&toy, &derived.made, None, centre));
    let camera = Camera::default().standard(StandardView::Gallery).fit(&scene.bounds, 1.0);
    for (ground, name) in [(Ground::Light, "solid-light"), (Ground::Dark, "solid-dark")] {
        match render_headless(&scene, &camera, [SIDE, SIDE], ground) {
            Ok(picture) => check(&picture, name),
            Err(HeadlessError::NoAdapter(why)) => println!("skipped, no graphics adapter: {why}"),
            Err(other) => panic!("{other}"),
        }
    }
}

#[test]
fn the_strip_chart_looks_as_it_did() {
    if let Err(HeadlessError::NoAdapter(why)) = toppleknot::ui::solid_view::HeadlessRenderer::new() {
        println!("skipped, no graphics adapter: {why}");
        return;
    }
    for (theme, name) in [(egui::Theme::Light, "strip-light"), (egui::Theme::Dark, "strip-dark")] {
        let chooser = Chooser::of(Box::new(|| None), Box::new(|_| None));
        let mut window = egui_kittest::Harness::builder()
            .with_size(egui::vec2(1024.0, 700.0))
            .with_max_steps(12)
            .with_theme(theme)
            .wgpu()
            .build_eframe(move |cc| App::new(&cc.egui_ctx, chooser, Settings::default(), false));
        window.state_mut().start(Start { path: Some(sample("boot-room-imp")), text: None });
        window.run();
        let chart = window.get_by_label("Counts by round").rect();
        let whole = window.render().expect("the window is drawn");
        let cut = image::imageops::crop_imm(
            &whole,
            chart.left() as u32,
            chart.top() as u32,
            chart.width() as u32,
            chart.height() as u32,
        );
        check(&cut.to_image(), name);
    }
}
