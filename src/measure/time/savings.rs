//! What could be left out or made simpler, by the minutes that are still to be saved by it. Only what changes
//! neither how the toy stands nor what another part sits on is offered.

use super::{COLOUR_MINUTES, FACE_MINUTES, SEAM_MINUTES, add, faces, is_gone_on_from, is_sewn_on, minutes_there_are};
use crate::figure::Figure;
use crate::measure::report::{Saving, TimeReport};
use crate::toy::{Joint, Seat, Toy, head_by_name};

/// Below this a saving is not worth a word, minutes.
const WORTH_A_WORD: f64 = 5.0;

pub(super) fn savings(toy: &Toy, report: &TimeReport) -> Vec<Saving> {
    let mut found = Vec::new();
    for index in 0..toy.pieces.len() {
        let out = leave_out(toy, report, index);
        if out.is_none() {
            found.extend(work_in_one(toy, index));
        }
        found.extend(out);
        found.extend(one_colour(toy, report, index));
    }
    found.extend(faces(toy).into_iter().filter(|part| !toy.plan.is_face_done(part)).map(simple_face));
    found.retain(|s| s.minutes.value >= WORTH_A_WORD);
    found.sort_by(|a, b| b.minutes.value.total_cmp(&a.minutes.value));
    if let Some(there_are) = minutes_there_are(report).filter(|m| *m < report.left_minutes.value) {
        let mut left = report.left_minutes.value;
        let mut gone: Vec<String> = Vec::new();
        for saving in &mut found {
            // What is left out cannot be made simpler as well.
            if !gone.contains(&saving.part) {
                left -= saving.minutes.value;
            }
            if saving.kind == "leave_out" {
                gone.push(saving.part.clone());
            }
            saving.reaches_wished_day = Some(left <= there_are);
        }
    }
    found
}

fn part_left(toy: &Toy, report: &TimeReport, index: usize) -> Figure {
    let name = &toy.pieces[index].part.name;
    let copies = toy.copies_of(index);
    let seams = (0..copies).filter(|copy| is_sewn_on(toy, index) && !toy.plan.is_sewn(name, *copy)).count();
    add(report.parts[index].left_minutes, SEAM_MINUTES.scaled(seams as f64))
}

/// A part that is sewn on, on which nothing sits, and that is neither the head nor a limb that reaches the floor.
fn leave_out(toy: &Toy, report: &TimeReport, index: usize) -> Option<Saving> {
    let piece = &toy.pieces[index];
    let name = &piece.part.name;
    let carries = toy.pieces.iter().any(|p| p.placement.seat.part() == Some(name));
    let has_extras = toy.extras.iter().any(|e| e.part == *name);
    if !is_sewn_on(toy, index)
        || carries
        || has_extras
        || is_gone_on_from(toy, name)
        || head_by_name(toy) == Some(index)
        || is_needed_by_name(name)
    {
        return None;
    }
    let copies = toy.copies_of(index);
    let them = if copies > 1 { format!("the {copies} of {name}") } else { name.clone() };
    let minutes = part_left(toy, report, index);
    Some(Saving {
        kind: "leave_out",
        part: name.clone(),
        message: format!("Leave out {them}: look at the balance again without."),
        minutes,
        reaches_wished_day: None,
    })
}

/// Bodies, legs and feet are what a toy is and stands on, whatever else it has.
fn is_needed_by_name(name: &str) -> bool {
    let name = name.to_lowercase();
    ["body", "leg", "foot", "feet", "torso", "base"].iter().any(|word| name.contains(word))
}

fn one_colour(toy: &Toy, report: &TimeReport, index: usize) -> Option<Saving> {
    let part = &toy.pieces[index].part;
    let (changes, done) = (report.parts[index].colour_changes, &report.parts[index].rounds_made);
    if changes < 2 {
        return None;
    }
    let rounds = super::rounds_of(part);
    let left: f64 = done.iter().map(|made| rounds[*made as usize..].iter().map(|r| r.1).sum::<f64>()).sum();
    Some(Saving {
        kind: "one_colour",
        part: part.name.clone(),
        message: format!("Work {} in one colour: {left:.0} changes of yarn and their ends fall away.", part.name),
        minutes: COLOUR_MINUTES.scaled(left),
        reaches_wished_day: None,
    })
}

fn simple_face(part: &str) -> Saving {
    // The quickest face against the usual one.
    let least = FACE_MINUTES.low;
    Saving {
        kind: "simple_face",
        part: part.to_owned(),
        message: format!("Give {part} a plain face of two stitched eyes: about {least:.0} min."),
        minutes: Figure { value: FACE_MINUTES.value - least, low: 0.0, high: FACE_MINUTES.high - least },
        reaches_wished_day: None,
    }
}

/// A part that sits rim to rim can be gone on with in place of sewing, as long as neither it nor its seam is begun.
fn work_in_one(toy: &Toy, index: usize) -> Option<Saving> {
    let piece = &toy.pieces[index];
    let name = &piece.part.name;
    let rim_to_rim = piece.placement.joint == Joint::RimToRim && matches!(piece.placement.seat, Seat::OnEnd { .. });
    if !rim_to_rim || toy.copies_of(index) > 1 || toy.plan.is_sewn(name, 0) || toy.plan.rounds_made(name, 0) > 0 {
        return None;
    }
    let onto = piece.placement.seat.part().unwrap_or_default();
    Some(Saving {
        kind: "work_in_one",
        part: name.clone(),
        message: format!("Go on from the rim of {onto} and work {name} the other way round: no seam to sew."),
        minutes: SEAM_MINUTES,
        reaches_wished_day: None,
    })
}
