//! Solids with round (or stadium) sections along a straight axis: their mass properties, their support in a
//! direction, what a plane cuts from them. Pure geometry: no yarn, no stitches, no toy.

pub mod cut;
pub mod mass;
pub mod overlap;
pub mod support;

pub use cut::{Cut, ReadyToCut, Section};
pub use mass::MassProperties;
pub use overlap::{Overlap, overlap};
pub use support::Extreme;

use glam::{DAffine3, DVec3};

/// The section of a solid at one height along its axis: a stadium, which is a circle where `core_half_mm` is 0.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ring {
    /// Height along the axis (local z).
    pub z_mm: f64,
    /// Radius of the round ends.
    pub radius_mm: f64,
    /// Half the straight part between the centres of the round ends, along local x.
    pub core_half_mm: f64,
}

/// A solid as rings of non-decreasing height, joined by straight walls (frusta). Ends whose ring has a radius
/// are closed by a flat lid.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Solid {
    /// The rings, from the start of the part to its finish.
    pub rings: Vec<Ring>,
}

/// A solid in the toy's frame.
#[derive(Clone, Copy, Debug)]
pub struct Placed<'a> {
    /// The solid in its own frame (axis along +z).
    pub solid: &'a Solid,
    /// Rigid motion from the solid's frame to the toy's (mm; z up, x to the toy's left, y to its front). A
    /// mirrored copy has a reflection in it; lengths are always kept.
    pub toy_from_part: DAffine3,
}

impl Placed<'_> {
    /// The axis as a unit vector in the toy's frame, from start to finish.
    pub fn axis(&self) -> DVec3 {
        self.toy_from_part.matrix3.z_axis
    }
}
