//! Masses: what every part of a toy weighs and where, round by round, and the toy as a whole.

use std::ops::Add;

use glam::{DAffine3, DVec3};

use crate::part::End;
use crate::solid::mass::{LaminaEdge, MassProperties, frustum_shell, frustum_solid, frustum_volume_mm3, lamina_band};
use crate::toy::address::{ring_at, surface_point};
use crate::toy::pose::PiecePose;
use crate::toy::shape::{PartShape, ShapeKind};
use crate::toy::{Copies, Extra, Spot, Toy};
use crate::yarn::length_per_stitch_factor;

/// Yarn in one copy of a part, in lengths of a single crochet's yarn: what the rounds alone decide.
#[derive(Clone, Debug, Default)]
pub struct PartYarn {
    /// Of each round.
    pub rounds: Vec<f64>,
    /// Of each yarn by name, in the order the part first uses them.
    pub yarns: Vec<(String, f64)>,
}

/// Yarn in one copy of a part.
pub fn part_yarn(toy: &Toy, index: usize) -> PartYarn {
    let part = &toy.pieces[index].part;
    let mut yarn = PartYarn { rounds: Vec::with_capacity(part.rounds.len()), yarns: Vec::new() };
    let name_of = |name: &str| toy.yarn(name).map_or_else(|| name.to_owned(), |y| y.name.clone());
    let own = name_of(&part.yarn);
    let mut own_stitches = 0.0;
    let mut others: Vec<(String, f64)> = Vec::new();
    for round in &part.rounds {
        let mut sum = 0.0;
        for run in &round.runs {
            let stitches = f64::from(run.times) * f64::from(run.stitch.makes);
            let length = stitches * length_per_stitch_factor(run.stitch.kind);
            sum += length;
            match &run.colour {
                None => own_stitches += length,
                Some(colour) => match others.iter_mut().find(|(name, _)| **name == **colour) {
                    Some(entry) => entry.1 += length,
                    None => others.push((colour.to_string(), length)),
                },
            }
        }
        yarn.rounds.push(sum);
    }
    if own_stitches > 0.0 {
        yarn.yarns.push((own, own_stitches));
    }
    for (colour, length) in others {
        let name = name_of(&colour);
        match yarn.yarns.iter_mut().find(|(n, _)| *n == name) {
            Some(entry) => entry.1 += length,
            None => yarn.yarns.push((name, length)),
        }
    }
    yarn
}

/// A mass and where its centre is: all that balance asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lump {
    /// Mass, g.
    pub mass_g: f64,
    /// Its centre, mm; the origin for no mass.
    pub centre_mm: DVec3,
}

impl Lump {
    /// Both together.
    pub fn plus(self, other: Lump) -> Lump {
        let mass_g = self.mass_g + other.mass_g;
        if mass_g <= 0.0 {
            return Lump::default();
        }
        let centre_mm = (self.centre_mm * self.mass_g + other.centre_mm * other.mass_g) / mass_g;
        Lump { mass_g, centre_mm }
    }

    /// The same in another frame.
    fn moved(self, motion: &DAffine3) -> Lump {
        Lump { centre_mm: motion.transform_point3(self.centre_mm), ..self }
    }
}

/// Masses of one copy of a part, in its own frame.
#[derive(Clone, Debug, Default)]
pub struct PartMass {
    /// Fabric of each link (round; a closing link weighs nothing), g.
    pub fabric: Vec<MassProperties>,
    /// Stuffing in each link.
    pub stuffing: Vec<MassProperties>,
    /// Things added in or on it.
    pub extras: Vec<(f64, Lump)>,
    /// Everything in one copy.
    pub whole: Lump,
    /// Mass and moment (mass times height) of fabric and stuffing up to each node; all lies on the axis.
    up_to: Vec<[f64; 2]>,
    /// Room for stuffing less what another part takes, mm³.
    pub volume_mm3: f64,
    /// Length of yarn of a single crochet, mm, and its mass, g.
    pub per_stitch: (f64, f64),
}

impl PartMass {
    /// Mass of the yarn, g.
    pub fn fabric_g(&self) -> f64 {
        self.fabric.iter().map(|m| m.mass_g).fold(0.0, f64::add)
    }

    /// Mass of the stuffing, g.
    pub fn stuffing_g(&self) -> f64 {
        self.stuffing.iter().map(|m| m.mass_g).fold(0.0, f64::add)
    }

    /// Everything between two nodes; the round in which a border falls counts in proportion.
    pub fn between(&self, from_node: f64, to_node: f64) -> Lump {
        let last = self.up_to.len().saturating_sub(1) as f64;
        let at = |node: f64| {
            let node = node.clamp(0.0, last);
            let (i, share) = (node as usize, node.fract());
            let low = self.up_to.get(i).copied().unwrap_or_default();
            let high = self.up_to.get(i + 1).copied().unwrap_or(low);
            [low[0] + share * (high[0] - low[0]), low[1] + share * (high[1] - low[1])]
        };
        let (from, to) = (at(from_node), at(to_node));
        let mass_g = to[0] - from[0];
        let z = if mass_g > 0.0 { (to[1] - from[1]) / mass_g } else { 0.0 };
        let bands = Lump { mass_g: mass_g.max(0.0), centre_mm: DVec3::new(0.0, 0.0, z) };
        let extras = self.extras.iter().filter(|(node, _)| *node >= from_node && *node <= to_node);
        extras.fold(bands, |sum, (_, extra)| sum.plus(*extra))
    }

