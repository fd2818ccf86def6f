//! Parts as makers write them, at random and far beyond any toy: every start, finish, base and filling, stitches of
//! every kind, gauges of 0.1 to 100 mm a stitch at 0.3 to 3 times that in height, rounds of 0 to 100,000 stitches.

use super::whole::check;
use super::{KINDS, Kind, Tally, counts};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use toppleknot::part::{Amount, Base, End, Fill, Part, Stuffing};
use toppleknot::rounds::{Finish, Loops, Round, Run, Start, Stitch, StitchKind, even};
use toppleknot::toy::shape::{Covered, ShapeInput};
use toppleknot::yarn::{Yarn, fabric};

/// A round that leaves this many stitches.
fn round(count: u32, dice: &mut ChaCha8Rng) -> Round {
    let kind = StitchKind::ALL[dice.random_range(0..5)];
    let loops = [Loops::Both, Loops::Both, Loops::Front, Loops::Back][dice.random_range(0..4)];
    let stitch = Stitch { loops, ..Stitch::plain(kind) };
    // Some increases, which take half as many stitches of the round below, and some other kind among them.
    let pairs = if dice.random_bool(0.5) { dice.random_range(0..=count / 2) } else { 0 };
    let other = if dice.random_bool(0.2) { dice.random_range(0..=count - 2 * pairs) } else { 0 };
    let runs = [
        Run::new(Stitch { makes: 2, ..stitch }, pairs),
        Run::new(Stitch::SC, other),
        Run::new(stitch, count - 2 * pairs - other),
    ];
    Round::of(runs.into_iter().filter(|run| run.times > 0))
}

/// `low` to `high` on a scale of logarithms.
fn log_range(low: f64, high: f64, dice: &mut ChaCha8Rng) -> f64 {
    low * (high / low).powf(dice.random_range(0.0..1.0))
}

/// The `number`-th random part, always the same. One in a thousand is as long as a whole toy may be, of about as many
/// stitches as that may have.
pub fn random(number: u64) -> (Kind, Part, ShapeInput) {
    let dice = &mut ChaCha8Rng::seed_from_u64(number);
    let most_rounds = if number % 1000 == 999 { 10_000 } else { 120 };
    let rounds = dice.random_range(1..=most_rounds);
    let most = [60, 200, 10_000, 100_000][dice.random_range(0..4)];
    let most = if rounds > 120 { most.min(10_000_000 / rounds as u32) } else { most };
    part_of(number, rounds, most, dice)
}

/// The `number`-th part of the largest size that a file may hold: 10,000 rounds and 5,000,000 stitches, or nearly.
pub fn largest(number: u64) -> (Kind, Part, ShapeInput) {
    let dice = &mut ChaCha8Rng::seed_from_u64(number);
    let (rounds, most) = [(10_000, 900), (10_000, 500), (2_500, 4_000), (100, 100_000)][(number / 5 % 4) as usize];
    part_of(number, rounds, most, dice)
}

