//! Feet elsewhere: further apart, further forward or back, lower, turned.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::toy::{Copies, Seat, Toy};

/// What is moved.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    /// Toward the front (or the back) around the part they are sewn to, degrees a step.
    Around(f64),
    /// Toward the start (or the finish) of the part they are sewn to, rounds a step.
    Along(f64),
    /// Nod, degrees a step.
    Nod(f64),
    /// Apart on the floor, mm a step.
    Apart(f64),
}

struct Feet {
    part: usize,
    way: Way,
    steps: u32,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    for part in context.base_parts() {
        let placement = &context.toy.pieces[part].placement;
        let mut add = |way, steps| all.push(Rc::new(Feet { part, way, steps }));
        match placement.seat {
            Seat::OnSurface { .. } => {
                if placement.copies != Copies::One || context.base_parts().len() > 1 {
                    for way in [Way::Around(5.0), Way::Around(-5.0)] {
                        add(way, 8);
                    }
                }
                for way in [Way::Along(0.5), Way::Along(-0.5)] {
                    add(way, 6);
                }
                for way in [Way::Nod(5.0), Way::Nod(-5.0)] {
                    add(way, 6);
                }
            }
            Seat::Floor { .. } if placement.copies == Copies::MirroredPair => add(Way::Apart(2.0), 8),
            _ => {}
        }
    }
}

/// An angle in −180 to 180.
fn within(deg: f64) -> f64 {
    let turned = (deg + 180.0).rem_euclid(360.0) - 180.0;
    if turned.is_finite() { turned } else { 0.0 }
}

impl Ladder for Feet {
    fn family(&self) -> Family {
        Family::Feet
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        self.steps
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let mut changed = toy.clone();
        let steps = f64::from(step);
        let parent = toy.pieces.get(self.part)?.placement.seat.part().and_then(|p| toy.piece_named(p));
        let placement = &mut changed.pieces.get_mut(self.part)?.placement;
        match (self.way, &mut placement.seat) {
            (Way::Around(by), Seat::OnSurface { at, .. }) => {
                // Toward the front is toward 0 from either side.
                let angle = within(at.angle_deg);
                let far = angle.abs() - by * steps;
                if !(0.0..=180.0).contains(&far) {
                    return None;
                }
                at.angle_deg = if angle < 0.0 { -far } else { far };
            }
            (Way::Along(by), Seat::OnSurface { at, .. }) => {
                let rounds = toy.pieces[parent?].part.rounds.len() as f64;
                let round = at.round + by * steps;
                if !(0.5..=rounds).contains(&round) {
                    return None;
                }
                at.round = round;
            }
            (Way::Nod(by), _) => placement.nod_deg += by * steps,
            (Way::Apart(by), Seat::Floor { x_mm, .. }) => *x_mm += by * steps * if *x_mm < 0.0 { -1.0 } else { 1.0 },
            _ => return None,
        }
        Some(changed)
    }

    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String {
        let (old, new) = (&before.pieces[self.part], &after.pieces[self.part]);
        let name = &old.part.name;
        let each = if old.placement.copies.number() > 1 { "each" } else { "the" };
        match (self.way, &old.placement.seat, &new.placement.seat) {
            (Way::Around(by), Seat::OnSurface { at: a, part }, Seat::OnSurface { at: b, .. }) => format!(
                "Sew {each} {name} further to the {} of the {part}: {:.0}° from its front instead of {:.0}°.",
                if by > 0.0 { "front" } else { "back" },
                within(b.angle_deg).abs(),
                within(a.angle_deg).abs()
            ),
            (Way::Along(_), Seat::OnSurface { at: a, part }, Seat::OnSurface { at: b, .. }) => {
                format!("Sew {each} {name} on at round {:.1} of the {part} instead of {:.1}.", b.round, a.round)
            }
            (Way::Nod(by), ..) => format!(
                "Sew {each} {name} on tipped {:.0}° more to the {}.",
                by.abs() * f64::from(step),
                if by > 0.0 { "front" } else { "back" }
            ),
            _ => format!("Set {each} {name} {:.0} mm further out.", 2.0 * f64::from(step)),
        }
    }
}
