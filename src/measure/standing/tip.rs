//! How far a settled toy can be turned in one direction before it goes over.

use glam::DVec3;

use super::contact::{Load, contact};
use super::{Bearer, turned};

/// A climb of this height (mm over the weight) counts whatever its shape, and a dip less deep than this ends none.
pub const COUNTS_MM: f64 = 0.5;
/// A lower climb counts only if it has this share of a hard edge's: an edge at which a centre of mass at height H
/// tips by θ raises it by H·(1/cos θ − 1). Half a millimetre alone would call every toy of 50 mm height that tips
/// below 8° a rocking one, and every block smaller than that at its textbook angle.
pub const COUNTS_SHARE: f64 = 0.5;
/// No climb below this counts (mm over the weight): the surface is known no better.
pub const LEAST_MM: f64 = 0.02;

const DEGREE: f64 = std::f64::consts::PI / 180.0;
/// A dip narrower than this is missed, but then it is also not as deep as `COUNTS_MM`.
const STEP: f64 = 5.0 * DEGREE;
/// The first sample after the start: close enough to see the slope beside a kink.
const FIRST: f64 = 0.1 * DEGREE;

/// The climb in one direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Climb {
    /// The turn to the first maximum that counts (degrees); 0 if none does.
    pub tip_deg: f64,
    /// How high the highest maximum passed lies above the start (mm over the weight).
    pub rise_mm: f64,
}

/// Turns a toy from `down` toward the unit tangent `toward` until it is over the top.
pub fn climb(bearers: &[&dyn Bearer], load: &Load, down: DVec3, toward: DVec3) -> Option<Climb> {
    let start = contact(bearers, load, down, None)?;
    let mut sink = start.sink_mm;
    let mut sample = |angle: f64| -> Option<Sample> {
        let (down, along) = turned(down, toward, angle);
        let found = contact(bearers, load, down, Some(sink))?;
        sink = found.sink_mm;
        Some(Sample { angle, energy: found.energy_mm, slope: found.lever.dot(along) })
    };
    let mut best = Sample { angle: 0.0, energy: start.energy_mm, slope: 0.0 };
    let mut last = sample(FIRST)?;
    let mut next = STEP;
    loop {
        if last.energy > best.energy {
            best = last;
        }
        if last.energy < best.energy - COUNTS_MM || next > std::f64::consts::PI + 1e-9 {
            break;
        }
        let here = sample(next)?;
        if last.slope > 0.0 && here.slope < 0.0 {
            let top = summit(&mut sample, last, here)?;
            if top.energy > best.energy {
                best = top;
            }
        }
        last = here;
        next += STEP;
    }
    let rise_mm = best.energy - start.energy_mm;
    let counts = rise_mm >= enough(best.angle, start.energy_mm);
    Some(Climb { tip_deg: if counts { best.angle / DEGREE } else { 0.0 }, rise_mm })
}

/// The rise at which a maximum at this turn counts, for a centre of mass at this height (mm).
fn enough(angle: f64, height_mm: f64) -> f64 {
    let cosine = angle.cos();
    if cosine <= 0.0 {
        return COUNTS_MM;
    }
    (COUNTS_SHARE * height_mm.max(0.0) * (1.0 / cosine - 1.0)).clamp(LEAST_MM, COUNTS_MM)
}

#[derive(Clone, Copy)]
struct Sample {
    angle: f64,
    energy: f64,
    /// mm per radian.
    slope: f64,
}

/// The maximum between a rising and a falling sample: the root of the slope, by secant and bisection by turns.
fn summit(sample: &mut impl FnMut(f64) -> Option<Sample>, mut low: Sample, mut high: Sample) -> Option<Sample> {
    for turn in 0..20 {
        let share = if turn % 3 == 2 { 0.5 } else { (low.slope / (low.slope - high.slope)).clamp(0.03, 0.97) };
        let here = sample(low.angle + share * (high.angle - low.angle))?;
        // The slope is a length: this is a hundredth of a degree for a centre of mass 60 mm up.
        if here.slope.abs() < 0.01 {
            return Some(here);
        }
        if here.slope > 0.0 {
            low = here
        } else {
            high = here
        }
        if high.angle - low.angle < 1e-3 * DEGREE {
            break;
        }
    }
    Some(if low.energy > high.energy { low } else { high })
}
