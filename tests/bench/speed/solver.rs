//! The stuffed shape against a general minimizer on E(r, z): argmin's L-BFGS, from the same start, ended once its
//! energy is as low as the solver's, and once its forces are as small as the model needs.

#[path = "../../published/stuffing/oracle.rs"]
#[allow(dead_code)]
mod oracle;

use std::hint::black_box;

use argmin::core::{CostFunction, Error, Executor, Gradient, State};
use argmin::solver::linesearch::MoreThuenteLineSearch;
use argmin::solver::quasinewton::LBFGS;
use oracle::Part;
use toppleknot::stuffing::solve;

use super::lopsided::lopsided;
use super::table::{Row, ratio, time};
use super::timing::in_turns;

/// Rounds of the parts.
const ROUNDS: [usize; 4] = [20, 50, 100, 200];
/// L-BFGS has the same energy once it has come so near to it, as a share of the way down from the start.
const SAME_ENERGY: f64 = 1e-9;
/// Forces that it leaves, as a share of p·π·R².
const SAME_FORCES: f64 = 1e-6;

struct InBoth<'a>(&'a Part);

impl CostFunction for InBoth<'_> {
    type Param = Vec<f64>;
    type Output = f64;
    fn cost(&self, row: &Vec<f64>) -> Result<f64, Error> {
        let (r, z) = self.0.unpack(row);
        Ok(self.0.energy(&r, &z))
    }
}

impl Gradient for InBoth<'_> {
    type Param = Vec<f64>;
    type Gradient = Vec<f64>;
    fn gradient(&self, row: &Vec<f64>) -> Result<Vec<f64>, Error> {
        Ok(self.0.gradient(row))
    }
}

/// When a minimization is over.
#[derive(Clone, Copy)]
enum Until {
    Energy(f64),
    Forces(f64),
}

/// Iterations that L-BFGS takes, and the energy it ends at.
fn minimize(part: &Part, until: Until) -> (u64, f64) {
    let (r, z) = part.start();
    let row = part.pack(&r, &z);
    let (energy, forces) = match until {
        Until::Energy(energy) => (energy, 0.0),
        Until::Forces(forces) => (f64::NEG_INFINITY, forces),
    };
    let search = LBFGS::new(MoreThuenteLineSearch::new(), 20)
        .with_tolerance_grad(forces)
        .and_then(|s| s.with_tolerance_cost(0.0))
        .expect("tolerances are not negative");
    let ended = Executor::new(InBoth(part), search)
        .configure(|state| state.param(row).max_iters(100_000).target_cost(energy))
        .timer(false)
        .run()
        .expect("the minimizer runs");
    (ended.state().get_iter(), ended.state().get_best_cost())
}

pub fn rows() -> Vec<Row> {
    ROUNDS.into_iter().flat_map(rows_of).collect()
}

fn rows_of(rounds: usize) -> [Row; 2] {
    let (rest, membrane) = lopsided(rounds);
    let part = Part {
        radius: rest.radius_mm.clone(),
        link: rest.link_mm.clone(),
        pressure: vec![membrane.load_per_mm; rest.link_mm.len()],
        compression_share: membrane.compression_share,
        fixed: [true, true],
    };
    let solved = solve(&rest, &membrane);
    let own_energy = part.energy(&solved.radius_mm, &solved.z_mm);
    let (r, z) = part.start();
    let energy = own_energy + SAME_ENERGY * (part.energy(&r, &z) - own_energy);
    let (by_energy, by_forces) = (Until::Energy(energy), Until::Forces(SAME_FORCES * part.force_scale()));
    let [own, to_energy, to_forces] = in_turns(
        1.5,
        [
            &mut || drop(black_box(solve(black_box(&rest), black_box(&membrane)))),
            &mut || _ = black_box(minimize(black_box(&part), by_energy)),
            &mut || _ = black_box(minimize(black_box(&part), by_forces)),
        ],
    );
    let row = |what: &str, general, until| {
        let (iterations, reached) = minimize(&part, until);
        let short = if matches!(until, Until::Energy(e) if reached > e) { ", which it did not reach" } else { "" };
        Row {
            what: format!("stuffed shape of {rounds} rounds, {what}"),
            here: format!("{}, {} steps", time(own.span()), solved.iterations),
            against: format!("L-BFGS: {}, {iterations} iterations{short}", time(general)),
            aim: "100 or more".to_owned(),
            ..Row::default()
        }
    };
    let same_energy = format!("to the same energy ({SAME_ENERGY:.0e} of the way down)");
    let same_forces = format!("to forces of {SAME_FORCES:.0e}");
    [
        Row { ratio: ratio(to_energy.over(&own)), ..row(&same_energy, to_energy.span(), by_energy) },
        Row { ratio: ratio(to_forces.over(&own)), ..row(&same_forces, to_forces.span(), by_forces) },
    ]
}
