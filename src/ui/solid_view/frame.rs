//! The numbers a frame hands to the shaders.

use bytemuck::{Pod, Zeroable};
use glam::DVec3;

use crate::view::camera::Camera;
use crate::view::scene::{Scene, ThemeColours};

use super::renderer::PictureOptions;

/// Texels in a row of the table of numbers.
pub(super) const TABLE_WIDTH: u32 = 1024;
/// Stitches in a row of the table of stitches.
pub(super) const STITCH_WIDTH: u32 = 2048;

/// Mirrors `Frame` in `shaders/frame.wgsl`.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub(super) struct FrameUniform {
    clip_from_toy: [[f32; 4]; 4],
    eye: [f32; 4],
    right: [f32; 4],
    up: [f32; 4],
    to_key: [f32; 4],
    key: [f32; 4],
    sky: [f32; 4],
    bounce: [f32; 4],
    rim: [f32; 4],
    glow: [f32; 4],
    top: [f32; 4],
    bottom: [f32; 4],
    ground: [f32; 4],
    chosen: [i32; 4],
    bases: [i32; 4],
    counts: [i32; 4],
}

fn with(v: [f32; 3], w: f32) -> [f32; 4] {
    [v[0], v[1], v[2], w]
}

fn vec(v: DVec3, w: f64) -> [f32; 4] {
    v.as_vec3().extend(w as f32).to_array()
}

/// The square of the floor that the shadow covers: its middle and half its side in mm.
pub(super) fn shadow_square(scene: &Scene) -> (DVec3, f64) {
    let centre = scene.bounds.centre().with_z(scene.floor_z_mm);
    let half = 0.5 * (scene.bounds.high - scene.bounds.low);
    (centre, 2.6 * half.x.max(half.y).max(0.3 * half.z).max(5.0))
}

impl FrameUniform {
    /// The numbers of one frame. `bases` are the first texels of rounds, palette, neighbours and casters.
    pub(super) fn new(
        scene: &Scene,
        camera: &Camera,
        size_px: [u32; 2],
        options: &PictureOptions,
        bases: [i32; 4],
    ) -> FrameUniform {
        let ThemeColours { top, bottom, sky, bounce, key, rim, glow, shadow } = options.theme.colours();
        let (width, height) = (f64::from(size_px[0].max(1)), f64::from(size_px[1].max(1)));
        let [right, up, forward] = camera.axes();
        let back = -DVec3::new(forward.x, forward.y, 0.0).try_normalize().unwrap_or(-up.with_z(0.0));
        // The key light stands at the viewer's left shoulder, so the side one looks at is always lit.
        let to_key = (-0.55 * right + 0.62 * back + 0.80 * DVec3::Z).normalize();
        let (ground, ground_half) = shadow_square(scene);
        let eye = camera.eye();
        let chosen = options.selection;
        let id = |n: Option<u32>| n.and_then(|n| i32::try_from(n).ok()).unwrap_or(-1);
        FrameUniform {
            clip_from_toy: camera.clip_from_toy(width / height, &scene.bounds).as_mat4().to_cols_array_2d(),
            eye: vec(eye, height),
            right: vec(right, width),
            up: vec(up, f64::from(options.pixels_per_point)),
            to_key: vec(to_key, camera.mm_per_px(height) / camera.distance_mm),
            key: with(key, 0.0),
            sky: with(sky, 0.0),
            bounce: with(bounce, 0.0),
            rim: with(rim, 0.0),
            glow: with(glow, 0.0),
            top: with(top, 0.0),
            bottom: with(bottom, shadow),
            ground: [ground.x as f32, ground.y as f32, scene.floor_z_mm as f32, ground_half as f32],
            chosen: [
                id(chosen.part_id),
                id(chosen.round),
                i32::from(options.marks),
                i32::from(eye.z > scene.floor_z_mm),
            ],
            bases,
            counts: [scene.shadow_casters.len() as i32, 0, 0, 0],
        }
    }
}

/// Where the sections of the table of numbers begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct TableBases {
    pub(super) rounds: i32,
    pub(super) palette: i32,
    pub(super) neighbours: i32,
    pub(super) casters: i32,
}

impl TableBases {
    pub(super) fn to_array(self) -> [i32; 4] {
        [self.rounds, self.palette, self.neighbours, self.casters]
    }
}

/// The table of numbers of a scene, padded to whole rows: five texels a part (three rows of its motion, its
/// rounds, its neighbours), then two a round, then palette, neighbours and shadow casters.
pub(super) fn table(scene: &Scene) -> (Vec<[f32; 4]>, TableBases) {
    let looks = &scene.looks;
    let mut texels = Vec::with_capacity(5 * scene.parts.len() + 2 * looks.rounds.len() + looks.palette.len() + 1024);
    for part in &scene.parts {
        let m = part.toy_from_part;
        for axis in 0..3 {
            texels.push(vec(m.matrix3.row(axis), m.translation[axis]));
        }
        texels.push([part.part_id as f32, part.first_round as f32, part.rounds as f32, 0.0]);
        texels.push([part.first_neighbour as f32, part.neighbours as f32, 0.0, 0.0]);
    }
    let rounds = texels.len() as i32;
    for round in &looks.rounds {
        texels.push([round.count as f32, round.start_share, round.height_factor, f32::from(u8::from(round.back_loop))]);
        texels.push(with(round.colour, round.first_stitch as f32));
    }
    let palette = texels.len() as i32;
    texels.extend(looks.palette.iter().map(|c| with(*c, 0.0)));
    let neighbours = texels.len() as i32;
    texels.extend(scene.neighbours.iter().map(|o| vec(o.centre, o.radius_mm)));
    let casters = texels.len() as i32;
    texels.extend(scene.shadow_casters.iter().map(|o| vec(o.centre, o.radius_mm)));
    texels.resize(texels.len().next_multiple_of(TABLE_WIDTH as usize).max(TABLE_WIDTH as usize), [0.0; 4]);
    (texels, TableBases { rounds, palette, neighbours, casters })
}

/// The stitches of a scene, padded to whole rows.
pub(super) fn stitch_table(scene: &Scene) -> Vec<u8> {
    let mut bytes = scene.looks.stitches.clone();
    let width = STITCH_WIDTH as usize;
    bytes.resize(bytes.len().next_multiple_of(width).max(width), 0);
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The shaders' `Frame` is a 4×4 matrix and fifteen vectors of four.
    #[test]
    fn the_uniform_has_the_shaders_size() {
        assert_eq!(std::mem::size_of::<FrameUniform>(), 64 + 15 * 16);
    }
}
