//! The toy as made: the shape, place and mass of every part.

use std::sync::Arc;

use glam::{DAffine3, DVec3};

use super::gauges::{gauge_of, other_in_part};
use super::input::shape_again;
use super::learn::{Known, fabric_of_part, fill_of_part, known, known_of_parts};
use super::necks::{Place, necks};
use super::weigh::{MOST_TAKEN, PartMass, PartYarn, YarnIn, part_mass, part_yarn};
use super::work::yarn_name;
use crate::part::Fill;
use crate::solid::overlap::overlap;
use crate::solid::{Placed, Solid};
use crate::toy::Toy;
use crate::toy::pose::{self, PiecePose};
use crate::toy::shape::{PartShape, ShapeKind};
use crate::yarn::Fabric;

/// A toy with weighed stuffing is put together again at most so often until the room it has is known this closely.
const MOST_PLACINGS: usize = 6;
const CLOSE: f64 = 1e-6;

/// Shapes, poses and masses of all parts, index for index with the toy's pieces.
#[derive(Clone, Debug, Default)]
pub struct Made {
    /// Shapes, each in its part's own frame.
    pub shapes: Vec<Arc<PartShape>>,
    /// Places in the toy's frame, the floor at z = 0.
    pub poses: Vec<PiecePose>,
    /// Yarn in one copy.
    pub yarns: Arc<Vec<PartYarn>>,
    /// Masses of one copy, each in its part's own frame.
    pub masses: Vec<PartMass>,
    /// Share of each part's room that the part it sits on takes, and around where (own frame).
    pub overlaps: Vec<(f64, DVec3)>,
}

/// The fabric of a part, with what the maker has set, weighed and measured.
pub fn fabric_of(toy: &Toy, index: usize) -> Fabric {
    fabric_of_part(toy, index, &known(toy, &toy.pieces[index].part.yarn))
}

/// The fabric of a yarn by name, likewise.
pub fn fabric_of_yarn(toy: &Toy, name: &str) -> Fabric {
    known(toy, name).fabric
}

/// The fabric of the toy's main yarn, likewise.
pub fn main_fabric(toy: &Toy) -> Fabric {
    fabric_of_yarn(toy, toy.yarns.first().map_or("", |y| y.name.as_str()))
}

/// The filling of a part, likewise.
pub fn fill_of(toy: &Toy, index: usize) -> Option<Fill> {
    fill_of_part(toy, index, &known(toy, &toy.pieces[index].part.yarn))
}

/// Works out shapes, places and masses of a toy.
pub fn make(toy: &Toy) -> Made {
    make_again(toy, &Made::default())
}

/// The same as [`make`], to the last bit, in less time: a part whose shape follows from the same rounds, yarn,
/// stuffing and seams as one of `before` takes that shape over, and where a part and the one it sits on are as
/// they were, so is the room they share.
pub fn make_again(toy: &Toy, before: &Made) -> Made {
    let known = known_of_parts(toy);
    let shapes = |own_room: &dyn Fn(usize) -> f64, known_shapes: &[Arc<PartShape>]| {
        let shape = |(i, k): (usize, &Known)| {
            let fill = fill_of_part(toy, i, k).map(|f| Fill { own_room: own_room(i), ..f });
            shape_again(toy, i, fabric_of_part(toy, i, k), fill, known_shapes)
        };
        known.iter().enumerate().map(shape).collect::<Vec<_>>()
    };
    let mut made = Made { shapes: shapes(&|_| 1.0, &before.shapes), ..Made::default() };
    made.place(toy, before);
    // A weighed filling has the room that the part below leaves it, which depends a little on its shape.
    for _ in 0..MOST_PLACINGS {
        let own_room = made.own_rooms();
        let settled =
            |(shape, own): (&Arc<PartShape>, &f64)| shape.fill.is_none_or(|f| (f.own_room - own).abs() < CLOSE);
        if made.shapes.iter().zip(&own_room).all(settled) {
            break;
        }
        let known_shapes: Vec<_> = made.shapes.iter().chain(&before.shapes).cloned().collect();
        made.shapes = shapes(&|i| own_room[i], &known_shapes);
        made.place(toy, before);
    }
    made.yarns = Arc::new(yarns(toy, &made.shapes));
    made.weigh(toy);
    made.let_flop(toy);
    made
}

/// The yarns of every part.
fn yarns(toy: &Toy, shapes: &[Arc<PartShape>]) -> Vec<PartYarn> {
    let mut all: Vec<PartYarn> = (0..toy.pieces.len()).map(|i| part_yarn(toy, i)).collect();
    let fabrics: Vec<Fabric> = shapes.iter().map(|s| s.fabric).collect();
    let mut gauges: Vec<(String, Fabric)> = Vec::new();
    for (i, (piece, yarn)) in toy.pieces.iter().zip(&mut all).enumerate() {
        let own = yarn_name(toy, &piece.part.yarn);
        for used in yarn.yarns.iter_mut().filter(|y| y.name != own) {
            let at = gauges.iter().position(|(name, _)| *name == used.name).unwrap_or_else(|| {
                gauges.push((used.name.clone(), gauge_of(toy, &fabrics, &used.name)));
                gauges.len() - 1
            });
            used.other = Some(other_in_part(toy, &fabrics, i, &gauges[at].1));
        }
    }
    all
}

