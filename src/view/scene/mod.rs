//! The toy as a picture in three dimensions, still plain data: surfaces of revolution with the look of every
//! round, beads (eyes, noses), lines and fills of the overlays.
//!
//! A [`Scene`] is made by [`SceneStore::build`] from [`SceneInput`]; the store keeps the meshes of parts that
//! did not change. Positions are mm in the toy's frame (z up, x to the toy's left, y to its front).

mod looks;
mod mesh;
mod profile;
pub mod section;
mod store;
mod theme;

pub use looks::{LookTable, STITCH_DECREASE, STITCH_INCREASE, STITCH_PLAIN};
pub use mesh::{Occluder, PartMesh, Strip, Vertex};
pub use store::SceneStore;
pub use theme::{Ink, Theme, ThemeColours, linear};

use std::sync::Arc;

use glam::{DAffine3, DVec3};

/// A node of a part's outer outline.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Node {
    /// Height along the part's axis in mm.
    pub z_mm: f64,
    /// Radius of the round ends of the section in mm; 0 at a pole.
    pub radius_mm: f64,
    /// Half the straight part of the section along local x in mm; 0 for a circle.
    pub core_half_mm: f64,
}

/// A part that lies flat: a sheet in its local x-z plane with rounded edges.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatSheet {
    /// Half the width of the sheet at each node in mm.
    pub half_width_mm: Vec<f64>,
    /// Thickness of the sheet (all its layers) in mm.
    pub thickness_mm: f64,
}

/// A stretch of a round worked in another colour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Where it begins, as a share (0 to 1) of the round.
    pub from: f32,
    /// Where it ends, as a share (0 to 1) of the round, at least `from`.
    pub to: f32,
    /// Its colour, sRGB.
    pub colour: [u8; 3],
}

/// How one round looks.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundLook {
    /// Stitches in the round.
    pub count: u32,
    /// Height of the stitch over that of a single crochet stitch (1 sc, about 1.33 hdc, 2 dc).
    pub height_factor: f32,
    /// Yarn colour, sRGB.
    pub colour: [u8; 3],
    /// Middles of the increases, as shares (0 to 1) of the round.
    pub increase_at: Vec<f32>,
    /// Middles of the decreases, as shares (0 to 1) of the round.
    pub decrease_at: Vec<f32>,
    /// Worked into the back loops only: the free front loops below show as a ridge.
    pub back_loop: bool,
    /// Stretches in other colours.
    pub stretches: Vec<Stretch>,
    /// Stitches follow each other toward shrinking angles; shares of the round count that way too.
    pub backward: bool,
}

impl RoundLook {
    /// A round of `count` plain single crochet stitches.
    pub fn plain(count: u32, colour: [u8; 3]) -> Self {
        RoundLook {
            count,
            height_factor: 1.0,
            colour,
            increase_at: Vec::new(),
            decrease_at: Vec::new(),
            back_loop: false,
            stretches: Vec::new(),
            backward: false,
        }
    }
}

/// One part to be shown.
#[derive(Clone, Debug)]
pub struct SurfaceInput {
    /// What [`crate::view::pick`] and a selection call this part.
    pub part_id: u32,
    /// The outer surface from start to finish: node 0 is the start (a pole, or the edge of a chain), node i
    /// the outer edge of round i. One node more than rounds, or two where the end is gathered shut.
    pub nodes: Vec<Node>,
    /// The rounds in order; `rounds[0]` lies between nodes 0 and 1.
    pub rounds: Vec<RoundLook>,
    /// Where each round's first stitch begins, in radians around the axis from local +x toward +y (on a section
    /// with a core: its share of the perimeter × 2π). Stitches follow toward growing angles unless a
    /// round says otherwise. Rounds beyond the list begin at 0.
    pub drift_start: Vec<f32>,
    /// Rigid motion from the part's frame (axis along +z) to the toy's; a mirrored copy has a reflection in it.
    pub toy_from_part: DAffine3,
    /// Drawn as a flat sheet in place of the round section.
    pub flat: Option<FlatSheet>,
}

/// A small sphere: an eye, a nose, a button.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bead {
    /// Its centre in the toy's frame.
    pub centre: DVec3,
    /// Radius in mm.
    pub radius_mm: f64,
    /// Its colour, sRGB.
    pub colour: [u8; 3],
    /// 0 is matt, 1 polished.
    pub gloss: f32,
}

