//! A rest shape to be solved: a wide ball, a waist, a smaller ball.

use std::f64::consts::TAU;

use toppleknot::stuffing::{Edge, Membrane, Rest};

/// A lopsided part of this many rounds, gathered shut at both ends; load 0.03.
pub fn lopsided(rounds: usize) -> (Rest, Membrane) {
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
    let rest = Rest::stuffed(radius, link, Edge::Pole, Edge::Pole).expect("a part");
    let membrane = Membrane::new(0.03 / rest.loaded_radius_mm());
    (rest, membrane)
}
