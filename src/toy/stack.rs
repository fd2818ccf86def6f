//! Seats for parts that come without any, as from written rounds: the body stands, the head sits on it, what
//! was worked together stays together, and the rest lies beside.

use super::{Joint, Seat, Toy};
use crate::part::End;
use crate::rounds::{Round, Start};

/// Whether a name speaks of this thing as a word of its own ("Head", "head 2", not "headband").
pub(crate) fn names(name: &str, thing: &[&str]) -> Option<usize> {
    let lower = name.to_lowercase();
    lower.split(|c: char| !c.is_alphabetic()).position(|word| thing.contains(&word))
}

const HEAD: [&str; 2] = ["head", "heads"];
const BODY: [&str; 3] = ["body", "torso", "trunk"];

/// Position of the head among the parts of a toy: by name. A part that is head and body in one is the body.
pub fn head_by_name(toy: &Toy) -> Option<usize> {
    toy.pieces.iter().position(|p| names(&p.part.name, &HEAD).is_some() && names(&p.part.name, &BODY).is_none())
}

/// Position of the body among the parts: by name, else the one of most stitches that is not the head.
pub(crate) fn body_by_name(toy: &Toy) -> Option<usize> {
    let named = toy.pieces.iter().position(|p| names(&p.part.name, &BODY).is_some());
    named.or_else(|| {
        let head = head_by_name(toy);
        let most = |skip: Option<usize>| {
            let parts = toy.pieces.iter().enumerate().filter(|(i, _)| Some(*i) != skip);
            parts.max_by(|a, b| a.1.part.stitches().cmp(&b.1.part.stitches()).then(b.0.cmp(&a.0))).map(|(i, _)| i)
        };
        most(head).or_else(|| most(None))
    })
}

/// Seats for every part of a toy that has none at all. A toy in which any part has a seat is left alone.
pub fn stack_by_default(toy: &mut Toy) {
    if toy.pieces.iter().any(|p| p.placement.seat != Seat::Beside) {
        return;
    }
    if let Some(body) = body_by_name(toy) {
        let down = end_below(toy, body);
        toy.pieces[body].placement.seat = Seat::Floor { down, x_mm: 0.0, y_mm: 0.0 };
        toy.pieces[body].part.base_end = down;
    }
    for index in 0..toy.pieces.len() {
        seat_by_default(toy, index);
    }
}

/// The end of the body that is down. A part with one closed end stands on that. One that is closed at both (head
/// and body in one, say) stands on the end its name puts the body at, else on the one that a back-loop round edges,
/// else on the heavier side of its waist, else on its first round.
fn end_below(toy: &Toy, body: usize) -> End {
    let part = &toy.pieces[body].part;
    if let (Some(head), Some(own)) = (names(&part.name, &HEAD), names(&part.name, &BODY)) {
        return if head < own { End::Finish } else { End::Start };
    }
    let joined = matches!(part.start, Start::JoinedParts { .. });
    match (joined || part.start_is_closed(), part.closes()) {
        (false, true) => return End::Finish,
        (true, true) if !joined => {}
        _ => return End::Start,
    }
    let counts = part.counts();
    let edge = part.rounds.iter().position(Round::is_back_loop);
    if let Some(edge) = edge {
        // The rim of the closing disc: everything from it on decreases.
        let closing = |from: usize| counts[from..].windows(2).all(|c| c[1] < c[0]) && counts.len() - from >= 2;
        if closing(edge) || (edge + 1 < counts.len() && closing(edge + 1)) {
            return End::Finish;
        }
        if counts[..edge].windows(2).all(|c| c[1] > c[0]) {
            return End::Start;
        }
    }
    waist(&counts).map_or(End::Start, |waist| {
        let sum = |list: &[u32]| list.iter().map(|c| u64::from(*c)).sum::<u64>();
        if sum(&counts[waist..]) > sum(&counts[..waist]) { End::Finish } else { End::Start }
    })
}

/// The narrowest round between two that are at least a third wider.
fn waist(counts: &[u32]) -> Option<usize> {
    let mut found: Option<usize> = None;
    let mut right = vec![0; counts.len() + 1];
    for i in (0..counts.len()).rev() {
        right[i] = counts[i].max(right[i + 1]);
    }
    let mut left = 0;
    for (i, &count) in counts.iter().enumerate() {
        left = left.max(count);
        let sides = u64::from(left.min(right[i]));
        if 3 * sides >= 4 * u64::from(count) && found.is_none_or(|f| count < counts[f]) {
            // The ends of a part are narrow too, but have a wider round on one side only.
            found = Some(i);
        }
    }
    found
}

