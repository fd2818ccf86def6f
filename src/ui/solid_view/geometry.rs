//! Corners of the small things: beads, the plumb line's weight, overlay lines and fills.

use bytemuck::{Pod, Zeroable};
use glam::{DVec3, Vec3};

use crate::view::scene::{Ink, Plumb, Polygon, Scene, Theme, linear};

/// A corner of a smooth hard thing of size 1.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub(super) struct PlainCorner {
    position: [f32; 3],
    normal: [f32; 3],
}

/// Where such a thing is and how it looks.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub(super) struct PlainPlace {
    centre: [f32; 3],
    scale: f32,
    colour: [f32; 3],
    gloss: f32,
}

/// A corner of a line, a fill or a mark; see `shaders/ink.wgsl`.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub(super) struct InkCorner {
    a: [f32; 3],
    b: [f32; 3],
    corner: [f32; 2],
    style: [f32; 4],
    colour: [u8; 4],
}

const KIND_LINE: f32 = 0.0;
const KIND_FILL: f32 = 1.0;
const KIND_MARK: f32 = 2.0;

/// Outline of the plumb line's weight from its tip up: radius and height for a weight of height 1.
const BOB: [[f32; 2]; 15] = [
    [0.0, 0.0],
    [0.02, 0.02],
    [0.205, 0.47],
    [0.235, 0.535],
    [0.25, 0.60],
    [0.24, 0.665],
    [0.20, 0.72],
    [0.12, 0.755],
    [0.085, 0.775],
    [0.08, 0.83],
    [0.105, 0.855],
    [0.105, 0.925],
    [0.08, 0.95],
    [0.035, 0.965],
    [0.0, 1.0],
];

/// A shape turned about the z axis.
fn lathe(outline: &[[f32; 2]], segments: u32) -> (Vec<PlainCorner>, Vec<u32>) {
    let mut corners = Vec::new();
    let mut indices = Vec::new();
    let last = outline.len() - 1;
    for (i, [radius, z]) in outline.iter().enumerate() {
        let before = outline[i.saturating_sub(1)];
        let after = outline[(i + 1).min(last)];
        let (dr, dz) = (after[0] - before[0], after[1] - before[1]);
        for k in 0..=segments {
            let (sin, cos) = (std::f32::consts::TAU * k as f32 / segments as f32).sin_cos();
            let normal = Vec3::new(cos * dz, sin * dz, -dr).try_normalize().unwrap_or(Vec3::Z);
            corners.push(PlainCorner { position: [radius * cos, radius * sin, *z], normal: normal.to_array() });
            if i < last && k < segments {
                let a = i as u32 * (segments + 1) + k;
                let c = a + segments + 1;
                indices.extend_from_slice(&[a, a + 1, c + 1, a, c + 1, c]);
            }
        }
    }
    (corners, indices)
}

/// A sphere of radius 1.
pub(super) fn sphere() -> (Vec<PlainCorner>, Vec<u32>) {
    let rings = 24;
    let outline: Vec<[f32; 2]> = (0..=rings)
        .map(|i| {
            let (sin, cos) = (std::f32::consts::PI * i as f32 / rings as f32).sin_cos();
            [sin.max(0.0), -cos]
        })
        .collect();
    lathe(&outline, 36)
}

/// The plumb line's weight, of height 1, its tip at the origin.
pub(super) fn bob() -> (Vec<PlainCorner>, Vec<u32>) {
    lathe(&BOB, 40)
}

/// Height of the plumb line's weight for a scene, in mm.
fn bob_height_mm(scene: &Scene, plumb: &Plumb) -> f64 {
    let size = (scene.bounds.high - scene.bounds.low).max_element();
    (0.11 * size).min(0.7 * (plumb.centre_of_mass.z - plumb.floor_z_mm)).max(0.0)
}

/// The beads as places of a sphere.
pub(super) fn bead_places(scene: &Scene) -> Vec<PlainPlace> {
    scene
        .beads
        .iter()
        .map(|b| PlainPlace {
            centre: b.centre.as_vec3().to_array(),
            scale: b.radius_mm as f32,
            colour: linear(b.colour),
            gloss: b.gloss.clamp(0.0, 1.0),
        })
        .collect()
}

/// The place of the plumb line's weight, if there is one: brass.
pub(super) fn bob_place(scene: &Scene) -> Option<PlainPlace> {
    let plumb = scene.plumb.as_ref()?;
    let foot = plumb.centre_of_mass.with_z(plumb.floor_z_mm);
    Some(PlainPlace {
        centre: foot.as_vec3().to_array(),
        scale: bob_height_mm(scene, plumb) as f32,
        colour: linear([222, 164, 72]),
        gloss: 1.75,
    })
}

