//! What a stitch of each yarn is in each part: the one answer for weights, balance and the yarn that is needed. A stitch in
//! another yarn than the part's own is as wide as the part's, and holds and weighs what that yarn does.

use super::learn::{known, part_fabric_g};
use super::work::yarn_name;
use crate::figure::Assumed;
use crate::toy::Toy;
use crate::yarn::Fabric;

/// The fabric of a yarn by name. `fabrics` are those of the parts, index for index.
pub(super) fn gauge_of(toy: &Toy, fabrics: &[Fabric], name: &str) -> Fabric {
    let worked = toy.pieces.iter().zip(fabrics).enumerate();
    let mut own = worked.filter(|(_, (piece, _))| yarn_name(toy, &piece.part.yarn) == name);
    let unweighed = own.find(|(i, _)| part_fabric_g(toy, *i).is_none());
    unweighed.map_or_else(|| known(toy, name).fabric, |(_, (_, fabric))| *fabric)
}

/// What a yarn that is not the part's own makes in it; `gauge` is that yarn's own fabric. A part that was on the scale has
/// of each of its yarns as much more or less as it weighs more or less than expected.
pub(super) fn other_in_part(toy: &Toy, fabrics: &[Fabric], index: usize, gauge: &Fabric) -> Fabric {
    let fabric = &fabrics[index];
    let mut other = Fabric { w_mm: fabric.w_mm, ..*gauge };
    if part_fabric_g(toy, index).is_some() && fabric.weighed {
        let own = gauge_of(toy, fabrics, yarn_name(toy, &toy.pieces[index].part.yarn));
        let against_own = gauge.widths_per_stitch.value() / own.widths_per_stitch.value();
        let widths = fabric.widths_per_stitch;
        other.widths_per_stitch = Assumed { figure: widths.figure.scaled(against_own), ..widths };
        other.weighed = true;
    }
    other
}
