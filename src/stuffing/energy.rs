//! The energy of a part as a function of its radii: value, gradient, Hessian, in one pass.
//!
//! All in units of 2πK, so a link's energy is ½·R̄·ℓ·e², a node's ½·s·R·t·ε², and a link's share of −p·V is
//! −G·q·d with G = (p/K)·fill/6.

use super::rest::{Edge, Rest};
use super::rise::Rises;
use std::ops::Range;

/// What does not change while a part is solved, of one link.
#[derive(Clone, Copy)]
pub(super) struct Link {
    /// Rest length ℓ, mm.
    pub(super) length: f64,
    /// Mean rest radius R̄ of its ends, mm.
    pub(super) mean_radius: f64,
    /// Pressure factor G = (p/K)·fill/6, 1/mm.
    pub(super) push: f64,
    /// 1/ℓ, 1/mm.
    over_length: f64,
    /// R̄/ℓ.
    stiff: f64,
    /// G/R̄, 1/mm².
    push_over_radius: f64,
}

/// One link's energy at radii r₀, r₁ and rise d, and its derivatives.
pub(super) struct LinkTerms {
    /// Energy of the stretched fabric.
    pub(super) strain: f64,
    /// What the pressure has done, p·V, which counts against it.
    pub(super) work: f64,
    /// Stretch e.
    pub(super) along: f64,
    /// ∂/∂r₀, ∂/∂r₁, ∂/∂d.
    pub(super) slope: [f64; 3],
    /// ∂²/∂r₀², ∂²/∂r₀∂r₁, ∂²/∂r₁².
    pub(super) radial: [f64; 3],
    /// ∂²/∂r₀∂d, ∂²/∂r₁∂d, ∂²/∂d².
    pub(super) mixed: [f64; 3],
}

impl Link {
    fn new(length: f64, mean_radius: f64) -> Self {
        let (over_length, stiff) = (1.0 / length, mean_radius / length);
        Link { length, mean_radius, push: 0.0, over_length, stiff, push_over_radius: 0.0 }
    }

    /// The same link as stiff as one of this mean radius.
    pub(super) fn as_stiff_as(&self, mean_radius: f64) -> Self {
        let push_over_radius = self.push / mean_radius;
        Link { push: self.push, push_over_radius, ..Link::new(self.length, mean_radius) }
    }

    /// Energy and derivatives, the rise taken as a variable of its own.
    pub(super) fn terms(&self, r0: f64, r1: f64, rise: f64) -> LinkTerms {
        let across = r1 - r0;
        let length = (across * across + rise * rise).sqrt();
        let over = 1.0 / length;
        let (u, v) = (across * over, rise * over);
        let along = (length - self.length) * self.over_length;
        let pull = self.mean_radius * along;
        let stiff = self.stiff;
        let turn = pull * over;
        let q = r0 * r0 + r0 * r1 + r1 * r1;
        let (q0, q1) = (2.0 * r0 + r1, r0 + 2.0 * r1);
        let lift = self.push * rise;
        let across2 = stiff * u * u + turn * v * v;
        let cross = (stiff - turn) * u * v;
        LinkTerms {
            strain: 0.5 * pull * self.length * along,
            work: lift * q,
            along,
            slope: [-pull * u - lift * q0, pull * u - lift * q1, pull * v - self.push * q],
            radial: [across2 - 2.0 * lift, -across2 - lift, across2 - 2.0 * lift],
            mixed: [-cross - self.push * q0, cross - self.push * q1, stiff * v * v + turn * u * u],
        }
    }
}

/// What does not change while a part is solved, of one node.
#[derive(Clone, Copy)]
pub(super) struct Node {
    /// Rest radius R, mm; 0 at a pole, which carries no hoop.
    pub(super) radius: f64,
    /// Fabric that goes with it along the profile, t, mm.
    pub(super) width: f64,
    /// 1/R, 1/mm; 0 at a pole.
    over_radius: f64,
}

