//! Weight low in what the toy stands on.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders, for_a_small_child, grams};
use crate::part::End;
use crate::solid::mass::frustum_volume_mm3;
use crate::toy::{Copies, Extra, ExtraKind, Seat, Spot, Toy};

/// Weight in a step, g.
const STEP_G: f64 = 5.0;
/// Pellets, g/mL (makers' figures: 0.60 to 0.66).
const PELLETS_G_PER_ML: f64 = 0.63;
/// Share of a part's room that a bag may take (from memory; a default).
const MOST_ROOM: f64 = 0.3;
/// Name of the added thing.
const NAME: &str = "Weight in the base";

struct Weight {
    part: usize,
    steps: u32,
    /// Height of the middle of a bag of this many steps, as a share of the part's length from its start.
    shares: Vec<f64>,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    if context.toy.settings.child_months.is_some_and(|m| m < 36) {
        return;
    }
    let base = context.base_parts();
    let on_floor = |i: &usize| matches!(context.toy.pieces[*i].placement.seat, Seat::Floor { .. });
    let mut parts: Vec<usize> = base.iter().copied().filter(on_floor).collect();
    if parts.is_empty() {
        parts = base;
    }
    for part in parts.into_iter().filter(|i| context.is_stuffed(*i)) {
        let shape = &context.look.made.shapes[part];
        let room_ml = shape.filled_volume_mm3() * 1e-3;
        let copies = f64::from(context.look.copies[part].max(1));
        let most = (MOST_ROOM * room_ml * PELLETS_G_PER_ML).min(context.look.mass_g / copies);
        let most = context.limits.max_weight_g.map_or(most, |g| most.min(g / copies));
        let steps = (most / STEP_G).floor().clamp(0.0, 100.0) as u32;
        if steps == 0 {
            continue;
        }
        let shares = (1..=steps).map(|k| share_of_bag(context, part, f64::from(k) * STEP_G)).collect();
        all.push(Rc::new(Weight { part, steps, shares }));
    }
}

/// Says why no weight is suggested.
pub(super) fn caution(context: &Context, said: &mut Vec<String>) {
    if context.toy.settings.child_months.is_some_and(|m| m < 36) {
        said.push("Weights are left out: pellets and hard things are not for a child under three.".to_owned());
    }
}

/// Height of the middle of a bag that lies on the bottom of a part and fills it as far as it goes.
fn share_of_bag(context: &Context, part: usize, mass_g: f64) -> f64 {
    let rings = &context.look.made.shapes[part].inner.rings;
    let by = context.pose(part).by;
    let from_start = match context.toy.pieces[part].placement.seat {
        Seat::Floor { .. } => by == End::Start,
        // A foot that sits on something by its finish has its start down.
        _ => by == End::Finish,
    };
    let mut bands: Vec<(f64, f64, f64)> =
        rings.windows(2).map(|b| (b[0].z_mm, b[1].z_mm, frustum_volume_mm3(b[0], b[1]))).collect();
    let (Some(low), Some(high)) = (rings.first().map(|r| r.z_mm), rings.last().map(|r| r.z_mm)) else { return 0.5 };
    if !from_start {
        bands.reverse();
    }
    let mut half = mass_g / PELLETS_G_PER_ML * 1e3 / 2.0;
    let mut z_mm = (low + high) / 2.0;
    for (a, b, volume) in bands {
        let (near, far) = if from_start { (a, b) } else { (b, a) };
        if volume >= half && volume > 0.0 {
            z_mm = near + (far - near) * half / volume;
            break;
        }
        half -= volume;
    }
    let share = if high > low { (z_mm - low) / (high - low) } else { 0.5 };
    (share * 100.0).round().clamp(0.0, 100.0) / 100.0
}

impl Weight {
    fn mass(&self, step: u32) -> f64 {
        f64::from(step) * STEP_G
    }
}

impl Ladder for Weight {
    fn family(&self) -> Family {
        Family::Weight
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        self.steps
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let name = &toy.pieces.get(self.part)?.part.name;
        let mut changed = toy.clone();
        changed.extras.push(Extra {
            name: NAME.to_owned(),
            kind: ExtraKind::Pellets,
            mass_g: self.mass(step),
            part: name.clone(),
            spot: Spot::Inside { share: *self.shares.get(step.checked_sub(1)? as usize)? },
            copies: Copies::One,
            ..Extra::default()
        });
        Some(changed)
    }

    fn words(&self, before: &Toy, step: u32, _after: &Toy) -> String {
        let piece = &before.pieces[self.part];
        let each = if piece.placement.copies.number() > 1 { "each " } else { "the " };
        let caution = if for_a_small_child(before) { " Not for a child under three." } else { "" };
        format!(
            "Sew {} of pellets into an inner bag and lay it on the bottom of {each}{}.{caution}",
            grams(self.mass(step)),
            piece.part.name
        )
    }
}