/// All overlays of a scene: fills first, then lines, the mark of the centre of mass last.
pub(super) fn ink(scene: &Scene, theme: Theme) -> (Vec<InkCorner>, Vec<u32>) {
    let mut pen = Pen { corners: Vec::new(), indices: Vec::new(), theme };
    for polygon in &scene.polygons {
        pen.fill(polygon);
    }
    for line in &scene.lines {
        pen.line(&line.points, [line.width_px, line.dash_px], line.ink, line.through);
    }
    if let Some(plumb) = &scene.plumb {
        pen.plumb(scene, plumb);
    }
    (pen.corners, pen.indices)
}

struct Pen {
    corners: Vec<InkCorner>,
    indices: Vec<u32>,
    theme: Theme,
}

impl Pen {
    fn quad(&mut self, corners: [InkCorner; 4]) {
        let first = self.corners.len() as u32;
        self.corners.extend_from_slice(&corners);
        self.indices.extend([0, 1, 2, 1, 3, 2].map(|i| first + i));
    }

    fn line(&mut self, points: &[DVec3], [width, dash]: [f32; 2], ink: Ink, through: f32) {
        for pair in points.windows(2) {
            let (a, b) = (pair[0].as_vec3().to_array(), pair[1].as_vec3().to_array());
            let corner = |end: f32, side: f32| InkCorner {
                a,
                b,
                corner: [end, side],
                style: [width, dash, KIND_LINE, through],
                colour: ink.on(self.theme),
            };
            self.quad([corner(0.0, -1.0), corner(0.0, 1.0), corner(1.0, -1.0), corner(1.0, 1.0)]);
        }
    }

    fn fill(&mut self, polygon: &Polygon) {
        let Polygon { points, fill, outline, outline_px, through } = polygon;
        if points.len() > 2 {
            let first = self.corners.len() as u32;
            self.corners.extend(points.iter().map(|p| InkCorner {
                a: p.as_vec3().to_array(),
                b: p.as_vec3().to_array(),
                corner: [0.0; 2],
                style: [0.0, 0.0, KIND_FILL, 0.5 * through],
                colour: fill.on(self.theme),
            }));
            for i in 1..points.len() as u32 - 1 {
                self.indices.extend([first, first + i, first + i + 1]);
            }
        }
        if *outline_px > 0.0 && points.len() > 1 {
            let mut around = points.clone();
            around.push(points[0]);
            self.line(&around, [*outline_px, 0.0], *outline, *through);
        }
    }

    fn mark(&mut self, at: DVec3, radius_px: f32, ink: Ink) {
        let a = at.as_vec3().to_array();
        let corner = |x: f32, y: f32| InkCorner {
            a,
            b: a,
            corner: [x, y],
            style: [radius_px, 0.0, KIND_MARK, 1.0],
            colour: ink.on(self.theme),
        };
        self.quad([corner(-1.0, -1.0), corner(1.0, -1.0), corner(-1.0, 1.0), corner(1.0, 1.0)]);
    }

    /// The line from the centre of mass to its weight, a ring on the floor around the weight's tip, and the
    /// mark of the centre of mass.
    fn plumb(&mut self, scene: &Scene, plumb: &Plumb) {
        let foot = plumb.centre_of_mass.with_z(plumb.floor_z_mm);
        let top_of_bob = foot + DVec3::Z * bob_height_mm(scene, plumb);
        let halo = Ink { light: [255, 253, 248, 235], dark: [24, 25, 30, 225] };
        let radius = 0.028 * (scene.bounds.high - scene.bounds.low).max_element();
        let ring: Vec<DVec3> = (0..=48)
            .map(|i| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 48.0).sin_cos();
                foot + DVec3::new(radius * cos, radius * sin, 0.15)
            })
            .collect();
        self.line(&ring, [4.0, 0.0], halo, 0.75);
        self.line(&ring, [1.8, 0.0], Ink::PLUMB, 0.85);
        let string = [plumb.centre_of_mass, top_of_bob];
        self.line(&string, [5.0, 0.0], halo, 0.85);
        self.line(&string, [2.0, 0.0], Ink::PLUMB, 1.0);
        self.mark(plumb.centre_of_mass, 9.5, halo);
        self.mark(plumb.centre_of_mass, 8.0, Ink::PLUMB);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::scene::Line;

    /// Euler: a sphere's closed net has V − E + F = 2; with a doubled seam and poles the triangles are 2·rings·segments.
    #[test]
    fn lathe_makes_two_triangles_a_cell() {
        let (_, indices) = sphere();
        assert_eq!(indices.len() / 3, 2 * 24 * 36);
    }

    #[test]
    fn a_line_of_three_points_has_two_strokes() {
        let mut pen = Pen { corners: Vec::new(), indices: Vec::new(), theme: Theme::Dark };
        let line = Line {
            points: vec![DVec3::ZERO, DVec3::X, DVec3::Y],
            width_px: 2.0,
            dash_px: 0.0,
            ink: Ink::NOTE,
            through: 0.5,
        };
        pen.line(&line.points, [line.width_px, line.dash_px], line.ink, line.through);
        assert_eq!((pen.corners.len(), pen.indices.len()), (8, 12));
    }
}
