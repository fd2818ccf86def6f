//! Every joint of the toy (seams and narrow rounds) with all that lies beyond it.

use glam::DVec3;

use super::carried::Carried;
use super::joint::{Joint, alike_radius_mm, narrow_rounds};
use super::made::Made;
use super::weigh::{Lump, axis_point, placed};
use crate::part::End;
use crate::toy::address::ring_at;
use crate::toy::pose::hangs_loose;
use crate::toy::shape::ShapeKind;
use crate::toy::{ExtraKind, Toy};

/// Where a joint is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// The seam by which a part sits on another.
    Seam {
        /// The part sat on.
        onto: usize,
        /// Its round there.
        onto_node: f64,
    },
    /// A narrow round of a part worked in one.
    Round {
        /// Its node, which is the round's number.
        node: usize,
    },
}

/// A joint and what it carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Neck {
    /// The part that is carried, or that has the narrow round.
    pub part: usize,
    /// Where.
    pub place: Place,
    /// Its figures.
    pub joint: Joint,
    /// Middle of the joint, in the toy's frame.
    pub pivot_mm: DVec3,
    /// Everything beyond it, in the toy's frame (one copy).
    pub load: Lump,
}

/// Share of the toy's mass below which what a joint carries is a small thing: an ear or an arm held up that nods is no fault
/// of the toy (from memory; a default).
const SMALL: f64 = 0.08;

/// Mass below which what a joint carries is a small thing, g: a share of all that is placed.
pub fn small_g(made: &Made) -> f64 {
    SMALL * placed(&made.poses, &made.masses).mass_g
}

/// All joints of the first copy of every placed part. Parts fixed to dangle have none: they are meant to be limp.
pub fn necks(toy: &Toy, made: &Made) -> Vec<Neck> {
    let carried = Carried::of(made);
    places(toy, made).into_iter().filter_map(|(part, place)| neck_at(toy, made, &carried, part, place, 0)).collect()
}

/// Where the joints are: the seam of each part, then its narrow rounds.
pub(super) fn places(toy: &Toy, made: &Made) -> Vec<(usize, Place)> {
    let mut found = Vec::new();
    for (index, (pose, shape)) in made.poses.iter().zip(&made.shapes).enumerate() {
        if pose.toy_from_part.is_empty() || shape.kind != ShapeKind::Stuffed {
            continue;
        }
        if let (Some(onto), Some(seam)) = (pose.parent, pose.seam)
            && !hangs_loose(&toy.pieces[index])
            && made.shapes[onto].kind == ShapeKind::Stuffed
        {
            found.push((index, Place::Seam { onto, onto_node: seam.onto_node }));
        }
        let radius: Vec<f64> = shape.nodes.iter().map(|r| alike_radius_mm(*r)).collect();
        let z: Vec<f64> = shape.nodes.iter().map(|r| r.z_mm).collect();
        for narrow in narrow_rounds(&radius, &z, pose.by) {
            if !pose.seam.is_some_and(|seam| inside_parent(pose.by, seam.own_node, narrow.node as f64)) {
                found.push((index, Place::Round { node: narrow.node }));
            }
        }
    }
    found
}

/// The joint at a place, of one copy of its part.
pub(super) fn neck_at(
    toy: &Toy,
    made: &Made,
    carried: &Carried,
    part: usize,
    place: Place,
    copy: usize,
) -> Option<Neck> {
    let (pose, shape) = (&made.poses[part], &made.shapes[part]);
    let motion = pose.toy_from_part.get(copy)?;
    let (node, section, pressure_kpa, load, stick) = match place {
        Place::Seam { onto, .. } => {
            let seam = pose.seam?;
            let softer = made.pressure_at_kpa(part, seam.own_node).min(made.pressure_at_kpa(onto, seam.onto_node));
            let load = carried.with(part, copy);
            (seam.own_node, seam.section, softer, load, has_stick(toy, part) || has_stick(toy, onto))
        }
        Place::Round { node } => {
            let node = node as f64;
            let ring = ring_at(&shape.nodes, node)?;
            let load = carried.beyond(part, copy, node);
            (node, ring, made.pressure_at_kpa(part, node), load, has_stick(toy, part))
        }
    };
    let pivot_mm = axis_point(shape, motion, node);
    let lever_mm = (load.centre_mm - pivot_mm).length();
    let joint = Joint { pressure_kpa, section, mass_beyond_g: load.mass_g, lever_mm, stick };
    Some(Neck { part, place, joint, pivot_mm, load })
}

/// Whether a node lies on the near side of the seam by which its part is fixed.
fn inside_parent(by: End, own_node: f64, node: f64) -> bool {
    match by {
        End::Start => node <= own_node,
        End::Finish => node >= own_node,
    }
}

fn has_stick(toy: &Toy, index: usize) -> bool {
    toy.extras.iter().any(|e| e.kind == ExtraKind::NeckStick && e.part == toy.pieces[index].part.name)
}