impl Made {
    /// The same toy with other shapes (a small change of each): places and masses follow, overlaps keep their
    /// share.
    pub(super) fn with_shapes(&self, toy: &Toy, shapes: Vec<Arc<PartShape>>) -> Made {
        let mut made = Made { shapes, ..self.clone_places() };
        made.poses = pose::poses(toy, &made.shapes);
        // What bears is decided once: a small change must not make it jump.
        for (pose, was) in made.poses.iter_mut().zip(&self.poses) {
            (pose.firm, pose.limp, pose.bears) = (was.firm, was.limp, was.bears);
        }
        made.set_on_floor();
        made.weigh(toy);
        made
    }

    /// The same toy in the same shape, with other yarn and stuffing: a stitch of each yarn so many times as long and a
    /// length of it so many times as heavy, the stuffing of each part so many times as dense.
    pub(super) fn with_masses(
        &self,
        of_yarn: &dyn Fn(&Fabric) -> (f64, f64),
        density: &dyn Fn(&PartShape) -> f64,
    ) -> Made {
        let parts = self.masses.iter().zip(&self.shapes).zip(self.yarns.iter());
        let rescaled = |((mass, shape), yarn): ((&PartMass, &Arc<PartShape>), &PartYarn)| {
            let of_yarn = |y: &YarnIn| of_yarn(y.other.as_ref().unwrap_or(&shape.fabric));
            mass.rescaled(yarn, &of_yarn, density(shape))
        };
        let masses = parts.map(rescaled).collect();
        Made { masses, shapes: self.shapes.clone(), poses: self.poses.clone(), ..self.clone_places() }
    }

    /// The fabric of every part, then that of every other yarn worked into one.
    pub(super) fn fabrics(&self) -> impl Iterator<Item = &Fabric> {
        let others = self.yarns.iter().flat_map(|y| &y.yarns).filter_map(|y| y.other.as_ref());
        self.shapes.iter().map(|s| &s.fabric).chain(others)
    }

    /// What stays the same in every variation.
    fn clone_places(&self) -> Made {
        Made { overlaps: self.overlaps.clone(), yarns: self.yarns.clone(), ..Made::default() }
    }

    /// Sets every part in its place, on the floor, and finds the room that parts share there.
    fn place(&mut self, toy: &Toy, before: &Made) {
        self.poses = pose::poses(toy, &self.shapes);
        self.set_on_floor();
        self.overlaps = (0..toy.pieces.len())
            .map(|i| self.overlap_as_before(i, before).unwrap_or_else(|| self.overlap_with_parent(i)))
            .collect();
    }

    /// Share of each part's room that a weighed filling has to itself; of another filling only as much goes in.
    fn own_rooms(&self) -> Vec<f64> {
        let own = |(shape, (share, _)): (&Arc<PartShape>, &(f64, DVec3))| {
            if shape.fill.is_some_and(|f| f.weighed_g.is_some()) { 1.0 - share.clamp(0.0, MOST_TAKEN) } else { 1.0 }
        };
        self.shapes.iter().zip(&self.overlaps).map(own).collect()
    }

    fn weigh(&mut self, toy: &Toy) {
        let each = self.shapes.iter().zip(&self.overlaps).enumerate();
        self.masses = each
            .map(|(i, (shape, (share, centre)))| part_mass(toy, i, &self.yarns[i], shape, *share, *centre))
            .collect();
    }

    /// Outsides of all placed parts with their motions, as (part, copy, solid).
    pub fn outsides(&self) -> impl Iterator<Item = (usize, Placed<'_>)> {
        self.solids(|s| &s.outer)
    }

    fn solids<'a>(&'a self, of: impl Fn(&'a PartShape) -> &'a Solid + 'a) -> impl Iterator<Item = (usize, Placed<'a>)> {
        self.poses.iter().enumerate().flat_map(move |(i, pose)| {
            let solid = of(&self.shapes[i]);
            pose.toy_from_part.iter().map(move |m| (i, Placed { solid, toy_from_part: *m }))
        })
    }

