//! What is worked out beside the report: rest poses and places on the worked fabric. The report itself:
//! `sh tests/speed`.
//!
//! `cargo bench --no-default-features --bench report`

#[path = "common/toys.rs"]
mod toys;

use std::hint::black_box;

use divan::Bencher;
use toppleknot::measure::{derive, land, placements};
use toys::toy;

fn main() {
    divan::main();
}

#[divan::bench(args = [1, 12, 100])]
fn rest_poses(bencher: Bencher, parts: u32) {
    let derived = derive(&toy(parts));
    bencher.bench_local(|| land(black_box(&derived)));
}

#[divan::bench(args = [1, 12])]
fn maps(bencher: Bencher, parts: u32) {
    let toy = toy(parts);
    let derived = derive(&toy);
    bencher.bench_local(|| placements(black_box(&toy), black_box(&derived)));
}