/// A seat for one part that has none, where one can be told: a head on the body, a part that another was
/// worked around or that is continued from another. Anything else stays beside.
pub fn seat_by_default(toy: &mut Toy, index: usize) {
    if toy.pieces[index].placement.seat != Seat::Beside {
        return;
    }
    let name = toy.pieces[index].part.name.clone();
    let worked_around = toy.pieces.iter().position(|p| match &p.part.start {
        Start::JoinedParts { parts, .. } => parts.contains(&name),
        _ => false,
    });
    if let Some(parent) = worked_around.filter(|p| *p != index) {
        let part = toy.pieces[parent].part.name.clone();
        let placement = &mut toy.pieces[index].placement;
        placement.seat = Seat::OnEnd { part, end: End::Start };
        placement.joint = Joint::WorkedInOne;
        return;
    }
    if let Start::Rim { part } = &toy.pieces[index].part.start {
        if toy.piece_named(part).is_some_and(|p| p != index) {
            let seat = Seat::OnEnd { part: part.clone(), end: End::Finish };
            let placement = &mut toy.pieces[index].placement;
            placement.seat = seat;
            placement.joint = Joint::WorkedInOne;
            placement.by = Some(End::Start);
        }
        return;
    }
    if head_by_name(toy) == Some(index) {
        let Some(body) = body_by_name(toy).filter(|b| *b != index) else { return };
        let Seat::Floor { down, .. } = toy.pieces[body].placement.seat else { return };
        let end = down.other();
        let part = &toy.pieces[body].part;
        let body_open = match end {
            End::Start => !part.start_is_closed(),
            End::Finish => !part.closes(),
        };
        let head = &toy.pieces[index].part;
        let head_open = !head.start_is_closed() || !head.closes();
        let seat = Seat::OnEnd { part: part.name.clone(), end };
        let placement = &mut toy.pieces[index].placement;
        placement.seat = seat;
        placement.joint = if body_open && head_open { Joint::RimToRim } else { Joint::RimOnSurface };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::Part;
    use crate::rounds::{Finish, rounds_of_counts};
    use crate::toy::Piece;

    fn piece(name: &str, counts: &[u32], finish: Finish) -> Piece {
        let rounds = rounds_of_counts(counts).expect("counts above zero");
        Piece { part: Part { name: name.into(), rounds, finish, ..Part::default() }, ..Piece::default() }
    }

    #[test]
    fn head_sits_on_body_and_the_rest_lies_beside() {
        let mut toy = Toy {
            pieces: vec![
                piece("Headband", &[60, 60, 60, 60, 60, 60, 60, 60], Finish::Open),
                piece("Head", &[6, 12, 18, 18, 12], Finish::Open),
                piece("Body", &[6, 12, 12], Finish::Open),
            ],
            ..Toy::default()
        };
        stack_by_default(&mut toy);
        assert!(matches!(toy.pieces[2].placement.seat, Seat::Floor { down: End::Start, .. }));
        assert_eq!(toy.pieces[1].placement.seat, Seat::OnEnd { part: "Body".into(), end: End::Finish });
        assert_eq!(toy.pieces[1].placement.joint, Joint::RimToRim);
        assert_eq!(toy.pieces[0].placement.seat, Seat::Beside);
    }

    #[test]
    fn a_head_worked_before_its_body_in_one_is_on_top() {
        let mut toy =
            Toy { pieces: vec![piece("Head and body", &[6, 12, 6, 12, 6], Finish::Gathered)], ..Toy::default() };
        stack_by_default(&mut toy);
        assert!(matches!(toy.pieces[0].placement.seat, Seat::Floor { down: End::Finish, .. }));
    }

    #[test]
    fn one_piece_stands_on_its_larger_half_or_its_edged_end() {
        let down = |counts: &[u32], back: Option<usize>| {
            let mut toy = Toy { pieces: vec![piece("Penguin", counts, Finish::Gathered)], ..Toy::default() };
            if let Some(back) = back {
                for run in &mut toy.pieces[0].part.rounds[back].runs {
                    run.stitch.loops = crate::rounds::Loops::Back;
                }
            }
            stack_by_default(&mut toy);
            toy.pieces[0].part.base_end
        };
        let head_first = [6, 12, 18, 24, 24, 18, 24, 30, 36, 36, 36, 36, 30, 24, 18, 12, 6];
        let mut body_first = head_first;
        body_first.reverse();
        assert_eq!(down(&head_first, None), End::Finish);
        assert_eq!(down(&body_first, None), End::Start);
        assert_eq!(down(&head_first, Some(12)), End::Finish);
        assert_eq!(down(&[6, 12, 18, 24, 24, 24, 18, 12, 6], None), End::Start);
    }

    #[test]
    fn a_lone_head_stands_by_itself() {
        let mut toy = Toy { pieces: vec![piece("Head", &[6, 12, 6], Finish::Gathered)], ..Toy::default() };
        stack_by_default(&mut toy);
        assert!(matches!(toy.pieces[0].placement.seat, Seat::Floor { .. }));
    }
}
