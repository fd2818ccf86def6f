//! The head tipped back over what the toy stands on.

use std::rc::Rc;

use super::{Context, Family, Ladder, Ladders};
use crate::measure::toward;
use crate::toy::{Seat, Toy};

/// Degrees in a step.
const STEP_DEG: f64 = 3.0;
/// Steps at most.
const MOST_STEPS: u32 = 8;

struct Tilt {
    part: usize,
    /// Change of nod and lean in a step, degrees.
    nod_deg: f64,
    lean_deg: f64,
}

pub(super) fn ladders(context: &Context, all: &mut Ladders) {
    let (Some(part), Some(standing)) = (context.look.head, &context.look.standing) else { return };
    if matches!(context.toy.pieces[part].placement.seat, Seat::Floor { .. } | Seat::Beside) {
        return;
    }
    // Away from where the centre of mass is, and from where it falls most easily.
    let whole = crate::measure::weigh::placed(&context.look.made.poses, &context.look.made.masses);
    let (sin, cos) = standing.weakest.toward_deg.to_radians().sin_cos();
    let mut ways = vec![(sin, cos)];
    let corners = standing.polygon.len() as f64;
    let middle = standing.polygon.iter().fold(glam::DVec2::ZERO, |sum, p| sum + *p);
    let off = if corners > 0.0 { standing.foot - middle / corners } else { whole.centre_mm.truncate() };
    if off.length() > 1.0 {
        ways.push((off.x / off.length(), off.y / off.length()));
    }
    let mut seen: Vec<(i32, i32)> = Vec::new();
    for (left, front) in ways {
        let (nod, lean) = if front.abs() >= left.abs() { (-front.signum(), 0.0) } else { (0.0, -left.signum()) };
        let key = (nod as i32, lean as i32);
        if !seen.contains(&key) {
            seen.push(key);
            all.push(Rc::new(Tilt { part, nod_deg: nod * STEP_DEG, lean_deg: lean * STEP_DEG }));
        }
    }
}

impl Ladder for Tilt {
    fn family(&self) -> Family {
        Family::Tilt
    }

    fn part(&self) -> usize {
        self.part
    }

    fn steps(&self) -> u32 {
        MOST_STEPS
    }

    fn apply(&self, toy: &Toy, step: u32) -> Option<Toy> {
        let mut changed = toy.clone();
        let placement = &mut changed.pieces.get_mut(self.part)?.placement;
        placement.nod_deg += self.nod_deg * f64::from(step);
        placement.lean_deg += self.lean_deg * f64::from(step);
        Some(changed)
    }

    fn words(&self, before: &Toy, step: u32, _after: &Toy) -> String {
        let way = match (self.nod_deg, self.lean_deg) {
            (n, _) if n > 0.0 => 0.0,
            (n, _) if n < 0.0 => 180.0,
            (_, l) if l > 0.0 => 90.0,
            _ => -90.0,
        };
        format!(
            "Sew the {} on tipped {:.0}° more toward {}.",
            before.pieces[self.part].part.name,
            STEP_DEG * f64::from(step),
            toward(way)
        )
    }
}
