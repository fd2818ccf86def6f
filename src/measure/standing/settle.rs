//! The pose a toy settles into when it is put down as it was laid out: downhill to the nearest minimum.
//!
//! The energy has kinks (the edge of a hard flat, one foot taking over from another), so a plain gradient does
//! not do. Slopes are taken at probes all round; the direction is the shortest vector in the hull of the probes'
//! gradients (gradient sampling: Burke, Lewis & Overton 2005, SIAM J. Optim. 15).

use glam::{DVec2, DVec3};

use super::contact::{Contact, Load, contact};
use super::{Bearer, turned};

/// A toy that has not settled within this turn has no standing pose.
pub const SETTLE_LIMIT_DEG: f64 = 20.0;

/// Probes lie this far off; at a kink they are drawn in to the next of these.
const PROBE: [f64; 3] = [0.25 * DEGREE, 0.05 * DEGREE, 0.01 * DEGREE];
const PROBES: usize = 8;
/// A slope counts as downhill below this (mm per radian): over the whole limit it is 0.0004 mm of height.
const LEVEL: f64 = 1e-3;
/// A Newton step that leaves less slope than this (mm per radian) has met no kink.
const FLAT: f64 = 0.05;
/// Turns smaller than this are round-off: the toy stays as laid out.
const STAYS: f64 = 0.02 * DEGREE;
const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// The direction (of the toy's frame) that points down once the toy, put down with `down` to the floor, has
/// settled. `None` if it rolls past `SETTLE_LIMIT_DEG`, or if nothing bears it.
pub fn settled_down(bearers: &[&dyn Bearer], load: &Load, down: DVec3) -> Option<DVec3> {
    let start = down;
    let mut here = Place::at(bearers, load, down)?;
    let mut size = 0;
    for _ in 0..40 {
        let probe = PROBE[size];
        let ring = here.probes(bearers, load, probe)?;
        let steepest = ring.iter().min_by(|a, b| a.slope.total_cmp(&b.slope))?;
        let lead = shortest_in_hull(&ring.each_ref().map(|p| p.gradient));
        let longest = ring.iter().map(|p| p.gradient.length()).fold(0.0, f64::max);
        let mut next = None;
        // A valley between two probes shows in the hull alone.
        if lead.length() > (1e-3 * longest).max(LEVEL) {
            let way = -lead.normalize();
            next = here.downhill(bearers, load, here.tangent(way), probe, start);
        }
        if next.is_none() {
            if steepest.slope >= -LEVEL {
                let smooth = here.polish(bearers, load, &ring, probe);
                if smooth || size + 1 == PROBE.len() {
                    break;
                }
                size += 1;
                continue;
            }
            next = here.downhill(bearers, load, here.tangent(steepest.way), probe, start);
        }
        match next {
            Some(Descent::To(place)) => {
                let moved = place.down.angle_between(here.down);
                here = place;
                if moved < 0.1 * STAYS {
                    break;
                }
            }
            Some(Descent::Gone) => return None,
            None => break,
        }
    }
    let turn = here.down.angle_between(start);
    if turn > SETTLE_LIMIT_DEG * DEGREE {
        None
    } else if turn < STAYS {
        Some(start)
    } else {
        Some(here.down)
    }
}

struct Place {
    down: DVec3,
    contact: Contact,
    /// Two tangents at `down`.
    x: DVec3,
    y: DVec3,
}

struct Probe {
    /// The probe's direction in the tangents of the place.
    way: DVec2,
    /// Slope of the energy at the probe, away from the place (mm per radian).
    slope: f64,
    /// The whole gradient there, in the tangents of the place.
    gradient: DVec2,
}

enum Descent {
    To(Place),
    Gone,
}

impl Place {
    fn at(bearers: &[&dyn Bearer], load: &Load, down: DVec3) -> Option<Self> {
        Self::near(bearers, load, down, None)
    }

    fn near(bearers: &[&dyn Bearer], load: &Load, down: DVec3, sink: Option<f64>) -> Option<Self> {
        let x = (DVec3::X - down * down.x).try_normalize().unwrap_or(DVec3::Y);
        Some(Self { down, contact: contact(bearers, load, down, sink)?, x, y: down.cross(x) })
    }

    fn tangent(&self, way: DVec2) -> DVec3 {
        self.x * way.x + self.y * way.y
    }

    fn probes(&self, bearers: &[&dyn Bearer], load: &Load, probe: f64) -> Option<[Probe; PROBES]> {
        let mut failed = false;
        let ring = std::array::from_fn(|i| {
            let way = DVec2::from_angle(std::f64::consts::TAU * i as f64 / PROBES as f64);
            let toward = self.tangent(way);
            let (down, along) = turned(self.down, toward, probe);
            let Some(found) = contact(bearers, load, down, Some(self.contact.sink_mm)) else {
                failed = true;
                return Probe { way, slope: 0.0, gradient: DVec2::ZERO };
            };
            let slope = found.lever.dot(along);
            let aside = found.lever.dot(self.tangent(way.perp()));
            Probe { way, slope, gradient: slope * way + aside * way.perp() }
        });
        (!failed).then_some(ring)
    }

