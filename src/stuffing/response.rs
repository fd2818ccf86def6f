//! How the stuffed shape answers to a small change of what is uncertain, from the Hessian at the solution: one
//! tridiagonal solve instead of solving the shape again.

use super::energy::{Assembly, Constants};
use super::rest::Rest;
use super::solved::{Membrane, Solved};
use super::tridiagonal::Tridiagonal;

/// What is changed, by its natural logarithm: a change of 0.01 is one of 1 %.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Change {
    /// p/K.
    Load,
    /// The rest length of all links, the rest radii staying as they are.
    Links,
    /// Stiffness of gathered fabric as a share of the stretched one's.
    CompressionShare,
}

/// Change of a stuffed shape per unit change of a logarithm.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    /// Of each node's radius, mm.
    pub d_radius: Vec<f64>,
    /// Of each link's rise, mm.
    pub d_rise: Vec<f64>,
}

/// How `solved`, which is [`solve`](super::solve) of `rest` and `membrane`, changes with `change`.
///
/// An overstuffed part answers as one at the load it was solved at. A part that was not solved does not answer: all 0.
pub fn response(rest: &Rest, membrane: &Membrane, solved: &Solved, change: Change) -> Response {
    let (n, m) = (rest.radius_mm.len(), rest.link_mm.len());
    let none = Response { d_radius: vec![0.0; n], d_rise: vec![0.0; m] };
    let fits = solved.radius_mm.len() == n && solved.rise_mm.len() == m;
    if !solved.converged || !fits || rest.check().is_err() {
        return none;
    }
    let constants = Constants::new(rest, solved.load_per_mm, membrane.compression_share);
    let mut at = Assembly::new(&constants);
    at.rise.copy_from_slice(&solved.rise_mm);
    at.take(&constants, &solved.radius_mm);

    // With g the slopes, δr = −H⁻¹(∂g_r − H_rd·H_dd⁻¹·∂g_d) and δd = −H_dd⁻¹(∂g_d + H_dr·δr), ∂ by the change.
    let mut d_radius = vec![0.0; n];
    let mut d_rise = vec![0.0; m];
    for (i, node) in constants.nodes.iter().enumerate() {
        let own = constants.hoop_terms(node, solved.radius_mm[i]);
        // The slope s·t·ε goes with t and, where the fabric gathers, with s.
        d_radius[i] = match change {
            Change::Links => -own.slope,
            Change::CompressionShare if own.hoop < 0.0 => -own.slope,
            Change::CompressionShare | Change::Load => 0.0,
        };
    }
    for (i, link) in constants.links.iter().enumerate() {
        let (r0, r1, rise) = (solved.radius_mm[i], solved.radius_mm[i + 1], at.rise[i]);
        let slope = match change {
            Change::Load => {
                let lift = link.push * rise;
                [-lift * (2.0 * r0 + r1), -lift * (r0 + 2.0 * r1), -link.push * (r0 * r0 + r0 * r1 + r1 * r1)]
            }
            // The pull R̄·(L/ℓ − 1) changes by −R̄·L/ℓ along the link, and R̄·(r₁ − r₀, d)/ℓ is that as a vector.
            Change::Links => {
                let slack = link.mean_radius / link.length;
                [slack * (r1 - r0), -slack * (r1 - r0), -slack * rise]
            }
            Change::CompressionShare => [0.0; 3],
        };
        d_radius[i] -= slope[0] - at.fall[i][0] * slope[2];
        d_radius[i + 1] -= slope[1] - at.fall[i][1] * slope[2];
        d_rise[i] = -slope[2] / link.terms(r0, r1, rise).mixed[2];
    }

    let free = constants.free.clone();
    let (diagonal, off) = at.hessian(&free);
    d_radius[..free.start].fill(0.0);
    d_radius[free.end..].fill(0.0);
    if !Tridiagonal::default().solve(diagonal, off, 0.0, &mut d_radius[free]) {
        return none;
    }
    for (i, d) in d_rise.iter_mut().enumerate() {
        *d -= at.fall[i][0] * d_radius[i] + at.fall[i][1] * d_radius[i + 1];
    }
    Response { d_radius, d_rise }
}
