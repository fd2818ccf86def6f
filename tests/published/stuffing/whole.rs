//! What must hold of the shape of any part as a maker describes it.

use super::oracle;
use std::f64::consts::TAU;
use toppleknot::part::Part;
use toppleknot::stuffing::Edge;
use toppleknot::toy::shape::{Equilibrium, PartShape, ShapeInput, part_shape};

/// How a stuffed part was solved.
#[derive(Clone, Copy, Debug)]
pub struct Found {
    /// Trial steps.
    pub iterations: u32,
    /// Forces left over at any node, as a share of p·π·R².
    pub off: f64,
    /// What round-off alone can make of that.
    pub round_off: f64,
    /// The fabric cannot hold this density.
    pub overstuffed: bool,
}

fn as_oracle(at: &Equilibrium) -> oracle::Part {
    oracle::Part {
        radius: at.rest.radius_mm.clone(),
        link: at.rest.link_mm.clone(),
        pressure: at.rest.fill.iter().map(|f| f * at.solved.load_per_mm).collect(),
        compression_share: at.membrane.compression_share,
        fixed: [at.rest.first != Edge::Free, at.rest.last != Edge::Free],
    }
}

/// Works the shape out. Every figure is finite; a stuffed part has converged, every rise is above 0, no radius but a
/// pole's is 0, and the forces summed by the oracle's own routine balance at every node to 1e-7 of p·π·R², or to
/// round-off where that is more. How it was solved, `None` where it is not stuffed; or what does not hold.
pub fn check(part: &Part, input: &ShapeInput) -> Result<Option<Found>, String> {
    let shape = part_shape(part, input);
    let nodes = shape.rest.radius_mm.len();
    if !part.rounds.is_empty() && nodes <= part.rounds.len() {
        return Err(format!("{nodes} nodes for {} rounds", part.rounds.len()));
    }
    if nodes >= 2 {
        is_whole(&shape)?;
    }
    if !shape.converged {
        return Err("no equilibrium".into());
    }
    let Some(at) = shape.equilibrium() else { return Ok(None) };
    if !at.solved.converged {
        return Err(format!("no equilibrium after {} trials", at.solved.iterations));
    }
    if let Some(d) = at.solved.rise_mm.iter().find(|d| !(d.is_finite() && **d > 0.0)) {
        return Err(format!("a rise of {d}"));
    }
    let inner = &at.solved.radius_mm[1..at.solved.radius_mm.len() - 1];
    if let Some(r) = inner.iter().find(|r| !(r.is_finite() && **r > 0.0)) {
        return Err(format!("a radius of {r}"));
    }
    let own = as_oracle(&at);
    let off = own.imbalance(&at.solved.radius_mm, &at.solved.z_mm);
    let round_off = round_off(&own, &at.solved.radius_mm, &at.solved.z_mm);
    // Written so that a NaN is none.
    if off < f64::max(1e-7, round_off) {
        let (iterations, overstuffed) = (at.solved.iterations, at.solved.overstuffed);
        Ok(Some(Found { iterations, off, round_off, overstuffed }))
    } else {
        Err(format!("forces are off by {off} of p·π·R², round-off {round_off}"))
    }
}

/// What round-off alone can make of [`oracle::Part::imbalance`] at (r, z): one unit in the last place of each pull and of
/// each length that it follows from. Far below 1e-7 in any toy; above it where a rim is held so far from the next round
/// that their link is stretched to thousands of times its length, by forces 1e8 times p·π·R².
pub fn round_off(part: &oracle::Part, r: &[f64], z: &[f64]) -> f64 {
    let mut sum = vec![0.0; r.len()];
    for i in 0..part.link.len() {
        let length = (r[i + 1] - r[i]).hypot(z[i + 1] - z[i]);
        // Of the stretch: of L/ℓ, and of the differences that L comes from.
        let places = r[i].max(r[i + 1]) + z[i + 1].abs();
        let of_stretch = (length + places) / part.link[i];
        let pull = TAU * 0.5 * (part.radius[i] + part.radius[i + 1]) * of_stretch;
        sum[i] += pull;
        sum[i + 1] += pull;
    }
    f64::EPSILON * sum.iter().fold(0.0, |m: f64, x| m.max(*x)) / part.force_scale()
}

fn is_whole(shape: &PartShape) -> Result<(), String> {
    let nodes = shape.rest.radius_mm.len();
    if shape.nodes.len() != nodes {
        return Err(format!("{} places for {nodes} nodes", shape.nodes.len()));
    }
    if let Some(n) = shape.nodes.iter().find(|n| !(n.radius_mm >= 0.0 && n.radius_mm.is_finite() && n.z_mm.is_finite()))
    {
        return Err(format!("a node at {n:?}"));
    }
    let lengths = [shape.widest_mm(), shape.length_mm(), shape.filled_volume_mm3()];
    if lengths.iter().any(|x| !x.is_finite()) {
        return Err(format!("width, length, volume {lengths:?}"));
    }
    Ok(())
}
