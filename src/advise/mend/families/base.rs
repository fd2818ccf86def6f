//! A base that bears out to its edge: pressed flat, edged by a back-loop round, with a disc inside.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::part::{Base, End};
use crate::rounds::Loops;
use crate::toy::{Seat, Toy};

/// How the base is made flat.
#[derive(Clone, Copy, Debug, PartialEq)]
enum How {
    Pressed,
    Disc,
    BackLoop,
}

struct FlatBase {
    part: usize,
    how: How,
    end: End,
    /// Radii out to which it can be flat, mm, and the round that is there.
    radii: Vec<(f64, usize)>,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    for part in context.base_parts().into_iter().filter(|i| context.is_stuffed(*i)) {
        let by = context.pose(part).by;
        let end = match context.toy.pieces[part].placement.seat {
            Seat::Floor { .. } => by,
            _ => by.other(),
        };
        let rest = &context.look.made.shapes[part].rest;
        let closed = match end {
            End::Start => rest.start_closed,
            End::Finish => rest.finish_closed,
        };
        if !closed {
            continue;
        }
        let last = rest.radius_mm.len() - 1;
        let at = |steps: usize| rest.radius_mm[if end == End::Start { steps } else { last - steps }];
        // A base narrower than a flat that is there already is none.
        let flat_mm = context.look.made.shapes[part].flat.filter(|f| f.end == end).map_or(0.0, |f| f.radius_mm);
        let disc = (1..last).take_while(|s| at(*s) > at(*s - 1)).last().unwrap_or(0);
        let round = |steps: usize| if end == End::Start { steps } else { last - steps };
        let radii: Vec<(f64, usize)> =
            (2..=disc).map(|s| ((at(s) * 2.0).round() / 2.0, round(s))).filter(|r| r.0 > flat_mm + 0.5).collect();
        if radii.is_empty() {
            continue;
        }
        for how in [How::Pressed, How::Disc] {
            all.push(Rc::new(FlatBase { part, how, end, radii: radii.clone() }));
        }
        if end == End::Start && disc + 1 < last {
            all.push(Rc::new(FlatBase { part, how: How::BackLoop, end, radii: vec![(at(disc), disc)] }));
        }
    }
}

impl FlatBase {
    fn at(&self, step: u32) -> Option<(f64, usize)> {
        self.radii.get(step.checked_sub(1)? as usize).copied()
    }
}

impl Ladder for FlatBase {
    fn family(&self) -> Family {
        match self.how {
            How::Pressed => Family::FlatBase,
            How::Disc => Family::BaseDisc,
            How::BackLoop => Family::BackLoopEdge,
        }
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        self.radii.len() as u32
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let (radius_mm, round) = self.at(step)?;
        let mut changed = toy.clone();
        let part = &mut changed.pieces.get_mut(self.part)?.part;
        part.base_end = self.end;
        part.base = match self.how {
            How::Pressed => Base::PressedFlat { radius_mm: Some(radius_mm) },
            How::Disc => Base::Disc { diameter_mm: 2.0 * radius_mm },
            How::BackLoop => {
                // The first round of the wall is worked in back loops: its ridge is the edge below it.
                let wall = part.rounds.get_mut(round)?;
                wall.runs.iter_mut().for_each(|run| run.stitch.loops = Loops::Back);
                Base::BackLoopEdge { round: u32::try_from(round + 1).ok()? }
            }
        };
        (changed != *toy).then_some(changed)
    }

    fn words(&self, before: &Toy, step: u32, _after: &Toy) -> String {
        let name = &before.pieces[self.part].part.name;
        let (radius_mm, round) = self.at(step).unwrap_or_default();
        match self.how {
            How::Pressed => {
                format!("Press the base of the {name} flat as far as round {round}, {:.0} mm across.", 2.0 * radius_mm)
            }
            How::Disc => format!("Lay a stiff disc of {:.0} mm into the base of the {name}.", 2.0 * radius_mm),
            How::BackLoop => {
                format!("Work round {} of the {name} in the back loops only, for a flat base with an edge.", round + 1)
            }
        }
    }
}
