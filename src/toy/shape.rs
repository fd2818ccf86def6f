//! The shape of every part: stuffed by the membrane model, or flat, or as the fabric stands by itself.

mod vary;

use std::sync::{Arc, OnceLock};

use glam::DVec2;

use crate::figure::{Assumed, Figure, Origin};
use crate::part::{BaseFlat, End, Fill, Part, PartRest, filling_pressure_kpa, rest_shape};
use crate::rounds::{Finish, Start};
use crate::solid::mass::frustum_volume_mm3;
use crate::solid::{Ring, Solid};
use crate::stuffing::{
    Change, Edge, LOWEST_LOAD, Membrane, Response, Rest, Solved, response, solve, solve_weighed, stuffed_volume_mm3,
};
use crate::yarn::Fabric;

pub use vary::Cause;

/// Pressure on rounds that are left empty, as a share of the stuffing's: what leaks through from below (from
/// memory; a default).
const EMPTY_SHARE: f64 = 0.05;
/// Stiffness of gathered fabric against stretched (from memory; a default, spread a factor of 2).
pub const COMPRESSION_SHARE: f64 = 0.02;

/// How a part keeps its shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShapeKind {
    /// Filled.
    Stuffed,
    /// Empty and pressed flat: two layers.
    FoldedFlat,
    /// Empty, a flat disc of one layer.
    Disc,
    /// Empty and open: a cap or skirt that stands as its fabric does.
    Open,
}

/// The shape of one part, in its own frame: z along the axis from start to finish.
#[derive(Clone, Debug)]
pub struct PartShape {
    /// How it keeps its shape.
    pub kind: ShapeKind,
    /// The fabric it is worked in.
    pub fabric: Fabric,
    /// The fabric at rest.
    pub rest: PartRest,
    /// Middle of the fabric, a ring for each node. Of a part that is folded flat, `radius_mm` is half its width.
    pub nodes: Vec<Ring>,
    /// Outside of the fabric, a ring for each node.
    pub outer: Solid,
    /// Inside of the fabric, which the stuffing fills, a ring for each node.
    pub inner: Solid,
    /// Heights of the nodes before stuffing, mm.
    pub before_stuffing_z_mm: Vec<f64>,
    /// Stretch around, per node; negative where the fabric gathers.
    pub stretch_around: Vec<f64>,
    /// Stretch along, per link.
    pub stretch_along: Vec<f64>,
    /// The filling, where it has one.
    pub fill: Option<Fill>,
    /// Last link that is filled, counted from 1; every link where not said.
    pub filled_links: usize,
    /// The flat base, where there is one.
    pub flat: Option<BaseFlat>,
    /// More stuffing than the fabric can hold at this density.
    pub overstuffed: bool,
    /// The solver found the equilibrium. Where not, the shape is the one before stuffing.
    pub converged: bool,
    stuffed: Option<Arc<Solution>>,
    /// What it was worked out from; absent for a small variation of a shape.
    made_from: Option<Arc<(Part, ShapeInput)>>,
}

/// An equilibrium, kept for the answers to small changes.
#[derive(Clone, Debug)]
struct Solution {
    rest: Rest,
    membrane: Membrane,
    solved: Solved,
    /// Node of the part at which the solved nodes begin.
    from: usize,
    /// The load stays where it is, whatever presses: at the most that the fabric holds, or at the least that is solved.
    load_stays: bool,
    /// Answers to small changes of load, links and compression share, once they have been asked for.
    answers: [OnceLock<Response>; 3],
    /// Change of the logarithm of the room for stuffing with that of the load, likewise.
    room_by_load: OnceLock<f64>,
}

impl Solution {
    fn answer(&self, change: Change) -> &Response {
        let slot = match change {
            Change::Load => 0,
            Change::Links => 1,
            Change::CompressionShare => 2,
        };
        self.answers[slot].get_or_init(|| response(&self.rest, &self.membrane, &self.solved, change))
    }
}

