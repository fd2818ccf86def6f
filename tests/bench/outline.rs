//! Rounds from outlines: a wide body, a waist, a head, of about so many rounds; and the outline pulled at one round.

use std::hint::black_box;

use divan::Bencher;
use glam::DVec2;
use toppleknot::advise::outline::{HalfOutline, Rules, pull, rounds_of_outline};

#[path = "../common/outline_input.rs"]
mod outline_input;
use outline_input::input;

fn main() {
    divan::main();
}

/// An outline as long as `rounds` rounds of 4.65 mm: two balls that run into each other.
fn figure(rounds: usize) -> HalfOutline {
    let line: Vec<DVec2> = (0..=400)
        .map(|i| {
            let z = f64::from(i) / 400.0;
            let ball = |from: f64, to: f64| (1.0 - ((2.0 * z - from - to) / (to - from)).powi(2)).max(0.0).sqrt();
            let (body, head) = (0.27 * ball(0.0, 0.66), 0.2 * ball(0.58, 1.0));
            // A rounded neck where the two meet.
            DVec2::new(
                (body.powi(6) + head.powi(6) + 0.13f64.powi(6) * f64::from(u8::from((0.5..0.7).contains(&z))))
                    .powf(1.0 / 6.0),
                z,
            )
        })
        .collect();
    let length: f64 = line.windows(2).map(|p| p[0].distance(p[1])).sum();
    let size = rounds as f64 * 4.65 * 1.01 / length;
    HalfOutline::new(&line.iter().map(|p| size * *p).collect::<Vec<_>>()).expect("an outline")
}

#[divan::bench(args = [20, 60, 120])]
fn rounds_for_an_outline(bencher: Bencher, rounds: usize) {
    let (outline, input, rules) = (figure(rounds), input(), Rules::default());
    if let Ok(fit) = rounds_of_outline(&outline, &input, &rules) {
        println!(
            "{} rounds, off {:.2} mm at most, {:.2} rms: {:?}",
            fit.counts().len(),
            fit.error.max_mm,
            fit.error.rms_mm,
            fit.counts()
        );
    }
    bencher.bench(|| rounds_of_outline(black_box(&outline), &input, &rules));
}

#[divan::bench(args = [20, 60])]
fn a_pull_at_one_round(bencher: Bencher, rounds: usize) {
    let (outline, input, rules) = (figure(rounds), input(), Rules::default());
    let Ok(fit) = rounds_of_outline(&outline, &input, &rules) else { return };
    let radius = fit.outline[rounds / 3 + 1].x + 6.0;
    bencher.bench(|| pull(black_box(&fit.part), &input, rounds / 3, radius, &rules));
}
