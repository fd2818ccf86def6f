//! One part stuffed with other counts, again and again: what does not change is kept.

use std::f64::consts::TAU;

use glam::DVec2;

use crate::part::Part;
use crate::rounds::Start;
use crate::solid::Ring;
use crate::stuffing::{Membrane, RadiusResponses, Rest, Solved, solve};
use crate::toy::shape::{PartShape, ShapeInput, ShapeKind, offset, part_shape};

/// A stuffed part whose counts can be changed; start, finish, base, heights of its rounds and number of rounds stay.
pub(super) struct Trial {
    shape: PartShape,
    rest: Rest,
    membrane: Membrane,
    from: usize,
    /// Counts of the part as it came.
    counts: Vec<u32>,
    /// Radius per stitch, mm.
    unit_mm: f64,
    /// Its first node is the edge of the first round itself.
    chain_ring: bool,
    rings: Vec<Ring>,
    solved: Option<Solved>,
    /// Shapes solved so far.
    pub(super) solves: u32,
}

impl Trial {
    /// `None` where the part is not stuffed or cannot be solved.
    pub(super) fn new(part: &Part, input: &ShapeInput) -> Option<Trial> {
        let shape = part_shape(part, input);
        let equilibrium = shape.equilibrium()?;
        Some(Trial {
            rest: equilibrium.rest.clone(),
            membrane: equilibrium.membrane,
            from: equilibrium.from,
            counts: part.counts(),
            unit_mm: input.fabric.w_mm.value() / TAU,
            chain_ring: matches!(part.start, Start::ChainRing),
            rings: shape.nodes.clone(),
            solved: None,
            solves: 0,
            shape,
        })
    }

    /// Sets a node of the membrane, counted as the part's nodes are.
    fn set_radius(&mut self, node: usize, radius_mm: f64) {
        if let Some(r) = node.checked_sub(self.from).and_then(|i| self.rest.radius_mm.get_mut(i)) {
            *r = radius_mm;
        }
    }

    /// The outside of the part with these counts, (half width, height) of each node, mm; `None` where it has no
    /// equilibrium. The same as that of [`part_shape`] of a part with these counts, but for the straight core of an
    /// oval start, which stays as it was.
    pub(super) fn outside(&mut self, counts: &[u32]) -> Option<Vec<DVec2>> {
        let nodes = self.shape.nodes.len();
        let links = self.rest.link_mm.len();
        let mut at_rest = self.shape.rest.radius_mm.clone();
        for (i, (now, was)) in counts.iter().zip(&self.counts).enumerate() {
            at_rest[i + 1] += (f64::from(*now) - f64::from(*was)) * self.unit_mm;
        }
        if self.chain_ring {
            at_rest[0] = counts.first().map_or(at_rest[0], |n| f64::from(*n) * self.unit_mm);
        }
        for (node, radius) in at_rest.iter().enumerate() {
            self.set_radius(node, *radius);
        }
        if self.shape.rest.finish_closed && self.from + links + 1 == nodes {
            self.rest.link_mm[links - 1] = at_rest[nodes - 2];
        }
        self.solves += 1;
        let solved = solve(&self.rest, &self.membrane);
        if !solved.converged {
            self.solved = None;
            return None;
        }
        let (first, last) = (solved.radius_mm[0], solved.radius_mm[links]);
        for (i, ring) in self.rings.iter_mut().enumerate() {
            (ring.radius_mm, ring.z_mm) = match i.checked_sub(self.from) {
                None => (at_rest[i].min(first), 0.0),
                Some(k) if k <= links => (solved.radius_mm[k], solved.z_mm[k]),
                Some(_) => (at_rest[i].min(last), solved.z_mm[links]),
            };
        }
        self.solved = Some(solved);
        Some(outline_of(&offset(&self.rings, self.shape.fabric.thickness_mm() / 2.0)))
    }

    /// How the nodes of the outline last asked for move with a stitch more in each round, mm; to first order, and as if
    /// the fabric's thickness kept its direction.
    pub(super) fn answers(&self) -> Option<Vec<Vec<DVec2>>> {
        let solved = self.solved.as_ref()?;
        let mut responses = RadiusResponses::new(&self.rest, &self.membrane, solved)?;
        let (nodes, last) = (self.rings.len(), self.from + self.rest.link_mm.len());
        let closing = self.shape.rest.finish_closed && last + 1 == nodes;
        let mut moved = |node: usize| {
            let mut moves = vec![DVec2::ZERO; nodes];
            match node.checked_sub(self.from).filter(|_| node <= last) {
                None => moves[node].x = self.unit_mm,
                Some(at) => {
                    let answer = responses.of(at, closing && node + 2 == nodes);
                    let mut z = 0.0;
                    for (k, radius) in answer.d_radius.iter().enumerate() {
                        z += k.checked_sub(1).map_or(0.0, |link| answer.d_rise[link]);
                        moves[self.from + k] = self.unit_mm * DVec2::new(*radius, z);
                    }
                    let top = moves[last].y;
                    moves[last + 1..].iter_mut().for_each(|m| m.y = top);
                }
            }
            moves
        };
        let mut all: Vec<Vec<DVec2>> = (1..=self.counts.len()).map(&mut moved).collect();
        if self.chain_ring
            && let Some(first) = all.first_mut()
        {
            first.iter_mut().zip(moved(0)).for_each(|(m, more)| *m += more);
        }
        Some(all)
    }
}

fn outline_of(rings: &[Ring]) -> Vec<DVec2> {
    rings.iter().map(|r| DVec2::new(r.radius_mm + r.core_half_mm, r.z_mm)).collect()
}

/// The stuffed outline of a part as it is compared with a wanted one: outside of the fabric, (half width, height) of
/// each node in the part's own frame, mm. `None` where the part is not stuffed or has no shape.
pub fn stuffed_outline(shape: &PartShape) -> Option<Vec<DVec2>> {
    (shape.kind == ShapeKind::Stuffed && shape.converged && shape.outer.rings.len() >= 2)
        .then(|| outline_of(&shape.outer.rings))
}
