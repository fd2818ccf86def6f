//! A part stuffed with a given mass: the pressure falls as the part grows, the part grows with the pressure.

use super::rest::Rest;
use super::solved::{HIGHEST_LOAD, Membrane, Solved, solve, stuffed_volume_mm3};
use super::stuffer::Stuffer;

/// The lowest load p·R/K that is looked at: a hundredth of a lightly stuffed toy's. Below it the stuffing is slack.
pub const LOWEST_LOAD: f64 = 1e-4;

/// The load is found to this share, far closer than any pressure is known.
const CLOSE: f64 = 1e-9;
/// Most shapes solved; a dozen is usual.
const MOST_SHAPES: u32 = 200;

/// A part stuffed with a given mass.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// The shape, and the load it was found at; its [`Solved::iterations`] counts the trials of all shapes.
    pub solved: Solved,
    /// Volume that the stuffing takes, as [`stuffed_volume_mm3`] has it.
    pub volume_mm3: f64,
    /// The stuffing does not fill the part: even at [`LOWEST_LOAD`] it would push less. Solved at that load.
    pub slack: bool,
    /// Shapes that were solved on the way.
    pub shapes: u32,
}

/// The stuffed shape at which the pressure is that of the stuffing in the part's own volume.
///
/// `pressure_over_k` is p/K in 1/mm of the stuffing packed into a volume in mm³; it must not grow with the volume (0
/// once the stuffing is loose). Since the volume grows with the pressure there is one such shape, unless it lies above
/// the highest load that the fabric holds, [`HIGHEST_LOAD`] or less (then the shape is overstuffed, and solved there), or
/// below [`LOWEST_LOAD`] (then it is slack).
/// The volume is that of the stuffed links alone, see [`stuffed_volume_mm3`]. What [`solve`] says of a part that
/// fails holds here too.
pub fn solve_weighed(rest: &Rest, compression_share: f64, pressure_over_k: impl Fn(f64) -> f64) -> Weighed {
    let sound = Membrane { load_per_mm: 1.0, compression_share }.is_sound();
    if rest.check().is_err() || !sound {
        let solved = solve(rest, &Membrane { load_per_mm: f64::NAN, compression_share });
        return Weighed { solved, volume_mm3: 0.0, slack: false, shapes: 0 };
    }
    let radius = rest.loaded_radius_mm();
    let mut filling = Filling { rest, stuffer: Stuffer::new(rest, compression_share), shapes: 0, trials: 0 };

    let mut high = filling.look(HIGHEST_LOAD, radius, &pressure_over_k);
    if !high.solved.converged {
        return filling.ended(high, false);
    }
    if high.excess >= 0.0 {
        let asked_load = high.wanted_load.min(f64::MAX);
        high.solved = Solved { asked_load, overstuffed: asked_load > high.load, ..high.solved };
        return filling.ended(high, false);
    }
    let mut low = filling.look(LOWEST_LOAD, radius, &pressure_over_k);
    if !low.solved.converged || low.excess <= 0.0 {
        let slack = low.wanted_load < LOWEST_LOAD;
        return filling.ended(low, slack);
    }
    // Regula falsi on ln(load) in its Illinois form: an end that stays for a second time counts half. Bisection
    // whenever three steps have not halved the bracket.
    let (mut at_low, mut at_high) = (low.excess, high.excess);
    let mut widths = [f64::INFINITY; 3];
    let mut rose = None;
    loop {
        let (from, to) = (low.load.ln(), high.load.ln());
        let width = to - from;
        let slow = width > 0.5 * widths[0];
        widths = [widths[1], widths[2], width];
        let share = if slow { 0.5 } else { at_low / (at_low - at_high) };
        let next = filling.look((from + share * width).exp(), radius, &pressure_over_k);
        // No equilibrium at that load after all: what is found lies at the edge, and is said to.
        if next.solved.overstuffed && next.excess > 0.0 {
            return filling.ended(next, false);
        }
        if !next.solved.converged || next.excess.abs() < CLOSE || width < CLOSE || filling.shapes >= MOST_SHAPES {
            return filling.ended(next, false);
        }
        let up = next.excess > 0.0;
        let again = rose.replace(up) == Some(up);
        if up {
            at_low = next.excess;
            low = next;
            at_high *= if again { 0.5 } else { 1.0 };
        } else {
            at_high = next.excess;
            high = next;
            at_low *= if again { 0.5 } else { 1.0 };
        }
    }
}

/// The shape at one load, and what the stuffing would do in it.
struct Look {
    solved: Solved,
    volume_mm3: f64,
    load: f64,
    /// Load the stuffing would give at this volume.
    wanted_load: f64,
    /// ln(wanted load / load): falls as the load grows, 0 at the solution.
    excess: f64,
}

struct Filling<'a> {
    rest: &'a Rest,
    stuffer: Stuffer<'a>,
    shapes: u32,
    trials: u32,
}

impl Filling<'_> {
    fn look(&mut self, load: f64, radius_mm: f64, pressure_over_k: impl Fn(f64) -> f64) -> Look {
        let solved = self.stuffer.solve(load / radius_mm);
        let load = if solved.converged { solved.load } else { load };
        self.shapes += 1;
        self.trials += solved.iterations;
        let volume_mm3 = stuffed_volume_mm3(self.rest, &solved);
        let wanted_load = pressure_over_k(volume_mm3) * radius_mm;
        // Stuffing that is loose pushes nothing; a logarithm wants a little. `max` also turns a NaN into that.
        let excess = (wanted_load.max(0.01 * LOWEST_LOAD) / load).ln();
        Look { solved, volume_mm3, load, wanted_load, excess }
    }

    fn ended(&self, look: Look, slack: bool) -> Weighed {
        let solved = Solved { iterations: self.trials, ..look.solved };
        Weighed { solved, volume_mm3: look.volume_mm3, slack, shapes: self.shapes }
    }
}
