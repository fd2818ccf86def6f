//! Cautions. The program informs; it certifies nothing, and local law and a licensed test come first.

use super::{about, whole};
use crate::measure::report::{Finding, FindingKind, Severity};
use crate::toy::{ExtraKind, Toy};

/// The small-parts cylinder is 31.7 mm across (16 CFR 1501.4; EN 71-1): what fits in is a choking hazard under
/// 36 months.
pub const SMALL_PARTS_MM: f64 = 31.7;

pub(super) fn look(toy: &Toy, found: &mut Vec<Finding>) {
    let young = toy.settings.child_months.is_none_or(|m| m < 36);
    let known = toy.settings.child_months.is_some();
    // Said outright for a small child, as a caution where the age is not known.
    let severity = match (young, known) {
        (true, true) => Severity::Severe,
        (true, false) => Severity::Warning,
        (false, _) => Severity::Note,
    };
    for extra in &toy.extras {
        let name = &extra.name;
        let (message, remedy) = match extra.kind {
            ExtraKind::Eye { diameter_mm } if diameter_mm < SMALL_PARTS_MM => (
                format!(
                    "{name}: {diameter_mm:.0} mm across, it fits the small-parts cylinder (31.7 mm, 16 CFR 1501.4 and EN 71-1) and can choke a child under 36 months if it comes off."
                ),
                "Stitch the eyes for a child under three. Local law and testing decide.",
            ),
            ExtraKind::Pellets => (
                format!("{name}: pellets that get out can be swallowed."),
                "Keep them in a sewn inner bag, and out of toys for children under three. Local law and testing decide.",
            ),
            ExtraKind::Weight => (
                format!(
                    "{name}: a hard weight inside can be swallowed if it gets out, or hurt when the toy is thrown."
                ),
                "Sew it into an inner bag; for a child under three, widen the base instead. Local law and testing decide.",
            ),
            ExtraKind::NeckStick => (
                format!("{name}: a stick in the neck can break or come through the fabric."),
                "Never in a child's toy: widen and stuff the neck instead.",
            ),
            ExtraKind::Eye { .. } | ExtraKind::Other => continue,
        };
        found.push(about(FindingKind::Safety, severity, &extra.part, None, message, remedy));
    }
    if toy.settings.child_months.is_some_and(|m| m < 12) {
        found.push(whole(
            FindingKind::Safety,
            Severity::Warning,
            "Soft toys do not belong in the bed of a child under one year (American Academy of Pediatrics, 2022).",
            "Give it for waking hours, with someone near.",
        ));
    }
}
