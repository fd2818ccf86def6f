//! The long run: a million lists of counts of five kinds, half of them as [`super::random_part`] has them, half far beyond
//! any toy, and as many parts as makers write them. DEVELOPERS.md has the figures of the last one.

use super::whole::{check, round_off};
use super::{
    Edge, KINDS, Kind, Membrane, Rest, Tally, any_edge, as_oracle, counts, fault, imbalance, part_of_rounds, parts,
    try_random_part,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::time::Instant;
use toppleknot::stuffing::{solve, solve_weighed, stuffed_volume_mm3};

/// The `number`-th list, always the same: 1 to 120 rounds of 1 to 200, 10,000 or 100,000 stitches, 0.3 to 3 times as
/// high as wide and of all stitch kinds, stuffed to any round, under loads down to 5e-5.
fn extreme(number: u64) -> (Kind, u32, Rest, Membrane) {
    let dice = &mut ChaCha8Rng::seed_from_u64(number);
    let kind = KINDS[(number % 5) as usize];
    let rounds = dice.random_range(1..=120);
    let most = [200, 10_000, 100_000][dice.random_range(0..3)];
    let list = counts(kind, rounds, 1..=most, dice);
    let w = 10f64.powf(dice.random_range(-1.0..2.0));
    let h = w * 10f64.powf(dice.random_range(-0.523..0.477));
    // Slip stitch to treble, as `StitchKind::height_in_single` has them.
    let tall = |dice: &mut ChaCha8Rng| [0.5, 1.0, 4.0 / 3.0, 2.0, 3.0][dice.random_range(0..5)];
    let mixed = dice.random_bool(0.5);
    let heights: Vec<f64> = list.iter().map(|_| if mixed { h * tall(dice) } else { h }).collect();
    let (first, last) = (any_edge(dice), any_edge(dice));
    // A single round has two nodes where it starts from a pole; else it is a rim and no link.
    let first = if rounds == 1 { Edge::Pole } else { first };
    let empty = if dice.random_bool(0.2) { dice.random_range(0..rounds) } else { rounds + 9 };
    let rest = part_of_rounds(&list, &heights, w, first, last, |i| if i < empty { 1.0 } else { 0.05 });
    let load = 10f64.powf(dice.random_range(-4.3..-0.603));
    let membrane = Membrane::new(load / rest.loaded_radius_mm());
    (kind, most, rest, membrane)
}

/// Tries [`extreme`] number `number`; every tenth as stuffing that is weighed, too.
fn try_extreme(number: u64, tally: &mut Tally) {
    let (kind, most, rest, membrane) = extreme(number);
    let solved = solve(&rest, &membrane);
    let off = imbalance(&rest, &membrane, &solved);
    let at = Membrane { load_per_mm: solved.load_per_mm, ..membrane };
    let round_off = round_off(&as_oracle(&rest, &at), &solved.radius_mm, &solved.z_mm);
    let excused = most > 10_000 && off < round_off;
    if let Some(fault) = fault(&rest, &membrane, &solved).filter(|_| !(solved.converged && excused)) {
        panic!("list {number}, {kind:?}: {fault}, round-off {round_off}\n{rest:?}\n{membrane:?}");
    }
    tally.add(solved.iterations, solved.overstuffed, off);
    let volume = stuffed_volume_mm3(&rest, &solved);
    if number.is_multiple_of(10) && volume > 0.0 {
        let more = 10f64.powf((number / 10 % 100) as f64 / 25.0 - 2.0);
        let law = |v: f64| membrane.load_per_mm * (more * volume / v).powi(3);
        let found = solve_weighed(&rest, membrane.compression_share, law);
        let pushes = law(found.volume_mm3) * rest.loaded_radius_mm();
        let load = found.solved.load;
        let settled = found.solved.converged
            && if found.slack {
                pushes < 1e-4
            } else {
                pushes / load > if found.solved.overstuffed { 0.9 } else { 1.0 - 1e-6 }
            }
            && (found.solved.overstuffed || found.slack || pushes / load < 1.0 + 1e-6);
        assert!(
            settled,
            "list {number}, {kind:?}: stuffing at load {load} would push {pushes}\n{rest:?}\n{membrane:?}"
        );
    }
}

#[test]
fn lists_far_beyond_any_toy_have_their_equilibrium() {
    Tally::of(0..20_000, try_extreme).print("lists far beyond any toy");
}

/// `cargo test --release --no-default-features --test laws -- --ignored million --nocapture`. It says how it stands after
/// every tenth; the numbers of a run that was cut short are those of its parts so far.
#[test]
#[ignore = "eleven minutes of one core in a release build"]
fn a_million_parts_have_their_equilibrium() {
    const TENTH: u64 = 50_000;
    let start = Instant::now();
    let run = |what: &str, tenth: u64, try_one: &(dyn Fn(u64, &mut Tally) + Sync)| {
        let mut all = Tally::default();
        for from in (0..10).map(|i| i * tenth) {
            all.take(Tally::of(from..from + tenth, try_one));
            all.print(&format!("{:.0?}: {} {what}", start.elapsed(), from + tenth));
        }
    };
    run("lists of counts", TENTH, &try_random_part);
    run("lists far beyond any toy", TENTH, &try_extreme);
    run("parts", 2 * TENTH, &parts::try_random);
}

/// The slowest of 400 parts of the largest size that a file may hold, `--ignored largest --nocapture` as above.
#[test]
#[ignore = "prints times, which mean something in a release build alone"]
fn parts_of_the_largest_size_take_their_time() {
    let mut slowest = (0.0, 0, 0);
    for number in 0..400 {
        let (_, part, input) = parts::largest(number);
        let start = Instant::now();
        let found = check(&part, &input);
        let seconds = start.elapsed().as_secs_f64();
        let found = found.unwrap_or_else(|fault| panic!("part {number}: {fault}"));
        if seconds > slowest.0 {
            slowest = (seconds, number, found.map_or(0, |found| found.iterations));
        }
    }
    println!("slowest of 400: {:.2} s, part {}, {} trials", slowest.0, slowest.1, slowest.2);
}