    /// Outsides of the copies of one part with their motions.
    pub(super) fn outsides_of(&self, part: usize) -> impl Iterator<Item = Placed<'_>> {
        let solid = &self.shapes[part].outer;
        self.poses[part].toy_from_part.iter().map(move |m| Placed { solid, toy_from_part: *m })
    }

    /// Whether every part has the same shape (one and the same, not one alike) and the same places as in `other`.
    pub(super) fn is_shaped_as(&self, other: &Made) -> bool {
        let shapes = self.shapes.iter().zip(&other.shapes).all(|(a, b)| Arc::ptr_eq(a, b));
        let places = self.poses.iter().zip(&other.poses).all(|(a, b)| a.toy_from_part == b.toy_from_part);
        shapes && places && self.shapes.len() == other.shapes.len()
    }

    /// Lowers or lifts everything so that what bears touches z = 0.
    fn set_on_floor(&mut self) {
        let lowest = |only_bearing: bool| {
            let solids = self.outsides().filter(|(i, _)| !only_bearing || self.poses[*i].bears);
            solids.map(|(_, p)| -p.support_mm(DVec3::NEG_Z)).fold(f64::INFINITY, f64::min)
        };
        let mut floor = lowest(true);
        if !floor.is_finite() {
            floor = lowest(false);
        }
        if !floor.is_finite() {
            return;
        }
        let lift = DAffine3::from_translation(DVec3::new(0.0, 0.0, -floor));
        for pose in &mut self.poses {
            for motion in pose.toy_from_part.iter_mut().chain(&mut pose.toy_from_upright) {
                *motion = lift * *motion;
            }
        }
    }

    /// Parts whose seam cannot hold them in every position prop nothing up, nor does what sits on them.
    fn let_flop(&mut self, toy: &Toy) {
        for neck in necks(toy, self) {
            if matches!(neck.place, Place::Seam { .. }) && neck.joint.nod_deg().is_some() {
                self.poses[neck.part].limp = true;
            }
        }
        if !self.poses.iter().any(|p| p.limp) {
            return;
        }
        for index in 0..self.poses.len() {
            let limp = self.and_what_carries(index).any(|part| self.poses[part].limp);
            self.poses[index].bears &= !limp;
        }
        self.set_on_floor();
    }

    /// A part, the one it sits on, and so on down.
    pub fn and_what_carries(&self, part: usize) -> impl Iterator<Item = usize> {
        std::iter::successors(Some(part), |p| self.poses[*p].parent).take(self.poses.len())
    }

    /// Which parts prop the toy up where it has been dropped: what bears, and what hangs by a limp seam but outweighs
    /// the rest. A heavy head on a weak neck is no ear: it is the body then that gives way.
    pub fn props_when_dropped(&self) -> Vec<bool> {
        let mut carried_g = vec![0.0; self.poses.len()];
        let mut total_g = 0.0;
        for (i, pose) in self.poses.iter().enumerate() {
            let mass_g = pose.toy_from_part.len() as f64 * self.masses[i].whole.mass_g;
            total_g += mass_g;
            self.and_what_carries(i).for_each(|part| carried_g[part] += mass_g);
        }
        let gives_way = |(pose, carried_g): (&PiecePose, f64)| {
            // Each copy hangs on a seam of its own.
            let each_g = carried_g / pose.toy_from_part.len().max(1) as f64;
            pose.limp && each_g <= total_g - each_g
        };
        let gives_way: Vec<bool> = self.poses.iter().zip(carried_g).map(gives_way).collect();
        let props = |i: usize| self.poses[i].firm && !self.and_what_carries(i).any(|part| gives_way[part]);
        (0..self.poses.len()).map(props).collect()
    }

    /// The overlap of a part and the one it sits on in another toy, where both have the same shape and place there.
    fn overlap_as_before(&self, index: usize, before: &Made) -> Option<(f64, DVec3)> {
        let same = |i: usize| {
            let shape = before.shapes.get(i).is_some_and(|s| Arc::ptr_eq(s, &self.shapes[i]));
            shape && before.poses[i].toy_from_part.first() == self.poses[i].toy_from_part.first()
        };
        let parent = self.poses[index].parent;
        let together = same(index) && before.poses[index].parent == parent && parent.is_none_or(same);
        if together { before.overlaps.get(index).copied() } else { None }
    }

    /// Share of a part's filled room inside the filled room of the part it sits on, and its middle in the part's own frame.
    fn overlap_with_parent(&self, index: usize) -> (f64, DVec3) {
        let none = (0.0, DVec3::ZERO);
        let (Some(parent), Some(motion)) = (self.poses[index].parent, self.poses[index].toy_from_part.first()) else {
            return none;
        };
        let (shape, onto) = (&self.shapes[index], &self.shapes[parent]);
        let Some(parent_motion) = self.poses[parent].toy_from_part.first() else { return none };
        if shape.kind != ShapeKind::Stuffed || onto.kind != ShapeKind::Stuffed {
            return none;
        }
        // Rounds that are left empty share no stuffing.
        let (own, other) = (shape.filled_inside(), onto.filled_inside());
        let own = Placed { solid: &own, toy_from_part: *motion };
        let other = Placed { solid: &other, toy_from_part: *parent_motion };
        let shared = overlap(&own, &other);
        let room = shape.filled_volume_mm3();
        if room <= 0.0 || shared.volume_mm3 <= 0.0 {
            return none;
        }
        (shared.volume_mm3 / room, motion.inverse().transform_point3(shared.centre_mm))
    }

    /// Pressure of the stuffing at a node of a part, kPa; 0 where it is empty.
    pub fn pressure_at_kpa(&self, index: usize, node: f64) -> f64 {
        let shape = &self.shapes[index];
        match shape.fill {
            Some(fill) if node <= shape.filled_links as f64 + 0.5 => fill.pressure_kpa.value(),
            _ => 0.0,
        }
    }
}
