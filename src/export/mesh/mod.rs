//! The solid toy as triangles: every copy of every part as a closed surface of its own, for glTF viewers and for
//! printing.
//!
//! The outside of the fabric bounds a part; open rims are closed by a flat lid. A cap that stands as its fabric
//! does is a shell with both sides of the fabric. Rounds are straight between their edges, and the corners of a
//! ring lie as far out as makes its area that of the true circle, so that volumes are those of the report.

mod glb;
mod profile;
mod stl;
mod surface;

pub use glb::glb;
pub use stl::stl;

use glam::{DAffine3, DVec3};

use crate::measure::Made;
use crate::solid::Ring;
use crate::toy::Toy;
use crate::view::toy_scene::scene_input;
use profile::Profile;

/// Which side of the fabric bounds the parts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// The outside: the toy as it is seen.
    #[default]
    Outside,
    /// The inside of the filled rounds: the stuffing, part by part. Empty parts have none.
    Inside,
}

/// A toy as closed surfaces.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Its name.
    pub name: String,
    /// Colours and what they are called: the yarn's name, or the colour in hexadecimal digits.
    pub colours: Vec<([u8; 3], String)>,
    /// One for each copy of each part, and one for each eye.
    pub surfaces: Vec<Surface>,
}

/// One closed surface.
#[derive(Clone, Debug, Default)]
pub struct Surface {
    /// Name of the part, with a number where there are several.
    pub name: String,
    /// The part; `None` for an eye.
    pub part: Option<usize>,
    /// Corners, mm in the toy's frame (z up, x to its left, y to its front).
    pub points: Vec<DVec3>,
    /// Triangles as corners (a, b, c): the numbers of (b − a) × (c − a) point out of the surface. Since the toy's
    /// frame is left-handed that is clockwise to who looks from outside; the files turn it.
    pub triangles: Vec<[u32; 3]>,
    /// Colour of each triangle, as a place in [`Mesh::colours`].
    pub colour_of: Vec<u32>,
}

impl Surface {
    /// Volume inside, mm³; negative for a surface that is inside out.
    pub fn volume_mm3(&self) -> f64 {
        let Some(origin) = self.points.first() else { return 0.0 };
        let corner = |i: u32| self.points.get(i as usize).map_or(DVec3::ZERO, |p| *p - *origin);
        self.triangles.iter().map(|t| corner(t[0]).dot(corner(t[1]).cross(corner(t[2]))) / 6.0).sum()
    }
}

/// Why there is no mesh.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MeshError {
    /// No part has rounds.
    #[error("the toy has no part with rounds, so there is nothing to make a mesh of. Add the rounds of a part first.")]
    NoParts,
    /// No part is stuffed.
    #[error("no part of the toy is stuffed, so its inside is empty. Take the outside.")]
    NothingInside,
    /// More triangles than any viewer shows.
    #[error("the mesh would have {0} triangles, more than {MOST_TRIANGLES}. Take out some copies or rounds.")]
    TooLarge(usize),
}

/// Triangles that a mesh has at most.
pub const MOST_TRIANGLES: usize = 4_000_000;
/// Room between the toy and the parts that are laid beside it, mm.
const GAP_MM: f64 = 20.0;
/// Rings of an eye from pole to pole.
const EYE_RINGS: usize = 16;