/// A line drawn over the toy, of the same width on screen at every distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Its corners in the toy's frame.
    pub points: Vec<DVec3>,
    /// Width in logical pixels.
    pub width_px: f32,
    /// Length of a dash in logical pixels; 0 draws it whole.
    pub dash_px: f32,
    /// Its colour.
    pub ink: Ink,
    /// How much of it shows where the toy hides it (0 to 1).
    pub through: f32,
}

/// A filled convex polygon, for instance the support polygon on the floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Polygon {
    /// Its corners in the toy's frame, in order around it.
    pub points: Vec<DVec3>,
    /// Colour of the fill; its opacity is part of it.
    pub fill: Ink,
    /// Colour of the outline.
    pub outline: Ink,
    /// Width of the outline in logical pixels; 0 draws none.
    pub outline_px: f32,
    /// How much of the outline shows where the toy hides it (0 to 1); of the fill half as much.
    pub through: f32,
}

/// The plumb line: from the centre of mass straight down to the floor, with a weight at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plumb {
    /// The toy's centre of mass.
    pub centre_of_mass: DVec3,
    /// Height of the floor in mm.
    pub floor_z_mm: f64,
}

/// Everything a scene is made of.
#[derive(Clone, Debug, Default)]
pub struct SceneInput {
    /// The parts.
    pub surfaces: Vec<SurfaceInput>,
    /// Eyes and the like.
    pub beads: Vec<Bead>,
    /// Overlay lines.
    pub lines: Vec<Line>,
    /// Overlay fills.
    pub polygons: Vec<Polygon>,
    /// The plumb line, if it is to be shown.
    pub plumb: Option<Plumb>,
}

/// A part's mesh put in its place.
#[derive(Clone, Debug)]
pub struct PlacedMesh {
    /// The mesh in the part's frame, shared with the store.
    pub mesh: Arc<PartMesh>,
    /// Rigid motion from the part's frame to the toy's.
    pub toy_from_part: DAffine3,
    /// As in [`SurfaceInput::part_id`].
    pub part_id: u32,
    /// First round of this part in [`LookTable::rounds`].
    pub first_round: u32,
    /// Number of rounds in the table for this part.
    pub rounds: u32,
    /// First of this part's neighbours in [`Scene::neighbours`]: spheres that shade it.
    pub first_neighbour: u32,
    /// Number of neighbours.
    pub neighbours: u32,
}

/// An upright box around the scene, mm in the toy's frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Its lowest corner.
    pub low: DVec3,
    /// Its highest corner.
    pub high: DVec3,
}

impl Bounds {
    /// The box's centre.
    pub fn centre(&self) -> DVec3 {
        0.5 * (self.low + self.high)
    }

    /// Radius of the sphere around the box in mm.
    pub fn radius_mm(&self) -> f64 {
        0.5 * (self.high - self.low).length()
    }

    /// The box that holds this one and a sphere.
    pub fn with_sphere(self, centre: DVec3, radius_mm: f64) -> Bounds {
        Bounds { low: self.low.min(centre - radius_mm), high: self.high.max(centre + radius_mm) }
    }
}

/// A scene ready to be drawn or picked in.
#[derive(Clone, Debug)]
pub struct Scene {
    /// The parts in their places.
    pub parts: Vec<PlacedMesh>,
    /// Counts, colours and marks of all rounds of all parts.
    pub looks: LookTable,
    /// Spheres that stand for each part's neighbours, in the toy's frame (soft shade where parts meet).
    pub neighbours: Vec<Occluder>,
    /// Spheres that stand for the whole toy, in the toy's frame (its shadow on the floor).
    pub shadow_casters: Vec<Occluder>,
    /// Eyes and the like.
    pub beads: Vec<Bead>,
    /// Overlay lines.
    pub lines: Vec<Line>,
    /// Overlay fills.
    pub polygons: Vec<Polygon>,
    /// The plumb line.
    pub plumb: Option<Plumb>,
    /// Height of the floor in mm: the lowest point of the toy, or the plumb line's floor.
    pub floor_z_mm: f64,
    /// A box around everything but the overlays.
    pub bounds: Bounds,
    /// Another number for every scene built: equal numbers mean an equal picture.
    pub generation: u64,
}

impl Scene {
    /// Triangles in all parts together.
    pub fn triangles(&self) -> usize {
        self.parts.iter().map(|p| p.mesh.indices.len() / 3).sum()
    }
}

/// What is chosen and therefore glows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Selection {
    /// The chosen part.
    pub part_id: Option<u32>,
    /// The chosen round of that part, counted from 0 as in [`SurfaceInput::rounds`].
    pub round: Option<u32>,
}
