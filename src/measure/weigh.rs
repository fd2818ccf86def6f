//! Masses: what every part of a toy weighs and where, round by round, and the toy as a whole.

use std::ops::Add;

use glam::{DAffine3, DVec3};

use super::made::Made;
use super::work::yarn_name;
use crate::solid::Ring;
use crate::solid::mass::{LaminaEdge, MassProperties, frustum_shell, frustum_solid, frustum_volume_mm3, lamina_band};
use crate::toy::address::{ring_at, surface_point};
use crate::toy::pose::PiecePose;
use crate::toy::shape::{PartShape, ShapeKind};
use crate::toy::{Copies, Extra, Spot, Toy};
use crate::yarn::{Fabric, length_per_stitch_factor};

/// One yarn in one copy of a part.
#[derive(Clone, Debug)]
pub struct YarnIn {
    /// Its name.
    pub name: String,
    /// Rounds that have any of it, counted from 0, and how much: in lengths of a single crochet's yarn.
    pub rounds: Vec<(usize, f64)>,
    /// What it makes in this part, where the part's own yarn is another.
    pub other: Option<Fabric>,
}

impl YarnIn {
    /// All of it, in lengths of a single crochet's yarn.
    pub fn stitches(&self) -> f64 {
        self.rounds.iter().map(|(_, stitches)| stitches).fold(0.0, f64::add)
    }

    /// Length of yarn of a single crochet, mm, and its mass, g. A weighed stitch holds as much however wide it is.
    fn per_stitch(&self, shape: &PartShape) -> (f64, f64) {
        let fabric = self.other.as_ref().unwrap_or(&shape.fabric);
        let w_mm = if fabric.weighed { fabric.w_mm } else { shape.fabric.w_mm };
        let length_mm = fabric.widths_per_stitch.value() * w_mm.value();
        (length_mm, length_mm * fabric.g_per_mm())
    }
}

/// The yarns in one copy of a part, in the order the part first uses them.
#[derive(Clone, Debug, Default)]
pub struct PartYarn {
    /// Each of them.
    pub yarns: Vec<YarnIn>,
    /// Number of rounds.
    rounds: usize,
}

impl PartYarn {
    /// Mass of each round, g, with so much in a single crochet of each yarn.
    fn rounds_g(&self, per_stitch: &[(f64, f64)]) -> Vec<f64> {
        let mut grams = vec![0.0; self.rounds];
        for (yarn, (_, stitch_g)) in self.yarns.iter().zip(per_stitch) {
            yarn.rounds.iter().for_each(|(round, stitches)| grams[*round] += stitches * stitch_g);
        }
        grams
    }
}

/// Yarn in one copy of a part as the rounds alone decide it: nothing is said yet of what others than its own make in it.
pub fn part_yarn(toy: &Toy, index: usize) -> PartYarn {
    let part = &toy.pieces[index].part;
    let mut yarns: Vec<YarnIn> = Vec::new();
    let mut spoken: Vec<(Option<&str>, usize)> = Vec::new();
    for (i, round) in part.rounds.iter().enumerate() {
        for run in &round.runs {
            let length = f64::from(run.times) * f64::from(run.stitch.makes) * length_per_stitch_factor(run.stitch.kind);
            if length <= 0.0 {
                continue;
            }
            let colour = run.colour.as_deref();
            let known = spoken.iter().find(|(name, _)| *name == colour).map(|(_, at)| *at);
            let at = known.unwrap_or_else(|| {
                let name = yarn_name(toy, colour.unwrap_or(&part.yarn));
                let at = yarns.iter().position(|y| y.name == name).unwrap_or(yarns.len());
                if at == yarns.len() {
                    yarns.push(YarnIn { name: name.to_owned(), rounds: Vec::new(), other: None });
                }
                spoken.push((colour, at));
                at
            });
            match yarns[at].rounds.last_mut() {
                Some((round, sum)) if *round == i => *sum += length,
                _ => yarns[at].rounds.push((i, length)),
            }
        }
    }
    PartYarn { yarns, rounds: part.rounds.len() }
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
    /// Length of yarn of a single crochet, mm, and its mass, g, for each yarn in it.
    pub per_stitch: Vec<(f64, f64)>,
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

    /// The same with other yarn and stuffing in the same shape: each yarn's stitch so many times as long and then so many
    /// times as heavy a length, the stuffing so many times as dense.
    pub fn rescaled(&self, yarn: &PartYarn, of_yarn: &dyn Fn(&YarnIn) -> (f64, f64), density: f64) -> PartMass {
        let factors = yarn.yarns.iter().map(of_yarn).zip(&self.per_stitch);
        let per_stitch: Vec<(f64, f64)> =
            factors.map(|((length, mass), (mm, g))| (mm * length, g * length * mass)).collect();
        let rounds_g = yarn.rounds_g(&per_stitch);
        let mut mass = PartMass {
            fabric: self.fabric.iter().zip(rounds_g).map(|(band, mass_g)| Band { mass_g, ..*band }).collect(),
            stuffing: self.stuffing.iter().map(|m| m.scaled(density)).collect(),
            per_stitch,
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
    mass.per_stitch = yarn.yarns.iter().map(|y| y.per_stitch(shape)).collect();
    mass.fabric = fabric_bands(yarn, shape, &mass.per_stitch);
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
    let fabric: Vec<MassProperties> = fabric_bands(yarn, shape, &mass.per_stitch);
    let (stuffing, _) = stuffing_bands(shape, overlap_share, overlap_centre);
    let extras = mass.extras.iter().map(|(_, e)| MassProperties::point(e.mass_g, e.centre_mm));
    fabric.into_iter().chain(stuffing).chain(extras).sum()
}

/// The fabric of each round.
fn fabric_bands<B: Kept>(yarn: &PartYarn, shape: &PartShape, per_stitch: &[(f64, f64)]) -> Vec<B> {
    let rounds = yarn.rounds_g(per_stitch).into_iter().zip(shape.nodes.windows(2));
    let band = |(grams, ends): (f64, &[Ring])| {
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

/// Most of a part's room that the one it sits on takes.
pub(super) const MOST_TAKEN: f64 = 0.95;

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
    let taken = overlap_share.clamp(0.0, MOST_TAKEN) * room;
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
            let node = match above.checked_sub(1).map(|below| (shape.nodes[below].z_mm, shape.nodes[above].z_mm)) {
                Some((from, to)) if to > from => (above - 1) as f64 + ((z - from) / (to - from)).min(1.0),
                _ => above as f64,
            };
            (node, DVec3::new(0.0, 0.0, z))
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