/// What a stuffed part was solved from, and its solution.
#[derive(Clone, Copy, Debug)]
pub struct Equilibrium<'a> {
    /// The membrane at rest: the part without the nodes of its flat base but for the edge.
    pub rest: &'a Rest,
    /// The fabric and what pushes on it.
    pub membrane: Membrane,
    /// The solution.
    pub solved: &'a Solved,
    /// Node of the part that is the first of `rest`.
    pub from: usize,
}

/// What covers the ends of a part, which decides whether its rims hold their size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Covered {
    /// The start is sewn or joined to something.
    pub start: bool,
    /// The finish is sewn or joined to something.
    pub finish: bool,
    /// It is fixed folded flat.
    pub folded: bool,
}

/// Everything a part's shape follows from, besides the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShapeInput {
    /// The fabric.
    pub fabric: Fabric,
    /// Its stiffness, N/m.
    pub stiffness_n_per_m: f64,
    /// The filling.
    pub fill: Option<Fill>,
    /// What covers its ends.
    pub covered: Covered,
    /// Length between the axes of the outer parts of a joined start, mm.
    pub joined_core_mm: f64,
}

/// The shape of a part. Never fails: a part without rounds has no nodes, one that cannot be solved keeps the
/// shape before stuffing and says so.
pub fn part_shape(part: &Part, input: &ShapeInput) -> PartShape {
    let rest = rest_shape(part, &input.fabric, input.joined_core_mm);
    let mut shape = PartShape {
        kind: ShapeKind::Open,
        fabric: input.fabric,
        nodes: Vec::new(),
        outer: Solid::default(),
        inner: Solid::default(),
        before_stuffing_z_mm: Vec::new(),
        stretch_around: vec![0.0; rest.radius_mm.len()],
        stretch_along: vec![0.0; rest.link_mm.len()],
        fill: input.fill,
        filled_links: part.stuffing.up_to_round.map_or(usize::MAX, |r| r as usize).min(rest.link_mm.len()),
        flat: rest.flat,
        overstuffed: false,
        converged: true,
        stuffed: None,
        made_from: Some(Arc::new((part.clone(), *input))),
        rest,
    };
    if shape.rest.radius_mm.len() < 2 {
        return shape;
    }
    shape.before_stuffing_z_mm = plain_heights(&shape.rest, 1.0);
    if shape.filled_links == 0 {
        shape.fill = None;
    }
    match shape.fill {
        Some(fill) => stuff(&mut shape, part, input, fill),
        None => empty(&mut shape, part, input),
    }
    shape.skin();
    shape
}

/// Heights of the plain revolved surface with all links `height` times as long, links that cannot reach lying
/// flat.
fn plain_heights(rest: &PartRest, height: f64) -> Vec<f64> {
    let mut z = Vec::with_capacity(rest.radius_mm.len());
    z.push(0.0);
    for (i, link) in rest.link_mm.iter().enumerate() {
        let link = link * height;
        let step = rest.radius_mm[i + 1] - rest.radius_mm[i];
        z.push(z[i] + (link * link - step * step).max(0.0).sqrt());
    }
    z
}

