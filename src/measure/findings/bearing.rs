//! Findings about legs: what is too limp to stand on, and what its load presses flat.

use super::about;
use crate::measure::joint::Joint;
use crate::measure::made::Made;
use crate::measure::necks::{Neck, Place};
use crate::measure::report::{Finding, FindingKind, Severity};
use crate::measure::stand::stands_on;
use crate::measure::standing::Standing;
use crate::measure::weigh::placed;
use crate::toy::{Purpose, Toy};

/// How far below the floor a limp part reaches before it is worth a word, mm (from memory; a default).
const REACHES_MM: f64 = 5.0;

pub(super) fn look(toy: &Toy, made: &Made, standing: &Standing, necks: &[Neck], found: &mut Vec<Finding>) {
    let on = stands_on(made, standing);
    limp_below(toy, made, &on, found);
    pressed_flat(toy, made, standing, (&on, necks), found);
}

/// Parts whose own seam cannot hold them and that reach below what bears: they fold away.
fn limp_below(toy: &Toy, made: &Made, on: &[usize], found: &mut Vec<Finding>) {
    let names: Vec<&str> = on.iter().map(|i| toy.pieces[*i].part.name.as_str()).collect();
    for (index, pose) in made.poses.iter().enumerate().filter(|(_, p)| p.limp) {
        let reach = made.outsides_of(index).map(|s| s.support_mm(glam::DVec3::NEG_Z));
        let below_mm = reach.fold(f64::NEG_INFINITY, f64::max);
        if pose.bears || below_mm < REACHES_MM {
            continue;
        }
        let name = &toy.pieces[index].part.name;
        let meant = matches!(toy.purpose, Purpose::StandOnTwo | Purpose::StandOnFour);
        found.push(about(
            FindingKind::FloppyNeck,
            if meant { Severity::Warning } else { Severity::Note },
            name,
            None,
            format!(
                "{name} is too limp to stand on: its seam cannot hold it, so it folds away and the toy comes down on {}.",
                names.join(", ")
            ),
            "Stuff it firmer, or work it wider where it is sewn on. Weigh your stuffing: it decides this.",
        ));
    }
}

/// Legs whose seam or narrowest round the toy's weight presses flat, shared out evenly among what touches the floor.
fn pressed_flat(toy: &Toy, made: &Made, standing: &Standing, at: (&[usize], &[Neck]), found: &mut Vec<Finding>) {
    let (on, necks) = at;
    let touching = standing.touching.len() as f64;
    let total_g = placed(&made.poses, &made.masses).mass_g;
    let mut told: Vec<usize> = Vec::new();
    for neck in necks.iter().filter(|n| on.contains(&n.part)) {
        let hangs_on = made.poses[neck.part].parent.is_some_and(|onto| !on.contains(&onto));
        if !hangs_on || told.contains(&neck.part) {
            continue;
        }
        // What lies beyond the joint, seen from the body, stands on the floor itself.
        let above_g = (total_g / touching - neck.load.mass_g).max(0.0);
        if !(Joint { mass_beyond_g: above_g, ..neck.joint }).sinks() {
            continue;
        }
        told.push(neck.part);
        let name = &toy.pieces[neck.part].part.name;
        let (spot, round) = match neck.place {
            Place::Seam { onto, .. } => (format!("{name} on {}", toy.pieces[onto].part.name), None),
            Place::Round { node } => (format!("{name}, round {node}"), Some(node)),
        };
        found.push(about(
            FindingKind::TooSoft,
            Severity::Warning,
            name,
            round,
            format!("{spot}: its share of the toy's weight, {above_g:.0} g, presses it flat."),
            "Stuff it firmer or work it wider, or spread the weight over more or broader feet.",
        ));
    }
}