    /// The same with other yarn and stuffing in the same shape.
    pub fn rescaled(&self, factors: MassFactors) -> PartMass {
        let fabric = factors.yarn_length * factors.yarn_mass;
        let mut mass = PartMass {
            fabric: self.fabric.iter().map(|m| m.scaled(fabric)).collect(),
            stuffing: self.stuffing.iter().map(|m| m.scaled(factors.density)).collect(),
            per_stitch: (self.per_stitch.0 * factors.yarn_length, self.per_stitch.1 * fabric),
            ..self.clone()
        };
        mass.add_up();
        mass
    }

    /// Adds up the bands.
    fn add_up(&mut self) {
        let links = self.fabric.len().max(self.stuffing.len());
        let mut sum = [0.0; 2];
        self.up_to = vec![sum];
        for link in 0..links {
            for band in [self.fabric.get(link), self.stuffing.get(link)].into_iter().flatten() {
                sum[0] += band.mass_g;
                sum[1] += band.mass_g * band.centre_mm.z;
            }
            self.up_to.push(sum);
        }
        self.whole = self.between(0.0, f64::INFINITY);
    }

    /// Mass properties of one copy, inertia included.
    pub fn inertial(&self) -> MassProperties {
        let extras = self.extras.iter().map(|(_, e)| MassProperties::point(e.mass_g, e.centre_mm));
        self.fabric.iter().chain(&self.stuffing).copied().chain(extras).sum()
    }
}

/// How much a mass depends on what is known roughly: factors on the figures of the shapes.
#[derive(Clone, Copy, Debug)]
pub struct MassFactors {
    /// On the yarn in a stitch.
    pub yarn_length: f64,
    /// On the mass of a length of yarn.
    pub yarn_mass: f64,
    /// On the density of stuffing.
    pub density: f64,
}

impl Default for MassFactors {
    fn default() -> Self {
        MassFactors { yarn_length: 1.0, yarn_mass: 1.0, density: 1.0 }
    }
}

/// Masses of one copy of a part. `overlap_share` of its room is taken by the part it sits on, around
/// `overlap_centre` in its own frame.
pub fn part_mass(
    toy: &Toy,
    index: usize,
    yarn: &PartYarn,
    shape: &PartShape,
    overlap_share: f64,
    overlap_centre: DVec3,
) -> PartMass {
    let links = shape.rest.link_mm.len();
    let mut mass = PartMass { fabric: Vec::with_capacity(links), ..PartMass::default() };
    if shape.nodes.len() < 2 {
        return mass;
    }
    let length_mm = shape.fabric.length_per_stitch_mm();
    let per_stitch_g = length_mm * shape.fabric.g_per_mm();
    mass.per_stitch = (length_mm, per_stitch_g);
    for (link, stitches) in yarn.rounds.iter().enumerate() {
        let grams = stitches * per_stitch_g;
        let (a, b) = (shape.nodes[link], shape.nodes[link + 1]);
        mass.fabric.push(match shape.kind {
            ShapeKind::FoldedFlat => lamina_band(
                LaminaEdge { z_mm: a.z_mm, half_width_mm: a.core_half_mm },
                LaminaEdge { z_mm: b.z_mm, half_width_mm: b.core_half_mm },
                grams,
            ),
            ShapeKind::Stuffed | ShapeKind::Disc | ShapeKind::Open => frustum_shell(a, b, grams),
        });
    }
    stuff(shape, overlap_share, overlap_centre, &mut mass);
    let name = &toy.pieces[index].part.name;
    for extra in toy.extras.iter().filter(|e| e.part == *name && e.mass_g.is_finite() && e.mass_g > 0.0) {
        add_extra(shape, extra, &mut mass);
    }
    mass.add_up();
    mass
}