/// The mesh of a toy as made. Parts that have no place are set down in a row at the toy's left.
///
/// # Errors
/// [`MeshError`]: where there is nothing to show, or too much.
pub fn solid_mesh(toy: &Toy, made: &Made, side: Side) -> Result<Mesh, MeshError> {
    let profiles: Vec<Option<Profile>> = made.shapes.iter().map(|s| Profile::of_part(s, side)).collect();
    let copies = |i: usize| match made.poses[i].toy_from_part.len() {
        0 => toy.copies_of(i) as usize,
        placed => placed,
    };
    let triangles = profiles.iter().enumerate().filter_map(|(i, p)| Some(p.as_ref()?.triangles() * copies(i))).sum();
    if triangles > MOST_TRIANGLES {
        return Err(MeshError::TooLarge(triangles));
    }
    if profiles.iter().all(Option::is_none) {
        let any = made.shapes.iter().any(|s| s.nodes.len() > 1);
        return Err(if any { MeshError::NothingInside } else { MeshError::NoParts });
    }
    let whole = set_beside(toy, made, &profiles);
    let scene = scene_input(toy, &whole, None, None);
    let mut mesh = Mesh { name: toy.name.clone(), ..Mesh::default() };
    for look in &scene.surfaces {
        let part = look.part_id as usize;
        let Some(Some(profile)) = profiles.get(part) else { continue };
        let copy = mesh.surfaces.iter().filter(|s| s.part == Some(part)).count();
        let name = match copies(part) {
            1 => toy.pieces[part].part.name.clone(),
            _ => format!("{} {}", toy.pieces[part].part.name, copy + 1),
        };
        let worked = surface::surface(profile, &look.toy_from_part, &mut |round, share| {
            let colour = surface::colour_at(look, round, share);
            colour_index(&mut mesh.colours, toy, colour)
        });
        if let Some(worked) = worked {
            mesh.surfaces.push(Surface { name, part: Some(part), ..worked });
        }
    }
    if side == Side::Outside {
        for (i, bead) in scene.beads.iter().enumerate() {
            let profile = Profile::from_rings(sphere(bead.radius_mm));
            let to = DAffine3::from_translation(bead.centre);
            let worked = surface::surface(&profile, &to, &mut |_, _| colour_index(&mut mesh.colours, toy, bead.colour));
            mesh.surfaces.extend(worked.map(|w| Surface { name: format!("Eye {}", i + 1), ..w }));
        }
    }
    Ok(mesh)
}

/// The place of a colour in the list; it is put there where it is not yet.
fn colour_index(colours: &mut Vec<([u8; 3], String)>, toy: &Toy, colour: [u8; 3]) -> u32 {
    let at = colours.iter().position(|(c, _)| *c == colour).unwrap_or_else(|| {
        let yarn = toy.yarns.iter().find(|y| y.colour == colour && !y.name.is_empty());
        let [r, g, b] = colour;
        let name = yarn.map_or_else(|| format!("#{r:02x}{g:02x}{b:02x}"), |y| y.name.clone());
        colours.push((colour, name));
        colours.len() - 1
    });
    at as u32
}

/// The toy with the parts that have no place set down on the floor at its left, one after the other.
fn set_beside(toy: &Toy, made: &Made, profiles: &[Option<Profile>]) -> Made {
    let mut whole = made.clone();
    let placed = made.outsides().map(|(_, solid)| solid.support_mm(DVec3::X));
    let mut x = placed.fold(0.0, f64::max);
    for (i, profile) in profiles.iter().enumerate() {
        let Some(profile) = profile.as_ref().filter(|_| made.poses[i].toy_from_part.is_empty()) else { continue };
        let half = profile.rings.iter().map(|r| r.radius_mm + r.core_half_mm).fold(0.0, f64::max);
        let low = profile.rings.iter().map(|r| r.z_mm).fold(f64::INFINITY, f64::min);
        for _ in 0..toy.copies_of(i) {
            x += GAP_MM + half;
            whole.poses[i].toy_from_part.push(DAffine3::from_translation(DVec3::new(x, 0.0, -low)));
            x += half;
        }
    }
    whole
}

/// Rings of a sphere about the origin.
fn sphere(radius_mm: f64) -> Vec<Ring> {
    let ring = |i: usize| {
        let (sin, cos) = (std::f64::consts::PI * i as f64 / EYE_RINGS as f64).sin_cos();
        let radius = if i == 0 || i == EYE_RINGS { 0.0 } else { radius_mm * sin };
        Ring { z_mm: -radius_mm * cos, radius_mm: radius, core_half_mm: 0.0 }
    };
    (0..=EYE_RINGS).map(ring).collect()
}
