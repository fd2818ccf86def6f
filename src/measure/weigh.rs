//! Masses: what every part of a toy weighs and where, round by round, and the toy as a whole.

use std::ops::Add;

use glam::{DAffine3, DVec3};

use super::made::Made;
use crate::solid::Ring;
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
    pub(super) fn moved(self, motion: &DAffine3) -> Lump {
        Lump { centre_mm: motion.transform_point3(self.centre_mm), ..self }
    }
}

/// Something in one round that is alike all around the axis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// Its mass, g.
    pub mass_g: f64,
    /// Height of its centre on the axis, mm.
    pub z_mm: f64,
}

/// What is kept of a band: all that balance asks for, or its inertia too. A toy's small variations need no inertia, and
/// most of the work of weighing is for those.
trait Kept: Copy {
    fn of(band: MassProperties) -> Self;
    fn band(&self) -> Band;
    fn scaled(self, factor: f64) -> Self;
}

impl Kept for Band {
    fn of(band: MassProperties) -> Self {
        Band { mass_g: band.mass_g, z_mm: band.centre_mm.z }
    }

    fn band(&self) -> Band {
        *self
    }

    fn scaled(self, factor: f64) -> Self {
        Band { mass_g: self.mass_g * factor, ..self }
    }
}

impl Kept for MassProperties {
    fn of(band: MassProperties) -> Self {
        band
    }

    fn band(&self) -> Band {
        Kept::of(*self)
    }

    fn scaled(self, factor: f64) -> Self {
        MassProperties::scaled(self, factor)
    }
}

/// Masses of one copy of a part, in its own frame.
#[derive(Clone, Debug, Default)]
pub struct PartMass {
    /// Fabric of each link (round; a closing link weighs nothing).
    pub fabric: Vec<Band>,
    /// Stuffing in each link.
    pub stuffing: Vec<Band>,
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
        self.up_to = Vec::with_capacity(links + 1);
        self.up_to.push(sum);
        for link in 0..links {
            for band in [self.fabric.get(link), self.stuffing.get(link)].into_iter().flatten() {
                sum[0] += band.mass_g;
                sum[1] += band.mass_g * band.z_mm;
            }
            self.up_to.push(sum);
        }
        self.whole = self.between(0.0, f64::INFINITY);
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
    let mut mass = PartMass::default();
    if shape.nodes.len() < 2 {
        return mass;
    }
    mass.per_stitch = per_stitch(shape);
    mass.fabric = fabric_bands(yarn, shape, mass.per_stitch.1);
    (mass.stuffing, mass.volume_mm3) = stuffing_bands(shape, overlap_share, overlap_centre);
    let name = &toy.pieces[index].part.name;
    for extra in toy.extras.iter().filter(|e| e.part == *name && e.mass_g.is_finite() && e.mass_g > 0.0) {
        add_extra(shape, extra, &mut mass);
    }
    mass.add_up();
    mass
}

/// Mass properties of one copy of a part, inertia included, in its own frame; `mass` is what [`part_mass`] says of it.
fn part_inertia(
    mass: &PartMass,
    yarn: &PartYarn,
    shape: &PartShape,
    overlap_share: f64,
    overlap_centre: DVec3,
) -> MassProperties {
    if shape.nodes.len() < 2 {
        return MassProperties::ZERO;
    }
    let fabric: Vec<MassProperties> = fabric_bands(yarn, shape, per_stitch(shape).1);
    let (stuffing, _) = stuffing_bands(shape, overlap_share, overlap_centre);
    let extras = mass.extras.iter().map(|(_, e)| MassProperties::point(e.mass_g, e.centre_mm));
    fabric.into_iter().chain(stuffing).chain(extras).sum()
}

/// Length of yarn of a single crochet, mm, and its mass, g.
fn per_stitch(shape: &PartShape) -> (f64, f64) {
    let length_mm = shape.fabric.length_per_stitch_mm();
    (length_mm, length_mm * shape.fabric.g_per_mm())
}

/// The fabric of each round.
fn fabric_bands<B: Kept>(yarn: &PartYarn, shape: &PartShape, per_stitch_g: f64) -> Vec<B> {
    let rounds = yarn.rounds.iter().zip(shape.nodes.windows(2));
    let band = |(stitches, ends): (&f64, &[Ring])| {
        let grams = stitches * per_stitch_g;
        let (a, b) = (ends[0], ends[1]);
        B::of(match shape.kind {
            ShapeKind::FoldedFlat => lamina_band(
                LaminaEdge { z_mm: a.z_mm, half_width_mm: a.core_half_mm },
                LaminaEdge { z_mm: b.z_mm, half_width_mm: b.core_half_mm },
                grams,
            ),
            ShapeKind::Stuffed | ShapeKind::Disc | ShapeKind::Open => frustum_shell(a, b, grams),
        })
    };
    rounds.map(band).collect()
}

/// The stuffing in each round, and the room it has, mm³.
fn stuffing_bands<B: Kept>(shape: &PartShape, overlap_share: f64, overlap_centre: DVec3) -> (Vec<B>, f64) {
    let Some(fill) = shape.fill else { return (Vec::new(), 0.0) };
    let room = shape.filled_volume_mm3();
    let density = match fill.weighed_g {
        Some(grams) => grams / room.max(1e-9),
        None => fill.density_g_per_l.value() * 1e-6,
    };
    let rings = &shape.inner.rings;
    let filled = rings.windows(2).take(shape.filled_links);
    let mut bands: Vec<B> = filled.map(|b| B::of(frustum_solid(b[0], b[1], density))).collect();
    let taken = overlap_share.clamp(0.0, 0.95) * room;
    if taken <= 0.0 {
        return (bands, room);
    }
    // What the other part takes is taken from the rounds around its centre, nearest first.
    let mut order: Vec<usize> = (0..bands.len()).collect();
    let away = |i: usize| (bands[i].band().z_mm - overlap_centre.z).abs();
    order.sort_by(|a, b| away(*a).total_cmp(&away(*b)));
    let weighed = if fill.weighed_g.is_some() { room / (room - taken) } else { 1.0 };
    let mut left = taken;
    for i in order {
        let (a, b) = (rings[i], rings[i + 1]);
        let volume = frustum_volume_mm3(a, b);
        let gone = left.min(volume);
        left -= gone;
        if volume > 0.0 {
            bands[i] = bands[i].scaled(1.0 - gone / volume);
        }
        if left <= 0.0 {
            break;
        }
    }
    // A weighed filling weighs what it weighs, however little room it has.
    for band in &mut bands {
        *band = band.scaled(weighed);
    }
    (bands, room - taken)
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
pub fn placed_inertial(made: &Made) -> MassProperties {
    let each = made.poses.iter().enumerate().flat_map(|(i, pose)| {
        let (share, centre) = made.overlaps[i];
        let whole = part_inertia(&made.masses[i], &made.yarns[i], &made.shapes[i], share, centre);
        pose.toy_from_part.iter().map(move |motion| whole.transformed(motion))
    });
    each.sum()
}

/// Height of a node on the axis of a placed part, in the toy's frame.
pub fn axis_point(shape: &PartShape, motion: &DAffine3, node: f64) -> DVec3 {
    let z = ring_at(&shape.nodes, node).map_or(0.0, |r| r.z_mm);
    motion.transform_point3(DVec3::new(0.0, 0.0, z))
}
