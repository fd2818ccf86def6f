//! From a document to its report, for toys of 1 to 1,000 parts, and how even the time for a round is.

use std::hint::black_box;

use toppleknot::measure::derive;

use super::table::{Row, ratio, span, time};
use super::timing::in_turns;
use super::toys::{ROUNDS, toy};

const PARTS: [u32; 4] = [1, 12, 100, 1000];
/// The size that the time for a round is held against.
const EVEN_WITH: usize = 1;

pub fn rows() -> Vec<Row> {
    let toys = PARTS.map(toy);
    let work = |i: usize| drop(black_box(derive(black_box(&toys[i]))));
    let times = in_turns(20.0, [&mut || work(0), &mut || work(1), &mut || work(2), &mut || work(3)]);
    let rounds = PARTS.map(|parts| f64::from(parts * ROUNDS));
    let row = |i: usize| {
        // Time for a round over that of the middle size.
        let even = times[i].over(&times[EVEN_WITH]).times(rounds[EVEN_WITH] / rounds[i]);
        Row {
            what: format!("document to report, {} parts of {ROUNDS} rounds", PARTS[i]),
            here: format!("{}: {} a round", time(times[i].span()), span(times[i].span().times(1e6 / rounds[i]), "µs")),
            against: format!("a round of {} parts", PARTS[EVEN_WITH]),
            ratio: ratio(even),
            aim: if i == EVEN_WITH { "below 3 ms" } else { "1 within 20 %" }.to_owned(),
        }
    };
    (0..PARTS.len()).map(row).collect()
}
