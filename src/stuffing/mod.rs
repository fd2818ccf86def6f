//! The stuffed shape of one part: an axisymmetric membrane under the pressure of its stuffing.
//!
//! A part is a string of **nodes** (the edges of its rounds, each a circle of rest radius R) and **links** (the
//! rounds between them, each of rest length ℓ along the fabric). Stuffed with pressure p, a fabric of stiffness K
//! takes the radii r and rises d (heights gained per link, always > 0) that make least
//!
//! E = Σ_links ½·K·2πR̄·ℓ·e² + Σ_nodes ½·K·s(ε)·2πR·t·ε² − Σ_links p·fill·(π/3)·q·d
//!
//! with the link's stretch e = √(d² + Δr²)/ℓ − 1, the hoop strain ε = r/R − 1, t half the length of the links at a
//! node, q = r₀² + r₀r₁ + r₁² (a frustum's volume is (π/3)·q·d) and s = 1 in tension, a small share in compression:
//! fabric gathers, it does not push (tension field theory, Stein & Hedgepeth 1961, NASA TN D-813).
//!
//! Only p/K and lengths matter, so nothing here knows of forces: [`Membrane::load_per_mm`] is p/K in 1/mm. Given the
//! radii, each rise follows from one equation alone (`rise`); what remains is a function of the radii with a
//! tridiagonal Hessian (`energy`), solved by a damped Newton method (`newton`). Where that makes no headway, the links are
//! softened for a while (`softened`); where the load has no equilibrium, the highest one that has is looked for (`stuffer`).

mod by_radius;
mod energy;
mod newton;
mod response;
mod rest;
mod rise;
mod softened;
mod solved;
mod start;
mod stuffer;
mod tridiagonal;
mod weighed;

pub use by_radius::RadiusResponses;
pub use response::{Change, Response, response};
pub use rest::{Edge, Rest, RestError, before_stuffing};
pub use solved::{HIGHEST_LOAD, Membrane, Solved, solve, stuffed_volume_mm3};
pub use weighed::{LOWEST_LOAD, Weighed, solve_weighed};
