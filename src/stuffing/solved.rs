//! The stuffed shape of a part, and how it is asked for.

use super::rest::{Rest, running_sum};
use super::stuffer::Stuffer;
use std::f64::consts::PI;

/// The highest load p·R/K that is solved. Above 0.311 a tube has no equilibrium, above 1/2 not even a sphere (hoop
/// strain y − 1 of a long tube from y − 1 = λy + λ²y³/2), and fabric that stretches so far is not what this model means.
pub const HIGHEST_LOAD: f64 = 0.25;

/// Least rise of a link in a shape that could not be solved, as a share of its length.
const LEAST_RISE: f64 = 1e-3;

/// The fabric and what pushes on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Membrane {
    /// Pressure over fabric stiffness, p/K, 1/mm; above 0.
    pub load_per_mm: f64,
    /// Stiffness of the fabric in compression as a share of that in tension; above 0. Fabric gathers, it does not
    /// push: the default 0.02 is a guess, and matters only where a part ruffles.
    pub compression_share: f64,
}

impl Membrane {
    /// p/K with the usual share in compression, 0.02.
    pub fn new(load_per_mm: f64) -> Self {
        Membrane { load_per_mm, compression_share: 0.02 }
    }

    /// Whether its two figures mean anything.
    pub(super) fn is_sound(&self) -> bool {
        let positive = |x: f64| x > 0.0 && x.is_finite();
        positive(self.load_per_mm) && positive(self.compression_share)
    }
}

/// The stuffed shape of a part. Nodes and links are those of its [`Rest`].
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// Radius of each node, mm; above 0 but at poles.
    pub radius_mm: Vec<f64>,
    /// Height gained along the axis by each link, mm; above 0.
    pub rise_mm: Vec<f64>,
    /// Height of each node above the first, mm.
    pub z_mm: Vec<f64>,
    /// Hoop strain r/R − 1 of each node; below 0 where the fabric gathers; 0 at a pole, which has none.
    pub hoop: Vec<f64>,
    /// Stretch L/ℓ − 1 of each link.
    pub along: Vec<f64>,
    /// Load p·R/K as solved, R from [`Rest::loaded_radius_mm`]; 0 if it was not.
    pub load: f64,
    /// Load that was asked for.
    pub asked_load: f64,
    /// p/K as solved, 1/mm; 0 if it was not.
    pub load_per_mm: f64,
    /// This fabric cannot hold this density: the asked load is above [`HIGHEST_LOAD`], or above the highest one that
    /// has an equilibrium (lower where a held rim draws rounds far out that cannot reach it). Solved at that load, the
    /// latter to a tenth.
    pub overstuffed: bool,
    /// Trial steps that were needed.
    pub iterations: u32,
    /// False if no equilibrium was found; the shape is then the rest shape.
    pub converged: bool,
}

/// The stuffed shape of a part.
///
/// It always comes back whole: if the search fails, or rest shape or membrane are not sound, as the shape before
/// stuffing with every rise above 0, [`Solved::converged`] false.
pub fn solve(rest: &Rest, membrane: &Membrane) -> Solved {
    if rest.check().is_err() || !membrane.is_sound() {
        return unsolved(rest, membrane.load_per_mm, 0);
    }
    Stuffer::new(rest, membrane.compression_share).solve(membrane.load_per_mm)
}

/// Volume inside the stuffed links of a solved part, mm³: the frusta (π/3)·q·d of the links that get at least half of
/// the pressure, which is where stuffing was put.
pub fn stuffed_volume_mm3(rest: &Rest, solved: &Solved) -> f64 {
    let frusta = solved.radius_mm.windows(2).zip(&solved.rise_mm).zip(&rest.fill);
    frusta
        .filter(|(_, fill)| **fill >= 0.5)
        .map(|((ends, rise), _)| {
            let (r0, r1) = (ends[0], ends[1]);
            PI / 3.0 * (r0 * r0 + r0 * r1 + r1 * r1) * rise
        })
        .sum()
}

/// A shape with its strains, nothing said of loads.
pub(super) fn strained(rest: &Rest, radius_mm: Vec<f64>, rise_mm: Vec<f64>) -> Solved {
    let hoop = radius_mm.iter().zip(&rest.radius_mm);
    let hoop = hoop.map(|(&r, &at_rest)| if at_rest > 0.0 { (r - at_rest) / at_rest } else { 0.0 }).collect();
    let links = radius_mm.windows(2).zip(&rise_mm).zip(&rest.link_mm);
    let along = links.map(|((ends, rise), link)| {
        let across = ends[1] - ends[0];
        (across * across + rise * rise).sqrt() / link - 1.0
    });
    let along = along.collect();
    Solved {
        z_mm: running_sum(&rise_mm),
        hoop,
        along,
        radius_mm,
        rise_mm,
        load: 0.0,
        asked_load: 0.0,
        load_per_mm: 0.0,
        overstuffed: false,
        iterations: 0,
        converged: false,
    }
}

/// The shape before stuffing, for want of a better one. What is no length in the rest shape is taken as 0.
pub(super) fn unsolved(rest: &Rest, asked_per_mm: f64, iterations: u32) -> Solved {
    let length = |x: &f64| if x.is_finite() { x.clamp(0.0, 1e30) } else { 0.0 };
    let sound = Rest {
        radius_mm: rest.radius_mm.iter().map(length).collect(),
        link_mm: rest.link_mm.iter().map(length).collect(),
        fill: rest.fill.iter().map(length).collect(),
        ..*rest
    };
    let asked_load = length(&(asked_per_mm * sound.loaded_radius_mm()));
    let rise_mm = sound.plain_rise_mm(LEAST_RISE);
    let mut shape = strained(&sound, sound.radius_mm.clone(), rise_mm);
    shape.along.iter_mut().filter(|e| !e.is_finite()).for_each(|e| *e = 0.0);
    Solved { asked_load, overstuffed: asked_load > HIGHEST_LOAD, iterations, ..shape }
}
