//! Any bytes are a part: its shape is whole, and where it is stuffed it has an equilibrium: every rise is above 0 and
//! an independent sum of the forces balances at every node to 1e-7 of p·π·R². No part is let off. Only where round-off
//! alone makes more of that sum (a rim that is held thousands of link lengths from the next round, by forces 1e8 times
//! as large), it need not be less than round-off makes.
#![no_main]

#[path = "../../published/stuffing/oracle.rs"]
#[allow(dead_code)]
mod oracle;
#[path = "../../published/stuffing/whole.rs"]
mod whole;

use libfuzzer_sys::arbitrary::{self, Arbitrary, Unstructured};
use libfuzzer_sys::fuzz_target;
use toppleknot::part::{Amount, Base, End, Fill, Part, Stuffing};
use toppleknot::rounds::{Finish, Loops, Round, Start, StitchKind, rounds_of_counts};
use toppleknot::toy::shape::{Covered, ShapeInput};
use toppleknot::yarn::{Yarn, fabric};

/// A part as bytes choose it.
#[derive(Arbitrary, Debug)]
struct Wanted {
    start: u8,
    finish: u8,
    base: u8,
    at_finish: bool,
    chain: u8,
    edge: u16,
    amount: u8,
    grams: u16,
    up_to: Option<u8>,
    covered: [bool; 3],
    /// Powers of ten in 256 steps: stitch width, height to width, stiffness, pressure.
    gauge: u8,
    tall: u8,
    stiffness: u8,
    pressure: Option<u8>,
    /// Counts, with a byte for the kind of stitch.
    rounds: Vec<(u8, u8, bool)>,
}

/// `low` to `high` on a scale of logarithms.
fn between(step: u8, low: f64, high: f64) -> f64 {
    low * (high / low).powf(f64::from(step) / 255.0)
}

fn rounds(wanted: &Wanted) -> Vec<Round> {
    // Long counts go to 10,200 stitches; longer ones would only make every try slow.
    let count = |(n, _, long): &(u8, u8, bool)| if *long { 40 * u32::from(*n) } else { u32::from(*n) };
    let counts: Vec<u32> = wanted.rounds.iter().map(|r| count(r).max(1)).collect();
    let Ok(mut rounds) = rounds_of_counts(&counts) else { return Vec::new() };
    for (round, (n, how, _)) in rounds.iter_mut().zip(&wanted.rounds) {
        for run in &mut round.runs {
            run.stitch.kind = StitchKind::ALL[usize::from(*how) % 5];
            run.stitch.loops = [Loops::Both, Loops::Front, Loops::Back][usize::from(*how / 5) % 3];
        }
        if *n == 0 {
            round.runs.clear();
        }
    }
    rounds
}

fn part(wanted: &Wanted) -> Part {
    let mm = f64::from(wanted.edge) / 100.0;
    Part {
        start: match wanted.start % 5 {
            0 => Start::MagicRing,
            1 => Start::ChainRing,
            2 => Start::ChainOval { chain: wanted.chain.into() },
            3 => Start::JoinedParts { parts: Vec::new(), chain: wanted.chain.into() },
            _ => Start::Rim { part: String::new() },
        },
        rounds: rounds(wanted),
        finish: [Finish::Gathered, Finish::Open, Finish::FoldedFlat][usize::from(wanted.finish) % 3],
        stuffing: Stuffing {
            amount: match wanted.amount % 5 {
                0 => Amount::None,
                1 => Amount::Light,
                2 => Amount::Medium,
                3 => Amount::Firm,
                _ => Amount::Grams(f64::from(wanted.grams) / 10.0),
            },
            up_to_round: wanted.up_to.map(u32::from),
        },
        base: match wanted.base % 6 {
            0 => Base::AsWorked,
            1 => Base::Rounded,
            2 => Base::PressedFlat { radius_mm: None },
            3 => Base::PressedFlat { radius_mm: Some(mm) },
            4 => Base::BackLoopEdge { round: wanted.edge.into() },
            _ => Base::Disc { diameter_mm: mm },
        },
        base_end: if wanted.at_finish { End::Finish } else { End::Start },
        ..Part::default()
    }
}

fuzz_target!(|data: &[u8]| {
    let Ok(wanted) = Wanted::arbitrary_take_rest(Unstructured::new(data)) else { return };
    let part = part(&wanted);
    // From a thread of a tenth of a millimetre to stitches as wide as a hand.
    let width = between(wanted.gauge, 0.1, 100.0);
    let tall = width * between(wanted.tall, 0.3, 3.0);
    let yarn = Yarn { stitches_per_10cm: Some(100.0 / width), rounds_per_10cm: Some(100.0 / tall), ..Yarn::default() };
    let [start, finish, folded] = wanted.covered;
    let input = ShapeInput {
        fabric: fabric(&yarn),
        stiffness_n_per_m: between(wanted.stiffness, 1.0, 1e6),
        fill: Fill::of(part.stuffing.amount, None, wanted.pressure.map(|p| between(p, 1e-6, 1e4))),
        covered: Covered { start, finish, folded },
        joined_core_mm: f64::from(wanted.chain) * width,
    };
    if let Err(fault) = whole::check(&part, &input) {
        panic!("{fault}: {wanted:?}");
    }
});
