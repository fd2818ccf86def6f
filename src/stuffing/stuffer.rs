//! The search for the equilibrium of one part at several loads, each from the solution of the one before: plainly,
//! then with softened links, then at lower loads.

use super::energy::Constants;
use super::newton::{FAR, NEAR, Search};
use super::rest::Rest;
use super::softened::search_softened;
use super::solved::{HIGHEST_LOAD, Solved, strained, unsolved};
use super::start::start;

/// Slopes at the solution, as a share of the largest p·fill·π·R², R as wide as the links let a node be.
const SLOPE_LIMIT: f64 = 1e-8;

/// Trials of the plain search before the links are softened. Toys take about 6; of random parts of 3 to 200 stitches a
/// round, loads down to 0.001, fewer than one in a thousand takes more.
const USUAL_TRIALS: u32 = 100;

/// Most trials of one part at all its loads together.
const MOST_TRIALS: usize = 10_000;
/// The same times its nodes: some 1.2 s, for a part as long as a file may hold that has no equilibrium at its load. One
/// that has takes a quarter of that at most.
const NODE_TRIALS: usize = 20_000_000;
/// See [`NODE_TRIALS`].
const FEWEST_TRIALS: usize = 500;

/// Loads that are halved in search of one that has an equilibrium.
const MOST_HALVED: u32 = 20;
/// Halvings, on a scale of logarithms, of the factor of 2 between a load that has an equilibrium and one that has not.
const CLOSED_IN: u32 = 3;

/// Solves one checked part at several loads.
pub(super) struct Stuffer<'a> {
    rest: &'a Rest,
    constants: Constants,
    search: Search,
    /// Where a search starts that knows of no solution nearby, mm.
    begin: Vec<f64>,
    /// The largest fill·R² there, mm².
    lid_mm2: f64,
    /// Whether the search holds the solution of an earlier load.
    warm: bool,
    /// Trials that are left.
    left: u32,
}

impl<'a> Stuffer<'a> {
    pub(super) fn new(rest: &'a Rest, compression_share: f64) -> Self {
        let constants = Constants::new(rest, 0.0, compression_share);
        let search = Search::new(&constants);
        let mut begin = rest.radius_mm.clone();
        start(rest, constants.free.clone(), &mut begin);
        let ends = begin.windows(2).zip(&rest.fill);
        let lid_mm2 = ends.map(|(ends, fill)| fill * ends[0].max(ends[1]).powi(2)).fold(0.0, f64::max);
        let left = (NODE_TRIALS / begin.len().max(1)).clamp(FEWEST_TRIALS, MOST_TRIALS) as u32;
        Stuffer { rest, constants, search, begin, lid_mm2, warm: false, left }
    }

    /// The shape at p/K = `asked_per_mm`, which is above 0.
    pub(super) fn solve(&mut self, asked_per_mm: f64) -> Solved {
        let rest = self.rest;
        let loaded_radius = rest.loaded_radius_mm();
        let asked_load = asked_per_mm * loaded_radius;
        let highest = if asked_load > HIGHEST_LOAD { HIGHEST_LOAD / loaded_radius } else { asked_per_mm };
        let before = self.left;
        let found = if self.search_at(highest) { Some(highest) } else { self.search_below(highest) };
        let iterations = before - self.left;
        let Some(load_per_mm) = found else { return unsolved(rest, asked_per_mm, iterations) };
        let radius_mm = self.search.radius.clone();
        let rise_mm = self.search.now.rise.clone();
        Solved {
            load: load_per_mm * loaded_radius,
            asked_load,
            load_per_mm,
            overstuffed: load_per_mm < asked_per_mm,
            iterations,
            converged: true,
            ..strained(rest, radius_mm, rise_mm)
        }
    }

    /// Whether an equilibrium is found at this p/K; if so, the search holds it.
    fn search_at(&mut self, load_per_mm: f64) -> bool {
        let warm = self.warm;
        if self.search_plainly(load_per_mm) || (warm && self.search_plainly(load_per_mm)) {
            return true;
        }
        let limit = self.slope_limit(load_per_mm);
        let ending = search_softened(&self.begin, &mut self.constants, &mut self.search, limit, self.left);
        self.ended(ending.trials, ending.converged)
    }

    /// The same by the plain search alone, from the last solution where there is one.
    fn search_plainly(&mut self, load_per_mm: f64) -> bool {
        self.constants.set_load(self.rest, load_per_mm);
        let first_shift = if self.warm { NEAR } else { FAR };
        if !self.warm {
            self.search.radius.copy_from_slice(&self.begin);
        }
        let limit = self.slope_limit(load_per_mm);
        let ending = self.search.run(&self.constants, limit, first_shift, USUAL_TRIALS.min(self.left));
        self.ended(ending.trials, ending.converged)
    }

    /// The highest p/K below this one that is found to have an equilibrium, to a tenth; the search then holds it.
    fn search_below(&mut self, load_per_mm: f64) -> Option<f64> {
        let mut low = load_per_mm;
        let mut halved = 0;
        loop {
            (low, halved) = (0.5 * low, halved + 1);
            if self.search_at(low) {
                break;
            }
            if halved == MOST_HALVED || self.left == 0 {
                return None;
            }
        }
        let mut high = 2.0 * low;
        for _ in 0..CLOSED_IN {
            let (at_low, middle) = (self.search.radius.clone(), (low * high).sqrt());
            if self.search_plainly(middle) {
                low = middle;
            } else {
                high = middle;
                self.search.radius = at_low;
                self.warm = true;
            }
        }
        // It may hold the radii alone.
        self.search_plainly(low).then_some(low)
    }

    /// Slopes are in units of 2πK, so p·π·R² is (p/K)·R²/2.
    fn slope_limit(&self, load_per_mm: f64) -> f64 {
        SLOPE_LIMIT * 0.5 * load_per_mm * self.lid_mm2
    }

    fn ended(&mut self, trials: u32, converged: bool) -> bool {
        self.left -= trials.min(self.left);
        let sound = |x: &f64| x.is_finite() && *x > 0.0;
        self.warm = converged && self.search.now.rise.iter().all(sound);
        if !self.warm {
            // Guesses that have gone astray are no help.
            self.search = Search::new(&self.constants);
        }
        self.warm
    }
}
