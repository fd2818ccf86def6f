//! The floor under a toy held in one attitude: how deep it sinks in, its energy, and where the floor pushes.

use glam::DVec3;

use super::Bearer;
use crate::measure::joint::STANDARD_GRAVITY;

/// A part sinks in by at most this share of its thickness; what is still not carried then is *too soft*.
pub const SINK_SHARE: f64 = 0.15;

/// The weight on the floor and where it acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Weight (mN): mass in g times 9.80665.
    pub weight_mn: f64,
    /// Centre of mass (mm, the toy's frame).
    pub centre_of_mass: DVec3,
    /// Factor on the pressure of every soft part, for spreads; 1 otherwise.
    pub pressure_scale: f64,
}

impl Load {
    /// The load of a mass (g) at a centre of mass (mm, the toy's frame).
    pub fn of_mass(mass_g: f64, centre_of_mass: DVec3) -> Self {
        Self { weight_mn: mass_g * STANDARD_GRAVITY, centre_of_mass, pressure_scale: 1.0 }
    }
}

/// The floor in balance with the toy held in one attitude.
#[derive(Clone, Copy, Debug)]
pub struct Contact {
    /// The floor is the plane {x·down = level} (mm).
    pub level_mm: f64,
    /// How deep the lowest point sinks in (mm).
    pub sink_mm: f64,
    /// Potential energy over the weight (mm): the height of the centre of mass, plus the work of pressing in.
    pub energy_mm: f64,
    /// From the centre of mass to the middle of the floor's push (mm). Its part along a tangent of the sphere of
    /// directions is the slope of `energy_mm` (mm per radian): the floor's push always acts, by the principle of
    /// virtual work, at the point where the energy's slope says.
    pub lever: DVec3,
    /// The soft parts cannot carry the weight within `SINK_SHARE` of their thickness.
    pub too_soft: bool,
}

/// A bearer low enough to matter.
struct Near<'a> {
    bearer: &'a dyn Bearer,
    /// kPa.
    pressure: f64,
    /// How far it reaches down (mm).
    support: f64,
}

/// What stops the floor.
enum Stop<'a> {
    /// A hard flat, at this point.
    Hard(DVec3),
    /// This part's share of its thickness.
    Share(&'a dyn Bearer),
    None,
}

/// Finds the floor's level for a direction. `guess_mm` is the sink of a neighbouring attitude.
/// `None` without bearers, without weight, or where a figure is not finite.
pub fn contact(bearers: &[&dyn Bearer], load: &Load, down: DVec3, guess_mm: Option<f64>) -> Option<Contact> {
    let weight = load.weight_mn;
    if weight.is_nan() || weight <= 0.0 {
        return None;
    }
    let mut near: Vec<Near> = Vec::with_capacity(bearers.len());
    let mut top = f64::NEG_INFINITY;
    let (mut stop, mut stop_level) = (Stop::None, f64::NEG_INFINITY);
    for &bearer in bearers {
        if bearer.support_bound_mm(down) <= stop_level {
            continue;
        }
        let support = bearer.support_mm(down);
        if support <= stop_level {
            continue;
        }
        top = top.max(support);
        if let Some((level, point)) = bearer.hard_support(down)
            && level >= stop_level
        {
            (stop, stop_level) = (Stop::Hard(point), level);
        }
        let share = SINK_SHARE * bearer.thickness_mm(down);
        if support - share > stop_level {
            (stop, stop_level) = (Stop::Share(bearer), support - share);
        }
        let pressure = bearer.pressure_kpa() * load.pressure_scale;
        if pressure > 0.0 {
            near.push(Near { bearer, pressure, support });
        }
    }
    if !top.is_finite() {
        return None;
    }
    let stop_level = stop_level.min(top);
    near.retain(|n| n.support > stop_level || n.support >= top);
    let excess = |level: f64| -> f64 {
        let push = near.iter().filter(|n| n.support >= level);
        push.map(|n| n.pressure * n.bearer.section(down, level).area_mm2).sum::<f64>() / weight - 1.0
    };
    let found = balance(excess, stop_level, top, guess_mm);
    let level = found.unwrap_or(stop_level);

    let (mut pushed, mut at, mut work) = (0.0, DVec3::ZERO, 0.0);
    for n in near.iter().filter(|n| n.support >= level) {
        let cut = n.bearer.cut(down, level);
        let force = n.pressure * cut.section.area_mm2 / weight;
        pushed += force;
        at += force * cut.section.centroid;
        work += n.pressure * cut.volume_mm3 / weight;
    }
    // What the soft parts leave is borne by the stop; a flat lid at the floor may offer more than is needed.
    if found.is_none() && pushed < 1.0 {
        let point = match stop {
            Stop::Hard(point) => point,
            Stop::Share(part) => {
                let (low, high) = (part.lowest_point(down), part.lowest_point(-down));
                low - SINK_SHARE * (low - high)
            }
            Stop::None => return None,
        };
        at += (1.0 - pushed) * point;
        pushed = 1.0;
    }
    let contact = Contact {
        level_mm: level,
        sink_mm: top - level,
        energy_mm: level - load.centre_of_mass.dot(down) + work,
        lever: at / pushed - load.centre_of_mass,
        too_soft: found.is_none() && matches!(stop, Stop::Share(_)),
    };
    (contact.energy_mm.is_finite() && contact.lever.is_finite()).then_some(contact)
}

