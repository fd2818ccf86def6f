//! What the shape of a part is worked out from, before anything was weighed or measured on it.

use std::sync::Arc;

use super::made::{fabric_of, fill_of};
use crate::figure::{Assumed, Origin};
use crate::part::Fill;
use crate::toy::pose;
use crate::toy::shape::{Covered, PartShape, ShapeInput, part_shape};
use crate::toy::{Seat, Toy};
use crate::yarn::{Fabric, Yarn, fabric};

/// A figure that the maker set, where it means anything.
pub(super) fn set(x: Option<f64>) -> Option<f64> {
    x.filter(|v| v.is_finite() && *v > 0.0)
}

/// The fabric of a yarn with what the maker has set for the whole toy.
pub(super) fn fabric_before(toy: &Toy, yarn: Option<&Yarn>) -> Fabric {
    let mut fabric = fabric(&toy.settings.in_hand(yarn.unwrap_or(&Yarn::default())));
    if let Some(stiffness) = set(toy.settings.fabric_n_per_m) {
        fabric.stiffness_n_per_m = Assumed::new(stiffness, 1.0, Origin::Measured);
    }
    fabric
}

/// The filling of a part as the maker describes it.
pub(super) fn fill_before(toy: &Toy, index: usize) -> Option<Fill> {
    let part = &toy.pieces[index].part;
    if !part.is_stuffed() {
        return None;
    }
    Fill::of(part.stuffing.amount, set(toy.settings.density_g_per_l), set(toy.settings.pressure_kpa))
}

fn input_with(toy: &Toy, index: usize, fabric: Fabric, fill: Option<Fill>) -> ShapeInput {
    let piece = &toy.pieces[index];
    let mut covered = pose::covered(toy, index);
    if piece.placement.seat == Seat::Beside {
        // A part that waits to be placed has open ends that will be sewn.
        covered = Covered { start: true, finish: true, ..covered };
    }
    ShapeInput {
        fabric,
        stiffness_n_per_m: fabric.stiffness_n_per_m.value(),
        fill,
        covered,
        joined_core_mm: pose::joined_core_mm(toy, index, fabric.w_mm.value()),
    }
}

/// Everything the shape of a part follows from, besides the part.
pub fn shape_input(toy: &Toy, index: usize) -> ShapeInput {
    input_with(toy, index, fabric_of(toy, index), fill_of(toy, index))
}

/// The shape of a part in this fabric with this filling.
pub(super) fn shape_with(toy: &Toy, index: usize, fabric: Fabric, fill: Option<Fill>) -> PartShape {
    part_shape(&toy.pieces[index].part, &input_with(toy, index, fabric, fill))
}

/// The same, taken over from one of `before` where it follows from the same rounds, yarn, stuffing and seams.
pub(super) fn shape_again(
    toy: &Toy,
    index: usize,
    fabric: Fabric,
    fill: Option<Fill>,
    before: &[Arc<PartShape>],
) -> Arc<PartShape> {
    let part = &toy.pieces[index].part;
    let input = input_with(toy, index, fabric, fill);
    // A part mostly keeps its place in the list; one that is new before it moves it on.
    let same = before.get(index).into_iter().chain(before).find(|s| s.is_of(part, &input));
    same.cloned().unwrap_or_else(|| Arc::new(part_shape(part, &input)))
}