fn stuff(shape: &mut PartShape, part: &Part, input: &ShapeInput, fill: Fill) {
    shape.kind = ShapeKind::Stuffed;
    let nodes = shape.rest.radius_mm.len();
    // A flat base is a lid: its edge is held, and only the rest of the part is a membrane.
    let (from, to) = match shape.flat {
        Some(BaseFlat { end: End::Start, edge_node, .. }) => (edge_node, nodes - 1),
        Some(BaseFlat { end: End::Finish, edge_node, .. }) => (0, edge_node),
        None => (0, nodes - 1),
    };
    let share = (from..to).map(|link| if link < shape.filled_links { 1.0 } else { EMPTY_SHARE }).collect();
    let joined = matches!(part.start, Start::JoinedParts { .. } | Start::Rim { .. });
    let first = match from {
        0 if shape.rest.starts_at_pole() => Edge::Pole,
        0 if !(shape.rest.start_closed || input.covered.start || joined) => Edge::Free,
        _ => Edge::Held,
    };
    let last = if to + 1 == nodes && shape.rest.finish_closed {
        Edge::Pole
    } else if to + 1 == nodes && !input.covered.finish && part.finish != Finish::FoldedFlat {
        Edge::Free
    } else {
        Edge::Held
    };
    let stiffness = input.stiffness_n_per_m.max(1e-6);
    // Stuffing too loose to press leaves the fabric slack: it is solved at the lowest load that has a shape.
    let widest = shape.rest.radius_mm.iter().copied().fold(1e-9, f64::max);
    let membrane = |pressure_kpa: f64| Membrane {
        load_per_mm: (pressure_kpa / stiffness).max(LOWEST_LOAD / widest),
        compression_share: COMPRESSION_SHARE,
    };
    let rest =
        Rest::new(shape.rest.radius_mm[from..=to].to_vec(), shape.rest.link_mm[from..to].to_vec(), share, first, last);
    let Ok(rest) = rest else {
        shape.converged = false;
        shape.as_fabric_stands();
        return;
    };
    let usual = membrane(fill.pressure_kpa.value());
    let solved = solve(&rest, &usual);
    let load_stays = solved.overstuffed;
    let mut solved = Solution {
        membrane: usual,
        solved,
        rest,
        from,
        load_stays,
        answers: Default::default(),
        room_by_load: OnceLock::new(),
    };
    shape.take(&solved);
    if let Some(grams) = fill.weighed_by() {
        // The fabric's own thickness takes from the room that the filling has, and so may another part; their shares of the
        // room hardly move with the pressure, so that of a first solve does.
        let room =
            fill.own_room * shape.filled_volume_mm3() / stuffed_volume_mm3(&solved.rest, &solved.solved).max(1e-9);
        let density = |volume_mm3: f64| grams * 1e6 / (volume_mm3 * room).max(1e-9);
        let load = |volume_mm3: f64| filling_pressure_kpa(density(volume_mm3)) / stiffness;
        let weighed = solve_weighed(&solved.rest, COMPRESSION_SHARE, load);
        solved.load_stays = weighed.slack || weighed.solved.overstuffed;
        solved.solved = weighed.solved;
        shape.take(&solved);
    }
    let room_mm3 = fill.own_room * shape.filled_volume_mm3();
    shape.fill = Some(fill_as_solved(fill, room_mm3, &solved.solved, stiffness));
    shape.overstuffed = solved.solved.overstuffed;
    shape.converged = solved.solved.converged;
    shape.stuffed = Some(Arc::new(solved));
}

/// The filling of a solved part: a weighed one as dense as its room makes it; under the pressure at which the part was
/// solved, where that is not the one that was asked for.
fn fill_as_solved(fill: Fill, room_mm3: f64, solved: &Solved, stiffness_n_per_m: f64) -> Fill {
    let mut fill = fill;
    let solved_kpa = solved.load_per_mm * stiffness_n_per_m;
    if let Some(grams) = fill.weighed_g {
        let spread = fill.density_g_per_l.figure.log_spread().exp();
        fill.density_g_per_l = Assumed::new(grams * 1e6 / room_mm3.max(1e-9), spread, Origin::Measured);
    }
    if fill.weighed_by().is_some() {
        fill.pressure_kpa = Assumed::new(solved_kpa, PRESSURE_OF_WEIGHED, Origin::Estimate);
    } else if solved.converged && solved.overstuffed {
        let spread = fill.pressure_kpa.figure.log_spread().exp();
        fill.pressure_kpa = Assumed::new(solved_kpa, spread, Origin::Estimate);
    }
    fill
}

/// Weighing the stuffing leaves the law's own constants uncertain: two times either way (from memory; a default).
pub(crate) const PRESSURE_OF_WEIGHED: f64 = 2.0;