    /// One Newton step inside the ring of probes, taken if it lowers the energy. Whether that settled the matter:
    /// at a kink it does not.
    fn polish(&mut self, bearers: &[&dyn Bearer], load: &Load, ring: &[Probe; PROBES], probe: f64) -> bool {
        let count = PROBES as f64;
        let mean = ring.iter().map(|p| p.gradient).sum::<DVec2>() / count;
        let scale = 2.0 / (count * probe);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for p in ring {
            xx += scale * p.gradient.x * p.way.x;
            yy += scale * p.gradient.y * p.way.y;
            xy += 0.5 * scale * (p.gradient.x * p.way.y + p.gradient.y * p.way.x);
        }
        let determinant = xx * yy - xy * xy;
        if xx + yy <= 0.0 || determinant <= 0.0 {
            return true;
        }
        let step = -DVec2::new(yy * mean.x - xy * mean.y, xx * mean.y - xy * mean.x) / determinant;
        let length = step.length();
        if length < 0.1 * STAYS {
            return true;
        }
        if length > probe {
            return false;
        }
        let (down, _) = turned(self.down, self.tangent(step / length), length);
        match Self::near(bearers, load, down, Some(self.contact.sink_mm)) {
            Some(place) if place.contact.energy_mm < self.contact.energy_mm => {
                let lever = place.contact.lever;
                let slope = (lever - place.down * lever.dot(place.down)).length();
                *self = place;
                slope < FLAT
            }
            _ => false,
        }
    }

    /// Downhill along a great circle to where the slope turns. `None` if it does not lead down at all.
    fn downhill(
        &self,
        bearers: &[&dyn Bearer],
        load: &Load,
        toward: DVec3,
        probe: f64,
        start: DVec3,
    ) -> Option<Descent> {
        let slope_at = |angle: f64, sink: f64| {
            let (down, along) = turned(self.down, toward, angle);
            let place = Self::near(bearers, load, down, Some(sink))?;
            let slope = place.contact.lever.dot(along);
            Some((place, slope))
        };
        let (mut low, mut step) = (probe, probe);
        let (mut best, mut slope_low) = slope_at(low, self.contact.sink_mm)?;
        if slope_low >= 0.0 {
            return None;
        }
        loop {
            step = (2.0 * step).min(2.0 * DEGREE);
            let high = low + step;
            let (place, slope) = slope_at(high, best.contact.sink_mm)?;
            if slope >= 0.0 {
                return Some(Descent::To(Self::turning(slope_at, (low, slope_low, best), (high, slope))?));
            }
            if place.down.angle_between(start) > SETTLE_LIMIT_DEG * DEGREE {
                return Some(Descent::Gone);
            }
            (low, slope_low, best) = (high, slope, place);
        }
    }

    /// Where the slope turns from down to up between two angles: secant and bisection by turns.
    fn turning(
        slope_at: impl Fn(f64, f64) -> Option<(Self, f64)>,
        (mut low, mut slope_low, mut best): (f64, f64, Self),
        (mut high, mut slope_high): (f64, f64),
    ) -> Option<Self> {
        for turn in 0..24 {
            if high - low < 0.002 * DEGREE {
                break;
            }
            let share = if turn % 3 == 2 { 0.5 } else { (-slope_low / (slope_high - slope_low)).clamp(0.02, 0.98) };
            let angle = low + share * (high - low);
            let (place, slope) = slope_at(angle, best.contact.sink_mm)?;
            if slope.abs() < 0.1 * LEVEL {
                return Some(place);
            }
            if slope < 0.0 {
                (low, slope_low, best) = (angle, slope, place);
            } else {
                (high, slope_high) = (angle, slope);
            }
        }
        Some(best)
    }
}

/// The shortest vector in the convex hull of some vectors; 0 if the hull holds the origin.
fn shortest_in_hull(vectors: &[DVec2; PROBES]) -> DVec2 {
    // The origin lies in the hull unless all vectors are within half a turn: then some gap between neighbouring
    // angles is over half a turn.
    let mut angles: Vec<f64> = vectors.iter().map(|v| v.to_angle()).collect();
    angles.sort_by(f64::total_cmp);
    let around = angles[0] + std::f64::consts::TAU - angles[PROBES - 1];
    let widest = angles.windows(2).map(|w| w[1] - w[0]).fold(around, f64::max);
    if widest <= std::f64::consts::PI {
        return DVec2::ZERO;
    }
    let mut best = vectors[0];
    for (i, &a) in vectors.iter().enumerate() {
        for &b in &vectors[..=i] {
            let edge = b - a;
            let square = edge.length_squared();
            let share = if square > 0.0 { (-a.dot(edge) / square).clamp(0.0, 1.0) } else { 0.0 };
            let point = a + share * edge;
            if point.length_squared() < best.length_squared() {
                best = point;
            }
        }
    }
    best
}
