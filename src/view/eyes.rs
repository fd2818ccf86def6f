//! Where eyes and noses are on the toy.

use glam::{DAffine3, DVec3};

use crate::measure::Made;
use crate::toy::address::surface_point;
use crate::toy::{Copies, ExtraKind, Spot, Toy};

/// A hard eye or nose on the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Eye {
    /// The part it is on.
    pub part: usize,
    /// Its middle, on the surface, mm in the toy's frame.
    pub at: DVec3,
    /// Unit vector out of the surface.
    pub out: DVec3,
    /// Its radius, mm.
    pub radius_mm: f64,
}

/// All eyes that have a place.
pub fn eyes(toy: &Toy, made: &Made) -> Vec<Eye> {
    let mut found = Vec::new();
    for extra in &toy.extras {
        let (ExtraKind::Eye { diameter_mm }, Spot::Surface(address)) = (extra.kind, extra.spot) else { continue };
        let Some(part) = toy.piece_named(&extra.part) else { continue };
        let Some(point) = surface_point(&made.shapes[part].outer.rings, address) else { continue };
        let motions = match extra.copies {
            Copies::One => vec![DAffine3::IDENTITY],
            Copies::MirroredPair => vec![DAffine3::IDENTITY, DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0))],
            Copies::Around(n) => (0..n.clamp(1, 200))
                .map(|i| DAffine3::from_rotation_z(std::f64::consts::TAU * f64::from(i) / f64::from(n.max(1))))
                .collect(),
        };
        for toy_from_part in &made.poses[part].toy_from_part {
            for motion in &motions {
                let to = *toy_from_part * *motion;
                found.push(Eye {
                    part,
                    at: to.transform_point3(point.at),
                    out: to.transform_vector3(point.out),
                    radius_mm: diameter_mm.clamp(0.5, 100.0) / 2.0,
                });
            }
        }
    }
    found
}
