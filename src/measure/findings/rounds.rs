//! Findings about the rounds themselves: counts that do not follow from one another.

use std::f64::consts::TAU;

use super::about;
use crate::measure::made::Made;
use crate::measure::report::{Finding, FindingKind, Severity};
use crate::rounds::Finish;
use crate::toy::Toy;

/// Stitches above the flat count from which a round ruffles.
const RUFFLES_ABOVE: f64 = 1.5;

pub(super) fn look(toy: &Toy, made: &Made, index: usize, found: &mut Vec<Finding>) {
    let part = &toy.pieces[index].part;
    let fabric = made.shapes[index].fabric;
    let mut push = |kind, severity, round: usize, message: String, remedy: &str| {
        found.push(about(kind, severity, &part.name, Some(round), message, remedy));
    };
    let name = &part.name;
    for (i, round) in part.rounds.iter().enumerate() {
        let (number, count) = (i + 1, round.count());
        if count == 0 {
            push(
                FindingKind::EmptyRound,
                Severity::Severe,
                number,
                format!("{name}, round {number}: no stitch is left."),
                "Give the round its stitches, or take it out.",
            );
            continue;
        }
        for run in &round.runs {
            let (uses, makes) = (run.stitch.uses, run.stitch.makes);
            // The ends of a chain oval (round 1) take three in one, and a frill is meant to be full.
            let meant = i == 0 || (round.frill && makes <= 4);
            if makes >= 3 && uses <= 1 && !meant {
                let severity = if makes > 4 { Severity::Severe } else { Severity::Warning };
                let text = format!("{name}, round {number}: {makes} stitches in one.");
                push(FindingKind::ManyInOne, severity, number, text, "Spread the increases over more stitches.");
                break;
            }
        }
        let Some(below) = i.checked_sub(1).map(|b| part.rounds[b].count()) else { continue };
        if below == 0 {
            continue;
        }
        if round.uses() != below {
            let severity = if round.uses() > below { Severity::Severe } else { Severity::Warning };
            push(
                FindingKind::StitchesDiffer,
                severity,
                number,
                format!("{name}, round {number} is worked into {} stitches, but there are {below}.", round.uses()),
                "Correct the round, or the one below it.",
            );
        }
        if count > 2 * below {
            let severity = if count > 4 * below { Severity::Severe } else { Severity::Warning };
            push(
                FindingKind::TooManyIncreases,
                if round.frill { Severity::Note } else { severity },
                number,
                format!("{name}, round {number}: from {below} to {count} stitches is more than double."),
                "Add a round between, so that no stitch has to hold more than two.",
            );
        } else if 2 * count < below {
            push(
                FindingKind::TooManyDecreases,
                Severity::Warning,
                number,
                format!("{name}, round {number}: from {below} to {count} stitches, fewer than two go into one."),
                "Add a round between, so that each decrease takes two stitches.",
            );
        } else if i >= 2 && !round.frill && count > below {
            // ΔN = k = 2π·h/w lies flat, more ruffles.
            let flat = TAU * fabric.height_to_width.value() * round.height_in_single();
            let gained = f64::from(count - below);
            if gained > flat + RUFFLES_ABOVE {
                push(
                    FindingKind::Ruffles,
                    Severity::Warning,
                    number,
                    format!(
                        "{name}, round {number} gains {gained:.0} stitches; the fabric lies flat at about {flat:.0}, so it ruffles."
                    ),
                    "Spread the increases over more rounds, or mark the round as a frill.",
                );
            }
        }
    }
    if let Some(last) = part.rounds.last()
        && part.finish == Finish::Gathered
        && !part.closes()
    {
        push(
            FindingKind::DoesNotClose,
            Severity::Warning,
            part.rounds.len(),
            format!("{name} ends with {} stitches, too many to draw shut.", last.count()),
            "Decrease to 12 or fewer, or leave the end open to be sewn.",
        );
    }
}