fn stuff(shape: &PartShape, overlap_share: f64, overlap_centre: DVec3, mass: &mut PartMass) {
    let Some(fill) = shape.fill else { return };
    let room = shape.filled_volume_mm3();
    let density = match fill.weighed_g {
        Some(grams) => grams / room.max(1e-9),
        None => fill.density_g_per_l.value() * 1e-6,
    };
    let rings = &shape.inner.rings;
    let filled = || rings.windows(2).take(shape.filled_links);
    mass.stuffing = filled().map(|b| frustum_solid(b[0], b[1], density)).collect();
    mass.volume_mm3 = room;
    let taken = overlap_share.clamp(0.0, 0.95) * room;
    if taken <= 0.0 {
        return;
    }
    mass.volume_mm3 -= taken;
    // What the other part takes is taken from the rounds around its centre, nearest first.
    let mut order: Vec<usize> = (0..mass.stuffing.len()).collect();
    let away = |i: usize| (mass.stuffing[i].centre_mm.z - overlap_centre.z).abs();
    order.sort_by(|a, b| away(*a).total_cmp(&away(*b)));
    let weighed = if fill.weighed_g.is_some() { room / (room - taken) } else { 1.0 };
    let mut left = taken;
    for i in order {
        let (a, b) = (rings[i], rings[i + 1]);
        let volume = frustum_volume_mm3(a, b);
        let gone = left.min(volume);
        left -= gone;
        if volume > 0.0 {
            mass.stuffing[i] = mass.stuffing[i].scaled(1.0 - gone / volume);
        }
        if left <= 0.0 {
            break;
        }
    }
    // A weighed filling weighs what it weighs, however little room it has.
    for band in &mut mass.stuffing {
        *band = band.scaled(weighed);
    }
}

fn add_extra(shape: &PartShape, extra: &Extra, mass: &mut PartMass) {
    let last = (shape.nodes.len() - 1) as f64;
    let (node, at) = match extra.spot {
        Spot::Inside { share } => {
            let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 };
            let (low, high) = (shape.nodes[0].z_mm, shape.nodes[shape.nodes.len() - 1].z_mm);
            let z = low + share * (high - low);
            let above = shape.nodes.iter().position(|r| r.z_mm >= z).unwrap_or(shape.nodes.len() - 1);
            (above as f64, DVec3::new(0.0, 0.0, z))
        }
        Spot::Surface(address) => {
            let point = surface_point(&shape.outer.rings, address).map_or(DVec3::ZERO, |p| p.at);
            (address.round.clamp(0.0, last), point)
        }
    };
    let motions: Vec<DAffine3> = match extra.copies {
        Copies::One => vec![DAffine3::IDENTITY],
        Copies::MirroredPair => vec![DAffine3::IDENTITY, DAffine3::from_scale(DVec3::new(-1.0, 1.0, 1.0))],
        Copies::Around(n) => (0..n.clamp(1, 200))
            .map(|i| DAffine3::from_rotation_z(std::f64::consts::TAU * f64::from(i) / f64::from(n.max(1))))
            .collect(),
    };
    for motion in motions {
        mass.extras.push((node, Lump { mass_g: extra.mass_g, centre_mm: motion.transform_point3(at) }));
    }
}

/// Everything that lies beyond a node of a part, seen from the end it is fixed by: its own rounds there and the
/// parts that sit on them, for one copy, in the toy's frame.
pub fn beyond(poses: &[PiecePose], masses: &[PartMass], index: usize, copy: usize, node: f64) -> Lump {
    let by = poses[index].by;
    let Some(motion) = poses[index].toy_from_part.get(copy) else { return Lump::default() };
    let own = match by {
        End::Start => masses[index].between(node, f64::INFINITY),
        End::Finish => masses[index].between(0.0, node),
    };
    let mut sum = own.moved(motion);
    let copies = poses[index].toy_from_part.len();
    for (child, pose) in poses.iter().enumerate() {
        let (Some(parent), Some(seam)) = (pose.parent, pose.seam) else { continue };
        let is_beyond = match by {
            End::Start => seam.onto_node >= node,
            End::Finish => seam.onto_node <= node,
        };
        if parent != index || !is_beyond {
            continue;
        }
        let each = pose.toy_from_part.len() / copies.max(1);
        for i in copy * each..(copy + 1) * each {
            sum = sum.plus(everything_on(poses, masses, child, i));
        }
    }
    sum
}

/// One copy of a part with all that sits on it, in the toy's frame.
pub fn everything_on(poses: &[PiecePose], masses: &[PartMass], index: usize, copy: usize) -> Lump {
    let all = match poses[index].by {
        End::Start => 0.0,
        End::Finish => f64::INFINITY,
    };
    beyond(poses, masses, index, copy, all)
}

/// All that is placed, in the toy's frame.
pub fn placed(poses: &[PiecePose], masses: &[PartMass]) -> Lump {
    let mut sum = Lump::default();
    for (pose, mass) in poses.iter().zip(masses) {
        for motion in &pose.toy_from_part {
            sum = sum.plus(mass.whole.moved(motion));
        }
    }
    sum
}

/// Mass properties of all that is placed, in the toy's frame.
pub fn placed_inertial(poses: &[PiecePose], masses: &[PartMass]) -> MassProperties {
    let each = poses.iter().zip(masses).flat_map(|(pose, mass)| {
        let whole = mass.inertial();
        pose.toy_from_part.iter().map(move |motion| whole.transformed(motion))
    });
    each.sum()
}

/// Height of a node on the axis of a placed part, in the toy's frame.
pub fn axis_point(shape: &PartShape, motion: &DAffine3, node: f64) -> DVec3 {
    let z = ring_at(&shape.nodes, node).map_or(0.0, |r| r.z_mm);
    motion.transform_point3(DVec3::new(0.0, 0.0, z))
}