impl Node {
    fn new(radius: f64, width: f64) -> Self {
        Node { radius, width, over_radius: if radius > 0.0 { 1.0 / radius } else { 0.0 } }
    }
}

/// Derivatives of one node's energy by its radius.
pub(super) struct HoopTerms {
    pub(super) energy: f64,
    /// Hoop strain ε.
    pub(super) hoop: f64,
    pub(super) slope: f64,
    pub(super) bend: f64,
}

/// The larger; a NaN in `a` is lost, so sums are looked at for those.
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// Everything about a part that does not change while it is solved.
pub(super) struct Constants {
    pub(super) links: Vec<Link>,
    pub(super) nodes: Vec<Node>,
    /// Nodes whose radius is sought; only end nodes can be left out.
    pub(super) free: Range<usize>,
    /// Stiffness of gathered fabric as a share of the stretched one's.
    pub(super) compression_share: f64,
}

impl Constants {
    /// Of a checked rest shape under p/K = `load_per_mm`.
    pub(super) fn new(rest: &Rest, load_per_mm: f64, compression_share: f64) -> Self {
        let links: Vec<Link> = (0..rest.link_mm.len())
            .map(|i| Link::new(rest.link_mm[i], 0.5 * (rest.radius_mm[i] + rest.radius_mm[i + 1])))
            .collect();
        let nodes: Vec<Node> = (0..rest.radius_mm.len())
            .map(|i| {
                let before = if i > 0 { links[i - 1].length } else { 0.0 };
                let after = links.get(i).map_or(0.0, |l| l.length);
                Node::new(rest.radius_mm[i], 0.5 * (before + after))
            })
            .collect();
        let from = usize::from(rest.first != Edge::Free);
        let to = nodes.len() - usize::from(rest.last != Edge::Free);
        // Two nodes, both fixed: from = to = 1, an empty range.
        let mut constants = Constants { links, nodes, free: from..to.max(from), compression_share };
        constants.set_load(rest, load_per_mm);
        constants
    }

    /// The same part under another load.
    pub(super) fn set_load(&mut self, rest: &Rest, load_per_mm: f64) {
        for (link, fill) in self.links.iter_mut().zip(&rest.fill) {
            link.push = load_per_mm * fill / 6.0;
            link.push_over_radius = link.push / link.mean_radius;
        }
    }

    /// Energy and derivatives of a node at radius r.
    pub(super) fn hoop_terms(&self, node: &Node, r: f64) -> HoopTerms {
        let hoop = (r - node.radius) * node.over_radius;
        let stiff = if hoop < 0.0 { self.compression_share * node.width } else { node.width };
        let slope = stiff * hoop;
        HoopTerms { energy: 0.5 * slope * hoop * node.radius, hoop, slope, bend: stiff * node.over_radius }
    }
}

/// The energy with the rises eliminated, at one set of radii.
#[derive(Default)]
pub(super) struct Assembly {
    pub(super) energy: f64,
    /// The sizes of all terms of the energy added up: what its round-off goes with.
    pub(super) size: f64,
    /// Largest stretch or hoop strain, no sign.
    pub(super) largest_strain: f64,
    /// Largest slope over the free nodes, no sign.
    pub(super) largest_slope: f64,
    /// Rise of each link; before the pass, a guess of it.
    pub(super) rise: Vec<f64>,
    /// Slope of each node.
    pub(super) slope: Vec<f64>,
    /// Diagonal of the Hessian, each node.
    pub(super) diagonal: Vec<f64>,
    /// Off-diagonal of the Hessian, each link.
    pub(super) off: Vec<f64>,
    /// How far the rise of each link goes down with the radius of its first and its second node.
    pub(super) fall: Vec<[f64; 2]>,
    rises: Rises,
}

impl Assembly {
    /// Room for a part; the rises are guessed as the links' lengths.
    pub(super) fn new(constants: &Constants) -> Self {
        let (n, m) = (constants.nodes.len(), constants.links.len());
        Assembly {
            rise: constants.links.iter().map(|l| l.length).collect(),
            slope: vec![0.0; n],
            diagonal: vec![0.0; n],
            off: vec![0.0; m],
            fall: vec![[0.0; 2]; m],
            ..Assembly::default()
        }
    }

