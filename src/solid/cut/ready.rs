//! A solid made ready to be cut many times: which of its walls a plane cannot meet is told for many at one look.

use glam::{DAffine3, DVec3};

use super::super::{Placed, Ring, Solid};
use super::{Cut, Plane, Section};

/// Walls in a stretch. A plane near the floor meets some dozens of walls of a part; a stretch is a part of those.
const WALLS: usize = 16;

/// A solid that is cut many times, as where the floor is sought under it. Every cut is the plain solid's, to the bit.
#[derive(Clone, Debug, Default)]
pub struct ReadyToCut {
    solid: Solid,
    stretches: Vec<Stretch>,
}

/// Bounds of some walls that follow each other.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    /// No ring reaches further from the axis, in any direction (mm).
    reach_mm: f64,
    /// Heights of the first and the last ring (mm).
    low_mm: f64,
    high_mm: f64,
}

impl Stretch {
    /// Bounds of rings of non-decreasing height.
    fn of(rings: &[Ring]) -> Option<Stretch> {
        let reach = |r: &Ring| {
            let reach = r.radius_mm + r.core_half_mm;
            // A figure that is none must not be passed over.
            if reach.is_finite() && r.z_mm.is_finite() { reach } else { f64::INFINITY }
        };
        let reach_mm = rings.iter().map(reach).fold(f64::NEG_INFINITY, f64::max);
        Some(Stretch { reach_mm, low_mm: rings.first()?.z_mm, high_mm: rings.last()?.z_mm })
    }

    /// Whether nothing of it is cut off by the plane. The trace's offset from the axis is linear in the height, so it
    /// is least at one of the ends; rounding keeps the order.
    fn is_passed_over(&self, plane: &Plane) -> bool {
        let offset = |z: f64| plane.origin - plane.slope * z;
        self.reach_mm <= offset(self.low_mm).min(offset(self.high_mm))
    }
}

impl ReadyToCut {
    /// Makes a solid ready.
    pub fn new(solid: Solid) -> ReadyToCut {
        let stretches = chunks(&solid.rings).filter_map(Stretch::of).collect();
        ReadyToCut { solid, stretches }
    }

    /// The solid as it is.
    pub fn solid(&self) -> &Solid {
        &self.solid
    }

    /// As [`Placed::section`].
    pub fn section(&self, toy_from_part: DAffine3, down: DVec3, level_mm: f64) -> Section {
        self.cut_or_section(toy_from_part, down, level_mm, false).section
    }

    /// As [`Placed::cut`].
    pub fn cut(&self, toy_from_part: DAffine3, down: DVec3, level_mm: f64) -> Cut {
        self.cut_or_section(toy_from_part, down, level_mm, true)
    }

    fn cut_or_section(&self, toy_from_part: DAffine3, down: DVec3, level_mm: f64, with_volume: bool) -> Cut {
        let placed = Placed { solid: &self.solid, toy_from_part };
        let plane = Plane::new(&placed, down, level_mm);
        let met = chunks(&self.solid.rings)
            .zip(&self.stretches)
            .filter(|(_, stretch)| !stretch.is_passed_over(&plane))
            .map(|(rings, _)| rings);
        placed.cut_chains(met, &plane, with_volume)
    }
}

/// The rings of each stretch; the last of one is the first of the next.
fn chunks(rings: &[Ring]) -> impl Iterator<Item = &[Ring]> {
    let last = rings.len().saturating_sub(1);
    (0..last).step_by(WALLS).map(move |from| &rings[from..=(from + WALLS).min(last)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Long, lopsided and partly oval parts, cut in many attitudes at many levels: bit for bit as without stretches.
    #[test]
    fn cuts_are_those_of_the_plain_solid() {
        for count in [0, 1, 2, 16, 17, 18, 120] {
            for core in [0.0, 3.0] {
                let ring = |i: usize| Ring {
                    z_mm: 1.7 * i as f64 + (0.9 * i as f64).sin(),
                    radius_mm: 6.0 + 5.0 * (0.31 * i as f64).sin() + 0.05 * i as f64,
                    core_half_mm: if i > 40 { core } else { 0.0 },
                };
                let solid = Solid { rings: (0..count).map(ring).collect() };
                let ready = ReadyToCut::new(solid.clone());
                let place = DAffine3::from_axis_angle(DVec3::new(0.3, -0.8, 0.2).normalize(), 0.7)
                    * DAffine3::from_translation(DVec3::new(4.0, -9.0, 30.0));
                let placed = Placed { solid: &solid, toy_from_part: place };
                let mut met = 0;
                for step in 0..60 {
                    let turn = 0.21 * f64::from(step);
                    // The last ones look along the axis.
                    let down = match step {
                        58 => placed.axis(),
                        59 => -placed.axis(),
                        _ => DVec3::new(turn.sin(), 0.4 * turn.cos(), (1.7 * turn).cos()).normalize(),
                    };
                    for share in [-0.1, 0.0, 0.01, 0.1, 0.5, 0.97, 1.1] {
                        let level = placed.support_mm(down) - share * placed.thickness_mm(down);
                        let plain = placed.cut(down, level);
                        assert_eq!(ready.cut(place, down, level), plain, "{count} rings, {down}, {share}");
                        assert_eq!(ready.section(place, down, level), placed.section(down, level));
                        met += usize::from(plain.section.area_mm2 > 0.0);
                    }
                }
                assert!(count < 2 || met > 100, "{count} rings were met {met} times");
            }
        }
    }

    /// A ring without figures is not left out of the sums: what cannot be told is not told.
    #[test]
    fn a_ring_without_a_figure_is_not_passed_over() {
        let mut rings: Vec<Ring> =
            (0..40).map(|i| Ring { z_mm: f64::from(i), radius_mm: 5.0, core_half_mm: 0.0 }).collect();
        rings[20].radius_mm = f64::NAN;
        let ready = ReadyToCut::new(Solid { rings });
        let stretch = &ready.stretches[1];
        let placed = Placed { solid: ready.solid(), toy_from_part: DAffine3::IDENTITY };
        assert!(!stretch.is_passed_over(&Plane::new(&placed, DVec3::X, 100.0)));
        assert!(ready.stretches[0].is_passed_over(&Plane::new(&placed, DVec3::X, 100.0)));
    }
}
