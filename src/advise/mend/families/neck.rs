//! A neck that carries more: a wider opening, or a stiff stick through it.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders, for_a_small_child};
use crate::advise::mend::reshape::{Like, as_it_is, repeat_of, reshaped};
use crate::measure::necks::Place;
use crate::part::{End, Part};
use crate::toy::{Copies, Extra, ExtraKind, Joint, Seat, Spot, Toy};

/// Steps at most.
const MOST_STEPS: u32 = 12;
/// Mass of a capped stick, g (from memory; a default).
const STICK_G: f64 = 3.0;

/// Where the neck is.
#[derive(Clone, Copy, Debug)]
enum At {
    /// The open rim at this end of the part, and of the part it is sewn to where that ends in a rim there too.
    Rim { end: End, onto: Option<(usize, End)> },
    /// A narrow round of the part, counted from 0.
    Round(usize),
}

struct WiderNeck {
    part: usize,
    at: At,
    by: u32,
}

struct Stick {
    part: usize,
}

fn is_open(part: &Part, end: End) -> bool {
    match end {
        End::Start => !part.start_is_closed(),
        End::Finish => !part.closes(),
    }
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    let mut sticks: Vec<usize> = Vec::new();
    for neck in context.weak_necks() {
        let piece = &context.toy.pieces[neck.part];
        // Half the repeat still falls evenly into the rounds around it.
        let by = (repeat_of(&piece.part.counts()) / 2).max(2);
        let at = match neck.place {
            Place::Seam { onto, .. } => {
                let end = context.pose(neck.part).by;
                let other = match &piece.placement.seat {
                    Seat::OnEnd { end, .. } if is_open(&context.toy.pieces[onto].part, *end) => Some((onto, *end)),
                    _ => None,
                };
                is_open(&piece.part, end).then_some(At::Rim { end, onto: other })
            }
            Place::Round { node } => node.checked_sub(1).map(At::Round),
        };
        if let Some(at) = at {
            all.push(Rc::new(WiderNeck { part: neck.part, at, by }));
        }
        sticks.push(neck.part);
    }
    sticks.dedup();
    if !for_a_small_child(context.toy) {
        for part in sticks {
            all.push(Rc::new(Stick { part }));
        }
    }
}

/// Says why no stick is suggested, where one would have been.
pub(super) fn caution(context: &Context, said: &mut Vec<String>) {
    if for_a_small_child(context.toy) && context.weak_necks().next().is_some() {
        said.push(
            "A stick in the neck is left out: it is never for a child's toy, and it is not said that this one is for someone older."
                .to_owned(),
        );
    }
}

/// No round from the widest on to this end has fewer stitches than `level`.
fn rim_at_least(part: &Part, end: End, level: u32) -> Option<Vec<Like>> {
    let mut list = as_it_is(part);
    let widest = list.iter().map(|l| l.count).max()?;
    if level > widest {
        return None;
    }
    let range = match end {
        End::Finish => list.iter().rposition(|l| l.count == widest)?..list.len(),
        End::Start => 0..list.iter().position(|l| l.count == widest)? + 1,
    };
    for like in &mut list[range] {
        like.count = like.count.max(level);
    }
    Some(list)
}

/// No round between the swellings on both sides of a narrow one has fewer stitches than `level`.
fn narrow_at_least(part: &Part, round: usize, level: u32) -> Option<Vec<Like>> {
    let mut list = as_it_is(part);
    if round >= list.len() {
        return None;
    }
    let widest = |range: &[Like]| range.iter().map(|l| l.count).max().unwrap_or(0);
    let (before, after) = (widest(&list[..=round]), widest(&list[round..]));
    if level > before {
        return None;
    }
    let from = list[..=round].iter().rposition(|l| l.count == before)?;
    let last = list.len() - 1;
    // A thin run that ends the part keeps its end.
    let to = if after >= level { round + list[round..].iter().position(|l| l.count == after)? } else { last };
    let to = if part.closes() { to.min(last.saturating_sub(1)) } else { to };
    for like in list.get_mut(from..=to)? {
        like.count = like.count.max(level);
    }
    Some(list)
}

