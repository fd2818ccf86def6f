//! The floor under a toy held in one attitude: how deep it sinks in, its energy, and where the floor pushes.

use glam::DVec3;

use super::Bearer;

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

/// Standard acceleration of free fall (m/s², 3rd CGPM 1901), so that g times this is mN.
pub const STANDARD_GRAVITY: f64 = 9.80665;

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

/// The plane that stops the floor, and the point it moves with when the direction turns.
#[derive(Clone, Copy)]
struct Stop {
    level: f64,
    point: DVec3,
    hard: bool,
}

/// Finds the floor's level for a direction. `guess_mm` is the sink of a neighbouring attitude.
/// `None` without bearers, without weight, or where a figure is not finite.
pub fn contact(bearers: &[&dyn Bearer], load: &Load, down: DVec3, guess_mm: Option<f64>) -> Option<Contact> {
    let weight = load.weight_mn;
    if !(weight > 0.0) {
        return None;
    }
    let top = lowest(bearers, down)?;
    let mut near: Vec<(&dyn Bearer, f64)> = Vec::with_capacity(bearers.len());
    let mut stop = Stop { level: f64::NEG_INFINITY, point: DVec3::ZERO, hard: true };
    for &bearer in bearers {
        if bearer.support_bound_mm(down) <= stop.level {
            continue;
        }
        let support = bearer.support_mm(down);
        if support <= stop.level {
            continue;
        }
        let pressure = bearer.pressure_kpa() * load.pressure_scale;
        if let Some((level, point)) = bearer.hard_support(down)
            && level >= stop.level
        {
            stop = Stop { level, point, hard: true };
        }
        if pressure > 0.0 {
            near.push((bearer, pressure));
        }
        let share = SINK_SHARE * bearer.thickness_mm(down);
        if support - share > stop.level {
            let (low, high) = (bearer.lowest_point(down), bearer.lowest_point(-down));
            stop = Stop { level: support - share, point: low - SINK_SHARE * (low - high), hard: false };
        }
    }
    let stop = Stop { level: stop.level.min(top), ..stop };
    let carried = |level: f64| -> f64 {
        near.iter().map(|(b, p)| p * b.section(down, level).area_mm2).sum::<f64>() / weight - 1.0
    };
    let found = balance(carried, stop.level, top, guess_mm);
    let level = found.unwrap_or(stop.level);

    let (mut pushed, mut at, mut work) = (0.0, DVec3::ZERO, 0.0);
    for (bearer, pressure) in &near {
        let cut = bearer.cut(down, level);
        let force = pressure * cut.section.area_mm2 / weight;
        pushed += force;
        at += force * cut.section.centroid;
        work += pressure * cut.volume_mm3 / weight;
    }
    // What the soft parts leave is borne by the stop; a flat lid at the floor may offer more than is needed.
    let push = if found.is_some() && pushed > 0.0 {
        at / pushed
    } else if pushed < 1.0 {
        at + (1.0 - pushed) * stop.point
    } else {
        at / pushed
    };
    let contact = Contact {
        level_mm: level,
        sink_mm: top - level,
        energy_mm: level - load.centre_of_mass.dot(down) + work,
        lever: push - load.centre_of_mass,
        too_soft: found.is_none() && !stop.hard,
    };
    (contact.energy_mm.is_finite() && contact.lever.is_finite()).then_some(contact)
}

/// How far the lowest part reaches down.
fn lowest(bearers: &[&dyn Bearer], down: DVec3) -> Option<f64> {
    let mut top = f64::NEG_INFINITY;
    for bearer in bearers {
        if bearer.support_bound_mm(down) > top {
            top = top.max(bearer.support_mm(down));
        }
    }
    top.is_finite().then_some(top)
}

/// The level between `stop` and `top` at which `excess` (the push over the weight, less 1) vanishes: −1 or a lid's
/// push at the top, rising as the floor rises. `None` if the stop comes first.
fn balance(excess: impl Fn(f64) -> f64, stop: f64, top: f64, guess_mm: Option<f64>) -> Option<f64> {
    if stop >= top {
        return None;
    }
    if excess(top) >= 0.0 {
        return Some(top);
    }
    let depth = top - stop;
    // Brackets in depth below the lowest point: too little at `low`, enough at `high`.
    let (mut low, mut f_low) = (0.0, -1.0);
    let mut high: Option<(f64, f64)> = None;
    let mut trial = guess_mm.filter(|g| *g > 0.0).map_or(0.25 * depth, |g| g.min(depth));
    let mut last_was_high = None;
    for _ in 0..60 {
        let f = excess(top - trial);
        if f.abs() < BALANCED {
            return Some(top - trial);
        }
        if f < 0.0 {
            if trial >= depth {
                return crossing_within(excess, depth, top);
            }
            (low, f_low) = (trial, f);
            // Illinois: an end that stays is weighed down, so that the secant cannot creep.
            if let (Some((_, f_high)), Some(false)) = (&mut high, last_was_high) {
                *f_high *= 0.5;
            }
            last_was_high = Some(false);
        } else {
            high = Some((trial, f));
            if last_was_high == Some(true) {
                f_low *= 0.5;
            }
            last_was_high = Some(true);
        }
        trial = match high {
            Some((h, f_high)) => {
                if h - low < 1e-9 * depth {
                    return Some(top - h);
                }
                (low - f_low * (h - low) / (f_high - f_low)).clamp(low, h)
            }
            // The push grows about in step with the depth.
            None if low > 0.0 => (1.02 * low / (1.0 + f_low).max(0.05)).max(1.1 * low).min(depth),
            None => (2.0 * trial).min(depth),
        };
    }
    Some(top - trial)
}

/// The push may have sufficed at a wide flange above and fall short at the limit: look between.
fn crossing_within(excess: impl Fn(f64) -> f64, depth: f64, top: f64) -> Option<f64> {
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
const BALANCED: f64 = 1e-6;
