//! Findings about balance: standing, the head's weight, the neck.

use super::{about, bearing, whole};
use crate::figure::Figure;
use crate::measure::joint::{JointVerdict, nod_deg};
use crate::measure::made::Made;
use crate::measure::necks::{Neck, Place, small_g};
use crate::measure::report::{Finding, FindingKind, Severity};
use crate::measure::standing::{StandVerdict, Standing};
use crate::toy::{Purpose, Seat, Toy};

/// Head-to-body mass from which a toy that does not stand is called head-heavy (from memory; a default).
const HEAVY_HEAD: f64 = 0.8;
/// Lean by itself that is worth a word, degrees (from memory; a default).
const LEANS: f64 = 3.0;

/// Lean below which a toy topples, degrees.
const TIPS_EASILY: f64 = 4.0;

/// Whether the toy is meant to keep upright by itself.
pub(in crate::measure) fn must_stand(purpose: Purpose) -> bool {
    matches!(purpose, Purpose::Sit | Purpose::StandOnTwo | Purpose::StandOnFour)
}

/// A direction in a maker's words: 0 the front, 90 the toy's left.
pub fn toward(deg: f64) -> &'static str {
    const WORDS: [&str; 8] = [
        "the front",
        "its front left",
        "its left",
        "its back left",
        "the back",
        "its back right",
        "its right",
        "its front right",
    ];
    let eighth = (deg / 45.0).round().rem_euclid(8.0) as usize;
    WORDS[eighth.min(7)]
}

pub(super) fn look(
    toy: &Toy,
    made: &Made,
    standing: Option<(&Standing, Figure)>,
    necks: &[Neck],
    head_ratio: Option<f64>,
    found: &mut Vec<Finding>,
) {
    if let Some((standing, tip)) = standing.filter(|_| must_stand(toy.purpose)) {
        stands(standing, tip, head_ratio, found);
        bearing::look(toy, made, standing, necks, found);
    }
    let on_floor =
        toy.pieces.iter().any(|p| matches!(p.placement.seat, Seat::Floor { .. }) && !p.part.rounds.is_empty());
    if standing.is_none() && on_floor && must_stand(toy.purpose) {
        found.push(whole(
            FindingKind::NothingToStandOn,
            Severity::Severe,
            "Nothing stuffed stands on the floor, so the toy cannot keep upright.",
            "Stuff the part it stands on, or let it lie, hang or be floppy.",
        ));
    }
    for neck in necks {
        holds(toy, made, neck, found);
    }
}

fn stands(standing: &Standing, tip: Figure, head_ratio: Option<f64>, found: &mut Vec<Finding>) {
    let (severity, kind, text) = match standing.verdict {
        StandVerdict::Stands => (None, FindingKind::TipsEasily, String::new()),
        StandVerdict::TipsEasily => (
            Some(Severity::Warning),
            FindingKind::TipsEasily,
            format!(
                "It tips easily: leaning {:.0}° toward {} is enough.",
                standing.weakest.tip_deg,
                toward(standing.weakest.toward_deg)
            ),
        ),
        StandVerdict::Topples => (
            Some(Severity::Severe),
            FindingKind::TipsEasily,
            format!(
                "It topples: leaning {:.0}° toward {} is enough.",
                standing.weakest.tip_deg,
                toward(standing.weakest.toward_deg)
            ),
        ),
        StandVerdict::Rocks => (
            Some(Severity::Severe),
            FindingKind::Rocks,
            "It does not stand: set upright, it rolls over by itself.".to_owned(),
        ),
    };
    if let Some(severity) = severity {
        let heavy = head_ratio.filter(|r| *r >= HEAVY_HEAD);
        match heavy {
            Some(ratio) => found.push(whole(
                FindingKind::HeadHeavy,
                severity,
                &format!("The head is too heavy for what it stands on: head to body {ratio:.2} to 1. {text}"),
                "Make the head smaller or the body wider, flatten the base, or put a weight low in the body.",
            )),
            None => found.push(whole(
                kind,
                severity,
                &text,
                "Give it a wider or flat base, set the feet further out, or put a weight low in the body.",
            )),
        }
    }
    if severity.is_none() && tip.low < TIPS_EASILY {
        found.push(whole(
            FindingKind::TipsEasily,
            Severity::Warning,
            &if tip.low < 0.5 {
                "It may not stand: with a looser hand or other stuffing it can roll over by itself.".to_owned()
            } else {
                format!(
                    "It may topple: it should lean {:.0}° before it falls, but with a looser hand or other stuffing only {:.0}°.",
                    tip.value, tip.low
                )
            },
            "Flatten the base or put a disc in it to be sure, or measure your gauge and weigh your stuffing.",
        ));
    }
    if standing.settle_deg > LEANS && severity.is_none() {
        found.push(whole(
            FindingKind::LeansByItself,
            Severity::Note,
            &format!("It does not rest upright but leans {:.0}° by itself.", standing.settle_deg),
            "Move the parts that hang out to one side, or balance them on the other.",
        ));
    }
    if standing.too_soft {
        found.push(whole(
            FindingKind::TooSoft,
            Severity::Warning,
            "What it stands on is too soft for its weight and sinks flat.",
            "Stuff the base firmer, or put a disc in it.",
        ));
    }
}

fn holds(toy: &Toy, made: &Made, neck: &Neck, found: &mut Vec<Finding>) {
    let above = neck.load.centre_mm.z > neck.pivot_mm.z;
    if !above || matches!(toy.purpose, Purpose::Floppy | Purpose::Hang) {
        return;
    }
    let name = &toy.pieces[neck.part].part.name;
    let (spot, round) = match neck.place {
        Place::Seam { onto, .. } => (format!("The seam of {name} on {}", toy.pieces[onto].part.name), None),
        Place::Round { node } => (format!("{name}, round {node}"), Some(node)),
    };
    let mut push = |kind, severity, message: String, remedy: &str| {
        found.push(about(kind, severity, name, round, message, remedy));
    };
    let share = neck.joint.load_share();
    let small = neck.load.mass_g < small_g(made);
    let lying = toy.purpose == Purpose::Lie;
    match neck.joint.verdict() {
        JointVerdict::Holds | JointVerdict::Held => {}
        JointVerdict::Nods => push(
            FindingKind::FloppyNeck,
            if small || lying { Severity::Note } else { Severity::Warning },
            format!(
                "{spot} wobbles: it holds upright, but beyond a lean of {:.0}° what it carries nods over.",
                nod_deg(share).unwrap_or(90.0)
            ),
            "Stuff it firmer, or work it a few stitches wider. Weigh your stuffing: it decides the neck.",
        ),
        JointVerdict::Flops => push(
            FindingKind::FloppyNeck,
            if small || lying { Severity::Note } else { Severity::Severe },
            format!("{spot} flops: it can bear only {:.0} % of what it carries.", 100.0 * share),
            "Work it wider, stuff it firmer, or make what it carries lighter. Weigh your stuffing: it decides the neck.",
        ),
    }
    if neck.joint.sinks() && !small {
        push(
            FindingKind::NeckSinks,
            Severity::Warning,
            format!("{spot}: what it carries presses it flat and sinks into it."),
            "Stuff it firmer, or work it wider.",
        );
    }
}
