//! The stuffed shape, its answer to a change, and the shape of a weighed filling. Against a general minimizer:
//! `sh tests/speed`.
//!
//! `cargo bench --no-default-features --bench solver`

#[path = "common/lopsided.rs"]
mod lopsided;

use std::hint::black_box;

use lopsided::lopsided;
use toppleknot::stuffing::{Change, response, solve, solve_weighed, stuffed_volume_mm3};

const ROUNDS: [usize; 4] = [20, 50, 100, 200];

fn main() {
    divan::main();
}

#[divan::bench(args = ROUNDS)]
fn stuffed(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = lopsided(rounds);
    bencher.bench(|| solve(black_box(&rest), black_box(&membrane)));
}

#[divan::bench(args = ROUNDS)]
fn answer_to_load(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = lopsided(rounds);
    let solved = solve(&rest, &membrane);
    bencher.bench(|| response(black_box(&rest), &membrane, &solved, Change::Load));
}

#[divan::bench(args = ROUNDS)]
fn weighed(bencher: divan::Bencher, rounds: usize) {
    let (rest, membrane) = lopsided(rounds);
    let volume = stuffed_volume_mm3(&rest, &solve(&rest, &membrane));
    bencher.bench(|| solve_weighed(black_box(&rest), 0.02, |v| membrane.load_per_mm * (volume / v).powi(3)));
}
