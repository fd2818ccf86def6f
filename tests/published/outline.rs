//! Rounds for the outline of a sphere, against the handbook.

use std::f64::consts::{PI, TAU};

use toppleknot::advise::outline::{Rules, StartShape, rounds_of_outline};
use toppleknot::part::{Amount, Fill};
use toppleknot::toy::shape::{Covered, ShapeInput};
use toppleknot::yarn::{Yarn, fabric};

/// A sphere under pressure is in tension p·r/2 each way (thin-walled pressure vessels, any strength-of-materials
/// handbook). A fabric of stiffness K stretches by p·r/2K, so the round at the equator needs 2πr/(1 + p·r/2K) of
/// stitches, and all rounds together are πr/(1 + p·r/2K) long. r is that of the fabric's middle. To one stitch and
/// one round: that is how whole they are. Friendly multiples, which may be taken instead, are switched off.
#[test]
fn a_sphere_returns_its_circumference() {
    let yarn = Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.5), ..Yarn::default() };
    let fabric = fabric(&yarn);
    let (w, h) = (fabric.w_mm.value(), fabric.h_mm.value());
    for (amount, diameter_mm) in [(Amount::Light, 60.0), (Amount::Medium, 80.0), (Amount::Firm, 120.0)] {
        let fill = Fill::of(amount, None, None).expect("a filling");
        let stiffness_n_per_m = fabric.stiffness_n_per_m.value();
        let input = ShapeInput {
            fabric,
            stiffness_n_per_m,
            fill: Some(fill),
            covered: Covered::default(),
            joined_core_mm: 0.0,
        };
        let rules = Rules { friendly: 1, friendly_costs: 0.0, ..Rules::default() };
        let outline = StartShape::Ball.outline(diameter_mm, diameter_mm).expect("a sphere");
        let fit = rounds_of_outline(&outline, &input, &rules).expect("rounds");
        let counts = fit.counts();
        let radius = 0.5 * (diameter_mm - fabric.thickness_mm());
        let stretch = 1.0 + fill.pressure_kpa.value() * radius / (2.0 * stiffness_n_per_m);
        let widest = f64::from(counts.iter().copied().max().unwrap_or(0));
        let wanted = TAU * radius / stretch / w;
        assert!((widest - wanted).abs() <= 1.0, "{diameter_mm} mm: {widest} against {wanted:.2} in {counts:?}");
        let last = f64::from(counts[counts.len() - 1]) * w / TAU;
        let rounds = (PI * radius / stretch - last) / h;
        assert!((counts.len() as f64 - rounds).abs() <= 1.0, "{} rounds against {rounds:.2}", counts.len());
        // And it comes out as wide as it was wanted.
        assert!((fit.shape.widest_mm() - diameter_mm).abs() < 0.5 * w);
    }
}
