//! What outlines are worked in.

use toppleknot::part::{Amount, Fill};
use toppleknot::toy::shape::{Covered, ShapeInput};
use toppleknot::yarn::{Yarn, fabric};

/// Stitches of 5 mm, rounds of 4.65 mm, medium stuffing, rims sewn on.
pub fn input() -> ShapeInput {
    let yarn = Yarn { stitches_per_10cm: Some(20.0), rounds_per_10cm: Some(21.5), ..Yarn::default() };
    let fabric = fabric(&yarn);
    ShapeInput {
        fabric,
        stiffness_n_per_m: fabric.stiffness_n_per_m.value(),
        fill: Fill::of(Amount::Medium, None, None),
        covered: Covered { start: true, finish: true, folded: false },
        joined_core_mm: 0.0,
    }
}
