//! Findings about the fabric as it is stuffed: stretched, gathered, open.

use super::about;
use crate::measure::made::Made;
use crate::measure::report::{Finding, FindingKind, Severity};
use crate::part::{Base, End};
use crate::rounds::Finish;
use crate::toy::pose::covered;
use crate::toy::shape::ShapeKind;
use crate::toy::{Seat, Toy};

/// Gathering from which a round ruffles (from memory; a default).
const GATHERED: f64 = 0.15;

/// The worst of some values and where it is, if it is above a limit.
fn worst(values: impl Iterator<Item = (usize, f64)>, limit: f64) -> Option<(usize, f64)> {
    values.filter(|(_, v)| *v > limit).max_by(|a, b| a.1.total_cmp(&b.1))
}

pub(super) fn look(toy: &Toy, made: &Made, index: usize, found: &mut Vec<Finding>) {
    let (piece, shape) = (&toy.pieces[index], &made.shapes[index]);
    let part = &piece.part;
    let name = &part.name;
    let rounds = part.rounds.len();
    let mut push = |kind, severity, round, message: String, remedy: &str| {
        found.push(about(kind, severity, name, round, message, remedy));
    };
    if !shape.converged {
        push(
            FindingKind::ShapeNotFound,
            Severity::Warning,
            None,
            format!("The stuffed shape of {name} could not be found; it is shown as before stuffing."),
            "Look at its rounds and its gauge for a slip.",
        );
    }
    if shape.overstuffed {
        push(
            FindingKind::Overstuffed,
            Severity::Severe,
            None,
            format!("{name} is overstuffed: this fabric cannot hold stuffing packed so hard."),
            "Stuff it more lightly, or work it tighter or in a thicker yarn.",
        );
    }
    let number = |node: usize| (node >= 1 && node <= rounds).then_some(node);
    let around = shape.stretch_around.iter().copied().enumerate();
    let flat = shape.flat;
    let on_base = |node: usize| match flat {
        Some(flat) if flat.end == End::Start => node <= flat.edge_node,
        Some(flat) => node >= flat.edge_node,
        None => false,
    };
    let gathers = around
        .filter(|(node, _)| number(*node).is_some_and(|r| r >= 3 && !part.rounds[r - 1].frill && !on_base(*node)))
        .map(|(node, stretch)| (node, -stretch));
    if let Some((node, gathered)) = worst(gathers, GATHERED) {
        push(
            FindingKind::Ruffles,
            Severity::Note,
            Some(node),
            format!(
                "{name} gathers at round {node}: stuffed, it is {:.0} % narrower than its stitches.",
                100.0 * gathered
            ),
            "Fewer stitches there, or more even rounds beside it, give a smooth surface.",
        );
    }
    if shape.flat.is_none()
        && matches!(part.base, Base::Disc { .. } | Base::BackLoopEdge { .. } | Base::PressedFlat { .. })
    {
        push(
            FindingKind::BaseIgnored,
            Severity::Warning,
            None,
            format!("{name} cannot have the flat base it is given: there is no disc of increases there for it."),
            "Choose a smaller disc, the back-loop round at the edge of the base, or a rounded base.",
        );
    }
    cups(toy, made, index, &mut push);
    let covers = covered(toy, index);
    let beside = piece.placement.seat == Seat::Beside;
    let stuffed = shape.kind == ShapeKind::Stuffed;
    let mut open = |end: &str, round: usize| {
        push(
            FindingKind::OpenEnd,
            Severity::Warning,
            Some(round),
            format!("Nothing covers the opening at the {end} of {name}: the stuffing has a way out."),
            "Draw it shut, fold it flat, or sew it to another part.",
        );
    };
    let start_open = !part.start_is_closed() && !matches!(part.start, crate::rounds::Start::JoinedParts { .. });
    if stuffed && !beside && rounds > 0 {
        if start_open && !covers.start {
            open("start", 1);
        }
        let finish_open = !part.closes() && part.finish != Finish::FoldedFlat;
        if finish_open && !covers.finish && part.finish == Finish::Open {
            open("end", rounds);
        }
    }
}

/// A base that is meant to lie flat and has too few stitches to do so.
fn cups(
    toy: &Toy,
    made: &Made,
    index: usize,
    push: &mut impl FnMut(FindingKind, Severity, Option<usize>, String, &str),
) {
    let (part, shape) = (&toy.pieces[index].part, &made.shapes[index]);
    let Some(flat) = shape.flat.filter(|f| f.end == End::Start && part.base != Base::Rounded) else { return };
    let per_round = std::f64::consts::TAU * shape.fabric.height_to_width.value();
    for i in 2..flat.edge_node.min(part.rounds.len()) {
        let (below, round) = (f64::from(part.rounds[i - 1].count()), &part.rounds[i]);
        let missing = per_round * round.height_in_single() - (f64::from(round.count()) - below);
        if missing > 1.5 {
            let text = format!(
                "The base of {} is to lie flat, but round {} gains {missing:.0} stitches too few: it cups.",
                part.name,
                i + 1
            );
            push(FindingKind::Cups, Severity::Note, Some(i + 1), text, "Increase more in the rounds of the base.");
            return;
        }
    }
}
