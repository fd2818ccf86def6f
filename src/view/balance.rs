//! The small pictures beside the verdicts: how far the toy leans in every direction, head against body on a
//! beam, the neck with what it carries. Each fills a square of 100 by 100.

use std::f64::consts::TAU;

use glam::DVec2;

use super::ink::Ink;
use super::picture::{Across, Extent, Item, Picture, Upright, ellipse};

const SQUARE: Extent = Extent { low: DVec2::ZERO, high: DVec2::splat(100.0) };

fn square(words: String) -> Picture {
    Picture { items: Vec::new(), extent: SQUARE, words }
}

fn at(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

/// Lean shown at the rim of the rose; a toy that bears more stands like a brick.
const ROSE_RIM_DEG: f64 = 30.0;
/// Leans of the rings: where "tips easily" and "stands well" begin.
const ROSE_RINGS_DEG: [f64; 2] = [4.0, 10.0];

/// How far the toy leans before it falls, all around, seen from above with its front at the bottom. The dashed
/// rings are 4° and 10°; the line shows the weakest direction.
pub fn lean_rose(tip_by_direction_deg: &[f64], weakest_deg: f64, ink: Ink) -> Picture {
    let centre = at(50.0, 60.0);
    let reach = 38.0;
    let mut picture = square("Lean before it falls, all around".to_owned());
    let toward = |deg: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        at(sin, -cos)
    };
    let radius = |deg: f64| reach * (deg.clamp(0.0, ROSE_RIM_DEG) / ROSE_RIM_DEG).sqrt();
    picture.fill(ellipse(centre, DVec2::splat(reach), 48), Ink::TRACK);
    let n = tip_by_direction_deg.len();
    let corner = |i: usize| centre + toward(360.0 * i as f64 / n as f64) * radius(tip_by_direction_deg[i % n]);
    if n > 2 {
        // The rose need not be convex: fill it as a fan.
        for i in 0..n {
            picture.items.push(Item::Fill { points: vec![centre, corner(i), corner(i + 1)], ink: ink.faded(110) });
        }
        picture.outline((0..n).map(corner).collect(), ink, 1.6);
    }
    for ring in ROSE_RINGS_DEG {
        let mut circle = ellipse(centre, DVec2::splat(radius(ring)), 40);
        circle.extend(circle.first().copied());
        picture.dashed(circle, Ink::NOTE.faded(150), 1.0, (2.5, 2.5));
    }
    picture.line(vec![centre, centre + toward(weakest_deg) * reach], Ink::PLUMB, 2.2);
    picture.items.push(Item::Dot { at: centre + toward(weakest_deg) * reach, radius_pt: 3.6, ink: Ink::PLUMB });
    picture.items.push(Item::Dot { at: centre, radius_pt: 2.6, ink: Ink::PLUMB });
    picture.text(at(50.0, 0.0), "front", Ink::NOTE, 10.5, (Across::Middle, Upright::Bottom));
    picture.extent = SQUARE;
    picture
}

/// Head and body as two weights on a beam, which dips toward the heavier one.
pub fn mass_beam(head_to_body: f64) -> Picture {
    let ratio = if head_to_body.is_finite() { head_to_body.clamp(0.02, 20.0) } else { 1.0 };
    let mut picture = square(format!("The head weighs {ratio:.1} times what the body weighs"));
    let tilt = (ratio.ln() * 0.22).clamp(-0.3, 0.3);
    let pivot = at(50.0, 26.0);
    let along = DVec2::from_angle(tilt);
    let (left, right) = (pivot - along * 40.0, pivot + along * 40.0);
    picture.fill(vec![pivot, at(42.0, 10.0), at(58.0, 10.0)], Ink::FAINT);
    picture.line(vec![at(24.0, 10.0), at(76.0, 10.0)], Ink::FAINT, 1.4);
    picture.line(vec![left, right], Ink::NOTE, 2.4);
    let share = ratio / (1.0 + ratio);
    let weight = |picture: &mut Picture, middle: DVec2, height: f64, ink: Ink, name: &str| {
        let (low, high) = (middle + at(-13.0, 1.0), middle + at(13.0, 1.0 + height));
        picture.fill(vec![low, at(high.x, low.y), high, at(low.x, high.y)], ink);
        picture.text(at(middle.x, high.y + 1.0), name, Ink::NOTE, 10.5, (Across::Middle, Upright::Bottom));
    };
    weight(&mut picture, pivot - along * 27.0, 4.0 + 54.0 * share, Ink::PLUMB, "head");
    weight(&mut picture, pivot + along * 27.0, 4.0 + 54.0 * (1.0 - share), Ink::SUPPORT_LINE, "body");
    picture.extent = SQUARE;
    picture
}

