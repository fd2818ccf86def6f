//! Where the search for the stuffed radii starts.

use super::rest::Rest;
use std::ops::Range;

/// Steepest start of a link, as a share of its length: it leaves every link a rise.
const STEEPEST: f64 = 0.9;

/// Writes the rest radii, cut down where a link could not reach from one node to the next, to `radius_mm`. Only the
/// nodes in `free` are cut; the others are fixed.
pub(super) fn start(rest: &Rest, free: Range<usize>, radius_mm: &mut [f64]) {
    radius_mm.copy_from_slice(&rest.radius_mm);
    for i in free.clone() {
        if i > 0 {
            radius_mm[i] = radius_mm[i].min(radius_mm[i - 1] + STEEPEST * rest.link_mm[i - 1]);
        }
    }
    for i in free.rev() {
        if i + 1 < radius_mm.len() {
            radius_mm[i] = radius_mm[i].min(radius_mm[i + 1] + STEEPEST * rest.link_mm[i]);
        }
    }
}
