//! The figures of a toy as plain numbers in one fixed order, so that their spread can be worked out for all at
//! once, and their way back into the report.

use std::ops::Add;

use glam::DVec3;

use super::carried::Carried;
use super::made::Made;
use super::necks::{Place, neck_at};
use super::report::SizeMm;
use super::weigh::placed;
use crate::figure::Figure;
use crate::part::End;
use crate::solid::{Placed, Solid};
use crate::toy::Toy;

/// The head of a toy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Head {
    /// A part, with all that sits on it.
    Part(usize),
    /// What lies beyond the neck of a part worked in one with the body.
    Beyond {
        /// The part.
        part: usize,
        /// The node of the neck.
        node: usize,
    },
}

impl Head {
    /// The part that has it.
    pub(super) fn part(self) -> usize {
        match self {
            Head::Part(part) | Head::Beyond { part, .. } => part,
        }
    }
}

/// Load shares above this say no more than that the joint holds.
const MOST_SHARE: f64 = 1e4;

/// What the list of numbers is about; the same for a toy and for its small variations.
#[derive(Clone, Debug, Default)]
pub(super) struct Layout {
    /// What is taken for the head.
    pub head: Option<Head>,
    /// The joints.
    pub joints: Vec<(usize, Place)>,
    /// Names of the yarns used, the toy's own first.
    pub yarns: Vec<String>,
}

/// Figures of one part.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PartFigures {
    pub widest_mm: Figure,
    pub length_mm: Figure,
    pub stuffed_widest_mm: Figure,
    pub stuffed_length_mm: Figure,
    pub volume_ml: Figure,
    pub fabric_g: Figure,
    pub stuffing_g: Figure,
    pub yarn_m: Figure,
    pub density_g_per_l: Figure,
    pub pressure_kpa: Figure,
}

/// All figures that have a spread.
#[derive(Clone, Debug, Default)]
pub(super) struct Figures {
    pub size_mm: SizeMm,
    pub mass_g: Figure,
    pub head_to_body: Figure,
    pub heads_tall: Figure,
    pub parts: Vec<PartFigures>,
    /// Radius and load share of each joint.
    pub joints: Vec<(Figure, Figure)>,
    /// Metres and grams of each yarn.
    pub yarns: Vec<(Figure, Figure)>,
}

/// Lengths of the box around everything placed, mm. What is too limp to stand on folds away at the floor.
fn size(made: &Made) -> DVec3 {
    let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    let on_floor = made.poses.iter().any(|p| p.bears);
    for (part, solid) in made.outsides() {
        let folds = on_floor && made.and_what_carries(part).any(|i| made.poses[i].limp);
        let floor_mm = if folds { 0.0 } else { f64::NEG_INFINITY };
        high = high.max(DVec3::new(solid.support_mm(DVec3::X), solid.support_mm(DVec3::Y), solid.support_mm(DVec3::Z)));
        low = low.min(-DVec3::new(
            solid.support_mm(DVec3::NEG_X),
            solid.support_mm(DVec3::NEG_Y),
            solid.support_mm(DVec3::NEG_Z).min(-floor_mm),
        ));
    }
    if high.cmpge(low).all() { high - low } else { DVec3::ZERO }
}

/// Mass of the head with all it carries, g, and its own height without what it carries, mm.
fn head_figures(made: &Made, carried: &Carried, head: Head) -> (f64, f64) {
    let (part, beyond_node) = match head {
        Head::Part(part) => (part, None),
        Head::Beyond { part, node } => (part, Some(node)),
    };
    let pose = &made.poses[part];
    let rings = &made.shapes[part].outer.rings;
    let rings = match (beyond_node, pose.by) {
        (None, _) => rings.as_slice(),
        (Some(node), End::Start) => &rings[node.min(rings.len())..],
        (Some(node), End::Finish) => &rings[..(node + 1).min(rings.len())],
    };
    let solid = Solid { rings: rings.to_vec() };
    let (mut mass, mut height) = (0.0, 0.0_f64);
    for (copy, motion) in pose.toy_from_part.iter().enumerate() {
        mass += match beyond_node {
            None => carried.with(part, copy).mass_g,
            Some(node) => carried.beyond(part, copy, node as f64).mass_g,
        };
        let placed = Placed { solid: &solid, toy_from_part: *motion };
        height = height.max(placed.support_mm(DVec3::Z) + placed.support_mm(DVec3::NEG_Z));
    }
    (mass, if height.is_finite() { height } else { 0.0 })
}

/// Where in the list of [`numbers`] the toy's height is.
pub(super) const HEIGHT: usize = 2;
/// Where its mass is.
pub(super) const MASS: usize = 3;

