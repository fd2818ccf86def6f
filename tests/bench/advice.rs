//! Advice for a toy of 12 parts of 50 rounds: the first change found, and the whole search.
//!
//! `cargo bench --no-default-features --bench advice`

#[path = "common/toys.rs"]
mod toys;

use std::hint::black_box;

use divan::Bencher;
use toppleknot::advise::mend::{Limits, Targets, advise};
use toppleknot::measure::{Glance, derive, derive_again, glance};
use toppleknot::toy::{Joint, Toy};

fn main() {
    divan::main();
}

/// Counts of a part of 50 rounds that swells to `widest`.
fn counts(widest: u32, seed: u32) -> Vec<u32> {
    let slope: Vec<u32> = (1..=widest / 6).map(|i| 6 * i).collect();
    let even = 50 - 2 * slope.len() as u32;
    let mut counts = slope.clone();
    counts.extend((0..even).map(|i| widest + (i * (seed + 3)) % 3));
    counts.extend(slope.iter().rev().map(|n| (*n).max(12)));
    counts
}

/// A narrow round body with a head too heavy for it, and ten limbs around it: 12 parts of 50 rounds each.
fn toy() -> Toy {
    let widest = |i: u32| [42, 60].get(i as usize).copied().unwrap_or(24);
    // Limbs on threads, as jointed toys have them, carry nothing.
    let joint = |i: u32| if i < 2 { Joint::RimOnSurface } else { Joint::Thread };
    toys::toy_of(12, |i| counts(widest(i), i), |i| (20 + (i * 7) % 20, joint(i)))
}

fn wanted(tip: Option<f64>, height: Option<f64>) -> Targets {
    Targets { tip_deg_min: tip, height_mm: height, ..Targets::default() }
}

#[divan::bench(sample_count = 20)]
fn first_suggestion(bencher: Bencher) {
    let toy = toy();
    bencher
        .bench_local(|| advise(black_box(&toy), &Limits::default(), &Targets::default(), &mut |p| p.found.is_none()));
}

#[divan::bench(sample_count = 10)]
fn mend(bencher: Bencher) {
    let toy = toy();
    bencher.bench_local(|| advise(black_box(&toy), &Limits::default(), &Targets::default(), &mut |_| true));
}

#[divan::bench(sample_count = 10)]
fn mend_and_two_targets(bencher: Bencher) {
    let toy = toy();
    let targets = wanted(Some(15.0), Some(500.0));
    bencher.bench_local(|| advise(black_box(&toy), &Limits::default(), &targets, &mut |_| true));
}

/// The toy with one round of its head changed.
fn edited(toy: &Toy) -> Toy {
    let mut edited = toy.clone();
    toppleknot::document::edits::set_count(&mut edited.pieces[1].part, 20, 63);
    edited
}

#[divan::bench]
fn report_of_an_edited_toy(bencher: Bencher) {
    let (toy, edited) = (toy(), edited(&toy()));
    let before = derive(&toy);
    bencher.bench_local(|| derive_again(black_box(&edited), &before));
}

#[divan::bench]
fn one_try(bencher: Bencher) {
    let (toy, edited) = (toy(), edited(&toy()));
    let before = derive(&toy);
    bencher.bench_local(|| -> Glance { glance(black_box(&edited), &before.made) });
}