/// The level between `stop` and `top` at which `excess` (the push over the weight, less 1) vanishes: −1 or a lid's
/// push at the top, rising as the floor rises. `None` if the stop comes first.
fn balance(excess: impl Fn(f64) -> f64, stop: f64, top: f64, guess_mm: Option<f64>) -> Option<f64> {
    if stop >= top {
        return None;
    }
    let depth = top - stop;
    // Brackets in depth below the lowest point: too little at `low`, enough at `high`.
    let (mut low, mut high) = (0.0, None);
    // The point before the last, for the secant. The push grows about in step with the depth.
    let mut before = (0.0, -1.0);
    let mut trial = guess_mm.filter(|g| *g > 0.0).map_or(0.3 * depth, |g| if g > 0.97 * depth { depth } else { g });
    let mut lid_seen = false;
    for turn in 0..80 {
        let f = excess(top - trial);
        if f.abs() < BALANCED {
            return Some(top - trial);
        }
        if f < 0.0 {
            if trial >= depth {
                return crossing_within(excess, depth, top, f);
            }
            low = trial;
        } else {
            high = Some(trial);
            if high_enough(trial, depth) && !lid_seen {
                // Either the balance lies very high, or a flat lid carries the weight with no sinking at all.
                lid_seen = true;
                if excess(top) >= 0.0 {
                    return Some(top);
                }
            }
            if trial - low < 1e-9 * depth {
                return Some(top - trial);
            }
        }
        let secant = trial - f * (trial - before.0) / (f - before.1);
        before = (trial, f);
        trial = match high {
            // Every fourth turn halves the bracket, whatever the secant does.
            Some(h) if turn % 4 == 3 || !(secant > low && secant < h) => {
                if h - low < 1e-9 * depth {
                    return Some(top - h);
                }
                0.5 * (low + h)
            }
            Some(_) => secant,
            None if secant > low => secant.min(3.0 * low).min(depth),
            None => (2.0 * low).min(depth),
        };
    }
    Some(top - trial)
}

/// Whether enough push was found so near the lowest point that a flat lid must be thought of.
fn high_enough(trial: f64, depth: f64) -> bool {
    trial < 0.05 * depth
}

/// The push may have sufficed at a wide flange above and fall short at the limit: look between, if it was ever
/// more than `at_limit`.
fn crossing_within(excess: impl Fn(f64) -> f64, depth: f64, top: f64, at_limit: f64) -> Option<f64> {
    if excess(top - 0.5 * depth) <= at_limit {
        return None;
    }
    let steps = 12;
    let mut low = 0.0;
    for step in 1..steps {
        let mut high = depth * f64::from(step) / f64::from(steps);
        if excess(top - high) >= 0.0 {
            for _ in 0..40 {
                let middle = 0.5 * (low + high);
                if excess(top - middle) >= 0.0 { high = middle } else { low = middle }
            }
            return Some(top - high);
        }
        low = high;
    }
    None
}

/// Push and weight agree to this share: the energy, which is least there, is then exact to its square.
const BALANCED: f64 = 3e-5;