    /// Fills itself for these radii, one for each node.
    pub(super) fn take(&mut self, constants: &Constants, radius: &[f64]) {
        let links = constants.links.iter().zip(radius.windows(2));
        let shares = self.rises.solve(links.clone().zip(&self.rise).map(|((link, ends), guess)| {
            let (r0, r1) = (ends[0], ends[1]);
            let over = link.over_length;
            ((r1 - r0).abs() * over, link.push_over_radius * (r0 * r0 + r0 * r1 + r1 * r1), guess * over)
        }));
        let (mut strain, mut work) = (0.0, 0.0);
        let mut largest = 0.0;
        // What the link before adds to the slope and the diagonal of the node at hand.
        let mut carried = [0.0; 2];
        let places = self.rise.iter_mut().zip(&mut self.fall).zip(&mut self.off).zip(shares);
        let nodes = constants.nodes.iter().zip(self.slope.iter_mut().zip(&mut self.diagonal));
        for (((link, ends), (((rise, fall), off), share)), (node, (slope, diagonal))) in links.zip(places).zip(nodes) {
            let (r0, r1) = (ends[0], ends[1]);
            *rise = share * link.length;
            let terms = link.terms(r0, r1, *rise);
            let mixed = terms.mixed;
            let over = 1.0 / mixed[2];
            *fall = [mixed[0] * over, mixed[1] * over];
            *off = terms.radial[1] - fall[0] * mixed[1];
            let own = constants.hoop_terms(node, r0);
            strain += terms.strain + own.energy;
            work += terms.work;
            largest = larger(largest, larger(terms.along.abs(), own.hoop.abs()));
            *slope = own.slope + carried[0] + terms.slope[0];
            *diagonal = own.bend + carried[1] + terms.radial[0] - fall[0] * mixed[0];
            carried = [terms.slope[1], terms.radial[2] - fall[1] * mixed[1]];
        }
        if let (Some(node), Some(&r)) = (constants.nodes.last(), radius.last()) {
            let own = constants.hoop_terms(node, r);
            strain += own.energy;
            largest = larger(largest, own.hoop.abs());
            let last = radius.len() - 1;
            self.slope[last] = own.slope + carried[0];
            self.diagonal[last] = own.bend + carried[1];
        }
        self.energy = strain - work;
        self.size = strain + work;
        self.largest_strain = largest;
        self.largest_slope = self.slope[constants.free.clone()].iter().fold(0.0, |m, g| larger(m, g.abs()));
    }

    /// What round-off can make of the slope of a free node: one unit in the last place of every force that it is the
    /// sum of, and of every radius that these follow from.
    pub(super) fn slope_round_off(&self, constants: &Constants, radius: &[f64], i: usize) -> f64 {
        let node = &constants.nodes[i];
        let hoop = self.diagonal[i].abs() * radius[i] + constants.hoop_terms(node, radius[i]).slope.abs();
        let ends = [i.checked_sub(1), (i + 1 < radius.len()).then_some(i)];
        let links = ends.into_iter().flatten().map(|l| {
            let (r0, r1, link) = (radius[l], radius[l + 1], &constants.links[l]);
            // The stretch is the difference of L/ℓ and 1, so its round-off is that of the larger.
            let pull = link.mean_radius * (1.0 + (r1 - r0).hypot(self.rise[l]) / link.length);
            pull + link.push * self.rise[l] * (r0 + r1) + self.off[l].abs() * r0.max(r1)
        });
        f64::EPSILON * (hoop + links.sum::<f64>())
    }

    /// Diagonal and off-diagonal of the Hessian of the free nodes.
    pub(super) fn hessian(&self, free: &Range<usize>) -> (&[f64], &[f64]) {
        let off = if free.len() > 1 { free.start..free.end - 1 } else { 0..0 };
        (&self.diagonal[free.clone()], &self.off[off])
    }
}
