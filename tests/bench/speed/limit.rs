//! How near the solver is to what its arithmetic alone would take on this machine.

use std::hint::black_box;

use toppleknot::stuffing::solve;

use super::lopsided::lopsided;
use super::table::{Row, span, time};
use super::timing::{Span, in_turns};

/// Arithmetic on numbers of 64 bits, for one node.
struct Arithmetic {
    /// Additions, subtractions and multiplications.
    plain: f64,
    divisions: f64,
    roots: f64,
}

/// For the energy and its derivatives at one set of radii, counted in `src/stuffing`, line by line. A link's rise
/// (`rise.rs`): its tilt and push 10, brought within bounds 3 and a root, two steps of third order of 23, two roots and
/// a division each, the check 2. Its terms (`energy.rs`): 55, a root, a division. The two put together: 22, a division.
const EVALUATION: Arithmetic = Arithmetic { plain: 10.0 + 3.0 + 46.0 + 2.0 + 55.0 + 22.0, divisions: 4.0, roots: 6.0 };
/// For one step: forward and back through the tridiagonal system 9 and a division (`tridiagonal.rs`), the new radius
/// and the guess of the rise 7 (`newton.rs`).
const STEP: Arithmetic = Arithmetic { plain: 16.0, divisions: 1.0, roots: 0.0 };

/// So many numbers are worked on side by side that no result is waited for, and few enough for the registers.
const WIDTH: usize = 24;
const LENGTH: usize = 400;

/// Does something to numbers side by side, again and again.
fn side_by_side(step: impl Fn(f64) -> f64) -> [f64; WIDTH] {
    let mut row: [f64; WIDTH] = std::array::from_fn(|i| black_box(1.0 + 0.01 * i as f64));
    for _ in 0..LENGTH {
        row = row.map(&step);
    }
    row
}

pub fn rows() -> Vec<Row> {
    let (rest, membrane) = lopsided(50);
    let steps = f64::from(solve(&rest, &membrane).iterations);
    let nodes = rest.radius_mm.len() as f64;
    let (half, two) = (black_box(0.5), black_box(2.0));
    let [own, plain, division, root] = in_turns(
        2.0,
        [
            &mut || drop(black_box(solve(black_box(&rest), black_box(&membrane)))),
            &mut || _ = black_box(side_by_side(|x| x * half + two)),
            &mut || _ = black_box(side_by_side(|x| two / x)),
            &mut || _ = black_box(side_by_side(f64::sqrt)),
        ],
    );
    let each = (WIDTH * LENGTH) as f64;
    // A turn of plain arithmetic is a multiplication and an addition.
    let seconds = |turn: usize| {
        let of = |a: &Arithmetic| {
            // Divisions and roots share a unit of their own; the longer of the two ways is the limit.
            let slow = a.divisions * division.0[turn] / each + a.roots * root.0[turn] / each;
            (a.plain * plain.0[turn] / (2.0 * each)).max(slow)
        };
        nodes * ((steps + 1.0) * of(&EVALUATION) + steps * of(&STEP))
    };
    let limit: Vec<f64> = (0..own.0.len()).map(seconds).collect();
    let nearness = Span::of(own.0.iter().zip(&limit).map(|(own, limit)| own / limit).collect());
    let all = EVALUATION.plain + STEP.plain;
    let per_second = |times: &[f64], of: f64| Span::of(times.iter().map(|s| of / s * 1e-9).collect());
    vec![Row {
        what: format!(
            "one part of 50 rounds against its arithmetic: {steps} steps and a start, each {all} plain operations, {} \
             divisions, {} roots for each of {nodes} nodes",
            EVALUATION.divisions + STEP.divisions,
            EVALUATION.roots
        ),
        here: time(own.span()),
        against: format!(
            "{} at this machine's {} and divisions and roots of {} and {}",
            time(Span::of(limit)),
            span(per_second(&plain.0, 2.0 * each), "G/s"),
            span(per_second(&division.0, each), "G/s"),
            span(per_second(&root.0, each), "G/s"),
        ),
        ratio: super::table::ratio(nearness),
        aim: "1 is the limit".to_owned(),
    }]
}