fn empty(shape: &mut PartShape, part: &Part, input: &ShapeInput) {
    let counts = part.counts();
    let last = counts.last().copied().unwrap_or(0);
    let widest = counts.iter().copied().max().unwrap_or(0);
    let open = part.finish == Finish::Open && last == widest && part.start_is_closed();
    let grows = |share: f64| {
        let steps = counts.windows(2).zip(&part.rounds[1..]);
        counts.len() > 1
            && steps.clone().all(|(c, r)| f64::from(c[1]) - f64::from(c[0]) >= share * 6.0 * r.height_in_single())
    };
    if open && grows(0.75) && !input.covered.folded {
        shape.kind = ShapeKind::Disc;
        shape.lie_flat();
    } else if (open || (!part.start_is_closed() && !part.closes())) && !input.covered.folded {
        shape.kind = ShapeKind::Open;
        shape.as_fabric_stands();
    } else {
        shape.kind = ShapeKind::FoldedFlat;
        shape.fold();
    }
}

impl PartShape {
    /// Whether it is what [`part_shape`] gives for this part and input.
    pub fn is_of(&self, part: &Part, input: &ShapeInput) -> bool {
        self.made_from.as_deref().is_some_and(|(p, i)| i == input && p == part)
    }

    /// Sets the middle of the fabric from a solution.
    fn take(&mut self, solution: &Solution) {
        let Solution { solved, from, .. } = solution;
        self.set_middle(*from, &solved.radius_mm, &solved.z_mm);
        for (&around, node) in solved.hoop.iter().zip(*from..) {
            self.stretch_around[node] = around;
        }
        for (&along, link) in solved.along.iter().zip(*from..) {
            self.stretch_along[link] = along;
        }
        self.skin();
    }

    /// Sets the nodes from the solved ones, which begin at node `from`; a flat base fills up the rest.
    fn set_middle(&mut self, from: usize, radius_mm: &[f64], z_mm: &[f64]) {
        let nodes = self.rest.radius_mm.len();
        let (Some(&first), Some(&last), Some(&top)) = (radius_mm.first(), radius_mm.last(), z_mm.last()) else {
            return;
        };
        self.nodes = (0..nodes)
            .map(|i| {
                let (radius, z_mm) = match i.checked_sub(from) {
                    None => (self.rest.radius_mm[i].min(first), 0.0),
                    Some(k) if k < radius_mm.len() => (radius_mm[k], z_mm[k]),
                    Some(_) => (self.rest.radius_mm[i].min(last), top),
                };
                Ring { z_mm, radius_mm: radius, core_half_mm: self.rest.core_half_mm[i] }
            })
            .collect();
    }

    /// The plain revolved surface.
    fn as_fabric_stands(&mut self) {
        let radius = self.rest.radius_mm.clone();
        let z = self.before_stuffing_z_mm.clone();
        self.set_middle(0, &radius, &z);
    }

    /// One layer, flat: each round lies outside the one before, about the chain of an oval.
    fn lie_flat(&mut self) {
        let mut ring = Ring { z_mm: 0.0, radius_mm: self.rest.radius_mm[0], core_half_mm: self.rest.core_half_mm[0] };
        self.nodes = vec![ring];
        for link in &self.rest.link_mm {
            ring.radius_mm += link;
            self.nodes.push(ring);
        }
    }

    /// Two layers, flat: half as wide as the round is long, as long as the rounds are high.
    fn fold(&mut self) {
        let mut z_mm = 0.0;
        let half = |i: usize| std::f64::consts::FRAC_PI_2 * self.rest.radius_mm[i] + self.rest.core_half_mm[i];
        let mut nodes = vec![Ring { z_mm, radius_mm: 0.0, core_half_mm: half(0) }];
        for (i, link) in self.rest.link_mm.iter().enumerate() {
            z_mm += link;
            nodes.push(Ring { z_mm, radius_mm: 0.0, core_half_mm: half(i + 1) });
        }
        self.nodes = nodes;
    }

