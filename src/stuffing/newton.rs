//! Newton's method on the radii, damped by a shift of the Hessian's diagonal (Levenberg).

use super::energy::{Assembly, Constants};
use super::tridiagonal::Tridiagonal;

/// How the shift is steered, in units of 2πK as the Hessian is. The figures are those of a dozen tried that need the
/// fewest trials on random parts, most of all on stepped and ruffled ones; none of them failed with any.
#[derive(Clone, Copy)]
struct Shift {
    now: f64,
    up: f64,
    down: f64,
}

impl Shift {
    /// A shift that has died away starts again from here when it is needed.
    const LEAST: f64 = 1e-12;
    const UP: f64 = 4.0;
    const DOWN: f64 = 0.4;

    fn new(first: f64) -> Self {
        Shift { now: first, up: Self::UP, down: Self::DOWN }
    }

    /// After a good step: less, and ever less in a row of them.
    fn relax(&mut self) {
        self.now *= self.down;
        *self = Shift { down: 0.5 * self.down, up: Self::UP, ..*self };
    }

    /// After a bad one: more, and ever more in a row of them.
    fn tighten(&mut self) {
        self.now = self.up * self.now.max(Self::LEAST);
        *self = Shift { up: 1.5 * self.up, down: Self::DOWN, ..*self };
    }
}

/// Shift to begin with from the usual start.
pub(super) const FAR: f64 = 1e-2;
/// Shift to begin with from a solution for about the same load.
pub(super) const NEAR: f64 = 1e-6;

/// Rise of the energy that is put down to round-off, as a share of [`Constants::scale`].
const ROUND_OFF: f64 = 4e-15;
/// Most trials. Toys take about 6; of a million random parts, loads down to 0.001, none took more than 213.
const MOST_TRIALS: u32 = 1000;

/// The room one search needs: nothing is allocated while it runs.
pub(super) struct Search {
    /// Radius of each node, mm: the start, then the solution.
    pub(super) radius: Vec<f64>,
    /// The energy there.
    pub(super) now: Assembly,
    trial_radius: Vec<f64>,
    trial: Assembly,
    step: Vec<f64>,
    system: Tridiagonal,
}

/// How a search ended.
#[derive(Clone, Copy)]
pub(super) struct Ending {
    pub(super) trials: u32,
    pub(super) converged: bool,
}

impl Search {
    /// Room for a part of these constants, every radius at rest.
    pub(super) fn new(constants: &Constants) -> Self {
        let radius: Vec<f64> = constants.nodes.iter().map(|n| n.radius).collect();
        Search {
            trial_radius: radius.clone(),
            radius,
            now: Assembly::new(constants),
            trial: Assembly::new(constants),
            step: vec![0.0; constants.free.len()],
            system: Tridiagonal::default(),
        }
    }

    /// From the radii in `self.radius` down to where every slope is below `slope_limit` (units of 2πK, mm).
    /// `first_shift` is [`FAR`] or [`NEAR`].
    pub(super) fn run(&mut self, constants: &Constants, slope_limit: f64, first_shift: f64) -> Ending {
        let free = constants.free.clone();
        let slack = ROUND_OFF * constants.scale;
        let mut shift = Shift::new(first_shift);
        self.now.take(constants, &self.radius);
        for trials in 0..MOST_TRIALS {
            if self.now.largest_slope < slope_limit {
                return Ending { trials, converged: true };
            }
            let (diagonal, off) = self.now.hessian(&free);
            self.step.copy_from_slice(&self.now.slope[free.clone()]);
            if !self.system.solve(diagonal, off, shift.now, &mut self.step) {
                shift.tighten();
                continue;
            }
            self.try_step(constants);
            // The energy has no lower bound far out, so a leap into large strains is never progress.
            let good = self.trial.energy <= self.now.energy + slack
                && self.trial.largest_strain <= (1.5 * self.now.largest_strain).max(1.0);
            if good {
                std::mem::swap(&mut self.now, &mut self.trial);
                std::mem::swap(&mut self.radius, &mut self.trial_radius);
                shift.relax();
            } else {
                shift.tighten();
            }
        }
        Ending { trials: MOST_TRIALS, converged: self.now.largest_slope < slope_limit }
    }

    /// Fills the trial with the radii one step away, the rises guessed along with them.
    fn try_step(&mut self, constants: &Constants) {
        let free = constants.free.clone();
        self.trial_radius.copy_from_slice(&self.radius);
        for (i, step) in free.zip(&self.step) {
            let r = self.radius[i];
            self.trial_radius[i] = if step < &r { r - step } else { 0.1 * r };
        }
        for (i, fall) in self.now.fall.iter().enumerate() {
            let grown = [self.trial_radius[i] - self.radius[i], self.trial_radius[i + 1] - self.radius[i + 1]];
            self.trial.rise[i] = self.now.rise[i] - fall[0] * grown[0] - fall[1] * grown[1];
        }
        self.trial.take(constants, &self.trial_radius);
    }
}
