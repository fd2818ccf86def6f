//! Whether stuffing shows, and fabric that is stretched past what any hook mends: one finding a part.

use super::about;
use crate::measure::made::Made;
use crate::measure::report::{FabricReport, Finding, FindingKind, Severity};

/// Stretch from which stitches gape whatever the yarn covers (from memory; a default).
const GAPES: f64 = 0.10;

pub(super) fn look(made: &Made, index: usize, fabric: &FabricReport, found: &mut Vec<Finding>) {
    let name = &fabric.part;
    let stretch = |r: &crate::measure::report::FabricRound| r.stretch_around.max(r.stretch_along);
    let worst = fabric.worst_round.and_then(|r| Some((r as usize, fabric.rounds.get(r as usize - 1)?)));
    if let Some((round, worst)) = worst.filter(|(_, r)| r.verdict == "shows") {
        let tall = worst.cover > crate::measure::openness::limits().shows;
        let (why, remedy) = match fabric.closing_hook_mm {
            _ if tall => ("its stitches are tall".to_owned(), "Work what is stuffed in single crochet.".to_owned()),
            Some(hook) => (
                format!("a hook of {} mm leaves gaps, stretched by {:.0} %", fabric.hook_mm, 100.0 * stretch(worst)),
                format!("Take a hook of {hook} mm, or stuff it more lightly{}.", rule(fabric)),
            ),
            None => (
                format!("a hook of {} mm leaves gaps, stretched by {:.0} %", fabric.hook_mm, 100.0 * stretch(worst)),
                "Take a thicker yarn, line it, or stuff it more lightly.".to_owned(),
            ),
        };
        let message = format!("Stuffing will show between the stitches of {name} at round {round}: {why}.");
        found.push(about(FindingKind::StuffingShows, Severity::Warning, name, Some(round), message, &remedy));
        return;
    }
    let shape = &made.shapes[index];
    let around = shape.stretch_around.iter().copied().enumerate();
    let along = shape.stretch_along.iter().copied().enumerate().map(|(link, e)| (link + 1, e));
    let worst = around.chain(along).filter(|(_, e)| *e > GAPES).max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((node, stretch)) = worst {
        let round = node.clamp(1, fabric.rounds.len().max(1));
        let message = format!("{name} is stretched by {:.0} % at round {round}: its stitches gape.", 100.0 * stretch);
        let remedy = "Stuff it more lightly, or take a smaller hook.";
        found.push(about(FindingKind::Overstretched, Severity::Warning, name, Some(round), message, remedy));
    }
}

/// The rule of two sizes, where the hook at hand does not keep it.
fn rule(fabric: &FabricReport) -> String {
    match fabric.two_below_label_mm.filter(|two| fabric.hook_mm > *two) {
        Some(two) => format!(
            " (two sizes below the label's {} mm is {two} mm: labels name hooks for drape, a toy's fabric has to hold its stuffing)",
            fabric.label_hook_mm
        ),
        None => String::new(),
    }
}