    /// Outside and inside of the fabric from its middle.
    pub(super) fn skin(&mut self) {
        let half = self.fabric.thickness_mm() / 2.0;
        match self.kind {
            ShapeKind::Stuffed | ShapeKind::Open => {
                let outward = outward(&self.nodes);
                self.outer.rings = moved(&self.nodes, &outward, half);
                self.inner.rings = moved(&self.nodes, &outward, -half);
            }
            ShapeKind::FoldedFlat => {
                let thick = |r: &Ring| Ring { radius_mm: 2.0 * half, ..*r };
                self.outer.rings = self.nodes.iter().map(thick).collect();
                self.inner.rings = self.nodes.clone();
            }
            ShapeKind::Disc => {
                let side = |i: usize| if i == 0 { -half } else { half };
                let thick = |(i, r): (usize, &Ring)| Ring { z_mm: r.z_mm + side(i), ..*r };
                self.outer.rings = self.nodes.iter().enumerate().map(thick).collect();
                self.inner.rings = self.nodes.clone();
            }
        }
    }

    /// The equilibrium of a stuffed part; `None` where it is not stuffed.
    pub fn equilibrium(&self) -> Option<Equilibrium<'_>> {
        let solution = self.stuffed.as_deref()?;
        let Solution { rest, membrane, solved, from, .. } = solution;
        // The load of a weighed filling follows from the shape itself.
        let weighed = self.fill.is_some_and(|f| f.weighed_by().is_some());
        let load_per_mm = if weighed { solved.load_per_mm } else { membrane.load_per_mm };
        Some(Equilibrium { rest, membrane: Membrane { load_per_mm, ..*membrane }, solved, from: *from })
    }

    /// Room for stuffing in the filled rounds, mm³; 0 for an empty part.
    pub fn filled_volume_mm3(&self) -> f64 {
        if self.fill.is_none() {
            return 0.0;
        }
        let bands = self.inner.rings.windows(2).take(self.filled_links);
        bands.map(|b| frustum_volume_mm3(b[0], b[1])).sum()
    }

    /// Inside of the fabric of the filled rounds.
    pub fn filled_inside(&self) -> Solid {
        let end = self.filled_links.saturating_add(1).min(self.inner.rings.len());
        Solid { rings: self.inner.rings[..end].to_vec() }
    }

    /// Greatest width of the outside, mm.
    pub fn widest_mm(&self) -> f64 {
        widest(&self.outer.rings)
    }

    /// Greatest width of the middle of the fabric, mm.
    pub fn middle_widest_mm(&self) -> f64 {
        widest(&self.nodes)
    }

    /// Length of the outside along the axis, mm.
    pub fn length_mm(&self) -> f64 {
        length(&self.outer.rings)
    }

    /// Length of the middle of the fabric along the axis, mm.
    pub fn middle_length_mm(&self) -> f64 {
        length(&self.nodes)
    }

    /// Length of the plain revolved surface, mm. Rounds that lie flat make it jump with the height of a round, so
    /// its range is that of the lowest and highest rounds.
    pub fn before_stuffing_length_mm(&self) -> Figure {
        let length = |height: f64| plain_heights(&self.rest, height).last().copied().unwrap_or(0.0);
        let value = length(1.0);
        let (wide, high) = (self.fabric.w_mm.figure, self.fabric.height_to_width.figure);
        let part = |of: f64, at: f64| if of > 0.0 { at / of } else { 1.0 };
        let low = (value - length(part(high.value, high.low))).hypot(value * (1.0 - part(wide.value, wide.low)));
        let more = (length(part(high.value, high.high)) - value).hypot(value * (part(wide.value, wide.high) - 1.0));
        Figure { value, low: (value - low).max(0.0), high: value + more }
    }
}

fn widest(rings: &[Ring]) -> f64 {
    2.0 * rings.iter().map(|r| r.radius_mm + r.core_half_mm).fold(0.0, f64::max)
}

