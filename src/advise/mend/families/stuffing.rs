//! More or less stuffing, weighed.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders, grams};
use crate::measure::FindingKind;
use crate::part::Amount;
use crate::toy::{Seat, Toy};

/// Share of the present stuffing in a step.
const STEP: f64 = 0.06;
/// Steps at most.
const MOST_STEPS: u32 = 10;
/// Packed density that stuffing ranges over, g/L (from memory; a default).
const LOOSEST: f64 = 25.0;
const HARDEST: f64 = 80.0;

/// Other stuffing in one part or in both sides of a joint.
struct Weighed {
    family: Family,
    parts: Vec<Held>,
}

/// What a part holds.
#[derive(Clone, Copy, Debug)]
struct Held {
    part: usize,
    /// Stuffing in one copy, g.
    grams: f64,
    /// Room for it, mL.
    room_ml: f64,
    /// Packed density, g/L.
    density: f64,
}

struct Stuff {
    part: usize,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    let settings = &context.toy.settings;
    // A density or pressure that the maker has set for the whole toy rules over any amount.
    let free = settings.density_g_per_l.is_none() && settings.pressure_kpa.is_none();
    let held = |i: usize| {
        let (shape, mass) = (&context.look.made.shapes[i], &context.look.made.masses[i]);
        let density = shape.fill.map(|f| f.density_g_per_l.value())?;
        let held = Held { part: i, grams: mass.stuffing_g(), room_ml: mass.volume_mm3 * 1e-3, density };
        (context.is_stuffed(i) && held.grams > 0.0).then_some(held)
    };
    if free {
        let mut lighter: Vec<usize> = context.look.head.into_iter().collect();
        let tight = super::super::goals::severe(context.look).filter(|f| f.kind == FindingKind::Overstuffed);
        lighter.extend(tight.filter_map(|f| context.toy.piece_named(f.part.as_deref()?)));
        lighter.dedup();
        for part in lighter.into_iter().filter_map(held) {
            all.push(Rc::new(Weighed { family: Family::LessStuffing, parts: vec![part] }));
        }
        for neck in context.weak_necks() {
            let both = [Some(neck.part), context.pose(neck.part).parent];
            let inside = matches!(neck.place, crate::measure::necks::Place::Round { .. });
            let sides = both.into_iter().flatten().take(if inside { 1 } else { 2 });
            let parts: Vec<_> = sides.filter_map(held).collect();
            if !parts.is_empty() {
                all.push(Rc::new(Weighed { family: Family::Firmer, parts }));
            }
        }
    }
    for (part, piece) in context.toy.pieces.iter().enumerate() {
        if matches!(piece.placement.seat, Seat::Floor { .. }) && !piece.part.is_stuffed() {
            all.push(Rc::new(Stuff { part }));
        }
    }
}

/// A mass that a kitchen scale can weigh.
fn rounded(g: f64) -> f64 {
    let step = match g {
        g if g < 5.0 => 0.1,
        g if g < 20.0 => 0.5,
        _ => 1.0,
    };
    // A whole number of tenths, so that files keep it as it is.
    ((g / step).round() * step * 10.0).round() / 10.0
}

impl Weighed {
    /// What each part holds after a step; a part that is so firm already keeps what it has.
    fn amounts(&self, step: u32) -> Option<Vec<(usize, f64, f64)>> {
        let more = STEP * f64::from(step);
        let softest = self.parts.iter().map(|p| p.density).fold(f64::INFINITY, f64::min);
        let aim = if self.family == Family::Firmer { softest * (1.0 + more) } else { softest * (1.0 - more) };
        if !(LOOSEST..=HARDEST).contains(&aim) {
            return None;
        }
        let each = self.parts.iter().filter(|p| self.family != Family::Firmer || p.density < aim);
        Some(each.map(|p| (p.part, p.grams, rounded(aim * p.room_ml * 1e-3))).collect())
    }
}

impl Ladder for Weighed {
    fn family(&self) -> Family {
        self.family
    }

    fn part(&self) -> usize {
        self.parts.first().map_or(0, |p| p.part)
    }

    fn steps(&self) -> u32 {
        MOST_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let mut changed = toy.clone();
        for (part, was, now) in self.amounts(step)? {
            if rounded(was) == now || now <= 0.0 {
                continue;
            }
            changed.pieces.get_mut(part)?.part.stuffing.amount = Amount::Grams(now);
        }
        (changed != *toy).then_some(changed)
    }

    fn words(&self, before: &Toy, step: u32, after: &Toy) -> String {
        let amounts = self.amounts(step).unwrap_or_default();
        let changed = amounts.iter().filter(|(i, ..)| before.pieces[*i].part != after.pieces[*i].part);
        let each: Vec<String> = changed
            .map(|(i, was, now)| {
                let piece = &before.pieces[*i];
                let one = if piece.placement.copies.number() > 1 { "each" } else { "the" };
                format!("{} into {one} {} instead of {}", grams(*now), piece.part.name, grams(*was))
            })
            .collect();
        let how = if self.family == Family::Firmer { "firmer" } else { "more lightly" };
        format!("Stuff {how}, weighed: {}.", each.join(", "))
    }
}

impl Ladder for Stuff {
    fn family(&self) -> Family {
        Family::Stuff
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        3
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let mut changed = toy.clone();
        let stuffing = &mut changed.pieces.get_mut(self.part)?.part.stuffing;
        stuffing.amount = [Amount::Light, Amount::Medium, Amount::Firm].get(step.checked_sub(1)? as usize).copied()?;
        if stuffing.up_to_round == Some(0) {
            stuffing.up_to_round = None;
        }
        (changed != *toy).then_some(changed)
    }

    fn words(&self, before: &Toy, step: u32, _after: &Toy) -> String {
        let how = ["lightly", "as usual", "firmly"].get(step.saturating_sub(1) as usize).copied().unwrap_or("firmly");
        format!("Stuff the {} {how}: it is what the toy stands on.", before.pieces[self.part].part.name)
    }
}