/// Numbers of the toy as a whole, which come first, and of each part after them.
const OF_TOY: usize = 6;
const OF_PART: usize = 10;

/// Where the load share of a joint is.
pub(super) fn load_share_at(toy: &Toy, joint: usize) -> usize {
    OF_TOY + OF_PART * toy.pieces.len() + 2 * joint + 1
}

/// Where the grams of a yarn are.
pub(super) fn grams_at(toy: &Toy, layout: &Layout, yarn: usize) -> usize {
    OF_TOY + OF_PART * toy.pieces.len() + 2 * layout.joints.len() + 2 * yarn + 1
}

/// The numbers, in the order in which [`read`] takes them.
pub(super) fn numbers(toy: &Toy, made: &Made, layout: &Layout) -> Vec<f64> {
    let pairs = layout.joints.len() + layout.yarns.len();
    let mut out = Vec::with_capacity(OF_TOY + OF_PART * toy.pieces.len() + 2 * pairs);
    let size = size(made);
    let carried = Carried::of(made);
    out.extend(size.to_array());
    let copies = |i: usize| f64::from(toy.copies_of(i));
    out.push((0..toy.pieces.len()).map(|i| made.masses[i].whole.mass_g * copies(i)).fold(0.0, f64::add));
    let (mut ratio, mut tall) = (0.0, 0.0);
    if let Some(head) = layout.head {
        let (mass, height) = head_figures(made, &carried, head);
        let rest = placed(&made.poses, &made.masses).mass_g - mass;
        ratio = if rest > 0.0 { mass / rest } else { 0.0 };
        tall = if height > 0.0 { size.z / height } else { 0.0 };
    }
    out.extend([ratio, tall]);
    for (shape, (mass, yarn)) in made.shapes.iter().zip(made.masses.iter().zip(made.yarns.iter())) {
        out.extend([
            shape.widest_mm(),
            shape.length_mm(),
            shape.middle_widest_mm(),
            shape.middle_length_mm(),
            mass.volume_mm3 * 1e-3,
            mass.fabric_g(),
            mass.stuffing_g(),
            yarn.yarns.iter().zip(&mass.per_stitch).map(|(y, (mm, _))| y.stitches() * mm * 1e-3).fold(0.0, f64::add),
            if mass.volume_mm3 > 0.0 { mass.stuffing_g() * 1e6 / mass.volume_mm3 } else { 0.0 },
            shape.fill.map_or(0.0, |f| f.pressure_kpa.value()),
        ]);
    }
    for (part, place) in &layout.joints {
        let joint = neck_at(toy, made, &carried, *part, *place, 0).map(|n| n.joint);
        out.push(joint.map_or(0.0, |j| j.section.radius_mm));
        // A joint whose load hangs straight below or above it bears without end; a number must stay one.
        out.push(joint.map_or(0.0, |j| j.load_share().min(MOST_SHARE)));
    }
    for name in &layout.yarns {
        let mut sum = (0.0, 0.0);
        for (i, mass) in made.masses.iter().enumerate() {
            let yarns = made.yarns[i].yarns.iter().zip(&mass.per_stitch);
            for (yarn, (mm, grams)) in yarns.filter(|(yarn, _)| yarn.name == *name) {
                let stitches = yarn.stitches() * copies(i);
                sum = (sum.0 + stitches * mm * 1e-3, sum.1 + stitches * grams);
            }
        }
        out.extend([sum.0, sum.1]);
    }
    out
}

/// The figures from the list in the order of [`numbers`].
pub(super) fn read(list: &[Figure], toy: &Toy, layout: &Layout) -> Figures {
    let mut rest = list.iter().copied();
    let mut next = || rest.next().unwrap_or_default();
    let mut figures = Figures { size_mm: SizeMm { x: next(), y: next(), z: next() }, ..Figures::default() };
    figures.mass_g = next();
    figures.head_to_body = next();
    figures.heads_tall = next();
    for _ in 0..toy.pieces.len() {
        figures.parts.push(PartFigures {
            widest_mm: next(),
            length_mm: next(),
            stuffed_widest_mm: next(),
            stuffed_length_mm: next(),
            volume_ml: next(),
            fabric_g: next(),
            stuffing_g: next(),
            yarn_m: next(),
            density_g_per_l: next(),
            pressure_kpa: next(),
        });
    }
    figures.joints = layout.joints.iter().map(|_| (next(), next())).collect();
    figures.yarns = layout.yarns.iter().map(|_| (next(), next())).collect();
    figures
}
