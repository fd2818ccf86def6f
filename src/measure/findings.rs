//! What the maker should look at, each with the remedy. Thresholds that are no trade practice are from memory:
//! defaults of the program.

mod balance;
mod bearing;
mod fabric;
mod openness;
mod rounds;
mod safety;
mod yarn;

pub(super) use balance::must_stand;
pub use balance::toward;
pub(super) use safety::cautions;

use super::need::YarnNeed;
use super::report::{CautionsReport, FabricReport, Finding, FindingKind, Severity};
use super::{Made, necks::Neck, standing::Standing};
use crate::figure::Figure;
use crate::rounds::Start;
use crate::toy::Toy;
use crate::toy::pose::Unplaced;

/// Everything there is to say about a toy, worst first.
pub fn findings(
    toy: &Toy,
    made: &Made,
    standing: Option<(&Standing, Figure)>,
    necks: &[Neck],
    head_ratio: Option<f64>,
    (fabrics, cautions): (&[FabricReport], &CautionsReport),
) -> Vec<Finding> {
    let mut found = Vec::new();
    if toy.pieces.iter().all(|p| p.part.rounds.is_empty()) {
        found.push(whole(
            FindingKind::NothingThere,
            Severity::Warning,
            "There are no rounds yet.",
            "Paste the written rounds of a part, or start from one of the samples.",
        ));
    }
    for (index, piece) in toy.pieces.iter().enumerate() {
        rounds::look(toy, made, index, &mut found);
        fabric::look(toy, made, index, &mut found);
        openness::look(made, index, &fabrics[index], &mut found);
        names(toy, index, &mut found);
        start_names(toy, index, &mut found);
        place(made, index, &piece.part.name, &mut found);
    }
    for extra in toy.extras.iter().filter(|e| toy.piece_named(&e.part).is_none()) {
        found.push(Finding {
            message: format!("{} belongs to the part \"{}\", which there is not.", extra.name, extra.part),
            ..whole(FindingKind::UnknownName, Severity::Warning, "", "Choose the part it is in or on.")
        });
    }
    balance::look(toy, made, standing, necks, head_ratio, &mut found);
    safety::look(cautions, &mut found);
    found.sort_by_key(|f| std::cmp::Reverse(f.severity));
    found
}

/// What there is to say about yarn that does not last.
pub(super) fn yarn_short(needs: &[YarnNeed]) -> Vec<Finding> {
    let mut found = Vec::new();
    yarn::look(needs, &mut found);
    found
}

/// A finding about the whole toy.
fn whole(kind: FindingKind, severity: Severity, message: &str, remedy: &str) -> Finding {
    Finding { kind, severity, part: None, round: None, message: message.to_owned(), remedy: remedy.to_owned() }
}

/// A finding about a part, and perhaps one of its rounds.
fn about(
    kind: FindingKind,
    severity: Severity,
    part: &str,
    round: Option<usize>,
    message: String,
    remedy: &str,
) -> Finding {
    let round = round.and_then(|r| u32::try_from(r).ok());
    Finding { kind, severity, part: Some(part.to_owned()), round, message, remedy: remedy.to_owned() }
}

/// Names that a part uses and nothing has.
fn names(toy: &Toy, index: usize, found: &mut Vec<Finding>) {
    let part = &toy.pieces[index].part;
    if toy.pieces[..index].iter().any(|p| p.part.name == part.name) {
        found.push(about(
            FindingKind::UnknownName,
            Severity::Warning,
            &part.name,
            None,
            format!("Two parts are called \"{}\".", part.name),
            "Give each part a name of its own, so that others can sit on the right one.",
        ));
    }
    if !part.yarn.is_empty() && !toy.yarns.iter().any(|y| y.name == part.yarn) {
        found.push(about(
            FindingKind::UnknownName,
            Severity::Warning,
            &part.name,
            None,
            format!(
                "{} is worked in \"{}\", which is not among the yarns; the first yarn is taken.",
                part.name, part.yarn
            ),
            "Choose its yarn again.",
        ));
    }
}

/// The size that the pattern says, held against the one that comes out. Only where every part is in its place: a
/// toy without its ears or legs is no measure.
pub(super) fn size_differs(toy: &Toy, made: &Made, height_mm: Figure) -> Option<Finding> {
    let said = toy.settings.pattern_height_mm.filter(|h| h.is_finite() && *h > 0.0)?;
    let whole_toy = made.poses.iter().all(|p| p.unplaced.is_none());
    if !whole_toy || (height_mm.low..=height_mm.high).contains(&said) {
        return None;
    }
    let Figure { value, low, high } = height_mm;
    Some(whole(
        FindingKind::SizeDiffers,
        Severity::Note,
        &format!(
            "The pattern says {said:.0} mm tall; in this yarn and hook it comes out {value:.0} mm ({low:.0}–{high:.0})."
        ),
        "Take the pattern's yarn and hook if the size matters, or go by the size shown here.",
    ))
}

/// Parts that a start speaks of and there are not.
fn start_names(toy: &Toy, index: usize, found: &mut Vec<Finding>) {
    let part = &toy.pieces[index].part;
    let wanted: Vec<&String> = match &part.start {
        Start::JoinedParts { parts, .. } => parts.iter().collect(),
        Start::Rim { part } => vec![part],
        Start::MagicRing | Start::ChainRing | Start::ChainOval { .. } => Vec::new(),
    };
    for name in wanted {
        if toy.piece_named(name).is_none_or(|i| i == index) {
            found.push(about(
                FindingKind::UnknownName,
                Severity::Warning,
                &part.name,
                Some(1),
                format!("{} goes on from \"{name}\", which there is not.", part.name),
                "Add that part, or begin this one another way.",
            ));
            return;
        }
    }
}

fn place(made: &Made, index: usize, name: &str, found: &mut Vec<Finding>) {
    let (severity, message, remedy) = match made.poses[index].unplaced {
        None | Some(Unplaced::Empty) => return,
        Some(Unplaced::Beside) => (
            Severity::Note,
            format!("{name} has no place in the toy yet: its yarn and weight are counted, the balance leaves it out."),
            "Say which part it sits on, and where.",
        ),
        Some(Unplaced::NoParent) => (
            Severity::Warning,
            format!("{name} sits on a part that is missing or has no place itself."),
            "Choose the part it sits on again.",
        ),
        Some(Unplaced::Circle) => (
            Severity::Warning,
            format!("{name} sits on itself by way of other parts."),
            "Let one part of the circle stand on the floor.",
        ),
    };
    found.push(about(FindingKind::Unplaced, severity, name, None, message, remedy));
}
