//! The stuffed shape against a general minimizer: argmin's L-BFGS on E(r, z), both to a gradient of 1e-6 of p·π·R² or
//! better, from the same start. Prints the ratio of the times, then times the solver alone.

#[path = "../published/stuffing/oracle.rs"]
#[allow(dead_code)]
mod oracle;

use argmin::core::{CostFunction, Error, Executor, Gradient, State};
use argmin::solver::linesearch::MoreThuenteLineSearch;
use argmin::solver::quasinewton::LBFGS;
use oracle::Part;
use std::f64::consts::TAU;
use std::hint::black_box;
use std::time::{Duration, Instant};
use toppleknot::stuffing::{Change, Edge, Membrane, Rest, response, solve, solve_weighed};

const ROUNDS: [usize; 4] = [20, 50, 100, 200];

fn main() {
    for rounds in ROUNDS {
        compare(rounds);
    }
    divan::main();
}

/// A lopsided toy of this many rounds: a wide ball, a waist, a smaller ball, gathered shut; load 0.03.
fn toy(rounds: usize) -> (Rest, Membrane) {
    let size = rounds as f64;
    let counts = (1..=rounds).map(|i| {
        let at = i as f64 / (rounds + 1) as f64;
        let ball = |from: f64, to: f64| (1.0 - ((2.0 * at - from - to) / (to - from)).powi(2)).max(0.0).sqrt();
        (size * (1.9 * ball(0.0, 0.65)).max(1.2 * ball(0.55, 1.0))).round().max(3.0)
    });
    let mut radius: Vec<f64> = std::iter::once(0.0).chain(counts.map(|n| n * 5.0 / TAU)).collect();
    let mut link = vec![4.75; rounds];
    link.push(radius[rounds]);
    radius.push(0.0);
    let rest = Rest::stuffed(radius, link, Edge::Pole, Edge::Pole).expect("a toy");
    let membrane = Membrane::new(0.03 / rest.loaded_radius_mm());
    (rest, membrane)
}

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

/// Where L-BFGS ends, and its iterations.
fn minimize(part: &Part) -> (Vec<f64>, u64) {
    let (r, z) = part.start();
    let row = part.pack(&r, &z);
    let search = LBFGS::new(MoreThuenteLineSearch::new(), 20)
        .with_tolerance_grad(1e-6 * part.force_scale())
        .and_then(|s| s.with_tolerance_cost(0.0))
        .expect("tolerances are not negative");
    let ended = Executor::new(InBoth(part), search)
        .configure(|state| state.param(row).max_iters(100_000))
        .timer(false)
        .run()
        .expect("the minimizer runs");
    (ended.state().get_best_param().expect("a best place").clone(), ended.state().get_iter())
}

/// The shortest of several runs.
fn shortest<T>(times: u32, mut run: impl FnMut() -> T) -> Duration {
    let once = |run: &mut dyn FnMut() -> T| {
        let start = Instant::now();
        black_box(run());
        start.elapsed()
    };
    (0..times).map(|_| once(&mut run)).min().unwrap_or_default()
}

fn compare(rounds: usize) {
    let (rest, membrane) = toy(rounds);
    let part = Part {
        radius: rest.radius_mm.clone(),
        link: rest.link_mm.clone(),
        pressure: vec![membrane.load_per_mm; rest.link_mm.len()],
        compression_share: membrane.compression_share,
        fixed: [true, true],
    };
    let solved = solve(&rest, &membrane);
    let (row, iterations) = minimize(&part);
    let (r, z) = part.unpack(&row);
    let radius = rest.loaded_radius_mm();
    let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) / radius;
    let own = shortest(200, || solve(black_box(&rest), black_box(&membrane)));
    let general = shortest(3, || minimize(black_box(&part)));
    println!(
        "{rounds} rounds: own {own:.1?} ({} trials, forces off {:.0e}), L-BFGS {general:.1?} ({iterations} iterations, \
         forces off {:.0e}), {:.0} times faster; apart by {:.0e} of the radius in r, {:.0e} in z",
        solved.iterations,
        part.imbalance(&solved.radius_mm, &solved.z_mm),
        part.imbalance(&r, &z),
        general.as_secs_f64() / own.as_secs_f64(),
        apart(&solved.radius_mm, &r),
        apart(&solved.z_mm, &z),
    );
}

#[divan::bench(args = ROUNDS)]
fn stuffed(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = toy(rounds);
    bencher.bench(|| solve(black_box(&rest), black_box(&membrane)));
}

#[divan::bench(args = ROUNDS)]
fn answer_to_load(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = toy(rounds);
    let solved = solve(&rest, &membrane);
    bencher.bench(|| response(black_box(&rest), &membrane, &solved, Change::Load));
}

#[divan::bench(args = ROUNDS)]
fn weighed(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = toy(rounds);
    let volume = toppleknot::stuffing::stuffed_volume_mm3(&rest, &solve(&rest, &membrane));
    bencher.bench(|| solve_weighed(black_box(&rest), 0.02, |v| membrane.load_per_mm * (volume / v).powi(3)));
}
