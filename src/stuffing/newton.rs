//! Newton's method on the radii, damped by a shift of the Hessian's diagonal (Levenberg).

use super::energy::{Assembly, Constants};
use super::tridiagonal::Tridiagonal;
use std::ops::Range;

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

/// A change of the energy below this share of the sizes of its terms is not told from their round-off.
const CLOSE_CALL: f64 = 1e-10;
/// Trials that bring the largest slope to no half of what it was, before round-off is suspected.
const PATIENCE: u32 = 8;
/// Round-offs of a slope that are not told from 0.
const ROUND_OFFS: f64 = 16.0;

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
    /// Slopes that round-off keeps above it count as 0 too: in a part with a round of ten thousand stitches beside one
    /// of six, the forces at a node may be 1e8 times as large as what they add up to. `first_shift` is [`FAR`] or
    /// [`NEAR`]; after `most` trials the search gives up.
    pub(super) fn run(&mut self, constants: &Constants, slope_limit: f64, first_shift: f64, most: u32) -> Ending {
        let free = constants.free.clone();
        let mut shift = Shift::new(first_shift);
        self.now.take(constants, &self.radius);
        // The least slope so far, to a half, and the trials since.
        let (mut least, mut since) = (self.now.largest_slope, 0);
        for trials in 0..most {
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
            let good = self.trial.largest_strain <= (1.5 * self.now.largest_strain).max(1.0) && self.goes_down(&free);
            if good {
                std::mem::swap(&mut self.now, &mut self.trial);
                std::mem::swap(&mut self.radius, &mut self.trial_radius);
                shift.relax();
            } else {
                shift.tighten();
            }
            since += 1;
            if self.now.largest_slope < 0.5 * least {
                (least, since) = (self.now.largest_slope, 0);
            } else if since >= PATIENCE && self.is_at_round_off(constants, slope_limit) {
                return Ending { trials: trials + 1, converged: true };
            }
        }
        Ending { trials: most, converged: self.now.largest_slope < slope_limit }
    }

    /// Whether the energy is no higher at the trial. Where the two are too close to be told from their sums, the
    /// slopes at both tell, by the trapezoidal rule (so the approximate test of W. W. Hager & H. Zhang, SIAM J. Optim.
    /// 16, 2005, 170).
    fn goes_down(&self, free: &Range<usize>) -> bool {
        let by = self.trial.energy - self.now.energy;
        // Written so that a NaN never goes down.
        let close = by.abs() <= CLOSE_CALL * self.now.size;
        if !close {
            return by < 0.0;
        }
        let moved = self.trial_radius[free.clone()].iter().zip(&self.radius[free.clone()]);
        let slopes = self.trial.slope[free.clone()].iter().zip(&self.now.slope[free.clone()]);
        moved.zip(slopes).map(|((to, from), (there, here))| (to - from) * (there + here)).sum::<f64>() <= 0.0
    }

    fn is_at_round_off(&self, constants: &Constants, slope_limit: f64) -> bool {
        constants.free.clone().all(|i| {
            let round_off = ROUND_OFFS * self.now.slope_round_off(constants, &self.radius, i);
            self.now.slope[i].abs() <= round_off.max(slope_limit)
        })
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