fn length(rings: &[Ring]) -> f64 {
    match (rings.first(), rings.last()) {
        (Some(first), Some(last)) => last.z_mm - first.z_mm,
        _ => 0.0,
    }
}

/// The rings moved outward by `by_mm` along the profile's normal (inward where negative), mitred at edges so
/// that both faces keep their distance; heights stay in order and radii above 0.
pub(crate) fn offset(rings: &[Ring], by_mm: f64) -> Vec<Ring> {
    moved(rings, &outward(rings), by_mm)
}

/// How each ring moves where both faces of its edges move outward by 1.
fn outward(rings: &[Ring]) -> Vec<DVec2> {
    let wide = |r: &Ring| r.radius_mm + r.core_half_mm;
    let normal = |a: &Ring, b: &Ring| {
        let step = DVec2::new(wide(b) - wide(a), b.z_mm - a.z_mm);
        DVec2::new(step.y, -step.x).try_normalize()
    };
    let mut before = None;
    let mut out = Vec::with_capacity(rings.len());
    for (i, ring) in rings.iter().enumerate() {
        let after = rings.get(i + 1).and_then(|next| normal(ring, next));
        let at_pole = ring.radius_mm <= 1e-9 && ring.core_half_mm <= 1e-9;
        out.push(if at_pole {
            if i == 0 { DVec2::NEG_Y } else { DVec2::Y }
        } else {
            match (before, after) {
                (Some(a), Some(b)) => {
                    let middle = (a + b).try_normalize().unwrap_or(b);
                    middle / middle.dot(b).max(0.67)
                }
                (Some(a), None) | (None, Some(a)) => a,
                (None, None) => DVec2::X,
            }
        });
        before = after;
    }
    out
}

/// The rings moved by so many times their way outward.
fn moved(rings: &[Ring], outward: &[DVec2], by_mm: f64) -> Vec<Ring> {
    let mut below: Option<f64> = None;
    let ring = |(ring, out): (&Ring, &DVec2)| {
        let z_mm = ring.z_mm + by_mm * out.y;
        let z_mm = below.map_or(z_mm, |below| z_mm.max(below));
        below = Some(z_mm);
        Ring { z_mm, radius_mm: (ring.radius_mm + by_mm * out.x).max(0.0), ..*ring }
    };
    rings.iter().zip(outward).map(ring).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rounds::rounds_of_counts;
    use crate::yarn::{Yarn, fabric};

    /// Follows from geometry: a chain of 20 stitches of 5 mm with three rounds of 100/21 mm about it lies flat as long as
    /// the chain and six rounds, and as wide as six rounds.
    #[test]
    fn a_flat_oval_keeps_the_length_of_its_chain() {
        let yarn = Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.0), ..Yarn::default() };
        let part = Part {
            rounds: rounds_of_counts(&[46, 52, 58]).expect("counts above zero"),
            start: Start::ChainOval { chain: 20 },
            finish: Finish::Open,
            ..Part::default()
        };
        let covered = Covered::default();
        let fabric = fabric(&yarn);
        let input = ShapeInput { fabric, stiffness_n_per_m: 1200.0, fill: None, covered, joined_core_mm: 0.0 };
        let shape = part_shape(&part, &input);
        assert_eq!(shape.kind, ShapeKind::Disc);
        let rounds_mm = 6.0 * 100.0 / 21.0;
        assert!((shape.widest_mm() - (100.0 + rounds_mm)).abs() < 1e-9, "{}", shape.widest_mm());
        assert!((2.0 * shape.outer.rings[3].radius_mm - rounds_mm).abs() < 1e-9);
        // A part varied a little is laid flat anew.
        let wider = shape.varied(&[(Cause::Width, 0.1)]);
        assert!((wider.widest_mm() / shape.widest_mm() - 0.1_f64.exp()).abs() < 1e-9);
    }
}