/// A part of so many rounds of up to `most` stitches.
fn part_of(number: u64, rounds: usize, most: u32, dice: &mut ChaCha8Rng) -> (Kind, Part, ShapeInput) {
    let kind = KINDS[(number % 5) as usize];
    let mut list: Vec<Round> =
        counts(kind, rounds, 1..=most, dice).into_iter().map(|count| round(count, dice)).collect();
    // Rounds that leave nothing, and rounds of a single stitch.
    if dice.random_bool(0.3) {
        for _ in 0..dice.random_range(1..=3) {
            let at = dice.random_range(0..rounds);
            list[at] = if dice.random_bool(0.5) { Round::default() } else { even(1) };
        }
    }
    let w = log_range(0.1, 100.0, dice);
    let h = w * log_range(0.3, 3.0, dice);
    let yarn = Yarn { stitches_per_10cm: Some(100.0 / w), rounds_per_10cm: Some(100.0 / h), ..Yarn::default() };
    let fabric = fabric(&yarn);
    let chain = log_range(1.0, 10_000.0, dice) as u32;
    let amount = match dice.random_range(0..8) {
        0 => Amount::None,
        1 => Amount::Light,
        2 | 3 => Amount::Medium,
        4 => Amount::Firm,
        _ => Amount::Grams(log_range(1e-3, 1e5, dice)),
    };
    let at_round = |dice: &mut ChaCha8Rng| dice.random_range(0..=rounds as u32 + 2);
    let base_mm = w * log_range(0.1, 10.0 * f64::from(most), dice);
    let part = Part {
        start: match dice.random_range(0..6) {
            0 | 1 => Start::MagicRing,
            2 => Start::ChainRing,
            3 => Start::ChainOval { chain },
            4 => Start::JoinedParts { parts: Vec::new(), chain },
            _ => Start::Rim { part: String::new() },
        },
        rounds: list,
        finish: [Finish::Gathered, Finish::Gathered, Finish::Open, Finish::FoldedFlat][dice.random_range(0..4)],
        stuffing: Stuffing { amount, up_to_round: dice.random_bool(0.3).then(|| at_round(dice)) },
        base: match dice.random_range(0..6) {
            0 => Base::AsWorked,
            1 => Base::Rounded,
            2 => Base::PressedFlat { radius_mm: None },
            3 => Base::PressedFlat { radius_mm: Some(base_mm) },
            4 => Base::BackLoopEdge { round: at_round(dice) },
            _ => Base::Disc { diameter_mm: base_mm },
        },
        base_end: if dice.random_bool(0.3) { End::Finish } else { End::Start },
        ..Part::default()
    };
    let own_stiffness = fabric.stiffness_n_per_m.value();
    let density = dice.random_bool(0.2).then(|| log_range(5.0, 500.0, dice));
    let pressure = dice.random_bool(0.3).then(|| log_range(1e-6, 1e4, dice));
    let input = ShapeInput {
        fabric,
        stiffness_n_per_m: if dice.random_bool(0.5) { own_stiffness } else { log_range(1.0, 1e6, dice) },
        fill: Fill::of(part.stuffing.amount, density, pressure),
        covered: Covered { start: dice.random_bool(0.3), finish: dice.random_bool(0.3), folded: dice.random_bool(0.1) },
        joined_core_mm: w * f64::from(chain) * dice.random_range(0.0..1.0),
    };
    (kind, part, input)
}

/// Tries [`random`] number `number`.
pub fn try_random(number: u64, tally: &mut Tally) {
    let (kind, part, input) = random(number);
    match check(&part, &input) {
        Ok(Some(found)) => {
            // In rounds of up to 10,000 stitches, and as many of them as make a toy, round-off is no excuse.
            let counts = part.counts();
            let excused = counts.len() > 1_000 || counts.iter().any(|n| *n > 10_000);
            assert!(
                found.off < 1e-7 || excused,
                "part {number}, {kind:?}: forces are off by {} of p·π·R², round-off {}",
                found.off,
                found.round_off
            );
            tally.add(found.iterations, found.overstuffed, found.off);
        }
        Ok(None) => {}
        Err(fault) => panic!(
            "part {number}, {kind:?}: {fault}\n{:?}, {:?}, {:?} {:?}, {:?}, {input:?}\n{:?}",
            part.start,
            part.finish,
            part.base,
            part.base_end,
            part.stuffing,
            part.counts()
        ),
    }
}

/// Every part has a whole shape; where it is stuffed, the forces balance. [`super::long_run`] tries a million.
#[test]
fn every_part_has_its_shape() {
    let tally = Tally::of(0..20_000, try_random);
    let (own, over) = (tally.iterations.len(), tally.over.len());
    assert!(own > 5_000 && over > 1_000, "too few are stuffed: {own} at their load, {over} at the most they hold");
    tally.print("parts");
}
