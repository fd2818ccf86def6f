//! Real counts in closed form: a stuffed outline is statically determinate, so what it must be made of follows from it
//! without a search.
//!
//! On the wanted middle of the fabric, cut into links, the pull of each link balances the pressure along the axis:
//! with energies in units of 2πK, R̄·e·d/L = G·q (the rise equation of `stuffing`, read backward), which gives its
//! stretch e and so its length at rest. What then is left over at a node is its hoop force s·t·ε, and R = r/(1 + ε).
//! Stretches decide where the nodes lie and R̄ where the pull is spread, so both are swept a few times, damped.

use glam::DVec2;

use super::curve::Curve;
use crate::part::End;

/// Sweeps; the changes have died away after about twenty.
const SWEEPS: usize = 30;
/// Share of a change taken in each sweep.
const DAMPED: f64 = 0.5;
/// Flattest link that is taken, as rise to length: a flatter one would need fabric without stretch.
const FLATTEST: f64 = 0.02;
/// Hoop strain beyond which an outline is no stuffed shape: fabric gathered to less than half.
pub(super) const NOT_STUFFED: f64 = -0.6;
/// Counts are reckoned with no more gathers than this: two flat discs joined at the rim gather by 0.24 there.
const MOST_GATHERS: f64 = -0.35;

/// The fabric and what pushes on it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cloth {
    pub(super) w_mm: f64,
    pub(super) h_mm: f64,
    /// p/K, 1/mm.
    pub(super) load_per_mm: f64,
    pub(super) compression_share: f64,
}

/// What an end of the membrane is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tip {
    /// A point on the axis; at the finish one link more than rounds leads there.
    Pole,
    /// A rim that keeps its worked size.
    Held,
    /// A rim that nothing holds.
    Free,
}

/// What an outline must be made of.
#[derive(Clone, Debug)]
pub(super) struct Real {
    /// Rest radius of each node, mm.
    pub(super) radius_mm: Vec<f64>,
    /// Hoop strain of each node.
    pub(super) hoop: Vec<f64>,
    /// Where each node lies on the middle of the fabric.
    pub(super) nodes: Vec<DVec2>,
    /// Rounds that would have to be added for every link to be as long as it is worked.
    pub(super) rounds_missing: f64,
}

/// What the wanted middle of the fabric must be made of, in this many rounds (at least 1).
pub(super) fn real_counts(middle: &Curve, rounds: usize, cloth: &Cloth, first: Tip, last: Tip) -> Real {
    let links = rounds + usize::from(last == Tip::Pole);
    let tips = [(first, End::Start), (last, End::Finish)];
    let mut rest_link = vec![cloth.h_mm; links];
    let mut stretch = vec![0.0; links];
    let mut radius: Vec<f64> = Vec::new();
    let mut hoop = vec![0.0; links + 1];
    let mut nodes = vec![DVec2::ZERO; links + 1];
    let total = middle.length();
    let mut missing = 0.0;
    let push = cloth.load_per_mm / 6.0;
    for _ in 0..SWEEPS {
        if last == Tip::Pole && radius.len() > links {
            rest_link[links - 1] = radius[links - 1].max(0.1 * cloth.w_mm);
        }
        let worked: f64 = rest_link.iter().zip(&stretch).map(|(l, e)| l * (1.0 + e)).sum();
        let scale = total / worked;
        let per_round = worked / rest_link.iter().sum::<f64>() * cloth.h_mm;
        missing = (total - worked) / per_round;
        let mut along = 0.0;
        for i in 0..=links {
            nodes[i] = middle.at(along);
            if i < links {
                along += rest_link[i] * (1.0 + stretch[i]) * scale;
            }
        }
        if radius.is_empty() {
            radius = nodes.iter().map(|p| p.x).collect();
        }
        // Force that the hoop of each node must bear.
        let mut force = vec![0.0; links + 1];
        for i in 0..links {
            let (a, b) = (nodes[i], nodes[i + 1]);
            let length = a.distance(b).max(1e-9);
            let rise = (b.y - a.y).max(FLATTEST * length);
            let q = a.x * a.x + a.x * b.x + b.x * b.x;
            let mean = (0.5 * (radius[i] + radius[i + 1])).max(1e-6);
            let pull = push * q * length / rise;
            stretch[i] += DAMPED * ((pull / mean).min(1.0) - stretch[i]);
            let across = (b.x - a.x) / length;
            force[i] += pull * across + push * rise * (2.0 * a.x + b.x);
            force[i + 1] += push * rise * (a.x + 2.0 * b.x) - pull * across;
        }
        for i in 0..=links {
            let before = if i > 0 { rest_link[i - 1] } else { 0.0 };
            let after = rest_link.get(i).copied().unwrap_or(0.0);
            let width = 0.5 * (before + after);
            let tip = tips.iter().find(|(_, end)| i == if *end == End::Start { 0 } else { links });
            match tip.map(|(tip, _)| *tip) {
                Some(Tip::Pole) => radius[i] = 0.0,
                Some(Tip::Held) => radius[i] = nodes[i].x,
                Some(Tip::Free) | None => {
                    let strain = force[i] / width;
                    let strain = if strain < 0.0 { strain / cloth.compression_share } else { strain };
                    hoop[i] += DAMPED * (strain.clamp(-0.9, 1.0) - hoop[i]);
                    radius[i] = nodes[i].x / (1.0 + hoop[i].max(MOST_GATHERS));
                }
            }
        }
    }
    Real { radius_mm: radius, hoop, nodes, rounds_missing: missing }
}