/// A body, a neck and a head that leans by `lean_deg`; where it would nod over only beyond a lean, that is
/// shown by a dashed head.
pub fn neck_sketch(lean_deg: f64, nods_beyond_deg: Option<f64>, stick: bool, ink: Ink) -> Picture {
    let mut picture = square("The head on its neck".to_owned());
    let foot = at(50.0, 40.0);
    let body: Vec<DVec2> =
        (0..=20).map(|i| at(50.0, 4.0) + at(34.0, 34.0) * DVec2::from_angle(TAU / 2.0 * i as f64 / 20.0)).collect();
    picture.fill(body, Ink::TRACK);
    let head = |deg: f64| {
        let (sin, cos) = deg.to_radians().sin_cos();
        let up = at(sin, cos);
        (foot + up * 10.0, foot + up * 30.0)
    };
    let (top, middle) = head(lean_deg);
    picture.line(vec![foot - at(0.0, 3.0), top], ink, 9.0);
    picture.fill(ellipse(middle, DVec2::splat(21.0), 36), ink.faded(90));
    picture.outline(ellipse(middle, DVec2::splat(21.0), 36), ink, 1.8);
    if let Some(deg) = nods_beyond_deg.filter(|d| (*d - lean_deg).abs() > 1.0) {
        let (_, ghost) = head(deg.clamp(0.0, 90.0));
        let mut circle = ellipse(ghost, DVec2::splat(21.0), 36);
        circle.extend(circle.first().copied());
        picture.dashed(circle, Ink::NOTE, 1.2, (3.0, 3.0));
    }
    if stick {
        picture.line(vec![at(50.0, 16.0), middle], Ink::NOTE, 2.4);
    }
    picture.items.push(Item::Dot { at: foot, radius_pt: 3.0, ink: Ink::PLUMB });
    picture.extent = SQUARE;
    picture
}

/// A part's own silhouette, for lists: its profile, standing on the end it is fixed by.
pub fn silhouette(shape: &crate::toy::shape::PartShape, colour: [u8; 3], start_down: bool) -> Picture {
    let mut picture = Picture { words: "Shape of the part".to_owned(), ..Picture::default() };
    let rings = &shape.outer.rings;
    let disc = shape.kind == crate::toy::shape::ShapeKind::Disc;
    let way = if start_down { 1.0 } else { -1.0 };
    if disc {
        let radius = rings.iter().map(|r| r.radius_mm).fold(0.0, f64::max);
        picture.fill(ellipse(DVec2::ZERO, DVec2::splat(radius.max(1.0)), 32), Ink::yarn(colour));
        return picture;
    }
    let half = |r: &crate::solid::Ring| r.radius_mm + r.core_half_mm;
    let bands: Vec<Vec<DVec2>> = super::smooth::smooth(rings, shape.flat.map(|f| f.edge_node))
        .windows(2)
        .filter(|b| b[1].ring.z_mm - b[0].ring.z_mm > 1e-6)
        .map(|b| {
            let (a, c) = (half(&b[0].ring), half(&b[1].ring));
            let (low, high) = (way * b[0].ring.z_mm, way * b[1].ring.z_mm);
            super::picture::convex_outline(&[at(-a, low), at(a, low), at(c, high), at(-c, high)])
        })
        .collect();
    for band in &bands {
        picture.halo(band.clone(), Ink::OUTLINE, 1.2);
    }
    for band in bands {
        picture.fill(band, Ink::yarn(colour));
    }
    picture
}