impl WiderNeck {
    /// The rims that are sewn to each other, as parts with their ends and counts.
    fn rims(&self, toy: &Toy) -> Vec<(usize, End, u32)> {
        let At::Rim { end, onto } = self.at else { return Vec::new() };
        let count = |(part, end): (usize, End)| {
            let rounds = &toy.pieces.get(part)?.part.rounds;
            let rim = if end == End::Finish { rounds.last() } else { rounds.first() };
            Some((part, end, rim?.count()))
        };
        [(self.part, end)].into_iter().chain(onto).filter_map(count).collect()
    }

    /// Stitches of the neck as it is: of two rims, the narrower holds.
    fn count(&self, toy: &Toy) -> Option<u32> {
        match self.at {
            At::Rim { .. } => self.rims(toy).iter().map(|(_, _, count)| *count).min(),
            At::Round(round) => toy.pieces.get(self.part)?.part.rounds.get(round).map(|r| r.count()),
        }
    }
}

impl Ladder for WiderNeck {
    fn family(&self) -> Family {
        Family::WiderNeck
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        MOST_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let level = self.count(toy)? + self.by * step;
        match self.at {
            At::Round(round) => {
                reshaped(toy, self.part, &narrow_at_least(&toy.pieces.get(self.part)?.part, round, level)?)
            }
            At::Rim { .. } => {
                let mut changed = None;
                // A rim that is as wide already stays as it is.
                for (part, end, _) in self.rims(toy).into_iter().filter(|(_, _, count)| *count < level) {
                    let before = changed.as_ref().unwrap_or(toy);
                    changed = Some(reshaped(before, part, &rim_at_least(&before.pieces[part].part, end, level)?)?);
                }
                changed
            }
        }
    }

    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String {
        let part = &before.pieces[self.part].part;
        let count = self.count(before).unwrap_or(0);
        let level = count + self.by * step;
        match self.at {
            At::Round(_) => format!(
                "Work the {} to no fewer than {level} stitches at its neck instead of {count}: {}.",
                part.name,
                crate::advise::mend::reshape::rounds_that_differ(part, &after.pieces[self.part].part)
            ),
            At::Rim { .. } => {
                let rims = self.rims(before).into_iter().filter(|(_, _, count)| *count < level);
                let mut rims = rims.map(|(i, _, count)| (before.pieces[i].part.name.as_str(), count));
                let (name, count) = rims.next().unwrap_or((part.name.as_str(), count));
                let too = rims.next().map_or(String::new(), |(other, _)| format!(", and the {other} too"));
                format!("Leave the opening of the {name} at {level} stitches instead of {count}{too}.")
            }
        }
    }
}

impl Ladder for Stick {
    fn family(&self) -> Family {
        Family::NeckStick
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        1
    }

    fn apply(&self, toy: &Toy, _step: u32) -> Option<Toy> {
        let piece = toy.pieces.get(self.part)?;
        if for_a_small_child(toy) || piece.placement.joint == Joint::Thread {
            return None;
        }
        let mut changed = toy.clone();
        changed.extras.push(Extra {
            name: "Neck stick".to_owned(),
            kind: ExtraKind::NeckStick,
            mass_g: STICK_G,
            part: piece.part.name.clone(),
            spot: Spot::Inside { share: if piece.placement.by == Some(End::Start) { 0.2 } else { 0.8 } },
            copies: Copies::One,
            ..Extra::default()
        });
        Some(changed)
    }

    fn words(&self, before: &Toy, _step: u32, _after: &Toy) -> String {
        format!(
            "Put a stiff stick with capped ends through the neck of the {}. Never in a child's toy.",
            before.pieces[self.part].part.name
        )
    }
}
